//! Every way to fail that the layers have, and what each door says of it: `tests/suite/failures.txt`.
//!
//! The enums are walked: a new kind without a case here does not compile.

use std::fmt::Write as _;
use std::path::PathBuf;
use std::{fs, io};

use super::trouble::Trouble;
use crate::explore::pinned::PinnedError;
use crate::files::FileError;
use crate::geom::Point;
use crate::geom::region::RegionFault;
use crate::layout::error::Placed;
use crate::layout::panel::Cell;
use crate::layout::pieces::PiecesFault;
use crate::layout::ruled::{PanelSymmetry, RulesError};
use crate::layout::{LayoutError, NumberedCell};
use crate::parcel::ParcelError;
use crate::recipe::failure::Failure;
use crate::recipe::fault::Fault;
use crate::recipe::kind::Kind;
use crate::recipe::misuse::Misuse;
use crate::recipe::store::ReadError;
use crate::session::{self, OpenError, RunError};
use crate::stock::StockError;

fn path() -> PathBuf {
    PathBuf::from("tray.rhai")
}

fn said() -> io::Error {
    io::Error::other("the system says no")
}

fn cell() -> Cell {
    Cell {
        column: 3,
        course: 2,
    }
}

fn numbered() -> NumberedCell {
    NumberedCell {
        cell: cell(),
        number: [3, 4],
    }
}

fn placed(number: usize) -> Placed {
    Placed {
        number,
        kind: "block".to_owned(),
        x: 12.0,
        y: 0.0,
    }
}

/// All kinds, from the first one on.
fn walked<T>(first: T, next: impl Fn(&T) -> Option<T>) -> Vec<T> {
    let mut all = vec![first];
    while let Some(one) = all.last().and_then(&next) {
        all.push(one);
    }
    all
}

fn read() -> Vec<ReadError> {
    use ReadError as E;
    walked(
        E::Missing {
            path: path(),
            near: vec!["trays.rhai".to_owned()],
        },
        |one| {
            Some(match one {
                E::Missing { .. } => E::Folder {
                    path: path(),
                    recipes: vec!["tray.rhai".to_owned()],
                },
                E::Folder { .. } => E::NotPlain { path: path() },
                E::NotPlain { .. } => E::TooLarge {
                    path: path(),
                    most: 1 << 20,
                },
                E::TooLarge { .. } => E::Picture {
                    path: PathBuf::from("tray.png"),
                },
                E::Picture { .. } => E::NotUtf8 {
                    path: path(),
                    offset: 11,
                    byte: 0xe9,
                    line: 2,
                    column: 3,
                    utf16: false,
                },
                E::NotUtf8 { .. } => E::Unreadable {
                    path: path(),
                    reason: "permission denied".to_owned(),
                },
                E::Unreadable { .. } => E::Outside { path: path() },
                E::Outside { .. } => return None,
            })
        },
    )
}

fn open() -> Vec<OpenError> {
    use OpenError as E;
    walked(E::Read(ReadError::NotPlain { path: path() }), |one| {
        Some(match one {
            E::Read(..) => E::Choice {
                path: PathBuf::from("tray.choice.toml"),
                error: PinnedError::Newer { found: 9 },
            },
            E::Choice { .. } => E::Beyond {
                choice: PathBuf::from("tray.choice.toml"),
                recipe: "../tray.rhai".to_owned(),
            },
            E::Beyond { .. } => E::NoRecipe {
                choice: PathBuf::from("tray.choice.toml"),
                recipe: "tray.txt".to_owned(),
            },
            E::NoRecipe { .. } => E::Pack {
                path: path(),
                error: ParcelError::NoRecipe,
            },
            E::Pack { .. } => return None,
        })
    })
}

fn parcel() -> Vec<ParcelError> {
    use ParcelError as E;
    walked(
        E::Unfit {
            part: "the recipe".to_owned(),
            line: 3,
            what: "a control character".to_owned(),
        },
        |one| {
            Some(match one {
                E::Unfit { .. } => E::NoPack,
                E::NoPack => E::Newer { found: 9 },
                E::Newer { .. } => E::Damaged {
                    line: 3,
                    why: "its end is missing".to_owned(),
                },
                E::Damaged { .. } => E::NoRecipe,
                E::NoRecipe => E::Picture {
                    form: "PNG",
                    why: "its end is missing".to_owned(),
                },
                E::Picture { .. } => return None,
            })
        },
    )
}

