//! The cautions that stand beside every cut, and what to do instead of a cut that is not safe.
//!
//! They remind; they do not teach sawing and do not replace the saw's manual, the rules of the
//! place and qualified instruction, to which they defer. Practice as in the manuals of table saws
//! and in rules such as OSHA 29 CFR 1910.213 (hoods, spreaders, push sticks and push blocks, combs
//! and jigs where a guard cannot serve), which are named as examples of what to look up.

use serde::Serialize;

use super::{
    saw::number::{Length, degrees},
    saw::passes::SetBy,
    saw::rip::Touch,
    saw::{Cut, Job, PUSH_BLOCK_BELOW, Refused, Warning, words as saw_words},
    units::Units,
};

/// How many refused parts are listed one by one; the others are counted.
const MOST_TOLD: usize = 3;

/// What stands at the head of every plan that tells how to cut.
pub const FIRST: &str = "Sawing can maim. Follow your saw's manual and your local rules (such as \
    OSHA 29 CFR 1910.213 where it applies), and get qualified instruction before you cut bevels \
    or small parts. If a cut does not feel safe, do not make it: find another way.";

/// What holds for every cut.
pub const ALWAYS: &str = "Guard and riving knife in place; stop and unplug before you change a \
    setting. Eyes and ears protected, dust extracted and a mask on: plywood dust carries its glue. \
    The saw's manual and local rules come before this sheet.";

/// How much of a bar stays in the clamp to the last, in mm: about the distance from the blade within
/// which hands must not come (152 mm, 6 in., in a table saw's manual; the rest is common practice).
pub const HELD_LAST: f64 = 150.0;

/// A caution, as data.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Caution {
    /// The bar is held in a cradle or carriage.
    Cradle,
    /// The slice is clear of the stop before the cut ends.
    StopClear,
    /// The last of the bar stays in the clamp.
    HeldLast,
    /// The blade leans away from the fence.
    LeansAway,
    /// Guard and riving knife clear the work at this tilt.
    GuardClears,
    /// A carriage carries the work past the blade.
    Carriage,
    /// Blade, clamps and ledge of the carriage stay clear of one another.
    CarriageClears,
    /// The board is led, and what is made falls free.
    BoardLed,
    /// The width, in mm, of the foot on which the piece between blade and fence stands.
    SmallFoot(f64),
    /// Push block, featherboard, hold-down.
    PushBlock,
    /// A sharp lower corner at the fence.
    LowCorner,
    /// A sharp upper corner at the fence.
    HighCorner,
    /// Off-cuts lie until the blade stands.
    OffCut,
    /// The strip falls on the far side, set by a stop that ends ahead of the blade.
    StopAhead,
    /// Crossing cuts are led by a mitre gauge or sled, never by the fence as well.
    NoFenceAcross,
    /// A knife that cuts veneer.
    Knife,
    /// Glue, and what a press can crush.
    Press,
    /// A hot iron.
    Iron,
    /// Dust of sanding and flattening.
    Flattening,
    /// What holds for every machine.
    Always,
}

/// The cautions for one set-up, the most particular ones first.
pub fn of_cut(cut: &Cut) -> Vec<Caution> {
    let mut all = Vec::new();
    match cut.job {
        Job::Slices { .. } => {
            all.extend([Caution::Cradle, Caution::StopClear, Caution::HeldLast]);
        }
        Job::InCarriage { .. } => {
            all.extend([Caution::Carriage, Caution::CarriageClears, Caution::OffCut]);
        }
        _ => {
            if cut.tilt > 0.01 {
                all.extend([Caution::LeansAway, Caution::GuardClears]);
            }
            if cut.far_edge {
                all.push(Caution::BoardLed);
                if matches!(cut.set, SetBy::Stop(_)) {
                    all.push(Caution::StopAhead);
                }
            } else {
                all.push(of_foot(cut.foot()));
            }
            match cut.touch {
                Touch::LowCorner => all.push(Caution::LowCorner),
                Touch::HighCorner => all.push(Caution::HighCorner),
                Touch::Whole => {}
            }
            all.push(Caution::OffCut);
        }
    }
    all.push(Caution::Always);
    all
}

