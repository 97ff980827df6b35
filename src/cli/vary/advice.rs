//! What to try when a sweep cannot be made, with the options of the command.

use crate::explore::sweep::{MOST, MOST_AT_ONCE, SweepError};
use crate::geom::number::grouped;

/// What to try, naming options of the command.
pub(super) fn of_sweep(error: &SweepError) -> String {
    match error {
        SweepError::Range { .. } => {
            "write first..last or first..last..step, such as 8..14..2; a text with two dots in \
             it goes in quotation marks"
                .to_owned()
        }
        SweepError::Empty { .. } => {
            "write the values with commas between them, or a range: --set angle=45,60 --set \
             rows=8..14..2"
                .to_owned()
        }
        SweepError::Quote { .. } => "close it, or leave it out".to_owned(),
        SweepError::Twice { .. } => "write all its values after one --set, with commas".to_owned(),
        SweepError::Seed { .. } => {
            "seeds are whole numbers from 0 on: --seeds 1..60, --seeds 3,7,12".to_owned()
        }
        SweepError::TooMany { count } if *count > u128::from(MOST) => format!(
            "take some of them with --sample 1000; even in parts a sweep has {} at most",
            grouped(MOST)
        ),
        SweepError::TooMany { count } => {
            let parts = count.div_ceil(u128::from(MOST_AT_ONCE));
            format!(
                "take some of them with --sample 1000, or make them in parts: --shard 1/{parts} \
                 to --shard {parts}/{parts}, then --join"
            )
        }
        SweepError::Shard { .. } => {
            "write which part of how many: --shard 1/8 to --shard 8/8".to_owned()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The next kind of error; a new one that has no place here does not compile.
    fn next(error: &SweepError) -> Option<SweepError> {
        let text = || "1..x".to_owned();
        Some(match error {
            SweepError::Range { .. } => SweepError::Empty { name: text() },
            SweepError::Empty { .. } => SweepError::Quote { text: text() },
            SweepError::Quote { .. } => SweepError::Twice { name: text() },
            SweepError::Twice { .. } => SweepError::Seed { value: text() },
            SweepError::Seed { .. } => SweepError::TooMany {
                count: u128::from(MOST_AT_ONCE) * 100,
            },
            SweepError::TooMany { count } if *count <= u128::from(MOST) => SweepError::TooMany {
                count: u128::from(MOST) + 1,
            },
            SweepError::TooMany { .. } => SweepError::Shard { text: text() },
            SweepError::Shard { .. } => return None,
        })
    }

    #[test]
    fn each_error_is_answered_with_an_option_or_a_way_to_write_it() {
        let mut error = Some(SweepError::Range {
            text: "1..x".to_owned(),
            problem: "x".to_owned(),
        });
        let mut said = Vec::new();
        while let Some(one) = error {
            said.push(of_sweep(&one));
            error = next(&one);
        }
        let parts = [
            "first..last",
            "--set angle=45,60",
            "close it",
            "after one --set",
            "--seeds 1..60",
            "--shard 1/100",
            "--sample 1000",
            "--shard 1/8",
        ];
        assert_eq!(said.len(), parts.len());
        for (said, part) in said.iter().zip(parts) {
            assert!(said.contains(part), "{said}");
        }
    }
}
