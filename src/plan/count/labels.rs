//! What a plan calls its sheets, strips, rips and colours.

use crate::{plan::shop::Shop, stock::Colour};

/// `A`, `B` to `Z`, then `A2` and so on.
pub fn sheet_label(index: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(index % 26).unwrap_or(0));
    match index / 26 {
        0 => letter.to_string(),
        more => format!("{letter}{}", more + 1),
    }
}

/// `S1`, `S2`: a strip as it goes into bars.
pub fn strip_label(index: usize) -> String {
    format!("S{}", index + 1)
}

/// `R1`, `R2`: a strip as it leaves the sheet.
pub fn rip_label(index: usize) -> String {
    format!("R{}", index + 1)
}

/// A wood's name where it has one, else the colour.
pub fn colour_name(colour: Colour, shop: &Shop) -> String {
    if let Some(leaf) = shop.veneers.iter().find(|l| l.colour == colour) {
        return leaf.name.clone();
    }
    plain_name(colour)
}

/// The name of the wood, dye or CSS colour, where there is one, else `#rrggbb`. Of several CSS
/// names, the shortest, then the first by the alphabet.
pub fn plain_name(colour: Colour) -> String {
    let css = || {
        Colour::css_names()
            .filter(|name| Colour::parse(name) == Ok(colour))
            .min_by_key(|name| (name.len(), *name))
    };
    colour
        .name()
        .or_else(css)
        .map_or_else(|| colour.to_string(), str::to_owned)
}
