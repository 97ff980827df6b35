//! What a shop slices: bars one by one, or loaves of them.

use std::{fmt, str::FromStr};

use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};

/// What is sliced, and what comes of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sliced {
    /// Bars, to single tiles.
    Tiles,
    /// Loaves of a few bars side by side, to parts of courses; the number of bars where it is given.
    Loaf(Option<usize>),
    /// Loaves as wide as a course, to whole courses.
    Courses,
    /// Blocks of all bars of a panel, to whole panels.
    Panels,
}

/// What can be written for it.
pub const WAYS: &str = "write \"tiles\" (each bar by itself), \"loaf\" (a few bars side by side; \"loaf of 4\": \
    so many), \"courses\" (as many as a course has tiles) or \"panels\" (all bars of a panel)";

impl Sliced {
    /// All of them, the one with the most pieces to lay first.
    pub const ALL: [Self; 4] = [Self::Tiles, Self::Loaf(None), Self::Courses, Self::Panels];

    /// As a part of an address asks for it.
    pub fn asked(self) -> String {
        format!("way={self}").replace(' ', "+")
    }
}

impl fmt::Display for Sliced {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Tiles => f.write_str("tiles"),
            Self::Loaf(None) => f.write_str("loaf"),
            Self::Loaf(Some(bars)) => write!(f, "loaf of {bars}"),
            Self::Courses => f.write_str("courses"),
            Self::Panels => f.write_str("panels"),
        }
    }
}

impl FromStr for Sliced {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let given = text.trim().to_lowercase();
        if let Some(way) = Self::ALL.into_iter().find(|way| way.to_string() == given) {
            return Ok(way);
        }
        let bars = given
            .strip_prefix("loaf of ")
            .and_then(|n| n.trim().parse().ok());
        match bars {
            Some(bars) if (2..=1000).contains(&bars) => Ok(Self::Loaf(Some(bars))),
            Some(_) => Err("a loaf has 2 to 1000 bars side by side".to_owned()),
            None => Err(format!("`{given}` is nothing that can be sliced")),
        }
    }
}

impl<'de> Deserialize<'de> for Sliced {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = String::deserialize(from)?;
        text.parse().map_err(D::Error::custom)
    }
}

impl Serialize for Sliced {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_are_read_as_they_are_written() {
        for way in Sliced::ALL.into_iter().chain([Sliced::Loaf(Some(4))]) {
            assert_eq!(way.to_string().parse(), Ok(way));
        }
        assert_eq!(" Loaf of  12 ".parse(), Ok(Sliced::Loaf(Some(12))));
        assert_eq!(
            "loaf of 1".parse::<Sliced>(),
            Err("a loaf has 2 to 1000 bars side by side".to_owned())
        );
        for bad in ["", "loaf of", "loaf of four", "loaf of -1", "loafs"] {
            let error = bad.parse::<Sliced>().unwrap_err();
            assert!(error.ends_with("is nothing that can be sliced"), "{error}");
        }
    }
}
