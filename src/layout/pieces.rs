//! Pieces that are cut out of one panel: where each lies on it, and each as a panel of its own.

use super::apart::gap;
use super::nesting::{MORE, Turns, nested};
use super::trim::Trim;
use crate::geom::{Point, Rect, TOLERANCE};
use crate::watch;

/// The most pieces of a panel.
pub const MOST_PIECES: usize = 200;

/// A piece of a panel.
#[derive(Debug, Clone, PartialEq)]
pub struct PanelPiece {
    /// Its name.
    pub name: String,
    /// Its outline where it lies on the panel.
    pub outline: Trim,
}

/// What a panel is cut into; nothing where it stays whole.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Pieces {
    /// The pieces, in order.
    pub list: Vec<PanelPiece>,
    /// What a cut between two of them may take, in mm.
    pub kerf: f64,
}

/// A piece before it has its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Unplaced {
    /// Its name.
    pub name: String,
    /// Its outline, from (0, 0).
    pub outline: Trim,
    /// Where its left and top come to lie; none where a place is to be found.
    pub at: Option<Point>,
}

/// Why pieces cannot be cut out of a panel.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PiecesFault {
    /// None, or too many.
    #[error("a panel is cut into 1 to {MOST_PIECES} pieces, not {count}")]
    Count {
        /// How many.
        count: usize,
    },
    /// The finished size is given after the pieces.
    #[error("the panel has its pieces already: its finished size goes before them")]
    SizeAfter,
    /// One name twice.
    #[error("two pieces are called {name:?}")]
    Twice {
        /// The name.
        name: String,
    },
    /// Some pieces have places and some have none.
    #[error(
        "{placed:?} has a place and {other:?} has none: give places to all of them, or to none"
    )]
    SomePlaced {
        /// One with a place.
        placed: String,
        /// One without.
        other: String,
    },
    /// A piece that lies not wholly on the panel.
    #[error(
        "the piece {name:?} does not lie wholly on the panel, which is {width:.1} x {height:.1} mm"
    )]
    Off {
        /// Which.
        name: String,
        /// The panel's width in mm.
        width: f64,
        /// Its height.
        height: f64,
    },
    /// Two that overlap.
    #[error("the pieces {first:?} and {second:?} overlap")]
    Overlap {
        /// One.
        first: String,
        /// The other.
        second: String,
    },
    /// Two with too little between them.
    #[error(
        "between the pieces {first:?} and {second:?} are {gap:.2} mm, and the cut takes {kerf} mm"
    )]
    Near {
        /// One.
        first: String,
        /// The other.
        second: String,
        /// How far they lie apart, in mm.
        gap: f64,
        /// How wide the cut is.
        kerf: f64,
    },
}

/// The pieces in their places, with the kerf between them, and the rectangle that they take: they have places, or are
/// laid within a panel's bounds where it has some. That is in rows, in the order in which they come, or, where it is said
/// how they may be turned, nested by their outlines where that takes less.
///
/// # Errors
/// As [`PiecesFault`].
pub fn placed(
    pieces: Vec<Unplaced>,
    kerf: f64,
    nest: Option<Turns>,
    on: Option<&Trim>,
) -> Result<(Pieces, Rect), PiecesFault> {
    let count = pieces.len();
    if !(1..=MOST_PIECES).contains(&count) {
        return Err(PiecesFault::Count { count });
    }
    for (i, piece) in pieces.iter().enumerate() {
        if pieces[..i].iter().any(|other| other.name == piece.name) {
            return Err(PiecesFault::Twice {
                name: piece.name.clone(),
            });
        }
    }
    let with = pieces.iter().find(|piece| piece.at.is_some());
    let without = pieces.iter().find(|piece| piece.at.is_none());
    if let (Some(placed), Some(other)) = (with, without) {
        return Err(PiecesFault::SomePlaced {
            placed: placed.name.clone(),
            other: other.name.clone(),
        });
    }
    let places: Vec<Trim> = match without {
        Some(_) => laid(&pieces, kerf, nest, on.map(Trim::bounds)),
        None => (pieces.iter())
            .filter_map(|piece| Some(piece.outline.shifted(piece.at?)))
            .collect(),
    };
    let list: Vec<PanelPiece> = (pieces.into_iter().zip(places))
        .map(|(piece, outline)| PanelPiece {
            name: piece.name,
            outline,
        })
        .collect();
    let bounds = list.iter().map(|piece| piece.outline.bounds());
    let bounds = bounds.reduce(Rect::join).unwrap_or(Rect::sized(0.0, 0.0));
    // Without a size, the panel begins at (0, 0) and ends with the pieces.
    let whole = Rect {
        min: Point::ZERO,
        max: bounds.max,
    };
    let whole = on.cloned().unwrap_or_else(|| whole.into());
    for piece in &list {
        if !lies_on(&piece.outline, &whole) {
            return Err(PiecesFault::Off {
                name: piece.name.clone(),
                width: whole.bounds().width(),
                height: whole.bounds().height(),
            });
        }
    }
    for (i, second) in list.iter().enumerate() {
        for first in &list[..i] {
            let gap = gap(&first.outline, &second.outline, kerf);
            let (first, second) = (first.name.clone(), second.name.clone());
            if gap <= 0.0 {
                return Err(PiecesFault::Overlap { first, second });
            }
            if gap < kerf - 1e-6 {
                return Err(PiecesFault::Near {
                    first,
                    second,
                    gap,
                    kerf,
                });
            }
        }
    }
    Ok((Pieces { list, kerf }, whole.bounds()))
}

