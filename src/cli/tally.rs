//! The tiles of a run, counted: as tables for the maker and as JSON for other programs.
//!
//! The JSON form is documented in `docs/tally-json.md`. Its `version` grows when a field changes
//! its meaning or is removed; new fields may be added without that.

use std::fmt::Write as _;

use comfy_table::Cell;
use serde::Serialize;

use super::credit;
use super::table::{number, ruled_table};
use super::terminal::json_lines;
use crate::draw::number::percent;
use crate::geom::number::thousandth;
use crate::layout;
use crate::layout::panel::Panel;
use crate::layout::tally::Row;
use crate::layout::trim::{Trim, TrimShape};
use crate::plan::saw::{SawLimits, refusals::refused};
use crate::plan::{Units, cautions};
use crate::recipe::about::About;
use crate::recipe::outcome::Outcome;
use crate::recipe::parameter::Parameter;
use crate::session::visible::on_one_line;

/// The version of the JSON form.
pub(super) const VERSION: u32 = 1;
/// Rows of a table; a panel of tiles placed freely can have as many poses as tiles.
const MOST_ROWS: usize = 60;
/// Turns that a row names; the others of the same look are counted.
const MOST_TURNS: usize = 4;
/// Millimetres in an inch, exact by definition (international inch of 1959).
const INCH: f64 = crate::geom::length::INCH;

/// What a run made.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Tally {
    /// Always `plyloom-tally`.
    schema: &'static str,
    /// The version of this form.
    version: u32,
    /// The recipe's path as typed.
    recipe: String,
    /// What its author says of it.
    about: About,
    /// The version of the language that it is written for.
    language: u32,
    /// The seed of its random choices.
    seed: u64,
    /// Its parameters with the values of this run.
    parameters: Vec<Parameter>,
    /// Its panels, in the recipe's order.
    pub(super) panels: Vec<PanelTally>,
}

/// One panel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct PanelTally {
    /// Its name.
    name: String,
    /// The file of its picture; none when that went to the standard output.
    picture: Option<String>,
    /// Width in mm.
    width_mm: f64,
    /// Height in mm.
    height_mm: f64,
    /// Whether it is trimmed to a rectangle.
    trim: bool,
    outline: &'static str,
    #[serde(skip)]
    outline_words: Option<String>,
    /// The area of wood that stays, in mm^2.
    net_area_mm2: f64,
    /// The joints between neighbours.
    joints: Joints,
    /// Which parts no safe way of a common saw leads to, in words; null where all can be cut.
    not_safe: Option<String>,
    /// The tiles, all together.
    tiles: Count,
    /// The tiles by kind, in the order of first use.
    kinds: Vec<KindTally>,
}

/// The joints of a panel.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct Joints {
    /// All of them.
    all: u64,
    /// Joints through which lines run on.
    matched: u64,
    /// `matched / all`; none without joints.
    share: Option<f64>,
}

/// Tiles of one kind.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct KindTally {
    /// The kind's name.
    name: String,
    /// How many.
    tiles: Count,
    /// By pose: by turn, those that are not flipped first.
    poses: Vec<PoseTally>,
}

/// Tiles of one kind in one pose.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct PoseTally {
    /// Degrees clockwise.
    turn: f64,
    /// Whether the back of the slice shows.
    flip: bool,
    /// Poses of one kind that look alike have the same number, from 1.
    look: usize,
    /// How many.
    tiles: Count,
}

/// A number of tiles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
struct Count {
    /// Whole and cut.
    all: u64,
    /// Tiles that stay whole.
    whole: u64,
    /// Tiles that the trim cuts.
    trimmed: u64,
}

impl Tally {
    /// The tally of a run of `recipe`, its panels to be added.
    pub(super) fn new(recipe: String, outcome: &Outcome) -> Self {
        Self {
            schema: "plyloom-tally",
            version: VERSION,
            recipe,
            about: outcome.about.clone(),
            language: outcome.language,
            seed: outcome.seed,
            parameters: outcome.parameters.clone(),
            panels: Vec::new(),
        }
    }

    /// As JSON over several lines, or on one.
    pub(super) fn json(&self, on_one_line: bool) -> String {
        if !on_one_line {
            return json_lines(self);
        }
        let text = serde_json::to_string(self);
        text.expect("invariant: every field has a form in JSON") + "\n"
    }

