//! What was found in a picture as layers in mm, and as a recipe writes them.

use std::fmt::Write as _;

use super::{Found, encoded};
use crate::stock::{Colour, Grain};

/// A border that is less clear than this, against noise, is unsure.
const CLEAR: f64 = 10.0;
/// A border that may be this far off, in mm, is unsure.
const UNSURE: f64 = 0.1;
/// How far off a border may be apart from noise: a share of a pixel, and a share of the thickness as in a picture
/// taken 5 degrees askew from a hand's length away. Both from pictures made for the tests.
const OF_A_PIXEL: f64 = 0.2;
const OF_THE_THICKNESS: f64 = 0.001;
/// Layers of one wood have colours that differ by no more, as shares of red, green and blue.
const ONE_WOOD: f64 = 0.05;
/// End grain is at least so much darker than the long grain beside it; drawings make it darker by 0.8 in sRGB, which
/// is about 0.6 in linear light.
const DARKER: f64 = 0.88;
/// What is thinner, in mm, and has another colour than its neighbours is a veneer (common practice).
const VENEER: f64 = 1.0;

/// A layer.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeLayer {
    /// In mm.
    pub thickness: f64,
    /// How far its border to the layer before may be off, in mm: twice the standard error.
    pub sure_to: f64,
    /// Whether that border is unsure.
    pub unsure: bool,
    /// As seen.
    pub colour: Colour,
    /// How the grain runs; none where that cannot be told from its neighbours.
    pub grain: Option<Grain>,
    /// Whether it looks like a veneer.
    pub veneer: bool,
}

/// The layers of a sheet of some thickness, in mm, from the face that is uppermost in the picture.
pub fn layers(found: &Found, thickness: f64) -> Vec<EdgeLayer> {
    let bright = |c: &[f64; 3]| c.iter().sum::<f64>().max(1e-6);
    let shares = |c: &[f64; 3]| c.map(|v| v / bright(c));
    let alike = |a: usize, b: usize| {
        let (a, b) = (shares(&found.colours[a]), shares(&found.colours[b]));
        (0..3).all(|i| (a[i] - b[i]).abs() < ONE_WOOD)
    };
    let pixels = ((found.faces[1].left + found.faces[1].right)
        - (found.faces[0].left + found.faces[0].right))
        / 2.0;
    let systematic = (OF_A_PIXEL / pixels.max(1.0)).max(OF_THE_THICKNESS);
    let count = found.colours.len();
    (0..count)
        .map(|i| {
            let border = &found.borders[i];
            let own = bright(&found.colours[i]);
            let beside = [i.checked_sub(1), (i + 1 < count).then_some(i + 1)];
            let beside: Vec<f64> = beside
                .into_iter()
                .flatten()
                .filter(|&j| alike(i, j))
                .map(|j| bright(&found.colours[j]))
                .collect();
            let mean = beside.iter().sum::<f64>() / beside.len().max(1) as f64;
            let grain = if beside.is_empty() {
                None
            } else if own < DARKER * mean {
                Some(Grain::Along)
            } else if mean < DARKER * own {
                Some(Grain::Across)
            } else {
                None
            };
            let thick = (found.borders[i + 1].at - border.at) * thickness;
            let sure_to =
                2.0 * (border.error * border.error + systematic * systematic).sqrt() * thickness;
            let face = i == 0;
            EdgeLayer {
                thickness: thick,
                sure_to: if face { 0.0 } else { sure_to },
                unsure: !face && (border.clear < CLEAR || sure_to > UNSURE),
                colour: {
                    let [r, g, b] = found.colours[i].map(encoded);
                    Colour::rgb(r, g, b)
                },
                grain,
                veneer: beside.is_empty() && thick < VENEER,
            }
        })
        .collect()
}

/// Each layer in words: how thick, its colour and grain, where it begins and how certain that is.
pub fn told(layers: &[EdgeLayer]) -> Vec<String> {
    let mut at = 0.0;
    let one = |(i, layer): (usize, &EdgeLayer)| {
        let grain = match (layer.veneer, layer.grain) {
            (true, _) => "veneer",
            (_, Some(Grain::Along)) => "end grain",
            (_, Some(_)) => "long grain",
            _ => "grain not sure",
        };
        let sure = if i == 0 {
            "the face".to_owned()
        } else {
            format!("begins at {at:.2} mm, sure to {:.2} mm", layer.sure_to)
        };
        at += layer.thickness;
        let unsure = if layer.unsure { "; UNSURE" } else { "" };
        format!(
            "{:.2} mm  {}  {grain}; {sure}{unsure}",
            layer.thickness, layer.colour
        )
    };
    layers.iter().enumerate().map(one).collect()
}

/// The layers as a recipe writes them; thicknesses to 0.01 mm, which add up to that of the sheet.
pub fn recipe(layers: &[EdgeLayer]) -> String {
    let mut text = String::from("let sheet = laminate([\n");
    let (mut exact, mut written) = (0.0, 0.0);
    for layer in layers {
        exact += layer.thickness;
        let thick = ((exact - written) * 100.0_f64).round() / 100.0;
        written += thick;
        let thick = format!("{thick:.2}");
        let _ = match (layer.veneer, layer.grain) {
            (true, _) => writeln!(text, "    veneer({thick}, \"{}\"),", layer.colour),
            (_, Some(Grain::Along)) => {
                writeln!(text, "    ply({thick}, \"{}\"),", long_grain(layer.colour))
            }
            _ => writeln!(
                text,
                "    ply({thick}, \"{}\").grain(\"across\"),",
                layer.colour
            ),
        };
    }
    text.push_str("]);\n");
    text
}

/// The colour of a ply whose end grain is drawn in a colour.
fn long_grain(seen: Colour) -> Colour {
    let lighter = |shown: u8| {
        let darkened = |c: u8| Colour::rgb(c, 0, 0).end_grain().red;
        let fits = (shown..=u8::MAX).find(|&c| darkened(c) >= shown);
        fits.unwrap_or(u8::MAX)
    };
    Colour::rgb(lighter(seen.red), lighter(seen.green), lighter(seen.blue))
}
