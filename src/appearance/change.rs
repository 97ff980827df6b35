//! Changes to its sheets that would make a pattern read from farther away, each tried.
//!
//! Each change is made to every sheet of a bar, the bar is glued anew from strips of the new sheets,
//! and its sheets are measured again. A change that the wood refuses is said to be refused.

use std::sync::Arc;

use super::{Linear, difference::lab, legibility::Legibility, legibility::Seeing};
use crate::watch;
use crate::{
    geom::{Rect, TOLERANCE},
    layout::panel::{Panel, PlacedFace, PlacedTile},
    stock::{Bar, Colour, Grain, Layer, LayerKind, Sheet, StockError, TileKind},
};

/// A veneer as it is mostly sold, in mm (common practice: 0.6 mm, 1/42 in.).
pub const VENEER: f64 = 0.6;

/// A change to a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SheetChange {
    /// Each veneer so many times as thick, as by laying one upon another.
    ThickerVeneer(u8),
    /// All veneers dyed in a darker (or other) colour.
    Dye(&'static str, Colour),
    /// A dyed veneer of [`VENEER`] on face and back of a sheet that has none.
    AddVeneer(&'static str, Colour),
    /// More plies of the same thickness in the middle: about a third more.
    ThickerSheet,
}

/// What a change did.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// The change.
    pub change: SheetChange,
    /// How its sheets read; or why the bar could not be glued so.
    pub outcome: Result<Readability, StockError>,
}

/// How a bar reads.
#[derive(Debug, Clone, PartialEq)]
pub struct Readability {
    /// The farthest distance in mm from which the repeat of all of its sheets reads with ease; 0
    /// where one never does.
    pub plain: f64,
    /// The farthest distance in mm from which the repeat of all of its sheets is just seen; 0 where
    /// one never is.
    pub repeat: f64,
    /// The farthest distance in mm from which the shadow lines are seen: the finest veneers of all
    /// sheets, or the plies' lines where there are no veneers; 0 where they never are.
    pub lines: f64,
    /// Size of the tile against what it was: 1 where it stays.
    pub size: f64,
}

impl Readability {
    /// Whether a pattern that reads so is better off than one that reads like `other`, by more than
    /// a hundredth: by the distance to which the repeat reads with ease, else by its lines, else by
    /// how far it is just seen.
    pub fn beats(&self, other: &Self) -> bool {
        let pairs = [
            (self.plain, other.plain),
            (self.lines, other.lines),
            (self.repeat, other.repeat),
        ];
        pairs
            .into_iter()
            .find(|(a, b)| (a - b).abs() > 0.01 * a.max(*b))
            .is_some_and(|(a, b)| a > b)
    }
}

/// The different sheets of a bar, in the order of its parts.
pub fn sheets(bar: &Bar) -> Vec<Arc<Sheet>> {
    let mut found: Vec<Arc<Sheet>> = Vec::new();
    for part in bar.parts() {
        watch::ask();
        if !found.iter().any(|s| s == part.strip.sheet()) {
            found.push(Arc::clone(part.strip.sheet()));
        }
    }
    found
}

/// How a bar reads as it is.
pub fn outcome(bar: &Bar, seeing: Seeing) -> Readability {
    let all = sheets(bar);
    let read: Vec<Legibility> = all.iter().map(|s| Legibility::of(s, seeing)).collect();
    let least = |distances: Vec<f64>| {
        let least = distances.into_iter().fold(f64::INFINITY, f64::min);
        if least.is_finite() { least } else { 0.0 }
    };
    let lines = |kind: LayerKind| -> Vec<f64> {
        read.iter()
            .flat_map(|l| &l.lines)
            .filter(|l| l.kind == kind)
            .map(|l| l.farthest.unwrap_or(0.0))
            .collect()
    };
    let veneers = lines(LayerKind::Veneer);
    Readability {
        plain: least(read.iter().map(|l| l.plain.unwrap_or(0.0)).collect()),
        repeat: least(read.iter().map(|l| l.farthest.unwrap_or(0.0)).collect()),
        lines: least(if veneers.is_empty() {
            lines(LayerKind::Ply)
        } else {
            veneers
        }),
        size: 1.0,
    }
}

