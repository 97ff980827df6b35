//! `plyloom layers`, on pictures of edges that are made here: a plane with layers, seen through a lens from a hand's
//! length, turned by up to 5 degrees about each axis, unevenly lit, blurred, with noise, and kept as JPEG of quality
//! 60. No photograph of a real sheet is among them.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use plyloom::edge::{Faces, Light, encoded, find, layers};
use plyloom::geom::angle::sin_cos;
use plyloom::session::photo::EdgePhoto;
use plyloom::stock::Grain;

use crate::common::Bench;

/// A layer: thickness in mm, colour in linear light, how much it varies along the edge.
type Made = (f64, [f64; 3], f64);

/// The ground behind the edge.
const GROUND: [f64; 3] = [0.02, 0.02, 0.025];
/// Pixels for each mm.
const SHARP: f64 = 12.0;
/// From the lens to the edge, in mm.
const FAR: f64 = 220.0;
/// What of the edge is in the picture, in mm.
const LONG: f64 = 32.0;

/// Numbers that look random and are the same everywhere.
struct Dice(u64);

impl Dice {
    /// From 0 to 1.
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as f64 / f64::from(1_u32 << 31)
    }

    /// About a bell curve of width 1.
    fn bell(&mut self) -> f64 {
        (0..12).map(|_| self.next()).sum::<f64>() - 6.0
    }
}

/// A picture: its size, and bytes of red, green and blue.
struct Picture {
    width: u16,
    height: u16,
    rgb: Vec<u8>,
}

/// The speck of a place along the edge, in mm: one each 0.15 mm.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held within the specks there are"
)]
fn speck(u: f64) -> usize {
    ((u + 60.0) / 0.15).clamp(0.0, 799.0) as usize
}

fn pixels(mm: f64) -> u16 {
    (1..=4096_u16)
        .find(|&n| f64::from(n) >= mm * SHARP)
        .expect("a size")
}

/// The edge of a sheet, turned about the upright axis, the level one and the line of sight, in degrees.
fn picture(made: &[Made], turned: [f64; 3], seed: u64) -> Picture {
    let thick: f64 = made.iter().map(|l| l.0).sum();
    let (width, height) = (pixels(LONG), pixels(thick + 8.0));
    let mut dice = Dice(seed);
    let specks: Vec<Vec<f64>> = made
        .iter()
        .map(|l| (0..800).map(|_| 1.0 + l.2 * dice.bell()).collect())
        .collect();
    let colour = |u: f64, v: f64| -> [f64; 3] {
        let mut below = 0.0;
        for (layer, specks) in made.iter().zip(&specks) {
            below += layer.0;
            if v >= 0.0 && v < below {
                return layer.1.map(|c| c * specks[speck(u)]);
            }
        }
        GROUND
    };
    let [(yaw, side), (pitch, level), (roll, upright)] = turned.map(sin_cos);
    let (w, h) = (usize::from(width), usize::from(height));
    let mut light = vec![[0.0_f64; 3]; w * h];
    for y in 0..h {
        for x in 0..w {
            for part in [0.25, 0.75] {
                let across = (x as f64 - (w as f64 - 1.0) / 2.0) / SHARP;
                let down = (y as f64 + part - 0.5 - (h as f64 - 1.0) / 2.0) / SHARP;
                let (rx, ry) = (
                    across * upright + down * roll,
                    down * upright - across * roll,
                );
                // Where the ray through this point meets the plane of the edge.
                let reach = FAR / (FAR - rx / side * yaw - ry / level * pitch);
                let (u, v) = (reach * rx / side, reach * ry / level);
                let lit = 1.0 - 0.35 * (u / LONG + 0.5) + 0.2 * v / thick;
                let seen = colour(u, v + thick / 2.0);
                for (sum, c) in light[y * w + x].iter_mut().zip(seen) {
                    *sum += c * lit / 2.0;
                }
            }
        }
    }
    for (dx, dy) in [(1, 0), (0, 1)] {
        light = blurred(&light, w, h, (dx, dy));
    }
    let noisy = |c: f64, dice: &mut Dice| encoded(c + 0.015 * dice.bell() * (0.2 + c).sqrt());
    let rgb = light
        .iter()
        .flatten()
        .map(|&c| noisy(c, &mut dice))
        .collect();
    Picture { width, height, rgb }
}

