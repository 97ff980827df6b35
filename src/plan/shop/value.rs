//! Values of a shop file as they are written: lengths, shares, veneers.

use std::fmt;

use serde::{Deserialize, Deserializer, de};

use crate::{geom::length, plan::units::POUND_FORCE};

/// A length in mm, written as a number or as a text with a unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Length(pub(super) f64);

/// A share, written as a number below 1 or as a text with a percent sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Share(pub(super) f64);

/// A force in kN, written as a number or as a text with a unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Force(pub(super) f64);

/// Any number, whole or not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Number(pub(super) f64);

/// One name or a list of names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Names(pub(super) Vec<String>);

struct LengthReader;
struct ForceReader;
struct ShareReader;
struct NumberReader;
struct NamesReader;

impl de::Visitor<'_> for LengthReader {
    type Value = Length;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a length such as 3.2, \"3.2 mm\" or \"1/8 in\"")
    }

    fn visit_i64<E: de::Error>(self, value: i64) -> Result<Length, E> {
        Ok(Length(value as f64))
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Length, E> {
        Ok(Length(value))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Length, E> {
        length::parse(text).map(Length).map_err(|error| {
            E::custom(format!(
                "`{text}` is no length: {error}; write for example 3.2, \"3.2 mm\" or \"1/8 in\""
            ))
        })
    }
}

impl de::Visitor<'_> for ForceReader {
    type Value = Force;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a force such as 3, \"3 kN\" or \"700 lbf\"")
    }

    fn visit_i64<E: de::Error>(self, value: i64) -> Result<Force, E> {
        Ok(Force(value as f64))
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Force, E> {
        Ok(Force(value))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Force, E> {
        force(text).map(Force).ok_or_else(|| {
            E::custom(format!(
                "`{text}` is no force; write for example 3, \"3 kN\" or \"700 lbf\""
            ))
        })
    }
}

/// A force in kN from a number and its unit; a number alone is in kN.
fn force(text: &str) -> Option<f64> {
    let text = text.trim();
    let digits = text.find(|c: char| !c.is_ascii_digit() && c != '.');
    let (number, unit) = text.split_at(digits.unwrap_or(text.len()));
    let each = match unit.trim().to_lowercase().as_str() {
        "" | "kn" => 1.0,
        "n" => 0.001,
        "lbf" | "lb" | "lbs" => POUND_FORCE,
        _ => return None,
    };
    number.parse::<f64>().ok().map(|n| n * each)
}

impl de::Visitor<'_> for ShareReader {
    type Value = Share;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a share such as \"5 %\" or 0.05")
    }

    fn visit_i64<E: de::Error>(self, value: i64) -> Result<Share, E> {
        Ok(Share(value as f64))
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Share, E> {
        Ok(Share(value))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Share, E> {
        let percent = text.trim().strip_suffix('%').map(str::trim_end);
        match percent.and_then(|p| p.parse::<f64>().ok()) {
            Some(percent) => Ok(Share(percent / 100.0)),
            None => Err(E::custom(format!(
                "`{text}` is no share; write for example \"5 %\" or 0.05"
            ))),
        }
    }
}

impl de::Visitor<'_> for NumberReader {
    type Value = Number;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a number")
    }

    fn visit_i64<E: de::Error>(self, value: i64) -> Result<Number, E> {
        Ok(Number(value as f64))
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Number, E> {
        Ok(Number(value))
    }
}

impl<'de> de::Visitor<'de> for NamesReader {
    type Value = Names;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a colour such as \"teal\", or a list of them")
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Names, E> {
        Ok(Names(vec![text.to_owned()]))
    }

    fn visit_seq<A: de::SeqAccess<'de>>(self, mut list: A) -> Result<Names, A::Error> {
        let mut names = Vec::new();
        while let Some(name) = list.next_element()? {
            names.push(name);
        }
        Ok(Names(names))
    }
}

macro_rules! read_by {
    ($value:ty, $reader:expr) => {
        impl<'de> Deserialize<'de> for $value {
            fn deserialize<D: Deserializer<'de>>(reader: D) -> Result<Self, D::Error> {
                reader.deserialize_any($reader)
            }
        }
    };
}

read_by!(Length, LengthReader);
read_by!(Force, ForceReader);
read_by!(Share, ShareReader);
read_by!(Number, NumberReader);
read_by!(Names, NamesReader);
