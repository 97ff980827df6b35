//! How lengths, areas, masses and forces are written: mm, m2, kg and kN, or inches, square feet, pounds
//! and pounds-force.
//!
//! Results that a maker sets on a rule are written as fractions of an inch; the terms of a sum are
//! written as decimals, so that the sum can be checked. Rounding is to the nearest step, and half a
//! step goes away from zero (the trade has no rule of its own).

use crate::geom::{length::INCH, number};

/// The finest graduation that lengths in inches are rounded to: 1/32 in. It is off by 0.4 mm at
/// most.
pub const GRADUATIONS: u32 = 32;

/// Thinner than this many mm, an inch is written as a decimal: a 32nd would be off by too much.
const THIN: f64 = 3.0;

/// Square mm in a square foot, exact.
const SQUARE_FOOT: f64 = (12.0 * INCH) * (12.0 * INCH);

/// Kilograms in a pound, exact (international pound of 1959).
const POUND: f64 = 0.453_592_37;

/// Grams in an ounce, exact (a sixteenth of a pound).
const OUNCE: f64 = POUND * 1000.0 / 16.0;

/// Cubic metres in a cubic foot, exact.
const CUBIC_FOOT: f64 = 0.028_316_846_592;

/// Kilonewtons in a pound-force, exact: a pound times the standard acceleration of gravity, 9.80665
/// m/s^2.
pub(in crate::plan) const POUND_FORCE: f64 = POUND * 9.806_65 / 1000.0;

/// The units that a plan is printed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Millimetres, square metres, kilograms, kilonewtons.
    #[default]
    Metric,
    /// Inches and fractions, square feet, pounds, pounds-force.
    Inch,
}

impl Units {
    /// A length given in mm, as it is set on a rule.
    pub fn length(self, mm: f64) -> String {
        match self {
            Self::Metric => format!("{} mm", decimal(mm, 1)),
            Self::Inch if mm.abs() < THIN => format!("{} in", decimal(mm / INCH, 3)),
            Self::Inch => format!("{} in", fraction(mm / INCH)),
        }
    }

    /// A small length given in mm, such as a gap or an error: hundredths of a mm, or thousandths of
    /// an inch.
    pub fn fine(self, mm: f64) -> String {
        match self {
            Self::Metric => format!("{} mm", decimal(mm, 2)),
            Self::Inch => format!("{} in", decimal(mm / INCH, 3)),
        }
    }

    /// A length given in mm that is added up from many: metres or feet where it is long.
    pub fn long(self, mm: f64) -> String {
        match self {
            Self::Metric if mm >= 1000.0 => format!("{} m", decimal(mm / 1000.0, 2)),
            Self::Inch if mm >= 36.0 * INCH => format!("{} ft", decimal(mm / (12.0 * INCH), 1)),
            _ => self.length(mm),
        }
    }

    /// A length given in mm that a saw is set to: in hundredths of a mm, which tolerances ask for; in
    /// inches as on a rule, and in thousandths where that is too coarse.
    pub fn setting(self, mm: f64) -> String {
        match self {
            Self::Metric => self.fine(mm),
            Self::Inch => {
                let shown = self.dimension(mm);
                if mm.abs() < THIN || shown == self.length(mm) {
                    shown
                } else {
                    format!("{shown} (about {})", fraction(mm / INCH))
                }
            }
        }
    }

    /// The same, short enough for a drawing: a fraction of an inch only where it is exact.
    pub fn dimension(self, mm: f64) -> String {
        let (inches, each) = (mm / INCH, f64::from(GRADUATIONS));
        let off = (inches * each).round() / each - inches;
        match self {
            Self::Inch if mm.abs() >= THIN && off.abs() < 0.000_5 => self.length(mm),
            _ => self.fine(mm),
        }
    }

    /// A length given in mm, fine enough for a sum.
    pub fn term(self, mm: f64) -> String {
        match self {
            Self::Metric => decimal(mm, 3),
            Self::Inch => decimal(mm / INCH, 4),
        }
    }

    /// An area given in square mm.
    pub fn area(self, mm2: f64) -> String {
        match self {
            Self::Metric => format!("{} m2", decimal(mm2 / 1e6, 3)),
            Self::Inch => format!("{} sq ft", decimal(mm2 / SQUARE_FOOT, 2)),
        }
    }

    /// A mass given in kg.
    pub fn mass(self, kg: f64) -> String {
        match self {
            Self::Metric => format!("{} kg", decimal(kg, 2)),
            Self::Inch => format!("{} lb", decimal(kg / POUND, 2)),
        }
    }

