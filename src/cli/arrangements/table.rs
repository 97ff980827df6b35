//! What `plyloom arrangements` found: as a table for the maker and as JSON for other programs.
//!
//! The JSON form is documented in `docs/arrangements-json.md`.

use std::fmt::Write as _;

use comfy_table::Cell;
use num_bigint::BigUint;
use serde::Serialize;

use crate::cli::table::{number, ruled_table};
use crate::cli::terminal::json_lines;
use crate::explore::plane_group::{PlaneGroup, Repeats};
use crate::explore::repeat::{Arrangement, Repeat, TileLook};
use crate::geom::number::{grouped, thousandth};
use crate::layout::panel::JointCount;
use crate::session::visible::on_one_line;

/// The version of the JSON form.
const VERSION: u32 = 1;
/// Letters for looks; more looks get two letters.
const LETTERS: &[u8; 26] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZ";

/// What was found.
#[derive(Debug)]
pub(super) struct Report {
    /// The panel whose cells and tiles were taken.
    pub(super) panel: String,
    /// Columns and courses.
    pub(super) repeat: (i32, i32),
    /// The seed of a random selection.
    pub(super) seed: Option<u64>,
    /// Ways to give every cell a look.
    pub(super) all: BigUint,
    /// Different ones among them, matched or not.
    pub(super) different: BigUint,
    /// Whether only those with unbroken lines were asked for.
    pub(super) matched: bool,
    /// Whether all that were asked for were found.
    pub(super) complete: bool,
    /// How many were found.
    pub(super) found: usize,
    /// How many of those found have each group.
    pub(super) groups: Vec<(Repeats, usize)>,
    /// The arrangements that are listed.
    pub(super) rows: Vec<Row>,
}

/// One arrangement.
#[derive(Debug)]
pub(super) struct Row {
    /// The looks of its cells.
    pub(super) arrangement: Arrangement,
    /// Its group.
    pub(super) group: Repeats,
    /// The joints of one repeat.
    pub(super) joints: JointCount,
    /// How many fillings of the repeat are this arrangement.
    pub(super) ways: usize,
}

/// The table.
pub(super) fn table(repeat: &Repeat, report: &Report, drawn_lines: bool) -> String {
    let mut text = format!(
        "{}: {} columns x {} courses\n",
        on_one_line(&report.panel),
        report.repeat.0,
        report.repeat.1
    );
    let mut line = |label: &str, value: String| {
        let _ = writeln!(text, "  {label:<14}{value}");
    };
    line("ways to fill", grouped(&report.all));
    line("different", grouped(&report.different));
    if report.matched && report.seed.is_none() {
        let found = grouped(report.found);
        line(
            "lines run on",
            if report.complete {
                found
            } else {
                format!("{found} or more")
            },
        );
    }
    if !report.groups.is_empty() {
        let counts = report.groups.iter().map(|(g, n)| format!("{g} {n}"));
        let counts = counts.collect::<Vec<_>>().join(", ");
        let which = if report.complete {
            String::new()
        } else {
            format!(" (of the first {})", report.found)
        };
        line("groups", format!("{counts}{which}"));
    }
    text.push('\n');
    text.push_str(&legend(repeat));
    text.push('\n');
    if report.rows.is_empty() {
        text.push_str(&none(report));
        return text;
    }
    text.push_str(&rows(report, drawn_lines));
    text
}

fn none(report: &Report) -> String {
    match (report.complete, report.seed) {
        (true, _) => "There are none.\n".to_owned(),
        (false, Some(_)) => "The selection has none like that; try another --seed.\n".to_owned(),
        (false, None) => format!(
            "None of the first {} are like that; --sample selects from all at random.\n",
            report.found
        ),
    }
}

fn legend(repeat: &Repeat) -> String {
    let mut text = String::new();
    for (number, look) in repeat.looks().iter().enumerate() {
        let _ = writeln!(text, "  {}  {}", letters(number), in_words(look));
    }
    text
}

fn in_words(look: &TileLook) -> String {
    let flip = if look.pose.flip { "flipped, " } else { "" };
    format!(
        "{} {flip}turned {}°",
        on_one_line(look.kind.name()),
        thousandth(look.pose.turn)
    )
}

