//! A set-up of the saw in plain words: a title, how the work lies, what is set to what.

use crate::geom::TOLERANCE;
use crate::plan::{
    saw::number::{Length, degrees},
    saw::passes::{SetBy, Turn},
    saw::rip::Touch,
    saw::{Cut, Job, Keeps, UsedIn},
};

/// The title of a set-up: what is made.
pub fn title(cut: &Cut) -> String {
    let shape = cut.shape;
    match cut.job {
        Job::FirstEdge { each_time: false } => format!("Cut the first edge for {shape} strips"),
        Job::FirstEdge { each_time: true } => {
            format!("Cut a fresh edge before each of the {shape} strips")
        }
        Job::Strips => format!("Rip {shape} strips from the sheet"),
        Job::FreeStrips => {
            format!("Rip {shape} strips from the sheet: they fall free, set by a stop")
        }
        Job::Blanks { pairs: true } => format!("Rip blanks of two {shape} strips"),
        Job::Blanks { pairs: false } => format!("Rip blanks for {shape} strips"),
        Job::Parting => format!("Part the blanks into two {shape} strips"),
        Job::SecondEdge => format!("Rip {shape} strips from the blanks: the second edge"),
        Job::InCarriage { first: true } => {
            format!("Cut the first edge of {shape} strips in a carriage")
        }
        Job::InCarriage { first: false } => format!("Cut {shape} strips to width in a carriage"),
        Job::Again { .. } => format!("Rip the {shape} strips once more along their length"),
        Job::Slices { loaf, .. } => {
            let bar = cut.used_in.first().map_or("", |u| u.bar.as_str());
            slicing(loaf, &[bar])
        }
    }
}

/// What slicing bars or loaves with these names is called.
pub fn slicing(loaf: bool, names: &[&str]) -> String {
    let mut quoted: Vec<String> = names.iter().map(|name| format!("\"{name}\"")).collect();
    // Boards of unlike thickness give bars of one name.
    quoted.dedup();
    match (loaf, quoted.len()) {
        (true, _) => format!("Slice {}", names.join(", ")),
        (false, 1) => format!("Slice the bar {} into tiles", quoted.concat()),
        (false, _) => format!("Slice the bars {} into tiles", quoted.join(", ")),
    }
}

/// Where the cut goes: bars and parts.
pub fn used_in(uses: &[UsedIn]) -> String {
    let one = |u: &UsedIn| {
        let numbers: Vec<String> = u.parts.iter().map(ToString::to_string).collect();
        match &numbers[..] {
            [] => format!("bar \"{}\"", u.bar),
            [only] => format!("bar \"{}\" part {only}", u.bar),
            many => format!("bar \"{}\" parts {}", u.bar, many.join(", ")),
        }
    };
    uses.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// Tilt and distance in one short line.
pub fn at_a_glance(cut: &Cut, length: Length<'_>) -> String {
    let tilt = cut.blade_tilt();
    let mut words = vec![if tilt > 0.01 {
        format!(
            "tilt {} from vertical (gauge {})",
            degrees(tilt),
            degrees(90.0 - tilt)
        )
    } else {
        "blade square".to_owned()
    }];
    if cut.bed > 0.0 {
        words.push(format!("bed leaning {}", degrees(cut.bed)));
    }
    let what = distance_name(cut);
    words.extend(cut.distance().map(|mm| format!("{what} {}", length(mm))));
    words.join(", ")
}

/// What the distance of a set-up is measured to.
pub fn distance_name(cut: &Cut) -> &'static str {
    match (cut.job, cut.set) {
        (Job::Slices { .. }, _) | (_, SetBy::Stop(_)) => "stop",
        (_, SetBy::Ledge(_)) => "ledge",
        _ => "fence",
    }
}

/// What is sliced, in a word.
pub fn sliced(loaf: bool) -> &'static str {
    if loaf { "loaf" } else { "bar" }
}

/// That a bar or loaf lies on its side to be sliced.
pub fn on_its_side(what: &str) -> String {
    format!(
        "Lay the {what} on its side, turned by a quarter: as the recipe draws it, it is higher than this saw \
         slices."
    )
}

/// The settings, one a line.
pub fn settings(cut: &Cut, length: Length<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    if let Job::Slices { on_side, loaf } = cut.job {
        let what = sliced(loaf);
        if on_side {
            lines.push(on_its_side(what));
        }
        lines.push(format!(
            "Blade upright, square to the {what}'s length both ways."
        ));
        lines.extend(
            cut.distance()
                .map(|mm| format!("Stop {} from the near side of the blade.", length(mm))),
        );
        return lines;
    }
    lines.push(blade(cut.blade_tilt(), cut.bed));
    lines.push(distance(cut, length));
    lines.extend(how_it_lies(cut));
    lines.extend(touches(cut));
    lines.extend(notes(cut, length));
    lines
}

/// The blade's tilt and that of a carriage's bed, told both ways.
pub fn blade(tilt: f64, bed: f64) -> String {
    let edge = degrees(90.0 - tilt - bed);
    let blade = if tilt > 0.01 {
        format!(
            "blade {} from vertical; an angle gauge zeroed on the table reads {}",
            degrees(tilt),
            degrees(90.0 - tilt)
        )
    } else {
        "blade upright; check it with a square".to_owned()
    };
    if bed > 0.0 {
        format!(
            "Edge angle {edge}: {blade}. The bed of the carriage rises towards the blade by {}.",
            degrees(bed)
        )
    } else {
        format!("Edge angle {edge}: {blade}.")
    }
}

