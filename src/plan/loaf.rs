//! Tiles one by one, or bars glued side by side to a loaf that is sliced to courses or runs of tiles: parts that
//! are handled, joints, wood, and which way is less work. It serves where neighbours along a course keep their
//! poses from course to course.
//!
//! Lengths in mm. Spare tiles are left out of either way. Never here: steps, words.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::{
    geom::{
        Isometry, Polygon, TOLERANCE,
        outline::{Outline, outline},
    },
    layout::panel::Panel,
    plan::{
        count::cut::{length_of, slices_of},
        glue_up::placements,
        shop::Shop,
    },
    watch,
};

/// Most kinds of loaves that one panel is made of; with more, little is saved.
const MOST_LOAVES: usize = 12;

/// How much more bar a loaf may take than single tiles do and still be recommended: half as much again.
const MORE_BAR: f64 = 1.5;

/// Least length that two neighbours in a loaf share, in mm.
const LEAST_JOINT: f64 = 1.0;

/// Two places or middles nearer than this, in mm, are the same.
const SAME: f64 = 0.01;

/// One way to make a panel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Way {
    /// How many bars lie side by side in the largest loaf; 1 where tiles are sliced and laid one by one.
    pub side_by_side: usize,
    /// Whether a slice of a loaf is a whole course.
    pub whole_courses: bool,
    /// Bars to slice, alone or in loaves.
    pub bars: u64,
    /// Pieces that are laid and glued: bars into loaves, and slices into the panel.
    pub parts: u64,
    /// Joints: between neighbouring tiles; or between bars in loaves and between slices.
    pub joints: u64,
    /// Length of all bars together.
    pub bar_length: f64,
    /// The part of it that stays in clamps and at ends.
    pub stubs: f64,
    /// Height of the highest loaf as it lies on its wider side; of a bar for single tiles.
    pub height: f64,
    /// Whether this way is the one to take.
    pub recommended: bool,
}

/// The ways to make a panel: by tiles first, then by loaves, the narrowest first.
#[must_use]
pub fn ways(panel: &Panel, shop: &Shop) -> Vec<Way> {
    let mut all: Vec<Way> = by_tiles(panel, shop).into_iter().collect();
    let Some(most) = all.first().map(|tiles| tiles.bar_length * MORE_BAR) else {
        return all;
    };
    let rows = rows(panel);
    let mut looks = Looks {
        panel,
        known: BTreeMap::new(),
    };
    for wide in widths(&rows) {
        watch::ask();
        all.extend(by_loaves(&mut looks, &rows, wide, shop));
    }
    let serves = |way: &&mut Way| way.bar_length <= most;
    let least = (all.iter_mut().filter(serves)).min_by_key(|way| (way.parts, way.joints));
    if let Some(least) = least {
        least.recommended = true;
    }
    all
}

fn by_tiles(panel: &Panel, shop: &Shop) -> Option<Way> {
    let full = slices_of(shop, shop.cutting.bar_length);
    if full == 0 || panel.tiles.is_empty() {
        return None;
    }
    let mut of_faces = vec![0; panel.faces.len()];
    for tile in &panel.tiles {
        of_faces[tile.face as usize] += 1;
    }
    let mut way = Way {
        side_by_side: 1,
        whole_courses: false,
        bars: 0,
        parts: panel.tiles.len() as u64,
        joints: panel.joints.all,
        bar_length: 0.0,
        stubs: 0.0,
        height: 0.0,
        recommended: false,
    };
    for (i, face) in panel.faces.iter().enumerate() {
        let bar = face.kind.bar();
        let same_bar = |j: &usize| **panel.faces[*j].kind.bar() == **bar;
        if (0..i).any(|j| same_bar(&j)) {
            continue;
        }
        let slices = (i..panel.faces.len())
            .filter(same_bar)
            .map(|j| of_faces[j])
            .sum();
        let bounds = bar.outline().bounds();
        way.add_bars(1, slices, full, shop);
        way.height = way.height.max(bounds.height().min(bounds.width()));
    }
    Some(way)
}

/// The tiles of each course from left to right, by their numbers in the panel.
fn rows(panel: &Panel) -> Vec<Vec<usize>> {
    let placed = placements(panel);
    let courses = placed.chunk_by(|a, b| a.course == b.course);
    courses
        .map(|course| course.iter().map(|p| p.tile).collect())
        .collect()
}

/// How many tiles wide slices of loaves can be so that they fill all courses; none for whole courses.
fn widths(rows: &[Vec<usize>]) -> Vec<Option<usize>> {
    let lengths = || rows.iter().map(Vec::len);
    let (least, most) = (lengths().min().unwrap_or(0), lengths().max().unwrap_or(0));
    let mut all: Vec<Option<usize>> = (2..least)
        .filter(|wide| lengths().all(|length| length.is_multiple_of(*wide)))
        .map(Some)
        .collect();
    if most > 1 {
        all.push(None);
    }
    all
}

