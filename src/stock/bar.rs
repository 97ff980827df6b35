//! Bars: strips glued edge to edge along their length, seen end on.
//!
//! A bar is built as a shop builds it: one part after another, each by a mate that lays one of its
//! edges against an edge of a part that is already there. No part is forced into its place: a joint that has to
//! close by itself (the last one of a hexagon) shows the error of all angles before it, and the checks
//! report it.

mod checks;
mod part;

use std::sync::Arc;

pub use self::part::{EdgeRef, Joint, Mate, Part};

use self::checks::{check_joints, check_overlaps, single_rim};
use super::{Sheet, StockError, Strip};
use crate::geom::{Isometry, Point, Polygon, TOLERANCE, angle};

/// The most parts in one bar; a bound against mistakes.
pub const MOST_PARTS: usize = 200;

/// The most parts in one piece that is cut out of a glued panel.
pub const MOST_CUT_OUT: usize = 5_000;

/// A checked bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    parts: Vec<Part>,
    mates: Vec<Mate>,
    closing: Vec<(EdgeRef, EdgeRef)>,
    joints: Vec<Joint>,
    outline: Polygon,
}

impl Bar {
    /// Glues strips to a bar: the first at `first`, the next by `mates[0]` and so on; `closing`
    /// lists joints that should close by themselves. Everything is checked within `tolerance` mm.
    ///
    /// # Errors
    /// When a joint stands open, parts overlap, do not hang together, or leave a hole.
    ///
    /// # Panics
    /// When there is not one mate for each strip but the first, or a mate names an edge that is
    /// not there yet.
    pub fn glue(
        strips: Vec<Strip>,
        first: Isometry,
        mates: Vec<Mate>,
        closing: Vec<(EdgeRef, EdgeRef)>,
        tolerance: f64,
    ) -> Result<Self, StockError> {
        if strips.is_empty() {
            return Err(StockError::NoStrips);
        }
        if strips.len() > MOST_PARTS {
            return Err(StockError::TooManyStrips {
                count: strips.len(),
            });
        }
        assert_eq!(
            mates.len() + 1,
            strips.len(),
            "invariant: a mate for each strip but the first"
        );
        let mut parts: Vec<Part> = Vec::with_capacity(strips.len());
        for (i, strip) in strips.into_iter().enumerate() {
            let place = match i.checked_sub(1).map(|m| mates[m]) {
                None => first,
                Some(mate) => mated(
                    parts[mate.onto.part].outline_edge(mate.onto.edge),
                    strip.section().edge(mate.edge),
                    mate,
                ),
            };
            parts.push(Part {
                outline: strip.section().moved(place),
                strip,
                place,
            });
        }
        let joints = check_joints(&parts, &closing, tolerance)?;
        check_overlaps(&parts, tolerance)?;
        let outline = single_rim(&parts, tolerance)?;
        Ok(Self {
            parts,
            mates,
            closing,
            joints,
            outline,
        })
    }

    /// A piece cut out of what is glued already: its parts where they are, and its outline.
    ///
    /// # Errors
    /// When it has no parts, or too many.
    pub fn cut_out(parts: Vec<Part>, outline: Polygon) -> Result<Self, StockError> {
        match parts.len() {
            0 => Err(StockError::NoStrips),
            count if count > MOST_CUT_OUT => Err(StockError::TooManyStrips { count }),
            _ => Ok(Self {
                parts,
                mates: Vec::new(),
                closing: Vec::new(),
                joints: Vec::new(),
                outline,
            }),
        }
    }

    /// A bar of one strip.
    ///
    /// # Errors
    /// None for a strip that could be ripped.
    pub fn plain(strip: Strip) -> Result<Self, StockError> {
        Self::glue(vec![strip], Isometry::IDENTITY, vec![], vec![], TOLERANCE)
    }

    /// Strips laid one under the other: the top of each against the bottom of the one above, left
    /// ends flush.
    ///
    /// # Errors
    /// When a strip has no level top or bottom edge, and as [`Bar::glue`].
    pub fn stack(strips: Vec<Strip>, tolerance: f64) -> Result<Self, StockError> {
        use super::strip::EdgeName::{Bottom, Top};
        let mut mates = Vec::new();
        for (part, pair) in strips.windows(2).enumerate() {
            let onto = EdgeRef {
                part,
                edge: pair[0].edge(Bottom)?,
            };
            mates.push(Mate {
                onto,
                onto_at: 0.0,
                edge: pair[1].edge(Top)?,
                at: 0.0,
            });
        }
        Self::glue(strips, Isometry::IDENTITY, mates, vec![], tolerance)
    }

