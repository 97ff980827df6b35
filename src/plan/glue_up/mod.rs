//! Gluing the tiles to a panel: every tile numbered, sub-assemblies that close within the glue's
//! open time, joints and seams, pressure, and what thickness is left.
//!
//! Tiles are glued whole, those at the rim too; trimming comes after. Courses are those of the
//! panel's lattice, numbered from 1 at the top, and the tiles in each from 1 at the left; tiles
//! placed freely are one course. Slices of a loaf are glued like tiles: each is a run of tiles of one course,
//! or a whole panel. Lengths in mm, times in minutes. Never here: words, drawing.

pub mod bearing;
pub mod words;

use std::ops::Range;

use serde::Serialize;

use crate::watch;
use crate::{
    geom::{Point, Polygon, TOLERANCE, outline::outline},
    layout::panel::Panel,
    stock::TileKind,
};

/// Share of the open time that is kept for straightening and clamping (common practice).
const FOR_CLAMPS: f64 = 0.25;

/// Pressures for waterborne wood glues, cold, in N/mm^2: about 0.7 for woods of low density to 1.7
/// for dense ones (Wood Handbook, FPL-GTR-282, chapter on adhesives; from memory).
pub const PRESSURES: (f64, f64) = (0.7, 1.7);

/// What the plan of the gluing depends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlueTerms {
    /// Thickness of the slices.
    pub slice: f64,
    /// Open time of the glue, in minutes.
    pub open_time: f64,
    /// How long spreading and placing one tile takes, in seconds: the maker's own pace.
    pub tile_seconds: f64,
}

/// A pace to start from, in seconds a tile (common practice; time ten tiles to know yours).
pub const TILE_SECONDS: f64 = 20.0;

/// One tile of the panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Placement {
    /// Index into [`Panel::tiles`].
    pub tile: usize,
    /// Its course, from 1.
    pub course: u32,
    /// Its number within the course, from 1.
    pub number: u32,
}

/// A slice of a loaf where it is laid.
#[derive(Debug, Clone, PartialEq)]
pub struct Slice {
    /// The tiles that it is: which of the placements.
    pub placements: Range<usize>,
    /// Which loaf it comes from.
    pub loaf: usize,
    /// Whether it is turned over first.
    pub flip: bool,
    /// Turned clockwise after that, in degrees.
    pub turn: f64,
    /// Where the middle of its outline lies.
    pub at: Point,
    /// Where the two pencil lines of its loaf come out, see [`marked_corners`].
    pub marks: [Point; 2],
}

/// Tiles that are glued in one go.
#[derive(Debug, Clone, PartialEq)]
pub struct Assembly {
    /// Which of the placements.
    pub placements: Range<usize>,
    /// Length of the joints within it.
    pub joints: f64,
    /// How long it takes until the clamps are on.
    pub minutes: f64,
}

/// How a panel is glued up.
#[derive(Debug, Clone, PartialEq)]
pub struct GlueUp {
    /// The tiles in the order of gluing.
    pub placements: Vec<Placement>,
    /// The slices of loaves that they are, in this order; empty where each tile is a slice of its own.
    pub slices: Vec<Slice>,
    /// What is glued in one go, in order; then these are glued to each other.
    pub assemblies: Vec<Assembly>,
    /// Length of all joints that are glued here: between tiles, or between slices.
    pub joints: f64,
    /// Length of the seams between sub-assemblies; a part of the joints.
    pub seams: f64,
    /// Area of all joints in mm^2, on one side of each.
    pub glue_area: f64,
    /// Whether even a single tile takes longer than the open time leaves.
    pub hopeless: bool,
    /// What a slower glue would change; none where all is glued in one go anyway.
    pub slower: Option<Slower>,
}

/// What a glue that stays open for longer would change.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Slower {
    /// Twice the open time, in minutes.
    pub open_time: f64,
    /// Sub-assemblies with it.
    pub assemblies: usize,
    /// The open time that would do for all at once, in minutes.
    pub all_at_once: f64,
}

impl GlueUp {
    /// Whether each slice of a loaf is glued to the next by itself, as the open time holds no two of them.
    pub fn slice_by_slice(&self) -> bool {
        self.assemblies.len() > 1 && self.assemblies.len() == self.slices.len()
    }
}