/// How a piece between blade and fence is led, by the foot that it stands on in mm.
pub fn of_foot(foot: f64) -> Caution {
    if foot < PUSH_BLOCK_BELOW {
        Caution::SmallFoot(foot)
    } else {
        Caution::PushBlock
    }
}

/// The cautions for one set-up in words, the most particular ones first.
pub fn cautions(cut: &Cut, length: Length<'_>) -> Vec<String> {
    let all = of_cut(cut);
    all.into_iter().map(|c| words(c, length)).collect()
}

/// A caution in words.
pub fn words(caution: Caution, length: Length<'_>) -> String {
    match caution {
        Caution::Cradle => "Hold the bar in a cradle or clamp it to a carriage that slides square to \
             the blade; never cut slices freehand, and never hold the slice itself.",
        Caution::StopClear => "Use a stop that the slice is clear of before the blade leaves the \
             cut, so that it cannot jam between stop and blade.",
        Caution::HeldLast => {
            return format!(
                "Stop in time: keep the last {HELD_LAST} mm (6 in.) of the bar in the clamp."
            );
        }
        Caution::LeansAway => "The blade leans AWAY from the fence. Leaning towards it, the piece \
             between them is trapped under the blade and kicked back.",
        Caution::GuardClears => "Tilt the blade with the saw unplugged, turn it by hand once, and \
             see that guard and riving knife clear the work at this tilt.",
        Caution::Carriage => "The carriage carries the blank past the blade: clamp it down with two \
             clamps at least, keep both hands on the carriage behind the blade, and let a guard of its \
             own cover the blade where it comes out.",
        Caution::CarriageClears => "See with the saw unplugged that the blade meets neither clamp nor \
             ledge, turn it by hand once, and make the first cut in a scrap of the same size.",
        Caution::BoardLed => "Push the board, never the piece beyond the blade: it falls free. Push \
             block near the blade, a featherboard ahead of it and a hold-down on the board; stop while \
             the board is still wide enough to lead.",
        Caution::SmallFoot(foot) => {
            return format!(
                "The piece stands on {} only: hands stay away. Push block as long as the work \
                 allows, a low auxiliary fence, a featherboard ahead of the blade and a hold-down \
                 from above.",
                length(foot)
            );
        }
        Caution::PushBlock => "Push block or push stick near the blade; a featherboard ahead of the \
             blade, and a hold-down from above.",
        Caution::LowCorner => "The sharp lower corner can creep under the fence: close the gap with \
             a straight auxiliary fence that stands on the table.",
        Caution::HighCorner => "The sharp upper corner alone touches the fence: the fence must be \
             square, straight, and higher than the work.",
        Caution::OffCut => "Let the off-cut lie until the blade has stopped. Never reach over or \
             behind the blade, and never stand in line with it.",
        Caution::StopAhead => "The stop ends ahead of the blade, so that nothing is held between it \
             and the blade. The wide board stays at the fence; move the fence after each strip.",
        Caution::NoFenceAcross => "Lead cuts across by a sled, a mitre gauge or a track saw, never \
             along the fence as well: a piece held by both is kicked back. Have long boards carried.",
        Caution::Knife => "Cut veneer with a sharp knife along a steel rule that cannot slip, \
             fingers behind its edge.",
        Caution::Press => "Gloves against glue. Follow the data sheets of the glue and the press. \
             Nothing but the work is between the cauls when they close: keep your hands clear.",
        Caution::Iron => "The iron, and veneer just ironed, burn: gloves, the iron on its stand whenever it \
             does not move and unplugged when you leave it, nothing that burns beside it, and fresh air \
             against the fumes of the glue.",
        Caution::Flattening => "Dust of end grain and glue is fine: extraction and a mask. Both \
             hands on the machine; feed no end grain to a thickness planer against its manual.",
        Caution::Always => ALWAYS,
    }
    .to_owned()
}

