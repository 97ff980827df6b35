//! `plyloom arrangements --bar`: in how many ways the strips inside a bar can be turned.
//!
//! The JSON form is documented in `docs/arrangements-json.md`.

use std::fmt::Write as _;
use std::sync::Arc;

use serde::Serialize;

use super::{ArrangementsArgs, PAGE_WIDTH, Target};
use crate::appearance::window::cut;
use crate::cli::cli_error::CliError;
use crate::cli::stream::Stream;
use crate::cli::table::{number, ruled_table};
use crate::cli::terminal::{json_lines, print};
use crate::draw::{Form, Ground, Shot, png, side_by_side};
use crate::explore::bar_turns::{BarTurn, panel_with, ways};
use crate::explore::moves::Same;
use crate::files::write_picture;
use crate::geom::number::grouped;
use crate::geom::{Point, Rect};
use crate::layout::Panel;
use crate::session::visible::on_one_line;
use crate::stock::{Bar, Pose, TileKind};

/// The version of the JSON form.
const VERSION: u32 = 1;
/// A sample shows so many tiles across, as far as the panel has them.
const ACROSS: f64 = 5.0;
/// Samples that stand side by side on a page.
const IN_A_ROW: usize = 4;

/// One tile that a bar can give, and how.
struct Row<'a> {
    /// The first way to it.
    first: &'a BarTurn,
    /// How many ways lead to it.
    ways: usize,
    /// In how many ways it can lie and look different.
    looks: usize,
}

/// Lists the ways to turn the strips of the bar that `name` is sliced from, and draws them where
/// that is asked for.
pub(super) fn run(
    panel: &Panel,
    name: &str,
    args: &ArrangementsArgs,
    target: Option<&Target>,
) -> Result<(), CliError> {
    let bar = bar_of(panel, name)?;
    let found = ways(&bar, args.same()).map_err(|error| CliError::Data {
        code: "arrangements::bar",
        message: format!("tile `{}`: {error}", on_one_line(name)),
        help: "choose a bar of fewer strips, or of strips with fewer layers".to_owned(),
    })?;
    let mut rows: Vec<Row> = Vec::new();
    for way in &found {
        match rows.get_mut(way.tile) {
            Some(row) => row.ways += 1,
            None => rows.push(Row {
                first: way,
                ways: 1,
                looks: TileKind::new(name, Arc::clone(&way.bar)).looks().len(),
            }),
        }
    }
    let different = rows.len();
    rows.truncate(usize::try_from(args.most).unwrap_or(usize::MAX));
    if let Some(target) = target {
        write_picture(&target.path, &page(panel, name, &rows, target.png)?)?;
    }
    let counts = (found.len(), different);
    if args.json {
        print(&json(name, counts, &rows))
    } else {
        let lines = Stream::of_output().terminal;
        print(&table(name, counts, args.same(), &rows, lines))
    }
}

fn bar_of(panel: &Panel, name: &str) -> Result<Arc<Bar>, CliError> {
    let known = panel.faces.iter().find(|f| f.kind.name() == name);
    known.map(|f| Arc::clone(f.kind.bar())).ok_or_else(|| {
        let mut names: Vec<&str> = panel.faces.iter().map(|f| f.kind.name()).collect();
        names.sort_unstable();
        names.dedup();
        let shown = names.iter().map(|n| format!("`{}`", on_one_line(n)));
        CliError::Usage {
            message: format!(
                "panel `{}` has no tile `{}`",
                on_one_line(&panel.name),
                on_one_line(name)
            ),
            help: format!("it has {}", shown.collect::<Vec<_>>().join(", ")),
        }
    })
}

