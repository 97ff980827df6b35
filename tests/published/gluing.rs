//! Glue: how much, and how hard it is pressed.
//!
//! Sources: yellow PVA wood glue, makers' data sheets: about 250 square feet a gallon at a film of
//! 6 mil, density 1.1 kg/l (from memory); makers' range of 120 to 250 g/m2 (common practice). Clamp
//! pressure: Wood Handbook, FPL-GTR-282, chapter on adhesives: 100 to 247 lb/in2 (from memory). The
//! gallon of 231 cubic inches, the foot and the pound-force per square inch are exact.

use plyloom::plan::{
    Shop,
    glue_up::{Clamping, PRESSURES, VENEER_PRESSURES},
};

const INCH: f64 = 25.4;

/// mm2 in a square foot.
const SQUARE_FOOT: f64 = 12.0 * INCH * 12.0 * INCH;

/// N/mm2 in a pound-force per square inch: 0.45359237 kg x 9.80665 m/s2 / 25.4^2 mm2.
const PSI: f64 = 0.453_592_37 * 9.806_65 / (INCH * INCH);

#[test]
fn the_common_spread_is_the_makers() {
    let gallon = 231.0 * INCH.powi(3) / 1e6; // litres
    let spread = gallon * 1.1 * 1000.0 / (250.0 * SQUARE_FOOT / 1e6);
    // 3.785 l x 1100 g/l / 23.226 m2 = 179.3 g/m2.
    assert!((spread - 179.3).abs() < 0.1, "{spread}");
    let common = Shop::common().glue.spread;
    assert!((common / spread - 1.0).abs() < 0.05, "{common}");
    assert!((120.0..=250.0).contains(&common));
    // The film of that gallon: 3.785 l over 23.226 m2 is 0.163 mm, 6.4 thousandths of an inch.
    let film = gallon / (250.0 * SQUARE_FOOT / 1e6);
    assert!((film / INCH * 1000.0 - 6.4).abs() < 0.1, "{film}");
}

#[test]
fn clamps_press_as_the_wood_handbook_says() {
    for (pressure, psi) in [(PRESSURES.0, 100.0), (PRESSURES.1, 247.0)] {
        assert!((pressure / (psi * PSI) - 1.0).abs() < 0.02, "{psi}");
    }
    // A joint of 12 in. in slices 1/2 in. thick at 100 lb/in2: 600 lbf = 2669 N.
    let [least, _] = Clamping::of(12.0 * INCH * INCH / 2.0, PRESSURES, 3.0).force;
    assert!((least * 1000.0 / (600.0 * PSI * INCH * INCH) - 1.0).abs() < 0.02);
}

/// A vacuum bag presses with one atmosphere at most: 101,325 Pa by definition (10th General Conference on
/// Weights and Measures, 1954), 14.696 lb/in2.
#[test]
fn a_vacuum_bag_presses_with_one_atmosphere() {
    assert!((VENEER_PRESSURES.0 * 1e6 - 101_325.0).abs() < 1e-6);
    assert!((VENEER_PRESSURES.0 / (14.696 * PSI) - 1.0).abs() < 1e-4);
}
