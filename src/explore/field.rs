//! The lattice that the cells of a resolved panel lie on, found from the tiles themselves.

use std::collections::BTreeMap;

use super::{error::ExploreError, periods::SLACK};
use crate::watch;
use crate::{
    geom::{Point, Polygon},
    layout::panel::{Cell, Panel},
};

/// A cell of a repeat.
#[derive(Debug, Clone, PartialEq)]
pub struct RepeatCell {
    /// Its name in the lattice.
    pub cell: Cell,
    /// Where its centre lies, in mm.
    pub at: Point,
    /// Its outline about its centre.
    pub outline: Polygon,
}

/// The cells of a panel with their places and outlines.
pub(crate) struct Field<'a> {
    panel: &'a Panel,
    cells: BTreeMap<(i32, i32), (Point, &'a Polygon)>,
}

impl<'a> Field<'a> {
    pub(crate) fn of(panel: &'a Panel) -> Self {
        let cells = panel.tiles.iter().map(|t| {
            let outline = panel.faces[t.face as usize].face.outline();
            ((t.cell.course, t.cell.column), (t.at, outline))
        });
        Self {
            panel,
            cells: cells.collect(),
        }
    }

    /// The steps and the cells of a repeat.
    pub(crate) fn repeat(
        &self,
        columns: i32,
        courses: i32,
    ) -> Result<([Point; 2], Vec<RepeatCell>), ExploreError> {
        let size = usize::try_from(i64::from(columns.max(0)) * i64::from(courses.max(0)));
        let size = size.unwrap_or(usize::MAX);
        if size == 0 || size > super::limits::MOST_CELLS {
            return Err(ExploreError::Cells { cells: size });
        }
        let small = || ExploreError::Small {
            panel: self.panel.name.clone(),
            columns,
            courses,
        };
        if self.cells.keys().all(|&(course, _)| course == 0) {
            return Err(ExploreError::OneCourse {
                panel: self.panel.name.clone(),
            });
        }
        let across = self.step(columns, 0);
        let down = self.step(0, courses);
        let (Step::Is(across), Step::Is(down)) = (across, down) else {
            let none = matches!(across, Step::Unknown) || matches!(down, Step::Unknown);
            return Err(if none {
                small()
            } else {
                ExploreError::Unrepeated {
                    panel: self.panel.name.clone(),
                    columns,
                    courses,
                    instead: self.instead(columns, courses),
                }
            });
        };
        let (first_course, first_column) = self.corner(columns, courses).ok_or_else(small)?;
        let mut cells = Vec::with_capacity(size);
        for course in first_course..first_course + courses {
            watch::ask();
            for column in first_column..first_column + columns {
                let (at, outline) = self.cells[&(course, column)];
                cells.push(RepeatCell {
                    cell: Cell { column, course },
                    at,
                    outline: outline.clone(),
                });
            }
        }
        Ok(([across, down], cells))
    }

    /// The constant way from each cell to the one some columns and courses further.
    fn step(&self, columns: i32, courses: i32) -> Step {
        let mut found = Step::Unknown;
        for (&(course, column), &(at, outline)) in &self.cells {
            let Some(&(to, other)) = self.cells.get(&(course + courses, column + columns)) else {
                continue;
            };
            let way = to - at;
            let same = outline.coincides(other, SLACK);
            found = match found {
                Step::Unknown if same => Step::Is(way),
                Step::Is(known) if same && known.distance(way) <= SLACK => found,
                _ => return Step::Varies,
            };
        }
        found
    }

    /// The first cell, course by course, that begins a field of this size.
    fn corner(&self, columns: i32, courses: i32) -> Option<(i32, i32)> {
        self.cells.keys().copied().find(|&(course, column)| {
            (0..courses)
                .all(|r| (0..columns).all(|c| self.cells.contains_key(&(course + r, column + c))))
        })
    }

    fn instead(&self, columns: i32, courses: i32) -> Option<(i32, i32)> {
        let fits = |c, r| matches!(self.step(c, r), Step::Is(_));
        let more = |n: i32| n..n + 13;
        let columns = more(columns).find(|&c| fits(c, 0))?;
        let courses = more(courses).find(|&r| fits(0, r))?;
        Some((columns, courses))
    }
}

#[derive(Debug, Clone, Copy)]
enum Step {
    Unknown,
    Is(Point),
    Varies,
}
