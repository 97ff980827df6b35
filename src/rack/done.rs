//! A plan that was carried out, read from its JSON: what it took from the rack, and what stays when the panel is
//! done. Lengths in mm.

use std::collections::{BTreeMap, BTreeSet};

use serde::Deserialize;
use serde_json::Value;
use sha2::{Digest as _, Sha256};

use super::{List, RackEntry, RackError, short};
use crate::plan::{count::in_hand::SAME as SAME_PART, steps::model::width_through};

/// Lengths nearer than this are the same.
const SAME: f64 = 1e-6;
/// The version of the JSON that is read here.
const VERSION: u64 = 2;

#[derive(Deserialize)]
struct Json {
    recipe: String,
    suffices: bool,
    plan: Counted,
    pieces: Vec<Piece>,
    fetch: Vec<Of>,
    steps: Vec<Step>,
}

#[derive(Deserialize)]
struct Counted {
    boards: Vec<BoardLine>,
    sheets: Vec<SheetLine>,
    veneers: Vec<VeneerLine>,
}

#[derive(Deserialize)]
struct BoardLine {
    boards: Vec<(String, u64)>,
    width: f64,
    length: f64,
}

#[derive(Deserialize)]
struct SheetLine {
    label: String,
    face: Vec<String>,
    back: Vec<String>,
}

#[derive(Deserialize)]
struct VeneerLine {
    colour: String,
    cut: Vec<Leaves>,
}

#[derive(Deserialize)]
struct Leaves {
    count: u64,
    width: f64,
    length: f64,
    pieces: Vec<LeafPiece>,
}

#[derive(Deserialize)]
struct LeafPiece {
    x: f64,
    y: f64,
    width: f64,
    length: f64,
}

#[derive(Deserialize)]
struct Piece {
    id: String,
    kind: String,
    sheet: String,
    section: Vec<[f64; 2]>,
    layers: Vec<Band>,
    length: f64,
}

#[derive(Deserialize, Clone, PartialEq)]
struct Band {
    colour: String,
    thickness: f64,
}

#[derive(Deserialize)]
struct Of {
    piece: String,
    count: u64,
}

#[derive(Deserialize)]
struct Step {
    work: Work,
    takes: Vec<Of>,
    gives: Vec<Of>,
}

#[derive(Deserialize)]
struct Work {
    #[serde(rename = "do")]
    does: String,
    #[serde(default = "along")]
    along_length: bool,
}

fn along() -> bool {
    true
}

/// A plan that was carried out.
#[derive(Debug, Clone)]
pub(super) struct Done {
    /// Its number: the same plan has the same.
    pub(super) number: String,
    /// The recipe's file, without its folder.
    pub(super) recipe: String,
    /// Boards that it took.
    pub(super) boards: Vec<Taken>,
    /// Leaves that it took.
    pub(super) leaves: Vec<TakenLeaves>,
    /// Tiles and bars that it took.
    pub(super) parts: Vec<TakenParts>,
    /// What stays.
    pub(super) stays: Vec<Stays>,
}

/// Tiles or bars that were taken as they are.
#[derive(Debug, Clone)]
pub(super) struct TakenParts {
    pub(super) list: List,
    /// As the recipe calls the tile.
    pub(super) name: String,
    pub(super) count: u64,
    /// Length; of a tile its thickness.
    pub(super) length: f64,
}

impl TakenParts {
    /// Whether an entry of the rack has such parts.
    pub(super) fn are(&self, entry: &RackEntry) -> bool {
        let long = if self.list == List::Tile {
            entry.thickness.unwrap_or(self.length)
        } else {
            entry.length
        };
        let name = entry.name.strip_prefix("bar ").unwrap_or(&entry.name);
        let name = match self.list {
            List::Strip => name.split('.').next().unwrap_or(name),
            _ => name,
        };
        // As a plan takes them.
        entry.list == self.list && name == self.name && (long - self.length).abs() <= SAME_PART
    }
}

/// Boards of one name that were taken.
#[derive(Debug, Clone)]
pub(super) struct Taken {
    pub(super) name: String,
    pub(super) count: u64,
    /// Width and length.
    pub(super) size: [f64; 2],
}

/// Leaves that were cut alike.
#[derive(Debug, Clone)]
pub(super) struct TakenLeaves {
    pub(super) colour: String,
    pub(super) count: u64,
    /// Width and length.
    pub(super) size: [f64; 2],
    /// Left edge, near end, width, length of each piece.
    pub(super) pieces: Vec<[f64; 4]>,
}

