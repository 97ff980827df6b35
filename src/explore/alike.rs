//! Panels that are the same in another position, recognised by a digest that is the same for all
//! positions.
//!
//! A panel is brought into every position that its finished outline allows (half a turn; quarter
//! turns where it is square; the same seen from the back). In each position its visible pieces of
//! wood are written down with corners to a hundredth of a millimetre, sorted, and digested; the
//! smallest digest stands for all positions. So two panels are alike when they SHOW the same wood
//! in the same places, whatever their tiles are called and however they were chosen.
//!
//! Panels that look the same but are divided into other pieces of wood count as different, as they
//! are different to make.

use sha2::{Digest as _, Sha256};

use super::known_faces::KnownFaces;
use crate::geom::{Isometry, Point, Polygon, region};
use crate::layout::panel::Panel;
use crate::stock::Face;
use crate::watch;

/// Corners nearer than this, in mm, are one.
const STEP: f64 = 0.01;
/// Where the borders between rounding steps lie, as a share of a step. Corners of real panels lie
/// at round fractions of a millimetre; with a border there, rounding errors would make the same
/// corners different.
const OFFSET: f64 = std::f64::consts::FRAC_1_PI;

/// The digests of a panel, one for each notion of being the same.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Looks {
    /// As it lies.
    pub lying: String,
    /// However it is turned.
    pub turned: String,
    /// However it is turned, from the front or the back.
    pub over: String,
}

type Digest = [u8; 32];

/// The forms of a panel.
pub fn looks(panel: &Panel, known: &mut KnownFaces) -> Looks {
    let positions = positions(panel);
    let digests: Vec<(bool, Digest)> = positions
        .iter()
        .map(|&by| (by.flip, digest(panel, by, known)))
        .collect();
    let least = |backs: bool| {
        let some = digests.iter().filter(|(flip, _)| backs || !flip);
        some.map(|(_, digest)| *digest).min().unwrap_or_default()
    };
    Looks {
        lying: text(digests.first().map(|d| d.1).unwrap_or_default()),
        turned: text(least(false)),
        over: text(least(true)),
    }
}

/// The digests of several panels that belong together.
pub fn looks_of_all(panels: &[Panel], known: &mut KnownFaces) -> Looks {
    let mut all: Vec<Looks> = panels.iter().map(|panel| looks(panel, known)).collect();
    if all.len() == 1 {
        return all.remove(0);
    }
    let join = |one: fn(&Looks) -> &String| {
        let mut hash = Sha256::new();
        for looks in &all {
            hash.update(one(looks));
        }
        text(hash.finalize().into())
    };
    Looks {
        lying: join(|l| &l.lying),
        turned: join(|l| &l.turned),
        over: join(|l| &l.over),
    }
}

/// Half of a SHA-256 in hex, which is enough that no two different panels get the same one by
/// chance.
fn text(digest: Digest) -> String {
    hex(&digest[..16])
}

/// Bytes in hex.
pub fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    let mut text = String::with_capacity(2 * bytes.len());
    for byte in bytes {
        let _ = write!(text, "{byte:02x}");
    }
    text
}

/// As it lies first, then turned, then from the back.
fn positions(panel: &Panel) -> Vec<Isometry> {
    let (width, height) = (panel.bounds.width(), panel.bounds.height());
    let quarters: &[f64] = if (width - height).abs() < STEP {
        &[0.0, 90.0, 180.0, 270.0]
    } else {
        &[0.0, 180.0]
    };
    let turned = quarters.iter().map(|&q| Isometry::turn(q));
    let back = quarters
        .iter()
        .map(|&q| Isometry::mirror(90.0).then(Isometry::turn(q)));
    turned.chain(back).collect()
}

