//! The canvas's own shape: what one photo can tell of its proportions and squareness, and what it cannot.
//!
//! A canvas whose opposite sides are not parallel looks exactly like a square one that is tilted: no single photo tells them
//! apart, so the sides are taken for parallel. Then the focal length, the optical axis's place and the slant decide how well
//! the rest is known.

use nalgebra::Vector3;
use plan::{Angle, Length, Quad, Ruler};
use serde::{Deserialize, Serialize};

use crate::NORMAL_95;
use crate::camera::CanvasPhoto;
use crate::pose::{CanvasMap, NUMBERS, Pose};
use crate::report::{at_most, small_length};

/// The standard deviation, mm, beyond which a shape is not told: more, and a ruler does better.
const LEAST_TOLD: f64 = 1.0;

/// The slant beyond which a shape is not told, degrees. The estimate learns the optical axis's place from the lens's bend,
/// and a telephone's lens is not bent so evenly that a proportion may hang on it.
const STEEPEST_TOLD: f64 = 8.0;

/// What is told of the canvas's shape. Half-widths are those of the 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct CanvasShape {
    /// How slanted the photo was taken.
    pub tilt: Angle,
    /// By how much the canvas is wider than planned, if its height is as planned, mm.
    pub wider_mm: f64,
    /// Half-width of that.
    pub wider_95_mm: f64,
    /// By how much its lower side is shifted to the right against the upper, so that it leans, mm.
    pub leans_mm: f64,
    /// Half-width of that.
    pub leans_95_mm: f64,
    /// Whether the photo tells its focal length, on which all this hangs.
    #[serde(default = "yes")]
    pub lens_told: bool,
    /// False when this photo cannot tell either to a millimetre.
    pub told: bool,
}

/// Checks of earlier versions do not say.
const fn yes() -> bool {
    true
}

impl CanvasShape {
    /// Judges the shape from a pose; `canvas` is the outline that the pose was found with.
    pub fn of(photo: &CanvasPhoto, pose: &Pose, canvas: &Quad) -> Self {
        let bounds = canvas.bounds();
        let (width, height) = (bounds.width.to_mm(), bounds.height.to_mm());
        let seen = |map: &CanvasMap, focal: f64| {
            let [wider, leans] = wider_and_leaning(map, focal);
            [wider * width, leans * height]
        };
        let here = seen(&pose.map, 1.0);
        let mut variance = [0.0; 2];
        let mut slopes = [[0.0; NUMBERS]; 2];
        for number in 0..NUMBERS {
            const STEP: f64 = 1e-6;
            let mut numbers = *pose.map.numbers();
            numbers[number] += STEP;
            let Some(moved) = pose.map.with(numbers, pose.map.covariance()) else { continue };
            let there = seen(&moved, 1.0);
            for axis in 0..2 {
                slopes[axis][number] = (there[axis] - here[axis]) / STEP;
            }
        }
        let by_focal = photo.focal().may_be.map(|share| seen(&pose.map, share));
        for axis in 0..2 {
            for row in 0..NUMBERS {
                for column in 0..NUMBERS {
                    variance[axis] +=
                        slopes[axis][row] * pose.map.covariance()[(row, column)] * slopes[axis][column];
                }
            }
            let most = by_focal.iter().map(|there| (there[axis] - here[axis]).abs()).fold(0.0, f64::max);
            variance[axis] += (most / NORMAL_95).powi(2);
        }
        let sd = variance.map(|variance| variance.max(0.0).sqrt());
        let tilt = pose.tilt(canvas);
        Self {
            tilt,
            wider_mm: here[0],
            wider_95_mm: NORMAL_95 * sd[0],
            leans_mm: here[1],
            leans_95_mm: NORMAL_95 * sd[1],
            lens_told: photo.focal().is_told,
            told: tilt.to_degrees() <= STEEPEST_TOLD && sd.iter().all(|sd| *sd < LEAST_TOLD),
        }
    }

    /// What to say of it, with lengths as they are told beside this ruler.
    pub fn in_words(&self, ruler: Ruler) -> String {
        let tilt = self.tilt.to_degrees();
        if !self.told && !self.lens_told && tilt <= STEEPEST_TOLD {
            return format!(
                "This photo, taken at a slant of {tilt:.0} degrees, does not say how wide its lens is, and so cannot tell whether the canvas is \
                 square. Photos sent by message lose that: bring in the one that the camera wrote, take one from straight before the \
                 canvas’s middle, or measure both diagonals with a tape: in a square canvas they are equal."
            );
        }
        if !self.told {
            return format!(
                "This photo, taken at a slant of {tilt:.0} degrees, cannot tell whether the canvas is square. Take one from straight \
                 before its middle, or measure both diagonals with a tape: in a square canvas they are equal."
            );
        }
        let within = |half: f64| at_most(Length::mm(half), ruler);
        let told = |off: f64, half: f64, more: &str, less: &str| {
            let word = if off < 0.0 { less } else { more };
            (off.abs() > half).then(|| format!("{} {word}", small_length(Length::mm(off.abs()), ruler)))
        };
        let sure = within(self.wider_95_mm);
        let width = told(self.wider_mm, self.wider_95_mm, "wider", "narrower").map_or_else(
            || format!("as wide for its height as planned, to within {sure}"),
            |wider| format!("{wider} for its height than planned, give or take {sure}"),
        );
        let sure = within(self.leans_95_mm);
        let corners = told(self.leans_mm, self.leans_95_mm, "to the right", "to the left").map_or_else(
            || format!("its corners are square, to within {sure} over its height"),
            |leans| {
                format!(
                    "its corners are not square: its lower side lies {leans} of where it should, give or take {sure}"
                )
            },
        );
        format!(
            "As far as one photo tells, the canvas is {width}, and {corners}. Sides that are not parallel look like a slant of \
             the camera: for those measure both diagonals with a tape."
        )
    }
}

/// By what share the canvas is wider, and the tangent of its lean, if the focal length is `focal` times the one assumed.
fn wider_and_leaning(map: &CanvasMap, focal: f64) -> [f64; 2] {
    let [across, down] = map.axes().map(|axis| Vector3::new(axis.x / focal, axis.y / focal, axis.z));
    let lean = across.dot(&down) / (across.norm() * down.norm());
    [across.norm() / down.norm() - 1.0, lean / (1.0 - lean * lean).sqrt()]
}
