//! The map for gluing up: every tile as it stands, with its number, its kind and its pencil marks,
//! large enough to be followed with glue on one's hands.
//!
//! A tile is found by its number (COURSE-TILE), stood by its marks (a red and a blue dot, where two
//! pencil lines run along the bar), and checked by its pale picture. F stands for a tile that lies
//! with its other side up. Slices of loaves are bounded, and carry the marks of their loaf. One map for the panel, or one for each sub-assembly. Units of the
//! drawing: CSS pixels.

use std::fmt::Write as _;

use svg::{
    Document, Node,
    node::element::{
        Circle, Definitions, Group, Path, Polygon as Shape, Rectangle, Text, Title, Use,
    },
};

use super::{
    bench::{FIRST, GLUE, SECOND},
    number::{mm, rounded},
    page::{INK, TYPEFACE},
    signs::{first_like, kinds, letter, marks},
    tiles::{Rings, TileArt},
    words::{clean, fitted},
};
use crate::watch;
use crate::{
    geom::{Point, Polygon, Rect, TOLERANCE, outline::outline},
    layout::panel::{Panel, PlacedTile},
    layout::trim::Trim,
    plan::glue_up::{GlueUp, Placement, Slice, bearing::stepped_rims},
};

/// Pixels that a tile measures across at least, so that its number can be read at arm's length.
const TILE: f64 = 74.0;
/// Pixels a millimetre, at most and at least.
const SCALES: (f64, f64) = (1.0, 7.0);
const MARGIN: f64 = 40.0;
const HEAD: f64 = 66.0;
const KEY: f64 = 150.0;
/// How far a mark stands from the edges that meet there.
const INSET: f64 = 9.0;

/// Most pixels across and down that a map may measure, to be read when it is printed on one page.
const READ_ON_PAPER: (f64, f64) = (1500.0, 2000.0);

/// Whether the map of the whole panel can be read on a printed page.
pub fn whole_map_is_legible(panel: &Panel) -> bool {
    let scale = scale(panel);
    panel.bounds.width() * scale <= READ_ON_PAPER.0
        && panel.bounds.height() * scale <= READ_ON_PAPER.1
}

/// Draws the map of one sub-assembly (counted from 0), or of the whole panel. Every id in it begins
/// with `ids`, so that one document can hold several.
///
/// # Panics
/// When there is no such sub-assembly.
pub fn glue_map(panel: &Panel, plan: &GlueUp, assembly: Option<usize>, ids: &str) -> String {
    let whole = 0..plan.placements.len();
    let range = assembly.map_or(whole, |i| plan.assemblies[i].placements.clone());
    let tiles = plan.placements[range.clone()].iter();
    let bounds = tiles
        .map(|p| extent(panel, panel.tiles[p.tile]))
        .reduce(|a, b| {
            let corners = [a.min, a.max, b.min, b.max];
            Rect::around(corners).expect("invariant: four corners")
        })
        .unwrap_or(Rect::sized(1.0, 1.0));
    let scale = scale(panel);
    let width = (bounds.width() * scale + 2.0 * MARGIN).max(760.0);
    let height = bounds.height() * scale + HEAD + KEY + 2.0 * MARGIN;
    let title = heading(panel, plan, assembly);
    let mut document = Document::new()
        .set("width", px(width))
        .set("height", px(height))
        .set("viewBox", format!("0 0 {} {}", px(width), px(height)))
        .set("font-family", TYPEFACE)
        .set("fill", INK)
        .add(Title::new(title.clone()))
        .add(
            Rectangle::new()
                .set("width", "100%")
                .set("height", "100%")
                .set("fill", "#fff"),
        )
        .add(definitions(panel, ids))
        .add(words(&title, Point::new(MARGIN, 38.0), 20.0, "start"));
    let origin = Point::new(MARGIN, HEAD + MARGIN / 2.0) - bounds.min * scale;
    let mut wood = Group::new().set(
        "transform",
        format!(
            "translate({} {}) scale({})",
            px(origin.x),
            px(origin.y),
            px(scale)
        ),
    );
    let each = signs_of(panel, scale);
    let mut signs = Group::new();
    for p in &plan.placements[range] {
        watch::ask();
        let tile = panel.tiles[p.tile];
        wood.append(
            Use::new()
                .set("href", format!("#{ids}f{}", tile.face))
                .set("x", mm(tile.at.x))
                .set("y", mm(tile.at.y)),
        );
        let number = format!("{}-{}", p.course, p.number);
        let sign = &each[tile.face as usize];
        let centre = origin + tile.at * scale;
        if !plan.slices.is_empty() {
            let size = if sign.flat { 15.0 } else { 18.0 };
            let at = centre + Point::new(0.0, 6.0);
            signs.append(haloed(&number, at, size).set("font-weight", "bold"));
            continue;
        }
        for (mark, colour) in sign.marks.into_iter().zip([FIRST, SECOND]) {
            signs.append(dot(centre + mark, colour));
        }
        let (text, at) = if sign.flat {
            let line = format!("{number} {}", sign.below);
            (line, centre + Point::new(0.0, 6.0))
        } else {
            let at = centre + Point::new(0.0, 3.0);
            signs.append(haloed(&sign.below, at + Point::new(0.0, 16.0), 14.0));
            (number, at)
        };
        let size = if sign.flat { 15.0 } else { 18.0 };
        signs.append(haloed(&text, at, size).set("font-weight", "bold"));
    }
    let blocks = assembly.is_none() && bearing_blocks(&mut document, panel, (origin, scale));
    document.append(wood);
    let shown = assembly.map_or(0..plan.placements.len(), |i| {
        plan.assemblies[i].placements.clone()
    });
    for slice in (plan.slices.iter()).filter(|s| shown.contains(&s.placements.start)) {
        slice_of_loaf(
            &mut document,
            &mut signs,
            panel,
            (plan, slice),
            (origin, scale),
        );
    }
    if assembly.is_none() && plan.assemblies.len() > 1 {
        bounds_of_assemblies(&mut document, panel, plan, (origin, scale));
    }
    trim_line(&mut document, panel, bounds, (origin, scale));
    document.append(signs);
    let key_top = HEAD + MARGIN + bounds.height() * scale + 20.0;
    let signs = (!plan.slices.is_empty(), blocks);
    key(&mut document, panel, signs, key_top);
    document.to_string()
}

