//! The part of the plan's JSON on work in the shop: set-ups, tolerances, gluing. Lengths in mm,
//! angles in degrees, whatever units the shop file asks to print.

use serde::Serialize;

use super::Planned;
use crate::layout::shifts::Fewest;
use crate::plan::{
    OverPanel, Units,
    glue_up::{Clamping, GlueUp, PRESSURES, Slower},
    report,
    saw::{
        Cut, Job, UsedIn,
        number::setting_name,
        passes::{SetBy, Turn},
    },
    tolerance::{Effect, STEP},
};

#[derive(Serialize)]
pub(super) struct JsonSetUp {
    /// The first step that it is for.
    step: usize,
    title: String,
    job: &'static str,
    used_in: Vec<JsonUse>,
    /// Of the blade, from vertical.
    tilt: f64,
    /// Of a carriage's bed, where there is one.
    bed: f64,
    edge_angle: f64,
    /// From the fence, or for slices from the stop.
    fence: Option<f64>,
    /// From the stop ahead of the blade, where strips fall free.
    stop: Option<f64>,
    /// From the ledge of a carriage.
    ledge: Option<f64>,
    for_kerf: f64,
    up: Option<&'static str>,
    far_edge_at_fence: bool,
    turn: Option<&'static str>,
    top: f64,
    foot: f64,
    settings: Vec<String>,
    cautions: Vec<String>,
}

#[derive(Serialize)]
struct JsonUse {
    bar: String,
    parts: Vec<usize>,
}

#[derive(Serialize)]
pub(super) struct JsonTolerance {
    bar: String,
    limit: f64,
    together: f64,
    settings: Vec<JsonSetting>,
    over_panels: Vec<JsonOverPanel>,
}

#[derive(Serialize)]
struct JsonOverPanel {
    panel: String,
    more: Vec<JsonGrown>,
}

#[derive(Serialize)]
struct JsonGrown {
    wider: f64,
    higher: f64,
}

#[derive(Serialize)]
struct JsonSetting {
    name: String,
    unit: &'static str,
    step: f64,
    more: JsonEffect,
    less: JsonEffect,
    allowed: Option<f64>,
}

#[derive(Serialize)]
struct JsonEffect {
    gap_outside: f64,
    gap_centre: f64,
    proud: f64,
    corner: f64,
    wider: f64,
    higher: f64,
}

#[derive(Serialize)]
pub(super) struct JsonGluing {
    panel: String,
    tiles: usize,
    fewer_tiles: Option<Fewest>,
    joints: f64,
    seams: f64,
    glue_area: f64,
    clamp_force: [f64; 2],
    clamps: [u64; 2],
    slower: Option<Slower>,
    beyond_open_time: bool,
    assemblies: Vec<JsonAssembly>,
}

#[derive(Serialize)]
struct JsonAssembly {
    /// Course and number, both from 1.
    from: [u32; 2],
    to: [u32; 2],
    tiles: usize,
    joints: f64,
    minutes: f64,
}

pub(super) fn set_ups(planned: &Planned<'_>) -> Vec<JsonSetUp> {
    let mut shop = planned.shop.clone();
    shop.units = Units::Metric;
    let told = report::set_ups(planned.plan, &shop);
    planned
        .plan
        .set_ups()
        .into_iter()
        .zip(told)
        .map(|((step, cut), told)| set_up(step, cut, told))
        .collect()
}

