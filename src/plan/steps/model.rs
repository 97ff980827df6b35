//! What a step is: data that a maker, a drawing, another program or a simulated shop can read.
//!
//! Lengths in mm, angles in degrees. Wood is told in lots: pieces that are alike, with a name and
//! a number. The section of a piece stands in the frame of its wood: x across, from 0; y from the
//! sheet's face (0) down to its back (the thickness), as seen with end 1 towards you. Turned end
//! for end it shows its mirror image; rolled over it has turned by half a turn.

use serde::Serialize;

use crate::plan::{
    cautions::Caution,
    figure::Figure,
    glue_up::{Clamping, bearing::Bearing},
    saw::Cut,
};

pub use super::{
    pieces::{Band, Corner, Of, Piece, PieceKind, width_through},
    ripping::{Becomes, Down, Lie, OfBoards, Pass, RipFor, Round, Set, Side, Touches},
};

/// Where the face of a part's sheet is in the bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FaceIs {
    /// Outside.
    Out,
    /// At the joint with this part.
    At(usize),
    /// Nowhere: the strip comes to an edge there.
    Gone,
}

/// How a bar is held while its glue sets.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Workholding {
    /// Folded up on tape, and held by tape or bands.
    Tape,
    /// All joints lie flat: between cauls, by clamps.
    Clamps(Clamping),
}

/// A part of a bar in its place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PartAt {
    /// Its number, from 1 in the order of gluing.
    pub number: usize,
    /// The lot it is taken from.
    pub piece: String,
    /// Whether it is turned end for end.
    pub end_for_end: bool,
    /// By how much it is rolled about its length after that, clockwise as seen with the bar's end
    /// 1 towards you.
    pub roll: f64,
    /// How far it is moved after that.
    pub shift: Corner,
    /// Where its sheet's face is then.
    pub face: FaceIs,
    /// Its outline in the bar.
    pub outline: Vec<Corner>,
}

/// A bar in its place in a loaf.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BarAt {
    /// Its number, from 1 in the order of gluing.
    pub number: usize,
    /// The lot it is taken from.
    pub piece: String,
    /// Whether it is turned end for end.
    pub end_for_end: bool,
    /// By how much it is rolled about its length after that, clockwise as seen with the loaf's end 1 towards you.
    pub roll: f64,
    /// Where the middle of its outline is then.
    pub at: Corner,
    /// Its outline in the loaf.
    pub outline: Vec<Corner>,
}

/// A tile, or a slice of a loaf, where it is laid.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TileAt {
    /// Its course, from 1 at the top; of a slice that of its first tile.
    pub course: u32,
    /// Its number in the course, from 1 at the left; of a slice that of its first tile.
    pub number: u32,
    /// How many tiles it is: more than one where it is a slice of a loaf.
    pub tiles: u64,
    /// The lot it is taken from.
    pub piece: String,
    /// Turned clockwise, in degrees.
    pub turn: f64,
    /// Whether it is turned over first.
    pub flip: bool,
    /// Where the middle of its outline lies.
    pub at: Corner,
}

/// A slat where it lies in the panel that it is ripped from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SlatAt {
    /// Its lot.
    pub piece: String,
    /// Where it begins, from the panel's left; from its top where slats lie across.
    pub from: f64,
}

/// Tiles that are glued in one go.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GluedAtOnce {
    /// Course and number of the first tile.
    pub from: [u32; 2],
    /// Course and number of the last tile.
    pub to: [u32; 2],
    /// How many.
    pub tiles: u64,
    /// Length of the joints within.
    pub joints: f64,
    /// Until the clamps are on.
    pub minutes: f64,
}

