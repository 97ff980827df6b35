//! The points of a path as SVG writes it, each with the numbers of the text that follow it.
//!
//! A number of a relative command counts from the point before. Where that point moves, the next relative
//! number on its axis is changed the other way, so that the points that are not dragged stay where they are.

use std::ops::Range;

use super::error::HandleError;
use super::handle::{Drawn, Handle, Turn};
use super::lengths::Length;
use super::reader::{Reader, Tokens};
use crate::geom::{Point, Rect, curve::Contour, path_data};

/// A number of a path: where it stands, its value, whether it goes right or down, and whether from the point before.
#[derive(Debug, Clone)]
struct Number {
    length: Length,
    axis: Axis,
    relative: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Axis {
    Right,
    Down,
}

/// One command with its numbers: pairs of them are points, the last one the point that it leads to.
#[derive(Debug)]
struct Command {
    numbers: Vec<Number>,
    closes: bool,
    begins: bool,
}

/// A path with the handles of its points.
pub(super) fn drawn(reader: &Reader<'_>, tokens: &Tokens) -> Result<Drawn, HandleError> {
    let unread = || reader.unread(tokens);
    let inner = reader.plain_text(tokens).ok_or_else(unread)?;
    let text = &reader.text[inner.clone()];
    let contours = path_data::contours(text).map_err(|_| unread())?;
    let corners = contours.iter().flat_map(Contour::chords);
    let bounds = Rect::around(corners).ok_or_else(unread)?;
    let commands = commands(text, inner.start).ok_or_else(unread)?;
    Ok(Drawn {
        size: Point::new(bounds.width(), bounds.height()),
        handles: handles(&commands, bounds.min),
    })
}

fn handles(commands: &[Command], from: Point) -> Vec<Handle> {
    let mut found = Vec::new();
    let (mut pen, mut start) = (Point::ZERO, Point::ZERO);
    for (i, command) in commands.iter().enumerate() {
        let mut numbers = command.numbers.iter().peekable();
        let mut last = pen;
        let mut count = 0;
        while let Some(number) = numbers.next() {
            let mut at = pen;
            let mut turns = Vec::new();
            let second = numbers.next_if(|n| n.axis == Axis::Down && number.axis == Axis::Right);
            for number in [Some(number), second].into_iter().flatten() {
                let base = if number.relative {
                    number.axis.of(pen)
                } else {
                    0.0
                };
                number.axis.set(&mut at, base + number.length.mm);
                turns.push(number.turn(1.0));
            }
            let ends = numbers.peek().is_none();
            let name = if ends {
                last = at;
                for axis in [Axis::Right, Axis::Down] {
                    if turns.iter().any(|turn| axis.of(turn.per) != 0.0) {
                        turns.extend(after(&commands[i..], axis));
                    }
                }
                format!("point {}", i + 1)
            } else {
                count += 1;
                format!("handle {count} of point {}", i + 1)
            };
            found.push(Handle {
                at: at - from,
                name,
                turns,
            });
        }
        pen = if command.closes { start } else { last };
        if command.begins {
            start = pen;
        }
    }
    found
}

/// What is to be changed the other way where the point that the first of these commands leads to moves along an axis.
fn after(commands: &[Command], axis: Axis) -> Vec<Turn> {
    let mut found = Vec::new();
    // Whether the pen, and where its contour began, lie elsewhere than before.
    let (mut pen, mut start) = (true, commands[0].begins);
    for command in &commands[1..] {
        if command.closes {
            pen = start;
        } else {
            let own: Vec<&Number> = command.numbers.iter().filter(|n| n.axis == axis).collect();
            if pen {
                let relative = own.iter().filter(|number| number.relative);
                found.extend(relative.map(|number| number.turn(-1.0)));
            }
            pen &= own.is_empty();
        }
        if command.begins {
            start = pen;
        }
        if !pen && !start {
            break;
        }
    }
    found
}

impl Axis {
    fn of(self, point: Point) -> f64 {
        match self {
            Self::Right => point.x,
            Self::Down => point.y,
        }
    }

