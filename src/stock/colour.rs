//! Colours of wood and dye.

use std::fmt;

/// An opaque colour in sRGB, 8 bits a channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Colour {
    /// Red.
    pub red: u8,
    /// Green.
    pub green: u8,
    /// Blue.
    pub blue: u8,
}

/// Planed, unfinished long grain as we see it under daylight; chosen by eye for this project.
const WOODS: [(&str, [u8; 3]); 18] = [
    ("alder", [205, 160, 120]),
    ("ash", [222, 203, 170]),
    ("beech", [216, 178, 140]),
    ("birch", [232, 212, 176]),
    ("cherry", [186, 120, 80]),
    ("ebony", [52, 44, 40]),
    ("elm", [190, 152, 112]),
    ("larch", [210, 160, 104]),
    ("lime", [228, 208, 172]),
    ("mahogany", [140, 76, 52]),
    ("maple", [238, 222, 192]),
    ("oak", [198, 164, 116]),
    ("padauk", [158, 60, 36]),
    ("pear", [206, 158, 128]),
    ("pine", [236, 206, 152]),
    ("poplar", [216, 208, 170]),
    ("walnut", [104, 74, 54]),
    ("wenge", [74, 58, 48]),
];

/// Veneers dyed through, under names and in shades of our own; chosen by eye for this project. No
/// name is that of a CSS colour.
const DYES: [(&str, [u8; 3]); 24] = [
    ("berry", [122, 28, 70]),
    ("bilberry", [52, 48, 98]),
    ("bottle", [24, 84, 62]),
    ("brick", [164, 66, 48]),
    ("clay", [184, 134, 104]),
    ("dusk", [92, 84, 116]),
    ("fern", [86, 134, 62]),
    ("fog", [178, 182, 182]),
    ("heather", [160, 120, 168]),
    ("honey", [218, 160, 58]),
    ("ice", [196, 220, 226]),
    ("ink", [28, 40, 78]),
    ("leaf", [134, 172, 66]),
    ("moss", [84, 92, 44]),
    ("mustard", [204, 164, 30]),
    ("peat", [58, 42, 34]),
    ("poppy", [206, 54, 38]),
    ("pumpkin", [222, 120, 36]),
    ("rosehip", [226, 112, 108]),
    ("sea", [34, 116, 142]),
    ("slate", [84, 96, 106]),
    ("soot", [28, 26, 28]),
    ("spring", [108, 186, 164]),
    ("sunflower", [244, 200, 44]),
];

/// How much darker end grain looks than long grain of the same wood: pores seen end on swallow
/// light. Common practice says 'clearly darker'; the share is our choice.
const END_GRAIN_SHARE: f64 = 0.80;

/// Why a text is no colour.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ColourError {
    /// Neither a wood nor a dye nor a CSS colour.
    #[error("`{0}` is no colour")]
    Unknown(String),
    /// Wood cannot be seen through.
    #[error("`{0}` is partly transparent")]
    Transparent(String),
}

impl Colour {
    /// From red, green and blue, 0 to 255 each.
    pub const fn rgb(red: u8, green: u8, blue: u8) -> Self {
        Self { red, green, blue }
    }

    /// Reads the name of a wood or dye or an opaque CSS colour (CSS Color Module Level 4): a name, `#rgb`,
    /// `#rrggbb`, `rgb()`, `hsl()`, `hwb()`. The forms that need trigonometry (`lab`, `lch` and
    /// their kin) are left out, as they would not give the same bits everywhere.
    ///
    /// # Errors
    /// When it is neither, or not opaque.
    pub fn parse(text: &str) -> Result<Self, ColourError> {
        let name = text.trim().to_lowercase();
        for table in [&WOODS[..], &DYES[..]] {
            if let Ok(i) = table.binary_search_by(|(known, _)| (*known).cmp(&name)) {
                let [r, g, b] = table[i].1;
                return Ok(Self::rgb(r, g, b));
            }
        }
        if ["lab", "lch", "oklab", "oklch"]
            .iter()
            .any(|form| name.starts_with(form))
        {
            return Err(ColourError::Unknown(text.to_owned()));
        }
        let parsed =
            csscolorparser::parse(&name).map_err(|_| ColourError::Unknown(text.to_owned()))?;
        let [r, g, b, a] = parsed.to_rgba8();
        if a == 255 {
            Ok(Self::rgb(r, g, b))
        } else {
            Err(ColourError::Transparent(text.to_owned()))
        }
    }

    /// The names of CSS colours, sorted.
    pub fn css_names() -> impl Iterator<Item = &'static str> {
        let mut names: Vec<&str> = csscolorparser::NAMED_COLORS
            .keys()
            .map(|name| name.as_str())
            .collect();
        names.sort_unstable();
        names.into_iter()
    }

    /// The names of the woods, sorted.
    pub fn woods() -> impl Iterator<Item = &'static str> {
        WOODS.iter().map(|(name, _)| *name)
    }

    /// The names of dyes for veneers, sorted, each with its colour.
    pub fn dyes() -> impl Iterator<Item = (&'static str, Self)> {
        DYES.iter()
            .map(|(name, [r, g, b])| (*name, Self::rgb(*r, *g, *b)))
    }

    /// The name of the wood, the dye, or else the CSS colour that is just this one.
    pub fn name(self) -> Option<&'static str> {
        let [r, g, b] = [self.red, self.green, self.blue];
        WOODS
            .iter()
            .chain(&DYES)
            .find(|(_, known)| *known == [r, g, b])
            .map(|(name, _)| *name)
            .or_else(|| Self::css_names().find(|name| Self::parse(name) == Ok(self)))
    }

    /// The colour of the same wood seen on its end grain.
    #[must_use]
    pub fn end_grain(self) -> Self {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a share of a byte is a byte"
        )]
        let darker = |c: u8| (f64::from(c) * END_GRAIN_SHARE).round() as u8;
        Self::rgb(darker(self.red), darker(self.green), darker(self.blue))
    }
}

impl fmt::Display for Colour {
    /// `#rrggbb`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.red, self.green, self.blue)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn woods_and_css_colours() {
        assert!(WOODS.is_sorted_by_key(|(name, _)| *name));
        assert!(DYES.is_sorted_by_key(|(name, _)| *name));
        for (name, colour) in Colour::dyes() {
            assert!(Colour::woods().all(|w| w != name), "{name}");
            assert!(Colour::css_names().all(|c| c != name), "{name}");
            assert_eq!(Colour::parse(name), Ok(colour));
            assert_eq!(colour.name(), Some(name));
        }
        assert_eq!(Colour::rgb(0, 0, 128).name(), Some("navy"));
        assert_eq!(Colour::rgb(1, 2, 3).name(), None);
        assert_eq!(Colour::parse("Walnut").unwrap().to_string(), "#684a36");
        assert_eq!(Colour::parse(" #ABC ").unwrap().to_string(), "#aabbcc");
        // CSS Color Module Level 4, section 6.1: rebeccapurple is #663399.
        assert_eq!(
            Colour::parse("rebeccapurple").unwrap().to_string(),
            "#663399"
        );
        assert_eq!(
            Colour::parse("#ff000080"),
            Err(ColourError::Transparent("#ff000080".to_owned()))
        );
        assert_eq!(
            Colour::parse("brich"),
            Err(ColourError::Unknown("brich".to_owned()))
        );
    }
}
