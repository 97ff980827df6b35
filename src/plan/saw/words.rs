//! A set-up of the saw in plain words: a title, how the work lies, what is set to what.

use crate::geom::TOLERANCE;
use crate::plan::{
    saw::number::{Length, degrees},
    saw::rip::{Touch, Up},
    saw::{Cut, Job, Warning},
};

/// The title of a set-up: what is made.
#[must_use]
pub fn title(cut: &Cut) -> String {
    let shape = cut.shape;
    match cut.job {
        Job::Strips { .. } => format!("Rip {shape} strips from the sheet"),
        Job::Blanks => format!("Rip blanks for {shape} strips: the first edge"),
        Job::SecondEdge => format!("Rip {shape} strips from the blanks: the second edge"),
        Job::Again { .. } => format!("Rip the {shape} strips once more along their length"),
        Job::Slices => {
            let bar = cut.used_in.first().map_or("", |u| u.bar.as_str());
            format!("Slice the bar \"{bar}\" into tiles")
        }
    }
}

/// Where the cut goes: bars and parts.
#[must_use]
pub fn used_in(cut: &Cut) -> String {
    let one = |u: &crate::plan::saw::UsedIn| {
        let numbers: Vec<String> = u.parts.iter().map(ToString::to_string).collect();
        match &numbers[..] {
            [] => format!("bar \"{}\"", u.bar),
            [only] => format!("bar \"{}\" part {only}", u.bar),
            many => format!("bar \"{}\" parts {}", u.bar, many.join(", ")),
        }
    };
    cut.used_in.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// The settings, one a line.
#[must_use]
pub fn settings(cut: &Cut, length: Length<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    if cut.job == Job::Slices {
        lines.push("Blade upright, square to the bar's length both ways.".to_owned());
        lines.push(format!(
            "Stop {} from the near side of the blade.",
            length(cut.fence)
        ));
        return lines;
    }
    let beyond = |w: &Warning| matches!(w, Warning::TiltBeyond { .. });
    lines.push(if cut.warnings.iter().any(beyond) {
        format!(
            "Edge angle {}, which is {} from vertical: beyond this saw's blade, see the other way.",
            degrees(cut.edge()),
            degrees(cut.tilt)
        )
    } else if cut.tilt > 0.01 {
        format!(
            "Edge angle {}: blade tilted {} from vertical, leaning away from the fence. Set it by \
             a protractor or an angle gauge zeroed on the table, not by the saw's scale.",
            degrees(cut.edge()),
            degrees(cut.tilt)
        )
    } else {
        "Edge angle 90.0\u{b0}: blade square to the table, tilt 0. Check it with a square."
            .to_owned()
    });
    let rough = if cut.job == Job::Blanks {
        " (need not be exact)"
    } else {
        ""
    };
    lines.push(format!(
        "Fence {}{rough}: on the table, from the fence to the near side of the blade where it \
         comes through.",
        length(cut.fence)
    ));
    if cut.for_kerf > 0.0 {
        lines.push(format!(
            "In it are {} that the blade takes out when the strip is ripped again.",
            length(cut.for_kerf)
        ));
    }
    lines.push(
        match cut.touch {
            Touch::Whole => "The work touches the fence with its whole edge.",
            Touch::LowCorner => {
                "The work touches the fence with its sharp lower corner, on the table."
            }
            Touch::HighCorner => "The work touches the fence with its sharp upper corner.",
        }
        .to_owned(),
    );
    lines.extend(how_it_lies(cut));
    lines.extend(check(cut, length));
    lines
}

fn how_it_lies(cut: &Cut) -> Vec<String> {
    let side = match cut.up {
        Some(Up::Face) => "face",
        Some(Up::Back) => "back",
        None => "",
    };
    let mut lines = Vec::new();
    match &cut.job {
        Job::Strips {
            turned_over,
            faces_differ,
        } => {
            if *turned_over {
                lines.push(
                    "Turn the sheet over, end for end, after every pass; the edge that was just \
                     cut stays at the fence."
                        .to_owned(),
                );
            } else {
                lines.push(format!(
                    "Sheet {side} up. Leave it as it lies between passes: slide it to the fence \
                     and cut the next."
                ));
            }
            if *faces_differ {
                lines.push(
                    "This sheet is not the same from both sides: turned over, every other strip \
                     comes out with its back where the others have their face. For strips that \
                     are all alike, take a pass that only trims the edge the other way before \
                     each strip; it costs the width of a bevel and a kerf."
                        .to_owned(),
                );
            }
            if cut.tilt > 0.01 {
                lines.push(
                    "The first pass only makes the bevel: the piece with the sheet's own edge is \
                     waste, good for a test of the settings."
                        .to_owned(),
                );
            }
        }
        Job::Blanks => lines.push(format!(
            "Sheet {side} up. Leave it as it lies between passes."
        )),
        Job::SecondEdge => lines.push(format!(
            "Blank {side} up, the edge that was cut first at the fence; turn the blank end for \
             end where it needs that. The off-cut falls on the far side of the blade."
        )),
        Job::Again { upside_down } => lines.push(
            if *upside_down {
                "Lay the strip the other way up than the recipe draws it, on its flat side."
            } else {
                "Lay the strip as the recipe draws it, flat side down; turned end for end is the \
                 same."
            }
            .to_owned(),
        ),
        Job::Slices => {}
    }
    lines
}

/// What the piece must measure: the surest check of both settings.
fn check(cut: &Cut, length: Length<'_>) -> Option<String> {
    if cut.job == Job::Blanks {
        return None;
    }
    let side = |width: f64| {
        if width < TOLERANCE {
            "a sharp edge".to_owned()
        } else {
            length(width)
        }
    };
    Some(format!(
        "Check the piece as it lies: {} on top, {} below.",
        side(cut.top()),
        side(cut.foot())
    ))
}
