//! Whether a sheet's lines read: each line against its neighbours, and from how far.
//!
//! A line is a run of layers of one colour as a slice shows them. Widths and distances in mm. The
//! width is that across the layer, as every cut square to the bar shows it.
//!
//! Of a line we ask when it can no longer be told from its surroundings; of the whole sheet, when
//! its repeat (one sheet after another, as the parts of a pattern follow each other) fades into one
//! even tone. Both by [`super::eye`].

use super::{Finish, Linear, View, contrast, eye};
use crate::stock::{Colour, Grain, LayerKind, Sheet};
use crate::watch;

/// What changes the colours on the way to the eye.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Seeing {
    /// What the panel is finished with.
    pub finish: Finish,
    /// The colour vision of the viewer.
    pub view: View,
}

impl Seeing {
    /// What a layer's colour becomes.
    pub fn colour(&self, kind: LayerKind, colour: Colour) -> Colour {
        let finished = match kind {
            LayerKind::Glue => colour,
            LayerKind::Ply | LayerKind::Veneer => self.finish.on(colour.into()).colour(),
        };
        self.view.colour(finished)
    }
}

/// A line of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What its first layer is.
    pub kind: LayerKind,
    /// The colour of the wood or dye itself.
    pub wood: Colour,
    /// Whether it shows end grain.
    pub end_grain: bool,
    /// Its colour, as seen.
    pub colour: Colour,
    /// The colour of the neighbour that it differs least from in luminance; of its only neighbour
    /// where it lies on the face or back.
    pub beside: Colour,
    /// Its width.
    pub width: f64,
    /// Contrast ratio with that neighbour (WCAG), from 1.
    pub ratio: f64,
    /// Difference in L* from that neighbour.
    pub lightness: f64,
    /// Michelson contrast with that neighbour.
    pub contrast: f64,
    /// The farthest distance from which it is told from that neighbour; none where the contrast is
    /// too weak at any distance.
    pub farthest: Option<f64>,
    /// How many such lines the sheet has.
    pub count: usize,
}

/// How a sheet reads.
#[derive(Debug, Clone, PartialEq)]
pub struct Legibility {
    /// The sheet's thickness, which is also the period of the repeat.
    pub thickness: f64,
    /// Mean luminance of all layers.
    pub luminance: f64,
    /// Contrast of the repeat: Michelson contrast of the wave that repeats once in a thickness.
    pub contrast: f64,
    /// The farthest distance from which the repeat reads with ease: its contrast is
    /// [`eye::RESERVE`] times what is just seen; none where it never does.
    pub plain: Option<f64>,
    /// The farthest distance from which the repeat is just seen; none where it never is.
    pub farthest: Option<f64>,
    /// The lines, from the face on, each kind of them once.
    pub lines: Vec<Line>,
}

impl Line {
    /// How wide it looks from a distance, in arcminutes.
    pub fn arcminutes(&self, distance: f64) -> f64 {
        eye::arcminutes(self.width, distance)
    }

    /// Whether it is told from its surroundings from a distance.
    pub fn seen_from(&self, distance: f64) -> bool {
        eye::sees(2.0 * self.width, self.contrast, distance)
    }
}

impl Legibility {
    /// How a sheet reads.
    pub fn of(sheet: &Sheet, seeing: Seeing) -> Self {
        let runs = runs(sheet, seeing);
        let thickness = sheet.thickness();
        let (luminance, contrast) = repeat(&runs, thickness);
        Self {
            thickness,
            luminance,
            contrast,
            plain: eye::farthest(thickness, contrast / eye::RESERVE),
            farthest: eye::farthest(thickness, contrast),
            lines: lines(&runs),
        }
    }

    /// Whether the repeat reads with ease from a distance.
    pub fn reads_from(&self, distance: f64) -> bool {
        eye::sees(self.thickness, self.contrast / eye::RESERVE, distance)
    }

    /// Whether the repeat is seen from a distance.
    pub fn seen_from(&self, distance: f64) -> bool {
        eye::sees(self.thickness, self.contrast, distance)
    }
}

/// A run of layers of one colour.
struct Run {
    kind: LayerKind,
    wood: Colour,
    end_grain: bool,
    colour: Colour,
    width: f64,
}

impl Run {
    fn luminance(&self) -> f64 {
        Linear::from(self.colour).luminance()
    }
}

fn runs(sheet: &Sheet, seeing: Seeing) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for layer in sheet.layers() {
        watch::ask();
        let colour = seeing.colour(layer.kind, layer.seen());
        match runs.last_mut() {
            Some(last) if last.colour == colour => last.width += layer.thickness,
            _ => runs.push(Run {
                kind: layer.kind,
                wood: layer.colour,
                end_grain: layer.grain == Grain::Along,
                colour,
                width: layer.thickness,
            }),
        }
    }
    runs
}

