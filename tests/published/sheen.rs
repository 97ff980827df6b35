//! How long grain catches the light, at worked angles.

use plyloom::appearance::{Finish, Light, finish::Sheen};

fn sheen(width: f64, index: f64) -> Sheen {
    Sheen {
        strength: 1.0,
        width,
        index,
    }
}

/// The formula of Marschner, Westin, Arbree and Moon (SIGGRAPH 2005), worked out apart
/// from this program in three dimensions with Snell's law in vector form.
#[test]
fn the_highlight_at_worked_angles() {
    for (azimuth, elevation, rising, run_out, width, index, expected) in [
        (0.0, 45.0, 0.0, 0.0, 10.0, 1.5, 0.020_356_313_537),
        (30.0, 45.0, 0.0, 0.0, 10.0, 1.5, 0.057_368_194_885),
        (60.0, 45.0, 0.0, 0.0, 10.0, 1.5, 0.400_472_986_400),
        (90.0, 45.0, 0.0, 0.0, 10.0, 1.5, 1.0),
        (200.0, 30.0, 75.0, 2.0, 14.0, 1.5, 0.553_319_185_269),
        (20.0, 30.0, 75.0, 2.0, 14.0, 1.5, 0.264_617_690_749),
        (225.0, 45.0, 60.0, 2.0, 20.0, 1.0, 0.170_360_286_386),
    ] {
        let light = Light::new(azimuth, elevation).unwrap();
        let got = light.highlight(rising, run_out, sheen(width, index));
        assert!((got - expected).abs() < 1e-9, "{azimuth}: {got}");
    }
}

/// Common practice: long grain looks brightest when lit across its fibres, and dull when lit along
/// them; matched veneers of which one is turned end for end differ in shade.
#[test]
fn across_the_fibres_is_bright_and_along_them_dull() {
    for finish in Finish::ALL {
        let s = finish.sheen();
        let gain = |azimuth: f64, run_out| Light::new(azimuth, 45.0).unwrap().gain(0.0, run_out, s);
        assert!(gain(90.0, 0.0) > 1.05 && gain(0.0, 0.0) < 0.95);
        // Fibres just in the face have no ends: both directions are alike.
        assert!((gain(30.0, 0.0) - gain(210.0, 0.0)).abs() < 1e-12);
        assert!((gain(30.0, 2.0) - gain(210.0, 2.0)).abs() > 0.005);
        // The mean over all directions is 1.
        let mean = (0..72).map(|i| gain(5.0 * f64::from(i), 0.0)).sum::<f64>() / 72.0;
        assert!((mean - 1.0).abs() < 1e-12);
    }
}
