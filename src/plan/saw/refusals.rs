//! The parts that cannot be cut safely, found before anything is counted.
//!
//! A recipe draws a second rip without its kerf. So the strip is ripped
//! wider by kerf / sin(angle of the cut to the sheet's face), and the pieces come out as drawn.
//!
//! Lengths in mm, angles in degrees.

use crate::plan::{
    count::{lay::Profile, sheets::same_both_ways},
    saw::{
        Refused, SawLimits, UsedIn, Warning,
        again::{Again, wood_corners},
        foot,
        rip::SAME,
        rip_method::rip_method,
        stands,
    },
};
use crate::{
    geom::{Polygon, TOLERANCE},
    layout::panel::Panel,
    stock::{Bar, Strip, strip::Origin},
};

/// A bar with its name.
#[derive(Debug, Clone, Copy)]
pub struct NamedBar<'a> {
    /// The name.
    pub name: &'a str,
    /// The bar.
    pub bar: &'a Bar,
}

/// The parts of some panels that cannot be cut safely.
pub fn refused(panels: &[&Panel], limits: &SawLimits) -> Vec<Refused> {
    let mut bars: Vec<NamedBar<'_>> = Vec::new();
    let sliced = panels.iter().flat_map(|p| &p.faces).map(|f| &f.kind);
    for kind in sliced.filter(|kind| kind.slat().is_none()) {
        if !bars.iter().any(|b| *b.bar == **kind.bar()) {
            bars.push(NamedBar {
                name: kind.name(),
                bar: kind.bar(),
            });
        }
    }
    refused_of(&bars, limits)
}

/// The parts of some bars that cannot be cut safely, and the bars that are too high to be sliced.
pub fn refused_of(bars: &[NamedBar<'_>], limits: &SawLimits) -> Vec<Refused> {
    let mut needs: Vec<Need> = Vec::new();
    for named in bars {
        for (i, part) in named.bar.parts().iter().enumerate() {
            need(&mut needs, &part.strip, named.name, i + 1);
        }
    }
    let of_need = |one: &Need| {
        Some(Refused {
            shape: one.strip.shape(),
            used_in: one.used_in.clone(),
            why: one.refused(&needs, limits)?,
        })
    };
    let mut all: Vec<Refused> = needs.iter().filter_map(of_need).collect();
    all.extend(bars.iter().filter_map(|named| {
        Some(Refused {
            shape: "bar",
            used_in: vec![UsedIn {
                bar: named.name.to_owned(),
                parts: Vec::new(),
            }],
            why: slicing_side(named.bar.outline(), limits).err()?,
        })
    }));
    all
}

/// Whether a bar or loaf of some outline is laid on its side to be sliced, as it is too high as the recipe draws it, and how
/// high it is then.
///
/// # Errors
/// When it is too high either way.
pub(super) fn slicing_side(outline: &Polygon, limits: &SawLimits) -> Result<(bool, f64), Warning> {
    let bounds = outline.bounds();
    let most = limits.slicing_height;
    if bounds.height() <= most {
        return Ok((false, bounds.height()));
    }
    if bounds.width() <= most {
        return Ok((true, bounds.width()));
    }
    Err(Warning::TooHigh {
        height: bounds.width().min(bounds.height()),
        most,
    })
}

/// A strip, and the part of a bar that needs it.
struct Need {
    strip: Strip,
    used_in: Vec<UsedIn>,
}

fn need(needs: &mut Vec<Need>, strip: &Strip, bar: &str, part: usize) {
    if let Origin::Strip { from, .. } = strip.origin() {
        need(needs, from, bar, part);
    }
    let same = |n: &&mut Need| {
        n.strip.sheet() == strip.sheet()
            && n.strip.origin() == strip.origin()
            && n.strip.as_ripped().coincides(&strip.as_ripped(), TOLERANCE)
    };
    match needs.iter_mut().find(same) {
        Some(n) => UsedIn::add(&mut n.used_in, bar, part),
        None => needs.push(Need {
            strip: strip.clone(),
            used_in: vec![UsedIn {
                bar: bar.to_owned(),
                parts: vec![part],
            }],
        }),
    }
}

fn is_parent(parent: &Strip, piece: &Strip) -> bool {
    matches!(piece.origin(), Origin::Strip { from, .. } if **from == *parent)
}

impl Need {
    fn refused(&self, needs: &[Need], limits: &SawLimits) -> Option<Warning> {
        let Origin::Strip { from, .. } = self.strip.origin() else {
            let sheet = self.strip.sheet();
            let profile = Profile::of(&self.strip.as_ripped(), sheet.thickness())
                .widened(widening(needs, &self.strip, limits.kerf));
            return rip_method(profile, same_both_ways(sheet), limits).err();
        };
        let again = Again::of(&self.strip)?;
        if !again.lies_flat() {
            return Some(Warning::NoFlat);
        }
        let tilt = again.tilt();
        if tilt > limits.most_tilt + SAME {
            return Some(Warning::TiltBeyond {
                tilt,
                most: limits.most_tilt,
            });
        }
        let (height, most) = (again.height(from), limits.depth_at(tilt));
        if height > most {
            return Some(Warning::TooDeep { height, tilt, most });
        }
        let piece = again.at_fence(&wood_corners(from));
        let least = limits.narrowest;
        let foot = piece.as_ref().map_or(0.0, foot);
        let holds = foot >= least && piece.is_some_and(|p| stands(&p));
        (!holds).then_some(Warning::Narrow { foot, least })
    }
}

/// How much wider a strip must leave the sheet for all cuts in it, in mm.
fn widening(needs: &[Need], strip: &Strip, kerf: f64) -> f64 {
    let pieces: Vec<&Strip> = (needs.iter().map(|n| &n.strip))
        .filter(|s| is_parent(strip, s))
        .collect();
    let own = pieces.first().and_then(|piece| Again::of(piece));
    let own = own
        .and_then(|cut| cut.slant())
        .map_or(0.0, |slant| kerf * slant);
    own + pieces
        .iter()
        .map(|piece| widening(needs, piece, kerf))
        .sum::<f64>()
}