fn file() -> Vec<FileError> {
    use FileError as E;
    walked(E::Read(ReadError::NotPlain { path: path() }), |one| {
        Some(match one {
            E::Read(..) => E::TooLong {
                path: path(),
                most: 1 << 24,
            },
            E::TooLong { .. } => E::Busy {
                folder: PathBuf::from("sweep"),
            },
            E::Busy { .. } => E::NoFolder {
                path: PathBuf::from("out/tray.svg"),
                folder: PathBuf::from("out"),
            },
            E::NoFolder { .. } => E::InTheWay { path: path() },
            E::InTheWay { .. } => E::FileInTheWay { path: path() },
            E::FileInTheWay { .. } => E::Outside {
                path: path(),
                folder: PathBuf::from("sweep"),
            },
            E::Outside { .. } => E::Exists { path: path() },
            E::Exists { .. } => E::Protected {
                path: path(),
                source: said(),
            },
            E::Protected { .. } => E::HeldOpen { path: path() },
            E::HeldOpen { .. } => E::Full {
                path: path(),
                source: said(),
            },
            E::Full { .. } => E::Unwritable {
                path: path(),
                source: said(),
            },
            E::Unwritable { .. } => return None,
        })
    })
}

#[allow(clippy::too_many_lines, reason = "a line or two for each kind")]
fn layout() -> Vec<LayoutError> {
    use LayoutError as E;
    walked(
        E::Unsuited {
            lattice: "squares",
            wants: "a rectangle with level edges",
            found: "a square without a level or an upright edge".to_owned(),
            instead: "`rhombi`",
            turn: Some(45.0),
        },
        |one| {
            Some(match one {
                E::Unsuited { .. } => E::Step { x: 0.0, y: 0.0 },
                E::Step { .. } => E::Share { share: 2.0 },
                E::Share { .. } => E::LatticeOverlap {
                    lattice: "lattice",
                    area: 12.0,
                },
                E::LatticeOverlap { .. } => E::CellsOverlap {
                    lattice: "lattice",
                    depth: 1.5,
                },
                E::CellsOverlap { .. } => E::LatticeHole {
                    lattice: "lattice",
                    area: 12.0,
                },
                E::LatticeHole { .. } => E::NoSize,
                E::NoSize => E::Count {
                    columns: 0,
                    courses: 3,
                },
                E::Count { .. } => E::Size {
                    width: 0.0,
                    height: 200.0,
                },
                E::Size { .. } => E::Shift { x: 1e9, y: 0.0 },
                E::Shift { .. } => E::TooManyLayers { most: 300_000 },
                E::TooManyLayers { .. } => E::Overdrawn {
                    kind: "block".to_owned(),
                    held: 4,
                },
                E::Overdrawn { .. } => E::TooManyTiles {
                    asked: 1000,
                    at_least: false,
                    limit: 100,
                },
                E::TooManyTiles { .. } => E::NotCovered {
                    columns: 2,
                    courses: 2,
                    width: 300.0,
                    height: 200.0,
                    sides: "right".to_owned(),
                    missing: 1,
                    named: vec![cell()],
                },
                E::NotCovered { .. } => E::Empty {
                    missing: 1,
                    all: 9,
                    named: vec![numbered()],
                },
                E::Empty { .. } => E::Misfit {
                    kind: "block".to_owned(),
                    pose: "turned by 30°".to_owned(),
                    cell: numbered(),
                    how: "it reaches out by 2 mm".to_owned(),
                    takes: "0° and 90°".to_owned(),
                },
                E::Misfit { .. } => E::NoTiles,
                E::NoTiles => E::Weights {
                    problem: "there are 2 of them for 3".to_owned(),
                },
                E::Weights { .. } => E::Bag {
                    name: "all".to_owned(),
                    held: 5,
                    cells: 9,
                },
                E::Bag { .. } => E::Radius {
                    radius: 200.0,
                    most: 100.0,
                },
                E::Radius { .. } => E::Corners { corners: 2 },
                E::Corners { .. } => E::Outline(RegionFault::Crosses {
                    at: Point::new(12.0, 8.5),
                }),
                E::Outline(RegionFault::Crosses { .. }) => E::Outline(RegionFault::NoArea),
                E::Outline(RegionFault::NoArea) => E::Outline(RegionFault::NotFinite),
                E::Outline(RegionFault::NotFinite) => E::Outline(RegionFault::TooMany),
                E::Outline(RegionFault::TooMany) => E::OutlinesApart { pieces: 2 },
                E::OutlinesApart { .. } => E::Pieces(PiecesFault::Count { count: 0 }),
                E::Pieces(PiecesFault::Count { .. }) => E::Pieces(PiecesFault::SizeAfter),
                E::Pieces(PiecesFault::SizeAfter) => E::Pieces(PiecesFault::Twice {
                    name: "lid".to_owned(),
                }),
                E::Pieces(PiecesFault::Twice { .. }) => E::Pieces(PiecesFault::SomePlaced {
                    placed: "lid".to_owned(),
                    other: "foot".to_owned(),
                }),
                E::Pieces(PiecesFault::SomePlaced { .. }) => E::Pieces(PiecesFault::Off {
                    name: "lid".to_owned(),
                    width: 300.0,
                    height: 200.0,
                }),
                E::Pieces(PiecesFault::Off { .. }) => E::Pieces(PiecesFault::Overlap {
                    first: "lid".to_owned(),
                    second: "foot".to_owned(),
                }),
                E::Pieces(PiecesFault::Overlap { .. }) => E::Pieces(PiecesFault::Near {
                    first: "lid".to_owned(),
                    second: "foot".to_owned(),
                    gap: 2.5,
                    kerf: 4.0,
                }),
                E::Pieces(PiecesFault::Near { .. }) => E::NoTile { trimmed: true },
                E::NoTile { .. } => E::Position { x: 1e9, y: 0.0 },
                E::Position { .. } => E::TilesOverlap {
                    first: placed(0),
                    second: placed(1),
                    depth: 2.0,
                },
                E::TilesOverlap { .. } => E::Hole {
                    beside: placed(0),
                    x: 12.0,
                    y: 6.0,
                },
                E::Hole { .. } => E::Apart {
                    groups: 2,
                    with: placed(1),
                },
                E::Apart { .. } => return None,
            })
        },
    )
}

