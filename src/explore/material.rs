//! What a panel shows of each wood, dye and glue: areas on its face, in mm^2.
//!
//! A slice is the same all the way through, so the shares of the face are also those of the wood in
//! the panel. Waste around the panel, and the saw's kerf, are counted in the plan.

use std::collections::BTreeMap;

use crate::geom::region::Piece;
use crate::layout::panel::Panel;
use crate::stock::{Colour, Grain, LayerKind, face::Region};
use crate::watch;

/// A material as it shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Material {
    /// What the layer is.
    pub kind: LayerKind,
    /// The colour of the wood or dye itself.
    pub colour: Colour,
    /// Whether it shows end grain.
    pub end_grain: bool,
}

impl Material {
    fn of(region: &Region) -> Self {
        let ply = region.layer.kind == LayerKind::Ply;
        Self {
            kind: region.layer.kind,
            colour: region.layer.colour,
            end_grain: ply && region.layer.grain == Grain::Along,
        }
    }

    /// In words: `ply, birch, end grain`.
    pub fn words(&self) -> String {
        let kind = match self.kind {
            LayerKind::Ply => "ply",
            LayerKind::Veneer => "veneer",
            LayerKind::Glue => "glue",
        };
        let colour = self
            .colour
            .name()
            .map_or_else(|| self.colour.to_string(), str::to_owned);
        let grain = match (self.kind, self.end_grain) {
            (LayerKind::Ply, true) => ", end grain",
            (LayerKind::Ply, false) => ", long grain",
            _ => "",
        };
        format!("{kind}, {colour}{grain}")
    }
}

/// Areas in mm^2 of each material inside the finished outline.
pub fn materials(panel: &Panel) -> BTreeMap<Material, f64> {
    let mut whole = vec![0_u64; panel.faces.len()];
    let mut areas: BTreeMap<Material, f64> = BTreeMap::new();
    for tile in &panel.tiles {
        watch::ask();
        let face = tile.face as usize;
        if tile.whole {
            whole[face] += 1;
            continue;
        }
        for region in panel.faces[face].face.regions() {
            let left = panel.left_of_part(tile, &region.polygon);
            *areas.entry(Material::of(region)).or_default() +=
                left.iter().map(Piece::area).sum::<f64>();
        }
    }
    for (placed, count) in panel.faces.iter().zip(whole) {
        for region in placed.face.regions() {
            let area = region.polygon.area() * count as f64;
            *areas.entry(Material::of(region)).or_default() += area;
        }
    }
    areas.retain(|_, area| *area > 0.0);
    areas
}
