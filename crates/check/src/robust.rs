//! Fits that wild points do not sway.

use nalgebra::{Matrix3, Vector3};

/// Biweight tuning constant for 95 % efficiency under normal noise (Tukey's biweight; Holland and Welsch 1977).
const BIWEIGHT: f64 = 4.685;

/// Standard deviation of a normal distribution in units of its median absolute deviation: 1/Φ⁻¹(3/4).
pub(crate) const SD_PER_MAD: f64 = 1.482_602;

/// Reweighting settles within this many rounds.
const ROUNDS: usize = 12;

/// A value this far from a trial, times the scale given, disagrees with it.
const DISAGREES: f64 = 2.5;

/// The spread that a fit is credited with at least, in the unit of the values times the scale given: no photo is finer.
const FINEST: f64 = 0.02;

/// The weight of a value `off` from its fit, whose spread is `spread`, by Tukey's biweight.
pub(crate) fn biweight(off: f64, spread: f64) -> f64 {
    let ratio = off / (BIWEIGHT * spread);
    if ratio.abs() < 1.0 { (1.0 - ratio * ratio).powi(2) } else { 0.0 }
}

/// A parabola over the share of a length, 0 to 1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Parabola {
    coefficients: [f64; 3],
}

impl Parabola {
    /// Its value at a share of the length.
    pub(crate) fn at(self, share: f64) -> f64 {
        let [level, slope, curve] = self.coefficients;
        let off = share - 0.5;
        level + off * (slope + off * curve)
    }

    /// Fits pairs of share and value, noisy by about half a unit times `scale`: from the trial parabola through three of them
    /// that most agree with (P. H. S. Torr and A. Zisserman, "MLESAC", Computer Vision and Image Understanding 78, 2000),
    /// by biweight reweighting. Gives the spread of the values around it too. `None` with fewer than eight pairs.
    pub(crate) fn fit(pairs: &[(f64, f64)], scale: f64) -> Option<(Self, f64)> {
        if pairs.len() < 8 {
            return None;
        }
        let mut best = (f64::INFINITY, Self::default());
        for trio in trios(pairs.len()) {
            let Some(trial) = Self::weighted(trio.iter().map(|&at| (pairs[at].0, pairs[at].1, 1.0))) else {
                continue;
            };
            let apart = pairs
                .iter()
                .map(|&(share, value)| (value - trial.at(share)).abs().min(DISAGREES * scale).powi(2));
            let apart = apart.sum();
            if apart < best.0 {
                best = (apart, trial);
            }
        }
        let mut fitted = best.1;
        let mut off = fitted.agreeing_off(pairs, scale);
        for _ in 0..ROUNDS {
            let spread = (SD_PER_MAD * off).max(FINEST * scale);
            let weights = pairs
                .iter()
                .map(|&(share, value)| (share, value, biweight(value - fitted.at(share), spread)));
            let Some(better) = Self::weighted(weights) else { break };
            fitted = better;
            off = fitted.agreeing_off(pairs, scale);
        }
        Some((fitted, (SD_PER_MAD * off).max(FINEST * scale)))
    }

    fn weighted(points: impl Iterator<Item = (f64, f64, f64)>) -> Option<Self> {
        let (mut normal, mut right) = (Matrix3::<f64>::zeros(), Vector3::zeros());
        for (share, value, weight) in points {
            let off = share - 0.5;
            let row = Vector3::new(1.0, off, off * off);
            normal += row * row.transpose() * weight;
            right += row * (value * weight);
        }
        let solved = normal.cholesky()?.solve(&right);
        solved.iter().all(|number| number.is_finite()).then(|| Self { coefficients: solved.into() })
    }

    /// The median distance of the values that agree with it.
    fn agreeing_off(self, pairs: &[(f64, f64)], scale: f64) -> f64 {
        let off = pairs.iter().map(|&(share, value)| (value - self.at(share)).abs());
        crate::edges::median(off.filter(|off| *off < DISAGREES * scale)).unwrap_or(DISAGREES * scale)
    }
}

/// Trials of three points, each from its own third of the length: evenly spread over all trios, and each time the same, by the
/// multiples of numbers without a common measure, less their whole parts (H. Weyl, "Über die Gleichverteilung von Zahlen mod.
/// Eins", Mathematische Annalen 77, 1916).
fn trios(count: usize) -> impl Iterator<Item = [usize; 3]> {
    /// With half of the points wild, one trio in eight has none: so many trials meet some forty of them.
    const TRIALS: u32 = 300;
    (1..=TRIALS)
        .map(move |trial| [2.0_f64, 3.0, 5.0].map(f64::sqrt).map(|step| (f64::from(trial) * step).fract()))
        .map(move |shares| {
            std::array::from_fn(|third| {
                let (from, to) = (third * count / 3, (third + 1) * count / 3);
                from + ((to - from) as f64 * shares[third]) as usize
            })
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_third_of_the_points_on_a_clamp_does_not_sway_the_parabola() {
        let truth = Parabola { coefficients: [3.0, -2.0, 5.0] };
        let pairs: Vec<(f64, f64)> = (0..120)
            .map(|at| {
                let share = f64::from(at) / 119.0;
                let jitter = 0.05 * f64::from(at * 37 % 11 - 5);
                (share, if (40..78).contains(&at) { 12.0 } else { truth.at(share) + jitter })
            })
            .collect();
        let (fitted, spread) = Parabola::fit(&pairs, 1.0).unwrap();
        assert!(
            (0..=10)
                .all(|at| (fitted.at(f64::from(at) / 10.0) - truth.at(f64::from(at) / 10.0)).abs() < 0.15)
        );
        assert!(spread < 0.5, "{spread}");
    }

    #[test]
    fn wherever_wild_points_are_and_however_many_points_there_are_trials_without_them_are_found() {
        let truth = Parabola { coefficients: [3.0, -2.0, 5.0] };
        for count in 12..=80_usize {
            for wild in 0..count {
                // One that is far off, and every sixth point on another edge.
                let pairs: Vec<(f64, f64)> = (0..count)
                    .map(|at| {
                        let share = at as f64 / (count - 1) as f64;
                        let jitter = 0.05 * ((at * 37 % 11) as f64 - 5.0);
                        let off = if at == wild {
                            -30.0
                        } else if (at + wild) % 6 == 0 {
                            4.0
                        } else {
                            jitter
                        };
                        (share, truth.at(share) + off)
                    })
                    .collect();
                let (fitted, _) = Parabola::fit(&pairs, 1.0).unwrap();
                let off =
                    (0..=10).map(|at| f64::from(at) / 10.0).map(|at| (fitted.at(at) - truth.at(at)).abs());
                let off = off.fold(0.0, f64::max);
                assert!(off < 0.6, "{count} points, number {wild} wild: off by {off}");
            }
        }
    }

    #[test]
    fn trials_are_different_and_leave_no_point_out() {
        for count in [8, 21, 33, 39, 40, 200] {
            let drawn: Vec<_> = trios(count).collect();
            let apart: std::collections::HashSet<_> = drawn.iter().collect();
            let points: std::collections::HashSet<_> = drawn.iter().flatten().collect();
            assert_eq!(points.len(), count);
            let all = (count / 3).pow(3);
            assert!(apart.len() as f64 > 0.6 * all.min(300) as f64, "{count}: {} trios", apart.len());
        }
    }
}
