//! The results of `plyloom legible` as tables and sentences.

use std::fmt::Write as _;

use comfy_table::Cell;

use crate::appearance::change::{Readability, SheetChange, Tried, VENEER};
use crate::appearance::contrast;
use crate::appearance::eye;
use crate::appearance::legibility::{Legibility, Line};
use crate::appearance::window::{Best, Window};
use crate::cli::legible::report::{BarReport, PanelReport};
use crate::cli::table::{number, ruled_table};
use crate::session::visible::on_one_line;
use crate::stock::LayerKind;

/// All of it.
pub(super) fn table(reports: &[PanelReport], distances: &[f64], drawn_lines: bool) -> String {
    let one = |r: &PanelReport| panel(r, distances, drawn_lines);
    let mut text = reports.iter().map(one).collect::<Vec<_>>().join("\n");
    text.push_str(
        "\nFor a good eye in daylight, straight in front of the panel. Below each distance stands how wide\n\
         a line looks from there, in arcminutes ('); - means that it is no longer sharp. A line is sharp\n\
         while it looks at least 1 arcminute wide (ISO 8596) and has enough contrast. Farther away it\n\
         turns soft and grey, and the pattern grows fainter until its repeat is lost. Plain means ten\n\
         times the contrast that can just be seen. Only lightness is counted: two colours of the same\n\
         lightness may differ in hue close up, and blend from far away.\n",
    );
    const { assert!(eye::RESERVE > 9.9 && eye::RESERVE < 10.1) };
    text
}

fn panel(report: &PanelReport, distances: &[f64], drawn_lines: bool) -> String {
    let mut text = format!("{}\n", on_one_line(&report.name));
    for bar in &report.bars {
        let names: Vec<String> = bar.tiles.iter().map(|n| on_one_line(n)).collect();
        let _ = writeln!(text, "\n  tiles: {}", names.join(", "));
        for sheet in &bar.sheets {
            text += &indented(&lines(sheet, distances, drawn_lines));
            text += &repeat(sheet, distances);
        }
        text += &helps(bar);
    }
    if !report.dyes.is_empty() {
        let dye = |d: &crate::appearance::apart::PaletteColour| match d.apart {
            Some(apart) => format!("{} ({apart:.0})", d.name),
            None => d.name.clone(),
        };
        let dyes: Vec<String> = report.dyes.iter().map(dye).collect();
        let _ = writeln!(
            text,
            "\n  dyes that stand out from its colours and from each other (CIEDE2000; above 10 is easy to see):\n    {}",
            dyes.join(", ")
        );
    }
    if !report.objects.is_empty() {
        text += "\n  best places to cut an object (the position is that of its middle):\n";
        for (name, best) in &report.objects {
            text += &object(name, best.as_ref());
        }
    }
    text
}

fn indented(text: &str) -> String {
    let mut out = String::new();
    for line in text.lines() {
        let _ = writeln!(out, "  {}", line.trim_end());
    }
    out
}

fn lines(sheet: &Legibility, distances: &[f64], drawn_lines: bool) -> String {
    let mut table = ruled_table(drawn_lines);
    let mut head = vec![
        "line".to_owned(),
        "width, mm".to_owned(),
        "contrast".to_owned(),
        "L* difference".to_owned(),
        "sharp to".to_owned(),
    ];
    head.extend(distances.iter().map(|d| metres(*d)));
    let row = |cells: Vec<String>| {
        let mut cells = cells.into_iter();
        let first = Cell::new(cells.next().unwrap_or_default());
        std::iter::once(first)
            .chain(cells.map(number))
            .collect::<Vec<_>>()
    };
    table.set_header(row(head));
    for line in &sheet.lines {
        let mut cells = vec![
            said(line),
            format!("{:.2}", line.width),
            format!("{:.2}:1", line.ratio),
            format!("{:.0}", line.lightness),
            line.farthest.map_or_else(|| "never".to_owned(), metres),
        ];
        cells.extend(distances.iter().map(|&d| {
            let wide = line.arcminutes(d);
            if line.seen_from(d) {
                format!("{wide:.1}'")
            } else {
                "-".to_owned()
            }
        }));
        table.add_row(row(cells));
    }
    if sheet.lines.is_empty() {
        return "one even colour: no lines".to_owned();
    }
    table.to_string()
}

/// A line in words: `2 x veneer, soot`.
fn said(line: &Line) -> String {
    let kind = match line.kind {
        LayerKind::Ply if line.end_grain => "ply, end grain",
        LayerKind::Ply => "ply, long grain",
        LayerKind::Veneer => "veneer",
        LayerKind::Glue => "glue",
    };
    let colour = line
        .wood
        .name()
        .map_or_else(|| line.wood.to_string(), str::to_owned);
    let many = if line.count > 1 {
        format!("{} x ", line.count)
    } else {
        String::new()
    };
    format!("{many}{kind}, {colour}")
}

