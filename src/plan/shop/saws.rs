//! The saws of a shop file and their allowances, checked against one another.

use toml::Spanned;

use super::{
    Cutting, ShopError, Slicing, TableSaw,
    reader::Reader,
    sliced::{self, Sliced},
    tables::{CuttingTable, SlicingTable, TableSawTable},
};
use crate::plan::{
    cautions::HELD_LAST,
    saw::{SawLimits, TiltsTo},
    units::decimal,
};

/// The thinnest slice that is cut off a bar where the file does not say, in mm (common practice).
const THINNEST_SLICE: f64 = 6.0;

/// The narrowest board that is cut off another where the file does not say, in mm (common practice: 2 in., so that
/// it lies flat under cauls and both hands and a push block find room beside the blade).
const NARROWEST_BOARD: f64 = 50.0;

/// The length that trimming the ends square takes of a bar where the file does not say, in mm, beside [`HELD_LAST`].
const SQUARE_ENDS: f64 = 10.0;

/// The table saw, its figures checked against one another.
pub(super) fn table_saw(reader: &mut Reader, t: TableSawTable) -> Result<TableSaw, ShopError> {
    let limits = SawLimits::default();
    let deeper = t.depth_at_45.as_ref().map(Spanned::span);
    let saw = TableSaw {
        kerf: reader.length("table_saw.kerf", t.kerf, limits.kerf, 0.3..=12.0)?,
        tilt_limit: reader.number(
            "table_saw.tilt_limit",
            t.tilt_limit,
            limits.most_tilt,
            0.0..=60.0,
        )?,
        shortest: reader.length(
            "table_saw.shortest",
            t.shortest,
            limits.shortest,
            50.0..=3000.0,
        )?,
        narrowest: reader.length(
            "table_saw.narrowest",
            t.narrowest,
            limits.narrowest,
            6.0..=200.0,
        )?,
        depth: reader.length("table_saw.depth", t.depth, limits.depth, 10.0..=400.0)?,
        depth_at_45: reader.length(
            "table_saw.depth_at_45",
            t.depth_at_45,
            limits.depth_at_45,
            5.0..=400.0,
        )?,
        tilts_to: match t.tilts_to {
            None => {
                reader.assume("table_saw.tilts_to", "\"left\"".to_owned());
                TiltsTo::Left
            }
            Some(word) => match word.get_ref().trim().to_lowercase().as_str() {
                "left" => TiltsTo::Left,
                "right" => TiltsTo::Right,
                other => {
                    return Err(ShopError::at(
                        word.span(),
                        format!("`{other}` is no side that a blade tilts to"),
                    )
                    .help("write \"left\" or \"right\", as you stand to feed the work"));
                }
            },
        },
    };
    if saw.depth_at_45 > saw.depth {
        return Err(ShopError::at(
            deeper.unwrap_or(0..0),
            format!(
                "a tilted blade cuts less deep than an upright one: {} mm at 45 degrees, {} mm upright",
                decimal(saw.depth_at_45, 2),
                decimal(saw.depth, 2)
            ),
        )
        .help("measure both, `table_saw.depth` and `table_saw.depth_at_45`"));
    }
    Ok(saw)
}

fn what_is_sliced(reader: &mut Reader, way: Option<Spanned<String>>) -> Result<Sliced, ShopError> {
    let Some(word) = way else {
        reader.assume("slicing.way", "\"tiles\"".to_owned());
        return Ok(Sliced::Tiles);
    };
    let parsed = word.get_ref().parse();
    parsed.map_err(|error: String| ShopError::at(word.span(), error).help(sliced::WAYS))
}