/// The outline of a slice of a loaf, its marks, and in its first tile its loaf and whether it lies other side up.
fn slice_of_loaf(
    to: &mut Document,
    signs: &mut Group,
    panel: &Panel,
    (plan, slice): (&GlueUp, &Slice),
    (origin, scale): (Point, f64),
) {
    watch::ask();
    let placed = &plan.placements[slice.placements.clone()];
    heavy_rims(to, panel, placed, (origin, scale), (INK, "2.5"));
    let middle = origin + slice.at * scale;
    for (mark, colour) in slice.marks.into_iter().zip([FIRST, SECOND]) {
        let at = origin + mark * scale;
        let inward = |from: f64, to: f64| (to - from).clamp(-INSET, INSET);
        let inset = Point::new(inward(at.x, middle.x), inward(at.y, middle.y));
        signs.append(dot(at + inset, colour));
    }
    let first = panel.tiles[placed[0].tile];
    let other = if slice.flip { " F" } else { "" };
    let at = origin + first.at * scale + Point::new(0.0, 22.0);
    signs.append(haloed(&format!("L{}{other}", slice.loaf + 1), at, 14.0));
}

/// Draws the blocks that fill the steps between the tiles and straight battens; returns whether
/// there are some.
fn bearing_blocks(to: &mut Document, panel: &Panel, (origin, scale): (Point, f64)) -> bool {
    let Some((rims, around)) = stepped_rims(panel) else {
        return false;
    };
    let around = around.polygon();
    let rings = Rings::of(rims.iter().chain([&around]));
    let place = format!(
        "translate({} {}) scale({})",
        px(origin.x),
        px(origin.y),
        px(scale)
    );
    to.append(
        Path::new()
            .set("transform", place)
            .set("fill", "#d4d4d4")
            .set("fill-rule", "evenodd")
            .set("d", rings.map_or_else(String::new, |rings| rings.data())),
    );
    true
}

