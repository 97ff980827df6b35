//! Tiles placed freely: each where the maker puts it, checked to lie beside one another.

use smallvec::smallvec;

use super::{
    Extent, LayoutError,
    edges::shared,
    error::Placed,
    faces::Faces,
    limits::LARGEST,
    panel::{Cell, JointCount, Panel, PlacedTile},
    shape::Shape,
    trim::Trim,
};
use crate::watch;
use crate::{
    geom::{Isometry, Point, Polygon, Rect, TOLERANCE, near::Near, outline::outline},
    stock::Tile,
};

/// Tiles placed one by one.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Placements {
    tiles: Vec<(Tile, Point)>,
}

impl Placements {
    /// Places a tile with the top left of its bounds at (x, y), in mm.
    ///
    /// # Errors
    /// When a coordinate is no number or too large.
    pub fn place(&mut self, tile: Tile, x: f64, y: f64) -> Result<(), LayoutError> {
        if x.abs() <= LARGEST && y.abs() <= LARGEST {
            self.tiles.push((tile, Point::new(x, y)));
            Ok(())
        } else {
            Err(LayoutError::Position { x, y })
        }
    }

    /// The panel that the tiles make: trimmed to the finished size of `extent` where it has one,
    /// its shift applied; else with the rim as the tiles make it.
    ///
    /// # Errors
    /// When there is no tile, when two overlap, when a hole stays open, or when the tiles fall
    /// apart.
    pub fn resolve(&self, name: &str, extent: &Extent) -> Result<Panel, LayoutError> {
        if self.tiles.is_empty() {
            return Err(LayoutError::NoTile { trimmed: false });
        }
        let laid: Vec<Positioned> = self
            .tiles
            .iter()
            .map(|(tile, at)| Positioned::new(tile, *at + extent.shifted()))
            .collect();
        let near = Near::of(laid.iter().map(|l| l.bounds), TOLERANCE);
        self.check_overlaps(&laid, &near)?;
        let trim = extent.trim();
        self.check_holes(&laid, trim)?;
        let kept: Vec<usize> = (0..laid.len())
            .filter(|&i| trim.is_none_or(|t| laid[i].reaches(t)))
            .collect();
        if kept.is_empty() {
            return Err(LayoutError::NoTile { trimmed: true });
        }
        let all = laid
            .iter()
            .fold(laid[0].bounds, |all, l| all.join(l.bounds));
        let origin = if trim.is_some() { Point::ZERO } else { all.min };
        let mut faces = Faces::default();
        let tiles: Vec<PlacedTile> = kept
            .iter()
            .map(|&i| {
                Ok(PlacedTile {
                    face: faces.number(&self.tiles[i].0, Isometry::IDENTITY)?,
                    at: laid[i].at - origin,
                    cell: cell(i),
                    whole: trim.is_none_or(|t| {
                        t.holds(laid[i].bounds, || laid[i].shape.outline.clone(), TOLERANCE)
                    }),
                })
            })
            .collect::<Result<_, LayoutError>>()?;
        let joints = joints(&faces, &tiles, &laid, &kept, &near, trim);
        Ok(Panel {
            name: name.to_owned(),
            faces: faces.into_list(),
            tiles,
            trim: trim.cloned(),
            bounds: trim.map_or(Rect::sized(all.width(), all.height()), Trim::bounds),
            joints,
            laid_on: None,
            pieces: extent.pieces().clone(),
        })
    }

    fn placed(&self, number: usize) -> Placed {
        let (tile, at) = &self.tiles[number];
        Placed {
            number,
            kind: tile.kind.name().to_owned(),
            x: at.x,
            y: at.y,
        }
    }

    fn check_overlaps(&self, laid: &[Positioned], near: &Near) -> Result<(), LayoutError> {
        for (i, tile) in laid.iter().enumerate() {
            watch::ask();
            for j in after(near, i, tile.bounds) {
                if let Some(depth) = tile.shape.overlap(&laid[j].shape) {
                    return Err(LayoutError::TilesOverlap {
                        first: self.placed(i),
                        second: self.placed(j),
                        depth,
                    });
                }
            }
        }
        Ok(())
    }

