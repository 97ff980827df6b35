//! What lies on a rack beside boards and leaves: strips, bars and tiles; and the changes that were booked.

use toml::Spanned;

use super::{
    ShopError,
    boards::{LONGEST_SIDE, count},
    reader::in_range,
    tables::{BookedTable, HeldTable},
    value::Length,
};

/// What a part in hand is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeldKind {
    /// A strip.
    Strip,
    /// A glued bar.
    Bar,
    /// A slice of a bar.
    Tile,
}

impl HeldKind {
    /// As the file's list is called.
    pub fn word(self) -> &'static str {
        match self {
            Self::Strip => "strip",
            Self::Bar => "bar",
            Self::Tile => "tile",
        }
    }
}

/// Parts in hand that are alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// What they are.
    pub kind: HeldKind,
    /// What they are called; of a tile, as the recipe calls it.
    pub name: String,
    /// How many.
    pub count: u32,
    /// Where they lie.
    pub place: Option<String>,
    /// The recipe that they were made for.
    pub recipe: Option<String>,
    /// The section as seen at its end, corners in mm.
    pub section: Vec<[f64; 2]>,
    /// Whether only its sides were measured, so that the section is a rectangle around it; of a strip its face and the
    /// thickness.
    pub sides_only: bool,
    /// In mm; of a tile its thickness.
    pub length: f64,
}

impl Held {
    /// Width and height of the section, in mm.
    pub fn size(&self) -> [f64; 2] {
        [0, 1].map(|axis| {
            let all = || self.section.iter().map(|corner| corner[axis]);
            all().fold(f64::MIN, f64::max) - all().fold(f64::MAX, f64::min)
        })
    }

    /// Area of the section, in square mm.
    pub fn area(&self) -> f64 {
        let next = self.section.iter().cycle().skip(1);
        let pairs = self.section.iter().zip(next);
        let twice: f64 = pairs.map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum();
        twice.abs() / 2.0
    }
}

/// A change of a rack that was booked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Booked {
    /// The plan's number; none where a piece was added.
    pub plan: Option<String>,
    /// The recipe that the plan was for.
    pub recipe: Option<String>,
    /// The file that holds the rack as it was before.
    pub former: String,
    /// The mark of the pieces as they were afterwards.
    pub pieces: String,
}

pub(super) fn held(table: HeldTable, kind: HeldKind, number: usize) -> Result<Held, ShopError> {
    let (along, key, across) = match kind {
        HeldKind::Strip => (table.length, "length", table.thickness),
        HeldKind::Bar => (table.length, "length", table.height),
        HeldKind::Tile => (table.thickness, "thickness", table.height),
    };
    let range = 0.1..=LONGEST_SIDE;
    let span = table.name.as_ref().map_or(0..0, Spanned::span);
    let lacks = |what: &str| {
        ShopError::at(span.clone(), format!("a {} needs `{what}`", kind.word()))
            .help("write it in mm, or with its unit: \"3/4 in\"")
    };
    let length = in_range(key, &along.ok_or_else(|| lacks(key))?, &range)?;
    let sides_only = table.section.is_none();
    let section = if let Some(section) = table.section {
        outline(&section)?
    } else {
        let [width, high] = [(table.width, "width"), (across, "height")].map(|(given, key)| {
            let given: Spanned<Length> = given.ok_or_else(|| match kind {
                HeldKind::Strip if key == "height" => lacks("thickness"),
                _ => lacks(key),
            })?;
            in_range(key, &given, &range)
        });
        let (width, high) = (width?, high?);
        vec![[0.0, 0.0], [width, 0.0], [width, high], [0.0, high]]
    };
    Ok(Held {
        kind,
        name: (table.name).map_or_else(|| format!("{} {number}", kind.word()), Spanned::into_inner),
        count: count(table.count)?.unwrap_or(1),
        place: table.place,
        recipe: table.recipe,
        section,
        sides_only,
        length,
    })
}

fn outline(given: &Spanned<Vec<[f64; 2]>>) -> Result<Vec<[f64; 2]>, ShopError> {
    let corners = given.get_ref();
    let fine = |corner: &[f64; 2]| corner.iter().all(|n| n.abs() <= LONGEST_SIDE);
    if (3..=1000).contains(&corners.len()) && corners.iter().all(fine) {
        return Ok(corners.clone());
    }
    Err(ShopError::at(
        given.span(),
        "`section` must be from 3 to 1000 corners, each [x, y] in mm",
    ))
}

pub(super) fn booked(table: BookedTable) -> Booked {
    Booked {
        plan: table.plan,
        recipe: table.recipe,
        former: table.former,
        pieces: table.pieces,
    }
}
