//! The saw: what it can do safely, how each strip is ripped safely, and its set-ups as they are drawn.
//!
//! How a strip is ripped is decided by safety ([`rip_method`]) before anything is counted: what cannot be cut
//! safely has no numbers anywhere. Yields, set-ups ([`Cut`]), drawings and words all come from the passes of
//! the rip method ([`passes`]).
//!
//! Saw frame of the polygons: x from the fence (0) towards the blade, y DOWN onto the table (0).
//! Fence distances are on the table, from the fence to the near side of the blade where it comes
//! through; tilts are from vertical, as saws count them (edge angle = 90 - tilt). Lengths in mm,
//! angles in degrees. Never here: the order of cuts ([`crate::plan::steps`]), words ([`words`]).

pub mod again;
pub mod limits;
pub mod number;
pub mod pass;
pub mod passes;
pub mod refusals;
pub mod rip;
pub mod rip_method;
pub mod set_up;
pub mod settings;
pub mod warning;
pub mod words;

pub use limits::{SawLimits, TiltsTo};
pub use warning::Warning;

use crate::geom::{Point, Polygon, TOLERANCE, angle};
use crate::plan::saw::{
    passes::{SetBy, Turn},
    rip::{SAME, Touch, Up},
};

/// Below this foot (mm) hands never lead the work: push block and a low auxiliary fence (rip-width
/// rule of table saws' manuals: 2 in.).
pub const PUSH_BLOCK_BELOW: f64 = 50.8;

/// What a set-up is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Job {
    /// The board's first edge, or a fresh one before the next strip: the board at the fence, the
    /// waste outboard.
    FirstEdge {
        /// Whether it is cut anew before each strip.
        each_time: bool,
    },
    /// Strip after strip between blade and fence, at one setting.
    Strips,
    /// Strip after strip that falls free beyond the blade, each set by a stop.
    FreeStrips,
    /// Blanks for strips whose edges want two tilts.
    Blanks {
        /// Two strips in each.
        pairs: bool,
    },
    /// A blank of two strips parted.
    Parting,
    /// A blank's second edge, to width.
    SecondEdge,
    /// An edge in a carriage whose bed leans.
    InCarriage {
        /// Whether it is the first of the strip.
        first: bool,
    },
    /// Strips ripped once more along their length.
    Again {
        /// Whether they lie the other way up than drawn in the recipe.
        upside_down: bool,
    },
    /// A bar into tiles, or a loaf into what it is sliced to.
    Slices {
        /// Whether it is a loaf.
        loaf: bool,
        /// Whether it lies on its side, turned by a quarter from how the recipe draws it.
        on_side: bool,
    },
}

/// What a cut piece is used in: a bar, and the numbers of its parts, counted from 1. An empty list stands for the whole
/// bar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UsedIn {
    /// The bar's name.
    pub bar: String,
    /// The parts.
    pub parts: Vec<usize>,
}

impl UsedIn {
    /// Adds a part of a bar to some uses, in order and each once.
    pub(in crate::plan) fn add(uses: &mut Vec<Self>, bar: &str, part: usize) {
        match uses.iter_mut().find(|u| u.bar == bar) {
            Some(u) => {
                u.parts.push(part);
                u.parts.sort_unstable();
                u.parts.dedup();
            }
            None => uses.push(Self {
                bar: bar.to_owned(),
                parts: vec![part],
            }),
        }
    }
}

/// Which of the two pieces of a cut is kept: the other is waste, or the rest of the board.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keeps {
    /// The piece at the fence.
    AtFence,
    /// The piece beyond the blade.
    Beyond,
    /// Both.
    Both,
}

