//! A canvas measured by its four sides and two diagonals, and the outline these six lengths imply.
//!
//! Five lengths fix a four-cornered outline; the sixth is a check. The corners are solved by least squares over all
//! six, and what the six leave over tells whether one of them was misread.

use nalgebra::{SMatrix, SVector};
use serde::{Deserialize, Serialize};

use super::{CanvasError, Size, in_range};
use crate::NORMAL_95;
use crate::frame::CanvasPoint;
use crate::length::{Length, Unit};
use crate::outline::Quad;
use crate::ruler::Ruler;

/// A measured side may differ from the nominal one by this share before it is taken for another canvas: stretched
/// canvases are sold to about 1 %, and a canvas cut by hand to a few per cent.
const LARGEST_SHARE_OFF_NOMINAL: f64 = 0.1;

/// A root mean square residual over this share of the mean side is no misreading but six lengths of no canvas: a side
/// of 12 in misread by a whole inch leaves 1.2 %.
const LARGEST_RESIDUAL_SHARE: f64 = 0.03;

/// Gauss-Newton steps: from a rectangle to any outline near one takes four or five.
const MAX_STEPS: usize = 50;

/// A step this small in mm ends the solution: a ten-thousandth of what a ruler can tell.
const SMALLEST_STEP_MM: f64 = 1e-10;

/// Standard deviation of one length read at both ends to the nearest division, in divisions: 1/√12 for each end
/// (rectangular distribution, JCGM 100:2008, 4.3.7), √2 for the two together.
const READING_SD_IN_DIVISIONS: f64 = 0.408_248_290_463_863;

/// The four sides and two diagonals as measured on the canvas.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Measured {
    /// The top side.
    pub top: Length,
    /// The right side.
    pub right: Length,
    /// The bottom side.
    pub bottom: Length,
    /// The left side.
    pub left: Length,
    /// The diagonal down from the top left corner.
    pub down: Length,
    /// The diagonal up from the bottom left corner.
    pub up: Length,
}

/// The outline that six measured lengths imply.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SolvedCanvas {
    /// The outline in the canvas frame: top left corner at the origin, top side along x.
    pub outline: Quad,
    /// Measured less solved, in the order top, right, bottom, left, down, up.
    pub residuals: [Length; 6],
    /// Unit vector of the one combination of the six lengths that any outline leaves at zero: how much a misreading
    /// of each length shows in [`SolvedCanvas::misclosure`].
    sensitivity: [f64; 6],
}

/// The six measurements contradict each other by more than a ruler's reading error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contradiction {
    /// How far off a side would have to be, if one side alone was misread.
    pub side_off: Length,
    /// How far off a diagonal would have to be, if one diagonal alone was misread.
    pub diagonal_off: Length,
}

impl Measured {
    /// What a perfect rectangle measures.
    pub fn rectangle(width: Length, height: Length) -> Self {
        let diagonal = Length::mm(width.to_mm().hypot(height.to_mm()));
        Self { top: width, right: height, bottom: width, left: height, down: diagonal, up: diagonal }
    }

    /// The lengths in the order top, right, bottom, left, down, up.
    pub const fn lengths(&self) -> [Length; 6] {
        [self.top, self.right, self.bottom, self.left, self.down, self.up]
    }

    /// Solves the corners by least squares over the six lengths (Gauss-Newton from the rectangle of mean sides).
    ///
    /// # Errors
    /// When the lengths are out of range or make no convex outline.
    pub fn solve(&self) -> Result<SolvedCanvas, CanvasError> {
        for (what, length) in MEASURED_NAMES.into_iter().zip(self.lengths()) {
            let limit = if what.starts_with("diagonal") { std::f64::consts::SQRT_2 } else { 1.0 };
            in_range(what, length / limit)?;
        }
        let measured = SVector::<f64, 6>::from(self.lengths().map(Length::to_mm));
        let (width, height) =
            (f64::midpoint(measured[0], measured[2]), f64::midpoint(measured[1], measured[3]));
        let mut shape = Shape::from([width, width, height, 0.0, height]);
        for _ in 0..MAX_STEPS {
            let (lengths, slopes) = lengths_and_slopes(&shape);
            let normal = slopes.transpose() * slopes;
            let step = normal
                .cholesky()
                .ok_or(CanvasError::NoOutline)?
                .solve(&(slopes.transpose() * (measured - lengths)));
            shape += step;
            if step.norm() < SMALLEST_STEP_MM {
                break;
            }
        }
        let outline = outline_of(&shape);
        if !outline.is_convex() || !outline.corners.iter().all(|corner| corner.is_finite()) {
            return Err(CanvasError::NoOutline);
        }
        let (lengths, slopes) = lengths_and_slopes(&shape);
        let residuals = (measured - lengths).map(Length::mm).into();
        let sensitivity = unexplained_direction(&slopes).ok_or(CanvasError::NoOutline)?;
        let solved = SolvedCanvas { outline, residuals, sensitivity };
        let largest = Length::mm(LARGEST_RESIDUAL_SHARE * f64::midpoint(width, height));
        if solved.residual() > largest { Err(CanvasError::NoOutline) } else { Ok(solved) }
    }