/// Why a part is refused, and how to get it, or a part like it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// What is wrong.
    pub says: String,
    /// What to do instead.
    pub instead: String,
}

/// The words for a part that cannot be cut safely.
pub fn refusal(why: Warning, length: Length<'_>) -> Refusal {
    let (says, instead) = match why {
        Warning::TiltBeyond { tilt, most } => (
            format!(
                "the cut leans {} from vertical: this saw's blade tilts to {}, and the strip leaves no \
                 foot of its own to clamp in a carriage with a leaning bed",
                degrees(tilt),
                degrees(most)
            ),
            format!(
                "choose an edge angle of {} or more, or a wider strip",
                degrees(90.0 - most)
            ),
        ),
        Warning::Narrow { foot, least } => (
            format!(
                "ripped once more, the piece between blade and fence would stand on {}; below {} \
                 nothing can be held safely there",
                if foot < 0.05 {
                    "a sharp edge".to_owned()
                } else {
                    length(foot)
                },
                length(least)
            ),
            "rip the pieces as strips of their own from the sheet, with the edge angles that they have, \
             or from a thicker sheet"
                .to_owned(),
        ),
        Warning::ThinStrip { width, least } => (
            format!(
                "strips of {} are too thin to rip: below {} they break up at the blade, whichever way \
                 they fall",
                length(width),
                length(least)
            ),
            format!(
                "make them {} or wider, or lay veneers into the sheet for thin lines",
                length(least)
            ),
        ),
        Warning::NoFlat => (
            "the strip has no flat side to lie on for its further cut".to_owned(),
            "make that cut while the strip is still wider, or rip the piece from the sheet as a strip of \
             its own"
                .to_owned(),
        ),
        Warning::TooDeep { height, tilt, most } => (
            format!(
                "the sheet is {} thick: with the blade {} from vertical this saw cuts {} deep",
                length(height),
                degrees(tilt),
                length(most)
            ),
            "rip thinner sheets and glue the strips face to face afterwards, or use a saw with a larger \
             blade (`table_saw.depth` and `table_saw.depth_at_45` of the shop file)"
                .to_owned(),
        ),
        Warning::TooHigh { height, most } => (
            format!(
                "the bar is {} high on its lower side: {} can be sliced",
                length(height),
                length(most)
            ),
            "glue smaller bars, slice them, and glue the slices to the tile afterwards \
             (`slicing.height` of the shop file)"
                .to_owned(),
        ),
    };
    Refusal { says, instead }
}

/// Parts that cannot be cut safely, in one sentence.
pub fn unsafe_parts(parts: &[Refused], units: Units) -> String {
    let each = told_once(parts, |part| {
        let says = refusal(part.why, &|mm| units.fine(mm)).says;
        format!(
            "{} ({}): {says}",
            part.shape,
            saw_words::used_in(&part.used_in)
        )
    });
    format!("there is no safe way to cut this: {each}")
}

/// What to do instead of parts that cannot be cut safely, in one sentence.
pub fn ways_round(parts: &[Refused], units: Units) -> String {
    told_once(parts, |part| {
        refusal(part.why, &|mm| units.fine(mm)).instead
    })
}

/// The first few of what is told, each once.
fn told_once(parts: &[Refused], tell: impl Fn(&Refused) -> String) -> String {
    let mut all: Vec<String> = Vec::new();
    for one in parts.iter().map(tell) {
        if !all.contains(&one) {
            all.push(one);
        }
    }
    let more = if all.len() > MOST_TOLD {
        "; and more"
    } else {
        ""
    };
    all.truncate(MOST_TOLD);
    format!("{}{more}", all.join("; "))
}
