//! A laminated sheet: layers from face to back.

use super::{Colour, Grain, Layer, LayerKind, StockError};

/// The most layers that one sheet may have; a bound against mistakes, far above any real sheet.
pub const MOST_LAYERS: usize = 400;

/// Layers from the face (depth 0) to the back (depth T).
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    layers: Vec<Layer>,
}

impl Sheet {
    /// A sheet of these layers, the face first.
    ///
    /// # Errors
    /// When there is no layer, or there are more than [`MOST_LAYERS`].
    pub fn new(layers: Vec<Layer>) -> Result<Self, StockError> {
        match layers.len() {
            0 => Err(StockError::NoLayers),
            n if n > MOST_LAYERS => Err(StockError::TooManyLayers { count: n }),
            _ => Ok(Self { layers }),
        }
    }

    /// Plywood of equal plies with crossed grain: the face ply runs along the strip, the next
    /// across, and so on.
    ///
    /// # Errors
    /// When `plies` is 0 or above [`MOST_LAYERS`], or the thickness not a number above 0.
    pub fn plywood(plies: usize, thickness: f64, colour: Colour) -> Result<Self, StockError> {
        if plies == 0 {
            return Err(StockError::NoLayers);
        }
        if plies > MOST_LAYERS {
            return Err(StockError::TooManyLayers { count: plies });
        }
        let each = thickness / plies as f64;
        let grain = |i: usize| {
            if i.is_multiple_of(2) {
                Grain::Along
            } else {
                Grain::Across
            }
        };
        let ply = |i| Layer::new(LayerKind::Ply, each, colour, grain(i));
        let layers = (0..plies)
            .map(ply)
            .collect::<Result<_, _>>()
            .map_err(|_| StockError::Thickness { thickness })?;
        Self::new(layers)
    }

    /// The layers, the face first.
    pub fn layers(&self) -> &[Layer] {
        &self.layers
    }

    /// Total thickness T in mm.
    pub fn thickness(&self) -> f64 {
        self.layers.iter().map(|l| l.thickness).sum()
    }

    /// Depths in mm at which layers begin and end: one more than there are layers, from 0 to T.
    pub fn depths(&self) -> Vec<f64> {
        let mut at = 0.0;
        let mut depths = vec![0.0];
        for layer in &self.layers {
            at += layer.thickness;
            depths.push(at);
        }
        depths
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn depths_run_from_face_to_back() {
        let birch = Colour::parse("birch").unwrap();
        let ply = Sheet::plywood(3, 3.9, birch).unwrap();
        let depths = ply.depths();
        assert_eq!(depths.len(), 4);
        assert!((depths[1] - 1.3).abs() < 1e-12 && (ply.thickness() - 3.9).abs() < 1e-12);
        assert_eq!(ply.layers()[1].grain, Grain::Across);
    }

    #[test]
    fn impossible_sheets() {
        let birch = Colour::parse("birch").unwrap();
        assert_eq!(Sheet::plywood(0, 18.0, birch), Err(StockError::NoLayers));
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(matches!(
                Sheet::plywood(5, bad, birch),
                Err(StockError::Thickness { .. })
            ));
        }
        assert_eq!(
            Sheet::plywood(100_000, 18.0, birch),
            Err(StockError::TooManyLayers { count: 100_000 })
        );
    }
}
