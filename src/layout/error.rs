//! Why tiles do not make a panel.

use std::fmt;

use super::{
    cell::{Cell, NumberedCell},
    pieces::PiecesFault,
    shape,
};
use crate::geom::{Isometry, Polygon, angle, number::thousandth, region::RegionFault};

/// How many cells an error names before it only counts.
pub const NAMED: usize = 3;

/// A layout that cannot be glued. Columns and courses are counted from 0, as rules see them.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LayoutError {
    /// A lattice that needs another outline.
    #[error("`{lattice}` takes {wants}; this tile is {found}, which suits {instead}")]
    Unsuited {
        /// The lattice.
        lattice: &'static str,
        /// What it takes.
        wants: &'static str,
        /// What the tile is, with its article.
        found: String,
        /// The lattice that would suit it.
        instead: &'static str,
        /// By how many degrees it is to be rotated to suit this one; none where that does not help.
        turn: Option<f64>,
    },
    /// A step between cells that leads nowhere.
    #[error(
        "a step of a lattice must be longer than 0 and at most {} mm; ({x}, {y}) is not",
        super::lattice::LONGEST_STEP
    )]
    Step {
        /// To the right, in mm.
        x: f64,
        /// Down, in mm.
        y: f64,
    },
    /// A course's shift.
    #[error(
        "the shift of a course is a share of the tile's width from 0 to 1 and a plain fraction such as 1/2, 1/3 or 0.25, not {share}"
    )]
    Share {
        /// What was given.
        share: f64,
    },
    /// Cells that lie over each other.
    #[error(
        "these steps lay the tiles over each other: each block of the {lattice} is {area:.2} mm2 too small for its tiles"
    )]
    LatticeOverlap {
        /// The lattice.
        lattice: &'static str,
        /// Area in mm^2 that is lacking.
        area: f64,
    },
    /// Cells that run into each other.
    #[error("these steps lay the tiles of the {lattice} over each other by {depth:.3} mm")]
    CellsOverlap {
        /// The lattice.
        lattice: &'static str,
        /// Depth in mm.
        depth: f64,
    },
    /// Holes between cells.
    #[error(
        "these steps leave holes between the tiles: {area:.2} mm2 in each block of the {lattice} stay open"
    )]
    LatticeHole {
        /// The lattice.
        lattice: &'static str,
        /// Open area in mm^2 of each block.
        area: f64,
    },
    /// The recipe gives no size.
    #[error(
        "the panel has no size: say how many columns and courses it has, or its finished width and height, or both"
    )]
    NoSize,
    /// Columns or courses.
    #[error("a panel needs at least 1 column and 1 course and at most {most} of each, not {columns} x {courses}", most = super::limits::MOST_COUNTED)]
    Count {
        /// Columns asked for.
        columns: i64,
        /// Courses asked for.
        courses: i64,
    },
    /// A finished size.
    #[error("a finished size must be from {least} to {most} mm each way, not {width} x {height} mm", least = super::limits::SMALLEST, most = super::limits::LARGEST)]
    Size {
        /// Width asked for, in mm.
        width: f64,
        /// Height asked for, in mm.
        height: f64,
    },
    /// A shift of the pattern.
    #[error(
        "a shift must be a number of at most {} mm each way, not ({x}, {y})",
        super::limits::LARGEST
    )]
    Shift {
        /// To the right, in mm.
        x: f64,
        /// Down, in mm.
        y: f64,
    },
    /// More layers, in all the ways in which the tiles stand, than can be drawn.
    #[error("the tiles show more than {most} layers, each way in which they are turned counted")]
    TooManyLayers {
        /// How many may be shown.
        most: usize,
    },
    /// More tiles laid by hand than a bag holds.
    #[error("the bag holds just {held} of the tiles `{kind}`, and more of them are laid by hand")]
    Overdrawn {
        /// The kind.
        kind: String,
        /// How many of it there are.
        held: u64,
    },
    /// More tiles than this run may have.
    #[error("this panel takes {}{asked} tiles, more than the {limit} allowed", if *.at_least {"at least "} else {""})]
    TooManyTiles {
        /// How many it takes.
        asked: u64,
        /// Whether it may be even more.
        at_least: bool,
        /// How many may be.
        limit: usize,
    },
    /// The counted cells do not reach across the finished rectangle.
    #[error(
        "{columns} columns and {courses} courses do not cover the finished {width} x {height} mm: at the {sides}, {missing} more cells are needed ({}; counted from 0)",
        listed(.named, *.missing)
    )]
    NotCovered {
        /// Columns given.
        columns: u32,
        /// Courses given.
        courses: u32,
        /// Finished width in mm.
        width: f64,
        /// Finished height in mm.
        height: f64,
        /// Which sides stay open, in words.
        sides: String,
        /// How many cells are missing.
        missing: usize,
        /// The first of them.
        named: Vec<Cell>,
    },
    /// Cells without a tile.
    #[error("{missing} of {all} cells have no tile: {}", listed(.named, *.missing))]
    Empty {
        /// How many.
        missing: usize,
        /// How many cells there are.
        all: usize,
        /// The first of them.
        named: Vec<NumberedCell>,
    },
    /// A tile that its cell does not take.
    #[error("the tile `{kind}` ({pose}) does not fit at {cell}: {how}; {takes}")]
    Misfit {
        /// Kind of the tile.
        kind: String,
        /// How it stands, in words.
        pose: String,
        /// The cell.
        cell: NumberedCell,
        /// What is wrong, in words.
        how: String,
        /// What the cell takes, in words.
        takes: String,
    },
    /// A rule without tiles.
    #[error("a rule needs at least one tile to choose from")]
    NoTiles,
    /// Weights that are no weights.
    #[error("weights are numbers of at least 0, one for each tile, not all 0: {problem}")]
    Weights {
        /// What is wrong, in words.
        problem: String,
    },
    /// A bag with too few or too many tiles.
    #[error(
        "the bag `{name}` holds {held} tiles for {cells} cells: {} {}",
        .held.abs_diff(*.cells), if .held > .cells { "too many" } else { "too few" }
    )]
    Bag {
        /// Its name.
        name: String,
        /// How many tiles it holds.
        held: u64,
        /// How many cells there are to fill.
        cells: u64,
    },
    /// A radius that the corners of a rectangle cannot have.
    #[error(
        "corners cannot be rounded by {radius} mm: it takes more than 0 and at most {most} mm, half of the shorter side"
    )]
    Radius {
        /// As asked for.
        radius: f64,
        /// The largest.
        most: f64,
    },
    /// Too few or too many corners of an outline.
    #[error(
        "an outline has 3 to {} corners, not {corners}",
        super::trim::MOST_CORNERS
    )]
    Corners {
        /// How many were given.
        corners: usize,
    },
    /// An outline that encloses nothing, or crosses itself.
    #[error("the outline cannot be cut: {0}")]
    Outline(RegionFault),
    /// An outline in several pieces.
    #[error(
        "the outline is {pieces} shapes that lie apart: a panel is trimmed to one, with holes in it"
    )]
    OutlinesApart {
        /// How many.
        pieces: usize,
    },
    /// Pieces that cannot be cut out of the panel.
    #[error("{0}")]
    Pieces(PiecesFault),
    /// A panel without tiles.
    #[error("the panel has no tile{}", if *.trimmed { " within its finished size" } else { "" })]
    NoTile {
        /// Whether there are tiles outside the finished size.
        trimmed: bool,
    },
    /// Where a tile is placed.
    #[error(
        "a tile is placed at two numbers of at most {} mm, not ({x}, {y})",
        super::limits::LARGEST
    )]
    Position {
        /// To the right, in mm.
        x: f64,
        /// Down, in mm.
        y: f64,
    },
    /// Two placed tiles overlap.
    #[error("{first} and {second} overlap by {depth:.3} mm")]
    TilesOverlap {
        /// The one placed first.
        first: Placed,
        /// The other.
        second: Placed,
        /// Depth in mm.
        depth: f64,
    },
    /// Placed tiles leave something open.
    #[error("a hole is left open beside {beside}, near x {x:.2} mm, y {y:.2} mm")]
    Hole {
        /// A tile at its rim.
        beside: Placed,
        /// Where, in mm.
        x: f64,
        /// Where, in mm.
        y: f64,
    },
    /// Placed tiles that do not hang together.
    #[error(
        "the tiles fall into {groups} groups that no joint holds together; one of them begins with {with}"
    )]
    Apart {
        /// How many groups.
        groups: usize,
        /// A tile of the second one.
        with: Placed,
    },
}

