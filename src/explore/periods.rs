//! The translations of a periodic pattern: two steps, and all their whole multiples.
//!
//! Steps in mm. The basis is kept reduced: the first step is a shortest one, the second a shortest
//! of the rest, and they lie at 60 to 90 degrees to one another.

use crate::geom::{Isometry, Point, Rect, TOLERANCE, angle};
use crate::watch;

/// Two translations within this many mm of each other count as one: a vector is the difference of
/// two places, and each may be off by the tolerance.
pub(crate) const SLACK: f64 = 2.0 * TOLERANCE;

/// All whole multiples of two steps that are not parallel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Periods {
    a: Point,
    b: Point,
}

impl Periods {
    /// The lattice of two steps; none where they are parallel or no numbers, within the tolerance.
    pub fn new(a: Point, b: Point) -> Option<Self> {
        let area = a.cross(b).abs();
        let fine = area.is_finite() && area > SLACK * a.length().max(b.length());
        fine.then(|| Self { a, b }.reduced())
    }

    /// The two steps.
    pub fn steps(&self) -> [Point; 2] {
        [self.a, self.b]
    }

    /// Area of one period in mm^2.
    pub fn area(&self) -> f64 {
        self.a.cross(self.b).abs()
    }

    /// Bounds of the parallelogram that [`Periods::wrapped`] maps to.
    pub fn bounds(&self) -> Rect {
        let corners = [Point::ZERO, self.a, self.b, self.a + self.b];
        Rect::around(corners).unwrap_or(Rect::sized(0.0, 0.0))
    }

    /// Lagrange's reduction of a plane lattice's basis.
    fn reduced(mut self) -> Self {
        loop {
            if self.b.length() < self.a.length() {
                std::mem::swap(&mut self.a, &mut self.b);
            }
            let times = libm::round(self.a.dot(self.b) / self.a.dot(self.a));
            let shorter = self.b - self.a * times;
            // It ends when a step gets shorter by no more than rounding.
            if shorter.length() >= self.b.length() - 1e-9 {
                break;
            }
            self.b = shorter;
        }
        if self.a.dot(self.b) < 0.0 {
            self.b = -self.b;
        }
        self
    }

    /// A place as shares of the two steps.
    pub fn shares(&self, p: Point) -> (f64, f64) {
        let det = self.a.cross(self.b);
        (p.cross(self.b) / det, self.a.cross(p) / det)
    }

    /// The place in the parallelogram of the two steps at the origin that a translation leads to.
    pub fn wrapped(&self, p: Point) -> Point {
        let (u, v) = self.shares(p);
        p - self.a * u.floor() - self.b * v.floor()
    }

    /// The shortest vector that differs from `p` by a translation.
    pub fn shortest(&self, p: Point) -> Point {
        let (u, v) = self.shares(p);
        let p = p - self.a * libm::round(u) - self.b * libm::round(v);
        // With a reduced basis the shortest is at most one step of each kind away.
        let steps = [-1.0, 0.0, 1.0];
        steps
            .iter()
            .flat_map(|&i| steps.iter().map(move |&j| (i, j)))
            .map(|(i, j)| p + self.a * i + self.b * j)
            .min_by(|x, y| x.dot(*x).total_cmp(&y.dot(*y)))
            .unwrap_or(p)
    }

    /// Whether a vector is one of the translations.
    pub fn has(&self, p: Point) -> bool {
        self.shortest(p).length() <= SLACK
    }

    /// Whether a turn or mirror maps the translations onto themselves.
    pub fn kept_by(&self, by: Isometry) -> bool {
        let by = by.linear();
        self.has(by.apply(self.a)) && self.has(by.apply(self.b))
    }

    /// The finer lattice that has `others` as well; together with the old translations these must
    /// be closed under addition, and no two of them may differ by an old translation.
    #[must_use]
    pub fn refined(&self, others: &[Point]) -> Self {
        let count = others.len() as f64 + 1.0;
        let area = self.area() / count;
        let steps = [-1.0, 0.0, 1.0];
        let mut all: Vec<Point> = Vec::new();
        for &t in others.iter().chain([&Point::ZERO]) {
            let t = self.shortest(t);
            for i in steps {
                watch::ask();
                for j in steps {
                    all.push(t + self.a * i + self.b * j);
                }
            }
        }
        all.retain(|t| t.length() > SLACK);
        all.sort_by(|x, y| x.dot(*x).total_cmp(&y.dot(*y)));
        all.iter()
            .find_map(|&first| {
                let second = all
                    .iter()
                    .find(|t| (first.cross(**t).abs() - area).abs() < area * 0.01)?;
                Self::new(first, *second)
            })
            .unwrap_or(*self)
    }

