//! The steps that lay, flatten and cut panels, in words.

use super::{section::counted, steps::Tell};
use crate::plan::steps::model::{PieceKind, Step, TileAt, Work};

/// Most slices of loaves that are named one by one where they are turned.
const MOST_NAMED: usize = 40;

impl Tell<'_> {
    /// A step that works on a panel, in words.
    pub(super) fn panel(&self, step: &Step) -> (String, Vec<String>) {
        let units = self.shop.units;
        let (takes, gives) = (self.lots(&step.takes), self.lots(&step.gives));
        match &step.work {
            Work::LayDry { tiles } => self.lay_dry(tiles),
            Work::Flatten { from, to } => (
                format!("Flatten {takes}"),
                vec![format!(
                    "From {} to {}, both faces, with a drum sander, a router sled or a plane.",
                    units.fine(*from),
                    units.fine(*to)
                )],
            ),
            Work::Trim { .. } => self.trim(step, &takes),
            Work::RipPanel {
                across,
                width,
                kerf,
                slats,
            } => {
                let (way, side) = if *across {
                    ("across", "top")
                } else {
                    ("lengthwise", "left")
                };
                (
                    format!("Rip {takes} {way}: {}", counted(slats.len() as u64, "slat", "slats")),
                    vec![
                        format!(
                            "Blade upright, {} between it and the fence; cuts of {}, beginning from the {side} of \
                             the map. Number the slats 1 to {} as they come, with an arrow to the top, on the side \
                             that looks up.",
                            units.setting(*width),
                            units.length(*kerf),
                            slats.len()
                        ),
                        "Scrape the glue off and keep one edge straight first: it runs along the fence. End grain \
                         breaks out at the end of a cut: let a piece of scrap follow the panel. What is too narrow \
                         to be led safely is not ripped: cut it on a sled, with hold-downs."
                            .to_owned(),
                    ],
                )
            }
            Work::CutOut { .. } => self.cut_out(step, &takes, &gives),
            _ => (String::new(), Vec::new()),
        }
    }

    /// How a panel is trimmed to its finished outline.
    fn trim(&self, step: &Step, takes: &str) -> (String, Vec<String>) {
        let Work::Trim {
            straight,
            holes,
            inner_radius,
            ..
        } = &step.work
        else {
            return (String::new(), Vec::new());
        };
        let mut lines = vec![trimming(*straight).to_owned()];
        lines.extend(openings(holes.len()));
        lines.extend(inner_radius.map(|radius| self.inner(radius)));
        lines.extend((!straight).then(|| KEPT.to_owned()));
        (format!("Trim {takes} to its finished outline"), lines)
    }

    /// How a panel is cut into its pieces.
    fn cut_out(&self, step: &Step, takes: &str, gives: &str) -> (String, Vec<String>) {
        let Work::CutOut {
            pieces,
            kerf,
            inner_radius,
            straight,
        } = &step.work
        else {
            return (String::new(), Vec::new());
        };
        let room = format!(
            "{} between two pieces, for the cut: mark all outlines before the first one.",
            self.shop.units.length(*kerf)
        );
        let holes = pieces.iter().map(|piece| piece.holes.len()).sum();
        let mut lines = vec![room, trimming(*straight).to_owned()];
        lines.extend(openings(holes));
        lines.extend(inner_radius.map(|radius| self.inner(radius)));
        (format!("Cut {takes} into its pieces: {gives}"), lines)
    }

    /// Which cutter follows the inner curves of an outline.
    fn inner(&self, radius: f64) -> String {
        if radius < SHARP {
            "The outline has sharp inner corners: every router cutter leaves its own radius there. Pare them \
             with a chisel, or leave them round."
                .to_owned()
        } else {
            format!(
                "The tightest inner curve has a radius of {}: a router cutter or guide bush of no more \
                 than this radius follows it.",
                self.shop.units.at_most(radius)
            )
        }
    }

    /// Which tiles of one kind are laid first, where bars of boards of unlike thickness give them.
    fn by_board(&self, tiles: &[TileAt]) -> Option<String> {
        let of_boards = |step: &Step| {
            matches!(
                step.work,
                Work::Rip {
                    boards: Some(_),
                    ..
                }
            )
        };
        if !self.all.steps.iter().any(of_boards) {
            return None;
        }
        let mut lots: Vec<&str> = Vec::new();
        for tile in tiles {
            if !lots.contains(&tile.piece.as_str()) {
                lots.push(&tile.piece);
            }
        }
        let more_of = |lot: &str, first: &str| {
            let number = lot
                .strip_prefix(first)
                .and_then(|more| more.strip_prefix('.'));
            number.is_some_and(|number| number.parse::<u32>().is_ok())
        };
        let several = |lot: &&str| {
            lots.iter()
                .any(|other| more_of(lot, other) || more_of(other, lot))
        };
        let named: Vec<&str> = lots.iter().copied().filter(several).collect();
        (!named.is_empty()).then(|| {
            format!(
                "Tiles of boards of unlike thickness differ a little in size, so keep them together: {}, each until it \
                 is used up.",
                named.join(", then ")
            )
        })
    }

    fn lay_dry(&self, tiles: &[TileAt]) -> (String, Vec<String>) {
        let loaves = tiles
            .iter()
            .any(|t| self.kind_of(&t.piece) == Some(PieceKind::Slice));
        let slats = tiles
            .iter()
            .any(|t| self.kind_of(&t.piece) == Some(PieceKind::Slat));
        let (one, many) = if loaves {
            ("slice", "slices")
        } else if slats {
            ("slat", "slats")
        } else {
            ("tile", "tiles")
        };
        let title = format!(
            "Lay {} dry by the map",
            counted(tiles.len() as u64, one, many)
        );
        let mut lines = vec![if loaves {
            "Number each slice by its first tile, COURSE-TILE, on the side that looks up; 1-1 is at the top left."
        } else {
            "Number them COURSE-TILE on the side that looks up; 1-1 is at the top left."
        }
        .to_owned()];
        lines.extend(self.by_board(tiles));
        for (word, of) in [
            ("Turned half round", (false, true)),
            ("Turned over, left for right", (true, false)),
            ("Turned over, top for bottom", (true, true)),
        ] {
            let so = |t: &&TileAt| (t.flip, t.turn > 90.0) == of;
            let each: Vec<String> = (tiles.iter().filter(|_| loaves).filter(so))
                .take(MOST_NAMED + 1)
                .map(|t| format!("{}-{}", t.course, t.number))
                .collect();
            match &each[..] {
                [] => {}
                [named @ .., _] if named.len() == MOST_NAMED => {
                    lines.push(format!(
                        "{word}: {} and others, as the map shows.",
                        named.join(", ")
                    ));
                }
                all => lines.push(format!("{word}: {}.", all.join(", "))),
            }
        }
        (title, lines)
    }
}

/// What becomes of the waste along a curved outline.
const KEPT: &str = "Keep the off-cuts along the curve: they are cauls that fit, for whatever is glued to the rim later.";

/// How holes are cut.
fn openings(holes: usize) -> Option<String> {
    (holes > 0).then(|| {
        format!(
            "Then the {}: drill through the waste, saw inside the line, and rout along the template. \
             The panel lies on a flat board and is held down on both sides of the cut.",
            if holes == 1 { "hole" } else { "holes" }
        )
    })
}

/// No cutter follows an inner curve tighter than this radius, in mm (common practice: the thinnest cutters are of 3 mm).
const SHARP: f64 = 1.5;

/// How a panel is trimmed to a straight or another outline.
fn trimming(straight: bool) -> &'static str {
    if straight {
        "A track saw along the trim line, or a router along a straight edge; one side after the other, \
         scrap under the cut."
    } else {
        "Band saw or jigsaw outside the line, then a router along a template of the outline."
    }
}