impl LayoutError {
    /// The number, in the order of placing, of the freely placed tile that is to blame, the later one
    /// of two; none where it is none of them.
    pub fn placed(&self) -> Option<usize> {
        match self {
            Self::TilesOverlap { first, second, .. } => Some(first.number.max(second.number)),
            Self::Hole { beside: one, .. } | Self::Apart { with: one, .. } => Some(one.number),
            _ => None,
        }
    }

    /// The cell that a tile does not fit, where it is about one.
    pub fn cell(&self) -> Option<Cell> {
        match self {
            Self::Misfit { cell, .. } => Some(cell.cell),
            _ => None,
        }
    }
}

/// A freely placed tile, as errors name it.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Which one, from 0 in the order of placing.
    pub number: usize,
    /// Its kind.
    pub kind: String,
    /// Left end of its bounds, in mm.
    pub x: f64,
    /// Top end of its bounds, in mm.
    pub y: f64,
}

impl fmt::Display for Placed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "the {} tile placed (`{}`, at x {} mm, y {} mm)",
            ordinal(self.number + 1),
            self.kind,
            thousandth(self.x),
            thousandth(self.y)
        )
    }
}

impl fmt::Display for Cell {
    /// `column 3, course 2`; both counted from 0.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "column {}, course {}", self.column, self.course)
    }
}