    /// A length given in mm that something needs at least: rounded up, so that what measures just that
    /// suffices.
    pub fn at_least(self, mm: f64) -> String {
        self.length(up_to_step(mm, self.step(mm)))
    }

    /// A length given in mm that is there at most: rounded down.
    pub fn at_most(self, mm: f64) -> String {
        self.length(-up_to_step(-mm, self.step(mm)))
    }

    /// A length given in mm that pieces are cut to, of which each may come out so much longer: rounded up as far as
    /// there is room, else told as finely as a saw is set.
    pub fn cut(self, mm: f64, room: f64) -> String {
        if up_to_step(mm, self.step(mm)) <= mm + room {
            self.at_least(mm)
        } else {
            self.fine(mm)
        }
    }

    /// A small length given in mm that must not be passed: rounded down, as [`fine`](Self::fine) as may be.
    pub fn fine_at_most(self, mm: f64) -> String {
        let step = match self {
            Self::Metric => 0.01,
            Self::Inch => INCH / 1000.0,
        };
        self.fine(-up_to_step(-mm, step))
    }

    /// The step that lengths are shown in, in mm.
    fn step(self, mm: f64) -> f64 {
        match self {
            Self::Metric => 0.1,
            Self::Inch if mm.abs() < THIN => INCH / 1000.0,
            Self::Inch => INCH / f64::from(GRADUATIONS),
        }
    }

    /// A spread of glue given in g for a square metre.
    pub fn spread(self, grams: f64) -> String {
        match self {
            Self::Metric => format!("{} g for each m2", decimal(grams, 1)),
            Self::Inch => format!(
                "{} oz for each sq ft",
                decimal(grams / OUNCE * SQUARE_FOOT / 1e6, 3)
            ),
        }
    }

    /// A density given in kg for a cubic metre.
    pub fn density(self, density: f64) -> String {
        match self {
            Self::Metric => format!("{} kg/m3", decimal(density, 1)),
            Self::Inch => format!("{} lb/cu ft", decimal(density / POUND * CUBIC_FOOT, 2)),
        }
    }

    /// A volume given in cubic mm.
    pub fn volume(self, mm3: f64) -> String {
        match self {
            Self::Metric => format!("{} dm3", decimal(mm3 / 1e6, 3)),
            Self::Inch => format!("{} cu ft", decimal(mm3 / 1e9 / CUBIC_FOOT, 3)),
        }
    }

    /// A force given in kN: to a tenth, or to ten pounds-force, with the kN in brackets as makers of
    /// clamps state either.
    pub fn force(self, kn: f64) -> String {
        match self {
            Self::Metric => format!("{kn:.1} kN"),
            Self::Inch => format!(
                "{:.0} lbf ({kn:.1} kN)",
                (kn / POUND_FORCE / 10.0).round() * 10.0
            ),
        }
    }

    /// The word for the unit of lengths.
    pub fn word(self) -> &'static str {
        match self {
            Self::Metric => "mm",
            Self::Inch => "inches",
        }
    }
}

/// The next multiple of a step, or this one where it is one but for rounding.
fn up_to_step(mm: f64, step: f64) -> f64 {
    (mm / step - 1e-6).ceil() * step
}

/// A number with at most so many decimals, without zeros at the end and without a minus before 0.
pub fn decimal(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = match text.split_once('.') {
        Some(_) => text.trim_end_matches('0').trim_end_matches('.'),
        None => &text,
    };
    if text == "-0" { "0" } else { text }.to_owned()
}

