//! The plan as a list of typed steps in working order: what goes into each, what comes out, how the
//! machine is set, what to take care of.
//!
//! Terminal, page, drawings and JSON are views of these steps. Whoever reads them needs nothing else
//! to make the panel: a simulated shop in `tests/shop/` carries them out from the JSON alone. Lengths
//! in mm, angles in degrees. Never here: words, drawing, the choice of what is ripped from which board.

mod again;
mod bars;
mod clamped;
mod layers;
mod ledger;
mod loaves;
pub mod model;
mod panels;
mod passes_of_run;
mod pieces;
mod rip;
mod ripping;
mod slats;
mod wood;

pub use model::{Step, Steps, Work};

use crate::watch;
use crate::{
    geom::TOLERANCE,
    layout::panel::Panel,
    plan::{
        count::{CountBack, labels::rip_label},
        glue_up::GlueUp,
        rounds::is_of_slats,
        shop::Shop,
    },
    stock::Bar,
};
use ledger::{Draft, Ledger, of};
use model::PieceKind;

/// Bars whose strips have the same outlines in the same places: they share settings, so one trial bar is enough for
/// all of them.
fn alike<'a>(bars: &[(&'a str, &'a Bar)]) -> Vec<Vec<(&'a str, &'a Bar)>> {
    let same = |a: &Bar, b: &Bar| {
        let mut pairs = a.parts().iter().zip(b.parts());
        a.parts().len() == b.parts().len()
            && pairs.all(|(a, b)| a.outline.coincides(&b.outline, TOLERANCE))
    };
    let mut all: Vec<Vec<(&str, &Bar)>> = Vec::new();
    for &bar in bars {
        match all.iter_mut().find(|known| same(known[0].1, bar.1)) {
            Some(known) => known.push(bar),
            None => all.push(vec![bar]),
        }
    }
    all
}

/// The steps that make some panels of what was counted; `bars` are the names of their bars, `gluing`
/// is how each panel is glued.
pub fn steps(
    panels: &[&Panel],
    count: &CountBack,
    bars: &[(&str, &Bar)],
    gluing: &[GlueUp],
    shop: &Shop,
) -> Steps {
    let mut ledger = Ledger::default();
    let limits = shop.saw_limits();
    for alike in alike(bars) {
        watch::ask();
        let trial = Work::Trial {
            bars: alike.iter().map(|(name, _)| (*name).to_owned()).collect(),
            parts: alike[0].1.parts().len(),
        };
        ledger.step(Draft {
            cautions: vec![crate::plan::cautions::Caution::Always],
            ..Draft::of(trial, Vec::new(), Vec::new())
        });
    }
    let lots = wood::blanks(&mut ledger, count, shop);
    rip::rip(&mut ledger, count, &lots, &limits);
    rip_again(&mut ledger, count, &limits);
    let (bars, tiles) = bars::bars(&mut ledger, count, shop);
    let slices = loaves::loaves(&mut ledger, panels, count, &bars, shop);
    for (panel, glue) in panels.iter().zip(gluing) {
        let laid = if is_of_slats(panel) {
            slats::rip(&mut ledger, panel, panels);
            slats::laid(&ledger, panel, glue)
        } else {
            panels::laid(&ledger, panel, glue, &count.kinds, (&tiles, &slices))
        };
        // Where bars are missing, the count says what the stock is short of.
        if let Some(laid) = laid.filter(|laid| panels::are_there(&ledger, laid)) {
            panels::panel(&mut ledger, panel, glue, laid, shop);
        }
    }
    let rests: Vec<_> = (ledger.at_hand(PieceKind::Rest).into_iter())
        .map(|lot| of(lot.piece.id.clone(), lot.count))
        .collect();
    if !rests.is_empty() {
        ledger.step(Draft::of(Work::PutBack, rests, Vec::new()));
    }
    ledger.done()
}

/// Rips strips again where bars take pieces of them; strips that are taken as they are get their name.
fn rip_again(ledger: &mut Ledger, count: &CountBack, limits: &crate::plan::saw::SawLimits) {
    let kinds = &count.kinds;
    let mut drafts = Vec::new();
    for rip in 0..kinds.rips.len() {
        watch::ask();
        if kinds.rips[rip].pieces.cut.is_none() {
            continue;
        }
        let label = rip_label(rip);
        let lots: Vec<String> = (ledger.at_hand(PieceKind::Strip).into_iter())
            .filter(|lot| lot.piece.id.split('.').next() == Some(&label))
            .map(|lot| lot.piece.id.clone())
            .collect();
        for lot in lots {
            drafts.extend(again::again(ledger, count, rip, &lot, limits));
        }
    }
    rip::in_order(ledger, drafts);
}
