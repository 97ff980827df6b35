//! What is short, and from tiles back to sheets.

use super::section::{Entry, Section, counted};
use crate::plan::{
    CountBack, Units,
    count::{BarLength, RipLine, SheetLine, lay::Nesting},
    saw::rip_method::Handling,
    units::decimal,
};

/// What the stock lacks, and what would close it; none where it suffices.
pub fn short(count: &CountBack, units: Units) -> Option<Section> {
    if count.suffices() {
        return None;
    }
    let mut section = Section::new("NOT ENOUGH STOCK");
    for short in &count.short {
        let veneers = if short.veneers.is_empty() {
            String::new()
        } else {
            format!(" ({})", short.veneers.join(", "))
        };
        let strips = count.strips.iter().find(|s| s.label == short.strip);
        let (shape, needed, given) = strips.map_or((String::new(), 0, 0), |s| {
            (s.shape.clone(), s.needed.count(), s.given)
        });
        let mut entry = Entry::from(format!(
            "{} {shape} from sheet {}{veneers}: needed {needed}, the stock gives {given}; short of \
             {} at {}",
            short.strip,
            short.sheet,
            short.missing.count(),
            units.at_least(short.length)
        ));
        let close = format!(
            "to close it: {} of board along the strips, and across them ",
            units.at_least(short.length)
        );
        entry.add(Entry::from(close).at_least(&short.width, units));
        section.add(entry);
    }
    for veneer in count.veneers.iter().filter(|v| v.short > 0) {
        section.add(format!(
            "veneer {}: {} missing",
            veneer.colour,
            counted(veneer.short, "leaf is", "leaves are")
        ));
    }
    for veneer in count.veneers.iter().filter(|v| v.none_there) {
        section.add(if veneer.offered.is_empty() {
            format!(
                "veneer {}: no leaf on the rack is of use for it",
                veneer.colour
            )
        } else {
            format!(
                "veneer {}: there is no leaf of it on the rack; there are leaves of {}",
                veneer.colour,
                veneer.offered.join(", ")
            )
        });
    }
    section.add("The steps below go as far as this stock does.");
    Some(section)
}

/// The tiles.
pub fn tiles(count: &CountBack, units: Units) -> Section {
    let mut section = Section::new("Tiles to make");
    for tile in &count.tiles {
        let mut entry = Entry::from(format!("{}: ", tile.name)).figure(&tile.needed, units);
        if tile.spare.value > 0.0 {
            entry.add(Entry::from("spare ").figure(&tile.spare, units));
        }
        section.add(entry);
    }
    section
}

/// The bars.
pub fn bars(count: &CountBack, units: Units) -> Section {
    let mut section = Section::new(if count.loaves.is_empty() {
        "Bars to glue and slice"
    } else {
        "Bars to glue"
    });
    for bar in &count.bars {
        let mut entry = Entry::from(format!("{}: {}", bar.tiles.join(", "), bar.bars.count()))
            .sum(format!(" ({})", bar.bars.why.shown(units)));
        entry.add(format!("each of {}", joined(&bar.strips)));
        lengths(&mut entry, &bar.lengths, units);
        if bar.surplus > 0 {
            entry.add(format!(
                "{} more than needed",
                counted(bar.surplus, "slice", "slices")
            ));
        }
        section.add(entry);
    }
    section
}

/// How many bars or loaves there are of each length, and what they are sliced to.
fn lengths(entry: &mut Entry, lengths: &[BarLength], units: Units) {
    for length in lengths {
        let words = format!(
            "{} of {} or more: slices ",
            length.bars,
            units.at_least(length.length)
        );
        entry.add(Entry::from(words).figure(&length.slices, units));
    }
}

/// The loaves; none where each bar is sliced by itself.
pub fn loaves(count: &CountBack, units: Units) -> Option<Section> {
    if count.loaves.is_empty() {
        return None;
    }
    let mut section = Section::new("Loaves to glue and slice");
    for loaf in &count.loaves {
        let loaves: u64 = loaf.lengths.iter().map(|l| l.bars).sum();
        let mut entry = Entry::from(format!("{}: {loaves}; slices needed ", loaf.name))
            .figure(&loaf.needed, units);
        entry.add(format!(
            "each of {}, {} high as it lies before the saw",
            joined(&loaf.bars),
            units.at_least(loaf.height)
        ));
        lengths(&mut entry, &loaf.lengths, units);
        section.add(entry);
    }
    Some(section)
}

