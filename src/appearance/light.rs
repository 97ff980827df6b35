//! How wood catches the light: long grain shines when the light comes from beside its fibres, and
//! end grain does not, so the same tile turned or flipped changes its shades.
//!
//! The panel is seen squarely from above. Its light comes from one direction, and the exposure is
//! such that long grain shows its named colour on average over all directions of that light.
//!
//! The model is the fibres' highlight of Marschner, Westin, Arbree and Moon, Measuring and modeling
//! the appearance of finished wood, ACM Transactions on Graphics 24 (SIGGRAPH 2005) 727-734
//! (formula as two independent public implementations of the paper have it). With u the unit vector along
//! the fibres, s(v) a direction refracted into the finish, and v the directions to light (i) and
//! eye (r):
//!
//! ```text
//! psi_i = asin(s(v_i) . u)     psi_r = asin(s(v_r) . u)
//! psi_h = psi_i + psi_r        psi_d = psi_i - psi_r
//! highlight = k g(width, psi_h) / cos^2(psi_d / 2)        g: a Gaussian, here of peak 1
//! ```
//!
//! It adds to the diffuse light, in the wood's own colour. What depends on the light's height alone
//! (how much of it falls on the panel and enters the finish) is the same all over a flat panel and
//! goes into the exposure; the mirror image of the lamp does not meet an eye above.

use super::{
    Finish, Linear,
    fibre::{Fibre, fibres},
    finish::Sheen,
};
use crate::{
    geom::{Point, angle},
    layout::panel::PlacedFace,
    stock::{Colour, LayerKind},
};

/// How far, in degrees, the fibres of cross plies run off square to the bar: our choice. Common
/// practice counts wood as straight-grained up to a slope of about 1 in 20, which is 2.9 degrees.
pub const RUN_OUT: f64 = 2.0;

/// Where the light comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Light {
    azimuth: f64,
    elevation: f64,
}

/// Why light cannot come from there.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LightError {
    /// No number.
    #[error("the light's direction must be a number of degrees")]
    Azimuth,
    /// Behind the panel, or just along it.
    #[error("the light must stand above 0 and at most 90 degrees over the panel, not {0}")]
    Elevation(f64),
}

impl Default for Light {
    /// From the top left, half way up.
    fn default() -> Self {
        Self {
            azimuth: 225.0,
            elevation: Self::HALF_WAY,
        }
    }
}

impl Light {
    /// The usual height of a light, in degrees.
    pub const HALF_WAY: f64 = 45.0;

    /// Light from `azimuth` degrees (0 from the right, 90 from below, 180 from the left, 270 from
    /// above), standing `elevation` degrees over the panel.
    ///
    /// # Errors
    /// When one of them is no number, or the light would not stand over the panel.
    pub fn new(azimuth: f64, elevation: f64) -> Result<Self, LightError> {
        if !azimuth.is_finite() {
            return Err(LightError::Azimuth);
        }
        if !(elevation > 0.0 && elevation <= 90.0) {
            return Err(LightError::Elevation(elevation));
        }
        Ok(Self {
            azimuth: angle::normalised(azimuth),
            elevation,
        })
    }

    /// Eight directions all round, from the right on, at the usual height.
    pub fn sweep() -> [Self; 8] {
        let steps = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0];
        steps.map(|step| Self {
            azimuth: 45.0 * step,
            elevation: Self::HALF_WAY,
        })
    }

    /// Where it comes from, in degrees.
    pub fn azimuth(&self) -> f64 {
        self.azimuth
    }

    /// The highlight of fibres that lie in the direction `rising` and come out of the face by
    /// `run_out` degrees: 1 at its brightest for fibres in the face.
    pub fn highlight(&self, rising: f64, run_out: f64, sheen: Sheen) -> f64 {
        let (out, along) = angle::sin_cos(run_out);
        // Refraction (Snell): the sine of the angle to the normal shrinks by the index. The eye
        // stands on the normal, where nothing bends.
        let flat = angle::cos(self.elevation) / sheen.index;
        let deep = (1.0 - flat * flat).max(0.0).sqrt();
        let towards = Point::unit(self.azimuth).dot(Point::unit(rising));
        let psi_i = libm::asin((flat * towards * along + deep * out).clamp(-1.0, 1.0));
        let psi_r = libm::asin(out);
        let width = sheen.width * std::f64::consts::PI / 180.0;
        let x = (psi_i + psi_r) / width;
        let half = libm::cos((psi_i - psi_r) / 2.0);
        libm::exp(-0.5 * x * x) / (half * half)
    }

    /// How much light comes from fibres, against the mean over all directions of the light.
    pub fn gain(&self, rising: f64, run_out: f64, sheen: Sheen) -> f64 {
        let lit =
            |light: &Self, run_out| 1.0 + sheen.strength * light.highlight(rising, run_out, sheen);
        let round = (0_u8..72).map(|step| Self {
            azimuth: 5.0 * f64::from(step),
            ..*self
        });
        let mean = round.map(|light| lit(&light, 0.0)).sum::<f64>() / 72.0;
        lit(self, run_out) / mean
    }

    /// The colour of a layer under this light: its finished colour, times the gain where its fibres
    /// lie in the face.
    ///
    /// `colour` is what the slice shows unlit: end grain comes already darker.
    pub fn on(&self, kind: LayerKind, colour: Colour, fibre: Fibre, finish: Finish) -> Colour {
        let bare = Linear::from(colour);
        // Glue does not soak up a finish.
        let finished = match kind {
            LayerKind::Glue => bare,
            LayerKind::Ply | LayerKind::Veneer => finish.on(bare),
        };
        let gain = match fibre {
            Fibre::Face { rising } => self.gain(rising, RUN_OUT, finish.sheen()),
            Fibre::End | Fibre::None => 1.0,
        };
        finished.map(|c| c * gain).colour()
    }
}

/// The colour of each region of a face under a light, in the order of its regions.
pub fn lit_colours(face: &PlacedFace, light: &Light, finish: Finish) -> Vec<Colour> {
    face.face
        .regions()
        .iter()
        .zip(fibres(face))
        .map(|(region, fibre)| light.on(region.layer.kind, region.colour, fibre, finish))
        .collect()
}

/// The colour of each region of a face with a finish, without a light from one side.
pub fn finished_colours(face: &PlacedFace, finish: Finish) -> Vec<Colour> {
    face.face
        .regions()
        .iter()
        .map(|region| match region.layer.kind {
            LayerKind::Glue => region.colour,
            LayerKind::Ply | LayerKind::Veneer => finish.on(region.colour.into()).colour(),
        })
        .collect()
}
