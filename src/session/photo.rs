//! A sheet's layers from a photo of its edge, as the page sends it: pixels, and where the two faces are in them.
//! Rows go out as shares of the picture's height. Never here: forms of pictures, which the browser reads.

use base64::{Engine as _, engine::general_purpose::STANDARD};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use crate::edge::{EdgeLayer, Faces, Found, Light, NotFound, find, layers, recipe, told};
use crate::geom::length;

/// The most pixels that are sent.
const MOST_PIXELS: usize = 1_000_000;
/// The thickness of a sheet in mm, from a veneer's to a beam's.
const THICKNESS: std::ops::RangeInclusive<f64> = 0.1..=500.0;

/// A part of a photo in which the layers run from left to right.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EdgePhoto {
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Red, green and blue bytes of each pixel, row by row, in base64 (RFC 4648, section 4).
    pub base64: String,
    /// Where the upper face is and where the lower one, about, as shares of the height.
    pub faces: [f64; 2],
    /// Thickness of the sheet, as a maker writes it.
    pub thickness: String,
    /// How many layers there are, where that is known.
    #[serde(default)]
    pub plies: Option<usize>,
}

impl EdgePhoto {
    /// The layers as `text` for a recipe, each in words (`told`), whether some are `unsure`, and `lines`: for each
    /// border where it is at the left end and at the right, and whether it is unsure.
    ///
    /// # Errors
    /// When it is no such picture, or no layers are seen in it, in one sentence.
    pub fn read(&self) -> Result<Value, String> {
        let thickness = length::parse(&self.thickness).ok();
        let thickness = thickness.filter(|mm| THICKNESS.contains(mm)).ok_or(
            "write the sheet's thickness as you measure it, such as `17.7 mm` or `3/4 in`",
        )?;
        if self.plies.is_some_and(|n| !(2..=200).contains(&n)) {
            return Err("a sheet has from 2 to 200 layers".to_owned());
        }
        let [upper, lower] = self.faces;
        if !(0.0 <= upper && upper < lower && lower <= 1.0) {
            return Err("draw the upper line above the lower one".to_owned());
        }
        if self.width.saturating_mul(self.height) > MOST_PIXELS {
            return Err(format!(
                "the picture has more than {MOST_PIXELS} pixels: send a smaller one"
            ));
        }
        let rgb = STANDARD.decode(&self.base64).ok();
        let light = rgb.and_then(|rgb| Light::of(self.width, self.height, rgb));
        let light = light.ok_or("the picture does not have as many pixels as it says")?;
        // Pixels have their middle at whole numbers.
        let rows = self.height as f64;
        let near = self.faces.map(|share| share * rows - 0.5);
        let found = find(&light, self.plies, Faces::Near(near)).map_err(|error| match error {
            NotFound::TooSmall => {
                "too few pixels lie between the lines: take the photo from nearer".to_owned()
            }
            NotFound::NoBorders => {
                "no layers are seen between the lines: draw them to the two faces".to_owned()
            }
            NotFound::TooFew(found) => {
                format!("only {found} borders are seen, fewer than so many layers have")
            }
        })?;
        let all = layers(&found, thickness);
        Ok(json!({
            "text": recipe(&all),
            "told": told(&all),
            "unsure": all.iter().any(|layer| layer.unsure),
            "lines": lines(&found, &all, rows),
        }))
    }
}

fn lines(found: &Found, all: &[EdgeLayer], rows: f64) -> Vec<Value> {
    let [upper, lower] = found.faces;
    let share = |a: f64, b: f64, at: f64| (a + (b - a) * at + 0.5) / rows;
    let line = |(i, at): (usize, f64)| {
        json!({
            "left": share(upper.left, lower.left, at),
            "right": share(upper.right, lower.right, at),
            "unsure": all.get(i).is_some_and(|layer| layer.unsure),
        })
    };
    let borders = found.borders.iter().map(|border| border.at);
    borders.enumerate().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Five plies of 12 pixels, light and dark in turn, from row 20 of 100 on, falling by 6 pixels from left to right,
    /// with a little noise.
    fn plies() -> EdgePhoto {
        let (width, height) = (100, 100);
        let mut rgb = Vec::new();
        for y in 0..height {
            for x in 0..width {
                let below = (y as f64 - 20.0 - 0.06 * (x as f64 - 50.0)) / 12.0;
                let base = match below {
                    b if !(0.0..5.0).contains(&b) => 40,
                    b if b.rem_euclid(2.0) < 1.0 => 210,
                    _ => 120,
                };
                let noise = u8::try_from((x * 7 + y * 13) % 9).unwrap();
                rgb.extend([base + noise, base - 10 + noise, base - 40 + noise]);
            }
        }
        EdgePhoto {
            width,
            height,
            base64: STANDARD.encode(rgb),
            faces: [0.203, 0.793],
            thickness: "15 mm".to_owned(),
            plies: None,
        }
    }

    #[test]
    fn five_plies_are_read_between_lines_near_the_faces() {
        for known in [None, Some(5)] {
            let told = EdgePhoto {
                plies: known,
                ..plies()
            }
            .read()
            .unwrap();
            assert_eq!(told["told"].as_array().unwrap().len(), 5, "{told}");
            assert_eq!(told["text"].as_str().unwrap().matches("ply(").count(), 5);
            let lines = told["lines"].as_array().unwrap();
            assert_eq!(lines.len(), 6, "{told}");
            for (at, line) in lines.iter().enumerate() {
                let middle = 0.2 + 0.12 * at as f64;
                let [left, right] = ["left", "right"].map(|end| line[end].as_f64().unwrap());
                assert!(
                    (f64::midpoint(left, right) - middle).abs() < 0.005,
                    "{told}"
                );
                assert!((right - left - 0.06).abs() < 0.015, "{told}");
            }
        }
    }

    #[test]
    fn what_is_no_photo_says_so() {
        let with = |change: &dyn Fn(&mut EdgePhoto)| {
            let mut photo = plies();
            change(&mut photo);
            photo.read().unwrap_err()
        };
        assert!(with(&|p| p.thickness = "thick".to_owned()).contains("thickness"));
        assert!(with(&|p| p.plies = Some(1)).contains("from 2 to 200"));
        assert!(with(&|p| p.faces = [0.8, 0.2]).contains("above"));
        assert!(with(&|p| p.faces = [f64::NAN, 0.2]).contains("above"));
        assert!(with(&|p| p.width = 101).contains("as many pixels"));
        assert!(with(&|p| p.base64 = "?".to_owned()).contains("as many pixels"));
        assert!(with(&|p| p.height = usize::MAX).contains("more than 1000000 pixels"));
        assert!(with(&|p| p.faces = [0.4, 0.5]).contains("too few pixels"));
        let plain = with(&|p| p.base64 = STANDARD.encode(vec![99; 30_000]));
        assert!(plain.contains("no layers are seen"), "{plain}");
    }
}
