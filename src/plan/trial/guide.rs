//! A reading guide for a trial bar: each thing that can be seen, and what it can come from.
//!
//! It is the tolerance read backwards, one setting at a time. What several readings say together,
//! and how surely, is what [`super::trial`] works out.

use crate::plan::{
    saw::number::{Length, setting_name},
    tolerance::{Effect, STEP, Tolerance},
};

/// Effects below this many mm for a step are not mentioned.
const SEEN: f64 = 0.005;

/// Something seen, and what it can come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hint {
    /// What is seen.
    pub seen: String,
    /// What it can come from, with how much that is for each step.
    pub causes: Vec<String>,
}

/// The guide for a bar of some tolerance, glued of strips or a single strip.
pub fn guide(tolerance: &Tolerance, glued: bool, length: Length<'_>) -> Vec<Hint> {
    type Part = fn(&Effect) -> f64;
    let corner = if glued {
        "Every joint closes, but the bar's corner does not fit a true one"
    } else {
        "The strip's corner does not fit a true one"
    };
    let sights: [(&str, Part); 4] = [
        ("The last joint stands open at the outside", |e| {
            e.gap_outside
        }),
        ("The last joint stands open at the centre", |e| e.gap_centre),
        ("A point stands proud at the end of a joint", |e| e.proud),
        (corner, |e| e.corner),
    ];
    let mut hints = Vec::new();
    for (seen, part) in sights {
        let mut causes = Vec::new();
        for s in &tolerance.settings {
            let step = if s.setting.in_degrees() {
                "0.1\u{b0}".to_owned()
            } else {
                length(STEP)
            };
            let name = setting_name(&s.setting, length);
            let (more, less) = (part(&s.more), part(&s.less));
            let (more_seen, less_seen) = (more > SEEN, less > SEEN);
            let cause = |way: &str, shows: f64| {
                format!("{name}: {way}, by {step} for every {}", length(shows))
            };
            match (more_seen, less_seen) {
                (true, true) if (more - less).abs() < SEEN => {
                    causes.push(cause("too much or too little", more));
                }
                (true, true) => {
                    causes.push(cause("too much", more));
                    causes.push(cause("too little", less));
                }
                (true, false) => causes.push(cause("too much", more)),
                (false, true) => causes.push(cause("too little", less)),
                (false, false) => {}
            }
        }
        if !causes.is_empty() {
            hints.push(Hint {
                seen: seen.to_owned(),
                causes,
            });
        }
    }
    // Corners are used only where no joint shows the error.
    let joints_tell = hints.iter().any(|h| h.seen.starts_with("The last joint"));
    if joints_tell {
        hints.retain(|h| h.seen != corner);
    }
    hints
}
