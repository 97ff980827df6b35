//! Gluing up on the page: the map first, then what to do.

use maud::{Markup, PreEscaped, html};

use super::{Whole, list};
use crate::{
    draw::glue_map::{glue_map, whole_map_is_legible},
    layout::panel::Panel,
    plan::{Shop, glue_up::GlueUp, report},
};

/// Most tiles that a map on the page shows; more would take a browser too long.
const MOST_TILES: usize = 20_000;
/// Most maps of sub-assemblies on the page.
const MOST_MAPS: usize = 60;

pub(super) fn gluing(panel: &Panel, plan: &GlueUp, shop: &Shop, number: usize) -> Markup {
    let told = report::gluing(panel, plan, shop);
    let fits = panel.tiles.len() <= MOST_TILES;
    let map = |assembly: Option<usize>| {
        let part = assembly.map_or_else(String::new, |a| format!("{a}-"));
        glue_map(panel, plan, assembly, &format!("g{number}-{part}"))
    };
    let many = plan.assemblies.len();
    let in_parts = fits && many > 1 && !whole_map_is_legible(panel);
    html! {
        section class="fresh" {
            h2 class="part" { (Whole(&told.title)) }
            @if fits {
                figure class="map" { (PreEscaped(map(None))) }
            } @else {
                p { "The map of " (panel.tiles.len()) " tiles is too large for this page: it is among the \
                     drawings that the plan can be written with." }
            }
            div class="order" { (list(&told.entries)) }
            @if in_parts && many <= MOST_MAPS {
                @for i in 0..many {
                    figure class="map" { (PreEscaped(map(Some(i)))) }
                }
            } @else if in_parts {
                p { "Maps of the " (many) " sub-assemblies, large enough to read, are among the \
                     drawings that the plan can be written with." }
            }
        }
    }
}
