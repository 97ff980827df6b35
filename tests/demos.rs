//! The demos draw what is committed with them, byte for byte, and stand on the index page that is
//! committed; `PLYLOOM_BLESS=1` makes pictures and page anew.

mod common;

use std::{
    path::{Path, PathBuf},
    process::Command,
    sync::Arc,
};

use common::Bench;
use common::kept::{agree, files};
use plyloom::draw::saw_setup::saw_setup;
use plyloom::draw::{Ground, PanelOptions, SMALL, Thumbnails, bitmap, panel_svg};
use plyloom::files::{DiskHost, read_recipe};
use plyloom::layout::panel::{Panel, PlacedFace};
use plyloom::plan::{Plan, Shop, saw::Job};
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::parameter::{Domain, Parameter, Value};
use plyloom::recipe::source::Source;
use plyloom::recipe::{Failure, evaluate, outcome::Outcome, settings::Settings};
use proptest::prelude::{Strategy, prop_oneof};
use proptest::sample::select;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::TestRunner;
use rayon::iter::{IntoParallelRefIterator as _, ParallelIterator as _};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-patterns")
}

fn made(name: &str) -> Outcome {
    made_with(name, &[]).unwrap_or_else(|failure| panic!("{name}: {failure}"))
}

/// A demo with its parameters set to some values.
fn made_with(name: &str, values: &[(String, Value)]) -> Result<Outcome, Failure> {
    let path = folder().join(name);
    let source = read_recipe(&path).0.expect("a recipe");
    let host = DiskHost::new(&path, |_| {});
    let settings = Settings {
        values: values.to_vec(),
        ..Settings::default()
    };
    evaluate(&source, &settings, Arc::new(host))
}

/// The ends of a parameter's range: all choices, and two colours that lie far apart.
fn ends(name: &str, parameter: &Parameter) -> Vec<Value> {
    let bounded = |what: &str| -> ! { panic!("{name}: `{}` {what}", parameter.name) };
    match &parameter.domain {
        Domain::YesNo => vec![Value::YesNo(false), Value::YesNo(true)],
        Domain::Whole {
            least: Some(least),
            most: Some(most),
        } => vec![Value::Whole(*least), Value::Whole(*most)],
        Domain::Number {
            least: Some(least),
            most: Some(most),
            ..
        } => vec![Value::Number(*least), Value::Number(*most)],
        Domain::Choice { choices } => choices.iter().cloned().map(Value::Text).collect(),
        Domain::Colour => ["soot", "maple"].map(|c| Value::Text(c.to_owned())).into(),
        Domain::Whole { .. } | Domain::Number { .. } => bounded("has no `from` or no `to`"),
        Domain::Text => bounded("takes any text: what are its extremes?"),
    }
}

/// All combinations of the ends of some ranges, first with all colours dark, then with all light: what
/// else is made does not hang on them.
fn corners(name: &str, parameters: &[Parameter]) -> Vec<Vec<(String, Value)>> {
    let is_colour = |p: &&Parameter| p.domain == Domain::Colour;
    let colours: Vec<_> = parameters.iter().filter(is_colour).collect();
    let all = |end: usize| -> Vec<(String, Value)> {
        let value = |p: &&Parameter| (p.name.clone(), ends(name, p)[end].clone());
        colours.iter().map(value).collect()
    };
    let mut corners = vec![all(0)];
    if !colours.is_empty() {
        corners.push(all(1));
    }
    for parameter in parameters.iter().filter(|p| !is_colour(p)) {
        let ends = ends(name, parameter);
        corners = corners
            .into_iter()
            .flat_map(|corner: Vec<(String, Value)>| {
                ends.iter().map(move |end| {
                    let mut corner = corner.clone();
                    corner.push((parameter.name.clone(), end.clone()));
                    corner
                })
            })
            .collect();
    }
    corners
}

#[test]
fn pictures_and_index_page_are_current() {
    let drawn = tempfile::tempdir().expect("a folder for the drawings");
    let run = Command::new(env!("CARGO_BIN_EXE_plyloom"))
        .args(["gallery", "--title", "Patterns to start from", "--out"])
        .arg(drawn.path())
        .arg(folder())
        .output()
        .expect("the program runs");
    assert!(
        run.status.success(),
        "{}",
        String::from_utf8_lossy(&run.stderr)
    );
    for (place, ending) in [("pictures", "svg"), ("", "html")] {
        let (new, kept) = (drawn.path().join(place), folder().join(place));
        agree(&files(&new, ending), &kept, ending);
    }
}

