//! How a panel looks: what colours, light and distance do to it, as figures and as changed pixels.
//!
//! Lives here: colour differences and contrasts, colour-blind views, the sheen of long grain and
//! how finishes change it, what an eye resolves from how far, and small objects cut from a panel.
//! Never here: drawing (it asks for colours or hands over pixels), recipes, files, the terminal.
//!
//! Colours of wood come in as sRGB. Everything that adds light up does so in linear light. All
//! functions are pure, and use `libm` only, so that pictures are the same on every machine.

pub mod apart;
pub mod blindness;
pub mod blur;
pub mod change;
pub mod contrast;
pub mod difference;
pub mod eye;
pub mod fibre;
pub mod finish;
pub mod legibility;
pub mod light;
pub mod linear;
pub mod look;
pub mod object;
pub mod relit;
pub mod texture;
pub mod window;

pub use blindness::View;
pub use finish::Finish;
pub use light::{Light, lit_colours};
pub use linear::Linear;
pub use look::{Look, LookError};
