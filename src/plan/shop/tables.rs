//! The tables and lists of a shop file as they are written: which keys there are. A key that is not
//! here is refused.

use serde::Deserialize;
use toml::Spanned;

use super::value::{Force, Length, Names, Number, Share};

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct File {
    pub(super) units: Option<Spanned<String>>,
    pub(super) table_saw: TableSawTable,
    pub(super) slicing: SlicingTable,
    pub(super) cutting: CuttingTable,
    pub(super) glue: GlueTable,
    pub(super) clamps: ClampsTable,
    pub(super) veneering: VeneeringTable,
    pub(super) wood: WoodTable,
    pub(super) prices: PricesTable,
    pub(super) sheet: Vec<Spanned<BoardTable>>,
    pub(super) scrap: Vec<Spanned<BoardTable>>,
    pub(super) veneer: Vec<Spanned<LeafTable>>,
    pub(super) strip: Vec<HeldTable>,
    pub(super) bar: Vec<HeldTable>,
    pub(super) tile: Vec<HeldTable>,
    pub(super) booked: Vec<BookedTable>,
    pub(super) rack: bool,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct TableSawTable {
    pub(super) kerf: Option<Spanned<Length>>,
    pub(super) tilt_limit: Option<Spanned<Number>>,
    pub(super) shortest: Option<Spanned<Length>>,
    pub(super) narrowest: Option<Spanned<Length>>,
    pub(super) depth: Option<Spanned<Length>>,
    pub(super) depth_at_45: Option<Spanned<Length>>,
    pub(super) tilts_to: Option<Spanned<String>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct SlicingTable {
    pub(super) way: Option<Spanned<String>>,
    pub(super) kerf: Option<Spanned<Length>>,
    pub(super) thickness: Option<Spanned<Length>>,
    pub(super) thinnest: Option<Spanned<Length>>,
    pub(super) sanding: Option<Spanned<Length>>,
    pub(super) height: Option<Spanned<Length>>,
    pub(super) end_trim: Option<Spanned<Length>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct CuttingTable {
    pub(super) spare: Option<Spanned<Share>>,
    pub(super) edge_trim: Option<Spanned<Length>>,
    pub(super) narrowest_board: Option<Spanned<Length>>,
    pub(super) bar_length: Option<Spanned<Length>>,
    pub(super) overhang: Option<Spanned<Length>>,
    pub(super) any_grain: Option<bool>,
    pub(super) any_thickness: Option<bool>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct GlueTable {
    pub(super) spread: Option<Spanned<Number>>,
    pub(super) open_time: Option<Spanned<Number>>,
    pub(super) pace: Option<Spanned<Number>>,
    pub(super) price: Option<Spanned<Number>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct ClampsTable {
    pub(super) force: Option<Spanned<Force>>,
    pub(super) count: Option<Spanned<i64>>,
    pub(super) opening: Option<Spanned<Length>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct VeneeringTable {
    pub(super) way: Option<Spanned<String>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct WoodTable {
    pub(super) density: Option<Spanned<Number>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct PricesTable {
    pub(super) currency: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BoardTable {
    pub(super) name: Option<String>,
    pub(super) count: Option<Spanned<i64>>,
    pub(super) width: Spanned<Length>,
    pub(super) length: Spanned<Length>,
    pub(super) thickness: Option<Spanned<Length>>,
    pub(super) wood: Option<Spanned<String>>,
    pub(super) face: Option<Spanned<Names>>,
    pub(super) back: Option<Spanned<Names>>,
    pub(super) grain: Option<Spanned<String>>,
    pub(super) price: Option<Spanned<Number>>,
    pub(super) place: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LeafTable {
    pub(super) colour: Spanned<String>,
    pub(super) count: Option<Spanned<i64>>,
    pub(super) width: Spanned<Length>,
    pub(super) length: Spanned<Length>,
    pub(super) price: Option<Spanned<Number>>,
    pub(super) name: Option<String>,
    pub(super) place: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HeldTable {
    pub(super) name: Option<Spanned<String>>,
    pub(super) count: Option<Spanned<i64>>,
    pub(super) place: Option<String>,
    pub(super) recipe: Option<String>,
    pub(super) width: Option<Spanned<Length>>,
    pub(super) height: Option<Spanned<Length>>,
    pub(super) thickness: Option<Spanned<Length>>,
    pub(super) length: Option<Spanned<Length>>,
    pub(super) section: Option<Spanned<Vec<[f64; 2]>>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BookedTable {
    pub(super) plan: Option<String>,
    pub(super) recipe: Option<String>,
    pub(super) former: String,
    pub(super) pieces: String,
}
