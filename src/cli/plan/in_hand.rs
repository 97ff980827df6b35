//! The largest panel from tiles in hand, in words.

use crate::plan::parts::{Filled, Seam};
use crate::session::visible::on_one_line;

/// Reads a shape, width to height: `3:2`, `1:1`, `1.5`.
pub(super) fn shape(text: &str) -> Result<f64, String> {
    let (width, height) = text.split_once(':').unwrap_or((text, "1"));
    let side = |text: &str| text.trim().parse::<f64>().ok().filter(|n| *n > 0.0);
    side(width)
        .zip(side(height))
        .map(|(width, height)| width / height)
        .filter(|ratio| (0.001..=1000.0).contains(ratio))
        .ok_or_else(|| "write the ratio of the panel's width to its height: 3:2".to_owned())
}

/// The answers for the panels of a recipe, each line ended.
pub(super) fn text(answers: &[(&str, Option<Filled>)]) -> String {
    let mut text = String::new();
    for (panel, filled) in answers {
        if !text.is_empty() {
            text.push('\n');
        }
        let lines = match filled {
            Some(filled) => lines(panel, filled),
            None => vec![format!("{panel}: these tiles cannot fill such a panel")],
        };
        for line in lines {
            text.push_str(&on_one_line(&line));
            text.push('\n');
        }
    }
    text
}

fn lines(panel: &str, filled: &Filled) -> Vec<String> {
    let [width, height] = filled.size;
    let mut lines = vec![format!(
        "{panel}: the most that these tiles fill is {} columns x {} courses, {} tiles, {width:.0} x \
         {height:.0} mm",
        filled.columns, filled.courses, filled.tiles
    )];
    if !filled.in_turn.is_empty() {
        let each: Vec<String> = filled.in_turn.iter().map(ToString::to_string).collect();
        let (line, from) = if filled.level == Seam::InTurn {
            ("columns", "from the left")
        } else {
            ("courses", "from the top")
        };
        lines.push(format!(
            "  the {line} have, {from}: {} tiles",
            each.join(", ")
        ));
    }
    lines.push(format!(
        "  lay columns {} to {} and courses {} to {} of the recipe's panel",
        filled.from_column,
        filled.from_column + filled.block_columns - 1,
        filled.from_course,
        filled.from_course + filled.block_courses - 1
    ));
    for (seam, beside, middle) in [
        (filled.upright, "to the right of it", "its last column"),
        (filled.level, "below it", "its last course"),
    ] {
        match seam {
            Seam::None => {}
            Seam::Between => lines.push(format!(
                "  {beside} its mirror image: the same tiles turned over"
            )),
            Seam::Through => lines.push(format!(
                "  {beside} the mirror image of all except {middle}, which mirrors itself"
            )),
            Seam::InTurn => lines.push(format!(
                "  {beside} the mirror image: the line runs in turn through the middle of a tile, which is \
                 its own image, and along a joint"
            )),
        }
    }
    for ((name, used), (_, left)) in filled.used.iter().zip(&filled.left) {
        lines.push(format!("  {name}: {used} used, {left} remain"));
    }
    if filled.reaches_rim {
        lines.push(
            "  this is as wide or as high as the recipe's panel: a larger one could take more tiles"
                .to_owned(),
        );
    }
    lines
}