/// Plans the gluing of a panel of slices of loaves, which make up all of its tiles in their order; of single
/// tiles where there are none. A slice takes as long as its tiles would, less what their joints within it
/// take, and no less than a tile.
pub fn glue_up_slices(panel: &Panel, slices: Vec<Slice>, terms: GlueTerms) -> GlueUp {
    let placements = placements(panel);
    let per_tile = terms.tile_seconds / 60.0;
    let rims: Vec<Polygon> = placements
        .iter()
        .map(|p| panel.rim(&panel.tiles[p.tile]))
        .collect();
    let all = joint_length(&rims);
    let in_slices: f64 = (slices.iter())
        .map(|s| joint_length(&rims[s.placements.clone()]))
        .sum();
    let joints = (all - in_slices).max(0.0);
    let share = if all > 0.0 { joints / all } else { 1.0 };
    let pieces: Vec<Movement> = if slices.is_empty() {
        (0..placements.len()).map(Movement::tile).collect()
    } else {
        let each = slices.iter().map(|s| s.placements.clone());
        each.map(|range| Movement::slice(range, share)).collect()
    };
    let course = |piece: &Movement| placements[piece.placements.start].course;
    let courses: Vec<&[Movement]> = pieces.chunk_by(|a, b| course(a) == course(b)).collect();
    let most_in = |open_time: f64| whole(open_time * (1.0 - FOR_CLAMPS) / per_tile * TILE);
    let most = most_in(terms.open_time);
    let groups_in = |open_time: f64| groups(&courses, most_in(open_time));
    let seconds = |pieces: &[Movement]| pieces.iter().map(|p| p.time).sum::<u64>() as f64 / TILE;
    let mut at = 0;
    let assemblies: Vec<Assembly> = groups_in(terms.open_time)
        .into_iter()
        .map(|range| {
            let of = &pieces[range];
            let placements = at..of.last().map_or(at, |last| last.placements.end);
            at = placements.end;
            let within: f64 = (of.iter().filter(|_| !slices.is_empty()))
                .map(|p| joint_length(&rims[p.placements.clone()]))
                .sum();
            Assembly {
                joints: (joint_length(&rims[placements.clone()]) - within).max(0.0),
                minutes: seconds(of) * per_tile + terms.open_time * FOR_CLAMPS,
                placements,
            }
        })
        .collect();
    let within: f64 = assemblies.iter().map(|a| a.joints).sum();
    let slower = || Slower {
        open_time: 2.0 * terms.open_time,
        assemblies: groups_in(2.0 * terms.open_time).len(),
        all_at_once: seconds(&pieces) * per_tile / (1.0 - FOR_CLAMPS),
    };
    GlueUp {
        seams: if assemblies.len() > 1 {
            joints - within
        } else {
            0.0
        },
        joints,
        glue_area: joints * terms.slice,
        slower: (assemblies.len() > 1).then(slower),
        hopeless: pieces.len() > 1 && pieces.iter().any(|p| p.time > most),
        placements,
        slices,
        assemblies,
    }
}

/// What is laid in one movement, and how long that takes.
#[derive(Debug, Clone)]
struct Movement {
    placements: Range<usize>,
    /// In hundredths of the time for a tile.
    time: u64,
}

/// Hundredths.
const TILE: f64 = 100.0;

impl Movement {
    fn tile(at: usize) -> Self {
        Self {
            placements: at..at + 1,
            time: whole(TILE),
        }
    }

    fn slice(placements: Range<usize>, share: f64) -> Self {
        let time = whole((placements.len() as f64 * share).max(1.0) * TILE);
        Self { placements, time }
    }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "saturates, and a panel never has that many tiles"
)]
fn whole(count: f64) -> u64 {
    // A hair more than a whole number is rounding.
    (count + 1e-6).max(0.0) as u64
}

/// The tiles of a panel in the order of gluing, with their numbers.
pub fn placements(panel: &Panel) -> Vec<Placement> {
    let mut order: Vec<usize> = (0..panel.tiles.len()).collect();
    order.sort_by_key(|&i| (panel.tiles[i].cell.course, panel.tiles[i].cell.column));
    let mut all: Vec<Placement> = Vec::with_capacity(order.len());
    let mut last = None;
    let (mut course, mut number) = (0, 0);
    for tile in order {
        watch::ask();
        let at = panel.tiles[tile].cell.course;
        if last != Some(at) {
            (course, number) = (course + 1, 0);
            last = Some(at);
        }
        number += 1;
        all.push(Placement {
            tile,
            course,
            number,
        });
    }
    all
}