    /// As tables for the maker.
    pub(super) fn table(&self, drawn_lines: bool) -> String {
        let panels = self.panels.iter().map(|p| p.table(drawn_lines));
        let said = [credit::before(&self.about), credit::after(&self.about)];
        let [before, after] = said.map(|text| (!text.is_empty()).then_some(text));
        before
            .into_iter()
            .chain(panels)
            .chain(after)
            .collect::<Vec<_>>()
            .join("\n")
    }
}

impl PanelTally {
    /// Counts a panel whose picture is in the file `picture`.
    pub(super) fn of(panel: &Panel, picture: Option<String>) -> Self {
        let tally = layout::Tally::of(panel);
        Self {
            name: panel.name.clone(),
            picture,
            width_mm: thousandth(tally.width),
            height_mm: thousandth(tally.height),
            trim: panel.trim.is_some(),
            outline: panel
                .trim
                .as_ref()
                .map_or("tiles", |trim| match trim.shape() {
                    TrimShape::Rectangle => "rectangle",
                    TrimShape::Round => "round",
                    TrimShape::Rounded(_) => "rounded",
                    TrimShape::Corners(_) => "corners",
                    TrimShape::Named(word) => word,
                }),
            outline_words: panel.trim.as_ref().and_then(Trim::words),
            net_area_mm2: thousandth(tally.net_area),
            joints: Joints {
                all: tally.joints.all,
                matched: tally.joints.matched,
                share: tally.matched_share().map(thousandth),
            },
            not_safe: not_safe(panel),
            tiles: Count::of(tally.whole, tally.trimmed),
            kinds: kinds(&tally.rows),
        }
    }

    /// The file of its picture.
    pub(super) fn picture(&self) -> Option<&str> {
        self.picture.as_deref()
    }

    /// How many tiles there are.
    pub(super) fn tile_count(&self) -> u64 {
        self.tiles.all
    }

    fn table(&self, drawn_lines: bool) -> String {
        let mut text = format!("{}\n", on_one_line(&self.name));
        let mut line = |label: &str, value: String| {
            let _ = writeln!(text, "  {label:<10}{value}");
        };
        line(
            "size",
            format!(
                "{:.1} x {:.1} mm ({:.2} x {:.2} in){}",
                self.width_mm,
                self.height_mm,
                self.width_mm / INCH,
                self.height_mm / INCH,
                match (&self.outline_words, self.trim) {
                    (Some(words), _) => format!(", {words}"),
                    (None, true) => String::new(),
                    (None, false) => ", rim not trimmed".to_owned(),
                },
            ),
        );
        line("net area", format!("{:.4} m2", self.net_area_mm2 / 1e6));
        line("tiles", self.tiles.words());
        line("joints", self.joints.words());
        if let Some(parts) = &self.not_safe {
            line("saw", on_one_line(parts));
        }
        if let Some(picture) = &self.picture {
            line("picture", on_one_line(picture));
        }
        text.push_str(&self.rows(drawn_lines));
        text
    }

    fn rows(&self, drawn_lines: bool) -> String {
        let mut table = ruled_table(drawn_lines);
        table.set_header(["tile", "look", "turns", "whole", "trimmed", "all"]);
        let looks: Vec<(&KindTally, Vec<&PoseTally>)> = self.kinds.iter().flat_map(looks).collect();
        let all = looks.len();
        for (kind, poses) in looks.into_iter().take(MOST_ROWS) {
            let sum = |of: fn(&Count) -> u64| {
                number(poses.iter().map(|pose| of(&pose.tiles)).sum::<u64>())
            };
            table.add_row([
                Cell::new(on_one_line(&kind.name)),
                number(poses[0].look as u64),
                Cell::new(turns(&poses)),
                sum(|count| count.whole),
                sum(|count| count.trimmed),
                sum(|count| count.all),
            ]);
        }
        let mut text = String::new();
        for line in table.trim_fmt().lines() {
            let _ = writeln!(text, " {line}");
        }
        if all > MOST_ROWS {
            let _ = writeln!(text, "and {} more looks: see --json", all - MOST_ROWS);
        }
        text
    }
}

