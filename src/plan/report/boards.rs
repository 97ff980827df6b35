//! The boards: which are ripped, into what, what is left of them, and whether others would do better.

use super::section::{Entry, Section, counted, why};
use crate::plan::{
    CountBack, Units,
    count::{BlankLine, BoardLine, UselessLine, balance::Rest, cut::Useless, thickness},
    scraps::Proof,
    units::decimal,
};

/// Most pieces of what is left, and most names of boards, that are listed together.
const MOST_RESTS: usize = 4;
/// Most lines of a list, which is long where the stock is varied.
const MOST_LINES: usize = 40;

/// The boards to rip.
pub fn boards(count: &CountBack, units: Units) -> Section {
    let mut section = Section::new("Boards to rip");
    if count.boards.is_empty() {
        section.add("none: nothing in stock is of use");
    }
    for line in count.boards.iter().take(MOST_LINES) {
        section.add(board(line, units));
    }
    if count.boards.len() > MOST_LINES {
        let more = count.boards.len() - MOST_LINES;
        section.add(format!(
            "and {more} more (the data of the plan list them all)"
        ));
    }
    section.add(taken(count, units));
    section.add(match count.second_proof {
        Proof::Optimal => "among these choices it cuts up the least wood: proven",
        Proof::ForTheseBoards => {
            "it cuts up little wood; other choices that take as much were not all compared"
        }
        Proof::AtLeast(_) => {
            "it cuts up little wood; the search for the least stopped at its limit"
        }
    });
    for useless in count.useless.iter().take(MOST_LINES) {
        section.add(format!(
            "not used: {}, which {}",
            useless.name,
            why_useless(useless, count, units)
        ));
    }
    if count.useless.len() > MOST_LINES {
        let more = count.useless.len() - MOST_LINES;
        section.add(format!("and {more} more that are not used"));
    }
    for leaf in &count.unused_leaves {
        section.add(format!(
            "not used: veneer {leaf}: no sheet of this panel has this colour{}",
            among(
                count
                    .sheets
                    .iter()
                    .flat_map(|s| [&s.face, &s.between, &s.back])
                    .flatten()
            )
        ));
    }
    section
}

/// Why a board is of no use, as the end of a sentence that begins with its name.
fn why_useless(useless: &UselessLine, count: &CountBack, units: Units) -> String {
    let sheets = count.sheets.iter();
    match useless.why {
        Useless::OtherThickness => {
            let wanted: Vec<String> = sheets.map(|s| units.length(s.plywood)).collect();
            let has = useless.thickness.map_or(String::new(), |t| units.length(t));
            format!("is {has} thick{}", among(wanted.iter()))
        }
        Useless::OtherWood => {
            let wood = useless.wood.as_deref().unwrap_or_default();
            format!("is {wood}{}", among(sheets.map(|s| &s.wood)))
        }
        Useless::OtherVeneers => format!(
            "has {} on it, and no sheet of this panel has just that outside",
            useless.veneers.join(" and ")
        ),
        Useless::NotWithOthers => format!(
            "is {}; that differs too much from the boards that are taken to share bars with them \
             (cutting.any_thickness = true in the shop file lets a plan take both, each in bars of its own)",
            useless.thickness.map_or_else(
                || "as thick as the recipe draws it".to_owned(),
                |t| format!("{} thick", units.length(t))
            )
        ),
        Useless::TooShort => "is shorter than what is safe to rip".to_owned(),
        Useless::TooSmall => "is too small for one strip or one slice".to_owned(),
    }
}

/// What the panel has instead, each once; nothing where it has none.
fn among<'a>(wanted: impl Iterator<Item = &'a String>) -> String {
    let mut each: Vec<&str> = Vec::new();
    for one in wanted {
        if !each.contains(&one.as_str()) {
            each.push(one);
        }
    }
    if each.is_empty() {
        String::new()
    } else {
        format!("; the panel is drawn with {}", each.join(" and "))
    }
}

