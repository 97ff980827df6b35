//! The loaves that panels can be sliced from, and where each slice is laid.
//!
//! Lengths in mm, panel coordinates; turns clockwise. A loaf stands as its first slice lies; its bars
//! stand as their tiles do.

use std::collections::BTreeMap;

use crate::{
    geom::{
        Isometry, Point, Polygon, TOLERANCE,
        outline::{Outline, outline},
    },
    layout::panel::{Panel, PlacedFace, PlacedTile},
    plan::glue_up::{Placement, Slice, marked_corners},
    watch,
};

/// Most kinds of loaves that panels are made of; with more, little is saved.
pub const MOST_LOAVES: usize = 12;

/// Least length that two neighbours in a loaf share, in mm.
const LEAST_JOINT: f64 = 1.0;

/// Two places or middles nearer than this, in mm, are the same.
const SAME: f64 = 0.01;

/// What a slice of a loaf is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wide {
    /// So many tiles of a course side by side.
    Tiles(usize),
    /// A whole course.
    Course,
    /// A whole panel.
    Panel,
}

/// A bar in a loaf.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoafBar {
    /// Which panel shows it.
    pub panel: usize,
    /// As which of that panel's faces.
    pub face: u32,
    /// Where the middle of its outline is, from the middle of the loaf's.
    pub at: Point,
}

/// Bars that are glued to one another before they are sliced.
#[derive(Debug, Clone, PartialEq)]
pub struct Loaf {
    /// The bars in the order of gluing: course by course, from the left.
    pub bars: Vec<LoafBar>,
    /// The outline of its slices; its middle is the origin.
    pub outline: Polygon,
    /// How many courses its bars lie in: one, but in a block for whole panels.
    pub courses: usize,
    /// How many joints there are between its bars.
    pub joints: u64,
    /// The slices that panels take of it, each with its panel.
    pub slices: Vec<(usize, Slice)>,
}

impl Loaf {
    /// How high it is on its wider side.
    #[must_use]
    pub fn height(&self) -> f64 {
        let bounds = self.outline.bounds();
        bounds.height().min(bounds.width())
    }
}

/// Why panels cannot be sliced from loaves.
#[derive(Debug, Clone, PartialEq)]
pub enum Misfit {
    /// The slices of a panel are of more than [`MOST_LOAVES`] kinds.
    Unlike,
    /// A loaf is higher than the shop slices.
    TooHigh {
        /// Its height on its wider side.
        height: f64,
        /// The shop's.
        most: f64,
    },
    /// Bars of this course do not hang together, or a gap is left between them.
    Apart(u32),
    /// A slice of this course could not be pushed up or down into its place.
    Hooks(u32),
    /// There is one tile in each course.
    Single,
    /// Courses of these lengths cannot be parted into runs alike.
    Lengths(Vec<usize>),
}

/// The loaves that panels are sliced from; `placed` are their tiles in order.
///
/// # Errors
/// When there are none, with the panel for which that is so.
pub fn loaves(
    panels: &[&Panel],
    placed: &[Vec<Placement>],
    wide: Wide,
    most_height: f64,
) -> Result<Vec<Loaf>, (usize, Misfit)> {
    let mut looks = Looks {
        panels,
        known: BTreeMap::new(),
    };
    let mut found: Vec<Found> = Vec::new();
    for (number, placed) in placed.iter().enumerate() {
        let longest = placed.chunk_by(same_course).map(<[_]>::len).max();
        if wide == Wide::Course && longest.unwrap_or(0) < 2 {
            return Err((number, Misfit::Single));
        }
        let mut at = 0;
        for run in runs(placed, wide) {
            watch::ask();
            let run = Run {
                panel: number,
                placed: run,
                from: at,
            };
            at += run.placed.len();
            let moves = if wide == Wide::Panel {
                &MOVES[..1]
            } else {
                &MOVES[..]
            };
            let known = (found.iter().enumerate())
                .find_map(|(i, known)| Some((i, looks.same(&known.run, &run, moves)?)));
            match known {
                Some((i, by)) => found[i].uses.push((run, by)),
                None if found.len() == MOST_LOAVES => return Err((number, Misfit::Unlike)),
                None => found.push(Found {
                    run,
                    uses: vec![(run, 0)],
                }),
            }
        }
    }
    let each = found.iter().enumerate();
    each.map(|(number, found)| {
        let loaf = found.loaf(panels, number, wide);
        let loaf = loaf.map_err(|misfit| (found.run.panel, misfit))?;
        let height = loaf.height();
        if height > most_height {
            let most = most_height;
            return Err((found.run.panel, Misfit::TooHigh { height, most }));
        }
        Ok(loaf)
    })
    .collect()
}

