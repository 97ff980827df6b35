//! The word for uneven numbers of strips that are used up.

use std::sync::Arc;

use rhai::plugin::*;
use rhai::{Array, Dynamic, Map, Module};

use super::group::looping;
use super::wood::{self, Strip};
use crate::layout::random::ListDraws;
use crate::recipe::args::{self, Options};
use crate::recipe::fault::Fault;
use crate::recipe::misuse::Misuse;
use crate::recipe::run::Run;
use crate::stock;
use crate::stock::use_up::{Bars, Sets, use_up};

/// The most strips that are used up at once.
const MOST_STRIPS: u64 = 10_000;

/// The word, for the group of bars and tiles.
pub(super) fn words() -> Module {
    looping(exported_manifest!(exported))
}

/// A strip and how many there are.
fn counted(entry: &Dynamic, what: &str) -> Result<(stock::Strip, u64), Fault> {
    let pair = entry.read_lock::<Array>();
    let Some([strip, count]) = pair.as_deref().map(Vec::as_slice) else {
        let expected = "a list of a strip and a count";
        return Err(args::unexpected(what, expected, entry).help("[[teal, 7], [rose, 5]]"));
    };
    let strip = wood::strip(strip, &format!("the strip in {what}"))?;
    let count = args::count(count, &format!("the count in {what}"), 0)?;
    Ok((strip, count as u64))
}

/// Which strips may be glued together, as the option `mix` says.
fn sets(
    mix: Option<Dynamic>,
    have: &[(stock::Strip, u64)],
    each: usize,
    draws: &mut ListDraws,
) -> Result<Sets, Fault> {
    const WAYS: [&str; 3] = ["alike", "any", "random"];
    let what = "the option `mix`";
    let Some(mix) = mix else {
        return Ok(Sets::Any);
    };
    if !mix.is_array() {
        return Ok(match args::choice(&mix, what, &WAYS)? {
            0 => Sets::Alike,
            1 => Sets::Any,
            _ => {
                let strips = have.iter().enumerate();
                let mut order: Vec<usize> = strips
                    .flat_map(|(kind, (_, count))| {
                        std::iter::repeat_n(kind, usize::try_from(*count).unwrap_or(0))
                    })
                    .collect();
                draws.shuffle(&mut order);
                Sets::InOrder(order)
            }
        });
    }
    let set = |set: &Dynamic, what: &str| {
        let strips = args::list(set, what, wood::strip)?;
        if strips.len() != each {
            return Err(Misuse::SetOfStrips {
                strips: strips.len(),
                each,
            }
            .into());
        }
        let mut of = vec![0; have.len()];
        for strip in strips {
            let kind = have.iter().position(|(known, _)| *known == strip);
            of[kind.ok_or(Misuse::StrangeStrip)?] += 1;
        }
        Ok(of)
    };
    Ok(Sets::Only(args::list(&mix, what, set)?))
}

