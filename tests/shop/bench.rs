//! The simulated shop: it carries out the steps of a plan one after the other with the wood that there
//! is, and stops at the first that cannot be done. It knows how a saw, glue and a knife work and
//! nothing of how plans are made.
//!

use std::collections::{BTreeMap, BTreeSet};

use crate::saw::{Made, made, saw};
use crate::section::{
    P, SAME, Section, area, coincide, common, cut, each, least, middle, mirrored, most, moved,
    turned, width,
};
use crate::told::{
    Assembly, Band, Becomes, FaceIs, Of, Part, Piece, Round, Set, Step, Tile, Told, Work,
};

/// What went wrong, with the step.
pub(crate) type Fault = String;

/// A piece of one sheet.
#[derive(Debug, Clone)]
struct Wood {
    section: Section,
    layers: Vec<Band>,
    length: f64,
}

/// A coloured area at the end of a bar.
#[derive(Debug, Clone)]
pub(crate) struct Seen {
    pub(crate) colour: String,
    pub(crate) section: Section,
}

/// What a lot is in this shop.
#[derive(Debug, Clone)]
enum Thing {
    Wood(Wood),
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
    },
}

/// The shop at work.
#[derive(Debug, Default)]
pub(crate) struct Shop {
    told: BTreeMap<String, Piece>,
    have: BTreeMap<String, (u64, Thing)>,
    laid: Vec<Tile>,
    /// Lots that are coated with glue.
    coated: BTreeSet<String>,
    /// The tiles of each panel, as they were laid.
    pub(crate) panels: Vec<Vec<(Tile, Vec<Seen>)>>,
    /// Every pass of the table saw.
    pub(crate) passes: Vec<Made>,
}

