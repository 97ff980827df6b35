//! A session of one maker on one thread: a recipe, its knobs, and what they last came to.

use std::sync::Arc;

use super::card::{Card, MadeCard};
use super::fault::Fault;
use super::kept::{LONGEST_NAME, Values, is_choice_name, new_defaults};
use super::knobs::{Knobs, Turn};
use super::made::Made;
use super::request::{Answer, Part, Refusal, Request};
use super::told::Told;
use super::unpacked::files;
use super::visible::visible;
use super::{Given, State, drawing};
use crate::explore::axis::Axis;
use crate::explore::pinned::ENDING;
use crate::explore::sweep::{MOST_AT_ONCE, Sample, Sweep};
use crate::geom::Point;
use crate::layout::panel::Panel;
use crate::parcel::Parcel;
use crate::plan::told::{self, Entry, Section};
use crate::plan::{Plan, Shop};
use crate::recipe::store::Store;
use crate::sight::relit::Look;

/// What a sample of a sweep starts from.
const SAMPLE_SEED: u64 = 1;

/// A recipe that is open. What it is asked it answers at once; doors that answer several askers at a
/// time hold a [`State`] of their own and use the same parts.
#[derive(Debug)]
pub struct Session<S> {
    store: S,
    given: Given,
    knobs: Knobs,
    turns: u64,
    state: State,
}

impl<S: Store> Session<S> {
    /// Opens the recipe that is given, and carries it out.
    pub fn new(store: S, given: Given) -> Self {
        let mut session = Self {
            store,
            given,
            knobs: Knobs::default(),
            turns: 0,
            state: State::default(),
        };
        session.run();
        session
    }

    /// Where its texts are kept.
    pub fn store(&self) -> &S {
        &self.store
    }

