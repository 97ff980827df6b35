//! Gluing up, and what thickness is left.

use super::section::{Entry, Section};
use crate::{
    geom::length::INCH,
    layout::panel::Panel,
    plan::{
        Shop, Units,
        glue_up::{GlueUp, flattened, words::before_lines},
    },
};

/// How much thinner one side may have come out in the examples, in mm.
const THINNER: [f64; 3] = [0.3, 0.6, 1.0];

/// The same where inches are printed: 1/64, 1/32 and 1/16 in.
const THINNER_INCH: [f64; 3] = [INCH / 64.0, INCH / 32.0, INCH / 16.0];

/// How one panel is glued up.
pub fn gluing(panel: &Panel, glue_up: &GlueUp, shop: &Shop) -> Section {
    let mut section = Section::new(format!("Gluing up: {}", panel.name));
    let terms = shop.glue_terms();
    for line in before_lines(glue_up, terms, shop.units) {
        section.add(line);
    }
    section
}

/// What thickness is left, also when one side came out thinner: by `thinner` mm where that is known,
/// else by some examples.
pub fn after_gluing(shop: &Shop, thinner: Option<f64>) -> Section {
    let mut section = Section::new("Thickness after flattening");
    let (slice, sanding) = (shop.slicing.thickness, shop.slicing.sanding);
    let units = shop.units;
    section.add(
        Entry::from(units.fine(shop.finished_thickness())).sum(format!(
            " = {} slice - {} for flattening, both faces together",
            units.term(slice),
            units.term(sanding)
        )),
    );
    if let Some(thinner) = thinner {
        section.add(match flattened(slice, thinner, sanding) {
            Some(left) => Entry::from(format!(
                "One side came out {} thinner: both faces come down to it, which leaves {}",
                units.fine(thinner),
                units.fine(left)
            ))
            .sum(format!(
                " = {} slice - {} thinner - {} for flattening",
                units.term(slice),
                units.term(thinner),
                units.term(sanding)
            )),
            None => Entry::from(format!(
                "One side came out {} thinner: nothing is left when both faces are flat. Glue up \
                 a new panel of thicker slices.",
                units.fine(thinner)
            )),
        });
        return section;
    }
    let thinner = match units {
        Units::Metric => THINNER,
        Units::Inch => THINNER_INCH,
    };
    let examples: Vec<String> = thinner
        .iter()
        .map(|&thinner| match flattened(slice, thinner, sanding) {
            Some(left) => format!(
                "{} thinner leaves {}",
                units.fine(thinner),
                units.fine(left)
            ),
            None => format!("{} thinner leaves nothing", units.fine(thinner)),
        })
        .collect();
    section.add(format!(
        "Where one side of the panel came out thinner by t, both faces come down to it and t comes \
         off too: {}.",
        examples.join("; ")
    ));
    section
}
