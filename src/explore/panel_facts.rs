//! What is kept of one panel of a variation: size, joints and tally.

use super::index::{PanelFacts, TallyRow};
use crate::geom::number::millionth;
use crate::layout::panel::Panel;
use crate::layout::tally::Tally;

/// The facts of a panel, with its tally, whose picture is in the file `picture` with that digest.
pub fn facts(panel: &Panel, tally: &Tally, picture: String, picture_sha256: String) -> PanelFacts {
    PanelFacts {
        name: panel.name.clone(),
        picture,
        picture_sha256,
        width_mm: millionth(tally.width),
        height_mm: millionth(tally.height),
        net_area_mm2: millionth(tally.net_area),
        joints: tally.joints.all,
        joints_matched: tally.joints.matched,
        whole: tally.whole,
        trimmed: tally.trimmed,
        tally: tally
            .rows
            .iter()
            .map(|row| TallyRow {
                kind: row.kind.clone(),
                turn: millionth(row.pose.turn),
                flip: row.pose.flip,
                whole: row.whole,
                trimmed: row.trimmed,
            })
            .collect(),
    }
}