fn repeat(sheet: &Legibility, distances: &[f64]) -> String {
    let thick = format!(
        "the repeat is {:.1} mm, contrast {:.0} %",
        sheet.thickness,
        100.0 * sheet.contrast
    );
    let Some(far) = sheet.farthest else {
        return format!("  {thick}: too faint to see, from far away it is one even tone\n");
    };
    let far = metres(far);
    let how = match sheet.plain {
        Some(plain) => format!("plain up to {}, faint up to {far}", metres(plain)),
        None => format!("never plain, faint up to {far}"),
    };
    let at = |d: &f64| {
        let seen = if sheet.lines.iter().any(|l| l.seen_from(*d)) {
            "sharp"
        } else if sheet.reads_from(*d) {
            "plain"
        } else if sheet.seen_from(*d) {
            "faint"
        } else {
            "lost"
        };
        format!("{} {seen}", metres(*d))
    };
    let each: Vec<String> = distances.iter().map(at).collect();
    format!("  {thick}: {how}\n    {}\n", each.join(", "))
}

fn helps(bar: &BarReport) -> String {
    let weak: Vec<&Line> = bar
        .sheets
        .iter()
        .flat_map(|s| &s.lines)
        .filter(|l| l.kind == LayerKind::Veneer && l.ratio < contrast::SHAPES)
        .collect();
    let mut text = String::new();
    if let Some(line) = weak.first() {
        let _ = writeln!(
            text,
            "  the contrast of {} is only {:.2}:1 (WCAG 2.2 asks for {:.0}:1 in shapes that carry meaning)",
            said(line),
            line.ratio,
            contrast::SHAPES
        );
    }
    let _ = writeln!(
        text,
        "  now: {}\n  changes tried, most helpful first:",
        distances_of(&bar.now)
    );
    for tried in &bar.tried {
        let _ = writeln!(text, "    {}", tried_words(tried, &bar.now));
    }
    text
}

fn tried_words(tried: &Tried, now: &Readability) -> String {
    let change = words(tried.change);
    match &tried.outcome {
        Ok(outcome) => {
            let grown = 100.0 * (outcome.size - 1.0);
            let size = if grown.abs() < 0.5 {
                String::new()
            } else {
                format!("; tiles {grown:.0} % larger")
            };
            let help = if outcome.beats(now) {
                ""
            } else {
                "; no improvement"
            };
            format!("{change}: {}{size}{help}", distances_of(outcome))
        }
        Err(error) => format!("{change}: the bar cannot be glued ({error})"),
    }
}

/// The distances that count.
fn distances_of(outcome: &Readability) -> String {
    let plain = if outcome.plain > 0.0 {
        format!("plain up to {}", metres(outcome.plain))
    } else {
        "never plain".to_owned()
    };
    let lines = if outcome.lines > 0.0 {
        format!("all lines sharp up to {}", metres(outcome.lines))
    } else {
        "not all lines sharp".to_owned()
    };
    let faint = if outcome.repeat > 0.0 {
        format!("faint up to {}", metres(outcome.repeat))
    } else {
        "lost from far away".to_owned()
    };
    format!("{plain}, {lines}, {faint}")
}

/// A change in words.
pub(super) fn words(change: SheetChange) -> String {
    match change {
        SheetChange::ThickerVeneer(times) => format!("veneers {times} times as thick"),
        SheetChange::Dye(name, _) => format!("veneers dyed {name}"),
        SheetChange::AddVeneer(name, _) => {
            format!("a {VENEER} mm veneer dyed {name} on face and back")
        }
        SheetChange::ThickerSheet => "a sheet a third thicker, of more plies".to_owned(),
    }
}

fn object(name: &str, best: Option<&Best>) -> String {
    let Some(best) = best else {
        return format!("    {name}: does not fit on this panel\n");
    };
    let (width, height) = best.boldest.shape.size();
    let size = match best.boldest.shape {
        crate::appearance::object::Shape::Circle(d) => format!("{d:.0} mm across"),
        crate::appearance::object::Shape::Rectangle(..) => format!("{width:.0} x {height:.0} mm"),
    };
    let mut text = format!("    {name}, {size}\n");
    if best.boldest.centre == best.completest.centre {
        let _ = writeln!(text, "      best for both       {}", window(&best.boldest));
    } else {
        let _ = writeln!(text, "      highest contrast    {}", window(&best.boldest));
        let _ = writeln!(
            text,
            "      most whole tiles    {}",
            window(&best.completest)
        );
    }
    text
}

fn window(window: &Window) -> String {
    format!(
        "{:.1} mm from the left, {:.1} mm from the top: contrast {:.0} %, {} whole and {} cut tiles, {:.0} lines per 100 mm",
        window.centre.x,
        window.centre.y,
        100.0 * window.contrast,
        window.whole,
        window.part,
        window.lines
    )
}

/// A distance: `2.06 m`, `45 cm`.
fn metres(mm: f64) -> String {
    if mm < 995.0 {
        format!("{:.0} cm", mm / 10.0)
    } else if mm < 9950.0 {
        let text = format!("{:.2}", mm / 1000.0);
        let short = text.trim_end_matches('0').trim_end_matches('.');
        format!("{short} m")
    } else {
        format!("{:.0} m", mm / 1000.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_in_words() {
        for (mm, words) in [
            (450.0, "45 cm"),
            (1000.0, "1 m"),
            (2062.65, "2.06 m"),
            (12_345.0, "12 m"),
        ] {
            assert_eq!(metres(mm), words);
        }
    }
}