fn digest(panel: &Panel, by: Isometry, known: &mut KnownFaces) -> Digest {
    let middle = panel.bounds.centre();
    let whole = |face: &Face| pieces(face, by, |p| vec![p.clone()]);
    let faces = known.of(panel).into_iter();
    let whole: Vec<Digest> = faces.map(|face| known.digest(face, by, whole)).collect();
    let mut tiles: Vec<(i64, i64, Digest)> = panel
        .tiles
        .iter()
        .map(|tile| {
            let face = tile.face as usize;
            if tile.whole {
                let at = by.apply(tile.at - middle);
                return (stepped(at.x), stepped(at.y), whole[face]);
            }
            // Of a tile that the trim cuts, the part that is left counts.
            let left = |part: &Polygon| -> Vec<Polygon> {
                let left = panel.left_of_part(tile, part);
                let loops = left.iter().flat_map(region::Piece::loops);
                loops.map(|p| p.shifted(-middle)).collect()
            };
            (0, 0, pieces(&panel.faces[face].face, by, left))
        })
        .collect();
    tiles.sort_unstable();
    let mut hash = Sha256::new();
    for side in [panel.bounds.width(), panel.bounds.height()] {
        hash.update(stepped(side).to_le_bytes());
    }
    for (x, y, shown) in tiles {
        watch::ask();
        hash.update(x.to_le_bytes());
        hash.update(y.to_le_bytes());
        hash.update(shown);
    }
    hash.finalize().into()
}

/// The visible pieces of a face about its centre, moved.
fn pieces(face: &Face, by: Isometry, seen: impl Fn(&Polygon) -> Vec<Polygon>) -> Digest {
    let mut list: Vec<(Vec<(i64, i64)>, String)> = face
        .regions()
        .iter()
        .flat_map(|region| {
            let what = format!("{:?} {}", region.layer.kind, region.colour);
            let seen = seen(&region.polygon).into_iter();
            seen.map(move |p| (corners(&p, by), what.clone()))
        })
        .filter(|(corners, _)| corners.len() > 2)
        .collect();
    for outline in seen(face.outline()) {
        list.push((corners(&outline, by), "outline".to_owned()));
    }
    list.sort_unstable();
    let mut hash = Sha256::new();
    for (corners, what) in list {
        watch::ask();
        hash.update((corners.len() as u64).to_le_bytes());
        for (x, y) in corners {
            hash.update(x.to_le_bytes());
            hash.update(y.to_le_bytes());
        }
        hash.update(what);
        hash.update([0]);
    }
    hash.finalize().into()
}

