//! Pictures of pixels of panels with many tiles: the page is drawn with the panel's place left empty, and the panel is
//! stamped there. That takes less time than a document of all its tiles, which would take more memory than a run may
//! have where there are very many.

use super::{
    bitmap::{Bitmap, Ground},
    error::DrawError,
    limits::NARROWEST,
    options::{Form, PanelOptions, PreviewOptions},
    png::bitmap,
    svg::{panel_place, preview_document},
    thumbnail::Thumbnails,
};
use crate::layout::panel::Panel;

/// Panels of more tiles than this are always stamped: the renderer takes some 3 kB a tile.
const VERY_MANY: usize = 20_000;
/// Panels of no more tiles than this are rendered quickly, and never stamped.
const FEW: usize = 250;
/// A tile of so many pixels is stamped from paint three times as fine each way; one of more is rendered, as its edges
/// would be less sharp.
const LARGE: f64 = 7_000.0;

/// Whether a panel is stamped in a picture of this width in pixels.
pub fn is_stamped(panel: &Panel, width: u32) -> bool {
    let tiles = panel.tiles.len();
    let pixels = f64::from(width).powi(2) * panel.bounds.height() / panel.bounds.width();
    tiles > VERY_MANY || tiles > FEW && pixels <= LARGE * tiles as f64
}

/// The panel alone.
///
/// # Errors
/// When the width is out of range, or the picture would be too large.
pub fn panel_bitmap(panel: &Panel, width: u32) -> Result<Bitmap, DrawError> {
    Thumbnails::new().of(panel, width, Ground::Paper)
}

/// The page of [`preview_document`].
///
/// # Errors
/// As [`panel_bitmap`].
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places on a picture whose size is checked"
)]
pub fn preview_bitmap(
    panel: &Panel,
    options: &PreviewOptions,
    width: u32,
) -> Result<Bitmap, DrawError> {
    let blank = PreviewOptions {
        panel: PanelOptions {
            form: Form::Blank,
            ..options.panel.clone()
        },
        note: options.note.clone(),
    };
    let page = preview_document(panel, &blank).to_text();
    let mut picture = bitmap(&page, width, Ground::Paper)?;
    let pixels = |mm: f64| (mm * picture.per_mm).round() as u32;
    let (left, top) = panel_place(panel, options);
    let at = (pixels(left), pixels(top));
    let wide = pixels(panel.bounds.width());
    if wide < NARROWEST {
        return Err(DrawError::TooThin);
    }
    let wood = panel_bitmap(panel, wide)?;
    picture.lay(&wood, at);
    Ok(picture)
}
