//! Gluing in the simulated shop: sheets of their layers, bars of their strips, loaves of their bars.

use std::collections::BTreeMap;

use crate::bench::{Fault, Seen, Shop, Thing, Wood, alike, rectangle};
use crate::panels::in_place;
use crate::section::{
    P, Section, area, coincide, common, cut, least, middle, mirrored, most, moved, turned, width,
};
use crate::told::{Band, BarAt, FaceIs, Part, Step};

impl Shop {
    pub(crate) fn press(
        &mut self,
        step: &Step,
        stack: &[String],
        overhang: f64,
    ) -> Result<(), Fault> {
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
    pub(crate) fn iron(
        &mut self,
        step: &Step,
        stack: &[String],
        overhang: f64,
    ) -> Result<(), Fault> {
        if let Some(bare) = stack.iter().find(|id| !self.coated.contains(*id)) {
            return Err(format!("{bare} has no glue on it"));
        }
        let boards = stack.iter().filter(|id| self.told[*id].kind != "veneer");
        if boards.count() != 1 {
            return Err("veneers are ironed onto one board".to_owned());
        }
        self.press(step, stack, overhang)
    }

    pub(crate) fn glue_bar(&mut self, step: &Step, parts: &[Part]) -> Result<(), Fault> {
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

    /// Bars lie as told, none where another is, and leave no gap within the loaf.
    pub(crate) fn glue_loaf(&mut self, step: &Step, bars: &[BarAt]) -> Result<(), Fault> {
        let [to] = &step.gives[..] else {
            return Err("one lot of loaves comes of it".to_owned());
        };
        let loaf = self.told.get(&to.piece).cloned().ok_or("what loaf?")?;
        let mut lots = BTreeMap::new();
        for of in &step.takes {
            let Thing::Bar {
                seen,
                outline,
                length,
            } = self.take(of)?
            else {
                return Err(format!("{} is no bar", of.piece));
            };
            if length + 1e-6 < loaf.length {
                return Err(format!("{} is shorter than the loaf", of.piece));
            }
            let wanted = bars.iter().filter(|bar| bar.piece == of.piece).count() as u64;
            if wanted * to.count != of.count {
                return Err(format!(
                    "{wanted} of {} go into a loaf, {} into {}",
                    of.piece, of.count, to.count
                ));
            }
            lots.insert(of.piece.clone(), (seen, outline));
        }
        let mut placed: Vec<Vec<Seen>> = Vec::new();
        let mut all = 0.0;
        for (i, bar) in bars.iter().enumerate() {
            if bar.number != i + 1 {
                return Err(format!("bar {} comes after {i} others", bar.number));
            }
            let (seen, outline) = lots.get(&bar.piece).ok_or("a bar is not taken")?;
            let centre = middle(outline);
            let lay = |s: &[P]| in_place(s, centre, (bar.end_for_end, bar.roll), bar.at);
            if !coincide(&lay(outline), &bar.outline) {
                return Err(format!(
                    "bar {} is drawn elsewhere than it lies",
                    bar.number
                ));
            }
            all += area(outline);
            placed.push(
                (seen.iter())
                    .map(|s| Seen {
                        section: lay(&s.section),
                        ..s.clone()
                    })
                    .collect(),
            );
        }
        for (i, a) in placed.iter().enumerate() {
            for (j, b) in placed.iter().enumerate().skip(i + 1) {
                if apart(bounds(&bars[i].outline), bounds(&bars[j].outline)) {
                    continue;
                }
                let both = shared(a, b);
                if both > 1.0 {
                    return Err(format!("bars {} and {} share {both:.3} mm2", i + 1, j + 1));
                }
            }
        }
        let told = area(&loaf.section);
        if (all - told).abs() > 1e-3 * all {
            return Err(format!("the bars are {all:.3} mm2, the loaf {told:.3}"));
        }
        let thing = Thing::Bar {
            seen: placed.concat(),
            outline: loaf.section,
            length: loaf.length,
        };
        self.add(&to.piece, to.count, thing);
        Ok(())
    }
}

/// Left, right, top and bottom of an outline.
fn bounds(s: &[P]) -> [f64; 4] {
    let (x, y) = (|p: &P| p.0, |p: &P| p.1);
    [least(s, x), most(s, x), least(s, y), most(s, y)]
}

fn apart(a: [f64; 4], b: [f64; 4]) -> bool {
    a[1] <= b[0] || b[1] <= a[0] || a[3] <= b[2] || b[3] <= a[2]
}

/// Area that two bars share.
fn shared(a: &[Seen], b: &[Seen]) -> f64 {
    let near = |x: &Seen, y: &Seen| !apart(bounds(&x.section), bounds(&y.section));
    let pairs = a.iter().flat_map(|x| b.iter().map(move |y| (x, y)));
    let pairs = pairs.filter(|(x, y)| near(x, y));
    pairs.map(|(x, y)| common(&x.section, &y.section)).sum()
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
