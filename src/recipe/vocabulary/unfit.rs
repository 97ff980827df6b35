//! What a layout refuses, worded for a recipe: the message of the error, and what to try.

use crate::layout::LayoutError;
use crate::recipe::fault::Fault;
use crate::recipe::kind::{Bound, Kind};

impl From<LayoutError> for Fault {
    fn from(error: LayoutError) -> Self {
        use LayoutError as E;
        let message = error.to_string();
        let (code, help): (&'static str, &str) = match &error {
            E::TooManyTiles { limit, .. } => {
                return Self::bound("recipe::too_many_tiles", message)
                    .help("make the panel smaller")
                    .kind(Kind::Bound(Bound::Tiles { most: *limit }));
            }
            E::TooManyLayers { .. } => (
                "layout::too_many_layers",
                "use tiles of fewer parts or layers, or turn them in fewer ways",
            ),
            E::Unsuited { turn, .. } => {
                return Self::new("layout::unsuited", message)
                    .argument(0)
                    .help(match turn {
                        Some(degrees) => {
                            format!("it stands askew: turn it by tile.rotate({degrees})")
                        }
                        None => {
                            "take the lattice that suits it, or tiles of another outline".to_owned()
                        }
                    });
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
            E::Corners { .. } | E::NotConvex => (
                "layout::outline",
                "list the corners in order round the outline, each as [right, down]: [[0, 0], [300, 0], [150, 260]]",
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
        Self::new(code, message).help(help)
    }
}
