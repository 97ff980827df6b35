//! From a panel to the bytes of its picture.

use std::borrow::Cow;
use std::io::{self, Write};
use std::num::NonZeroUsize;
use std::thread::available_parallelism;

use clap::Args;

use super::cli_error::CliError;
use super::embedded_recipe::EmbeddedRecipe;
use super::look::{LookArgs, Looking};
use super::object::object;
use super::output::{Format, Output};
use crate::appearance::object::Shape;
use crate::appearance::window::{Window, best, cut};
use crate::draw::{
    Bitmap, Document, DrawError, Form, Ground, PanelOptions, PreviewOptions, Shot, bitmap,
    is_stamped, panel_bitmap, panel_document, preview_bitmap, preview_document, side_by_side,
};
use crate::layout::panel::Panel;

/// Width of a png picture in pixels where none is asked for.
pub(super) const USUAL_WIDTH: u32 = 1600;

/// What is drawn, and how.
#[derive(Debug, Clone, Args)]
pub(super) struct PictureArgs {
    /// Draw the panel alone, without its measures and tally
    #[arg(long)]
    bare: bool,

    /// Draw every tile in full, for programs that cannot read the `use` element of SVG
    #[arg(long)]
    flat: bool,

    /// Do not store the recipe in the picture, where `plyloom unpack` finds it
    #[arg(long)]
    pub(super) no_recipe: bool,

    /// Show what a small object shows, cut from the panel where it has the most contrast: `handle`,
    /// `coaster`, `round coaster`, `box lid`, `drawer front`, `round table`, or a size in mm such as
    /// `90x60` or `round 90`; may be repeated
    #[arg(long, value_name = "OBJECT", value_parser = object, help_heading = "Looking")]
    pub(super) object: Vec<(String, Shape)>,

    #[command(flatten)]
    pub(super) look: LookArgs,
}

/// Pixels along the longer side of an object that is seen from a distance.
const SIDE: u32 = 1200;

/// How many panels stand side by side in a sweep of the light.
const IN_A_ROW: usize = 4;

/// The most bytes of a drawing.
const MOST_DRAWING: usize = 1 << 30;
/// The most bytes that all shapes of a picture of pixels would take, each tile written out: the renderer
/// keeps as much in memory.
const MOST_WRITTEN_OUT: usize = 256 * 1024 * 1024;

/// How many bytes the shapes of a panel take, each tile written out.
fn written_out(panel: &Panel) -> usize {
    let form = Form::Flat;
    let options = PanelOptions {
        form,
        ..PanelOptions::default()
    };
    panel_document(panel, &options).size()
}

/// A picture, ready to be written.
#[derive(Debug)]
pub(super) enum Picture<'a> {
    /// A drawing.
    Svg(Document<'a>),
    /// The bytes of a png picture.
    Png(Vec<u8>),
}

impl Picture<'_> {
    /// How many bytes it has, or a few more.
    pub(super) fn size(&self) -> usize {
        match self {
            Self::Svg(drawing) => drawing.size(),
            Self::Png(bytes) => bytes.len(),
        }
    }

    /// Writes it on all the threads that there are.
    ///
    /// # Errors
    /// What the writer objects to.
    pub(super) fn write(&self, out: &mut (impl Write + Send + ?Sized)) -> io::Result<()> {
        match self {
            Self::Svg(drawing) => {
                let threads = available_parallelism().unwrap_or(NonZeroUsize::MIN);
                drawing.write(out, threads)
            }
            Self::Png(bytes) => out.write_all(bytes),
        }
    }
}

/// Draws a panel as it is looked at; `note` goes under its title, `carried` into the file.
///
/// # Errors
/// When a png picture cannot be made: too large, or too long and thin.
pub(super) fn draw<'a>(
    panel: &'a Panel,
    args: &PictureArgs,
    looking: &Looking,
    output: &Output,
    note: &str,
    carried: Option<&EmbeddedRecipe>,
) -> Result<Picture<'a>, CliError> {
    args.look.check(output.format == Format::Png)?;
    let by_object = !args.object.is_empty();
    let lights = looking.sweep(panel);
    let width = output.width.unwrap_or(USUAL_WIDTH);
    let finished = |picture: Bitmap| {
        let texts = carried.map(|c| c.texts(&panel.name)).unwrap_or_default();
        picture.png_with(&texts)
    };
    if output.format == Format::Png && is_stamped(panel, width) && !by_object && lights.is_none() {
        let seen = looking.on(panel);
        let picture = match page(args, looking, note) {
            Some(options) => preview_bitmap(&seen, &options, width),
            None => panel_bitmap(&seen, width),
        };
        return picture
            .map(|picture| looking.as_seen(panel, picture))
            .and_then(finished)
            .map(Picture::Png)
            .map_err(|error| trouble(panel, &error));
    }
    let svg = match lights {
        _ if by_object => objects(panel, args, looking)?,
        Some(lights) => sweep(panel, lights, args.form()),
        None => match looking.on(panel) {
            Cow::Borrowed(panel) => drawing(panel, args, looking, note),
            Cow::Owned(panel) => drawing(&panel, args, looking, note).into_owned(),
        },
    };
    let most = match output.format {
        Format::Svg => (svg.size(), MOST_DRAWING),
        Format::Png => (written_out(panel), MOST_WRITTEN_OUT),
    };
    if most.0 > most.1 {
        return Err(CliError::Drawing {
            message: format!(
                "the panel `{}` has too many tiles of too many layers: its shapes would take some {} MB",
                panel.name,
                most.0 / 1_000_000
            ),
            help: "draw fewer tiles, or tiles of fewer parts and layers".to_owned(),
        });
    }
    match output.format {
        Format::Svg => Ok(Picture::Svg(match carried {
            Some(carried) => carried.in_svg(svg, &panel.name),
            None => svg,
        })),
        Format::Png => {
            bitmap(&svg.to_text(), width, Ground::Paper)
                .and_then(|picture| {
                    // Objects are seen from a distance one by one, before they stand on their page.
                    finished(if by_object {
                        picture
                    } else {
                        looking.as_seen(panel, picture)
                    })
                })
                .map(Picture::Png)
                .map_err(|error| trouble(panel, &error))
        }
    }
}

