//! Planes of numbers at a working scale, and the smoothings done on them.

use photo::Picture;
use rayon::prelude::*;

/// One number for each pixel, row after row from the top left.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Plane {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) data: Vec<f32>,
}

impl Plane {
    /// The mean of `number` over blocks of `scale` by `scale` pixels of the picture, whose last column and row may be cut.
    pub(crate) fn block_means(
        picture: &Picture,
        scale: usize,
        number: impl Fn([u8; 3]) -> f32 + Sync,
    ) -> Self {
        let (picture_width, picture_height) = (picture.width() as usize, picture.height() as usize);
        let (width, height) = (picture_width.div_ceil(scale), picture_height.div_ceil(scale));
        let mut data = vec![0.0_f32; width * height];
        data.par_chunks_mut(width).enumerate().for_each(|(row, line)| {
            let of_row = row * scale..((row + 1) * scale).min(picture_height);
            for y in of_row.clone() {
                let pixels = &picture.rgb()[y * picture_width * 3..(y + 1) * picture_width * 3];
                for (sum, block) in line.iter_mut().zip(pixels.chunks(scale * 3)) {
                    *sum += block.chunks_exact(3).map(|p| number([p[0], p[1], p[2]])).sum::<f32>();
                }
            }
            for (column, sum) in line.iter_mut().enumerate() {
                let of_column = ((column + 1) * scale).min(picture_width) - column * scale;
                *sum /= (of_row.len() * of_column) as f32;
            }
        });
        Self { width, height, data }
    }

    /// The plane of what `combine` makes of each two numbers at one place.
    pub(crate) fn with(&self, other: &Self, combine: impl Fn(f32, f32) -> f32 + Sync) -> Self {
        let mut data = vec![0.0; self.data.len()];
        data.par_iter_mut()
            .zip(&self.data)
            .zip(&other.data)
            .for_each(|((made, one), other)| *made = combine(*one, *other));
        Self { data, ..*self }
    }

    /// The mean of all numbers within `radius` pixels each way, those beyond the rim left out: by running sums, so that
    /// the radius costs nothing.
    pub(crate) fn box_mean(&self, radius: usize) -> Self {
        let (width, height) = (self.width, self.height);
        if radius == 0 {
            return self.clone();
        }
        let mut across = vec![0.0_f32; self.data.len()];
        across.par_chunks_mut(width).zip(self.data.par_chunks(width)).for_each(|(line, from)| {
            let mut sum: f32 = from.iter().take(radius.min(width)).sum();
            let mut count = radius.min(width) as f32;
            for column in 0..width {
                if column + radius < width {
                    sum += from[column + radius];
                    count += 1.0;
                }
                if column > radius {
                    sum -= from[column - radius - 1];
                    count -= 1.0;
                }
                line[column] = sum / count;
            }
        });
        let mut data = vec![0.0_f32; self.data.len()];
        // Bands of rows, each with its own running sums of columns.
        let band = height.div_ceil(rayon::current_num_threads() * 2).max(radius).max(1);
        data.par_chunks_mut(band * width).enumerate().for_each(|(number, rows)| {
            let first = number * band;
            let mut sums = vec![0.0_f32; width];
            let mut count = 0.0_f32;
            let add = |sums: &mut [f32], row: usize, sign: f32| {
                for (sum, value) in sums.iter_mut().zip(&across[row * width..]) {
                    *sum += sign * value;
                }
            };
            for row in first.saturating_sub(radius)..(first + radius).min(height) {
                add(&mut sums, row, 1.0);
                count += 1.0;
            }
            for (offset, line) in rows.chunks_mut(width).enumerate() {
                let row = first + offset;
                if row + radius < height {
                    add(&mut sums, row + radius, 1.0);
                    count += 1.0;
                }
                if offset > 0 && row > radius {
                    add(&mut sums, row - radius - 1, -1.0);
                    count -= 1.0;
                }
                for (pixel, sum) in line.iter_mut().zip(&sums) {
                    *pixel = sum / count;
                }
            }
        });
        Self { data, ..*self }
    }

    /// The plane smoothed where it varies little and kept where it varies much: the guided filter with the plane as its
    /// own guide (He, Sun and Tang, “Guided image filtering”, IEEE PAMI 35, 2013). `strength` is the variance at which
    /// half of what is there is kept.
    pub(crate) fn edge_keeping(&self, radius: usize, strength: f32) -> Self {
        let mean = self.box_mean(radius);
        let mean_of_squares = self.with(self, |one, _| one * one).box_mean(radius);
        let kept = mean_of_squares.with(&mean, |squares, mean| {
            let variance = (squares - mean * mean).max(0.0);
            variance / (variance + strength)
        });
        let moved = kept.with(&mean, |kept, mean| (1.0 - kept) * mean);
        let (kept, moved) = (kept.box_mean(radius), moved.box_mean(radius));
        kept.with(self, |kept, value| kept * value).with(&moved, |scaled, moved| scaled + moved)
    }

