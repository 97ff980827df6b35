//! How much of a panel each colour takes, and how evenly it is spread.

use std::collections::BTreeMap;

use crate::watch;
use crate::{
    geom::{Point, Rect},
    layout::panel::Panel,
    stock::Colour,
};

/// One colour of a panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// The colour.
    pub colour: Colour,
    /// Its share of the area of all tiles, from 0 to 1.
    pub share: f64,
    /// How far its centre of mass lies from that of all tiles, as a share of half the diagonal of
    /// their bounds: 0 for a colour that is spread evenly, near 1 for one that is only in a corner.
    pub off: f64,
}

/// All colours of a panel, the largest share first.
pub fn balance(panel: &Panel) -> Vec<Balance> {
    let mut sums: BTreeMap<Colour, (f64, Point)> = BTreeMap::new();
    let faces: Vec<Vec<(Colour, f64, Point)>> = panel
        .faces
        .iter()
        .map(|f| {
            let regions = f.face.regions().iter();
            regions
                .map(|r| (r.colour, r.polygon.area(), r.polygon.centroid()))
                .collect()
        })
        .collect();
    for tile in &panel.tiles {
        watch::ask();
        for &(colour, area, centre) in &faces[tile.face as usize] {
            let sum = sums.entry(colour).or_insert((0.0, Point::ZERO));
            sum.0 += area;
            sum.1 = sum.1 + (centre + tile.at) * area;
        }
    }
    let area: f64 = sums.values().map(|s| s.0).sum();
    let all = sums.values().fold(Point::ZERO, |s, c| s + c.1) * (1.0 / area);
    let half = half_diagonal(panel);
    let mut found: Vec<Balance> = sums
        .into_iter()
        .map(|(colour, (own, moment))| Balance {
            colour,
            share: own / area,
            off: (moment * (1.0 / own)).distance(all) / half,
        })
        .collect();
    found.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.colour.cmp(&b.colour)));
    found
}

fn half_diagonal(panel: &Panel) -> f64 {
    let bounds = panel.tiles.iter().map(|t| {
        let face = &panel.faces[t.face as usize].face;
        face.bounds().shifted(t.at)
    });
    let all = bounds.reduce(Rect::join).unwrap_or(panel.bounds);
    all.min.distance(all.max) / 2.0
}
