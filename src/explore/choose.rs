//! Which variations a contact sheet shows: the same ones once, those that meet the conditions,
//! sorted, and a few of them spread out.

use std::collections::BTreeMap;

use super::alike::Looks;
use super::index::{Made, Result, Shown, Variation};
use super::measured::SPREAD_OVER;
use super::spread::spread;

/// When two variations count as the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Alike {
    /// When they show the same as they lie.
    Lying,
    /// Also when one of them is turned.
    #[default]
    Turned,
    /// Also when one of them is seen from the back.
    Over,
}

/// What variations are sorted by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sort {
    /// A measure.
    pub measure: String,
    /// Whether the smallest comes first.
    pub up: bool,
}

/// A condition on a measure.
#[derive(Debug, Clone, PartialEq)]
pub struct Only {
    /// The measure.
    pub measure: String,
    /// The least that is shown.
    pub least: Option<f64>,
    /// The most that is shown.
    pub most: Option<f64>,
}

/// What is to be shown.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Choose {
    /// When two count as the same.
    pub alike: Alike,
    /// What they are sorted by; else their number.
    pub sort: Option<Sort>,
    /// What they must meet.
    pub only: Vec<Only>,
    /// How many are kept.
    pub keep: Option<usize>,
}

impl Alike {
    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Lying => "lying",
            Self::Turned => "turned",
            Self::Over => "over",
        }
    }

    fn of(self, looks: &Looks) -> &str {
        match self {
            Self::Lying => &looks.lying,
            Self::Turned => &looks.turned,
            Self::Over => &looks.over,
        }
    }
}

impl Sort {
    /// Reads `MEASURE` (the largest first) or `MEASURE:up`.
    ///
    /// # Errors
    /// When the measure is not one of `known`.
    pub fn read(text: &str, known: &[&str]) -> std::result::Result<Self, String> {
        let (measure, up) = match text.split_once(':') {
            Some((measure, "up")) => (measure, true),
            Some((measure, "down")) => (measure, false),
            Some(_) => return Err("write MEASURE, MEASURE:up or MEASURE:down".to_owned()),
            None => (text, false),
        };
        let measure = measured(measure, known)?;
        Ok(Self { measure, up })
    }
}

impl Only {
    /// Reads `MEASURE>=NUMBER` or `MEASURE<=NUMBER`.
    ///
    /// # Errors
    /// When the measure is not one of `known`, or there is no number.
    pub fn read(text: &str, known: &[&str]) -> std::result::Result<Self, String> {
        let hint = "write MEASURE>=NUMBER or MEASURE<=NUMBER, such as matched>=0.9";
        let (measure, number, least) = match (text.split_once(">="), text.split_once("<=")) {
            (Some((measure, number)), None) => (measure, number, true),
            (None, Some((measure, number))) => (measure, number, false),
            _ => return Err(hint.to_owned()),
        };
        let measure = measured(measure.trim(), known)?;
        let number: f64 = number.trim().parse().map_err(|_| hint.to_owned())?;
        if !number.is_finite() {
            return Err(hint.to_owned());
        }
        Ok(Self {
            measure,
            least: least.then_some(number),
            most: (!least).then_some(number),
        })
    }

    fn met(&self, made: &Made) -> bool {
        made.measure(&self.measure).is_some_and(|value| {
            self.least.is_none_or(|least| value >= least)
                && self.most.is_none_or(|most| value <= most)
        })
    }

    fn words(&self) -> String {
        match (self.least, self.most) {
            (Some(least), _) => format!("{}>={least}", self.measure),
            (None, most) => format!("{}<={}", self.measure, most.unwrap_or(f64::INFINITY)),
        }
    }
}

fn measured(name: &str, known: &[&str]) -> std::result::Result<String, String> {
    if known.contains(&name) {
        Ok(name.to_owned())
    } else {
        Err(format!(
            "there is no measure `{name}`; there are {}",
            known.join(", ")
        ))
    }
}

impl Choose {
    /// Marks which variations are the same, and says which are shown and in what order.
    /// `variations` are in the order of their numbers.
    pub fn apply(&self, variations: &mut [Variation]) -> Shown {
        self.mark(variations);
        let mut list: Vec<(u64, &Made)> = variations
            .iter()
            .filter_map(|v| v.made().map(|made| (v.number, made)))
            .filter(|(_, made)| made.same_as.is_none())
            .filter(|(_, made)| self.only.iter().all(|only| only.met(made)))
            .collect();
        if let Some(sort) = &self.sort {
            // Those for which it is not defined come last, whichever way.
            list.sort_by(|(m, a), (n, b)| {
                let (a, b) = (a.measure(&sort.measure), b.measure(&sort.measure));
                let order = match (a, b) {
                    (Some(a), Some(b)) if sort.up => a.total_cmp(&b),
                    (Some(a), Some(b)) => b.total_cmp(&a),
                    _ => a.is_none().cmp(&b.is_none()),
                };
                order.then(m.cmp(n))
            });
        }
        if let Some(keep) = self.keep {
            let points: Vec<Vec<f64>> = list
                .iter()
                .map(|(_, made)| {
                    let value = |name: &&str| made.measure(name).unwrap_or(f64::NAN);
                    SPREAD_OVER.iter().map(value).collect()
                })
                .collect();
            list = spread(&points, keep).into_iter().map(|i| list[i]).collect();
        }
        Shown {
            alike: self.alike.word().to_owned(),
            sort: self.sort.as_ref().map(|s| {
                let way = if s.up { "up" } else { "down" };
                format!("{}:{way}", s.measure)
            }),
            only: self.only.iter().map(Only::words).collect(),
            keep: self.keep,
            numbers: list.into_iter().map(|(number, _)| number).collect(),
        }
    }

