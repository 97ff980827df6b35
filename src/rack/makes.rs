//! What could be made of a rack's wood by one recipe: the largest panel, with the dyes and thicknesses that there are
//! where the recipe leaves them open, and what wood its own size would take in addition.

use super::largest::{
    Adjustment, Lacking, Largest, LargestError, Search, Shape, panels_of, wood_lacking,
};
use super::thickness::{of_wood, setters};
use crate::plan::count::count_back_within;
use crate::plan::parts::Mirrored;
use crate::plan::scraps::Effort;
use crate::plan::{PlanError, Shop};
use crate::recipe::outcome::Outcome;
use crate::recipe::parameter::{Domain, Value};
use crate::stock::LayerKind;

/// Of so many leaves, and so many thicknesses, each is tried.
const MOST_TRIED: usize = 4;

/// What comes of a recipe.
#[derive(Debug)]
pub struct Makes {
    /// Parameters that are set to the dyes and thicknesses of the rack, and their values.
    pub set: Vec<(String, String)>,
    /// The largest panel, or why there is none.
    pub largest: Result<Largest, LargestError>,
    /// The recipe as it gives the largest panel; as it is, where there is none.
    pub outcome: Outcome,
    /// Width and height of its panel as it is written, in mm.
    pub own_size: [f64; 2],
    /// The wood that its own size lacks; none where it cannot be planned.
    pub additional: Result<Lacking, PlanError>,
}

/// The largest panel of a recipe from the wood. `text` is its own where numbers in it may be changed, `run`
/// carries it out with a change.
pub fn makes(
    base: Outcome,
    text: Option<&str>,
    shop: &Shop,
    run: &mut dyn FnMut(&Adjustment) -> Option<Outcome>,
) -> Makes {
    let mut best: Option<Makes> = None;
    for set in settings(&base, text, shop, run) {
        let mut with = |change: &Adjustment| {
            let set = [&set[..], &change.set[..]].concat();
            run(&Adjustment {
                set,
                text: change.text.clone(),
            })
        };
        let Some(own) = with(&Adjustment::default()) else {
            continue;
        };
        let largest = match unlike_any_leaf(&own, shop) {
            Some(colour) => Err(LargestError::TooSmall {
                size: size(&own),
                lacks: vec![format!("a leaf of {colour}: the rack has none")],
            }),
            None => Search {
                base: &own,
                text,
                shop,
                wanted: None,
                mirrored: Mirrored::default(),
                thorough: false,
                run: &mut with,
            }
            .largest(Shape::Recipe),
        };
        if best
            .as_ref()
            .is_some_and(|b| area(&largest) <= area(&b.largest))
        {
            continue;
        }
        let own_size = size(&own);
        let additional = additional(&own, shop);
        let change = largest.as_ref().ok().map(|found| found.change.clone());
        let outcome = change.and_then(|change| with(&change)).unwrap_or(own);
        best = Some(Makes {
            set,
            largest,
            outcome,
            own_size,
            additional,
        });
    }
    best.unwrap_or_else(|| Makes {
        set: Vec::new(),
        largest: Err(LargestError::NoHandle),
        own_size: size(&base),
        additional: additional(&base, shop),
        outcome: base,
    })
}

/// The wood that a recipe lacks as it is.
fn additional(outcome: &Outcome, shop: &Shop) -> Result<Lacking, PlanError> {
    let count = count_back_within(&panels_of(outcome, None), shop, Effort::FIRST);
    count.map(|count| wood_lacking(&count))
}

fn size(outcome: &Outcome) -> [f64; 2] {
    (outcome.panels.first()).map_or([0.0; 2], |p| [p.bounds.width(), p.bounds.height()])
}

/// The area of the largest panel; below 0 where there is none.
pub(crate) fn area(found: &Result<Largest, LargestError>) -> f64 {
    (found.as_ref()).map_or(-1.0, |found| found.best.size[0] * found.best.size[1])
}

