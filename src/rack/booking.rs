//! Booking: pieces that a plan used are taken out, what is left of them is added; and pieces that
//! are added by hand.

use crate::plan::Shop;
use toml_edit::{DocumentMut, Item, Table, value};

use super::{
    NEW_RACK, Rack, RackError,
    done::{Done, Stays, What, same_size},
    edit,
    entries::{New, RackEntry},
    leaf,
    list::List,
};

/// Pieces narrower or shorter than this, in mm, are not kept, as they cannot be held safely at a saw (common
/// practice).
const LEAST_KEPT: f64 = 20.0;

/// Pieces narrower or shorter than this, in mm, are not even listed as waste.
const LEAST_TOLD: f64 = 1.0;

/// Pieces that go or come.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// The list that they go from or come to.
    pub list: List,
    /// What they are called.
    pub name: String,
    /// How many.
    pub count: u64,
    /// Width and length of one, in mm; of a tile width and thickness.
    pub size: [f64; 2],
}

/// A change of the rack that is worked out, and not yet written.
#[derive(Debug, Clone, PartialEq)]
pub struct Booking {
    /// The rack afterwards.
    pub text: String,
    /// The plan's number; none where a piece is added.
    pub plan: Option<String>,
    /// What goes.
    pub gone: Vec<Moved>,
    /// What comes.
    pub came: Vec<Moved>,
    /// Pieces that are left and not kept, as they are too small to be held at a saw.
    pub small: Vec<Moved>,
    /// Pieces that are left and that a rack has no list for: several boards glued to one another.
    pub aside: Vec<Moved>,
}

impl Rack {
    /// A rack without pieces.
    ///
    /// # Panics
    /// Never: the text of a new rack reads as one.
    pub fn empty() -> Self {
        Self::parse(NEW_RACK).expect("invariant: a new rack reads as one")
    }

    /// Books a plan as done; `former` is where the rack as it is now will be kept.
    ///
    /// # Errors
    /// When the text is no plan, the plan is booked already, or a piece that it takes is not there as it says.
    pub fn take(&self, plan: &str, former: &str) -> Result<Booking, RackError> {
        let done = Done::parse(plan)?;
        let number = Some(done.number.clone());
        if self.shop().booked.iter().any(|b| b.plan == number) {
            return Err(RackError::Twice(done.number));
        }
        let entries = self.entries();
        let mut gone: Vec<(&RackEntry, u64)> = Vec::new();
        for taken in &done.boards {
            let named: Vec<&RackEntry> = (entries.iter())
                .filter(|l| l.list <= List::Scrap && l.name == taken.name)
                .collect();
            let [entry] = named[..] else {
                let name = taken.name.clone();
                return Err(match named.len() {
                    0 => RackError::Missing {
                        list: "board",
                        name,
                    },
                    _ => RackError::Ambiguous { name },
                });
            };
            if !same_size(taken.size, [entry.width, entry.length]) {
                return Err(RackError::OtherSize {
                    name: taken.name.clone(),
                    plan: taken.size,
                    rack: [entry.width, entry.length],
                });
            }
            go(&mut gone, entry, taken.count)?;
        }
        for leaves in &done.leaves {
            let mut open = leaves.count;
            let alike = entries.iter().filter(|l| {
                l.list == List::Veneer
                    && l.of == leaves.colour
                    && same_size(leaves.size, [l.width, l.length])
            });
            for entry in alike {
                let booked = gone
                    .iter()
                    .find(|(g, _)| *g == entry)
                    .map_or(0, |(_, n)| *n);
                let have = entry.count.map_or(u64::MAX, |n| u64::from(n) - booked);
                let take = open.min(have);
                if take > 0 {
                    go(&mut gone, entry, take)?;
                    open -= take;
                }
            }
            if open > 0 {
                return Err(RackError::Missing {
                    list: "leaf of veneer",
                    name: leaves.colour.clone(),
                });
            }
        }
        take_parts(&done, &entries, &mut gone)?;
        let mut booking = Booking {
            text: String::new(),
            plan: number,
            gone: gone
                .iter()
                .map(|(entry, count)| moved_entry(entry, *count))
                .collect(),
            came: Vec::new(),
            small: Vec::new(),
            aside: Vec::new(),
        };
        let mut document = self.document.clone();
        // Read before anything is taken out: what is left of a piece lies where the piece lay.
        let mut come = self.rests_of_boards(&done, &entries, &mut booking);
        come.extend(self.rests_of_leaves(&done, &gone, &mut booking));
        take_out(&mut document, &gone);
        for (list, table) in come {
            edit::put_in(&mut document, list.word(), table);
        }
        booking.text = close(
            document,
            booking.plan.as_deref(),
            &done.recipe,
            Some(former),
        )?;
        Ok(booking)
    }