fn rows(report: &Report, drawn_lines: bool) -> String {
    let mut table = ruled_table(drawn_lines);
    table.set_header(["", "courses", "group", "ways", "lines run on"]);
    for (i, row) in report.rows.iter().enumerate() {
        table.add_row([
            number(i + 1),
            Cell::new(courses(report, row)),
            Cell::new(row.group),
            number(row.ways),
            Cell::new(format!(
                "{} of {} joints",
                row.joints.matched, row.joints.all
            )),
        ]);
    }
    let mut text = table.trim_fmt();
    text.push('\n');
    text
}

/// The looks of the courses from the top: `AB / CD`.
fn courses(report: &Report, row: &Row) -> String {
    let columns = usize::try_from(report.repeat.0).unwrap_or(1);
    let course = |looks: &[u16]| looks.iter().map(|&l| letters(l.into())).collect::<String>();
    let all: Vec<String> = row.arrangement.chunks(columns).map(course).collect();
    all.join(" / ")
}

/// A, B and so on; after Z come `a1`, `a2` and so on.
fn letters(number: usize) -> String {
    match LETTERS.get(number) {
        Some(&letter) => char::from(letter).to_string(),
        None => format!("a{}", number - LETTERS.len() + 1),
    }
}

#[derive(Serialize)]
struct Json<'a> {
    schema: &'static str,
    version: u32,
    panel: &'a str,
    columns: i32,
    courses: i32,
    seed: Option<u64>,
    /// As text: the numbers can be larger than a program's whole numbers.
    ways_to_fill: String,
    different: String,
    matched_only: bool,
    complete: bool,
    found: Option<usize>,
    groups: Vec<JsonGroup>,
    looks: Vec<JsonLook<'a>>,
    arrangements: Vec<JsonRow<'a>>,
}

#[derive(Serialize)]
struct JsonGroup {
    group: Option<&'static str>,
    count: usize,
}

#[derive(Serialize)]
struct JsonLook<'a> {
    tile: &'a str,
    turn: f64,
    flip: bool,
}

#[derive(Serialize)]
struct JsonRow<'a> {
    /// Course by course, numbers of looks from 0.
    looks: Vec<&'a [u16]>,
    group: Option<&'static str>,
    international: Option<&'static str>,
    orbifold: Option<&'static str>,
    ways: usize,
    joints: u64,
    matched: u64,
}

/// The JSON form.
pub(super) fn json(repeat: &Repeat, report: &Report) -> String {
    let group = |r: Repeats| match r {
        Repeats::By(group) => Some(group),
        Repeats::Stripes => None,
    };
    let columns = usize::try_from(report.repeat.0).unwrap_or(1);
    let looks = repeat.looks().iter().map(|l| JsonLook {
        tile: l.kind.name(),
        turn: thousandth(l.pose.turn),
        flip: l.pose.flip,
    });
    let rows = report.rows.iter().map(|row| JsonRow {
        looks: row.arrangement.chunks(columns).collect(),
        group: group(row.group).map(PlaneGroup::short),
        international: group(row.group).map(PlaneGroup::international),
        orbifold: group(row.group).map(PlaneGroup::orbifold),
        ways: row.ways,
        joints: row.joints.all,
        matched: row.joints.matched,
    });
    let groups = report.groups.iter().map(|&(g, count)| JsonGroup {
        group: group(g).map(PlaneGroup::short),
        count,
    });
    let all = Json {
        schema: "plyloom-arrangements",
        version: VERSION,
        panel: &report.panel,
        columns: report.repeat.0,
        courses: report.repeat.1,
        seed: report.seed,
        ways_to_fill: report.all.to_string(),
        different: report.different.to_string(),
        matched_only: report.matched,
        complete: report.complete,
        found: report.seed.is_none().then_some(report.found),
        groups: groups.collect(),
        looks: looks.collect(),
        arrangements: rows.collect(),
    };
    json_lines(&all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_and_letters() {
        let text = |n: u64| grouped(n);
        assert_eq!(text(0), "0");
        assert_eq!(text(999), "999");
        assert_eq!(text(262_144), "262 144");
        assert_eq!(text(1_000_000), "1 000 000");
        assert_eq!(letters(25), "Z");
        assert_eq!(letters(26), "a1");
    }
}
