//! Warping a picture through a projective map, such as squaring up a print that was photographed at a slant.

use rayon::prelude::*;

use crate::picture::Picture;

/// How the colour of a point between the middles of pixels is made of theirs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Interpolation {
    /// Of the four nearest pixels, evenly: never beyond their colours, but edges become a little softer.
    Bilinear,
    /// Of the sixteen nearest, by the cubic convolution of R. G. Keys, "Cubic convolution interpolation for digital image
    /// processing", IEEE Trans. ASSP 29 (1981) 1153-1160, with a = -1/2: edges stay as sharp as they were.
    Bicubic,
}

impl Picture {
    /// A picture of `width` by `height` pixels whose point (x, y) shows this picture's point `map`·(x, y, 1). Both frames have
    /// their origin at the top left corner, pixel edges on whole numbers. What lies outside this picture shows its nearest
    /// edge; a width or height of 0 is taken for 1.
    ///
    /// The map should not shrink: where several pixels fall on one, reduce the picture first.
    #[must_use]
    pub fn warped(&self, map: [[f64; 3]; 3], width: u32, height: u32, interpolation: Interpolation) -> Self {
        if self.width < 2 || self.height < 2 {
            return self.doubled().warped(map, width, height, interpolation);
        }
        match interpolation {
            Interpolation::Bilinear => sampled(map, width, height, |x, y| self.between_four(x, y)),
            Interpolation::Bicubic => sampled(map, width, height, |x, y| self.between_sixteen(x, y)),
        }
    }

    /// The same picture with at least two pixels each way, so that each pixel has a neighbour.
    fn doubled(&self) -> Self {
        let [across, down] = [self.width, self.height].map(|side| if side < 2 { 2 } else { 1 });
        let rows = self.rgb.chunks_exact(self.width as usize * 3);
        let wide =
            rows.map(|row| row.chunks_exact(3).flat_map(|pixel| pixel.repeat(across)).collect::<Vec<_>>());
        let rgb = wide.flat_map(|row| row.repeat(down)).collect();
        Self { width: self.width * across as u32, height: self.height * down as u32, rgb }
    }

    /// The colour at a point, between the middles of the four pixels around it. The picture is two pixels wide and high at least.
    #[inline]
    fn between_four(&self, x: f64, y: f64) -> [u8; 3] {
        let (left, share_right) = neighbour(x, self.width);
        let (top, share_down) = neighbour(y, self.height);
        let stride = self.width as usize * 3;
        let at = top * stride + left * 3;
        let (above, below) = (&self.rgb[at..at + 6], &self.rgb[at + stride..at + stride + 6]);
        let level = |row: &[u8], channel: usize| {
            let (one, next) = (f32::from(row[channel]), f32::from(row[channel + 3]));
            one + (next - one) * share_right
        };
        [0, 1, 2].map(|channel| {
            let (above, below) = (level(above, channel), level(below, channel));
            // Half is added and the rest cut off: `round` is a call into a library on processors of the common denominator.
            (above + (below - above) * share_down + 0.5) as u8
        })
    }

    /// The colour at a point, by cubic convolution of the sixteen pixels around it. The picture is two pixels wide and high at
    /// least.
    #[inline]
    fn between_sixteen(&self, x: f64, y: f64) -> [u8; 3] {
        let (left, share_right) = neighbour(x, self.width);
        let (top, share_down) = neighbour(y, self.height);
        let stride = self.width as usize * 3;
        let last_row = self.height as usize - 1;
        let rows = [top.saturating_sub(1), top, top + 1, (top + 2).min(last_row)].map(|row| row * stride);
        if left >= 1 && left + 2 < self.width as usize {
            let from = (left - 1) * 3;
            let four = rows.map(|row| self.rgb[row + from..].first_chunk::<12>());
            if let [Some(a), Some(b), Some(c), Some(d)] = four {
                return convolved([a, b, c, d], share_right, share_down);
            }
        }
        let last = self.width as usize - 1;
        let columns = [left.saturating_sub(1), left, left + 1, (left + 2).min(last)];
        let four: [[u8; 12]; 4] =
            rows.map(|row| std::array::from_fn(|at| self.rgb[row + columns[at / 3] * 3 + at % 3]));
        convolved(four.each_ref(), share_right, share_down)
    }
}

/// A picture made point by point: `colour` is asked for this picture's point that `map` gives for the middle of each pixel.
fn sampled(
    map: [[f64; 3]; 3],
    width: u32,
    height: u32,
    colour: impl Fn(f64, f64) -> [u8; 3] + Sync,
) -> Picture {
    let (width, height) = (width.max(1), height.max(1));
    let mut rgb = vec![0_u8; width as usize * height as usize * 3];
    rgb.par_chunks_exact_mut(width as usize * 3).enumerate().for_each(|(row, line)| {
        let y = row as f64 + 0.5;
        let from_row = map.map(|[_, b, c]| b * y + c);
        for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
            let x = column as f64 + 0.5;
            let [u, v, w] = [0, 1, 2].map(|element| map[element][0] * x + from_row[element]);
            let scale = 1.0 / w;
            pixel.copy_from_slice(&colour(u * scale, v * scale));
        }
    });
    Picture { width, height, rgb }
}

