//! A look: what comes between the wood and the eye, and its one form in files and requests.

use std::ops::RangeInclusive;

use serde::{Deserialize, Serialize};

use super::{Finish, Light, View, blindness::NoView, finish::NoFinish, light::LightError};

/// From how far a panel can be looked at, in mm.
pub const DISTANCES: RangeInclusive<f64> = 100.0..=1_000_000.0;

/// What comes between the wood and the eye.
///
/// Its written form is a map without the fields that have their default: `light` in degrees, `finish` and
/// `view` by their words, `from_mm`.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(try_from = "Written", into = "Written")]
pub struct Look {
    /// What the panel is finished with.
    pub finish: Finish,
    /// The light from one side; an even light from all sides, where there is none.
    pub light: Option<Light>,
    /// The colour vision of the viewer.
    pub view: View,
    /// From how far, in mm; at the bench, where that is left out.
    pub from: Option<f64>,
}

/// Why there is no such look.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LookError {
    /// There is no such finish.
    #[error(transparent)]
    Finish(#[from] NoFinish),
    /// There are no such eyes.
    #[error(transparent)]
    View(#[from] NoView),
    /// No light comes from there.
    #[error(transparent)]
    Light(#[from] LightError),
    /// Nobody looks from there.
    #[error("a distance is from 10 cm to 1 km")]
    Distance,
}

#[derive(Serialize, Deserialize)]
struct Written {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    light: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    finish: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    view: Option<String>,
    /// The states of a page once said `from`, and 0 for the bench.
    #[serde(default, alias = "from", skip_serializing_if = "Option::is_none")]
    from_mm: Option<f64>,
}

impl TryFrom<Written> for Look {
    type Error = LookError;

    fn try_from(written: Written) -> Result<Self, LookError> {
        Self::read(
            written.light,
            written.finish.as_deref(),
            written.view.as_deref(),
            written.from_mm,
        )
    }
}

impl From<Look> for Written {
    fn from(look: Look) -> Self {
        let Look { finish, view, .. } = look;
        Self {
            light: look.light.map(|light| light.azimuth()),
            finish: (finish != Finish::default()).then(|| finish.word().to_owned()),
            view: (view != View::default()).then(|| view.word().to_owned()),
            from_mm: look.from,
        }
    }
}

impl Look {
    /// The look of these words and numbers: the light in degrees, the distance in mm, 0 at the bench. What is
    /// left out is plain.
    ///
    /// # Errors
    /// When one of them is none.
    pub fn read(
        light: Option<f64>,
        finish: Option<&str>,
        view: Option<&str>,
        from: Option<f64>,
    ) -> Result<Self, LookError> {
        let light = light.map(|azimuth| Light::new(azimuth, Light::HALF_WAY));
        let from = from.filter(|&mm| mm != 0.0);
        if from.is_some_and(|mm| !DISTANCES.contains(&mm)) {
            return Err(LookError::Distance);
        }
        Ok(Self {
            light: light.transpose()?,
            finish: finish.map(str::parse).transpose()?.unwrap_or_default(),
            view: view.map(str::parse).transpose()?.unwrap_or_default(),
            from,
        })
    }

    /// Whether nothing is changed by it.
    pub fn is_plain(&self) -> bool {
        *self == Self::default()
    }

    /// The same at the bench.
    #[must_use]
    pub fn close(self) -> Self {
        Self { from: None, ..self }
    }

    /// In words: `light from 225°`, `finish oil`.
    pub fn words(&self) -> Vec<String> {
        let written = Written::from(*self);
        let light = written.light.map(|a| format!("light from {a}\u{b0}"));
        let finish = written.finish.map(|f| format!("finish {f}"));
        let view = written.view.map(|v| format!("eyes {v}"));
        let from = self.from.map(|mm| format!("seen from {} m", mm / 1000.0));
        [light, finish, view, from].into_iter().flatten().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(json: &str) -> Result<Look, String> {
        serde_json::from_str(json).map_err(|error| error.to_string())
    }

    #[test]
    fn what_is_written_comes_back() {
        let rich = Look {
            finish: Finish::Oil,
            light: Some(Light::default()),
            view: View::Grey,
            from: Some(3000.0),
        };
        for look in [Look::default(), rich, rich.close()] {
            let written = serde_json::to_string(&look).unwrap();
            assert_eq!(read(&written), Ok(look), "{written}");
        }
        assert_eq!(serde_json::to_string(&Look::default()).unwrap(), "{}");
        let said = r#"{"light":null,"finish":"raw","view":"usual","from":0}"#;
        assert_eq!(read(said), Ok(Look::default()));
    }

    #[test]
    fn what_there_is_not_is_told() {
        let wrong = |json: &str| read(json).unwrap_err();
        assert!(wrong(r#"{"finish":"gold"}"#).contains("`gold`: there are raw, oil, clear"));
        assert!(wrong(r#"{"view":"sepia"}"#).contains("deuteranopia"));
        for from in ["9", "-3000", "2000000"] {
            assert!(wrong(&format!(r#"{{"from_mm":{from}}}"#)).contains("10 cm"));
        }
    }
}
