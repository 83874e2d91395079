//! The similarity that most landmarks agree on.

use nalgebra::{DMatrix, Vector2};

use crate::edges::median;

/// Median of the distance of a point whose two coordinates are normal with standard deviation 1: √(2 ln 2).
const MEDIAN_DISTANCE: f64 = 1.177_410;

/// A landmark further off than this many standard deviations is set aside: among ten honest ones one goes astray in ten
/// checks (Rayleigh distribution, exp(-3²/2) each).
const ASIDE: f64 = 3.0;

/// Fits settle within so many rounds.
const ROUNDS: usize = 8;

/// With fewer landmarks than this no one can be told to be the odd one out.
pub(super) const FEWEST_TO_JUDGE: usize = 5;

/// Where fewer than this share of the landmarks agree, they do not agree at all, and all are counted.
const LEAST_AGREEING: f64 = 2.0 / 3.0;

/// This share is enough where they agree as well as landmarks can be set at all: so many do not by chance, however the others lie.
const LEAST_AGREEING_CLOSELY: f64 = 0.55;

/// A similarity from planned to painted places, about the middle of the planned ones.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Similarity {
    pub(super) middle: Vector2<f64>,
    pub(super) shift: Vector2<f64>,
    pub(super) scale: f64,
    /// Radians clockwise.
    pub(super) turn: f64,
}

impl Similarity {
    /// The one with the least sum of squares over the landmarks `at`.
    pub(super) fn least_squares(planned: &[Vector2<f64>], painted: &[Vector2<f64>], at: &[usize]) -> Self {
        let count = at.len() as f64;
        let mean = |places: &[Vector2<f64>]| at.iter().map(|at| places[*at]).sum::<Vector2<f64>>() / count;
        let (middle, painted_middle) = (mean(planned), mean(painted));
        let (mut dot, mut cross, mut spread) = (0.0, 0.0, 0.0);
        for at in at {
            let (p, q) = (planned[*at] - middle, painted[*at] - painted_middle);
            dot += p.dot(&q);
            cross += p.perp(&q);
            spread += p.norm_squared();
        }
        let (scale, turn) =
            if spread > 0.0 { (dot.hypot(cross) / spread, cross.atan2(dot)) } else { (1.0, 0.0) };
        Self { middle, shift: painted_middle - middle, scale, turn }
    }

    pub(super) fn moved(&self, place: Vector2<f64>) -> Vector2<f64> {
        self.middle + self.shift + self.turned(place)
    }

    fn turned(&self, place: Vector2<f64>) -> Vector2<f64> {
        let (sin, cos) = self.turn.sin_cos();
        let off = (place - self.middle) * self.scale;
        Vector2::new(off.x * cos - off.y * sin, off.x * sin + off.y * cos)
    }
}

/// How the places of landmarks change with the similarity's numbers: shift right, shift down, relative size, turn.
pub(super) fn design(planned: &[Vector2<f64>], fitted: &Similarity, at: &[usize]) -> DMatrix<f64> {
    let mut design = DMatrix::zeros(2 * at.len(), 4);
    for (row, at) in at.iter().enumerate() {
        let off = fitted.turned(planned[*at]);
        design
            .fixed_view_mut::<2, 4>(2 * row, 0)
            .copy_from_slice(&[1.0, 0.0, 0.0, 1.0, off.x, off.y, -off.y, off.x]);
    }
    design
}

/// The landmarks that agree on one similarity: of all similarities through two of them the one with the least median error
/// (P. J. Rousseeuw, "Least median of squares regression", JASA 79, 1984) sets aside those far off it, then each fit the
/// next. Where fewer than two thirds agree, and no majority does as closely as landmarks can be set, all are taken, and the second value
/// is false. `measured` is the standard deviation of a place, mm. `None` when they all coincide. All places are finite.
pub(super) fn agreeing(
    planned: &[Vector2<f64>],
    painted: &[Vector2<f64>],
    measured: f64,
) -> Option<(Vec<usize>, bool)> {
    let all: Vec<usize> = (0..planned.len()).collect();
    if planned.len() < FEWEST_TO_JUDGE {
        return Some((all, true));
    }
    let first = least_median(planned, painted, &all)?;
    // The correction for few points is Rousseeuw's, for the four numbers of the similarity.
    let few = 1.0 + 5.0 / (2.0 * planned.len() as f64 - 4.0);
    let by_their_spread = kept_with(first, planned, painted, |offs| {
        let spread = median(offs.iter().copied())? / MEDIAN_DISTANCE * few;
        Some(ASIDE * spread.max(measured))
    })?;
    let enough = |kept: &[usize], share: f64| kept.len() as f64 >= share * planned.len() as f64;
    if enough(&by_their_spread, LEAST_AGREEING) {
        return Some((by_their_spread, true));
    }
    let closely = kept_with(first, planned, painted, |_| Some(ASIDE * measured))?;
    let agree_closely = closely.len() >= FEWEST_TO_JUDGE && enough(&closely, LEAST_AGREEING_CLOSELY);
    Some(if agree_closely { (closely, true) } else { (all, false) })
}

/// The landmarks within a bound of the similarity fitted to them, begun from `first`; `bound` is told how far all lie off.
fn kept_with(
    first: Similarity,
    planned: &[Vector2<f64>],
    painted: &[Vector2<f64>],
    bound: impl Fn(&[f64]) -> Option<f64>,
) -> Option<Vec<usize>> {
    let (mut fitted, mut kept) = (first, Vec::new());
    for _ in 0..ROUNDS {
        let offs: Vec<f64> =
            planned.iter().zip(painted).map(|(from, to)| (to - fitted.moved(*from)).norm()).collect();
        let bound = bound(&offs)?;
        let next: Vec<usize> = (0..offs.len()).filter(|at| offs[*at] <= bound).collect();
        if next == kept || next.len() < 2 {
            break;
        }
        fitted = Similarity::least_squares(planned, painted, &next);
        kept = next;
    }
    Some(kept)
}

fn least_median(planned: &[Vector2<f64>], painted: &[Vector2<f64>], all: &[usize]) -> Option<Similarity> {
    // Beyond some dozens of landmarks every pair is more than is needed: step through them.
    const MOST_FIRST: usize = 60;
    let step = planned.len().div_ceil(MOST_FIRST);
    let mut best: Option<(f64, Similarity)> = None;
    for first in (0..planned.len()).step_by(step) {
        for second in (first + 1..planned.len()).step_by(step) {
            if planned[first] == planned[second] {
                continue;
            }
            let trial = Similarity::least_squares(planned, painted, &[first, second]);
            let off = median(all.iter().map(|at| (painted[*at] - trial.moved(planned[*at])).norm()))?;
            if best.is_none_or(|(least, _)| off < least) {
                best = Some((off, trial));
            }
        }
    }
    best.map(|(_, trial)| trial)
}