/// What a piece that stays is.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum What {
    /// A part of a board.
    Board {
        /// The board's name.
        of: String,
        /// Width and length in the board's own frame.
        size: [f64; 2],
        /// Veneers on its face that the board did not have, the outermost first.
        face: Vec<String>,
        /// The same on its back.
        back: Vec<String>,
    },
    /// A part of several boards that are glued to one another.
    Laminated,
    Strip,
    Bar,
    Tile,
}

/// Pieces that stay.
#[derive(Debug, Clone)]
pub(super) struct Stays {
    pub(super) what: What,
    pub(super) name: String,
    pub(super) count: u64,
    pub(super) section: Vec<[f64; 2]>,
    pub(super) length: f64,
}

/// The board that a piece comes from.
#[derive(Clone)]
struct Origin {
    board: String,
    layers: Vec<Band>,
    along_length: bool,
    strip: bool,
}

impl Done {
    /// Reads a plan.
    pub(super) fn parse(text: &str) -> Result<Self, RackError> {
        let no_plan = |why: &str| RackError::NoPlan(why.to_owned());
        let value: Value =
            serde_json::from_str(text).map_err(|e| no_plan(&format!("it is no JSON ({e})")))?;
        if value.get("schema").and_then(Value::as_str) != Some("plyloom-plan") {
            return Err(no_plan("its `schema` is not \"plyloom-plan\""));
        }
        if value.get("version").and_then(Value::as_u64) != Some(VERSION) {
            return Err(no_plan(
                "it has another version of the form: make the plan again",
            ));
        }
        if value.get("from_parts").is_some() {
            return Err(no_plan("it tells of tiles in hand alone"));
        }
        // Keys are sorted: spaces and line breaks make no other plan of it.
        let number = short(Sha256::digest(value.to_string()).as_slice());
        let json: Json =
            serde_json::from_value(value).map_err(|error| RackError::NoPlan(error.to_string()))?;
        if !json.suffices {
            return Err(RackError::Short);
        }
        let recipe = json.recipe.rsplit(['/', '\\']).next().unwrap_or_default();
        Ok(Self {
            number,
            recipe: recipe.to_owned(),
            boards: boards(&json),
            leaves: leaves(&json),
            parts: parts(&json),
            stays: stays(&json)?,
        })
    }
}

fn boards(json: &Json) -> Vec<Taken> {
    let mut all: Vec<Taken> = Vec::new();
    for line in &json.plan.boards {
        for (name, count) in &line.boards {
            let size = [line.width, line.length];
            let known = |t: &&mut Taken| t.name == *name && same_size(t.size, size);
            match all.iter_mut().find(known) {
                Some(taken) => taken.count += count,
                None => all.push(Taken {
                    name: name.clone(),
                    count: *count,
                    size,
                }),
            }
        }
    }
    all
}

fn parts(json: &Json) -> Vec<TakenParts> {
    let of = |of: &Of| {
        let piece = json.pieces.iter().find(|piece| piece.id == of.piece)?;
        let list = match piece.kind.as_str() {
            "tile" => List::Tile,
            "bar" => List::Bar,
            "strip" => List::Strip,
            _ => return None,
        };
        let name = of
            .piece
            .strip_prefix("tile ")
            .or_else(|| of.piece.strip_prefix("bar "));
        // A strip is named by its kind; a second length of it has a number behind.
        let name = name.unwrap_or(&of.piece);
        let base = if list == List::Strip {
            name.split('.').next()
        } else {
            None
        };
        Some(TakenParts {
            list,
            name: base.unwrap_or(name).to_owned(),
            count: of.count,
            length: piece.length,
        })
    };
    json.fetch.iter().filter_map(of).collect()
}

/// Whether two sizes are the same.
pub(super) fn same_size(one: [f64; 2], other: [f64; 2]) -> bool {
    (one[0] - other[0]).abs() < SAME && (one[1] - other[1]).abs() < SAME
}

fn leaves(json: &Json) -> Vec<TakenLeaves> {
    let lines = json.plan.veneers.iter();
    let all = lines.flat_map(|line| line.cut.iter().map(|cut| (&line.colour, cut)));
    all.map(|(colour, cut)| TakenLeaves {
        colour: colour.clone(),
        count: cut.count,
        size: [cut.width, cut.length],
        pieces: (cut.pieces.iter())
            .map(|p| [p.x, p.y, p.width, p.length])
            .collect(),
    })
    .collect()
}