/// Runs of pieces, none of which takes longer than `most`: whole courses where they fit, as even as whole
/// courses allow; a course that takes too long alone is parted evenly, and its parts stay alone, as they need not meet
/// what comes next.
fn groups(courses: &[&[Movement]], most: u64) -> Vec<Range<usize>> {
    let mut blocks: Vec<(Range<usize>, u64, bool)> = Vec::new();
    let mut from = 0;
    for course in courses {
        watch::ask();
        let longest = course.iter().map(|p| p.time).max().unwrap_or(1).max(1);
        let in_one = usize::try_from(most / longest).unwrap_or(usize::MAX).max(1);
        let parts = course.len().div_ceil(in_one);
        for i in 0..parts {
            let (start, end) = (course.len() * i / parts, course.len() * (i + 1) / parts);
            let time = course[start..end].iter().map(|p| p.time).sum();
            blocks.push((from + start..from + end, time, parts == 1));
        }
        from += course.len();
    }
    let packed = |cap: u64| {
        let mut groups: Vec<(Range<usize>, u64, bool)> = Vec::new();
        for (block, time, whole) in &blocks {
            match groups.last_mut() {
                Some((last, sum, true)) if *whole && *sum + time <= cap => {
                    last.end = block.end;
                    *sum += time;
                }
                _ => groups.push((block.clone(), *time, *whole)),
            }
        }
        groups
    };
    let fewest = packed(most).len();
    // The tightest bound that needs no more groups: bisection, as tighter never needs fewer.
    let longest = blocks.iter().map(|b| b.1).max().unwrap_or(0);
    let (mut low, mut high) = (longest.max(1), most.max(longest));
    while low < high {
        let middle = u64::midpoint(low, high);
        if packed(middle).len() <= fewest {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    packed(high).into_iter().map(|(range, ..)| range).collect()
}

/// Length of the joints among some tiles: every piece of an edge that two of them share.
fn joint_length(rims: &[Polygon]) -> f64 {
    let all: f64 = rims.iter().map(Polygon::perimeter).sum();
    let open = outline(rims, TOLERANCE).open;
    let open: f64 = open.iter().map(|(a, b, _)| a.distance(*b)).sum();
    ((all - open) / 2.0).max(0.0)
}

/// Pressures for veneer on a flat board, in N/mm^2: from what a vacuum bag gives at most, one atmosphere
/// (101,325 Pa), to the least for solid joints. The glue's own sheet comes first.
pub const VENEER_PRESSURES: (f64, f64) = (0.101_325, PRESSURES.0);

/// What clamps must give for a joint, and how many of the shop's that are.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Clamping {
    /// Force in kN: least and most.
    pub force: [f64; 2],
    /// Clamps for it: least and most, two at any rate.
    pub clamps: [u64; 2],
}

impl Clamping {
    /// For a joint of an area in mm^2 at some [`PRESSURES`], by clamps of a force in kN.
    pub fn of(area: f64, (least, most): (f64, f64), clamp: f64) -> Self {
        let force = [least, most].map(|pressure| pressure * area / 1000.0);
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "saturates, and is not negative"
        )]
        let clamps = force.map(|kn| ((kn / clamp - 1e-9).ceil() as u64).max(2));
        Self { force, clamps }
    }
}

/// Thickness that is left when both faces are flat and parallel: slices of `slice` mm, of which
/// one side of the panel came out thinner by `thinner` mm, less what flattening takes anyway
/// (`sanding`, both faces together). None where nothing is left.
pub fn flattened(slice: f64, thinner: f64, sanding: f64) -> Option<f64> {
    let left = slice - thinner.abs() - sanding;
    (left > 0.0).then_some(left)
}

/// Where two pencil lines run along a bar, so that every slice shows how it stands and which side
/// is up, on the face as the bar stands (see [`TileKind::face`]): the first at the outline's
/// uppermost corner (the leftmost of several), the second at the next corner clockwise. Gives the
/// numbers of these corners.
pub fn pencil_marks(kind: &TileKind) -> [usize; 2] {
    marked_corners(kind.face().outline())
}

/// The same of any outline: of a loaf, too.
pub fn marked_corners(outline: &Polygon) -> [usize; 2] {
    let corners = outline.corners();
    let top = corners.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let first = (0..corners.len())
        .filter(|&i| corners[i].y <= top + TOLERANCE)
        .min_by(|&i, &j| corners[i].x.total_cmp(&corners[j].x))
        .unwrap_or(0);
    [first, (first + 1) % corners.len()]
}
