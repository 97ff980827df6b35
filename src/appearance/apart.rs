//! Colours that stay apart: which dyes or woods to take so that no two are taken for one another.

use super::{
    View,
    difference::{Lab, ciede2000, lab},
};
use crate::stock::Colour;
use crate::watch;

/// A colour of a palette, with how far it stays from those before it.
#[derive(Debug, Clone, PartialEq)]
pub struct PaletteColour {
    /// Its name.
    pub name: String,
    /// The colour.
    pub colour: Colour,
    /// The smallest difference (CIEDE2000) from the colours taken before it, over all views asked
    /// for; none for a first colour that had nothing to differ from.
    pub apart: Option<f64>,
}

/// Takes `count` colours from a list, one after another, each the one that stays farthest from those
/// taken and from the `given` ones (greedily maximising the smallest CIEDE2000), under all `views`.
/// Without given colours it begins with the darkest. Ties go to the earlier in the list; fewer come
/// out when the list ends.
pub fn suggest(
    from: &[(&str, Colour)],
    given: &[Colour],
    count: usize,
    views: &[View],
) -> Vec<PaletteColour> {
    let labs: Vec<Vec<Lab>> = from.iter().map(|(_, c)| seen(*c, views)).collect();
    let mut nearest = vec![f64::INFINITY; from.len()];
    let mut taken = vec![false; from.len()];
    let lower = |to: &[Lab], nearest: &mut Vec<f64>| {
        for (near, own) in nearest.iter_mut().zip(&labs) {
            *near = near.min(least(own, to));
        }
    };
    for colour in given {
        lower(&seen(*colour, views), &mut nearest);
    }
    let mut chosen = Vec::new();
    while chosen.len() < count.min(from.len()) {
        watch::ask();
        let better = |&i: &usize, &j: &usize| {
            let darker = |k: usize| -lab(from[k].1).lightness;
            nearest[i]
                .total_cmp(&nearest[j])
                .then(if nearest[i].is_infinite() {
                    darker(i).total_cmp(&darker(j))
                } else {
                    std::cmp::Ordering::Equal
                })
                .then(j.cmp(&i))
        };
        let Some(next) = (0..from.len()).filter(|i| !taken[*i]).max_by(better) else {
            break;
        };
        taken[next] = true;
        let (name, colour) = from[next];
        chosen.push(PaletteColour {
            name: name.to_owned(),
            colour,
            apart: nearest[next].is_finite().then_some(nearest[next]),
        });
        lower(&seen(colour, views), &mut nearest);
    }
    chosen
}

fn seen(colour: Colour, views: &[View]) -> Vec<Lab> {
    views.iter().map(|v| lab(v.colour(colour))).collect()
}

fn least(a: &[Lab], b: &[Lab]) -> f64 {
    a.iter()
        .zip(b)
        .map(|(a, b)| ciede2000(*a, *b))
        .fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn red_and_green_are_apart_until_the_eyes_miss_them() {
        let (red, green) = (Colour::rgb(150, 90, 40), Colour::rgb(105, 110, 30));
        let difference = |a, b, views: &[View]| least(&seen(a, views), &seen(b, views));
        let usual = difference(red, green, &[View::Usual]);
        let deutan = difference(red, green, &[View::Deuteranopia]);
        assert!(usual > 20.0 && deutan < usual / 2.0, "{usual} {deutan}");
        let both = difference(red, green, &[View::Usual, View::Deuteranopia]);
        assert!((both - deutan).abs() < 1e-12);
    }

    #[test]
    fn takes_the_extremes_first_and_ends_with_the_list() {
        let grey = |v| Colour::rgb(v, v, v);
        let list = [("mid", grey(120)), ("dark", grey(10)), ("pale", grey(240))];
        let names: Vec<String> = suggest(&list, &[], 9, &[View::Usual])
            .into_iter()
            .map(|c| c.name)
            .collect();
        assert_eq!(names, ["dark", "pale", "mid"]);
        let one = suggest(&list, &[grey(250)], 1, &[View::Usual]);
        assert_eq!(one[0].name, "dark");
        assert!(one[0].apart.is_some_and(|d| d > 80.0));
    }
}
