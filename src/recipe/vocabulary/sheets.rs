//! Words for layers and sheets.

use crate::recipe::misuse::Misuse;
use rhai::plugin::*;
use rhai::{Array, Dynamic};

use super::group::Group;
use super::wood::{self, Layer, Sheet};
use crate::recipe::args;
use crate::recipe::fault::Fault;
use crate::stock::{self, Colour, Grain, LayerKind};

/// The group.
pub fn group() -> Group {
    Group {
        name: "sheets",
        about: "Plies, veneers and what is laminated from them.",
        module: exported_module!(words),
    }
}

fn layer(
    kind: LayerKind,
    thickness: &Dynamic,
    colour: Colour,
    grain: Grain,
) -> Result<Layer, Box<EvalAltResult>> {
    let thickness = args::length(thickness, "the thickness of a layer")?;
    Ok(Layer(
        stock::Layer::new(kind, thickness, colour, grain).map_err(Fault::from)?,
    ))
}

fn plywood_of(
    plies: &Dynamic,
    thickness: &Dynamic,
    colour: Colour,
) -> Result<Sheet, Box<EvalAltResult>> {
    let plies = args::count(plies, "the number of plies", 1)?;
    let thickness =
        args::length(thickness, "the thickness of plywood").map_err(|f| f.argument(1))?;
    let each = thickness / plies as f64;
    if each > 0.0 && each < THINNEST_PLY {
        let inches = args::measured(thickness);
        return Err(Fault::from(Misuse::ThinPlies {
            plies,
            inches,
            each,
        })
        .argument(1)
        .into());
    }
    Ok(stock::Sheet::plywood(plies, thickness, colour)
        .map_err(Fault::from)?
        .into())
}

/// The thinnest ply in mm. The thinnest plywood on sale, for model aircraft, has three plies in 0.4 mm (common
/// practice): 0.13 mm each.
const THINNEST_PLY: f64 = 0.1;

fn birch() -> Colour {
    Colour::parse("birch").expect("invariant: birch is in the table of woods")
}

/// The layers that an entry of a lamination stands for: a layer, a sheet's layers, or a list.
fn layers_of(value: &Dynamic, what: &str, out: &mut Vec<stock::Layer>) -> Result<(), Fault> {
    if let Some(layer) = value.read_lock::<Layer>() {
        out.push(layer.0);
    } else if let Some(sheet) = value.read_lock::<Sheet>() {
        out.extend_from_slice(sheet.0.layers());
    } else if let Some(list) = value.read_lock::<Array>() {
        for (i, entry) in list.iter().enumerate() {
            layers_of(entry, &format!("entry {i} of {what}"), out)?;
        }
    } else {
        return Err(args::unexpected(
            what,
            "a layer, a sheet or a list of them",
            value,
        ));
    }
    if out.len() > stock::sheet::MOST_LAYERS {
        return Err(stock::StockError::TooManyLayers { count: out.len() }.into());
    }
    Ok(())
}

#[export_module]
mod words {
    /// A ply of some thickness and colour, its grain along the strip.
    ///
    /// The colour is a wood (`"birch"`, `"walnut"`) or any CSS colour. A slice shows the end grain
    /// of a ply that runs along the strip, which is darker.
    ///
    /// # Example
    /// ```rhai
    /// let face = ply(1.4, "birch");
    /// let core = ply("1/16 in", "walnut").grain("across");
    /// let sheet = laminate([face, core, face]);
    /// ```
    #[rhai_fn(name = "ply", return_raw)]
    pub fn ply(thickness: Dynamic, colour: Dynamic) -> Result<Layer, Box<EvalAltResult>> {
        let colour = wood::colour(&colour, "the colour of a ply")?;
        layer(LayerKind::Ply, &thickness, colour, Grain::Along)
    }

    /// A veneer of some thickness and colour, to laminate onto or between plies.
    ///
    /// # Example
    /// ```rhai
    /// let dyed = veneer(0.6, "navy");
    /// let sheet = laminate([dyed, plywood(5, 6.4), dyed]);
    /// ```
    #[rhai_fn(name = "veneer", return_raw)]
    pub fn veneer(thickness: Dynamic, colour: Dynamic) -> Result<Layer, Box<EvalAltResult>> {
        let colour = wood::colour(&colour, "the colour of a veneer")?;
        layer(LayerKind::Veneer, &thickness, colour, Grain::Along)
    }