impl LayoutError {
    pub(super) fn unsuited(lattice: &'static str, wants: &'static str, outline: &Polygon) -> Self {
        let name = shape::name(outline);
        let article = if name.starts_with(['e', 'i', 'o']) {
            "an"
        } else {
            "a"
        };
        let stands = if shape::is_level(outline) {
            ""
        } else if shape::is_upright(outline) {
            " with an upright edge"
        } else {
            " without a level or an upright edge"
        };
        Self::Unsuited {
            lattice,
            wants,
            found: format!("{article} {name}{stands}"),
            instead: shape::suiting(outline),
            turn: turn(lattice, outline),
        }
    }
}

/// The least turn clockwise, in degrees, after which an edge lies level and the outline suits the lattice.
fn turn(lattice: &str, outline: &Polygon) -> Option<f64> {
    let turns = outline.edges().map(|(a, b)| {
        let way = b - a;
        (-angle::direction(way.x, way.y)).rem_euclid(180.0)
    });
    let rounded = |degrees: f64| libm::round(degrees * 1e6) / 1e6;
    let suits = |degrees: &f64| {
        let turned = outline.moved(Isometry::turn(*degrees));
        *degrees > 0.0 && shape::suiting(&turned).contains(&format!("`{lattice}`"))
    };
    turns.map(rounded).filter(suits).min_by(f64::total_cmp)
}

impl fmt::Display for NumberedCell {
    /// `3-4 (column 3, course 2 in rules)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [course, number] = self.number;
        write!(f, "{course}-{number} ({} in rules)", self.cell)
    }
}

fn listed(named: &[impl ToString], all: usize) -> String {
    let list: Vec<String> = named.iter().map(ToString::to_string).collect();
    let more = match all.saturating_sub(named.len()) {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    format!("{}{more}", list.join("; "))
}

fn ordinal(n: usize) -> String {
    let end = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{n}{end}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ordinals() {
        let all = [1, 2, 3, 4, 11, 12, 13, 21, 22, 111].map(ordinal);
        assert_eq!(
            all.join(" "),
            "1st 2nd 3rd 4th 11th 12th 13th 21st 22nd 111th"
        );
    }

    #[test]
    fn says_how_many_and_names_a_few() {
        let cell = |column, number| NumberedCell {
            cell: Cell { column, course: 2 },
            number: [3, number],
        };
        let error = LayoutError::Empty {
            missing: 5,
            all: 9,
            named: vec![cell(-1, 1), cell(3, 5)],
        };
        assert_eq!(
            error.to_string(),
            "5 of 9 cells have no tile: 3-1 (column -1, course 2 in rules); 3-5 (column 3, course 2 in rules) and 3 more"
        );
    }
}
