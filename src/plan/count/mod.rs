//! Counting back: from resolved panels to tiles, bars, strips, rips and boards, every number with
//! the sum it came from.
//!
//! [`count_back`] is a pure function of panels and a shop; several panels share one stock. Lengths in mm, areas in square mm,
//! volumes in cubic mm, masses in kg; labels (`A`, `S1`) name sheets and strips in the plan.

pub mod balance;
mod batches;
mod blanks;
mod board_lines;
pub mod cost;
pub mod cross;
pub mod cut;
mod cut_up;
mod filling;
mod growing;
pub mod in_hand;
pub mod labels;
mod laid_out;
pub mod lay;
pub mod leaves;
mod lines;
mod lots;
mod model;
mod pattern;
pub mod ripped;
pub mod sheets;
mod shorter;
pub mod side_by_side;
pub mod strips;
pub mod thickness;
pub mod veneers;

pub use laid_out::{CutBlanks, RippedBlanks, RunAt};
pub use model::*;

use crate::layout::panel::Panel;
use crate::plan::{
    cautions,
    count::cut::{Cuts, Useless, length_of, slices_of},
    count::cut_up::CutUp,
    count::growing::Growing,
    count::strips::Kinds,
    count::thickness::{BoardChoice, Wood},
    loaf::{
        self,
        methods::{fitting, loaves_of},
        slices::{Loaf, Misfit},
    },
    rounds::{in_rounds, is_of_slats},
    saw::{Refused, refusals::refused},
    scraps::{self, ChoiceError, Effort, Need, Problem, columns},
    shop::{Shop, sliced::Sliced},
    units::{Units, decimal},
};

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// Nothing to count.
    #[error("there are no tiles, so there is nothing to count back")]
    NoTiles,
    /// The longest bar gives no slice.
    #[error("a bar of {bar:.1} mm gives no slice of {slice:.1} mm after {trim:.1} mm for its ends")]
    NoSlices {
        /// The longest bar, in mm.
        bar: f64,
        /// Slice thickness, in mm.
        slice: f64,
        /// What the ends take, in mm.
        trim: f64,
    },
    /// Parts that cannot be cut safely on this saw.
    #[error("{}", cautions::unsafe_parts(.0, Units::Metric))]
    Unsafe(Vec<Refused>),
    /// Panels that cannot be made in the way that the shop asks for.
    #[error("{}", loaf::words::misfit(panel, *way, why, fits, Units::Metric))]
    Way {
        /// The first of them.
        panel: String,
        /// What the shop slices.
        way: Sliced,
        /// Why that does not fit.
        why: Misfit,
        /// What could be sliced instead.
        fits: Vec<Sliced>,
    },
    /// A panel of slats without the panel that they are cut from, or with tiles among them.
    #[error("{0}")]
    Slats(String),
    /// The search for boards failed.
    #[error(transparent)]
    Choice(#[from] ChoiceError),
}

/// Counts panels back to what a shop has.
///
/// Where the stock does not suffice there is a plan all the same: it says what is missing, and the
/// rest holds once that is there.
///
/// # Errors
/// When there is nothing to count, no bar gives a slice, a part cannot be cut safely, or the search for
/// boards fails.
pub fn count_back(panels: &[&Panel], shop: &Shop) -> Result<CountBack, PlanError> {
    count_back_within(panels, shop, Effort::default())
}

