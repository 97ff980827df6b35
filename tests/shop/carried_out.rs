//! A plan carried out in the simulated shop, held against the panels of its recipe.

use plyloom::{
    layout::panel::Panel,
    plan::{Plan, Shop},
};

use crate::bench::{Fault, Seen, Shop as Simulated, near, same_picture};
use crate::fewest::fewest_moves;
use crate::told::Told;

/// What the simulated shop reads.
pub(crate) fn told(plan: &Plan) -> Told {
    let json = serde_json::to_string(&plan.steps).expect("steps as JSON");
    serde_json::from_str(&json).expect("steps as documented")
}

/// Carries the plan of some panels out, and holds what comes of it against them.
pub(crate) fn carried_out(panels: &[&Panel], shop: &Shop) -> Result<Simulated, Fault> {
    let plan = Plan::of(panels, shop).map_err(|e| format!("no plan: {e}"))?;
    let made = Simulated::carry_out(&told(&plan))?;
    if plan.count.short.is_empty() {
        agree(panels, &made)?;
    }
    Ok(made)
}

/// Holds the panels that were made against those of the recipe, tile by tile and layer by layer.
pub(crate) fn agree(panels: &[&Panel], made: &Simulated) -> Result<(), Fault> {
    if panels.len() != made.panels.len() {
        return Err(format!("{} panels of {}", made.panels.len(), panels.len()));
    }
    for (panel, laid) in panels.iter().zip(&made.panels) {
        if panel.tiles.len() != laid.len() {
            return Err(format!("{} tiles of {}", laid.len(), panel.tiles.len()));
        }
        for tile in &panel.tiles {
            let face = &panel.faces[tile.face as usize].face;
            let wanted: Vec<Seen> = (face.regions().iter())
                .map(|r| Seen {
                    colour: r.colour.to_string(),
                    section: (r.polygon.corners().iter())
                        .map(|c| (c.x + tile.at.x, c.y + tile.at.y))
                        .collect(),
                })
                .collect();
            let at = (tile.at.x, tile.at.y);
            let (_, seen) = (laid.iter())
                .find(|(t, _)| near(t.at, at))
                .ok_or_else(|| format!("no tile lies at {at:?}"))?;
            same_picture(&wanted, seen).map_err(|e| format!("the tile at {at:?}: {e}"))?;
        }
        fewest_moves(laid)?;
    }
    Ok(())
}
