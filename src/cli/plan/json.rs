//! A shop plan as JSON for other programs. The form is documented in `docs/plan-json.md`. Its
//! `version` grows when a field changes its meaning or is removed; new fields may be added without
//! that.

use serde::Serialize;

use super::json_shop::{JsonGluing, JsonSetUp, JsonTolerance, gluing, set_ups, tolerances};
use crate::cli::terminal::json_lines;
use crate::plan::glue_up::flattened;
use crate::plan::{
    CountBack, loaf::methods::SlicingMethod, parts::Filled, shop::Assumed, steps::Steps,
};
use crate::rack::largest::Largest;
use crate::recipe::parameter::Parameter;
use crate::session::planned::Planned;
use crate::session::planned::objects::{JsonCutout, json as cutouts_json};

/// The version of the JSON form.
pub(super) const VERSION: u32 = 2;

#[derive(Serialize)]
struct JsonPlan<'a> {
    schema: &'static str,
    version: u32,
    recipe: &'a str,
    seed: u64,
    parameters: &'a [Parameter],
    shop_file: Option<&'a str>,
    assumed: &'a [Assumed],
    currency: &'a str,
    booked: usize,
    suffices: bool,
    plan: &'a CountBack,
    #[serde(flatten)]
    steps: &'a Steps,
    set_ups: Vec<JsonSetUp>,
    tolerances: Vec<JsonTolerance>,
    gluing: Vec<JsonGluing>,
    ways: &'a [SlicingMethod],
    thickness: JsonThickness,
    objects: Vec<JsonCutout<'a>>,
    largest: Option<JsonLargest<'a>>,
}

#[derive(Serialize)]
struct JsonLargest<'a> {
    varied: Vec<JsonVaried<'a>>,
    size: [f64; 2],
    next: Option<JsonNext<'a>>,
    bound: Option<[f64; 2]>,
    counted: usize,
}

#[derive(Serialize)]
struct JsonVaried<'a> {
    name: &'a str,
    from: f64,
    to: f64,
}

#[derive(Serialize)]
struct JsonNext<'a> {
    size: [f64; 2],
    lacks: &'a [String],
}

#[derive(Serialize)]
struct JsonThickness {
    flattened: f64,
    thinner: Option<f64>,
    left: Option<f64>,
}

#[derive(Serialize)]
struct JsonParts<'a> {
    schema: &'static str,
    version: u32,
    recipe: &'a str,
    from_parts: Vec<JsonFilled<'a>>,
}

#[derive(Serialize)]
struct JsonFilled<'a> {
    panel: &'a str,
    largest: &'a Option<Filled>,
}

/// The largest panels from tiles in hand, over several lines.
pub(super) fn from_parts(recipe: &str, answers: &[(&str, Option<Filled>)]) -> String {
    lines(&JsonParts {
        schema: "plyloom-plan",
        version: VERSION,
        recipe,
        from_parts: answers
            .iter()
            .map(|(panel, largest)| JsonFilled { panel, largest })
            .collect(),
    })
}

/// The plan, over several lines.
pub(super) fn json(planned: &Planned<'_>, largest: Option<&Largest>) -> String {
    let count = &planned.plan.count;
    lines(&JsonPlan {
        schema: "plyloom-plan",
        version: VERSION,
        recipe: &planned.recipe,
        seed: planned.outcome.seed,
        parameters: &planned.outcome.parameters,
        shop_file: planned.shop_file.as_deref(),
        assumed: &planned.shop.assumed,
        currency: &planned.shop.currency,
        booked: planned.shop.booked.len(),
        suffices: count.suffices(),
        plan: count,
        steps: &planned.plan.steps,
        set_ups: set_ups(planned),
        tolerances: tolerances(planned),
        gluing: gluing(planned),
        ways: &planned.plan.ways,
        thickness: thickness(planned),
        objects: cutouts_json(&planned.panels, &planned.cutouts),
        largest: largest.map(largest_json),
    })
}

fn largest_json(largest: &Largest) -> JsonLargest<'_> {
    let varied = largest.varied.iter().zip(&largest.best.values);
    JsonLargest {
        varied: varied
            .map(|(handle, &to)| JsonVaried {
                name: &handle.name,
                from: handle.from,
                to,
            })
            .collect(),
        size: largest.best.size,
        next: largest.next.as_ref().map(|next| JsonNext {
            size: next.size,
            lacks: &next.lacks,
        }),
        bound: largest.bound,
        counted: largest.counted,
    }
}

fn thickness(planned: &Planned<'_>) -> JsonThickness {
    let slicing = &planned.shop.slicing;
    let left = |thinner| flattened(slicing.thickness, thinner, slicing.sanding);
    JsonThickness {
        flattened: planned.shop.finished_thickness(),
        thinner: planned.thinner,
        left: planned.thinner.and_then(left),
    }
}

fn lines(form: &impl Serialize) -> String {
    // Processors do not agree on the sign of a zero. No text holds a line's end, so these are numbers.
    json_lines(form)
        .replace(" -0.0,\n", " 0.0,\n")
        .replace(" -0.0\n", " 0.0\n")
}