/// Where the panel is trimmed at the end, as far as the map shows it.
fn trim_line(to: &mut Document, panel: &Panel, shown: Rect, (origin, scale): (Point, f64)) {
    let cuts = panel
        .trim
        .iter()
        .chain(panel.pieces.list.iter().map(|p| &p.outline));
    for contour in cuts.flat_map(Trim::loops) {
        // One path, so that the dashes run on along the chords of a curve.
        let mut data = String::new();
        let mut end = None;
        for (a, b) in contour.edges().filter_map(|edge| within(edge, shown)) {
            let place = |p: Point| {
                let p = origin + p * scale;
                format!("{} {}", px(p.x), px(p.y))
            };
            if end.is_none_or(|end: Point| end.distance(a) > TOLERANCE) {
                let _ = write!(data, "M{}", place(a));
            }
            let _ = write!(data, "L{}", place(b));
            end = Some(b);
        }
        if data.is_empty() {
            continue;
        }
        to.append(
            Path::new()
                .set("d", data)
                .set("fill", "none")
                .set("stroke", INK)
                .set("stroke-width", "2.5")
                .set("stroke-dasharray", "12 6"),
        );
    }
}

/// The part of a line inside a rectangle (Liang and Barsky, ACM Transactions on Graphics 3, 1984).
fn within((a, b): (Point, Point), rect: Rect) -> Option<(Point, Point)> {
    let way = b - a;
    let (mut from, mut until) = (0.0_f64, 1.0_f64);
    for (step, room) in [
        (-way.x, a.x - rect.min.x),
        (way.x, rect.max.x - a.x),
        (-way.y, a.y - rect.min.y),
        (way.y, rect.max.y - a.y),
    ] {
        if step.abs() < TOLERANCE {
            if room < -TOLERANCE {
                return None;
            }
        } else if step < 0.0 {
            from = from.max(room / step);
        } else {
            until = until.min(room / step);
        }
    }
    (from < until).then(|| (a + way * from, a + way * until))
}

/// A heavy line round each sub-assembly, with its number in its first tile.
fn bounds_of_assemblies(
    to: &mut Document,
    panel: &Panel,
    plan: &GlueUp,
    (origin, scale): (Point, f64),
) {
    for (i, assembly) in plan.assemblies.iter().enumerate() {
        let placed = &plan.placements[assembly.placements.clone()];
        heavy_rims(to, panel, placed, (origin, scale), (GLUE, "5"));
        let first = panel.tiles[placed[0].tile];
        let at = origin + first.at * scale - Point::new(0.0, 15.0);
        let flat = panel.faces[first.face as usize].face.bounds().height() * scale < 60.0;
        let at = if flat { at + Point::new(0.0, 5.0) } else { at };
        to.append(haloed(&format!("S{}", i + 1), at, 13.0).set("fill", GLUE));
    }
}

/// A heavy line round some tiles.
fn heavy_rims(
    to: &mut Document,
    panel: &Panel,
    placed: &[Placement],
    (origin, scale): (Point, f64),
    (ink, wide): (&str, &str),
) {
    let rims: Vec<Polygon> = placed
        .iter()
        .map(|p| panel.rim(&panel.tiles[p.tile]))
        .collect();
    for rim in outline(&rims, TOLERANCE).rims {
        let corners = rim.polygon.corners().iter();
        let corners = corners.map(|&c| origin + c * scale);
        let places: Vec<String> = corners
            .map(|c| format!("{},{}", px(c.x), px(c.y)))
            .collect();
        to.append(
            Shape::new()
                .set("points", places.join(" "))
                .set("fill", "none")
                .set("stroke", ink)
                .set("stroke-width", wide)
                .set("stroke-linejoin", "round"),
        );
    }
}

fn heading(panel: &Panel, plan: &GlueUp, assembly: Option<usize>) -> String {
    let name = fitted(&clean(&panel.name), 24.0);
    match assembly {
        Some(i) => format!(
            "{name}: glue-up map, sub-assembly {} of {}",
            i + 1,
            plan.assemblies.len()
        ),
        None => format!("{name}: glue-up map"),
    }
}

fn extent(panel: &Panel, tile: PlacedTile) -> Rect {
    panel.rim(&tile).bounds()
}

/// Pixels a millimetre at which the smallest tile is large enough.
fn scale(panel: &Panel) -> f64 {
    let smallest = panel
        .faces
        .iter()
        .map(|f| f.face.outline().area().sqrt())
        .fold(f64::INFINITY, f64::min);
    let wanted = TILE / smallest.max(0.1);
    wanted.clamp(SCALES.0, SCALES.1)
}