/// Blurred along one way, by a bell curve of 1.3 pixels.
fn blurred(light: &[[f64; 3]], w: usize, h: usize, (dx, dy): (usize, usize)) -> Vec<[f64; 3]> {
    let weights: Vec<f64> = (0..9)
        .map(|d| (f64::from(d) - 4.0) / 1.3)
        .map(|z| libm::exp(-z * z / 2.0))
        .collect();
    let all: f64 = weights.iter().sum();
    let place = |at: usize, d: usize, last: usize| (at + d).saturating_sub(4).min(last);
    (0..w * h)
        .map(|i| {
            let mut sum = [0.0; 3];
            for (d, weight) in weights.iter().enumerate() {
                let x = if dx > 0 {
                    place(i % w, d, w - 1)
                } else {
                    i % w
                };
                let y = if dy > 0 {
                    place(i / w, d, h - 1)
                } else {
                    i / w
                };
                for (s, c) in sum.iter_mut().zip(light[y * w + x]) {
                    *s += weight * c / all;
                }
            }
            sum
        })
        .collect()
}

fn jpeg(picture: &Picture) -> Vec<u8> {
    let mut bytes = Vec::new();
    jpeg_encoder::Encoder::new(&mut bytes, 60)
        .encode(
            &picture.rgb,
            picture.width,
            picture.height,
            jpeg_encoder::ColorType::Rgb,
        )
        .expect("a JPEG");
    bytes
}

/// Plies of one wood whose grain crosses from one to the next.
fn plywood(plies: usize, seed: u64) -> Vec<Made> {
    let mut dice = Dice(seed);
    let ply = |i: usize| {
        let thick = 1.1 + 0.6 * dice.next();
        if i.is_multiple_of(2) {
            (thick, [0.55, 0.38, 0.22], 0.05)
        } else {
            (thick, [0.30, 0.19, 0.10], 0.14)
        }
    };
    (0..plies).map(ply).collect()
}

/// Plywood between a teal and a red veneer.
fn dyed() -> Vec<Made> {
    let mut made = plywood(7, 5);
    made.insert(0, (0.6, [0.02, 0.2, 0.22], 0.03));
    made.push((0.6, [0.3, 0.02, 0.03], 0.03));
    made
}

fn borders(made: &[Made]) -> Vec<f64> {
    let mut at = 0.0;
    let mut all = vec![at];
    all.extend(made.iter().map(|l| {
        at += l.0;
        at
    }));
    all
}

