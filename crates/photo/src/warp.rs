//! Warping a picture through a projective map, such as squaring up a print that was photographed at a slant.
//!
//! The colours of a run of pixels are made step by step, each step in lists of numbers alike, and compiled for what processors
//! of several generations can do with such lists; which is taken is decided when the program runs.

#![expect(
    clippy::inline_always,
    reason = "only what is put into a row's work is compiled for the newer processors together with it"
)]

use fearless_simd::{Level, dispatch};
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
        let (width, height) = (width.max(1), height.max(1));
        let mut rgb = vec![0_u8; width as usize * height as usize * 3];
        let processor = Level::new();
        rgb.par_chunks_mut(width as usize * 3 * BAND).enumerate().for_each(|(band, lines)| {
            dispatch!(processor, _ => self.sample_band(map, band * BAND, interpolation, width, lines));
        });
        Self { width, height, rgb }
    }

    /// Fills rows of another picture, the first of which is row `top`.
    #[inline(always)]
    fn sample_band(
        &self,
        map: [[f64; 3]; 3],
        top: usize,
        interpolation: Interpolation,
        width: u32,
        lines: &mut [u8],
    ) {
        for column in (0..width).step_by(RUN) {
            let bytes = column as usize * 3..(column + RUN as u32).min(width) as usize * 3;
            for (row, line) in lines.chunks_exact_mut(width as usize * 3).enumerate() {
                let y = (top + row) as f64 + 0.5;
                let from = map.map(|[slope, by_y, constant]| [slope, by_y * y + constant]);
                let places = Places::of(from, [self.width, self.height], column);
                let colours = match interpolation {
                    Interpolation::Bilinear => self.between_four(&places),
                    Interpolation::Bicubic => self.between_sixteen(&places),
                };
                for (pixel, colour) in line[bytes.clone()].chunks_exact_mut(3).zip(colours) {
                    pixel.copy_from_slice(&colour.to_le_bytes()[..3]);
                }
            }
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

    /// The colours at places, each between the middles of the four pixels around it. The picture is two pixels wide and high at
    /// least.
    #[inline(always)]
    fn between_four(&self, places: &Places) -> Colours {
        let stride = self.width as usize * 3;
        // Two neighbours of a row are six bytes; they are taken as eight, in two words.
        let mut words = [[0_u32; RUN]; 4];
        let [above, above_on, below, below_on] = &mut words;
        for at in 0..RUN {
            let first = places.first_byte(at, self.width);
            (above[at], above_on[at]) = self.eight_bytes(first);
            (below[at], below_on[at]) = self.eight_bytes(first + stride);
        }
        let mut colours = [0; RUN];
        for (at, colour) in colours.iter_mut().enumerate() {
            let [above, above_on, below, below_on] = words.each_ref().map(|words| words[at]);
            let (right, down) = (places.right[at], places.down[at]);
            let mix = |from: f32, to: f32, share: f32| from + (to - from) * share;
            let channel = |[a, b, c, d]: [f32; 4]| rounded(mix(mix(a, b, right), mix(c, d, right), down));
            *colour = joined([
                channel([byte(above, 0), byte(above, 3), byte(below, 0), byte(below, 3)]),
                channel([byte(above, 1), byte(above_on, 0), byte(below, 1), byte(below_on, 0)]),
                channel([byte(above, 2), byte(above_on, 1), byte(below, 2), byte(below_on, 1)]),
            ]);
        }
        colours
    }

    /// The eight bytes from `first` on, or as many as there are, as two words whose lowest byte is the first.
    #[inline(always)]
    fn eight_bytes(&self, first: usize) -> (u32, u32) {
        let both = match self.rgb.get(first..).and_then(|rest| rest.first_chunk()) {
            Some(eight) => u64::from_le_bytes(*eight),
            None => self.last_bytes(first),
        };
        (both as u32, (both >> 32) as u32)
    }

    #[cold]
    fn last_bytes(&self, first: usize) -> u64 {
        self.rgb[first..].iter().rev().fold(0, |bytes, byte| bytes << 8 | u64::from(*byte))
    }

    /// The colours at places, by cubic convolution of the sixteen pixels around each. The picture is two pixels wide and high at
    /// least.
    #[inline(always)]
    fn between_sixteen(&self, places: &Places) -> Colours {
        // Four neighbours of a row are twelve bytes, in three words.
        let mut words = [[[0_u32; RUN]; 3]; 4];
        for at in 0..RUN {
            let rows = self.sixteen_around(places.left[at] as usize, places.top[at] as usize);
            for (words, row) in words.iter_mut().zip(rows) {
                let [a, b, c, d, e, f, g, h, i, j, k, l] = row;
                words[0][at] = u32::from_le_bytes([a, b, c, d]);
                words[1][at] = u32::from_le_bytes([e, f, g, h]);
                words[2][at] = u32::from_le_bytes([i, j, k, l]);
            }
        }
        let (by_row, by_column) = (weights(&places.down), weights(&places.right));
        // One loop for each of the twelve bytes, and plain lists in it, so that the compiler sees that places are alike.
        let mut convolved_down = [[0.0_f32; RUN]; 12];
        for (number, sums) in convolved_down.iter_mut().enumerate() {
            let [a, b, c, d] = words.each_ref().map(|row| &row[number / 4]);
            for (at, sum) in sums.iter_mut().enumerate() {
                let [a, b, c, d] = [a, b, c, d].map(|words| byte(words[at], number % 4));
                *sum = by_row[0][at] * a + by_row[1][at] * b + by_row[2][at] * c + by_row[3][at] * d;
            }
        }
        let mut channels = [[0_u32; RUN]; 3];
        for (number, values) in channels.iter_mut().enumerate() {
            let [a, b, c, d] = [0, 3, 6, 9].map(|pixel| &convolved_down[number + pixel]);
            for (at, value) in values.iter_mut().enumerate() {
                *value = rounded(
                    by_column[0][at] * a[at]
                        + by_column[1][at] * b[at]
                        + by_column[2][at] * c[at]
                        + by_column[3][at] * d[at],
                );
            }
        }
        std::array::from_fn(|at| joined(channels.each_ref().map(|values| values[at])))
    }

    /// Four rows of four pixels: one before this pixel and two beyond it each way.
    #[inline(always)]
    fn sixteen_around(&self, left: usize, top: usize) -> [[u8; 12]; 4] {
        let (width, height) = (self.width as usize, self.height as usize);
        let stride = width * 3;
        if left >= 1 && left + 2 < width && top >= 1 && top + 2 < height {
            let first = (top - 1) * stride + (left - 1) * 3;
            let rows = [0, 1, 2, 3].map(|row| self.rgb[first + row * stride..].first_chunk::<12>());
            if let [Some(a), Some(b), Some(c), Some(d)] = rows {
                return [*a, *b, *c, *d];
            }
        }
        self.sixteen_at_the_edge(left, top)
    }

    /// The same, pixels beyond the picture's edge being as those on it.
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

/// Rows that are filled together, a run of pixels after the other: what one row took of the picture is still at hand for the next, where
/// a whole row of a slanted map goes through more rows of the picture than a processor keeps near.
const BAND: usize = 32;

/// Pixels of a row that are made together, step by step and in lists of numbers alike, so that the processor can do several at
/// once in each step.
const RUN: usize = 48;

/// Colours of a run, red in the lowest byte of each, then green and blue.
type Colours = [u32; RUN];

/// Places among the middles of a picture's pixels.
struct Places {
    /// The column and row of the pixel whose middle is not beyond the place, the last but one at most.
    left: [u32; RUN],
    top: [u32; RUN],
    /// How far it is on the way to the next pixel's middle, from 0 to 1.
    right: [f32; RUN],
    down: [f32; RUN],
}

impl Places {
    /// The places in a picture of this size that the pixels of a row show, from `column` on; those beyond the picture, or
    /// nowhere, are moved to its nearest edge. For each row of the map `from` has what x is multiplied with, and the rest.
    #[inline(always)]
    fn of(from: [[f64; 2]; 3], size: [u32; 2], column: u32) -> Self {
        let mut places = Self { left: [0; RUN], top: [0; RUN], right: [0.0; RUN], down: [0.0; RUN] };
        let [last_x, last_y] = size.map(|count| f64::from((count - 1) * PARTS));
        let [[x_slope, x_from], [y_slope, y_from], [w_slope, w_from]] = from;
        let [last_left, last_top] = size.map(|count| count - 2);
        for at in 0..RUN {
            // Nothing here can wrap around: pixels are counted by thousands. A check for it would be made one by one.
            let x = f64::from(column.wrapping_add(at as u32).cast_signed()) + 0.5;
            let scale = f64::from(PARTS) / (w_slope * x + w_from);
            let across = parts((x_slope * x + x_from) * scale, last_x);
            let along = parts((y_slope * x + y_from) * scale, last_y);
            let (left, top) = ((across / PARTS).min(last_left), (along / PARTS).min(last_top));
            let share = |part: u32| part.cast_signed() as f32 / PARTS as f32;
            (places.left[at], places.top[at]) = (left, top);
            places.right[at] = share(across.wrapping_sub(left.wrapping_mul(PARTS)));
            places.down[at] = share(along.wrapping_sub(top.wrapping_mul(PARTS)));
        }
        places
    }

    /// Where in the pixels of a picture of this width the pixel before a place begins.
    #[inline(always)]
    fn first_byte(&self, at: usize, width: u32) -> usize {
        (self.top[at] as usize * width as usize + self.left[at] as usize) * 3
    }
}

/// Parts of the way from one pixel's middle to the next that places are told apart by: in the widest pictures they still fit
/// into 31 bits.
const PARTS: u32 = 1 << 11;

/// Parts from the first pixel's middle on, from 0 to `last`, of as many parts from the picture's edge on; 0 of what is not a number.
#[inline(always)]
fn parts(from_edge: f64, last: f64) -> u32 {
    // Added to 2^52 a number is rounded to a whole one that stands in the lowest bits: several at once, where a cast is not.
    const WHOLE_NUMBERS: f64 = (1_u64 << 52) as f64;
    ((from_edge - f64::from(PARTS) / 2.0).max(0.0).min(last) + WHOLE_NUMBERS).to_bits() as u32
}

/// One byte of a word, the lowest being number 0.
#[inline(always)]
fn byte(word: u32, number: usize) -> f32 {
    (word >> (8 * number) & 255).cast_signed() as f32
}

/// The nearest whole number from 0 to 255: convolution goes beyond that beside hard edges.
#[inline(always)]
fn rounded(value: f32) -> u32 {
    const WHOLE_NUMBERS: f32 = (1_u32 << 23) as f32;
    (value.clamp(0.0, 255.0) + WHOLE_NUMBERS).to_bits() & 255
}

#[inline(always)]
fn joined([red, green, blue]: [u32; 3]) -> u32 {
    red | green << 8 | blue << 16
}

/// Keys's weights, with a = -1/2, of the four pixels around each place, these shares of the way from the second to the third.
#[inline(always)]
fn weights(shares: &[f32; RUN]) -> [[f32; RUN]; 4] {
    let mut weights = [[0.0; RUN]; 4];
    for (at, share) in shares.iter().enumerate() {
        let (one, two, three) = (share, share * share, share * share * share);
        weights[0][at] = -0.5 * three + two - 0.5 * one;
        weights[1][at] = 1.5 * three - 2.5 * two + 1.0;
        weights[2][at] = -1.5 * three + 2.0 * two + 0.5 * one;
        weights[3][at] = 0.5 * three - 0.5 * two;
    }
    weights
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
