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
use crate::warning::Warning;

/// The standard deviation, mm, beyond which a shape is not told: more, and a ruler does better.
const LEAST_TOLD: f64 = 1.0;

/// The slant beyond which a shape is not told, degrees. The estimate learns the optical axis's place from the lens's bend,
/// and a telephone's lens is not bent so evenly that a proportion may hang on it.
const STEEPEST_TOLD: f64 = 8.0;

/// By how much a canvas may differ from the size that it is sold by before something else is suspected, mm (common practice, no source).
const CUT_AMISS: f64 = 2.0;

/// The same of one that was measured with a rule.
const MEASURED_AMISS: f64 = 1.0;

/// The slant up to which a shape that is not told may still speak against the outline, degrees, and by how much more it must then, mm.
const STEEPEST_DOUBTED: f64 = 15.0;
const SLANTED_AMISS: f64 = 1.0;

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
    /// Whether it is held against the canvas as the painter measured it rather than against a square one.
    #[serde(default)]
    pub against_measured: bool,
    /// False when this photo cannot tell either to a millimetre.
    pub told: bool,
}

/// Checks of earlier versions do not say.
const fn yes() -> bool {
    true
}

impl CanvasShape {
    /// Judges the shape from a pose; `canvas` is the outline that the pose was found with, as it was measured or as it was bought.
    pub fn of(photo: &CanvasPhoto, pose: &Pose, canvas: &Quad, is_measured: bool) -> Self {
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
            against_measured: is_measured,
            told: tilt.to_degrees() <= STEEPEST_TOLD && sd.iter().all(|sd| *sd < LEAST_TOLD),
        }
    }

    /// That it is surely another shape than planned, and by more than canvases are cut, or measured, amiss.
    pub fn warning(&self) -> Option<Warning> {
        let amiss = if self.against_measured { MEASURED_AMISS } else { CUT_AMISS };
        let allowed = if self.told { amiss } else { amiss + SLANTED_AMISS };
        let is_known = self.told || (self.lens_told && self.tilt.to_degrees() <= STEEPEST_DOUBTED);
        let is_other = is_known && self.wider_mm.abs() - self.wider_95_mm > allowed;
        let (wider, is_measured) = (Length::mm(self.wider_mm), self.against_measured);
        is_other.then_some(Warning::OtherProportions { wider, is_measured })
    }

    /// What to say of it, with lengths as they are told beside this ruler.
    pub fn in_words(&self, ruler: Ruler) -> String {
        let tilt = self.tilt.to_degrees();
        let (asked, diagonals) = if self.against_measured {
            ("has the shape that you measured", "measure both diagonals again")
        } else {
            ("is square", "measure both diagonals with a tape: in a square canvas they are equal")
        };
        if !self.told && !self.lens_told && tilt <= STEEPEST_TOLD {
            return format!(
                "This photo, taken at a slant of {tilt:.0} degrees, does not say how wide its lens is, and so cannot tell whether the canvas \
                 {asked}. Photos sent by message lose that: bring in the one that the camera wrote, take one from straight before the \
                 canvas’s middle, or {diagonals}."
            );
        }
        if !self.told {
            return format!(
                "This photo, taken at a slant of {tilt:.0} degrees, cannot tell whether the canvas {asked}. Take one from straight \
                 before its middle, or {diagonals}."
            );
        }
        let within = |half: f64| at_most(Length::mm(half), ruler);
        let told = |off: f64, half: f64, more: &str, less: &str| {
            let word = if off < 0.0 { less } else { more };
            (off.abs() > half).then(|| format!("{} {word}", small_length(Length::mm(off.abs()), ruler)))
        };
        let [planned, square, not_square] = if self.against_measured {
            ["measured", "it leans as you measured it", "it does not lean as you measured it"]
        } else {
            ["planned", "its corners are square", "its corners are not square"]
        };
        let sure = within(self.wider_95_mm);
        let width = told(self.wider_mm, self.wider_95_mm, "wider", "narrower").map_or_else(
            || format!("as wide for its height as {planned}, to within {sure}"),
            |wider| format!("{wider} for its height than {planned}, give or take {sure}"),
        );
        let sure = within(self.leans_95_mm);
        let corners = told(self.leans_mm, self.leans_95_mm, "to the right", "to the left").map_or_else(
            || format!("{square}, to within {sure} over its height"),
            |leans| {
                format!("{not_square}: its lower side lies {leans} of where it should, give or take {sure}")
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
