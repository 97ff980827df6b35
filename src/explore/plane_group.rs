//! The 17 plane groups: their names, and which one a pattern has.
//!
//! Names are the short Hermann-Mauguin symbols, as in International Tables for Crystallography,
//! volume A, with the older forms that makers of patterns use (pmm, pmg, pgg, cmm, p4m, p4g, p6m).
//! The decision follows the recognition chart of D. Schattschneider, The plane symmetry groups:
//! their recognition and notation, American Mathematical Monthly 85 (1978) 439-450.

use std::{fmt, str::FromStr};

use super::{pattern::Pattern, periods::Periods, symmetries::Symmetries};
use crate::geom::{Isometry, Point};
use crate::watch;

/// A plane group.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the names are the documentation")]
pub enum PlaneGroup {
    P1,
    P2,
    Pm,
    Pg,
    Cm,
    Pmm,
    Pmg,
    Pgg,
    Cmm,
    P4,
    P4m,
    P4g,
    P3,
    P3m1,
    P31m,
    P6,
    P6m,
}

/// How a pattern repeats.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Repeats {
    /// One colour, or straight stripes: shifts along the stripes, however small, change nothing.
    Stripes,
    /// By one of the plane groups.
    By(PlaneGroup),
}

/// Every group with its short symbol, the symbol of International Tables and its orbifold symbol.
const NAMES: [(PlaneGroup, &str, &str, &str); 17] = [
    (PlaneGroup::P1, "p1", "p1", "o"),
    (PlaneGroup::P2, "p2", "p2", "2222"),
    (PlaneGroup::Pm, "pm", "pm", "**"),
    (PlaneGroup::Pg, "pg", "pg", "xx"),
    (PlaneGroup::Cm, "cm", "cm", "*x"),
    (PlaneGroup::Pmm, "pmm", "p2mm", "*2222"),
    (PlaneGroup::Pmg, "pmg", "p2mg", "22*"),
    (PlaneGroup::Pgg, "pgg", "p2gg", "22x"),
    (PlaneGroup::Cmm, "cmm", "c2mm", "2*22"),
    (PlaneGroup::P4, "p4", "p4", "442"),
    (PlaneGroup::P4m, "p4m", "p4mm", "*442"),
    (PlaneGroup::P4g, "p4g", "p4gm", "4*2"),
    (PlaneGroup::P3, "p3", "p3", "333"),
    (PlaneGroup::P3m1, "p3m1", "p3m1", "*333"),
    (PlaneGroup::P31m, "p31m", "p31m", "3*3"),
    (PlaneGroup::P6, "p6", "p6", "632"),
    (PlaneGroup::P6m, "p6m", "p6mm", "*632"),
];

/// A text that names no plane group.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a plane group; the groups are {names}", names = PlaneGroup::all().map(PlaneGroup::short).join(", "))]
pub struct NoPlaneGroup(pub String);

impl PlaneGroup {
    /// All 17, as the chart lists them.
    pub fn all() -> [Self; 17] {
        NAMES.map(|(group, ..)| group)
    }

    /// The short name: `p4m`.
    pub fn short(self) -> &'static str {
        self.names().0
    }

    /// The symbol of International Tables for Crystallography: `p4mm`.
    pub fn international(self) -> &'static str {
        self.names().1
    }

    /// The orbifold symbol: `*442`.
    pub fn orbifold(self) -> &'static str {
        self.names().2
    }

    fn names(self) -> (&'static str, &'static str, &'static str) {
        let (_, short, international, orbifold) = NAMES
            .into_iter()
            .find(|(group, ..)| *group == self)
            .expect("invariant: every group has its line");
        (short, international, orbifold)
    }

    /// The group of some symmetries.
    pub fn of(symmetries: &Symmetries) -> Self {
        let periods = symmetries.periods;
        let (mirrors, turns): (Vec<Isometry>, Vec<Isometry>) =
            symmetries.moves.iter().partition(|g| g.flip);
        let axes: Vec<Axes> = mirrors.iter().map(|&g| Axes::of(g, periods)).collect();
        let on_axes = |centre: Point| {
            mirrors
                .iter()
                .any(|m| periods.has(m.apply(centre) - centre))
        };
        let all_on_axes = |degrees| centres(&turns, degrees, periods).into_iter().all(on_axes);
        match (turns.len(), axes.as_slice()) {
            (6, []) => Self::P6,
            (6, _) => Self::P6m,
            (4, []) => Self::P4,
            (4, _) if all_on_axes(90.0) => Self::P4m,
            (4, _) => Self::P4g,
            (3, []) => Self::P3,
            (3, _) if all_on_axes(120.0) => Self::P3m1,
            (3, _) => Self::P31m,
            (2, []) => Self::P2,
            (2, [Axes::Both, ..]) => Self::Cmm,
            (2, axes) if axes.iter().all(|&a| a == Axes::Mirrors) => Self::Pmm,
            (2, axes) if axes.iter().all(|&a| a == Axes::Glides) => Self::Pgg,
            (2, _) => Self::Pmg,
            (_, []) => Self::P1,
            (_, [Axes::Both, ..]) => Self::Cm,
            (_, [Axes::Mirrors, ..]) => Self::Pm,
            (_, [Axes::Glides, ..]) => Self::Pg,
        }
    }
}

