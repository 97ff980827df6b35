//! Where each piece lies in a blank, found by following the steps of the plan: cut to width, veneers glued
//! on, ripped. Lengths in mm; x runs across the strips in the frame of the blank's wood.

use crate::{
    geom::{
        Isometry, Point, Polygon, angle,
        clip::{HalfPlane, keep},
    },
    plan::steps::model::{Becomes, Lie, Pass, Piece, PieceKind, Round, Set, Steps, Work},
    watch,
};

/// A piece in its blank.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Placed {
    /// Its lot, or none for waste.
    pub(super) id: Option<String>,
    /// What it is.
    pub(super) kind: PieceKind,
    /// Its section in the blank's frame.
    pub(super) section: Polygon,
}

/// The pieces that a blank is cut into, from left to right.
pub(super) fn pieces(steps: &Steps, blank: &Piece) -> Vec<Placed> {
    let corners = blank.section.iter().map(|&[x, y]| Point::new(x, y));
    let section = Polygon::clockwise(corners.collect());
    let mut all = Vec::new();
    follow(steps, 0, blank, section, &mut all);
    all.sort_by(|a, b| {
        a.section
            .bounds()
            .min
            .x
            .total_cmp(&b.section.bounds().min.x)
    });
    all
}

/// Follows equal pieces from some step on; their section is placed where they are in the blank.
fn follow(steps: &Steps, from: usize, piece: &Piece, section: Polygon, all: &mut Vec<Placed>) {
    watch::ask();
    let stays = matches!(piece.kind, PieceKind::Strip | PieceKind::Rest);
    let next = steps.steps.iter().enumerate().skip(from).find(|(_, step)| {
        !matches!(step.work, Work::Coat { .. } | Work::PutBack)
            && step.takes.iter().any(|of| of.piece == piece.id)
    });
    let (at, step) = match next {
        Some(next) if !stays => next,
        _ => {
            all.push(Placed {
                id: Some(piece.id.clone()),
                kind: piece.kind,
                section,
            });
            return;
        }
    };
    let lot = |id: &str| steps.pieces.iter().find(|p| p.id == id);
    match &step.work {
        Work::Press { .. } | Work::Iron { .. } => {
            if let Some(sheet) = step.gives.first().and_then(|of| lot(&of.piece)) {
                let thick = sheet.layers.iter().map(|l| l.thickness).sum();
                follow(steps, at + 1, sheet, deepened(&section, thick), all);
            }
        }
        Work::Rip {
            tilt,
            bed,
            kerf,
            rounds,
            left,
            ..
        } => {
            for (what, section) in ripped(&section, tilt + bed, *kerf, rounds, left) {
                match what {
                    Becomes::Piece(id) => {
                        if let Some(piece) = lot(&id) {
                            follow(steps, at + 1, piece, section, all);
                        }
                    }
                    Becomes::Waste | Becomes::Work => all.push(Placed {
                        id: None,
                        kind: PieceKind::Rest,
                        section,
                    }),
                }
            }
        }
        _ => {}
    }
}

/// A rectangle as deep as this.
fn deepened(section: &Polygon, thick: f64) -> Polygon {
    let bounds = section.bounds();
    let at = |x, y| Point::new(x, y);
    Polygon::clockwise(vec![
        at(bounds.min.x, 0.0),
        at(bounds.max.x, 0.0),
        at(bounds.max.x, thick),
        at(bounds.min.x, thick),
    ])
}

/// The pieces that the passes of a rip leave, each where it was in the wood.
fn ripped(
    section: &Polygon,
    tilt: f64,
    kerf: f64,
    rounds: &[Round],
    left: &Becomes,
) -> Vec<(Becomes, Polygon)> {
    let mut all = Vec::new();
    let mut work = Some(section.clone());
    let passes = rounds
        .iter()
        .flat_map(|round| (0..round.times).flat_map(|_| &round.passes));
    for pass in passes {
        watch::ask();
        let Some(on) = work.take() else { break };
        for (what, piece) in cut(&on, tilt, kerf, pass) {
            match what {
                Becomes::Work => work = Some(piece),
                _ => all.push((what.clone(), piece)),
            }
        }
    }
    all.extend(work.map(|rest| (left.clone(), rest)));
    all
}

/// One pass: the piece at the fence, and the piece beyond the blade.
fn cut<'a>(section: &Polygon, tilt: f64, kerf: f64, pass: &'a Pass) -> Vec<(&'a Becomes, Polygon)> {
    let lies = lying(section, pass.lie);
    let work = section.moved(lies);
    let (sin, cos) = angle::sin_cos(tilt);
    let wide = kerf / cos.max(0.05);
    let far = work.bounds().max.x;
    let near = match pass.set {
        Set::Fence(mm) | Set::Ledge(mm) => mm,
        Set::ByEye(off) => far - off,
        Set::Stop(stop) => far - stop - wide,
    };
    let up = Point::new(sin, -cos);
    let foot = Point::new(near, 0.0);
    let beyond = Point::new(near + wide, 0.0);
    [
        (&pass.inboard, HalfPlane::right_of(foot + up, foot)),
        (&pass.outboard, HalfPlane::right_of(beyond, beyond + up)),
    ]
    .into_iter()
    .filter_map(|(what, side)| Some((what, keep(&work, side)?.moved(lies.inverse()))))
    .collect()
}

/// From the frame of the wood to the saw: its left bound at the fence, its lower side on the table.
fn lying(section: &Polygon, lie: Lie) -> Isometry {
    let end_2 = lie.end == 2;
    let looks = if end_2 {
        180.0 - lie.down.looks
    } else {
        lie.down.looks
    };
    let turned = Isometry {
        flip: end_2,
        ..Isometry::turn(90.0 - looks)
    };
    let bounds = section.moved(turned).bounds();
    turned.then(Isometry::shift(Point::new(-bounds.min.x, -bounds.max.y)))
}
