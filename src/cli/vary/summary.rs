//! The text on a finished sweep.

use std::fmt::Write as _;
use std::path::Path;

use crate::cli::vary::folder::failures;
use crate::cli::vary::sheets::Finished;
use crate::session::visible::on_one_line;

/// The most reasons for failing that are listed.
const TOLD: usize = 10;

/// The summary of a finished sweep: how many were made, why some failed, and where the sheets are.
pub(super) fn summary(finished: &Finished, out: &Path) -> String {
    let index = &finished.index;
    let all = &index.variations;
    let failed = failures(all).count();
    let different = all
        .iter()
        .filter(|v| v.made().is_some_and(|m| m.same_as.is_none()))
        .count();
    let mut text = format!("{} variations, {different} different", all.len());
    if failed > 0 {
        let _ = write!(text, ", {failed} failed");
    }
    let shown = index.shown.numbers.len();
    if shown != different {
        let _ = write!(text, "; {shown} shown");
    }
    text.push('\n');
    // Many fail for the same reason, so each reason is listed once.
    let mut reasons: Vec<(&str, Vec<u64>)> = Vec::new();
    for (variation, why) in failures(all) {
        match reasons.iter_mut().find(|(known, _)| *known == why) {
            Some((_, numbers)) => numbers.push(variation.number),
            None => reasons.push((why, vec![variation.number])),
        }
    }
    for (why, numbers) in reasons.iter().take(TOLD) {
        let _ = writeln!(text, "  {} failed: {}", listed(numbers), on_one_line(why));
    }
    if reasons.len() > TOLD {
        let more = reasons.len() - TOLD;
        let _ = writeln!(text, "  {more} more reasons are in index.json");
    }
    if finished.left_out > 0 {
        let _ = writeln!(
            text,
            "  {} more are not on the sheets; choose which with --sort, --only and --keep",
            finished.left_out
        );
    }
    if let Some(why) = &finished.no_png {
        let _ = writeln!(text, "  no sheet.png: {why}");
    }
    let path = |name: &str| on_one_line(&out.join(name).display().to_string());
    let _ = writeln!(text, "sheet     {}", path("sheet.html"));
    let _ = writeln!(text, "index     {}", path("index.json"));
    if let Some(number) = index.shown.numbers.first() {
        let folder = on_one_line(&out.display().to_string());
        let _ = writeln!(text, "keep one  plyloom pick {folder} {number}");
    }
    text
}

/// Numbers in words: `3, 7, 12` or, of many, the first and how many more.
fn listed(numbers: &[u64]) -> String {
    let few: Vec<String> = numbers.iter().take(6).map(u64::to_string).collect();
    let more = numbers.len() - few.len();
    if more > 0 {
        format!("{} and {more} more", few.join(", "))
    } else {
        few.join(", ")
    }
}
