//! The core without a system: from a recipe's text to drawings, a plan and a pack by what the library
//! has without its feature `program`, through a host in memory.
//!
//! Only the core and the standard library may be used here, so that
//! `cargo test --no-default-features --test core` builds it too.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::fs;
use std::path::Path;
use std::sync::Arc;

use plyloom::bundle::Bundle;
use plyloom::check::{Effort, Level, check};
use plyloom::draw::template::{TemplateOptions, template_pdf};
use plyloom::draw::{Ground, PanelOptions, bitmap, panel_svg};
use plyloom::plan::{Plan, Shop, report};
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::{Outcome, evaluate, host::Host, settings::Settings, source::Source};

fn demos() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-patterns")
}

fn made(name: &str, text: String, host: &Arc<dyn Host>) -> Outcome {
    let source = Arc::new(Source::new(format!("{name}.rhai"), text));
    evaluate(&source, &Settings::default(), Arc::clone(host))
        .unwrap_or_else(|failure| panic!("{name}: {failure}"))
}

fn demo(name: &str) -> Outcome {
    let text = fs::read_to_string(demos().join(format!("{name}.rhai"))).unwrap();
    made(name, text, &(Arc::new(MemoryHost::new()) as _))
}

#[test]
fn every_demo_is_drawn_from_memory_to_the_picture_that_is_kept() {
    let mut drawn = 0;
    for entry in fs::read_dir(demos()).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|e| e != "rhai") {
            continue;
        }
        let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let outcome = demo(&name);
        for panel in &outcome.panels {
            let file = match outcome.panels.len() {
                1 => format!("{name}.svg"),
                _ => format!("{name}-{}.svg", panel.name.to_lowercase().replace(' ', "-")),
            };
            let kept = fs::read_to_string(demos().join("pictures").join(&file)).unwrap();
            let now = panel_svg(panel, &PanelOptions::default());
            assert!(now == kept, "{file} is drawn otherwise");
            drawn += 1;
        }
    }
    assert!(drawn >= 24, "{drawn} pictures");
}

#[test]
fn a_panel_is_planned_packed_and_set_in_type_without_a_system() {
    let outcome = demo("tumbling-blocks");
    let panels: Vec<_> = outcome.panels.iter().collect();
    let plan = Plan::of(&panels, &Shop::common()).unwrap();
    let units = Shop::common().units;
    assert!(!report::tiles(&plan.count, units).entries.is_empty());
    let template = template_pdf(panels[0], &TemplateOptions::default()).unwrap();
    assert!(template.pdf.starts_with(b"%PDF-"));
    let svg = panel_svg(panels[0], &PanelOptions::default());
    assert!(bitmap(&svg, 300, Ground::Paper).is_ok());
    let host = MemoryHost::new();
    let bundle = Bundle::of("blocks", &outcome, &Settings::default(), &host);
    let read = Bundle::read(&bundle.text().unwrap()).unwrap();
    assert!(read.bundle.is_same(&bundle));
}

#[test]
fn rule_modules_come_through_the_host_and_printed_lines_go_there() {
    let host = Arc::new(MemoryHost::new().with("mine", "fn twice(n) { n * 2 }"));
    let text = "import \"mine\" as m; print(m::twice(21));";
    made("printing", text.to_owned(), &(Arc::clone(&host) as _));
    assert_eq!(host.lines(), ["42"]);
}

#[test]
fn a_recipe_is_checked_without_a_system() {
    let text = fs::read_to_string(demos().join("drift.rhai")).unwrap();
    let source = Arc::new(Source::new("drift.rhai", text));
    let effort = Effort {
        samples: 2,
        ..Effort::default()
    };
    let checked = check(&Settings::default(), effort, &mut |settings| {
        evaluate(&source, settings, Arc::new(MemoryHost::new()))
    });
    assert!(checked.worst().is_none_or(|worst| worst < Level::Error));
    assert!(checked.runs > 2, "{} runs", checked.runs);
}
