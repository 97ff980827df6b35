//! The order in which panels are made: one that is cut to slats comes before the panels that are made of these.

use std::collections::BTreeMap;

use crate::layout::panel::Panel;

/// Panels in the order in which they are made: those that are wanted, and before them those of `all` that their slats
/// are cut from, each as often as its slats are needed. A list that is in that order already is left as it is.
pub fn in_rounds<'a>(wanted: &[&'a Panel], all: &[&'a Panel]) -> Vec<&'a Panel> {
    if !all.iter().any(|panel| is_of_slats(panel)) {
        return wanted.to_vec();
    }
    let mut known: Vec<&Panel> = Vec::new();
    for panel in all {
        if !known.iter().any(|k| k.name == panel.name) {
            known.push(panel);
        }
    }
    // A panel is cut up by those that come after it in the recipe.
    let mut slats: BTreeMap<(&str, usize), u64> = BTreeMap::new();
    let mut copies: Vec<u64> = vec![0; known.len()];
    for (panel, copies) in known.iter().zip(&mut copies).rev() {
        let of_it = slats.iter().filter(|((name, _), _)| *name == panel.name);
        let cut = of_it.map(|(_, count)| *count).max();
        let asked = wanted.iter().any(|w| w.name == panel.name);
        *copies = cut.unwrap_or_default().max(u64::from(asked));
        for tile in &panel.tiles {
            if let Some(slat) = panel.faces[tile.face as usize].kind.slat() {
                *slats.entry((&slat.panel, slat.number)).or_default() += *copies;
            }
        }
    }
    let each = known.iter().zip(copies);
    each.flat_map(|(panel, copies)| (0..copies).map(move |_| *panel))
        .collect()
}

/// Whether a panel is made of slats of another.
pub fn is_of_slats(panel: &Panel) -> bool {
    panel.faces.iter().any(|face| face.kind.slat().is_some())
}
