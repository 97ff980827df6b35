//! Which part of a panel suits a small object best.
//!
//! The object's outline is laid on the panel with its middle on the middle, a corner or the middle
//! of an edge of a tile: the places that a maker would centre it on. It must lie on wood all over.

use super::{Linear, legibility::Seeing, object::Shape};
use crate::watch;
use crate::{
    geom::{Point, Polygon, Rect, TOLERANCE, clip},
    layout::panel::{Panel, PlacedTile},
    stock::Colour,
};

/// At most so many places are tried, spread evenly over all.
const MOST_PLACES: usize = 240;

/// At most so many tiles, spread evenly over all, give places: a huge panel repeats itself.
const MOST_TILES: usize = 4000;

/// An object must be covered by wood to this share: what is missing is rounding and, for circles,
/// nothing else.
const COVERED: f64 = 0.999;

/// Level and upright lines along which layers are counted.
const LINES: u8 = 7;

/// An object's outline on a panel, and what lies in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// The outline.
    pub shape: Shape,
    /// Its middle on the panel, in mm.
    pub centre: Point,
    /// Tiles that lie in it whole.
    pub whole: usize,
    /// Tiles that lie in it in part.
    pub part: usize,
    /// How much the luminance varies in it: standard deviation over mean.
    pub contrast: f64,
    /// Borders between colours that a straight line crosses in 100 mm, on average over level and
    /// upright lines.
    pub lines: f64,
}

/// The best places for an object; the same twice where one place is best in both ways.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Best {
    /// With the highest contrast.
    pub boldest: Window,
    /// With the most whole tiles.
    pub completest: Window,
}

/// Where an object suits a panel best; none where it does not fit on the wood.
pub fn best(panel: &Panel, shape: Shape, seeing: Seeing) -> Option<Best> {
    let look = Looker::of(panel, seeing);
    let all = places(panel, shape);
    let step = all.len().div_ceil(MOST_PLACES).max(1);
    let found: Vec<Window> = all
        .iter()
        .step_by(step)
        .filter_map(|&centre| look.at(shape, centre))
        .collect();
    // The first of equals, counted from the middle of the panel outwards.
    let pick = |better: &dyn Fn(&Window, &Window) -> bool| {
        found
            .iter()
            .copied()
            .reduce(|best, w| if better(&w, &best) { w } else { best })
    };
    let finer = 1e-9;
    let boldest = pick(&|a, b| {
        a.contrast > b.contrast + finer
            || ((a.contrast - b.contrast).abs() <= finer && a.whole > b.whole)
    })?;
    let completest =
        pick(&|a, b| a.whole > b.whole || (a.whole == b.whole && a.contrast > b.contrast + finer))?;
    Some(Best {
        boldest: look.with_lines(boldest),
        completest: look.with_lines(completest),
    })
}

/// The panel trimmed to an upright rectangle, which becomes its finished size. Joints are not
/// counted anew: there are none in the result.
pub fn cut(panel: &Panel, to: Rect) -> Panel {
    let shift = -to.min;
    let tiles = panel
        .tiles
        .iter()
        .filter_map(|tile| {
            let bounds = panel.faces[tile.face as usize]
                .face
                .bounds()
                .shifted(tile.at);
            bounds.meets(to).then(|| PlacedTile {
                at: tile.at + shift,
                whole: tile.whole && to.holds(bounds, TOLERANCE),
                ..*tile
            })
        })
        .collect();
    let trim = to.shifted(shift);
    Panel {
        name: panel.name.clone(),
        faces: panel.faces.clone(),
        tiles,
        trim: Some(trim.into()),
        bounds: trim,
        joints: crate::layout::panel::JointCount::default(),
        laid_on: None,
        pieces: crate::layout::pieces::Pieces::default(),
    }
}

