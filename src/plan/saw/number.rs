//! Figures of settings as makers set them.

use crate::plan::saw::settings::Setting;

/// Writes a length in the plan's units.
pub type Length<'a> = &'a dyn Fn(f64) -> String;

/// An angle as it is set: tenths of a degree, and hundredths where there are any.
#[must_use]
pub fn degrees(angle: f64) -> String {
    let hundredths = libm::round(angle * 100.0);
    // Adding 0 makes an end of minus zero.
    let rounded = hundredths / 100.0 + 0.0;
    if libm::fmod(hundredths, 10.0).abs() < 0.5 {
        format!("{rounded:.1}\u{b0}")
    } else {
        format!("{rounded:.2}\u{b0}")
    }
}

/// An error of a setting: an angle or a length.
#[must_use]
pub(in crate::plan) fn amount(setting: &Setting, value: f64, length: Length<'_>) -> String {
    if setting.in_degrees() {
        degrees(value)
    } else {
        length(value)
    }
}

/// What a setting is called.
#[must_use]
pub fn setting_name(setting: &Setting, length: Length<'_>) -> String {
    match setting {
        Setting::Tilt { tilt } if *tilt < 0.005 => "square blade".to_owned(),
        Setting::Tilt { tilt } => format!("blade tilt {}", degrees(*tilt)),
        Setting::Fence { tilt, fence } if *tilt < 0.005 => {
            format!("fence at {} with the blade square", length(*fence))
        }
        Setting::Fence { tilt, fence } => format!(
            "fence at {} with the blade tilted {}",
            length(*fence),
            degrees(*tilt)
        ),
        Setting::Thickness { sheet } => {
            format!("thickness of the sheet, {}", length(sheet.thickness()))
        }
    }
}
