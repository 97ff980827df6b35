//! What a finish does to the colour of wood, and to its sheen.

use std::str::FromStr;

use super::Linear;

/// What the panel is finished with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Finish {
    /// Sanded and bare: the colours as they are named.
    #[default]
    Raw,
    /// Oil, which soaks in.
    Oil,
    /// A clear film, such as varnish.
    Clear,
}

/// No finish has this word.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("there is no finish `{word}`: there are {}", Finish::ALL.map(Finish::word).join(", "))]
pub struct NoFinish {
    /// What was given.
    pub word: String,
}

impl FromStr for Finish {
    type Err = NoFinish;

    fn from_str(word: &str) -> Result<Self, NoFinish> {
        let found = Self::ALL.into_iter().find(|finish| finish.word() == word);
        found.ok_or_else(|| NoFinish {
            word: word.to_owned(),
        })
    }
}

/// How strongly long grain catches the light: parameters of the model in [`super::light`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheen {
    /// Peak of the fibres' highlight, as a share of the diffuse light.
    pub strength: f64,
    /// Its width: standard deviation in degrees.
    pub width: f64,
    /// Refractive index of what lies over the fibres; 1 for bare wood.
    pub index: f64,
}

// Saunderson, Calculation of the color of pigmented plastics, JOSA 32 (1942) 727-736; the formula was
// checked against a published account. Light that meets a surface of refractive index n squarely from
// outside is reflected by ((n - 1) / (n + 1))^2 (Fresnel; any text on optics): 0.04 for 1.5. Diffuse
// light from inside: usually taken between 0.4 and 0.6, says the same account; we take the upper end.
const FROM_OUTSIDE: f64 = 0.04;
const FROM_INSIDE: f64 = 0.6;

impl Finish {
    /// All.
    pub const ALL: [Self; 3] = [Self::Raw, Self::Oil, Self::Clear];

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Raw => "raw",
            Self::Oil => "oil",
            Self::Clear => "clear",
        }
    }

    /// How far the wood is wetted, as a share of what the formula gives for a surface in full
    /// contact: our choice by eye. Common practice: oil darkens and warms more than a film.
    const fn wetting(self) -> f64 {
        match self {
            Self::Raw => 0.0,
            Self::Oil => 0.45,
            Self::Clear => 0.3,
        }
    }

    /// What becomes of light from bare wood: each channel r goes a share of the way to
    /// (1 - k1)(1 - k2) r / (1 - k2 r), with k1 = 0.04 and k2 = 0.6. A finish holds light back inside
    /// the wood, which then meets the dye once more: colours grow deeper, dark ones most.
    pub fn on(self, wood: Linear) -> Linear {
        let full =
            wood.map(|r| (1.0 - FROM_OUTSIDE) * (1.0 - FROM_INSIDE) * r / (1.0 - FROM_INSIDE * r));
        wood.towards(full, self.wetting())
    }

    /// How strongly it lets long grain catch the light. Strengths and widths are our choice, of the
    /// size that published models of finished wood use (a width of 10 degrees under a film of
    /// index 1.5); bare wood scatters more.
    pub const fn sheen(self) -> Sheen {
        let (strength, width, index) = match self {
            Self::Raw => (0.30, 20.0, 1.0),
            Self::Oil => (0.55, 14.0, 1.5),
            Self::Clear => (0.75, 10.0, 1.5),
        };
        Sheen {
            strength,
            width,
            index,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_finish_deepens_all_but_white_and_black_and_oil_most() {
        let birch = Linear::from(crate::stock::Colour::parse("birch").unwrap());
        let y = |f: Finish| f.on(birch).luminance();
        assert!(y(Finish::Oil) < y(Finish::Clear) && y(Finish::Clear) < y(Finish::Raw));
        // More of the blue is lost than of the red: the colour grows warmer.
        let oiled = Finish::Oil.on(birch);
        assert!(oiled.blue / oiled.red < birch.blue / birch.red);
        let black = Linear::new(0.0, 0.0, 0.0);
        assert_eq!(Finish::Oil.on(black), black);
    }

    #[test]
    fn the_formula_at_a_worked_value() {
        // r = 0.5: 0.96 x 0.4 x 0.5 / (1 - 0.3) = 0.192 / 0.7 = 0.274285...; 45 % of the way.
        let half = Finish::Oil.on(Linear::new(0.5, 0.5, 0.5));
        assert!((half.red - (0.5 + 0.45 * (0.192 / 0.7 - 0.5))).abs() < 1e-12);
    }
}
