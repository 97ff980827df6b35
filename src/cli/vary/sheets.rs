//! The files of a finished sweep: the index, and the sheets that show it.

use std::collections::BTreeSet;
use std::path::Path;

use rayon::iter::{IntoParallelIterator as _, ParallelIterator as _};

use crate::cli::cli_error::CliError;
use crate::cli::credit;
use crate::cli::vary::folder::{Folder, INDEX, UNFINISHED, changed, drawing, failures, small};
use crate::draw::{
    DrawError, Missing, Picture, SheetCard, contact_page_html, contact_sheet_png, contact_sheet_svg,
};
use crate::explore::choose::{Choose, Sort};
use crate::explore::index::{Head, Index, MadeVariation, Variation};
use crate::explore::measured::unit_of;
use crate::files::{remove, write_picture, write_whole};
use crate::recipe::about::About;
use crate::watch;

/// The most pictures on a sheet; more could not be looked through.
pub(super) const MOST_CARDS: usize = 400;
/// Width of the sheet as pixels.
const PIXELS: u32 = 2400;

/// A finished sweep.
pub(super) struct Finished {
    /// Its index.
    pub(super) index: Index,
    /// How many of those chosen the sheets leave out.
    pub(super) left_out: usize,
    /// Why there is no sheet of pixels, where there is none.
    pub(super) no_png: Option<DrawError>,
}

/// Writes index and sheets of all variations, which are in the order of their numbers. `from` has
/// the drawings.
///
/// # Errors
/// When something cannot be written, or a drawing is gone.
pub(super) fn finish(
    folder: &Folder,
    from: &Path,
    head: Head,
    mut variations: Vec<Variation>,
    choose: &Choose,
) -> Result<Finished, CliError> {
    let shown = choose.apply(&mut variations);
    let index = Index {
        head,
        shown,
        variations,
    };
    let left_out = index.shown.numbers.len().saturating_sub(MOST_CARDS);
    let cards = cards(from, &index)?;
    let title = title(&index.head);
    let note = note(&index, left_out);
    let missing: Vec<Missing> = failures(&index.variations)
        .map(|(v, why)| Missing {
            number: v.number,
            made_with: set_words(v, &all_names(v)),
            why: why.to_owned(),
        })
        .collect();
    let documents = || {
        let by = credit(&index.head.recipe.about);
        rayon::join(
            || contact_sheet_svg(&cards, &title, &note),
            || contact_page_html(&cards, &missing, &title, &note, &by),
        )
    };
    let pixels = || match contact_sheet_png(&cards, &title, &note, PIXELS) {
        Err(DrawError::TooLarge { fits, .. }) => contact_sheet_png(&cards, &title, &note, fits),
        other => other,
    };
    let handed = watch::handed();
    let (pixels, (sheet, page)) = rayon::join(|| handed.over(pixels), documents);
    write_picture(&folder.file("sheet.svg"), sheet.as_bytes())?;
    write_picture(&folder.file("sheet.html"), page.as_bytes())?;
    let no_png = match pixels {
        Ok(bytes) => {
            write_picture(&folder.file("sheet.png"), &bytes)?;
            None
        }
        Err(error) => {
            remove(&folder.file("sheet.png"))?;
            Some(error)
        }
    };
    write_whole(&folder.file(INDEX), index.json().as_bytes())?;
    remove(&folder.file(UNFINISHED))?;
    Ok(Finished {
        index,
        left_out,
        no_png,
    })
}

/// What sheets are called.
pub(super) fn title(head: &Head) -> String {
    format!("Variations of {}", name(&head.recipe.path))
}

/// Who made the recipe and what for, on one line; empty where nothing is said.
fn credit(about: &About) -> String {
    credit::before(about).trim_end().replace('\n', ". ")
}

fn cards(from: &Path, index: &Index) -> Result<Vec<SheetCard>, CliError> {
    let names = varying(&index.variations);
    let made = index.shown.numbers.iter().filter_map(|number| {
        let place = (index.variations).binary_search_by_key(number, |v| v.number);
        let variation = &index.variations[place.ok()?];
        Some((variation, variation.made()?))
    });
    let made: Vec<_> = made.take(MOST_CARDS).collect();
    let cards: Vec<_> = made
        .into_par_iter()
        .map(|(variation, made)| card(from, index, &names, variation, made))
        .collect();
    // The first fault in the order of the list is reported, not any.
    cards.into_iter().collect()
}

