//! From a recipe's text to its drawing on disk: by a rule, in bulk, flat, and how all of it grows.

use std::hint::black_box;
use std::num::NonZeroUsize;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use plyloom::draw::{Document, Form, PanelOptions, PreviewOptions, preview_document};
use plyloom::files::{Sink, write_picture_by};
use plyloom::recipe::evaluate::evaluate;
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::{Budget, Settings};
use plyloom::recipe::source::Source;
use plyloom::recipe::{Outcome, host::Host};
use tempfile::TempDir;

use super::bare::Bare;
use super::pair::{pair, timed};
use super::recipes::{
    Choice, HUNDRED_THOUSAND, MILLION, TEN_THOUSAND, THOUSAND, hexagons, in_words, tiles,
};
use super::row::{Goal, Row, time};

/// Rounds for a size: fewer where each takes long.
fn rounds(size: (u32, u32)) -> usize {
    match tiles(size) {
        0..=10_000 => 41,
        10_001..=100_000 => 15,
        _ => 7,
    }
}

/// Bounds that a million tiles do not reach.
fn settings(threads: usize) -> Settings {
    Settings {
        budget: Budget {
            operations: u64::MAX,
            time: Duration::from_mins(10),
            tiles: 2_000_000,
            memory: 4 << 30,
        },
        threads: NonZeroUsize::new(threads).unwrap_or(NonZeroUsize::MIN),
        ..Settings::default()
    }
}

/// A recipe, and where its drawing goes.
struct Work {
    source: Arc<Source>,
    settings: Settings,
    form: Form,
    folder: TempDir,
}

impl Work {
    fn new(choice: Choice, size: (u32, u32), threads: usize) -> Self {
        Self {
            source: Arc::new(Source::new("bench.rhai", hexagons(choice, size))),
            settings: settings(threads),
            form: Form::Placed,
            folder: TempDir::new().expect("a folder for drawings"),
        }
    }

    fn file(&self) -> PathBuf {
        self.folder.path().join("bench.svg")
    }

    fn evaluated(&self) -> Outcome {
        evaluate(&self.source, &self.settings, host()).expect("the recipe is sound")
    }

    fn drawn<'a>(&self, outcome: &'a Outcome) -> Document<'a> {
        let options = PreviewOptions {
            panel: PanelOptions {
                form: self.form,
                ..PanelOptions::default()
            },
            note: None,
        };
        preview_document(&outcome.panels[0], &options)
    }

    /// From the text to the file.
    fn all(&self) -> Duration {
        let (took, ()) = timed(|| {
            let outcome = self.evaluated();
            self.write(&self.drawn(&outcome));
        });
        took
    }

    fn write(&self, drawing: &Document<'_>) {
        let write = |out: &mut dyn Sink| drawing.write(out, self.settings.threads);
        write_picture_by(&self.file(), drawing.size(), write).expect("room on the disk");
    }
}

fn host() -> Arc<dyn Host> {
    Arc::new(MemoryHost::new())
}

/// The same bytes from memory into a file.
fn written(work: &Work, bytes: &[u8]) -> Duration {
    let (took, ()) = timed(|| {
        std::fs::write(work.folder.path().join("floor.svg"), bytes).expect("room on the disk");
    });
    took
}

/// A rule called for each cell.
pub(crate) fn by_a_rule() -> Vec<Row> {
    let mut rows = Vec::new();
    let bare = Bare::new();
    for (threads, goal, words) in [
        (1, 1.2, "one thread"),
        (2, 0.7, "two threads, the rule being pure"),
    ] {
        for size in [THOUSAND, HUNDRED_THOUSAND, MILLION] {
            let work = Work::new(Choice::Rule, size, threads);
            let pair = pair(rounds(size), || work.all(), || bare.calls(size));
            rows.push(Row::times(
                format!(
                    "{} by a rule, recipe to SVG on disk, {words}",
                    in_words(tiles(size))
                ),
                "the same closure called as often by a bare engine",
                pair,
                Goal::AtMost(goal),
            ));
        }
    }
    rows
}

