//! How boards and veneer leaves are cut up, seen from above: which blanks and strips come from where, and what
//! is left. Units of the drawing: CSS pixels.

use svg::{
    Node,
    node::element::{Group, Title},
};

use super::{
    bench::{FAINT, INK, MADE, REST, WASTE, block, line, paper, px, words},
    ripped::{Placed, pieces},
    words::{clean, fitted, width},
};
use crate::{
    geom::Point,
    plan::{
        Shop,
        count::veneers::LeafLine,
        report::cut_length,
        steps::model::{Piece, PieceKind, Step, Steps, Work, width_through},
    },
    watch,
};

const WIDTH: f64 = 620.0;
const MARGIN: f64 = 14.0;
const TOP: f64 = 40.0;
/// Most height of a board on the paper.
const HIGHEST: f64 = 330.0;
const LINE: f64 = 17.0;
/// Sizes of the letters in the wood and below it.
const SMALL: f64 = 11.0;
/// Most lines below a drawing.
const MOST_LINES: usize = 30;

/// A rectangle of wood, in mm from the board's corner: along it, across it, how long and how wide.
struct Area {
    along: f64,
    across: f64,
    long: f64,
    wide: f64,
    /// Where strips end, across the board.
    cuts: Vec<f64>,
    fill: &'static str,
    says: String,
}

/// A board or leaf with its areas, and the lines of text below.
struct Map {
    title: String,
    long: f64,
    wide: f64,
    areas: Vec<Area>,
    lines: Vec<String>,
}

/// The boards of a step that cuts boards across, those that are cut alike in one drawing.
pub(super) fn boards(step: &Step, steps: &Steps, shop: &Shop) -> Vec<String> {
    let Work::Crosscut {
        pieces: each, kerf, ..
    } = &step.work
    else {
        return Vec::new();
    };
    let lot = |id: &str| steps.pieces.iter().find(|p| p.id == id);
    let Some(board) = step.takes.first().and_then(|of| lot(&of.piece)) else {
        return Vec::new();
    };
    let names: Vec<&str> = step.takes.iter().map(|of| of.piece.as_str()).collect();
    let blanks: Vec<(&Piece, u64)> = (step.gives.iter())
        .filter_map(|of| Some((lot(&of.piece)?, of.count)))
        .filter(|(piece, _)| piece.kind == PieceKind::Blank)
        .collect();
    let patterns = patterns(&blanks, (*each).max(1));
    let alone = patterns.len() == 1;
    let long = cut_length(step, steps, shop.units);
    let drawn = patterns.into_iter().map(|(count, blanks)| {
        let times = if alone {
            names.join(", ")
        } else {
            format!("{count} of {}", names.join(", "))
        };
        draw(&board_map(
            &times,
            board,
            &blanks,
            (&long, *kerf),
            steps,
            shop,
        ))
    });
    drawn.collect()
}

/// Which blanks each board gives, filled one after the other: boards that give the same together.
fn patterns<'a>(blanks: &[(&'a Piece, u64)], each: u64) -> Vec<(u64, Vec<&'a Piece>)> {
    let mut all: Vec<(u64, Vec<&Piece>)> = Vec::new();
    let mut open: Vec<&Piece> = Vec::new();
    for &(piece, count) in blanks {
        let mut left = count;
        while left > 0 {
            watch::ask();
            if open.is_empty() && left >= each {
                let whole = (0..each).map(|_| piece).collect();
                all.push((left / each, whole));
                left %= each;
                continue;
            }
            open.push(piece);
            left -= 1;
            if open.len() as u64 == each {
                all.push((1, std::mem::take(&mut open)));
            }
        }
    }
    if !open.is_empty() {
        all.push((1, open));
    }
    all
}

fn board_map(
    name: &str,
    board: &Piece,
    blanks: &[&Piece],
    (long, kerf): (&str, f64),
    steps: &Steps,
    shop: &Shop,
) -> Map {
    let length = |mm: f64| shop.units.at_most(mm);
    let wide = across(board);
    let mut areas = Vec::new();
    let mut lines: Vec<String> = Vec::new();
    let mut along = 0.0;
    for blank in blanks {
        let placed = pieces(steps, blank);
        areas.extend(runs(&placed).into_iter().map(|run| {
            let (from, until) = (run.from.max(0.0), run.until.min(wide));
            Area {
                along,
                across: from,
                long: blank.length,
                wide: until - from,
                cuts: run.cuts,
                fill: match (&run.id, run.is_rest) {
                    (None, _) => WASTE,
                    (_, true) => REST,
                    _ => MADE,
                },
                says: match (&run.id, run.is_rest) {
                    (None, _) => String::new(),
                    (_, true) => format!("left: {}", length(run.wide)),
                    (Some(id), _) => format!("{} x {id}", run.count),
                },
            }
        }));
        let line = gives(blank, &placed, long, &length);
        if !lines.contains(&line) {
            lines.push(line);
        }
        along += blank.length + kerf;
    }
    if board.length - along > 1.0 {
        let left = board.length - along;
        areas.push(Area {
            along,
            across: 0.0,
            long: left,
            wide,
            cuts: Vec::new(),
            fill: REST,
            says: format!("left: {} x {}", length(wide), length(left)),
        });
        lines.push(format!(
            "End of the board, left: {} x {}",
            length(wide),
            length(left)
        ));
    }
    Map {
        title: format!(
            "{name}, {} x {}: the strips run from left to right",
            length(wide),
            length(board.length)
        ),
        long: board.length,
        wide,
        areas,
        lines,
    }
}

