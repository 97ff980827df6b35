//! A shop plan for the terminal: what is short first, then from tiles to boards, then the saw.

use crate::cli::plan::Planned;
use crate::cli::plan::text_saw::set_ups;
use crate::cli::visible::on_one_line;
use crate::plan::{
    CountBack, Figure, Units,
    count::balance::Rest,
    count::cut::Useless,
    count::lay::Nesting,
    count::{BlankLine, BoardLine, RipLine},
    scraps::Proof,
    units::decimal,
};

/// Most pieces of what is left that are listed for one board.
const MOST_RESTS: usize = 4;
/// Most lines of a list that a varied stock makes long.
const MOST_LINES: usize = 40;

/// The plan, each line ended.
pub(super) fn text(planned: &Planned<'_>) -> String {
    let mut page = Page {
        units: planned.shop.units,
        text: String::new(),
    };
    page.head(planned);
    page.short(planned.count);
    page.tiles(planned.count);
    page.bars(planned.count);
    page.strips(planned.count);
    page.sheets(planned.count);
    page.boards(planned.count);
    page.totals(planned);
    page.wood(planned.count);
    page.assumed(planned);
    set_ups(&mut page, planned);
    page.text
}

/// The page as it grows.
pub(super) struct Page {
    pub(super) units: Units,
    text: String,
}

impl Page {
    pub(super) fn line(&mut self, indent: usize, text: &str) {
        self.text.push_str(&" ".repeat(indent));
        self.text.push_str(&on_one_line(text));
        self.text.push('\n');
    }

    pub(super) fn title(&mut self, text: &str) {
        self.text.push('\n');
        self.line(0, text);
    }

    fn length(&self, mm: f64) -> String {
        self.units.length(mm)
    }

    /// The value and the sum it came from.
    fn figure(&self, figure: &Figure) -> String {
        let value = figure.shown(self.units);
        let sum = why(figure, self.units);
        if sum.is_empty() || sum == value {
            value
        } else {
            format!("{value} = {sum}")
        }
    }

    fn head(&mut self, planned: &Planned<'_>) {
        self.line(
            0,
            &format!("Shop plan: {}", planned.count.panels.join(", ")),
        );
        let shop = match &planned.shop_file {
            Some(file) => format!("shop {file}"),
            None => "no shop file: common values, listed below".to_owned(),
        };
        self.line(
            0,
            &format!(
                "Recipe {}, seed {}; {shop}",
                planned.recipe, planned.outcome.seed
            ),
        );
        self.line(0, &format!("Sums are in {}.", self.units.word()));
    }