    /// A glue line thick enough to be seen.
    ///
    /// # Example
    /// ```rhai
    /// let thin = plywood(5, 6.4);
    /// let double = laminate([thin, glue_line(0.15, "saddlebrown"), thin]);
    /// ```
    #[rhai_fn(name = "glue_line", return_raw)]
    pub fn glue_line(thickness: Dynamic, colour: Dynamic) -> Result<Layer, Box<EvalAltResult>> {
        let colour = wood::colour(&colour, "the colour of a glue line")?;
        layer(LayerKind::Glue, &thickness, colour, Grain::None)
    }

    /// The layer with its grain `"along"` the strip, `"across"` it, or `"none"`.
    ///
    /// # Example
    /// ```rhai
    /// let core = ply(1.4, "birch").grain("across");
    /// ```
    #[rhai_fn(name = "grain", pure, return_raw)]
    pub fn grain(layer: &mut Layer, direction: Dynamic) -> Result<Layer, Box<EvalAltResult>> {
        let which = args::choice(&direction, "the grain", &["along", "across", "none"])?;
        let grain = [Grain::Along, Grain::Across, Grain::None][which];
        Ok(Layer(stock::Layer { grain, ..layer.0 }))
    }

    /// A sheet of birch plywood: so many equal plies with crossed grain, so thick altogether.
    ///
    /// A third value gives another wood or colour. Measure your sheet: what is sold as 18 mm is
    /// often 17.7.
    ///
    /// # Example
    /// ```rhai
    /// let birch = plywood(13, 17.7);
    /// let dark = plywood(9, "15/32 in", "walnut");
    /// ```
    #[rhai_fn(name = "plywood", return_raw)]
    pub fn plywood(plies: Dynamic, thickness: Dynamic) -> Result<Sheet, Box<EvalAltResult>> {
        plywood_of(&plies, &thickness, birch())
    }

    #[rhai_fn(name = "plywood", return_raw)]
    pub fn plywood_coloured(
        plies: Dynamic,
        thickness: Dynamic,
        colour: Dynamic,
    ) -> Result<Sheet, Box<EvalAltResult>> {
        let number = colour.is_int() || colour.is_float();
        let colour = wood::colour(&colour, "the colour of plywood").map_err(|fault| {
            let fault = fault.argument(2);
            match (thickness.as_int(), number) {
                (Ok(whole), true) if whole >= 0 => fault.help(format!(
                    "if the thickness is {whole}.{colour} mm, write a point: plywood({plies}, {whole}.{colour})"
                )),
                (_, true) => fault.help("a colour is a text: \"walnut\", \"navy\" or \"#1b3a5c\""),
                _ => fault,
            }
        })?;
        plywood_of(&plies, &thickness, colour)
    }

    /// A sheet of layers, veneers and other sheets, listed from face to back.
    ///
    /// # Example
    /// ```rhai
    /// let birch = plywood(13, 17.7);
    /// let blue  = laminate([veneer(0.6, "navy"), birch, veneer(0.6, "navy")]);
    /// let thick = laminate([blue, blue]);
    /// ```
    #[rhai_fn(name = "laminate", return_raw)]
    pub fn laminate(layers: Array) -> Result<Sheet, Box<EvalAltResult>> {
        let mut all = Vec::new();
        layers_of(&Dynamic::from(layers), "the layers", &mut all)?;
        Ok(stock::Sheet::new(all).map_err(Fault::from)?.into())
    }

    /// How thick a layer or sheet is, in mm.
    ///
    /// # Example
    /// ```rhai
    /// let blue = laminate([veneer(0.6, "navy"), plywood(13, 17.7)]);
    /// print(`the sheet is ${blue.thickness} mm thick`);
    /// ```
    #[rhai_fn(get = "thickness", pure)]
    pub fn sheet_thickness(sheet: &mut Sheet) -> f64 {
        args::measured(sheet.0.thickness())
    }

    #[rhai_fn(get = "thickness", pure)]
    pub fn layer_thickness(layer: &mut Layer) -> f64 {
        layer.0.thickness
    }
}
