//! A rack and what was booked on it, in words.

use std::fmt::Write as _;

use comfy_table::Cell;

use crate::cli::table::{number, ruled_table};
use crate::plan::Units;
use crate::rack::{Booking, List, Moved, New, Rack, RackEntry};
use crate::session::visible::on_one_line;

/// The most entries that are listed.
const MOST_ROWS: usize = 1_000;

/// The table of a rack, and what is booked on it.
pub(super) fn list(rack: &Rack) -> String {
    let units = rack.shop().units;
    let entries = rack.entries();
    if entries.is_empty() {
        return "the rack is empty: add pieces with `plyloom rack add`\n".to_owned();
    }
    let mut table = ruled_table(false);
    table.set_header(["what", "name", "how many", "size", "of", "where"]);
    for entry in entries.iter().take(MOST_ROWS) {
        let count = entry.count.map_or("bought".to_owned(), |n| n.to_string());
        let place = entry.place.as_deref().unwrap_or("");
        table.add_row([
            Cell::new(entry.list.word()),
            Cell::new(on_one_line(&entry.name)),
            number(count),
            Cell::new(size(entry, units)),
            Cell::new(on_one_line(&entry.of)),
            Cell::new(on_one_line(place)),
        ]);
    }
    let mut text = table.trim_fmt();
    text.push('\n');
    if entries.len() > MOST_ROWS {
        let _ = writeln!(text, "and {} more entries", entries.len() - MOST_ROWS);
    }
    for booked in &rack.shop().booked {
        if let Some(plan) = &booked.plan {
            let recipe = on_one_line(booked.recipe.as_deref().unwrap_or("a recipe"));
            let _ = writeln!(text, "booked: plan {} of {recipe}", on_one_line(plan));
        }
    }
    text
}

fn size(entry: &RackEntry, units: Units) -> String {
    let mut text = format!("{} x {}", units.fine(entry.width), units.fine(entry.length));
    if let Some(thickness) = entry.thickness {
        let _ = write!(text, " x {}", units.fine(thickness));
    }
    text
}

/// So many pieces of a list.
fn several(count: u64, list: List) -> String {
    match (count, list) {
        (1, List::Veneer) => "1 leaf of veneer".to_owned(),
        (_, List::Veneer) => format!("{count} leaves of veneer"),
        (1, _) => format!("1 {}", list.word()),
        _ => format!("{count} {}s", list.word()),
    }
}

/// What was added.
pub(super) fn added(list: List, new: &New) -> String {
    let name = new.name.as_ref().or(new.colour.as_ref());
    let name = name.map_or(String::new(), |name| format!(" \"{}\"", on_one_line(name)));
    format!(
        "added {}{name}\n",
        several(new.count.unwrap_or(1).into(), list)
    )
}

/// What was booked.
pub(super) fn booked(booking: &Booking, units: Units, former: &str) -> String {
    let plan = booking.plan.as_deref().unwrap_or_default();
    let mut text = format!("booked plan {plan}\n");
    let mut all = |title: &str, moved: &[Moved]| {
        for moved in moved {
            let [width, length] = moved.size.map(|mm| units.fine(mm));
            let _ = writeln!(
                text,
                "  {title} {} \"{}\", {width} x {length}",
                several(moved.count, moved.list),
                on_one_line(&moved.name)
            );
        }
    };
    all("taken:", &booking.gone);
    all("comes in:", &booking.came);
    all("too small to keep:", &booking.small);
    for moved in &booking.aside {
        let _ = writeln!(
            text,
            "  glued of several pieces, so not listed: {} x {}",
            moved.count,
            on_one_line(&moved.name)
        );
    }
    let _ = writeln!(
        text,
        "the rack as it was is kept in {}",
        on_one_line(former)
    );
    text
}