fn lines(runs: &[Run]) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    for (i, run) in runs.iter().enumerate() {
        let before = i.checked_sub(1).map(|j| &runs[j]);
        let contrast_with = |other: &Run| contrast::michelson(run.luminance(), other.luminance());
        let beside = [before, runs.get(i + 1)]
            .into_iter()
            .flatten()
            .min_by(|a, b| contrast_with(a).total_cmp(&contrast_with(b)));
        let Some(beside) = beside else {
            continue;
        };
        let same = lines.iter_mut().find(|l| {
            l.kind == run.kind
                && l.colour == run.colour
                && l.beside == beside.colour
                && (l.width - run.width).abs() < 1e-6
        });
        if let Some(line) = same {
            line.count += 1;
            continue;
        }
        let contrast = contrast_with(beside);
        lines.push(Line {
            kind: run.kind,
            wood: run.wood,
            end_grain: run.end_grain,
            colour: run.colour,
            beside: beside.colour,
            width: run.width,
            ratio: contrast::ratio(run.colour, beside.colour),
            lightness: contrast::lightness_gap(run.colour, beside.colour),
            contrast,
            farthest: eye::farthest_line(run.width, contrast),
            count: 1,
        });
    }
    lines
}

/// Mean luminance, and the contrast of the first harmonic: with F(k) the Fourier coefficients of
/// the luminance over one thickness, 2 |F(1)| / F(0). A square wave of Michelson contrast m has
/// 4 m / pi (any text on Fourier series).
fn repeat(runs: &[Run], thickness: f64) -> (f64, f64) {
    let turn = 2.0 * std::f64::consts::PI;
    let (mut mean, mut cosines, mut sines, mut at) = (0.0, 0.0, 0.0, 0.0);
    for run in runs {
        let (from, to) = (at / thickness, (at + run.width) / thickness);
        let y = run.luminance();
        mean += y * (to - from);
        cosines += y * (libm::sin(turn * to) - libm::sin(turn * from)) / turn;
        sines += y * (libm::cos(turn * from) - libm::cos(turn * to)) / turn;
        at += run.width;
    }
    let wave = 2.0 * (cosines * cosines + sines * sines).sqrt();
    let contrast = if mean > 0.0 { wave / mean } else { 0.0 };
    (mean, contrast)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::Layer;

    fn sheet(layers: &[(LayerKind, f64, &str)]) -> Sheet {
        let layer = |(kind, t, c): &(LayerKind, f64, &str)| {
            Layer::new(*kind, *t, Colour::parse(c).unwrap(), Grain::None).unwrap()
        };
        Sheet::new(layers.iter().map(layer).collect()).unwrap()
    }

    #[test]
    fn one_colour_has_no_lines_and_no_repeat() {
        let plain = sheet(&[
            (LayerKind::Ply, 2.0, "birch"),
            (LayerKind::Ply, 2.0, "birch"),
        ]);
        let l = Legibility::of(&plain, Seeing::default());
        assert!(l.lines.is_empty() && l.contrast < 1e-12 && l.farthest.is_none());
    }

    #[test]
    fn a_square_wave_has_four_over_pi_of_its_contrast() {
        let halves = sheet(&[
            (LayerKind::Ply, 9.0, "white"),
            (LayerKind::Ply, 9.0, "#808080"),
        ]);
        let l = Legibility::of(&halves, Seeing::default());
        let m = contrast::michelson(1.0, Linear::from(Colour::rgb(128, 128, 128)).luminance());
        assert!((l.contrast - 4.0 * m / std::f64::consts::PI).abs() < 1e-12);
    }

    #[test]
    fn a_black_line_of_six_tenths_reads_as_far_as_the_eye_resolves_it() {
        let lined = sheet(&[
            (LayerKind::Veneer, 0.6, "black"),
            (LayerKind::Ply, 18.0, "maple"),
            (LayerKind::Veneer, 0.6, "black"),
        ]);
        let l = Legibility::of(&lined, Seeing::default());
        let veneer = &l.lines[0];
        assert_eq!(veneer.count, 2);
        // 0.6 mm spans an arcminute at 2.063 m.
        assert!((veneer.farthest.unwrap() - 2062.65).abs() < 0.1);
        assert!((veneer.arcminutes(2062.65) - 1.0).abs() < 1e-4);
        assert!(veneer.seen_from(2000.0) && !veneer.seen_from(2100.0));
    }
}
