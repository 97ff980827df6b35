//! A sheet's layers, read from a picture of its edge: where they begin and end, how sure that is, and what colour
//! they have.
//!
//! Pictures come in as bytes of pixels; lengths go out in mm, or as shares of the thickness. Never here: files,
//! forms of pictures, the terminal.
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_possible_wrap,
    clippy::needless_range_loop,
    reason = "places in a picture and in matrices, which are as large as the picture at most"
)]

mod error;
mod find;
mod fit;
mod layers;
mod light;
mod profile;
mod solve;
mod straight;

pub use error::NotFound;
pub use find::{Border, Faces, Found, find};
pub use layers::{EdgeLayer, layers, recipe, told};
pub use light::{Light, encoded};
pub use straight::Across;
