//! A tile's shape for fitting: its outline, and convex parts that cover it.
//!
//! Both in mm about the centre of the outline, in the pose that the tile stands in.

use crate::{
    geom::{Isometry, Polygon, TOLERANCE, angle, clip},
    stock::{Tile, shapes::Shape as Section},
};

/// Angles closer than this, in degrees, count as equal.
const ANGLE: f64 = 0.01;

/// An outline with convex parts that cover it.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// The outline.
    pub outline: Polygon,
    /// Convex parts; the outline itself where that is convex.
    parts: Vec<Polygon>,
}

impl Shape {
    /// The shape of a tile as it stands.
    pub fn of(tile: &Tile) -> Self {
        let pose = tile.isometry().linear();
        let outline = tile.kind.face().outline().moved(pose);
        let parts = if outline.is_convex() {
            vec![outline.clone()]
        } else {
            let bar = tile.kind.bar();
            let place = Isometry::shift(-bar.outline().centroid()).then(pose);
            bar.parts().iter().map(|p| p.outline.moved(place)).collect()
        };
        Self { outline, parts }
    }

    /// The shape moved.
    #[must_use]
    pub fn moved(&self, by: Isometry) -> Self {
        Self {
            outline: self.outline.moved(by),
            parts: self.parts.iter().map(|p| p.moved(by)).collect(),
        }
    }

    /// How deep two shapes run into each other, in mm; none within the tolerance.
    pub fn overlap(&self, other: &Self) -> Option<f64> {
        if !self.outline.bounds().meets(other.outline.bounds()) {
            return None;
        }
        self.parts
            .iter()
            .flat_map(|a| other.parts.iter().map(move |b| (a, b)))
            .filter_map(|(a, b)| clip::common(a, b))
            .map(|both| clip::depth(&both))
            .filter(|&depth| depth > TOLERANCE)
            .max_by(f64::total_cmp)
    }
}

/// The plain name of an outline: `regular hexagon`, `rectangle`, `equilateral triangle` and so on.
pub fn name(outline: &Polygon) -> String {
    let sides: Vec<f64> = outline.edges().map(|(a, b)| a.distance(b)).collect();
    let same = |a: f64, b: f64| (a - b).abs() <= TOLERANCE;
    let equal = sides.iter().all(|&s| same(s, sides[0]));
    match sides.len() {
        3 if equal => "equilateral triangle".to_owned(),
        3 if (0..3).any(|i| same(sides[i], sides[(i + 1) % 3])) => "isosceles triangle".to_owned(),
        3 => "triangle".to_owned(),
        4 => match Section::of(outline) {
            Section::FourSided => "four-sided outline".to_owned(),
            known => known.name().to_owned(),
        },
        6 if equal && (0..6).all(|i| (outline.angle_at(i) - 120.0).abs() < ANGLE) => {
            "regular hexagon".to_owned()
        }
        n => format!("outline with {n} corners"),
    }
}

/// The name of a lattice that an outline would suit.
pub fn suiting(outline: &Polygon) -> &'static str {
    match name(outline).as_str() {
        "square" | "rectangle" if is_level(outline) => "`squares` or `running_bond`",
        "rhombus" | "parallelogram" | "square" | "rectangle" => "`rhombi`",
        "regular hexagon" => "`hexagons`",
        "triangle" | "isosceles triangle" | "equilateral triangle" => "`triangles`",
        _ => "`lattice` with two steps, or free placement",
    }
}

/// Whether an edge of the outline lies level.
pub fn is_level(outline: &Polygon) -> bool {
    outline.edges().any(|(a, b)| runs(b - a, 0.0))
}

/// Whether an edge of the outline stands upright.
pub fn is_upright(outline: &Polygon) -> bool {
    outline.edges().any(|(a, b)| runs(b - a, 90.0))
}

/// Whether a vector runs in a direction given in degrees, either way.
pub fn runs(way: crate::geom::Point, degrees: f64) -> bool {
    let off = angle::between(angle::direction(way.x, way.y), degrees);
    off.min(180.0 - off) < ANGLE
}
