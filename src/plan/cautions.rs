//! The words of caution that stand beside every cut, and the safer way where a cut is refused.
//!
//! They remind; they do not teach sawing and do not replace the saw's manual, the rules of the
//! place and qualified instruction, to which they defer. Practice as in the manuals of table saws
//! and in rules such as OSHA 29 CFR 1910.213 (hoods, spreaders, push sticks and push blocks, combs
//! and jigs where a guard cannot serve), which are named as examples of what to look up.

use serde::Serialize;

use super::{
    saw::number::{Length, degrees},
    saw::rip::Touch,
    saw::{Cut, Job, PUSH_BLOCK_BELOW, Warning},
};

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
    /// The piece is not led between blade and fence.
    NotLed,
    /// The piece between blade and fence stands on a foot of so many mm.
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
    /// Dust of sanding and flattening.
    Flattening,
    /// What holds for every machine.
    Always,
}

/// The cautions for one set-up, the most particular ones first.
#[must_use]
pub fn of_cut(cut: &Cut) -> Vec<Caution> {
    let mut all = Vec::new();
    if cut.job == Job::Slices {
        all.extend([Caution::Cradle, Caution::StopClear, Caution::HeldLast]);
    } else {
        if cut.tilt > 0.01 {
            all.extend([Caution::LeansAway, Caution::GuardClears]);
        }
        let refused = |w: &Warning| matches!(w, Warning::Narrow { .. } | Warning::NoFlat);
        all.push(if cut.warnings.iter().any(refused) {
            Caution::NotLed
        } else {
            of_foot(cut.foot())
        });
        match cut.touch {
            Touch::LowCorner => all.push(Caution::LowCorner),
            Touch::HighCorner => all.push(Caution::HighCorner),
            Touch::Whole => {}
        }
        all.push(Caution::OffCut);
    }
    all.push(Caution::Always);
    all
}

/// How a piece between blade and fence is led, by the foot that it stands on in mm.
#[must_use]
pub fn of_foot(foot: f64) -> Caution {
    if foot < PUSH_BLOCK_BELOW {
        Caution::SmallFoot(foot)
    } else {
        Caution::PushBlock
    }
}

/// The cautions for one set-up in words, the most particular ones first.
#[must_use]
pub fn cautions(cut: &Cut, length: Length<'_>) -> Vec<String> {
    let all = of_cut(cut);
    all.into_iter().map(|c| words(c, length)).collect()
}

/// A caution in words.
#[must_use]
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
        Caution::NotLed => "Do not lead this piece between blade and fence: see the safer way.",
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
        Caution::Press => "Gloves against glue. Follow the sheets of glue and press; nothing but the \
             work between the cauls when they close.",
        Caution::Flattening => "Dust of end grain and glue is fine: extraction and a mask. Both \
             hands on the machine; feed no end grain to a thickness planer against its manual.",
        Caution::Always => ALWAYS,
    }
    .to_owned()
}

/// What a warning says, and a safer way to get the same part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// What is wrong.
    pub says: String,
    /// What to do instead.
    pub instead: String,
}

/// The words for a warning.
#[must_use]
pub fn refusal(warning: Warning, length: Length<'_>) -> Refusal {
    let (says, instead) = match warning {
        Warning::TiltBeyond { tilt, most } => (
            format!(
                "The cut wants the blade {} from vertical; this saw tilts to {}.",
                degrees(tilt),
                degrees(most)
            ),
            format!(
                "Rip square blanks wide enough first. Then clamp each blank to a carriage with a \
                 bed that leans by {}, and run it past a blade tilted to {}; or lean the bed by \
                 the whole {} and keep the blade upright. The carriage carries the work past the \
                 blade, hands stay behind it. Or choose an edge angle of {} or more.",
                degrees(tilt - most),
                degrees(most),
                degrees(tilt),
                degrees(90.0 - most)
            ),
        ),
        Warning::Narrow { foot, least, top } => (
            format!(
                "The piece between blade and fence would stand on {} only; below {} nothing can \
                 be held safely there.",
                if foot < 0.05 {
                    "a sharp edge".to_owned()
                } else {
                    length(foot)
                },
                length(least)
            ),
            format!(
                "Let it fall on the far side of the blade, where its wider side is down: keep the \
                 wide board at the fence, set each cut by a stop ahead of the blade, {} from the \
                 blade's far side on the table, and move the fence after each strip. Or carry the \
                 work past the blade in a carriage with a bed of its shape. Or glue up a thicker \
                 sheet first.",
                length(top.max(foot))
            ),
        ),
        Warning::Tips { foot } => (
            format!(
                "The piece stands on {} and leans over its foot: cut free between blade and \
                 fence, it tips.",
                length(foot)
            ),
            "Hold it down along its whole length (a hold-down on both sides of the blade), or \
             let it fall on the far side: keep the wide board at the fence and set each cut by a \
             stop ahead of the blade. Or run it in a carriage with a bed that carries its lower \
             side."
                .to_owned(),
        ),
        Warning::NoFlat => (
            "The strip has no flat side to lie on for this cut.".to_owned(),
            "Lay it in a cradle: a board with a groove of the strip's own shape, both clamped to \
             a carriage. Or make the cut while the strip is still part of a wider board."
                .to_owned(),
        ),
        Warning::Short { length: has, least } => (
            format!(
                "The work is {} long; below {} it cannot be led along the fence.",
                length(has),
                length(least)
            ),
            "Cut longer strips, glue longer bars, and use what is over for another panel; or \
             screw the board to a longer carriage that runs past the blade."
                .to_owned(),
        ),
        Warning::ThinSlice { thickness, least } => (
            format!(
                "Slices of {} are too thin to hold; below {} they catch and break.",
                length(thickness),
                length(least)
            ),
            format!(
                "Cut slices of {} and sand or plane the glued panel down on a carrier board; or \
                 glue the thicker panel to a base and resaw it as a whole.",
                length(least)
            ),
        ),
    };
    Refusal { says, instead }
}
