//! Which variations a contact sheet shows: the same ones once, those that meet the conditions,
//! sorted, and a few of them spread out.

use std::collections::BTreeMap;

use super::alike::Looks;
use super::index::{MadeVariation, SheetSelection, Variation, VariationResult};
use super::measured::{NAMES, SPREAD_OVER, unit_of};
use super::spread::spread;
use crate::recipe::formula::{Formula, FormulaError};

/// `best` keeps those that differ most among so many times as many of the best: with fewer they are near twins,
/// with many more some are hardly good.
const CHOICE: usize = 4;

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
    /// A measure, or a formula of several.
    pub by: Formula,
    /// Whether the smallest comes first.
    pub up: bool,
}

/// A condition on a measure, or on a formula of several.
#[derive(Debug, Clone, PartialEq)]
pub struct Only {
    /// What the condition is on.
    pub by: Formula,
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
    /// How many of the best are kept.
    pub best: Option<usize>,
}

impl Alike {
    /// Its word.
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
    /// Reads a measure or a formula (the largest first), or one with `:up` behind it.
    ///
    /// # Errors
    /// When it is none.
    pub fn read(text: &str) -> Result<Self, String> {
        let (by, up) = match text.rsplit_once(':') {
            Some((by, "up")) => (by, true),
            Some((by, "down")) => (by, false),
            Some(_) => return Err("write MEASURE, MEASURE:up or MEASURE:down".to_owned()),
            None => (text, false),
        };
        let by = formula(by)?;
        Ok(Self { by, up })
    }
}

impl Only {
    /// Reads `MEASURE>=NUMBER` or `MEASURE<=NUMBER`, with a formula in place of a measure, and a unit of length
    /// behind the number of a measure that is a length.
    ///
    /// # Errors
    /// When it is none.
    pub fn read(text: &str) -> Result<Self, String> {
        let hint = "write MEASURE>=NUMBER or MEASURE<=NUMBER, such as matched>=0.9";
        let (by, bound, least) = match (text.split_once(">="), text.split_once("<=")) {
            (Some((by, bound)), None) => (by, bound, true),
            (None, Some((by, bound))) => (by, bound, false),
            _ => return Err(hint.to_owned()),
        };
        let by = formula(by)?;
        let bound = bound.trim();
        // `1e3` is a number, `3 ells` is none.
        let number = |c: char| c.is_ascii_digit() || ".+-eE".contains(c);
        let unit = bound.find(|c: char| !number(c)).unwrap_or(bound.len());
        let (digits, unit) = bound.split_at(unit);
        let unit = unit.trim();
        let number: f64 = digits.trim().parse().map_err(|_| hint.to_owned())?;
        let number = number * scale(unit, by.text())?;
        if !number.is_finite() {
            return Err(hint.to_owned());
        }
        Ok(Self {
            by,
            least: least.then_some(number),
            most: (!least).then_some(number),
        })
    }

    fn met(&self, made: &MadeVariation) -> bool {
        made.value(&self.by).is_some_and(|value| {
            self.least.is_none_or(|least| value >= least)
                && self.most.is_none_or(|most| value <= most)
        })
    }

    fn words(&self) -> String {
        match (self.least, self.most) {
            (Some(least), _) => format!("{}>={least}", self.by.text()),
            (None, most) => format!("{}<={}", self.by.text(), most.unwrap_or(f64::INFINITY)),
        }
    }
}

/// A formula over the measures.
fn formula(text: &str) -> Result<Formula, String> {
    Formula::read(text, &NAMES).map_err(|error| match error {
        FormulaError::Name(_) => format!("{error}; there are {}", NAMES.join(", ")),
        FormulaError::NotOne(_) => format!(
            "{error}; write measures and numbers with + - * / and brackets, min, max and abs, such as \
             contrast*2 + longest/1000"
        ),
    })
}

/// What a number in this unit is multiplied by, to be one in the unit of what it bounds.
fn scale(unit: &str, by: &str) -> Result<f64, String> {
    let mm = |unit: &str| match unit {
        "mm" => Some(1.0),
        "cm" => Some(10.0),
        "m" => Some(1000.0),
        "in" => Some(25.4),
        _ => None,
    };
    let own = unit_of(by);
    if unit.is_empty() || unit == own {
        return Ok(1.0);
    }
    match (mm(unit), mm(own)) {
        (Some(theirs), Some(own)) => Ok(theirs / own),
        _ if own.is_empty() => Err(format!("`{by}` has no unit: leave out `{unit}`")),
        _ => Err(format!("`{by}` is counted in {own}, not in {unit}")),
    }
}

impl Choose {
    /// Marks which variations are the same, and says which are shown and in what order.
    /// `variations` are in the order of their numbers.
    pub fn apply(&self, variations: &mut [Variation]) -> SheetSelection {
        let mut list = self.list(variations);
        if let Some(keep) = self.keep.or(self.best) {
            let points: Vec<Vec<f64>> = list
                .iter()
                .map(|(_, made)| {
                    let value = |name: &&str| made.measure(name).unwrap_or(f64::NAN);
                    SPREAD_OVER.iter().map(value).collect()
                })
                .collect();
            list = spread(&points, keep).into_iter().map(|i| list[i]).collect();
        }
        SheetSelection {
            alike: self.alike.word().to_owned(),
            sort: self.sort.as_ref().map(|s| {
                let way = if s.up { "up" } else { "down" };
                format!("{}:{way}", s.by.text())
            }),
            only: self.only.iter().map(Only::words).collect(),
            keep: self.keep,
            best: self.best,
            numbers: list.into_iter().map(|(number, _)| number).collect(),
        }
    }

