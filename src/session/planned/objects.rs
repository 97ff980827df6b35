//! Small objects in a plan: where on the panel each is cut out, as words, data and a drawing.

use serde::Serialize;

use crate::appearance::legibility::Seeing;
use crate::appearance::object::Shape;
use crate::appearance::window::{Best, Window, best};
use crate::draw::object_map::Outlined;
use crate::geom::number::thousandth;
use crate::layout::panel::Panel;
use crate::plan::{
    Units,
    report::{Entry, Section},
};

/// What an object finds on a panel.
#[derive(Debug, Clone)]
pub struct Cutout {
    /// The number of the panel in the plan, from 0.
    panel: usize,
    /// The object as typed.
    name: String,
    shape: Shape,
    best: Option<Best>,
}

/// An object for other programs.
#[derive(Debug, Serialize)]
pub struct JsonCutout<'a> {
    panel: &'a str,
    object: &'a str,
    boldest: Option<JsonPlace>,
    completest: Option<JsonPlace>,
}

#[derive(Debug, Serialize)]
struct JsonPlace {
    x_mm: f64,
    y_mm: f64,
    left_mm: f64,
    top_mm: f64,
    width_mm: f64,
    height_mm: f64,
    whole_tiles: usize,
    part_tiles: usize,
    lines_per_100_mm: f64,
}

/// Looks for the best places of each object on each panel.
pub fn cutouts(panels: &[&Panel], objects: &[(String, Shape)]) -> Vec<Cutout> {
    let on = |(number, panel): (usize, &&Panel)| -> Vec<Cutout> {
        let one = |(name, shape): &(String, Shape)| Cutout {
            panel: number,
            name: name.clone(),
            shape: *shape,
            best: best(panel, *shape, Seeing::default()),
        };
        objects.iter().map(one).collect()
    };
    panels.iter().enumerate().flat_map(on).collect()
}

/// The section of the plan; none without objects.
pub fn section(panels: &[&Panel], cutouts: &[Cutout], units: Units) -> Option<Section> {
    let mut entries: Vec<Entry> = cutouts
        .iter()
        .map(|cutout| {
            let of = if panels.len() > 1 {
                format!(" from \"{}\"", panels[cutout.panel].name)
            } else {
                String::new()
            };
            let mut entry = Entry::from(format!("{}{of}, {}", cutout.name, size(cutout, units)));
            entry.below = match &cutout.best {
                None => vec!["does not fit on this panel".into()],
                Some(best) if best.boldest.centre == best.completest.centre => {
                    vec![
                        place(
                            "highest contrast and most whole tiles",
                            &best.boldest,
                            units,
                        )
                        .into(),
                    ]
                }
                Some(best) => vec![
                    place("highest contrast", &best.boldest, units).into(),
                    place("most whole tiles", &best.completest, units).into(),
                ],
            };
            entry
        })
        .collect();
    if entries.is_empty() {
        return None;
    }
    entries.push(
        "Measured on the finished panel from its left and top edge. A small piece wants a jig or a \
         template with room for hands: never hold it by itself near a blade or a cutter."
            .into(),
    );
    Some(Section {
        title: "Cut to an object".to_owned(),
        entries,
    })
}

fn size(cutout: &Cutout, units: Units) -> String {
    match cutout.shape {
        Shape::Circle(diameter) => format!("{} across", units.length(diameter)),
        Shape::Rectangle(width, height) => {
            format!("{} x {}", units.length(width), units.length(height))
        }
    }
}

fn place(how: &str, window: &Window, units: Units) -> String {
    let bounds = window.shape.bounds(window.centre);
    format!(
        "{how}: middle {} from the left and {} from the top; left edge at {}, top edge at {}; {} tiles \
         whole, {} in part, {:.0} lines per 100 mm",
        units.length(window.centre.x),
        units.length(window.centre.y),
        units.length(bounds.min.x),
        units.length(bounds.min.y),
        window.whole,
        window.part,
        window.lines
    )
}

/// The objects of one panel for its drawing: each where it has the highest contrast.
pub fn outlined(cutouts: &[Cutout], panel: usize, units: Units) -> Vec<Outlined> {
    let own = cutouts.iter().filter(|c| c.panel == panel);
    own.filter_map(|cutout| {
        let window = cutout.best?.boldest;
        Some(Outlined {
            words: format!(
                "{}: middle {} from the left, {} from the top",
                cutout.name,
                units.length(window.centre.x),
                units.length(window.centre.y)
            ),
            window,
        })
    })
    .collect()
}

/// For other programs.
pub fn json<'a>(panels: &[&'a Panel], cutouts: &'a [Cutout]) -> Vec<JsonCutout<'a>> {
    let one = |cutout: &'a Cutout| JsonCutout {
        panel: &panels[cutout.panel].name,
        object: &cutout.name,
        boldest: cutout.best.map(|b| json_place(&b.boldest)),
        completest: cutout.best.map(|b| json_place(&b.completest)),
    };
    cutouts.iter().map(one).collect()
}

fn json_place(window: &Window) -> JsonPlace {
    let bounds = window.shape.bounds(window.centre);
    JsonPlace {
        x_mm: thousandth(window.centre.x),
        y_mm: thousandth(window.centre.y),
        left_mm: thousandth(bounds.min.x),
        top_mm: thousandth(bounds.min.y),
        width_mm: thousandth(bounds.width()),
        height_mm: thousandth(bounds.height()),
        whole_tiles: window.whole,
        part_tiles: window.part,
        lines_per_100_mm: thousandth(window.lines),
    }
}
