//! The signs by which a tile is found and stood in its place: the letter of its kind, and the two
//! pencil lines along its bar. The same on every map and template.

use std::sync::Arc;

use crate::{
    geom::Point,
    layout::panel::{Panel, PlacedFace},
    plan::glue_up::pencil_marks,
    stock::TileKind,
};

/// The pencil marks of a kind as its bar stands, from the face's centre at some scale: moved inside
/// from their corners, to stand `inset` from both edges, so that neighbours' marks stay apart.
pub(super) fn marks(kind: &TileKind, scale: f64, inset: f64) -> [Point; 2] {
    let corners = kind.face().outline().corners();
    let n = corners.len();
    pencil_marks(kind).map(|i| {
        let here = corners[i] * scale;
        let towards = |j: usize| {
            let way = corners[j % n] * scale - here;
            way * (1.0 / way.length())
        };
        let inward = towards(i + 1) + towards(i + n - 1);
        let wide = inward.length().max(0.2);
        // Half the corner's angle a has sin(a / 2) = sqrt(1 - (wide / 2)^2).
        let half = (1.0 - wide * wide / 4.0).max(0.05).sqrt();
        here + inward * (inset / (half * wide))
    })
}

/// The kinds in use, each by its first face, in the order of first use.
pub(super) fn kinds(panel: &Panel) -> Vec<usize> {
    let mut all: Vec<usize> = Vec::new();
    for i in 0..panel.faces.len() {
        let first = first_like(panel, i);
        if !all.contains(&first) {
            all.push(first);
        }
    }
    all
}

/// The first face of the same kind.
pub(super) fn first_like(panel: &Panel, face: usize) -> usize {
    let kind = &panel.faces[face].kind;
    let same = |f: &PlacedFace| Arc::ptr_eq(&f.kind, kind);
    panel.faces.iter().position(same).unwrap_or(face)
}

/// A, B, ... Z, A1, B1, ...
pub(super) fn letter(index: usize) -> String {
    let small = u8::try_from(index % 26).unwrap_or(0);
    let letter = char::from(b'A' + small);
    match index / 26 {
        0 => letter.to_string(),
        round => format!("{letter}{round}"),
    }
}