impl Way {
    /// Adds bars that lie `wide` side by side and give so many slices together.
    fn add_bars(&mut self, wide: u64, slices: u64, full: u64, shop: &Shop) {
        let loaves = slices.div_ceil(full);
        self.bars += wide * loaves;
        self.stubs += (wide * loaves) as f64 * shop.slicing.end_trim;
        let last = slices - (loaves - 1) * full;
        let each = (loaves - 1) as f64 * length_of(shop, full) + length_of(shop, last);
        self.bar_length += wide as f64 * each;
    }
}

fn by_loaves(
    looks: &mut Looks<'_>,
    rows: &[Vec<usize>],
    wide: Option<usize>,
    shop: &Shop,
) -> Option<Way> {
    let full = slices_of(shop, shop.cutting.bar_length);
    let mut loaves: Vec<(&[usize], u64)> = Vec::new();
    let mut slices = 0;
    for row in rows {
        watch::ask();
        for run in row.chunks(wide.unwrap_or(row.len())) {
            slices += 1;
            let known = loaves.iter().position(|(known, _)| looks.same(run, known));
            match known {
                Some(at) => loaves[at].1 += 1,
                None if loaves.len() == MOST_LOAVES => return None,
                None => loaves.push((run, 1)),
            }
        }
    }
    let mut way = Way {
        side_by_side: loaves.iter().map(|(run, _)| run.len()).max()?,
        whole_courses: wide.is_none(),
        bars: 0,
        parts: slices,
        joints: slices - 1,
        bar_length: 0.0,
        stubs: 0.0,
        height: 0.0,
        recommended: false,
    };
    for (run, count) in loaves {
        let height = height(looks.panel, run)?;
        if height > shop.slicing.height {
            return None;
        }
        way.height = way.height.max(height);
        let (wide, loaves) = (run.len() as u64, count.div_ceil(full));
        way.parts += wide * loaves;
        way.joints += (wide - 1) * loaves;
        way.add_bars(wide, count, full, shop);
    }
    Some(way)
}

/// How high a loaf of the bars of some tiles is as it lies; none where the bars do not hang together, or a slice
/// could not be pushed down into its place.
fn height(panel: &Panel, run: &[usize]) -> Option<f64> {
    let rims: Vec<Polygon> = run.iter().map(|&i| panel.rim(&panel.tiles[i])).collect();
    let touches = |pair: &[Polygon]| {
        let all: f64 = pair.iter().map(Polygon::perimeter).sum();
        let open = outline(pair, TOLERANCE).open;
        let open: f64 = open.iter().map(|(a, b, _)| a.distance(*b)).sum();
        all - open > 2.0 * LEAST_JOINT
    };
    let Outline {
        rims: around,
        holes,
        ..
    } = outline(&rims, TOLERANCE);
    let [rim] = &around[..] else { return None };
    let bounds = rim.polygon.bounds();
    let whole = holes.is_empty() && rims.windows(2).all(touches);
    (whole && hooks_nowhere(&rim.polygon)).then(|| bounds.height().min(bounds.width()))
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

/// Which faces are one picture after a move, as far as that was asked.
struct Looks<'a> {
    panel: &'a Panel,
    known: BTreeMap<(usize, u32, u32), bool>,
}

impl Looks<'_> {
    /// Whether two runs of tiles are slices of one loaf: as they lie, turned half round, or turned over.
    fn same(&mut self, a: &[usize], b: &[usize]) -> bool {
        a.len() == b.len() && (0..MOVES.len()).any(|by| self.moved(by, a, b))
    }

    fn moved(&mut self, by: usize, a: &[usize], b: &[usize]) -> bool {
        let (by_move, reversed) = MOVES[by];
        let last = a.len() - 1;
        let tile = |i: usize| &self.panel.tiles[i];
        let from = |i: usize| tile(a[if reversed { last - i } else { i }]);
        let lies = (0..a.len()).all(|i| {
            let (way, there) = (from(i).at - from(0).at, tile(b[i]).at - tile(b[0]).at);
            by_move.apply(way).distance(there) < SAME
        });
        let faces: Vec<(u32, u32)> = (0..a.len())
            .map(|i| (from(i).face, tile(b[i]).face))
            .collect();
        lies && faces.into_iter().all(|(a, b)| self.one_picture(by, a, b))
    }

    fn one_picture(&mut self, by: usize, a: u32, b: u32) -> bool {
        if let Some(known) = self.known.get(&(by, a, b)) {
            return *known;
        }
        let (from, to) = (&self.panel.faces[a as usize], &self.panel.faces[b as usize]);
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

/// The moves that bring a level run of tiles onto a level run, and whether they reverse its order.
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
