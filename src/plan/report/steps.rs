//! The steps of a plan in plain words: what is fetched, and what is done, one after the other.

use super::section::{Section, counted, listed};
use crate::plan::{
    Shop, Units, cautions,
    cautions::Caution,
    saw::{Cut, Job, words as saw_words},
    steps::model::{Of, Piece, PieceKind, Step, Steps, Work, width_through},
};

/// A rest narrower than this through its thickness, in mm, is not listed.
const LEAST_TOLD: f64 = 1.0;

/// Where the distances in the steps are measured, said once before them.
pub const MEASURED: &str = "Fence: on the table, from the fence to the near side of the blade where it comes \
    through. Stop: on the table, from the far side of the blade to an upright stop that stands ahead \
    of it, where the board is still whole; slide the board against the stop, bring the fence to the \
    board, lock it, and cut. Ledge: on the bed of a carriage, from the ledge to the near side of the blade.";

/// A step in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepWords {
    /// Its number, from 1.
    pub number: usize,
    /// What is done, in a line.
    pub title: String,
    /// How.
    pub lines: Vec<String>,
    /// What to take care of, the most particular ones first; what holds for every cut is left out
    /// ([`cautions::ALWAYS`] belongs before them all).
    pub cautions: Vec<String>,
}

/// What is fetched from the stock before the first step.
pub fn fetch(steps: &Steps, shop: &Shop) -> Section {
    let units = shop.units;
    let mut section = Section::new("Fetch");
    for of in &steps.fetch {
        let size = steps.pieces.iter().find(|p| p.id == of.piece).map(|p| {
            let [across, high] = [0, 1].map(|axis| {
                let along = || p.section.iter().map(|c| c[axis]);
                along().fold(f64::MIN, f64::max) - along().fold(f64::MAX, f64::min)
            });
            let across = units.length(across);
            match p.kind {
                PieceKind::Tile | PieceKind::Bar => format!(
                    ", {across} x {} x {}",
                    units.length(high),
                    units.length(p.length)
                ),
                _ => format!(", {across} x {}", units.length(p.length)),
            }
        });
        section.add(format!(
            "{} x {}{}",
            of.count,
            of.piece,
            size.unwrap_or_default()
        ));
    }
    let veneers = steps.steps.iter().filter_map(|step| match &step.work {
        Work::CutVeneer {
            colour,
            width,
            length,
        } => Some((colour, width, length, &step.gives)),
        _ => None,
    });
    for (colour, width, length, gives) in veneers {
        let count: u64 = gives.iter().map(|of| of.count).sum();
        section.add(format!(
            "leaves of veneer {colour} for {count} x {} x {}",
            units.at_least(*width),
            units.at_least(*length)
        ));
    }
    if section.entries.is_empty() {
        section.add("nothing: no board of the stock is of use");
    }
    section
}

/// The length of the pieces that a step cuts off across boards or strips. Rounded up as far as the wood has room for
/// it, as a bar that is a little too short gives one slice less.
pub fn cut_length(step: &Step, steps: &Steps, units: Units) -> String {
    let (length, kerf, each) = match step.work {
        Work::Crosscut {
            length,
            kerf,
            pieces,
            ..
        } => (length, kerf, pieces),
        Work::CrosscutStrips { length, kerf } => (length, kerf, 1),
        _ => return String::new(),
    };
    // From a single board fewer pieces may be cut than it could give.
    let made = step.gives.iter().filter(|of| {
        let piece = steps.pieces.iter().find(|p| p.id == of.piece);
        piece.is_some_and(|p| p.kind != PieceKind::Rest)
    });
    let each = made.map(|of| of.count).sum::<u64>().min(each).max(1) as f64;
    let taken = step.takes.iter();
    let from = taken.filter_map(|of| steps.pieces.iter().find(|p| p.id == of.piece));
    let shortest = from.map(|p| p.length).fold(f64::INFINITY, f64::min);
    let used = each * length + (each - 1.0) * kerf;
    units.cut(length, (shortest - used).max(0.0) / each)
}

/// The steps in working order.
pub fn steps(steps: &Steps, shop: &Shop) -> Vec<StepWords> {
    let tell = Tell { all: steps, shop };
    steps.steps.iter().map(|step| tell.step(step)).collect()
}

/// Tells the steps of a plan for a shop.
pub(super) struct Tell<'a> {
    pub(super) all: &'a Steps,
    pub(super) shop: &'a Shop,
}

