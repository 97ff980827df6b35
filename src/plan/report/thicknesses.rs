//! Boards that are not as thick as the recipe draws them, each group with its fences.

use super::section::{Entry, Section};
use crate::plan::Units;
use crate::plan::fences::BoardGroup;
use crate::plan::saw::number::setting_name;
use crate::plan::saw::settings::Setting;

/// Most names of a group that are told.
const MOST_NAMES: usize = 6;

/// The groups with their fences; none where all boards are as thick as the recipe draws them.
#[must_use]
pub fn thicknesses(groups: &[BoardGroup], units: Units) -> Option<Section> {
    if groups.is_empty() {
        return None;
    }
    let length = |mm: f64| units.setting(mm);
    let mut section = Section::new("Boards as thick as they are");
    section.add(
        "The steps name fences for the thickness that the recipe draws. Rip the strips of these boards group by group, \
         each at fences of its own, and glue strips of one group to a bar",
    );
    for group in groups {
        let names = group.boards.iter().take(MOST_NAMES);
        let names: Vec<String> = names
            .map(|(name, count)| format!("{count} x {name}"))
            .collect();
        let more = group.boards.len().saturating_sub(MOST_NAMES);
        let more = if more == 0 {
            String::new()
        } else {
            format!(" and {more} more")
        };
        let mut entry = Entry::from(format!(
            "{} thick in place of {}: {}{more}",
            length(group.thickness),
            length(group.plywood),
            names.join(", ")
        ));
        for (was, is) in &group.fences {
            if let Setting::Fence {
                fence, for_kerf, ..
            } = is
            {
                entry.add(format!(
                    "{}: set it to {}",
                    setting_name(was, &length),
                    length(fence + for_kerf)
                ));
            }
        }
        if !group.complete {
            entry.add(
                "a bar of several sheets does not close with one of them at this thickness: plane the boards, or find \
                 the fence by a trial bar",
            );
        }
        section.add(entry);
    }
    Some(section)
}
