//! The estimate: lens and homography together, from curves that are straight on the canvas and from clicked points.
//!
//! Residuals are first-order distances in the photo (P. D. Sampson, "Fitting conic sections to very scattered data",
//! Computer Graphics and Image Processing 18, 1982), minimised by the method of Levenberg and Marquardt with the
//! Cauchy weight, so that a clamp or a finger over an edge loses its say.

use nalgebra::{DMatrix, DVector, Vector2};

use super::canvas_map::{CanvasMap, Covariance, NUMBERS, Numbers};

/// Tuning constant of the Cauchy weight for 95 % efficiency under normal noise (P. W. Holland and R. E. Welsch, "Robust
/// regression using iteratively reweighted least-squares", Communications in Statistics A6, 1977).
const CAUCHY: f64 = 2.385;

/// From a start within a few per cent the estimate settles in five to ten steps.
const MAX_STEPS: usize = 40;

/// The estimate has settled when a step changes the cost by less than this share.
const SETTLED: f64 = 1e-9;

/// How many numbers each curve has of its own.
const OWN: usize = 2;

/// Where a curve's own numbers start, counted from the map's first number.
const fn start_of(curve: usize) -> usize {
    NUMBERS + OWN * curve
}

/// Points seen along something that is straight on the canvas, or nearly so.
#[derive(Clone, Debug)]
pub(crate) struct Curve {
    /// Where it starts, mm on the canvas.
    pub(crate) origin: Vector2<f64>,
    /// Its direction, of length 1.
    pub(crate) along: Vector2<f64>,
    /// Square to it, of length 1: the direction in which it is off.
    pub(crate) across: Vector2<f64>,
    /// Its length, mm.
    pub(crate) length: f64,
    /// What it may do of its own.
    pub(crate) own: Own,
    /// Where it was seen, pixels.
    pub(crate) points: Vec<Vector2<f64>>,
    /// The spread of the points across the curve, pixels: beyond a few of it a point loses its say.
    pub(crate) spread: f64,
    /// The standard deviation that one point counts for, pixels: more than the spread where neighbours err alike.
    pub(crate) sd: f64,
}

/// What a curve may do of its own, in mm on the canvas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Own {
    /// An edge: it may bow between the corners, and what is seen of it may lie beside the edge that a ruler is held to, since it
    /// is folded and its fold catches light. Its numbers are the bow and the place, and these their standard deviations, mm.
    Edge { bow: f64, place: f64 },
    /// A ruled line: it is straight, but may lie anywhere. Its numbers are the offset in the middle and the growth of the
    /// offset from its start to its end.
    Lies,
}

/// A point whose place on the canvas is known.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spot {
    /// Where it was seen, pixels.
    pub(crate) pixel: Vector2<f64>,
    /// Where it is, mm on the canvas.
    pub(crate) place: Vector2<f64>,
    /// The standard deviation of each of the pixel's coordinates.
    pub(crate) sd: f64,
}

/// What is known of the map's numbers beforehand: mean and standard deviation, infinite where nothing is known.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Beforehand {
    pub(crate) mean: Numbers,
    pub(crate) sd: Numbers,
}

/// All that an estimate is made from.
#[derive(Clone, Debug)]
pub(crate) struct Evidence {
    pub(crate) curves: Vec<Curve>,
    pub(crate) spots: Vec<Spot>,
    pub(crate) beforehand: Beforehand,
}

/// An estimate.
#[derive(Clone, Debug)]
pub(crate) struct Estimate {
    pub(crate) map: CanvasMap,
    /// The curves' own numbers, curve after curve, mm.
    own: DVector<f64>,
    /// Covariance of the map's numbers followed by the curves' own.
    covariance: DMatrix<f64>,
    /// Each curve's residuals in pixels, in the order of its points; NaN for a point that the map does not reach.
    pub(crate) residuals: Vec<Vec<f64>>,
    /// How far the spots lie off, root mean square in pixels; 0 without spots.
    pub(crate) spots_rms: f64,
}

impl Own {
    /// How far the curve lies off at `share` of its length for a unit of each of its own numbers.
    fn shape(self, share: f64) -> [f64; 2] {
        match self {
            Self::Edge { .. } => [4.0 * share * (1.0 - share), 1.0],
            Self::Lies => [1.0, share - 0.5],
        }
    }
}