/// The values that open parameters are tried with: those of the recipe; the dyes of the leaves, each colour
/// parameter the next one, beginning with each; and with each of these every group of boards that a thickness
/// can be taken from.
fn settings(
    base: &Outcome,
    text: Option<&str>,
    shop: &Shop,
    run: &mut dyn FnMut(&Adjustment) -> Option<Outcome>,
) -> Vec<Vec<(String, String)>> {
    let mut thicknesses: Vec<Vec<(String, String)>> = vec![Vec::new()];
    if shop.boards.iter().any(|b| b.thickness.is_some()) {
        for setter in setters(base, text, None, run) {
            if !setter.is_parameter() {
                continue;
            }
            let groups = of_wood(shop, setter.plywood);
            let fitting = groups.iter().filter(|g| setter.takes(g.thickness));
            let of = |group| setter.set(Adjustment::default(), group, None).set;
            let all: Vec<_> = fitting.take(MOST_TRIED).map(of).collect();
            if !all.is_empty() {
                thicknesses = all;
            }
            break;
        }
    }
    let dyes = dyes(base, shop);
    let mut all = Vec::new();
    for thickness in &thicknesses {
        all.extend(dyes.iter().map(|dyes| [&dyes[..], &thickness[..]].concat()));
    }
    all
}

fn dyes(base: &Outcome, shop: &Shop) -> Vec<Vec<(String, String)>> {
    let mut leaves: Vec<&str> = Vec::new();
    for leaf in shop.veneers.iter().filter(|l| l.count != Some(0)) {
        if !leaves.contains(&leaf.name.as_str()) {
            leaves.push(&leaf.name);
        }
    }
    let dyed = colours(base);
    // A colour that no veneer has is a wood or paint, and stays.
    let open = base.parameters.iter().filter(|p| {
        let colour = match &p.value {
            Value::Text(text) => crate::stock::Colour::parse(text).ok(),
            _ => None,
        };
        p.domain == Domain::Colour && colour.is_some_and(|c| dyed.contains(&c))
    });
    let open: Vec<&str> = open.map(|p| p.name.as_str()).collect();
    let mut all = Vec::new();
    if open.is_empty() || unlike_any_leaf(base, shop).is_none() {
        all.push(Vec::new());
    }
    if !open.is_empty() {
        all.extend((0..leaves.len().min(MOST_TRIED)).map(|first| {
            let each = open.iter().enumerate();
            let dyed = each.map(|(i, name)| {
                (
                    (*name).to_owned(),
                    leaves[(first + i) % leaves.len()].to_owned(),
                )
            });
            dyed.collect()
        }));
    }
    if all.is_empty() {
        all.push(Vec::new());
    }
    all
}

/// The colours of the veneers of a recipe's panels.
fn colours(outcome: &Outcome) -> Vec<crate::stock::Colour> {
    let faces = outcome.panels.iter().flat_map(|p| &p.faces);
    let parts = faces.flat_map(|face| face.kind.bar().parts());
    let layers = parts.flat_map(|part| part.strip.sheet().layers());
    let mut all = Vec::new();
    for layer in layers.filter(|l| l.kind == LayerKind::Veneer) {
        if !all.contains(&layer.colour) {
            all.push(layer.colour);
        }
    }
    all
}

/// A veneer of the panels that no leaf and no veneered board of the rack has, where the rack has none.
fn unlike_any_leaf(outcome: &Outcome, shop: &Shop) -> Option<String> {
    if shop
        .boards
        .iter()
        .any(|b| !b.face.is_empty() || !b.back.is_empty())
    {
        return None;
    }
    let there = |colour| {
        let mut of = shop.veneers.iter().filter(|l| l.count != Some(0));
        of.any(|leaf| leaf.colour == colour)
    };
    let missing = colours(outcome).into_iter().find(|c| !there(*c))?;
    Some(crate::plan::count::labels::colour_name(missing, shop))
}