    fn check_holes(&self, laid: &[Positioned], trim: Option<&Trim>) -> Result<(), LayoutError> {
        let outlines: Vec<Polygon> = laid.iter().map(|l| l.shape.outline.clone()).collect();
        let rim = outline(&outlines, TOLERANCE);
        let hole = |at: Point, beside: usize| {
            let from = self.tiles[beside].1 - laid[beside].bounds.min;
            Err(LayoutError::Hole {
                beside: self.placed(beside),
                x: (at + from).x,
                y: (at + from).y,
            })
        };
        if let Some(trim) = trim {
            let open = rim.open.iter().find_map(|&(a, b, owner)| {
                let &(from, to) = trim.along((a, b)).first()?;
                let middle = f64::midpoint(from, to) / a.distance(b);
                Some((a.towards(b, middle), owner))
            });
            return match open {
                Some((at, owner)) => hole(at, owner),
                None => Ok(()),
            };
        }
        if let Some(found) = rim.holes.first() {
            return hole(found.polygon.centroid(), found.owners[0]);
        }
        if rim.rims.len() > 1 {
            return Err(LayoutError::Apart {
                groups: rim.rims.len(),
                with: self.placed(rim.rims[1].owners[0]),
            });
        }
        Ok(())
    }
}

fn cell(number: usize) -> Cell {
    Cell {
        column: i32::try_from(number).expect("invariant: fewer tiles than that"),
        course: 0,
    }
}

/// A tile where it lies.
struct Positioned {
    shape: Shape,
    bounds: Rect,
    at: Point,
}

impl Positioned {
    fn new(tile: &Tile, top_left: Point) -> Self {
        let shape = Shape::of(tile);
        let at = top_left - shape.outline.bounds().min;
        let shape = shape.moved(Isometry::shift(at));
        Self {
            bounds: shape.outline.bounds(),
            shape,
            at,
        }
    }

    /// Whether it reaches into a rectangle by more than the tolerance.
    fn reaches(&self, trim: &Trim) -> bool {
        trim.reaches(&self.shape.outline)
    }
}

/// Tiles placed after tile `i` that may touch its bounds.
fn after(near: &Near, i: usize, bounds: Rect) -> impl Iterator<Item = usize> {
    near.touching(bounds).into_iter().filter(move |&j| j > i)
}

fn joints(
    faces: &Faces,
    tiles: &[PlacedTile],
    laid: &[Positioned],
    kept: &[usize],
    near: &Near,
    trim: Option<&Trim>,
) -> JointCount {
    let mut sum = JointCount::default();
    for (n, &i) in kept.iter().enumerate() {
        watch::ask();
        for j in after(near, i, laid[i].bounds) {
            let Ok(m) = kept.binary_search(&j) else {
                continue;
            };
            for (a, mine) in edges(faces, tiles[n].face, laid[i].at) {
                for (b, theirs) in edges(faces, tiles[m].face, laid[j].at) {
                    let Some(piece) = shared(mine, theirs) else {
                        continue;
                    };
                    let pieces = trim.map_or_else(|| smallvec![piece], |t| piece.within(mine, t));
                    for piece in pieces {
                        let profile = |tile: usize, edge| faces.profile(tiles[tile].face, edge);
                        sum.all += 1;
                        sum.matched += u64::from(piece.matches(profile(n, a), profile(m, b)));
                    }
                }
            }
        }
    }
    sum
}

fn edges(
    faces: &Faces,
    face: u32,
    at: Point,
) -> impl Iterator<Item = (usize, (Point, Point))> + '_ {
    faces
        .face(face)
        .outline()
        .edges()
        .map(move |(a, b)| (a + at, b + at))
        .enumerate()
}