fn same_course(a: &Placement, b: &Placement) -> bool {
    a.course == b.course
}

/// The runs of tiles that slices are, in the order of the tiles.
fn runs(placed: &[Placement], wide: Wide) -> Vec<&[Placement]> {
    let courses = placed.chunk_by(same_course);
    match wide {
        Wide::Panel => vec![placed],
        Wide::Course => courses.collect(),
        Wide::Tiles(wide) => courses.flat_map(|course| course.chunks(wide)).collect(),
    }
}

/// Tiles of a panel that are one slice.
#[derive(Debug, Clone, Copy)]
struct Run<'a> {
    panel: usize,
    placed: &'a [Placement],
    /// Number of the first of them among the panel's placements.
    from: usize,
}

impl Run<'_> {
    fn tile<'p>(&self, panels: &[&'p Panel], i: usize) -> &'p PlacedTile {
        &panels[self.panel].tiles[self.placed[i].tile]
    }
}

/// A loaf by its first slice, and all of its slices, each with its move.
struct Found<'a> {
    run: Run<'a>,
    uses: Vec<(Run<'a>, usize)>,
}

impl Found<'_> {
    fn loaf(&self, panels: &[&Panel], number: usize, wide: Wide) -> Result<Loaf, Misfit> {
        let run = &self.run;
        let panel = panels[run.panel];
        let course = run.placed[0].course;
        let rims: Vec<Polygon> = (0..run.placed.len())
            .map(|i| panel.rim(run.tile(panels, i)))
            .collect();
        let Outline {
            rims: around,
            holes,
            ..
        } = outline(&rims, TOLERANCE);
        let [rim] = &around[..] else {
            return Err(Misfit::Apart(course));
        };
        let level = wide != Wide::Panel;
        if !holes.is_empty() || (level && !rims.windows(2).all(touch)) {
            return Err(Misfit::Apart(course));
        }
        if level && !hooks_nowhere(&rim.polygon) {
            return Err(Misfit::Hooks(course));
        }
        let rim = rim.polygon.simplified(TOLERANCE);
        let middle = rim.centroid();
        let outline = rim.shifted(-middle);
        let marks = marked_corners(&outline).map(|i| outline.corners()[i]);
        let slice = |&(of, by): &(Run<'_>, usize)| {
            let (by, reversed) = MOVES[by];
            let first = if reversed { run.placed.len() - 1 } else { 0 };
            let from = run.tile(panels, first).at;
            let at = of.tile(panels, 0).at + by.apply(middle - from);
            let slice = Slice {
                placements: of.from..of.from + of.placed.len(),
                loaf: number,
                flip: by.flip,
                turn: by.turn,
                at,
                marks: marks.map(|mark| at + by.apply(mark)),
            };
            (of.panel, slice)
        };
        Ok(Loaf {
            bars: (0..run.placed.len())
                .map(|i| {
                    let tile = run.tile(panels, i);
                    LoafBar {
                        panel: run.panel,
                        face: tile.face,
                        at: tile.at - middle,
                    }
                })
                .collect(),
            outline,
            courses: run.placed.chunk_by(same_course).count(),
            joints: if level {
                run.placed.len() as u64 - 1
            } else {
                panel.joints.all
            },
            slices: self.uses.iter().map(slice).collect(),
        })
    }
}

