//! What comes of cutting boards up: from boards to parts.

use super::{
    balance::{self, Balance, Supply},
    blanks::Blanks,
    board_lines,
    cut::Cuts,
    laid_out::{CutBlanks, RippedBlanks, lay_out},
    model::{BlankLine, BoardLine},
    strips::Kinds,
};
use crate::{plan::shop::Shop, watch};

/// What comes of cutting boards up.
pub(super) struct CutUp {
    pub(super) boards: Vec<BoardLine>,
    pub(super) balance: Balance,
    /// Parts of each kind and length.
    pub(super) supply: Vec<Supply>,
    /// Parts of each kind.
    pub(super) given: Vec<u64>,
    /// Strips ripped of each rip kind.
    pub(super) ripped: Vec<u64>,
    /// The blanks as they come off the boards.
    pub(super) blanks: Vec<CutBlanks>,
    /// What is ripped of them.
    pub(super) ripped_blanks: Vec<RippedBlanks>,
}

impl CutUp {
    /// Cuts the boards of all blanks up; `blanks` are those of each cut pattern that is used.
    pub(super) fn of(kinds: &Kinds, cuts: &Cuts, blanks: &[Vec<Blanks>], shop: &Shop) -> Self {
        let mut all = Self {
            boards: Vec::new(),
            balance: Balance::default(),
            supply: Vec::new(),
            given: vec![0; kinds.parts.len()],
            ripped: vec![0; kinds.rips.len()],
            blanks: Vec::new(),
            ripped_blanks: Vec::new(),
        };
        let mut taken_of_lot: Vec<u64> = vec![0; cuts.lots.len()];
        for (index, cross) in cuts.crosses.iter().enumerate() {
            let mut lines = Vec::new();
            let mut count = 0;
            for alike in blanks {
                if alike.first().is_some_and(|b| b.plan.cross == index) {
                    count += alike.iter().map(Blanks::of_board).sum::<u64>();
                    all.rip(kinds, alike, shop, &mut lines);
                }
            }
            if count == 0 {
                continue;
            }
            let (account, rest) = balance::of_boards(cross, count, shop);
            all.balance.add(account);
            let from = &mut taken_of_lot[cross.lot];
            let board = board_lines::board(shop, cuts, cross, count, *from, lines, rest);
            *from += board.count;
            all.boards.push(board);
        }
        for supply in &all.supply {
            all.given[supply.part] += supply.count;
        }
        all
    }

    /// Rips the blanks of one cut pattern.
    fn rip(&mut self, kinds: &Kinds, alike: &[Blanks], shop: &Shop, lines: &mut Vec<BlankLine>) {
        let mut rests = Vec::new();
        for blanks in alike {
            watch::ask();
            let (of_blanks, rest) = balance::of_blanks(kinds, blanks, shop);
            rests.extend(rest);
            let mut ripped: Vec<(usize, u64)> = Vec::new();
            for sheet in &blanks.sheets {
                for rip in sheet.ripped() {
                    match ripped.iter_mut().find(|(r, _)| *r == rip) {
                        Some((_, sum)) => *sum += blanks.count,
                        None => ripped.push((rip, blanks.count)),
                    }
                }
            }
            let (of_rips, given) = balance::of_rips(kinds, &ripped, blanks.cross, shop);
            // Strips and parts of bars are not finished: in the balance only tiles count as parts.
            for account in [of_blanks, of_rips] {
                self.balance.add(Balance {
                    parts: 0.0,
                    ..account
                });
            }
            self.supply.extend(given);
            for (rip, strips) in ripped {
                self.ripped[rip] += strips;
            }
            let board = self.boards.len();
            lay_out(board, blanks, &mut self.blanks, &mut self.ripped_blanks);
        }
        lines.extend(board_lines::blanks(kinds, shop, alike, rests));
    }
}
