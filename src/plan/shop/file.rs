//! How a shop file becomes a checked [`Shop`]: its tables one after the other.

use toml::Spanned;

use super::{
    Clamps, Glue, Shop, ShopError, Veneering,
    boards::{board, common_sheet, count, leaf, price},
    held::{HeldKind, booked, held},
    reader::{Reader, not},
    saws::{cutting, slicing, table_saw},
    tables::{ClampsTable, File},
};
use crate::plan::{glue_up::TILE_SECONDS, units::Units};

/// The most entries of one list; a bound against mistakes.
const MOST_ENTRIES: usize = 100_000;

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
