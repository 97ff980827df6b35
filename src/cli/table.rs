//! Tables: a head, a line below it, cells side by side.

use comfy_table::{Cell, CellAlignment, LineStyle, Table, presets};

/// A table without cells; the line below its head is drawn, or made of hyphens.
pub(super) fn ruled_table(drawn_lines: bool) -> Table {
    let rule = if drawn_lines { '\u{2500}' } else { '-' };
    let mut table = Table::new();
    table.load_style(presets::NOTHING.header_separator(LineStyle::new(' ', rule, rule, ' ')));
    table
}

/// A cell at the right end of its column, as numbers are.
pub(super) fn number(value: impl ToString) -> Cell {
    Cell::new(value).set_alignment(CellAlignment::Right)
}
