//! What wood and layouts refuse, for a recipe: the code of each refusal, and what to try.

use crate::layout::{LayoutError, pieces::PiecesFault, solver::RulesError};
use crate::stock::StockError;

/// Of wood.
pub(super) fn of_wood(error: &StockError) -> (&'static str, String) {
    use StockError as E;
    match error {
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
        }
}

/// Of a layout.
pub(super) fn of_layout(error: &LayoutError) -> (&'static str, String) {
    use LayoutError as E;
    let (code, help) = match error {
        E::TooManyTiles { .. } => ("recipe::too_many_tiles", "make the panel smaller"),
        E::TooManyLayers { .. } => (
            "layout::too_many_layers",
            "use tiles of fewer parts or layers, or turn them in fewer ways",
        ),
        E::Unsuited { turn, .. } => {
            return (
                "layout::unsuited",
                match turn {
                    Some(degrees) => format!("it stands askew: turn it by tile.rotate({degrees})"),
                    None => {
                        "take the lattice that suits it, or tiles of another outline".to_owned()
                    }
                },
            );
        }
        E::Step { .. } => (
            "layout::step",
            "a step is a list of two lengths, to the right and down: [40, 0]",
        ),
        E::Share { .. } => ("layout::share", "write 0.5, 0.25 or 1.0/3"),
        E::LatticeOverlap { .. } | E::CellsOverlap { .. } => (
            "layout::cells_overlap",
            "make the steps longer: they lead from a tile to the same place on the next one",
        ),
        E::LatticeHole { .. } => (
            "layout::lattice_hole",
            "make the steps shorter: they lead from a tile to the same place on the next one",
        ),
        E::NoSize => (
            "layout::no_size",
            "write .size(8, 6), .finished(300, 200) or .finished_round(300) in mm, before the first fill",
        ),
        E::Count { .. } => ("layout::count", "write .size(columns, courses)"),
        E::Size { .. } => (
            "layout::size",
            "write .finished(width, height) in mm, or texts such as \"12 in\"",
        ),
        E::Radius { .. } => (
            "layout::radius",
            "write .finished_rounded(width, height, radius) in mm; .finished_round(diameter) makes a round",
        ),
        E::Corners { .. } => (
            "layout::outline",
            "list the corners in order round the outline, each as [right, down]: [[0, 0], [300, 0], [150, 260]]",
        ),
        E::Outline(_) => (
            "layout::outline",
            "draw it as the cutter would go, once round the rim and once round each hole inside, with room between them",
        ),
        E::OutlinesApart { .. } => ("layout::outline", "make a panel of each, or join them"),
        E::Pieces(PiecesFault::Off { .. }) => (
            "layout::pieces",
            "make the finished size larger, or leave it out: the panel becomes as large as its pieces need; places count from its left and top",
        ),
        E::Pieces(_) => (
            "layout::pieces",
            "write .pieces([piece(\"A\", circle(90)), piece(\"B\", circle(90))], 4): laid in rows, 4 mm apart; or give each its place: piece(\"A\", circle(90), 0, 0)",
        ),
        E::Shift { .. } => ("layout::shift", "write .shift(right, down) in mm"),
        E::NotCovered { .. } => (
            "layout::not_covered",
            "add columns or courses, make the finished size smaller, or leave size(...) out",
        ),
        E::Empty { .. } => (
            "layout::empty",
            "fill(tile) first, and let later fills replace some; a function that gives nothing leaves its cell as it was",
        ),
        E::Misfit { .. } => (
            "layout::misfit",
            "tile.orientations() lists all ways in which a tile fits its own outline",
        ),
        E::NoTiles => ("layout::no_tiles", "put tiles into the list"),
        E::Weights { .. } => (
            "layout::weights",
            "[3, 1] gives three of the first to one of the second",
        ),
        E::Bag { .. } => ("layout::bag", "change the counts, or the size of the panel"),
        E::Overdrawn { .. } => (
            "layout::overdrawn",
            "lay fewer of them by hand, or put more into the bag",
        ),
        E::NoTile { .. } => ("layout::no_tile", "place tiles inside the panel"),
        E::Position { .. } => ("layout::position", "write place(tile, right, down) in mm"),
        E::TilesOverlap { .. } => (
            "layout::tiles_overlap",
            "a tile is placed by the top left of its bounds; tile.width and tile.height say how far it reaches",
        ),
        E::Hole { .. } => (
            "layout::hole",
            "place a tile there, or move the others together",
        ),
        E::Apart { .. } => ("layout::apart", "let every tile share an edge with another"),
    };
    (code, help.to_owned())
}

/// Of conditions.
pub(super) fn of_rules(error: &RulesError) -> (&'static str, String) {
    let (code, help) = match error {
        RulesError::Layout(error) => return of_layout(error),
        RulesError::TooLarge { .. } => (
            "layout::keeping_large",
            "make the panel smaller, or repeat a smaller one with sequence(...)",
        ),
        RulesError::NoTile { .. } => (
            "layout::keeping_misfit",
            "tile.orientations() lists all ways in which a tile fits its own outline",
        ),
        RulesError::Contradiction { .. } => (
            "layout::contradiction",
            "leave out or loosen one of them, give more tiles to choose from, or change the size of the panel",
        ),
        RulesError::GaveUp { .. } => (
            "layout::gave_up",
            "try another seed, fewer conditions, or a smaller panel",
        ),
        RulesError::TooManyTiles { .. } | RulesError::TooMuch => (
            "layout::keeping_too_much",
            "give fewer tiles to choose from, fewer conditions, or a smaller panel",
        ),
        RulesError::Lopsided { .. } => (
            "layout::lopsided",
            "change the number of columns or courses, or ask for another symmetry",
        ),
        RulesError::NoRun => ("layout::no_run", "in_a_row(2, \"kind\")"),
    };
    (code, help.to_owned())
}
