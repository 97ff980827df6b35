//! Figures of settings as makers set them.

use crate::plan::saw::settings::Setting;
use crate::stock::{LayerKind, Sheet};

/// Writes a length in the plan's units.
pub type Length<'a> = &'a dyn Fn(f64) -> String;

/// An angle as it is set: tenths of a degree, and hundredths where there are any.
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
pub(in crate::plan) fn amount(setting: &Setting, value: f64, length: Length<'_>) -> String {
    if setting.in_degrees() {
        degrees(value)
    } else {
        length(value)
    }
}

/// The error that a setting may have, rounded down; `most` writes a length in the plan's units rounded down.
pub(in crate::plan) fn allowed(setting: &Setting, value: f64, most: Length<'_>) -> String {
    if setting.in_degrees() {
        // A millionth more, so that a whole hundredth is not rounded down to the one below it.
        degrees(libm::floor(value * 100.0 + 1e-6) / 100.0)
    } else {
        most(value)
    }
}

/// What a sheet is called: by its veneers from face to back, else by its wood, where these have names.
fn sheet_name(sheet: &Sheet) -> String {
    let veneers: Vec<&str> = (sheet.layers().iter())
        .filter(|layer| layer.kind == LayerKind::Veneer)
        .filter_map(|layer| layer.colour.name())
        .collect();
    let wood = sheet.layers().iter().find_map(|ply| ply.colour.name());
    match (&veneers[..], wood) {
        ([], Some(wood)) => format!("{wood} plywood sheet"),
        ([], None) => "sheet".to_owned(),
        (veneers, _) => format!("sheet with {} veneer", veneers.join(" and ")),
    }
}

/// What a setting is called.
pub fn setting_name(setting: &Setting, length: Length<'_>) -> String {
    match setting {
        Setting::Tilt { tilt } if *tilt < 0.005 => "square blade".to_owned(),
        Setting::Tilt { tilt } => format!("blade tilt {}", degrees(*tilt)),
        Setting::Fence {
            tilt,
            fence,
            for_kerf,
            stop,
        } => {
            let what = if *stop { "stop" } else { "fence" };
            let blade = if *tilt < 0.005 {
                "square".to_owned()
            } else {
                format!("tilted {}", degrees(*tilt))
            };
            let at = length(fence + for_kerf);
            format!("{what} at {at} with the blade {blade}")
        }
        Setting::Thickness { sheet } => format!(
            "thickness of the {}, {}",
            sheet_name(sheet),
            length(sheet.thickness())
        ),
    }
}
