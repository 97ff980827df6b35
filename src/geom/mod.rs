//! Plane geometry: angles, points, isometries, polygons, clipping, outlines of unions, lengths, numbers as text.
//!
//! Conventions, once for the whole crate: lengths in mm as `f64`; angles in degrees; x runs right
//! and y runs DOWN; a positive turn is clockwise as seen. A polygon lists its corners clockwise as
//! seen, so its inside lies on the right hand of each edge.
//!
//! Lives here: what would be true of any material. Never here: wood, recipes, drawing, files.

pub mod angle;
pub mod clip;
pub mod curve;
pub mod isometry;
pub mod length;
pub mod near;
pub mod number;
pub mod outline;
pub mod path_data;
pub mod point;
pub mod polygon;
pub mod rect;
pub mod region;

pub use isometry::Isometry;
pub use point::Point;
pub use polygon::Polygon;
pub use rect::Rect;
pub use region::Region;

/// How far two places may lie apart and still count as one, in mm: a tenth of the finest
/// thickness of a sawn joint that a maker could see (common practice: 0.1 mm).
pub const TOLERANCE: f64 = 0.01;