    /// A strip and its mirror image (another piece of the same strip turned end for end), glued
    /// along the edge that looks right.
    ///
    /// # Errors
    /// When the strip has not just one edge that looks right, and as [`Bar::glue`].
    pub fn mitred_pair(strip: &Strip, tolerance: f64) -> Result<Self, StockError> {
        use super::strip::EdgeName::{Left, Right};
        let other = strip.end_for_end();
        let onto = EdgeRef {
            part: 0,
            edge: strip.edge(Right)?,
        };
        let mate = Mate {
            onto,
            onto_at: 0.0,
            edge: other.edge(Left)?,
            at: 0.0,
        };
        Self::glue(
            vec![strip.clone(), other],
            Isometry::IDENTITY,
            vec![mate],
            vec![],
            tolerance,
        )
    }

    /// The bar with one more strip glued on.
    ///
    /// # Errors
    /// As [`Bar::glue`].
    ///
    /// # Panics
    /// When the mate names an edge that is not there.
    pub fn with(&self, strip: Strip, mate: Mate, tolerance: f64) -> Result<Self, StockError> {
        let mut strips: Vec<Strip> = self.parts.iter().map(|p| p.strip.clone()).collect();
        strips.push(strip);
        let mut mates = self.mates.clone();
        mates.push(mate);
        Self::glue(
            strips,
            self.parts[0].place,
            mates,
            self.closing.clone(),
            tolerance,
        )
    }

    /// Where the parts would come to lie if their sections were these instead, corner for corner
    /// and edge for edge the same: the bar laid up again by its mates, dry, from strips that came
    /// off the saw a little different. Nothing is checked: a joint that no mate closes is left as
    /// open, or as deep in its neighbour, as it comes.
    ///
    /// # Panics
    /// When there is not one section for each part, with as many edges as the part has.
    pub fn laid_up_from(&self, sections: &[Polygon]) -> Vec<Isometry> {
        assert_eq!(
            sections.len(),
            self.parts.len(),
            "invariant: a section for each part"
        );
        let mut places: Vec<Isometry> = Vec::with_capacity(sections.len());
        for (i, section) in sections.iter().enumerate() {
            places.push(match i.checked_sub(1).map(|m| self.mates[m]) {
                None => self.parts[0].place,
                Some(mate) => {
                    let place = places[mate.onto.part];
                    let (a, b) = sections[mate.onto.part].edge(mate.onto.edge);
                    mated(
                        (place.apply(a), place.apply(b)),
                        section.edge(mate.edge),
                        mate,
                    )
                }
            });
        }
        places
    }

    /// The same bar glued from other sheets: each strip keeps its shape and grows with its sheet
    /// (see [`Strip::on_sheet`]), each joint its place on the edges.
    ///
    /// # Errors
    /// As [`Bar::glue`]; joints that fitted between sheets of one thickness may not fit between
    /// sheets that now differ.
    pub fn on_sheets(
        &self,
        other: impl Fn(&Arc<Sheet>) -> Arc<Sheet>,
        tolerance: f64,
    ) -> Result<Self, StockError> {
        let strips: Vec<Strip> = self
            .parts
            .iter()
            .map(|p| p.strip.on_sheet(&other(p.strip.sheet())))
            .collect();
        let first = &self.parts[0];
        let by = strips[0].sheet().thickness() / first.strip.sheet().thickness();
        let place = Isometry {
            shift: first.place.shift * by,
            ..first.place
        };
        Self::glue(
            strips,
            place,
            self.mates.clone(),
            self.closing.clone(),
            tolerance,
        )
    }

    /// The parts in the order of gluing.
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// How each part but the first was laid.
    pub fn mates(&self) -> &[Mate] {
        &self.mates
    }

    /// The joints that had to close by themselves.
    pub fn closing(&self) -> &[(EdgeRef, EdgeRef)] {
        &self.closing
    }

    /// All joints, by part and edge.
    pub fn joints(&self) -> &[Joint] {
        &self.joints
    }

    /// The rim of all parts together.
    pub fn outline(&self) -> &Polygon {
        &self.outline
    }
}

/// Where a part goes: `there` is the edge that it is laid against, `own` its own edge as it lies.
fn mated(there: (Point, Point), own: (Point, Point), mate: Mate) -> Isometry {
    let ((a, b), (s, e)) = (there, own);
    let back = a - b;
    let way = e - s;
    let turn = Isometry::turn(angle::direction(back.x, back.y) - angle::direction(way.x, way.y));
    let from = turn.apply(s.towards(e, mate.at));
    turn.then(Isometry::shift(b.towards(a, mate.onto_at) - from))
}
