//! The steps that rip, in words: pass by pass.

use super::steps::Tell;
use crate::plan::{
    saw::words as saw_words,
    steps::model::{
        Becomes, Lie, Of, OfBoards, Pass, PieceKind, RipFor, Round, Set, Side, Step, Touches, Work,
    },
};

/// Most boards that are named.
const MOST_NAMES: usize = 6;

/// Passes that are repeated, in words.
struct Rounds {
    times: u64,
    lines: Vec<String>,
}

impl Rounds {
    fn told(&self) -> Vec<String> {
        let alone = self.lines.len() == 1;
        let lines = self.lines.iter().enumerate();
        lines
            .map(|(i, line)| match (self.times, i) {
                (1, _) => line.clone(),
                (n, 0) if alone => format!("{n} times: {line}"),
                (n, 0) => format!("{n} times, this: {line}"),
                _ => format!("and this: {line}"),
            })
            .collect()
    }
}

impl Tell<'_> {
    /// A step that rips, in words.
    pub(super) fn rip(&self, step: &Step) -> (String, Vec<String>) {
        let Work::Rip {
            purpose,
            shape,
            tilt,
            bed,
            boards,
            rounds,
            ..
        } = &step.work
        else {
            return (String::new(), Vec::new());
        };
        let (takes, gives) = (self.lots(&step.takes), self.lots(&step.gives));
        let is_strip = |of: &Of| self.piece(of).is_some_and(|p| p.kind == PieceKind::Strip);
        let (strips, left): (Vec<Of>, Vec<Of>) = step.gives.iter().cloned().partition(is_strip);
        let title = match purpose {
            RipFor::Width => format!("Rip {takes} to width: {gives}"),
            RipFor::FirstEdge => format!("Cut the first edge of {takes}: {gives}"),
            RipFor::Strips => format!("Rip {} ({shape}) from {takes}", self.lots(&strips)),
            RipFor::Blanks => format!("Rip {gives} from {takes}"),
            RipFor::SecondEdge => format!("Cut the second edge of {takes}: {gives}"),
            RipFor::Parting => format!("Part {takes}: {gives}"),
            RipFor::Again => format!("Rip {takes} once more: {gives} ({shape})"),
        };
        let mut lines = vec![saw_words::blade(*tilt, *bed)];
        lines.extend(boards.as_ref().map(|of| self.of_boards(of)));
        if step.takes.iter().any(|of| of.count > 1) {
            lines.push("With each of them:".to_owned());
        }
        let mut before = None;
        let mut told: Vec<Rounds> = Vec::new();
        for round in rounds {
            for more in self.round(round, &mut before) {
                match told.last_mut() {
                    Some(last) if last.lines.len() == 1 && last.lines == more.lines => {
                        last.times += more.times;
                    }
                    _ => told.push(more),
                }
            }
        }
        lines.extend(told.iter().flat_map(Rounds::told));
        let left = self.lots(&left);
        if *purpose == RipFor::Strips && !left.is_empty() {
            lines.push(format!("What is left goes on as {left}."));
        }
        if !strips.is_empty() {
            lines.push("Chalk a 1 on end 1 of every strip, once the blade stands.".to_owned());
        }
        let setting = |mm: f64| self.shop.units.setting(mm);
        for note in step
            .set_ups
            .iter()
            .flat_map(|cut| saw_words::notes(cut, &setting))
        {
            if !lines.contains(&note) {
                lines.push(note);
            }
        }
        (title, lines)
    }

    /// Which boards a setting is for.
    fn of_boards(&self, of: &OfBoards) -> String {
        let named: Vec<&str> = of
            .names
            .iter()
            .take(MOST_NAMES)
            .map(String::as_str)
            .collect();
        let more = match of.names.len().saturating_sub(MOST_NAMES) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        format!(
            "For boards {} thick alone: {}{more}.",
            self.shop.units.fine(of.thickness),
            named.join(", ")
        )
    }

    /// Passes that are repeated: how the work is laid is said for the first time, and for later times where it differs.
    fn round(&self, round: &Round, before: &mut Option<Lie>) -> Vec<Rounds> {
        let Some(last) = round.passes.last() else {
            return Vec::new();
        };
        let told = |mut before: Option<Lie>| -> Vec<String> {
            let tell = |pass: &Pass| {
                let line = self.pass(pass, before);
                before = Some(pass.lie);
                line
            };
            round.passes.iter().map(tell).collect()
        };
        let (first, again) = (told(*before), told(Some(last.lie)));
        *before = Some(last.lie);
        let mut all = Vec::new();
        let times = if first == again {
            round.times
        } else {
            all.push(Rounds {
                times: 1,
                lines: first,
            });
            round.times - 1
        };
        if times > 0 {
            all.push(Rounds {
                times,
                lines: again,
            });
        }
        all
    }

    fn pass(&self, pass: &Pass, before: Option<Lie>) -> String {
        let setting = |mm: f64| self.shop.units.setting(mm);
        let lies = lies(pass.lie, before);
        let set = match pass.set {
            Set::Fence(mm) => format!("fence {}", setting(mm)),
            Set::Stop(mm) => format!("stop {}, the fence moved up to the board", setting(mm)),
            Set::Ledge(mm) => format!(
                "clamped on the bed against the ledge, ledge {}",
                setting(mm)
            ),
            Set::ByEye(mm) => format!(
                "fence by eye, so that a whole new edge is left and little more (about {} comes off, the cut included)",
                self.shop.units.length(mm)
            ),
        };
        let touches = match pass.touches {
            Touches::Whole => "",
            Touches::LowCorner => ", which its sharp lower corner touches",
            Touches::HighCorner => ", which its sharp upper corner touches",
        };
        let falls = match (&pass.inboard, &pass.outboard) {
            (Becomes::Piece(a), Becomes::Piece(b)) => {
                format!("{a} lies at the fence, {b} beyond the blade")
            }
            (Becomes::Piece(id), _) => format!("{id} lies at the fence"),
            (_, Becomes::Piece(id)) => format!("{id} falls beyond the blade"),
            (_, Becomes::Waste) => "the waste falls beyond the blade".to_owned(),
            _ => "the rest goes on".to_owned(),
        };
        format!("{lies}; {set}{touches}; {falls}.")
    }
}

/// How the work lies, and how it is moved there from how it lay before.
fn lies(lie: Lie, before: Option<Lie>) -> String {
    let down = match lie.down.side {
        Side::Face => "face down",
        Side::Back => "back down",
    };
    let Some(was) = before else {
        return format!("Lay it {down}, end {} towards you", lie.end);
    };
    match (was.down.side == lie.down.side, was.end == lie.end) {
        (true, true) => "As it lies".to_owned(),
        (true, false) => {
            "Turn it round flat, end for end: the edge that was just cut comes to the fence"
                .to_owned()
        }
        (false, true) => {
            format!("Roll it over, {down}: the edge that was just cut comes to the fence")
        }
        (false, false) => {
            format!("Turn it over end for end, {down}: the same edge stays at the fence")
        }
    }
}
