//! The values that one parameter, or the seed, takes in a sweep, read from what a maker typed.

use super::sweep_error::SweepError;
use super::sweep_range::Range;

/// The values that one parameter takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Axis {
    name: String,
    typed: String,
    pieces: Vec<Piece>,
    count: u64,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Piece {
    One(String),
    Many(Range),
}

impl Axis {
    /// Reads values with commas between them: texts, ranges, and texts in quotation marks, which
    /// are taken as they are. Commas in brackets do not count, so that `rgb(1, 2, 3)` is one value.
    ///
    /// # Errors
    /// When there is none, or a range is no range.
    pub fn read(name: &str, typed: &str) -> Result<Self, SweepError> {
        let mut pieces = Vec::new();
        for (text, quoted) in split(typed)? {
            if !quoted && text.is_empty() {
                return Err(SweepError::Empty {
                    name: name.to_owned(),
                });
            }
            pieces.push(if !quoted && text.contains("..") {
                Piece::Many(Range::read(&text)?)
            } else {
                Piece::One(text)
            });
        }
        let count = pieces
            .iter()
            .fold(0_u64, |sum, p| sum.saturating_add(p.count()));
        Ok(Self {
            name: name.to_owned(),
            typed: typed.trim().to_owned(),
            pieces,
            count,
        })
    }

    /// Reads seeds in the same way.
    ///
    /// # Errors
    /// When there is none, or one of them is no whole number.
    pub(super) fn of_seeds(typed: &str) -> Result<Self, SweepError> {
        let seeds = Self::read("seed", typed)?;
        for piece in &seeds.pieces {
            let ends = match piece {
                Piece::One(text) => [text.clone(), text.clone()],
                Piece::Many(range) => [range.nth(0), range.nth(range.count - 1)],
            };
            let second = match piece {
                Piece::Many(range) if range.count > 1 => Some(range.nth(1)),
                _ => None,
            };
            for value in ends.into_iter().chain(second) {
                if value.trim().parse::<u64>().is_err() {
                    return Err(SweepError::Seed { value });
                }
            }
        }
        Ok(seeds)
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its values as typed.
    pub fn typed(&self) -> &str {
        &self.typed
    }

    /// How many values it has.
    pub(super) fn count(&self) -> u64 {
        self.count
    }

    /// All its values.
    pub(super) fn values(&self) -> impl Iterator<Item = String> {
        (0..self.count).map(|place| self.nth(place))
    }

    /// The value at a place, from 0.
    pub(super) fn nth(&self, mut place: u64) -> String {
        for piece in &self.pieces {
            if place < piece.count() {
                return match piece {
                    Piece::One(text) => text.clone(),
                    Piece::Many(range) => range.nth(place),
                };
            }
            place -= piece.count();
        }
        String::new()
    }
}

impl Piece {
    fn count(&self) -> u64 {
        match self {
            Self::One(_) => 1,
            Self::Many(range) => range.count,
        }
    }
}

/// The values between commas, and whether each was in quotation marks.
fn split(typed: &str) -> Result<Vec<(String, bool)>, SweepError> {
    let mut values = Vec::new();
    let (mut text, mut quoted, mut open, mut depth) = (String::new(), false, None, 0_usize);
    for letter in typed.chars() {
        match (letter, open) {
            (q, Some(mark)) if q == mark => open = None,
            (_, Some(_)) => text.push(letter),
            ('"' | '\'', None) if text.trim().is_empty() && !quoted => {
                text.clear();
                (open, quoted) = (Some(letter), true);
            }
            (',', None) if depth == 0 => {
                values.push((finished(&text, quoted), quoted));
                text.clear();
                quoted = false;
            }
            _ => {
                depth = match letter {
                    '(' | '[' => depth + 1,
                    ')' | ']' => depth.saturating_sub(1),
                    _ => depth,
                };
                if !(quoted && letter.is_whitespace()) {
                    text.push(letter);
                }
            }
        }
    }
    if open.is_some() {
        return Err(SweepError::Quote {
            text: typed.to_owned(),
        });
    }
    values.push((finished(&text, quoted), quoted));
    Ok(values)
}

fn finished(text: &str, quoted: bool) -> String {
    if quoted {
        text.to_owned()
    } else {
        text.trim().to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commas_in_brackets_and_quotation_marks_stay() {
        let values = |typed: &str| {
            let axis = Axis::read("x", typed).unwrap();
            (0..axis.count).map(|i| axis.nth(i)).collect::<Vec<_>>()
        };
        assert_eq!(values("rgb(1, 2, 3), navy"), ["rgb(1, 2, 3)", "navy"]);
        assert_eq!(values("\"a, b\" , 'c..d'"), ["a, b", "c..d"]);
        assert_eq!(values("turned over,both"), ["turned over", "both"]);
        assert_eq!(values("1,3..5,9"), ["1", "3", "4", "5", "9"]);
        assert_eq!(values("\"\""), [""]);
        assert_eq!(values("don't"), ["don't"]);
        for bad in ["", "1,,2", "a,", "\"a"] {
            assert!(Axis::read("x", bad).is_err(), "{bad}");
        }
    }
}
