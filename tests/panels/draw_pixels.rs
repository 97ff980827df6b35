//! What a drawing looks like: the layers where the geometry says, and nothing of the paper along
//! joints.
#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test may stop at once; pixels are small whole numbers"
)]

use crate::common::tiles::colour_at;
use crate::draw_support::{hexagons, squares};
use plyloom::{
    draw::{
        Form, Ground, PanelOptions, PreviewOptions, Thumbnails, bitmap, panel_svg, png,
        preview_bitmap, preview_document,
    },
    geom::Point,
    layout::{Trim, panel::Panel},
    stock::{Colour, Grain, LayerKind},
};

/// A picture read back with the PNG reader.
struct Picture {
    width: usize,
    height: usize,
    channels: usize,
    data: Vec<u8>,
    per_metre: u32,
}

impl Picture {
    fn read(bytes: &[u8]) -> Self {
        let mut reader = png::Decoder::new(std::io::Cursor::new(bytes))
            .read_info()
            .unwrap();
        let mut data = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut data).unwrap();
        let dims = reader.info().pixel_dims.unwrap();
        assert_eq!((dims.xppu, dims.unit), (dims.yppu, png::Unit::Meter));
        Self {
            width: info.width as usize,
            height: info.height as usize,
            channels: info.color_type.samples(),
            data,
            per_metre: dims.xppu,
        }
    }

    fn of(p: &Panel, form: Form, width: u32) -> Self {
        let options = PanelOptions {
            form,
            ..PanelOptions::default()
        };
        Self::read(&png(&panel_svg(p, &options), width, Ground::None).unwrap())
    }

    /// Red, green, blue and opacity of the pixel that holds a place of a panel, in mm.
    fn at(&self, p: &Panel, place: Point) -> [u8; 4] {
        let scale = self.width as f64 / p.bounds.width();
        let (x, y) = ((place.x * scale) as usize, (place.y * scale) as usize);
        let (x, y) = (x.min(self.width - 1), y.min(self.height - 1));
        let i = (y * self.width + x) * self.channels;
        let c = &self.data[i..i + self.channels];
        [c[0], c[1], c[2], c.get(3).copied().unwrap_or(255)]
    }
}

fn panels() -> [Panel; 3] {
    [
        hexagons("Rosettes", 4, 3, true),
        hexagons("Rosettes", 4, 3, false),
        squares("Squares", 4, 4),
    ]
}

fn near(a: [u8; 4], c: Colour, slack: u8) -> bool {
    let close = |(x, y): (u8, u8)| x.abs_diff(y) <= slack;
    [(a[0], c.red), (a[1], c.green), (a[2], c.blue)]
        .into_iter()
        .all(close)
}

/// Whether a point lies inside the panel with `room` mm to spare.
fn inside(p: &Panel, at: Point, room: f64) -> bool {
    let spread = (0..8).map(|k| at + Point::unit(45.0 * f64::from(k)) * room);
    spread.into_iter().all(|q| {
        let b = p.bounds;
        (b.min.x..b.max.x).contains(&q.x)
            && (b.min.y..b.max.y).contains(&q.y)
            && p.tiles.iter().any(|t| {
                let face = &p.faces[t.face as usize].face;
                // No corner of these tiles is further from their centre than 22 mm.
                (q - t.at).length() < 25.0 && face.outline().holds(q - t.at)
            })
    })
}

#[test]
fn every_layer_is_where_the_geometry_says() {
    for p in panels() {
        for form in [Form::Placed, Form::Flat] {
            let picture = Picture::of(&p, form, 1500);
            let room = 1.5 * p.bounds.width() / 1500.0;
            let mut probed = 0;
            for tile in &p.tiles {
                let face = &p.faces[tile.face as usize].face;
                for region in face.regions() {
                    let middle = region.polygon.centroid();
                    let at = tile.at + middle;
                    // Thin slivers have no pixel of their own.
                    let clear = (0..8).all(|k| {
                        let q = middle + Point::unit(45.0 * f64::from(k)) * room;
                        region.polygon.holds(q)
                    });
                    if !clear || !inside(&p, at, room) {
                        continue;
                    }
                    probed += 1;
                    assert_eq!(colour_at(face, middle), Some(region.colour));
                    let seen = picture.at(&p, at);
                    assert!(
                        near(seen, region.colour, 1) && seen[3] == 255,
                        "{seen:?} is not {} at {at:?}",
                        region.colour
                    );
                }
            }
            assert!(probed > 300, "{probed}");
        }
    }
}

