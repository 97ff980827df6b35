//! Plain geometry of the simulated shop: convex sections, cut by lines, moved and compared. Nothing of
//! the program is behind it.

/// A point: x to the right, y down.
pub(crate) type P = (f64, f64);

/// Corners of a polygon, in either sense.
pub(crate) type Section = Vec<P>;

/// Two sections whose corners lie nearer than this, in mm, are the same.
pub(crate) const SAME: f64 = 0.01;

pub(crate) fn area(s: &[P]) -> f64 {
    let n = s.len();
    let twice: f64 = (0..n)
        .map(|i| {
            let ((x, y), (u, v)) = (s[i], s[(i + 1) % n]);
            x * v - u * y
        })
        .sum();
    twice.abs() / 2.0
}

/// Middle of the area.
pub(crate) fn middle(s: &[P]) -> P {
    let n = s.len();
    let o = s[0];
    let (mut x, mut y, mut all) = (0.0, 0.0, 0.0);
    for i in 0..n {
        let a = (s[i].0 - o.0, s[i].1 - o.1);
        let b = (s[(i + 1) % n].0 - o.0, s[(i + 1) % n].1 - o.1);
        let w = a.0 * b.1 - b.0 * a.1;
        x += (a.0 + b.0) * w;
        y += (a.1 + b.1) * w;
        all += w;
    }
    (o.0 + x / (3.0 * all), o.1 + y / (3.0 * all))
}

pub(crate) fn each(s: &[P], f: impl Fn(P) -> P) -> Section {
    s.iter().map(|&p| f(p)).collect()
}

pub(crate) fn moved(s: &[P], x: f64, y: f64) -> Section {
    each(s, |p| (p.0 + x, p.1 + y))
}

/// Mirrored left for right.
pub(crate) fn mirrored(s: &[P]) -> Section {
    each(s, |p| (-p.0, p.1))
}

/// Of an angle in degrees.
pub(crate) fn sin_cos(degrees: f64) -> (f64, f64) {
    libm::sincos(degrees * std::f64::consts::PI / 180.0)
}

/// Turned clockwise as seen, about the origin.
pub(crate) fn turned(s: &[P], degrees: f64) -> Section {
    let (sin, cos) = sin_cos(degrees);
    each(s, |p| (p.0 * cos - p.1 * sin, p.0 * sin + p.1 * cos))
}

pub(crate) fn least(s: &[P], of: impl Fn(&P) -> f64) -> f64 {
    s.iter().map(of).fold(f64::INFINITY, f64::min)
}

pub(crate) fn most(s: &[P], of: impl Fn(&P) -> f64) -> f64 {
    s.iter().map(of).fold(f64::NEG_INFINITY, f64::max)
}

pub(crate) fn width(s: &[P]) -> f64 {
    most(s, |p| p.0) - least(s, |p| p.0)
}

/// The part of a convex section where `inside` is not negative; `inside` is linear.
pub(crate) fn cut(s: &[P], inside: impl Fn(P) -> f64) -> Section {
    let n = s.len();
    let mut kept: Section = Vec::new();
    for i in 0..n {
        let (a, b) = (s[i], s[(i + 1) % n]);
        let (da, db) = (inside(a), inside(b));
        if da >= 0.0 {
            kept.push(a);
        }
        if (da > 0.0 && db < 0.0) || (da < 0.0 && db > 0.0) {
            let t = da / (da - db);
            kept.push((a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t));
        }
    }
    tidy(&kept)
}

/// Without corners that say nothing; empty where there is no wood worth the name.
fn tidy(s: &[P]) -> Section {
    let mut kept: Section = Vec::new();
    for &p in s {
        if kept.iter().all(|q| distance(*q, p) > 1e-6) {
            kept.push(p);
        }
    }
    let n = kept.len();
    if n < 3 {
        return Vec::new();
    }
    let straight = |i: usize| {
        let (a, b, c) = (kept[(i + n - 1) % n], kept[i], kept[(i + 1) % n]);
        let cross = (b.0 - a.0) * (c.1 - b.1) - (b.1 - a.1) * (c.0 - b.0);
        cross.abs() < 1e-7 * distance(a, b).max(1.0) * distance(b, c).max(1.0)
    };
    let bent: Section = (0..n).filter(|&i| !straight(i)).map(|i| kept[i]).collect();
    if bent.len() < 3 || area(&bent) < 1e-3 {
        Vec::new()
    } else {
        bent
    }
}

pub(crate) fn distance(a: P, b: P) -> f64 {
    libm::hypot(a.0 - b.0, a.1 - b.1)
}

/// Whether two sections lie on each other, whatever corner each begins with: every corner of one is on
/// the rim of the other.
pub(crate) fn coincide(a: &[P], b: &[P]) -> bool {
    let on = |s: &[P], t: &[P]| s.iter().all(|&p| off_rim(t, p) < SAME);
    !a.is_empty() && !b.is_empty() && on(a, b) && on(b, a)
}

fn off_rim(s: &[P], p: P) -> f64 {
    let n = s.len();
    (0..n)
        .map(|i| {
            let (a, b) = (s[i], s[(i + 1) % n]);
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let long = dx * dx + dy * dy;
            let t = ((p.0 - a.0) * dx + (p.1 - a.1) * dy) / long.max(1e-12);
            let t = t.clamp(0.0, 1.0);
            distance(p, (a.0 + dx * t, a.1 + dy * t))
        })
        .fold(f64::INFINITY, f64::min)
}

/// Area that two convex sections have in common.
pub(crate) fn common(a: &[P], b: &[P]) -> f64 {
    let c = middle(b);
    let n = b.len();
    let mut left = a.to_vec();
    for i in 0..n {
        let (p, q) = (b[i], b[(i + 1) % n]);
        let side = |r: P| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
        let sense = side(c).signum();
        left = cut(&left, |r| side(r) * sense);
        if left.is_empty() {
            return 0.0;
        }
    }
    area(&left)
}
