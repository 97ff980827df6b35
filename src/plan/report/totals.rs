//! Veneer, glue, mass and cost; what to buy; where the wood goes; what was assumed.

use super::section::{Entry, Section, counted};
use crate::plan::{
    CountBack, Shop, Units,
    count::labels::strip_label,
    count::veneers::{LeafLine, VeneerLine},
    shop::Board,
    units::decimal,
};

/// What must be bought or found: boards that are not counted in the shop file, veneer, glue, and
/// what it costs.
pub fn to_buy(count: &CountBack, shop: &Shop) -> Section {
    let units = shop.units;
    let mut section = Section::new("To buy");
    for (name, number, sheets) in bought(count, shop) {
        let size = shop.boards.iter().find(|b| b.name == name).map(|b| {
            let (width, length) = (units.length(b.width), units.length(b.length));
            format!(", {width} x {length}")
        });
        let of = (count.sheets.iter()).find(|sheet| sheets.first() == Some(&sheet.label.as_str()));
        let of = of.map_or_else(String::new, |sheet| super::count::plywood(sheet, units));
        section.add(format!(
            "{number} x {name}{}: {of}; for sheet {}",
            size.unwrap_or_default(),
            sheets.join(" and ")
        ));
    }
    for veneer in &count.veneers {
        if let Some(entry) = veneer_to_buy(veneer, units) {
            section.add(entry);
        }
    }
    section.add(Entry::from("glue: ").figure(&count.totals.glue, units));
    section.add(cost(count, shop));
    section
}

/// What is missing of a veneer, or must be bought anyway; none where all of it is in stock.
fn veneer_to_buy(veneer: &VeneerLine, units: Units) -> Option<Entry> {
    let entry = Entry::from(format!("veneer {}: ", veneer.colour));
    if veneer.leaves.is_none() {
        let entry = entry.figure(&veneer.area, units);
        return Some(if veneer.offered.is_empty() {
            entry
        } else {
            entry.words(format!(
                "; no leaf in the shop file has this colour. There are leaves of {}: draw the \
                 recipe with one of them, or name this one in the shop file",
                veneer.offered.join(", ")
            ))
        });
    }
    let bought = |l: &LeafLine| if l.from_stock { l.missing } else { l.count };
    let each = leaves_told(veneer, units, bought);
    (!each.is_empty()).then(|| entry.words(each))
}

/// So many leaves of each size, in words.
fn leaves_told(veneer: &VeneerLine, units: Units, many: impl Fn(&LeafLine) -> u64) -> String {
    let mut sizes: Vec<((f64, f64), u64)> = Vec::new();
    for line in &veneer.cut {
        let size = (line.width, line.length);
        match sizes.iter_mut().find(|(known, _)| *known == size) {
            Some((_, sum)) => *sum += many(line),
            None => sizes.push((size, many(line))),
        }
    }
    let each = sizes.iter().filter(|(_, sum)| *sum > 0);
    let each: Vec<String> = each
        .map(|((width, length), sum)| {
            let leaves = counted(*sum, "leaf", "leaves");
            format!(
                "{leaves} of {} x {}",
                units.length(*width),
                units.length(*length)
            )
        })
        .collect();
    each.join(", ")
}

/// What is taken of that which the shop file counts; none where it counts nothing of use.
pub fn from_stock(count: &CountBack, shop: &Shop) -> Option<Section> {
    let units = shop.units;
    let mut section = Section::new("From stock");
    for board in &count.boards {
        for (name, number) in &board.boards {
            let unlimited = |b: &Board| b.name == *name && b.count.is_none();
            if !shop.boards.iter().any(unlimited) {
                let (width, length) = (units.length(board.width), units.length(board.length));
                section.add(format!("{number} x {name}, {width} x {length}"));
            }
        }
    }
    for veneer in &count.veneers {
        let stocked = |l: &LeafLine| if l.from_stock { l.count - l.missing } else { 0 };
        let each = leaves_told(veneer, units, stocked);
        if !each.is_empty() {
            section.add(format!("veneer {}: {each}", veneer.colour));
        }
    }
    for there in &count.in_hand {
        for (name, number) in &there.tiles {
            section.add(format!("{} {name}", counted(*number, "tile", "tiles")));
        }
        for (name, number, length, _) in &there.bars {
            let bars = counted(*number, "bar", "bars");
            let name = name.strip_prefix("bar ").unwrap_or(name);
            section.add(format!("{bars} {name}, {} long", units.length(*length)));
        }
    }
    for strips in count.in_hand.iter().flat_map(|there| &there.strips) {
        let many = counted(strips.count, "strip", "strips");
        let name = strip_label(strips.part);
        section.add(format!(
            "{many} {name}, {} long",
            units.length(strips.length)
        ));
    }
    (!section.entries.is_empty()).then_some(section)
}

