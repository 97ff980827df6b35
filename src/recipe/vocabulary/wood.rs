//! Conversion of values to the wood that recipes handle.

use crate::recipe::kind::Kind;

use rhai::Dynamic;

use crate::recipe::args;
use crate::recipe::fault::Fault;
pub use crate::recipe::script_types::{
    Bar, Condition, Conditions, Lattice, Layer, Rule, Sheet, Strip, Tile,
};
use crate::stock;

/// A strip out of a list.
///
/// # Errors
/// When it is something else.
pub fn strip(value: &Dynamic, what: &str) -> Result<stock::Strip, Fault> {
    args::thing::<Strip>(value, what, "a strip").map(|strip| (*strip.0).clone())
}

/// A tile out of a list.
///
/// # Errors
/// When it is something else; it says which steps are missing.
pub fn tile(value: &Dynamic, what: &str) -> Result<stock::Tile, Fault> {
    args::thing::<Tile>(value, what, "a tile").map(|tile| tile.0)
}

/// A colour by its name.
///
/// # Errors
/// When it is no text, or names neither a wood, a dye nor an opaque CSS colour.
pub fn colour(value: &Dynamic, what: &str) -> Result<stock::Colour, Fault> {
    let text = args::text(value, what)?;
    stock::Colour::parse(&text).map_err(|error| {
        let close = crate::recipe::diagnostics::nearest::nearest(
            &text,
            stock::Colour::woods()
                .chain(stock::Colour::dyes().map(|(name, _)| name))
                .chain(stock::Colour::css_names()),
        );
        let woods: Vec<&str> = stock::Colour::woods().collect();
        let dyes: Vec<&str> = stock::Colour::dyes().map(|(name, _)| name).collect();
        let known = format!(
            "the woods are {}; the dyes are {}; any CSS colour will do too: \"navy\", \"#1b3a5c\"",
            woods.join(", "),
            dyes.join(", ")
        );
        Fault::new(
            Kind::Colour { name: text.clone() },
            format!("{what}: {error}"),
        )
        .help(close.map_or(known, |close| format!("did you mean \"{close}\"?")))
    })
}
