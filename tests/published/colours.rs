//! Colour differences, contrasts and colour-blind views against published values.

use plyloom::appearance::{
    Linear, View, contrast,
    difference::{Lab, ciede2000, lab},
};
use plyloom::stock::Colour;

/// Sharma, Wu and Dalal, The CIEDE2000 color-difference formula: implementation notes,
/// supplementary test data, and mathematical observations, Color Research and Application 30 (2005)
/// 21-30, table 1: L a b of both colours and the difference, to 4 places.
const PAIRS: &str = include_str!("ciede2000.txt");

#[test]
fn ciede2000_gives_the_published_differences() {
    let mut pairs = 0;
    for line in PAIRS.lines() {
        let v: Vec<f64> = line.split(' ').map(|n| n.parse().unwrap()).collect();
        let colour = |at: usize| Lab {
            lightness: v[at],
            a: v[at + 1],
            b: v[at + 2],
        };
        for (x, y) in [(colour(0), colour(3)), (colour(3), colour(0))] {
            assert!((ciede2000(x, y) - v[6]).abs() < 0.000_05 + 1e-9, "{line}");
        }
        pairs += 1;
    }
    assert_eq!(pairs, 34);
}

/// WCAG 2.2, definitions of relative luminance and contrast ratio; values computed from them apart
/// from this program. A public worked value: #222222 on white is 15.9099844.
#[test]
fn contrast_ratios_follow_wcag() {
    let colour = |hex: &str| Colour::parse(hex).unwrap();
    for (hex, luminance, white, black) in [
        ("#000000", 0.0, 21.0, 1.0),
        ("#222222", 0.015_996, 15.909_984, 1.3199),
        ("#595959", 0.099_899, 7.0047, 2.9980),
        ("#5a5a5a", 0.102_242, 6.8969, 3.0448),
        ("#767676", 0.181_164, 4.5422, 4.6233),
        ("#777777", 0.184_475, 4.4781, 4.6895),
        ("#808080", 0.215_861, 3.9494, 5.3172),
        ("#949494", 0.296_138, 3.0335, 6.9228),
        ("#959595", 0.300_544, 2.9953, 7.0109),
        ("#ff0000", 0.2126, 3.9985, 5.2520),
        ("#00ff00", 0.7152, 1.3722, 15.3040),
        ("#0000ff", 0.0722, 8.5925, 2.4440),
    ] {
        let c = colour(hex);
        assert!(
            (Linear::from(c).luminance() - luminance).abs() < 1e-6,
            "{hex}"
        );
        assert!(
            (contrast::ratio(c, colour("white")) - white).abs() < 1e-4,
            "{hex}"
        );
        assert!(
            (contrast::ratio(colour("black"), c) - black).abs() < 1e-4,
            "{hex}"
        );
    }
}

/// L*a*b* of the sRGB primaries under D65, to 2 places as many independent public tests have them.
#[test]
fn primaries_in_lab() {
    for (hex, l, a, b) in [
        ("#ffffff", 100.0, 0.0, 0.0),
        ("#ff0000", 53.24, 80.09, 67.20),
        ("#00ff00", 87.73, -86.18, 83.18),
        ("#0000ff", 32.30, 79.19, -107.86),
    ] {
        let c = lab(Colour::parse(hex).unwrap());
        for (got, printed) in [(c.lightness, l), (c.a, a), (c.b, b)] {
            assert!((got - printed).abs() < 0.02, "{hex}: {got} {printed}");
        }
    }
}

/// CIE 1976 lightness is 116 Y^(1/3) - 16 (CIE 15): a luminance of 0.184187 is L* 50.
#[test]
fn lightness_fifty_is_a_luminance_of_about_eighteen_per_cent() {
    let y = (66.0_f64 / 116.0).powi(3);
    assert!((y - 0.184_187).abs() < 1e-6);
    assert!((Lab::from(Linear::new(y, y, y)).lightness - 50.0).abs() < 1e-3);
}

/// Machado, Oliveira and Fernandes (2009), severity 1.0: the columns of the matrices are what the
/// primaries turn to in linear light, held between 0 and 1.
#[test]
fn primaries_to_eyes_without_one_cone() {
    let red = Colour::rgb(255, 0, 0);
    let seen = |view: View| view.of(red.into());
    let near = |c: Linear, r: f64, g: f64, b: f64| {
        (c.red - r).abs() + (c.green - g).abs() + (c.blue - b).abs() < 1e-9
    };
    assert!(near(seen(View::Protanopia), 0.152_286, 0.114_503, 0.0));
    assert!(near(seen(View::Deuteranopia), 0.367_322, 0.280_085, 0.0));
    assert!(near(seen(View::Tritanopia), 1.0, 0.0, 0.004_733));
}