/// The saw that slices bars, its figures checked against one another.
pub(super) fn slicing(reader: &mut Reader, s: SlicingTable) -> Result<Slicing, ShopError> {
    let thickness_span = s.thickness.as_ref().map(Spanned::span);
    let sanding_span = s.sanding.as_ref().map(Spanned::span);
    let thinnest_span = s.thinnest.as_ref().map(Spanned::span);
    let slicing = Slicing {
        way: what_is_sliced(reader, s.way)?,
        kerf: reader.length("slicing.kerf", s.kerf, 0.8, 0.3..=12.0)?,
        thickness: reader.length("slicing.thickness", s.thickness, 13.0, 1.0..=500.0)?,
        thinnest: reader.length("slicing.thinnest", s.thinnest, THINNEST_SLICE, 3.0..=100.0)?,
        height: reader.length(
            "slicing.height",
            s.height,
            SawLimits::default().slicing_height,
            10.0..=1000.0,
        )?,
        sanding: reader.length("slicing.sanding", s.sanding, 1.0, 0.0..=50.0)?,
        end_trim: reader.length(
            "slicing.end_trim",
            s.end_trim,
            HELD_LAST + SQUARE_ENDS,
            0.0..=1000.0,
        )?,
    };
    if slicing.thickness < slicing.thinnest {
        return Err(ShopError::at(
            thickness_span.or(thinnest_span).unwrap_or(0..0),
            format!(
                "slices of {} mm are too thin to hold: below `slicing.thinnest`, {} mm, they catch and \
                 break",
                decimal(slicing.thickness, 2),
                decimal(slicing.thinnest, 2)
            ),
        )
        .help(format!(
            "cut slices of {} mm and let `slicing.sanding` take the rest off the glued panel on a carrier \
             board",
            decimal(slicing.thinnest, 2)
        )));
    }
    if slicing.sanding >= slicing.thickness {
        let span = sanding_span.or(thickness_span).unwrap_or(0..0);
        return Err(ShopError::at(
            span,
            format!(
                "sanding takes {} mm off slices of {} mm: nothing is left",
                decimal(slicing.sanding, 2),
                decimal(slicing.thickness, 2)
            ),
        )
        .help("make `slicing.thickness` larger or `slicing.sanding` smaller"));
    }
    Ok(slicing)
}

/// The allowances of cutting, checked against one another and against those of slicing.
pub(super) fn cutting(
    reader: &mut Reader,
    table: CuttingTable,
    slicing: Slicing,
) -> Result<Cutting, ShopError> {
    let spare = match table.spare {
        None => {
            reader.assume("cutting.spare", "\"5 %\"".to_owned());
            0.05
        }
        Some(share) if (0.0..=10.0).contains(&share.get_ref().0) && share.get_ref().0 < 1.0 => {
            share.get_ref().0
        }
        Some(share) => {
            let given = share.get_ref().0;
            let error = ShopError::at(
                share.span(),
                format!("`spare` must be a share from 0 to below 1, not {given}"),
            );
            return Err(if (1.0..100.0).contains(&given) {
                error.help(format!("for {given} percent write \"{given} %\""))
            } else {
                error.help("write for example \"5 %\" or 0.05")
            });
        }
    };
    let length_span = table.bar_length.as_ref().map(Spanned::span);
    let cutting = Cutting {
        spare,
        edge_trim: reader.length("cutting.edge_trim", table.edge_trim, 5.0, 0.0..=500.0)?,
        narrowest_board: reader.length(
            "cutting.narrowest_board",
            table.narrowest_board,
            NARROWEST_BOARD,
            12.0..=500.0,
        )?,
        bar_length: reader.length(
            "cutting.bar_length",
            table.bar_length,
            610.0,
            20.0..=10_000.0,
        )?,
        overhang: reader.length("cutting.overhang", table.overhang, 10.0, 0.0..=500.0)?,
        any_grain: table.any_grain.unwrap_or_else(|| {
            reader.assume("cutting.any_grain", "false".to_owned());
            false
        }),
        any_thickness: table.any_thickness.unwrap_or_else(|| {
            reader.assume("cutting.any_thickness", "false".to_owned());
            false
        }),
    };
    let needed = slicing.end_trim + slicing.thickness;
    if cutting.bar_length < needed {
        return Err(ShopError::at(
            length_span.unwrap_or(0..0),
            format!(
                "a bar of {} mm gives no slice: its ends take {} mm and a slice {} mm",
                decimal(cutting.bar_length, 2),
                decimal(slicing.end_trim, 2),
                decimal(slicing.thickness, 2)
            ),
        )
        .help("make `cutting.bar_length` larger, or check `slicing.end_trim`"));
    }
    Ok(cutting)
}