fn stock() -> Vec<StockError> {
    use StockError as E;
    walked(E::Thickness { thickness: -1.0 }, |one| {
        Some(match one {
            E::Thickness { .. } => E::NoLayers,
            E::NoLayers => E::TooManyLayers { count: 900 },
            E::TooManyLayers { .. } => E::Width { width: 0.0 },
            E::Width { .. } => E::EdgeAngle { angle: 190.0 },
            E::EdgeAngle { .. } => E::BevelsMeet {
                width: 10.0,
                needed: 20.4,
            },
            E::BevelsMeet { .. } => E::CutMisses {
                at: 50.0,
                width: 40.0,
            },
            E::CutMisses { .. } => E::NotSymmetric {
                shape: "parallelogram",
            },
            E::NotSymmetric { .. } => E::NoSuchEdge {
                edge: "top".to_owned(),
                found: "no",
                shape: "triangle",
                known: "\"right\", \"bottom\", \"left\"".to_owned(),
            },
            E::NoSuchEdge { .. } => E::NoStrips,
            E::NoStrips => E::TooManyStrips { count: 900 },
            E::TooManyStrips { .. } => E::NoSuchPart { part: 4, count: 3 },
            E::NoSuchPart { .. } => E::NotForHexagon {
                part: 2,
                shape: "square",
            },
            E::NotForHexagon { .. } => E::HexagonCount { sixths: 4 },
            E::HexagonCount { .. } => E::HexagonAngle {
                part: 1,
                shape: "rhombus",
                angle: 55.0,
                count: 3,
                alone: true,
            },
            E::HexagonAngle { .. } => E::JointGap {
                a: 1,
                a_edge: 2,
                b: 2,
                b_edge: 4,
                gap: 0.3,
            },
            E::JointGap { .. } => E::PartsOverlap {
                a: 1,
                a_edge: 2,
                b: 3,
                b_edge: 1,
                depth: 0.3,
            },
            E::PartsOverlap { .. } => E::Apart { groups: 2 },
            E::Apart { .. } => E::Hollow { area: 12.0 },
            E::Hollow { .. } => return None,
        })
    })
}

