//! The title and description that a drawing has for programs such as screen readers.

use svg::{
    Node,
    node::element::{Description, Title},
};

use super::{number::rounded, words};
use crate::geom::number::grouped_in_one_line;
use crate::layout::panel::Panel;

/// The title that a page shows: the one that is asked for, else the panel's name, else a plain
/// word.
pub(crate) fn title(panel: &Panel, wanted: Option<&str>) -> String {
    [wanted.unwrap_or_default(), &panel.name]
        .into_iter()
        .map(words::clean)
        .find(|t| !t.is_empty())
        .unwrap_or_else(|| "Panel".to_owned())
}

/// The title of a page that shows more than one panel.
pub(crate) fn title_alone(title: &str) -> String {
    format!("{}\n", Title::new(words::clean(title)))
}

/// The elements that come first in the document.
pub(crate) fn about(panel: &Panel, title: &str) -> String {
    let size = panel.bounds;
    let words = format!(
        "Patterned plywood at true scale: {} by {} mm, {} tiles.",
        rounded(size.width(), 1),
        rounded(size.height(), 1),
        grouped_in_one_line(panel.tiles.len() as u64)
    );
    let mut description = Description::new();
    description.append(svg::node::Text::new(words));
    format!("{}\n{description}\n", Title::new(title))
}