    /// Adds a piece; `former` is where the rack as it is now will be kept, none where it begins with this piece: that
    /// cannot be undone.
    ///
    /// # Errors
    /// When such a piece cannot be.
    pub fn add<'a>(
        &self,
        list: List,
        new: &New,
        former: impl Into<Option<&'a str>>,
    ) -> Result<Booking, RackError> {
        let mut document = self.document.clone();
        edit::put_in(&mut document, list.word(), new.table(self.shop().units));
        let text = close(document, None, "", former.into())?;
        Ok(Booking {
            text,
            plan: None,
            gone: Vec::new(),
            came: Vec::new(),
            small: Vec::new(),
            aside: Vec::new(),
        })
    }

    fn rests_of_boards(
        &self,
        done: &Done,
        entries: &[RackEntry],
        booking: &mut Booking,
    ) -> Vec<(List, Table)> {
        let units = self.shop().units;
        let mut names: Vec<String> = entries.iter().map(|l| l.name.clone()).collect();
        let mut come = Vec::new();
        for stays in &done.stays {
            let count = u32::try_from(stays.count).unwrap_or(u32::MAX);
            let mut new = New {
                name: Some(stays.name.clone()),
                count: Some(count),
                recipe: Some(done.recipe.clone()),
                section: stays.section.clone(),
                ..New::default()
            };
            let [width, height] = extent(&stays.section);
            let list = match &stays.what {
                What::Strip => List::Strip,
                What::Bar => List::Bar,
                What::Tile => List::Tile,
                What::Laminated => {
                    booking
                        .aside
                        .push(moved(List::Scrap, stays, [width, stays.length]));
                    continue;
                }
                What::Board {
                    of,
                    size,
                    face,
                    back,
                } => {
                    if size.iter().any(|&side| side < LEAST_KEPT) {
                        // A wedge that comes to an edge on both faces is no piece.
                        if size.iter().all(|&side| side >= LEAST_TOLD) {
                            booking.small.push(moved(List::Scrap, stays, *size));
                        }
                        continue;
                    }
                    let name = rest_name(of, &mut names);
                    let mut table = self.board_like(of, entries);
                    table.insert("name", value(&name));
                    edit::set_count(&mut table, count);
                    table.insert("width", super::entries::length(size[0], units));
                    table.insert("length", super::entries::length(size[1], units));
                    for (key, more) in [("face", face), ("back", back)] {
                        add_veneers(&mut table, key, more);
                    }
                    let named = Moved {
                        name,
                        ..moved(List::Scrap, stays, *size)
                    };
                    booking.came.push(named);
                    come.push((List::Scrap, table));
                    continue;
                }
            };
            if list == List::Tile {
                new.thickness = Some(stays.length);
            } else {
                new.length = Some(stays.length);
            }
            let small = list != List::Tile && stays.length < LEAST_KEPT;
            let told = moved(list, stays, [width.max(height), stays.length]);
            if small {
                booking.small.push(told);
                continue;
            }
            booking.came.push(told);
            come.push((list, new.table(units)));
        }
        come
    }

    fn rests_of_leaves(
        &self,
        done: &Done,
        gone: &[(&RackEntry, u64)],
        booking: &mut Booking,
    ) -> Vec<(List, Table)> {
        let units = self.shop().units;
        let mut come = Vec::new();
        for leaves in &done.leaves {
            let entry = gone.iter().map(|(entry, _)| *entry).find(|l| {
                l.list == List::Veneer
                    && l.of == leaves.colour
                    && same_size(leaves.size, [l.width, l.length])
            });
            let [width, length] = leaves.size;
            for [.., width, length] in leaf::rests(width, length, &leaves.pieces) {
                let told = Moved {
                    list: List::Veneer,
                    name: leaves.colour.clone(),
                    count: leaves.count,
                    size: [width, length],
                };
                if width.min(length) < LEAST_KEPT {
                    booking.small.push(told);
                    continue;
                }
                let mut table = New {
                    count: u32::try_from(leaves.count).ok(),
                    width: Some(width),
                    length: Some(length),
                    place: entry.and_then(|l| l.place.clone()),
                    ..New::default()
                }
                .table(units);
                table.insert("colour", value(&leaves.colour));
                booking.came.push(told);
                come.push((List::Veneer, table));
            }
        }
        come
    }

    /// The entry of a board in the file, for the pieces that are left of it.
    fn board_like(&self, name: &str, entries: &[RackEntry]) -> Table {
        let known = entries
            .iter()
            .find(|l| l.list <= List::Scrap && l.name == name);
        let of = known.and_then(|l| edit::list(&self.document, l.list)?.get(l.at));
        let mut table = Table::new();
        for key in [
            "name",
            "count",
            "width",
            "length",
            "thickness",
            "wood",
            "face",
            "back",
            "grain",
            "place",
        ] {
            if let Some(item) = of.and_then(|of| of.get(key)).and_then(Item::as_value) {
                let mut plain = item.clone();
                plain.decor_mut().clear();
                table.insert(key, value(plain));
            }
        }
        table
    }
}