/// Tries the changes that make sense for a bar; the most helpful first: the one whose repeat reads
/// with ease from farthest, among equals the one with the farthest lines, then the one whose repeat
/// is just seen from farthest. Refused ones come last.
pub fn try_all(bar: &Bar, seeing: Seeing) -> Vec<Tried> {
    let before = bar.outline().area().sqrt();
    let mut tried: Vec<Tried> = sensible(bar, seeing)
        .into_iter()
        .map(|change| Tried {
            change,
            outcome: bar
                .on_sheets(|sheet| Arc::new(change.on(sheet)), TOLERANCE)
                .map(|new| Readability {
                    size: new.outline().area().sqrt() / before,
                    ..outcome(&new, seeing)
                }),
        })
        .collect();
    tried.sort_by(|a, b| match (&a.outcome, &b.outcome) {
        (Ok(a), Ok(b)) => {
            let plain = b.plain.total_cmp(&a.plain);
            let lines = b.lines.total_cmp(&a.lines);
            plain.then(lines).then(b.repeat.total_cmp(&a.repeat))
        }
        (a, b) => a.is_err().cmp(&b.is_err()),
    });
    tried
}

/// The panel as it would be with a change to all of its sheets, its tiles in the same places: it
/// grows with them. None where a bar cannot be glued so, or where its tiles grow differently and no
/// longer fit together.
pub fn panel_with(panel: &Panel, change: SheetChange) -> Option<Panel> {
    let mut kinds: Vec<(Arc<TileKind>, Arc<TileKind>)> = Vec::new();
    let mut by: Option<f64> = None;
    let mut faces = Vec::with_capacity(panel.faces.len());
    for placed in &panel.faces {
        watch::ask();
        let known = kinds.iter().find(|(old, _)| *old == placed.kind);
        let kind = if let Some((_, new)) = known {
            Arc::clone(new)
        } else {
            let bar = placed
                .kind
                .bar()
                .on_sheets(|sheet| Arc::new(change.on(sheet)), TOLERANCE)
                .ok()?;
            let grown = (bar.outline().area() / placed.kind.bar().outline().area()).sqrt();
            if (grown - *by.get_or_insert(grown)).abs() > 1e-6 {
                return None;
            }
            let new = Arc::new(TileKind::new(placed.kind.name(), Arc::new(bar)));
            kinds.push((Arc::clone(&placed.kind), Arc::clone(&new)));
            new
        };
        faces.push(PlacedFace {
            face: kind.face().posed(kind.isometry(placed.pose)),
            kind,
            pose: placed.pose,
        });
    }
    let by = by.unwrap_or(1.0);
    let grown = |r: Rect| Rect {
        min: r.min * by,
        max: r.max * by,
    };
    Some(Panel {
        name: panel.name.clone(),
        faces,
        tiles: panel
            .tiles
            .iter()
            .map(|tile| PlacedTile {
                at: tile.at * by,
                ..*tile
            })
            .collect(),
        trim: panel.trim.as_ref().map(|trim| trim.scaled(by)),
        bounds: grown(panel.bounds),
        joints: panel.joints,
        laid_on: None,
        pieces: crate::layout::pieces::Pieces::default(),
    })
}

fn sensible(bar: &Bar, seeing: Seeing) -> Vec<SheetChange> {
    let all = sheets(bar);
    let has = |kind| {
        all.iter()
            .any(|s| s.layers().iter().any(|l| l.kind == kind))
    };
    let mut changes = Vec::new();
    let dye = strongest_dye(&all, seeing);
    if has(LayerKind::Veneer) {
        changes.extend([SheetChange::ThickerVeneer(2), SheetChange::ThickerVeneer(3)]);
        changes.extend(dye.map(|(name, colour)| SheetChange::Dye(name, colour)));
    } else {
        changes.extend(dye.map(|(name, colour)| SheetChange::AddVeneer(name, colour)));
    }
    if has(LayerKind::Ply) {
        changes.push(SheetChange::ThickerSheet);
    }
    changes.retain(|c| all.iter().any(|s| c.on(s) != **s));
    changes
}

