//! A session of one maker on one thread: a recipe, its knobs, and what they last came to.

use std::path::Path;
use std::sync::Arc;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

use super::bench::Bench;
use super::card::{Card, MadeCard, Short};
use super::edit::Written;
use super::fault::Fault;
use super::knobs::{Knobs, Turn};
use super::made::Made;
use super::planned::{self, Sheet, ShopFile};
use super::request::{Answer, Refusal, Request};
use super::told::Told;
use super::unpacked::files;
use super::visible::visible;
use super::{Given, Opened, State, drawing, hands, keep, own_text, stars, steps, values};
use crate::explore::axis::Axis;
use crate::explore::link::{LONGEST, Link, LinkRead, is_link};
use crate::explore::sweep::{MOST_AT_ONCE, Sample, Sweep};
use crate::geom::Point;
use crate::layout::panel::Panel;
use crate::parcel::{Parcel, Read, Verdict, from_picture, is_pack};
use crate::plan::Shop;
use crate::recipe::memory_store::MemoryStore;
use crate::recipe::store::Store as _;
use crate::sight::Look;

/// What a sample of a sweep starts from.
const SAMPLE_SEED: u64 = 1;

/// A recipe that is open. What it is asked it answers at once; doors that answer several askers at a
/// time hold a [`State`] of their own and use the same parts.
#[derive(Debug)]
pub struct Session {
    store: MemoryStore,
    written: Written,
    given: Given,
    knobs: Knobs,
    turns: u64,
    state: State,
}

impl Session {
    /// Opens the recipe that is given, and carries it out.
    #[must_use]
    pub fn new(store: MemoryStore, given: Given) -> Self {
        let mut session = Self::at(store, given, 0);
        session.run();
        session
    }

    /// Opens the recipe that is given and runs nothing yet; pictures get numbers after `serial`, and turns
    /// of knobs too.
    #[must_use]
    pub fn at(store: MemoryStore, given: Given, serial: u64) -> Self {
        Self {
            store,
            written: Written::default(),
            given,
            knobs: Knobs::default(),
            turns: serial,
            state: State {
                serial,
                ..State::default()
            },
        }
    }

    /// Where its texts are kept.
    #[must_use]
    pub fn store(&self) -> &MemoryStore {
        &self.store
    }

    /// What there is to see.
    #[must_use]
    pub fn state(&self) -> &State {
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
            Request::Tiles { picture, panel } => {
                let tiles = self.picture(picture)?.tiles(panel);
                Ok(Answer::Data(tiles.ok_or(NO_PANEL)?))
            }
            Request::Faces {
                picture,
                panel,
                asked,
            } => {
                let faces = drawing::faces(of(&*self.picture(picture)?, panel)?, &asked);
                Ok(Answer::Data(faces.map_err(words)?.into()))
            }
            Request::Drawing {
                picture,
                panel,
                asked,
            } => {
                let drawn = drawing::drawing(of(&*self.picture(picture)?, panel)?, &asked);
                Ok(Answer::Drawing(drawn.map_err(words)?))
            }
            Request::Pixels {
                picture,
                panel,
                asked,
            } => {
                let drawn = drawing::pixels(of(&*self.picture(picture)?, panel)?, &asked);
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
            Request::Sweep { set, seeds, sample } => sweep(&set, seeds.as_deref(), sample),
            Request::Plan {
                picture,
                panel,
                shop,
            } => {
                let made = self.picture(picture)?;
                let at = |sheet: Sheet| format!("/paper/{picture}/{panel}/{}", sheet.name());
                let shop = self.shop(shop)?;
                let what = (&made.outcome, panel);
                told(planned::summary(&self.recipe(), &shop, what, at))
            }
            Request::Paper {
                picture,
                panel,
                sheet,
                shop,
            } => {
                let made = self.picture(picture)?;
                let shop = self.shop(shop)?;
                let paper = planned::paper(&self.recipe(), &shop, (&made.outcome, panel), sheet);
                Ok(Answer::Paper(paper.map_err(words)?))
            }
            Request::Tray { picture, panel } => told(hands::tray(&*self.picture(picture)?, panel)),
            Request::Offers { picture, panel } => {
                told(hands::go_on(self.bench(), &*self.picture(picture)?, panel))
            }
            Request::Try { hands } => told(hands::try_out(self.bench(), &hands)),
            Request::Lay { hands } => {
                told(hands::lay(self.bench(), &self.store, &self.written, &hands))
            }
            Request::Text => told(own_text::text(&self.store, &self.given.recipe)),
            Request::Write { new } => {
                let recipe = &self.given.recipe;
                told(own_text::write(&self.store, &self.written, recipe, &new))
            }
            Request::Parameter { value } => told(own_text::parameter(value)),
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
                    Err(error) => json!({ "fault": Fault::of(&error) }),
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
                let parcel = self.parcel(&*self.picture(picture)?);
                let text = parcel.text().map_err(words)?;
                let name = format!("{}.packed.rhai", parcel.name);
                Ok(Answer::Texts(vec![(name, text)]))
            }
            Request::Link { picture, look } => {
                let made = self.picture(picture)?;
                let mut parcel = self.parcel(&made);
                if look != Look::default() {
                    // A look comes back in a choice, which names the seed.
                    parcel.seed = Some(made.outcome.seed);
                }
                let link = Link { parcel, look }.text().map_err(words)?;
                Ok(Answer::Told(json!({ "link": link, "longest": LONGEST })))
            }
            Request::Unpack { base64 } => unpack(&base64),
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
                self.state.fault = Some(Fault::of(&how.into()));
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
        let told = Told::of(&self.state, &self.given, known);
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
        let shop = Shop::parse(&text).map_err(|error| visible(&error.message))?;
        Ok(ShopFile {
            name: Some(name),
            shop,
        })
    }

