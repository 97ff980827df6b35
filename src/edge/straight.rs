//! How the layers run in a picture: straight lines that may converge, as a picture taken askew shows them.

use super::{light::Light, solve::square};
use crate::watch;

/// Samples along the edge at most.
const COLUMNS: usize = 400;
/// The steepest that a face may run, as a share of the picture's width.
const STEEPEST: f64 = 0.2;

/// A line across the picture: where it is at the left end, and at the right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Across {
    /// Row at the picture's left end.
    pub left: f64,
    /// Row at its right end.
    pub right: f64,
}

impl Across {
    pub(super) fn at(self, share: f64) -> f64 {
        self.left + (self.right - self.left) * share
    }
}

pub(super) fn columns(light: &Light) -> impl Iterator<Item = (f64, f64)> + use<> {
    let count = COLUMNS.min(light.width());
    let last = (light.width() - 1) as f64;
    (0..count).map(move |i| {
        let share = (i as f64 + 0.5) / count as f64;
        (share, share * last)
    })
}

/// How much a profile changes along lines: the more, the better the lines follow the layers.
pub(super) fn contrast(light: &Light, lines: [Across; 2]) -> f64 {
    let samples = light.height();
    let mut mean = vec![0.0; samples];
    let mut count = 0.0;
    for (share, x) in columns(light).step_by(4) {
        let (top, bottom) = (lines[0].at(share), lines[1].at(share));
        for (i, m) in mean.iter_mut().enumerate() {
            let y = top + (bottom - top) * i as f64 / (samples - 1) as f64;
            let [r, g, b] = light.at(x, y);
            *m += r + g + b;
        }
        count += 1.0;
    }
    mean.windows(3).map(|w| square((w[2] - w[0]) / count)).sum()
}

/// The picture's upper and lower rim, inclined as the layers run there.
pub(super) fn straighten(light: &Light) -> [Across; 2] {
    let last = (light.height() - 1) as f64;
    let most = STEEPEST * light.width() as f64;
    let lines = |top: f64, bottom: f64| {
        [
            Across {
                left: -top / 2.0,
                right: top / 2.0,
            },
            Across {
                left: last - bottom / 2.0,
                right: last + bottom / 2.0,
            },
        ]
    };
    let score = |top: f64, bottom: f64| {
        watch::ask();
        contrast(light, lines(top, bottom))
    };
    let mut best = (0.0, 0.0, 0.0_f64);
    let steps = 40;
    for i in -steps..=steps {
        let fall = most * f64::from(i) / f64::from(steps);
        let found = score(fall, fall);
        if found > best.2 {
            best = (fall, fall, found);
        }
    }
    let mut step = most / f64::from(steps);
    while step > 0.05 {
        let mut moved = false;
        for (a, b) in [
            (1.0, 1.0),
            (-1.0, -1.0),
            (1.0, 0.0),
            (-1.0, 0.0),
            (0.0, 1.0),
            (0.0, -1.0),
            (1.0, -1.0),
            (-1.0, 1.0),
        ] {
            let (top, bottom) = (best.0 + a * step, best.1 + b * step);
            let found = score(top, bottom);
            if found > best.2 {
                best = (top, bottom, found);
                moved = true;
            }
        }
        if !moved {
            step /= 2.0;
        }
    }
    lines(best.0, best.1)
}

/// A face's line, moved until the light changes most along it.
pub(super) fn sharpened(light: &Light, line: Across) -> Across {
    let all: Vec<(f64, f64)> = columns(light).collect();
    let change = |line: Across| -> f64 {
        let mut sum = [0.0; 3];
        for &(share, x) in &all {
            let y = line.at(share);
            let (above, below) = (light.at(x, y - 1.0), light.at(x, y + 1.0));
            for c in 0..3 {
                sum[c] += below[c] - above[c];
            }
        }
        sum.iter().map(|s| s * s).sum()
    };
    let mut best = (line, change(line));
    let mut step = 2.0;
    while step > 0.02 {
        let mut moved = false;
        for (a, b) in [
            (1.0, 1.0),
            (-1.0, -1.0),
            (1.0, -1.0),
            (-1.0, 1.0),
            (1.0, 0.0),
            (0.0, 1.0),
            (-1.0, 0.0),
            (0.0, -1.0),
        ] {
            let line = Across {
                left: best.0.left + a * step,
                right: best.0.right + b * step,
            };
            let found = change(line);
            if found > best.1 {
                best = (line, found);
                moved = true;
            }
        }
        if !moved {
            step /= 2.0;
        }
    }
    best.0
}
