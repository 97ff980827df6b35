//! Small pictures of many variations: stamped, against reading and rendering each drawing.

use std::hint::black_box;
use std::num::NonZeroUsize;
use std::sync::Arc;
use std::time::Duration;

use plyloom::draw::{Ground, PanelOptions, Thumbnails, panel_svg, png};
use plyloom::layout::panel::Panel;
use plyloom::recipe::evaluate;
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;
use rayon::iter::{IntoParallelRefIterator as _, ParallelIterator as _};

use super::pair::{pair, timed};
use super::recipes::swept;
use super::row::{Goal, Row};

/// Variations on the sheet.
const VARIATIONS: u64 = 1_000;
/// Width of each picture in pixels.
const PIXELS: u32 = 300;

/// From panels (or their drawings) to PNG, on all cores.
pub(crate) fn thumbnails() -> Vec<Row> {
    let panels: Vec<Panel> = (1..=VARIATIONS).map(variation).collect();
    let drawings: Vec<String> = (panels.iter())
        .map(|panel| panel_svg(panel, &PanelOptions::default()))
        .collect();
    let cores = std::thread::available_parallelism().map_or(1, NonZeroUsize::get);
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(cores)
        .build()
        .expect("threads can be started");
    let ours = || -> Duration {
        let stamped = || -> usize {
            let one = |stamps: &mut Thumbnails, panel: &Panel| {
                let picture = stamps.of(panel, PIXELS).expect("the size is in range");
                picture.png().expect("the pixels fit").len()
            };
            panels.par_iter().map_init(Thumbnails::new, one).sum()
        };
        timed(|| black_box(pool.install(stamped))).0
    };
    let theirs = || -> Duration {
        let rendered = || -> usize {
            let one = |svg: &String| {
                png(svg, PIXELS, Ground::Paper)
                    .expect("it can be read")
                    .len()
            };
            drawings.par_iter().map(one).sum()
        };
        timed(|| black_box(pool.install(rendered))).0
    };
    vec![Row::times(
        format!("contact sheet: {VARIATIONS} variations of 400 tiles as pictures of {PIXELS} px"),
        "resvg and PNG encoding of each drawing",
        pair(3, ours, theirs),
        Goal::AtMost(0.3),
    )]
}

fn variation(seed: u64) -> Panel {
    let source = Arc::new(Source::new("bench.rhai", swept()));
    let settings = Settings {
        seed: Some(seed),
        ..Settings::default()
    };
    let outcome = evaluate(&source, &settings, Arc::new(MemoryHost::new()));
    outcome.expect("the recipe is sound").panels.swap_remove(0)
}