#[test]
fn every_demo_is_short_and_says_what_it_is_and_what_to_try() {
    let recipes = files(&folder(), "rhai");
    assert!(recipes.len() >= 40, "{} demos", recipes.len());
    for (name, bytes) in recipes {
        let text = String::from_utf8(bytes).expect("a text");
        let code = text
            .lines()
            .filter(|line| !line.trim().is_empty() && !line.trim_start().starts_with("//"))
            .count();
        assert!(code <= 25, "{name} has {code} lines of code");
        let about = made(&name).about;
        assert!(about.title.is_some(), "{name} has no title");
        assert!(about.purpose.is_some(), "{name} has no purpose");
        assert!(!about.try_next.is_empty(), "{name} has nothing to try next");
    }
}

#[test]
fn every_demo_has_two_to_five_parameters_that_say_what_they_do() {
    for name in files(&folder(), "rhai").into_keys() {
        let parameters = made(&name).parameters;
        assert!((2..=5).contains(&parameters.len()), "{name}");
        for parameter in parameters {
            assert!(!parameter.help.is_empty(), "{name}: {}", parameter.name);
        }
    }
}

/// What a demo suggests to set can be set, to a value that it takes.
#[test]
fn every_demo_takes_what_it_suggests_to_set() {
    let mut tried = 0;
    for (name, bytes) in files(&folder(), "rhai") {
        let bench = Bench::new().file(&name, bytes);
        for suggested in made(&name).about.try_next {
            if !suggested.starts_with("--") || suggested.contains("...") {
                continue;
            }
            for run in suggested.split(", then ") {
                let run = run.split(" for ").next().expect("a first part");
                let run = run.split(": ").next().expect("a first part");
                let run = run.split(" turns ").next().expect("a first part");
                let quoted: Vec<&str> = run.split('"').collect();
                let mut words = vec!["preview".to_owned(), name.clone()];
                match quoted.as_slice() {
                    [plain] => words.extend(plain.split(' ').map(ToOwned::to_owned)),
                    [before, text, ""] => {
                        let (flag, set) = before.split_once(' ').expect("a flag and a name");
                        words.extend([flag.to_owned(), format!("{set}{text}")]);
                    }
                    _ => panic!("{name}: `{suggested}`"),
                }
                let words: Vec<&str> = words.iter().map(String::as_str).collect();
                bench.run(&words).ended(0);
                tried += 1;
            }
        }
    }
    assert!(tried >= 60, "{tried} suggestions");
}

