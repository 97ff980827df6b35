//! How a panel is looked at: light, finish, eyes, distance.

use std::borrow::Cow;

use clap::Args;

use super::cli_error::CliError;
use crate::appearance::blur::Pixels;
use crate::appearance::legibility::Seeing;
use crate::appearance::look::DISTANCES;
use crate::appearance::relit::relit;
use crate::appearance::texture::with_grain;
use crate::appearance::{Finish, Light, Look, View};
use crate::draw::{Bitmap, DrawError, Ground, NARROWEST, PanelOptions, bitmap, panel_svg};
use crate::explore::index::LookRef;
use crate::explore::pinned::Pinned;
use crate::geom::length;
use crate::layout::panel::Panel;

/// The most pixels in a millimetre where no size is asked for: twice what the finest grain needs.
const FINEST: f64 = 8.0;

/// What comes between the wood and the eye, as typed.
#[derive(Debug, Clone, Default, Args)]
pub(super) struct LookArgs {
    /// Direction that the light comes from, in degrees: 0 is the right, 90 below, 180 the left, 270
    /// above. `sweep` shows eight directions side by side, `even` is light from all sides
    ///
    /// Long grain shines when light falls across its fibres, end grain does not. So turned and flipped
    /// tiles look different.
    #[arg(long, value_name = "DEGREES", value_parser = light, allow_hyphen_values = true,
          help_heading = "Looking")]
    light: Option<Lights>,

    /// Finish on the wood: `raw`, `oil` or `clear` varnish (default: `raw`)
    #[arg(long, value_name = "FINISH", help_heading = "Looking")]
    finish: Option<Finish>,

    /// Colour vision to show it for: `usual`, `protanopia` (red-blind), `deuteranopia` (green-blind),
    /// `tritanopia` (blue-blind) or `grey` (default: `usual`)
    #[arg(long, value_name = "EYES", help_heading = "Looking")]
    view: Option<View>,

    /// Show how the panel looks from this distance, such as `3m` or `10 ft` (a png picture of the panel
    /// alone)
    ///
    /// The measures do not change with it: `contrast` is measured close up, and `plain` and `plyloom
    /// legible` say from how far the pattern reads.
    #[arg(long, value_name = "DISTANCE", value_parser = distance, help_heading = "Looking")]
    from: Option<f64>,

    /// Add faint grain as decoration (a png picture of the panel alone)
    #[arg(long, help_heading = "Looking")]
    grain: bool,
}

/// Light from one direction, all round, or even.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Lights {
    Even,
    One(Light),
    Sweep,
}

/// The look of a command: options that are typed go before what a choice pins.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Looking {
    look: Look,
    sweep: bool,
    grain: bool,
}

impl LookArgs {
    /// With what a choice pins where nothing is typed.
    pub(super) fn over(&self, pinned: Option<&Pinned>) -> Looking {
        let pinned = pinned.map(|p| p.look).unwrap_or_default();
        Looking {
            look: Look {
                finish: self.finish.unwrap_or(pinned.finish),
                light: match self.light {
                    None => pinned.light,
                    Some(Lights::One(light)) => Some(light),
                    Some(Lights::Even | Lights::Sweep) => None,
                },
                view: self.view.unwrap_or(pinned.view),
                from: self.from,
            },
            sweep: self.light == Some(Lights::Sweep),
            grain: self.grain,
        }
    }

    /// What does not go together, before anything is made: `pixels` says whether the picture is one
    /// of pixels.
    ///
    /// # Errors
    /// When a distance or grain is asked for together with what cannot show it.
    pub(super) fn check(&self, pixels: bool) -> Result<(), CliError> {
        let of_pixels = self.from.is_some() || self.grain;
        match (of_pixels, self.light) {
            (true, Some(Lights::Sweep)) => usage(
                "`--from` and `--grain` show one picture and `--light sweep` eight",
                ONE_DIRECTION,
            ),
            (true, _) if !pixels => usage(
                "`--grain` and `--from` need a png picture: they cannot be drawn as svg",
                "add `--format png`, or end the name after `--out` in `.png`",
            ),
            _ => Ok(()),
        }
    }

    /// Whether anything is asked for.
    pub(super) fn is_given(&self) -> bool {
        self.light.is_some()
            || self.finish.is_some()
            || self.view.is_some()
            || self.from.is_some()
            || self.grain
    }

    /// Refuses eight pictures where there is place for one.
    ///
    /// # Errors
    /// At `--light sweep`.
    pub(super) fn check_single(&self, what: &str) -> Result<(), CliError> {
        if self.light == Some(Lights::Sweep) {
            return usage(
                &format!("`--light sweep` shows eight pictures, and {what}"),
                ONE_DIRECTION,
            );
        }
        Ok(())
    }
}

const ONE_DIRECTION: &str = "give one direction, such as `--light 225`";

fn usage(message: &str, help: &str) -> Result<(), CliError> {
    Err(CliError::Usage {
        message: message.to_owned(),
        help: help.to_owned(),
    })
}