fn card(
    from: &Path,
    index: &Index,
    names: &BTreeSet<&str>,
    variation: &Variation,
    made: &MadeVariation,
) -> Result<SheetCard, CliError> {
    if !made.drawn() {
        return Err(undrawn(variation.number));
    }
    let pictures = made.panels.iter().map(|panel| {
        let size = (panel.width_mm, panel.height_mm);
        let read = Picture::read(&drawing(from, panel)?, size);
        let read = read.map_err(|_| changed(from, panel))?;
        Ok(read.with_small(small(from, panel)))
    });
    Ok(SheetCard {
        number: variation.number,
        times: match made.times {
            0 | 1 => String::new(),
            n => format!("came {n} times"),
        },
        made_with: set_words(variation, names),
        figures: figures(made, index.shown.sort.as_deref()),
        pictures: pictures.collect::<Result<_, CliError>>()?,
    })
}

/// Parts draw the best of each: joined they have the best of all, by the same formula.
fn undrawn(number: u64) -> CliError {
    CliError::Data {
        code: "vary::undrawn",
        message: format!("variation {number} was measured and not drawn"),
        help: "join the parts with the same `--best`, `--by`, `--only` and `--alike` as they were made with"
            .to_owned(),
    }
}

/// The parameters that are not the same everywhere.
fn varying(variations: &[Variation]) -> BTreeSet<&str> {
    let Some(first) = variations.first() else {
        return BTreeSet::new();
    };
    let mut names = BTreeSet::new();
    for variation in variations {
        for (mine, theirs) in variation.set.iter().zip(&first.set) {
            if mine.value != theirs.value {
                names.insert(mine.name.as_str());
            }
        }
    }
    names
}

fn all_names(variation: &Variation) -> BTreeSet<&str> {
    variation.set.iter().map(|s| s.name.as_str()).collect()
}

/// `seed 7, angle 45`.
pub(super) fn set_words(variation: &Variation, names: &BTreeSet<&str>) -> String {
    let seed = variation.seed.map(|seed| format!("seed {seed}"));
    let set = variation
        .set
        .iter()
        .filter(|s| names.contains(s.name.as_str()))
        .map(|s| format!("{} {}", s.name, s.value));
    seed.into_iter().chain(set).collect::<Vec<_>>().join(", ")
}

/// The measure that they are sorted by; else how many tiles, and through how many joints lines run.
fn figures(made: &MadeVariation, sort: Option<&str>) -> String {
    let sorted = sort
        .and_then(|s| s.rsplit_once(':'))
        .and_then(|(text, _)| Sort::read(text).ok())
        .map(|sort| (sort.by.text().to_owned(), made.value(&sort.by)))
        .map(|(name, value)| match value {
            Some(value) => format!("{name} {value:.3} {}", unit_of(&name))
                .trim_end()
                .to_owned(),
            None => format!("{name} not defined"),
        });
    sorted.unwrap_or_else(|| {
        let tiles: u64 = made.panels.iter().map(|p| p.whole + p.trimmed).sum();
        let all: u64 = made.panels.iter().map(|p| p.joints).sum();
        let matched: u64 = made.panels.iter().map(|p| p.joints_matched).sum();
        match (matched * 100).checked_div(all) {
            Some(percent) => format!("{tiles} tiles, {percent} % of joints matched"),
            None => format!("{tiles} tiles"),
        }
    })
}

fn note(index: &Index, left_out: usize) -> String {
    let all = index.variations.len();
    let mut parts = vec![format!(
        "{} of {all} variations",
        index.shown.numbers.len() - left_out
    )];
    if let Some(shard) = index.head.sweep.shard {
        parts.push(format!("part {} of {}", shard.part, shard.of));
    }
    if let Some(sort) = &index.shown.sort {
        parts.push(format!(
            "sorted by {}",
            sort.replace(":down", "").replace(":up", ", smallest first")
        ));
    }
    if let Some(best) = index.shown.best {
        parts.push(format!("the best {best} that differ most"));
    }
    parts.extend(index.shown.only.iter().cloned());
    parts.extend(index.head.look.words());
    if left_out > 0 {
        parts.push(format!("{left_out} more in the index"));
    }
    parts.join(" \u{b7} ")
}

/// The recipe's name without folders and ending.
pub(in crate::cli) fn name(path: &str) -> &str {
    let file = path.rsplit(['/', '\\']).next().unwrap_or(path);
    file.rsplit_once('.').map_or(file, |(stem, _)| stem)
}