/// The corners in steps, without repeats, from the smallest on and one way round.
fn corners(polygon: &Polygon, by: Isometry) -> Vec<(i64, i64)> {
    let moved: Vec<Point> = polygon.corners().iter().map(|&c| by.apply(c)).collect();
    let mut all: Vec<(i64, i64)> = moved.iter().map(|c| (stepped(c.x), stepped(c.y))).collect();
    if by.flip {
        all.reverse();
    }
    all.dedup();
    if all.len() > 1 && all.first() == all.last() {
        all.pop();
    }
    let first = (0..all.len()).min_by_key(|&i| all[i]).unwrap_or(0);
    all.rotate_left(first);
    all
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "saturates far outside any panel"
)]
fn stepped(mm: f64) -> i64 {
    (mm / STEP + OFFSET).floor() as i64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Rect;
    use crate::layout::panel::{Cell, JointCount, PlacedFace, PlacedTile};
    use crate::stock::{Bar, Colour, Pose, Sheet, Strip, TileKind, hexagon::hexagon, shapes};
    use std::sync::Arc;

    /// Two colours in a square tile, so that each quarter turn looks different.
    fn kind() -> Arc<TileKind> {
        let colour = |name| Colour::parse(name).unwrap();
        let sheet = |name| Arc::new(Sheet::plywood(3, 9.0, colour(name)).unwrap());
        let strip = |name| Strip::rip(&sheet(name), 18.0, 90.0, 90.0).unwrap();
        let bar = Bar::stack(vec![strip("birch"), strip("walnut")], 0.01).unwrap();
        Arc::new(TileKind::new("two", Arc::new(bar)))
    }

    fn looks(panel: &Panel) -> Looks {
        super::looks(panel, &mut KnownFaces::default())
    }

    /// Square tiles in courses of so many, each with its turn.
    fn panel(columns: usize, turns: &[f64]) -> Panel {
        let kind = kind();
        let pose = |turn| Pose { flip: false, turn };
        let faces = turns.iter().map(|&t| PlacedFace {
            pose: pose(t),
            face: kind.face().posed(kind.isometry(pose(t))),
            kind: Arc::clone(&kind),
        });
        let tiles = (0..turns.len()).map(|i| {
            let (column, course) = (i % columns, i / columns);
            PlacedTile {
                face: u32::try_from(i).unwrap(),
                at: Point::new(9.0 + 18.0 * column as f64, 9.0 + 18.0 * course as f64),
                cell: Cell {
                    column: 0,
                    course: 0,
                },
                whole: true,
            }
        });
        let size = Rect::sized(18.0 * columns as f64, 18.0 * (turns.len() / columns) as f64);
        Panel {
            name: "p".to_owned(),
            faces: faces.collect(),
            tiles: tiles.collect(),
            trim: Some(size.into()),
            bounds: size,
            joints: JointCount::default(),
            laid_on: None,
            pieces: crate::layout::pieces::Pieces::default(),
        }
    }

    #[test]
    fn half_a_turn_is_the_same_panel() {
        let one = looks(&panel(3, &[0.0, 90.0, 90.0]));
        let turned = looks(&panel(3, &[270.0, 270.0, 180.0]));
        assert_ne!(one.lying, turned.lying);
        assert_eq!(one.turned, turned.turned);
        let other = looks(&panel(3, &[0.0, 90.0, 0.0]));
        assert_ne!(one.turned, other.turned);
        assert_ne!(one.over, other.over);
    }

    #[test]
    fn a_quarter_turn_only_where_the_panel_is_square() {
        let one = looks(&panel(2, &[0.0, 90.0, 180.0, 180.0]));
        // Top left goes to the top right, and each tile turns with it.
        let quarter = looks(&panel(2, &[270.0, 90.0, 270.0, 180.0]));
        assert_ne!(one.lying, quarter.lying);
        assert_eq!(one.turned, quarter.turned);
        let level = looks(&panel(2, &[0.0, 0.0]));
        let upright = looks(&panel(1, &[90.0, 90.0]));
        assert_ne!(level.turned, upright.turned);
    }

    #[test]
    fn the_back_is_the_mirror_image() {
        // Seen from the back the order is reversed, and what pointed right points left.
        let one = looks(&panel(3, &[0.0, 90.0, 90.0]));
        let (up_and_down, sideways) = (0.0, 270.0);
        let back = looks(&panel(3, &[sideways, sideways, up_and_down]));
        assert_ne!(one.turned, back.turned);
        assert_eq!(one.over, back.over);
    }

    #[test]
    fn names_and_order_do_not_count() {
        let one = panel(2, &[0.0, 90.0]);
        let mut other = panel(2, &[0.0, 90.0]);
        other.name = "another".to_owned();
        other.tiles.reverse();
        assert_eq!(looks(&one), looks(&other));
    }

    #[test]
    fn rounding_parts_nothing() {
        // A hexagon of three rhombi turned by 120 degrees covers the same corners up to 1e-15 mm.
        let sheet = Arc::new(Sheet::plywood(13, 17.7, Colour::parse("birch").unwrap()).unwrap());
        let rhombus = shapes::rhombus(&sheet, 60.0).unwrap();
        let bar = hexagon(vec![rhombus.clone(), rhombus.clone(), rhombus], 0.01).unwrap();
        let kind = TileKind::new("block", Arc::new(bar));
        let digests: Vec<Digest> = [0.0, 120.0, 240.0]
            .map(|turn| kind.face().posed(Isometry::turn(turn)))
            .iter()
            .map(|face| pieces(face, Isometry::IDENTITY, |p| vec![p.clone()]))
            .collect();
        assert_eq!(digests[0], digests[1]);
        assert_eq!(digests[0], digests[2]);
    }
}
