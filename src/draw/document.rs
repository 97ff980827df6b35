//! A drawing before it is written: its frame as text, its tiles still as tiles.
//!
//! A panel can have a million tiles. The text of them all is a hundred megabytes, which the system
//! would have to allocate, clear, and copy once more into the file. So tiles become text in
//! portions, which go to the file while the next ones are made.

use std::borrow::Cow;
use std::io::{self, Write};
use std::num::NonZeroUsize;

use rayon::prelude::*;

use super::{
    blocks::Blocks,
    number::{Again, put, spot},
    tiles::Rings,
};
use crate::layout::panel::PlacedTile;
use crate::watch;

/// Tiles that become text at a time.
const PORTION: usize = 512;
/// From this many tiles on, other threads are worth their start.
const WORTHWHILE: usize = 20_000;
/// Portions that each thread makes between two writings.
const AHEAD: usize = 4;

/// A document: text, and tiles that are still to be written out as text.
#[derive(Debug, Clone, Default)]
pub struct Document<'a> {
    parts: Vec<Part<'a>>,
    /// Where metadata stand, as a range of bytes of the first part.
    metadata_at: Option<usize>,
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
    /// Adds what is written for a tile; `again` has a number for each thing that is placed.
    fn write(&self, out: &mut Vec<u8>, tile: &PlacedTile, again: &mut [Again]) {
        let at = spot(tile.at);
        let face = tile.face as usize;
        match self {
            Self::Uses(heads) => {
                out.extend_from_slice(heads[face].as_bytes());
                put(out, at.0);
                out.extend_from_slice(b"\" y=\"");
                again[0].put(out, at.1);
                out.extend_from_slice(b"\"/>\n");
            }
            Self::Paths(faces) => {
                let most = again.len() / faces.len();
                let again = &mut again[face * most..];
                out.extend_from_slice(b"<g>");
                for ((head, rings), again) in faces[face].iter().zip(again) {
                    out.extend_from_slice(head.as_bytes());
                    rings.put_at(out, at, again);
                    out.extend_from_slice(b"\"/>");
                }
                out.extend_from_slice(b"</g>\n");
            }
            Self::Outlines(faces) => faces[face].put_at(out, at, &mut again[face]),
        }
    }

    /// How many things are placed: all tiles, or each path of each face.
    fn placed(&self) -> usize {
        match self {
            Self::Uses(_) => 1,
            Self::Paths(faces) => faces.len() * faces.iter().map(Vec::len).max().unwrap_or(0),
            Self::Outlines(faces) => faces.len(),
        }
    }

    /// The most bytes for a tile, on a panel of common size.
    fn most(&self) -> usize {
        const PLACE: usize = "-1234.567 -1234.567".len();
        let rings = |rings: &Rings| rings.rest_length() + PLACE;
        let all: Box<dyn Iterator<Item = usize>> = match self {
            Self::Uses(heads) => Box::new(heads.iter().map(|head| head.len() + PLACE + 9)),
            Self::Paths(faces) => Box::new(faces.iter().map(|paths| {
                let paths = paths
                    .iter()
                    .map(|(head, data)| head.len() + rings(data) + 3);
                paths.sum::<usize>() + 8
            })),
            Self::Outlines(faces) => Box::new(faces.iter().map(rings)),
        };
        all.max().unwrap_or(0)
    }

    fn put_all(&self, out: &mut Vec<u8>, tiles: &[PlacedTile]) {
        let mut again = vec![Again::default(); self.placed()];
        for tile in tiles {
            self.write(out, tile, &mut again);
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
    pub fn into_owned(self) -> Document<'static> {
        let own = |part| match part {
            Part::Text(text) => Part::Text(text),
            Part::Tiles(tiles, each) => Part::Tiles(Cow::Owned(tiles.into_owned()), each),
        };
        Document {
            parts: self.parts.into_iter().map(own).collect(),
            metadata_at: self.metadata_at,
        }
    }

    /// Metadata stand at the end of what is written so far: nothing but text.
    pub(super) fn metadata_go_here(&mut self) {
        self.metadata_at = Some(self.text().len());
    }

    /// With a `metadata` element, where the document has a place for it.
    #[must_use]
    pub fn with_metadata(mut self, metadata: &str) -> Self {
        if let (Some(at), Some(Part::Text(head))) = (self.metadata_at, self.parts.first_mut()) {
            head.insert_str(at, metadata);
        }
        self
    }

    /// How many bytes it has, or a few more.
    pub fn size(&self) -> usize {
        let size = |part: &Part| match part {
            Part::Text(text) => text.len(),
            Part::Tiles(tiles, each) => tiles.len() * each.most(),
        };
        self.parts.iter().map(size).sum()
    }

    /// The whole document as one text.
    #[allow(clippy::missing_panics_doc, reason = "only an invariant is expected")]
    pub fn to_text(&self) -> String {
        let mut out = Vec::new();
        for part in &self.parts {
            match part {
                Part::Text(text) => out.extend_from_slice(text.as_bytes()),
                Part::Tiles(tiles, each) => each.put_all(&mut out, tiles),
            }
        }
        String::from_utf8(out).expect("invariant: it is put together from texts")
    }

    /// Writes the document: the same bytes on any number of threads.
    ///
    /// # Errors
    /// What the writer objects to.
    pub fn write(
        &self,
        out: &mut (impl Write + Send + ?Sized),
        threads: NonZeroUsize,
    ) -> io::Result<()> {
        let mut out = Blocks::new(out);
        for part in &self.parts {
            match part {
                Part::Text(text) => out.add(|out| out.extend_from_slice(text.as_bytes()))?,
                Part::Tiles(tiles, each) if threads.get() > 1 && tiles.len() >= WORTHWHILE => {
                    write_side_by_side(&mut out, tiles, each, threads.get())?;
                }
                Part::Tiles(tiles, each) => {
                    for portion in tiles.chunks(PORTION) {
                        watch::ask();
                        out.add(|out| each.put_all(out, portion))?;
                    }
                }
            }
        }
        out.finish()
    }
}

