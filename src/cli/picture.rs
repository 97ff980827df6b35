//! From a panel to the bytes of its picture.

use clap::Args;

use super::output::{Format, Output};
use super::trouble::Trouble;
use crate::draw::{
    DrawError, Form, Ground, PanelOptions, PreviewOptions, panel_svg, png, preview_svg,
};
use crate::layout::panel::Panel;
use crate::recipe::parameter::{Parameter, Value};

/// Width of a png picture in pixels where none is asked for.
const USUAL_WIDTH: u32 = 1600;

/// What is drawn, and how.
#[derive(Debug, Clone, Args)]
pub(super) struct PictureArgs {
    /// Draw the panel alone, without its measures and tally
    #[arg(long)]
    bare: bool,

    /// Write every tile out, for programs that do not follow the `use` of SVG
    #[arg(long)]
    flat: bool,
}

/// Draws a panel; `note` goes under its title.
///
/// # Errors
/// When a png picture cannot be made: too large, or too long and thin.
pub(super) fn draw(
    panel: &Panel,
    args: &PictureArgs,
    output: &Output,
    note: &str,
) -> Result<Vec<u8>, Trouble> {
    let options = PanelOptions {
        form: if args.flat { Form::Flat } else { Form::Placed },
        ..PanelOptions::default()
    };
    let svg = if args.bare {
        panel_svg(panel, &options)
    } else {
        let note = Some(note.to_owned());
        preview_svg(
            panel,
            &PreviewOptions {
                panel: options,
                note,
            },
        )
    };
    match output.format {
        Format::Svg => Ok(svg.into_bytes()),
        Format::Png => {
            let width = output.width.unwrap_or(USUAL_WIDTH);
            png(&svg, width, Ground::Paper).map_err(|error| trouble(panel, &error))
        }
    }
}

fn trouble(panel: &Panel, error: &DrawError) -> Trouble {
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
    parts.extend(parameters.iter().map(|parameter| {
        let value = match &parameter.value {
            Value::YesNo(true) => "yes".to_owned(),
            Value::YesNo(false) => "no".to_owned(),
            Value::Whole(number) => number.to_string(),
            Value::Number(number) => number.to_string(),
            Value::Text(text) => text.clone(),
        };
        format!("{} = {value}", parameter.name)
    }));
    parts.join(", ")
}