/// The same with a given effort for the choice of boards.
///
/// # Errors
/// As [`count_back`].
pub fn count_back_within(
    panels: &[&Panel],
    shop: &Shop,
    effort: Effort,
) -> Result<CountBack, PlanError> {
    let panels = &in_rounds(panels, panels)[..];
    slats_fit(panels, shop)?;
    let kinds = Kinds::of(panels, shop.table_saw.kerf);
    if kinds.tiles.is_empty() {
        return Err(PlanError::NoTiles);
    }
    let full = slices_of(shop, shop.cutting.bar_length);
    if full == 0 {
        return Err(PlanError::NoSlices {
            bar: shop.cutting.bar_length,
            slice: shop.slicing.thickness,
            trim: shop.slicing.end_trim,
        });
    }
    let refused = refused(panels, &shop.saw_limits());
    if !refused.is_empty() {
        return Err(PlanError::Unsafe(refused));
    }
    let loaves = loaves_of(panels, shop).map_err(|(panel, why)| PlanError::Way {
        panel: panels[panel].name.clone(),
        way: shop.slicing.way,
        why,
        fits: fitting(panels, shop),
    })?;
    let plywoods = kinds.sheets.iter().map(|s| s.plywood).collect();
    let choices = thickness::choices(plywoods, shop);
    let of_panels = OfPanels {
        panels,
        kinds: &kinds,
        loaves: &loaves,
        full,
        effort,
    };
    let mut best: Option<CountBack> = None;
    for choice in &choices {
        let kinds = of_panels.of_wood(choice).unwrap_or_else(|| kinds.clone());
        let mut count = of_panels.count(kinds, &choice.shop)?;
        count.useless.extend(choice.out.iter().map(|board| {
            let number = board.count.map_or(1, u64::from);
            board_lines::useless_board(board, number, Useless::NotWithOthers, shop)
        }));
        let better = best.as_ref().is_none_or(|best| {
            let (short, than) = (count.missing(), best.missing());
            short < than || (short == than && count.taken.value < best.taken.value)
        });
        if better {
            best = Some(count);
        }
    }
    let Some(best) = best else {
        return of_panels.count(kinds.clone(), shop);
    };
    if best.missing() > 0 && shop.cutting.any_thickness && choices.len() > 1 && loaves.is_empty() {
        let several = of_panels.of_several(&choices, shop)?;
        return Ok(several
            .filter(|s| s.missing() < best.missing())
            .unwrap_or(best));
    }
    Ok(best)
}

/// Whether the panels that slats are cut from are there, and the saw cuts as the recipe draws.
fn slats_fit(panels: &[&Panel], shop: &Shop) -> Result<(), PlanError> {
    for panel in panels.iter().filter(|panel| is_of_slats(panel)) {
        let name = &panel.name;
        for face in &panel.faces {
            let Some(slat) = face.kind.slat() else {
                return Err(PlanError::Slats(format!(
                    "the panel \"{name}\" is laid of slats and of tiles: they differ in thickness, and are not planned \
                     together"
                )));
            };
            let from = &slat.panel;
            if !panels.iter().any(|p| p.name == *from) {
                return Err(PlanError::Slats(format!(
                    "the panel \"{name}\" is laid of slats of \"{from}\", which is not planned with it"
                )));
            }
            let kerf = shop.table_saw.kerf;
            if (slat.kerf - kerf).abs() > SAME_KERF {
                return Err(PlanError::Slats(format!(
                    "the slats of \"{from}\" are drawn for cuts of {} mm, and this saw's take {} mm: write \
                     `#{{ kerf: {} }}` in the recipe",
                    decimal(slat.kerf, 2),
                    decimal(kerf, 2),
                    decimal(kerf, 2)
                )));
            }
        }
    }
    Ok(())
}

/// Cuts that differ by less, in mm, leave slats as drawn.
const SAME_KERF: f64 = 0.05;

/// Slices are shared out among boards of unlike thickness in this many equal portions.
const PARTS: u64 = 64;

/// What stays the same while boards are chosen.
struct OfPanels<'a> {
    panels: &'a [&'a Panel],
    kinds: &'a Kinds,
    loaves: &'a [Loaf],
    /// Slices of the longest bar.
    full: u64,
    effort: Effort,
}

