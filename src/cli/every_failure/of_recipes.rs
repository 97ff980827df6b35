//! Ways to fail of wood, layouts and conditions.

use super::walked;
use crate::geom::Point;
use crate::geom::region::RegionFault;
use crate::layout::error::Placed;
use crate::layout::panel::Cell;
use crate::layout::pieces::PiecesFault;
use crate::layout::solver::{PanelSymmetry, RulesError};
use crate::layout::{LayoutError, NumberedCell};
use crate::stock::StockError;

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

#[allow(clippy::too_many_lines, reason = "a line or two for each kind")]
pub(super) fn layout() -> Vec<LayoutError> {
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

pub(super) fn stock() -> Vec<StockError> {
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

pub(super) fn rules() -> Vec<RulesError> {
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