/// Bulk words: against the written bytes, and against the rule.
pub(crate) fn in_bulk() -> Vec<Row> {
    let mut rows = Vec::new();
    let words = [(Choice::Sequence, "sequence"), (Choice::Random, "random")];
    for ((choice, word), (threads, on)) in words
        .into_iter()
        .flat_map(|word| [(word, (1, "one thread")), (word, (2, "two threads"))])
    {
        for size in [THOUSAND, HUNDRED_THOUSAND, MILLION] {
            let work = Work::new(choice, size, threads);
            let bytes = work.drawn(&work.evaluated()).to_text().into_bytes();
            let pair = pair(rounds(size), || work.all(), || written(&work, &bytes));
            rows.push(Row::times(
                format!(
                    "{} by `{word}`, recipe to SVG on disk, {on}",
                    in_words(tiles(size))
                ),
                "writing the same bytes",
                pair,
                Goal::AtMost(2.0),
            ));
        }
    }
    for (choice, word) in [(Choice::Sequence, "sequence"), (Choice::Random, "random")] {
        let filled = pair(
            7,
            || filled(choice, MILLION),
            || filled(Choice::Rule, MILLION),
        );
        rows.push(Row::times(
            format!("choosing 10^6 tiles by `{word}`, the cells laid out already"),
            "the same by a rule",
            filled,
            Goal::AtLeast(100.0),
        ));
    }
    rows
}

/// How long a second fill takes: what a recipe with two takes longer than a recipe with one.
fn filled(choice: Choice, size: (u32, u32)) -> Duration {
    let source = |times: usize| {
        let text = hexagons(choice, size);
        let fill = &text[text.find(".fill(").unwrap_or(0)..]
            .trim_end_matches(";\n")
            .to_owned();
        let text = format!("{}{};\n", text.trim_end_matches(";\n"), fill.repeat(times));
        Arc::new(Source::new("bench.rhai", text))
    };
    let settings = settings(1);
    let time = |source: &Arc<Source>| {
        timed(|| black_box(evaluate(source, &settings, host()).expect("the recipe is sound"))).0
    };
    let again = if choice == Choice::Rule { 1 } else { 16 };
    let (once, more) = (time(&source(0)), time(&source(again)));
    more.saturating_sub(once).max(Duration::from_micros(1)) / u32::try_from(again).unwrap_or(1)
}

/// Every tile written out.
pub(crate) fn flat() -> Vec<Row> {
    [TEN_THOUSAND, HUNDRED_THOUSAND]
        .into_iter()
        .map(|size| {
            let work = Work {
                form: Form::Flat,
                ..Work::new(Choice::Sequence, size, 1)
            };
            let outcome = work.evaluated();
            let bytes = work.drawn(&outcome).to_text().into_bytes();
            let ours = || timed(|| work.write(&work.drawn(&outcome))).0;
            let pair = pair(9, ours, || written(&work, &bytes));
            Row::times(
                format!("flat SVG of {}, panel to disk", in_words(tiles(size))),
                "writing the same bytes",
                pair,
                Goal::AtMost(3.0),
            )
        })
        .collect()
}

/// As many tiles in a curved outline with two holes as in a rectangle.
pub(crate) fn outlined() -> Vec<Row> {
    let within = |outline: &str| {
        let mut work = Work::new(Choice::Sequence, TEN_THOUSAND, 1);
        let text = work.source.text.replace(".size(100, 100)", outline);
        work.source = Arc::new(Source::new("bench.rhai", text));
        work
    };
    let curved = within(
        ".finished_outline(ellipse(4600, 3500).hole(circle(500), 1000, 1500).hole(circle(500), 3100, 1500))",
    );
    let straight = within(".finished(3480, 3520)");
    let tiles = |work: &Work| work.evaluated().panels[0].tiles.len();
    let pair = pair(21, || curved.all(), || straight.all());
    vec![Row::times(
        format!(
            "{} tiles in an ellipse with two holes, recipe to SVG on disk",
            tiles(&curved)
        ),
        "as many in a rectangle",
        pair,
        Goal::AtMost(1.5),
    )]
}

/// A hundred times as many tiles.
pub(crate) fn growth() -> Vec<Row> {
    [
        (Choice::Rule, "a rule"),
        (Choice::Sequence, "`sequence`"),
        (Choice::Random, "`random`"),
    ]
    .into_iter()
    .map(|(choice, word)| {
        let (large, small) = (
            Work::new(choice, MILLION, 1),
            Work::new(choice, TEN_THOUSAND, 1),
        );
        // A hundred small ones in a row, so that both take equally long to measure.
        let many = || (0..100).map(|_| small.all()).sum();
        let both = pair(5, || large.all(), many);
        let growth = both.ratio * 100.0;
        Row::amounts(
            format!("10^6 tiles by {word}, recipe to SVG on disk"),
            "10^4 tiles; 100 x is linear",
            (time(both.ours), time(both.floor / 100)),
            growth,
            Goal::AtMost(110.0),
        )
    })
    .collect()
}