fn definitions(panel: &Panel, ids: &str) -> Definitions {
    let mut all = Definitions::new();
    for (i, placed) in panel.faces.iter().enumerate() {
        let art = TileArt::of(&placed.face);
        let mut pale = Group::new().set("opacity", "0.4");
        for (colour, rings) in &art.paths {
            pale.append(
                Path::new()
                    .set("fill", colour.to_string())
                    .set("d", rings.data()),
            );
        }
        let rim = Path::new()
            .set("d", art.outline.data())
            .set("fill", "none")
            .set("stroke", INK)
            .set("stroke-width", "1.2")
            .set("stroke-linejoin", "round")
            .set("vector-effect", "non-scaling-stroke");
        all.append(
            Group::new()
                .set("id", format!("{ids}f{i}"))
                .add(pale)
                .add(rim),
        );
    }
    all
}

/// The signs on every tile of one face.
struct Sign {
    /// The two pencil marks from the tile's centre, in pixels.
    marks: [Point; 2],
    /// The kind's letter, and F where the other side is up.
    below: String,
    /// Whether there is no room for two lines.
    flat: bool,
}

fn signs_of(panel: &Panel, scale: f64) -> Vec<Sign> {
    let kinds = kinds(panel);
    let faces = panel.faces.iter().zip(panel.laid_by()).enumerate();
    let each = faces.map(|(i, (placed, laid))| {
        let kind = kinds.iter().position(|&k| k == first_like(panel, i));
        let other = if laid.flip { " F" } else { "" };
        Sign {
            marks: marks(&placed.kind, scale, INSET).map(|m| laid.apply(m)),
            below: format!("{}{other}", letter(kind.unwrap_or(0))),
            flat: placed.face.bounds().height() * scale < 60.0,
        }
    });
    each.collect()
}

fn dot(at: Point, colour: &str) -> Circle {
    Circle::new()
        .set("cx", px(at.x))
        .set("cy", px(at.y))
        .set("r", "5")
        .set("fill", colour)
        .set("stroke", "#fff")
}

/// The kinds as their bars stand, with their marks and names.
fn key(to: &mut Document, panel: &Panel, (loaves, blocks): (bool, bool), top: f64) {
    let numbers = if blocks {
        "Numbers are COURSE-TILE. S: sub-assembly. Dashed: where the panel is cut at the end. Grey: bearing blocks."
    } else if panel.trim.is_some() {
        "Numbers are COURSE-TILE. S: sub-assembly. Dashed: where the panel is trimmed at the end."
    } else {
        "Numbers are COURSE-TILE. S: sub-assembly."
    };
    let signs = if loaves {
        "Heavy outlines: slices, with their loaf (L). Red dot, blue dot: its two pencil lines. F: the other side up."
    } else {
        "Red dot, blue dot: the two pencil lines along the bar. F: the other side up."
    };
    for (y, line) in [(-4.0, signs), (13.0, numbers)] {
        let at = Point::new(MARGIN, top + y);
        to.append(words(line, at, 14.0, "start"));
    }
    let mut x = MARGIN;
    for (index, &face) in kinds(panel).iter().take(6).enumerate() {
        let kind = &panel.faces[face].kind;
        let bounds = kind.face().bounds();
        let scale = 84.0 / bounds.width().max(bounds.height()).max(0.1);
        let centre = Point::new(x + 50.0, top + 74.0);
        let art = TileArt::of(kind.face());
        let place = format!(
            "translate({} {}) scale({})",
            px(centre.x),
            px(centre.y),
            px(scale)
        );
        let mut picture = Group::new().set("transform", place);
        for (colour, rings) in &art.paths {
            picture.append(
                Path::new()
                    .set("fill", colour.to_string())
                    .set("d", rings.data()),
            );
        }
        to.append(picture);
        for (mark, colour) in marks(kind, scale, INSET).into_iter().zip([FIRST, SECOND]) {
            to.append(dot(centre + mark, colour));
        }
        let name = format!("{} {}", letter(index), clean(kind.name()));
        let at = Point::new(x + 104.0, top + 79.0);
        to.append(words(&fitted(&name, 6.5), at, 16.0, "start"));
        x += 215.0;
    }
}

fn words(text: &str, at: Point, size: f64, anchor: &str) -> Text {
    Text::new(text)
        .set("x", px(at.x))
        .set("y", px(at.y))
        .set("font-size", px(size))
        .set("text-anchor", anchor)
}

/// Dark letters with a light rim, to be read on any wood.
fn haloed(text: &str, at: Point, size: f64) -> Text {
    words(text, at, size, "middle")
        .set("stroke", "#fff")
        .set("stroke-width", "4")
        .set("stroke-linejoin", "round")
        .set("paint-order", "stroke")
}

fn px(value: f64) -> String {
    rounded(value, 3)
}
