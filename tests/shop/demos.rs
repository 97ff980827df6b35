//! The plan of every demo, carried out.

use std::{path::Path, sync::Arc};

use plyloom::files::{DiskHost, read_recipe};
use plyloom::layout::panel::Panel;
use plyloom::plan::Shop;
use plyloom::recipe::{evaluate, settings::Settings};

use crate::carried_out::carried_out;
use crate::saw::Allowed;

/// What the common shop's saw and owner allow.
const COMMON: Allowed = Allowed {
    tilt: 45.0,
    foot: 12.0,
    length: 300.0,
};

#[test]
fn every_demo_comes_out_of_the_shop_as_drawn() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-patterns");
    let mut names: Vec<_> = std::fs::read_dir(&folder)
        .expect("the demos")
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "rhai"))
        .collect();
    names.sort();
    assert!(names.len() >= 24);
    let mut faults = Vec::new();
    for path in names {
        let source = read_recipe(&path).0.expect("a recipe");
        let host = DiskHost::new(&path, |_| {});
        let outcome = evaluate(&source, &Settings::default(), Arc::new(host)).expect("a panel");
        let panels: Vec<&Panel> = outcome.panels.iter().collect();
        let name = path
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        match carried_out(&panels, &Shop::common()) {
            Err(fault) => faults.push(format!("{name}: {fault}")),
            Ok(made) => {
                let bad = made.passes.iter().filter_map(|p| p.unsafe_for(COMMON));
                faults.extend(bad.map(|what| format!("{name}: {what}")));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