/// Middles, corners and middles of edges of the tiles, from the middle of the panel outwards, where
/// the object's bounds lie within the panel's.
fn places(panel: &Panel, shape: Shape) -> Vec<Point> {
    let middle = panel.bounds.centre();
    let mut all: Vec<Point> = panel
        .tiles
        .iter()
        .step_by(panel.tiles.len().div_ceil(MOST_TILES).max(1))
        .flat_map(|tile| {
            let outline = panel.faces[tile.face as usize].face.outline();
            let spots = outline.edges().flat_map(|(a, b)| [a, a.towards(b, 0.5)]);
            std::iter::once(Point::ZERO)
                .chain(spots)
                .map(|p| p + tile.at)
                .collect::<Vec<_>>()
        })
        .chain([middle])
        .filter(|&p| panel.bounds.holds(shape.bounds(p), 1e-6))
        .collect();
    // To a hundredth of a millimetre, so that the corners that tiles share count once.
    let key = |p: &Point| {
        let round = |x: f64| libm::round(x * 100.0) / 100.0;
        (round(p.distance(middle)), round(p.y), round(p.x))
    };
    let order = |a: &Point, b: &Point| {
        let (a, b) = (key(a), key(b));
        a.0.total_cmp(&b.0)
            .then(a.1.total_cmp(&b.1))
            .then(a.2.total_cmp(&b.2))
    };
    all.sort_by(order);
    all.dedup_by(|a, b| order(a, b).is_eq());
    all
}

/// Area, and luminance and its square weighted by area.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    area: f64,
    light: f64,
    squares: f64,
}

impl Sums {
    fn add(&mut self, area: f64, y: f64) {
        self.area += area;
        self.light += area * y;
        self.squares += area * y * y;
    }

    fn join(&mut self, other: Self) {
        self.area += other.area;
        self.light += other.light;
        self.squares += other.squares;
    }

    fn contrast(self) -> f64 {
        if self.light <= 0.0 {
            return 0.0;
        }
        let mean = self.light / self.area;
        (self.squares / self.area - mean * mean).max(0.0).sqrt() / mean
    }
}

/// A panel with the colours of its regions as they are seen.
struct Looker<'a> {
    panel: &'a Panel,
    colours: Vec<Vec<(Colour, f64)>>,
    whole: Vec<Sums>,
    /// Tile bounds.
    bounds: Vec<Rect>,
}

impl<'a> Looker<'a> {
    fn of(panel: &'a Panel, seeing: Seeing) -> Self {
        let colours: Vec<Vec<(Colour, f64)>> = panel
            .faces
            .iter()
            .map(|f| {
                let seen = |r: &crate::stock::face::Region| {
                    let colour = seeing.colour(r.layer.kind, r.colour);
                    (colour, Linear::from(colour).luminance())
                };
                f.face.regions().iter().map(seen).collect()
            })
            .collect();
        let whole = panel
            .faces
            .iter()
            .zip(&colours)
            .map(|(f, colours)| {
                let mut sums = Sums::default();
                for (region, (_, y)) in f.face.regions().iter().zip(colours) {
                    sums.add(region.polygon.area(), *y);
                }
                sums
            })
            .collect();
        let bounds = panel
            .tiles
            .iter()
            .map(|t| panel.faces[t.face as usize].face.bounds().shifted(t.at))
            .collect();
        Self {
            panel,
            colours,
            whole,
            bounds,
        }
    }

