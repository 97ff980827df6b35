//! The simulated shop: it carries out the steps of a plan one after the other with the wood that there
//! is, and stops at the first that cannot be done. It knows how a saw, glue and a knife work and
//! nothing of how plans are made.

use std::collections::{BTreeMap, BTreeSet};

use crate::pieces;
use crate::saw::{Allowed, Made};
use crate::section::{P, Section, coincide, each, least, mirrored, moved, width};
use crate::slats::trimmed;
use crate::told::{Band, Of, Piece, Step, Tile, Told, Work};

/// What went wrong, with the step.
pub(crate) type Fault = String;

/// A piece of one sheet.
#[derive(Debug, Clone)]
pub(crate) struct Wood {
    pub(crate) section: Section,
    pub(crate) layers: Vec<Band>,
    pub(crate) length: f64,
}

/// A coloured area at the end of a bar.
#[derive(Debug, Clone)]
pub(crate) struct Seen {
    pub(crate) colour: String,
    pub(crate) section: Section,
}

/// What a lot is in this shop.
#[derive(Debug, Clone)]
pub(crate) enum Thing {
    Wood(Wood),
    /// Or a loaf, which is as good as a bar of many colours.
    Bar {
        seen: Vec<Seen>,
        outline: Section,
        length: f64,
    },
    Tile {
        seen: Vec<Seen>,
        outline: Section,
        thickness: f64,
    },
    Panel {
        thickness: f64,
        seen: Vec<Seen>,
    },
}

/// A panel that was made.
#[derive(Debug)]
pub(crate) struct Laid {
    /// Its tiles, or slices of loaves, as they were laid.
    pub(crate) tiles: Vec<(Tile, Vec<Seen>)>,
    /// Whether it is one slice that was never laid: it lies anyhow.
    pub(crate) loose: bool,
}

/// The shop at work.
#[derive(Debug, Default)]
pub(crate) struct Shop {
    pub(crate) told: BTreeMap<String, Piece>,
    have: BTreeMap<String, (u64, Thing)>,
    pub(crate) laid: Vec<Tile>,
    /// Lots that are coated with glue.
    pub(crate) coated: BTreeSet<String>,
    pub(crate) panels: Vec<Laid>,
    /// Every board that was cut off another, lengthwise, to go on with: its step and width.
    pub(crate) cut_off: Vec<(usize, f64)>,
    /// Every pass of the table saw.
    pub(crate) passes: Vec<Made>,
}

impl Shop {
    /// Carries a plan out.
    pub(crate) fn carry_out(told: &Told) -> Result<Self, Fault> {
        Self::carry_out_with(told, &BTreeMap::new())
    }

    /// The same, with tiles and bars that lie on the rack: by the names of their lots.
    pub(crate) fn carry_out_with(
        told: &Told,
        rack: &BTreeMap<String, (u64, Thing)>,
    ) -> Result<Self, Fault> {
        let mut shop = Self::default();
        for piece in &told.pieces {
            if shop.told.insert(piece.id.clone(), piece.clone()).is_some() {
                return Err(format!("two lots are called {}", piece.id));
            }
        }
        for of in &told.fetch {
            if let Some((count, thing)) = rack.get(&of.piece) {
                if of.count > *count {
                    return Err(format!(
                        "{} of {} are fetched, {count} lie there",
                        of.count, of.piece
                    ));
                }
                shop.add(&of.piece, of.count, thing.clone());
                continue;
            }
            let wood = shop.as_told(&of.piece)?;
            if shop.told[&of.piece].kind != "board" {
                return Err(format!("{} is no board to fetch", of.piece));
            }
            shop.add(&of.piece, of.count, Thing::Wood(wood));
        }
        for (i, step) in told.steps.iter().enumerate() {
            if step.number != i + 1 {
                return Err(format!("step {} stands at place {}", step.number, i + 1));
            }
            shop.step(step)
                .map_err(|fault| format!("step {}: {fault}", step.number))?;
        }
        Ok(shop)
    }

