//! Outlines as a recipe gives them: corners, paths, drawings, and what is cut out of one another.

use std::sync::Arc;

use rhai::Dynamic;

use crate::geom::{
    Point, Region,
    curve::{Affine, Contour},
    path_data,
};
use crate::layout::{LayoutError, Trim, pieces::Unplaced, trim::TrimShape};
use crate::recipe::args;
use crate::recipe::drawn;
use crate::recipe::fault::Fault;
use crate::recipe::host::{HostError, is_drawing};
use crate::recipe::modules::{OWN_PREFIX, name_fault};
use crate::recipe::run::Run;
use crate::recipe::script_types::{Outline, Piece};

const CORNERS: &str = "write each corner as [right, down] in mm";

/// Corners out of a list of lists.
pub(super) fn corners(value: &Dynamic) -> Result<Vec<Point>, Fault> {
    let corner = |value: &Dynamic, what: &str| -> Result<Point, Fault> {
        match args::list(value, what, args::length)?.as_slice() {
            [right, down] => Ok(Point::new(*right, *down)),
            other => Err(Fault::wrong_value(format!(
                "{what} must be two lengths, not {}",
                other.len()
            ))
            .help(CORNERS)),
        }
    };
    args::list(value, "the outline", corner)
}

/// The contours of a path.
pub(super) fn of_path(text: &str) -> Result<Vec<Contour>, Fault> {
    path_data::contours(text).map_err(|fault| {
        Fault::wrong_value(fault.to_string())
            .help("a path is what SVG writes: M 0 0 H 300 V 200 C 200 260 100 140 0 200 Z, in mm")
    })
}

/// The contours of a part of a drawing beside the recipe.
pub(super) fn of_drawing(run: &Run, file: &str, part: &str) -> Result<Vec<Contour>, Fault> {
    let wrong = |why: String, help: &str| {
        Err(
            Fault::wrong_value(format!("the drawing {file:?} gives no outline: {why}"))
                .help(help.to_owned()),
        )
    };
    if !is_drawing(file) {
        return wrong(
            "its name does not end in `.svg`".to_owned(),
            "write the outline as SVG beside the recipe: outline(\"body.svg\", \"rim\")",
        );
    }
    if let Some(why) = name_fault(file) {
        return wrong(
            why.to_owned(),
            "name a file beside the recipe: outline(\"body.svg\", \"rim\")",
        );
    }
    let source = match run.host().drawing(file) {
        Ok(source) => source,
        Err(HostError::NotFound { .. }) => {
            return wrong(
                "there is no such file".to_owned(),
                "put it into the recipe's own folder",
            );
        }
        Err(error) => {
            return wrong(
                error.to_string(),
                "a drawing is SVG of at most 2 MiB in the recipe's own folder",
            );
        }
    };
    run.pulse()?;
    let contours = drawn::contours(&source.text, part);
    run.add_drawing(source, &format!("{OWN_PREFIX}{file}"));
    contours.or_else(|fault| {
        wrong(
            fault.to_string(),
            "give the rim one id and draw its holes within it, as paths, in a drawing with a width in mm",
        )
    })
}

/// An outline that is called by a word.
pub(super) fn named(word: &'static str, contours: &[Contour]) -> Result<Outline, Fault> {
    Outline::of(contours, TrimShape::Named(word))
}

/// A length above 0 and at most another.
pub(super) fn within(value: &Dynamic, what: &str, most: f64) -> Result<f64, Fault> {
    let mm = args::positive_length(value, what)?;
    if mm <= most {
        return Ok(mm);
    }
    Err(Fault::wrong_value(format!(
        "{what} must be at most {most} mm here, not {mm}"
    )))
}

impl Outline {
    /// What contours enclose.
    pub(super) fn of(contours: &[Contour], shape: TrimShape) -> Result<Self, Fault> {
        let region = Region::of(contours).map_err(LayoutError::Outline)?;
        Ok(Self {
            shape,
            region: Arc::new(region),
        })
    }

    /// After a map, with its left and top at 0.
    pub(super) fn moved(&self, by: Affine) -> Self {
        let moved = self.region.moved(by);
        let to_zero = Affine::shift(-moved.bounds().min);
        Self {
            shape: self.shape,
            region: Arc::new(moved.moved(to_zero)),
        }
    }

    /// With another cut out of it, whose bounds come to begin at a place; in the middle without one.
    pub(super) fn without(&self, hole: &Self, at: Option<Point>) -> Result<Self, Fault> {
        let (own, other) = (&self.region, &hole.region);
        let (bounds, size) = (own.bounds(), other.bounds());
        let at = at.unwrap_or_else(|| {
            let free = Point::new(
                bounds.width() - size.width(),
                bounds.height() - size.height(),
            );
            free * 0.5
        });
        let by = Affine::shift(bounds.min + at - size.min);
        let inside = (other.pieces().iter()).all(|piece| {
            let corner = by.apply(piece.rim.corners()[0]);
            own.pieces().iter().any(|own| own.holds(corner))
        });
        if !inside {
            return Err(Fault::wrong_value(format!(
                    "a hole of {:.1} x {:.1} mm does not lie inside the outline when its left and top are at \
                     {:.1} and {:.1} mm",
                    size.width(),
                    size.height(),
                    at.x,
                    at.y
                ),
            )
            .help("`.hole(shape, right, down)` counts from the left and top of the outline; `.hole(shape)` puts it in the middle"));
        }
        let cut = other.moved(by);
        if let Some(left) = own.without(&cut) {
            return Ok(Self {
                shape: self.shape,
                region: Arc::new(left),
            });
        }
        let holes = cut.contours().iter().cloned();
        let all: Vec<Contour> = own.contours().iter().cloned().chain(holes).collect();
        Self::of(&all, self.shape)
    }
}

/// A piece with a name.
pub(super) fn piece_of(name: &str, outline: &Outline, at: Option<Point>) -> Result<Piece, Fault> {
    let name = name.trim();
    if name.is_empty() {
        return Err(Fault::wrong_value("a piece needs a name".to_owned())
            .help("write what it becomes: piece(\"lid\", circle(90))"));
    }
    Ok(Piece(Unplaced {
        name: name.to_owned(),
        outline: Trim::region(&outline.region, outline.shape)?,
        at,
    }))
}
