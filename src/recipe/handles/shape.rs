//! Shapes as a recipe writes them, each with the handles of its lengths. A shape begins at (0, 0).

use super::error::HandleError;
use super::handle::{DOWN, Drawn, Handle, RIGHT, Turn};
use super::lengths::Length;
use super::path;
use super::reader::{Call, Reader, Tokens};
use crate::geom::{Point, Rect};

type Found<T> = Result<T, HandleError>;

/// How often one shape is cut out of another at most, and that out of a third.
const DEEPEST: usize = 4;

/// The outline that a call of `finished` and the like gives a panel.
pub(super) fn finished(reader: &Reader<'_>, call: &Call) -> Found<Drawn> {
    let first = call.arguments.first();
    match (call.word.as_str(), first) {
        ("finished_outline", Some(outline)) => shape(reader, outline, 0),
        ("finished_path", Some(text)) => path::drawn(reader, text),
        ("finished", _) => plain(reader, call, "rectangle"),
        ("finished_round", _) => plain(reader, call, "circle"),
        ("finished_rounded", _) => plain(reader, call, "rounded_rectangle"),
        _ => Err(changed(reader, call)),
    }
}

/// The pieces of a call of `pieces`, each with its place where that is said.
pub(super) fn pieces(reader: &Reader<'_>, call: &Call) -> Found<Vec<(Drawn, Option<[Length; 2]>)>> {
    let first = call
        .arguments
        .first()
        .ok_or_else(|| changed(reader, call))?;
    let list = reader.list(first).ok_or_else(|| reader.unread(first))?;
    let piece = |tokens: &Tokens| {
        let (call, more) = reader.called(tokens).ok_or_else(|| reader.unread(tokens))?;
        if call.word != "piece" || !more.is_empty() {
            return Err(reader.unread(tokens));
        }
        match &call.arguments[..] {
            [_, outline] => Ok((shape(reader, outline, 0)?, None)),
            [_, outline, right, down] => {
                let place = [reader.length(right)?, reader.length(down)?];
                Ok((shape(reader, outline, 0)?, Some(place)))
            }
            _ => Err(reader.unread(tokens)),
        }
    };
    list.iter().map(piece).collect()
}

fn changed(reader: &Reader<'_>, call: &Call) -> HandleError {
    HandleError::Changed {
        word: format!(".{}", call.word),
        line: reader.line(call.at),
    }
}

/// A shape by its corners, or a word for one with its holes.
fn shape(reader: &Reader<'_>, tokens: &Tokens, depth: usize) -> Found<Drawn> {
    if depth > DEEPEST {
        return Err(reader.unread(tokens));
    }
    if let Some(list) = reader.list(tokens) {
        return by_corners(reader, &list);
    }
    let (call, more) = reader.called(tokens).ok_or_else(|| reader.unread(tokens))?;
    let first = call.arguments.first();
    let mut drawn = match (call.word.as_str(), first) {
        ("outline", Some(corners)) if call.arguments.len() == 1 => {
            let list = reader.list(corners).ok_or_else(|| reader.unread(corners))?;
            by_corners(reader, &list)?
        }
        ("path", Some(text)) => path::drawn(reader, text)?,
        (word, _) => plain(reader, &call, word)?,
    };
    let several = more.iter().filter(|call| call.word == "hole").count() > 1;
    for (number, call) in (1..).zip(&more) {
        let (hole, place) = match (call.word.as_str(), &call.arguments[..]) {
            ("hole", [hole]) => (hole, None),
            ("hole", [hole, right, down]) => {
                (hole, Some([reader.length(right)?, reader.length(down)?]))
            }
            _ => return Err(changed(reader, call)),
        };
        let mut hole = shape(reader, hole, depth + 1)?;
        let at = if let Some([right, down]) = &place {
            Point::new(right.mm, down.mm)
        } else {
            // A shape that lies in the middle grows to both sides at once.
            let turns = hole.handles.iter_mut().flat_map(|handle| &mut handle.turns);
            for turn in turns.filter(|turn| turn.grows) {
                turn.per = turn.per * 2.0;
            }
            (drawn.size - hole.size) * 0.5
        };
        let name = if several {
            format!("hole {number}")
        } else {
            "hole".to_owned()
        };
        drawn.handles.extend(hole.within(&name, at, place));
    }
    Ok(drawn)
}