impl OfPanels<'_> {
    /// The kinds of strips and bars that a choice of boards gives at the thickness that the boards have. None where that
    /// is the recipe's, where a bar of such strips does not close, or where bars of one loaf would differ in scale.
    fn of_wood(&self, choice: &BoardChoice) -> Option<Kinds> {
        if choice.wood.iter().all(Wood::is_as_drawn) {
            return None;
        }
        let kinds = self
            .kinds
            .of_wood(&[&choice.wood], choice.shop.table_saw.kerf)?;
        (self.loaves.is_empty() || kinds.scale().is_some()).then_some(kinds)
    }

    /// Counts with several choices of boards, each in bars of its own: of each in turn as many bars as it gives, the
    /// last gives the rest. None where such bars do not close.
    fn of_several(
        &self,
        choices: &[BoardChoice],
        shop: &Shop,
    ) -> Result<Option<CountBack>, PlanError> {
        let kerf = shop.table_saw.kerf;
        let woods: Vec<&[Wood]> = choices.iter().map(|choice| &choice.wood[..]).collect();
        let Some(mut kinds) = self.kinds.of_wood(&woods, kerf) else {
            return Ok(None);
        };
        let (batches, ..) = batches::batches(self.panels, self.kinds, &[], shop);
        let mut open = batches::needed(&batches, self.kinds);
        for (i, choice) in choices.iter().enumerate() {
            let Some(own) = self.kinds.of_wood(&[&choice.wood], kerf) else {
                return Ok(None);
            };
            let mut shop = choice.shop.clone();
            if i > 0 {
                // What is in hand is used with the first.
                shop.held.clear();
            }
            let share = if i + 1 == choices.len() {
                open.clone()
            } else {
                self.most_of(&own, &shop, &open)?
            };
            for ((bar, share), open) in own.bars.iter().zip(share).zip(&mut open) {
                let known = kinds.bars.iter_mut().find(|known| known.bar == bar.bar);
                let known = known.expect("invariant: the bars of each wood are there");
                known.share = Some(known.share.unwrap_or(0) + share);
                *open -= share;
            }
        }
        kinds.bars.retain(|bar| bar.share != Some(0));
        self.count(kinds, shop).map(Some)
    }

    /// How many slices of each bar some boards give: the greatest portion of what is wanted, the same for all bars.
    fn most_of(&self, kinds: &Kinds, shop: &Shop, wanted: &[u64]) -> Result<Vec<u64>, PlanError> {
        let share = |part: u64| wanted.iter().map(move |n| n * part / PARTS);
        let (mut fits, mut not) = (0, PARTS);
        while fits + 1 < not {
            let part = u64::midpoint(fits, not);
            let mut kinds = kinds.clone();
            for (bar, share) in kinds.bars.iter_mut().zip(share(part)) {
                bar.share = Some(share);
            }
            if self.count(kinds, shop)?.missing() == 0 {
                fits = part;
            } else {
                not = part;
            }
        }
        Ok(share(fits).collect())
    }

    /// Counts with boards that may all share bars, or where each bar is told its share of the slices.
    fn count(&self, kinds: Kinds, shop: &Shop) -> Result<CountBack, PlanError> {
        let Self {
            panels,
            loaves,
            full,
            effort,
            ..
        } = *self;
        let (batches, tiles, in_hand) = batches::batches(panels, &kinds, loaves, shop);
        let needs: Vec<Need> = batches.iter().map(|batch| batch.need(&kinds)).collect();
        let mut cuts = Cuts::of(&kinds, &needs, shop);
        let (lots, crosses, patterns) = cuts.numbers(&kinds, shop);
        let mut problem = Problem {
            needs,
            parts: lines::weights(&kinds, shop),
            full,
            lots,
            crosses,
            patterns,
        };
        let mut choice = if cuts.complete {
            scraps::choose(&problem, effort)?
        } else {
            let begun = filling::fill(&mut cuts, &kinds, &mut problem, shop);
            let mut growing = Growing {
                cuts: &mut cuts,
                kinds: &kinds,
                shop,
            };
            columns::choose_among(&mut problem, &mut growing, &begun, effort)?
        };
        shorter::shorten(&mut cuts, &mut choice, &problem, shop);
        let loaves = batches::loaf_lines(loaves.to_vec(), &batches, &choice.bars, &kinds, shop);
        choice.bars = batches::bars(&batches, &choice.bars, &kinds);
        let needed = batches::needed(&batches, &kinds);
        let blanks = blanks::blanks(&cuts, &choice, shop);
        let mut cut = CutUp::of(&kinds, &cuts, &blanks, shop);
        let of_bars = balance::of_bars(&kinds, &mut cut.supply, &choice, &needed, shop);
        cut.balance.add(of_bars);
        let veneers = veneers::veneers(&blanks, shop);
        let totals = cost::totals(panels, &kinds, &cuts, &choice, &blanks, &veneers, shop);
        Ok(CountBack {
            panels: panels.iter().map(|p| p.name.clone()).collect(),
            bars: lines::bars(&kinds, &choice, &needed, shop),
            loaves,
            strips: lines::strips(&kinds, &choice, &cut.given),
            rips: lines::rips(&kinds, &cut.ripped, shop),
            sheets: lines::sheets(&kinds),
            useless: board_lines::useless(&cuts, shop),
            unused_leaves: board_lines::unused_leaves(&kinds, shop),
            short: board_lines::short(
                &kinds,
                &choice,
                length_of(shop, full).max(shop.cutting.bar_length),
                shop,
            ),
            taken: board_lines::taken(&cut.boards),
            tiles,
            in_hand,
            boards: cut.boards,
            veneers,
            totals,
            balance: cut.balance,
            proof: choice.proof,
            second_proof: choice.second_proof,
            one_length: cuts.one_length,
            blanks: cut.blanks,
            ripped: cut.ripped_blanks,
            kinds,
        })
    }
}
