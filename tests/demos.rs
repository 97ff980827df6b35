//! The demos draw what is committed with them, byte for byte, and stand on the index page that is
//! committed; `PLYLOOM_BLESS=1` makes pictures and page anew.

mod common;

use std::{
    path::{Path, PathBuf},
    process::Command,
    sync::Arc,
};

use common::kept::{agree, files};
use plyloom::draw::saw_setup::saw_setup;
use plyloom::files::{DiskHost, read_recipe};
use plyloom::layout::panel::Panel;
use plyloom::plan::{Plan, Shop, saw::Job};
use plyloom::recipe::{evaluate, outcome::Outcome, settings::Settings};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-patterns")
}

fn made(name: &str) -> Outcome {
    let path = folder().join(name);
    let source = read_recipe(&path).0.expect("a recipe");
    let host = DiskHost::new(&path, |_| {});
    evaluate(&source, &Settings::default(), Arc::new(host))
        .unwrap_or_else(|failure| panic!("{name}: {failure}"))
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
    assert!(recipes.len() >= 24, "{} demos", recipes.len());
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

/// Common practice: a slice narrower than 15 mm is hard to hold and to glue; veneers are 0.5 mm and
/// more.
#[test]
fn every_demo_could_be_made() {
    for name in files(&folder(), "rhai").into_keys() {
        for panel in made(&name).panels {
            for face in &panel.faces {
                let bounds = face.face.outline().bounds();
                let least = bounds.width().min(bounds.height());
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
        assert!(!plan.cuts.is_empty());
        for cut in &plan.cuts {
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