fn rules() -> Vec<RulesError> {
    use RulesError as E;
    walked(E::TooLarge { cells: 9000 }, |one| {
        Some(match one {
            E::TooLarge { .. } => E::NoTile {
                cells: vec![cell()],
            },
            E::NoTile { .. } => E::Contradiction {
                rules: vec!["neighbours differ".to_owned(), "lines run on".to_owned()],
            },
            E::Contradiction { .. } => E::GaveUp { conflicts: 9000 },
            E::GaveUp { .. } => E::TooManyTiles { tiles: 900 },
            E::TooManyTiles { .. } => E::TooMuch,
            E::TooMuch => E::Lopsided {
                symmetry: PanelSymmetry::HalfTurn,
            },
            E::Lopsided { .. } => E::NoRun,
            E::NoRun => E::Layout(LayoutError::NoTiles),
            E::Layout(_) => return None,
        })
    })
}

/// What the terminal says.
fn terminal(told: &mut String, trouble: &Trouble) {
    let _ = writeln!(told, "  {}: {trouble}", trouble.code());
    if let Some(help) = trouble.help() {
        let _ = writeln!(told, "    help: {help}");
    }
}

/// What the page says.
fn page(told: &mut String, error: &RunError) {
    let fault = serde_json::to_value(session::fault::Fault::of(error)).expect("a fault is data");
    let _ = writeln!(
        told,
        "  page: {}",
        fault["message"].as_str().unwrap_or_default()
    );
    let _ = writeln!(
        told,
        "    try: {}",
        fault["help"].as_str().unwrap_or_default()
    );
}

fn failed(fault: Fault) -> Failure {
    Failure {
        code: fault.kind.code(),
        kind: fault.kind,
        message: fault.message,
        place: None,
        label: None,
        help: fault.help,
        inside: Vec::new(),
        trace: Vec::new(),
        sources: Vec::new(),
        sought: Vec::new(),
    }
}

#[test]
fn every_failure_is_told_at_every_door() {
    let mut told = String::new();
    told.push_str("A text that cannot be had\n");
    for error in read() {
        page(&mut told, &OpenError::from(error.clone()).into());
        terminal(&mut told, &Trouble::from(error));
    }
    told.push_str("A recipe that cannot be opened\n");
    for error in open() {
        page(&mut told, &error.clone().into());
        terminal(&mut told, &Trouble::from(error));
    }
    told.push_str("A pack or picture that cannot be taken apart\n");
    for error in parcel() {
        let path = PathBuf::from("tray.pack");
        let error = OpenError::Pack { path, error };
        page(&mut told, &error.clone().into());
        terminal(&mut told, &Trouble::from(error));
    }
    told.push_str("A file\n");
    for error in file() {
        terminal(&mut told, &Trouble::from(error));
    }
    told.push_str("Wood\n");
    for error in stock() {
        of_recipe(&mut told, error.into());
    }
    told.push_str("A layout\n");
    for error in layout() {
        of_recipe(&mut told, error.into());
    }
    told.push_str("A word that stands where it cannot\n");
    for misuse in Misuse::each() {
        of_recipe(&mut told, misuse.into());
    }
    told.push_str("Conditions\n");
    for error in rules() {
        of_recipe(&mut told, error.into());
    }
    told.push_str("The codes of a recipe's failures\n");
    for kind in Kind::each() {
        let _ = writeln!(told, "  {}", kind.code());
    }
    let told = told.replace(env!("CARGO_PKG_VERSION"), "VERSION");
    let kept = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/suite/failures.txt");
    if std::env::var_os("PLYLOOM_BLESS").is_some() {
        fs::write(kept, &told).expect("the text is written");
    }
    let kept = fs::read_to_string(kept)
        .unwrap_or_default()
        .replace('\r', "");
    assert_eq!(told, kept);
}

fn of_recipe(told: &mut String, fault: Fault) {
    let failure = failed(fault);
    page(told, &RunError::Recipe(Box::new(failure.clone())));
    terminal(told, &Trouble::from(failure));
}