/// The dye whose lightness is farthest from that of the plies, as seen.
fn strongest_dye(all: &[Arc<Sheet>], seeing: Seeing) -> Option<(&'static str, Colour)> {
    let layers = || all.iter().flat_map(|s| s.layers());
    let plies: Vec<&Layer> = layers().filter(|l| l.kind == LayerKind::Ply).collect();
    let weight: f64 = plies.iter().map(|l| l.thickness).sum();
    if weight <= 0.0 {
        return None;
    }
    let ground = plies.iter().fold(Linear::new(0.0, 0.0, 0.0), |sum, l| {
        let c = Linear::from(seeing.colour(l.kind, l.seen()));
        let share = l.thickness / weight;
        Linear::new(
            sum.red + c.red * share,
            sum.green + c.green * share,
            sum.blue + c.blue * share,
        )
    });
    let ground = lab(ground.colour()).lightness;
    let gap = |c: Colour| (lab(seeing.colour(LayerKind::Veneer, c)).lightness - ground).abs();
    Colour::dyes()
        .max_by(|(a_name, a), (b_name, b)| gap(*a).total_cmp(&gap(*b)).then(b_name.cmp(a_name)))
}

impl SheetChange {
    /// The sheet so changed.
    pub fn on(self, sheet: &Sheet) -> Sheet {
        let layers = sheet.layers();
        let veneers = |f: &dyn Fn(Layer) -> Layer| -> Vec<Layer> {
            let one = |l: &Layer| match l.kind {
                LayerKind::Veneer => f(*l),
                _ => *l,
            };
            layers.iter().map(one).collect()
        };
        let changed = match self {
            Self::ThickerVeneer(times) => veneers(&|l| Layer {
                thickness: l.thickness * f64::from(times),
                ..l
            }),
            Self::Dye(_, colour) => veneers(&|l| Layer { colour, ..l }),
            Self::AddVeneer(_, colour) => with_veneers(layers, colour),
            Self::ThickerSheet => with_more_plies(layers),
        };
        Sheet::new(changed).unwrap_or_else(|_| sheet.clone())
    }
}

fn with_veneers(layers: &[Layer], colour: Colour) -> Vec<Layer> {
    if layers.iter().any(|l| l.kind == LayerKind::Veneer) {
        return layers.to_vec();
    }
    let veneer = Layer {
        kind: LayerKind::Veneer,
        thickness: VENEER,
        colour,
        grain: Grain::Along,
    };
    let mut all = vec![veneer];
    all.extend(layers);
    all.push(veneer);
    all
}

/// The longest run of plies gets pairs of its own middle plies, until it is a third thicker: crossed
/// grain stays crossed, and the plies stay as thick as they are.
fn with_more_plies(layers: &[Layer]) -> Vec<Layer> {
    let mut best = 0..0;
    let mut start = 0;
    for end in 0..=layers.len() {
        watch::ask();
        if layers.get(end).is_none_or(|l| l.kind != LayerKind::Ply) {
            if end - start > best.len() {
                best = start..end;
            }
            start = end + 1;
        }
    }
    let plies = &layers[best.clone()];
    let Some(last) = plies.len().checked_sub(1) else {
        return layers.to_vec();
    };
    let middle = best.start + last / 2;
    let pair = [layers[middle], layers[(middle + 1).min(best.end - 1)]];
    let step = pair[0].thickness + pair[1].thickness;
    let total: f64 = plies.iter().map(|l| l.thickness).sum();
    let mut all = layers[..middle].to_vec();
    let mut added = 0.0;
    while added < total / 3.0 - step / 2.0 || added == 0.0 {
        all.extend(pair);
        added += step;
    }
    all.extend(&layers[middle..]);
    all
}
