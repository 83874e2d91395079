//! Squaring up a photo that was taken of a print or a picture: its four corners, seen at a slant, become an upright
//! rectangle.

use nalgebra::{Matrix3, SMatrix, SVector, Vector3};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::frame::{Angle, CanvasPoint, PhotoPoint, PhotoSize};

/// The shortest side that four corners may span, in pixels: less cannot be told from a slip of the hand.
const MIN_SIDE_PIXELS: f64 = 20.0;

/// The longest side a squared-up picture may get, in pixels: the largest photo's, so that a corner dragged towards the
/// horizon does not ask for endless pixels.
const MAX_SIDE_PIXELS: f64 = 20_000.0;

/// The most pixels a squared-up picture may get: what the largest photo that is read has, so that sheets can be made of it.
const MAX_PIXELS: f64 = 200e6;

/// The four corners of a print in the photo, and the size of the upright picture that is made of what lies between them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SquareUp {
    /// The corners in the upright photo: top left, top right, bottom right, bottom left.
    pub corners: [PhotoPoint; 4],
    /// Width divided by height of the print, if it is known; else it is judged from the corners.
    pub shape: Option<f64>,
}

/// Why four corners make no picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum SquareUpError {
    /// Crossed, in the wrong order, or three in a line.
    #[error(
        "The four corners of the print must go round it clockwise from the top left, and no three may lie in a line."
    )]
    NotConvex,
    /// Two corners almost coincide.
    #[error("Two corners of the print are almost in the same place. Set each on its own corner.")]
    TooSmall,
    /// A corner outside the photo.
    #[error("A corner of the print lies outside the photo. Set all four within it.")]
    OutsidePhoto,
    /// A shape that no print has.
    #[error("The print's width and height must be lengths above zero, neither more than 20 times the other.")]
    Shape,
}

impl SquareUp {
    /// Checks that the corners lie in the photo and span a picture.
    ///
    /// # Errors
    /// See [`SquareUpError`].
    pub fn check(&self, photo: PhotoSize) -> Result<(), SquareUpError> {
        let inside = |point: &PhotoPoint| {
            (0.0..=f64::from(photo.width)).contains(&point.x)
                && (0.0..=f64::from(photo.height)).contains(&point.y)
        };
        if !self.corners.iter().all(inside) {
            return Err(SquareUpError::OutsidePhoto);
        }
        if (0..4).any(|at| self.corners[at].distance_to(self.corners[(at + 1) % 4]) < MIN_SIDE_PIXELS) {
            return Err(SquareUpError::TooSmall);
        }
        if self.shape.is_some_and(|shape| !(0.05..=20.0).contains(&shape)) {
            return Err(SquareUpError::Shape);
        }
        let turns_clockwise = |at: usize| {
            let [a, b, c] = [0, 1, 2].map(|step| self.corners[(at + step) % 4]);
            let sides = a.distance_to(b) * b.distance_to(c);
            ((b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x)) / sides > 0.02
        };
        if (0..4).all(turns_clockwise) { Ok(()) } else { Err(SquareUpError::NotConvex) }
    }

    /// The size of the squared-up picture: no side shorter than the longer of the two edges it is made of, so that no
    /// detail of the photo is lost, and of the print's shape where that is known.
    pub fn size(&self) -> PhotoSize {
        let [top_left, top_right, bottom_right, bottom_left] = self.corners;
        let mut width = top_left.distance_to(top_right).max(bottom_left.distance_to(bottom_right));
        let mut height = top_left.distance_to(bottom_left).max(top_right.distance_to(bottom_right));
        if let Some(shape) = self.shape {
            (width, height) = (width.max(height * shape), height.max(width / shape));
        }
        let shrink =
            (MAX_SIDE_PIXELS / width.max(height)).min((MAX_PIXELS / (width * height)).sqrt()).min(1.0);
        let pixels = |side: f64| (side * shrink).round().max(1.0) as u32;
        PhotoSize { width: pixels(width), height: pixels(height) }
    }

    /// The map from the squared-up picture to the photo.
    ///
    /// # Errors
    /// When no such map exists; never for corners that [`SquareUp::check`] accepts.
    pub fn to_photo(&self) -> Result<Homography, SquareUpError> {
        Homography::between(self.size().corners(), self.corners).ok_or(SquareUpError::NotConvex)
    }

    /// The map from the photo to the squared-up picture.
    ///
    /// # Errors
    /// As [`SquareUp::to_photo`].
    pub fn to_picture(&self) -> Result<Homography, SquareUpError> {
        Homography::between(self.corners, self.size().corners()).ok_or(SquareUpError::NotConvex)
    }
}

/// A projective map of the plane, from one photo frame to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Homography(Matrix3<f64>);

