//! A session of one maker on one thread: a recipe, its knobs, and the result of the last run.

use std::path::Path;
use std::sync::Arc;

use serde_json::{Value, json};

use super::bench::Bench;
use super::card::{Card, MadeCard, Short};
use super::edit::Written;
use super::fault::FaultReport;
use super::knobs::{Knobs, Turn};
use super::planned::{self, Sheet, ShopFile};
use super::request::{Answer, Refusal, Request};
use super::run_result::RunResult;
use super::snapshot_json::SnapshotJson;
use super::visible::visible;
use super::{
    Given, Opened, Snapshot, drawing, hands, keep, own_text, rim, stars, steps, sweep, unpacked,
    values,
};
use crate::appearance::Look;
use crate::bundle::Bundle;
use crate::explore::link::{LONGEST, Link};
use crate::geom::Point;
use crate::layout::panel::Panel;
use crate::plan::Shop;
use crate::recipe::memory_store::MemoryStore;
use crate::recipe::store::Store as _;

/// A recipe that is open. Requests are answered at once, one after the other; a door that answers
/// several at a time holds a [`Snapshot`] of its own and uses the same parts.
#[derive(Debug)]
pub struct Session {
    store: MemoryStore,
    written: Written,
    given: Given,
    knobs: Knobs,
    turns: u64,
    state: Snapshot,
}

impl Session {
    /// Opens the recipe that is given, and carries it out.
    pub fn new(store: MemoryStore, given: Given) -> Self {
        let mut session = Self::at(store, given, 0);
        session.run();
        session
    }

    /// Opens the recipe that is given and runs nothing yet; pictures get numbers after `serial`, and turns
    /// of knobs too.
    pub fn at(store: MemoryStore, given: Given, serial: u64) -> Self {
        Self {
            store,
            written: Written::default(),
            given,
            knobs: Knobs::default(),
            turns: serial,
            state: Snapshot {
                serial,
                ..Snapshot::default()
            },
        }
    }

    /// Where its texts are kept.
    pub fn store(&self) -> &MemoryStore {
        &self.store
    }

    /// What there is to see.
    pub fn state(&self) -> &Snapshot {
        &self.state
    }

