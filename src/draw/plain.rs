//! A panel without its layers: each tile in the mean of its colours, as it is seen from far away.
//!
//! One path a face holds all its tiles, so that a hundred thousand of them are a few shapes.

use super::{
    number::spot,
    svg::open,
    tiles::{Rings, TileArt},
};
use crate::geom::region::Piece;
use crate::layout::panel::Panel;
use crate::watch;

/// The panel alone as SVG, every tile in one colour: a drawing for small pictures of large panels.
pub fn plain_svg(panel: &Panel) -> String {
    let mut paths: Vec<(String, TileArt, String)> = panel
        .faces
        .iter()
        .map(|f| TileArt::of(&f.face))
        .map(|art| (art.mean.to_string(), art, String::new()))
        .collect();
    for tile in &panel.tiles {
        watch::ask();
        let (_, art, data) = &mut paths[tile.face as usize];
        if tile.whole {
            art.outline.push_at(data, spot(tile.at));
        } else if let Some(rings) = Rings::of(panel.left_of(tile).iter().flat_map(Piece::loops)) {
            rings.push_at(data, (0, 0));
        }
    }
    let mut out = String::new();
    open(&mut out, (panel.bounds.width(), panel.bounds.height()), "");
    for (colour, _, data) in paths.iter().filter(|(_, _, data)| !data.is_empty()) {
        out.extend([
            "<path fill=\"",
            colour,
            "\" shape-rendering=\"crispEdges\" d=\"",
            data,
            "\"/>\n",
        ]);
    }
    out += "</svg>\n";
    out
}
