//! A panel with its colours changed by finish, light and colour vision, to be drawn.

use super::{
    Look,
    light::{finished_colours, lit_colours},
};
use crate::layout::Panel;
use crate::watch;

/// The panel as it looks: the same tiles in the same places, each region in its changed colour.
///
/// The result is for drawing. Count and plan with the panel as it was: two tiles that look the same
/// by their wood may differ in this light.
pub fn relit(panel: &Panel, look: Look) -> Panel {
    let mut panel = panel.clone();
    if look.close().is_plain() {
        return panel;
    }
    for placed in &mut panel.faces {
        watch::ask();
        let mut colours = match look.light {
            Some(light) => lit_colours(placed, &light, look.finish),
            None => finished_colours(placed, look.finish),
        };
        for colour in &mut colours {
            *colour = look.view.colour(*colour);
        }
        placed.face = placed.face.clone().recoloured(&colours);
    }
    panel
}
