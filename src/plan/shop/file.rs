//! How a shop file becomes a checked [`Shop`]: its tables one after the other, and what must hold
//! between them.

use toml::Spanned;

use super::{
    Clamps, Cutting, Glue, Shop, ShopError, Slicing, TableSaw, Veneering,
    boards::{board, common_sheet, count, leaf, price},
    held::{HeldKind, booked, held},
    reader::{Reader, not},
    sliced::{self, Sliced},
    tables::{ClampsTable, CuttingTable, File, SlicingTable, TableSawTable},
};
use crate::plan::{
    cautions::HELD_LAST,
    glue_up::TILE_SECONDS,
    saw::{SawLimits, TiltsTo},
    units::{Units, decimal},
};

/// The most entries of one list; a bound against mistakes.
const MOST_ENTRIES: usize = 100_000;

/// The thinnest slice that is cut off a bar where the file does not say, in mm (common practice).
const THINNEST_SLICE: f64 = 6.0;

/// The narrowest board that is cut off another where the file does not say, in mm (common practice: 2 in., so that
/// it lies flat under cauls and both hands and a push block find room beside the blade).
const NARROWEST_BOARD: f64 = 50.0;

/// What square ends cost a bar where the file does not say, in mm, beside [`HELD_LAST`].
const SQUARE_ENDS: f64 = 10.0;

/// What a clamp gives and how far it opens where the file does not say, in kN and mm: a bar clamp of middling
/// size (common practice; its maker's figure comes first).
const CLAMP_FORCE: f64 = 3.0;
const CLAMP_OPENING: f64 = 1000.0;

/// A whole sheet where the file names none: 8 x 4 ft in its usual metric form, in mm.
const COMMON_SHEET: (f64, f64) = (1220.0, 2440.0);

/// Reads and checks a shop file.
pub(super) fn parse(text: &str) -> Result<Shop, ShopError> {
    let file: File = toml::from_str(text).map_err(|e| ShopError::of_toml(&e, text))?;
    let mut reader = Reader::default();
    let units = match &file.units {
        None => Units::Metric,
        Some(word) => match word.get_ref().trim().to_lowercase().as_str() {
            "mm" => Units::Metric,
            "in" | "inch" | "inches" => Units::Inch,
            other => {
                return Err(ShopError::at(
                    word.span(),
                    format!("`{other}` is no unit that a plan can be printed in"),
                )
                .help("write \"mm\" or \"in\""));
            }
        },
    };
    if file.units.is_none() {
        reader.assume("units", "\"mm\"".to_owned());
    }
    let table_saw = table_saw(&mut reader, file.table_saw)?;
    let slicing = slicing(&mut reader, file.slicing)?;
    let cutting = cutting(&mut reader, file.cutting, slicing)?;
    let glue = Glue {
        spread: reader.number("glue.spread", file.glue.spread, 180.0, 1.0..=2000.0)?,
        open_time: reader.number("glue.open_time", file.glue.open_time, 5.0, 0.1..=600.0)?,
        pace: reader.number("glue.pace", file.glue.pace, TILE_SECONDS, 1.0..=3600.0)?,
        price: price(file.glue.price)?,
    };
    let clamps = clamps(&mut reader, file.clamps)?;
    let veneering = veneering(&mut reader, file.veneering.way)?;
    let density = reader.number("wood.density", file.wood.density, 680.0, 50.0..=2000.0)?;
    let currency = file.prices.currency.unwrap_or_else(|| {
        reader.assume("prices.currency", "\"EUR\"".to_owned());
        "EUR".to_owned()
    });
    let mut boards = Vec::new();
    for (list, word, few) in [(file.sheet, "sheet", None), (file.scrap, "scrap", Some(1))] {
        if list.len() > MOST_ENTRIES {
            return Err(ShopError::at(
                list[MOST_ENTRIES].span(),
                format!("more than {MOST_ENTRIES} entries `[[{word}]]`"),
            ));
        }
        for (i, table) in list.into_iter().enumerate() {
            boards.push(board(table.into_inner(), word, i + 1, few)?);
        }
    }
    if boards.is_empty() && !file.rack {
        let (width, length) = COMMON_SHEET;
        boards.push(common_sheet(width, length));
        reader.assume("sheet", format!("as many as needed, {width} x {length} mm"));
    }
    let veneers = file
        .veneer
        .into_iter()
        .map(|table| leaf(table.into_inner()))
        .collect::<Result<_, _>>()?;
    let mut parts = Vec::new();
    for (list, kind) in [
        (file.strip, HeldKind::Strip),
        (file.bar, HeldKind::Bar),
        (file.tile, HeldKind::Tile),
    ] {
        for (i, table) in list.into_iter().enumerate() {
            parts.push(held(table, kind, i + 1)?);
        }
    }
    Ok(Shop {
        units,
        table_saw,
        slicing,
        cutting,
        glue,
        clamps,
        veneering,
        density,
        currency,
        boards,
        veneers,
        rack: file.rack,
        held: parts,
        booked: file.booked.into_iter().map(booked).collect(),
        assumed: reader.assumed,
    })
}