    /// What there is to see.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// Answers.
    ///
    /// # Errors
    /// When there is no such thing, or it cannot be made. A recipe that fails is no error: the state
    /// that follows tells of it.
    pub fn answer(&mut self, request: Request) -> Result<Answer, Refusal> {
        match request {
            Request::Run => Ok(self.run()),
            Request::State { known } => Ok(self.told(&known)),
            Request::Turn { turn } => self.turn(turn),
            Request::Tiles { picture, panel } => {
                let tiles = self.picture(picture)?.tiles(panel);
                Ok(Answer::Tiles(tiles.ok_or(NO_PANEL)?))
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
            } => plan(of(&*self.picture(picture)?, panel)?, shop.as_deref()),
            Request::Keep {
                picture,
                name,
                look,
            } => self.keep(picture, &name, look.look()?),
            Request::Defaults { picture } => self.defaults(picture),
            Request::Pack { picture } => self.pack(picture),
            Request::Unpack { text } => {
                let read = Parcel::read(&text).map_err(words)?;
                Ok(Answer::Texts(files(&read.parcel, Look::default())))
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

    fn turn(&mut self, turn: Turn) -> Result<Answer, Refusal> {
        self.knobs = self.knobs.turned(turn)?;
        self.turns += 1;
        Ok(self.run())
    }

    fn picture(&self, id: u64) -> Result<Arc<Made>, Refusal> {
        self.state
            .picture(id)
            .ok_or_else(|| "there is no such picture any more".into())
    }

    fn card(&self, card: &Card) -> Result<Answer, Refusal> {
        card.look.look()?;
        let made = self.state.good.as_ref().ok_or("there is no picture yet")?;
        let mut knobs = card.knobs(&self.knobs)?;
        let host = made.opened.host(&self.store, Box::new(|_| ()));
        let result = self
            .given
            .carry_out(&made.opened, &mut knobs, &host, &mut Vec::new());
        Ok(match result {
            Ok(outcome) => {
                let made = MadeCard::of(&outcome, card.panel, &card.look);
                Answer::Card(Box::new(made))
            }
            Err(error) => Answer::Fault(Box::new(Fault::of(&error))),
        })
    }

    fn keep(&self, picture: u64, name: &str, look: Look) -> Result<Answer, Refusal> {
        if !is_choice_name(name) {
            let rule = format!(
                "a choice's name is made of letters, digits, `-` and `_`, {LONGEST_NAME} at most, and \
                 begins with a letter or digit"
            );
            return Err(rule.into());
        }
        let made = self.picture(picture)?;
        let recipe = made.opened.path.file_name().unwrap_or_default();
        let choice = Values::of(&made.outcome, look).choice(recipe.to_string_lossy().into_owned());
        Ok(Answer::Texts(vec![(
            format!("{name}.{ENDING}"),
            choice.text(),
        )]))
    }

    fn defaults(&self, picture: u64) -> Result<Answer, Refusal> {
        let made = self.picture(picture)?;
        let host = made.opened.host(&self.store, Box::new(|_| ()));
        let budget = &self.given.typed.budget;
        let text = new_defaults(&made.opened, &made.outcome, budget, &host).map_err(words)?;
        let path = made.opened.path.display().to_string();
        Ok(Answer::Texts(vec![(path, text)]))
    }

    fn pack(&self, picture: u64) -> Result<Answer, Refusal> {
        let made = self.picture(picture)?;
        let host = made.opened.host(&self.store, Box::new(|_| ()));
        let settings = self.given.settings(&made.opened, &self.knobs);
        let parcel = Parcel::of(&made.opened.name(), &made.outcome, &settings, &*host);
        let text = parcel.text().map_err(words)?;
        Ok(Answer::Texts(vec![(
            format!("{}.packed.rhai", parcel.name),
            text,
        )]))
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

fn plan(panel: &Panel, shop: Option<&str>) -> Result<Answer, Refusal> {
    let shop = match shop {
        Some(text) => Shop::parse(text).map_err(|error| visible(&error.message))?,
        None => Shop::common(),
    };
    let panels = [panel];
    let plan = Plan::of(&panels, &shop).map_err(words)?;
    let mut sections: Vec<Section> = told::short(&plan.count, shop.units).into_iter().collect();
    sections.push(told::brief(&panels, &plan, &shop));
    sections.push(told::to_buy(&plan.count, &shop));
    sections.extend(told::from_stock(&plan.count, &shop));
    Ok(Answer::Plan(sections.iter().map(part).collect()))
}

fn part(section: &Section) -> Part {
    fn lines(entries: &[Entry], indent: usize, all: &mut Vec<String>) {
        for entry in entries {
            all.push(format!("{:indent$}{}", "", visible(&entry.line())));
            lines(&entry.below, indent + 2, all);
        }
    }
    let mut part = Part {
        title: visible(&section.title),
        lines: Vec::new(),
    };
    lines(&section.entries, 0, &mut part.lines);
    part
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::memory_store::MemoryStore;
    use crate::recipe::store::Reach;
    use crate::session::Typed;
    use serde_json::json;

    const RECIPE: &str = "import \"wood\" as wood;\nlet rows = param(\"rows\", 3, #{ from: 1, to: 9 });\n\
        let sheet = wood::sheet();\nlet tile = bar(sheet.rip(sheet.thickness)).slice(\"square\");\n\
        panel(\"Lid\", squares(tile)).finished(48, rows * 12).fill(tile);\n";
    const WOOD: &str = "fn sheet() { plywood(5, 12, \"birch\") }\n";

    fn session(recipe: &str) -> Session<MemoryStore> {
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
    fn ask(session: &mut Session<MemoryStore>, ask: serde_json::Value) -> serde_json::Value {
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
        let turned = ask(
            &mut it,
            json!({ "ask": "turn", "turn": { "set": { "rows": "2" } } }),
        );
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
        assert!(
            plan.as_array().is_some_and(|parts| parts.len() > 1),
            "{plan}"
        );
        let pick = ask(
            &mut it,
            json!({ "ask": "keep", "picture": picture, "name": "low" }),
        );
        assert_eq!(pick[0][0], "low.pick");
        let text = pick[0][1].as_str().expect("text");
        assert!(
            text.contains("recipe = \"lid.rhai\"") && text.contains("rows = 2"),
            "{text}"
        );
        let new = ask(&mut it, json!({ "ask": "defaults", "picture": picture }));
        assert!(
            new[0][1]
                .as_str()
                .expect("text")
                .contains("param(\"rows\", 2,")
        );
        let pack = ask(&mut it, json!({ "ask": "pack", "picture": picture }))[0][1].clone();
        let files = ask(&mut it, json!({ "ask": "unpack", "text": pack }));
        let names: Vec<_> = files
            .as_array()
            .expect("a list")
            .iter()
            .map(|f| &f[0])
            .collect();
        assert_eq!(names, ["lid.rhai", "wood.rhai", "lid.pick"]);
        assert_eq!(files[1][1], WOOD);
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