/// The pieces that are there at the end: those that were fetched or made, without those that were used up.
/// Pieces that go back to the stock stay.
fn stays(json: &Json) -> Result<Vec<Stays>, RackError> {
    let pieces: BTreeMap<&str, &Piece> = json.pieces.iter().map(|p| (&*p.id, p)).collect();
    let piece = |id: &str| {
        let known = pieces.get(id).copied();
        known.ok_or_else(|| RackError::NoPlan(format!("no piece is called \"{id}\"")))
    };
    let names: BTreeSet<&str> = (json.plan.boards.iter())
        .flat_map(|line| line.boards.iter().map(|(name, _)| &**name))
        .collect();
    let mut origins: BTreeMap<&str, Origin> = BTreeMap::new();
    let mut there: BTreeMap<&str, u64> = BTreeMap::new();
    for of in &json.fetch {
        *there.entry(&of.piece).or_default() += of.count;
        if let Some(board) = board_of(&of.piece, &names) {
            let origin = Origin {
                board: board.to_owned(),
                layers: piece(&of.piece)?.layers.clone(),
                along_length: true,
                strip: false,
            };
            origins.insert(&of.piece, origin);
        }
    }
    for step in &json.steps {
        if step.work.does == "put_back" {
            continue;
        }
        for of in &step.takes {
            let left = there.get(&*of.piece).and_then(|n| n.checked_sub(of.count));
            let left = left.ok_or_else(|| {
                RackError::NoPlan(format!(
                    "a step takes more of \"{}\" than there is",
                    of.piece
                ))
            })?;
            there.insert(&of.piece, left);
        }
        let from = step.takes.iter().find_map(|of| origins.get(&*of.piece));
        let from = from.cloned().map(|origin| Origin {
            along_length: origin.along_length && step.work.along_length,
            strip: origin.strip || step.work.does == "crosscut_strips",
            ..origin
        });
        for of in &step.gives {
            *there.entry(&of.piece).or_default() += of.count;
            if let Some(from) = &from {
                origins.entry(&of.piece).or_insert_with(|| from.clone());
            }
        }
    }
    let mut all = Vec::new();
    for (id, &count) in there.iter().filter(|(_, count)| **count > 0) {
        let piece = piece(id)?;
        let Some(what) = what(piece, origins.get(*id), &json.plan.sheets) else {
            continue;
        };
        all.push(Stays {
            what,
            name: id.strip_prefix("tile ").unwrap_or(id).to_owned(),
            count,
            section: piece.section.clone(),
            length: piece.length,
        });
    }
    Ok(all)
}

/// The name on the rack of a board that is fetched: one name that stands for several plywoods is followed by what
/// the board becomes.
fn board_of<'a>(id: &str, names: &BTreeSet<&'a str>) -> Option<&'a str> {
    let begins = |name: &&&str| {
        id.strip_prefix(**name).is_some_and(|rest| {
            rest.is_empty() || rest.starts_with(" for ") || rest.starts_with('.')
        })
    };
    names.iter().filter(begins).max_by_key(|n| n.len()).copied()
}

/// What a piece is that stays; none for a panel.
fn what(piece: &Piece, origin: Option<&Origin>, sheets: &[SheetLine]) -> Option<What> {
    match (piece.kind.as_str(), origin) {
        ("strip", _) => Some(What::Strip),
        ("bar", _) => Some(What::Bar),
        ("tile", _) => Some(What::Tile),
        // Several bars that are glued to one another.
        ("loaf" | "slice", _) => Some(What::Laminated),
        ("rest", Some(origin)) if origin.strip => Some(What::Strip),
        ("rest" | "blank" | "sheet" | "board", Some(origin)) => {
            Some(part_of_board(piece, origin, sheets))
        }
        _ => None,
    }
}

fn part_of_board(piece: &Piece, origin: &Origin, sheets: &[SheetLine]) -> What {
    let board = &origin.layers;
    let fits = |&at: &usize| piece.layers[at..].starts_with(board);
    let mut at = (0..=piece.layers.len().saturating_sub(board.len())).filter(fits);
    let (Some(from), None) = (at.next(), at.next()) else {
        return What::Laminated;
    };
    let after = piece.layers.len() - from - board.len();
    let sheet = sheets.iter().find(|s| s.label == piece.sheet);
    let names = |count: usize, of: fn(&SheetLine) -> &Vec<String>, bands: &[Band]| {
        let known = sheet.map(of).filter(|names| names.len() == count);
        known
            .cloned()
            .unwrap_or_else(|| bands.iter().map(|b| b.colour.clone()).collect())
    };
    let face = names(from, |s| &s.face, &piece.layers[..from]);
    let outermost: Vec<Band> = piece.layers.iter().rev().take(after).cloned().collect();
    let back = names(after, |s| &s.back, &outermost);
    let across = width_through(&piece.section);
    let size = if origin.along_length {
        [across, piece.length]
    } else {
        [piece.length, across]
    };
    What::Board {
        of: origin.board.clone(),
        size,
        face,
        back,
    }
}