    pub(crate) fn as_told(&self, id: &str) -> Result<Wood, Fault> {
        let piece = self.told.get(id).ok_or_else(|| format!("what is {id}?"))?;
        Ok(Wood {
            section: piece.section.clone(),
            layers: piece.layers.clone(),
            length: piece.length,
        })
    }

    pub(crate) fn add(&mut self, id: &str, count: u64, thing: Thing) {
        match self.have.get_mut(id) {
            Some((have, _)) => *have += count,
            None => {
                self.have.insert(id.to_owned(), (count, thing));
            }
        }
    }

    pub(crate) fn take(&mut self, of: &Of) -> Result<Thing, Fault> {
        let (have, thing) = self
            .have
            .get_mut(&of.piece)
            .ok_or_else(|| format!("there is no {}", of.piece))?;
        if *have < of.count {
            return Err(format!(
                "{} of {} are wanted, {have} are there",
                of.count, of.piece
            ));
        }
        *have -= of.count;
        Ok(thing.clone())
    }

    pub(crate) fn take_wood(&mut self, of: &Of) -> Result<Wood, Fault> {
        match self.take(of)? {
            Thing::Wood(wood) => Ok(wood),
            _ => Err(format!("{} is no plain wood", of.piece)),
        }
    }

    /// Puts wood into a lot, which must be as the plan tells of it.
    pub(crate) fn give(&mut self, id: &str, count: u64, wood: &Wood) -> Result<(), Fault> {
        let told = self.as_told(id)?;
        if !alike(&told, wood) {
            return Err(format!(
                "{id} comes out as {:?}, length {:.3}; told is {:?}, length {:.3}",
                settled(&wood.section),
                wood.length,
                told.section,
                told.length
            ));
        }
        // From here on it lies as its lot is told: a piece that is alike can be turned so.
        self.add(id, count, Thing::Wood(told));
        Ok(())
    }

    fn step(&mut self, step: &Step) -> Result<(), Fault> {
        match &step.work {
            Work::Trial {} => Ok(()),
            Work::Crosscut { length, kerf } | Work::CrosscutStrips { length, kerf } => {
                self.crosscut(step, *length, *kerf)
            }
            Work::CutVeneer { width, length } => {
                for of in &step.gives {
                    let told = self.as_told(&of.piece)?;
                    let section = rectangle(*width, told.layers.iter().map(|l| l.thickness).sum());
                    let wood = Wood {
                        section,
                        length: *length,
                        ..told
                    };
                    self.give(&of.piece, of.count, &wood)?;
                }
                Ok(())
            }
            Work::Press { stack, overhang } => self.press(step, stack, *overhang),
            Work::Coat {} => {
                self.coated
                    .extend(step.takes.iter().map(|of| of.piece.clone()));
                self.unchanged(step)
            }
            Work::Iron { stack, overhang } => self.iron(step, stack, *overhang),
            Work::Rip {
                purpose,
                tilt,
                bed,
                kerf,
                work,
                rounds,
                left,
            } => {
                self.rip(step, [*tilt, *bed], *kerf, work, rounds, left)?;
                if purpose == "width" {
                    self.cut_off(step);
                }
                Ok(())
            }
            Work::GlueBar { parts } => self.glue_bar(step, parts),
            Work::GlueLoaf { bars } => self.glue_loaf(step, bars),
            Work::Clean {} => self.unchanged(step),
            Work::Mark { corners } => self.mark(step, *corners),
            Work::Slice {
                thickness,
                kerf,
                slices,
                end,
            } => self.slice(step, *thickness, *kerf, *slices, *end),
            Work::LayDry { tiles } => self.lay(step, tiles),
            Work::Glue { assemblies } => self.glue(step, assemblies),
            Work::Flatten { from, to } => self.flatten(step, *from, *to),
            Work::Trim { outline } => {
                let panel = self.take(&step.takes[0])?;
                if outline.len() < 3 {
                    return Err("trimmed to no outline".to_owned());
                }
                self.one(step, trimmed(panel, outline))
            }
            Work::RipPanel {
                across,
                width,
                kerf,
                slats,
            } => self.rip_panel(step, *across, [*width, *kerf], slats),
            Work::CutOut { pieces, kerf } => {
                if step.gives.len() != pieces.len() || *kerf <= 0.0 {
                    return Err(format!(
                        "{} pieces, of which {} are kept",
                        pieces.len(),
                        step.gives.len()
                    ));
                }
                pieces::apart(pieces, *kerf)?;
                let panel = self.take(&step.takes[0])?;
                for of in &step.gives {
                    self.add(&of.piece, of.count, panel.clone());
                }
                Ok(())
            }
            Work::PutBack => {
                for of in &step.takes {
                    self.take_wood(of)?;
                }
                Ok(())
            }
        }
    }

