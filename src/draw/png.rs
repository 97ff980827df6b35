//! Pictures: an SVG document as PNG, with its physical size kept.
//!
//! Text is set in a typeface that the program carries, so a picture does not depend on what is
//! installed. It has Latin, Greek and Cyrillic letters; what it lacks shows as an empty box.

use std::sync::{Arc, LazyLock};

use resvg::{
    render,
    tiny_skia::{Color, Pixmap, Transform},
    usvg::{
        Error, FontResolver, Options, Tree,
        fontdb::{Database, Source},
        roxmltree,
    },
};

use super::{
    bitmap::{Bitmap, Ground},
    error::DrawError,
    limits::{MOST_PIXELS, NARROWEST, WIDEST},
};
use crate::geom::length::INCH;

/// CSS pixels in an inch, by definition (CSS Values and Units Level 3, section 5.2).
const PER_INCH: f64 = 96.0;

/// A PNG of an SVG document, `width` pixels wide; its height follows, and it says how many pixels
/// make a metre.
///
/// # Errors
/// When the width is out of range, the picture would be too large, or the document cannot be read.
pub fn png(svg: &str, width: u32, ground: Ground) -> Result<Vec<u8>, DrawError> {
    bitmap(svg, width, ground)?.png()
}

/// The pixels of an SVG document, to be changed before they are written.
///
/// # Errors
/// As [`png()`].
pub fn bitmap(svg: &str, width: u32, ground: Ground) -> Result<Bitmap, DrawError> {
    if !(NARROWEST..=WIDEST).contains(&width) {
        return Err(DrawError::Width { width });
    }
    let tree = Tree::from_str(svg, &options()).map_err(reading)?;
    let (w, h) = size(&tree);
    let height = height(width, w, h)?;
    rendered(&tree, (width, height), ground)
}

/// The pixels of an SVG document in a given size.
pub(super) fn sized(svg: &str, size: (u32, u32), ground: Ground) -> Result<Bitmap, DrawError> {
    let tree = Tree::from_str(svg, &options()).map_err(reading)?;
    rendered(&tree, size, ground)
}

fn size(tree: &Tree) -> (f64, f64) {
    let size = tree.size();
    (f64::from(size.width()), f64::from(size.height()))
}

fn rendered(tree: &Tree, (width, height): (u32, u32), ground: Ground) -> Result<Bitmap, DrawError> {
    let (w, h) = size(tree);
    let mut pixels = Pixmap::new(width, height)
        .ok_or_else(|| DrawError::Failed("no memory for the picture".to_owned()))?;
    if ground == Ground::Paper {
        pixels.fill(Color::WHITE);
    }
    #[allow(clippy::cast_possible_truncation, reason = "the renderer works in f32")]
    let scale = Transform::from_scale(
        (f64::from(width) / w) as f32,
        (f64::from(height) / h) as f32,
    );
    render(tree, scale, &mut pixels.as_mut());
    let rgba = match ground {
        // On paper nothing is transparent, so premultiplied colours are the colours themselves.
        Ground::Paper => pixels.take(),
        Ground::None => {
            let of = |p: &resvg::tiny_skia::PremultipliedColorU8| {
                let c = p.demultiply();
                [c.red(), c.green(), c.blue(), c.alpha()]
            };
            pixels.pixels().iter().flat_map(of).collect()
        }
    };
    Ok(Bitmap {
        width,
        height,
        per_mm: f64::from(width) / (w / PER_INCH * INCH),
        rgba,
        ground,
    })
}

/// The height that goes with a width, for a document of w by h.
pub(super) fn height(width: u32, w: f64, h: f64) -> Result<u32, DrawError> {
    let exact = f64::from(width) * h / w;
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a cast from f64 saturates; the value is checked next"
    )]
    let (height, fits) = (
        exact.round().max(1.0) as u64,
        (MOST_PIXELS as f64 * w / h).sqrt() as u32,
    );
    let most = u64::from(WIDEST);
    if height <= most && height * u64::from(width) <= MOST_PIXELS {
        return u32::try_from(height).map_err(|_| DrawError::TooThin);
    }
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most WIDEST / 1"
    )]
    let by_height = (f64::from(WIDEST) * w / h).min(f64::from(WIDEST)) as u32;
    let fits = fits.min(by_height).min(WIDEST);
    if fits < NARROWEST {
        return Err(DrawError::TooThin);
    }
    Err(DrawError::TooLarge {
        width,
        height,
        fits,
    })
}

fn options() -> Options<'static> {
    /// Reading the typefaces takes longer than drawing a small picture, so it is done once.
    static FONTS: LazyLock<Arc<Database>> = LazyLock::new(|| {
        let mut fonts = Database::new();
        for font in [
            epaint_default_fonts::UBUNTU_LIGHT,
            epaint_default_fonts::HACK_REGULAR,
        ] {
            fonts.load_font_source(Source::Binary(Arc::new(font)));
        }
        Arc::new(fonts)
    });
    let first = FONTS.faces().next().map(|f| f.id);
    Options {
        fontdb: Arc::clone(&FONTS),
        font_resolver: FontResolver {
            // One typeface for everything, whatever the document names.
            select_font: Box::new(move |_, _| first),
            select_fallback: Box::new(|_, tried, fonts| {
                let mut rest = fonts.faces().map(|f| f.id);
                rest.find(|id| !tried.contains(id))
            }),
        },
        ..Options::default()
    }
}

fn reading(error: Error) -> DrawError {
    match error {
        Error::ElementsLimitReached | Error::ParsingFailed(roxmltree::Error::NodesLimitReached) => {
            DrawError::TooManyShapes
        }
        other => DrawError::Unreadable(other.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_out_of_range() {
        assert_eq!(height(1000, 300.0, 150.0), Ok(500));
        assert_eq!(height(1000, 3e6, 1.0), Ok(1));
        let Err(DrawError::TooLarge { fits, .. }) = height(20_000, 100.0, 100.0) else {
            panic!("400 million pixels")
        };
        assert_eq!(fits, 10_000);
        let Err(DrawError::TooLarge {
            fits, height: h, ..
        }) = height(1000, 1.0, 25.0)
        else {
            panic!("25 000 pixels high")
        };
        assert_eq!((fits, h), (800, 25_000));
        assert_eq!(height(16, 1.0, 1e9), Err(DrawError::TooThin));
        let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='10mm' height='5mm'/>";
        assert_eq!(
            png(svg, 3, Ground::Paper),
            Err(DrawError::Width { width: 3 })
        );
        assert!(matches!(
            png("<svg", 100, Ground::Paper),
            Err(DrawError::Unreadable(_))
        ));
    }
}
