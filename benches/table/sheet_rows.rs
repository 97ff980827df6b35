//! Small pictures of many variations: stamped, against reading and rendering each drawing.

use std::hint::black_box;
use std::num::NonZeroUsize;
use std::sync::Arc;
use std::time::Duration;

use plyloom::draw::{Ground, PanelOptions, Thumbnails, bitmap, panel_svg, png};
use plyloom::layout::panel::Panel;
use plyloom::recipe::evaluate;
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;
use rayon::iter::{IntoParallelRefIterator as _, ParallelIterator as _};

use super::pair::{pair, timed};
use super::program::{plyloom, run};
use super::recipes::{swept, swept_squares};
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
                let picture = stamps
                    .of(panel, PIXELS, Ground::Paper)
                    .expect("the size is in range");
                picture.quick_png().expect("the pixels fit").len()
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

/// One card of a panel that is in memory: the first of its faces, and one of many.
pub(crate) fn card() -> Vec<Row> {
    let panel = variation(1);
    let drawing = panel_svg(&panel, &PanelOptions::default());
    let card = |thumbnails: &mut Thumbnails| {
        timed(|| {
            let card = thumbnails.of(&panel, PIXELS, Ground::Paper);
            black_box(card.expect("the size is in range"))
        })
        .0
    };
    let theirs =
        || timed(|| black_box(bitmap(&drawing, PIXELS, Ground::Paper).expect("it can be read"))).0;
    let mut kept = Thumbnails::new();
    card(&mut kept);
    let row = |what: &str, ours: &mut dyn FnMut() -> Duration| {
        Row::times(
            format!("a card of {PIXELS} px of 400 tiles, from a panel in memory, {what}"),
            "resvg of its drawing, without PNG",
            pair(51, ours, theirs),
            Goal::AtMost(0.05),
        )
    };
    vec![
        row("with nothing kept from another one", &mut || {
            card(&mut Thumbnails::new())
        }),
        row("after others of its sweep", &mut || card(&mut kept)),
    ]
}

/// Every file and sheet of a sweep by a whole process on one thread.
pub(crate) fn everything() -> Vec<Row> {
    [
        ("squares with four looks", swept_squares(), 3.0),
        ("hexagons with twelve looks", swept(), 4.0),
    ]
    .into_iter()
    .map(|(tiles, text, most)| swept_whole(tiles, text, Goal::AtMost(most)))
    .collect()
}

fn swept_whole(tiles: &str, text: String, goal: Goal) -> Row {
    const SEEDS: u64 = 300;
    let folder = tempfile::TempDir::new().expect("a folder for drawings");
    let recipe = folder.path().join("bench.rhai");
    std::fs::write(&recipe, &text).expect("room on the disk");
    // A new folder each time: ext4 looks long for a free inode where many were deleted in the last seconds.
    let mut round = 0;
    let ours = || {
        round += 1;
        let out = folder.path().join(format!("out-{round}"));
        let seeds = format!("1..{SEEDS}");
        let words = ["--seeds", &seeds, "--jobs", "1", "--out"];
        run(plyloom().arg("vary").arg(&recipe).args(words).arg(&out))
    };
    let source = Arc::new(Source::new("bench.rhai", text));
    let theirs = || {
        timed(|| {
            for seed in 1..=SEEDS {
                let panel = variation_of(&source, seed);
                let drawing = panel_svg(&panel, &PanelOptions::default());
                let file = folder.path().join(format!("{seed}.svg"));
                std::fs::write(file, drawing).expect("room on the disk");
            }
        })
        .0
    };
    Row::times(
        format!(
            "`vary` of {SEEDS} variations of 400 {tiles}, sheets too, one thread, whole process"
        ),
        "evaluating each and writing its drawing, nothing else",
        pair(3, ours, theirs),
        goal,
    )
}

/// A picture of pixels by a whole process.
pub(crate) fn pixels() -> Vec<Row> {
    const WIDE: u32 = 1600;
    let folder = tempfile::TempDir::new().expect("a folder for drawings");
    let recipe = folder.path().join("bench.rhai");
    std::fs::write(&recipe, swept()).expect("room on the disk");
    let file = |ending: &str| folder.path().join(format!("bench.{ending}"));
    run(plyloom()
        .arg("preview")
        .arg(&recipe)
        .arg("--out")
        .arg(file("svg")));
    let drawing = std::fs::read_to_string(file("svg")).expect("it is drawn");
    let ours = || {
        let wide = WIDE.to_string();
        let words = ["--width", &wide, "--out"];
        run(plyloom()
            .arg("preview")
            .arg(&recipe)
            .args(words)
            .arg(file("png")))
    };
    let theirs =
        || timed(|| black_box(png(&drawing, WIDE, Ground::Paper).expect("it can be read"))).0;
    vec![Row::times(
        format!("a picture of {WIDE} pixels of 400 tiles, whole process"),
        "resvg and PNG encoding of the same drawing",
        pair(11, ours, theirs),
        Goal::AtMost(0.6),
    )]
}

fn variation(seed: u64) -> Panel {
    variation_of(&Arc::new(Source::new("bench.rhai", swept())), seed)
}

fn variation_of(source: &Arc<Source>, seed: u64) -> Panel {
    let settings = Settings {
        seed: Some(seed),
        ..Settings::default()
    };
    let outcome = evaluate(source, &settings, Arc::new(MemoryHost::new()));
    outcome.expect("the recipe is sound").panels.swap_remove(0)
}