/// Places along the edges of all parts and tiles, in panel coordinates.
fn joints(p: &Panel) -> Vec<Point> {
    let mut all = Vec::new();
    for tile in &p.tiles {
        let face = &p.faces[tile.face as usize];
        let first = face.face.regions().chunk_by(|a, b| a.part == b.part);
        for edge in first.flat_map(|part| part[0].underlay.edges().collect::<Vec<_>>()) {
            for k in 1..50 {
                all.push(tile.at + edge.0.towards(edge.1, f64::from(k) / 50.0));
            }
        }
    }
    all
}

#[test]
fn no_background_shows_along_joints() {
    for p in panels() {
        for form in [Form::Placed, Form::Flat] {
            for width in [150, 400, 1277] {
                let picture = Picture::of(&p, form, width);
                let room = 1.5 * p.bounds.width() / f64::from(width);
                let mut probed = 0;
                for at in joints(&p).into_iter().filter(|&at| inside(&p, at, room)) {
                    probed += 1;
                    let seen = picture.at(&p, at);
                    assert_eq!(seen[3], 255, "{form:?} {width}: {seen:?} at {at:?}");
                }
                assert!(probed > 500, "{probed}");
            }
        }
    }
}

#[test]
fn a_line_of_one_colour_runs_through_a_joint_without_a_seam() {
    // Where the same colour lies on both sides of a joint, and no other within the reach of a layer
    // under its neighbour, the joint shows at most a trace.
    for p in panels() {
        for width in [400_u32, 1600] {
            let picture = Picture::of(&p, Form::Placed, width);
            let clear = (1.5 * p.bounds.width() / f64::from(width)).max(0.45);
            let mut probed = 0;
            for at in joints(&p) {
                let colours: Vec<Option<Colour>> = (0..16)
                    .map(|k| at + Point::unit(22.5 * f64::from(k)) * clear)
                    .map(|q| {
                        let of = |t: &plyloom::layout::panel::PlacedTile| {
                            let face = &p.faces[t.face as usize].face;
                            let off = q - t.at;
                            (off.length() < 25.0)
                                .then(|| colour_at(face, off))
                                .flatten()
                        };
                        let b = p.bounds;
                        let within = q.x > 0.0 && q.y > 0.0 && q.x < b.max.x && q.y < b.max.y;
                        p.tiles.iter().find_map(of).filter(|_| within)
                    })
                    .collect();
                let Some(colour) = colours[0] else { continue };
                if colours.iter().all(|&c| c == Some(colour)) {
                    probed += 1;
                    let seen = picture.at(&p, at);
                    assert!(
                        near(seen, colour, 3),
                        "{width}: {seen:?}, not {colour} at {at:?}"
                    );
                }
            }
            assert!(probed > 20, "{width}: {probed}");
        }
    }
}

#[test]
fn veneers_are_seen_in_a_picture_of_the_page() {
    let p = hexagons("Rosettes", 3, 3, true);
    let svg = preview_document(&p, &PreviewOptions::default()).to_text();
    let picture = Picture::read(&png(&svg, 1200, Ground::Paper).unwrap());
    assert_eq!(picture.channels, 3);
    let region = p.faces[0].face.regions()[0].layer;
    assert_eq!(
        (region.kind, region.grain),
        (LayerKind::Veneer, Grain::Across)
    );
    let navy = region.colour;
    let exact = picture
        .data
        .chunks(3)
        .filter(|c| **c == [navy.red, navy.green, navy.blue])
        .count();
    assert!(exact > 2000, "{exact}");
    // Ink of the words and bars, and white paper in the corner.
    assert!(picture.data.chunks(3).any(|c| *c == [0x2b, 0x25, 0x20]));
    assert_eq!(picture.data[..3], [255, 255, 255]);
}

#[test]
fn a_picture_keeps_its_physical_size() {
    let p = squares("Squares", 4, 4);
    let bytes = png(&panel_svg(&p, &PanelOptions::default()), 756, Ground::None).unwrap();
    let picture = Picture::read(&bytes);
    assert_eq!((picture.width, picture.height), (756, 756));
    // 75.6 mm across.
    assert_eq!(picture.per_metre, 10_000);
    let again = png(&panel_svg(&p, &PanelOptions::default()), 756, Ground::None).unwrap();
    assert!(bytes == again);
}

#[test]
fn outside_the_rim_there_is_nothing() {
    let p = hexagons("Rosettes", 2, 1, false);
    let picture = Picture::of(&p, Form::Placed, 400);
    assert_eq!(picture.at(&p, Point::new(0.3, 0.3))[3], 0);
    // The notch between two points on top.
    let notch = Point::new(p.bounds.width() / 2.0, 1.0);
    assert_eq!(picture.at(&p, notch)[3], 0);
}

