//! Ripping in the simulated shop: pass after pass, with what becomes of both parts.

use std::collections::BTreeMap;

use crate::bench::{Fault, Shop, Wood};
use crate::saw::{made, saw};
use crate::section::Section;
use crate::told::{Becomes, Round, Set, Step};

impl Shop {
    pub(crate) fn rip(
        &mut self,
        step: &Step,
        [tilt, bed]: [f64; 2],
        kerf: f64,
        work: &str,
        rounds: &[Round],
        left: &Becomes,
    ) -> Result<(), Fault> {
        let [of] = &step.takes[..] else {
            return Err("one lot is ripped at a time".to_owned());
        };
        if of.piece != work {
            return Err(format!("{work} is ripped, {} is taken", of.piece));
        }
        let wood = self.take_wood(of)?;
        let mut on = Some(wood.section.clone());
        let mut given: BTreeMap<String, u64> = BTreeMap::new();
        let mut put = |shop: &mut Self, id: &str, section: Section| {
            *given.entry(id.to_owned()).or_default() += of.count;
            shop.give(
                id,
                of.count,
                &Wood {
                    section,
                    ..wood.clone()
                },
            )
        };
        for pass in rounds
            .iter()
            .flat_map(|r| (0..r.times).flat_map(|_| &r.passes))
        {
            let section = on.take().ok_or("there is nothing left to saw")?;
            if bed > 0.0 && !matches!(pass.set, Set::Ledge(_)) {
                return Err("a bed that leans has a ledge".to_owned());
            }
            // On a leaning bed the cut leans by both.
            let sawn = saw(&section, tilt + bed, kerf, pass)?;
            self.passes.push(made(step, tilt, &sawn, pass, wood.length));
            for (what, piece) in [
                (&pass.inboard, sawn.inboard),
                (&pass.outboard, sawn.outboard),
            ] {
                match what {
                    Becomes::Waste => {}
                    Becomes::Work if piece.is_empty() => {}
                    Becomes::Work => on = Some(piece),
                    Becomes::Piece(id) if piece.is_empty() => {
                        return Err(format!("{id} is nothing but dust"));
                    }
                    Becomes::Piece(id) => put(self, id, piece)?,
                }
            }
        }
        match (left, on) {
            (Becomes::Piece(id), Some(section)) => put(self, id, section)?,
            (Becomes::Piece(id), None) => return Err(format!("nothing is left for {id}")),
            _ => {}
        }
        for to in &step.gives {
            if given.remove(&to.piece) != Some(to.count) {
                return Err(format!("{} of {} do not come of it", to.count, to.piece));
            }
        }
        match given.first_key_value() {
            Some((id, count)) => Err(format!("{count} of {id} are not told of")),
            None => Ok(()),
        }
    }
}
