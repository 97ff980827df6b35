//! How different two colours look: CIE L*a*b* and CIEDE2000.
//!
//! White is that of sRGB (D65). The formulas are those of the `palette` library.

use palette::{FromColor, LinSrgb, color_difference::Ciede2000, white_point::D65};

use super::Linear;
use crate::stock::Colour;

/// A colour by CIE 1976 L*a*b*, white D65.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lab {
    /// L*: from 0 (black) to 100 (white).
    pub lightness: f64,
    /// a*: green to red.
    pub a: f64,
    /// b*: blue to yellow.
    pub b: f64,
}

impl From<Linear> for Lab {
    fn from(light: Linear) -> Self {
        let rgb = LinSrgb::<f64>::new(light.red, light.green, light.blue);
        let lab = palette::Lab::<D65, f64>::from_color(rgb);
        Self {
            lightness: lab.l,
            a: lab.a,
            b: lab.b,
        }
    }
}

/// A colour in L*a*b*.
pub fn lab(colour: Colour) -> Lab {
    Linear::from(colour).into()
}

/// CIEDE2000 (Sharma, Wu and Dalal 2005) with all weights 1. About 1 is just seen side by side;
/// above 10 is plain at a glance (common practice).
pub fn ciede2000(a: Lab, b: Lab) -> f64 {
    let lab = |x: Lab| palette::Lab::<D65, f64>::new(x.lightness, x.a, x.b);
    lab(a).difference(lab(b))
}