    /// The numbers of those that [`Choose::apply`] chooses from.
    pub fn candidates(&self, variations: &mut [Variation]) -> Vec<u64> {
        let list = self.list(variations);
        list.into_iter().map(|(number, _)| number).collect()
    }

    /// Each once, those that meet the conditions, in their order; of the best only [`CHOICE`] times as many
    /// as are kept.
    fn list<'a>(&self, variations: &'a mut [Variation]) -> Vec<(u64, &'a MadeVariation)> {
        self.mark(variations);
        let mut list: Vec<(u64, &MadeVariation)> = variations
            .iter()
            .filter_map(|v| v.made().map(|made| (v.number, made)))
            .filter(|(_, made)| made.same_as.is_none())
            .filter(|(_, made)| self.only.iter().all(|only| only.met(made)))
            .collect();
        if let Some(sort) = &self.sort {
            // Variations for which the measure is not defined come last in both orders.
            let way = if sort.up { 1.0 } else { -1.0 };
            let value =
                |made: &MadeVariation| made.value(&sort.by).map_or(f64::INFINITY, |v| way * v);
            let mut keyed: Vec<_> = list.into_iter().map(|one| (value(one.1), one)).collect();
            keyed.sort_by(|(a, one), (b, other)| a.total_cmp(b).then(one.0.cmp(&other.0)));
            list = keyed.into_iter().map(|(_, one)| one).collect();
        }
        if let Some(best) = self.best {
            list.truncate(best.saturating_mul(CHOICE));
        }
        list
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
            if let VariationResult::Made(made) = &mut v.result {
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
            result: VariationResult::Made(Box::new(MadeVariation {
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
            if let VariationResult::Made(made) = &mut variation.result {
                made.measures.insert("added later".to_owned(), Some(value));
            }
        }
        assert_eq!(choose.apply(&mut list).numbers, before);
    }

    #[test]
    fn sorted_filtered_and_kept() {
        let choose = Choose {
            sort: Some(Sort::read("matched").unwrap()),
            ..Choose::default()
        };
        assert_eq!(choose.apply(&mut four()).numbers, [2, 1, 4]);
        let choose = Choose {
            sort: Some(Sort::read("matched:up").unwrap()),
            only: vec![Only::read("matched>=0.3").unwrap()],
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
            let sort = Some(Sort::read(sort).unwrap());
            let choose = Choose {
                sort,
                ..Choose::default()
            };
            assert_eq!(choose.apply(&mut with_none()).numbers, order);
        }
        let choose = Choose {
            only: vec![Only::read("matched<=9").unwrap()],
            ..Choose::default()
        };
        assert_eq!(choose.apply(&mut with_none()).numbers, [1, 2, 4]);
        assert!(Sort::read("shine").unwrap_err().contains("matched"));
        assert!(Only::read("matched>0.3").is_err());
    }

    #[test]
    fn formulas_sort_and_bound() {
        let choose = Choose {
            sort: Some(Sort::read("abs(matched - 0.4)*2:up").unwrap()),
            only: vec![Only::read("matched*10 <= 6").unwrap()],
            ..Choose::default()
        };
        let shown = choose.apply(&mut four());
        assert_eq!(shown.numbers, [1, 4]);
        assert_eq!(shown.sort.as_deref(), Some("abs(matched - 0.4)*2:up"));
        assert_eq!(shown.only, ["matched*10<=6"]);
    }

    #[test]
    fn bounds_on_lengths_take_a_unit() {
        let least = |text: &str| Only::read(text).map(|only| only.least);
        for (text, value) in [
            ("longest >= 1.5 m", 1500.0),
            ("longest>=10in", 254.0),
            ("longest >= 90", 90.0),
            ("plain >= 3m", 3.0),
            ("plain >= 3000 mm", 3.0),
            ("wood >= 2 dm3", 2.0),
        ] {
            assert_eq!(least(text), Ok(Some(value)), "{text}");
        }
        for (text, why) in [
            ("matched >= 3 m", "has no unit"),
            ("wood >= 3 m", "counted in dm3"),
            ("longest >= 3 ells", "counted in mm, not in ells"),
            ("legible >= 3m", "no measure `legible`"),
        ] {
            let said = least(text).unwrap_err();
            assert!(said.contains(why), "{text}: {said}");
        }
    }

    #[test]
    fn the_best_are_kept_that_differ_most() {
        let mut list: Vec<Variation> = (1..=40)
            .map(|n| variation(n, &format!("look {n}"), (n * n) as f64))
            .collect();
        let choose = Choose {
            sort: Some(Sort::read("matched").unwrap()),
            best: Some(3),
            ..Choose::default()
        };
        let candidates = choose.candidates(&mut list);
        assert_eq!(candidates, (29..=40).rev().collect::<Vec<u64>>());
        // The best, the farthest from it, and one between.
        assert_eq!(choose.apply(&mut list).numbers, [40, 35, 29]);
    }
}