    /// The plane convolved with a Gaussian of this standard deviation in pixels; the rim's numbers go on beyond it.
    pub(crate) fn gaussian(&self, sd: f64) -> Self {
        let reach = (3.0 * sd).ceil() as usize;
        if reach == 0 {
            return self.clone();
        }
        let weights: Vec<f64> = (0..=reach).map(|at| (-0.5 * (at as f64 / sd).powi(2)).exp()).collect();
        let sum = weights[0] + 2.0 * weights[1..].iter().sum::<f64>();
        let weights: Vec<f32> = weights.iter().map(|weight| (weight / sum) as f32).collect();
        let (width, height) = (self.width, self.height);
        let across = {
            let mut data = vec![0.0; self.data.len()];
            data.par_chunks_mut(width).zip(self.data.par_chunks(width)).for_each(|(line, from)| {
                let padded: Vec<f32> =
                    (0..width + 2 * reach).map(|at| from[at.saturating_sub(reach).min(width - 1)]).collect();
                for (column, pixel) in line.iter_mut().enumerate() {
                    let middle = column + reach;
                    *pixel = weights[0] * padded[middle]
                        + (1..=reach)
                            .map(|by| weights[by] * (padded[middle - by] + padded[middle + by]))
                            .sum::<f32>();
                }
            });
            data
        };
        let mut data = vec![0.0; self.data.len()];
        data.par_chunks_mut(width).enumerate().for_each(|(row, line)| {
            for by in 0..=reach {
                let above = &across[row.saturating_sub(by) * width..][..width];
                let below = &across[(row + by).min(height - 1) * width..][..width];
                let weight = if by == 0 { weights[0] / 2.0 } else { weights[by] };
                for ((pixel, above), below) in line.iter_mut().zip(above).zip(below) {
                    *pixel += weight * (above + below);
                }
            }
        });
        Self { data, ..*self }
    }
}

/// For the tests of this crate.
#[cfg(test)]
impl Plane {
    /// The plane whose pixel at column and row is `number` of them.
    pub(crate) fn from_fn(width: usize, height: usize, number: impl Fn(usize, usize) -> f32 + Sync) -> Self {
        let mut data = vec![0.0; width * height];
        data.par_chunks_mut(width).enumerate().for_each(|(row, line)| {
            for (column, pixel) in line.iter_mut().enumerate() {
                *pixel = number(column, row);
            }
        });
        Self { width, height, data }
    }

    pub(crate) fn at(&self, column: usize, row: usize) -> f32 {
        self.data[row * self.width + column]
    }
}

/// Between which two working pixels a pixel lies, and how far on the way to the second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Between {
    pub(crate) first: usize,
    pub(crate) second: usize,
    pub(crate) share: f32,
}

/// For each of `count` pixels its place among `working` pixels that are `scale` times as large.
pub(crate) fn places(count: usize, working: usize, scale: usize) -> Vec<Between> {
    let last = working - 1;
    (0..count)
        .map(|at| {
            let place = ((at as f64 + 0.5) / scale as f64 - 0.5).clamp(0.0, last as f64);
            let first = place as usize;
            Between { first, second: (first + 1).min(last), share: place.fract() as f32 }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn plane(width: usize, height: usize, seed: u32) -> Plane {
        Plane::from_fn(width, height, |column, row| {
            let mixed = (column as u32 * 7919 + row as u32 * 104_729 + seed).wrapping_mul(2_654_435_761);
            (mixed >> 8) as f32 / 16_777_216.0 * 10.0
        })
    }

    fn mean_by_hand(plane: &Plane, column: usize, row: usize, radius: usize) -> f32 {
        let columns = column.saturating_sub(radius)..(column + radius + 1).min(plane.width);
        let rows = row.saturating_sub(radius)..(row + radius + 1).min(plane.height);
        let all: Vec<f32> = rows.flat_map(|r| columns.clone().map(move |c| plane.at(c, r))).collect();
        all.iter().sum::<f32>() / all.len() as f32
    }

    proptest! {
        #[test]
        fn a_running_mean_is_the_mean(width in 1..40_usize, height in 1..40_usize, radius in 0..50_usize, seed: u16) {
            let plane = plane(width, height, seed.into());
            let mean = plane.box_mean(radius);
            for (column, row) in [(0, 0), (width - 1, height - 1), (width / 2, height / 3)] {
                prop_assert!((mean.at(column, row) - mean_by_hand(&plane, column, row, radius)).abs() < 1e-4);
            }
        }
    }

    #[test]
    fn smoothing_keeps_a_strong_edge_and_levels_faint_unevenness() {
        let noise = plane(60, 60, 3);
        let step = Plane::from_fn(60, 60, |column, row| {
            (if column < 30 { 2.0 } else { 8.0 }) + 0.04 * (noise.at(column, row) - 5.0)
        });
        let smooth = step.edge_keeping(4, 0.15);
        assert!(smooth.at(29, 30) < 3.0 && smooth.at(30, 30) > 7.0);
        let spread = |plane: &Plane| {
            let values: Vec<f32> = (5..20).map(|column| plane.at(column, 30)).collect();
            values.iter().copied().fold(f32::MIN, f32::max) - values.iter().copied().fold(f32::MAX, f32::min)
        };
        assert!(spread(&smooth) < 0.3 * spread(&step));
    }

    #[test]
    fn a_gaussian_spreads_a_point_to_its_standard_deviation() {
        let mut point = Plane::from_fn(81, 81, |_, _| 0.0);
        point.data[40 * 81 + 40] = 1.0;
        let spread = point.gaussian(4.0);
        let sum: f32 = spread.data.iter().sum();
        let variance: f32 = (0..81)
            .map(|row| (row as f32 - 40.0).powi(2) * (0..81).map(|c| spread.at(c, row)).sum::<f32>())
            .sum();
        assert!((sum - 1.0).abs() < 1e-4 && (variance.sqrt() - 4.0).abs() < 0.06, "{sum} {variance}");
        let flat = Plane::from_fn(9, 7, |_, _| 3.0).gaussian(5.0);
        assert!(flat.data.iter().all(|value| (value - 3.0).abs() < 1e-5));
    }
}