impl Looking {
    /// The panel as it looks, where one picture of it is asked for.
    pub(super) fn on<'a>(&self, panel: &'a Panel) -> Cow<'a, Panel> {
        if self.look.close().is_plain() {
            Cow::Borrowed(panel)
        } else {
            Cow::Owned(relit(panel, self.look))
        }
    }

    /// The panel in light from all round, each with the direction in degrees; none where one
    /// picture of it is asked for.
    pub(super) fn sweep(&self, panel: &Panel) -> Option<Vec<(f64, Panel)>> {
        let one = |light: Light| {
            let look = Look {
                light: Some(light),
                ..self.look
            };
            (light.azimuth(), relit(panel, look))
        };
        self.sweep.then(|| Light::sweep().map(one).to_vec())
    }

    /// How it is looked at, for a note on the picture; none for a plain look.
    pub(super) fn words(&self) -> Option<String> {
        let parts = self.kept().words();
        (!parts.is_empty()).then(|| parts.join(", "))
    }

    /// Finish and eyes, for figures.
    pub(super) fn seeing(&self) -> Seeing {
        Seeing {
            finish: self.look.finish,
            view: self.look.view,
        }
    }

    /// For an index.
    pub(super) fn kept(&self) -> LookRef {
        LookRef {
            seen: self.look,
            grain: self.grain,
        }
    }

    /// Whether pixels are changed: the picture shows the panel alone.
    pub(super) fn of_pixels(&self) -> bool {
        self.grain || self.look.from.is_some()
    }

    /// The picture of a panel alone with its grain, and as seen from the distance asked for.
    pub(super) fn as_seen(&self, panel: &Panel, mut picture: Bitmap) -> Bitmap {
        if self.grain {
            let size = (picture.width as usize, picture.height as usize);
            let pixels = Pixels::new(size.0, size.1, std::mem::take(&mut picture.rgba))
                .expect("invariant: a picture has its pixels");
            picture.rgba = with_grain(panel, pixels, picture.per_mm).into_bytes();
        }
        match self.look.from {
            Some(distance) => picture.seen_from(distance),
            None => picture,
        }
    }

    /// A PNG of a panel that is [`Self::on`] already, its longer side at most so many pixels; none
    /// where it is drawn as it is.
    ///
    /// # Errors
    /// When the panel is too long and thin for a picture.
    pub(super) fn pixels(&self, seen: &Panel, side: u32) -> Result<Option<Vec<u8>>, DrawError> {
        if !self.of_pixels() {
            return Ok(None);
        }
        let (width, height) = (seen.bounds.width(), seen.bounds.height());
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a share of a whole number of pixels, and saturates"
        )]
        let wide = {
            let side = f64::from(side).min(FINEST * width.max(height));
            (side * (width / height).min(1.0)).round() as u32
        };
        let svg = panel_svg(seen, &PanelOptions::default());
        let picture = bitmap(&svg, wide.max(NARROWEST), Ground::Paper)?;
        self.as_seen(seen, picture).png().map(Some)
    }
}

fn light(text: &str) -> Result<Lights, String> {
    match text {
        "sweep" => return Ok(Lights::Sweep),
        "even" => return Ok(Lights::Even),
        _ => {}
    }
    let hint = "expected a number of degrees, `sweep` or `even`";
    let azimuth: f64 = text.parse().map_err(|_| hint.to_owned())?;
    Light::new(thousandths(azimuth), Light::HALF_WAY)
        .map(Lights::One)
        .map_err(|e| e.to_string())
}

/// A distance in mm, such as `3m` or `10 ft`.
pub(super) fn distance(text: &str) -> Result<f64, String> {
    let bare = text.trim().chars().all(|c| c.is_ascii_digit() || c == '.');
    if bare {
        return Err(format!("say in which unit: `{text} m` or `{text} ft`"));
    }
    let mm = length::parse(text).map_err(|e| e.to_string())?;
    if DISTANCES.contains(&mm) {
        Ok(thousandths(mm))
    } else {
        Err("expected a distance from 10 cm to 1 km".to_owned())
    }
}

/// The form in files: a number with few digits is read back as it was written.
fn thousandths(value: f64) -> f64 {
    libm::round(value * 1000.0) / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_need_a_unit_and_sense() {
        assert_eq!(distance("3m"), Ok(3000.0));
        assert!(distance("10 ft").is_ok_and(|mm| (mm - 3048.0).abs() < 1e-9));
        assert!(distance("3").is_err_and(|e| e.contains("3 m")));
        for bad in ["-3 m", "0 m", "9 mm", "2000 m", "far"] {
            assert!(distance(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn lights_and_words() {
        assert_eq!(light("sweep"), Ok(Lights::Sweep));
        assert_eq!(light("-90"), light("270"));
        assert!(light("left").is_err() && light("NaN").is_err());
    }
}
