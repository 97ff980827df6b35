//! A plan carried out in the simulated shop, held against the panels of its recipe.

use plyloom::{
    geom::Polygon,
    layout::panel::Panel,
    plan::{Plan, Shop, count::BoardLine},
};

use crate::bench::{Fault, Laid, Seen, Shop as Simulated, Thing, Wood};
use crate::fewest::fewest_moves;
use crate::section::{P, SAME, area, coincide, each, least, middle, mirrored, moved, turned};
use crate::told::{Tile, Told};

/// What the simulated shop reads.
pub(crate) fn told(plan: &Plan) -> Told {
    let json = serde_json::to_string(&plan.steps).expect("steps as JSON");
    serde_json::from_str(&json).expect("steps as documented")
}

/// Carries the plan of some panels out, and holds what comes of it against them.
pub(crate) fn carried_out(panels: &[&Panel], shop: &Shop) -> Result<Simulated, Fault> {
    let plan = Plan::of(panels, shop).map_err(|e| format!("no plan: {e}"))?;
    carried_out_plan(panels, &plan)
}

/// Carries a plan of some panels out, and holds what comes of it against them.
pub(crate) fn carried_out_plan(panels: &[&Panel], plan: &Plan) -> Result<Simulated, Fault> {
    let made = Simulated::carry_out(&told(plan))?;
    let as_drawn = |line: &BoardLine| line.other_thickness.is_none();
    if plan.count.short.is_empty() && plan.count.boards.iter().all(as_drawn) {
        agree(panels, &made, 1.0)?;
    }
    Ok(made)
}

/// Carries the plan of some panels out with boards that make all so much larger than drawn.
pub(crate) fn carried_out_scaled(panels: &[&Panel], shop: &Shop, scale: f64) -> Result<(), Fault> {
    let plan = Plan::of(panels, shop).map_err(|e| format!("no plan: {e}"))?;
    agree(panels, &Simulated::carry_out(&told(&plan))?, scale)
}

/// Carries a plan of some panels out with tiles, bars and strips that lie on the rack, each as the recipe has it.
pub(crate) fn carried_out_from_rack(
    panels: &[&Panel],
    plan: &Plan,
    rack: &[(&str, u64, f64)],
) -> Result<(), Fault> {
    let told = told(plan);
    let faces = || panels.iter().flat_map(|p| &p.faces);
    let of = |&(lot, count, length): &(&str, u64, f64)| {
        let (kind, name) = lot.split_once(' ').expect("a tile, a bar or a strip");
        if kind == "strip" {
            let piece = told.pieces.iter().find(|piece| piece.id == name);
            let piece = piece.expect("a strip that the plan tells of");
            let wood = Wood {
                section: piece.section.clone(),
                layers: piece.layers.clone(),
                length,
            };
            return (name.to_owned(), (count, Thing::Wood(wood)));
        }
        let face = faces().find(|f| f.kind.name() == name);
        let face = face.expect("a kind of tile").kind.face();
        let section = |p: &Polygon| p.corners().iter().map(|c| (c.x, c.y)).collect();
        let seen = face.regions().iter().map(|r| Seen {
            colour: r.colour.to_string(),
            section: section(&r.polygon),
        });
        let (seen, outline) = (seen.collect(), section(face.outline()));
        let thing = match kind {
            "bar" => Thing::Bar {
                seen,
                outline,
                length,
            },
            _ => Thing::Tile {
                seen,
                outline,
                thickness: length,
            },
        };
        (lot.to_owned(), (count, thing))
    };
    let made = Simulated::carry_out_with(&told, &rack.iter().map(of).collect())?;
    agree(panels, &made, 1.0)
}

/// Carries steps out as they are in JSON, and holds what comes of them against some panels.
pub(crate) fn carried_out_as(panels: &[&Panel], steps: &serde_json::Value) -> Result<(), Fault> {
    let told = serde_json::from_value(steps.clone()).map_err(|e| e.to_string())?;
    agree(panels, &Simulated::carry_out(&told)?, 1.0)
}

