//! Drift: how far the painted landmarks lie from where the plan has them, as a whole and each on its own.

mod similarity;
mod words;

use nalgebra::{DMatrix, Matrix2, Vector2};
use plan::{CanvasPoint, Length};
use serde::{Deserialize, Serialize};

use crate::NORMAL_95;
use crate::frame::ImagePoint;
use crate::pose::{CanvasMap, Numbers, millimetres};
use crate::unfit::Unfit;
use similarity::{FEWEST_TO_JUDGE, Similarity, agreeing, design};
pub use words::WholeNumber;

/// Fewer landmarks than this show no drift: two always fit.
pub const FEWEST_LANDMARKS: usize = 3;

/// The most landmarks that may be set in one check: what they cost grows with their cube, since each is weighed against all others.
pub const MOST_PAINTED: usize = 200;

/// The numbers of a similarity: shift right and down, size, turn.
const NUMBERS: usize = 4;

/// How far a landmark of the reference is set beside its true place, standard deviation in mm on the canvas: a quarter of a
/// pixel under a loupe.
const PLANNED_SD: f64 = 0.04;

/// What the map may be off besides what its covariance says, standard deviation in mm: a canvas is never quite flat.
const FLATNESS_SD: f64 = 0.05;

/// Landmarks whose extent about their middle, root mean square in mm, is less than this tell neither size nor turn: an eye is some
/// 4 mm long in a miniature of 30 mm, and setting a landmark is unsure by about half a millimetre.
const LEAST_EXTENT: f64 = 1.0;

/// A landmark with the place it was planned at and the place it is painted at.
#[derive(Clone, Debug, PartialEq)]
pub struct PaintedLandmark {
    /// Its name, such as `right pupil`.
    pub name: String,
    /// Where the plan has it.
    pub planned: CanvasPoint,
    /// Where it is painted.
    pub painted: PaintedAt,
}

/// Where a landmark is painted, and how far that may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PaintedAt {
    /// Set in the photo of the canvas.
    Photo {
        /// The point.
        point: ImagePoint,
        /// The standard deviation of each of its coordinates, in pixels; see [`click_sd`].
        sd: f64,
    },
    /// Measured on the canvas itself.
    Canvas {
        /// The point.
        point: CanvasPoint,
        /// The standard deviation of each of its coordinates.
        sd: Length,
    },
}

/// What the painted landmarks tell.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drift {
    /// What all have in common.
    pub whole: WholeDrift,
    /// What is left of each: those that stand out first, the larger first among them.
    pub own: Vec<OwnDrift>,
    /// The landmarks that were set aside when the whole was judged, because they are too far off on their own.
    pub set_aside: Vec<String>,
    /// Whether so many lie apart, or there are so few of them, that none can be told to be the odd ones out: then all are counted, and the
    /// whole is between them.
    #[serde(default)]
    pub disagree: bool,
    /// Pairs of landmarks that are each painted where the other belongs: more likely set the wrong way round.
    #[serde(default)]
    pub exchanged: Vec<[String; 2]>,
}

/// Two landmarks are taken for exchanged when each lies within this share of their distance from the other's place.
const EXCHANGED: f64 = 0.25;
/// So few landmarks sway the whole so much that no place can be told from it: which are exchanged is tried.
const FEW: usize = 5;
/// Exchanged, they scatter less by at least this in the sum of squares.
const CLEARLY_LESS: f64 = 25.0;
/// Nobody paints a head larger or smaller by this share unawares (common practice, no source).
const LIKELY_SIZE: f64 = 0.25;
/// Nor turned by this, in radians (common practice, no source).
const LIKELY_TURN: f64 = 0.35;