/// The strips.
pub fn strips(count: &CountBack, units: Units) -> Section {
    let mut section = Section::new("Strips");
    for strip in &count.strips {
        let too_many = if strip.surplus > 0 {
            format!(", {} more than needed", strip.surplus)
        } else {
            String::new()
        };
        section.add(
            Entry::from(format!(
                "{} {} from sheet {}: needed ",
                strip.label, strip.shape, strip.sheet
            ))
            .figure(&strip.needed, units)
            .words(format!("; the rips give {}{too_many}", strip.given)),
        );
    }
    section
}

/// How strips lie side by side in a board.
pub fn rips(count: &CountBack, units: Units) -> Section {
    let mut section = Section::new("Rips");
    for line in count.rips.iter().filter(|line| line.count > 0) {
        section.add(rip(line, units));
    }
    section
}

fn rip(rip: &RipLine, units: Units) -> Entry {
    let mut entry = Entry::from(format!(
        "{} {} from sheet {}: rip {}; each gives {}",
        rip.label,
        rip.shape,
        rip.sheet,
        rip.count,
        joined(&rip.gives)
    ));
    entry.add(format!(
        "{} wide on the face, {} on the back, edge angles {} and {} degrees",
        units.length(rip.face),
        units.length(rip.back),
        decimal(rip.edges[0], 2),
        decimal(rip.edges[1], 2)
    ));
    entry.add(match (rip.handling, rip.nesting) {
        (Handling::Pairs, _) => "from blanks of two strips, each parted by one cut",
        (Handling::Singles, _) => {
            "from blanks of their own, wide enough for the second edge (face and back of the sheet \
             differ)"
        }
        (Handling::Carriage, _) => "from square blanks, the edges cut in a carriage",
        (_, Nesting::Parallel) => "side by side, cuts parallel; the board is not turned over",
        (_, Nesting::Flipped) => {
            "side by side, every second one flipped: turn the board over after each cut"
        }
        (_, Nesting::Apart) => {
            "side by side the same way up, a wedge of waste between, cut off for a fresh edge each \
             time"
        }
    });
    if rip.handling == Handling::Free {
        entry.add("too narrow, or leaning too far, to guide along the fence: the board is guided, and the strips fall free");
    }
    entry.add(
        Entry::from("each takes ")
            .figure(&rip.pitch, units)
            .words("; the first ")
            .figure(&rip.first, units),
    );
    if rip.further_rips > 0 {
        entry.add(format!(
            "ripped again {}: {} wider for the kerf",
            counted(rip.further_rips, "time", "times"),
            units.length(rip.widened)
        ));
    }
    if rip.loses_to_kerf {
        entry.add(
            "a further rip ends on a sawn face or runs along the faces: a wider strip alone does \
             not make up for its kerf; try one first",
        );
    }
    entry
}

/// What the sheets are made of.
pub fn sheets(count: &CountBack, units: Units) -> Section {
    let mut section = Section::new("Sheets");
    for line in &count.sheets {
        section.add(sheet(line, units));
    }
    section
}

/// What the boards of a sheet are, as a shop would call them: `9 plies of birch, 18 mm`.
pub(super) fn plywood(sheet: &SheetLine, units: Units) -> String {
    let runs: Vec<String> = (sheet.made_of.iter())
        .map(|run| match run.plies {
            0 => format!("veneer {}", run.wood),
            1 => format!("{}, {}", run.wood, units.length(run.thickness)),
            plies => format!(
                "{plies} plies of {}, {}",
                run.wood,
                units.length(run.thickness)
            ),
        })
        .collect();
    match (runs.len(), sheet.plywoods) {
        (1, 1) => runs.concat(),
        (1, times) => format!("{times} x {}", runs.concat()),
        _ => format!("one board, laminated beforehand, of {}", runs.join(" + ")),
    }
}

fn sheet(sheet: &SheetLine, units: Units) -> Entry {
    let mut parts = vec![plywood(sheet, units)];
    for (side, veneers) in [
        ("face", &sheet.face),
        ("between", &sheet.between),
        ("back", &sheet.back),
    ] {
        if !veneers.is_empty() {
            parts.push(format!("{side} {}", veneers.join(" on ")));
        }
    }
    Entry::from(format!(
        "{}: {} thick: {}",
        sheet.label,
        units.length(sheet.thickness),
        parts.join("; ")
    ))
}

fn joined(each: &[(String, u64)]) -> String {
    let each: Vec<String> = each
        .iter()
        .map(|(label, each)| format!("{each} x {label}"))
        .collect();
    each.join(" + ")
}
