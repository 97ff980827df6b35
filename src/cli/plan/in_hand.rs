//! The largest panel from tiles in hand, in words.

use crate::plan::parts::{Filled, Seam};
use crate::session::visible::on_one_line;

/// The answers for the panels of a recipe, each line ended.
pub(super) fn text(answers: &[(&str, Option<Filled>)]) -> String {
    let mut text = String::new();
    for (panel, filled) in answers {
        if !text.is_empty() {
            text.push('\n');
        }
        let lines = match filled {
            Some(filled) => lines(panel, filled),
            None => vec![format!("{panel}: these tiles fill no such panel")],
        };
        for line in lines {
            text.push_str(&on_one_line(&line));
            text.push('\n');
        }
    }
    text
}

fn lines(panel: &str, filled: &Filled) -> Vec<String> {
    let mut lines = vec![format!(
        "{panel}: the most that these tiles fill is {} columns x {} courses, {} tiles",
        filled.columns, filled.courses, filled.tiles
    )];
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
                "  {beside} the mirror image of all but {middle}, which is its own"
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