/// The drift that all landmarks have in common, and half the width of the 95 % interval of each number.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct WholeDrift {
    /// How far the middle of the landmarks lies to the right of its place, mm.
    pub right_mm: f64,
    /// Half-width of that.
    pub right_95_mm: f64,
    /// How far it lies below its place, mm.
    pub down_mm: f64,
    /// Half-width of that.
    pub down_95_mm: f64,
    /// By how much all is too large, per cent.
    pub size_percent: f64,
    /// Half-width of that.
    pub size_95_percent: f64,
    /// By how much all is turned clockwise, degrees.
    pub turn_deg: f64,
    /// Half-width of that.
    pub turn_95_deg: f64,
}

/// What is left of one landmark's error when the whole is put right.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OwnDrift {
    /// The landmark.
    pub name: String,
    /// Where the plan has it.
    pub planned: CanvasPoint,
    /// Where it is painted.
    pub painted: CanvasPoint,
    /// How far it lies to the right, mm.
    pub right_mm: f64,
    /// Half-width of the 95 % interval of that.
    pub right_95_mm: f64,
    /// How far it lies too low, mm.
    pub down_mm: f64,
    /// Half-width of the 95 % interval of that.
    pub down_95_mm: f64,
    /// True when it is off by more than the painter's tolerance, and by more than chance explains among so many landmarks.
    pub stands_out: bool,
}

/// How far a click may be off, judged from landmarks that were set twice: standard deviation of each coordinate in pixels of
/// one click. The mean of two has that divided by the square root of two. `None` without pairs.
pub fn click_sd(twice: &[(ImagePoint, ImagePoint)]) -> Option<f64> {
    let squares: f64 = twice.iter().map(|(a, b)| (a.x - b.x).powi(2) + (a.y - b.y).powi(2)).sum();
    // Two axes, and two clicks in each difference.
    (!twice.is_empty()).then(|| (squares / (4.0 * twice.len() as f64)).sqrt())
}

/// The places and their uncertainty as one vector: right and down of each landmark in turn, mm.
struct Places {
    planned: Vec<Vector2<f64>>,
    painted: Vec<Vector2<f64>>,
    covariance: DMatrix<f64>,
}

impl Drift {
    /// Splits the landmarks' errors. Own errors up to `tolerance` are let pass.
    ///
    /// # Errors
    /// With fewer than [`FEWEST_LANDMARKS`], or when a landmark lies where the map does not reach.
    pub fn of(map: &CanvasMap, landmarks: &[PaintedLandmark], tolerance: Length) -> Result<Self, Unfit> {
        if landmarks.len() < FEWEST_LANDMARKS {
            return Err(Unfit::TooFewLandmarks { count: landmarks.len(), needed: FEWEST_LANDMARKS });
        }
        let places = Places::of(map, landmarks)?;
        for (places, painted) in [(&places.planned, false), (&places.painted, true)] {
            let extent = extent(places).ok_or(Unfit::CornerOutside)?;
            if extent < LEAST_EXTENT {
                return Err(Unfit::LandmarksInOnePlace { painted });
            }
        }
        let measured = (0..landmarks.len()).map(|at| places.sd(at)).fold(0.0, f64::max);
        // Those that agree may still be in one place, and one far off them that gave them all their extent.
        let in_one_place = Unfit::LandmarksInOnePlace { painted: false };
        let (agreeing, agree) =
            agreeing(&places.planned, &places.painted, measured).ok_or_else(|| in_one_place.clone())?;
        let drift = places.split(landmarks, &agreeing, tolerance).ok_or(in_one_place)?;
        Ok(Self { disagree: drift.disagree || !agree, ..drift })
    }
}

