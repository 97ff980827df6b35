//! What a saw can do, and what its owner will hold. Lengths in mm, angles in degrees.

use crate::geom::angle;

/// The side to which a saw's blade tilts, as seen by who feeds the work. The fence stands on the
/// other side, so that the blade leans away from it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum TiltsTo {
    /// To the left.
    #[default]
    Left,
    /// To the right.
    Right,
}

/// What a saw can do, and what its owner will hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SawLimits {
    /// Farthest tilt from vertical in degrees. Table saws: 45 (from saws' manuals).
    pub most_tilt: f64,
    /// Width of the cut in mm. Full-kerf blade: 3.2 (common practice).
    pub kerf: f64,
    /// Shortest piece that is fed along the fence, in mm: 300 (common practice).
    pub shortest: f64,
    /// Narrowest foot on the table, in mm, with which a piece is led between blade and fence:
    /// 12 (common practice; always with a push block).
    pub narrowest: f64,
    /// Depth of cut in mm with the blade upright. A 10 in. blade: about 79 (common practice).
    pub depth: f64,
    /// Depth of cut in mm with the blade at 45 degrees. A 10 in. blade: about 57 (common practice).
    pub depth_at_45: f64,
    /// The side to which the blade tilts.
    pub tilts_to: TiltsTo,
    /// Highest bar that can be sliced, in mm. A band saw of 14 in.: 150 (common practice).
    pub slicing_height: f64,
}

impl Default for SawLimits {
    fn default() -> Self {
        Self {
            most_tilt: 45.0,
            kerf: 3.2,
            shortest: 300.0,
            narrowest: 12.0,
            depth: 79.0,
            depth_at_45: 57.0,
            tilts_to: TiltsTo::Left,
            slicing_height: 150.0,
        }
    }
}

impl SawLimits {
    /// How far the blade stands out of the table along itself, in mm, at a tilt: between the two
    /// measured places in a straight line.
    pub fn reach(&self, tilt: f64) -> f64 {
        let at_45 = self.depth_at_45 / angle::cos(45.0);
        self.depth + (at_45 - self.depth) * tilt / 45.0
    }

    /// The thickest board that the blade cuts at a tilt, in mm.
    pub fn depth_at(&self, tilt: f64) -> f64 {
        self.reach(tilt) * angle::cos(tilt)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_depth_of_cut_goes_from_upright_to_45_degrees() {
        let saw = SawLimits::default();
        // 57 / cos 45 = 80.61 along the blade; at 30 degrees 79 + 1.61 x 30 / 45 = 80.07 along it,
        // 80.07 x cos 30 = 69.35 deep.
        for (tilt, depth) in [(0.0, 79.0), (30.0, 69.346), (45.0, 57.0)] {
            assert!((saw.depth_at(tilt) - depth).abs() < 1e-3, "{tilt}");
        }
    }
}
