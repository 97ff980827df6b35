//! Edits by hand on the page: tried before they are made, and written into the recipe.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::bench::Bench;
use super::drawing::MOST_DRAWN;
use super::edit::Written;
use super::redone::{CLOSED, Done, redone};
use super::run_result::RunResult;
use super::visible::visible;
use crate::draw::{FaceArt, PanelOptions, panel_svg, plain_svg};
use crate::layout::fits::fits;
use crate::layout::panel::{Panel, PlacedTile};
use crate::layout::tile_joints::runs_on;
use crate::recipe::hands::{Brush, Edit, brushes, edited, lines, offers};
use crate::recipe::store::Shelf;

/// The most edits of one request.
const MOST_EDITS: usize = 64;
/// The most tiles that are drawn before they are laid.
const MOST_TRIED: usize = 400;

/// Edits of a panel that a page shows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hands {
    /// The picture that the page shows.
    pub picture: u64,
    /// The panel, by number.
    pub panel: usize,
    /// The edits, in their order.
    pub edits: Vec<Edit>,
}

/// A tile as it would lie: which one, and its colours as paths.
#[derive(Debug, Serialize)]
struct Ghost {
    tile: usize,
    paths: Vec<(String, String)>,
}

/// What edits would come to.
#[derive(Debug, Serialize)]
struct Tried {
    joints: u64,
    matched: u64,
    ghosts: Vec<Ghost>,
    /// Joints of these tiles through which lines run on: x and y of both ends in mm.
    lit: Vec<[f64; 4]>,
}

/// A kind that can be laid, and the ways in which it fits each class of cell.
#[derive(Debug, Serialize)]
struct KindJson {
    kind: String,
    used: u64,
    /// How many a bag holds, where one does.
    bag: Option<u64>,
    /// For each class of cells.
    ways: Vec<Vec<PoseJson>>,
    /// Its face as the bar stands.
    paths: Vec<(String, String)>,
    bounds: [f64; 4],
}

/// A turn and flip as a recipe says it.
#[derive(Debug, Serialize)]
struct PoseJson {
    turn: f64,
    flip: bool,
}

/// What lies ready beside a panel.
#[derive(Debug, Serialize)]
struct Tray {
    /// Why hands cannot work here, where they cannot.
    closed: Option<&'static str>,
    kinds: Vec<KindJson>,
    /// The class of each tile's cell.
    class: Vec<usize>,
    /// Tiles that were laid by hand, by number.
    laid: Vec<usize>,
    /// Turns of each class of cells, and whether it takes flips.
    turns: Vec<(u32, bool)>,
    /// The symmetries that lead from tiles to others.
    brushes: Vec<Brush>,
    /// Tiles that were laid by hand, each with the line of the recipe that says so, from 1.
    lines: Vec<(usize, usize)>,
    /// The line that begins the panel.
    begun: usize,
}

/// What can be laid on a panel of a picture.
///
/// # Errors
/// When there is no such panel.
pub fn tray(made: &RunResult, panel: usize) -> Result<Value, String> {
    made.panel(panel).ok_or("there is no such panel")?;
    Ok(json!(tray_of(made, panel)))
}

/// The ways to go on from what was laid, each with a small picture; nothing is written.
///
/// # Errors
/// When hands cannot work there.
pub fn go_on(bench: Bench<'_>, made: &RunResult, panel: usize) -> Result<Value, String> {
    let offers = offers(&made.outcome, panel).map_err(|error| error.to_string())?;
    let pictured = offers.into_iter().filter_map(|offer| {
        let hands = Hands {
            picture: made.id,
            panel,
            edits: offer.edits,
        };
        // What does not work out is not offered.
        let done = done(bench, &hands).ok()?;
        let drawn = &done.outcome.panels[panel];
        let picture = if drawn.tiles.len() > MOST_DRAWN {
            plain_svg(drawn)
        } else {
            panel_svg(drawn, &PanelOptions::default())
        };
        Some(json!({ "words": offer.words, "edits": hands.edits, "picture": picture }))
    });
    Ok(pictured.collect())
}

/// Says what edits would come to; nothing is written.
///
/// # Errors
/// When they do not work.
pub fn try_out(bench: Bench<'_>, hands: &Hands) -> Result<Value, String> {
    let done = done(bench, hands)?;
    let before = &done.made.outcome.panels[hands.panel];
    Ok(json!(tried(before, &done.outcome.panels[hands.panel])))
}