/// What a maker must know of a set-up beside its settings: how much of the width is for later cuts, which side looks
/// up, and what the piece must measure.
pub fn notes(cut: &Cut, length: Length<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    if cut.for_kerf > 0.0 {
        lines.push(format!(
            "In the distance are {} that the blade takes out when the strip is ripped again.",
            length(cut.for_kerf)
        ));
    }
    if cut.faces_differ && cut.up.is_some() {
        lines.push(
            "The two faces of this sheet differ: check at each pass which side is up.".to_owned(),
        );
    }
    lines.extend(check(cut, length));
    lines
}

fn distance(cut: &Cut, length: Length<'_>) -> String {
    match cut.set {
        SetBy::ByEye => {
            "Set the fence by eye, so that the cut makes one complete new edge and takes off little \
             more. The waste lies beyond the blade, never between blade and fence."
                .to_owned()
        }
        SetBy::Fence(mm) => format!(
            "Fence {}: on the table, from the fence to the near side of the blade where it comes \
             through.",
            length(mm)
        ),
        SetBy::Stop(mm) => format!(
            "Stop {}: on the table, from the far side of the blade to an upright stop that stands \
             ahead of the blade, where the board is still whole. Slide the board against the stop, \
             bring the fence to the board, lock it, and cut. For the next strip set the fence anew.",
            length(mm)
        ),
        SetBy::Ledge(mm) => format!(
            "Ledge {}: on the bed, from the ledge that the blank lies against to where the blade's \
             near side comes through the bed.",
            length(mm)
        ),
    }
}

fn touches(cut: &Cut) -> Option<String> {
    let at = match cut.set {
        SetBy::Fence(_) => "fence",
        SetBy::Ledge(_) => "ledge",
        SetBy::ByEye | SetBy::Stop(_) => return None,
    };
    Some(match cut.touch {
        Touch::Whole => format!("The work touches the {at} with its whole edge."),
        Touch::LowCorner => {
            format!("The work touches the {at} with its sharp lower corner, at its foot.")
        }
        Touch::HighCorner => format!("The work touches the {at} with its sharp upper corner."),
    })
}

fn how_it_lies(cut: &Cut) -> Vec<String> {
    let side = cut.up_word().unwrap_or("");
    let mut lines = Vec::new();
    match cut.job {
        Job::FirstEdge { .. } => {
            lines.push(format!(
                "Board {side} up, its far edge at the fence; this edge lies outboard."
            ));
            lines.extend(cut.turn.map(then));
        }
        Job::Strips => lines.push(match cut.turn {
            Some(Turn::TurnedOver) => format!(
                "Sheet {side} up for the first strip. Turn it over, end for end, after every pass; \
                 the edge that was just cut stays at the fence."
            ),
            _ => format!(
                "Sheet {side} up. Leave it as it lies between passes: slide it to the fence and cut \
                 the next."
            ),
        }),
        Job::FreeStrips => {
            lines.push(format!(
                "Board {side} up for the first strip, its far edge at the fence: the strip falls free \
                 beyond the blade, nothing presses on it."
            ));
            lines.extend(cut.turn.map(|turn| match turn {
                Turn::AsItLies => {
                    "Leave the board as it lies between passes, and move the fence for each.".to_owned()
                }
                turn => then(turn),
            }));
        }
        Job::Blanks { .. } => lines.push(format!(
            "Sheet {side} up. Leave it as it lies between passes: slide it to the fence and cut the \
             next."
        )),
        Job::Parting => lines.push(format!(
            "Blank {side} up, either edge at the fence: both pieces are strips, the one beyond the \
             blade the same rolled over."
        )),
        Job::SecondEdge => lines.push(format!(
            "Blank {side} up, the edge that is kept at the fence; the off-cut falls on the far side of \
             the blade."
        )),
        Job::InCarriage { .. } => lines.push(format!(
            "Blank {side} up on the bed, against the ledge and clamped down; the off-cut falls free \
             beyond the blade, hands stay behind the carriage."
        )),
        Job::Again { upside_down } => lines.push(
            if upside_down {
                "Lay the strip the other way up than the recipe draws it, on its flat side."
            } else {
                "Lay the strip as the recipe draws it, flat side down; turned end for end is the \
                 same."
            }
            .to_owned(),
        ),
        Job::Slices { .. } => {}
    }
    lines
}

/// How the board is turned for the next pass.
fn then(turn: Turn) -> String {
    match turn {
        Turn::AsItLies => "Then leave the board as it lies.",
        Turn::TurnedOver => {
            "Then turn the board over, end for end: the same edge stays at the fence, the other side \
             looks up."
        }
        Turn::RolledOver => {
            "Then roll the board over, its other side up: the edge that was just cut comes to the \
             fence."
        }
        Turn::TurnedRound => {
            "Then turn the board round flat, the same side up: the edge that was just cut comes to \
             the fence."
        }
    }
    .to_owned()
}

/// What the piece must measure: the surest check of both settings.
fn check(cut: &Cut, length: Length<'_>) -> Option<String> {
    if matches!(
        cut.job,
        Job::Blanks { .. } | Job::FirstEdge { .. } | Job::InCarriage { first: true }
    ) {
        return None;
    }
    let side = |width: f64| {
        if width < TOLERANCE {
            "a sharp edge".to_owned()
        } else {
            length(width)
        }
    };
    let piece = if cut.keeps == Keeps::Beyond {
        "the strip as it falls"
    } else {
        "the piece as it lies"
    };
    Some(format!(
        "Check {piece}: {} on top, {} below.",
        side(cut.top()),
        side(cut.foot())
    ))
}
