//! The one typeface of a template: which glyphs a text takes, which letters it lacks, and the glyphs
//! that were used as fonts of the PDF.
//!
//! Glyphs go into the PDF as their outlines (Type 3 fonts, ISO 32000-2, 9.6.4), each once, with the
//! text that it stands for, so that the template can be searched. Units are those of the font.

use std::collections::{BTreeMap, BTreeSet};

use harfrust::{ShapeOptions, ShaperData, UnicodeBuffer};
use pdf_writer::{
    Content, Finish, Name, Pdf, Rect, Ref, Str,
    types::{SystemInfo, UnicodeCmap},
};
use skrifa::{
    FontRef, GlyphId, MetadataProvider,
    instance::{LocationRef, Size},
    outline::{DrawSettings, OutlinePen},
};

const FILE: &[u8] = epaint_default_fonts::UBUNTU_LIGHT;

/// How many glyphs one font of a PDF can have: a code is one byte.
const CODES: usize = 256;

/// A glyph of a text: which one, how far along it stands, and how far the next is.
struct Set {
    glyph: u32,
    text: String,
    advance: i32,
}

/// A glyph that was used.
struct Used {
    glyph: u32,
    text: String,
    width: f32,
}

pub(super) struct Typeface {
    font: FontRef<'static>,
    shaper: ShaperData,
    units: f64,
    used: Vec<Used>,
    codes: BTreeMap<u32, usize>,
    missing: BTreeSet<char>,
}

/// A piece of a text in one font of the PDF.
pub(super) struct Run {
    /// The number of the font.
    pub(super) font: usize,
    /// A code for each glyph, with the kerning after it in thousandths of an em, to the left.
    pub(super) codes: Vec<(u8, f32)>,
    /// Its width in em.
    pub(super) width: f64,
}

impl Typeface {
    pub(super) fn new() -> Self {
        let font = FontRef::new(FILE).expect("invariant: the font comes with the program");
        Self {
            units: f64::from(
                font.metrics(Size::unscaled(), LocationRef::default())
                    .units_per_em,
            ),
            shaper: ShaperData::new(&font),
            font,
            used: Vec::new(),
            codes: BTreeMap::new(),
            missing: BTreeSet::new(),
        }
    }

    /// The glyphs of a text in runs of one font each; letters of it that are not there are kept in
    /// mind.
    pub(super) fn runs(&mut self, text: &str) -> Vec<Run> {
        let mut runs: Vec<Run> = Vec::new();
        for set in self.shaped(text) {
            let (font, code, width) = self.coded(&set);
            let kerning = (width - short(f64::from(set.advance))) * 1000.0 / short(self.units);
            if runs.last().is_none_or(|run| run.font != font) {
                runs.push(Run {
                    font,
                    codes: Vec::new(),
                    width: 0.0,
                });
            }
            let run = runs.last_mut().expect("invariant: there is a run now");
            run.codes.push((code, kerning));
            run.width += f64::from(set.advance) / self.units;
        }
        runs
    }

    /// The letters that were asked for and are not there.
    pub(super) fn missing(&self) -> &BTreeSet<char> {
        &self.missing
    }

    /// How many fonts of the PDF the glyphs take.
    pub(super) fn fonts(&self) -> usize {
        self.used.len().div_ceil(CODES)
    }

    fn shaped(&mut self, text: &str) -> Vec<Set> {
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.guess_segment_properties();
        let shaper = self.shaper.shaper(&self.font).build();
        let glyphs = shaper.shape(buffer, ShapeOptions::new());
        let mut clusters: Vec<usize> = glyphs
            .glyph_infos()
            .iter()
            .map(|info| info.cluster as usize)
            .collect();
        clusters.push(text.len());
        clusters.sort_unstable();
        clusters.dedup();
        let mut last = usize::MAX;
        let positions = glyphs.glyph_positions();
        let mut all = Vec::new();
        for (info, position) in glyphs.glyph_infos().iter().zip(positions) {
            let start = info.cluster as usize;
            let end = clusters.iter().copied().find(|&c| c > start);
            let stands_for = text.get(start..end.unwrap_or(start)).unwrap_or("");
            // Glyph 0 is the empty box (OpenType, table `cmap`).
            if info.glyph_id == 0 {
                self.missing.extend(stands_for.chars().next());
            }
            all.push(Set {
                glyph: info.glyph_id,
                text: if start == last { "" } else { stands_for }.to_owned(),
                advance: position.x_advance,
            });
            last = start;
        }
        all
    }

    /// The font and code of a glyph, and its own width.
    fn coded(&mut self, set: &Set) -> (usize, u8, f32) {
        let number = *self.codes.entry(set.glyph).or_insert_with(|| {
            let metrics = self
                .font
                .glyph_metrics(Size::unscaled(), LocationRef::default());
            self.used.push(Used {
                glyph: set.glyph,
                text: set.text.clone(),
                width: metrics
                    .advance_width(GlyphId::new(set.glyph))
                    .unwrap_or(0.0),
            });
            self.used.len() - 1
        });
        let code = u8::try_from(number % CODES).expect("invariant: the rest is below 256");
        (number / CODES, code, self.used[number].width)
    }