fn by_corners(reader: &Reader<'_>, list: &[Tokens]) -> Found<Drawn> {
    let corner = |tokens: &Tokens| {
        let both = reader.list(tokens).ok_or_else(|| reader.unread(tokens))?;
        match &both[..] {
            [right, down] => Ok([reader.length(right)?, reader.length(down)?]),
            _ => Err(reader.unread(tokens)),
        }
    };
    let corners: Vec<[Length; 2]> = list.iter().map(corner).collect::<Found<_>>()?;
    let places = corners.iter().map(|[x, y]| Point::new(x.mm, y.mm));
    let bounds = Rect::around(places).unwrap_or(Rect::sized(0.0, 0.0));
    let handle = |(number, [x, y]): (usize, &[Length; 2])| Handle {
        at: Point::new(x.mm, y.mm) - bounds.min,
        name: format!("corner {number}"),
        turns: vec![Turn::follows(x, RIGHT), Turn::follows(y, DOWN)],
    };
    Ok(Drawn {
        size: Point::new(bounds.width(), bounds.height()),
        handles: (1..).zip(&corners).map(handle).collect(),
    })
}

/// A shape that a word gives by its lengths.
fn plain(reader: &Reader<'_>, call: &Call, word: &str) -> Found<Drawn> {
    let lengths = call.arguments.iter().map(|a| reader.length(a));
    let lengths: Vec<Length> = lengths.collect::<Found<_>>()?;
    let handle = Handle::new;
    let sides = |w: &Length, h: &Length| {
        vec![
            handle("width", (w.mm, h.mm / 2.0), vec![Turn::grows(w, RIGHT)]),
            handle("height", (w.mm / 2.0, h.mm), vec![Turn::grows(h, DOWN)]),
        ]
    };
    let both = |w: &Length, h: &Length| {
        let turns = vec![Turn::grows(w, RIGHT), Turn::grows(h, DOWN)];
        handle("width and height", (w.mm, h.mm), turns)
    };
    let (size, handles) = match (word, &lengths[..]) {
        ("rectangle", [w, h]) => {
            let mut handles = sides(w, h);
            handles.push(both(w, h));
            ((w.mm, h.mm), handles)
        }
        ("rounded_rectangle", [w, h, radius]) => {
            let mut handles = sides(w, h);
            let turns = vec![Turn::follows(radius, RIGHT)];
            handles.push(handle("radius", (radius.mm, 0.0), turns));
            ((w.mm, h.mm), handles)
        }
        ("ellipse", [w, h]) => ((w.mm, h.mm), sides(w, h)),
        ("circle", [d]) => {
            let turns = vec![Turn::grows(d, RIGHT)];
            let handles = vec![handle("diameter", (d.mm, d.mm / 2.0), turns)];
            ((d.mm, d.mm), handles)
        }
        ("arch", [w, h, rise]) => {
            let mut handles = sides(w, h);
            handles[0].at.y = f64::midpoint(rise.mm, h.mm);
            handles.push(handle(
                "rise",
                (0.0, rise.mm),
                vec![Turn::follows(rise, DOWN)],
            ));
            ((w.mm, h.mm), handles)
        }
        ("l_shape", [w, h, left, top]) => {
            let mut handles = sides(w, h);
            handles[0].at.y = top.mm / 2.0;
            handles[1].at.x = left.mm / 2.0;
            let turns = vec![Turn::follows(left, RIGHT), Turn::follows(top, DOWN)];
            handles.push(handle("inner corner", (left.mm, top.mm), turns));
            ((w.mm, h.mm), handles)
        }
        ("regular_polygon", [sides, side]) if (3.0..=100.0).contains(&sides.mm) => {
            let one = polygon_of_side_one(sides.mm);
            let size = one * side.mm;
            let turns = vec![Turn::grows(side, RIGHT * (1.0 / one.x))];
            let at = (size.x, size.y / 2.0);
            (
                (size.x, size.y),
                vec![handle("length of a side", at, turns)],
            )
        }
        _ => {
            return Err(HandleError::Unread {
                written: format!("{}(...)", call.word),
                line: reader.line(call.at),
            });
        }
    };
    Ok(Drawn {
        size: Point::new(size.0, size.1),
        handles,
    })
}

/// How large a regular polygon is whose sides are 1 mm long.
fn polygon_of_side_one(sides: f64) -> Point {
    let mut at = Point::ZERO;
    let mut bounds = Rect::sized(0.0, 0.0);
    let mut k = 0.0;
    while k < sides {
        at = at + Point::unit(180.0 + 360.0 / sides * k);
        bounds = bounds.join(Rect { min: at, max: at });
        k += 1.0;
    }
    Point::new(bounds.width(), bounds.height())
}
