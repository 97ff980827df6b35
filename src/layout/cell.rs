//! A place in a layout, by its column and course.

/// A place in a layout.
///
/// Columns count to the right and courses down, from 0 at the top left; a panel trimmed to size
/// can begin at negative ones. Tiles placed freely have the course 0 and their number, from 0, as
/// the column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Cell {
    /// To the right.
    pub column: i32,
    /// Down.
    pub course: i32,
}

/// A cell with the number that its tile has on the page, the map and the template: its course and its place in it,
/// both from 1 at the top left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NumberedCell {
    /// As rules see it.
    pub cell: Cell,
    /// Course and place.
    pub number: [usize; 2],
}
