//! Where the wood goes: parts + kerf + waste + left-over = stock, in cubic mm.
//!
//! Every amount is worked out from the geometry of its own step, none as a remainder of the others,
//! so that the balance is a check: strips and the wedges and cuts between them in a blank's
//! section, the cuts of further rips, the slices, cuts and ends of a bar.

use crate::geom::Polygon;
use crate::plan::{
    count::blanks::{Blanks, Sheeted},
    count::cut::{CrossPlan, length_of},
    count::strips::Kinds,
    scraps::Choice,
    shop::Shop,
};
use crate::watch;

/// An account of wood, in cubic mm.
#[derive(Debug, Clone, Copy, PartialEq, Default, serde::Serialize)]
pub struct Balance {
    /// The boards taken, with the veneers of the blanks that are ripped, overhang left out.
    pub stock: f64,
    /// Slices that become tiles, spare ones included.
    pub parts: f64,
    /// What saws turn to dust.
    pub kerf: f64,
    /// Edge trims, wedges of first bevels, ends of bars.
    pub waste: f64,
    /// What stays: the rest of boards, strips and slices too many, pieces of further rips.
    pub left_over: f64,
}

impl Balance {
    pub(super) fn add(&mut self, other: Self) {
        self.stock += other.stock;
        self.parts += other.parts;
        self.kerf += other.kerf;
        self.waste += other.waste;
        self.left_over += other.left_over;
    }
}

/// What is left of blanks or boards.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Rest {
    /// Across the strips, at its narrower face, in mm.
    pub width: f64,
    /// Along the strips, in mm.
    pub length: f64,
    /// How many of them.
    pub count: u64,
}

/// The account of boards that are cut across, of which so many blanks are ripped; the blanks
/// themselves are still in no other column.
pub(super) fn of_boards(cross: &CrossPlan, ripped: u64, shop: &Shop) -> (Balance, Vec<Rest>) {
    let kerf = shop.table_saw.kerf;
    let mut account = Balance::default();
    let mut rests = Vec::new();
    // Blanks that are not ripped stay in one piece with what is left at the end.
    let (whole, more) = (ripped / cross.blanks, ripped % cross.blanks);
    for (boards, used) in [(whole, cross.blanks), (u64::from(more > 0), more)] {
        let between = used.saturating_sub(1) as f64 * kerf;
        let end = cross.length - used as f64 * cross.blank_length - between;
        let end_kerf = end.clamp(0.0, kerf);
        let left = (end - end_kerf).max(0.0);
        let section = boards as f64 * cross.width * cross.plywood;
        account.stock += cross.length * section;
        account.kerf += (between + end_kerf) * section;
        account.left_over += left * section;
        if boards > 0 && left > 1.0 {
            rests.push(Rest {
                width: cross.width,
                length: left,
                count: boards,
            });
        }
    }
    (account, rests)
}

/// The account of blanks cut to width, laminated and ripped into strips; `parts` are the strips here,
/// and `stock` what veneers add to the boards. With what is left of the last sheet, or beside it.
pub(super) fn of_blanks(kinds: &Kinds, blanks: &Blanks, shop: &Shop) -> (Balance, Option<Rest>) {
    let kerf = shop.table_saw.kerf;
    let mut account = Balance::default();
    let mut rest = 0.0;
    let volume = blanks.count as f64 * blanks.cross.blank_length;
    let plain = blanks.cross.plywood * blanks.plan.blanks as f64;
    let last = blanks.sheets.len() - 1;
    for (i, sheet) in blanks.sheets.iter().enumerate() {
        let kind = &kinds.sheets[sheet.section.sheet];
        let (section, left) = of_section(sheet, kind.thickness, kerf, shop.cutting.edge_trim);
        let boards = kind.plywood * kind.plywoods as f64;
        account.stock += sheet.width * (kind.thickness - boards) * volume;
        account.parts += section.parts * volume;
        account.waste += section.waste * volume;
        account.left_over += section.left_over * volume;
        let parted = sheet.section.copies - u64::from(i == last);
        account.kerf += (section.kerf + parted as f64 * kerf * plain) * volume;
        rest = left;
    }
    let dust = blanks.over.min(kerf);
    account.kerf += dust * plain * volume;
    account.left_over += (blanks.over - dust) * plain * volume;
    let (width, count) = if blanks.over > 0.0 {
        (blanks.over - dust, blanks.of_board())
    } else {
        (rest, blanks.count)
    };
    let rest = (width > 1.0).then_some(Rest {
        width,
        length: blanks.cross.blank_length,
        count,
    });
    (account, rest)
}

/// The account of one sheet's section, in square mm, and the width that is left of it.
fn of_section(sheet: &Sheeted, depth: f64, kerf: f64, trim: f64) -> (Balance, f64) {
    let mut section = Balance::default();
    section.waste += trim * depth;
    // Where the wood that is still there begins, at the face and at the back.
    let mut edge = [trim, trim];
    let mut kerf_before = 0.0;
    for lying in &sheet.strips {
        let strip = lying.strip.shifted(lying.at);
        let gap = f64::midpoint(strip.left[0] - edge[0], strip.left[1] - edge[1]) * depth;
        section.kerf += kerf_before * depth;
        section.waste += gap - kerf_before * depth;
        section.parts += strip.area();
        edge = strip.right;
        kerf_before = kerf * strip.slant_right();
    }
    let room = [sheet.width - edge[0], sheet.width - edge[1]];
    let dust = mean_of_least(room, kerf_before) * depth;
    section.kerf += dust;
    section.left_over += f64::midpoint(room[0], room[1]) * depth - dust;
    (section, (room[0].min(room[1]) - kerf_before).max(0.0))
}