fn clamps(reader: &mut Reader, t: ClampsTable) -> Result<Clamps, ShopError> {
    let range = 0.1..=50.0;
    let force = match t.force {
        None => {
            reader.assume("clamps.force", format!("{CLAMP_FORCE} kN"));
            CLAMP_FORCE
        }
        Some(force) if range.contains(&force.get_ref().0) => force.get_ref().0,
        Some(force) => {
            return Err(ShopError::at(
                force.span(),
                format!(
                    "`force` must lie between {} kN and {} kN, {}",
                    range.start(),
                    range.end(),
                    not(force.get_ref().0, " kN")
                ),
            )
            .help("a number alone is in kN; for pounds-force write for example \"700 lbf\""));
        }
    };
    Ok(Clamps {
        force,
        count: count(t.count)?,
        opening: reader.length("clamps.opening", t.opening, CLAMP_OPENING, 50.0..=10_000.0)?,
    })
}

fn veneering(reader: &mut Reader, way: Option<Spanned<String>>) -> Result<Veneering, ShopError> {
    let Some(word) = way else {
        reader.assume("veneering.way", "\"press\"".to_owned());
        return Ok(Veneering::Press);
    };
    match word.get_ref().trim().to_lowercase().as_str() {
        "press" => Ok(Veneering::Press),
        "iron" => Ok(Veneering::Iron),
        other => Err(
            ShopError::at(word.span(), format!("`{other}` is no way to veneer")).help(
                "write \"press\" (wet, between cauls) or \"iron\" (coated, dried, ironed on)",
            ),
        ),
    }
}