/// One set-up: a blade, a fence or stop, and how the work lies. It is safe on the saw it was made for.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// What it is for.
    pub job: Job,
    /// The plain name of the section that comes of it.
    pub shape: &'static str,
    /// Where it goes.
    pub used_in: Vec<UsedIn>,
    /// Tilt of the cut from vertical as the work lies flat; the blade leans away from the fence.
    pub tilt: f64,
    /// How much of the tilt a leaning bed gives; 0 where the work lies on the table.
    pub bed: f64,
    /// What the distance is set by; for slices the stop's distance.
    pub set: SetBy,
    /// How much of the distance makes up for the kerf of a later cut.
    pub for_kerf: f64,
    /// Where the work touches the fence.
    pub touch: Touch,
    /// What looks up, where the work is the sheet or a strip straight from it.
    pub up: Option<Up>,
    /// Whether the board's far edge lies at the fence, so that strips come off outboard.
    pub far_edge: bool,
    /// How the work is turned before it, from the set-up before or from pass to pass.
    pub turn: Option<Turn>,
    /// Whether face and back of the sheet differ, so that it matters which looks up.
    pub faces_differ: bool,
    /// Height of the work on the table.
    pub height: f64,
    /// Where the near side of the blade comes through the table.
    pub blade: f64,
    /// The piece between fence and blade.
    pub at_fence: Polygon,
    /// What lies beyond the blade.
    pub beyond: Option<Polygon>,
    /// Which of the two pieces is kept.
    pub keeps: Keeps,
    /// Whether the other piece goes on beyond what is drawn.
    pub goes_on: bool,
}

impl Cut {
    /// Edge angle in the piece at the fence, between the cut face and the side that looks up.
    pub fn edge(&self) -> f64 {
        90.0 - self.tilt
    }

    /// Tilt of the blade itself.
    pub fn blade_tilt(&self) -> f64 {
        self.tilt - self.bed
    }

    /// The piece that is kept; of two, the piece at the fence.
    pub fn piece(&self) -> &Polygon {
        match (self.keeps, &self.beyond) {
            (Keeps::Beyond, Some(beyond)) => beyond,
            _ => &self.at_fence,
        }
    }

    /// Width of the piece's foot on the table, in mm; 0 where it is a sharp edge.
    pub fn foot(&self) -> f64 {
        width_at(self.piece(), 0.0)
    }

    /// Width of the piece on top, in mm; 0 where it is a sharp edge.
    pub fn top(&self) -> f64 {
        width_at(self.piece(), -self.height)
    }

    /// Where the far side of a blade of this kerf comes through the table, in mm from the fence.
    pub fn far_side(&self, kerf: f64) -> f64 {
        self.blade + kerf / angle::cos(self.tilt)
    }

    /// Whether the saw is set and the work laid for both alike, and the same comes of them.
    pub fn is_set_like(&self, other: &Self) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() <= SAME;
        near(self.tilt, other.tilt)
            && near(
                self.distance().unwrap_or(0.0),
                other.distance().unwrap_or(0.0),
            )
            && self.job == other.job
            && (self.up, self.turn) == (other.up, other.turn)
            && self.used_in == other.used_in
            && self.piece().coincides(other.piece(), TOLERANCE)
    }

    /// The number that is set, in mm; none for a first edge, which goes by eye.
    pub fn distance(&self) -> Option<f64> {
        self.set.distance()
    }
}

fn span_at(piece: &Polygon, level: f64) -> (f64, f64) {
    let on_level = |p: &&Point| (p.y - level).abs() < TOLERANCE;
    let xs = piece.corners().iter().filter(on_level).map(|p| p.x);
    xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
        (l.min(x), h.max(x))
    })
}

fn width_at(piece: &Polygon, level: f64) -> f64 {
    let (low, high) = span_at(piece, level);
    (high - low).max(0.0)
}

/// Width of the foot on which a piece stands on the table, in mm.
fn foot(piece: &Polygon) -> f64 {
    width_at(piece, 0.0)
}

/// Whether a piece stands on its foot by itself.
fn stands(piece: &Polygon) -> bool {
    let (low, high) = span_at(piece, 0.0);
    let heavy = piece.centroid().x;
    low < heavy && heavy < high
}

/// A part that cannot be cut safely.
#[derive(Debug, Clone, PartialEq)]
pub struct Refused {
    /// The plain name of its section.
    pub shape: &'static str,
    /// What it is wanted for.
    pub used_in: Vec<UsedIn>,
    /// Why.
    pub why: Warning,
}
