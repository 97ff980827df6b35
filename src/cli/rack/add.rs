//! `plyloom rack add`: pieces as they are typed.

use clap::{Args, ValueEnum};

use crate::cli::cli_error::CliError;
use crate::cli::typed_length::measured;
use crate::rack::{List, New};

/// What is added.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Kind {
    /// A whole sheet
    Sheet,
    /// An off-cut
    Scrap,
    /// A veneer leaf
    Veneer,
    /// A strip
    Strip,
    /// A glued bar
    Bar,
    /// A tile
    Tile,
}

#[derive(Debug, Args)]
pub(super) struct AddArgs {
    /// What it is
    #[arg(value_name = "KIND")]
    kind: Kind,

    /// What it is called; a tile as the recipe calls it
    #[arg(long)]
    name: Option<String>,

    /// How many are alike
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    count: u32,

    /// Width; of a strip on its face
    #[arg(long, value_name = "LENGTH", value_parser = measured)]
    width: f64,

    /// Length
    #[arg(long, value_name = "LENGTH", value_parser = measured)]
    length: Option<f64>,

    /// Thickness as you measure it; of a board without veneers
    #[arg(long, value_name = "LENGTH", value_parser = measured)]
    thickness: Option<f64>,

    /// Height of a bar's or a tile's section
    #[arg(long, value_name = "LENGTH", value_parser = measured)]
    height: Option<f64>,

    /// Colour of a veneer
    #[arg(long)]
    colour: Option<String>,

    /// The plywood's wood
    #[arg(long)]
    wood: Option<String>,

    /// Veneer on the face; may be repeated, the outermost first
    #[arg(long, value_name = "COLOUR")]
    face: Vec<String>,

    /// Veneer on the back; may be repeated, the outermost first
    #[arg(long, value_name = "COLOUR")]
    back: Vec<String>,

    /// Which way the face grain runs: `length`, `width` or `any`
    #[arg(long)]
    grain: Option<String>,

    /// The recipe that a strip, bar or tile was made for
    #[arg(long = "of", value_name = "RECIPE")]
    recipe: Option<String>,

    /// Where it lies
    #[arg(long)]
    place: Option<String>,
}

impl AddArgs {
    pub(super) fn list(&self) -> List {
        match self.kind {
            Kind::Sheet => List::Sheet,
            Kind::Scrap => List::Scrap,
            Kind::Veneer => List::Veneer,
            Kind::Strip => List::Strip,
            Kind::Bar => List::Bar,
            Kind::Tile => List::Tile,
        }
    }

    /// The piece.
    ///
    /// # Errors
    /// When what such a piece needs is not said.
    pub(super) fn new_piece(&self) -> Result<New, CliError> {
        let list = self.list();
        let needs = |what: &str| CliError::Usage {
            message: format!("a {} needs `--{what}`", list.word()),
            help: format!("say `plyloom rack add {} --{what} ...`", list.word()),
        };
        if list == List::Veneer && self.colour.is_none() {
            return Err(needs("colour"));
        }
        if list != List::Tile && self.length.is_none() {
            return Err(needs("length"));
        }
        if list >= List::Strip && list != List::Bar && self.thickness.is_none() {
            return Err(needs("thickness"));
        }
        if matches!(list, List::Bar | List::Tile) && self.height.is_none() {
            return Err(needs("height"));
        }
        Ok(New {
            name: self.name.clone(),
            count: Some(self.count),
            place: self.place.clone(),
            recipe: self.recipe.clone(),
            colour: self.colour.clone(),
            wood: self.wood.clone(),
            face: self.face.clone(),
            back: self.back.clone(),
            grain: self.grain.clone(),
            width: Some(self.width),
            height: self.height,
            length: self.length,
            thickness: self.thickness,
            section: Vec::new(),
        })
    }
}