/// The mean of min(x, most) while x runs evenly from one end of `ends` to the other.
fn mean_of_least(ends: [f64; 2], most: f64) -> f64 {
    let (low, high) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
    if high <= most {
        f64::midpoint(low, high)
    } else if low >= most {
        most
    } else {
        let below = (most - low) / (high - low);
        below * f64::midpoint(low, most) + (1.0 - below) * most
    }
}

/// Parts of one kind and length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Supply {
    /// Which part.
    pub(super) part: usize,
    /// In mm.
    pub(super) length: f64,
    /// Slices of a bar of this length.
    pub(super) slices: u64,
    /// How many.
    pub(super) count: u64,
}

/// The account from strips to parts: further rips, and pieces that no bar takes. `parts` are the
/// parts here.
pub(super) fn of_rips(
    kinds: &Kinds,
    ripped: &[(usize, u64)],
    plan: &CrossPlan,
    shop: &Shop,
) -> (Balance, Vec<Supply>) {
    let mut account = Balance::default();
    let mut supply = Vec::new();
    for &(rip, count) in ripped {
        watch::ask();
        let kind = &kinds.rips[rip];
        let depth = kinds.sheets[kind.sheet].thickness;
        let volume = count as f64 * plan.blank_length;
        let widening = kind.widened * depth;
        let dust = (kind.pieces.cut_length() * shop.table_saw.kerf).min(widening);
        account.kerf += dust * volume;
        account.waste += (widening - dust) * volume;
        let mut parts = 0.0;
        for &(part, each) in &kind.yields {
            let section = kinds.parts[part].chain.last().map_or(0.0, Polygon::area);
            parts += section * each as f64;
            supply.push(Supply {
                part,
                length: plan.blank_length,
                slices: plan.slices,
                count: each * count,
            });
        }
        account.parts += parts * volume;
        let all: f64 = kind
            .pieces
            .chains()
            .iter()
            .map(|chain| chain.last().map_or(0.0, Polygon::area))
            .sum();
        account.left_over += (all - parts) * volume;
    }
    (account, supply)
}

/// The account from parts to tiles. Longest bars first, each from the shortest parts that do.
pub(super) fn of_bars(
    kinds: &Kinds,
    supply: &mut [Supply],
    choice: &Choice,
    needed: &[u64],
    shop: &Shop,
) -> Balance {
    supply.sort_by(|a, b| {
        (a.part, a.slices)
            .cmp(&(b.part, b.slices))
            .then(a.length.total_cmp(&b.length))
    });
    let mut account = Balance::default();
    let mut wanted: Vec<(u64, usize, u64)> = choice
        .bars
        .iter()
        .enumerate()
        .flat_map(|(bar, lengths)| lengths.iter().map(move |&(n, count)| (n, bar, count)))
        .collect();
    wanted.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    for (slices, bar, count) in wanted {
        let cut: u64 = choice.bars[bar].iter().map(|(n, c)| n * c).sum();
        let share = needed[bar].min(cut) as f64 / cut.max(1) as f64;
        for &(part, each) in &kinds.bars[bar].parts {
            let section = kinds.parts[part].chain.last().map_or(0.0, Polygon::area);
            let mut open = each * count;
            for have in supply
                .iter_mut()
                .filter(|s| s.part == part && s.slices >= slices)
            {
                let take = open.min(have.count);
                have.count -= take;
                open -= take;
                account.add(of_part(shop, slices, have, section * take as f64, share));
            }
        }
    }
    for rest in supply.iter().filter(|s| s.count > 0) {
        let section = kinds.parts[rest.part]
            .chain
            .last()
            .map_or(0.0, Polygon::area);
        account.left_over += section * rest.length * rest.count as f64;
    }
    account
}

/// The account of parts in bars of so many slices; `section` is the area of all of them together.
fn of_part(shop: &Shop, slices: u64, have: &Supply, section: f64, share: f64) -> Balance {
    let n = slices as f64;
    let in_slices = n * shop.slicing.thickness;
    let off = have.length - length_of(shop, slices);
    let rest = off.max(0.0);
    // Where one more slice fits only by rounding, the end trim is smaller by a millionth of a mm.
    let trim = shop.slicing.end_trim + off.min(0.0);
    let (waste, left_over) = if have.slices == slices {
        (rest, 0.0)
    } else {
        (0.0, rest)
    };
    Balance {
        stock: 0.0,
        parts: in_slices * share * section,
        kerf: (n - 1.0) * shop.slicing.kerf * section,
        waste: (trim + waste) * section,
        left_over: (left_over + in_slices * (1.0 - share)) * section,
    }
}