impl Places {
    fn of(map: &CanvasMap, landmarks: &[PaintedLandmark]) -> Result<Self, Unfit> {
        let count = landmarks.len();
        let mut covariance = DMatrix::zeros(2 * count, 2 * count);
        let mut by_numbers: DMatrix<f64> = DMatrix::zeros(2 * count, Numbers::zeros().len());
        let mut painted = Vec::with_capacity(count);
        for (at, landmark) in landmarks.iter().enumerate() {
            let (place, of_click) = match landmark.painted {
                PaintedAt::Photo { point, sd } => {
                    let slopes = map.slopes(Vector2::new(point.x, point.y)).ok_or(Unfit::CornerOutside)?;
                    by_numbers.fixed_view_mut::<2, 12>(2 * at, 0).copy_from(&slopes.by_numbers);
                    (slopes.at, slopes.by_pixel * slopes.by_pixel.transpose() * (sd * sd))
                }
                PaintedAt::Canvas { point, sd } => {
                    (millimetres(point), Matrix2::identity() * sd.to_mm().powi(2))
                }
            };
            painted.push(place);
            let own = of_click + Matrix2::identity() * (PLANNED_SD * PLANNED_SD + FLATNESS_SD * FLATNESS_SD);
            covariance.fixed_view_mut::<2, 2>(2 * at, 2 * at).copy_from(&own);
        }
        covariance += &by_numbers * map.covariance() * by_numbers.transpose();
        let planned = landmarks.iter().map(|landmark| millimetres(landmark.planned)).collect();
        Ok(Self { planned, painted, covariance })
    }

    /// The larger standard deviation of one landmark's place, mm.
    fn sd(&self, at: usize) -> f64 {
        self.covariance[(2 * at, 2 * at)].max(self.covariance[(2 * at + 1, 2 * at + 1)]).sqrt()
    }

    /// How far the landmarks lie off the similarity, the sum of the squares in mm².
    fn scatter(&self, fitted: &Similarity, agreeing: &[usize]) -> f64 {
        let off = |at: &usize| (self.painted[*at] - fitted.moved(self.planned[*at])).norm_squared();
        agreeing.iter().map(off).sum()
    }

    /// By how much the variances of the whole's numbers are more than measuring explains: where the landmarks scatter about the
    /// similarity more than that, what they were drawn and set with makes the whole less sure, and so much is read off their own
    /// scatter, as in a regression whose noise is not known (R. T. Birge, "The calculation of errors by the method of least
    /// squares", Physical Review 40, 1932). 1 where it explains them.
    fn widened(scatter: f64, agreeing: &[usize], of_left_over: &DMatrix<f64>) -> f64 {
        let explained: f64 = agreeing
            .iter()
            .map(|at| of_left_over[(2 * at, 2 * at)] + of_left_over[(2 * at + 1, 2 * at + 1)])
            .sum();
        let freedom = freedom(agreeing);
        let ratio = if explained > 0.0 { scatter / explained } else { 1.0 };
        if ratio > chance_95(freedom) { (students_95(freedom) / NORMAL_95).powi(2) * ratio } else { 1.0 }
    }