impl Tell<'_> {
    fn step(&self, step: &Step) -> StepWords {
        let length = |mm: f64| self.shop.units.length(mm);
        let particular = step.cautions.iter().filter(|c| **c != Caution::Always);
        let (title, lines) = match &step.work {
            Work::Rip { .. } => self.rip(step),
            Work::GlueBar { .. }
            | Work::Press { .. }
            | Work::Coat { .. }
            | Work::Iron { .. }
            | Work::GlueLoaf { .. }
            | Work::Glue { .. } => self.gluing(step),
            Work::CutVeneer { .. } | Work::Crosscut { .. } | Work::CrosscutStrips { .. } => {
                self.wood(step)
            }
            Work::LayDry { .. }
            | Work::Flatten { .. }
            | Work::Trim { .. }
            | Work::RipPanel { .. }
            | Work::CutOut { .. } => self.panel(step),
            _ => self.bars(step),
        };
        StepWords {
            number: step.number,
            title,
            lines,
            cautions: particular.map(|c| cautions::words(*c, &length)).collect(),
        }
    }

    /// Lots with their numbers, leftovers left out.
    pub(super) fn lots(&self, list: &[Of]) -> String {
        let rest = |of: &&Of| self.piece(of).is_none_or(|p| p.kind != PieceKind::Rest);
        let each: Vec<String> = (list.iter().filter(rest))
            .map(|of| match of.count {
                1 => of.piece.clone(),
                many => format!("{many} x {}", of.piece),
            })
            .collect();
        each.join(", ")
    }

    fn wood(&self, step: &Step) -> (String, Vec<String>) {
        let units = self.shop.units;
        let (takes, gives) = (self.lots(&step.takes), self.lots(&step.gives));
        match &step.work {
            Work::Crosscut { kerf, .. } if *kerf <= 0.0 => (
                format!("Use {takes} uncut as {gives}"),
                vec![
                    "Chalk 1 on one end of each and 2 on the other, and an F on its face."
                        .to_owned(),
                ],
            ),
            Work::Crosscut {
                pieces,
                along_length,
                ..
            } => (
                format!("Cut {takes} across: {gives}"),
                vec![self.crosscut(step, *pieces, *along_length)],
            ),
            Work::CrosscutStrips { .. } => (
                format!("Cut {takes} to the length of the bar"),
                vec![format!("{} long.", cut_length(step, self.all, units))],
            ),
            Work::CutVeneer {
                colour,
                width,
                length,
            } => (
                format!(
                    "Cut veneer {colour}: {} x {} x {}",
                    step.gives.iter().map(|of| of.count).sum::<u64>(),
                    units.at_least(*width),
                    units.at_least(*length)
                ),
                Vec::new(),
            ),
            _ => (String::new(), Vec::new()),
        }
    }

    /// How many pieces of each board, and what becomes of its rest.
    fn crosscut(&self, step: &Step, each: u64, along_length: bool) -> String {
        let units = self.shop.units;
        let is_rest = |of: &&Of| self.piece(of).is_some_and(|p| p.kind == PieceKind::Rest);
        let boards: u64 = step.takes.iter().map(|of| of.count).sum();
        let made: u64 = step
            .gives
            .iter()
            .filter(|of| !is_rest(of))
            .map(|of| of.count)
            .sum();
        let long = cut_length(step, self.all, units);
        let last = made.saturating_sub(boards.saturating_sub(1) * each);
        let how_many = if boards == 1 {
            format!("{}, {long} long", counted(made, "piece", "pieces"))
        } else if last == each {
            format!(
                "{} of each board, {long} long",
                counted(each, "piece", "pieces")
            )
        } else {
            format!(
                "{} of each board but the last, which gives {last}; {long} long",
                counted(each, "piece", "pieces")
            )
        };
        let left: Vec<String> = (step.gives.iter().filter(is_rest))
            .filter_map(|of| Some(units.at_most(self.piece(of)?.length)))
            .collect();
        let rest = if left.is_empty() {
            String::new()
        } else {
            format!(
                "; the rest of {} board stays in one piece, {} long",
                if boards == 1 { "the" } else { "a" },
                left.join(" or ")
            )
        };
        let side = if along_length { "length" } else { "width" };
        format!(
            "{how_many}{rest}. The strips run along the board's {side}: chalk 1 on one end of each piece and 2 on the \
             other, and an F on its face."
        )
    }

    pub(super) fn piece(&self, of: &Of) -> Option<&Piece> {
        self.all.pieces.iter().find(|p| p.id == of.piece)
    }

    fn bars(&self, step: &Step) -> (String, Vec<String>) {
        let (takes, gives) = (self.lots(&step.takes), self.lots(&step.gives));
        match &step.work {
            Work::Trial { bars, parts } => {
                let (what, how) = match parts {
                    1 => ("strip", super::tolerances::TRIAL_STRIP),
                    _ => ("bar", super::tolerances::TRIAL_BAR),
                };
                let names: Vec<String> = bars.iter().map(|bar| format!("\"{bar}\"")).collect();
                (
                    format!("Make a trial {what} from scraps, for {}", listed(&names)),
                    vec![how.to_owned()],
                )
            }
            Work::Clean { glued: true } => (
                format!("Scrape {takes} clean of glue, and trim one end square"),
                Vec::new(),
            ),
            Work::Clean { glued: false } => (format!("Trim one end of {takes} square"), Vec::new()),
            Work::Mark { corners } => (
                format!("Draw two pencil lines along {takes}, before any slice"),
                vec![format!(
                    "Red along corner {}, blue along corner {}, as {} shows.",
                    corners[0] + 1,
                    corners[1] + 1,
                    if self.is(step, PieceKind::Loaf) {
                        "each slice on the map"
                    } else if self.all.pieces.iter().any(|p| p.kind == PieceKind::Loaf) {
                        "the drawing of its loaf"
                    } else {
                        "the key of the map"
                    }
                )],
            ),
            Work::Slice {
                thickness,
                slices,
                end,
                ..
            } => (
                format!("Slice {takes}: {gives}"),
                self.slicing(step, *thickness, *slices, *end),
            ),
            Work::PutBack => {
                let all: Vec<String> = (step.takes.iter())
                    .filter_map(|of| self.put_back(of))
                    .collect();
                ("Put what is left back into the stock".to_owned(), all)
            }
            _ => (String::new(), Vec::new()),
        }
    }

    pub(super) fn kind_of(&self, id: &str) -> Option<PieceKind> {
        let piece = self.all.pieces.iter().find(|p| p.id == id);
        piece.map(|p| p.kind)
    }

    /// Whether a step works on pieces of a kind.
    fn is(&self, step: &Step, kind: PieceKind) -> bool {
        let first = step.takes.first();
        first.is_some_and(|of| self.kind_of(&of.piece) == Some(kind))
    }

    /// How a bar or a loaf is sliced.
    fn slicing(&self, step: &Step, thickness: f64, slices: u64, end: f64) -> Vec<String> {
        let what = saw_words::sliced(self.is(step, PieceKind::Loaf));
        let mut lines = vec![format!(
            "Blade upright, square to the {what}'s length both ways; stop {} from the near side of the blade. {} \
             of each {what}, {} of it stay in the clamp and at its ends.",
            self.shop.units.setting(thickness),
            counted(slices, "slice", "slices"),
            self.shop.units.at_most(end)
        )];
        let on_side = |cut: &Cut| matches!(cut.job, Job::Slices { on_side: true, .. });
        if step.set_ups.iter().any(on_side) {
            lines.push(saw_words::on_its_side(what));
        }
        if self.shop.slicing.end_trim < cautions::HELD_LAST {
            lines.push(format!(
                        "The shop's end trim of {} takes slices from the stretch that stays in the clamp: \
                         glue a handle of {} mm (6 in.) or more to the {what}'s end first, and clamp that. \
                         Without a handle, set slicing.end_trim to {} mm or more.",
                        self.shop.units.length(self.shop.slicing.end_trim),
                        cautions::HELD_LAST,
                        cautions::HELD_LAST
                    ));
        }
        lines
    }

    /// What goes back; nothing where it is a wedge that comes to an edge on both faces.
    fn put_back(&self, of: &Of) -> Option<String> {
        let piece = self.piece(of)?;
        let across = piece.section.iter().map(|c| c[0]).fold(0.0, f64::max);
        let square = width_through(&piece.section);
        let bevel = if across - square > 0.1 {
            " between its edges, which are bevelled"
        } else {
            ""
        };
        (square >= LEAST_TOLD).then(|| {
            format!(
                "{} x {}, {} x {}{bevel}.",
                of.count,
                of.piece,
                self.shop.units.at_most(square),
                self.shop.units.at_most(piece.length)
            )
        })
    }
}
