//! Linear light: sRGB decoded, so that amounts of light can be added and averaged.

use crate::stock::Colour;

/// Amounts of red, green and blue light with sRGB's primaries; 1 each is white.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Linear {
    /// Red.
    pub red: f64,
    /// Green.
    pub green: f64,
    /// Blue.
    pub blue: f64,
}

/// Decodes one sRGB value from 0 to 1 (IEC 61966-2-1, with the threshold as WCAG 2.2 prints it).
pub fn decode(value: f64) -> f64 {
    if value <= 0.04045 {
        value / 12.92
    } else {
        libm::pow((value + 0.055) / 1.055, 2.4)
    }
}

/// Encodes an amount of light from 0 to 1 as an sRGB value from 0 to 1; the inverse of [`decode`].
pub fn encode(light: f64) -> f64 {
    if light <= 0.04045 / 12.92 {
        light * 12.92
    } else {
        1.055 * libm::pow(light, 1.0 / 2.4) - 0.055
    }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held between 0 and 255"
)]
fn byte(light: f64) -> u8 {
    libm::round(encode(light.clamp(0.0, 1.0)) * 255.0) as u8
}

impl Linear {
    /// From amounts.
    pub const fn new(red: f64, green: f64, blue: f64) -> Self {
        Self { red, green, blue }
    }

    /// The nearest colour that sRGB has: each channel held between 0 and 1.
    pub fn colour(self) -> Colour {
        Colour::rgb(byte(self.red), byte(self.green), byte(self.blue))
    }

    /// Each channel through a function.
    #[must_use]
    pub fn map(self, f: impl Fn(f64) -> f64) -> Self {
        Self::new(f(self.red), f(self.green), f(self.blue))
    }

    /// A share `t` of the way to `other`.
    #[must_use]
    pub fn towards(self, other: Self, t: f64) -> Self {
        let mix = |a: f64, b: f64| a + (b - a) * t;
        Self::new(
            mix(self.red, other.red),
            mix(self.green, other.green),
            mix(self.blue, other.blue),
        )
    }

    /// Relative luminance (WCAG 2.2): 0 for black, 1 for white.
    pub fn luminance(self) -> f64 {
        0.2126 * self.red + 0.7152 * self.green + 0.0722 * self.blue
    }
}

impl From<Colour> for Linear {
    fn from(colour: Colour) -> Self {
        let part = |byte: u8| decode(f64::from(byte) / 255.0);
        Self::new(part(colour.red), part(colour.green), part(colour.blue))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_grey_comes_back() {
        for value in 0..=255 {
            let grey = Colour::rgb(value, value, value);
            assert_eq!(Linear::from(grey).colour(), grey);
        }
    }

    #[test]
    fn half_the_light_of_white_is_a_lighter_grey_than_half_way() {
        // IEC 61966-2-1: half the light is coded as 188.
        let half = Linear::from(Colour::rgb(0, 0, 0)).towards(Linear::new(1.0, 1.0, 1.0), 0.5);
        assert_eq!(half.colour(), Colour::rgb(188, 188, 188));
    }

    #[test]
    fn light_beyond_white_is_white() {
        assert_eq!(
            Linear::new(1.3, -0.2, 1.0).colour(),
            Colour::rgb(255, 0, 255)
        );
    }
}
