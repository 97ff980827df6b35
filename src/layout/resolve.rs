//! From chosen tiles to a panel: that each fits its cell, and where it lies.

use std::{num::NonZeroUsize, sync::Arc};

use super::{
    Filling, LayoutError,
    error::NAMED,
    faces::Faces,
    lattice::CellClass,
    lattice_joints::{self, Seat},
    panel::{Cell, LaidOn, Panel, PlacedTile},
    shape::Shape,
};
use crate::watch;
use crate::{
    geom::{Polygon, TOLERANCE},
    stock::Tile,
};

/// The panel that filled cells make: the same on any number of threads.
///
/// # Errors
/// When a cell has no tile, or one that does not fit it.
#[allow(clippy::missing_panics_doc, reason = "only an invariant is expected")]
pub fn resolve(name: &str, filling: &Filling, threads: NonZeroUsize) -> Result<Panel, LayoutError> {
    let cells = filling.cells();
    let lattice = cells.lattice();
    let empty: Vec<Cell> = filling
        .picks()
        .zip(cells.list())
        .filter(|(pick, _)| pick.is_none())
        .map(|(_, &cell)| cell)
        .collect();
    if !empty.is_empty() {
        return Err(LayoutError::Empty {
            missing: empty.len(),
            all: cells.list().len(),
            named: (empty.into_iter().take(NAMED))
                .map(|cell| cells.numbered(cell))
                .collect(),
        });
    }
    let classes = lattice.classes();
    let mut faces = Faces::default();
    let mut known: Vec<Option<u32>> = vec![None; filling.palette().len() * classes.len()];
    let mut seats: Vec<Seat> = Vec::new();
    let mut seated = Vec::with_capacity(cells.list().len());
    let mut tiles = Vec::with_capacity(cells.list().len());
    for (pick, (cell, class, at)) in filling.picks().flatten().zip(cells.placed()) {
        watch::ask();
        let slot = &mut known[pick as usize * classes.len() + class];
        let seat = if let Some(seat) = *slot {
            seat
        } else {
            let tile = &filling.palette()[pick as usize];
            let seat = seat(&mut faces, tile, class, &classes[class])?
                .ok_or_else(|| misfit(tile, cell, filling))?;
            seats.push(seat);
            *slot.insert(
                u32::try_from(seats.len() - 1).expect("invariant: no more seats than tiles"),
            )
        };
        seated.push(seat);
        tiles.push(PlacedTile {
            face: seats[seat as usize].face,
            at,
            cell,
            whole: cells.trim().is_none_or(|t| {
                t.holds(
                    classes[class].bounds.shifted(at),
                    || classes[class].shape.outline.shifted(at),
                    TOLERANCE,
                )
            }),
        });
    }
    let joints = lattice_joints::count(cells, &faces, &seats, &seated, &tiles, threads);
    Ok(Panel {
        name: name.to_owned(),
        faces: faces.into_list(),
        tiles,
        trim: cells.trim().cloned(),
        bounds: cells.bounds(),
        joints,
        laid_on: cells.shift().map(|shift| LaidOn {
            lattice: Arc::clone(cells.lattice()),
            shift,
        }),
        pieces: cells.pieces().clone(),
    })
}

fn seat(
    faces: &mut Faces,
    tile: &Tile,
    number: usize,
    class: &CellClass,
) -> Result<Option<Seat>, LayoutError> {
    let outline = tile
        .kind
        .face()
        .outline()
        .moved(tile.isometry().then(class.turned).linear());
    if first_corner(&outline, &class.shape.outline).is_none() {
        return Ok(None);
    }
    let face = faces.number(tile, class.turned)?;
    let first = first_corner(faces.face(face).outline(), &class.shape.outline);
    Ok(first.map(|first| Seat {
        class: number,
        face,
        first,
    }))
}

/// Which corner of `outline` lies on the first corner of `cell`, when all corners coincide.
fn first_corner(outline: &Polygon, cell: &Polygon) -> Option<usize> {
    let (mine, theirs) = (outline.corners(), cell.corners());
    let n = theirs.len();
    (0..n).find(|first| {
        mine.len() == n && (0..n).all(|i| mine[(i + first) % n].distance(theirs[i]) <= TOLERANCE)
    })
}

/// What to say of a tile that does not fit.
fn misfit(tile: &Tile, cell: Cell, filling: &Filling) -> LayoutError {
    let lattice = filling.cells().lattice();
    let class = &lattice.classes()[lattice.class_of(cell)];
    let shape = Shape::of(tile).moved(class.turned);
    let deepest = class
        .touching
        .iter()
        .filter_map(|&(columns, courses)| {
            let other = Cell {
                column: cell.column + columns,
                course: cell.course + courses,
            };
            let by = lattice.centre(other) - lattice.centre(cell);
            let theirs = &lattice.classes()[lattice.class_of(other)].shape;
            shape.overlap(&theirs.moved(crate::geom::Isometry::shift(by)))
        })
        .fold(0.0, f64::max);
    let open = class.shape.outline.area() - shape.outline.area();
    let how = if deepest > 0.0 {
        format!("it runs {deepest:.3} mm into a neighbour")
    } else if open > 0.0 {
        format!("it leaves {open:.2} mm2 of the cell open")
    } else {
        "its outline does not follow the cell's".to_owned()
    };
    let same_size = shape.outline.corners().len() == class.shape.outline.corners().len()
        && (shape.outline.perimeter() - class.shape.outline.perimeter()).abs() <= TOLERANCE
        && open.abs() <= TOLERANCE * shape.outline.perimeter();
    let takes = if same_size {
        let step = format!("turns in steps of {} degrees", class.symmetry.step());
        match class.symmetry.axis {
            Some(_) => format!("this cell takes {step}, flipped or not"),
            None => format!("this cell takes {step} and no flip"),
        }
    } else {
        let size = |p: &Polygon| {
            let b = p.bounds();
            format!("{:.2} x {:.2} mm", b.width(), b.height())
        };
        format!(
            "the tile's bounds are {}, the cell's {}",
            size(&shape.outline),
            size(&class.shape.outline)
        )
    };
    LayoutError::Misfit {
        kind: tile.kind.name().to_owned(),
        pose: pose_in_words(tile),
        cell: filling.cells().numbered(cell),
        how,
        takes,
    }
}

fn pose_in_words(tile: &Tile) -> String {
    let flip = if tile.pose.flip { "flipped, " } else { "" };
    format!("{flip}turned {} degrees", tile.pose.turn)
}
