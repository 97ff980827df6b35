//! Slicing, laying and gluing panels in the simulated shop.

use std::collections::BTreeMap;

use crate::bench::{Fault, Laid, Seen, Shop, Thing};
use crate::section::{P, Section, least, middle, mirrored, moved, turned};
use crate::told::{Assembly, Step, Tile};

impl Shop {
    pub(crate) fn slice(
        &mut self,
        step: &Step,
        thickness: f64,
        kerf: f64,
        slices: u64,
        end: f64,
    ) -> Result<(), Fault> {
        let ([of], [to]) = (&step.takes[..], &step.gives[..]) else {
            return Err("one lot of bars is sliced".to_owned());
        };
        let Thing::Bar {
            seen,
            outline,
            length,
        } = self.take(of)?
        else {
            return Err(format!("{} is no bar", of.piece));
        };
        let n = slices as f64;
        let used = n * thickness + (n - 1.0) * kerf;
        if used + end > length + 1e-3 || slices == 0 {
            return Err(format!(
                "{slices} slices and {end:.3} take more than {length:.3} mm"
            ));
        }
        if to.count != slices * of.count {
            return Err(format!("{} slices of {} bars", to.count, of.count));
        }
        let tile = Thing::Tile {
            seen,
            outline,
            thickness,
        };
        self.add(&to.piece, to.count, tile);
        Ok(())
    }

    pub(crate) fn lay(&mut self, step: &Step, tiles: &[Tile]) -> Result<(), Fault> {
        for of in &step.takes {
            let thing = self.take(of)?;
            let laid = tiles.iter().filter(|t| t.piece == of.piece).count() as u64;
            if laid != of.count {
                return Err(format!(
                    "{laid} of {} are laid, {} are taken",
                    of.piece, of.count
                ));
            }
            self.add(&of.piece, of.count, thing);
        }
        for pair in tiles.windows(2) {
            let (a, b) = (&pair[0], &pair[1]);
            let next = (a.course, a.number + a.tiles) == (b.course, b.number);
            let fresh = (a.course + 1, 1) == (b.course, b.number);
            if !next && !fresh {
                return Err(format!(
                    "{}-{} follows {}-{}",
                    b.course, b.number, a.course, a.number
                ));
            }
        }
        self.laid = tiles.to_vec();
        Ok(())
    }

    pub(crate) fn glue(&mut self, step: &Step, assemblies: &[Assembly]) -> Result<(), Fault> {
        let tiles: u64 = assemblies.iter().map(|a| a.tiles).sum();
        let laid: u64 = self.laid.iter().map(|t| u64::from(t.tiles)).sum();
        if tiles != laid {
            return Err(format!("{tiles} tiles are glued, {laid} are laid"));
        }
        let mut thickness = 0.0_f64;
        let mut seen = BTreeMap::new();
        for of in &step.takes {
            match self.take(of)? {
                Thing::Tile {
                    seen: s,
                    outline,
                    thickness: t,
                } => {
                    thickness = thickness.max(t);
                    seen.insert(of.piece.clone(), (s, outline));
                }
                _ => return Err(format!("{} is no tile", of.piece)),
            }
        }
        let laid = std::mem::take(&mut self.laid);
        let placed = laid.into_iter().map(|tile| {
            let (s, outline) = seen
                .get(&tile.piece)
                .ok_or("a tile is laid that is not taken")?;
            let placed = place(&tile, s, outline);
            Ok((tile, placed))
        });
        let placed: Vec<(Tile, Vec<Seen>)> = placed.collect::<Result<_, Fault>>()?;
        let seen = placed.iter().flat_map(|(_, seen)| seen.clone()).collect();
        self.panels.push(Laid {
            tiles: placed,
            loose: false,
        });
        self.one(step, Thing::Panel { thickness, seen })
    }

    pub(crate) fn flatten(&mut self, step: &Step, from: f64, to: f64) -> Result<(), Fault> {
        let [of] = &step.takes[..] else {
            return Err("one panel is flattened at a time".to_owned());
        };
        let (thickness, seen) = match self.take(of)? {
            Thing::Panel { thickness, seen } => (thickness, seen),
            // A slice that is a panel.
            Thing::Tile {
                seen,
                outline,
                thickness,
            } if self.told[&of.piece].kind == "slice" => {
                let (x, y) = middle(&outline);
                // Its corner is where the map begins.
                let at = (x - least(&outline, |p| p.0), y - least(&outline, |p| p.1));
                let only = Tile::loose(&of.piece, at);
                let placed = place(&only, &seen, &outline);
                self.panels.push(Laid {
                    tiles: vec![(only, placed.clone())],
                    loose: true,
                });
                (thickness, placed)
            }
            other => return Err(format!("{other:?} is no panel")),
        };
        if (thickness - from).abs() > 1e-6 || to > from {
            return Err(format!("{from} mm are flattened, there are {thickness}"));
        }
        let thickness = to;
        self.one(step, Thing::Panel { thickness, seen })
    }
}

/// A section about a middle, mirrored where it is flipped, turned, and moved to a place.
pub(crate) fn in_place(s: &[P], (x, y): P, (flip, turn): (bool, f64), at: P) -> Section {
    let own = moved(s, -x, -y);
    let own = if flip { mirrored(&own) } else { own };
    moved(&turned(&own, turn), at.0, at.1)
}

/// A tile in its place: its own middle is what is placed.
fn place(tile: &Tile, seen: &[Seen], outline: &[P]) -> Vec<Seen> {
    let centre = middle(outline);
    seen.iter()
        .map(|s| Seen {
            section: in_place(&s.section, centre, (tile.flip, tile.turn), tile.at),
            ..s.clone()
        })
        .collect()
}