    /// Writes the fonts; `fonts` has a reference for each. Glyphs get references from `next` on.
    pub(super) fn write(&self, pdf: &mut Pdf, fonts: &[Ref], next: &mut impl FnMut() -> Ref) {
        for (glyphs, &id) in self.used.chunks(CODES).zip(fonts) {
            let map = next();
            let procedures: Vec<Ref> = glyphs.iter().map(|_| next()).collect();
            let names: Vec<String> = (0..glyphs.len()).map(|i| format!("g{i}")).collect();
            let names = || names.iter().map(|name| Name(name.as_bytes()));
            let last = u8::try_from(glyphs.len() - 1).expect("invariant: at most 256 glyphs");
            let mut font = pdf.type3_font(id);
            font.bbox(Rect::new(0.0, 0.0, 0.0, 0.0));
            let scale = short(1.0 / self.units);
            font.matrix([scale, 0.0, 0.0, scale, 0.0, 0.0]);
            font.char_procs()
                .pairs(names().zip(procedures.iter().copied()));
            font.encoding_custom().differences().consecutive(0, names());
            font.first_char(0).last_char(last);
            font.widths(glyphs.iter().map(|g| g.width));
            font.resources();
            font.to_unicode(map);
            font.finish();
            let system = SystemInfo {
                registry: Str(b"Adobe"),
                ordering: Str(b"UCS"),
                supplement: 0,
            };
            let mut unicode = UnicodeCmap::<u8>::new(Name(b"Text"), system);
            for (code, glyph) in (0_u8..=u8::MAX).zip(glyphs) {
                if !glyph.text.is_empty() {
                    unicode.pair_with_multiple(code, glyph.text.chars());
                }
            }
            pdf.cmap(map, &unicode.finish());
            for (glyph, &id) in glyphs.iter().zip(&procedures) {
                pdf.stream(id, &self.procedure(glyph));
            }
        }
    }

    /// How a glyph is drawn.
    fn procedure(&self, used: &Used) -> Vec<u8> {
        let id = GlyphId::new(used.glyph);
        let (size, location) = (Size::unscaled(), LocationRef::default());
        let bounds = self.font.glyph_metrics(size, location).bounds(id);
        let bounds = bounds.map_or([0.0; 4], |b| [b.x_min, b.y_min, b.x_max, b.y_max]);
        let mut content = Content::new();
        content.start_shape_glyph(used.width, bounds[0], bounds[1], bounds[2], bounds[3]);
        let mut outline = Outline {
            content,
            at: [0.0; 2],
            empty: true,
        };
        if let Some(glyph) = self.font.outline_glyphs().get(id) {
            glyph
                .draw(DrawSettings::unhinted(size, location), &mut outline)
                .expect("invariant: the font that comes with the program is sound");
        }
        if !outline.empty {
            outline.content.fill_nonzero();
        }
        outline.content.finish().into_vec()
    }
}

/// Draws an outline into a content stream. A PDF has cubic curves alone; the cubic that is a quadratic
/// curve has its handles two thirds of the way to the one control point.
struct Outline {
    content: Content,
    at: [f32; 2],
    empty: bool,
}

impl OutlinePen for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        self.content.move_to(x, y);
        self.at = [x, y];
        self.empty = false;
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.content.line_to(x, y);
        self.at = [x, y];
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        let [x0, y0] = self.at;
        let towards = |from: f32, control: f32| from + (control - from) * 2.0 / 3.0;
        self.curve_to(
            towards(x0, cx),
            towards(y0, cy),
            towards(x, cx),
            towards(y, cy),
            x,
            y,
        );
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        self.content.cubic_to(cx0, cy0, cx1, cy1, x, y);
        self.at = [x, y];
    }

    fn close(&mut self) {
        self.content.close_path();
    }
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "a place in a glyph is rounded to what the PDF holds"
)]
fn short(value: f64) -> f32 {
    value as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lacking(text: &str) -> Vec<char> {
        let mut typeface = Typeface::new();
        typeface.runs(text);
        typeface.missing.into_iter().collect()
    }

    #[test]
    fn letters_that_are_there_and_letters_that_are_not() {
        let ascii: String = (' '..='~').collect();
        assert!(lacking(&ascii).is_empty());
        assert!(lacking("Gr\u{fc}\u{df}e \u{3a9} \u{416}").is_empty());
        // An e and an acute accent over it.
        assert!(lacking("caf\u{65}\u{301}").is_empty());
        assert_eq!(lacking("a \u{6728} b"), ['\u{6728}']);
    }

    #[test]
    fn a_glyph_is_kept_once() {
        let mut typeface = Typeface::new();
        let first = &typeface.runs("1-1")[0].codes;
        assert_eq!(first[0].0, first[2].0);
        typeface.runs("11");
        assert_eq!(typeface.used.len(), 2);
        assert_eq!(typeface.fonts(), 1);
    }
}
