//! A drawing before it is written: its frame as text, its tiles still as tiles.
//!
//! A panel can have a million tiles, and a text that holds them all is a hundred megabytes that the
//! system must find, clear and copy once more into the file. So tiles become text in portions, which
//! go to the file while the next ones are made.

use std::borrow::Cow;
use std::io::{self, Write};
use std::num::NonZeroUsize;

use rayon::prelude::*;

use super::{
    number::{push, spot},
    tiles::Rings,
};
use crate::layout::panel::PlacedTile;

/// Tiles that become text at a time: what comes of them stays in the processor's cache.
const PORTION: usize = 512;
/// From this many tiles on it is worth the start of other threads.
const WORTHWHILE: usize = 20_000;
/// Portions that each thread makes between two writings.
const AHEAD: usize = 16;

/// A document: text, and tiles that are still to be written out as text.
#[derive(Debug, Clone, Default)]
pub struct Document<'a> {
    parts: Vec<Part<'a>>,
}

#[derive(Debug, Clone)]
enum Part<'a> {
    Text(String),
    Tiles(Cow<'a, [PlacedTile]>, Each),
}

/// What is written for a tile; each list has an entry for each face.
#[derive(Debug, Clone)]
pub(super) enum Each {
    /// A `use`: how it begins, up to the place.
    Uses(Vec<String>),
    /// A group of paths: how each begins, and its data.
    Paths(Vec<Vec<(String, Rings)>>),
    /// The data of the outline.
    Outlines(Vec<Rings>),
}

impl Each {
    fn push(&self, out: &mut String, tile: &PlacedTile) {
        let at = spot(tile.at);
        let face = tile.face as usize;
        match self {
            Self::Uses(heads) => {
                *out += &heads[face];
                push(out, at.0);
                *out += "\" y=\"";
                push(out, at.1);
                *out += "\"/>\n";
            }
            Self::Paths(faces) => {
                *out += "<g>";
                for (head, rings) in &faces[face] {
                    *out += head;
                    rings.push_at(out, at);
                    *out += "\"/>";
                }
                *out += "</g>\n";
            }
            Self::Outlines(faces) => faces[face].push_at(out, at),
        }
    }

    fn push_all(&self, out: &mut String, tiles: &[PlacedTile]) {
        for tile in tiles {
            self.push(out, tile);
        }
    }
}

impl<'a> Document<'a> {
    /// The text at its end, to write on.
    pub(super) fn text(&mut self) -> &mut String {
        if !matches!(self.parts.last(), Some(Part::Text(_))) {
            self.parts.push(Part::Text(String::new()));
        }
        match self.parts.last_mut() {
            Some(Part::Text(text)) => text,
            _ => unreachable!("invariant: the last part is a text"),
        }
    }

    /// Adds text.
    pub(super) fn extend<'t>(&mut self, texts: impl IntoIterator<Item = &'t str>) {
        self.text().extend(texts);
    }

    /// Adds tiles.
    pub(super) fn tiles(&mut self, tiles: &'a [PlacedTile], each: Each) {
        self.parts.push(Part::Tiles(Cow::Borrowed(tiles), each));
    }

    /// Adds all of another document.
    pub(super) fn append(&mut self, other: Self) {
        for part in other.parts {
            match part {
                Part::Text(text) => *self.text() += &text,
                tiles @ Part::Tiles(..) => self.parts.push(tiles),
            }
        }
    }

    /// The same, with tiles of its own.
    #[must_use]
    pub fn into_owned(self) -> Document<'static> {
        let own = |part| match part {
            Part::Text(text) => Part::Text(text),
            Part::Tiles(tiles, each) => Part::Tiles(Cow::Owned(tiles.into_owned()), each),
        };
        Document {
            parts: self.parts.into_iter().map(own).collect(),
        }
    }

    /// The text where title, description and metadata stand.
    pub(super) fn head(&mut self) -> Option<&mut String> {
        match self.parts.first_mut() {
            Some(Part::Text(text)) => Some(text),
            _ => None,
        }
    }

    /// The whole document as one text.
    #[must_use]
    pub fn to_text(&self) -> String {
        let mut out = String::new();
        for part in &self.parts {
            match part {
                Part::Text(text) => out += text,
                Part::Tiles(tiles, each) => each.push_all(&mut out, tiles),
            }
        }
        out
    }

    /// Writes the document: the same bytes on any number of threads.
    ///
    /// # Errors
    /// What the writer objects to.
    pub fn write(&self, out: &mut (impl Write + Send), threads: NonZeroUsize) -> io::Result<()> {
        for part in &self.parts {
            match part {
                Part::Text(text) => out.write_all(text.as_bytes())?,
                Part::Tiles(tiles, each) if threads.get() > 1 && tiles.len() >= WORTHWHILE => {
                    write_side_by_side(out, tiles, each, threads.get())?;
                }
                Part::Tiles(tiles, each) => {
                    let mut text = String::new();
                    for portion in tiles.chunks(PORTION) {
                        text.clear();
                        each.push_all(&mut text, portion);
                        out.write_all(text.as_bytes())?;
                    }
                }
            }
        }
        Ok(())
    }
}

impl From<String> for Document<'_> {
    fn from(text: String) -> Self {
        Self {
            parts: vec![Part::Text(text)],
        }
    }
}

/// Writes tiles while other threads make the text of those that follow.
fn write_side_by_side(
    out: &mut (impl Write + Send),
    tiles: &[PlacedTile],
    each: &Each,
    threads: usize,
) -> io::Result<()> {
    let made = |texts: &mut [String], tiles: &[PlacedTile]| {
        texts
            .par_iter_mut()
            .zip(tiles.par_chunks(PORTION))
            .for_each(|(text, portion)| each.push_all(text, portion));
    };
    let mut ready = vec![String::new(); threads * AHEAD];
    let mut next = ready.clone();
    let mut batches = tiles.chunks(ready.len() * PORTION);
    if let Some(batch) = batches.next() {
        made(&mut ready, batch);
    }
    loop {
        let batch = batches.next();
        let (written, ()) = rayon::join(
            || {
                ready
                    .iter()
                    .try_for_each(|text| out.write_all(text.as_bytes()))
            },
            || made(&mut next, batch.unwrap_or_default()),
        );
        written?;
        if batch.is_none() {
            return Ok(());
        }
        std::mem::swap(&mut ready, &mut next);
        next.iter_mut().for_each(String::clear);
    }
}
