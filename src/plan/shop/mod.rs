//! What a shop has: saws, allowances, prices, sheets, scraps and veneer.
//!
//! A [`Shop`] is read from text by [`Shop::parse`] and cannot be wrong: lengths in mm, angles in
//! degrees, shares from 0 to 1, every range checked. Values that the text leaves out are the
//! sensible common ones of [`Shop::common`], and [`Shop::assumed`] names them.

mod boards;
pub mod error;
mod file;
pub mod held;
mod reader;
mod saws;
pub mod sliced;
mod tables;
mod value;

use sliced::Sliced;

use crate::plan::{
    ShopError,
    glue_up::GlueTerms,
    saw::{SawLimits, TiltsTo},
    units::Units,
};
use crate::stock::Colour;
use held::{Booked, Held};

/// The text of a new shop file: every key with its common value and what it means.
pub const NEW_SHOP: &str = include_str!("new.toml");

/// The table saw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TableSaw {
    /// Width of its cut, in mm.
    pub kerf: f64,
    /// How far the blade tilts from upright, in degrees.
    pub tilt_limit: f64,
    /// The shortest piece that is ripped on it, in mm.
    pub shortest: f64,
    /// The narrowest foot on which a piece is led between blade and fence, in mm.
    pub narrowest: f64,
    /// Depth of cut with the blade upright, in mm.
    pub depth: f64,
    /// Depth of cut with the blade at 45 degrees, in mm.
    pub depth_at_45: f64,
    /// The side to which the blade tilts.
    pub tilts_to: TiltsTo,
}

/// How bars become tiles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slicing {
    /// What is sliced.
    pub way: Sliced,
    /// Width of the band saw's cut, in mm.
    pub kerf: f64,
    /// Thickness of a slice as sawn, in mm.
    pub thickness: f64,
    /// The thinnest slice that is cut off a bar, in mm.
    pub thinnest: f64,
    /// What flattening takes off the panel, both faces together, in mm.
    pub sanding: f64,
    /// The highest bar that can be sliced, in mm.
    pub height: f64,
    /// What of each bar makes no slices, in mm: both ends trimmed, and the stretch that the clamp
    /// holds to the last (see [`crate::plan::cautions::HELD_LAST`]).
    pub end_trim: f64,
}

/// How boards become strips and strips bars.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cutting {
    /// Tiles to make beyond those that the panel needs, as a share of these.
    pub spare: f64,
    /// What cleaning takes off the first edge of a board, the cut included, in mm.
    pub edge_trim: f64,
    /// The narrowest board that is cut off another to be veneered or ripped, in mm.
    pub narrowest_board: f64,
    /// The longest bar that the shop glues, in mm.
    pub bar_length: f64,
    /// How far a veneer stands out beyond the board on each side when it is glued on, in mm.
    pub overhang: f64,
    /// Whether strips may run across the face grain of a board.
    pub any_grain: bool,
    /// Whether boards of unlike thickness are taken where those of one are not enough, each in bars of its own.
    pub any_thickness: bool,
}

/// The glue.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glue {
    /// Spread in grams for a square metre of joint.
    pub spread: f64,
    /// Open time in minutes.
    pub open_time: f64,
    /// How long spreading and placing one tile takes, in seconds.
    pub pace: f64,
    /// Price for a kilogram.
    pub price: Option<f64>,
}

/// Clamps that are alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clamps {
    /// What one gives, in kN, as its maker states it.
    pub force: f64,
    /// How many there are; none where that is not told.
    pub count: Option<u32>,
    /// How far its jaws open, in mm.
    pub opening: f64,
}

/// How veneers come onto a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Veneering {
    /// Wet, between cauls.
    Press,
    /// Coated, dried apart, and ironed on.
    Iron,
}

/// Which way the face grain of a board runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoardGrain {
    /// Along its length.
    Length,
    /// Along its width.
    Width,
    /// It does not matter.
    Any,
}

/// Boards of one kind: whole sheets or scraps.
#[derive(Debug, Clone, PartialEq)]
pub struct Board {
    /// What the plan calls it.
    pub name: String,
    /// How many there are; none where as many as needed can be bought.
    pub count: Option<u32>,
    /// In mm.
    pub width: f64,
    /// In mm.
    pub length: f64,
    /// Of the plywood without veneers, in mm; where it is left out it is taken as the recipe's.
    pub thickness: Option<f64>,
    /// The plywood's wood; where it is left out it is taken as the recipe's.
    pub wood: Option<Colour>,
    /// Veneers already on the one face, the outermost first.
    pub face: Vec<Colour>,
    /// Veneers already on the other face, the outermost first.
    pub back: Vec<Colour>,
    /// Which way the face grain runs.
    pub grain: BoardGrain,
    /// Price of one, where it is to be counted.
    pub price: Option<f64>,
    /// Where it lies.
    pub place: Option<String>,
}