    fn shortlist_changed(&mut self) {
        self.state.serial += 1;
        self.state.shortlist += 1;
    }

    fn picture(&self, id: u64) -> Result<Arc<Made>, Refusal> {
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
            state: &State {
                knobs: self.knobs.clone(),
                good: self.state.good.clone(),
                ..State::default()
            },
            ..self.bench()
        };
        let mut knobs = stars::knobs_for(bench, card)?;
        let host = opened.host(&self.store, Box::new(|_| ()));
        let wanted = knobs.set.clone();
        let result = (self.given).carry_out(&opened, &mut knobs, &host, &mut Vec::new());
        // A picture of other values than were asked for would pass for this one.
        if let Some(name) = wanted.keys().find(|name| !knobs.set.contains_key(*name)) {
            return Err(format!("the recipe no longer has the parameter `{name}`").into());
        }
        Ok(match result {
            Ok(outcome) => {
                let made = MadeCard::of(&outcome, card.panel, &card.look);
                Answer::Card(Box::new(made))
            }
            Err(error) => Answer::Fault(Box::new(Fault::of(&error))),
        })
    }

    fn parcel(&self, made: &Made) -> Parcel {
        let host = made.opened.host(&self.store, Box::new(|_| ()));
        let settings = self.given.settings(&made.opened, &self.state.knobs);
        Parcel::of(&made.opened.name(), &made.outcome, &settings, &*host)
    }
}

const NO_PANEL: &str = "there is no such panel";

fn of(made: &Made, panel: usize) -> Result<&Panel, Refusal> {
    made.panel(panel).ok_or_else(|| NO_PANEL.into())
}

#[allow(
    clippy::needless_pass_by_value,
    reason = "handed on by `map_err`, which gives the error away"
)]
fn words(error: impl std::fmt::Display) -> Refusal {
    visible(&error.to_string()).into()
}

fn sweep(
    set: &[(String, String)],
    seeds: Option<&str>,
    sample: Option<u64>,
) -> Result<Answer, Refusal> {
    let axes = set.iter().map(|(name, values)| Axis::read(name, values));
    let axes = axes.collect::<Result<_, _>>().map_err(words)?;
    let sample = sample.map(|size| Sample {
        size: size.min(MOST_AT_ONCE),
        seed: SAMPLE_SEED,
    });
    let sweep = Sweep::new(axes, seeds, sample).map_err(words)?;
    let numbers = sweep.numbers(None).map_err(words)?;
    let card = |number| {
        let combination = sweep.combination(number);
        Card {
            set: combination.set.into_iter().collect(),
            seed: combination.seed.map(|seed| seed.to_string()),
            ..Card::default()
        }
    };
    Ok(Answer::Sweep(numbers.into_iter().map(card).collect()))
}

fn told(told: Result<Value, String>) -> Result<Answer, Refusal> {
    told.map(Answer::Told).map_err(words)
}