    fn mark(&self, variations: &mut [Variation]) {
        let mut firsts: BTreeMap<String, (u64, u64)> = BTreeMap::new();
        for v in variations.iter() {
            if let Some(made) = v.made() {
                let form = self.alike.of(&made.looks).to_owned();
                firsts.entry(form).or_insert((v.number, 0)).1 += 1;
            }
        }
        for v in variations {
            let number = v.number;
            if let Result::Made(made) = &mut v.result {
                let (first, times) = firsts[self.alike.of(&made.looks)];
                made.same_as = (first != number).then_some(first);
                made.times = if first == number { times } else { 0 };
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn variation(number: u64, turned: &str, matched: f64) -> Variation {
        let looks = Looks {
            lying: format!("{turned}{number}"),
            turned: turned.to_owned(),
            over: "one".to_owned(),
        };
        Variation {
            number,
            set: Vec::new(),
            seed: None,
            result: Result::Made(Box::new(Made {
                seed: 1,
                recipe_sha256: String::new(),
                parameters: Vec::new(),
                panels: Vec::new(),
                measures: [("matched".to_owned(), (matched >= 0.0).then_some(matched))].into(),
                looks,
                same_as: None,
                times: 0,
            })),
        }
    }

    fn four() -> Vec<Variation> {
        vec![
            variation(1, "a", 0.5),
            variation(2, "b", 0.9),
            variation(3, "a", 0.5),
            variation(4, "c", 0.1),
        ]
    }

    #[test]
    fn the_same_is_shown_once_and_counted() {
        let mut list = four();
        assert_eq!(Choose::default().apply(&mut list).numbers, [1, 2, 4]);
        let marks: Vec<_> = list
            .iter()
            .map(|v| v.made().map(|m| (m.same_as, m.times)).unwrap())
            .collect();
        assert_eq!(marks, [(None, 2), (None, 1), (Some(1), 0), (None, 1)]);
        let with = |alike| Choose {
            alike,
            ..Choose::default()
        };
        assert_eq!(with(Alike::Lying).apply(&mut list).numbers, [1, 2, 3, 4]);
        assert_eq!(with(Alike::Over).apply(&mut list).numbers, [1]);
        assert_eq!(list[0].made().unwrap().times, 4);
    }

    #[test]
    fn a_measure_added_later_changes_nothing_of_what_is_kept() {
        let choose = Choose {
            keep: Some(2),
            ..Choose::default()
        };
        let mut list = four();
        let before = choose.apply(&mut list).numbers;
        assert_eq!(before, [1, 2]);
        for (variation, value) in list.iter_mut().zip([0.0, 0.0, 0.0, 1000.0]) {
            if let Result::Made(made) = &mut variation.result {
                made.measures.insert("added later".to_owned(), Some(value));
            }
        }
        assert_eq!(choose.apply(&mut list).numbers, before);
        let by_it = Choose {
            sort: Some(Sort::read("added later", &["added later"]).unwrap()),
            ..Choose::default()
        };
        assert_eq!(by_it.apply(&mut list).numbers, [4, 1, 2]);
    }

    #[test]
    fn sorted_filtered_and_kept() {
        let known = ["matched"];
        let choose = Choose {
            sort: Some(Sort::read("matched", &known).unwrap()),
            ..Choose::default()
        };
        assert_eq!(choose.apply(&mut four()).numbers, [2, 1, 4]);
        let choose = Choose {
            sort: Some(Sort::read("matched:up", &known).unwrap()),
            only: vec![Only::read("matched>=0.3", &known).unwrap()],
            ..Choose::default()
        };
        let shown = choose.apply(&mut four());
        assert_eq!(shown.numbers, [1, 2]);
        assert_eq!(shown.only, ["matched>=0.3"]);
        let choose = Choose {
            keep: Some(2),
            ..Choose::default()
        };
        assert_eq!(
            choose.apply(&mut four()).numbers,
            [1, 2],
            "0.5 and 0.9 or 0.1: as far"
        );
        // Not defined comes last either way, and meets no condition.
        let with_none = || {
            let mut list = four();
            list.push(variation(5, "d", -1.0));
            list
        };
        for (sort, order) in [("matched", [2, 1, 4, 5]), ("matched:up", [4, 1, 2, 5])] {
            let sort = Some(Sort::read(sort, &known).unwrap());
            let choose = Choose {
                sort,
                ..Choose::default()
            };
            assert_eq!(choose.apply(&mut with_none()).numbers, order);
        }
        let choose = Choose {
            only: vec![Only::read("matched<=9", &known).unwrap()],
            ..Choose::default()
        };
        assert_eq!(choose.apply(&mut with_none()).numbers, [1, 2, 4]);
        assert!(Sort::read("shine", &known).unwrap_err().contains("matched"));
        assert!(Only::read("matched>0.3", &known).is_err());
    }
}