/// What one blank gives, in words.
fn gives(blank: &Piece, placed: &[Placed], long: &str, length: &dyn Fn(f64) -> String) -> String {
    let each: Vec<String> = (runs(placed).into_iter())
        .filter_map(|run| {
            let id = run.id?;
            Some(if run.is_rest {
                format!("{} left", length(run.wide))
            } else {
                format!("{} x {id}", run.count)
            })
        })
        .collect();
    format!("{}, {long} long: {}", blank.id, each.join(", "))
}

/// Equal pieces side by side: how far they reach on the sheet's face or beyond it.
struct Run {
    id: Option<String>,
    is_rest: bool,
    count: u64,
    from: f64,
    until: f64,
    /// How wide one is through its whole thickness.
    wide: f64,
    cuts: Vec<f64>,
}

fn runs(placed: &[Placed]) -> Vec<Run> {
    let mut all: Vec<Run> = Vec::new();
    for piece in placed {
        let bounds = piece.section.bounds();
        let corners: Vec<[f64; 2]> = piece.section.corners().iter().map(|c| [c.x, c.y]).collect();
        match all.last_mut() {
            Some(run) if run.id == piece.id => {
                run.count += 1;
                run.cuts.push(bounds.min.x);
                run.until = bounds.max.x;
            }
            _ => all.push(Run {
                id: piece.id.clone(),
                is_rest: piece.kind != PieceKind::Strip,
                count: 1,
                from: bounds.min.x,
                until: bounds.max.x,
                wide: width_through(&corners),
                cuts: Vec::new(),
            }),
        }
    }
    all
}

fn across(piece: &Piece) -> f64 {
    piece.section.iter().map(|c| c[0]).fold(0.0, f64::max)
}

/// Leaves of a colour that are cut alike.
pub(super) fn leaf(colour: &str, leaf: &LeafLine, shop: &Shop) -> String {
    let length = |mm: f64| shop.units.at_least(mm);
    let there = |mm: f64| shop.units.length(mm);
    let areas = leaf.pieces.iter().map(|piece| Area {
        along: piece.at.y,
        across: piece.at.x,
        long: piece.at.length,
        wide: piece.at.width,
        cuts: Vec::new(),
        fill: MADE,
        says: format!(
            "for {}: {} x {}",
            piece.sheet,
            length(piece.at.width),
            length(piece.at.length)
        ),
    });
    let mut lines: Vec<(u64, String)> = Vec::new();
    for area in areas.clone() {
        match lines.iter_mut().find(|(_, known)| *known == area.says) {
            Some((count, _)) => *count += 1,
            None => lines.push((1, area.says)),
        }
    }
    draw(&Map {
        title: format!(
            "{} x leaf of {}, {} x {}: the grain runs from left to right",
            leaf.count,
            clean(colour),
            there(leaf.width),
            there(leaf.length)
        ),
        long: leaf.length,
        wide: leaf.width,
        areas: areas.collect(),
        lines: lines
            .into_iter()
            .map(|(count, says)| format!("{count} x {says}"))
            .collect(),
    })
}

fn draw(map: &Map) -> String {
    let scale = ((WIDTH - 2.0 * MARGIN) / map.long).min(HIGHEST / map.wide);
    let below = TOP + map.wide * scale + LINE + 4.0;
    let lines = map.lines.len().min(MOST_LINES + 1);
    let title = clean(&map.title);
    let height = below + lines as f64 * LINE + 4.0;
    let mut document = paper(WIDTH, height).add(Title::new(title.clone()));
    let at = Point::new(MARGIN, 24.0);
    document.append(words(&fitted(&title, 44.0), at, "start").set("font-weight", "bold"));
    let place = |along: f64, across: f64| Point::new(MARGIN + along * scale, TOP + across * scale);
    let board = block(MARGIN, TOP, map.long * scale, map.wide * scale, REST);
    document.append(board);
    let mut signs = Group::new();
    for area in &map.areas {
        watch::ask();
        let at = place(area.along, area.across);
        let (long, wide) = (area.long * scale, area.wide * scale);
        let ink = if area.fill == WASTE { WASTE } else { INK };
        document.append(
            block(at.x, at.y, long, wide, area.fill)
                .set("stroke", ink)
                .set("stroke-width", "1"),
        );
        for across in &area.cuts {
            let from = place(area.along, *across);
            document.append(
                line(from, from + Point::new(long, 0.0))
                    .set("stroke", FAINT)
                    .set("stroke-width", "0.5"),
            );
        }
        let room = width(&area.says) * SMALL <= long - 4.0 && wide >= SMALL + 1.0;
        if room && !area.says.is_empty() {
            let middle = at + Point::new(long / 2.0, wide / 2.0 + 4.0);
            let says = words(&clean(&area.says), middle, "middle");
            signs.append(
                says.set("font-size", px(SMALL))
                    .set("stroke", area.fill)
                    .set("stroke-width", "4")
                    .set("paint-order", "stroke"),
            );
        }
    }
    document.append(signs);
    document.append(
        block(MARGIN, TOP, map.long * scale, map.wide * scale, "none")
            .set("stroke", FAINT)
            .set("stroke-width", "2"),
    );
    for (i, line) in map.lines.iter().take(MOST_LINES).enumerate() {
        let at = Point::new(MARGIN, below + i as f64 * LINE);
        let text = fitted(&clean(line), 48.0);
        document.append(words(&text, at, "start").set("font-size", "12"));
    }
    if map.lines.len() > MOST_LINES {
        let at = Point::new(MARGIN, below + MOST_LINES as f64 * LINE);
        let more = format!("and {} more", map.lines.len() - MOST_LINES);
        document.append(words(&more, at, "start").set("font-size", "12"));
    }
    document.to_string()
}