    /// Every turn and mirror about the origin that maps the translations onto themselves: 2, 4, 8
    /// or 12 of them, the identity first, then the turns, then the mirrors.
    pub fn holohedry(&self) -> Vec<Isometry> {
        let short = [self.a, self.b, self.b - self.a, self.b + self.a];
        let short: Vec<Point> = short.iter().flat_map(|&p| [p, -p]).collect();
        let like = |p: Point, q: Point| (p.length() - q.length()).abs() <= SLACK;
        let mut turns = vec![0.0];
        let mut axes: Vec<f64> = Vec::new();
        let from = direction(self.a);
        for &p in short.iter().filter(|&&p| like(p, self.a)) {
            for &q in short.iter().filter(|&&q| like(q, self.b)) {
                if !like(q - p, self.b - self.a) || p.cross(q).abs() < self.area() / 2.0 {
                    continue;
                }
                if (p.cross(q) > 0.0) == (self.a.cross(self.b) > 0.0) {
                    turns.push(angle::normalised(whole_turn(direction(p) - from)));
                } else {
                    axes.push(angle::normalised(f64::midpoint(direction(p), from)) % 180.0);
                }
            }
        }
        for list in [&mut turns, &mut axes] {
            list.sort_by(f64::total_cmp);
            list.dedup_by(|x, y| (*x - *y).abs() < 0.1);
        }
        if axes.len() > 1 && axes[axes.len() - 1] - axes[0] > 179.9 {
            axes.pop();
        }
        let turns = turns.into_iter().map(Isometry::turn);
        turns
            .chain(axes.into_iter().map(Isometry::mirror))
            .collect()
    }
}

fn direction(p: Point) -> f64 {
    angle::direction(p.x, p.y)
}

/// The nearest multiple of 60 or 90 degrees: a lattice has no other turns (the crystallographic
/// restriction; any text on plane groups).
fn whole_turn(degrees: f64) -> f64 {
    let near = |step: f64| libm::round(degrees / step) * step;
    let (six, four) = (near(60.0), near(90.0));
    if (six - degrees).abs() <= (four - degrees).abs() {
        six
    } else {
        four
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn periods(a: (f64, f64), b: (f64, f64)) -> Periods {
        Periods::new(Point::new(a.0, a.1), Point::new(b.0, b.1)).unwrap()
    }

    #[test]
    fn a_slanting_basis_is_reduced() {
        let p = periods((10.0, 0.0), (73.0, 4.0));
        assert!((p.area() - 40.0).abs() < 1e-9);
        assert!(p.steps()[0].length() <= 10.0);
        assert!(p.has(Point::new(83.0, 4.0)) && !p.has(Point::new(5.0, 0.0)));
        assert!(Periods::new(Point::new(1.0, 2.0), Point::new(2.0, 4.0)).is_none());
    }

    // The five Bravais lattices of the plane with the orders of their point groups: International
    // Tables for Crystallography, volume A.
    #[test]
    fn the_five_lattices_have_their_point_groups() {
        let orders = [
            (periods((10.0, 0.0), (3.1, 14.7)), 2),
            (periods((10.0, 0.0), (0.0, 14.7)), 4),
            (periods((10.0, 7.0), (10.0, -7.0)), 4),
            (periods((10.0, 3.0), (-3.0, 10.0)), 8),
            (periods((10.0, 0.0), (5.0, 10.0 * angle::sin(60.0))), 12),
        ];
        for (p, order) in orders {
            let found = p.holohedry();
            assert_eq!(found.len(), order, "{p:?}");
            assert_eq!(found[0], Isometry::IDENTITY);
            assert!(found.iter().all(|&g| p.kept_by(g)));
        }
    }

    #[test]
    fn refining_by_a_centre_and_by_thirds() {
        let p = periods((10.0, 0.0), (0.0, 6.0));
        let centred = p.refined(&[Point::new(5.0, 3.0)]);
        assert!((centred.area() - 30.0).abs() < 1e-9);
        assert!(centred.has(Point::new(5.0, -3.0)) && centred.has(Point::new(10.0, 0.0)));
        let thirds = p.refined(&[Point::new(10.0 / 3.0, 2.0), Point::new(20.0 / 3.0, 4.0)]);
        assert!((thirds.area() - 20.0).abs() < 1e-9);
    }
}