    pub(super) fn check(&self, nominal: Size) -> Result<(), CanvasError> {
        self.solve()?;
        let nominals = [nominal.width, nominal.height, nominal.width, nominal.height];
        for ((what, measured), nominal) in MEASURED_NAMES.into_iter().zip(self.lengths()).zip(nominals) {
            if ((measured - nominal) / nominal).abs() > LARGEST_SHARE_OFF_NOMINAL {
                return Err(CanvasError::NotThisCanvas { what, measured, nominal, unit: Unit::Millimetre });
            }
        }
        Ok(())
    }
}

impl SolvedCanvas {
    /// Root mean square of the six differences between measured and solved lengths.
    pub fn residual(&self) -> Length {
        let squares: f64 = self.residuals.iter().map(|residual| residual.to_mm().powi(2)).sum();
        Length::mm((squares / 6.0).sqrt())
    }

    /// The part of the six lengths that no outline explains, signed.
    pub fn misclosure(&self) -> Length {
        let parts =
            self.residuals.iter().zip(self.sensitivity).map(|(residual, weight)| residual.to_mm() * weight);
        Length::mm(parts.sum())
    }

    /// Whether the six lengths contradict each other by more than reading `ruler` at both ends explains, at 95 %.
    pub fn contradiction(&self, ruler: Ruler) -> Option<Contradiction> {
        let misclosure = self.misclosure().abs();
        // One honest measurement in twenty is questioned, which costs the painter a minute with the tape; a misread quarter of an
        // inch that goes unquestioned costs her the grid.
        if misclosure <= ruler.division() * (READING_SD_IN_DIVISIONS * NORMAL_95) {
            return None;
        }
        let mean =
            |weights: &[f64]| weights.iter().map(|weight| weight.abs()).sum::<f64>() / weights.len() as f64;
        let (sides, diagonals) = self.sensitivity.split_at(4);
        Some(Contradiction { side_off: misclosure / mean(sides), diagonal_off: misclosure / mean(diagonals) })
    }
}

impl Contradiction {
    /// The contradiction as a sentence, with its sizes as they stand on `ruler`.
    pub fn sentence(&self, ruler: Ruler) -> String {
        format!(
            "The six measurements contradict each other: a side is misread by about {}, or a diagonal by about {}. Measure again.",
            ruler.read(self.side_off),
            ruler.read(self.diagonal_off)
        )
    }
}

const MEASURED_NAMES: [&str; 6] = [
    "top side",
    "right side",
    "bottom side",
    "left side",
    "diagonal down from the top left",
    "diagonal up from the bottom left",
];

/// The five numbers that fix the outline, in mm: x of the top right corner, x and y of the bottom right, x and y of
/// the bottom left; the top left is the origin and the top side lies along x.
type Shape = SVector<f64, 5>;

/// Where each corner's x and y stand among the five numbers, top left first; `None` is a fixed zero.
const PLACES: [(Option<usize>, Option<usize>); 4] =
    [(None, None), (Some(0), None), (Some(1), Some(2)), (Some(3), Some(4))];

/// The corners that each of the six lengths joins, in the order of [`Measured::lengths`].
const JOINED: [(usize, usize); 6] = [(0, 1), (1, 2), (3, 2), (0, 3), (0, 2), (3, 1)];

fn outline_of(shape: &Shape) -> Quad {
    let at = |place: Option<usize>| place.map_or(0.0, |place| shape[place]);
    Quad { corners: PLACES.map(|(x, y)| CanvasPoint::mm(at(x), at(y))) }
}

/// The six lengths of an outline, and how each changes with each of the five numbers.
fn lengths_and_slopes(shape: &Shape) -> (SVector<f64, 6>, SMatrix<f64, 6, 5>) {
    let corners = outline_of(shape).corners;
    let mut lengths = SVector::<f64, 6>::zeros();
    let mut slopes = SMatrix::<f64, 6, 5>::zeros();
    for (row, (from, to)) in JOINED.into_iter().enumerate() {
        let length = corners[from].distance_to(corners[to]).to_mm();
        let across = (corners[to].x - corners[from].x).to_mm() / length;
        let down = (corners[to].y - corners[from].y).to_mm() / length;
        lengths[row] = length;
        for (corner, sign) in [(from, -1.0), (to, 1.0)] {
            let (x, y) = PLACES[corner];
            for (place, slope) in [(x, across), (y, down)] {
                if let Some(place) = place {
                    slopes[(row, place)] += sign * slope;
                }
            }
        }
    }
    (lengths, slopes)
}