impl Homography {
    /// The map that takes four points to four points; `None` when three of them lie in a line or two coincide.
    ///
    /// The eight equations of the direct linear transform (Hartley & Zisserman, Multiple View Geometry, ch. 4) in
    /// coordinates normalised to each set's spread (Hartley, IEEE PAMI 19, 1997), with the last element fixed at one.
    pub fn between(from: [PhotoPoint; 4], to: [PhotoPoint; 4]) -> Option<Self> {
        let (normal_from, normal_to) = (normalisation(from)?, normalisation(to)?);
        let mut equations = SMatrix::<f64, 8, 8>::zeros();
        let mut targets = SVector::<f64, 8>::zeros();
        for at in 0..4 {
            let (p, q) = (apply(&normal_from, from[at]), apply(&normal_to, to[at]));
            let rows = [
                ([p.x, p.y, 1.0, 0.0, 0.0, 0.0, -q.x * p.x, -q.x * p.y], q.x),
                ([0.0, 0.0, 0.0, p.x, p.y, 1.0, -q.y * p.x, -q.y * p.y], q.y),
            ];
            for (row, (coefficients, target)) in rows.into_iter().enumerate() {
                equations.set_row(2 * at + row, &SVector::from(coefficients).transpose());
                targets[2 * at + row] = target;
            }
        }
        let solved = equations.lu().solve(&targets)?;
        let [a, b, c, d, e, f, g, h] = solved.into();
        let normalised = Matrix3::new(a, b, c, d, e, f, g, h, 1.0);
        let map = normal_to.try_inverse()? * normalised * normal_from;
        let sound = map.iter().all(|element| element.is_finite()) && normalised.determinant().abs() > 1e-9;
        sound.then_some(Self(map))
    }

    /// Takes a point over.
    pub fn apply(&self, point: PhotoPoint) -> PhotoPoint {
        apply(&self.0, point)
    }

    /// The three rows of the matrix, which acts on columns (x, y, 1).
    pub fn rows(&self) -> [[f64; 3]; 3] {
        [0, 1, 2].map(|row| [0, 1, 2].map(|column| self.0[(row, column)]))
    }
}

fn apply(matrix: &Matrix3<f64>, point: PhotoPoint) -> PhotoPoint {
    let moved = matrix * Vector3::new(point.x, point.y, 1.0);
    PhotoPoint::new(moved.x / moved.z, moved.y / moved.z)
}

/// Brings the centroid to the origin and the mean distance from it to √2.
fn normalisation(points: [PhotoPoint; 4]) -> Option<Matrix3<f64>> {
    let centroid = PhotoPoint::new(
        points.iter().map(|p| p.x).sum::<f64>() / 4.0,
        points.iter().map(|p| p.y).sum::<f64>() / 4.0,
    );
    let mean_distance = points.iter().map(|point| point.distance_to(centroid)).sum::<f64>() / 4.0;
    let scale = std::f64::consts::SQRT_2 / mean_distance;
    scale.is_finite().then(|| {
        Matrix3::new(scale, 0.0, -scale * centroid.x, 0.0, scale, -scale * centroid.y, 0.0, 0.0, 1.0)
    })
}

/// The turn that brings a line on the canvas which ought to be level to level, by the smaller way: within a quarter turn. `None` for
/// a line without length.
///
/// The line is taken on the canvas, where a mirrored photo is mirrored already: in the photo it leans the other way.
pub fn turn_to_level(from: CanvasPoint, to: CanvasPoint) -> Option<Angle> {
    Some(Angle::degrees(-within_quarter(slope(from, to)?)))
}

/// The same for a line that ought to be plumb.
pub fn turn_to_plumb(from: CanvasPoint, to: CanvasPoint) -> Option<Angle> {
    Some(Angle::degrees(-within_quarter(slope(from, to)? - 90.0)))
}

/// Degrees by which a line falls to the right.
fn slope(from: CanvasPoint, to: CanvasPoint) -> Option<f64> {
    let (right, down) = ((to.x - from.x).to_mm(), (to.y - from.y).to_mm());
    (right != 0.0 || down != 0.0).then(|| down.atan2(right).to_degrees())
}