/// Records the booking in the text, and checks that the text still is a rack.
fn close(
    mut document: DocumentMut,
    plan: Option<&str>,
    recipe: &str,
    former: Option<&str>,
) -> Result<String, RackError> {
    edit::say_rack(&mut document);
    if let Some(former) = former {
        note(&mut document, plan, recipe, former);
    }
    let text = document.to_string();
    Shop::parse(&text).map_err(|error| RackError::NoPiece(error.message))?;
    Ok(text)
}

fn note(document: &mut DocumentMut, plan: Option<&str>, recipe: &str, former: &str) {
    let mut note = Table::new();
    if let Some(plan) = plan {
        note.insert("plan", value(plan));
        note.insert("recipe", value(recipe));
    }
    note.insert("former", value(former));
    note.insert("pieces", value(super::mark(document)));
    if let Some(list) = edit::list_mut(document, "booked") {
        list.push(note);
    }
}

fn moved(list: List, stays: &Stays, size: [f64; 2]) -> Moved {
    Moved {
        list,
        name: stays.name.clone(),
        count: stays.count,
        size,
    }
}

fn moved_entry(entry: &RackEntry, count: u64) -> Moved {
    Moved {
        list: entry.list,
        name: entry.name.clone(),
        count,
        size: [entry.width, entry.length],
    }
}

fn extent(section: &[[f64; 2]]) -> [f64; 2] {
    [0, 1].map(|axis| {
        let all = || section.iter().map(|corner| corner[axis]);
        all().fold(f64::MIN, f64::max) - all().fold(f64::MAX, f64::min)
    })
}

/// Takes out tiles, bars and strips that the plan used as they are.
fn take_parts<'a>(
    done: &Done,
    entries: &'a [RackEntry],
    gone: &mut Vec<(&'a RackEntry, u64)>,
) -> Result<(), RackError> {
    for parts in &done.parts {
        let mut open = parts.count;
        for entry in entries.iter().filter(|entry| parts.are(entry)) {
            let take = open.min(entry.count.map_or(u64::MAX, u64::from));
            if take > 0 {
                go(gone, entry, take)?;
                open -= take;
            }
        }
        if open > 0 {
            return Err(RackError::Missing {
                list: parts.list.word(),
                name: parts.name.clone(),
            });
        }
    }
    Ok(())
}

/// Counts pieces out of an entry.
fn go<'a>(
    gone: &mut Vec<(&'a RackEntry, u64)>,
    entry: &'a RackEntry,
    count: u64,
) -> Result<(), RackError> {
    let at = gone.iter().position(|(known, _)| *known == entry);
    let takes = count + at.map_or(0, |at| gone[at].1);
    if let Some(has) = entry.count
        && u64::from(has) < takes
    {
        return Err(RackError::Fewer {
            name: entry.name.clone(),
            takes,
            has: u64::from(has),
        });
    }
    match at {
        Some(at) => gone[at].1 = takes,
        None => gone.push((entry, takes)),
    }
    Ok(())
}

fn take_out(document: &mut DocumentMut, gone: &[(&RackEntry, u64)]) {
    for list in List::ALL {
        let mut used_up: Vec<usize> = Vec::new();
        for (entry, takes) in gone.iter().filter(|(entry, _)| entry.list == list) {
            let Some(has) = entry.count.map(u64::from) else {
                continue;
            };
            let left = u32::try_from(has.saturating_sub(*takes)).unwrap_or(0);
            if left == 0 {
                used_up.push(entry.at);
            } else if let Some(table) =
                edit::list_mut(document, list.word()).and_then(|list| list.get_mut(entry.at))
            {
                edit::set_count(table, left);
            }
        }
        if used_up.is_empty() {
            continue;
        }
        if list <= List::Scrap {
            // A board without a name is called by its place in the list, which changes now.
            edit::name_all(document, list.word());
        }
        used_up.sort_unstable();
        edit::remove(document, list.word(), &used_up);
    }
}

/// A free name for a piece that is left of a board.
fn rest_name(of: &str, names: &mut Vec<String>) -> String {
    let base = of.split(" (rest").next().unwrap_or(of);
    let mut name = format!("{base} (rest)");
    let mut number = 2;
    while names.contains(&name) {
        name = format!("{base} (rest {number})");
        number += 1;
    }
    names.push(name.clone());
    name
}

/// Veneers that were glued on, before those that the board had.
fn add_veneers(table: &mut Table, key: &str, more: &[String]) {
    if more.is_empty() {
        return;
    }
    let mut all: Vec<String> = more.to_vec();
    if let Some(known) = table.get(key).and_then(Item::as_value) {
        match known.as_array() {
            Some(list) => all.extend(list.iter().filter_map(|v| v.as_str().map(str::to_owned))),
            None => all.extend(known.as_str().map(str::to_owned)),
        }
    }
    let list: toml_edit::Array = all.iter().collect();
    table.insert(key, value(list));
}