    fn short(&mut self, count: &CountBack) {
        if count.short.is_empty() {
            return;
        }
        self.title("NOT ENOUGH STOCK");
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
            self.line(
                2,
                &format!(
                    "{} {shape} from sheet {}{veneers}: needed {needed}, the stock gives {given}; \
                     short of {} at {}",
                    short.strip,
                    short.sheet,
                    short.missing.count(),
                    self.length(short.length)
                ),
            );
            let width = self.figure(&short.width);
            self.line(
                4,
                &format!(
                    "to close it: {} of board along the strips, and across them {width}",
                    self.length(short.length)
                ),
            );
        }
        self.line(2, "The plan below holds once these are there.");
    }

    fn tiles(&mut self, count: &CountBack) {
        self.title("Tiles to make");
        for tile in &count.tiles {
            let text = format!("{}: {}", tile.name, self.figure(&tile.needed));
            self.line(2, &text);
            if tile.spare.value > 0.0 {
                let text = format!("spare {}", self.figure(&tile.spare));
                self.line(4, &text);
            }
        }
    }

    fn bars(&mut self, count: &CountBack) {
        self.title("Bars to glue and slice");
        for bar in &count.bars {
            let why = bar.bars.why.shown(self.units);
            let text = format!("{}: {} ({why})", bar.tiles.join(", "), bar.bars.count());
            self.line(2, &text);
            let strips: Vec<String> = bar
                .strips
                .iter()
                .map(|(label, each)| format!("{each} x {label}"))
                .collect();
            self.line(4, &format!("each of {}", strips.join(" + ")));
            for length in &bar.lengths {
                let text = format!(
                    "{} of {} or more: slices {}",
                    length.bars,
                    self.length(length.length),
                    self.figure(&length.slices)
                );
                self.line(4, &text);
            }
            if bar.surplus > 0 {
                self.line(4, &format!("slices too many: {}", bar.surplus));
            }
        }
    }

    fn strips(&mut self, count: &CountBack) {
        self.title("Strips");
        for strip in &count.strips {
            let text = format!(
                "{} {} from sheet {}: needed {}; given {}{}",
                strip.label,
                strip.shape,
                strip.sheet,
                self.figure(&strip.needed),
                strip.given,
                if strip.surplus > 0 {
                    format!(", too many {}", strip.surplus)
                } else {
                    String::new()
                }
            );
            self.line(2, &text);
        }
        self.title("Rips");
        for rip in &count.rips {
            self.rip(rip);
        }
    }

    fn rip(&mut self, rip: &RipLine) {
        let gives: Vec<String> = rip
            .gives
            .iter()
            .map(|(label, each)| format!("{each} x {label}"))
            .collect();
        let text = format!(
            "{} {} from sheet {}: rip {}; each gives {}",
            rip.label,
            rip.shape,
            rip.sheet,
            rip.count,
            gives.join(" + ")
        );
        self.line(2, &text);
        let text = format!(
            "{} wide on the face, {} on the back, edge angles {} and {} degrees",
            self.length(rip.face),
            self.length(rip.back),
            decimal(rip.edges[0], 2),
            decimal(rip.edges[1], 2)
        );
        self.line(4, &text);
        let how = match rip.nesting {
            Nesting::Parallel => "side by side, cuts parallel, no flip",
            Nesting::Flipped => {
                "side by side, every second one flipped: turn the board over after each cut"
            }
            Nesting::Apart => {
                "side by side the same way up, a wedge of waste between (face and back of the sheet differ)"
            }
        };
        self.line(4, how);
        let text = format!(
            "each takes {}; the first {}",
            self.figure(&rip.pitch),
            self.figure(&rip.first)
        );
        self.line(4, &text);
        if rip.further_rips > 0 {
            let text = format!(
                "ripped again {} time(s): {} wider for the kerf",
                rip.further_rips,
                self.length(rip.widened)
            );
            self.line(4, &text);
        }
        if rip.loses_to_kerf {
            self.line(
                4,
                "a further rip ends on a sawn face or runs along the faces: a wider strip alone does \
                 not make up for its kerf; try one first",
            );
        }
    }

    fn sheets(&mut self, count: &CountBack) {
        self.title("Sheets");
        for sheet in &count.sheets {
            let mut parts = vec![format!(
                "{}{} plies of {}, {}",
                if sheet.plywoods > 1 {
                    format!("{} x ", sheet.plywoods)
                } else {
                    String::new()
                },
                sheet.plies,
                sheet.wood,
                self.length(sheet.plywood)
            )];
            for (where_, veneers) in [
                ("face", &sheet.face),
                ("between", &sheet.between),
                ("back", &sheet.back),
            ] {
                if !veneers.is_empty() {
                    parts.push(format!("{where_} {}", veneers.join(" on ")));
                }
            }
            let text = format!(
                "{}: {} thick: {}",
                sheet.label,
                self.length(sheet.thickness),
                parts.join("; ")
            );
            self.line(2, &text);
        }
    }

    fn boards(&mut self, count: &CountBack) {
        self.title("Boards to rip");
        if count.boards.is_empty() {
            self.line(2, "none: nothing in stock is of use");
        }
        for board in count.boards.iter().take(MOST_LINES) {
            self.board(board);
        }
        if count.boards.len() > MOST_LINES {
            let more = count.boards.len() - MOST_LINES;
            self.line(2, &format!("and {more} more (all of them with --json)"));
        }
        let taken = count.taken.shown(self.units);
        let text = match count.proof {
            _ if !count.suffices() => format!(
                "taken: {taken}. The stock cannot do better: {}.",
                proven(count.proof)
            ),
            Proof::Optimal => {
                format!("taken: {taken}, and no choice of boards takes less: proven.")
            }
            Proof::AtLeast(bound) => {
                let share = (count.taken.value / (bound.max(1)) as f64 - 1.0) * 100.0;
                format!(
                    "taken: {taken}. The search stopped at its limit: no choice takes less than {} \
                     ({} % less).",
                    self.units.area(bound as f64),
                    decimal(share, 1)
                )
            }
            Proof::ForTheseBoards => format!("taken: {taken}."),
        };
        self.line(2, &text);
        let second = match count.second_proof {
            Proof::Optimal => "the least of it is cut up: proven",
            Proof::ForTheseBoards => {
                "the least of these boards is cut up; others that take as much were not all compared"
            }
            Proof::AtLeast(_) => {
                "little of it is cut up; the search for the least stopped at its limit"
            }
        };
        self.line(2, second);
        if count.one_kind_only {
            self.line(2, "compared were boards ripped to strips of one kind each: the stock is too varied for more");
        }
        for useless in count.useless.iter().take(MOST_LINES) {
            let why = match useless.why {
                Useless::OtherSheet => "fits no sheet of this panel (thickness, wood or veneers)",
                Useless::TooShort => "is shorter than what is safe to rip",
                Useless::TooSmall => "is too small for one strip or one slice",
            };
            self.line(2, &format!("not used: {} {why}", useless.name));
        }
    }

    fn board(&mut self, board: &BoardLine) {
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
        let text = format!(
            "{}{more}, {} x {}: strips along the {}",
            names.join(", "),
            self.length(board.width),
            self.length(board.length),
            if board.along_length {
                "length"
            } else {
                "width"
            }
        );
        self.line(2, &text);
        let text = format!(
            "cut across: {} blank(s) a board = {}; ripped are {}",
            board.blanks.count(),
            why(&board.blanks, self.units),
            board.blanks_ripped
        );
        self.line(4, &text);
        let text = format!(
            "length {}, slices {}",
            self.figure(&board.blank_length),
            self.figure(&board.slices)
        );
        self.line(4, &text);
        for blank in &board.rip {
            self.blank(blank);
        }
        self.rests(&board.rest);
    }

    fn blank(&mut self, blank: &BlankLine) {
        let mut glue = blank.veneers.join(", ");
        if blank.plywoods > 1 {
            glue = format!("{} boards to one another, {glue}", blank.plywoods);
        }
        let glue = if glue.is_empty() {
            String::new()
        } else {
            format!("; glue on before ripping: {}", glue.trim_end_matches(", "))
        };
        let text = format!("{} blank(s) for sheet {}{glue}", blank.count, blank.sheet);
        self.line(4, &text);
        for run in &blank.runs {
            let text = format!(
                "{}: rip {}; a blank gives {}",
                run.rips.join(" and "),
                run.ripped,
                self.figure(&run.most)
            );
            self.line(6, &text);
        }
        self.rests(&blank.rest);
    }

    fn rests(&mut self, rests: &[Rest]) {
        for rest in rests.iter().take(MOST_RESTS) {
            let text = format!(
                "left over: {} x {} x {}",
                rest.count,
                self.length(rest.width),
                self.length(rest.length)
            );
            self.line(6, &text);
        }
    }

    fn totals(&mut self, planned: &Planned<'_>) {
        let count = planned.count;
        if !count.veneers.is_empty() {
            self.title("Veneer");
            for veneer in &count.veneers {
                let text = format!("{}: {}", veneer.colour, self.figure(&veneer.area));
                self.line(2, &text);
                if let Some(leaves) = &veneer.leaves {
                    let text = format!(
                        "leaves {}{}",
                        self.figure(leaves),
                        if veneer.short > 0 {
                            format!("; {} missing", veneer.short)
                        } else {
                            String::new()
                        }
                    );
                    self.line(4, &text);
                }
            }
        }
        self.title("Glue, mass, cost");
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
            let text = format!("{word}: {}", self.figure(figure));
            self.line(2, &text);
        }
        let cost = if t.cost.why.terms().is_empty() {
            "no prices are given".to_owned()
        } else {
            format!(
                "{} {} = {}",
                planned.shop.currency,
                t.cost.shown(self.units),
                t.cost.why.shown(self.units)
            )
        };
        let without = if t.without_price.is_empty() {
            String::new()
        } else {
            format!("; without a price: {}", t.without_price.join(", "))
        };
        self.line(2, &format!("cost: {cost}{without}"));
    }

    fn wood(&mut self, count: &CountBack) {
        self.title("Where the wood goes");
        let b = &count.balance;
        if b.stock <= 0.0 {
            self.line(2, "no board is taken");
            return;
        }
        let share = |part: f64| format!("{} %", decimal(part / b.stock * 100.0, 1));
        self.line(
            2,
            &format!(
                "tiles {}, kerf {}, waste {}, left over {} of {} dm3",
                share(b.parts),
                share(b.kerf),
                share(b.waste),
                share(b.left_over),
                decimal(b.stock / 1e6, 3)
            ),
        );
    }

    fn assumed(&mut self, planned: &Planned<'_>) {
        if planned.shop.assumed.is_empty() {
            return;
        }
        self.title(
            "Common values taken (write yours into a shop file: plyloom plan --new-shop shop.toml)",
        );
        for assumed in &planned.shop.assumed {
            self.line(2, &format!("{} = {}", assumed.key, assumed.value));
        }
    }
}

/// The sum of a figure without the value that it ends in.
fn why(figure: &Figure, units: Units) -> String {
    let sum = figure.why.shown(units);
    match sum.rsplit_once(" = ") {
        Some((sum, _)) => sum.to_owned(),
        None => sum,
    }
}

fn proven(proof: Proof) -> &'static str {
    match proof {
        Proof::Optimal => "proven",
        Proof::AtLeast(_) | Proof::ForTheseBoards => {
            "the search stopped at its limit, so this is not proven"
        }
    }
}