#[export_module(manifest)]
mod exported {
    /// Uneven numbers of strips used up: the bars that leave least, as a list.
    ///
    /// The strips are a list of strips, each with its count; a bar takes `each` of them and gives so many tiles. Options:
    ///
    /// - `mix`: which strips share a bar: `"any"` (the default: bars of one kind as far as they go, then what remains,
    ///   mixed), `"alike"` (never mixed), `"random"` (mixed by the seed), or a list of sets, the one liked best first:
    ///   `[[teal, rose, gold], [teal, teal, rose]]`;
    /// - `short`: how many tiles a bar gives whose strips are cut from one strip, in thirds where a bar has three. What
    ///   no full bar takes then makes short ones; without it, it is left;
    /// - `cells`: how many tiles are wanted: the last bars give no more than that.
    ///
    /// Each entry has `name` (the name with a number), `strips` (those of one bar), `bars`, `short_bars`, and `tiles`,
    /// of all its bars together.
    ///
    /// # Example
    /// ```rhai
    /// fn dyed(dye) { laminate([veneer(0.6, dye), plywood(13, 18)]).rhombus(60) }
    /// let strips = [[dyed("teal"), 7], [dyed("poppy"), 5], [dyed("gold"), 4]];
    /// let bars = use_up("block", strips, 3, 30, #{ short: 8, cells: 12 * 13 });
    /// let tiles = bars.map(|b| [hexagon(b.strips).slice(b.name), b.tiles]);
    /// panel("Uneven", hexagons(tiles[0][0])).size(12, 13).fill(bag("mixed", tiles));
    /// ```
    #[rhai_fn(name = "use_up", volatile, return_raw)]
    pub fn use_up_with(
        context: NativeCallContext,
        name: &str,
        strips: Array,
        each: i64,
        tiles: i64,
        options: Map,
    ) -> Result<Array, Box<EvalAltResult>> {
        let known = ["mix", "short", "cells"];
        let mut options = Options::read(options, "the options of `use_up`", &known)?;
        let have = args::list(&Dynamic::from(strips), "the strips", counted)?;
        let each = args::whole(&each.into(), "the number of strips in a bar", 1, 100)?;
        let each = usize::try_from(each).unwrap_or(1);
        let tiles = args::count(&tiles.into(), "the tiles of a bar", 1)?;
        let all: u64 = have.iter().map(|(_, count)| *count).sum();
        if all > MOST_STRIPS {
            return Err(Fault::from(Misuse::ManyStrips { most: MOST_STRIPS }).into());
        }
        let short = options.with("short", |v, what| args::count(v, what, 1))?;
        if let Some(short) = short.filter(|short| short * each > tiles) {
            return Err(Fault::from(Misuse::LongShortBars { short, each, tiles }).into());
        }
        let cells = options.with("cells", |v, what| args::count(v, what, 1))?;
        let mut draws = ListDraws::new(Run::of(&context)?.seed(), name);
        let sets = sets(options.take("mix"), &have, each, &mut draws)?;
        let counts: Vec<u64> = have.iter().map(|(_, count)| *count).collect();
        let used = use_up(&counts, each as u64, &sets, short.is_some());
        let gives = |bars: &Bars| bars.full * tiles as u64 + bars.short * short.unwrap_or(0) as u64;
        let made: u64 = used.bars.iter().map(gives).sum();
        let mut open = cells.map_or(made, |cells| cells as u64);
        if open > made {
            return Err(Fault::from(Misuse::TooFewTiles { made, wanted: open }).into());
        }
        let mut list = Array::new();
        for (number, bars) in (1_i64..).zip(&used.bars) {
            let tiles = gives(bars).min(open);
            open -= tiles;
            let each = have.iter().zip(&bars.of);
            let strips = each.flat_map(|((strip, _), &n)| (0..n).map(move |_| strip));
            let strips: Array = strips
                .map(|strip| Dynamic::from(Strip(Arc::new(strip.clone()))))
                .collect();
            // Bars and tiles are far fewer than 2^63: strips are bounded, and so are the tiles of each.
            let whole = |n: u64| Dynamic::from(i64::try_from(n).unwrap_or(i64::MAX));
            let entry = [
                ("name", Dynamic::from(format!("{name} {number}"))),
                ("strips", Dynamic::from(strips)),
                ("bars", whole(bars.full)),
                ("short_bars", whole(bars.short)),
                ("tiles", whole(tiles)),
            ];
            let map: Map = entry
                .into_iter()
                .map(|(key, value)| (key.into(), value))
                .collect();
            list.push(Dynamic::from(map));
        }
        Ok(list)
    }

    #[rhai_fn(name = "use_up", volatile, return_raw)]
    pub fn use_up_plainly(
        context: NativeCallContext,
        name: &str,
        strips: Array,
        each: i64,
        tiles: i64,
    ) -> Result<Array, Box<EvalAltResult>> {
        use_up_with(context, name, strips, each, tiles, Map::new())
    }
}