/// Four rows of four RGB pixels, convolved down and across with the weights for this share of the way from the second to the third.
#[inline]
fn convolved(rows: [&[u8; 12]; 4], share_right: f32, share_down: f32) -> [u8; 3] {
    let down = weights(share_down);
    let mut across = [0.0_f32; 12];
    for (row, weight) in rows.into_iter().zip(down) {
        for (sum, value) in across.iter_mut().zip(row) {
            *sum += weight * f32::from(*value);
        }
    }
    let [a, b, c, d] = weights(share_right);
    // A cast cuts off what lies beyond 0 and 255, as the convolution may beside hard edges.
    [0, 1, 2].map(|channel| {
        (a * across[channel]
            + b * across[channel + 3]
            + c * across[channel + 6]
            + d * across[channel + 9]
            + 0.5) as u8
    })
}

/// Keys's weights, with a = -1/2, of the four pixels around a point, this share of the way from the second to the third.
#[inline]
fn weights(share: f32) -> [f32; 4] {
    let (one, two, three) = (share, share * share, share * share * share);
    [
        -0.5 * three + two - 0.5 * one,
        1.5 * three - 2.5 * two + 1.0,
        -1.5 * three + 2.0 * two + 0.5 * one,
        0.5 * three - 0.5 * two,
    ]
}

/// The pixel whose middle is not beyond `place`, the last but one at most, and how far on the way to the next one's middle the
/// place is, from 0 to 1.
#[inline]
fn neighbour(place: f64, count: u32) -> (usize, f32) {
    let last = f64::from(count) - 1.0;
    let place = if place.is_finite() { (place - 0.5).clamp(0.0, last) } else { 0.0 };
    let before = (place as u32).min(count - 2);
    (before as usize, (place - f64::from(before)) as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SAME: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    fn picture() -> Picture {
        let rgb = (0..6 * 4 * 3).map(|at| (at * 37 % 251) as u8).collect();
        Picture::from_rgb(6, 4, rgb).unwrap()
    }

    const BOTH: [Interpolation; 2] = [Interpolation::Bilinear, Interpolation::Bicubic];

    #[test]
    fn a_map_that_moves_nothing_changes_nothing() {
        for interpolation in BOTH {
            assert_eq!(picture().warped(SAME, 6, 4, interpolation), picture());
        }
    }

    #[test]
    fn moving_by_whole_pixels_moves_pixels() {
        for interpolation in BOTH {
            let moved =
                picture().warped([[1.0, 0.0, 2.0], [0.0, 1.0, 1.0], [0.0, 0.0, 1.0]], 4, 3, interpolation);
            assert_eq!(moved.rgb()[..3], picture().rgb()[(6 + 2) * 3..(6 + 2) * 3 + 3]);
        }
    }

    #[test]
    fn cubic_convolution_follows_a_parabola_where_a_straight_line_cuts_across() {
        let parabola = |x: f64| (3.0 * (x - 5.0) * (x - 5.0) + 20.0).round() as u8;
        let rgb = (0..10 * 3 * 3).map(|at| parabola(f64::from(at / 3 % 10) + 0.5)).collect();
        let picture = Picture::from_rgb(10, 3, rgb).unwrap();
        let half = [[1.0, 0.0, 0.5], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        let at = |interpolation| picture.warped(half, 9, 3, interpolation).rgb()[(9 + 4) * 3];
        assert_eq!(at(Interpolation::Bicubic), parabola(5.0));
        assert_eq!(at(Interpolation::Bilinear), parabola(5.0) + 1);
    }

    #[test]
    fn the_thinnest_pictures_are_warped_too() {
        for (width, height) in [(1, 1), (1, 3), (3, 1), (2, 2)] {
            let rgb: Vec<u8> = (0..width * height * 3).map(|at| (at * 20) as u8).collect();
            let thin = Picture::from_rgb(width, height, rgb).unwrap();
            for interpolation in BOTH {
                assert_eq!(thin.warped(SAME, width, height, interpolation), thin);
            }
        }
    }

    #[test]
    fn a_map_into_nowhere_gives_a_picture_all_the_same() {
        let nowhere = [[0.0; 3], [f64::NAN; 3], [0.0; 3]];
        for interpolation in BOTH {
            assert_eq!(picture().warped(nowhere, 3, 3, interpolation).rgb().len(), 27);
        }
    }
}
