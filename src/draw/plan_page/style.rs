//! How the page looks on a screen and on paper.

use std::fmt::Write as _;

use crate::{
    draw::page::{INK, LINE, SOFT},
    layout::panel::Panel,
};

/// Largest picture of a panel on the page, in mm: beside the words it fits one page of paper.
const PICTURE: (f64, f64) = (150.0, 100.0);

/// The style sheet for a page with these panels.
pub(super) fn style(panels: &[&Panel]) -> String {
    let mut css = format!("\n:root{{--ink:{INK};--soft:{SOFT};--line:{LINE}}}\n");
    css.push_str(include_str!("style.css"));
    for (i, panel) in panels.iter().enumerate() {
        let (width, height) = (panel.bounds.width(), panel.bounds.height());
        let scale = (PICTURE.0 / width).min(PICTURE.1 / height).min(1.0);
        let _ = writeln!(css, ".p{i} svg{{width:{:.1}mm}}", width * scale);
    }
    css
}