/// Every combination of the ends of all ranges makes panels of tiles that can be held, and a plan for a
/// common shop.
#[test]
fn every_demo_works_at_its_extremes() {
    let shop = Shop::common();
    let names: Vec<String> = files(&folder(), "rhai").into_keys().collect();
    let faults_of = |name: &String| {
        let mut faults = Vec::new();
        let parameters = made(name).parameters;
        for corner in corners(name, &parameters) {
            let outcome = match made_with(name, &corner) {
                Ok(outcome) => outcome,
                Err(failure) => {
                    faults.push(format!("{name} with {corner:?}: {failure}"));
                    continue;
                }
            };
            let panels: Vec<&Panel> = outcome.panels.iter().collect();
            let faces = panels.iter().flat_map(|panel| &panel.faces);
            let least = faces.map(narrowest).fold(f64::INFINITY, f64::min);
            if panels.is_empty() || least < 15.0 {
                faults.push(format!("{name} with {corner:?}: a tile of {least} mm"));
            }
            // Colours and choices change no cut: the first of each is enough.
            let first = |(set, value): &(String, Value)| {
                let parameter = parameters.iter().find(|p| p.name == *set);
                !matches!(value, Value::Text(_))
                    || parameter.is_some_and(|p| ends(name, p)[0] == *value)
            };
            if corner.iter().all(first)
                && let Err(no) = Plan::of(&panels, &shop)
            {
                faults.push(format!("{name} with {corner:?}: {no}"));
            }
        }
        faults
    };
    let faults: Vec<String> = names.par_iter().flat_map_iter(faults_of).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// The shorter side of a tile's bounds, in mm.
fn narrowest(face: &PlacedFace) -> f64 {
    let bounds = face.face.outline().bounds();
    bounds.width().min(bounds.height())
}

/// Common practice: a slice narrower than 15 mm is hard to hold and to glue; veneers are 0.5 mm and
/// more.
#[test]
fn every_demo_could_be_made() {
    for name in files(&folder(), "rhai").into_keys() {
        for panel in made(&name).panels {
            for face in &panel.faces {
                let least = narrowest(face);
                assert!(least >= 15.0, "{name}: a tile of {least:.1} mm");
                for strip in face.kind.bar().parts() {
                    for layer in strip.strip.sheet().layers() {
                        assert!(
                            layer.thickness >= 0.5,
                            "{name}: a layer of {} mm",
                            layer.thickness
                        );
                    }
                }
            }
        }
    }
}

/// Every set-up of every demo on a common saw, judged by its polygons alone: what lies between blade and
/// fence stands on 12 mm or more (common practice) with its middle over that foot, is no waste, and
/// the blade tilts by no more than 45 degrees; what is told is what is drawn.
#[test]
fn every_demo_is_safe_as_drawn() {
    let shop = Shop::common();
    for name in files(&folder(), "rhai").into_keys() {
        let outcome = made(&name);
        let panels: Vec<&Panel> = outcome.panels.iter().collect();
        let plan = Plan::of(&panels, &shop).unwrap_or_else(|no| panic!("{name}: {no}"));
        assert!(!plan.set_ups().is_empty());
        for (_, cut) in plan.set_ups() {
            if matches!(cut.job, Job::Slices { .. }) {
                continue;
            }
            let said = format!("{name}: {cut:?}");
            let corners = cut.at_fence.corners();
            let feet = corners.iter().filter(|p| p.y.abs() < 1e-6).map(|p| p.x);
            let from = feet.clone().fold(f64::INFINITY, f64::min);
            let to = feet.fold(f64::NEG_INFINITY, f64::max);
            assert!(to - from >= 12.0, "foot {}: {said}", to - from);
            let heavy = cut.at_fence.centroid().x;
            assert!(from < heavy && heavy < to, "{said}");
            assert!(cut.blade_tilt() <= 45.0, "{said}");
            // The cut face leans away from the fence by the tilt.
            let high = corners
                .iter()
                .filter(|p| (p.y + cut.height).abs() < 1e-6)
                .map(|p| p.x)
                .fold(f64::NEG_INFINITY, f64::max);
            let leans = cut.height * libm::tan(cut.tilt * std::f64::consts::PI / 180.0);
            assert!((high - to - leans).abs() < 1e-6, "{said}");
            let drawn = saw_setup(cut, &shop.saw_limits(), &|mm| format!("{mm:.2}"));
            if let Some(mm) = cut.distance() {
                assert!(drawn.contains(&format!("{mm:.2}")), "{said}");
            }
            assert!(!drawn.contains("NOT SAFE") && !drawn.contains("BEYOND"));
        }
    }
}

/// What cards show of some demos with thin layers and slanted tiles, and of one that is cut into pieces, is what the renderer shows many times as large,
/// brought down to their size.
#[test]
fn cards_show_what_the_renderer_shows() {
    for name in ["chevron.rhai", "tumbling-blocks.rhai", "coasters.rhai"] {
        agrees_with_the_renderer(name, made(name));
    }
}

/// As [`cards_show_what_the_renderer_shows`], for every demo.
///
///     cargo test --test demos -- --ignored --nocapture every_card
#[test]
#[ignore = "takes minutes"]
fn every_card_shows_what_the_renderer_shows() {
    for name in files(&folder(), "rhai").into_keys() {
        agrees_with_the_renderer(&name, made(&name));
    }
}

/// The same of panels that chance chooses: plies, veneers, shape, size, turns and trim.
///
///     PLYLOOM_CARDS=300 cargo test --test demos -- --ignored --nocapture cards_of_random
#[test]
#[ignore = "as many as PLYLOOM_CARDS, a few seconds each"]
fn cards_of_random_panels_show_what_the_renderer_shows() {
    let count = std::env::var("PLYLOOM_CARDS").map_or(20, |n| n.parse().expect("a number"));
    let mut runner = TestRunner::deterministic();
    for _ in 0..count {
        let text = random_recipe()
            .new_tree(&mut runner)
            .expect("one")
            .current();
        let source = Arc::new(Source::new("random.rhai", text.clone()));
        let outcome = evaluate(&source, &Settings::default(), Arc::new(MemoryHost::new()));
        let outcome = outcome.unwrap_or_else(|failure| panic!("{failure}\n{text}"));
        agrees_with_the_renderer(&text, outcome);
    }
}

/// Recipes of random panels.
fn random_recipe() -> impl Strategy<Value = String> {
    let colour = || select(vec!["walnut", "teal", "soot", "firebrick", "navy", "birch"]);
    let board = select(vec!["5, 9", "9, 12", "13, 17.7"]);
    let tiles = select(vec![
        ("bar(sheet.square())", "squares"),
        ("bar(sheet.triangle(60))", "triangles"),
        ("bar(sheet.rhombus(60))", "rhombi"),
        ("hexagon([r, r, r.end_for_end()])", "hexagons"),
    ]);
    let size = prop_oneof![
        (2..24, 2..24).prop_map(|(columns, courses)| format!("size({columns}, {courses})")),
        (40..400).prop_map(|across| format!("finished_round({across})")),
    ];
    let layers = (board, [colour(), colour(), colour()], 4..15_i32);
    (layers, tiles, size, 0..1000).prop_map(|((board, colours, veneer), (tile, cells), size, seed)| {
        let [wood, above, below] = colours;
        let mm = f64::from(veneer) / 10.0;
        format!(
            "seed({seed});
             let sheet = laminate([veneer({mm:?}, \"{above}\"), plywood({board}, \"{wood}\"), veneer({mm:?}, \"{below}\")]);
             let r = sheet.rhombus(60);
             let tile = {tile}.slice(\"tile\");
             panel(\"p\", {cells}(tile)).{size}.fill(random(\"turns\", tile.looks()));"
        )
    })
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "pixels of a card"
)]
fn agrees_with_the_renderer(name: &str, made: Outcome) {
    // Where two layers meet in a pixel the renderer lets a little of what lies below them through: less, the larger.
    const FINER: u32 = 12;
    for panel in made.panels {
        // The longer side of a card is that long.
        let share = (panel.bounds.width() / panel.bounds.height()).min(1.0);
        let wide = (f64::from(SMALL) * share).round() as u32;
        let card = Thumbnails::new().of(&panel, wide, Ground::Paper);
        let card = card.expect("a card");
        let svg = panel_svg(&panel, &PanelOptions::default());
        let large = bitmap(&svg, FINER * wide, Ground::None).expect("a picture");
        // A last row that is not full is left out.
        let rows = card.height.min(large.height / FINER);
        // The mean of each pixel on paper, and whether wood covers all of it.
        let theirs: Vec<([u32; 3], bool)> = (0..wide * rows)
            .map(|i| {
                let (mut sums, mut covered) = ([0; 3], 0);
                for k in 0..FINER * FINER {
                    let (x, y) = (
                        FINER * (i % wide) + k % FINER,
                        FINER * (i / wide) + k / FINER,
                    );
                    let pixel = &large.rgba[4 * (y * large.width + x) as usize..][..4];
                    let cover = u32::from(pixel[3]);
                    for (sum, &c) in sums.iter_mut().zip(pixel) {
                        *sum += u32::from(c) * cover + 255 * (255 - cover);
                    }
                    covered += cover;
                }
                let all = 255 * FINER * FINER;
                (sums.map(|sum| (sum + all / 2) / all), covered == all)
            })
            .collect();
        // Of pixels that have wood all around them, and of those at a rim.
        let (mut apart, mut inside, mut at_rim) = (0, 0, 0);
        for (i, pixel) in (0..(wide * rows) as usize).zip(card.rgba.chunks(4)) {
            let wide = wide as usize;
            let near = [
                Some(i),
                i.checked_sub(1),
                i.checked_sub(wide),
                Some(i + 1),
                Some(i + wide),
            ];
            let covered = |at: Option<usize>| at.and_then(|at| theirs.get(at)).is_some_and(|p| p.1);
            let most = if near.into_iter().all(covered) {
                &mut inside
            } else {
                &mut at_rim
            };
            for (ours, theirs) in pixel.iter().zip(theirs[i].0) {
                let off = u32::from(*ours).abs_diff(theirs);
                apart += off;
                *most = off.max(*most);
            }
        }
        let apart = f64::from(apart) / f64::from(3 * wide * rows);
        // A tile much larger than a hundred pixels across is stamped from paint hardly finer than the card; at the rim
        // the renderer itself tells quarters of a pixel apart.
        assert!(
            apart < 1.2 && inside <= 40 && at_rim <= 72,
            "{name}: {apart}, {inside}, {at_rim}"
        );
    }
}
