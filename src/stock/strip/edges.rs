//! Which edge of a strip's section is meant by a name.

use super::super::{StockError, shapes::Shape};
use crate::geom::{Point, Polygon, TOLERANCE};

/// Which edge of a section, as the strip lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EdgeName {
    /// The level edge on top.
    Top,
    /// The edge that looks right.
    Right,
    /// The level edge below.
    Bottom,
    /// The edge that looks left.
    Left,
    /// The only level edge of a triangle, the longer level one of any other section.
    Base,
    /// The edge of a right triangle that lies opposite its right angle.
    Hypotenuse,
    /// By number, from 1, clockwise from the top left corner.
    Number(usize),
}

const EDGE_WORDS: [(EdgeName, &str); 6] = [
    (EdgeName::Top, "top"),
    (EdgeName::Right, "right"),
    (EdgeName::Bottom, "bottom"),
    (EdgeName::Left, "left"),
    (EdgeName::Base, "base"),
    (EdgeName::Hypotenuse, "hypotenuse"),
];

impl EdgeName {
    /// The words for edges.
    pub const WORDS: [&'static str; 6] = ["top", "right", "bottom", "left", "base", "hypotenuse"];

    /// The name for a word; none for any other text.
    pub fn from_word(word: &str) -> Option<Self> {
        EDGE_WORDS
            .iter()
            .find(|(_, w)| *w == word)
            .map(|(name, _)| *name)
    }
}

/// Which way the edge looks, by its outward normal.
fn looks(way: Point) -> EdgeName {
    let out = way.left_hand() * (1.0 / way.length());
    if out.x.abs() < 1e-6 {
        if out.y < 0.0 {
            EdgeName::Top
        } else {
            EdgeName::Bottom
        }
    } else if out.x < 0.0 {
        EdgeName::Left
    } else {
        EdgeName::Right
    }
}

/// The longest level edge; none where no edge is level, or two are as long.
fn base(section: &Polygon) -> Option<usize> {
    let length = |i: usize| {
        let (a, b) = section.edge(i);
        a.distance(b)
    };
    let level = |i: &usize| {
        let (a, b) = section.edge(*i);
        (a.y - b.y).abs() < 1e-6
    };
    let mut edges: Vec<usize> = (0..section.corners().len()).filter(level).collect();
    edges.sort_by(|&i, &j| length(j).total_cmp(&length(i)));
    match edges[..] {
        [only] => Some(only),
        [first, second, ..] if length(first) - length(second) > TOLERANCE => Some(first),
        _ => None,
    }
}

/// The edge opposite the right angle of a right triangle.
fn hypotenuse(section: &Polygon) -> Option<usize> {
    if section.corners().len() != 3 {
        return None;
    }
    let right = (0..3).find(|&i| (section.angle_at(i) - 90.0).abs() < 0.01)?;
    Some((right + 1) % 3)
}

/// The index of an edge of the section as it lies.
///
/// # Errors
/// When there is none of that name, or more than one.
pub(super) fn edge(section: &Polygon, name: EdgeName) -> Result<usize, StockError> {
    let named = |wanted: EdgeName| -> Vec<usize> {
        section
            .edges()
            .enumerate()
            .filter(|(_, (a, b))| looks(*b - *a) == wanted)
            .map(|(i, _)| i)
            .collect()
    };
    let found = match name {
        EdgeName::Number(n) => (1..=section.corners().len())
            .contains(&n)
            .then(|| n - 1)
            .into_iter()
            .collect(),
        EdgeName::Base => base(section).into_iter().collect(),
        EdgeName::Hypotenuse => hypotenuse(section).into_iter().collect(),
        wanted => named(wanted),
    };
    if let [only] = found[..] {
        return Ok(only);
    }
    let mut known: Vec<String> = Vec::new();
    for (wanted, word) in EDGE_WORDS {
        let is_known = match wanted {
            EdgeName::Base => {
                Shape::of(section).name().contains("triangle") && base(section).is_some()
            }
            EdgeName::Hypotenuse => hypotenuse(section).is_some(),
            wanted => named(wanted).len() == 1,
        };
        if is_known {
            known.push(format!("\"{word}\""));
        }
    }
    known.push(format!(
        "1 to {} (clockwise from the top left corner)",
        section.corners().len()
    ));
    Err(StockError::NoSuchEdge {
        edge: match name {
            EdgeName::Number(n) => n.to_string(),
            wanted => EDGE_WORDS
                .iter()
                .find(|(n, _)| *n == wanted)
                .map_or_else(String::new, |(_, word)| (*word).to_owned()),
        },
        found: if found.is_empty() {
            "no"
        } else {
            "more than one"
        },
        shape: Shape::of(section).name(),
        known: known.join(", "),
    })
}
