//! How noisy points along a curve are, and how much neighbours err alike.

use crate::robust::SD_PER_MAD;

/// The sum of autocorrelations stops where they sink to this: beyond lies noise.
const UNCORRELATED: f64 = 0.05;

/// Residuals beyond this many standard deviations are outliers, and count as this much.
const CLIP: f64 = 3.0;

/// The noise of points along curves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Noise {
    /// The standard deviation of one point, in the residuals' unit.
    pub(crate) sd: f64,
    /// By how much the variance of a mean of neighbours exceeds that of independent points: the integrated
    /// autocorrelation, at least 1.
    pub(crate) inflation: f64,
}

impl Noise {
    /// Judges the noise from the residuals along curves, each in order; what is not finite is left out. `None` with fewer
    /// than eight.
    pub(crate) fn of<'a>(curves: impl Iterator<Item = &'a [f64]> + Clone) -> Option<Self> {
        let finite = |curve: &'a [f64]| curve.iter().copied().filter(|residual| residual.is_finite());
        let mut sizes: Vec<f64> = curves.clone().flat_map(finite).map(f64::abs).collect();
        if sizes.len() < 8 {
            return None;
        }
        let middle = sizes.len() / 2;
        let sd = SD_PER_MAD * *sizes.select_nth_unstable_by(middle, f64::total_cmp).1;
        if sd <= 0.0 {
            return Some(Self { sd: 0.0, inflation: 1.0 });
        }
        let clipped: Vec<Vec<f64>> = curves
            .map(|curve| finite(curve).map(|residual| residual.clamp(-CLIP * sd, CLIP * sd)).collect())
            .collect();
        let power = mean_product(&clipped, 0)?;
        let mut inflation = 1.0;
        for lag in 1..clipped.iter().map(Vec::len).max().unwrap_or(0) / 3 {
            let correlation = mean_product(&clipped, lag).unwrap_or(0.0) / power;
            if correlation < UNCORRELATED {
                break;
            }
            inflation += 2.0 * correlation;
        }
        Some(Self { sd: power.sqrt().max(sd), inflation })
    }

    /// The standard deviation that one point must count for, so that a fit to many knows how well it is.
    pub(crate) fn effective_sd(self) -> f64 {
        self.sd * self.inflation.sqrt()
    }
}

fn mean_product(curves: &[Vec<f64>], lag: usize) -> Option<f64> {
    let (mut sum, mut count) = (0.0, 0_usize);
    for curve in curves.iter().filter(|curve| curve.len() > lag) {
        sum += curve.iter().zip(&curve[lag..]).map(|(a, b)| a * b).sum::<f64>();
        count += curve.len() - lag;
    }
    (count > 0).then(|| sum / count as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A plain linear congruential generator (Knuth, MMIX): the tests need the same noise each time.
    fn noise(count: usize) -> Vec<f64> {
        let mut state = 7_u64;
        let mut uniform = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1_u64 << 53) as f64
        };
        (0..count).map(|_| (0..12).map(|_| uniform()).sum::<f64>() - 6.0).collect()
    }

    #[test]
    fn independent_noise_is_not_inflated() {
        let residuals = noise(4000);
        let judged = Noise::of(std::iter::once(&residuals[..])).unwrap();
        assert!((judged.sd - 1.0).abs() < 0.05 && judged.inflation < 1.2, "{judged:?}");
    }

    /// Each value the mean of five neighbours: the integrated autocorrelation of that is five.
    #[test]
    fn noise_averaged_over_five_neighbours_is_inflated_fivefold() {
        let raw = noise(8000);
        let averaged: Vec<f64> = raw.windows(5).map(|five| five.iter().sum::<f64>() / 5.0).collect();
        let judged = Noise::of(std::iter::once(&averaged[..])).unwrap();
        assert!((4.0..6.0).contains(&judged.inflation), "{judged:?}");
        assert!((judged.effective_sd() - 1.0).abs() < 0.15);
    }

    #[test]
    fn a_tenth_of_wild_points_hardly_changes_the_spread() {
        let mut residuals = noise(2000);
        residuals.iter_mut().step_by(10).for_each(|residual| *residual = 80.0);
        let judged = Noise::of(std::iter::once(&residuals[..])).unwrap();
        assert!(judged.sd < 1.5, "{judged:?}");
    }
}
