//! A picture as linear light, three colours a pixel, with the light of a point between pixels.

/// A picture, its light from 0 to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Light {
    width: usize,
    height: usize,
    rgb: Vec<u8>,
    table: Vec<f64>,
}

/// sRGB to linear light (IEC 61966-2-1).
fn linear(byte: u8) -> f64 {
    let c = f64::from(byte) / 255.0;
    if c <= 0.040_45 {
        c / 12.92
    } else {
        libm::pow((c + 0.055) / 1.055, 2.4)
    }
}

/// Linear light to sRGB.
pub fn encoded(light: f64) -> u8 {
    let light = light.clamp(0.0, 1.0);
    let c = if light <= 0.003_130_8 {
        light * 12.92
    } else {
        1.055 * libm::pow(light, 1.0 / 2.4) - 0.055
    };
    (c * 255.0).round() as u8
}

impl Light {
    /// From rows of red, green and blue bytes in sRGB; none where they are not as many as the size says.
    pub fn of(width: usize, height: usize, rgb: Vec<u8>) -> Option<Self> {
        if width == 0 || height == 0 || Some(rgb.len()) != width.checked_mul(height)?.checked_mul(3)
        {
            return None;
        }
        Some(Self {
            width,
            height,
            rgb,
            table: (0..=255).map(linear).collect(),
        })
    }

    /// In pixels.
    pub fn width(&self) -> usize {
        self.width
    }

    /// In pixels.
    pub fn height(&self) -> usize {
        self.height
    }

    /// Red, green and blue bytes, row by row.
    pub fn rgb(&self) -> &[u8] {
        &self.rgb
    }

    fn pixel(&self, x: usize, y: usize) -> [f64; 3] {
        let at = 3 * (y * self.width + x);
        std::array::from_fn(|c| self.table[usize::from(self.rgb[at + c])])
    }

    /// Turned so that rows become columns.
    #[must_use]
    pub fn transposed(&self) -> Self {
        let mut rgb = Vec::with_capacity(self.rgb.len());
        for x in 0..self.width {
            for y in 0..self.height {
                let at = 3 * (y * self.width + x);
                rgb.extend_from_slice(&self.rgb[at..at + 3]);
            }
        }
        Self {
            width: self.height,
            height: self.width,
            rgb,
            table: self.table.clone(),
        }
    }

    /// Whether the light changes more from left to right than from top to bottom.
    pub fn runs_upright(&self) -> bool {
        let (across, down) = (self.width.min(64), self.height.min(64));
        // The sum of light and the number of pixels of each strip, as strips differ by a pixel in width.
        let (mut rows, mut columns) = (vec![(0.0, 0.0); down], vec![(0.0, 0.0); across]);
        for y in 0..self.height {
            for x in (0..self.width).step_by((self.width / 256).max(1)) {
                let light: f64 = self.pixel(x, y).iter().sum();
                for (sum, pixels) in [
                    &mut rows[y * down / self.height],
                    &mut columns[x * across / self.width],
                ] {
                    *sum += light;
                    *pixels += 1.0;
                }
            }
        }
        let changes = |strips: &[(f64, f64)]| -> f64 {
            let means: Vec<f64> = strips.iter().map(|(sum, pixels)| sum / pixels).collect();
            let mean = means.iter().sum::<f64>() / means.len() as f64;
            let steps = means.windows(2).map(|w| (w[1] - w[0]) * (w[1] - w[0]));
            steps.sum::<f64>() / (mean * mean).max(1e-12)
        };
        changes(&columns) > changes(&rows)
    }

    /// The light at a point, between the four pixels around it; pixels have their middle at whole numbers.
    pub fn at(&self, x: f64, y: f64) -> [f64; 3] {
        let x = x.clamp(0.0, (self.width - 1) as f64);
        let y = y.clamp(0.0, (self.height - 1) as f64);
        let (left, top) = (x.floor() as usize, y.floor() as usize);
        let (right, bottom) = (
            (left + 1).min(self.width - 1),
            (top + 1).min(self.height - 1),
        );
        let (fx, fy) = (x - left as f64, y - top as f64);
        let (a, b) = (self.pixel(left, top), self.pixel(right, top));
        let (c, d) = (self.pixel(left, bottom), self.pixel(right, bottom));
        std::array::from_fn(|i| {
            let above = a[i] * (1.0 - fx) + b[i] * fx;
            let below = c[i] * (1.0 - fx) + d[i] * fx;
            above * (1.0 - fy) + below * fy
        })
    }
}
