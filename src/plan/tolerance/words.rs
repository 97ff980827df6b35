//! The tolerance of a bar in plain words.

use crate::geom::Point;
use crate::plan::{
    saw::number::{self, Length, setting_name},
    saw::rip::Rip,
    saw::settings::Setting,
    tolerance::{Effect, STEP, SettingTolerance, Tolerance},
};
use crate::stock::{Bar, Strip, strip::Origin};

/// Effects below this many mm are not mentioned.
const SEEN: f64 = 0.005;

/// One line for each setting, then what they do together; `most` writes a length rounded down.
pub fn tolerance_lines(tolerance: &Tolerance, length: Length<'_>, most: Length<'_>) -> Vec<String> {
    let limit = length(tolerance.limit);
    let mut lines: Vec<String> = tolerance
        .settings
        .iter()
        .map(|s| one(s, &limit, length, most))
        .collect();
    let bound = tolerance.settings.iter().any(|s| s.allowed.is_some());
    if bound && tolerance.together < 0.995 {
        lines.push(format!(
            "If all are off at once, each in the worse direction: keep each error to {:.0} % of what \
             is allowed for it alone.",
            libm::floor(tolerance.together * 100.0 + 1e-6)
        ));
    }
    lines
}

/// What one step too much of each setting adds up to over a panel; `more` is in the order of the settings.
pub fn over_panel_lines(
    panel: &str,
    tolerance: &Tolerance,
    more: &[Point],
    length: Length<'_>,
) -> Vec<String> {
    let side = |mm: f64, longer: &str, shorter: &str| {
        let word = if mm > 0.0 { longer } else { shorter };
        (mm.abs() > SEEN).then(|| format!("{} {word}", length(mm.abs())))
    };
    let mut lines = Vec::new();
    for (s, grown) in tolerance.settings.iter().zip(more) {
        let sides = [
            side(grown.x, "wider", "narrower"),
            side(grown.y, "higher", "lower"),
        ];
        let sides: Vec<String> = sides.into_iter().flatten().collect();
        if !sides.is_empty() {
            let (name, step) = (setting_name(&s.setting, length), step(&s.setting, length));
            let sides = sides.join(" and ");
            lines.push(format!(
                "{name}: {step} too much adds up over panel \"{panel}\": the panel comes out {sides}."
            ));
        }
    }
    lines
}

/// How each kind of strip in a bar is taken to be ripped, on which its errors hang.
pub fn assumption_lines(bar: &Bar) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for part in bar.parts() {
        assume(&part.strip, &mut lines);
    }
    lines
}

fn assume(strip: &Strip, lines: &mut Vec<String>) {
    let line = if let Origin::Strip { from, .. } = strip.origin() {
        assume(from, lines);
        format!(
            "{}, ripped once more: the error of that cut goes to both pieces, with opposite sense.",
            from.shape()
        )
    } else {
        let rip = Rip::of(strip);
        let shape = strip.shape();
        if !rip.one_tilt() {
            format!("{shape}: its two edges are cut at two tilts, each with an error of its own.")
        } else if rip.turned_over() {
            format!(
                "{shape}: the sheet is turned over between cuts, so an error of the blade leans \
                 both edges, both the same way seen from inside the wood: it counts twice."
            )
        } else {
            format!(
                "{shape}: both edges are cut at one setting, the sheet left as it lies: whatever \
                 the blade's error, they stay parallel."
            )
        }
    };
    if !lines.contains(&line) {
        lines.push(line);
    }
}

fn one(s: &SettingTolerance, limit: &str, length: Length<'_>, most: Length<'_>) -> String {
    let name = setting_name(&s.setting, length);
    let step = step(&s.setting, length);
    let (more, less) = (told(&s.more, length), told(&s.less, length));
    let does = match (more, less) {
        (None, None) => format!("{step} off opens nothing"),
        (Some(more), Some(less)) if more == less => {
            format!("{step} too much or too little: {more}")
        }
        (more, less) => {
            let or_nothing = |t: Option<String>| t.unwrap_or_else(|| "nothing opens".to_owned());
            format!(
                "{step} too much: {}; too little: {}",
                or_nothing(more),
                or_nothing(less)
            )
        }
    };
    let keep = s.allowed.map_or_else(String::new, |allowed| {
        format!(
            " For gaps of at most {limit}, keep it within {}.",
            number::allowed(&s.setting, allowed, most)
        )
    });
    format!("{name}: {does}.{keep}")
}

fn step(setting: &Setting, length: Length<'_>) -> String {
    if setting.in_degrees() {
        "0.1\u{b0}".to_owned()
    } else {
        length(STEP)
    }
}

fn told(effect: &Effect, length: Length<'_>) -> Option<String> {
    let parts: Vec<String> = [
        ("gap of", effect.gap_outside, "at the outside of a joint"),
        ("gap of", effect.gap_centre, "at the centre of a joint"),
        ("points stand proud by", effect.proud, ""),
        ("gap of", effect.corner, "at a tile's edge in the panel"),
    ]
    .iter()
    .filter(|(_, value, _)| *value > SEEN)
    .map(|(before, value, after)| {
        let words = format!("{before} {} {after}", length(*value));
        words.trim_end().to_owned()
    })
    .collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}