/// What is done in a step.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "do", rename_all = "snake_case")]
pub enum Work {
    /// Strips of a scrap are cut with the settings that follow and laid up to a bar.
    Trial {
        /// The names of the bars that are shaped alike, each of which it stands for.
        bars: Vec<String>,
        /// How many strips one has.
        parts: usize,
    },
    /// A board is cut across.
    Crosscut {
        /// Length of each piece.
        length: f64,
        /// Width of the cut.
        kerf: f64,
        /// Pieces that a board gives at most.
        pieces: u64,
        /// Whether the strips run along the board's length.
        along_length: bool,
    },
    /// A veneer is cut out of leaves.
    CutVeneer {
        /// Colour, as the shop calls it.
        colour: String,
        /// Across the strips.
        width: f64,
        /// Along the strips.
        length: f64,
    },
    /// Blanks and veneers are glued to one another.
    Press {
        /// Lots from the face to the back.
        stack: Vec<String>,
        /// How far veneers stand out on each side.
        overhang: f64,
        /// Whether the veneers on the two sides differ in number, so that the sheet may warp.
        one_sided: bool,
        /// What presses it.
        #[serde(flatten)]
        clamping: Clamping,
        /// How long it stays pressed, in minutes: least and most of common practice.
        rest: [f64; 2],
    },
    /// A board and its veneers are coated with glue, each side that meets another, and dried apart.
    Coat {
        /// How long that takes, in minutes: least and most of common practice.
        dry: [f64; 2],
    },
    /// Coated veneers are ironed on, the innermost first.
    Iron {
        /// Lots from the face to the back.
        stack: Vec<String>,
        /// How far veneers stand out on each side.
        overhang: f64,
        /// Whether the veneers on the two sides differ in number, so that the sheet may warp.
        one_sided: bool,
    },
    /// Ripping, one setting of the blade.
    Rip {
        /// What for.
        purpose: RipFor,
        /// The shape that comes of it.
        shape: String,
        /// The blade's tilt from vertical, away from the fence.
        tilt: f64,
        /// How much the bed of a carriage leans beyond that, rising towards the blade; 0 where the
        /// work lies on the table.
        bed: f64,
        /// Width of the cut.
        kerf: f64,
        /// The boards that it comes from, where some are not as thick as the recipe draws them.
        #[serde(skip_serializing_if = "Option::is_none")]
        boards: Option<OfBoards>,
        /// The lot that is ripped, one after the other.
        work: String,
        /// For each of them.
        rounds: Vec<Round>,
        /// What is left of each at the end.
        left: Becomes,
    },
    /// Strips are cut across to the bar's length.
    CrosscutStrips {
        /// Length of each.
        length: f64,
        /// Width of the cut.
        kerf: f64,
    },
    /// A bar is glued of strips; where it has one part, that strip is the bar.
    GlueBar {
        /// Its parts.
        parts: Vec<PartAt>,
        /// Length of all joints across the bar's section.
        joints: f64,
        /// How long it stays in the clamps or bands before it is sliced, in minutes: least and
        /// most of common practice.
        rest: [f64; 2],
        /// How it is held meanwhile.
        held: Workholding,
        /// Inner corners of the bar's outline, where glue must come out before it sets.
        inner_corners: Vec<usize>,
    },
    /// A loaf is glued of bars, flush at one end; where it has one bar, that bar is the loaf.
    GlueLoaf {
        /// Its bars.
        bars: Vec<BarAt>,
        /// How many courses they lie in: one, but in a block for whole panels.
        courses: usize,
        /// Length of all joints across its section.
        joints: f64,
        /// How long it stays in clamps or bands before it is sliced, in minutes: least and most of common
        /// practice.
        rest: [f64; 2],
        /// How it is held meanwhile.
        held: Workholding,
        /// Inner corners of its outline, where glue must come out before it sets.
        inner_corners: Vec<usize>,
    },
    /// What was squeezed out is scraped off, and the ends are trimmed square.
    Clean {
        /// Whether there is glue to scrape off: the bar has several parts.
        glued: bool,
    },
    /// Pencil lines are drawn along the bar.
    Mark {
        /// Corners of the outline that they run along: the red one, the blue one.
        corners: [usize; 2],
    },
    /// Bars are sliced to tiles, or loaves to slices of many.
    Slice {
        /// Thickness of a slice.
        thickness: f64,
        /// Width of the cut.
        kerf: f64,
        /// Slices of each bar or loaf.
        slices: u64,
        /// What stays uncut of each.
        end: f64,
    },
    /// All tiles are laid dry.
    LayDry {
        /// The tiles.
        tiles: Vec<TileAt>,
    },
    /// Tiles are glued.
    Glue {
        /// What is glued in one go, in order; then these to each other.
        assemblies: Vec<GluedAtOnce>,
        /// What pulls a joint over the whole width together.
        #[serde(flatten)]
        clamping: Clamping,
        /// Sides along which bearing blocks stand between the tiles and the battens.
        #[serde(skip_serializing_if = "Vec::is_empty")]
        bearing_blocks: Vec<Bearing>,
    },
    /// Both faces are flattened.
    Flatten {
        /// From this thickness.
        from: f64,
        /// To this.
        to: f64,
    },
    /// The panel is trimmed to its finished outline.
    Trim {
        /// The outline.
        outline: Vec<Corner>,
        /// Its holes.
        #[serde(skip_serializing_if = "Vec::is_empty")]
        holes: Vec<Vec<Corner>>,
        /// The tightest inner curve, in mm of radius: 0 for a sharp inner corner; none where all is convex.
        #[serde(skip_serializing_if = "Option::is_none")]
        inner_radius: Option<f64>,
        /// Whether it is a rectangle.
        straight: bool,
    },
    /// A panel that is done is ripped, or cross-cut, to slats; what is left beyond the last is waste.
    RipPanel {
        /// Whether the slats lie across the panel, along its courses.
        across: bool,
        /// Width of each.
        width: f64,
        /// What each cut takes.
        kerf: f64,
        /// The slats, from the left or from the top.
        slats: Vec<SlatAt>,
    },
    /// A finished panel is cut into pieces.
    CutOut {
        /// Each with its outline where it lies on the panel.
        pieces: Vec<PieceOut>,
        /// What the cut between two of them may take, in mm.
        kerf: f64,
        /// The tightest inner curve of any, in mm of radius; none where all are convex.
        #[serde(skip_serializing_if = "Option::is_none")]
        inner_radius: Option<f64>,
        /// Whether all are rectangles.
        straight: bool,
    },
    /// What is left goes back to the stock.
    PutBack,
}

/// A piece that is cut out of a panel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PieceOut {
    /// Its name.
    pub name: String,
    /// Its outline.
    pub outline: Vec<Corner>,
    /// Its holes.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Vec<Corner>>,
}

/// A step.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Step {
    /// From 1, in working order.
    pub number: usize,
    /// What is done.
    pub work: Work,
    /// What it takes.
    pub takes: Vec<Of>,
    /// What it gives.
    pub gives: Vec<Of>,
    /// What to take care of.
    pub cautions: Vec<Caution>,
    /// Numbers of it with their sums, by name.
    pub why: Vec<(&'static str, Figure)>,
    /// The set-ups of the saw that it takes, one for each kind of pass, to be drawn and told.
    #[serde(skip)]
    pub set_ups: Vec<Cut>,
}

/// The plan as steps in working order.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Steps {
    /// All lots, in the order in which they come to be.
    pub pieces: Vec<Piece>,
    /// What is fetched before the first step.
    pub fetch: Vec<Of>,
    /// The steps.
    pub steps: Vec<Step>,
}
