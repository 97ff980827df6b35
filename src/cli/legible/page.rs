//! What `plyloom legible` draws: small objects cut from a panel, side by side at true scale.

use crate::appearance::Look;
use crate::appearance::change::{SheetChange, panel_with};
use crate::appearance::legibility::Seeing;
use crate::appearance::object::Shape;
use crate::appearance::relit::relit;
use crate::appearance::window::{Window, cut};
use crate::cli::cli_error::CliError;
use crate::cli::legible::report::PanelReport;
use crate::cli::legible::table::words;
use crate::cli::output::{Format, Output};
use crate::cli::picture::{USUAL_WIDTH, trouble};
use crate::draw::{Form, Ground, Shot, png, side_by_side};
use crate::layout::panel::Panel;

/// How many objects stand side by side.
const IN_A_ROW: usize = 3;

/// A page with each object where it has the highest contrast, and with the first of them as it would
/// be with each change.
///
/// # Errors
/// When no object finds a place, or the picture cannot be made.
pub(super) fn page(
    panel: &Panel,
    report: &PanelReport,
    seeing: Seeing,
    output: &Output,
) -> Result<Vec<u8>, CliError> {
    let found: Vec<(&str, Window)> = report
        .objects
        .iter()
        .filter_map(|(name, best)| best.map(|b| (name.as_str(), b.boldest)))
        .collect();
    let Some((first_name, first)) = found.first() else {
        return Err(CliError::Drawing {
            message: format!("no object fits on the panel `{}`", panel.name),
            help: "ask for a smaller one, such as `--object 60x40`".to_owned(),
        });
    };
    let mut shots: Vec<Shot> = found
        .iter()
        .map(|(name, window)| shot(panel, window, seeing, (*name).to_owned()))
        .collect();
    for change in changes(report) {
        // The same place in the pattern, which has grown with its tiles.
        if let Some(changed) = panel_with(panel, change) {
            let grown = changed.bounds.width() / panel.bounds.width();
            let window = Window {
                centre: first.centre * grown,
                ..*first
            };
            let said = format!("{first_name}: {}", words(change));
            shots.push(shot(&changed, &window, seeing, said));
        }
    }
    let svg = side_by_side(&shots, IN_A_ROW, &panel.name, Form::Placed).to_text();
    match output.format {
        Format::Svg => Ok(svg.into_bytes()),
        Format::Png => png(&svg, output.width.unwrap_or(USUAL_WIDTH), Ground::Paper)
            .map_err(|error| trouble(panel, &error)),
    }
}

/// The changes that were tried on any bar, each once, the most helpful first.
fn changes(report: &PanelReport) -> Vec<SheetChange> {
    let mut all = Vec::new();
    for tried in report.bars.iter().flat_map(|bar| &bar.tried) {
        if tried.outcome.is_ok() && !all.contains(&tried.change) {
            all.push(tried.change);
        }
    }
    all
}

fn shot(panel: &Panel, window: &Window, seeing: Seeing, words: String) -> Shot {
    let cut = cut(panel, window.shape.bounds(window.centre));
    let look = Look {
        finish: seeing.finish,
        view: seeing.view,
        ..Look::default()
    };
    Shot {
        panel: relit(&cut, look),
        words,
        round: matches!(window.shape, Shape::Circle(_)),
        pixels: None,
    }
}
