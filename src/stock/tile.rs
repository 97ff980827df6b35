//! Tiles: slices of a bar, as they are turned and flipped.

use std::sync::Arc;

use super::{Bar, Face, symmetry::Symmetry};
use crate::geom::{Isometry, TOLERANCE, angle};

/// A kind of tile: the slices of one bar.
#[derive(Debug, Clone, PartialEq)]
pub struct TileKind {
    name: String,
    bar: Arc<Bar>,
    face: Face,
    symmetry: Symmetry,
    slat: Option<Arc<Slat>>,
}

/// Where a tile comes from that is cut out of a glued panel, through its whole thickness. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Slat {
    /// The panel's name.
    pub panel: String,
    /// Its number among the slats, from 1 at the left, or at the top where they lie across.
    pub number: usize,
    /// Where it begins, from the panel's left, or top.
    pub from: f64,
    /// Its width.
    pub width: f64,
    /// What the cut behind it takes.
    pub kerf: f64,
    /// Whether slats lie across the panel, along its courses.
    pub across: bool,
}

/// How a tile stands: first flipped, where it is, then turned clockwise.
///
/// The flip mirrors in the outline's own axis nearest to upright; without one, in the upright line
/// through the centre.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pose {
    /// Whether the back of the slice shows.
    pub flip: bool,
    /// Degrees, from 0 (included) to 360 (left out).
    pub turn: f64,
}

/// A tile of some kind in some pose.
#[derive(Debug, Clone, PartialEq)]
pub struct Tile {
    /// The kind.
    pub kind: Arc<TileKind>,
    /// How it stands.
    pub pose: Pose,
}

impl TileKind {
    /// The slices of a bar, under a name.
    pub fn new(name: impl Into<String>, bar: Arc<Bar>) -> Self {
        let face = Face::of(&bar);
        let symmetry = Symmetry::of(face.outline());
        Self {
            name: name.into(),
            bar,
            face,
            symmetry,
            slat: None,
        }
    }

    /// A slat of a glued panel, under a name; `piece` is what it shows.
    pub fn of_panel(name: impl Into<String>, piece: Bar, slat: Slat) -> Self {
        Self {
            slat: Some(Arc::new(slat)),
            ..Self::new(name, Arc::new(piece))
        }
    }

    /// Where it comes from, where it is cut out of a glued panel.
    pub fn slat(&self) -> Option<&Slat> {
        self.slat.as_deref()
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The bar that it is sliced from.
    pub fn bar(&self) -> &Arc<Bar> {
        &self.bar
    }

    /// The face as the bar stands.
    pub fn face(&self) -> &Face {
        &self.face
    }

    /// The move that a pose stands for.
    pub fn isometry(&self, pose: Pose) -> Isometry {
        let flip = if pose.flip {
            Isometry::mirror(self.symmetry.axis.unwrap_or(90.0))
        } else {
            Isometry::IDENTITY
        };
        flip.then(Isometry::turn(pose.turn))
    }

    /// Every pose that maps the outline onto itself: turns first, then the flipped ones.
    pub fn orientations(&self) -> Vec<Pose> {
        let turns = |flip| {
            (0..self.symmetry.turns).map(move |k| Pose {
                flip,
                turn: angle::tidied(f64::from(k) * self.symmetry.step()),
            })
        };
        let mut all: Vec<Pose> = turns(false).collect();
        if self.symmetry.axis.is_some() {
            all.extend(turns(true));
        }
        all
    }

    /// Whether a pose maps the outline onto itself.
    pub fn fits(&self, pose: Pose) -> bool {
        let outline = self.face.outline();
        let posed = outline.moved(self.isometry(pose).linear());
        posed.coincides(outline, TOLERANCE)
    }

    /// Of the orientations, the first of each that looks different.
    pub fn looks(&self) -> Vec<Pose> {
        let mut seen: Vec<(Pose, Face)> = Vec::new();
        for pose in self.orientations() {
            let face = self.face.posed(self.isometry(pose));
            if !seen.iter().any(|(_, other)| other.looks_like(&face)) {
                seen.push((pose, face));
            }
        }
        seen.into_iter().map(|(pose, _)| pose).collect()
    }

    /// Every move about its centre that leaves the look of the face as it is.
    pub fn unseen_moves(&self) -> Vec<Isometry> {
        let moves = self.orientations().into_iter();
        let moves = moves.map(|pose| self.isometry(pose));
        moves
            .filter(|by| *by == Isometry::IDENTITY || self.face.posed(*by).looks_like(&self.face))
            .collect()
    }
}

impl Tile {
    /// A tile as the bar stands.
    pub fn new(kind: Arc<TileKind>) -> Self {
        Self {
            kind,
            pose: Pose::default(),
        }
    }

    /// Turned clockwise by some degrees, as it stands.
    #[must_use]
    pub fn rotate(&self, degrees: f64) -> Self {
        let pose = Pose {
            turn: angle::tidied(self.pose.turn + degrees),
            ..self.pose
        };
        Self {
            kind: Arc::clone(&self.kind),
            pose,
        }
    }

    /// In its own pose, and then, as it stands, in another one.
    #[must_use]
    pub fn then(&self, pose: Pose) -> Self {
        let flipped = if pose.flip { self.flip() } else { self.clone() };
        flipped.rotate(pose.turn)
    }

    /// Turned over, as it stands, about the axis of its kind.
    #[must_use]
    pub fn flip(&self) -> Self {
        let pose = Pose {
            flip: !self.pose.flip,
            turn: angle::tidied(-self.pose.turn),
        };
        Self {
            kind: Arc::clone(&self.kind),
            pose,
        }
    }

    /// A tile of the same kind in the pose whose move is this one; the shift is left out of account.
    #[must_use]
    pub fn showing(&self, by: Isometry) -> Self {
        let flipped = Pose {
            flip: by.flip,
            turn: 0.0,
        };
        let turn = angle::tidied(by.turn - self.kind.isometry(flipped).turn);
        Self {
            kind: Arc::clone(&self.kind),
            pose: Pose { turn, ..flipped },
        }
    }

    /// The move that its pose stands for.
    pub fn isometry(&self) -> Isometry {
        self.kind.isometry(self.pose)
    }
}