impl Estimate {
    /// A curve's own numbers, mm, and their covariance.
    pub(crate) fn own(&self, curve: usize) -> ([f64; 2], [[f64; 2]; 2]) {
        let start = start_of(curve);
        let cell = |row: usize, column: usize| self.covariance[(start + row, start + column)];
        let own = [0, 1].map(|at| self.own[start - NUMBERS + at]);
        (own, [[cell(0, 0), cell(0, 1)], [cell(1, 0), cell(1, 1)]])
    }

    /// Root mean square of the residuals in pixels, each counted by the weight it had.
    pub(crate) fn rms(&self, evidence: &Evidence) -> f64 {
        let (mut sum, mut weights) = (0.0, 0.0);
        for (curve, residuals) in evidence.curves.iter().zip(&self.residuals) {
            for residual in residuals.iter().filter(|residual| residual.is_finite()) {
                let weight = cauchy_weight(*residual, curve.spread);
                sum += weight * residual * residual;
                weights += weight;
            }
        }
        if weights > 0.0 { (sum / weights).sqrt() } else { 0.0 }
    }
}

/// Finds the map that explains the evidence best, from a start nearby; `None` when there is none.
pub(crate) fn estimate(start: &CanvasMap, evidence: &Evidence) -> Option<Estimate> {
    let unknowns = start_of(evidence.curves.len());
    let mut map = start.clone();
    let mut own = DVector::zeros(unknowns - NUMBERS);
    let mut equations = equations(&map, &own, evidence);
    let mut damping = 1e-4;
    for _ in 0..MAX_STEPS {
        let mut damped = equations.normal.clone();
        for at in 0..unknowns {
            damped[(at, at)] *= 1.0 + damping;
        }
        let step = damped.cholesky()?.solve(&equations.slope);
        let numbers = map.numbers() + step.fixed_rows::<NUMBERS>(0);
        let moved_own = &own + step.rows(NUMBERS, unknowns - NUMBERS);
        let moved = map.with(numbers, &Covariance::zeros());
        let moved = moved.map(|moved| (self::equations(&moved, &moved_own, evidence), moved));
        match moved {
            Some((better, moved)) if better.cost < equations.cost => {
                let settled = equations.cost - better.cost < SETTLED * equations.cost;
                (map, own, equations) = (moved, moved_own, better);
                damping = (damping / 10.0).max(1e-12);
                if settled {
                    break;
                }
            }
            _ if damping > 1e6 => break,
            _ => damping *= 10.0,
        }
    }
    let covariance = equations.normal.cholesky()?.inverse();
    let of_map = covariance.fixed_view::<NUMBERS, NUMBERS>(0, 0).into_owned();
    let map = map.with(*map.numbers(), &of_map)?;
    let spots_rms = (equations.spots_off / evidence.spots.len().max(1) as f64).sqrt();
    Some(Estimate { residuals: equations.residuals, map, own, covariance, spots_rms })
}

/// The linearised equations at one place.
struct Equations {
    normal: DMatrix<f64>,
    slope: DVector<f64>,
    cost: f64,
    residuals: Vec<Vec<f64>>,
    /// The sum of squares of the spots' residuals, pixels.
    spots_off: f64,
}

/// A residual that counts for this many spreads stands for a point that the map does not reach.
const UNREACHED: f64 = 100.0;

fn equations(map: &CanvasMap, own: &DVector<f64>, evidence: &Evidence) -> Equations {
    let unknowns = NUMBERS + own.len();
    let mut all = Equations {
        normal: DMatrix::zeros(unknowns, unknowns),
        slope: DVector::zeros(unknowns),
        cost: 0.0,
        residuals: Vec::with_capacity(evidence.curves.len()),
        spots_off: 0.0,
    };
    for (at, curve) in evidence.curves.iter().enumerate() {
        let start = start_of(at);
        let residuals = add_curve(&mut all, map, curve, start, own);
        all.residuals.push(residuals);
        if let Own::Edge { bow, place } = curve.own {
            all.add_prior(start, own[start - NUMBERS], bow);
            all.add_prior(start + 1, own[start - NUMBERS + 1], place);
        }
    }
    for spot in &evidence.spots {
        add_spot(&mut all, map, spot);
    }
    for at in 0..NUMBERS {
        let off = map.numbers()[at] - evidence.beforehand.mean[at];
        all.add_prior(at, off, evidence.beforehand.sd[at]);
    }
    all
}