    fn set(self, point: &mut Point, to: f64) {
        match self {
            Self::Right => point.x = to,
            Self::Down => point.y = to,
        }
    }
}

impl Number {
    fn turn(&self, by: f64) -> Turn {
        let mut per = Point::ZERO;
        self.axis.set(&mut per, by);
        Turn::follows(&self.length, per)
    }
}

/// The commands of a path that begins at a byte of the recipe.
fn commands(text: &str, from: usize) -> Option<Vec<Command>> {
    let mut found = Vec::new();
    let mut scanner = Scanner { text, at: 0 };
    let mut letter = None;
    loop {
        if let Some(next) = scanner.letter() {
            letter = Some(next);
        } else if scanner.is_done() {
            return Some(found);
        }
        let now: char = letter?;
        let relative = now.is_ascii_lowercase();
        let mut numbers = Vec::new();
        let (axes, skipped): (&str, usize) = match now.to_ascii_uppercase() {
            'M' | 'L' | 'T' => ("xy", 0),
            'H' => ("x", 0),
            'V' => ("y", 0),
            'C' => ("xyxyxy", 0),
            'S' | 'Q' => ("xyxy", 0),
            'A' => ("xy", 5),
            'Z' => ("", 0),
            _ => return None,
        };
        for argument in 0..skipped {
            // Two of the five are flags of one digit, which may stand close together.
            scanner.number(argument > 2)?;
        }
        for axis in axes.chars() {
            let span = scanner.number(false)?;
            let mm = text[span.clone()].parse().ok()?;
            let span = span.start + from..span.end + from;
            numbers.push(Number {
                length: Length { span, mm },
                axis: if axis == 'x' { Axis::Right } else { Axis::Down },
                relative,
            });
        }
        found.push(Command {
            numbers,
            closes: axes.is_empty(),
            begins: matches!(now, 'M' | 'm'),
        });
        letter = match now {
            'M' => Some('L'),
            'm' => Some('l'),
            'Z' | 'z' => None,
            other => Some(other),
        };
    }
}

struct Scanner<'t> {
    text: &'t str,
    at: usize,
}

impl Scanner<'_> {
    fn skip(&mut self, what: impl Fn(u8) -> bool) -> usize {
        let rest = self.text.as_bytes().get(self.at..).unwrap_or_default();
        let length = rest.iter().take_while(|&&byte| what(byte)).count();
        self.at += length;
        length
    }

    fn blank(&mut self) {
        self.skip(|b| b.is_ascii_whitespace() || b == b',');
    }

    fn is_done(&mut self) -> bool {
        self.blank();
        self.at >= self.text.len()
    }

    fn letter(&mut self) -> Option<char> {
        self.blank();
        let next = char::from(*self.text.as_bytes().get(self.at)?);
        let command = next.is_ascii_alphabetic();
        command.then(|| {
            self.at += 1;
            next
        })
    }

    /// Where the next number stands; a flag is one digit.
    fn number(&mut self, flag: bool) -> Option<Range<usize>> {
        self.blank();
        let from = self.at;
        let peek = |at: usize| self.text.as_bytes().get(at).copied();
        if flag {
            matches!(peek(from), Some(b'0' | b'1')).then_some(())?;
            self.at += 1;
            return Some(from..self.at);
        }
        self.at += usize::from(matches!(peek(from), Some(b'+' | b'-')));
        let mut digits = self.skip(|b| b.is_ascii_digit());
        if self.text.as_bytes().get(self.at) == Some(&b'.') {
            self.at += 1;
            digits += self.skip(|b| b.is_ascii_digit());
        }
        (digits > 0).then_some(())?;
        let exponent = self.text.as_bytes().get(self.at..).unwrap_or_default();
        let signed = usize::from(matches!(exponent.get(1), Some(b'+' | b'-')));
        let power = matches!(exponent.first(), Some(b'e' | b'E'));
        if power && exponent.get(1 + signed).is_some_and(u8::is_ascii_digit) {
            self.at += 1 + signed;
            self.skip(|b| b.is_ascii_digit());
        }
        Some(from..self.at)
    }
}
