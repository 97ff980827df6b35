//! The steps that glue: sheets of their layers, bars of their strips, loaves of their bars,
//! panels of their tiles.

use super::{section::counted, steps::Tell};
use crate::plan::{
    glue_up::{
        bearing::{Bearing, Side},
        words::{BY_WOOD, clamping_lines, clamps},
    },
    saw::number::degrees,
    steps::model::{BarAt, FaceIs, GluedAtOnce, PartAt, PieceKind, Step, Work, Workholding},
};

/// Most sub-assemblies that are told one by one.
const MOST_LISTED: usize = 24;

/// What is done about inner corners.
const INNER: &str =
    "Wipe out what is squeezed into the {} before it sets: no scraper gets there later.";

/// What the least and the highest force on veneers are for.
const BY_PRESS: [&str; 2] = ["(what a vacuum bag gives)", "(as for solid wood)"];

/// How the bars of a loaf are to be looked at.
const LOAF_SEEN: &str = "Bring end 1 of every bar towards you, all flush. Bars in the order of gluing, seen so, course by \
    course from the left:";

/// How the parts of a bar are held by tape, and between cauls and clamps.
const BAR_HELD: [&str; 2] = [
    "Lay the parts in this order side by side on tape, outer sides down, the edges that meet touching; spread the glue, \
     fold them up, and hold the bar with tape or bands all along, straight cauls at its flat sides.",
    "Spread the glue, lay the parts on one another in this order between straight cauls with packing tape on them, and \
     clamp from the middle outward. Each bar",
];

/// The same of a loaf.
const LOAF_HELD: [&str; 2] = [
    "Spread the glue thin and even, lay the bars together dry side out on a flat caul with packing tape on it, and hold \
     them all along by tape or bands, straight cauls at flat sides.",
    "Spread the glue thin and even, lay the bars side by side on a flat caul with packing tape on it, and clamp across \
     the joints from the middle outward, a caul above so that none rides up. Each loaf",
];

