//! What eyes resolve, against standards and published formulas; the blur against another program.

use plyloom::appearance::{blur::Pixels, eye};

/// ISO 8596: acuity 1 resolves 1 arcminute. The arithmetic is any geometry text's.
#[test]
fn an_arcminute_in_millimetres() {
    for (distance, width) in [
        (300.0, 0.0873),
        (400.0, 0.1164),
        (500.0, 0.1454),
        (1000.0, 0.2909),
        (3000.0, 0.8727),
        (6000.0, 1.7453),
    ] {
        assert!((eye::width(eye::ACUITY, distance) - width).abs() < 0.000_06);
        assert!((eye::arcminutes(width, distance) - 1.0).abs() < 0.001);
    }
    // A veneer of 0.6 mm.
    assert!((eye::distance(0.6, 1.0) - 2063.0).abs() < 1.0);
    // Snellen: a letter of 5 arcminutes at 6 m is 8.727 mm high, at 20 ft 8.866 mm.
    assert!((eye::width(5.0, 6000.0) - 8.727).abs() < 0.001);
    assert!((eye::width(5.0, 20.0 * 304.8) - 8.866).abs() < 0.001);
}

/// Mannos and Sakrison 1974: a peak of about 1 near 8 cycles per degree, no meaning above 60 (as a
/// thesis of the Vienna University of Technology on image metrics reports it); the other values
/// computed from the formula apart from this program.
#[test]
fn contrast_sensitivity_has_its_published_peak() {
    let steps = (1..6000).map(|i| f64::from(i) / 100.0);
    let peak = steps
        .max_by(|a, b| eye::sensitivity(*a).total_cmp(&eye::sensitivity(*b)))
        .unwrap();
    assert!((peak - 8.0).abs() < 0.2 && (eye::sensitivity(peak) - 1.0).abs() < 0.02);
    assert!((eye::PEAK - peak).abs() < 0.01);
    for (f, a) in [
        (0.0, 0.049_92),
        (1.0, 0.315_96),
        (2.0, 0.527_97),
        (4.0, 0.810_53),
        (8.0, 0.980_78),
        (16.0, 0.690_75),
        (30.0, 0.186_98),
        (60.0, 0.004_48),
    ] {
        assert!((eye::sensitivity(f) - a).abs() < 0.000_01, "{f}");
    }
}

#[test]
fn a_cycle_at_half_a_metre() {
    // One degree at 500 mm is 8.7269 mm: 8 cycles per degree have a period of 1.0909 mm.
    assert!((eye::width(60.0, 500.0) - 8.7269).abs() < 0.0001);
    assert!((eye::frequency(1.0909, 500.0) - 8.0).abs() < 0.001);
}

/// Pelli and Bex 2013: about 1 % where the eye sees best. Full contrast fades at the finest grating
/// that acuity 1 resolves (ISO 8596: strokes of 1 arcminute, 30 cycles per degree).
#[test]
fn farthest_distances() {
    assert_eq!(eye::farthest(10.0, 0.009), None);
    let sharp = eye::farthest(1.2, 1.0).unwrap();
    assert!((eye::arcminutes(0.6, sharp) - 1.0).abs() < 1e-3);
    // Somewhere between: the contrast found is just the one that is needed there.
    let faint = eye::farthest(1.2, 0.02).unwrap();
    let needed = eye::needed(eye::frequency(1.2, faint)).unwrap();
    assert!(faint < sharp && (needed - 0.02).abs() < 1e-9);
}

/// The blur leaves of the finest grating what the contrast sensitivity leaves there: 0.187 of
/// 0.981, by the transfer function of a Gaussian, exp(-2 pi^2 s^2 f^2) (any text on Fourier
/// transforms).
#[test]
fn the_eyes_blur_matches_the_formula_at_the_finest_grating() {
    let s = eye::blur() / 60.0;
    let left = (-2.0 * (std::f64::consts::PI * s * eye::FINEST).powi(2)).exp();
    assert!((left - 0.186_98 / 0.980_88).abs() < 0.0001);
}

/// scipy 1.17, `ndimage.gaussian_filter(linear, 1.3, mode="nearest", truncate=4.0)` on decoded
/// greys, encoded again and rounded.
#[test]
fn the_blur_agrees_with_a_reference_library() {
    const REFERENCE: [[u8; 12]; 9] = [
        [92, 109, 126, 142, 154, 163, 160, 145, 129, 120, 122, 130],
        [123, 137, 148, 155, 158, 160, 158, 152, 146, 137, 127, 124],
        [139, 150, 158, 162, 162, 160, 156, 154, 154, 148, 132, 118],
        [140, 150, 158, 164, 163, 159, 155, 154, 155, 152, 137, 116],
        [139, 146, 156, 164, 164, 159, 156, 157, 158, 155, 143, 120],
        [143, 148, 157, 167, 169, 164, 161, 163, 163, 160, 149, 133],
        [150, 156, 164, 171, 173, 170, 167, 168, 168, 166, 162, 159],
        [167, 170, 173, 173, 169, 166, 165, 167, 169, 171, 177, 187],
        [184, 182, 178, 168, 155, 150, 152, 157, 163, 171, 184, 202],
    ];
    let mut bytes = Vec::new();
    for y in 0..9_usize {
        for x in 0..12_usize {
            let grey = u8::try_from((37 * x + 91 * y + 13 * x * y) % 256).unwrap();
            bytes.extend([grey, grey, grey, 255]);
        }
    }
    let soft = Pixels::new(12, 9, bytes).unwrap().blurred(1.3);
    let expected: Vec<u8> = REFERENCE
        .as_flattened()
        .iter()
        .flat_map(|&g| [g, g, g, 255])
        .collect();
    assert_eq!(soft.into_bytes(), expected);
}

/// A sharp edge becomes (1 + erf(x / (s sqrt 2))) / 2 (any text on the normal distribution).
#[test]
fn an_edge_becomes_the_error_function() {
    // Blurred as it is, and made smaller before.
    for (sigma, size) in [(6.0, 80_u32), (40.0, 600)] {
        let row: Vec<u8> = (0..size)
            .flat_map(|x| {
                if x < size / 2 {
                    [0, 0, 0, 255]
                } else {
                    [255; 4]
                }
            })
            .collect();
        let soft = Pixels::new(size as usize, 1, row)
            .unwrap()
            .blurred(sigma)
            .into_bytes();
        for (x, pixel) in (0..size).zip(soft.chunks_exact(4)) {
            let from_edge = f64::from(x) + 0.5 - f64::from(size / 2);
            let exact = f64::midpoint(1.0, libm::erf(from_edge / (sigma * 2.0_f64.sqrt())));
            let got = plyloom::appearance::linear::decode(f64::from(pixel[0]) / 255.0);
            assert!((got - exact).abs() < 0.006, "{sigma} {x}: {got} {exact}");
        }
    }
}