impl Repeats {
    /// How a pattern repeats.
    pub fn of(pattern: &Pattern) -> Self {
        Symmetries::of(pattern).map_or(Self::Stripes, |s| Self::By(PlaneGroup::of(&s)))
    }
}

/// Whether a reflection, or a move that differs from it by a translation, is a mirror or a glide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Axes {
    Mirrors,
    Glides,
    Both,
}

impl Axes {
    fn of(reflection: Isometry, periods: Periods) -> Self {
        // The move, done twice, is a translation by twice the way along the axis.
        let way = |t: Point| t + reflection.linear().apply(t);
        let twice = way(reflection.shift);
        let [a, b] = periods.steps();
        let steps = [way(a), way(b)];
        // `way` maps the translations onto multiples of one step along the axis. In a rectangular
        // lattice that step is twice a translation, in a rhombic one it is a translation.
        let shortest = steps
            .iter()
            .chain([&(steps[0] + steps[1]), &(steps[0] - steps[1])])
            .copied()
            .filter(|w| w.length() > super::periods::SLACK)
            .min_by(|x, y| x.dot(*x).total_cmp(&y.dot(*y)))
            .expect("invariant: two steps are not both across one axis");
        let rhombic = !periods.has(shortest * 0.5);
        let share = twice.dot(shortest) / shortest.dot(shortest);
        let off = (share - libm::round(share)).abs() * shortest.length();
        match (rhombic, off <= 2.0 * super::periods::SLACK) {
            (true, _) => Self::Both,
            (false, true) => Self::Mirrors,
            (false, false) => Self::Glides,
        }
    }
}

/// The centres of turns by some angle; of those that a translation maps to one another, one.
fn centres(turns: &[Isometry], degrees: f64, periods: Periods) -> Vec<Point> {
    let Some(turn) = turns.iter().find(|g| (g.turn - degrees).abs() < 0.1) else {
        return Vec::new();
    };
    let [a, b] = periods.steps();
    let shifts = [-1.0, 0.0, 1.0];
    let mut found: Vec<Point> = Vec::new();
    for i in shifts {
        for j in shifts {
            watch::ask();
            let centre = fixed(turn.then(Isometry::shift(a * i + b * j)));
            if !found.iter().any(|&c| periods.has(c - centre)) {
                found.push(centre);
            }
        }
    }
    found
}

/// The point that a turn keeps; the turn is not by 0 degrees.
fn fixed(turn: Isometry) -> Point {
    // With R the turn, (1 - R) c = shift; the inverse of 1 - R is its transpose over 2 - 2 cos.
    let (sin, cos) = crate::geom::angle::sin_cos(turn.turn);
    let (s, k) = (turn.shift, 2.0 - 2.0 * cos);
    Point::new(
        ((1.0 - cos) * s.x - sin * s.y) / k,
        (sin * s.x + (1.0 - cos) * s.y) / k,
    )
}

impl fmt::Display for PlaneGroup {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.short())
    }
}

impl FromStr for PlaneGroup {
    type Err = NoPlaneGroup;

    /// Reads a short or an international symbol, in small or capital letters.
    fn from_str(text: &str) -> Result<Self, NoPlaneGroup> {
        let name = text.trim().to_lowercase();
        NAMES
            .into_iter()
            .find(|(_, short, international, _)| [*short, *international].contains(&name.as_str()))
            .map(|(group, ..)| group)
            .ok_or_else(|| NoPlaneGroup(text.to_owned()))
    }
}

impl fmt::Display for Repeats {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Stripes => f.pad("stripes"),
            Self::By(group) => group.fmt(f),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_kept_point_of_a_turn() {
        for degrees in [60.0, 90.0, 120.0, 180.0, 240.0] {
            let centre = Point::new(3.0, -7.0);
            let turn = Isometry::shift(-centre)
                .then(Isometry::turn(degrees))
                .then(Isometry::shift(centre));
            assert!(fixed(turn).distance(centre) < 1e-12, "{degrees}");
        }
    }

    #[test]
    fn names_read_back() {
        for group in PlaneGroup::all() {
            assert_eq!(group.short().parse(), Ok(group));
            assert_eq!(group.international().to_uppercase().parse(), Ok(group));
        }
        assert!(
            "p5".parse::<PlaneGroup>()
                .unwrap_err()
                .to_string()
                .contains("p4m")
        );
    }
}
