//! Why a way to slice does not fit, in plain words.

use super::slices::{MOST_LOAVES, Misfit};
use crate::plan::{Units, shop::sliced::Sliced};

/// Why a panel cannot be made in a way, and in which it can.
pub fn misfit(panel: &str, way: Sliced, why: &Misfit, fits: &[Sliced], units: Units) -> String {
    let others: Vec<String> = fits.iter().map(ToString::to_string).collect();
    let others = match &others[..] {
        [] => String::new(),
        [only] => format!("; \"{only}\" does"),
        [all @ .., last] => format!("; \"{}\" and \"{last}\" do", all.join("\", \"")),
    };
    format!(
        "the way \"{}\" does not fit the panel \"{panel}\": {}{others}",
        way,
        reason(way, why, units)
    )
}

fn reason(way: Sliced, why: &Misfit, units: Units) -> String {
    let what = match way {
        Sliced::Panels => "panels",
        Sliced::Courses => "courses",
        _ => "parts of courses",
    };
    match why {
        Misfit::Unlike => format!(
            "its {what} are of more than {MOST_LOAVES} kinds, and each kind would take a loaf of its own (a slice \
             may be turned half round or over, not by a quarter)"
        ),
        Misfit::TooHigh { height, most } => format!(
            "a loaf would be {} high on its wider side, and the saw slices {}",
            units.at_least(*height),
            units.at_most(*most)
        ),
        Misfit::Apart(course) => {
            format!("bars of course {course} do not meet edge to edge, or leave a gap between them")
        }
        Misfit::Hooks(course) => format!(
            "a slice of course {course} would hook into the next course, and could not be pushed into its place"
        ),
        Misfit::Single => {
            "it has one tile in each course, so nothing is glued side by side".to_owned()
        }
        Misfit::Lengths(lengths) => {
            let each: Vec<String> = lengths.iter().map(ToString::to_string).collect();
            let runs = match way {
                Sliced::Loaf(Some(bars)) => bars.to_string(),
                _ => "two or more that are equally long".to_owned(),
            };
            format!(
                "its courses of {} tiles cannot be parted into runs of {runs}",
                each.join(", ")
            )
        }
    }
}
