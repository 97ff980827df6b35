//! A sweep around favourites of an earlier one: parameters between theirs, seeds beside theirs.

use std::collections::BTreeSet;

use super::axis::Axis;
use super::index::{Index, MadeVariation, Variation};
use crate::geom::number::millionth;
use crate::recipe::parameter::Value;

/// How many steps lie between the least and the largest value of the favourites.
const STEPS: i64 = 8;
/// How many seeds are taken on each side of a favourite's. Panels of neighbouring seeds are no more
/// alike than those of any two seeds.
const BESIDE: u64 = 4;

/// What to vary around some variations of an index.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Around {
    /// Parameters with their values, as they are typed after `--set`.
    pub set: Vec<(String, String)>,
    /// Seeds, as they are typed after `--seeds`.
    pub seeds: String,
}

impl Around {
    /// Around these numbers; of one that is none, or could not be made, its number.
    ///
    /// # Errors
    /// The number that has no panels.
    pub fn of(index: &Index, numbers: &[u64]) -> Result<Self, u64> {
        let favourites = numbers
            .iter()
            .map(|&number| {
                let variation = index.variation(number).ok_or(number)?;
                Ok((variation, variation.made().ok_or(number)?))
            })
            .collect::<Result<Vec<_>, u64>>()?;
        let set = index.head.sweep.parameters.iter().map(|parameter| {
            let name = parameter.name.as_str();
            let values: Vec<&Value> = favourites
                .iter()
                .flat_map(|(_, made)| &made.parameters)
                .filter(|p| p.name == name)
                .map(|p| &p.value)
                .collect();
            let alike = values.windows(2).all(|pair| pair[0] == pair[1]);
            let typed = match between(&values) {
                Some(typed) if !alike => typed,
                own => {
                    let theirs = favourites.iter().filter_map(|(v, _)| typed_value(v, name));
                    with_neighbours(name, &parameter.value, theirs)
                        .or(own)
                        .unwrap_or_else(|| texts_of(&values))
                }
            };
            (name.to_owned(), typed)
        });
        Ok(Self {
            set: set.collect(),
            seeds: seeds(&favourites),
        })
    }
}

/// Numbers from the least to the largest, the favourites' own among them; none where a value is no
/// number.
fn between(values: &[&Value]) -> Option<String> {
    let whole: Option<BTreeSet<i64>> = values
        .iter()
        .map(|value| match value {
            Value::Whole(n) => Some(*n),
            _ => None,
        })
        .collect();
    if let Some(mut all) = whole {
        let (least, most) = (*all.first()?, *all.last()?);
        let step = most.checked_sub(least)?.checked_add(STEPS - 1)? / STEPS;
        if step > 0 {
            all.extend((1..STEPS).map(|i| least + i * step).filter(|n| *n < most));
        }
        let texts: Vec<String> = all.iter().map(i64::to_string).collect();
        return Some(texts.join(","));
    }
    let mut all = values
        .iter()
        .map(|value| match value {
            Value::Whole(n) => Some(*n as f64),
            Value::Number(n) => Some(*n),
            Value::YesNo(_) | Value::Text(_) => None,
        })
        .collect::<Option<Vec<f64>>>()?;
    all.sort_by(f64::total_cmp);
    let (least, most) = (*all.first()?, *all.last()?);
    let share = |i: i64| millionth(least + (most - least) * i as f64 / STEPS as f64);
    all.extend((1..STEPS).map(share));
    all.sort_by(f64::total_cmp);
    all.dedup();
    let texts: Vec<String> = all.iter().map(f64::to_string).collect();
    Some(texts.join(","))
}

fn typed_value<'a>(variation: &'a Variation, name: &str) -> Option<&'a str> {
    let set = variation.set.iter().find(|s| s.name == name)?;
    Some(&set.value)
}

/// The favourites' values, each with what stood before and behind it in the earlier sweep; none where they do not
/// stand there.
fn with_neighbours<'a>(
    name: &str,
    typed: &str,
    theirs: impl Iterator<Item = &'a str>,
) -> Option<String> {
    let axis = Axis::read(name, typed).ok()?;
    let all: Vec<String> = axis.values().take(MOST_VALUES).collect();
    let mut taken = BTreeSet::new();
    for value in theirs {
        if let Some(at) = all.iter().position(|one| one == value) {
            taken.extend(at.saturating_sub(1)..=(at + 1).min(all.len() - 1));
        }
    }
    let texts: Vec<String> = taken.into_iter().map(|at| quoted(&all[at])).collect();
    (!texts.is_empty()).then(|| texts.join(","))
}