#[test]
fn every_border_is_within_a_tenth_of_a_millimetre() {
    for (made, turned, plies) in [
        (plywood(9, 3), [5.0, 0.0, 1.0], None),
        (dyed(), [0.0, 5.0, -2.0], None),
        (dyed(), [-5.0, 5.0, 3.0], Some(9)),
    ] {
        let bytes = jpeg(&picture(&made, turned, 1));
        let bench = Bench::new();
        bench.write("edge.jpg", bytes);
        let thick: f64 = made.iter().map(|l| l.0).sum();
        let thickness = thick.to_string();
        let mut arguments = vec!["layers", "edge.jpg", "--thickness", &thickness];
        let plies = plies.map(|n: usize| n.to_string());
        if let Some(plies) = &plies {
            arguments.extend(["--plies", plies.as_str()]);
        }
        let ran = bench.run(&arguments);
        ran.ended(0);
        assert!(
            ran.out.starts_with(&format!("{} layers", made.len())),
            "{}",
            ran.out
        );
        let begins: Vec<f64> = (ran.out.lines())
            .filter_map(|line| {
                line.split("begins at ")
                    .nth(1)?
                    .split(' ')
                    .next()?
                    .parse()
                    .ok()
            })
            .collect();
        let inner = &borders(&made)[1..made.len()];
        assert_eq!(begins.len(), inner.len(), "{}", ran.out);
        for (found, made) in begins.iter().zip(inner) {
            assert!(
                (found - made).abs() < 0.1,
                "{found} for {made}\n{}",
                ran.out
            );
        }
        assert!(!ran.out.contains("UNSURE"), "{}", ran.out);
        assert!(bench.path("edge-layers.png").exists());
        // What it prints is a recipe's sheet of that thickness.
        let sheet = ran
            .out
            .split("let sheet")
            .nth(1)
            .and_then(|s| s.split("\n\n").next())
            .expect("a sheet");
        let text = format!(
            "let sheet{sheet}\nprint(sheet.thickness);\n\
             let t = bar(sheet.rip(sheet.thickness, 90)).slice(\"t\");\n\
             panel(\"P\", squares(t)).size(1, 1).fill(t);\n"
        );
        bench.write("own.rhai", &text);
        let ran = bench.run(&["preview", "own.rhai"]);
        ran.ended(0);
        let first = ran
            .err
            .split_whitespace()
            .next()
            .and_then(|n| n.parse::<f64>().ok());
        assert!(
            first.is_some_and(|n| (n - thick).abs() < 0.01),
            "{}",
            ran.err
        );
    }
}

/// The page sends pixels, and lines that a hand drew near the faces. The ground has a step in it, as of a table's rim.
#[test]
fn between_lines_near_the_faces_every_border_is_within_a_tenth_of_a_millimetre() {
    let (made, off) = (dyed(), [-0.1, 0.1]);
    let mut seen = picture(&made, [-5.0, 5.0, 3.0], 2);
    let (width, height) = (usize::from(seen.width), usize::from(seen.height));
    for byte in &mut seen.rgb[..3 * width * 12] {
        *byte = byte.saturating_add(90);
    }
    let thick: f64 = made.iter().map(|l| l.0).sum();
    // In the middle of the picture the edge is in its middle, and as large as it is.
    let face = |mm: f64| 0.5 + mm * SHARP / height as f64;
    let photo = EdgePhoto {
        width,
        height,
        base64: STANDARD.encode(&seen.rgb),
        faces: [face(-thick / 2.0 + off[0]), face(thick / 2.0 + off[1])],
        thickness: format!("{thick} mm"),
        plies: None,
    };
    let told = photo.read().expect("layers");
    let all = told["told"].as_array().expect("layers");
    assert_eq!(all.len(), made.len(), "{told:#}");
    let begins = all.iter().skip(1).map(|line| {
        let line = line.as_str().expect("words");
        let at = line
            .split("begins at ")
            .nth(1)
            .and_then(|at| at.split(' ').next());
        at.and_then(|at| at.parse::<f64>().ok()).expect("a place")
    });
    for (found, made) in begins.zip(&borders(&made)[1..]) {
        assert!((found - made).abs() < 0.1, "{found} for {made}\n{told:#}");
    }
}

#[test]
fn grain_and_veneers_are_told_and_an_upright_edge_is_read_too() {
    let made = dyed();
    let seen = picture(&made, [2.0, 0.0, -1.0], 9);
    let light =
        Light::of(usize::from(seen.width), usize::from(seen.height), seen.rgb).expect("a picture");
    let upright = light.transposed();
    assert!(upright.runs_upright() && !light.runs_upright());
    let found = find(&upright.transposed(), None, Faces::Seen).expect("layers");
    let all = layers(&found, borders(&made)[made.len()]);
    let grain: Vec<Option<Grain>> = all.iter().map(|l| l.grain).collect();
    let (end, long) = (Some(Grain::Along), Some(Grain::Across));
    assert_eq!(grain, [None, long, end, long, end, long, end, long, None]);
    assert!(all[0].veneer && all[8].veneer && !all[4].veneer);
    let [teal, red] = [all[0].colour, all[8].colour];
    assert!(teal.green > teal.red && red.red > red.green, "{teal} {red}");
}