    fn near(&self, rect: Rect) -> impl Iterator<Item = &PlacedTile> + '_ {
        self.panel
            .tiles
            .iter()
            .zip(&self.bounds)
            .filter(move |(_, b)| b.meets(rect))
            .map(|(t, _)| t)
    }

    fn at(&self, shape: Shape, centre: Point) -> Option<Window> {
        let outline = shape.polygon(centre);
        if let Some(trim) = &self.panel.trim
            && !trim.holds(shape.bounds(centre), || outline.clone(), TOLERANCE)
        {
            return None;
        }
        let (mut sums, mut whole, mut part) = (Sums::default(), 0, 0);
        for tile in self.near(shape.bounds(centre)) {
            watch::ask();
            let face = tile.face as usize;
            let rim = self.panel.rim(tile);
            if tile.whole && inside(&rim, &outline) {
                sums.join(self.whole[face]);
                whole += 1;
                continue;
            }
            let before = sums.area;
            for (region, (_, y)) in self.panel.faces[face]
                .face
                .regions()
                .iter()
                .zip(&self.colours[face])
            {
                if let Some(both) = clip::common(&region.polygon.shifted(tile.at), &outline) {
                    sums.add(both.area(), *y);
                }
            }
            part += usize::from(sums.area > before);
        }
        (sums.area >= COVERED * outline.area()).then(|| Window {
            shape,
            centre,
            whole,
            part,
            contrast: sums.contrast(),
            lines: 0.0,
        })
    }

    fn with_lines(&self, window: Window) -> Window {
        let (width, height) = window.shape.size();
        let (mut borders, mut length) = (0, 0.0);
        for i in 0..LINES {
            // Not at the middle or other simple fractions, where joints tend to lie.
            let share = (f64::from(i) + 0.37) / f64::from(LINES) - 0.5;
            for (upright, at) in [
                (false, window.centre.y + share * height),
                (true, window.centre.x + share * width),
            ] {
                let crossing = if upright {
                    let turned = turned(window.shape);
                    turned.level(Point::new(window.centre.y, window.centre.x), at)
                } else {
                    window.shape.level(window.centre, at)
                };
                if let Some((from, to)) = crossing {
                    borders += self.borders(upright, at, from, to);
                    length += to - from;
                }
            }
        }
        Window {
            lines: f64::from(borders) * 100.0 / length,
            ..window
        }
    }

    /// How often the colour changes along a level (or upright) line.
    fn borders(&self, upright: bool, at: f64, from: f64, to: f64) -> u32 {
        let flip = |p: Point| if upright { Point::new(p.y, p.x) } else { p };
        let strip = Rect {
            min: flip(Point::new(from, at)),
            max: flip(Point::new(to, at)),
        };
        let mut runs: Vec<(f64, f64, Colour)> = Vec::new();
        for tile in self.near(strip.grown(1e-6)) {
            watch::ask();
            let face = tile.face as usize;
            for (region, (colour, _)) in self.panel.faces[face]
                .face
                .regions()
                .iter()
                .zip(&self.colours[face])
            {
                let crossing = crossing(&region.polygon.shifted(tile.at), flip, at);
                if let Some((a, b)) = crossing.filter(|(a, b)| *b > from && *a < to) {
                    runs.push((a, b, *colour));
                }
            }
        }
        runs.sort_by(|a, b| a.0.total_cmp(&b.0));
        let changes = runs.windows(2).filter(|w| w[0].2 != w[1].2).count();
        u32::try_from(changes).unwrap_or(u32::MAX)
    }
}

/// The same outline with width and height exchanged.
fn turned(shape: Shape) -> Shape {
    match shape {
        Shape::Rectangle(width, height) => Shape::Rectangle(height, width),
        circle @ Shape::Circle(_) => circle,
    }
}

/// Where a convex polygon is crossed by a level line at `at`, after `flip`.
fn crossing(polygon: &Polygon, flip: impl Fn(Point) -> Point, at: f64) -> Option<(f64, f64)> {
    let mut span: Option<(f64, f64)> = None;
    for (a, b) in polygon.edges() {
        let (a, b) = (flip(a), flip(b));
        if (a.y > at) == (b.y > at) {
            continue;
        }
        let x = a.x + (b.x - a.x) * (at - a.y) / (b.y - a.y);
        span = Some(span.map_or((x, x), |(l, h)| (l.min(x), h.max(x))));
    }
    span.filter(|(l, h)| h - l > 1e-6)
}

/// Whether all corners of one polygon lie in another, convex one.
fn inside(inner: &Polygon, outer: &Polygon) -> bool {
    outer.edges().all(|(a, b)| {
        let along = b - a;
        let least = -TOLERANCE * along.length();
        inner.corners().iter().all(|&p| along.cross(p - a) >= least)
    })
}
