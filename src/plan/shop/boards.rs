//! Boards and veneer leaves of a shop file, checked.

use std::ops::Range;

use toml::Spanned;

use super::{
    Board, BoardGrain, Leaf, ShopError,
    error::near_miss,
    reader::{in_range, not},
    tables::{BoardTable, LeafTable},
    value::{Names, Number},
};
use crate::stock::Colour;

/// The longest side of a board, in mm; a bound against mistakes.
pub(super) const LONGEST_SIDE: f64 = 20_000.0;
/// The most boards of one entry; a bound against mistakes.
const MOST_BOARDS: i64 = 1_000_000;

pub(super) fn common_sheet(width: f64, length: f64) -> Board {
    Board {
        name: "full sheet".to_owned(),
        count: None,
        width,
        length,
        thickness: None,
        wood: None,
        face: vec![],
        back: vec![],
        grain: BoardGrain::Length,
        price: None,
        place: None,
    }
}

pub(super) fn board(
    table: BoardTable,
    word: &str,
    number: usize,
    few: Option<u32>,
) -> Result<Board, ShopError> {
    let side = 1.0..=LONGEST_SIDE;
    Ok(Board {
        name: table.name.unwrap_or_else(|| format!("{word} {number}")),
        count: count(table.count)?.or(few),
        width: in_range("width", &table.width, &side)?,
        length: in_range("length", &table.length, &side)?,
        thickness: table
            .thickness
            .map(|t| in_range("thickness", &t, &(0.1..=500.0)))
            .transpose()?,
        wood: table
            .wood
            .map(|w| colour(w.get_ref(), &w.span()))
            .transpose()?,
        face: colours(table.face)?,
        back: colours(table.back)?,
        grain: match table.grain {
            None => BoardGrain::Length,
            Some(grain) => match grain.get_ref().as_str() {
                "length" => BoardGrain::Length,
                "width" => BoardGrain::Width,
                "any" => BoardGrain::Any,
                other => {
                    return Err(ShopError::at(
                        grain.span(),
                        format!("the face grain cannot run along the `{other}`"),
                    )
                    .help("write \"length\", \"width\" or \"any\""));
                }
            },
        },
        price: price(table.price)?,
        place: table.place,
    })
}

pub(super) fn leaf(table: LeafTable) -> Result<Leaf, ShopError> {
    let side = 1.0..=LONGEST_SIDE;
    Ok(Leaf {
        colour: colour(table.colour.get_ref(), &table.colour.span())?,
        count: count(table.count)?,
        width: in_range("width", &table.width, &side)?,
        length: in_range("length", &table.length, &side)?,
        price: price(table.price)?,
        label: table.name,
        place: table.place,
        name: table.colour.into_inner(),
    })
}

pub(super) fn count(given: Option<Spanned<i64>>) -> Result<Option<u32>, ShopError> {
    let Some(given) = given else { return Ok(None) };
    let value = *given.get_ref();
    match u32::try_from(value) {
        Ok(count) if value <= MOST_BOARDS => Ok(Some(count)),
        _ => Err(ShopError::at(
            given.span(),
            format!("`count` must lie between 0 and {MOST_BOARDS}, not {value}"),
        )),
    }
}

pub(super) fn price(given: Option<Spanned<Number>>) -> Result<Option<f64>, ShopError> {
    let Some(given) = given else { return Ok(None) };
    let value = given.get_ref().0;
    if value.is_finite() && (0.0..=1e9).contains(&value) {
        Ok(Some(value))
    } else {
        Err(ShopError::at(
            given.span(),
            format!("`price` must lie between 0 and 1e9, {}", not(value, "")),
        ))
    }
}

fn colours(given: Option<Spanned<Names>>) -> Result<Vec<Colour>, ShopError> {
    let Some(given) = given else {
        return Ok(vec![]);
    };
    let span = given.span();
    given
        .get_ref()
        .0
        .iter()
        .map(|name| colour(name, &span))
        .collect()
}

fn colour(name: &str, span: &Range<usize>) -> Result<Colour, ShopError> {
    Colour::parse(name).map_err(|error| {
        let woods: Vec<&str> = Colour::woods().collect();
        let help = match near_miss(name, &woods) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => {
                "write a wood such as \"birch\", or a CSS colour such as \"teal\" or \"#0a7d8c\""
                    .to_owned()
            }
        };
        ShopError::at(span.clone(), error.to_string()).help(help)
    })
}