/// Boards that the shop file does not count: name, how many, and the sheets they become.
fn bought<'a>(count: &'a CountBack, shop: &Shop) -> Vec<(&'a str, u64, Vec<&'a str>)> {
    let mut all: Vec<(&str, u64, Vec<&str>)> = Vec::new();
    for line in &count.boards {
        for (name, number) in &line.boards {
            let unlimited = |b: &Board| b.name == *name && b.count.is_none();
            if !shop.boards.iter().any(unlimited) {
                continue;
            }
            // One line for boards of one plywood.
            let made_of = |label: &str| {
                let sheet = count.sheets.iter().find(|s| s.label == label);
                sheet.map(|s| (&s.made_of, s.plywoods))
            };
            let mine = line.rip.first().map(|blank| made_of(&blank.sheet));
            let index = all.iter().position(|(known, _, sheets)| {
                known == name && sheets.first().map(|label| made_of(label)) == mine
            });
            let index = index.unwrap_or_else(|| {
                all.push((name, 0, Vec::new()));
                all.len() - 1
            });
            let (_, sum, sheets) = &mut all[index];
            *sum += number;
            for blank in &line.rip {
                if !sheets.contains(&blank.sheet.as_str()) {
                    sheets.push(&blank.sheet);
                }
            }
        }
    }
    all
}

fn cost(count: &CountBack, shop: &Shop) -> Entry {
    let t = &count.totals;
    let entry = if t.cost.why.terms().is_empty() {
        Entry::from("cost: unknown")
    } else {
        Entry::from(format!(
            "cost: {} {}",
            shop.currency,
            t.cost.shown(shop.units)
        ))
        .sum(format!(" = {}", t.cost.why.shown(shop.units)))
    };
    if t.without_price.is_empty() {
        entry
    } else {
        entry.words(format!(
            "; no price is given for: {}",
            t.without_price.join(", ")
        ))
    }
}

/// Veneer, joints, area, thickness and mass, each with its sum.
pub fn totals(count: &CountBack, units: Units) -> Section {
    let mut section = Section::new("Veneer, glue and mass");
    for veneer in &count.veneers {
        section.add(Entry::from(format!("veneer {}: ", veneer.colour)).figure(&veneer.area, units));
    }
    let t = &count.totals;
    for (word, figure) in [
        ("joints in the bars", &t.bar_joints),
        ("joints between tiles", &t.panel_joints),
        ("laminating", &t.laminations),
        ("glue", &t.glue),
        ("panel, area", &t.panel_area),
        ("panel, thickness", &t.panel_thickness),
        ("panel, mass", &t.panel_mass),
    ] {
        section.add(Entry::from(format!("{word}: ")).figure(figure, units));
    }
    section
}

/// What became of the boards.
pub fn wood(count: &CountBack, units: Units) -> Section {
    let mut section = Section::new("Where the wood goes");
    let b = &count.balance;
    if b.stock <= 0.0 {
        section.add("no board is taken");
        return section;
    }
    let share = |part: f64| format!("{} %", decimal(part / b.stock * 100.0, 1));
    section.add(format!(
        "tiles {}, kerf {}, waste {}, left over {} of {}",
        share(b.parts),
        share(b.kerf),
        share(b.waste),
        share(b.left_over),
        units.volume(b.stock)
    ));
    section
}

/// The common values that stand in for what the shop file leaves out; none where it says all.
pub fn assumed(shop: &Shop) -> Option<Section> {
    if shop.assumed.is_empty() {
        return None;
    }
    let mut section = Section::new("Common values used (enter yours in a shop file)");
    for assumed in &shop.assumed {
        section.add(format!("{} = {}", assumed.key, assumed.value));
    }
    Some(section)
}