/// Writes edits by hand into the recipe.
///
/// # Errors
/// When it does not work, or the recipe holds another text by now.
pub fn lay(
    bench: Bench<'_>,
    shelf: &dyn Shelf,
    written: &Written,
    hands: &Hands,
) -> Result<Value, String> {
    done(bench, hands)?.write(shelf, written)
}

/// The text after edits, and what it gives.
fn done(bench: Bench<'_>, hands: &Hands) -> Result<Done, String> {
    if hands.edits.len() > MOST_EDITS {
        return Err(format!("at most {MOST_EDITS} edits at once"));
    }
    redone(bench, (hands.picture, hands.panel), |text, outcome| {
        edited(text, outcome, hands.panel, &hands.edits).map_err(|error| error.to_string())
    })
}

fn tried(before: &Panel, after: &Panel) -> Tried {
    let same_cells = before.tiles.len() == after.tiles.len();
    let pairs = before.tiles.iter().zip(&after.tiles).enumerate();
    let differs = |a: &PlacedTile, b: &PlacedTile| {
        let (a, b) = (
            &before.faces[a.face as usize],
            &after.faces[b.face as usize],
        );
        a.kind.name() != b.kind.name() || a.pose != b.pose
    };
    let changed: BTreeSet<usize> = pairs
        .filter(|(_, (a, b))| same_cells && differs(a, b))
        .map(|(number, _)| number)
        .collect();
    let ghosts = changed.iter().take(MOST_TRIED).map(|&tile| Ghost {
        tile,
        paths: FaceArt::of(&after.faces[after.tiles[tile].face as usize].face).paths,
    });
    Tried {
        joints: after.joints.all,
        matched: after.joints.matched,
        ghosts: ghosts.collect(),
        lit: runs_on(after, &changed)
            .into_iter()
            .map(|(a, b)| [a.x, a.y, b.x, b.y])
            .collect(),
    }
}

fn tray_of(made: &RunResult, number: usize) -> Tray {
    let outcome = &made.outcome;
    let panel = &outcome.panels[number];
    let hands = &outcome.hands[number].thing;
    let text = &made.opened.source.text;
    let place = &outcome.hands[number].place;
    // Begun in a module, it has no line here.
    let begun = if place.source.text == *text {
        place.line_column().0
    } else {
        0
    };
    let Some(cells) = &hands.cells else {
        return Tray {
            closed: Some("this panel's tiles are placed one by one in the recipe"),
            kinds: Vec::new(),
            class: Vec::new(),
            laid: Vec::new(),
            turns: Vec::new(),
            brushes: Vec::new(),
            lines: Vec::new(),
            begun,
        };
    };
    let lattice = cells.lattice();
    let counts = panel.counts();
    let used = |kind: &str| {
        let faces = panel.faces.iter().zip(&counts);
        let own = faces.filter(|(face, _)| face.kind.name() == kind);
        own.map(|(_, count)| count.all()).sum()
    };
    let kinds = outcome.kinds.iter().map(|kind| {
        let bag = outcome.bags[number].iter().find(|(k, _)| k == kind.name());
        let bounds = kind.face().bounds();
        let ways = lattice.classes().iter().map(|class| {
            let ways = fits(kind, class).into_iter();
            ways.map(|tile| PoseJson {
                turn: tile.pose.turn,
                flip: tile.pose.flip,
            })
            .collect()
        });
        KindJson {
            kind: visible(kind.name()),
            used: used(kind.name()),
            bag: bag.map(|(_, count)| *count),
            ways: ways.collect(),
            paths: FaceArt::of(kind.face()).paths,
            bounds: [bounds.min.x, bounds.min.y, bounds.width(), bounds.height()],
        }
    });
    Tray {
        closed: (!made.opened.is_plain()).then_some(CLOSED),
        kinds: kinds
            .filter(|kind| kind.ways.iter().any(|ways| !ways.is_empty()))
            .collect(),
        class: cells.list().iter().map(|&c| lattice.class_of(c)).collect(),
        brushes: brushes(outcome, number).unwrap_or_default(),
        laid: hands.laid.keys().filter_map(|&c| cells.number(c)).collect(),
        begun,
        lines: lines(text, outcome, number)
            .into_iter()
            .filter_map(|(cell, line)| Some((cells.number(cell)?, line)))
            .collect(),
        turns: lattice
            .classes()
            .iter()
            .map(|class| (class.symmetry.turns, class.symmetry.axis.is_some()))
            .collect(),
    }
}