/// Whether two neighbours share enough of an edge to be glued there.
fn touch(pair: &[Polygon]) -> bool {
    let all: f64 = pair.iter().map(Polygon::perimeter).sum();
    let open = outline(pair, TOLERANCE).open;
    let open: f64 = open.iter().map(|(a, b, _)| a.distance(*b)).sum();
    all - open > 2.0 * LEAST_JOINT
}

/// Whether an upright line meets an outline in one piece everywhere: what lies above or below can then be
/// pushed against it. The way round turns back just twice.
fn hooks_nowhere(outline: &Polygon) -> bool {
    let ways: Vec<bool> = (outline.edges())
        .map(|(a, b)| b.x - a.x)
        .filter(|way| way.abs() > SAME)
        .map(|way| way > 0.0)
        .collect();
    let back = (0..ways.len()).filter(|&i| ways[i] != ways[(i + 1) % ways.len()]);
    back.count() == 2
}

/// A face of a panel.
type FaceOf = (usize, u32);

/// Which faces are one picture after a move, as far as that was asked.
struct Looks<'a> {
    panels: &'a [&'a Panel],
    known: BTreeMap<(usize, FaceOf, FaceOf), bool>,
}

impl Looks<'_> {
    /// By which of some moves the second of two runs of tiles is a slice of the first one's loaf.
    fn same(&mut self, a: &Run<'_>, b: &Run<'_>, moves: &[(Isometry, bool)]) -> Option<usize> {
        let alike = a.placed.len() == b.placed.len();
        (0..moves.len()).find(|&by| alike && self.moved(by, a, b))
    }

    fn moved(&mut self, by: usize, a: &Run<'_>, b: &Run<'_>) -> bool {
        let (by_move, reversed) = MOVES[by];
        let last = a.placed.len() - 1;
        let to = |i: usize| b.tile(self.panels, i);
        let from = |i: usize| a.tile(self.panels, if reversed { last - i } else { i });
        let lies = (0..=last).all(|i| {
            let (way, there) = (from(i).at - from(0).at, to(i).at - to(0).at);
            by_move.apply(way).distance(there) < SAME
        });
        let faces: Vec<(FaceOf, FaceOf)> = (0..=last)
            .map(|i| ((a.panel, from(i).face), (b.panel, to(i).face)))
            .collect();
        lies && faces.into_iter().all(|(a, b)| self.one_picture(by, a, b))
    }

    fn face(&self, (panel, face): FaceOf) -> &PlacedFace {
        &self.panels[panel].faces[face as usize]
    }

    fn one_picture(&mut self, by: usize, a: FaceOf, b: FaceOf) -> bool {
        if let Some(known) = self.known.get(&(by, a, b)) {
            return *known;
        }
        let (from, to) = (self.face(a), self.face(b));
        let (from_regions, to_regions) = (from.face.regions(), to.face.regions());
        let same = **from.kind.bar() == **to.kind.bar()
            && from_regions.len() == to_regions.len()
            && from_regions.iter().all(|region| {
                let moved = region.polygon.moved(MOVES[by].0);
                to_regions.iter().any(|other| {
                    other.colour == region.colour && other.polygon.coincides(&moved, SAME)
                })
            });
        self.known.insert((by, a, b), same);
        same
    }
}

/// The moves that bring a level run of tiles onto a level run, and whether they reverse its order; the least
/// first.
const MOVES: [(Isometry, bool); 4] = [
    (Isometry::IDENTITY, false),
    (HALF_TURN, true),
    (
        Isometry {
            flip: true,
            ..Isometry::IDENTITY
        },
        true,
    ),
    (
        Isometry {
            flip: true,
            ..HALF_TURN
        },
        false,
    ),
];

const HALF_TURN: Isometry = Isometry {
    turn: 180.0,
    ..Isometry::IDENTITY
};
