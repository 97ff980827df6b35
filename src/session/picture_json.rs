//! A picture's JSON for the page: parameters, panels, their tallies.

use serde::Serialize;

use super::visible::visible;
use crate::appearance::eye;
use crate::draw::FaceArt;
use crate::explore::pinned::digest;
use crate::geom::number::thousandth;
use crate::layout::panel::Panel;
use crate::layout::tally::{Row, Tally};
use crate::recipe::outcome::Outcome;
use crate::recipe::parameter::{Domain, Parameter, Value};
use crate::stock::Colour;

/// The most rows of a tally that are sent; tiles placed freely can have as many poses as tiles.
const MOST_ROWS: usize = 60;

/// A picture.
#[derive(Debug, Serialize)]
pub struct PictureJson {
    /// Digest of the recipe and its modules.
    text: String,
    seed: String,
    parameters: Vec<ParameterJson>,
    panels: Vec<PanelJson>,
    /// Whether the seed has a say in it.
    chance: bool,
    /// How far an eye blurs what is seen from 1 mm: the standard deviation in mm. It grows with the distance.
    blur: f64,
    /// Names of dyes and woods with their colours as `#rrggbb`.
    colours: Vec<(&'static str, String)>,
}

#[derive(Debug, Serialize)]
struct ParameterJson {
    name: String,
    domain: Domain,
    help: String,
    value: Value,
    default: Value,
    /// The value as a maker reads it.
    shown: String,
    /// A colour's value as `#rrggbb`.
    swatch: Option<String>,
}

#[derive(Debug, Serialize)]
struct PanelJson {
    name: String,
    width: f64,
    height: f64,
    tiles: u64,
    trimmed: u64,
    joints: u64,
    matched: u64,
    net_area: f64,
    rows: Vec<RowJson>,
    /// Rows that are not told, and their tiles.
    more_rows: usize,
    more_tiles: u64,
}

#[derive(Debug, Serialize)]
struct RowJson {
    kind: String,
    turn: f64,
    flip: bool,
    whole: u64,
    trimmed: u64,
    /// Whether another row before it looks the same.
    alike: bool,
    picture: FaceJson,
}

/// A tile to draw: bounds in mm, and path data with fills.
#[derive(Debug, Serialize)]
struct FaceJson {
    bounds: [f64; 4],
    outline: String,
    paths: Vec<(String, String)>,
}

impl PictureJson {
    /// The JSON of an outcome.
    pub fn of(outcome: &Outcome) -> Self {
        let dyes = Colour::dyes().map(|(name, _)| name);
        let named = dyes.chain(Colour::woods());
        let swatch = |name| Some((name, Colour::parse(name).ok()?.to_string()));
        Self {
            chance: outcome.chance,
            blur: eye::width(eye::blur(), 1000.0) / 1000.0,
            colours: named.filter_map(swatch).collect(),
            text: digest(outcome.sources.iter().map(AsRef::as_ref)),
            seed: outcome.seed.to_string(),
            parameters: outcome.parameters.iter().map(parameter).collect(),
            panels: outcome.panels.iter().map(panel).collect(),
        }
    }
}

fn parameter(parameter: &Parameter) -> ParameterJson {
    let swatch = match (&parameter.domain, &parameter.value) {
        (Domain::Colour, Value::Text(text)) => Colour::parse(text).ok().map(|c| c.to_string()),
        _ => None,
    };
    ParameterJson {
        name: parameter.name.clone(),
        domain: parameter.domain.clone(),
        help: visible(&parameter.help),
        value: parameter.value.clone(),
        default: parameter.default.clone(),
        shown: visible(&parameter.shown()),
        swatch,
    }
}

fn panel(panel: &Panel) -> PanelJson {
    let tally = Tally::of(panel);
    let rest = tally.rows.get(MOST_ROWS..).unwrap_or(&[]);
    PanelJson {
        name: visible(&panel.name),
        width: tally.width,
        height: tally.height,
        tiles: tally.total(),
        trimmed: tally.trimmed,
        joints: tally.joints.all,
        matched: tally.joints.matched,
        net_area: tally.net_area,
        more_rows: rest.len(),
        more_tiles: rest.iter().map(Row::total).sum(),
        rows: tally
            .rows
            .iter()
            .take(MOST_ROWS)
            .map(|r| row(panel, r))
            .collect(),
    }
}

fn row(panel: &Panel, row: &Row) -> RowJson {
    let placed = panel
        .faces
        .iter()
        .find(|f| f.kind.name() == row.kind && f.pose == row.pose);
    let picture = placed.map_or_else(
        || FaceJson {
            bounds: [0.0; 4],
            outline: String::new(),
            paths: Vec::new(),
        },
        |placed| {
            let bounds = placed.face.bounds();
            let art = FaceArt::of(&placed.face);
            FaceJson {
                bounds: [bounds.min.x, bounds.min.y, bounds.width(), bounds.height()],
                outline: art.outline,
                paths: art.paths,
            }
        },
    );
    RowJson {
        kind: visible(&row.kind),
        turn: thousandth(row.pose.turn),
        flip: row.pose.flip,
        whole: row.whole,
        trimmed: row.trimmed,
        alike: row.looks_like.is_some(),
        picture,
    }
}
