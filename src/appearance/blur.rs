//! Pixels as seen from far away: a Gaussian blur in linear light.
//!
//! A picture is rows of RGBA bytes (sRGB, alpha not multiplied in). Beyond the rim the nearest
//! pixel goes on.

use super::{eye, linear};
use crate::watch;

/// Up to this standard deviation, in pixels, each pixel is blurred by itself.
const EXACT: f64 = 16.0;

/// Why pixels cannot be looked at.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PixelError {
    /// The buffer does not fit its size.
    #[error("{bytes} bytes are no picture of {width} x {height} pixels")]
    Size {
        /// Of the buffer.
        bytes: usize,
        /// In pixels.
        width: usize,
        /// In pixels.
        height: usize,
    },
    /// A distance or scale that is no number above 0.
    #[error("a distance and a scale must be numbers above 0")]
    Scale,
}

/// A picture as rows of RGBA bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pixels {
    width: usize,
    height: usize,
    bytes: Vec<u8>,
}

impl Pixels {
    /// Takes a buffer of 4 bytes a pixel.
    ///
    /// # Errors
    /// When the buffer does not fit the size.
    pub fn new(width: usize, height: usize, bytes: Vec<u8>) -> Result<Self, PixelError> {
        let fits = width
            .checked_mul(height)
            .and_then(|n| n.checked_mul(4))
            .is_some_and(|n| n == bytes.len() && n > 0);
        if fits {
            Ok(Self {
                width,
                height,
                bytes,
            })
        } else {
            Err(PixelError::Size {
                bytes: bytes.len(),
                width,
                height,
            })
        }
    }

    /// Width in pixels.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Height in pixels.
    pub fn height(&self) -> usize {
        self.height
    }

    pub(super) fn bytes_mut(&mut self) -> &mut [u8] {
        &mut self.bytes
    }

    /// The bytes, given away.
    pub fn into_bytes(self) -> Vec<u8> {
        self.bytes
    }

    /// What an eye of acuity 1 sees of it from `distance` mm, with `scale` pixels for each mm of
    /// wood.
    ///
    /// # Errors
    /// When either is no number above 0.
    pub fn seen_from(&self, distance: f64, scale: f64) -> Result<Self, PixelError> {
        let good = |x: f64| x.is_finite() && x > 0.0;
        if !good(distance) || !good(scale) {
            return Err(PixelError::Scale);
        }
        Ok(self.blurred(eye::width(eye::blur(), distance) * scale))
    }

    /// Blurred by a Gaussian of `sigma` pixels in linear light, weighted by alpha.
    ///
    /// Exact up to 16 pixels; beyond, the picture is first made smaller, which takes the place of a
    /// small part of the blur.
    #[must_use]
    pub fn blurred(&self, sigma: f64) -> Self {
        let blur = Blur::new(sigma, self.width, self.height);
        let light = Light::table();
        let alpha: Vec<f32> = self.channel(3).map(|a| f32::from(a) / 255.0).collect();
        let soft = blur.on(&alpha);
        let mut bytes = vec![0; self.bytes.len()];
        for channel in 0..3 {
            watch::ask();
            let plane: Vec<f32> = self
                .channel(channel)
                .zip(&alpha)
                .map(|(c, a)| light.decoded[usize::from(c)] * a)
                .collect();
            for (i, (sum, a)) in blur.on(&plane).into_iter().zip(&soft).enumerate() {
                let mean = if *a > 0.0 { sum / a } else { 0.0 };
                bytes[4 * i + channel] = light.byte(mean);
            }
        }
        for (i, a) in soft.iter().enumerate() {
            bytes[4 * i + 3] = share(*a);
        }
        Self { bytes, ..*self }
    }

    fn channel(&self, which: usize) -> impl Iterator<Item = u8> + '_ {
        self.bytes.chunks_exact(4).map(move |p| p[which])
    }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held between 0 and 255"
)]
fn share(of_one: f32) -> u8 {
    libm::roundf(of_one.clamp(0.0, 1.0) * 255.0) as u8
}

/// Light for each byte, and the border of light between each byte and the next.
struct Light {
    decoded: [f32; 256],
    borders: [f32; 255],
}

impl Light {
    #[allow(
        clippy::cast_possible_truncation,
        reason = "single precision is far finer than a byte"
    )]
    fn table() -> Self {
        let at = |step: f64| linear::decode(step / 255.0) as f32;
        let mut table = Self {
            decoded: [0.0; 256],
            borders: [0.0; 255],
        };
        for (step, light) in (0_u8..=255).zip(&mut table.decoded) {
            *light = at(f64::from(step));
        }
        for (step, light) in (0_u8..255).zip(&mut table.borders) {
            *light = at(f64::from(step) + 0.5);
        }
        table
    }

    fn byte(&self, light: f32) -> u8 {
        u8::try_from(self.borders.partition_point(|b| *b <= light)).unwrap_or(u8::MAX)
    }
}