    /// First-order propagation: with A the design of the linearised similarity over the landmarks that agree, its numbers
    /// are A⁺ times the places, and what is left over (I − A A⁺) times them. `None` where those that agree have no extent.
    fn split(&self, landmarks: &[PaintedLandmark], agreeing: &[usize], tolerance: Length) -> Option<Drift> {
        let count = landmarks.len();
        let fitted = Similarity::least_squares(&self.planned, &self.painted, agreeing);
        let all: Vec<usize> = (0..count).collect();
        let of_agreeing = design(&self.planned, &fitted, agreeing);
        let inverse = (of_agreeing.transpose() * &of_agreeing).try_inverse()? * of_agreeing.transpose();
        let mut numbers_by_places = DMatrix::zeros(NUMBERS, 2 * count);
        for (column, at) in agreeing.iter().enumerate() {
            numbers_by_places.columns_mut(2 * at, 2).copy_from(&inverse.columns(2 * column, 2));
        }
        let of_all = design(&self.planned, &fitted, &all);
        let measured = &numbers_by_places * &self.covariance * numbers_by_places.transpose();
        let left_over = DMatrix::identity(2 * count, 2 * count) - &of_all * &numbers_by_places;
        let of_left_over = &left_over * &self.covariance * left_over.transpose();
        let scatter = self.scatter(&fitted, agreeing);
        let widened = Self::widened(scatter, agreeing, &of_left_over);
        let of_own = of_left_over + &of_all * &measured * of_all.transpose() * (widened - 1.0);
        let of_numbers = measured * widened;
        let half = |variance: f64| NORMAL_95 * variance.max(0.0).sqrt();
        let whole = WholeDrift {
            right_mm: fitted.shift.x,
            right_95_mm: half(of_numbers[(0, 0)]),
            down_mm: fitted.shift.y,
            down_95_mm: half(of_numbers[(1, 1)]),
            size_percent: 100.0 * (fitted.scale - 1.0),
            size_95_percent: 100.0 * fitted.scale * half(of_numbers[(2, 2)]),
            turn_deg: fitted.turn.to_degrees(),
            turn_95_deg: half(of_numbers[(3, 3)]).to_degrees(),
        };
        let mut own: Vec<OwnDrift> = landmarks
            .iter()
            .enumerate()
            .map(|(at, landmark)| {
                let off = self.painted[at] - fitted.moved(self.planned[at]);
                let covariance = of_own.fixed_view::<2, 2>(2 * at, 2 * at).into_owned();
                let surely = is_beyond_chance(off, covariance, count);
                OwnDrift {
                    name: landmark.name.clone(),
                    planned: landmark.planned,
                    painted: CanvasPoint::mm(self.painted[at].x, self.painted[at].y),
                    right_mm: off.x,
                    right_95_mm: half(covariance[(0, 0)]),
                    down_mm: off.y,
                    down_95_mm: half(covariance[(1, 1)]),
                    stands_out: surely && off.norm() > tolerance.to_mm(),
                }
            })
            .collect();
        let out: Vec<usize> = all.iter().copied().filter(|at| own[*at].stands_out).collect();
        own.sort_by(|a, b| b.stands_out.cmp(&a.stands_out).then(b.size_mm().total_cmp(&a.size_mm())));
        let set_aside = all.iter().filter(|at| !agreeing.contains(at)).map(|at| landmarks[*at].name.clone());
        let set_aside: Vec<String> = set_aside.collect();
        // None of so few can be set aside: that they scatter more than measuring explains and than is let pass is all that shows of one that
        // is wrong. What is surely told of the whole all the same, is told.
        let disagree = count < FEWEST_TO_JUDGE
            && widened > 1.0
            && per_freedom(scatter, agreeing) > tolerance.to_mm()
            && !whole.is_surely_off();
        let mut exchanged = self.exchanged(&fitted, &out);
        if exchanged.is_empty() && count <= FEW {
            exchanged.extend(self.exchanged_of_few(tolerance));
        }
        let named = |at: usize| landmarks[at].name.clone();
        let exchanged = exchanged.into_iter().map(|(one, other)| [named(one), named(other)]).collect();
        Some(Drift { whole, own, set_aside, disagree, exchanged })
    }

    /// The pairs among those of `out` that are each painted where the other belongs.
    fn exchanged(&self, fitted: &Similarity, out: &[usize]) -> Vec<(usize, usize)> {
        let belongs = |at: usize| fitted.moved(self.planned[at]);
        let change_places = |one: usize, other: usize| {
            let within = EXCHANGED * (belongs(one) - belongs(other)).norm();
            (self.painted[one] - belongs(other)).norm() < within
                && (self.painted[other] - belongs(one)).norm() < within
        };
        pairs(out).filter(|(one, other)| change_places(*one, *other)).collect()
    }

