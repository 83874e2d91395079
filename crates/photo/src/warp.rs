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
            Interpolation::Bilinear => self.sampled(map, width, height, Self::between_four),
            Interpolation::Bicubic => self.sampled(map, width, height, Self::between_sixteen),
        }
    }

    /// `colour` tells this picture's colour at a place.
    fn sampled(
        &self,
        map: [[f64; 3]; 3],
        width: u32,
        height: u32,
        colour: impl Fn(&Self, Place) -> [u8; 3] + Sync,
    ) -> Self {
        let (width, height) = (width.max(1), height.max(1));
        let size = [self.width, self.height];
        let mut rgb = vec![0_u8; width as usize * height as usize * 3];
        rgb.par_chunks_exact_mut(width as usize * 3).enumerate().for_each(|(row, line)| {
            let mut places = [Place::default(); RUN];
            for (run, pixels) in line.chunks_mut(3 * RUN).enumerate() {
                find(&mut places, map, size, row, run * RUN);
                for (pixel, place) in pixels.chunks_exact_mut(3).zip(places) {
                    pixel.copy_from_slice(&colour(self, place));
                }
            }
        });
        Self { width, height, rgb }
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

    /// The colour at a place, between the middles of the four pixels around it. The picture is two pixels wide and high at least.
    #[inline]
    fn between_four(&self, Place { left, top, right, down }: Place) -> [u8; 3] {
        let [right, down] = [right, down].map(u64::from);
        let both = right * down / WHOLE;
        let stride = self.width as usize * 3;
        let at = top as usize * stride + left as usize * 3;
        let (above, below) = (&self.rgb[at..at + 6], &self.rgb[at + stride..at + stride + 6]);
        let sum = lanes(&above[..3]) * (WHOLE + both - right - down)
            + lanes(&above[3..]) * (right - both)
            + lanes(&below[..3]) * (down - both)
            + lanes(&below[3..]) * both
            + HALF_IN_EACH;
        [0, 1, 2].map(|channel| (sum >> (LANE * channel + WHOLE.ilog2())) as u8)
    }

    /// The colour at a place, by cubic convolution of the sixteen pixels around it. The picture is two pixels wide and high at
    /// least.
    #[inline]
    fn between_sixteen(&self, Place { left, top, right, down }: Place) -> [u8; 3] {
        let (left, top) = (left as usize, top as usize);
        let [share_right, share_down] = [right, down].map(|share| f32::from(share) / WHOLE as f32);
        let (width, height) = (self.width as usize, self.height as usize);
        let stride = width * 3;
        if left >= 1 && left + 2 < width && top >= 1 && top + 2 < height {
            let at = (top - 1) * stride + (left - 1) * 3;
            let four = [0, 1, 2, 3].map(|row| self.rgb[at + row * stride..].first_chunk::<12>());
            if let [Some(a), Some(b), Some(c), Some(d)] = four {
                return convolved([a, b, c, d], share_right, share_down);
            }
        }
        convolved(self.sixteen_at_the_edge(left, top).each_ref(), share_right, share_down)
    }

    /// The sixteen pixels around a place, those beyond the picture's edge as those on it.
    #[cold]
    fn sixteen_at_the_edge(&self, left: usize, top: usize) -> [[u8; 12]; 4] {
        let around = |first: usize, count: u32| {
            [first.saturating_sub(1), first, first + 1, (first + 2).min(count as usize - 1)]
        };
        let columns = around(left, self.width);
        around(top, self.height).map(|row| {
            let row = row * self.width as usize;
            std::array::from_fn(|at| self.rgb[(row + columns[at / 3]) * 3 + at % 3])
        })
    }
}

/// Pixels of a row whose places are found together, so that the processor can find several at once.
const RUN: usize = 48;

/// A place among the middles of a picture's pixels.
#[derive(Clone, Copy, Default)]
struct Place {
    /// The pixel whose middle is not beyond it, the last but one at most.
    left: u32,
    top: u32,
    /// How far it is on the way to the next pixel's middle, from 0 to [`WHOLE`].
    right: u16,
    down: u16,
}

/// The places in a picture of this size that the pixels of a row show, from `column` on; those beyond the picture, or nowhere, are
/// moved to its nearest edge.
fn find(places: &mut [Place; RUN], map: [[f64; 3]; 3], size: [u32; 2], row: usize, column: usize) {
    let y = row as f64 + 0.5;
    let [from_x, from_y, from_w] = map.map(|[_, b, c]| b * y + c);
    let [last_x, last_y] = size.map(|count| (f64::from(count) - 1.0) * WHOLE as f64);
    // `max` makes zero of what is not a number. By way of a signed number, since every processor has an instruction for that.
    let within = |place: f64, last: f64| (place - WHOLE as f64 / 2.0).max(0.0).min(last) as i32 as u32;
    let part = WHOLE as u32;
    for (at, place) in places.iter_mut().enumerate() {
        let x = (column + at) as f64 + 0.5;
        let scale = WHOLE as f64 / (map[2][0] * x + from_w);
        let across = within((map[0][0] * x + from_x) * scale, last_x);
        let along = within((map[1][0] * x + from_y) * scale, last_y);
        let (left, top) = ((across / part).min(size[0] - 2), (along / part).min(size[1] - 2));
        *place = Place { left, top, right: (across - left * part) as u16, down: (along - top * part) as u16 };
    }
}

/// The way from one pixel's middle to the next, and what the shares of four pixels add up to: places are good to a two-thousandth
/// of a pixel, and in the largest pictures still fit into 31 bits. Three sums of 255 times as much, and the half that rounds them,
/// fit side by side into 64 bits, so that all three channels are weighed at once.
const WHOLE: u64 = 1 << 11;

/// Bits for the sum of one channel.
const LANE: u32 = 21;

/// Half of [`WHOLE`] for each channel.
const HALF_IN_EACH: u64 = (WHOLE / 2) * (1 | 1 << LANE | 1 << (2 * LANE));

/// The three channels of a pixel side by side.
#[inline]
fn lanes(pixel: &[u8]) -> u64 {
    u64::from(pixel[0]) | u64::from(pixel[1]) << LANE | u64::from(pixel[2]) << (2 * LANE)
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
