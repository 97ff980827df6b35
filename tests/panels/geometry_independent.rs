//! Areas, cuts and unions against an independent general-purpose geometry library (the `geo`
//! crate), on random sheets, angles and cuts.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::sync::Arc;

use geo::{Area, BooleanOps, unary_union};
use plyloom::{
    geom::{Isometry, Point, Polygon, Rect, TOLERANCE, clip, outline::outline},
    stock::{Bar, Colour, Face, Grain, Layer, LayerKind, Sheet, Strip, hexagon::hexagon, shapes},
};
use proptest::prelude::*;

fn theirs(p: &Polygon) -> geo::Polygon {
    let ring: Vec<(f64, f64)> = p.corners().iter().map(|c| (c.x, c.y)).collect();
    geo::Polygon::new(ring.into(), vec![])
}

/// Their clipping works on a grid of its own; a square millimetre of difference would be a fault of
/// ours, a thousandth of one is theirs.
fn same_area(ours: f64, theirs: f64) -> Result<(), TestCaseError> {
    prop_assert!(
        (ours - theirs).abs() < 1e-3,
        "{} here, {} there",
        ours,
        theirs
    );
    Ok(())
}

fn any_sheet() -> impl Strategy<Value = Arc<Sheet>> {
    let layer = (0.3..4.0_f64, 0..3_u8, any::<bool>()).prop_map(|(thickness, hue, veneer)| {
        let (kind, grain) = if veneer {
            (LayerKind::Veneer, Grain::Along)
        } else {
            (LayerKind::Ply, Grain::Across)
        };
        Layer::new(kind, thickness, Colour::rgb(80 * hue, 40, 90), grain).unwrap()
    });
    prop::collection::vec(layer, 1..15).prop_map(|layers| Arc::new(Sheet::new(layers).unwrap()))
}

/// Any strip that has some back left, in any lie.
fn any_strip() -> impl Strategy<Value = Strip> {
    (
        any_sheet(),
        25.0..155.0_f64,
        25.0..155.0_f64,
        0.5..60.0_f64,
        any::<bool>(),
        any::<bool>(),
    )
        .prop_map(|(sheet, left, right, back, roll, end)| {
            let depth = sheet.thickness();
            let inset = |edge: f64| depth / plyloom::geom::angle::tan(edge);
            let width = (back + inset(left) + inset(right)).max(0.5);
            let strip = Strip::rip(&sheet, width, left, right)
                .unwrap_or_else(|_| Strip::rip(&sheet, width, 90.0, 90.0).unwrap());
            let strip = if roll { strip.roll() } else { strip };
            if end { strip.end_for_end() } else { strip }
        })
}

fn any_move() -> impl Strategy<Value = Isometry> {
    (
        any::<bool>(),
        0.0..360.0_f64,
        -80.0..80.0_f64,
        -80.0..80.0_f64,
    )
        .prop_map(|(flip, turn, x, y)| {
            Isometry {
                flip,
                ..Isometry::turn(turn)
            }
            .then(Isometry::shift(Point::new(x, y)))
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn areas_agree(strip in any_strip(), by in any_move()) {
        let section = strip.section().moved(by);
        same_area(section.area(), theirs(&section).unsigned_area())?;
    }

    #[test]
    fn layers_share_out_the_section(strip in any_strip()) {
        let layers = strip.layers();
        let sum: f64 = layers.iter().map(|l| l.polygon.area()).sum();
        same_area(sum, theirs(strip.section()).unsigned_area())?;
        for l in &layers {
            let inside = theirs(strip.section()).intersection(&theirs(&l.polygon)).unsigned_area();
            same_area(inside, l.polygon.area())?;
        }
    }

    #[test]
    fn common_parts_agree(a in any_strip(), b in any_strip(), by in any_move()) {
        let (a, b) = (a.section().clone(), b.section().moved(by));
        let ours = clip::common(&a, &b).map_or(0.0, |p| p.area());
        same_area(ours, theirs(&a).intersection(&theirs(&b)).unsigned_area())?;
    }

    #[test]
    fn trims_agree(strip in any_strip(), by in any_move(), w in 1.0..90.0_f64, h in 1.0..90.0_f64) {
        let section = strip.section().moved(by);
        let rect = Rect::sized(w, h);
        let ours = clip::within(&section, rect).map_or(0.0, |p| p.area());
        same_area(ours, theirs(&rect.polygon()).intersection(&theirs(&section)).unsigned_area())?;
    }

    #[test]
    fn a_further_rip_loses_nothing(strip in any_strip(), share in 0.05..0.95_f64, edge in 40.0..140.0_f64) {
        let at = strip.section().bounds().width() * share;
        if let Ok((left, right)) = strip.rip_again(at, edge) {
            let whole = strip.section().area();
            prop_assert!((left.section().area() + right.section().area() - whole).abs() < 1e-6);
            let faces = left.layers().len().max(right.layers().len());
            prop_assert!(faces <= strip.sheet().layers().len());
        }
    }

    // Corners that bend by less than the tolerance are left out of an outline.
    #[test]
    fn a_mitred_pair_is_the_union_of_its_parts(strip in any_strip()) {
        let Ok(bar) = Bar::mitred_pair(&strip, TOLERANCE) else { return Ok(()) };
        let union = unary_union(bar.parts().iter().map(|p| theirs(&p.outline)).collect::<Vec<_>>().iter());
        prop_assert!((bar.outline().area() - union.unsigned_area()).abs() < TOLERANCE * bar.outline().perimeter());
        same_area(union.unsigned_area(), 2.0 * strip.section().area())?;
    }

    #[test]
    fn a_hexagon_of_any_sheet_is_the_union_of_its_parts(sheet in any_sheet(), turned in 0..8_u8) {
        let rhombus = shapes::rhombus(&sheet, 60.0).unwrap();
        let part = |bit: u8| if turned & bit == 0 { rhombus.clone() } else { rhombus.end_for_end() };
        let bar = hexagon(vec![part(1), part(2), part(4)], TOLERANCE).unwrap();
        let union = unary_union(bar.parts().iter().map(|p| theirs(&p.outline)).collect::<Vec<_>>().iter());
        same_area(bar.outline().area(), union.unsigned_area())?;
        let face = Face::of(&bar);
        let sum: f64 = face.regions().iter().map(|r| r.polygon.area()).sum();
        same_area(sum, union.unsigned_area())?;
        for (profile, (a, b)) in face.profiles().iter().zip(face.outline().edges()) {
            let covered: f64 = profile.runs.iter().map(|r| r.to - r.from).sum();
            prop_assert!((covered - a.distance(b)).abs() < 0.05, "every edge has a colour all along");
        }
    }

    #[test]
    fn unions_of_blocks_agree(cells in prop::collection::btree_set((0..5_i32, 0..5_i32), 1..20), side in 3.0..40.0_f64) {
        let blocks: Vec<Polygon> = cells
            .iter()
            .map(|&(x, y)| {
                Rect::sized(side, side).polygon().shifted(Point::new(f64::from(x) * side, f64::from(y) * side))
            })
            .collect();
        let ours = outline(&blocks, TOLERANCE);
        let area: f64 = ours.rims.iter().map(|r| r.polygon.area()).sum::<f64>()
            - ours.holes.iter().map(|h| h.polygon.area()).sum::<f64>();
        let union = unary_union(blocks.iter().map(theirs).collect::<Vec<_>>().iter());
        same_area(area, union.unsigned_area())?;
        let holes: usize = union.iter().map(|p| p.interiors().len()).sum();
        prop_assert_eq!(ours.holes.len(), holes);
    }
}