/// Stamped pictures show what the renderer shows four times as large, brought down to their size: on
/// average within 2.2 steps of 255 a channel, and no pixel inside is as bright as paper.
#[test]
fn thumbnails_show_what_the_renderer_shows() {
    const FINER: u32 = 4;
    let mut thumbnails = Thumbnails::new();
    for p in panels() {
        for width in [120, 300] {
            let small = thumbnails.of(&p, width, Ground::Paper).unwrap();
            let svg = panel_svg(&p, &PanelOptions::default());
            let large = bitmap(&svg, FINER * width, Ground::Paper).unwrap();
            assert_eq!(small.width, width);
            assert!(large.height.abs_diff(FINER * small.height) <= FINER / 2);
            assert!((f64::from(FINER) * small.per_mm - large.per_mm).abs() < 1e-3);
            let mean = |x: u32, y: u32, channel: usize| {
                let all = (0..FINER * FINER).map(|i| {
                    let y = (FINER * y + i / FINER).min(large.height - 1);
                    let at = (y * large.width + FINER * x + i % FINER) as usize;
                    u32::from(large.rgba[4 * at + channel])
                });
                all.sum::<u32>() / (FINER * FINER)
            };
            let mut apart = 0;
            for y in 0..small.height {
                for x in 0..width {
                    for channel in 0..3 {
                        let ours = small.rgba[4 * (y * width + x) as usize + channel];
                        apart += u32::from(ours).abs_diff(mean(x, y, channel));
                    }
                }
            }
            let apart = f64::from(apart) / f64::from(3 * width * small.height);
            assert!(apart < 2.2, "{} at {width}: {apart}", p.name);
            let brightest = (p.faces.iter())
                .flat_map(|f| f.face.regions())
                .map(|r| r.colour.blue)
                .max()
                .unwrap();
            for (i, pixel) in small.rgba.chunks(4).enumerate() {
                let (x, y) = (i % small.width as usize, i / small.width as usize);
                let at = Point::new(x as f64 + 0.5, y as f64 + 0.5) * (1.0 / small.per_mm);
                if inside(&p, at, 1.0 / small.per_mm) {
                    assert!(pixel[2] <= brightest.saturating_add(2), "{} {at:?}", p.name);
                }
            }
        }
    }
}

/// Pages of very large panels: the words are where the renderer has them, the panel lies in its place.
#[test]
fn stamped_pages_show_what_the_renderer_shows() {
    for p in panels() {
        let options = PreviewOptions {
            note: Some("seed 1".to_owned()),
            ..PreviewOptions::default()
        };
        let ours = preview_bitmap(&p, &options, 900).unwrap();
        let theirs = bitmap(
            &preview_document(&p, &options).to_text(),
            900,
            Ground::Paper,
        )
        .unwrap();
        assert_eq!((ours.width, ours.height), (theirs.width, theirs.height));
        let apart = |rows: std::ops::Range<usize>| {
            let bytes = 4 * 900 * rows.start..4 * 900 * rows.end;
            let (a, b) = (&ours.rgba[bytes.clone()], &theirs.rgba[bytes]);
            let sum: u64 = a
                .iter()
                .zip(b)
                .map(|(a, b)| u64::from(a.abs_diff(*b)))
                .sum();
            sum as f64 / a.len() as f64
        };
        let whole = apart(0..ours.height as usize);
        assert!(whole < 3.0, "{}: {whole}", p.name);
        // Title and note, above all wood.
        assert!(apart(0..60) < 1e-9, "{}", p.name);
    }
}

#[test]
fn thumbnails_of_a_round_are_white_outside_it() {
    let mut p = hexagons("Round", 4, 4, true);
    let across = p.bounds.width().min(p.bounds.height());
    let round = Trim::round(across);
    p.bounds = round.bounds();
    p.trim = Some(round);
    let small = Thumbnails::new().of(&p, 100, Ground::Paper).unwrap();
    let white = |x: u32, y: u32| small.rgba[4 * (y * small.width + x) as usize..][..3] == [255; 3];
    for y in 0..small.height {
        for x in 0..small.width {
            let middle = Point::new(49.5, 49.5);
            let from_middle = (Point::new(f64::from(x), f64::from(y)) - middle).length();
            if from_middle > 51.0 {
                assert!(white(x, y), "{x}, {y} lies outside");
            } else if from_middle < 49.0 {
                assert!(!white(x, y), "{x}, {y} lies inside");
            }
        }
    }
}
