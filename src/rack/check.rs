//! Probable mistakes in a rack that can be read: names that come twice, pieces of no use,
//! impossible sizes.

use std::collections::BTreeSet;

use super::{List, Rack, RackEntry};
use crate::plan::units::decimal;

/// A veneer is thinner than this, a board thicker than half of it; so what is thicker than wide is mistyped.
const FLAT: f64 = 1.0;

impl Rack {
    /// What to look at, one sentence each.
    pub fn check(&self) -> Vec<String> {
        let entries = self.entries();
        let mut found = Vec::new();
        let mut before: BTreeSet<(u8, &str, &str)> = BTreeSet::new();
        for entry in &entries {
            if !before.insert((group(entry), &entry.name, &entry.of)) && entry.list != List::Veneer
            {
                found.push(format!(
                    "two entries are called \"{}\": a plan cannot tell them apart, so none of them can be booked",
                    entry.name
                ));
            }
            found.extend(self.of_one(entry));
        }
        if entries.is_empty() {
            found.push("the rack is empty: add pieces with `plyloom rack add`".to_owned());
        }
        found
    }

    fn of_one(&self, entry: &RackEntry) -> Vec<String> {
        let mut found = Vec::new();
        let what = format!("{} \"{}\"", entry.list.word(), entry.name);
        let saw = &self.shop().table_saw;
        if entry.count == Some(0) {
            found.push(format!("{what} has a count of 0: take the entry out"));
        }
        if entry.volume.is_some_and(|v| v < 1e-6) {
            found.push(format!("{what} has a section without area"));
        }
        if entry.list <= List::Scrap {
            let long = entry.width.max(entry.length);
            if long < saw.shortest {
                found.push(format!(
                    "{what} is {} mm long: shorter than this saw rips ({} mm), so no strips come of it",
                    decimal(long, 1),
                    decimal(saw.shortest, 1)
                ));
            }
            if entry.width.min(entry.length) <= self.shop().cutting.edge_trim + saw.narrowest {
                found.push(format!(
                    "{what} is {} mm wide: nothing is left once its edge is cleaned",
                    decimal(entry.width.min(entry.length), 1)
                ));
            }
            if entry
                .thickness
                .is_some_and(|t| t > FLAT * entry.width.min(entry.length))
            {
                found.push(format!(
                    "{what} is thicker than it is wide: are its sizes in the right order?"
                ));
            }
            if entry.thickness.is_none() {
                found.push(format!(
                    "{what} has no thickness: plans take it as the recipe's; measure it, for bars close only when \
                     it is right"
                ));
            }
        }
        found
    }
}

/// Entries of one group need names of their own.
fn group(entry: &RackEntry) -> u8 {
    match entry.list {
        List::Sheet | List::Scrap => 0,
        List::Veneer => 1,
        List::Strip => 2,
        List::Bar => 3,
        List::Tile => 4,
    }
}