    /// Answers.
    ///
    /// # Errors
    /// When there is no such thing, or it cannot be made. A recipe that fails is no error: the state
    /// that follows tells of it.
    #[allow(
        clippy::too_many_lines,
        reason = "one arm a request, and none of them long"
    )]
    pub fn answer(&mut self, request: Request) -> Result<Answer, Refusal> {
        match request {
            Request::Run => Ok(self.run()),
            Request::State { known } => Ok(self.told(&known)),
            Request::Turn { turn } => {
                self.turn(turn)?;
                Ok(Answer::Told(json!({ "turn": self.turns })))
            }
            Request::Short => match (&self.state.fault, &self.state.good) {
                (None, Some(made)) => Ok(Answer::Told(json!(Short::of(&made.outcome)))),
                (Some(fault), _) => Ok(Answer::Fault(Box::new(fault.clone()))),
                (None, None) => Err("the recipe was not carried out yet".into()),
            },
            Request::Tiles(of) => {
                let tiles = self.picture(of.picture)?.tiles(of.panel);
                Ok(Answer::Data(tiles.ok_or(NO_PANEL)?))
            }
            Request::Faces(view) => {
                let made = self.picture(view.picture)?;
                let faces = drawing::faces(of(&made, view.panel)?, &view.asked);
                Ok(Answer::Data(faces.map_err(words)?.into()))
            }
            Request::Drawing(view) => {
                let made = self.picture(view.picture)?;
                let drawn = drawing::drawing(of(&made, view.panel)?, &view.asked);
                Ok(Answer::Drawing(drawn.map_err(words)?))
            }
            Request::Pixels(view) => {
                let made = self.picture(view.picture)?;
                let drawn = drawing::pixels(of(&made, view.panel)?, &view.asked);
                Ok(Answer::Pixels(drawn.map_err(words)?))
            }
            Request::Tile {
                picture,
                panel,
                x,
                y,
            } => {
                let made = self.picture(picture)?;
                Ok(Answer::Tile(of(&made, panel)?.tile_at(Point::new(x, y))))
            }
            Request::Card { card } => self.card(&card),
            Request::Sweep { set, seeds, sample } => {
                let cards = sweep::cards(&set, seeds.as_deref(), sample);
                Ok(Answer::Sweep(cards.map_err(words)?))
            }
            Request::Plan {
                picture,
                panel,
                shop,
                way,
            } => {
                let made = self.picture(picture)?;
                let sliced = way.map_or(String::new(), |way| format!("?{}", way.asked()));
                let at =
                    |sheet: Sheet| format!("/paper/{picture}/{panel}/{}{sliced}", sheet.name());
                let shop = self.shop(shop)?.slicing(way);
                let what = (&made.outcome, panel);
                told(planned::summary(&self.recipe(), &shop, what, at))
            }
            Request::Paper {
                picture,
                panel,
                sheet,
                shop,
                way,
            } => {
                let made = self.picture(picture)?;
                let shop = self.shop(shop)?.slicing(way);
                let paper = planned::paper(&self.recipe(), &shop, (&made.outcome, panel), sheet);
                Ok(Answer::Paper(paper.map_err(words)?))
            }
            Request::Tray(of) => told(hands::tray(&*self.picture(of.picture)?, of.panel)),
            Request::Offers(of) => told(hands::go_on(
                self.bench(),
                &*self.picture(of.picture)?,
                of.panel,
            )),
            Request::Try { hands } => told(hands::try_out(self.bench(), &hands)),
            Request::Lay { hands } => {
                told(hands::lay(self.bench(), &self.store, &self.written, &hands))
            }
            Request::Handles(of) => told(rim::told(&*self.picture(of.picture)?, of.panel)),
            Request::TryDrag { drag } => told(rim::try_out(self.bench(), &drag)),
            Request::Drag { drag } => {
                told(rim::put(self.bench(), &self.store, &self.written, &drag))
            }
            Request::Text => told(own_text::text(&self.store, &self.given.recipe)),
            Request::Write { new } => {
                let recipe = &self.given.recipe;
                told(own_text::write(&self.store, &self.written, recipe, &new))
            }
            Request::Parameter { value } => told(own_text::parameter(value)),
            Request::Layers { photo } => told(photo.read()),
            Request::Words => Ok(Answer::Told(own_text::word_list())),
            Request::States => told(steps::told(&self.store, &self.given.recipe)),
            Request::KeepStates { change } => {
                let recipe = &self.given.recipe;
                told(steps::keep(&self.store, recipe, &self.state, change))
            }
            Request::GoTo { go } => {
                let gone = steps::go(&self.store, &self.written, &self.given.recipe, go);
                let gone = gone.map_err(words)?;
                if let Some(turn) = gone.turn.clone() {
                    self.turn(turn)?;
                }
                Ok(Answer::Told(gone.told(self.turns)))
            }
            Request::See { number } => Ok(Answer::Told(
                match steps::carried_out(self.bench(), number)? {
                    Ok((opened, outcome)) => {
                        let made = self.state.lay_aside(opened, outcome);
                        json!({ "shown": made.id, "picture": made.told() })
                    }
                    Err(error) => json!({ "fault": FaultReport::of(&error) }),
                },
            )),
            Request::Forget => told(steps::forget(&self.store, &self.given.recipe)),
            Request::Values { picture } => Ok(Answer::Told(values::told(&*self.picture(picture)?))),
            Request::PutValue { put } => {
                let recipe = &self.given.recipe;
                told(values::put(&self.store, &self.written, recipe, &put))
            }
            Request::ValueParameter { to } => {
                let recipe = &self.given.recipe;
                told(values::parameter(&self.store, &self.written, recipe, &to))
            }
            Request::Shortlist => told(stars::told(self.bench())),
            Request::Star { card } => {
                let added = told(stars::add(self.bench(), &self.store, &card));
                self.shortlist_changed();
                added
            }
            Request::Unstar { number } => {
                let removed = told(stars::remove(self.bench(), &self.store, number));
                self.shortlist_changed();
                removed
            }
            Request::Keep { keep } => {
                let way = |_: &Path, recipe: &Path| {
                    let name = recipe.file_name().unwrap_or_default();
                    name.to_string_lossy().into_owned()
                };
                let kept = keep::keep(self.bench(), &self.store, way, keep).map_err(words)?;
                if let Some(turn) = kept.turn {
                    self.turn(turn)?;
                }
                Ok(Answer::Told(kept.told))
            }
            Request::Pack { picture } => {
                let bundle = self.bundle(&*self.picture(picture)?);
                let text = bundle.text().map_err(words)?;
                let name = format!("{}.packed.rhai", bundle.name);
                Ok(Answer::Texts(vec![(name, text)]))
            }
            Request::Link { picture, look } => {
                let made = self.picture(picture)?;
                let mut bundle = self.bundle(&made);
                if look != Look::default() {
                    // The look is unpacked into a pinned choice, which names the seed.
                    bundle.seed = Some(made.outcome.seed);
                }
                let link = Link { bundle, look }.text().map_err(words)?;
                Ok(Answer::Told(json!({ "link": link, "longest": LONGEST })))
            }
            Request::Unpack { base64 } => unpacked::read(&base64).map_err(words),
            Request::Files => {
                let texts = self.store.texts().into_iter();
                let named = texts.map(|(path, text)| (path.display().to_string(), text));
                Ok(Answer::Texts(named.collect()))
            }
            Request::Put { texts } => {
                for (path, text) in texts {
                    self.store.put(path, text);
                }
                self.shortlist_changed();
                Ok(self.told(&[]))
            }
            Request::Ended { how } => {
                self.state.serial += 1;
                self.state.answered = self.turns;
                self.state.knobs = self.knobs.clone();
                self.state.fault = Some(FaultReport::of(&how.into()));
                Ok(self.told(&[]))
            }
            Request::Texts { picture } => {
                let made = self.picture(picture)?;
                let sources = made.outcome.sources.iter();
                let texts = sources.map(|source| (source.name.clone(), source.text.clone()));
                Ok(Answer::Texts(texts.collect()))
            }
        }
    }

    fn run(&mut self) -> Answer {
        let id = self.state.serial + 1;
        let knobs = self.knobs.clone();
        let run = self.given.run(id, knobs, &self.store, |_| (), |host| host);
        self.knobs = run.knobs.clone();
        self.state.serial = id;
        // Why there is no new picture is part of the state.
        let _ = self.state.take(run, self.turns);
        self.told(&[])
    }

    fn told(&self, known: &[u64]) -> Answer {
        let told = SnapshotJson::of(&self.state, &self.given, known);
        let told = serde_json::to_value(&told);
        Answer::State(told.expect("invariant: every field has a form in JSON"))
    }

    /// Turns knobs; a run is to follow.
    fn turn(&mut self, turn: Turn) -> Result<(), Refusal> {
        self.knobs = self.knobs.turned(turn)?;
        self.turns += 1;
        Ok(())
    }

    fn bench(&self) -> Bench<'_> {
        Bench {
            given: &self.given,
            state: &self.state,
            store: &self.store,
        }
    }

    fn recipe(&self) -> String {
        self.given.recipe.display().to_string()
    }

    fn shop(&self, name: Option<String>) -> Result<ShopFile, Refusal> {
        let Some(name) = name else {
            return Ok(ShopFile::common());
        };
        let text = self.store.read(Path::new(&name)).map_err(words)?;
        let shop = Shop::parse(&text).map_err(|error| {
            let (line, column) = error.line_column(&text);
            let help = error.help.map(|help| format!("; {help}"));
            let (message, help) = (error.message, help.unwrap_or_default());
            visible(&format!(
                "{name}, line {line}, column {column}: {message}{help}"
            ))
        })?;
        Ok(ShopFile {
            name: Some(name),
            shop,
        })
    }

    fn shortlist_changed(&mut self) {
        self.state.serial += 1;
        self.state.shortlist += 1;
    }

    fn picture(&self, id: u64) -> Result<Arc<RunResult>, Refusal> {
        self.state
            .picture(id)
            .ok_or_else(|| "there is no such picture any more".into())
    }

    /// A variation of the last good picture's recipe, or of the recipe as it is where there is none.
    fn card(&self, card: &Card) -> Result<Answer, Refusal> {
        let opened = match &self.state.good {
            Some(made) => made.opened.clone(),
            None => {
                Opened::read(&self.given.recipe, self.given.reach, &self.store).map_err(words)?
            }
        };
        let bench = Bench {
            state: &Snapshot {
                knobs: self.knobs.clone(),
                good: self.state.good.clone(),
                ..Snapshot::default()
            },
            ..self.bench()
        };
        let mut knobs = stars::knobs_for(bench, card)?;
        let host = opened.host(&self.store, Box::new(|_| ()));
        let wanted = knobs.set.clone();
        let result = (self.given).carry_out(&opened, &mut knobs, &host, &mut Vec::new());
        // Otherwise a picture of other values would be taken for this one.
        if let Some(name) = wanted.keys().find(|name| !knobs.set.contains_key(*name)) {
            return Err(format!("the recipe no longer has the parameter `{name}`").into());
        }
        Ok(match result {
            Ok(outcome) => {
                let made = MadeCard::of(&outcome, card.panel, &card.look);
                Answer::Card(Box::new(made))
            }
            Err(error) => Answer::Fault(Box::new(FaultReport::of(&error))),
        })
    }

    fn bundle(&self, made: &RunResult) -> Bundle {
        let host = made.opened.host(&self.store, Box::new(|_| ()));
        let settings = self.given.settings(&made.opened, &self.state.knobs);
        Bundle::of(&made.opened.name(), &made.outcome, &settings, &*host)
    }
}

const NO_PANEL: &str = "there is no such panel";

fn of(made: &RunResult, panel: usize) -> Result<&Panel, Refusal> {
    made.panel(panel).ok_or_else(|| NO_PANEL.into())
}

#[allow(
    clippy::needless_pass_by_value,
    reason = "handed on by `map_err`, which gives the error away"
)]
fn words(error: impl std::fmt::Display) -> Refusal {
    visible(&error.to_string()).into()
}

fn told(told: Result<Value, String>) -> Result<Answer, Refusal> {
    told.map(Answer::Told).map_err(words)
}