/// Veneer leaves of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Leaf {
    /// The colour.
    pub colour: Colour,
    /// The colour as the shop file names it.
    pub name: String,
    /// What its owner calls it.
    pub label: Option<String>,
    /// Where it lies.
    pub place: Option<String>,
    /// How many there are; none where as many as needed can be bought.
    pub count: Option<u32>,
    /// In mm.
    pub width: f64,
    /// In mm.
    pub length: f64,
    /// Price of one.
    pub price: Option<f64>,
}

/// A value that the shop file leaves out.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Assumed {
    /// The key, with its table: `table_saw.kerf`.
    pub key: &'static str,
    /// The value taken, as one would write it into a shop file.
    pub value: String,
}

/// A shop.
#[derive(Debug, Clone, PartialEq)]
pub struct Shop {
    /// The units to print.
    pub units: Units,
    /// The table saw.
    pub table_saw: TableSaw,
    /// Slicing bars.
    pub slicing: Slicing,
    /// Ripping boards and gluing bars.
    pub cutting: Cutting,
    /// The glue.
    pub glue: Glue,
    /// The clamps.
    pub clamps: Clamps,
    /// How veneers come onto a sheet.
    pub veneering: Veneering,
    /// Of plywood, in kg for a cubic metre.
    pub density: f64,
    /// What prices are in.
    pub currency: String,
    /// Boards: whole sheets first, then scraps, in the order of the file.
    pub boards: Vec<Board>,
    /// Veneer leaves, in the order of the file.
    pub veneers: Vec<Leaf>,
    /// Whether what is not listed is not there: the file is a rack.
    pub rack: bool,
    /// Strips, bars and tiles in hand.
    pub held: Vec<Held>,
    /// What was booked, the last at the end.
    pub booked: Vec<Booked>,
    /// What the file left out, in the order of the new shop file.
    pub assumed: Vec<Assumed>,
}

impl Shop {
    /// The same for one recipe: without strips, bars and tiles that were made for another; `recipe` is its file's name.
    #[must_use]
    pub fn for_recipe(mut self, recipe: &str) -> Self {
        (self.held).retain(|held| held.recipe.as_deref().is_none_or(|of| of == recipe));
        self
    }

    /// Reads a shop file.
    ///
    /// Lengths are numbers in mm, or texts such as `"3.2 mm"`, `"1/8 in"` and `"2 ft"`.
    ///
    /// # Errors
    /// When the text is no TOML, has a key that nobody knows, or a value out of range; with the
    /// bytes of the bad place.
    pub fn parse(text: &str) -> Result<Self, ShopError> {
        file::parse(text)
    }

    /// A shop with the common values, and as many whole sheets as the panel needs.
    ///
    /// # Panics
    /// Never: an empty text is a shop file.
    pub fn common() -> Self {
        Self::parse("").expect("invariant: an empty shop file is a shop file")
    }

    /// The same shop, with what it slices said.
    #[must_use]
    pub fn slicing(mut self, way: Sliced) -> Self {
        self.slicing.way = way;
        self.assumed.retain(|assumed| assumed.key != "slicing.way");
        self
    }

    /// What its saws can do, and what its owner will hold.
    pub fn saw_limits(&self) -> SawLimits {
        SawLimits {
            most_tilt: self.table_saw.tilt_limit,
            kerf: self.table_saw.kerf,
            shortest: self.table_saw.shortest,
            narrowest: self.table_saw.narrowest,
            depth: self.table_saw.depth,
            depth_at_45: self.table_saw.depth_at_45,
            tilts_to: self.table_saw.tilts_to,
            slicing_height: self.slicing.height,
        }
    }

    /// What its gluing goes by.
    pub fn glue_terms(&self) -> GlueTerms {
        GlueTerms {
            slice: self.slicing.thickness,
            open_time: self.glue.open_time,
            tile_seconds: self.glue.pace,
        }
    }

    /// Thickness of the finished panel: a slice less what flattening takes, in mm.
    pub fn finished_thickness(&self) -> f64 {
        self.slicing.thickness - self.slicing.sanding
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_new_shop_file_says_the_common_values() {
        let mut new = Shop::parse(NEW_SHOP).unwrap();
        assert!(new.assumed.is_empty(), "{:?}", new.assumed);
        let mut common = Shop::common();
        assert!(!common.assumed.is_empty());
        common.assumed.clear();
        new.assumed.clear();
        // The example's own stock is all that may differ.
        common.boards.clone_from(&new.boards);
        common.veneers.clone_from(&new.veneers);
        assert_eq!(new, common);
    }
}
