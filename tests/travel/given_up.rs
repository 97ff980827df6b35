//! What is worked out of a panel asks the watch of its thread, and is given up where an alarm was raised.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::num::NonZeroUsize;
use std::sync::Arc;

use plyloom::appearance::legibility::Seeing;
use plyloom::appearance::object::Shape;
use plyloom::appearance::window::best;
use plyloom::draw::template::{TemplateOptions, template_pdf};
use plyloom::draw::{
    Form, Ground, PanelOptions, PreviewOptions, Thumbnails, panel_svg, plain_svg, preview_document,
};
use plyloom::explore::counting::different;
use plyloom::explore::known_faces::KnownFaces;
use plyloom::explore::measured::{Measured, measures};
use plyloom::explore::measures::echoes;
use plyloom::explore::moves::Same;
use plyloom::explore::repeat::{Poses, Repeat};
use plyloom::layout::panel::Panel;
use plyloom::layout::tally::Tally;
use plyloom::layout::tile_joints::tile_joints;
use plyloom::plan::{Plan, Shop, count_back};
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;
use plyloom::recipe::{Outcome, evaluate};
use plyloom::watch::{Alarm, Stopped, Watch, within};

const RECIPE: &str = r#"
let sheet = laminate([veneer(0.6, "navy"), plywood(5, 12)]);
let t = bar(sheet.square()).slice("t");
panel("p", squares(t)).size(8, 8).fill(random("r", [t, t.rotate(90)]));
"#;

fn outcome(text: &str, settings: &Settings) -> Result<Outcome, plyloom::recipe::Failure> {
    let source = Arc::new(Source::new("p.rhai", text));
    evaluate(&source, settings, Arc::new(MemoryHost::new()))
}

type Work = fn(&Panel);

/// Whatever can take long.
const WORK: [(&str, Work); 11] = [
    ("flat drawing", |p| {
        let options = PanelOptions {
            form: Form::Flat,
            ..PanelOptions::default()
        };
        drop(panel_svg(p, &options));
    }),
    ("page", |p| {
        drop(preview_document(p, &PreviewOptions::default()).to_text());
    }),
    ("plain drawing", |p| drop(plain_svg(p))),
    ("thumbnail", |p| {
        drop(Thumbnails::new().of(p, 64, Ground::Paper));
    }),
    ("template", |p| {
        drop(template_pdf(p, &TemplateOptions::default()));
    }),
    ("joints", |p| drop(tile_joints(p))),
    ("count", |p| drop(count_back(&[p], &Shop::common()))),
    ("plan", |p| drop(Plan::of(&[p], &Shop::common()))),
    ("echoes", |p| {
        drop(echoes(p, 50.0, &mut KnownFaces::default()));
    }),
    ("arrangements", |p| {
        let repeat = Repeat::of_panel(p, 2, 2, Poses::Turned).unwrap();
        let _ = different(&repeat, Same::TurnsAndMirrors);
    }),
    ("window", |p| {
        let _ = best(p, Shape::Circle(8.0), Seeing::default());
    }),
];

#[test]
fn what_takes_long_asks() {
    let outcome = outcome(RECIPE, &Settings::default()).unwrap();
    let panel = &outcome.panels[0];
    for (name, work) in WORK {
        let watch = Watch::unbounded();
        assert_eq!(within(&watch, || work(panel)), Ok(()), "{name}");
        watch.raise(Alarm::Time);
        let given_up = within(&watch, || work(panel));
        assert_eq!(given_up, Err(Stopped(Alarm::Time)), "{name} asks nobody");
    }
    let watch = Watch::unbounded();
    watch.raise(Alarm::Memory);
    let tallies: Vec<Tally> = outcome.panels.iter().map(Tally::of).collect();
    let measured = Measured {
        panels: &outcome.panels,
        seen: &outcome.panels,
        seeing: Seeing::default(),
        tallies: &tallies,
        plan: None,
    };
    let measured = within(&watch, || measures(&measured, &mut KnownFaces::default()));
    assert_eq!(measured.unwrap_err(), Stopped(Alarm::Memory));
}

/// A word that is at work when the alarm comes ends the run with the message of its bound.
#[test]
fn a_run_ends_with_the_message_of_its_bound() {
    for (alarm, code) in [
        (Alarm::Time, "recipe::too_long"),
        (Alarm::Memory, "recipe::too_much_memory"),
        (Alarm::Recalled, "recipe::recalled"),
    ] {
        let watch = Watch::unbounded();
        watch.raise(alarm);
        let settings = Settings {
            watch: Some(watch),
            threads: NonZeroUsize::MIN,
            ..Settings::default()
        };
        let failure = outcome(RECIPE, &settings).unwrap_err();
        assert_eq!(failure.code, code, "{failure}");
    }
}