fn texts_of(values: &[&Value]) -> String {
    let mut texts: Vec<String> = values.iter().map(|v| quoted(&v.to_string())).collect();
    texts.dedup();
    texts.join(",")
}

/// Values of an axis beyond these have no neighbours.
const MOST_VALUES: usize = 100_000;

/// As a single value is typed.
fn quoted(text: &str) -> String {
    let plain = !text.is_empty()
        && !text.contains([',', '"', '\''])
        && !text.contains("..")
        && text.trim() == text;
    match text.contains('"') {
        _ if plain => text.to_owned(),
        false => format!("\"{text}\""),
        true => format!("'{text}'"),
    }
}

fn seeds(favourites: &[(&Variation, &MadeVariation)]) -> String {
    let all: BTreeSet<u64> = favourites
        .iter()
        .flat_map(|(_, made)| made.seed.saturating_sub(BESIDE)..=made.seed.saturating_add(BESIDE))
        .collect();
    let texts: Vec<String> = all.iter().map(u64::to_string).collect();
    texts.join(",")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn index() -> Index {
        let made = |number: u64, wide: f64, rows: i64, dye: &str| {
            serde_json::json!({
                "number": number, "seed": number * 10,
                "set": [{"name": "wide", "value": format!("{wide} mm")}, {"name": "rows", "value": rows.to_string()},
                        {"name": "dye", "value": dye}],
                "result": {"made": {"seed": number * 10, "recipe_sha256": "", "panels": [], "measures": {},
                    "looks": {"lying": "", "turned": "", "over": ""}, "same_as": null, "times": 1,
                    "parameters": [{"name": "wide", "value": wide}, {"name": "rows", "value": rows},
                                   {"name": "dye", "value": dye}, {"name": "left alone", "value": 3}]}}
            })
        };
        let text = serde_json::json!({
            "schema": "plyloom-variations", "version": 1, "recipe": {"path": "../a.rhai", "sha256": "00"},
            "sweep": {"parameters": [{"name": "wide", "value": "10..30..0.5"}, {"name": "rows", "value": "2..40"},
                                     {"name": "dye", "value": "red,\"rgb(1, 2, 3)\",navy,soot"}],
                      "seeds": "1..90", "count": 99, "sample": null, "shard": null},
            "shown": {"alike": "turned", "sort": null, "only": [], "keep": null, "numbers": []},
            "variations": [made(1, 12.0, 3, "red"), made(2, 14.0, 25, "navy"),
                {"number": 3, "set": [], "seed": 1,
                 "result": {"failed": {"code": "c", "message": "m", "place": null, "help": null}}}]
        });
        Index::read(&text.to_string()).unwrap()
    }

    #[test]
    fn numbers_lie_between_and_others_are_theirs_and_their_neighbours() {
        let around = Around::of(&index(), &[1, 2]).unwrap();
        let typed = |name: &str| {
            let found = around.set.iter().find(|(n, _)| n == name);
            found.map(|(_, typed)| typed.as_str())
        };
        assert_eq!(
            typed("wide"),
            Some("12,12.25,12.5,12.75,13,13.25,13.5,13.75,14")
        );
        assert_eq!(typed("rows"), Some("3,6,9,12,15,18,21,24,25"));
        assert_eq!(typed("dye"), Some("red,\"rgb(1, 2, 3)\",navy,soot"));
        assert_eq!(typed("left alone"), None);
        assert_eq!(
            around.seeds,
            "6,7,8,9,10,11,12,13,14,16,17,18,19,20,21,22,23,24"
        );
    }

    #[test]
    fn one_alone_varies_with_its_neighbours() {
        let around = Around::of(&index(), &[2]).unwrap();
        let typed: Vec<&str> = around.set.iter().map(|(_, typed)| typed.as_str()).collect();
        // `wide` was typed with a unit that the range did not have, so it has no neighbours there.
        assert_eq!(typed, ["14", "24,25,26", "\"rgb(1, 2, 3)\",navy,soot"]);
    }

    #[test]
    fn a_number_without_panels_is_told() {
        assert_eq!(Around::of(&index(), &[1, 3]), Err(3));
        assert_eq!(Around::of(&index(), &[7]), Err(7));
    }
}