/// The poses of a kind, those that look alike together, in the order in which looks come.
fn looks(kind: &KindTally) -> Vec<(&KindTally, Vec<&PoseTally>)> {
    let mut looks: Vec<(&KindTally, Vec<&PoseTally>)> = Vec::new();
    for pose in &kind.poses {
        match looks
            .iter_mut()
            .find(|(_, poses)| poses[0].look == pose.look)
        {
            Some((_, poses)) => poses.push(pose),
            None => looks.push((kind, vec![pose])),
        }
    }
    looks
}

/// How the tiles of one look are turned: `0°, 180°, 90° flipped`.
fn turns(poses: &[&PoseTally]) -> String {
    let one = |pose: &&PoseTally| {
        let flipped = if pose.flip { " flipped" } else { "" };
        format!("{}°{flipped}", pose.turn)
    };
    let mut shown: Vec<String> = poses.iter().take(MOST_TURNS).map(one).collect();
    if poses.len() > MOST_TURNS {
        shown.push(format!("{} more", poses.len() - MOST_TURNS));
    }
    shown.join(", ")
}

impl Joints {
    fn words(&self) -> String {
        match self.share {
            Some(_) => format!(
                "{}, lines run on through {} ({} %)",
                self.all,
                self.matched,
                percent(self.matched, self.all)
            ),
            None => "none".to_owned(),
        }
    }
}

impl Count {
    fn of(whole: u64, trimmed: u64) -> Self {
        Self {
            all: whole + trimmed,
            whole,
            trimmed,
        }
    }

    fn words(self) -> String {
        if self.trimmed == 0 {
            format!("{}, all whole", self.all)
        } else {
            format!(
                "{}: {} whole, {} trimmed",
                self.all, self.whole, self.trimmed
            )
        }
    }
}

/// What of a panel no safe way leads to, with the limits of a common saw.
fn not_safe(panel: &Panel) -> Option<String> {
    let parts = refused(&[panel], &SawLimits::default());
    (!parts.is_empty()).then(|| cautions::unsafe_parts(&parts, Units::Metric))
}

fn kinds(rows: &[Row]) -> Vec<KindTally> {
    let mut kinds: Vec<KindTally> = Vec::new();
    for row in rows {
        if row.look == 1 && row.looks_like.is_none() {
            kinds.push(KindTally {
                name: row.kind.clone(),
                tiles: Count::default(),
                poses: Vec::new(),
            });
        }
        let kind = kinds
            .last_mut()
            .expect("invariant: a kind begins with its first look");
        let tiles = Count::of(row.whole, row.trimmed);
        kind.tiles.all += tiles.all;
        kind.tiles.whole += tiles.whole;
        kind.tiles.trimmed += tiles.trimmed;
        kind.poses.push(PoseTally {
            turn: thousandth(row.pose.turn),
            flip: row.pose.flip,
            look: row.look,
            tiles,
        });
    }
    kinds
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::sample::panel;

    #[test]
    fn tiles_area_and_joints_are_counted() {
        let tally = PanelTally::of(&panel(), Some("row.svg".to_owned()));
        let json = serde_json::to_value(&tally).unwrap();
        assert_eq!(json["net_area_mm2"], 45.0 * 18.0);
        assert_eq!(json["joints"]["share"], 0.667);
        assert_eq!(json["tiles"]["all"], 3);
        assert_eq!(json["tiles"]["trimmed"], 1);
        assert_eq!(json["kinds"].as_array().map(Vec::len), Some(1));
        // Half a turn of a square of plywood looks the same; a quarter does not.
        let looks = json["kinds"][0]["poses"].as_array().unwrap();
        let looks: Vec<_> = looks.iter().map(|p| p["look"].as_u64()).collect();
        assert_eq!(looks, [Some(1), Some(2), Some(1)]);
    }

    #[test]
    fn the_table_says_it_in_words_and_holds_no_codes() {
        let text = PanelTally::of(&panel(), Some("row.svg".to_owned())).table(false);
        for part in [
            "45.0 x 18.0 mm (1.77 x 0.71 in)",
            "3: 2 whole, 1 trimmed",
            "3, lines run on through 2 (66.6 %)",
            "picture   row.svg",
            "0°, 180°",
        ] {
            assert!(text.contains(part), "no `{part}` in {text}");
        }
        assert!(!text.contains('\u{1b}'), "{text:?}");
    }
}