    /// Of few landmarks, which sway the similarity too much to tell where they belong: the one pair with which exchanged all lie in their
    /// places, where with no other they do.
    fn exchanged_of_few(&self, tolerance: Length) -> Option<(usize, usize)> {
        let all: Vec<usize> = (0..self.planned.len()).collect();
        let fitted_to = |painted: &[Vector2<f64>]| {
            let fitted = Similarity::least_squares(&self.planned, painted, &all);
            let off = |at: &usize| (painted[*at] - fitted.moved(self.planned[*at])).norm_squared();
            let scatter: f64 = all.iter().map(off).sum();
            (fitted, scatter)
        };
        let (_, scatter) = fitted_to(&self.painted);
        let in_place = |(one, other): &(usize, usize)| {
            let mut painted = self.painted.clone();
            painted.swap(*one, *other);
            let (fitted, left) = fitted_to(&painted);
            per_freedom(left, &all) <= tolerance.to_mm()
                && left * CLEARLY_LESS < scatter
                && (fitted.scale - 1.0).abs() < LIKELY_SIZE
                && fitted.turn.abs() < LIKELY_TURN
        };
        let mut found = pairs(&all).filter(in_place);
        found.next().filter(|_| found.next().is_none())
    }
}

/// Each two of these.
fn pairs(all: &[usize]) -> impl Iterator<Item = (usize, usize)> {
    all.iter().enumerate().flat_map(|(at, one)| all[at + 1..].iter().map(move |other| (*one, *other)))
}

/// What landmarks scatter about a similarity that was fitted to them, mm.
fn per_freedom(scatter: f64, agreeing: &[usize]) -> f64 {
    (scatter / freedom(agreeing).max(1) as f64).sqrt()
}

/// The degrees of freedom of a similarity fitted to these landmarks.
const fn freedom(agreeing: &[usize]) -> usize {
    (2 * agreeing.len()).saturating_sub(NUMBERS)
}

/// How far places lie from their middle, root mean square in mm; `None` if one of them is no place.
fn extent(places: &[Vector2<f64>]) -> Option<f64> {
    let middle = places.iter().sum::<Vector2<f64>>() / places.len() as f64;
    let extent = (places.iter().map(|place| (place - middle).norm_squared()).sum::<f64>()
        / places.len() as f64)
        .sqrt();
    extent.is_finite().then_some(extent)
}

/// The two-sided 95 % bound of Student's t with an even number of degrees of freedom, as a regression's are here: 2, 4, … 30
/// (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2), and beyond them with an error of less than a hundredth.
fn students_95(freedom: usize) -> f64 {
    const EVEN: [f64; 15] = [
        4.303, 2.776, 2.447, 2.306, 2.228, 2.179, 2.145, 2.120, 2.101, 2.086, 2.074, 2.064, 2.056, 2.048,
        2.042,
    ];
    EVEN.get((freedom / 2).wrapping_sub(1)).copied().unwrap_or(NORMAL_95 + 2.4 / freedom.max(1) as f64)
}

/// What χ² divided by its degrees of freedom exceeds by chance one time in twenty (E. B. Wilson and M. M. Hilferty, "The
/// distribution of chi-square", PNAS 17, 1931).
fn chance_95(freedom: usize) -> f64 {
    /// The normal distribution's quantile at 0.95.
    const NORMAL_95_ABOVE: f64 = 1.644_854;
    let spread = 2.0 / (9.0 * freedom.max(1) as f64);
    (1.0 - spread + NORMAL_95_ABOVE * spread.sqrt()).powi(3)
}

/// True when an error is larger than one among `count` would be by chance in a twentieth of checks: χ² with two degrees of
/// freedom, whose quantile is -2 ln α, and α shared out after Bonferroni.
fn is_beyond_chance(off: Vector2<f64>, covariance: Matrix2<f64>, count: usize) -> bool {
    let bound = -2.0 * (0.05 / count as f64).ln();
    covariance.try_inverse().is_some_and(|inverse| (off.transpose() * inverse * off)[0] > bound)
}

impl OwnDrift {
    /// How far it is off, mm.
    pub fn size_mm(&self) -> f64 {
        self.right_mm.hypot(self.down_mm)
    }
}

#[cfg(test)]
mod tests;