fn table_saw(reader: &mut Reader, t: TableSawTable) -> Result<TableSaw, ShopError> {
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

fn slicing(reader: &mut Reader, s: SlicingTable) -> Result<Slicing, ShopError> {
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

fn cutting(
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

#[cfg(test)]
mod tests {
    use super::*;

    fn error(text: &str) -> (String, String, String) {
        let e = parse(text).unwrap_err();
        let at = text.get(e.span.clone()).unwrap().to_owned();
        (e.message, e.help.unwrap_or_default(), at)
    }

    #[test]
    fn lengths_in_any_unit() {
        let shop = parse(
            "units = \"in\"\n[table_saw]\nkerf = \"1/8 in\"\n[slicing]\nthickness = \"1/2 in\"\n\
             [cutting]\nspare = \"10 %\"\nbar_length = \"2 ft\"\n[[scrap]]\nwidth = \"9 1/2 in\"\n\
             length = 800\nface = [\"teal\", \"white\"]\n",
        )
        .unwrap();
        assert_eq!(shop.units, Units::Inch);
        assert!((shop.table_saw.kerf - 3.175).abs() < 1e-12);
        assert!((shop.slicing.thickness - 12.7).abs() < 1e-12);
        assert!((shop.cutting.spare - 0.1).abs() < 1e-12);
        assert!((shop.cutting.bar_length - 609.6).abs() < 1e-9);
        assert_eq!((shop.boards.len(), shop.boards[0].count), (1, Some(1)));
        assert_eq!(shop.boards[0].face.len(), 2);
    }

    #[test]
    fn an_unknown_key_is_refused_with_the_near_one() {
        let (message, help, at) = error("[table_saw]\nkref = 3\n");
        assert_eq!(message, "a shop file has no key `kref` here");
        assert!(help.starts_with("did you mean `kerf`?"), "{help}");
        assert_eq!(at, "kref");
        let (_, help, at) = error("[[scraps]]\nwidth = 3\n");
        assert!(help.starts_with("did you mean `scrap`?"), "{help}");
        assert_eq!(at, "scraps");
        let (_, help, _) = error("paint = 3\n");
        assert!(help.starts_with("known here: units, table_saw"), "{help}");
    }

    #[test]
    fn bad_values_are_shown_where_they_stand() {
        for (text, message, help, at) in [
            (
                "[table_saw]\nkerf = 0\n",
                "`kerf` must lie between 0.3 mm and 12 mm, not 0 mm",
                "",
                "0",
            ),
            (
                "[table_saw]\nkerf = 0.125\n",
                "`kerf` must lie between 0.3 mm and 12 mm, not 0.125 mm",
                "a number alone is in mm; for inches write \"0.125 in\"",
                "0.125",
            ),
            (
                "[table_saw]\nkerf = 1000\n",
                "`kerf` must lie between 0.3 mm and 12 mm, not 1000 mm",
                "",
                "1000",
            ),
            (
                "[table_saw]\nkerf = nan\n",
                "`kerf` must lie between 0.3 mm and 12 mm, and nan is no number",
                "",
                "nan",
            ),
            (
                "[[scrap]]\nwidth = 100\nlength = 500\ncount = -2\n",
                "`count` must lie between 0 and 1000000, not -2",
                "",
                "-2",
            ),
            (
                "[cutting]\nspare = 5\n",
                "`spare` must be a share from 0 to below 1, not 5",
                "for 5 percent write \"5 %\"",
                "5",
            ),
            (
                "units = \"furlong\"\n",
                "`furlong` is no unit that a plan can be printed in",
                "write \"mm\" or \"in\"",
                "\"furlong\"",
            ),
            (
                "[glue]\nprice = -1\n",
                "`price` must lie between 0 and 1e9, not -1",
                "",
                "-1",
            ),
            (
                "[slicing]\nthickness = 7\nsanding = 8\n",
                "sanding takes 8 mm off slices of 7 mm: nothing is left",
                "make `slicing.thickness` larger or `slicing.sanding` smaller",
                "8",
            ),
            (
                "[slicing]\nthickness = 5\n",
                "slices of 5 mm are too thin to hold: below `slicing.thinnest`, 6 mm, they catch and break",
                "cut slices of 6 mm and let `slicing.sanding` take the rest off the glued panel on a carrier board",
                "5",
            ),
            (
                "[table_saw]\ndepth = 50\ndepth_at_45 = 60\n",
                "a tilted blade cuts less deep than an upright one: 60 mm at 45 degrees, 50 mm upright",
                "measure both, `table_saw.depth` and `table_saw.depth_at_45`",
                "60",
            ),
            (
                "[table_saw]\ntilts_to = \"up\"\n",
                "`up` is no side that a blade tilts to",
                "write \"left\" or \"right\", as you stand to feed the work",
                "\"up\"",
            ),
            (
                "[[scrap]]\nwidth = 100\nlength = 500\nface = \"brich\"\n",
                "`brich` is no colour",
                "did you mean \"birch\"?",
                "\"brich\"",
            ),
        ] {
            let found = error(text);
            assert_eq!(
                (found.0.as_str(), found.1.as_str(), found.2.as_str()),
                (message, help, at)
            );
        }
        let (message, _, at) = error("[table_saw]\nkerf = true\n");
        assert!(
            message.contains("expected a length such as 3.2"),
            "{message}"
        );
        assert_eq!(at, "true");
        let (message, ..) = error("[table_saw]\nkerf = \"3 ells\"\n");
        assert!(message.contains("`ells` is no unit of length"), "{message}");
        let (message, ..) = error("[[scrap]]\nwidth = 100\n");
        assert!(message.contains("missing field `length`"), "{message}");
        assert!(parse("units = \n").is_err() && parse("[[[").is_err());
    }
}