fn table(
    name: &str,
    (ways, different): (usize, usize),
    same: Same,
    rows: &[Row<'_>],
    drawn_lines: bool,
) -> String {
    let up_to = match same {
        Same::Shifts => "not turned",
        Same::Turns => "turned tiles counted once",
        Same::TurnsAndMirrors => "turned or flipped tiles counted once",
    };
    let mut text = format!("bar of {}\n", on_one_line(name));
    let _ = writeln!(text, "  {:<14}{}", "ways to glue", grouped(ways));
    let _ = writeln!(
        text,
        "  {:<14}{} ({up_to})\n",
        "different",
        grouped(different)
    );
    let mut table = ruled_table(drawn_lines);
    table.set_header(["", "strips, in the order of gluing", "ways", "looks"]);
    for (i, row) in rows.iter().enumerate() {
        table.add_row([
            number(i + 1),
            strips(&row.first.parts).into(),
            number(row.ways),
            number(row.looks),
        ]);
    }
    text.push_str(&table.trim_fmt());
    text.push('\n');
    if rows.len() < different {
        let _ = writeln!(text, "and {} more: see --most", different - rows.len());
    }
    text
}

/// `1, 2 unchanged; 3 end for end`.
fn strips(parts: &[Pose]) -> String {
    let mut said: Vec<(String, Vec<String>)> = Vec::new();
    for (part, pose) in parts.iter().enumerate() {
        let (words, number) = (turned(*pose), (part + 1).to_string());
        match said.iter_mut().find(|(known, _)| *known == words) {
            Some((_, numbers)) => numbers.push(number),
            None => said.push((words, vec![number])),
        }
    }
    let each = said
        .into_iter()
        .map(|(words, numbers)| format!("{} {words}", numbers.join(", ")));
    each.collect::<Vec<_>>().join("; ")
}

/// How a strip is turned, in the words of recipes where there are some.
fn turned(pose: Pose) -> String {
    let turn = if pose.turn.abs() < 1e-6 {
        None
    } else if (pose.turn - 180.0).abs() < 1e-6 {
        Some("rolled over".to_owned())
    } else {
        Some(format!("turned {}°", pose.turn))
    };
    match (pose.flip, turn) {
        (false, None) => "unchanged".to_owned(),
        (true, None) => "end for end".to_owned(),
        (false, Some(turn)) => turn,
        (true, Some(turn)) => format!("end for end, {turn}"),
    }
}

/// The panel with each of the tiles, side by side; of a large panel the middle.
fn page(panel: &Panel, name: &str, rows: &[Row<'_>], as_png: bool) -> Result<Vec<u8>, CliError> {
    let shots: Vec<Shot> = rows
        .iter()
        .enumerate()
        .map(|(i, row)| Shot {
            panel: middle(&panel_with(panel, name, &row.first.bar), &row.first.bar),
            words: format!("{}: {}", i + 1, strips(&row.first.parts)),
            round: false,
            pixels: None,
        })
        .collect();
    let title = format!("{}: ways to glue the bar of {name}", panel.name);
    let svg = side_by_side(&shots, IN_A_ROW, &title, Form::Placed).to_text();
    if !as_png {
        return Ok(svg.into_bytes());
    }
    png(&svg, PAGE_WIDTH, Ground::Paper).map_err(|error| CliError::Drawing {
        message: format!("the page cannot be drawn as png: {error}"),
        help: "draw fewer with `--most`, or draw to a `.svg` file".to_owned(),
    })
}

fn middle(panel: &Panel, bar: &Bar) -> Panel {
    let tile = bar.outline().bounds();
    let side = ACROSS * tile.width().max(tile.height());
    let half = Point::new(
        side.min(panel.bounds.width()) / 2.0,
        side.min(panel.bounds.height()) / 2.0,
    );
    let centre = panel.bounds.centre();
    cut(
        panel,
        Rect {
            min: centre - half,
            max: centre + half,
        },
    )
}

#[derive(Serialize)]
struct Json<'a> {
    schema: &'static str,
    version: u32,
    tile: &'a str,
    ways_to_glue: usize,
    different: usize,
    bars: Vec<JsonBar>,
}

#[derive(Serialize)]
struct JsonBar {
    strips: Vec<JsonStrip>,
    ways: usize,
    looks: usize,
}

#[derive(Serialize)]
struct JsonStrip {
    end_for_end: bool,
    turn: f64,
}

fn json(name: &str, (ways, different): (usize, usize), rows: &[Row<'_>]) -> String {
    let strip = |pose: &Pose| JsonStrip {
        end_for_end: pose.flip,
        turn: pose.turn,
    };
    let bars = rows.iter().map(|row| JsonBar {
        strips: row.first.parts.iter().map(strip).collect(),
        ways: row.ways,
        looks: row.looks,
    });
    let form = Json {
        schema: "plyloom-bar-ways",
        version: VERSION,
        tile: name,
        ways_to_glue: ways,
        different,
        bars: bars.collect(),
    };
    json_lines(&form)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strips_in_words() {
        let pose = |flip, turn| Pose { flip, turn };
        let parts = [
            pose(false, 0.0),
            pose(true, 0.0),
            pose(false, 0.0),
            pose(true, 180.0),
        ];
        assert_eq!(
            strips(&parts),
            "1, 3 unchanged; 2 end for end; 4 end for end, rolled over"
        );
        assert_eq!(turned(pose(false, 90.0)), "turned 90°");
    }
}
