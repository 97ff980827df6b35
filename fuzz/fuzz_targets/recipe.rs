//! Recipes: a third of them raw text, the others by grammar. Those that make panels are drawn, counted
//! back and packed as well.
#![no_main]

use arbitrary::Unstructured;
use libfuzzer_sys::fuzz_target;
use plyloom::draw::{PanelOptions, PreviewOptions, panel_svg, preview_svg};
use plyloom::plan::{Shop, count_back};

fuzz_target!(|bytes: &[u8]| {
    let text = if bytes.first().is_some_and(|first| first % 3 == 0) {
        String::from_utf8_lossy(&bytes[1..]).into_owned()
    } else {
        match plyloom_fuzz::grammar::recipe(&mut Unstructured::new(bytes)) {
            Ok(text) => text,
            Err(_) => return,
        }
    };
    let Ok(outcome) = plyloom_fuzz::run(&text, &[]) else { return };
    let panels: Vec<_> = outcome.panels.iter().collect();
    for panel in &panels {
        let svg = preview_svg(panel, &PreviewOptions::default());
        assert!(!svg.contains("NaN") && !svg.contains("inf\""), "{text}");
        let _ = panel_svg(panel, &PanelOptions::default());
    }
    if !panels.is_empty() {
        let _ = count_back(&panels, &Shop::common());
    }
});