impl Tell<'_> {
    /// A step that glues, in words.
    pub(super) fn gluing(&self, step: &Step) -> (String, Vec<String>) {
        let (takes, gives) = (self.lots(&step.takes), self.lots(&step.gives));
        match &step.work {
            Work::GlueBar { parts, .. } if parts.len() == 1 => (
                format!("{takes} {} {gives}", are(step)),
                vec!["Each strip is a bar as it is: nothing is glued.".to_owned()],
            ),
            Work::GlueLoaf { bars, .. } if bars.len() == 1 => (
                format!("{takes} {} {gives}", are(step)),
                vec![
                    "Each bar is a loaf as it is: nothing is glued.".to_owned(),
                    format!("It lies so: {}.", lies_in_loaf(&bars[0])),
                ],
            ),
            Work::GlueBar { .. } | Work::GlueLoaf { .. } => (
                format!("Glue {gives} of {takes}"),
                self.glue_along(&step.work),
            ),
            Work::Press { .. } => (format!("Press {gives}"), self.press(step)),
            Work::Coat { dry } => (
                format!("Coat {takes} with glue"),
                vec![
                    "White or yellow glue that softens with heat, rolled on thin and even: on each side that \
                     will meet another."
                        .to_owned(),
                    format!(
                        "Let them dry apart until the glue is clear, about {:.0} to {:.0} min (common \
                         practice; follow the glue's data sheet first). Hold each leaf flat on its dry side \
                         against curling, its edges weighted or taped down.",
                        dry[0], dry[1]
                    ),
                ],
            ),
            Work::Iron {
                stack,
                overhang,
                one_sided,
            } => {
                let mut lines = vec![
                    format!("From the face to the back: {}.", stack.join(", ")),
                    "The innermost leaf first. Lay it on, dry side out, and tack its front edge with the tip \
                     of the iron; then go on from there, slowly, at the hottest setting and through paper, and \
                     press each place with a block until it has cooled."
                        .to_owned(),
                    "Tap it all over: where it sounds hollow, or an edge has lifted, iron it down again. Small \
                     cracks are to be expected: try a scrap first (common practice)."
                        .to_owned(),
                ];
                lines.extend(self.layers(stack, *overhang, *one_sided));
                (format!("Iron the veneers on: {gives}"), lines)
            }
            Work::Glue { assemblies, .. } => {
                let goes = match assemblies.len() {
                    0 | 1 => "in one go".to_owned(),
                    _ if slice_by_slice(assemblies) => "slice by slice".to_owned(),
                    many => format!("in {many} sub-assemblies"),
                };
                (format!("Glue the panel, {goes}: {gives}"), self.glue(step))
            }
            _ => (String::new(), Vec::new()),
        }
    }

    fn press(&self, step: &Step) -> Vec<String> {
        let Work::Press {
            stack,
            overhang,
            one_sided,
            clamping,
            rest,
        } = &step.work
        else {
            return Vec::new();
        };
        let boards = stack.iter().filter(|id| !self.is_veneer(id)).count();
        let by = if boards == 1 { BY_PRESS } else { BY_WOOD };
        let mut lines = vec![
            format!("From the face to the back: {}.", stack.join(", ")),
            "Spread the glue on one side of each joint, thin and even, and press between flat cauls with \
             release film, one sheet or several on one another, from the middle outward."
                .to_owned(),
            format!(
                "Each takes {}. A vacuum bag or a press serves where these are too many.",
                clamps(*clamping, by, self.shop)
            ),
            format!(
                "Leave it pressed for {:.0} to {:.0} min, then standing with air on both sides until the next \
                 day (common practice; follow the glue's data sheet first).",
                rest[0], rest[1]
            ),
        ];
        lines.extend(self.layers(stack, *overhang, *one_sided));
        lines
    }

    fn is_veneer(&self, id: &str) -> bool {
        let piece = self.all.pieces.iter().find(|p| p.id == id);
        piece.is_some_and(|p| p.kind == PieceKind::Veneer)
    }

    /// What to do after veneers are glued on.
    fn layers(&self, stack: &[String], overhang: f64, one_sided: bool) -> Vec<String> {
        let mut lines = Vec::new();
        if stack.iter().any(|id| self.is_veneer(id)) {
            lines.push(format!(
                "Veneers stand out by {} on each side; trim them flush when the glue is hard.",
                self.shop.units.length(overhang)
            ));
        }
        if one_sided {
            lines.push(
                "The two faces are not veneered alike, so the sheet may warp: keep it flat \
                 under weights until it is ripped."
                    .to_owned(),
            );
        }
        lines
    }

    /// How a bar is glued of strips, or a loaf of bars.
    fn glue_along(&self, work: &Work) -> Vec<String> {
        let (mut lines, [on_tape, clamped], (rest, held, inner_corners)) = match work {
            Work::GlueBar {
                parts,
                rest,
                held,
                inner_corners,
                ..
            } => {
                let each = parts.iter().map(|part| (part.number, lies(part)));
                let mut lines = vec![
                    "Parts in the order of gluing, seen with end 1 of the bar towards you:"
                        .to_owned(),
                ];
                lines.extend(alike("Part", each));
                (lines, BAR_HELD, (rest, held, inner_corners))
            }
            Work::GlueLoaf {
                bars,
                courses,
                rest,
                held,
                inner_corners,
                ..
            } => {
                let each = bars.iter().map(|bar| (bar.number, lies_in_loaf(bar)));
                let mut lines = vec![LOAF_SEEN.to_owned()];
                lines.extend(alike("Bar", each));
                lines.extend((*courses > 1).then(|| {
                    format!(
                        "Glue the bars of each of the {courses} courses to one another first and let them set; then \
                         glue course on course, one seam at a time."
                    )
                }));
                (lines, LOAF_HELD, (rest, held, inner_corners))
            }
            _ => return Vec::new(),
        };
        lines.push(match held {
            Workholding::Tape => on_tape.to_owned(),
            Workholding::Clamps(clamping) => {
                format!("{clamped} takes {}.", clamps(*clamping, BY_WOOD, self.shop))
            }
        });
        lines.extend(setting(inner_corners, *rest));
        lines
    }

    fn glue(&self, step: &Step) -> Vec<String> {
        let Work::Glue {
            assemblies,
            clamping,
            bearing_blocks,
        } = &step.work
        else {
            return Vec::new();
        };
        let mut lines: Vec<String> = Vec::new();
        if slice_by_slice(assemblies) {
            let minutes = assemblies.iter().map(|a| a.minutes).fold(0.0, f64::max);
            lines.push(format!(
                "Glue each slice to the next, one seam at a time: about {:.0} min for each.",
                minutes.ceil()
            ));
        } else if assemblies.len() > 1 {
            lines.push("Sub-assemblies, each bounded on the map:".to_owned());
            lines.extend(self.assemblies(assemblies));
            let parted = assemblies
                .windows(2)
                .any(|pair| pair[0].to[0] == pair[1].from[0]);
            lines.push(format!(
                "Then glue these to each other, {}one seam at a time.",
                if parted {
                    "those of one course first, "
                } else {
                    ""
                }
            ));
        }
        let of_panel = step.gives.first().and_then(|of| self.piece(of));
        let size = of_panel.map_or([0.0; 2], |panel| {
            [0, 1].map(|axis| {
                let along = panel.section.iter().map(|c| c[axis]);
                let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
                    (a.min(v), b.max(v))
                });
                high - low
            })
        });
        lines.extend(clamping_lines(*clamping, size, self.shop));
        lines.extend(blocks(bearing_blocks));
        if self
            .all
            .steps
            .iter()
            .any(|step| matches!(step.work, Work::Trim { .. }))
        {
            lines.push("Tiles at the rim are glued whole, and trimmed at the end.".to_owned());
        }
        lines.push(
            "Leave it clamped for 60 to 90 min, and flatten it on the next day at the earliest (yellow glue, common \
             practice); follow the glue's data sheet first."
                .to_owned(),
        );
        lines
    }

    /// Sub-assemblies, those that are alike together.
    fn assemblies(&self, assemblies: &[GluedAtOnce]) -> Vec<String> {
        let mut all: Vec<(String, Vec<String>)> = Vec::new();
        for (i, a) in assemblies.iter().enumerate() {
            let what = format!(
                "{}, joints {}, about {:.0} min",
                counted(a.tiles, "tile", "tiles"),
                self.shop.units.long(a.joints),
                a.minutes.ceil()
            );
            let [[from, first], [to, last]] = [a.from, a.to];
            let place = format!("S{} {from}-{first} to {to}-{last}", i + 1);
            match all.iter_mut().find(|(known, _)| *known == what) {
                Some((_, places)) => places.push(place),
                None => all.push((what, vec![place])),
            }
        }
        let told = |(what, mut places): (String, Vec<String>)| {
            let more = places.len().saturating_sub(MOST_LISTED);
            places.truncate(MOST_LISTED);
            let more = match more {
                0 => String::new(),
                more => format!("; and {more} more"),
            };
            format!("{what}: {}{more}.", places.join("; "))
        };
        all.into_iter().map(told).collect()
    }
}

