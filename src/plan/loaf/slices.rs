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
    layout::panel::{Panel, PlacedFace, PlacedTile, fewer_moves},
    plan::{
        glue_up::{Placement, Slice, marked_corners},
        rounds::is_of_slats,
    },
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
        unseen: BTreeMap::new(),
    };
    let mut found: Vec<Found> = Vec::new();
    for (number, placed) in placed.iter().enumerate() {
        if is_of_slats(panels[number]) {
            continue;
        }
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
            let known = (found.iter().enumerate())
                .find_map(|(i, known)| Some((i, looks.same(&known.run, &run, wide)?)));
            match known {
                Some((i, by)) => found[i].uses.push((run, by)),
                None if found.len() == MOST_LOAVES => return Err((number, Misfit::Unlike)),
                None => found.push(Found {
                    run,
                    uses: vec![(run, SliceMove::AS_IT_STANDS)],
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

    fn face(&self, panels: &[&Panel], i: usize) -> FaceOf {
        (self.panel, self.tile(panels, i).face)
    }
}

/// A loaf by its first slice, and all of its slices, each with its move.
struct Found<'a> {
    run: Run<'a>,
    uses: Vec<(Run<'a>, SliceMove)>,
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
        let slice = |&(of, SliceMove { by, reversed }): &(Run<'_>, SliceMove)| {
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

/// How a slice is laid.
#[derive(Debug, Clone, Copy, PartialEq)]
struct SliceMove {
    by: Isometry,
    /// Whether its first tile comes to be the last.
    reversed: bool,
}

impl SliceMove {
    const AS_IT_STANDS: Self = Self {
        by: Isometry::IDENTITY,
        reversed: false,
    };
}

/// Which faces look the same after a move; each answer is kept.
struct Looks<'a> {
    panels: &'a [&'a Panel],
    known: BTreeMap<(bool, u64, FaceOf, FaceOf), bool>,
    unseen: BTreeMap<FaceOf, Vec<Isometry>>,
}

impl Looks<'_> {
    /// How the second of two runs of tiles is laid as a slice of the first one's loaf, with the fewest moves; a whole
    /// panel is not turned.
    fn same(&mut self, a: &Run<'_>, b: &Run<'_>, wide: Wide) -> Option<SliceMove> {
        if a.placed.len() != b.placed.len() {
            return None;
        }
        if wide == Wide::Panel {
            let still = SliceMove::AS_IT_STANDS;
            return self.moved(still, a, b).then_some(still);
        }
        // The first tile becomes the first or the last: no other move brings a level run onto a level run.
        let last = b.placed.len() - 1;
        let face = a.face(self.panels, 0);
        let first = &self.panels[face.0].faces[face.1 as usize];
        let unseen = self.unseen.entry(face);
        let unseen = unseen.or_insert_with(|| first.kind.unseen_moves()).clone();
        let back = first.kind.isometry(first.pose).linear().inverse();
        let mut all: Vec<SliceMove> = Vec::new();
        for reversed in [false, true] {
            let to = self.face(b.face(self.panels, if reversed { last } else { 0 }));
            let posed = to.kind.isometry(to.pose).linear();
            let by = unseen.iter().map(|by| back.then(*by).then(posed));
            all.extend(by.map(|by| SliceMove { by, reversed }));
        }
        all.sort_by(|a, b| fewer_moves(&a.by, &b.by));
        all.into_iter().find(|laid| self.moved(*laid, a, b))
    }

    fn moved(&mut self, SliceMove { by, reversed }: SliceMove, a: &Run<'_>, b: &Run<'_>) -> bool {
        let last = a.placed.len() - 1;
        let from = |i: usize| if reversed { last - i } else { i };
        let at = |run: &Run<'_>, i: usize| run.tile(self.panels, i).at;
        let lies = (0..=last).all(|i| {
            let way = at(a, from(i)) - at(a, from(0));
            by.apply(way).distance(at(b, i) - at(b, 0)) < SAME
        });
        lies && (0..=last).all(|i| {
            let (a, b) = (a.face(self.panels, from(i)), b.face(self.panels, i));
            self.one_picture(by, a, b)
        })
    }

    fn face(&self, (panel, face): FaceOf) -> &PlacedFace {
        &self.panels[panel].faces[face as usize]
    }

    fn one_picture(&mut self, by: Isometry, a: FaceOf, b: FaceOf) -> bool {
        let key = (by.flip, by.turn.to_bits(), a, b);
        if let Some(known) = self.known.get(&key) {
            return *known;
        }
        let (from, to) = (self.face(a), self.face(b));
        let same = **from.kind.bar() == **to.kind.bar() && from.face.posed(by).looks_like(&to.face);
        self.known.insert(key, same);
        same
    }
}
