//! The plan of every demo, carried out.

use std::{collections::BTreeMap, path::Path, sync::Arc};

use plyloom::files::{DiskHost, read_recipe};
use plyloom::layout::panel::Panel;
use plyloom::plan::{Shop, loaf::methods::loaves_of, shop::sliced::Sliced};
use plyloom::recipe::{evaluate, settings::Settings};

use crate::carried_out::carried_out;
use crate::saw::Allowed;

/// What the common shop's saw and owner allow.
const COMMON: Allowed = Allowed {
    tilt: 45.0,
    foot: 12.0,
    length: 300.0,
    board: 50.0,
};

/// From how many kinds of loaves a demo is counted back in the short run of every day: more take seconds in a
/// program that is not optimised. The long one (`PLYLOOM_SHOP_CASES`) has them all.
const MOST_LOAVES: usize = 3;

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
    let long = std::env::var_os("PLYLOOM_SHOP_CASES").is_some();
    let most = if long { usize::MAX } else { MOST_LOAVES };
    let mut faults = Vec::new();
    let mut by_way: BTreeMap<String, u32> = BTreeMap::new();
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
        for way in [Sliced::Tiles, Sliced::Loaf(None), Sliced::Courses] {
            let mut shop = Shop::common();
            shop.slicing.way = way;
            match loaves_of(&panels, &shop) {
                Ok(loaves) if loaves.len() <= most => (),
                _ => continue,
            }
            by_way
                .entry(way.to_string())
                .and_modify(|n| *n += 1)
                .or_insert(1);
            match carried_out(&panels, &shop) {
                Err(fault) => faults.push(format!("{name} by {way}: {fault}")),
                Ok(made) => {
                    let bad = made.unsafe_for(COMMON);
                    faults.extend(bad.map(|what| format!("{name} by {way}: {what}")));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(by_way["tiles"] >= 24 && by_way.len() > 1, "{by_way:?}");
}