/// How much is taken, whether it is proven that no choice takes less, and which choices were compared.
fn taken(count: &CountBack, units: Units) -> Entry {
    let taken = count.taken.shown(units);
    let among = format!(
        "for boards cut across to {} of one length",
        if count.one_length {
            "the fewest blanks"
        } else {
            "blanks"
        }
    );
    Entry::from(match count.proof {
        _ if !count.short.is_empty() => format!(
            "wood taken: {taken}. The stock cannot do better: {}.",
            match count.proof {
                Proof::Optimal => format!("proven, {among}"),
                Proof::AtLeast(_) | Proof::ForTheseBoards =>
                    "the search stopped at its limit, so this is not proven".to_owned(),
            }
        ),
        Proof::Optimal => {
            format!("wood taken: {taken}; no choice of boards takes less (proven, {among})")
        }
        Proof::AtLeast(bound) => {
            let share = (1.0 - bound as f64 / count.taken.value.max(1.0)) * 100.0;
            format!(
                "wood taken: {taken}. The search stopped at its limit: no choice takes less than {} \
                 ({} % less), {among}.",
                units.area(bound as f64),
                decimal(share, 1)
            )
        }
        Proof::ForTheseBoards => format!("wood taken: {taken}"),
    })
}

fn board(board: &BoardLine, units: Units) -> Entry {
    let names: Vec<String> = board
        .boards
        .iter()
        .take(MOST_RESTS)
        .map(|(name, count)| format!("{count} x {name}"))
        .collect();
    let more = if board.boards.len() > MOST_RESTS {
        " and more"
    } else {
        ""
    };
    let side = if board.along_length {
        "length"
    } else {
        "width"
    };
    let mut entry = Entry::from(format!(
        "{}{more}, {} x {}: strips along the {side}",
        names.join(", "),
        units.length(board.width),
        units.length(board.length)
    ));
    if let (Some(thickness), Some(mean)) = (board.other_thickness, board.planned_thickness) {
        let (own, planned) = (units.fine(thickness), units.fine(mean));
        entry.add(if own == planned {
            format!("{own} thick, and not as the recipe draws it: all steps are for {own}")
        } else if thickness::may_share(thickness, mean) {
            format!(
                "{own} thick, and not as the recipe draws it: all steps are for {planned}, the mean of boards that may \
                 share bars"
            )
        } else {
            format!(
                "{own} thick, and no bar closes of such boards: all steps are for {planned}, so plane them, or find \
                 the fences by a trial bar"
            )
        });
    }
    let boards: u64 = board.boards.iter().map(|(_, count)| *count).sum();
    entry.add(
        if boards == 1 && board.blanks_ripped < board.blanks.count() {
            Entry::from(format!(
                "cut {} off it, and leave the rest in one piece",
                counted(board.blanks_ripped, "blank", "blanks")
            ))
        } else {
            Entry::from(format!(
                "cut each board across into {}",
                counted(board.blanks.count(), "blank", "blanks")
            ))
            .sum(format!(" = {}", why(&board.blanks, units)))
            .words(format!("; {} of them ripped", board.blanks_ripped))
        },
    );
    entry.add(
        Entry::from("length ")
            .at_least(&board.blank_length, units)
            .words(", slices ")
            .figure(&board.slices, units),
    );
    for line in &board.rip {
        entry.add(blank(line, units));
    }
    rests(&mut entry, &board.rest, units);
    entry
}

fn blank(blank: &BlankLine, units: Units) -> Entry {
    let mut glue = Vec::new();
    if blank.plywoods > 1 {
        glue.push(format!("{} boards to one another", blank.plywoods));
    }
    glue.extend(blank.veneers.iter().cloned());
    let glue = if glue.is_empty() {
        String::new()
    } else {
        format!("; glue on before ripping: {}", glue.join(", "))
    };
    let beside = if blank.beside.is_empty() {
        String::new()
    } else {
        format!(", side by side with {}", blank.beside.join(" and "))
    };
    let mut entry = Entry::from(format!(
        "{} for sheet {}{beside}{glue}",
        counted(blank.count, "blank", "blanks"),
        blank.sheet
    ));
    for run in &blank.runs {
        let words = format!(
            "{}: rip {}; one blank gives ",
            run.rips.join(" and "),
            run.ripped
        );
        entry.add(Entry::from(words).figure(&run.most, units));
    }
    rests(&mut entry, &blank.rest, units);
    entry
}

fn rests(entry: &mut Entry, rests: &[Rest], units: Units) {
    for rest in rests.iter().take(MOST_RESTS) {
        entry.add(format!(
            "left over: {} x {} x {}",
            rest.count,
            units.at_most(rest.width),
            units.at_most(rest.length)
        ));
    }
}
