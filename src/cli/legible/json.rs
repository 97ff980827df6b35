//! The results of `plyloom legible` as JSON for other programs.
//!
//! `version` grows when a field changes its meaning or is removed; new fields may be added without
//! that. All lengths in mm, angles in arcminutes.

use serde::Serialize;

use crate::appearance::change::{Readability, Tried};
use crate::appearance::eye;
use crate::appearance::legibility::Legibility;
use crate::appearance::window::Window;
use crate::cli::legible::report::PanelReport;
use crate::cli::terminal::json_lines;
use crate::geom::number::thousandth;

#[derive(Serialize)]
struct JsonReport<'a> {
    schema: &'static str,
    version: u32,
    panels: Vec<JsonPanel<'a>>,
}

#[derive(Serialize)]
struct JsonPanel<'a> {
    name: &'a str,
    bars: Vec<JsonBar<'a>>,
    dyes: Vec<JsonDye<'a>>,
    objects: Vec<JsonObject<'a>>,
}

#[derive(Serialize)]
struct JsonBar<'a> {
    tiles: &'a [String],
    sheets: Vec<JsonSheet>,
    now: JsonOutcome,
    tried: Vec<JsonTried>,
}

#[derive(Serialize)]
struct JsonSheet {
    thickness_mm: f64,
    repeat_contrast: f64,
    repeat_plain_mm: Option<f64>,
    repeat_farthest_mm: Option<f64>,
    repeat_seen: Vec<JsonSeen>,
    lines: Vec<JsonLine>,
}

#[derive(Serialize)]
struct JsonLine {
    colour: String,
    beside: String,
    width_mm: f64,
    count: usize,
    contrast_ratio: f64,
    lightness_difference: f64,
    michelson: f64,
    farthest_mm: Option<f64>,
    seen: Vec<JsonSeen>,
}

#[derive(Serialize)]
struct JsonSeen {
    from_mm: f64,
    arcminutes: f64,
    seen: bool,
}

#[derive(Serialize)]
struct JsonOutcome {
    plain_to_mm: f64,
    lines_to_mm: f64,
    repeat_to_mm: f64,
    size: f64,
}

#[derive(Serialize)]
struct JsonTried {
    change: String,
    result: Option<JsonOutcome>,
    refused: Option<String>,
}

#[derive(Serialize)]
struct JsonDye<'a> {
    name: &'a str,
    colour: String,
    apart: Option<f64>,
}

#[derive(Serialize)]
struct JsonObject<'a> {
    object: &'a str,
    boldest: Option<JsonWindow>,
    completest: Option<JsonWindow>,
}

#[derive(Serialize)]
struct JsonWindow {
    x_mm: f64,
    y_mm: f64,
    whole_tiles: usize,
    part_tiles: usize,
    contrast: f64,
    lines_per_100_mm: f64,
}

/// All of it, over several lines.
pub(super) fn json(reports: &[PanelReport], distances: &[f64]) -> String {
    let report = JsonReport {
        schema: "plyloom-legible",
        version: 1,
        panels: reports.iter().map(|r| json_panel(r, distances)).collect(),
    };
    json_lines(&report)
}

fn json_panel<'a>(report: &'a PanelReport, distances: &[f64]) -> JsonPanel<'a> {
    JsonPanel {
        name: &report.name,
        bars: report
            .bars
            .iter()
            .map(|bar| JsonBar {
                tiles: &bar.tiles,
                sheets: bar
                    .sheets
                    .iter()
                    .map(|s| json_sheet(s, distances))
                    .collect(),
                now: json_outcome(&bar.now),
                tried: bar.tried.iter().map(json_tried).collect(),
            })
            .collect(),
        dyes: report
            .dyes
            .iter()
            .map(|d| JsonDye {
                name: &d.name,
                colour: d.colour.to_string(),
                apart: d.apart.map(thousandth),
            })
            .collect(),
        objects: report
            .objects
            .iter()
            .map(|(object, best)| JsonObject {
                object,
                boldest: best.map(|b| json_window(&b.boldest)),
                completest: best.map(|b| json_window(&b.completest)),
            })
            .collect(),
    }
}

fn json_sheet(sheet: &Legibility, distances: &[f64]) -> JsonSheet {
    let seen = |width: f64, sees: &dyn Fn(f64) -> bool| {
        let at = |&from_mm: &f64| JsonSeen {
            from_mm,
            arcminutes: thousandth(eye::arcminutes(width, from_mm)),
            seen: sees(from_mm),
        };
        distances.iter().map(at).collect()
    };
    JsonSheet {
        thickness_mm: thousandth(sheet.thickness),
        repeat_contrast: thousandth(sheet.contrast),
        repeat_plain_mm: sheet.plain.map(thousandth),
        repeat_farthest_mm: sheet.farthest.map(thousandth),
        repeat_seen: seen(sheet.thickness, &|d| sheet.seen_from(d)),
        lines: sheet
            .lines
            .iter()
            .map(|line| JsonLine {
                colour: line.colour.to_string(),
                beside: line.beside.to_string(),
                width_mm: thousandth(line.width),
                count: line.count,
                contrast_ratio: thousandth(line.ratio),
                lightness_difference: thousandth(line.lightness),
                michelson: thousandth(line.contrast),
                farthest_mm: line.farthest.map(thousandth),
                seen: seen(line.width, &|d| line.seen_from(d)),
            })
            .collect(),
    }
}

fn json_outcome(outcome: &Readability) -> JsonOutcome {
    JsonOutcome {
        plain_to_mm: thousandth(outcome.plain),
        lines_to_mm: thousandth(outcome.lines),
        repeat_to_mm: thousandth(outcome.repeat),
        size: thousandth(outcome.size),
    }
}

fn json_tried(tried: &Tried) -> JsonTried {
    JsonTried {
        change: crate::cli::legible::table::words(tried.change),
        result: tried.outcome.as_ref().ok().map(json_outcome),
        refused: tried.outcome.as_ref().err().map(ToString::to_string),
    }
}

fn json_window(window: &Window) -> JsonWindow {
    JsonWindow {
        x_mm: thousandth(window.centre.x),
        y_mm: thousandth(window.centre.y),
        whole_tiles: window.whole,
        part_tiles: window.part,
        contrast: thousandth(window.contrast),
        lines_per_100_mm: thousandth(window.lines),
    }
}
