//! The things that recipes handle: the wood's types, cheap to clone.

use crate::recipe::kind::Kind;
use std::sync::Arc;

use rhai::Dynamic;

use crate::layout;
use crate::recipe::args;
use crate::recipe::fault::Fault;
use crate::stock;

/// A layer.
#[derive(Debug, Clone)]
pub struct Layer(pub stock::Layer);

/// A sheet.
#[derive(Debug, Clone)]
pub struct Sheet(pub Arc<stock::Sheet>);

/// A strip.
#[derive(Debug, Clone)]
pub struct Strip(pub Arc<stock::Strip>);

/// A bar.
#[derive(Debug, Clone)]
pub struct Bar(pub Arc<stock::Bar>);

/// A tile in some pose.
#[derive(Debug, Clone)]
pub struct Tile(pub stock::Tile);

/// A lattice, and the tile to whose measure it was made.
#[derive(Debug, Clone)]
pub struct Lattice {
    /// Its cells.
    pub lattice: Arc<layout::Lattice>,
    /// The tile as it stands: it fits every cell.
    pub tile: stock::Tile,
}

/// A rule that fills cells.
#[derive(Debug, Clone)]
pub struct Rule(pub Arc<layout::Rule>);

/// A condition that a whole panel is to keep.
#[derive(Debug, Clone)]
pub struct Condition(pub Arc<layout::ruled::LayoutRule>);

/// Tiles and the conditions under which they fill a panel.
#[derive(Debug, Clone)]
pub struct Conditions(pub Arc<super::conditions::Kept>);

impl From<stock::Sheet> for Sheet {
    fn from(sheet: stock::Sheet) -> Self {
        Self(Arc::new(sheet))
    }
}

impl From<stock::Strip> for Strip {
    fn from(strip: stock::Strip) -> Self {
        Self(Arc::new(strip))
    }
}

impl From<stock::Bar> for Bar {
    fn from(bar: stock::Bar) -> Self {
        Self(Arc::new(bar))
    }
}

/// Rust names and words of these types.
#[must_use]
pub fn types() -> Vec<(&'static str, &'static str)> {
    use std::any::type_name;
    vec![
        (type_name::<Layer>(), "layer"),
        (type_name::<Sheet>(), "sheet"),
        (type_name::<Strip>(), "strip"),
        (type_name::<Bar>(), "bar"),
        (type_name::<Tile>(), "tile"),
        (type_name::<Lattice>(), "lattice"),
        (type_name::<Rule>(), "rule"),
        (type_name::<Condition>(), "condition"),
        (type_name::<Conditions>(), "rule with conditions"),
        (type_name::<super::draft::Panel>(), "panel"),
        (type_name::<super::cells::Cell>(), "cell"),
    ]
}

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