impl Equations {
    fn add_prior(&mut self, at: usize, off: f64, sd: f64) {
        if sd.is_finite() && sd > 0.0 {
            self.normal[(at, at)] += 1.0 / (sd * sd);
            self.slope[at] -= off / (sd * sd);
            self.cost += off * off / (2.0 * sd * sd);
        }
    }

    /// Adds one residual with its slopes: for the map's numbers, and for `count` of the curve's own from `start` on.
    fn add(&mut self, residual: f64, weight: f64, by_numbers: &Numbers, own: &[f64], start: usize) {
        for row in 0..NUMBERS {
            let weighted = weight * by_numbers[row];
            self.slope[row] -= weighted * residual;
            for column in 0..=row {
                self.normal[(row, column)] += weighted * by_numbers[column];
            }
        }
        for (row, slope) in own.iter().enumerate() {
            let weighted = weight * slope;
            self.slope[start + row] -= weighted * residual;
            for column in 0..NUMBERS {
                self.normal[(start + row, column)] += weighted * by_numbers[column];
            }
            for (column, other) in own.iter().enumerate().take(row + 1) {
                self.normal[(start + row, start + column)] += weighted * other;
            }
        }
    }
}

fn add_curve(
    all: &mut Equations,
    map: &CanvasMap,
    curve: &Curve,
    start: usize,
    own: &DVector<f64>,
) -> Vec<f64> {
    let cauchy = (CAUCHY * curve.spread).powi(2);
    let certainty = 1.0 / (curve.sd * curve.sd);
    let mut residuals = Vec::with_capacity(curve.points.len());
    for point in &curve.points {
        let Some(slopes) = map.slopes(*point) else {
            all.cost += certainty * cauchy / 2.0 * (1.0 + (UNREACHED / CAUCHY).powi(2)).ln();
            residuals.push(f64::NAN);
            continue;
        };
        let from_origin = slopes.at - curve.origin;
        let shape = curve.own.shape(from_origin.dot(&curve.along) / curve.length);
        let explained: f64 = (0..OWN).map(|at| shape[at] * own[start - NUMBERS + at]).sum();
        let gradient = (slopes.by_pixel.transpose() * curve.across).norm();
        let residual = (from_origin.dot(&curve.across) - explained) / gradient;
        let by_numbers: Numbers = slopes.by_numbers.transpose() * curve.across / gradient;
        let by_own = shape.map(|shape| -shape / gradient);
        let weight = certainty * cauchy_weight(residual, curve.spread);
        all.add(residual, weight, &by_numbers, &by_own, start);
        all.cost += certainty * cauchy / 2.0 * (residual * residual / cauchy).ln_1p();
        residuals.push(residual);
    }
    residuals
}

fn add_spot(all: &mut Equations, map: &CanvasMap, spot: &Spot) {
    let slopes = map.slopes(spot.pixel);
    let to_pixels = slopes.as_ref().and_then(|slopes| slopes.by_pixel.try_inverse());
    let (Some(slopes), Some(to_pixels)) = (slopes, to_pixels) else {
        all.cost += UNREACHED * UNREACHED;
        return;
    };
    let off = to_pixels * (slopes.at - spot.place);
    let by_numbers = to_pixels * slopes.by_numbers;
    for axis in 0..2 {
        let weight = 1.0 / (spot.sd * spot.sd);
        all.spots_off += off[axis] * off[axis];
        all.add(off[axis], weight, &by_numbers.row(axis).transpose(), &[], NUMBERS);
        all.cost += weight * off[axis] * off[axis] / 2.0;
    }
}

fn cauchy_weight(residual: f64, spread: f64) -> f64 {
    1.0 / (1.0 + (residual / (CAUCHY * spread)).powi(2))
}
