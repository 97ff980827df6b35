//! Pictures for the page: a panel or a part of it, as drawing or as pixels, as it is looked at.

use serde::{Deserialize, Serialize};

use crate::appearance::relit::relit;
use crate::appearance::{Look, LookError};
use crate::draw::{DrawError, FaceArt, Ground, PanelOptions, bitmap, panel_svg, plain_svg};
use crate::geom::{Point, Rect};
use crate::layout::panel::Panel;
use crate::layout::window::window;
use crate::watch;

/// The most tiles of a drawing that a browser is to show at once.
pub const MOST_DRAWN: usize = 4_000;
/// Layers are sent for up to so many faces; tiles placed freely can have as many faces as tiles.
const MOST_LAYERED: usize = 4_000;
/// The widest picture of pixels, and the most pixels of one.
const WIDEST: u32 = 4_096;
const MOST_PIXELS: f64 = 16_000_000.0;

/// The part of a panel that is asked for, and how it is looked at. Lengths in mm, angles in
/// degrees.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct DrawingRequest {
    /// The part: left, top, width and height; all of it, where they are missing.
    x: Option<f64>,
    y: Option<f64>,
    w: Option<f64>,
    h: Option<f64>,
    /// Width in pixels.
    width: Option<u32>,
    /// How it is looked at, as in [`Look::read`].
    light: Option<f64>,
    finish: Option<String>,
    view: Option<String>,
    from: Option<f64>,
    /// Whether each tile may be one colour.
    plain: bool,
}

impl DrawingRequest {
    /// All of a panel, this many pixels wide.
    pub fn of_width(width: u32, look: &Look) -> Self {
        Self {
            width: Some(width),
            light: look.light.map(|light| light.azimuth()),
            finish: Some(look.finish.word().to_owned()),
            view: Some(look.view.word().to_owned()),
            from: look.from,
            ..Self::default()
        }
    }

    fn look(&self) -> Result<Look, LookError> {
        let (finish, view) = (self.finish.as_deref(), self.view.as_deref());
        Look::read(self.light, finish, view, self.from)
    }
}

/// Why there is no picture.
#[derive(Debug, thiserror::Error)]
pub enum NoPicture {
    /// Asked for what there is not.
    #[error("{0}")]
    Asked(String),
    /// Nobody can look at it so.
    #[error(transparent)]
    Look(#[from] LookError),
    /// Too many tiles for a drawing.
    #[error("a drawing of {tiles} tiles is too much for a browser: ask for pixels, or for a part")]
    TooMany {
        /// How many.
        tiles: usize,
    },
    /// The drawing failed.
    #[error(transparent)]
    Draw(#[from] DrawError),
}

/// What is painted for each face of a panel in its light, in their order, as text of JSON; of several thousand faces
/// the mean colours and outlines alone.
///
/// # Errors
/// When there is no such look.
#[allow(clippy::missing_panics_doc, reason = "only an invariant is expected")]
pub fn faces(panel: &Panel, asked: &DrawingRequest) -> Result<String, NoPicture> {
    let panel = looked_at(panel, asked)?;
    let layered = panel.faces.len() <= MOST_LAYERED;
    let faces = panel.faces.iter().map(|placed| {
        watch::ask();
        let mut art = FaceArt::of(&placed.face);
        if !layered {
            art.paths.clear();
        }
        art
    });
    let faces: Vec<FaceArt> = faces.collect();
    Ok(serde_json::to_string(&faces).expect("invariant: texts have a form in JSON"))
}

/// The drawing, as SVG.
///
/// # Errors
/// When there are too many tiles in it, or nothing.
pub fn drawing(panel: &Panel, asked: &DrawingRequest) -> Result<String, NoPicture> {
    let panel = looked_at(panel, asked)?;
    if panel.tiles.len() > MOST_DRAWN {
        return Err(NoPicture::TooMany {
            tiles: panel.tiles.len(),
        });
    }
    Ok(panel_svg(&panel, &PanelOptions::default()))
}

/// The picture of pixels, as PNG; transparent where the panel is not.
///
/// # Errors
/// When nothing is there, or it cannot be drawn.
pub fn pixels(panel: &Panel, asked: &DrawingRequest) -> Result<Vec<u8>, NoPicture> {
    let panel = looked_at(panel, asked)?;
    let svg = if asked.plain || panel.tiles.len() > MOST_DRAWN {
        plain_svg(&panel)
    } else {
        panel_svg(&panel, &PanelOptions::default())
    };
    let (w, h) = (panel.bounds.width(), panel.bounds.height());
    let most = (MOST_PIXELS * w / h)
        .sqrt()
        .min(f64::from(WIDEST) * (w / h).min(1.0));
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a cast from f64 saturates, and the drawing checks the width"
    )]
    let width = f64::from(asked.width.unwrap_or(1600)).min(most) as u32;
    let picture = bitmap(&svg, width.max(16), Ground::None)?;
    let picture = match asked.look()?.from {
        Some(distance) => picture.seen_from(distance),
        None => picture,
    };
    Ok(picture.png()?)
}

/// The part that is asked for, in its light.
fn looked_at(panel: &Panel, asked: &DrawingRequest) -> Result<Panel, NoPicture> {
    let wrong = |what: &str| NoPicture::Asked(what.to_owned());
    let part = match (asked.x, asked.y, asked.w, asked.h) {
        (Some(x), Some(y), Some(w), Some(h)) => {
            let good = [x, y, w, h].iter().all(|n| n.is_finite()) && w > 0.0 && h > 0.0;
            let rect = Rect {
                min: Point::new(x, y),
                max: Point::new(x + w, y + h),
            };
            good.then(|| window(panel, rect))
                .flatten()
                .ok_or_else(|| wrong("no tile lies there"))?
        }
        (None, None, None, None) => panel.clone(),
        _ => return Err(wrong("a part needs x, y, w and h")),
    };
    Ok(relit(&part, asked.look()?))
}