    /// What is taken is given back as it was.
    fn unchanged(&mut self, step: &Step) -> Result<(), Fault> {
        for (of, to) in step.takes.iter().zip(&step.gives) {
            if of.piece != to.piece || of.count != to.count {
                return Err("nothing changes its name here".to_owned());
            }
            let thing = self.take(of)?;
            self.add(&of.piece, of.count, thing);
        }
        Ok(())
    }

    fn mark(&mut self, step: &Step, (a, b): (usize, usize)) -> Result<(), Fault> {
        let outline = &self.told[&step.takes[0].piece].section;
        if a == b || a.max(b) >= outline.len() {
            return Err("the pencil lines run along no two corners".to_owned());
        }
        self.unchanged(step)
    }

    pub(crate) fn one(&mut self, step: &Step, thing: Thing) -> Result<(), Fault> {
        let [of] = &step.gives[..] else {
            return Err("one piece comes of this".to_owned());
        };
        self.add(&of.piece, of.count, thing);
        Ok(())
    }

    fn cut_off(&mut self, step: &Step) {
        let boards = step.gives.iter().map(|of| &self.told[&of.piece]);
        let widths = boards
            .filter(|b| b.kind != "rest")
            .map(|b| width(&b.section));
        self.cut_off.extend(widths.map(|wide| (step.number, wide)));
    }

    /// What is not safe about boards and passes.
    pub(crate) fn unsafe_for(&self, allowed: Allowed) -> impl Iterator<Item = Fault> {
        let boards = self
            .cut_off
            .iter()
            .filter(move |(_, wide)| *wide < allowed.board - 1e-6);
        let boards =
            boards.map(|(step, wide)| format!("step {step}: a board of {wide:.1} mm is cut off"));
        boards.chain(
            self.passes
                .iter()
                .filter_map(move |pass| pass.unsafe_for(allowed)),
        )
    }
}

pub(crate) fn rectangle(wide: f64, high: f64) -> Section {
    vec![(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
}

fn settled(s: &[P]) -> Section {
    moved(s, -least(s, |p| p.0), 0.0)
}

/// Whether two pieces are one and the same kind: turned end for end they show the mirror image, and
/// where their layers read the same from both sides they may be turned over.
pub(crate) fn alike(a: &Wood, b: &Wood) -> bool {
    let depth: f64 = a.layers.iter().map(|l| l.thickness).sum();
    let same_layers = |x: &[Band], y: &[Band], back: bool| {
        let even =
            |l: &Band, m: &Band| l.colour == m.colour && (l.thickness - m.thickness).abs() < 1e-6;
        x.len() == y.len()
            && if back {
                x.iter().zip(y.iter().rev()).all(|(l, m)| even(l, m))
            } else {
                x.iter().zip(y).all(|(l, m)| even(l, m))
            }
    };
    if (a.length - b.length).abs() > 1e-3 {
        return false;
    }
    let over = |s: &[P]| each(s, |p| (p.0, depth - p.1));
    let to = settled(&a.section);
    [(false, b.section.clone()), (true, over(&b.section))]
        .into_iter()
        .filter(|(back, _)| same_layers(&a.layers, &b.layers, *back))
        .any(|(_, s)| coincide(&to, &settled(&s)) || coincide(&to, &settled(&mirrored(&s))))
}