impl Shop {
    /// Carries a plan out.
    pub(crate) fn carry_out(told: &Told) -> Result<Self, Fault> {
        let mut shop = Self::default();
        for piece in &told.pieces {
            if shop.told.insert(piece.id.clone(), piece.clone()).is_some() {
                return Err(format!("two lots are called {}", piece.id));
            }
        }
        for of in &told.fetch {
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

    fn as_told(&self, id: &str) -> Result<Wood, Fault> {
        let piece = self.told.get(id).ok_or_else(|| format!("what is {id}?"))?;
        Ok(Wood {
            section: piece.section.clone(),
            layers: piece.layers.clone(),
            length: piece.length,
        })
    }

    fn add(&mut self, id: &str, count: u64, thing: Thing) {
        match self.have.get_mut(id) {
            Some((have, _)) => *have += count,
            None => {
                self.have.insert(id.to_owned(), (count, thing));
            }
        }
    }

    fn take(&mut self, of: &Of) -> Result<Thing, Fault> {
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

    fn take_wood(&mut self, of: &Of) -> Result<Wood, Fault> {
        match self.take(of)? {
            Thing::Wood(wood) => Ok(wood),
            _ => Err(format!("{} is no plain wood", of.piece)),
        }
    }

    /// Puts wood into a lot, which must be as the plan tells of it.
    fn give(&mut self, id: &str, count: u64, wood: &Wood) -> Result<(), Fault> {
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
                tilt,
                bed,
                kerf,
                work,
                rounds,
                left,
            } => self.rip(step, [*tilt, *bed], *kerf, work, rounds, left),
            Work::GlueBar { parts } => self.glue_bar(step, parts),
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
            Work::Flatten { from, to } => match self.take(&step.takes[0])? {
                Thing::Panel { thickness } if (thickness - from).abs() < 1e-6 && to <= from => {
                    self.one(step, Thing::Panel { thickness: *to })
                }
                other => Err(format!("{from} mm are flattened, there is {other:?}")),
            },
            Work::Trim { outline } => {
                let panel = self.take(&step.takes[0])?;
                if outline.len() < 3 {
                    return Err("trimmed to no outline".to_owned());
                }
                self.one(step, panel)
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

    fn glue(&mut self, step: &Step, assemblies: &[Assembly]) -> Result<(), Fault> {
        let tiles: u64 = assemblies.iter().map(|a| a.tiles).sum();
        if tiles != self.laid.len() as u64 {
            return Err(format!(
                "{tiles} tiles are glued, {} are laid",
                self.laid.len()
            ));
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
        let placed: Result<Vec<_>, Fault> = placed.collect();
        self.panels.push(placed?);
        self.one(step, Thing::Panel { thickness })
    }

    fn one(&mut self, step: &Step, thing: Thing) -> Result<(), Fault> {
        let [of] = &step.gives[..] else {
            return Err("one piece comes of this".to_owned());
        };
        self.add(&of.piece, of.count, thing);
        Ok(())
    }

    /// Pieces are cut across: what comes off a piece is no longer than it, cuts included.
    fn crosscut(&mut self, step: &Step, length: f64, kerf: f64) -> Result<(), Fault> {
        let mut open: Vec<(u64, f64, Wood)> = Vec::new();
        for of in &step.takes {
            let wood = self.take_wood(of)?;
            open.push((of.count, wood.length + kerf, wood));
        }
        // Each single piece with what is still left of it.
        let mut pieces: Vec<(f64, &Wood)> = (open.iter())
            .flat_map(|(count, long, wood)| (0..*count).map(move |_| (*long, wood)))
            .collect();
        let mut wanted: Vec<(f64, String)> = Vec::new();
        for of in &step.gives {
            let told = self.as_told(&of.piece)?;
            wanted.extend((0..of.count).map(|_| (told.length, of.piece.clone())));
        }
        wanted.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut given = Vec::new();
        for (long, id) in wanted {
            let told = self.as_told(&id)?;
            let fits = |(left, wood): &&mut (f64, &Wood)| {
                *left + 1e-6 >= long + kerf
                    && alike(
                        &told,
                        &Wood {
                            length: long,
                            ..(*wood).clone()
                        },
                    )
            };
            let Some((left, wood)) = pieces.iter_mut().find(fits) else {
                return Err(format!("nothing long enough is left for {id} of {long} mm"));
            };
            *left -= long + kerf;
            given.push((
                id,
                Wood {
                    length: long,
                    ..(*wood).clone()
                },
            ));
        }
        if !given.iter().any(|(_, w)| (w.length - length).abs() < 1e-6) {
            return Err(format!("nothing of {length} mm is cut"));
        }
        for (id, wood) in given {
            self.give(&id, 1, &wood)?;
        }
        Ok(())
    }

    fn press(&mut self, step: &Step, stack: &[String], overhang: f64) -> Result<(), Fault> {
        let [to] = &step.gives[..] else {
            return Err("one lot of sheets comes of a press".to_owned());
        };
        let mut parts = BTreeMap::new();
        for of in &step.takes {
            let in_stack = stack.iter().filter(|id| **id == of.piece).count() as u64;
            if in_stack * to.count != of.count {
                return Err(format!(
                    "{} of {} go into {} sheets",
                    of.count, of.piece, to.count
                ));
            }
            parts.insert(of.piece.clone(), self.take_wood(of)?);
        }
        let of_stack: Vec<(&str, &Wood)> = (stack.iter())
            .map(|id| parts.get(id).map(|w| (self.told[id].kind.as_str(), w)))
            .collect::<Option<_>>()
            .ok_or("the stack has what is not taken")?;
        let boards = || {
            of_stack
                .iter()
                .filter(|(kind, _)| *kind != "veneer")
                .map(|(_, w)| *w)
        };
        let wide = boards()
            .map(|w| width(&w.section))
            .fold(f64::INFINITY, f64::min);
        let long = boards().map(|w| w.length).fold(f64::INFINITY, f64::min);
        for (_, w) in of_stack.iter().filter(|(kind, _)| *kind == "veneer") {
            let stands = (width(&w.section) - wide).min(w.length - long) / 2.0;
            if stands + 1e-6 < overhang || stands < 0.0 {
                return Err(format!("a veneer stands out by {stands:.3} mm"));
            }
        }
        let layers: Vec<Band> = of_stack
            .iter()
            .flat_map(|(_, w)| w.layers.clone())
            .collect();
        let depth = layers.iter().map(|l| l.thickness).sum();
        let wood = Wood {
            section: rectangle(wide, depth),
            layers,
            length: long,
        };
        self.give(&to.piece, to.count, &wood)
    }

    /// Glue that was not put on holds nothing, and an iron reaches through veneers only.
    fn iron(&mut self, step: &Step, stack: &[String], overhang: f64) -> Result<(), Fault> {
        if let Some(bare) = stack.iter().find(|id| !self.coated.contains(*id)) {
            return Err(format!("{bare} has no glue on it"));
        }
        let boards = stack.iter().filter(|id| self.told[*id].kind != "veneer");
        if boards.count() != 1 {
            return Err("veneers are ironed onto one board".to_owned());
        }
        self.press(step, stack, overhang)
    }

    fn rip(
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

    fn glue_bar(&mut self, step: &Step, parts: &[Part]) -> Result<(), Fault> {
        let [to] = &step.gives[..] else {
            return Err("one lot of bars comes of it".to_owned());
        };
        let bar = self.told.get(&to.piece).cloned().ok_or("what bar?")?;
        let mut strips: Vec<(u64, Wood)> = Vec::new();
        for of in &step.takes {
            let wood = self.take_wood(of)?;
            if wood.length + 1e-6 < bar.length {
                return Err(format!("{} is shorter than the bar", of.piece));
            }
            strips.push((of.count, wood));
        }
        let mut seen: Vec<Seen> = Vec::new();
        let mut outlines: Vec<Section> = Vec::new();
        let mut faces: Vec<Option<Section>> = Vec::new();
        for part in parts {
            let wood = self.as_told(&part.piece)?;
            let mut open = to.count;
            for (have, strip) in &mut strips {
                if alike(
                    &Wood {
                        length: strip.length,
                        ..wood.clone()
                    },
                    strip,
                ) {
                    let take = open.min(*have);
                    *have -= take;
                    open -= take;
                }
            }
            if open > 0 {
                return Err(format!("{open} of {} are missing in the bars", part.piece));
            }
            let lay = |s: &[P]| {
                let s = if part.end_for_end {
                    mirrored(s)
                } else {
                    s.to_vec()
                };
                moved(&turned(&s, part.roll), part.shift.0, part.shift.1)
            };
            faces.push(face_at(&wood.section).map(|speck| lay(&speck)));
            seen.extend(bands(&wood).into_iter().map(|s| Seen {
                section: lay(&s.section),
                ..s
            }));
            outlines.push(lay(&wood.section));
        }
        if let Some((count, _)) = strips.iter().find(|(count, _)| *count > 0) {
            return Err(format!("{count} strips are over"));
        }
        for (i, a) in outlines.iter().enumerate() {
            for b in &outlines[i + 1..] {
                let both = common(a, b);
                if both > 1.0 {
                    return Err(format!("two parts of a bar share {both:.3} mm2"));
                }
            }
        }
        for (part, beyond) in parts.iter().zip(&faces) {
            let told = &part.face;
            let by = beyond.as_ref().map(|beyond| {
                let at = outlines.iter().position(|o| common(beyond, o) > 1e-3);
                at.map_or(FaceIs::Out, |at| FaceIs::At(at + 1))
            });
            let face = by.unwrap_or(FaceIs::Gone);
            if *told != face {
                return Err(format!("a face is told as {told:?} and is {face:?}"));
            }
        }
        let all: f64 = outlines.iter().map(|o| area(o)).sum();
        if (all - area(&bar.section)).abs() > 1e-3 * all {
            return Err(format!(
                "the parts are {all:.3} mm2, the bar {:.3}",
                area(&bar.section)
            ));
        }
        let thing = Thing::Bar {
            seen,
            outline: bar.section,
            length: bar.length,
        };
        self.add(&to.piece, to.count, thing);
        Ok(())
    }

    fn slice(
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

    fn lay(&mut self, step: &Step, tiles: &[Tile]) -> Result<(), Fault> {
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
            let next = (a.course, a.number + 1) == (b.course, b.number);
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
}

fn rectangle(wide: f64, high: f64) -> Section {
    vec![(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
}

fn settled(s: &[P]) -> Section {
    moved(s, -least(s, |p| p.0), 0.0)
}

/// Whether two pieces are one and the same kind: turned end for end they show the mirror image, and
/// where their layers read the same from both sides they may be turned over.
fn alike(a: &Wood, b: &Wood) -> bool {
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

/// A speck of air just beyond the middle of a piece's face, where it has one.
fn face_at(section: &[P]) -> Option<Section> {
    let on_face: Section = section.iter().copied().filter(|p| p.1 < 1e-3).collect();
    let (a, b) = (least(&on_face, |p| p.0), most(&on_face, |p| p.0));
    (b - a > 0.25).then(|| {
        let x = f64::midpoint(a, b);
        vec![
            (x - 0.05, -0.15),
            (x + 0.05, -0.15),
            (x + 0.05, -0.25),
            (x - 0.05, -0.25),
        ]
    })
}

/// The layers of a piece as they are seen at its end.
fn bands(wood: &Wood) -> Vec<Seen> {
    let mut from = 0.0;
    let mut all = Vec::new();
    for layer in &wood.layers {
        let to = from + layer.thickness;
        let below = cut(&wood.section, |p| p.1 - from);
        let section = if below.is_empty() {
            below
        } else {
            cut(&below, |p| to - p.1)
        };
        if !section.is_empty() {
            all.push(Seen {
                colour: layer.colour.clone(),
                section,
            });
        }
        from = to;
    }
    all
}

/// A tile in its place: its own middle is what is placed.
fn place(tile: &Tile, seen: &[Seen], outline: &[P]) -> Vec<Seen> {
    let (x, y) = middle(outline);
    seen.iter()
        .map(|s| {
            let own = moved(&s.section, -x, -y);
            let own = if tile.flip { mirrored(&own) } else { own };
            let section = moved(&turned(&own, tile.turn), tile.at.0, tile.at.1);
            Seen {
                section,
                ..s.clone()
            }
        })
        .collect()
}

/// Whether two pictures of a tile are one: every area of one has its like in the other.
pub(crate) fn same_picture(a: &[Seen], b: &[Seen]) -> Result<(), Fault> {
    let mut open: Vec<&Seen> = b.iter().collect();
    for s in a {
        let like = |t: &&Seen| t.colour == s.colour && coincide(&s.section, &t.section);
        match open.iter().position(like) {
            Some(at) => {
                open.swap_remove(at);
            }
            None => return Err(format!("{} at {:?} is not there", s.colour, s.section)),
        }
    }
    match open.first() {
        Some(s) => Err(format!("{} at {:?} is one too many", s.colour, s.section)),
        None => Ok(()),
    }
}

/// How near two places are.
pub(crate) fn near(a: P, b: P) -> bool {
    (a.0 - b.0).abs() < SAME && (a.1 - b.1).abs() < SAME
}
