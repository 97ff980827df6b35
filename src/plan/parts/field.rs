//! The recipe's panel as columns and courses, and where a mirror line can run along or through each tile. Lengths in
//! mm.

use super::error::PartsError;
use crate::{
    geom::{Isometry, Point, Polygon, Rect, TOLERANCE},
    layout::panel::Panel,
    stock::Face,
};

/// Where a mirror line runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Seam {
    /// There is none.
    None,
    /// Along a seam between tiles.
    Between,
    /// Through the middle of tiles.
    Through,
    /// Through a tile in some lines of tiles, along a seam in the others.
    InTurn,
}

/// A cell of the recipe's panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// The kind of its tile.
    pub kind: usize,
    /// Where its right side lies, where that is one upright line.
    pub right: Option<f64>,
    /// Where its lower side lies, where that is one level line.
    pub bottom: Option<f64>,
    /// Where its middle lies across, where it is its own mirror image left for right.
    pub middle_x: Option<f64>,
    /// Where its middle lies down, where it is its own mirror image upside down.
    pub middle_y: Option<f64>,
    /// What it covers.
    pub bounds: Rect,
}

/// The recipe's panel as columns and courses.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    /// Names of the kinds.
    pub kinds: Vec<String>,
    /// How many columns.
    pub columns: usize,
    /// How many courses.
    pub courses: usize,
    /// The cells, course by course; none where no tile lies.
    pub spots: Vec<Option<Spot>>,
}

impl Field {
    /// The cells of a panel.
    ///
    /// # Errors
    /// When its tiles are placed freely, one upon another's cell.
    pub fn of(panel: &Panel) -> Result<Self, PartsError> {
        let cells = || panel.tiles.iter().map(|t| t.cell);
        let (Some(left), Some(top), Some(right), Some(bottom)) = (
            cells().map(|c| c.column).min(),
            cells().map(|c| c.course).min(),
            cells().map(|c| c.column).max(),
            cells().map(|c| c.course).max(),
        ) else {
            return Err(PartsError::NoGrid);
        };
        let span = |from: i32, to: i32| usize::try_from(i64::from(to) - i64::from(from) + 1);
        let (Ok(columns), Ok(courses)) = (span(left, right), span(top, bottom)) else {
            return Err(PartsError::NoGrid);
        };
        // On a lattice only slanting ends leave places empty.
        if columns.saturating_mul(courses) > 4 * panel.tiles.len() + 10_000 {
            return Err(PartsError::NoGrid);
        }
        // Tiles placed one by one are numbered along one course, wherever they lie.
        let downs = || panel.tiles.iter().map(|t| t.at.y);
        let reach = downs().fold(f64::MIN, f64::max) - downs().fold(f64::MAX, f64::min);
        let heights = panel.faces.iter().map(|f| f.face.bounds().height());
        if courses == 1 && reach > heights.fold(0.0, f64::max) {
            return Err(PartsError::NoGrid);
        }
        let mut kinds: Vec<String> = Vec::new();
        let sides: Vec<(usize, Sides)> = panel
            .faces
            .iter()
            .map(|placed| {
                let name = placed.kind.name();
                let kind = kinds.iter().position(|k| k == name).unwrap_or_else(|| {
                    kinds.push(name.to_owned());
                    kinds.len() - 1
                });
                (kind, Sides::of(&placed.face))
            })
            .collect();
        let mut spots = vec![None; columns * courses];
        for tile in &panel.tiles {
            let (kind, side) = &sides[tile.face as usize];
            let column = usize::try_from(tile.cell.column - left).unwrap_or(0);
            let course = usize::try_from(tile.cell.course - top).unwrap_or(0);
            let spot = &mut spots[course * columns + column];
            if spot.is_some() {
                return Err(PartsError::NoGrid);
            }
            *spot = Some(Spot {
                kind: *kind,
                right: side.right.map(|x| x + tile.at.x),
                bottom: side.bottom.map(|y| y + tile.at.y),
                middle_x: side.mirror_x.then_some(tile.at.x),
                middle_y: side.mirror_y.then_some(tile.at.y),
                bounds: side.bounds.shifted(tile.at),
            });
        }
        Ok(Self {
            kinds,
            columns,
            courses,
            spots,
        })
    }

    pub(super) fn spot(&self, column: usize, course: usize) -> Option<&Spot> {
        self.spots[course * self.columns + column].as_ref()
    }

    /// Transposed: columns become courses, and left becomes top.
    pub(super) fn changed_round(&self) -> Self {
        let round = |p: Point| Point::new(p.y, p.x);
        let spots = (0..self.columns)
            .flat_map(|column| (0..self.courses).map(move |course| (column, course)))
            .map(|(column, course)| {
                self.spot(column, course).map(|spot| Spot {
                    kind: spot.kind,
                    right: spot.bottom,
                    bottom: spot.right,
                    middle_x: spot.middle_y,
                    middle_y: spot.middle_x,
                    bounds: Rect {
                        min: round(spot.bounds.min),
                        max: round(spot.bounds.max),
                    },
                })
            })
            .collect();
        Self {
            kinds: self.kinds.clone(),
            columns: self.courses,
            courses: self.columns,
            spots,
        }
    }
}

/// Where a mirror line can run along or through a face.
struct Sides {
    bounds: Rect,
    right: Option<f64>,
    bottom: Option<f64>,
    mirror_x: bool,
    mirror_y: bool,
}

impl Sides {
    fn of(face: &Face) -> Self {
        let bounds = face.bounds();
        let outline: &Polygon = face.outline();
        let near = |a: f64, b: f64| (a - b).abs() <= TOLERANCE;
        let right = outline.edges().any(|(a, b)| {
            near(a.x, bounds.max.x)
                && near(b.x, bounds.max.x)
                && near((a.y - b.y).abs(), bounds.height())
        });
        let bottom = outline.edges().any(|(a, b)| {
            near(a.y, bounds.max.y)
                && near(b.y, bounds.max.y)
                && near((a.x - b.x).abs(), bounds.width())
        });
        Self {
            bounds,
            right: right.then_some(bounds.max.x),
            bottom: bottom.then_some(bounds.max.y),
            mirror_x: face.looks_like(&face.posed(Isometry::mirror(90.0))),
            mirror_y: face.looks_like(&face.posed(Isometry::mirror(0.0))),
        }
    }
}
