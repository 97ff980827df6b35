//! The targets of the fuzzers on their seeds, and on what becomes of them by chance: the same cases
//! everywhere. `PLYLOOM_FUZZ=100000 cargo test --test travel fuzzing -- --nocapture` tries so many of each
//! target, on the stable toolchain; libFuzzer, which is guided by what the program does, is in `fuzz/`.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::path::Path;
use std::time::Instant;

use base64::{Engine as _, engine::general_purpose::STANDARD};

#[path = "../../fuzz/src/lib.rs"]
#[allow(
    dead_code,
    clippy::pedantic,
    clippy::explicit_auto_deref,
    unreachable_pub,
    reason = "a library of its own, which is held to account there"
)]
mod fuzz;

/// Cases of each target where nobody asks for more.
const CASES: u64 = 40;

/// The seeds of a target, in the order of their names.
fn seeds(target: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fuzz/seeds")
        .join(target);
    let names = crate::common::names(&folder);
    names
        .iter()
        .map(|name| std::fs::read(folder.join(name)).unwrap())
        .collect()
}

/// What the fuzzers found to reach places that nothing else reaches, thinned out: one case a line, in Base64 (RFC
/// 4648).
fn corpus(target: &str) -> Vec<Vec<u8>> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fuzz/corpora")
        .join(target);
    let text = std::fs::read_to_string(file).unwrap_or_default();
    let cases = text.lines().map(|line| STANDARD.decode(line).unwrap());
    cases.collect()
}

#[test]
fn what_reached_new_places_breaks_nothing() {
    let mut cases = 0;
    for (target, run) in fuzz::targets::ALL {
        let corpus = corpus(target);
        cases += corpus.len();
        for case in &corpus {
            run(case);
        }
    }
    assert!(cases > 1000, "{cases}");
}

/// Whole numbers in an order that never changes (xorshift, Marsaglia, Journal of Statistical Software 8,
/// 2003).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % n.max(1) as u64).unwrap()
    }

    /// A seed with some bytes changed, taken out, doubled or put together with those of another.
    fn changed(&mut self, seeds: &[Vec<u8>]) -> Vec<u8> {
        let mut bytes = seeds[self.below(seeds.len())].clone();
        for _ in 0..=self.below(6) {
            let at = self.below(bytes.len() + 1);
            let length = self.below(16).min(bytes.len() - at);
            match self.below(6) {
                0 if at < bytes.len() => bytes[at] ^= 1 << self.below(8),
                1 => drop(bytes.drain(at..at + length)),
                2 => {
                    let piece = bytes[at..at + length].to_vec();
                    bytes.splice(at..at, piece);
                }
                3 => {
                    let other = &seeds[self.below(seeds.len())];
                    let from = self.below(other.len() + 1);
                    bytes.truncate(at);
                    bytes.extend_from_slice(&other[from..]);
                }
                4 => {
                    let odd = [
                        "\"",
                        "\\",
                        "\0",
                        "9999999999999999999",
                        "-",
                        "1e308",
                        "\u{202e}",
                        "]]>",
                        "<!--",
                        "\n",
                    ];
                    let odd = odd[self.below(odd.len())].bytes();
                    bytes.splice(at..at, odd);
                }
                _ => bytes.insert(at, u8::try_from(self.below(256)).unwrap()),
            }
        }
        bytes
    }
}

#[test]
fn seeds_and_what_becomes_of_them_break_nothing() {
    let asked = std::env::var("PLYLOOM_FUZZ")
        .ok()
        .and_then(|n| n.parse().ok());
    let cases: u64 = asked.unwrap_or(CASES);
    for (target, run) in fuzz::targets::ALL {
        let seeds = seeds(target);
        assert!(!seeds.is_empty(), "{target} has no seeds");
        for seed in &seeds {
            run(seed);
        }
        let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
        let began = Instant::now();
        for _ in 0..cases {
            run(&dice.changed(&seeds));
        }
        if asked.is_some() {
            println!(
                "{target}: {cases} cases in {:.0} s",
                began.elapsed().as_secs_f64()
            );
        }
    }
}
