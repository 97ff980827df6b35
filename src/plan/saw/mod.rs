//! One set-up of the saw: what it cuts, what the blade and the fence are set to, how the work
//! lies, and what is not safe or not possible about it.
//!
//! Saw frame of the polygons: x from the fence (0) towards the blade, y DOWN onto the table (0).
//! Fence distances are on the table, from the fence to the near side of the blade where it comes
//! through; tilts are from vertical, as saws count them (edge angle = 90 - tilt). Lengths in mm,
//! angles in degrees. Never here: the order of cuts ([`sequence`]), words ([`words`]).

pub mod again;
pub mod number;
pub mod rip;
pub mod sequence;
pub mod settings;
pub mod words;

use crate::geom::{Point, Polygon, TOLERANCE};
use crate::plan::saw::rip::{Touch, Up};

/// What a saw can do, and what its owner will hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SawLimits {
    /// Farthest tilt from vertical in degrees. Table saws: 45 (from saws' manuals).
    pub most_tilt: f64,
    /// Width of the cut in mm. Full-kerf blade: 3.2 (common practice).
    pub kerf: f64,
    /// Shortest piece that is fed along the fence, in mm: 300 (common practice).
    pub shortest: f64,
    /// Narrowest foot on the table, in mm, with which a piece is led between blade and fence:
    /// 12 (common practice; always with a push block).
    pub narrowest: f64,
    /// Thinnest slice that is cut off a bar, in mm: 6 (common practice).
    pub thinnest_slice: f64,
}

impl Default for SawLimits {
    fn default() -> Self {
        Self {
            most_tilt: 45.0,
            kerf: 3.2,
            shortest: 300.0,
            narrowest: 12.0,
            thinnest_slice: 6.0,
        }
    }
}

/// Below this foot (mm) hands never lead the work: push block and a low auxiliary fence (rip-width
/// rule of table saws' manuals: 2 in.).
pub const PUSH_BLOCK_BELOW: f64 = 50.8;

/// What a set-up is for.
#[derive(Debug, Clone, PartialEq)]
pub enum Job {
    /// Strip after strip off the sheet at one setting. Each pass makes the second edge of one
    /// strip and the first edge of the next.
    Strips {
        /// Whether the sheet is turned over, end for end, after each pass.
        turned_over: bool,
        /// Whether every other strip then has the sheet's back where the recipe has its face,
        /// and the sheet is not the same from both sides.
        faces_differ: bool,
    },
    /// Strips whose edges want two tilts, first set-up: the first edge, and wide enough for the
    /// second.
    Blanks,
    /// The same strips, second set-up: the second edge, to width.
    SecondEdge,
    /// Strips ripped once more along their length.
    Again {
        /// Whether they lie the other way up than drawn in the recipe.
        upside_down: bool,
    },
    /// A bar into tiles.
    Slices,
}

/// A use of what is cut: a bar and its parts, counted from 1. No parts stand for the whole bar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UsedIn {
    /// The bar's name.
    pub bar: String,
    /// The parts.
    pub parts: Vec<usize>,
}

/// One set-up.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// What it is for.
    pub job: Job,
    /// The plain name of the section that comes of it.
    pub shape: &'static str,
    /// Where it goes.
    pub used_in: Vec<UsedIn>,
    /// Blade tilt from vertical; the blade leans away from the fence.
    pub tilt: f64,
    /// Fence distance, or for slices the distance of the stop.
    pub fence: f64,
    /// How much of the fence distance makes up for the kerf of a later cut.
    pub for_kerf: f64,
    /// Where the work touches the fence.
    pub touch: Touch,
    /// What looks up, where the work is the sheet or a strip straight from it.
    pub up: Option<Up>,
    /// Height of the work on the table.
    pub height: f64,
    /// The piece between fence and blade, in the saw frame.
    pub piece: Polygon,
    /// What lies beyond the blade: the rest of the sheet (cut short here), the other piece.
    pub rest: Option<Polygon>,
    /// Whether the rest goes on beyond what is drawn.
    pub rest_goes_on: bool,
    /// What is wrong with it.
    pub warnings: Vec<Warning>,
}

impl Cut {
    /// Edge angle in the piece between the cut face and the side that looks up.
    #[must_use]
    pub fn edge(&self) -> f64 {
        90.0 - self.tilt
    }

    /// Width of the piece's foot on the table, in mm; 0 where it is a sharp edge.
    #[must_use]
    pub fn foot(&self) -> f64 {
        self.width_at(0.0)
    }

    /// Width of the piece on top, in mm; 0 where it is a sharp edge.
    #[must_use]
    pub fn top(&self) -> f64 {
        self.width_at(-self.height)
    }

    fn width_at(&self, level: f64) -> f64 {
        let on_level = |p: &&Point| (p.y - level).abs() < TOLERANCE;
        let xs = self.piece.corners().iter().filter(on_level).map(|p| p.x);
        let (low, high) = xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
            (l.min(x), h.max(x))
        });
        (high - low).max(0.0)
    }

    /// Whether the piece stands on its foot by itself.
    #[must_use]
    pub fn stands(&self) -> bool {
        let heavy = self.piece.centroid().x;
        let on_table = |p: &&Point| p.y.abs() < TOLERANCE;
        let feet = self.piece.corners().iter().filter(on_table);
        let (low, high) = feet.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| {
            (l.min(p.x), h.max(p.x))
        });
        low < heavy && heavy < high
    }
}

/// Something about a set-up that must be done another way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Warning {
    /// The blade does not tilt that far.
    TiltBeyond {
        /// Wanted.
        tilt: f64,
        /// The saw's farthest.
        most: f64,
    },
    /// Too narrow to lead between blade and fence.
    Narrow {
        /// The foot on the table.
        foot: f64,
        /// The narrowest.
        least: f64,
        /// Its width on top: what lies on the table of a piece that falls on the far side.
        top: f64,
    },
    /// The piece has no foot that it stands on: it tips once it is free.
    Tips {
        /// The foot on the table.
        foot: f64,
    },
    /// No side of the section lies flat on the table.
    NoFlat,
    /// Too short to lead along the fence.
    Short {
        /// Its length.
        length: f64,
        /// The shortest.
        least: f64,
    },
    /// A slice too thin to hold.
    ThinSlice {
        /// Its thickness.
        thickness: f64,
        /// The thinnest.
        least: f64,
    },
}

impl Warning {
    /// Those that follow from the shape of a rip; `length` is that of the work, where it is known.
    #[must_use]
    pub fn of_rip(cut: &Cut, limits: &SawLimits, flat: bool, length: Option<f64>) -> Vec<Self> {
        let mut all = Vec::new();
        if cut.tilt > limits.most_tilt + 1e-9 {
            all.push(Self::TiltBeyond {
                tilt: cut.tilt,
                most: limits.most_tilt,
            });
        }
        let foot = cut.foot();
        if !flat {
            all.push(Self::NoFlat);
        } else if foot < limits.narrowest {
            all.push(Self::Narrow {
                foot,
                least: limits.narrowest,
                top: cut.top(),
            });
        } else if !cut.stands() {
            all.push(Self::Tips { foot });
        }
        if let Some(length) = length.filter(|&l| l < limits.shortest) {
            all.push(Self::Short {
                length,
                least: limits.shortest,
            });
        }
        all
    }
}
