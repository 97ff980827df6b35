//! From a panel to the bytes of its picture.

use clap::Args;

use super::carried::Carried;
use super::look::{LookArgs, Looking};
use super::output::{Format, Output};
use super::trouble::Trouble;
use crate::draw::{
    DrawError, Form, Ground, PanelOptions, PreviewOptions, Shot, bitmap, panel_svg, preview_svg,
    side_by_side_svg,
};
use crate::layout::panel::Panel;
use crate::recipe::parameter::Parameter;

/// Width of a png picture in pixels where none is asked for.
pub(super) const USUAL_WIDTH: u32 = 1600;

/// What is drawn, and how.
#[derive(Debug, Clone, Args)]
pub(super) struct PictureArgs {
    /// Draw the panel alone, without its measures and tally
    #[arg(long)]
    bare: bool,

    /// Write every tile out, for programs that do not follow the `use` of SVG
    #[arg(long)]
    flat: bool,

    /// Leave the recipe out of the picture; else `plyloom unpack` gets it back from there
    #[arg(long)]
    pub(super) no_recipe: bool,

    #[command(flatten)]
    pub(super) look: LookArgs,
}

/// How many panels stand side by side in a sweep of the light.
const IN_A_ROW: usize = 4;

/// Draws a panel as it is looked at; `note` goes under its title, `carried` into the file.
///
/// # Errors
/// When a png picture cannot be made: too large, or too long and thin.
pub(super) fn draw(
    panel: &Panel,
    args: &PictureArgs,
    looking: &Looking,
    output: &Output,
    note: &str,
    carried: Option<&Carried>,
) -> Result<Vec<u8>, Trouble> {
    args.look.check(output.format == Format::Png)?;
    let svg = match looking.sweep(panel) {
        Some(lights) => sweep(panel, lights, args.form()),
        None => drawing(&looking.on(panel), args, looking, note),
    };
    match output.format {
        Format::Svg => Ok(match carried {
            Some(carried) => carried.in_svg(svg, &panel.name),
            None => svg,
        }
        .into_bytes()),
        Format::Png => {
            let width = output.width.unwrap_or(USUAL_WIDTH);
            bitmap(&svg, width, Ground::Paper)
                .and_then(|picture| {
                    let texts = carried.map(|c| c.texts(&panel.name)).unwrap_or_default();
                    looking.as_seen(panel, picture).png_with(&texts)
                })
                .map_err(|error| trouble(panel, &error))
        }
    }
}

impl PictureArgs {
    fn form(&self) -> Form {
        if self.flat { Form::Flat } else { Form::Placed }
    }
}

/// One panel. From afar nobody reads what stands beside it.
fn drawing(panel: &Panel, args: &PictureArgs, looking: &Looking, note: &str) -> String {
    let options = PanelOptions {
        form: args.form(),
        ..PanelOptions::default()
    };
    if args.bare || looking.of_pixels() {
        return panel_svg(panel, &options);
    }
    let note = match looking.words() {
        Some(words) => format!("{note}, {words}"),
        None => note.to_owned(),
    };
    let note = Some(note);
    preview_svg(
        panel,
        &PreviewOptions {
            panel: options,
            note,
        },
    )
}

/// The panel in light from all round.
fn sweep(panel: &Panel, lights: Vec<(f64, Panel)>, form: Form) -> String {
    let shots: Vec<Shot> = lights
        .into_iter()
        .map(|(azimuth, panel)| Shot {
            panel,
            words: format!("{} ({azimuth}\u{b0})", from_where(azimuth)),
            round: false,
            pixels: None,
        })
        .collect();
    side_by_side_svg(&shots, IN_A_ROW, &panel.name, form)
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

pub(super) fn trouble(panel: &Panel, error: &DrawError) -> Trouble {
    let help = match error {
        DrawError::TooLarge { fits, .. } => format!("ask for less with `--width {fits}`"),
        DrawError::Width { .. } => "choose another `--width`".to_owned(),
        _ => "draw it as svg: `--format svg`".to_owned(),
    };
    Trouble::Drawing {
        message: format!("the panel `{}` cannot be drawn as png: {error}", panel.name),
        help,
    }
}

/// What made a panel: `seed 7, courses = 12`.
pub(super) fn note(seed: u64, parameters: &[Parameter]) -> String {
    let mut parts = vec![format!("seed {seed}")];
    let named = |p: &Parameter| format!("{} = {}", p.name, p.shown());
    parts.extend(parameters.iter().map(named));
    parts.join(", ")
}
