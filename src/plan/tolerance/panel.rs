//! How what a bar comes out too wide or too high adds up over a panel.

use super::Effect;
use crate::watch;
use crate::{
    geom::{Point, angle},
    layout::panel::Panel,
    stock::Bar,
};

/// How much wider and higher a panel comes out, in mm, whose tiles of this bar have this error.
///
/// An error of the saw is the same in every tile, so it adds up. What one tile grows by is taken as a
/// share of its own width and height, along its own sides (a tile turned by a quarter grows in width
/// by what it would have grown in height); the shares of all tiles, weighed by their areas, are those
/// of the panel. Tiles of other bars are taken as true.
pub fn grown_over(panel: &Panel, bar: &Bar, effect: &Effect) -> Point {
    let faces: Vec<(f64, Point)> = panel
        .faces
        .iter()
        .map(|placed| {
            let area = placed.face.outline().area();
            if **placed.kind.bar() != *bar {
                return (area, Point::new(0.0, 0.0));
            }
            let size = placed.kind.face().bounds();
            let wider = effect.grown.x / size.width();
            let higher = effect.grown.y / size.height();
            let (sin, cos) = angle::sin_cos(placed.pose.turn);
            let share = Point::new(
                wider * cos * cos + higher * sin * sin,
                wider * sin * sin + higher * cos * cos,
            );
            (area, share)
        })
        .collect();
    let mut sum = Point::new(0.0, 0.0);
    let mut all = 0.0;
    for tile in &panel.tiles {
        watch::ask();
        let (area, share) = faces[tile.face as usize];
        sum = sum + share * area;
        all += area;
    }
    if all <= 0.0 {
        return sum;
    }
    let mean = sum * (1.0 / all);
    Point::new(
        mean.x * panel.bounds.width(),
        mean.y * panel.bounds.height(),
    )
}
