//! How pictures were looked at, as an index or a pinned choice keeps it.
//!
//! Angles in degrees, lengths in mm. What is left out is plain: an even light, bare wood, usual eyes.

use serde::{Deserialize, Serialize};

use crate::sight::relit::Look;
use crate::sight::{Finish, Light, View};

/// Finish, light and eyes: what changes the colours of a drawing.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct KeptLook {
    /// Where the light comes from, in degrees; an even light where that is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub light: Option<f64>,
    /// The finish, where it is not bare wood.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finish: Option<String>,
    /// The eyes, where they are not the usual ones.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub view: Option<String>,
}

/// How the pictures of an index were looked at.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct LookRef {
    /// Finish, light and eyes.
    #[serde(flatten)]
    pub kept: KeptLook,
    /// From how far, where they show what is seen from there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_mm: Option<f64>,
    /// Whether they have grain.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub grain: bool,
}

impl KeptLook {
    /// What is kept of a look.
    #[must_use]
    pub fn of(look: Look) -> Self {
        let (finish, view) = (look.finish, look.view);
        Self {
            light: look.light.map(|l| l.azimuth()),
            finish: (finish != Finish::Raw).then(|| finish.word().to_owned()),
            view: (view != View::Usual).then(|| view.word().to_owned()),
        }
    }

    /// The look; else which word or number is none.
    ///
    /// # Errors
    /// When a finish or eyes are unknown, or the light comes from nowhere.
    pub fn look(&self) -> Result<Look, String> {
        let light = self.light.map(|a| Light::new(a, Light::HALF_WAY));
        let finish = self.finish.as_deref().map(|word| {
            Finish::from_word(word).ok_or_else(|| format!("there is no finish `{word}`"))
        });
        let view = self.view.as_deref().map(|word| {
            View::from_word(word).ok_or_else(|| format!("there are no eyes called `{word}`"))
        });
        Ok(Look {
            finish: finish.transpose()?.unwrap_or_default(),
            light: light.transpose().map_err(|error| error.to_string())?,
            view: view.transpose()?.unwrap_or_default(),
        })
    }

    /// Whether there is nothing to keep.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        *self == Self::default()
    }
}

impl LookRef {
    /// In words: `light from 225°`, `finish oil`.
    #[must_use]
    pub fn words(&self) -> Vec<String> {
        let light = self.kept.light.map(|a| format!("light from {a}\u{b0}"));
        let finish = self.kept.finish.as_ref().map(|f| format!("finish {f}"));
        let view = self.kept.view.as_ref().map(|v| format!("eyes {v}"));
        let from = self
            .from_mm
            .map(|mm| format!("seen from {} m", mm / 1000.0));
        let grain = self.grain.then(|| "grain".to_owned());
        let all = [light, finish, view, from, grain];
        all.into_iter().flatten().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_comes_back() {
        let plain = Look::default();
        let rich = Look {
            finish: Finish::Oil,
            light: Some(Light::default()),
            view: View::Grey,
        };
        for look in [plain, rich] {
            assert_eq!(KeptLook::of(look).look(), Ok(look));
        }
        assert!(KeptLook::of(plain).is_plain());
        let gold = KeptLook {
            finish: Some("gold".to_owned()),
            ..KeptLook::default()
        };
        assert!(gold.look().is_err_and(|e| e.contains("gold")));
    }
}
