//! The sizes that are tried, one after the other: by one whole number. Lengths in mm.

use super::error::LargestError;
use super::handles::{Adjustment, At, Handle};

/// A size between two others: estimated from the share of the wood that the smaller one takes, else in
/// the middle.
pub(super) fn middle(line: &Line, low: i64, high: i64, share: Option<f64>) -> i64 {
    let guess = share.filter(|s| (0.05..1.0).contains(s)).map(|share| {
        let grow = if line.both() {
            (1.0 / share).sqrt()
        } else {
            1.0 / share
        };
        // A size beyond 2^53 is none.
        #[expect(clippy::cast_possible_truncation, reason = "sizes are at most 20 m")]
        let guess = (low as f64 * grow.min(1.5)).round() as i64;
        guess
    });
    match guess {
        Some(guess) if guess > low && guess < high && high - low > 16 => guess,
        _ => low + (high - low) / 2,
    }
}

/// The last of a range for which something holds that holds for all before it.
pub(super) fn last(least: i64, most: i64, holds: impl Fn(i64) -> bool) -> Option<i64> {
    if !holds(least) {
        return None;
    }
    let (mut low, mut high) = (least, most + 1);
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if holds(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low)
}

/// Sizes that are tried, by one whole number.
pub(super) struct Line {
    pub(super) handles: Vec<Handle>,
    /// Of the recipe as it is.
    from: [f64; 2],
    /// Width to height, where two handles keep it.
    ratio: f64,
}

impl Line {
    /// The sizes of a shape: by the recipe's own parameter, or by a width and a height.
    pub(super) fn of(
        all: &[Handle],
        from: [f64; 2],
        ratio: Option<f64>,
    ) -> Result<Self, LargestError> {
        let both = all.iter().find(|h| h.wider > 0.0 && h.higher > 0.0);
        let wide = all.iter().find(|h| h.wider > 0.0 && h.higher <= 0.0);
        let high = all.iter().find(|h| h.higher > 0.0 && h.wider <= 0.0);
        let one = |handle: &Handle| Self {
            handles: vec![handle.clone()],
            from,
            ratio: from[0] / from[1],
        };
        let parameters = [wide, high]
            .into_iter()
            .flatten()
            .filter(|h| h.at == At::Parameter);
        let parameters: Vec<&Handle> = parameters.collect();
        match (both, wide, high, ratio) {
            (Some(both), _, _, None) => Ok(one(both)),
            (_, Some(_), Some(_), None) if parameters.len() == 1 => Ok(one(parameters[0])),
            (_, Some(wide), Some(high), ratio) => Ok(Self {
                handles: vec![wide.clone(), high.clone()],
                from,
                ratio: ratio.unwrap_or(from[0] / from[1]),
            }),
            (Some(only), ..) | (None, Some(only), None, _) | (None, None, Some(only), _) => {
                match ratio {
                    None => Ok(one(only)),
                    Some(_) => Err(LargestError::OneHandle(only.name.clone())),
                }
            }
            (None, None, None, _) => Err(LargestError::NoHandle),
        }
    }

    fn both(&self) -> bool {
        self.handles.len() == 2 || self.handles.iter().any(|h| h.wider > 0.0 && h.higher > 0.0)
    }

    /// The least and the most.
    #[expect(clippy::cast_possible_truncation, reason = "sizes are at most 20 m")]
    pub(super) fn range(&self) -> [i64; 2] {
        let first = &self.handles[0];
        [
            first.least.max(1.0).ceil() as i64,
            first.most.max(1.0).floor() as i64,
        ]
    }

    /// The numbers of the recipe.
    pub(super) fn values(&self, n: i64) -> Vec<f64> {
        let first = n as f64;
        let mut values = vec![first];
        if let [wide, high] = &self.handles[..] {
            let width = self.from[0] + (first - wide.from) * wide.wider;
            let value = high.from + (width / self.ratio - self.from[1]) / high.higher;
            values.push(value.round().clamp(high.least.max(1.0), high.most));
        }
        values
    }

    /// About the panel's width and height.
    pub(super) fn size(&self, n: i64) -> [f64; 2] {
        let mut size = self.from;
        for (handle, value) in self.handles.iter().zip(self.values(n)) {
            size[0] += (value - handle.from) * handle.wider;
            size[1] += (value - handle.from) * handle.higher;
        }
        size.map(|side| side.max(0.0))
    }

    pub(super) fn change(&self, n: i64, text: Option<&str>) -> Adjustment {
        let values = self.values(n);
        let with = self.handles.iter().zip(values);
        with.fold(Adjustment::default(), |change, (handle, value)| {
            change.with(handle, value, text.unwrap_or_default())
        })
    }
}