/// Writes tiles while other threads make the text of those that follow.
fn write_side_by_side(
    out: &mut Blocks<'_, impl Write + Send + ?Sized>,
    tiles: &[PlacedTile],
    each: &Each,
    threads: usize,
) -> io::Result<()> {
    let handed = watch::handed();
    let made = |texts: &mut [Vec<u8>], tiles: &[PlacedTile]| {
        texts
            .par_iter_mut()
            .zip(tiles.par_chunks(PORTION))
            .for_each(|(text, portion)| {
                handed.ask();
                each.put_all(text, portion);
            });
    };
    let mut ready = vec![Vec::new(); threads * AHEAD];
    let mut next = ready.clone();
    let mut batches = tiles.chunks(ready.len() * PORTION);
    if let Some(batch) = batches.next() {
        made(&mut ready, batch);
    }
    loop {
        let batch = batches.next();
        let (written, ()) = rayon::join(
            || {
                let mut texts = ready.iter();
                texts.try_for_each(|text| out.add(|out| out.extend_from_slice(text)))
            },
            || made(&mut next, batch.unwrap_or_default()),
        );
        written?;
        if batch.is_none() {
            return Ok(());
        }
        std::mem::swap(&mut ready, &mut next);
        next.iter_mut().for_each(Vec::clear);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Point, Rect};
    use crate::layout::panel::Cell;

    fn tiles(count: i32) -> Vec<PlacedTile> {
        let tile = |number: i32| PlacedTile {
            face: u32::from(number % 3 == 0),
            at: Point::new(
                f64::from(number % 150) * 7.125,
                f64::from(number / 150) * -0.5,
            ),
            cell: Cell {
                column: number,
                course: 0,
            },
            whole: true,
        };
        (0..count).map(tile).collect()
    }

    #[test]
    fn the_same_bytes_in_one_text_and_in_portions_on_any_number_of_threads() {
        let rings = Rings::of([&Rect::sized(2.0, 1.5).polygon()]).unwrap();
        let forms = || {
            let path = ("<path d=\"".to_owned(), rings.clone());
            [
                Each::Uses(vec![
                    "<use x=\"".to_owned(),
                    "<use href=\"#b\" x=\"".to_owned(),
                ]),
                Each::Paths(vec![vec![path.clone()], vec![path.clone(), path]]),
                Each::Outlines(vec![rings.clone(), rings.clone()]),
            ]
        };
        // Numbers of tiles around whole portions and batches.
        for count in [0, 1, 512, 513, 20_000, 49_152, 51_234] {
            let tiles = tiles(count);
            let mut document = Document::default();
            document.extend(["<svg>\n"]);
            for each in forms() {
                document.tiles(&tiles, each);
                document.extend(["<!-- -->"]);
            }
            let text = document.to_text();
            assert!(text.len() <= document.size());
            for threads in [1, 2, 3, 8] {
                let mut written = Vec::new();
                let threads = NonZeroUsize::new(threads).unwrap();
                document.write(&mut written, threads).unwrap();
                assert!(written == text.as_bytes(), "{count} tiles on {threads}");
            }
            assert_eq!(document.into_owned().to_text(), text);
        }
    }

    #[test]
    fn a_writer_that_fails_ends_the_writing() {
        struct Full(usize);
        impl Write for Full {
            fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
                self.0 = self
                    .0
                    .checked_sub(bytes.len())
                    .ok_or(io::ErrorKind::StorageFull)?;
                Ok(bytes.len())
            }
            fn flush(&mut self) -> io::Result<()> {
                Ok(())
            }
        }
        let tiles = tiles(40_000);
        let mut document = Document::default();
        document.tiles(&tiles, Each::Uses(vec!["<use x=\"".to_owned(); 2]));
        for threads in [1, 2] {
            let threads = NonZeroUsize::new(threads).unwrap();
            let error = document.write(&mut Full(100_000), threads).unwrap_err();
            assert_eq!(error.kind(), io::ErrorKind::StorageFull);
        }
    }
}
