//! What wood refuses, worded for a recipe: the message of the error, and what to try.

use crate::recipe::fault::Fault;
use crate::stock::StockError;

impl From<StockError> for Fault {
    fn from(error: StockError) -> Self {
        use StockError as E;
        let (code, help): (&'static str, String) = match &error {
            E::Thickness { .. } => ("wood::thickness", "give mm, or a text such as \"1/42 in\"".into()),
            E::NoLayers => ("wood::no_layers", "start with plywood(13, 17.7)".into()),
            E::TooManyLayers { .. } => ("wood::too_many_layers", "laminate fewer layers".into()),
            E::Width { .. } => ("wood::width", "give mm, or a text such as \"3/4 in\"".into()),
            E::EdgeAngle { .. } => (
                "wood::edge_angle",
                "the edge angle is measured in the wood between its face and the cut; the blade tilts by 90 minus it"
                    .into(),
            ),
            E::BevelsMeet { needed, .. } => (
                "wood::bevels_meet",
                format!("rip it at least {needed:.2} mm wide, take steeper edge angles (nearer to 90) or a thinner sheet"),
            ),
            E::CutMisses { .. } => (
                "wood::cut_misses",
                "the place is measured from the left bound of the strip as it lies".into(),
            ),
            E::NotSymmetric { .. } => (
                "wood::not_symmetric",
                "rip_again(at, edge angle) cuts any strip where you like".into(),
            ),
            E::NoSuchEdge { .. } => ("wood::no_such_edge", "name one of the edges that it has".into()),
            E::NoStrips => ("wood::no_strips", "put strips into the list".into()),
            E::TooManyStrips { .. } => ("wood::too_many_strips", "glue fewer strips".into()),
            E::NoSuchPart { count, .. } => (
                "wood::no_such_part",
                format!("parts are counted from 1 to {count} in the order of gluing"),
            ),
            E::NotForHexagon { .. } => (
                "wood::not_for_hexagon",
                "sheet.rhombus(60), sheet.half_hexagon() and sheet.triangle(60) fit together".into(),
            ),
            E::HexagonCount { sixths } if *sixths < 6 => {
                ("wood::hexagon_count", "add parts until they make 6".into())
            }
            E::HexagonCount { .. } => ("wood::hexagon_count", "leave out parts until they make 6".into()),
            E::HexagonAngle { shape, .. } => (
                "wood::hexagon_angle",
                match *shape {
                    "rhombus" => "rip it at 60: sheet.rhombus(60)",
                    "trapezoid" => "rip it as half a hexagon: sheet.half_hexagon()",
                    _ => "rip it at 60: sheet.triangle(60)",
                }
                .into(),
            ),
            E::JointGap { .. } => (
                "wood::joint_gap",
                "check the edge angles: those that meet in a point must add up to 360 degrees; a gap you can live with is allowed by joint_tolerance(mm)"
                    .into(),
            ),
            E::PartsOverlap { .. } => (
                "wood::parts_overlap",
                "check the edge angles and which edges are mated".into(),
            ),
            E::Apart { .. } => ("wood::apart", "mate each part along an edge of another".into()),
            E::Hollow { .. } => (
                "wood::hollow",
                "fill the hole with a part of its own, or let the parts meet in the middle".into(),
            ),
        };
        Self::new(code, error.to_string()).help(help)
    }
}