/// Flat colours, drawn by sampling and without the maker above: a dark veneer on a dark ground, which is no ripple of the
/// ply beside it; and a light ground in a picture whose sides are no multiple of anything.
#[test]
fn a_dark_veneer_on_a_dark_ground_and_a_tilted_edge_in_a_small_picture_are_read() {
    // In linear light.
    let (teal, red) = ([0.014, 0.195, 0.195], [0.578, 0.051, 0.028]);
    let (light, dark) = ([0.69, 0.485, 0.262], [0.392, 0.22, 0.078]);
    let made = [
        (0.6, teal),
        (1.2, light),
        (1.6, dark),
        (1.5, light),
        (1.6, dark),
        (1.2, light),
        (0.6, red),
    ];
    let thick: f64 = made.iter().map(|(mm, _)| mm).sum();
    for (ground, [width, height], each, degrees) in [
        ([0.021, 0.023, 0.027], [220, 190], 14.0, 2.2),
        ([0.888, 0.871, 0.823], [210, 192], 12.0, -4.0),
    ] {
        let (sin, cos) = sin_cos(degrees);
        let colour = |x: f64, y: f64| -> [f64; 3] {
            let (right, down) = (x - f64::from(width) / 2.0, y - f64::from(height) / 2.0);
            let mut left = (down * cos - right * sin) / each + thick / 2.0;
            if left < 0.0 {
                return ground;
            }
            let layer = made.iter().find(|(mm, _)| {
                left -= mm;
                left < 0.0
            });
            layer.map_or(ground, |(_, colour)| *colour)
        };
        let pixels = (0..height).flat_map(|y| (0..width).map(move |x| (x, y)));
        let rgb = pixels.flat_map(|(x, y)| {
            let samples = [0.125, 0.375, 0.625, 0.875].map(|part| {
                let bright = 0.55 + 0.45 * f64::from(x) / f64::from(width);
                colour(f64::from(x), f64::from(y) + part - 0.5).map(|c| c * bright / 4.0)
            });
            (0..3).map(move |c| encoded(samples.iter().map(|s| s[c]).sum()))
        });
        let rgb: Vec<u8> = rgb.collect();
        let [wide, high] = [width, height].map(|n| usize::try_from(n).expect("pixels"));
        let seen = Light::of(wide, high, rgb).expect("a picture");
        assert!(!seen.runs_upright(), "{ground:?}");
        let found = find(&seen, None, Faces::Seen).expect("layers");
        let mut at = 0.0;
        assert_eq!(found.borders.len(), made.len() + 1, "{found:?}");
        for (border, (mm, _)) in found.borders.iter().zip(&made) {
            assert!((border.at * thick - at).abs() < 0.1, "{at}: {found:?}");
            at += mm;
        }
    }
}

#[test]
fn what_is_no_picture_of_an_edge_is_refused() {
    let bench = Bench::new()
        .file("text.png", "no picture")
        .file("cut.jpg", "x");
    let read = |name: &str| bench.run(&["layers", name, "--thickness", "18"]);
    read("text.png")
        .ended(1)
        .err_has("neither a PNG nor a JPEG");
    read("none.png").ended(1);
    let whole = jpeg(&Picture {
        width: 64,
        height: 64,
        rgb: vec![120; 64 * 64 * 3],
    });
    bench.write("cut.jpg", &whole[..whole.len() / 3]);
    read("cut.jpg").ended(1);
    bench.write("plain.jpg", &whole);
    read("plain.jpg").ended(1).err_has("no layers were found");
    bench
        .run(&["layers", "plain.jpg", "--thickness", "18", "--plies", "5"])
        .ended(1)
        .err_has("no layers were found");
}