/// The unit vector across all five columns of `slopes`: the one direction of the six lengths that no change of the
/// outline reaches. Taken as the longest of the six axes after the columns' span is removed.
fn unexplained_direction(slopes: &SMatrix<f64, 6, 5>) -> Option<[f64; 6]> {
    let normal = (slopes.transpose() * slopes).cholesky()?;
    let outside = SMatrix::<f64, 6, 6>::identity() - slopes * normal.solve(&slopes.transpose());
    let longest = outside.column_iter().max_by(|a, b| a.norm().total_cmp(&b.norm()))?.into_owned();
    Some((longest / longest.norm()).into())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ruler::InchDivision;
    use proptest::prelude::*;

    const SIXTEENTHS: Ruler = Ruler::Inch(InchDivision::Sixteenth);

    fn measure(outline: &Quad) -> Measured {
        use crate::outline::Side;
        let [top, right, bottom, left] = Side::ALL.map(|side| outline.side_length(side));
        let [down, up] = outline.diagonals();
        Measured { top, right, bottom, left, down, up }
    }

    #[test]
    fn a_perfect_rectangle_leaves_nothing_over() {
        let solved = Measured::rectangle(Length::inches(16.0), Length::inches(20.0)).solve().unwrap();
        assert!(solved.residual() < Length::mm(1e-9));
        assert!(solved.contradiction(SIXTEENTHS).is_none());
        assert!(solved.outline.corner_angles().iter().all(|angle| (angle.to_degrees() - 90.0).abs() < 1e-9));
    }

    #[test]
    fn a_side_misread_by_a_quarter_inch_is_told_as_such() {
        let mut measured = Measured::rectangle(Length::inches(12.0), Length::inches(12.0));
        measured.right += Length::inches(0.25);
        let contradiction = measured.solve().unwrap().contradiction(SIXTEENTHS).unwrap();
        assert_eq!(SIXTEENTHS.read(contradiction.side_off).to_string(), "1/4 in");
        assert!(contradiction.sentence(SIXTEENTHS).contains("a side is misread by about 1/4 in"));
    }

    #[test]
    fn a_true_but_leaning_canvas_is_no_contradiction() {
        let corners =
            [(0.0, 0.0), (305.0, 0.0), (313.0, 402.0), (6.0, 405.0)].map(|(x, y)| CanvasPoint::mm(x, y));
        let mut measured = measure(&Quad { corners });
        for length in [
            &mut measured.top,
            &mut measured.right,
            &mut measured.bottom,
            &mut measured.left,
            &mut measured.down,
            &mut measured.up,
        ] {
            *length = SIXTEENTHS.read(*length).rounded();
        }
        let solved = measured.solve().unwrap();
        assert!(solved.contradiction(SIXTEENTHS).is_none());
        assert!(solved.residual() < Length::mm(1.0));
    }

    #[test]
    fn lengths_that_close_no_outline_are_refused() {
        let mut measured = Measured::rectangle(Length::mm(300.0), Length::mm(400.0));
        measured.down = Length::mm(20.0);
        measured.up = Length::mm(20.0);
        assert!(measured.solve().is_err());
        measured.down = Length::mm(f64::NAN);
        assert!(matches!(measured.solve(), Err(CanvasError::OutOfRange { .. })));
    }

    proptest! {
        #[test]
        fn the_corners_that_were_measured_are_found(
            width in 100.0..1500.0_f64, height in 100.0..1500.0_f64, lean in prop::array::uniform5(-8.0..8.0_f64),
        ) {
            let [a, b, c, d, e] = lean;
            let corners = [(0.0, 0.0), (width + a, 0.0), (width + b, height + c), (d, height + e)];
            let outline = Quad { corners: corners.map(|(x, y)| CanvasPoint::mm(x, y)) };
            let solved = measure(&outline).solve().unwrap();
            prop_assert!(solved.residual() < Length::mm(1e-7));
            for (found, true_corner) in solved.outline.corners.iter().zip(outline.corners) {
                prop_assert!(found.distance_to(true_corner) < Length::mm(1e-6));
            }
        }

        #[test]
        fn one_misreading_shows_at_its_size(
            width in 250.0..1000.0_f64, share in 0.7..1.4_f64, which in 0..6_usize, off in 12.0..20.0_f64,
        ) {
            let height = width * share;
            let mut lengths = Measured::rectangle(Length::mm(width), Length::mm(height)).lengths();
            lengths[which] += Length::mm(off);
            let [top, right, bottom, left, down, up] = lengths;
            let solved = Measured { top, right, bottom, left, down, up }.solve().unwrap();
            let told = solved.misclosure().abs() / solved.sensitivity[which].abs();
            prop_assert!((told.to_mm() - off).abs() < 0.1 * off, "told {told:?} of {off}");
        }
    }
}
