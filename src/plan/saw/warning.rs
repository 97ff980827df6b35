//! Why a part cannot be cut safely. Lengths in mm, angles in degrees.

/// Why a part cannot be cut safely on this saw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Warning {
    /// Neither the blade nor a carriage with a leaning bed gives this tilt.
    TiltBeyond {
        /// Wanted.
        tilt: f64,
        /// The saw's farthest.
        most: f64,
    },
    /// Too narrow to lead between blade and fence, and no other piece of the cut is wider.
    Narrow {
        /// The foot on the table.
        foot: f64,
        /// The narrowest.
        least: f64,
    },
    /// Thinner than what is ripped on a table saw at all.
    ThinStrip {
        /// Its mean width.
        width: f64,
        /// The thinnest.
        least: f64,
    },
    /// No side of the section lies flat on the table.
    NoFlat,
    /// Thicker than the blade cuts.
    TooDeep {
        /// Height of the work.
        height: f64,
        /// Tilt of the cut.
        tilt: f64,
        /// What the blade cuts at this tilt.
        most: f64,
    },
    /// Higher than what can be sliced.
    TooHigh {
        /// The lower of the bar's two sides.
        height: f64,
        /// The highest.
        most: f64,
    },
}