/// The texts in a picture, a pack or a link.
fn unpack(base64: &str) -> Result<Answer, Refusal> {
    let bytes = STANDARD.decode(base64).map_err(words)?;
    let text = std::str::from_utf8(&bytes).unwrap_or("");
    // A drawing holds its pack among other things.
    let (read, look) = if is_pack(text) && !text.trim_start().starts_with('<') {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        (Parcel::read(text).map_err(words)?, Look::default())
    } else if is_link(text) {
        let LinkRead { link, verdict } = Link::read(text).map_err(words)?;
        let parcel = link.parcel;
        (Read { parcel, verdict }, link.look)
    } else {
        (from_picture(&bytes).map_err(words)?, Look::default())
    };
    Ok(Answer::Unpacked {
        texts: files(&read.parcel, look),
        changed: read.verdict == Verdict::Changed,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parcel::metadata;
    use crate::recipe::store::Reach;
    use crate::session::Typed;

    const RECIPE: &str = "import \"wood\" as wood;\nlet rows = param(\"rows\", 3, #{ from: 1, to: 9 });\n\
        let sheet = wood::sheet();\nlet tile = bar(sheet.rip(sheet.thickness)).slice(\"square\");\n\
        panel(\"Lid\", squares(tile)).finished(48, rows * 12).fill(tile);\n";
    const WOOD: &str = "fn sheet() { plywood(5, 12, \"birch\") }\n";

    fn session(recipe: &str) -> Session {
        let store = MemoryStore::new()
            .with("lids/lid.rhai", recipe)
            .with("lids/wood.rhai", WOOD);
        let given = Given {
            recipe: "lids/lid.rhai".into(),
            reach: Reach::OwnFolder,
            typed: Typed::default(),
        };
        Session::new(store, given)
    }

    /// Asked and answered in JSON, as a browser does.
    fn ask(session: &mut Session, ask: Value) -> Value {
        let request = serde_json::from_value(ask).expect("a request");
        let answer = session.answer(request).expect("an answer");
        serde_json::to_value(answer).expect("JSON")["with"].take()
    }

    #[test]
    fn a_recipe_in_memory_is_shown_turned_drawn_planned_kept_and_packed() {
        let mut it = session(RECIPE);
        let state = ask(&mut it, json!({ "ask": "state" }));
        assert_eq!(state["recipe"], "lid.rhai");
        assert_eq!(state["picture"]["panels"][0]["tiles"], 12, "{state}");
        let turn = json!({ "ask": "turn", "turn": { "set": { "rows": "2" } } });
        assert_eq!(ask(&mut it, turn)["turn"], 1);
        let turned = ask(&mut it, json!({ "ask": "run" }));
        assert_eq!(turned["answered"], 1);
        assert_eq!(turned["picture"]["panels"][0]["height"], 24.0);
        let picture = turned["shown"].clone();
        let about = |what: &str| json!({ "ask": what, "picture": picture, "panel": 0 });
        let svg = ask(&mut it, about("drawing"));
        assert!(svg.as_str().expect("text").starts_with("<svg"));
        let tiles = ask(&mut it, about("tiles"));
        assert!(tiles.as_str().expect("text").contains("\"faces\""));
        let at = |x, y| json!({ "ask": "tile", "picture": picture, "panel": 0, "x": x, "y": y });
        assert_eq!(ask(&mut it, at(6.0, 6.0)), 0);
        assert_eq!(ask(&mut it, at(47.0, 23.0)), 7);
        assert_eq!(ask(&mut it, at(60.0, 6.0)), json!(null));
        let plan = ask(&mut it, about("plan"));
        let text = plan["text"].as_str().expect("text");
        assert!(text.contains("Shop plan: Lid"), "{text}");
        assert_eq!(plan["sheets"].as_array().map(Vec::len), Some(2));
        let keep = json!({ "as": "choice", "picture": picture, "name": "low" });
        let kept = ask(&mut it, json!({ "ask": "keep", "keep": keep }));
        assert_eq!(kept["file"], "low.pick");
        let text = it.store().texts()[Path::new("lids/low.pick")].clone();
        assert!(
            text.contains("recipe = \"lid.rhai\"") && text.contains("rows = 2"),
            "{text}"
        );
        let keep = json!({ "as": "defaults", "picture": picture });
        ask(&mut it, json!({ "ask": "keep", "keep": keep }));
        let text = it.store().texts()[Path::new("lids/lid.rhai")].clone();
        assert!(text.contains("param(\"rows\", 2,"), "{text}");
        let pack = ask(&mut it, json!({ "ask": "pack", "picture": picture }))[0][1].clone();
        let files = ask(
            &mut it,
            json!({ "ask": "unpack", "base64": STANDARD.encode(pack.as_str().expect("text")) }),
        )["texts"]
            .take();
        let names: Vec<_> = files
            .as_array()
            .expect("a list")
            .iter()
            .map(|f| &f[0])
            .collect();
        assert_eq!(names, ["lid.rhai", "wood.rhai", "lid.pick"]);
        assert_eq!(files[1][1], WOOD);
        let parcel = Parcel::read(pack.as_str().expect("text")).expect("a pack");
        let made = it.state().good.clone().expect("a picture");
        let drawing = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\">{}</svg>",
            metadata(&parcel.parcel, &made.outcome, "Lid").expect("metadata")
        );
        let base64 = STANDARD.encode(drawing);
        let from_drawing = ask(&mut it, json!({ "ask": "unpack", "base64": base64 }));
        assert_eq!(
            (&from_drawing["texts"], &from_drawing["changed"]),
            (&files, &json!(false))
        );
    }

    #[test]
    fn a_link_brings_the_recipe_its_values_and_its_look() {
        let mut it = session(RECIPE);
        let turn = json!({ "ask": "turn", "turn": { "set": { "rows": "2" } } });
        ask(&mut it, turn);
        let picture = ask(&mut it, json!({ "ask": "run" }))["shown"].take();
        let look = json!({ "finish": "oil" });
        let told = ask(
            &mut it,
            json!({ "ask": "link", "picture": picture, "look": look }),
        );
        let link = format!(
            "file:///plyloom.html{}",
            told["link"].as_str().expect("text")
        );
        let base64 = STANDARD.encode(link);
        let read = ask(&mut it, json!({ "ask": "unpack", "base64": base64 }));
        assert_eq!(read["changed"], false);
        assert_eq!(read["texts"][0], json!(["lid.rhai", RECIPE]));
        let choice = read["texts"][2][1].as_str().expect("text");
        assert!(
            choice.contains("rows = 2") && choice.contains("oil"),
            "{choice}"
        );
    }

    #[test]
    fn the_text_is_written_over_what_it_was_made_from_and_a_copy_stays() {
        let mut it = session(RECIPE);
        let text = ask(&mut it, json!({ "ask": "text" }));
        let fresh = RECIPE.replace("Lid", "Cover");
        let new = json!({ "over": text["mark"], "text": fresh });
        let told = ask(&mut it, json!({ "ask": "write", "new": new }));
        assert_eq!(told["copy"], "lid.rhai.before");
        let state = ask(&mut it, json!({ "ask": "run" }));
        assert_eq!(state["picture"]["panels"][0]["name"], "Cover");
        let new = json!({ "over": text["mark"], "text": "// late" });
        let told = ask(&mut it, json!({ "ask": "write", "new": new }));
        assert_eq!(told["changed"]["text"], fresh);
        let files = ask(&mut it, json!({ "ask": "files" }));
        assert_eq!(files[1], json!(["lids/lid.rhai.before", RECIPE]));
    }

    #[test]
    fn a_run_that_was_ended_from_outside_leaves_the_last_picture() {
        let mut it = session(RECIPE);
        let before = ask(&mut it, json!({ "ask": "state" }));
        let state = ask(&mut it, json!({ "ask": "ended", "how": "memory" }));
        assert_eq!(state["fault"]["code"], "recipe::too_much_memory");
        assert_eq!(state["shown"], before["shown"]);
    }

    #[test]
    fn what_is_probably_meant_otherwise_is_a_notice() {
        let mut it = session(&format!("{RECIPE}tile.rotate(90);\n"));
        let state = ask(&mut it, json!({ "ask": "state" }));
        let told = state["notices"][0].as_str().expect("a notice");
        assert!(
            told.starts_with("lids/lid.rhai, line 6: what `rotate` gives"),
            "{told}"
        );
        assert_eq!(state["notices"].as_array().map(Vec::len), Some(1));
    }

    #[test]
    fn a_sweep_is_a_list_of_cards() {
        let mut it = session(RECIPE);
        let sweep = json!({ "ask": "sweep", "set": [["rows", "1..3"]], "seeds": "5,6" });
        let cards = ask(&mut it, sweep);
        assert_eq!(cards.as_array().map(Vec::len), Some(6));
        let card = ask(&mut it, json!({ "ask": "card", "card": cards[5] }));
        assert_eq!((&card["seed"], &card["tiles"]), (&json!("6"), &json!(12)));
        let wild = ask(
            &mut it,
            json!({ "ask": "card", "card": { "set": { "rows": "99" } } }),
        );
        assert_eq!(wild["code"], "recipe::parameter_value");
    }

    #[test]
    fn a_mistake_leaves_the_last_picture_and_is_told_with_its_place() {
        let mut it = session(RECIPE);
        let shown = it.state().good.as_ref().map(|made| made.id);
        it.store().put("lids/lid.rhai", "let a = shet(3);");
        let state = ask(&mut it, json!({ "ask": "run" }));
        assert_eq!(state["shown"].as_u64(), shown);
        assert_eq!(state["fault"]["place"]["column"], 9);
        it.store().put("lids/lid.rhai", RECIPE);
        assert!(ask(&mut it, json!({ "ask": "run" }))["fault"].is_null());
    }
}