/// A line's direction has no head or tail: brings degrees to from -90 to below 90.
fn within_quarter(degrees: f64) -> f64 {
    (degrees + 90.0).rem_euclid(180.0) - 90.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const PHOTO: PhotoSize = PhotoSize { width: 4000, height: 3000 };

    fn points(points: [(f64, f64); 4]) -> [PhotoPoint; 4] {
        points.map(|(x, y)| PhotoPoint::new(x, y))
    }

    /// The tile rectification example of scikit-image's documentation; three independent solvers agree on the matrix.
    #[test]
    fn the_published_tile_example_is_solved() {
        let from = points([(129.0, 72.0), (302.0, 76.0), (326.0, 193.0), (90.0, 185.0)]);
        let to = points([(0.0, 0.0), (400.0, 0.0), (400.0, 400.0), (0.0, 400.0)]);
        let rows = Homography::between(from, to).unwrap().rows();
        let last = rows[2][2];
        let expected =
            [[3.040_268_72, 1.049_296_28, -467.743_998], [-0.144_134_582, 6.233_820_67, -430.241_727]];
        for (row, expected) in rows.iter().zip(expected) {
            for (element, expected) in row.iter().zip(expected) {
                assert!((element / last - expected).abs() < 1e-5, "{element} {expected}");
            }
        }
    }

    #[test]
    fn three_corners_in_a_line_make_no_map() {
        let square = points([(0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0)]);
        let in_line = points([(0.0, 0.0), (25.0, 25.0), (50.0, 50.0), (0.0, 50.0)]);
        assert!(Homography::between(square, in_line).is_none());
        assert!(Homography::between(in_line, square).is_none());
    }

    #[test]
    fn corners_that_span_no_print_are_told() {
        let check = |corners| SquareUp { corners: points(corners), shape: None }.check(PHOTO);
        assert_eq!(check([(100.0, 100.0), (900.0, 120.0), (880.0, 700.0), (90.0, 690.0)]), Ok(()));
        assert_eq!(
            check([(900.0, 120.0), (100.0, 100.0), (880.0, 700.0), (90.0, 690.0)]),
            Err(SquareUpError::NotConvex)
        );
        assert_eq!(
            check([(100.0, 100.0), (500.0, 100.0), (900.0, 100.0), (90.0, 690.0)]),
            Err(SquareUpError::NotConvex)
        );
        assert_eq!(
            check([(100.0, 100.0), (105.0, 100.0), (900.0, 800.0), (90.0, 690.0)]),
            Err(SquareUpError::TooSmall)
        );
        assert_eq!(
            check([(-1.0, 100.0), (900.0, 120.0), (880.0, 700.0), (90.0, 690.0)]),
            Err(SquareUpError::OutsidePhoto)
        );
        assert_eq!(
            check([(f64::NAN, 100.0), (900.0, 120.0), (880.0, 700.0), (90.0, 690.0)]),
            Err(SquareUpError::OutsidePhoto)
        );
    }

    #[test]
    fn a_known_shape_is_kept_and_no_pixel_is_lost() {
        let corners = points([(0.0, 0.0), (800.0, 0.0), (800.0, 900.0), (0.0, 900.0)]);
        let size = SquareUp { corners, shape: Some(1.0) }.size();
        assert_eq!((size.width, size.height), (900, 900));
    }

    #[test]
    fn a_squared_up_picture_has_no_more_pixels_than_a_photo_may() {
        // A strip 20 000 pixels wide of a square print.
        let corners = points([(0.0, 0.0), (20_000.0, 0.0), (20_000.0, 2_000.0), (0.0, 2_000.0)]);
        let size = SquareUp { corners, shape: Some(1.0) }.size();
        assert_eq!(size.width, size.height);
        assert!((199.9e6..=200.1e6).contains(&(f64::from(size.width) * f64::from(size.height))), "{size:?}");
    }

    #[test]
    fn a_leaning_line_is_brought_upright_by_the_smaller_way() {
        let line = (CanvasPoint::mm(0.0, 0.0), CanvasPoint::mm(10.0, 1.0));
        let level = |from, to| turn_to_level(from, to).unwrap().to_degrees();
        assert!((level(line.0, line.1) + 5.710_593).abs() < 1e-6);
        assert!((level(line.1, line.0) + 5.710_593).abs() < 1e-6);
        let post = (CanvasPoint::mm(1.0, 0.0), CanvasPoint::mm(0.0, 10.0));
        assert!((turn_to_plumb(post.0, post.1).unwrap().to_degrees() + 5.710_593).abs() < 1e-6);
        assert_eq!((turn_to_level(line.0, line.0), turn_to_plumb(line.1, line.1)), (None, None));
    }

    proptest! {
        #[test]
        fn the_four_corners_go_where_they_should(offsets in prop::array::uniform8(-300.0..300.0_f64)) {
            let [a, b, c, d, e, f, g, h] = offsets;
            let corners = points([(400.0 + a, 400.0 + b), (3600.0 + c, 400.0 + d), (3600.0 + e, 2600.0 + f), (400.0 + g, 2600.0 + h)]);
            let square_up = SquareUp { corners, shape: None };
            prop_assert_eq!(square_up.check(PHOTO), Ok(()));
            let map = square_up.to_photo().unwrap();
            for (from, to) in square_up.size().corners().into_iter().zip(corners) {
                prop_assert!(map.apply(from).distance_to(to) < 1e-6);
                prop_assert!(square_up.to_picture().unwrap().apply(to).distance_to(from) < 1e-6);
            }
        }

        #[test]
        fn a_straightened_line_is_level(x in -500.0..500.0_f64, y in -500.0..500.0_f64) {
            prop_assume!(x.hypot(y) > 1.0);
            let turn = turn_to_level(CanvasPoint::ORIGIN, CanvasPoint::mm(x, y)).unwrap();
            let (sin, cos) = turn.sin_cos();
            prop_assert!((x * sin + y * cos).abs() < 1e-9 * x.hypot(y));
            prop_assert!(turn.to_degrees().abs() <= 90.0);
        }
    }
}
