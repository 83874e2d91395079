//! The light of a photo, one number for each pixel.

use photo::Picture;
use photo::srgb::{LUMINANCE, light_of};
use rayon::prelude::*;

/// The shares of red, green and blue in luminance, as single-precision numbers.
pub(crate) const SHARES: [f32; 3] = [LUMINANCE[0] as f32, LUMINANCE[1] as f32, LUMINANCE[2] as f32];

/// Relative luminance of each pixel in linear light, 0 black to 1 white, row after row from the top left.
///
/// Linear, because a lens blurs light and not the numbers of a file: only so does a blurred edge stay where it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Luma {
    width: usize,
    height: usize,
    light: Vec<f32>,
}

impl Luma {
    /// The light of a picture.
    pub fn of(picture: &Picture) -> Self {
        let linear = linear_light();
        let light = picture
            .rgb()
            .par_chunks_exact(3)
            .with_min_len(1 << 14)
            .map(|pixel| (0..3).map(|channel| SHARES[channel] * linear[usize::from(pixel[channel])]).sum())
            .collect();
        Self { width: picture.width() as usize, height: picture.height() as usize, light }
    }

    /// Light given pixel by pixel; `None` unless there are exactly `width × height` and no side is 0.
    pub fn from_light(width: usize, height: usize, light: Vec<f32>) -> Option<Self> {
        let pixels = width.checked_mul(height)?;
        (pixels > 0 && pixels == light.len()).then_some(Self { width, height, light })
    }

    /// Width in pixels, at least 1.
    pub const fn width(&self) -> usize {
        self.width
    }

    /// Height in pixels, at least 1.
    pub const fn height(&self) -> usize {
        self.height
    }

    /// All pixels, row after row from the top left.
    pub fn light(&self) -> &[f32] {
        &self.light
    }

    /// True when the point lies in the photo, at least `margin` pixels from its edge.
    pub fn holds(&self, x: f64, y: f64, margin: f64) -> bool {
        x >= margin && y >= margin && x <= self.width as f64 - margin && y <= self.height as f64 - margin
    }

    /// The light at a point, bilinear between the middles of the four pixels around it; outside the photo that of its
    /// nearest edge.
    pub fn at(&self, x: f64, y: f64) -> f32 {
        let (left, right_share) = neighbour(x, self.width);
        let (top, down_share) = neighbour(y, self.height);
        let right = (left + 1).min(self.width - 1);
        let (above, below) = (top * self.width, (top + 1).min(self.height - 1) * self.width);
        let upper = self.light[above + left] * (1.0 - right_share) + self.light[above + right] * right_share;
        let lower = self.light[below + left] * (1.0 - right_share) + self.light[below + right] * right_share;
        upper * (1.0 - down_share) + lower * down_share
    }

    /// Half as wide and high, each pixel the mean of four; an odd last row or column is left out.
    #[must_use]
    pub fn halved(&self) -> Self {
        let (width, height) = ((self.width / 2).max(1), (self.height / 2).max(1));
        let mut light = vec![0.0; width * height];
        light.par_chunks_exact_mut(width).enumerate().for_each(|(row, line)| {
            let above = 2 * row * self.width;
            let below = (2 * row + 1).min(self.height - 1) * self.width;
            for (column, pixel) in line.iter_mut().enumerate() {
                let (left, right) = (2 * column, (2 * column + 1).min(self.width - 1));
                *pixel = (self.light[above + left]
                    + self.light[above + right]
                    + self.light[below + left]
                    + self.light[below + right])
                    / 4.0;
            }
        });
        Self { width, height, light }
    }
}

/// The last pixel whose middle is not beyond `place`, and how far on the way to the next one's middle the place is.
fn neighbour(place: f64, count: usize) -> (usize, f32) {
    let last = count as f64 - 1.0;
    let place = if place.is_finite() { (place - 0.5).clamp(0.0, last) } else { 0.0 };
    let whole = place as usize;
    (whole, (place - whole as f64) as f32)
}

/// The linear light of each sRGB code, 0 to 1.
pub(crate) fn linear_light() -> [f32; 256] {
    std::array::from_fn(|code| light_of(code as f64 / 255.0) as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn white_is_one_black_is_none_and_middle_grey_is_a_fifth() {
        let picture = Picture::from_rgb(3, 1, vec![255, 255, 255, 0, 0, 0, 119, 119, 119]).unwrap();
        let luma = Luma::of(&picture);
        assert!((luma.light()[0] - 1.0).abs() < 1e-5 && luma.light()[1] == 0.0);
        assert!((luma.light()[2] - 0.184).abs() < 2e-3);
    }

    #[test]
    fn light_runs_evenly_between_the_middles_of_pixels() {
        let luma = Luma::from_light(2, 2, vec![0.0, 1.0, 0.0, 1.0]).unwrap();
        assert_eq!([0.0, 0.5, 1.0, 1.5, 9.0].map(|x| luma.at(x, 1.0)), [0.0, 0.0, 0.5, 1.0, 1.0]);
        assert_eq!(luma.halved().light(), [0.5]);
        assert!(Luma::from_light(2, 2, vec![0.0; 3]).is_none());
    }
}
