//! How a panel is looked at: light, finish, eyes, distance.

use clap::Args;

use super::trouble::Trouble;
use crate::draw::Bitmap;
use crate::geom::length;
use crate::layout::panel::Panel;
use crate::sight::blur::Pixels;
use crate::sight::relit::{Look, relit};
use crate::sight::texture::with_grain;
use crate::sight::{Finish, Light, View};

/// The farthest that anyone looks from, in mm.
const FARTHEST: f64 = 1_000_000.0;

/// What comes between the wood and the eye.
#[derive(Debug, Clone, Default, Args)]
pub(super) struct LookArgs {
    /// Light from this direction in degrees (0 from the right, 90 from below, 270 from above), or
    /// `sweep` for eight directions side by side
    ///
    /// Long grain shines when the light comes from beside its fibres; end grain does not. So turned
    /// and flipped tiles differ.
    #[arg(long, value_name = "DEGREES", value_parser = light, allow_hyphen_values = true,
          help_heading = "Looking")]
    light: Option<Lights>,

    /// What the panel is finished with: `raw`, `oil` or `clear`
    #[arg(long, value_name = "FINISH", value_parser = finish, default_value = "raw",
          help_heading = "Looking")]
    pub(super) finish: Finish,

    /// Whose eyes look: `usual`, `protanopia`, `deuteranopia`, `tritanopia` or `grey`
    #[arg(long, value_name = "EYES", value_parser = view, default_value = "usual",
          help_heading = "Looking")]
    pub(super) view: View,

    /// What an eye sees of the panel from this distance, such as `3m` or `10 ft`: a png picture of
    /// the panel alone
    #[arg(long, value_name = "DISTANCE", value_parser = distance, help_heading = "Looking")]
    pub(super) from: Option<f64>,

    /// Draw faint grain, as an ornament: a png picture of the panel alone
    #[arg(long, help_heading = "Looking")]
    grain: bool,
}

/// Light from one direction or all round.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Lights {
    One(Light),
    Sweep,
}

impl LookArgs {
    /// The panel as it looks, where one picture of it is asked for.
    pub(super) fn on(&self, panel: &Panel) -> Panel {
        let light = match self.light {
            Some(Lights::One(light)) => Some(light),
            Some(Lights::Sweep) | None => None,
        };
        relit(panel, self.look(light))
    }

    /// The panel in light from all round, each with the direction in degrees; none where one
    /// picture of it is asked for.
    pub(super) fn sweep(&self, panel: &Panel) -> Option<Vec<(f64, Panel)>> {
        let one = |light: Light| (light.azimuth(), relit(panel, self.look(Some(light))));
        (self.light == Some(Lights::Sweep)).then(|| Light::sweep().map(one).to_vec())
    }

    /// How it is looked at, for a note on the picture; none for a plain look.
    pub(super) fn words(&self) -> Option<String> {
        let mut parts = Vec::new();
        if let Some(Lights::One(light)) = self.light {
            parts.push(format!("light from {}\u{b0}", light.azimuth()));
        }
        if self.finish != Finish::Raw {
            parts.push(format!("finish {}", self.finish.word()));
        }
        if self.view != View::Usual {
            parts.push(format!("eyes {}", self.view.word()));
        }
        (!parts.is_empty()).then(|| parts.join(", "))
    }

    fn look(&self, light: Option<Light>) -> Look {
        Look {
            finish: self.finish,
            light,
            view: self.view,
        }
    }

    /// What does not go together.
    ///
    /// # Errors
    /// When a distance is asked for together with what it cannot show.
    pub(super) fn check(&self, pixels: bool) -> Result<(), Trouble> {
        let usage = |message: &str, help: &str| {
            Err(Trouble::Usage {
                message: message.to_owned(),
                help: help.to_owned(),
            })
        };
        match (self.of_pixels(), self.light) {
            (true, Some(Lights::Sweep)) => usage(
                "`--from` and `--grain` show one picture and `--light sweep` eight",
                "give one direction, such as `--light 225`",
            ),
            (true, _) if !pixels => usage(
                "grain, and what is seen from a distance, are pictures of pixels, not svg drawings",
                "add `--format png`, or end the name after `--out` in `.png`",
            ),
            _ => Ok(()),
        }
    }

    /// Whether pixels are changed: the picture shows the panel alone.
    pub(super) fn of_pixels(&self) -> bool {
        self.grain || self.from.is_some()
    }

    /// The picture of a panel alone with its grain, and as seen from the distance asked for.
    pub(super) fn as_seen(&self, panel: &Panel, mut picture: Bitmap) -> Bitmap {
        if !self.of_pixels() {
            return picture;
        }
        let size = (picture.width as usize, picture.height as usize);
        let mut pixels = Pixels::new(size.0, size.1, std::mem::take(&mut picture.rgba))
            .expect("invariant: a picture has its pixels");
        if self.grain {
            pixels = with_grain(panel, pixels, picture.per_mm);
        }
        if let Some(distance) = self.from {
            pixels = pixels
                .seen_from(distance, picture.per_mm)
                .expect("invariant: the distance was checked");
        }
        picture.rgba = pixels.into_bytes();
        picture
    }
}

fn light(text: &str) -> Result<Lights, String> {
    if text == "sweep" {
        return Ok(Lights::Sweep);
    }
    let hint = "expected a number of degrees, or `sweep`";
    let azimuth: f64 = text.parse().map_err(|_| hint.to_owned())?;
    Light::new(azimuth, Light::HALF_WAY)
        .map(Lights::One)
        .map_err(|e| e.to_string())
}

pub(super) fn finish(text: &str) -> Result<Finish, String> {
    let words = Finish::ALL.map(Finish::word).join(", ");
    Finish::from_word(text).ok_or(format!("expected one of {words}"))
}

pub(super) fn view(text: &str) -> Result<View, String> {
    let words = View::ALL.map(View::word).join(", ");
    View::from_word(text).ok_or(format!("expected one of {words}"))
}

/// A distance in mm, such as `3m` or `10 ft`.
pub(super) fn distance(text: &str) -> Result<f64, String> {
    let bare = text.trim().chars().all(|c| c.is_ascii_digit() || c == '.');
    if bare {
        return Err(format!("say in which unit: `{text} m` or `{text} ft`"));
    }
    let mm = length::parse(text).map_err(|e| e.to_string())?;
    if (100.0..=FARTHEST).contains(&mm) {
        Ok(mm)
    } else {
        Err("expected a distance from 10 cm to 1 km".to_owned())
    }
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
        assert!(finish("gold").is_err_and(|e| e.contains("oil")));
        assert!(view("deuteranopia").is_ok());
    }
}
