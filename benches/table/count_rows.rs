//! Distinct arrangements: counted and listed, against brute force.

use std::hint::black_box;
use std::sync::Arc;

use plyloom::explore::enumeration::{Arrangements, Wanted};
use plyloom::explore::repeat::{Poses, Repeat};
use plyloom::explore::{counting, moves::Same};
use plyloom::recipe::evaluate;
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;

use super::brute;
use super::pair::{pair, timed};
use super::row::{Goal, Row};

/// A repeat of squares that can take four looks.
fn repeat(columns: i32, courses: i32) -> Repeat {
    let text = format!(
        "let plain = bar(laminate([ply(9, \"walnut\"), ply(27, \"birch\")]).square()).slice(\"plain\");\n\
         panel(\"repeat\", squares(plain)).size({}, {}).fill(plain);\n",
        columns + 1,
        courses + 1
    );
    let source = Arc::new(Source::new("bench.rhai", text));
    let outcome = evaluate(&source, &Settings::default(), Arc::new(MemoryHost::new()))
        .expect("the recipe is sound");
    let repeat = Repeat::of_panel(&outcome.panels[0], columns, courses, Poses::Turned)
        .expect("squares repeat");
    assert_eq!(repeat.looks().len(), 4, "four turns look different");
    repeat
}

/// An exact count.
pub(crate) fn counting() -> Vec<Row> {
    let repeat = repeat(3, 3);
    let ours = || {
        let (took, count) = timed(|| counting::different(black_box(&repeat), Same::Turns));
        assert_eq!(count, num_bigint::BigUint::from(brute_3_by_3()));
        took
    };
    let theirs = || timed(|| black_box(brute::distinct(3, 3))).0;
    vec![Row::times(
        "exact count of distinct 3 x 3 arrangements of a tile with four looks",
        "brute force",
        pair(3, ours, theirs),
        Goal::AtLeast(100.0),
    )]
}

/// What brute force counts, reckoned once.
fn brute_3_by_3() -> usize {
    static COUNT: std::sync::OnceLock<usize> = std::sync::OnceLock::new();
    *COUNT.get_or_init(|| brute::distinct(3, 3).len())
}

/// A list.
pub(crate) fn listing() -> Vec<Row> {
    let repeat = repeat(2, 3);
    let expected = brute::distinct(2, 3).len();
    let ours = || {
        let (took, found) = timed(|| {
            let all = Arrangements::new(black_box(&repeat), Same::Turns, Wanted::All);
            all.list().count()
        });
        assert_eq!(found, expected, "brute force finds as many");
        took
    };
    let theirs = || timed(|| black_box(brute::distinct(2, 3))).0;
    vec![Row::times(
        "list of distinct 2 x 3 arrangements of a tile with four looks",
        "brute force",
        pair(9, ours, theirs),
        Goal::AtLeast(5.0),
    )]
}