/// Whether a step takes one piece or several, for the verb.
fn are(step: &Step) -> &'static str {
    match step.takes.iter().map(|of| of.count).sum::<u64>() {
        1 => "is",
        _ => "are",
    }
}

/// Whether each piece is glued to the next by itself.
fn slice_by_slice(assemblies: &[GluedAtOnce]) -> bool {
    assemblies.len() > 1 && assemblies.iter().all(|a| a.joints <= 0.0)
}

/// Where bearing blocks go.
fn blocks(all: &[Bearing]) -> Option<String> {
    let side = |bearing: &Bearing| {
        let side = match bearing.side {
            Side::Top => "the top",
            Side::Right => "the right",
            Side::Bottom => "the bottom",
            Side::Left => "the left",
        };
        format!("{side} ({:.0} %)", bearing.share * 100.0)
    };
    let sides: Vec<String> = all.iter().map(side).collect();
    (!sides.is_empty()).then(|| {
        format!(
            "Along these sides a batten meets little of the tiles: {}. Saw bearing blocks from waste as thick as the \
             tiles to fill the steps up to a straight line (grey on the map), with packing tape where they meet the \
             panel, so that clamps pull square and no corner is crushed.",
            sides.join(", ")
        )
    })
}

/// When to scrape off squeezed-out glue, and how long to wait.
fn setting(inner_corners: &[usize], rest: [f64; 2]) -> [String; 2] {
    [
        match inner_corners {
            [] => "Wipe off what is squeezed out before it sets.".to_owned(),
            [_] => INNER.replace("{}", "inner corner"),
            _ => INNER.replace("{}", "inner corners"),
        },
        format!(
            "Let it set for {:.0} to {:.0} min before you clean and slice it (yellow glue, common practice); \
             follow the glue's data sheet first.",
            rest[0], rest[1]
        ),
    ]
}

/// How pieces lie by their numbers, those that lie alike together.
fn alike(word: &str, pieces: impl Iterator<Item = (usize, String)>) -> Vec<String> {
    let mut all: Vec<(Vec<usize>, String)> = Vec::new();
    for (number, lies) in pieces {
        match all.iter_mut().find(|(_, known)| *known == lies) {
            Some((numbers, _)) => numbers.push(number),
            None => all.push((vec![number], lies)),
        }
    }
    (all.into_iter())
        .map(|(numbers, lies)| {
            let each: Vec<String> = numbers.iter().map(ToString::to_string).collect();
            let many = if each.len() == 1 { "" } else { "s" };
            format!("{word}{many} {}: {lies}.", each.join(", "))
        })
        .collect()
}

/// Which strip a part is and how it lies.
pub fn lies(part: &PartAt) -> String {
    let face = match part.face {
        FaceIs::Out => "; its sheet's face out".to_owned(),
        FaceIs::At(number) => format!("; its sheet's face against part {number}"),
        FaceIs::Gone => String::new(),
    };
    let turned = turned(part.end_for_end, part.roll);
    format!("{}{turned}{face}", part.piece)
}

/// Which bar one of a loaf is and how it lies.
pub fn lies_in_loaf(bar: &BarAt) -> String {
    format!("{}{}", bar.piece, turned(bar.end_for_end, bar.roll))
}

fn turned(end_for_end: bool, roll: f64) -> String {
    let end = if end_for_end { ", end for end" } else { "" };
    let rolled = match roll {
        roll if (roll - 180.0).abs() < 0.01 => ", rolled over".to_owned(),
        roll if roll < 0.01 => String::new(),
        roll if roll < 180.0 => format!(", rolled {} clockwise", degrees(roll)),
        roll => format!(", rolled {} anticlockwise", degrees(360.0 - roll)),
    };
    format!("{end}{rolled}")
}
