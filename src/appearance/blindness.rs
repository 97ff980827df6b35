//! How a panel looks to eyes that miss one of the three cones.

use std::str::FromStr;

use super::Linear;
use crate::stock::Colour;

/// A kind of colour vision.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum View {
    /// Three kinds of cones.
    #[default]
    Usual,
    /// Without cones for long waves (about 1 in 100 men, common knowledge).
    Protanopia,
    /// Without cones for middle waves (about 1 in 100 men, common knowledge).
    Deuteranopia,
    /// Without cones for short waves (rare).
    Tritanopia,
    /// By light alone: in dim light, or a print in grey.
    Grey,
}

/// No colour vision has this word.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("there are no eyes called `{word}`: there are {}", View::ALL.map(View::word).join(", "))]
pub struct NoView {
    /// What was given.
    pub word: String,
}

impl FromStr for View {
    type Err = NoView;

    fn from_str(word: &str) -> Result<Self, NoView> {
        let found = Self::ALL.into_iter().find(|view| view.word() == word);
        found.ok_or_else(|| NoView {
            word: word.to_owned(),
        })
    }
}

type Matrix = [[f64; 3]; 3];

// Machado, Oliveira and Fernandes, A physiologically-based model for simulation of color vision
// deficiency, IEEE Transactions on Visualization and Computer Graphics 15 (2009) 1291-1298: the
// matrices for severity 1.0, for linear RGB. Read in several independent public copies.
const PROTANOPIA: Matrix = [
    [0.152_286, 1.052_583, -0.204_868],
    [0.114_503, 0.786_281, 0.099_216],
    [-0.003_882, -0.048_116, 1.051_998],
];
const DEUTERANOPIA: Matrix = [
    [0.367_322, 0.860_646, -0.227_968],
    [0.280_085, 0.672_501, 0.047_413],
    [-0.011_820, 0.042_940, 0.968_881],
];
const TRITANOPIA: Matrix = [
    [1.255_528, -0.076_749, -0.178_779],
    [-0.078_411, 0.930_809, 0.147_602],
    [0.004_733, 0.691_367, 0.303_900],
];

impl View {
    /// All, the usual one first.
    pub const ALL: [Self; 5] = [
        Self::Usual,
        Self::Protanopia,
        Self::Deuteranopia,
        Self::Tritanopia,
        Self::Grey,
    ];

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Usual => "usual",
            Self::Protanopia => "protanopia",
            Self::Deuteranopia => "deuteranopia",
            Self::Tritanopia => "tritanopia",
            Self::Grey => "grey",
        }
    }

    /// What light looks like to these eyes; each channel held between 0 and 1.
    pub fn of(self, light: Linear) -> Linear {
        let by = |m: &Matrix| {
            let row = |r: [f64; 3]| r[0] * light.red + r[1] * light.green + r[2] * light.blue;
            Linear::new(row(m[0]), row(m[1]), row(m[2]))
        };
        let seen = match self {
            Self::Usual => light,
            Self::Protanopia => by(&PROTANOPIA),
            Self::Deuteranopia => by(&DEUTERANOPIA),
            Self::Tritanopia => by(&TRITANOPIA),
            Self::Grey => {
                let y = light.luminance();
                Linear::new(y, y, y)
            }
        };
        seen.map(|c| c.clamp(0.0, 1.0))
    }

    /// What a colour looks like to these eyes.
    pub fn colour(self, colour: Colour) -> Colour {
        if self == Self::Usual {
            colour
        } else {
            self.of(colour.into()).colour()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn greys_stay_grey() {
        // Each row of the published matrices sums to 1 within their last digit.
        for view in View::ALL {
            for value in [0, 60, 128, 255] {
                let grey = Colour::rgb(value, value, value);
                assert_eq!(view.colour(grey), grey, "{view:?}");
            }
        }
    }

    #[test]
    fn words_come_back() {
        for view in View::ALL {
            assert_eq!(view.word().parse(), Ok(view));
        }
        assert!("sepia".parse::<View>().is_err());
    }
}
