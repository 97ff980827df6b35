//! Words for lists and texts that replace Rhai's own where those are not safe enough: its sorting
//! drops errors of the comparing function and may panic on one that contradicts itself, and its
//! `replace` can turn one step into gigabytes.

use crate::recipe::kind::{Fixed, Kind};
use std::cmp::Ordering;

use rhai::plugin::*;
use rhai::{Array, Dynamic, FnPtr};

use super::group::Group;
use crate::geom::number::grouped;
use crate::recipe::args;
use crate::recipe::call::Caller;
use crate::recipe::fault::Fault;
use crate::recipe::limits;

/// The group.
pub fn group() -> Group {
    Group {
        name: "lists and texts",
        about: "Sorting lists and replacing parts of texts.",
        module: exported_module!(words),
    }
}

/// Merge sort: stable, and safe with any answers of `before`, even contradictory ones.
fn merge_sort(
    mut list: Array,
    order: &mut impl FnMut(&Dynamic, &Dynamic) -> Result<Ordering, Box<EvalAltResult>>,
) -> Result<Array, Box<EvalAltResult>> {
    if list.len() < 2 {
        return Ok(list);
    }
    let right = list.split_off(list.len() / 2);
    let mut left = merge_sort(list, order)?.into_iter().peekable();
    let mut right = merge_sort(right, order)?.into_iter().peekable();
    let mut sorted = Array::with_capacity(left.len() + right.len());
    loop {
        let from = match (left.peek(), right.peek()) {
            (Some(a), Some(b)) if order(a, b)? == Ordering::Greater => &mut right,
            (Some(_), _) => &mut left,
            (None, Some(_)) => &mut right,
            (None, None) => return Ok(sorted),
        };
        sorted.extend(from.next());
    }
}

fn sorted_by(
    context: &NativeCallContext,
    list: Array,
    rule: &FnPtr,
) -> Result<Array, Box<EvalAltResult>> {
    let mut rule = Caller::new(context, rule);
    merge_sort(list, &mut |a, b| {
        let answer = rule.call([a.clone(), b.clone()])?;
        match (answer.as_bool(), answer.as_int()) {
            (Ok(true), _) => Ok(Ordering::Less),
            (Ok(false), _) => Ok(Ordering::Greater),
            (_, Ok(number)) => Ok(number.cmp(&0)),
            _ => Err(args::unexpected(
                "what the rule for sorting returns",
                "yes or no (whether the first stands before the second), or a whole number",
                &answer,
            )
            .into()),
        }
    })
}

/// The order of two numbers or two texts.
fn natural(a: &Dynamic, b: &Dynamic) -> Result<Ordering, Fault> {
    if let (Ok(a), Ok(b)) = (a.as_int(), b.as_int()) {
        return Ok(a.cmp(&b));
    }
    if let (Ok(a), Ok(b)) = (a.as_immutable_string_ref(), b.as_immutable_string_ref()) {
        return Ok(a.as_str().cmp(b.as_str()));
    }
    let both = args::number(a, "an entry").and_then(|a| Ok((a, args::number(b, "an entry")?)));
    both.map(|(a, b)| a.total_cmp(&b)).map_err(|_| {
        Fault::new(
            Kind::WrongKind,
            format!(
                "a list is sorted without a rule only where all entries are numbers, or all are texts; {} and {} are there",
                args::described(a),
                args::described(b)
            ),
        )
        .help("give a rule: list.sorted(|a, b| a.width > b.width)")
    })
}

/// Replaces, unless the result would be longer than a text may be.
fn replaced(text: &str, part: &str, by: &str) -> Result<ImmutableString, Fault> {
    let count = if part.is_empty() {
        text.chars().count() + 1
    } else {
        text.matches(part).count()
    };
    let length = text.len() - count * part.len() + count.saturating_mul(by.len());
    if length > limits::TEXT_BYTES {
        return Err(Fault::new(
            Kind::Fixed(Fixed::Text),
            format!(
                "the bytes of a text, or of all texts in a list, are more than {}",
                grouped(limits::TEXT_BYTES as u64)
            ),
        )
        .help("replace by something shorter: this bound is fixed"));
    }
    Ok(text.replace(part, by).into())
}

#[export_module]
mod words {
    /// A sorted copy of a list: numbers from the smallest, texts by the alphabet. A rule says
    /// otherwise: a function of two entries that tells whether the first stands before the second (or
    /// gives a number below, at or above 0).
    ///
    /// Entries that are alike keep their order.
    ///
    /// # Example
    /// ```rhai
    /// let narrowest_first = [30, 12, 45].sorted();
    /// let widest_first = [30, 12, 45].sorted(|a, b| a > b);
    /// ```
    #[rhai_fn(name = "sorted", pure, return_raw)]
    pub fn sorted(list: &mut Array) -> Result<Array, Box<EvalAltResult>> {
        merge_sort(list.clone(), &mut |a, b| Ok(natural(a, b)?))
    }

    #[rhai_fn(name = "sorted", pure, return_raw)]
    pub fn sorted_by_rule(
        context: NativeCallContext,
        list: &mut Array,
        rule: FnPtr,
    ) -> Result<Array, Box<EvalAltResult>> {
        sorted_by(&context, list.clone(), &rule)
    }

    /// Replaces every occurrence of a part of a text.
    ///
    /// # Example
    /// ```rhai
    /// let row = "LDLD";
    /// row.replace("LD", "DL");        // now "DLDL"
    /// ```
    #[rhai_fn(name = "replace", return_raw)]
    pub fn replace(
        text: &mut ImmutableString,
        part: &str,
        by: &str,
    ) -> Result<(), Box<EvalAltResult>> {
        *text = replaced(text, part, by)?;
        Ok(())
    }

    #[rhai_fn(name = "replace", return_raw)]
    pub fn replace_by_character(
        text: &mut ImmutableString,
        part: &str,
        by: char,
    ) -> Result<(), Box<EvalAltResult>> {
        *text = replaced(text, part, by.encode_utf8(&mut [0; 4]))?;
        Ok(())
    }

    #[rhai_fn(name = "replace", return_raw)]
    pub fn replace_character(
        text: &mut ImmutableString,
        part: char,
        by: &str,
    ) -> Result<(), Box<EvalAltResult>> {
        *text = replaced(text, part.encode_utf8(&mut [0; 4]), by)?;
        Ok(())
    }

    #[rhai_fn(name = "replace", return_raw)]
    pub fn replace_character_by_character(
        text: &mut ImmutableString,
        part: char,
        by: char,
    ) -> Result<(), Box<EvalAltResult>> {
        let (mut a, mut b) = ([0; 4], [0; 4]);
        *text = replaced(text, part.encode_utf8(&mut a), by.encode_utf8(&mut b))?;
        Ok(())
    }
}
