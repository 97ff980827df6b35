//! The table of `benches/RESULTS.md`: each piece of work beside its floor or peer, measured in turn.
//!
//! `cargo bench --bench table` prints it as Markdown; words after `--` choose rows by name, such as
//! `cargo bench --bench table -- flat memory`. What it is not: a test. Nothing fails on a slow machine.

mod bare;
mod brute;
mod count_rows;
mod fill_rows;
mod machine;
mod pair;
mod plan_rows;
mod process_rows;
mod program;
mod python_rows;
mod rack_rows;
mod recipes;
mod row;
mod sheet_rows;
mod shop;

use std::io::{self, Write as _};

use row::Row;

/// A group of rows: what it is called, and what measures it.
type Group = (&'static str, fn() -> Vec<Row>);

const GROUPS: [Group; 19] = [
    ("rule", fill_rows::by_a_rule),
    ("bulk", fill_rows::in_bulk),
    ("flat", fill_rows::flat),
    ("growth", fill_rows::growth),
    ("outline", fill_rows::outlined),
    ("cold", process_rows::cold_start),
    ("watch", process_rows::watch),
    ("memory", process_rows::memory),
    ("sheet", sheet_rows::thumbnails),
    ("card", sheet_rows::card),
    ("everything", sheet_rows::everything),
    ("pixels", sheet_rows::pixels),
    ("sweep", process_rows::sweep),
    ("python", python_rows::python),
    ("count", count_rows::counting),
    ("list", count_rows::listing),
    ("plan", plan_rows::scraps),
    ("rack", rack_rows::largest),
    ("rack", rack_rows::recipes),
];

fn main() -> io::Result<()> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    // `cargo test --benches` starts this program too, without the word that `cargo bench` adds.
    if !words.iter().any(|word| word == "--bench") {
        return Ok(());
    }
    let chosen = |name: &str| {
        let mut wanted = words
            .iter()
            .filter(|word| !word.starts_with('-'))
            .peekable();
        wanted.peek().is_none() || wanted.any(|word| word == name)
    };
    let mut out = io::stdout();
    writeln!(out, "{}", machine::described())?;
    writeln!(out, "{}", row::HEAD)?;
    for (name, measure) in GROUPS {
        if chosen(name) {
            // A group that fails takes none of the others with it.
            match std::panic::catch_unwind(measure) {
                Ok(rows) => {
                    for row in rows {
                        writeln!(out, "{row}")?;
                    }
                }
                Err(_) => writeln!(
                    out,
                    "| {name}: failed, as told above | | | | | | not measured |"
                )?,
            }
            out.flush()?;
        }
    }
    Ok(())
}
