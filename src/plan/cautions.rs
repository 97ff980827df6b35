//! The words of caution that stand beside every cut, and the safer way where a cut is refused.
//!
//! They remind; they do not teach sawing and do not replace the saw's manual, the rules of the
//! place and qualified instruction, to which they defer. Practice as in the manuals of table saws
//! and in rules such as OSHA 29 CFR 1910.213 (hoods, spreaders, push sticks and push blocks, combs
//! and jigs where a guard cannot serve), which are named as examples of what to look up.

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

/// The cautions for one set-up, the most particular ones first.
#[must_use]
pub fn cautions(cut: &Cut, length: Length<'_>) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    let tilted = cut.tilt > 0.01;
    if cut.job == Job::Slices {
        all.push(
            "Hold the bar in a cradle or clamp it to a carriage that slides square to the blade; \
             never cut slices freehand, and never hold the slice itself."
                .to_owned(),
        );
        all.push(
            "Use a stop that the slice is clear of before the blade leaves the cut, so that it \
             cannot jam between stop and blade."
                .to_owned(),
        );
        all.push(format!(
            "Stop in time: keep the last {HELD_LAST} mm (6 in.) of the bar in the clamp."
        ));
    } else {
        if tilted {
            all.push(
                "The blade leans AWAY from the fence. Leaning towards it, the piece between them \
                 is trapped under the blade and kicked back."
                    .to_owned(),
            );
            all.push(
                "Tilt the blade with the saw unplugged, turn it by hand once, and see that guard \
                 and riving knife clear the work at this tilt."
                    .to_owned(),
            );
        }
        let refused = |w: &Warning| matches!(w, Warning::Narrow { .. } | Warning::NoFlat);
        if cut.warnings.iter().any(refused) {
            all.push(
                "Do not lead this piece between blade and fence: see the safer way.".to_owned(),
            );
        } else if cut.foot() < PUSH_BLOCK_BELOW {
            all.push(format!(
                "The piece stands on {} only: hands stay away. Push block as long as the work \
                 allows, a low auxiliary fence, a featherboard ahead of the blade and a hold-down \
                 from above.",
                length(cut.foot())
            ));
        } else {
            all.push(
                "Push block or push stick near the blade; a featherboard ahead of the blade, and \
                 a hold-down from above."
                    .to_owned(),
            );
        }
        match cut.touch {
            Touch::LowCorner => all.push(
                "The sharp lower corner can creep under the fence: close the gap with a straight \
                 auxiliary fence that stands on the table."
                    .to_owned(),
            ),
            Touch::HighCorner => all.push(
                "The sharp upper corner alone touches the fence: the fence must be square, \
                 straight, and higher than the work."
                    .to_owned(),
            ),
            Touch::Whole => {}
        }
        all.push(
            "Let the off-cut lie until the blade has stopped. Never reach over or behind the \
             blade, and never stand in line with it."
                .to_owned(),
        );
    }
    all.push(ALWAYS.to_owned());
    all
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