impl PictureArgs {
    fn form(&self) -> Form {
        if self.flat { Form::Flat } else { Form::Placed }
    }
}

/// What the page of a panel has; none where the panel is shown alone: from a distance the text beside it could not be
/// read.
fn page(args: &PictureArgs, looking: &Looking, note: &str) -> Option<PreviewOptions> {
    if args.bare || looking.of_pixels() {
        return None;
    }
    let note = match looking.words() {
        Some(words) => format!("{note}, {words}"),
        None => note.to_owned(),
    };
    Some(PreviewOptions {
        panel: panel_options(args),
        note: Some(note),
    })
}

fn panel_options(args: &PictureArgs) -> PanelOptions {
    PanelOptions {
        form: args.form(),
        ..PanelOptions::default()
    }
}

fn drawing<'a>(
    panel: &'a Panel,
    args: &PictureArgs,
    looking: &Looking,
    note: &str,
) -> Document<'a> {
    match page(args, looking, note) {
        Some(options) => preview_document(panel, &options),
        None => panel_document(panel, &panel_options(args)),
    }
}

/// Objects cut from the panel, side by side; in light from all round the first light's row first.
fn objects(
    panel: &Panel,
    args: &PictureArgs,
    looking: &Looking,
) -> Result<Document<'static>, CliError> {
    let mut found = Vec::new();
    for (name, shape) in &args.object {
        let best = best(panel, *shape, looking.seeing()).ok_or_else(|| CliError::Drawing {
            message: format!("`{name}` does not fit on the panel `{}`", panel.name),
            help: "ask for a smaller one, such as `--object 60x40`".to_owned(),
        })?;
        let window = best.boldest;
        found.push((name, window, cut(panel, shape.bounds(window.centre))));
    }
    let mut shots = Vec::new();
    let shot = |name: &str, window: &Window, seen: Panel, light: &str| -> Result<Shot, CliError> {
        let pixels = looking.pixels(&seen, SIDE);
        Ok(Shot {
            pixels: pixels.map_err(|error| trouble(panel, &error))?,
            panel: seen,
            words: format!("{name}{light}: {:.0} lines per 100 mm", window.lines),
            round: matches!(window.shape, Shape::Circle(_)),
        })
    };
    match looking.sweep(panel) {
        Some(lights) => {
            for (azimuth, lit) in lights {
                for (name, window, _) in &found {
                    let seen = cut(&lit, window.shape.bounds(window.centre));
                    let light = format!(", {} ({azimuth}\u{b0})", from_where(azimuth));
                    shots.push(shot(name, window, seen, &light)?);
                }
            }
        }
        None => {
            for (name, window, piece) in &found {
                shots.push(shot(name, window, looking.on(piece).into_owned(), "")?);
            }
        }
    }
    let columns = match found.len() {
        1 => IN_A_ROW.min(shots.len()),
        several => several.min(IN_A_ROW),
    };
    Ok(side_by_side(&shots, columns, &panel.name, args.form()).into_owned())
}

/// The panel in light from all round.
fn sweep(panel: &Panel, lights: Vec<(f64, Panel)>, form: Form) -> Document<'static> {
    let shots: Vec<Shot> = lights
        .into_iter()
        .map(|(azimuth, panel)| Shot {
            panel,
            words: format!("{} ({azimuth}\u{b0})", from_where(azimuth)),
            round: false,
            pixels: None,
        })
        .collect();
    side_by_side(&shots, IN_A_ROW, &panel.name, form).into_owned()
}

/// Where light comes from, in words for the nearest eighth of a turn.
pub(super) fn from_where(azimuth: f64) -> &'static str {
    const EIGHTHS: [&str; 8] = [
        "light from the right",
        "from below right",
        "from below",
        "from below left",
        "from the left",
        "from above left",
        "from above",
        "from above right",
    ];
    let near = |eighth: &usize| crate::geom::angle::between(azimuth, 45.0 * *eighth as f64);
    (0..8)
        .min_by(|a, b| near(a).total_cmp(&near(b)))
        .map_or("", |eighth| EIGHTHS[eighth])
}

pub(super) fn trouble(panel: &Panel, error: &DrawError) -> CliError {
    let help = match error {
        DrawError::TooLarge { fits, .. } => format!("ask for less with `--width {fits}`"),
        DrawError::Width { .. } => "choose another `--width`".to_owned(),
        _ => "draw it as svg: `--format svg`".to_owned(),
    };
    CliError::Drawing {
        message: format!("the panel `{}` cannot be drawn as png: {error}", panel.name),
        help,
    }
}