fn set_up(step: usize, cut: &Cut, told: report::SetUp) -> JsonSetUp {
    let job = match cut.job {
        Job::FirstEdge { each_time: false } => "first_edge",
        Job::FirstEdge { each_time: true } => "fresh_edge",
        Job::Strips => "strips",
        Job::FreeStrips => "free_strips",
        Job::Blanks { .. } => "blanks",
        Job::Parting => "parting",
        Job::SecondEdge => "second_edge",
        Job::InCarriage { .. } => "in_carriage",
        Job::Again { .. } => "again",
        Job::Slices { .. } => "slices",
    };
    let (fence, stop, ledge) = match cut.set {
        SetBy::ByEye => (None, None, None),
        SetBy::Fence(mm) => (Some(mm), None, None),
        SetBy::Stop(mm) => (None, Some(mm), None),
        SetBy::Ledge(mm) => (None, None, Some(mm)),
    };
    let used = |used: &UsedIn| JsonUse {
        bar: used.bar.clone(),
        parts: used.parts.clone(),
    };
    JsonSetUp {
        step,
        title: told.title,
        job,
        used_in: cut.used_in.iter().map(used).collect(),
        tilt: cut.blade_tilt(),
        bed: cut.bed,
        edge_angle: cut.edge(),
        fence,
        stop,
        ledge,
        for_kerf: cut.for_kerf,
        up: cut.up_word(),
        far_edge_at_fence: cut.far_edge,
        turn: cut.turn.map(|turn| match turn {
            Turn::AsItLies => "as_it_lies",
            Turn::TurnedOver => "turned_over",
            Turn::RolledOver => "rolled_over",
            Turn::TurnedRound => "turned_round",
        }),
        top: cut.top(),
        foot: cut.foot(),
        settings: told.settings,
        cautions: told.cautions,
    }
}

pub(super) fn tolerances(planned: &Planned<'_>) -> Vec<JsonTolerance> {
    let fine = |mm: f64| Units::Metric.fine(mm);
    let effect = |e: &Effect| JsonEffect {
        gap_outside: e.gap_outside,
        gap_centre: e.gap_centre,
        proud: e.proud,
        corner: e.corner,
        wider: e.grown.x,
        higher: e.grown.y,
    };
    planned
        .plan
        .bars
        .iter()
        .map(|bar| JsonTolerance {
            bar: bar.name.clone(),
            limit: bar.tolerance.limit,
            together: bar.tolerance.together,
            over_panels: bar.over_panels.iter().map(over_panel).collect(),
            settings: bar
                .tolerance
                .settings
                .iter()
                .map(|s| JsonSetting {
                    name: setting_name(&s.setting, &fine),
                    unit: if s.setting.in_degrees() {
                        "degrees"
                    } else {
                        "mm"
                    },
                    step: STEP,
                    more: effect(&s.more),
                    less: effect(&s.less),
                    allowed: s.allowed,
                })
                .collect(),
        })
        .collect()
}

fn over_panel(over: &OverPanel) -> JsonOverPanel {
    JsonOverPanel {
        panel: over.panel.clone(),
        more: over
            .more
            .iter()
            .map(|grown| JsonGrown {
                wider: grown.x,
                higher: grown.y,
            })
            .collect(),
    }
}

pub(super) fn gluing(planned: &Planned<'_>) -> Vec<JsonGluing> {
    let slice = planned.shop.slicing.thickness;
    let one = |name: &str, width: f64, glue_up: &GlueUp, fewer_tiles: Option<Fewest>| {
        let clamping = Clamping::of(width * slice, PRESSURES, planned.shop.clamps.force);
        let place = |i: usize| {
            let p = glue_up.placements[i];
            [p.course, p.number]
        };
        JsonGluing {
            panel: name.to_owned(),
            tiles: glue_up.placements.len(),
            fewer_tiles,
            joints: glue_up.joints,
            seams: glue_up.seams,
            glue_area: glue_up.glue_area,
            clamp_force: clamping.force,
            clamps: clamping.clamps,
            slower: glue_up.slower,
            beyond_open_time: glue_up.hopeless,
            assemblies: glue_up
                .assemblies
                .iter()
                .map(|a| JsonAssembly {
                    from: place(a.placements.start),
                    to: place(a.placements.end - 1),
                    tiles: a.placements.len(),
                    joints: a.joints,
                    minutes: a.minutes,
                })
                .collect(),
        }
    };
    let panels = planned.panels.iter().zip(&planned.plan.gluing);
    panels
        .zip(&planned.plan.fewest)
        .map(|((panel, glue_up), fewest)| one(&panel.name, panel.bounds.width(), glue_up, *fewest))
        .collect()
}