/// A blur of planes of one size.
struct Blur {
    width: usize,
    height: usize,
    /// Pixels, either way, that become one before the blur.
    by: usize,
    kernel: Vec<f32>,
}

impl Blur {
    fn new(sigma: f64, width: usize, height: usize) -> Self {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a cast from f64 saturates, and the size bounds it"
        )]
        let by = if sigma > EXACT {
            ((2.0 * sigma / EXACT) as usize).min(width.max(height))
        } else {
            1
        };
        // The mean over n pixels has the variance (n^2 - 1) / 12 (a discrete uniform distribution),
        // and variances add up.
        let n = by as f64;
        let rest = (sigma * sigma - (n * n - 1.0) / 12.0).max(0.0).sqrt() / n;
        let size = width.max(height).div_ceil(by);
        Self {
            width,
            height,
            by,
            kernel: kernel(rest, size),
        }
    }

    fn on(&self, plane: &[f32]) -> Vec<f32> {
        if self.by == 1 {
            return smooth(plane, self.width, self.height, &self.kernel);
        }
        let (w, h) = (self.width.div_ceil(self.by), self.height.div_ceil(self.by));
        let small = smooth(&self.smaller(plane, w, h), w, h, &self.kernel);
        let across: Vec<Interpolation> = (0..self.width).map(|x| self.place(x, w)).collect();
        let mut all = Vec::with_capacity(plane.len());
        for y in 0..self.height {
            let down = self.place(y, h);
            all.extend(across.iter().map(|a| {
                let row = |y: usize| between(small[y * w + a.from], small[y * w + a.to], a.share);
                between(row(down.from), row(down.to), down.share)
            }));
        }
        all
    }

    fn smaller(&self, plane: &[f32], w: usize, h: usize) -> Vec<f32> {
        let mut sums = vec![0.0_f32; w * h];
        let mut counts = vec![0.0_f32; w * h];
        for (y, row) in plane.chunks_exact(self.width).enumerate() {
            watch::ask();
            for (x, v) in row.iter().enumerate() {
                let i = y / self.by * w + x / self.by;
                sums[i] += v;
                counts[i] += 1.0;
            }
        }
        sums.iter().zip(&counts).map(|(s, n)| s / n).collect()
    }

    /// Between which small pixels a pixel's middle lies.
    fn place(&self, at: usize, size: usize) -> Interpolation {
        let exact = ((at as f64 + 0.5) / self.by as f64 - 0.5).clamp(0.0, size as f64 - 1.0);
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "held between 0 and the size"
        )]
        let (from, share) = (exact as usize, (exact - libm::floor(exact)) as f32);
        Interpolation {
            from,
            to: (from + 1).min(size - 1),
            share,
        }
    }
}

struct Interpolation {
    from: usize,
    to: usize,
    share: f32,
}

fn between(a: f32, b: f32, share: f32) -> f32 {
    a + (b - a) * share
}

/// Half a Gaussian from its middle on, of sum 1 over both halves: cut off at 4 sigma, or where it
/// would leave the picture.
fn kernel(sigma: f64, size: usize) -> Vec<f32> {
    let mut half = vec![1.0];
    while (half.len() as f64) <= 4.0 * sigma + 0.5 && half.len() <= size {
        let x = half.len() as f64 / sigma;
        half.push(libm::exp(-0.5 * x * x));
    }
    let sum = 2.0 * half.iter().sum::<f64>() - half[0];
    #[allow(
        clippy::cast_possible_truncation,
        reason = "single precision is far finer than a byte"
    )]
    half.iter().map(|k| (k / sum) as f32).collect()
}

/// Along the rows, then along the columns.
fn smooth(plane: &[f32], width: usize, height: usize, kernel: &[f32]) -> Vec<f32> {
    let mut rows = Vec::with_capacity(plane.len());
    for row in plane.chunks_exact(width) {
        watch::ask();
        for x in 0..width {
            let mut sum = row[x] * kernel[0];
            for (d, k) in kernel.iter().enumerate().skip(1) {
                sum += k * (row[x.saturating_sub(d)] + row[(x + d).min(width - 1)]);
            }
            rows.push(sum);
        }
    }
    let row = |y: usize| &rows[y * width..(y + 1) * width];
    let mut all = Vec::with_capacity(plane.len());
    for y in 0..height {
        watch::ask();
        let start = all.len();
        all.extend(row(y).iter().map(|v| v * kernel[0]));
        for (d, k) in kernel.iter().enumerate().skip(1) {
            let pairs = row(y.saturating_sub(d))
                .iter()
                .zip(row((y + d).min(height - 1)));
            for (sum, (a, b)) in all[start..].iter_mut().zip(pairs) {
                *sum += k * (a + b);
            }
        }
    }
    all
}
