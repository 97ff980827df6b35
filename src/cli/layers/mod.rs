//! `plyloom layers`: a sheet's layers from a picture of its edge.

mod read;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::ValueHint;

use super::cli_error::CliError;
use super::terminal::print;
use super::typed_length::measured;
use crate::edge::{EdgeLayer, Faces, Found, Light, NotFound, find, layers, recipe, told};
use crate::files::{read_bytes_up_to, same_file, write_picture};
use crate::session::visible::{on_one_line, shown_path};

/// The largest file that is read, in bytes.
const MOST_BYTES: u64 = 64 * 1024 * 1024;
/// The colours of borders in the picture to check: sure, and unsure.
const SURE: [u8; 3] = [255, 0, 255];
const UNSURE: [u8; 3] = [255, 255, 0];

/// Read a sheet's layers from a picture of its edge
#[derive(Debug, Args)]
#[command(
    long_about = "Read a sheet's layers from a photograph or scan of its edge (PNG, JPEG), as `laminate([...])` \
                  for a recipe. The edge goes from one side of the picture to the other, with a plain background \
                  beyond both faces; it may be askew by some degrees and unevenly lit. A picture to check by eye is \
                  written beside it.",
    after_help = "Examples:\n  plyloom layers edge.jpg --thickness 17.7\n  plyloom layers edge.jpg --thickness \
                  \"23/32 in\" --plies 13\n  plyloom layers crop.png --thickness 17.7 --cropped"
)]
pub(super) struct LayersArgs {
    /// The picture
    #[arg(value_name = "PICTURE", value_hint = ValueHint::FilePath)]
    picture: PathBuf,

    /// Thickness of the sheet as you measure it
    #[arg(long, value_name = "LENGTH", value_parser = measured)]
    thickness: f64,

    /// How many layers there are, where you can count them
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(2..=200))]
    plies: Option<u16>,

    /// The picture ends at the two faces: nothing else is in it
    #[arg(long)]
    cropped: bool,

    /// Write the picture to check to this file (default: NAME-layers.png)
    #[arg(long, short, value_name = "FILE", value_hint = ValueHint::FilePath)]
    out: Option<PathBuf>,
}

pub(super) fn run(args: &LayersArgs) -> Result<(), CliError> {
    let shown = shown_path(&args.picture);
    if args.thickness < 0.1 {
        return Err(CliError::Usage {
            message: "a sheet has a thickness".to_owned(),
            help: "measure it: `--thickness 17.7`".to_owned(),
        });
    }
    let out = args.out.clone().unwrap_or_else(|| {
        let stem = args
            .picture
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy();
        PathBuf::from(format!("{stem}-layers.png"))
    });
    if same_file(&out, &args.picture) {
        return Err(CliError::Usage {
            message: format!("`{shown}` is the picture that is read"),
            help: "choose another file for the picture to check: `--out check.png`".to_owned(),
        });
    }
    let bytes = read_bytes_up_to(&args.picture, MOST_BYTES)?;
    let bad = |message: String, help: &str| CliError::Data {
        code: "layers::picture",
        message,
        help: help.to_owned(),
    };
    let light = read::picture(&bytes).map_err(|why| {
        bad(
            format!("`{shown}` cannot be read: {}", on_one_line(&why)),
            "take a PNG or a JPEG, as cameras and scanners write them",
        )
    })?;
    let upright = light.runs_upright();
    let light = if upright { light.transposed() } else { light };
    let faces = if args.cropped {
        Faces::Rims
    } else {
        Faces::Seen
    };
    let found = find(&light, args.plies.map(usize::from), faces)
        .map_err(|error| not_found(error, &shown))?;
    let all = layers(&found, args.thickness);
    let drawn = drawn(&light, &found, &all);
    let light = if upright { light.transposed() } else { light };
    let drawn = if upright {
        Light::of(light.height(), light.width(), drawn)
            .map_or_else(Vec::new, |d| d.transposed().rgb().to_vec())
    } else {
        drawn
    };
    let png = read::png_of(&light, &drawn)
        .map_err(|error| bad(error.to_string(), "try a smaller picture"))?;
    write_picture(&out, &png)?;
    print(&text(&all, upright, &out))
}

fn not_found(error: NotFound, shown: &str) -> CliError {
    let (message, help) = match error {
        NotFound::TooSmall => (
            format!("`{shown}` has too few pixels to see layers in"),
            "take it from nearer: 10 pixels for each mm, or more",
        ),
        NotFound::NoBorders => (
            format!("no layers were found in `{shown}`"),
            "the edge must fill the picture from one side to the other, with a plain background beyond both faces; \
             or crop it to the faces and add `--cropped`",
        ),
        NotFound::TooFew(found) => (
            format!("only {found} borders were found in `{shown}`, fewer than so many layers have"),
            "check the number, or take the picture in better light",
        ),
    };
    CliError::Data {
        code: "layers::not_found",
        message,
        help: help.to_owned(),
    }
}

/// The picture with a line along each border.
fn drawn(light: &Light, found: &Found, all: &[EdgeLayer]) -> Vec<u8> {
    let mut rgb = light.rgb().to_vec();
    let last = (light.width() - 1).max(1) as f64;
    for (i, border) in found.borders.iter().enumerate() {
        let colour = if all.get(i).is_some_and(|l| l.unsure) {
            UNSURE
        } else {
            SURE
        };
        for x in 0..light.width() {
            // A broken line, so that the picture below it can be seen.
            if x / 6 % 2 == 1 {
                continue;
            }
            let along = x as f64 / last;
            let [top, bottom] = found.faces.map(|f| f.left + (f.right - f.left) * along);
            let y = (top + (bottom - top) * border.at).round();
            if y < 0.0 || y >= light.height() as f64 {
                continue;
            }
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a row of the picture"
            )]
            let at = 3 * (y as usize * light.width() + x);
            rgb[at..at + 3].copy_from_slice(&colour);
        }
    }
    rgb
}

fn text(all: &[EdgeLayer], upright: bool, out: &Path) -> String {
    let from = if upright { "left" } else { "top" };
    let mut text = format!("{} layers, from the {from} of the picture\n", all.len());
    for (i, layer) in told(all).iter().enumerate() {
        let _ = writeln!(text, "  {:>2}  {layer}", i + 1);
    }
    text.push('\n');
    text.push_str(&recipe(all));
    text.push('\n');
    if all.iter().any(|l| l.unsure) {
        text.push_str(
            "Some borders are unsure: count the layers and give their number with --plies.\n",
        );
    }
    let _ = writeln!(text, "Check the lines by eye: {}", shown_path(out));
    text
}
