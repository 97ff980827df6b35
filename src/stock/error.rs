//! Why a step of gluing or sawing is impossible.

/// A step that is impossible in wood; parts and edges are counted from 1, as makers count.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StockError {
    /// A layer's or sheet's thickness.
    #[error("a thickness must be a number above 0 mm, not {thickness}")]
    Thickness {
        /// What was given.
        thickness: f64,
    },
    /// A sheet of nothing.
    #[error("a sheet needs at least one layer")]
    NoLayers,
    /// A sheet with more layers than any real one.
    #[error(
        "a sheet of {count} layers is more than the {} that one may have",
        super::sheet::MOST_LAYERS
    )]
    TooManyLayers {
        /// How many.
        count: usize,
    },
    /// A strip's width.
    #[error("a strip's width must be a number above 0 mm and at most {most} mm, not {width}", most = super::strip::WIDEST)]
    Width {
        /// What was given.
        width: f64,
    },
    /// An edge angle.
    #[error("an edge angle lies between 0 and 180 degrees (90 is square), not {angle}")]
    EdgeAngle {
        /// What was given.
        angle: f64,
    },
    /// The two cut faces meet inside the sheet.
    #[error(
        "a strip {width:.2} mm wide is too narrow: its bevels take {needed:.2} mm of its width before they reach the other face"
    )]
    BevelsMeet {
        /// Width on the face, in mm.
        width: f64,
        /// What the bevels take, in mm.
        needed: f64,
    },
    /// A further cut that misses the strip.
    #[error(
        "a cut {at:.2} mm from the left end of the top misses the strip, which is {width:.2} mm wide there"
    )]
    CutMisses {
        /// Where, in mm.
        at: f64,
        /// How wide the strip is, in mm.
        width: f64,
    },
    /// Halving needs two mirror pieces.
    #[error("a {shape} is not the same left and right, so one cut gives no two mirror pieces")]
    NotSymmetric {
        /// The section's shape.
        shape: &'static str,
    },
    /// An edge that a section does not have, or has more than once.
    #[error("this {shape} has {found} {edge} edge; its edges are {known}")]
    NoSuchEdge {
        /// What was asked for.
        edge: String,
        /// `no` or `more than one`.
        found: &'static str,
        /// The section's shape.
        shape: &'static str,
        /// The names that there are.
        known: String,
    },
    /// A bar of nothing.
    #[error("a bar needs at least one strip")]
    NoStrips,
    /// More parts than one bar may have.
    #[error(
        "a bar of {count} strips is more than the {} that one may have",
        super::bar::MOST_PARTS
    )]
    TooManyStrips {
        /// How many.
        count: usize,
    },
    /// A part number that the bar does not have.
    #[error("the bar has {count} part(s), there is no part {part}")]
    NoSuchPart {
        /// What was asked for.
        part: i64,
        /// How many there are.
        count: usize,
    },
    /// A strip that a hexagon cannot take.
    #[error(
        "part {part} is a {shape}; a hexagon is made of rhombi, half-hexagon trapezoids and triangles"
    )]
    NotForHexagon {
        /// Which of the strips.
        part: usize,
        /// Its section's shape.
        shape: &'static str,
    },
    /// The parts do not fill the hexagon once.
    #[error(
        "these parts fill {sixths} sixths of a hexagon instead of 6 (a triangle is 1, a rhombus 2, a trapezoid 3)"
    )]
    HexagonCount {
        /// Sixths of a full turn.
        sixths: usize,
    },
    /// A part of a hexagon whose corner at the centre leaves no room for the others, or too much.
    #[error("{} round a point at 60 degrees; part {part} is a {shape} of {angle} degrees", closing(shape, *count, *alone))]
    HexagonAngle {
        /// Which of the strips.
        part: usize,
        /// Its section's shape.
        shape: &'static str,
        /// Its edge angle.
        angle: f64,
        /// How many parts there are.
        count: usize,
        /// Whether all are of this shape.
        alone: bool,
    },
    /// Two edges that should touch do not.
    #[error(
        "the joint between part {a} (edge {a_edge}) and part {b} (edge {b_edge}) stands open by {gap:.3} mm"
    )]
    JointGap {
        /// One part.
        a: usize,
        /// Its edge.
        a_edge: usize,
        /// The other part.
        b: usize,
        /// Its edge.
        b_edge: usize,
        /// Widest opening in mm.
        gap: f64,
    },
    /// Two parts would have to be in the same place.
    #[error("part {a} (edge {a_edge}) and part {b} (edge {b_edge}) overlap by {depth:.3} mm")]
    PartsOverlap {
        /// One part.
        a: usize,
        /// Its edge.
        a_edge: usize,
        /// The other part.
        b: usize,
        /// Its edge.
        b_edge: usize,
        /// Depth in mm.
        depth: f64,
    },
    /// The parts hang together in a corner at most.
    #[error("{}", apart(*.groups))]
    Apart {
        /// How many groups.
        groups: usize,
    },
    /// The parts leave a hole between them.
    #[error("the parts leave a hole of {area:.2} mm2 between them")]
    Hollow {
        /// Its area in mm^2.
        area: f64,
    },
}

/// Which parts close round a point.
fn closing(shape: &str, count: usize, alone: bool) -> String {
    match shape {
        "rhombus" if alone => format!("{count} rhombi close"),
        _ if alone => format!("{count} {shape}s close"),
        _ => "the parts of a hexagon close".to_owned(),
    }
}

/// A bar whose parts no joint holds together, by the number of its groups.
fn apart(groups: usize) -> String {
    if groups > 1 {
        return format!("the parts fall into {groups} groups that no joint holds together");
    }
    format!(
        "nothing is left of the bar at a tolerance of {} mm",
        crate::geom::TOLERANCE
    )
}