/// Inches as a whole number and a fraction in lowest terms: `1 1/2`, `23/32`, `4`.
fn fraction(inches: f64) -> String {
    let steps = (inches.abs() * f64::from(GRADUATIONS)).round();
    if steps > 1e12 {
        return decimal(inches, 3);
    }
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "not negative, and checked to be small"
    )]
    let steps = steps as u64;
    let sign = if inches < 0.0 && steps > 0 { "-" } else { "" };
    format!("{sign}{}", number::fraction(steps, u64::from(GRADUATIONS)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_of_an_inch() {
        // Nearest 32nds, computed by hand as n = round(32 x mm / 25.4), reduced.
        for (mm, text) in [
            (18.0, "23/32 in"),
            (17.7, "11/16 in"),
            (12.0, "15/32 in"),
            (6.5, "1/4 in"),
            (3.2, "1/8 in"),
            (20.7846, "13/16 in"),
            (38.1, "1 1/2 in"),
            (-19.05, "-3/4 in"),
            (609.6, "24 in"),
            // A veneer is no number of 32nds.
            (0.6, "0.024 in"),
            (1.4, "0.055 in"),
        ] {
            assert_eq!(Units::Inch.length(mm), text, "{mm}");
        }
    }

    #[test]
    fn settings_in_inches_are_told_finer_than_a_rule() {
        assert_eq!(Units::Inch.setting(21.824), "0.859 in (about 27/32)");
        assert_eq!(Units::Inch.setting(12.7), "1/2 in");
        assert_eq!(Units::Inch.dimension(21.824), "0.859 in");
        assert_eq!(Units::Metric.setting(21.824), "21.82 mm");
        assert_eq!(Units::Inch.fine(0.1), "0.004 in");
        assert_eq!(Units::Metric.fine(0.106), "0.11 mm");
        assert_eq!(Units::Metric.long(6176.1), "6.18 m");
        assert_eq!(Units::Metric.long(999.0), "999 mm");
        assert_eq!(Units::Inch.long(6096.0), "20 ft");
    }

    #[test]
    fn decimals_end_where_they_say_nothing() {
        assert_eq!(Units::Metric.length(18.0), "18 mm");
        assert_eq!(Units::Metric.length(20.784_6), "20.8 mm");
        assert_eq!(Units::Metric.term(20.784_61), "20.785");
        assert_eq!(decimal(-0.0001, 2), "0");
        assert_eq!(decimal(100.0, 0), "100");
        assert_eq!(Units::Inch.area(304.8 * 304.8 * 2.5), "2.5 sq ft");
        assert_eq!(Units::Inch.mass(0.453_592_37), "1 lb");
    }

    /// 23.79 in is less than 23 25/32 = 23.781 + 1/32: a bar of 23 25/32 would lose a slice.
    #[test]
    fn what_is_needed_is_rounded_up_and_what_is_left_down() {
        let mm = 23.79 * INCH;
        assert_eq!(Units::Inch.length(mm), "23 25/32 in");
        assert_eq!(Units::Inch.at_least(mm), "23 13/16 in");
        assert_eq!(Units::Inch.at_most(mm), "23 25/32 in");
        assert_eq!(Units::Metric.at_least(604.01), "604.1 mm");
        assert_eq!(Units::Metric.at_most(604.09), "604 mm");
        // Two of them, of a board with room for 0.2 mm each, and of one that they just fill.
        assert_eq!(Units::Metric.cut(604.01, 0.2), "604.1 mm");
        assert_eq!(Units::Metric.cut(604.01, 0.0), "604.01 mm");
        assert_eq!(Units::Inch.cut(mm, 0.0), "23.79 in");
        assert_eq!(Units::Metric.fine_at_most(0.096), "0.09 mm");
        assert_eq!(Units::Inch.fine_at_most(0.1), "0.003 in");
        // What is exact stays.
        assert_eq!(Units::Metric.fine_at_most(0.1), "0.1 mm");
        assert_eq!(Units::Metric.at_least(607.6), "607.6 mm");
        assert_eq!(Units::Inch.at_least(609.6), "24 in");
        assert_eq!(Units::Inch.at_most(609.6), "24 in");
    }

    /// 180 g/m2 x 0.092 903 m2 / 28.3495 g = 0.590 oz; 680 kg/m3 / 0.453 592 x 0.028 317 = 42.45 lb.
    #[test]
    fn inch_plans_have_no_metric_units() {
        assert_eq!(Units::Inch.spread(180.0), "0.59 oz for each sq ft");
        assert_eq!(Units::Inch.density(680.0), "42.45 lb/cu ft");
        assert_eq!(Units::Inch.volume(28_316_846.592), "1 cu ft");
        assert_eq!(Units::Metric.volume(1e6), "1 dm3");
    }

    /// 1 lbf = 4.448 222 N: NIST Special Publication 811 (2008), appendix B.8.
    #[test]
    fn forces() {
        assert!((POUND_FORCE * 1000.0 - 4.448_222).abs() < 5e-7);
        assert_eq!(Units::Metric.force(4.42), "4.4 kN");
        assert_eq!(Units::Inch.force(4.448_222), "1000 lbf (4.4 kN)");
        assert_eq!(Units::Inch.force(10.6), "2380 lbf (10.6 kN)");
    }
}
