//! The boards: which are ripped, into what, what is left of them, and whether others would do better.

use super::{Entry, Section, counted, why};
use crate::plan::{
    CountBack, Units,
    count::{BlankLine, BoardLine, balance::Rest, cut::Useless},
    scraps::Proof,
    units::decimal,
};

/// Most pieces of what is left, and most names of boards, that are listed together.
const MOST_RESTS: usize = 4;
/// Most lines of a list that a varied stock makes long.
const MOST_LINES: usize = 40;

/// The boards to rip.
#[must_use]
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
            "of these boards it cuts up the least; others that take as much wood were not all compared"
        }
        Proof::AtLeast(_) => {
            "it cuts up little wood; the search for the least stopped at its limit"
        }
    });
    if count.one_kind_only {
        section.add(
            "compared were boards ripped to strips of one kind each: the stock is too varied for \
             more",
        );
    }
    for useless in count.useless.iter().take(MOST_LINES) {
        let why = match useless.why {
            Useless::OtherSheet => "fits no sheet of this panel (thickness, wood or veneers)",
            Useless::TooShort => "is shorter than what is safe to rip",
            Useless::TooSmall => "is too small for one strip or one slice",
        };
        section.add(format!("not used: {}, which {why}", useless.name));
    }
    if count.useless.len() > MOST_LINES {
        let more = count.useless.len() - MOST_LINES;
        section.add(format!("and {more} more that are not used"));
    }
    section
}

/// How much is taken, and how sure it is that no choice takes less.
fn taken(count: &CountBack, units: Units) -> Entry {
    let taken = count.taken.shown(units);
    Entry::from(match count.proof {
        _ if !count.short.is_empty() => format!(
            "wood taken: {taken}. The stock cannot do better: {}.",
            match count.proof {
                Proof::Optimal => "proven",
                Proof::AtLeast(_) | Proof::ForTheseBoards => {
                    "the search stopped at its limit, so this is not proven"
                }
            }
        ),
        Proof::Optimal => format!("wood taken: {taken}; no choice of boards takes less (proven)"),
        Proof::AtLeast(bound) => {
            let share = (1.0 - bound as f64 / count.taken.value.max(1.0)) * 100.0;
            format!(
                "wood taken: {taken}. The search stopped at its limit: no choice takes less than {} \
                 ({} % less).",
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
    entry.add(
        Entry::from(format!(
            "cut each board across into {}",
            counted(board.blanks.count(), "blank", "blanks")
        ))
        .sum(format!(" = {}", why(&board.blanks, units)))
        .words(format!("; {} of them ripped", board.blanks_ripped)),
    );
    entry.add(
        Entry::from("length ")
            .figure(&board.blank_length, units)
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
    let mut entry = Entry::from(format!(
        "{} for sheet {}{glue}",
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