/// Pieces without places where they come to lie: in rows, or nested where that takes a smaller rectangle or less of the
/// panel's height.
fn laid(pieces: &[Unplaced], kerf: f64, nest: Option<Turns>, room: Option<Rect>) -> Vec<Trim> {
    let places = in_rows(pieces, kerf, room);
    let rows = pieces.iter().zip(places);
    let rows: Vec<Trim> = rows.map(|(piece, at)| piece.outline.shifted(at)).collect();
    let outlines = pieces.iter().map(|piece| piece.outline.clone());
    let outlines: Vec<Trim> = outlines.collect();
    let Some(nested) = nest.and_then(|turns| nested(&outlines, kerf, room, turns)) else {
        return rows;
    };
    let takes = |all: &[Trim]| {
        let around = all.iter().map(Trim::bounds).reduce(Rect::join);
        around.map_or(0.0, |around| match room {
            Some(room) if around.max.x > room.width() + 1e-6 => f64::INFINITY,
            Some(_) => around.max.y,
            None => around.max.x * around.max.y,
        })
    };
    if takes(&nested) < takes(&rows) - 1e-6 {
        nested
    } else {
        rows
    }
}

/// Places in rows from the left and the top: as wide as the room; without one, in the rectangle nearest to a square of
/// those that take little more than the smallest.
fn in_rows(pieces: &[Unplaced], kerf: f64, room: Option<Rect>) -> Vec<Point> {
    let sizes: Vec<Rect> = pieces.iter().map(|p| p.outline.bounds()).collect();
    let rows = |most: f64| {
        let (mut at, mut next, mut all) = (Point::ZERO, 0.0_f64, Point::ZERO);
        let place = |size: &Rect| {
            if at.x > 0.0 && at.x + size.width() > most + 1e-9 {
                at = Point::new(0.0, next);
            }
            let here = at;
            at.x += size.width() + kerf;
            next = next.max(here.y + size.height() + kerf);
            all = Point::new(all.x.max(at.x - kerf), all.y.max(here.y + size.height()));
            here
        };
        let places: Vec<Point> = sizes.iter().map(place).collect();
        (places, all)
    };
    if let Some(room) = room {
        return rows(room.width()).0;
    }
    let mut wide = -kerf;
    let mut all: Vec<(Vec<Point>, Point)> = Vec::new();
    for size in &sizes {
        watch::ask();
        wide += size.width() + kerf;
        all.push(rows(wide));
    }
    let area = |size: Point| size.x * size.y;
    let least = all
        .iter()
        .map(|(_, size)| area(*size))
        .fold(f64::INFINITY, f64::min);
    all.retain(|(_, size)| area(*size) <= least * MORE);
    let longer = |size: Point| size.x.max(size.y);
    // Of two rectangles of the same quality, the wider one.
    let best = (all.into_iter().rev()).min_by(|a, b| longer(a.1).total_cmp(&longer(b.1)));
    best.map_or_else(Vec::new, |(places, _)| places)
}

fn lies_on(piece: &Trim, panel: &Trim) -> bool {
    if !panel.bounds().holds(piece.bounds(), 1e-6) {
        return false;
    }
    let rims = piece.loops();
    let (rim, holes) = rims.split_first().expect("invariant: an outline has a rim");
    let lost = rim.area() - panel.area_of(rim);
    // What a hole of the piece leaves away may be a hole of the panel.
    let open: f64 = holes
        .iter()
        .map(|hole| hole.area() - panel.area_of(hole))
        .sum();
    lost - open <= TOLERANCE * rim.perimeter()
}