/// Holds the panels that were made against those of the recipe, layer by layer, all so much larger than drawn.
fn agree(panels: &[&Panel], made: &Simulated, scale: f64) -> Result<(), Fault> {
    if panels.len() != made.panels.len() {
        return Err(format!("{} panels of {}", made.panels.len(), panels.len()));
    }
    for (panel, laid) in panels.iter().zip(&made.panels) {
        let wanted = wanted(panel);
        if laid.loose {
            any_way_up(&wanted, laid)?;
            continue;
        }
        let tiles: u64 = laid.tiles.iter().map(|(t, _)| u64::from(t.tiles)).sum();
        if panel.tiles.len() as u64 != tiles {
            return Err(format!("{tiles} tiles of {}", panel.tiles.len()));
        }
        let as_drawn = |(tile, seen): &(Tile, Vec<Seen>)| {
            let at = tile.at;
            let drawn = |p: P| (at.0 + (p.0 - at.0) / scale, at.1 + (p.1 - at.1) / scale);
            let of = move |s: &Seen| Seen {
                section: each(&s.section, drawn),
                ..s.clone()
            };
            seen.iter().map(of).collect::<Vec<_>>()
        };
        let seen: Vec<Seen> = laid.tiles.iter().flat_map(as_drawn).collect();
        one_picture(&wanted, &seen)?;
        fewest_moves(&laid.tiles)?;
    }
    Ok(())
}

/// What the recipe shows.
fn wanted(panel: &Panel) -> Vec<Seen> {
    let tiles = panel.tiles.iter().flat_map(|tile| {
        let regions = panel.faces[tile.face as usize].face.regions().iter();
        regions.map(|r| Seen {
            colour: r.colour.to_string(),
            section: (r.polygon.corners().iter())
                .map(|c| (c.x + tile.at.x, c.y + tile.at.y))
                .collect(),
        })
    });
    tiles.collect()
}

/// A panel that was never laid can be turned half round or over.
fn any_way_up(wanted: &[Seen], laid: &Laid) -> Result<(), Fault> {
    let settled = |seen: Vec<Seen>| {
        let of = |f: fn(&P) -> f64| {
            seen.iter()
                .map(|s| least(&s.section, f))
                .fold(f64::INFINITY, f64::min)
        };
        let (x, y) = (of(|p| p.0), of(|p| p.1));
        let at = |s: Seen| Seen {
            section: moved(&s.section, -x, -y),
            ..s
        };
        seen.into_iter().map(at).collect::<Vec<_>>()
    };
    let wanted = settled(wanted.to_vec());
    let mut said = Err("nothing is seen".to_owned());
    for (flip, turn) in [(false, 0.0), (false, 180.0), (true, 0.0), (true, 180.0)] {
        let seen = laid.tiles.iter().flat_map(|(_, seen)| seen).map(|s| {
            let own = if flip {
                mirrored(&s.section)
            } else {
                s.section.clone()
            };
            Seen {
                section: turned(&own, turn),
                ..s.clone()
            }
        });
        said = one_picture(&wanted, &settled(seen.collect()));
        if said.is_ok() {
            return said;
        }
    }
    said
}

/// An area, in square mm, that no saw leaves whole.
const DUST: f64 = 0.01;

/// Whether two pictures are one: every area of one has its like in the other.
fn one_picture(wanted: &[Seen], seen: &[Seen]) -> Result<(), Fault> {
    // What a saw leaves of less than that is dust.
    let wood = |s: &&Seen| area(&s.section) > DUST;
    // Those that can be alike have their middles at one place: they are found by how far right that is.
    let mut by_right: Vec<(f64, &Seen, bool)> = (seen.iter().filter(wood))
        .map(|s| (middle(&s.section).0, s, false))
        .collect();
    by_right.sort_by(|a, b| a.0.total_cmp(&b.0));
    for want in wanted.iter().filter(wood) {
        let right = middle(&want.section).0;
        let from = by_right.partition_point(|(x, ..)| *x < right - SAME);
        let near = by_right[from..]
            .iter_mut()
            .take_while(|(x, ..)| *x < right + SAME);
        let like = |(_, s, taken): &&mut (f64, &Seen, bool)| {
            !*taken && s.colour == want.colour && coincide(&s.section, &want.section)
        };
        match near.into_iter().find(like) {
            Some((.., taken)) => *taken = true,
            None => {
                return Err(format!(
                    "{} at {:?} is not there",
                    want.colour, want.section
                ));
            }
        }
    }
    match by_right.iter().find(|(.., taken)| !taken) {
        Some((_, s, _)) => Err(format!("{} at {:?} is one too many", s.colour, s.section)),
        None => Ok(()),
    }
}
