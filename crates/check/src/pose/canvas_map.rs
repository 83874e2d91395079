//! The map from the photo to the canvas: a lens and a homography, with their covariance.

use nalgebra::{Matrix2, Matrix3, SMatrix, SVector, Vector2, Vector3};
use plan::{CanvasPoint, Quad};
use serde::{Deserialize, Serialize};

use super::lens::Lens;
use super::map_record::MapRecord;
use crate::frame::ImagePoint;

/// How many numbers make the map: eight of the homography, k₁, k₂, and the optical axis's place.
pub(crate) const NUMBERS: usize = 12;

/// Where k₁ stands among the numbers; k₂ follows.
pub(crate) const AT_K1: usize = 8;

/// Where the optical axis's place stands: right and down of the photo's middle, in units of the focal length.
pub(crate) const AT_AXIS: usize = 10;

/// The numbers of a map in their order.
pub(crate) type Numbers = SVector<f64, NUMBERS>;

/// The covariance of the numbers of a map.
pub(crate) type Covariance = SMatrix<f64, NUMBERS, NUMBERS>;

/// The photo's size and focal length: what is known of the camera before anything is measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct View {
    /// The photo's middle, in pixels.
    pub(crate) middle: Vector2<f64>,
    /// The focal length in pixels.
    pub(crate) focal: f64,
}

/// The map from the photo of the canvas to the canvas, with its uncertainty.
///
/// A pixel is first straightened by the lens, then taken over by a homography.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(into = "MapRecord", try_from = "MapRecord")]
pub struct CanvasMap {
    pub(super) view: View,
    /// The canvas's middle, mm, and the length, mm, in which the homography counts.
    pub(super) middle: Vector2<f64>,
    pub(super) unit: f64,
    pub(super) numbers: Numbers,
    pub(super) to_rays: Matrix3<f64>,
    pub(super) covariance: Covariance,
}

/// A place on the canvas in mm and how it changes.
pub(crate) struct Slopes {
    /// The place, mm.
    pub(crate) at: Vector2<f64>,
    /// Its change with the pixel, mm per pixel.
    pub(crate) by_pixel: Matrix2<f64>,
    /// Its change with the map's numbers, mm per unit of each.
    pub(crate) by_numbers: SMatrix<f64, 2, NUMBERS>,
}

impl CanvasMap {
    /// The map without lens that takes four points of the photo to the four corners of the canvas; `None` when three lie
    /// in a line.
    pub(crate) fn through_corners(
        view: View,
        corners: [ImagePoint; 4],
        canvas: &Quad,
        lens: Lens,
    ) -> Option<Self> {
        let middle = canvas.corners.iter().map(|corner| millimetres(*corner)).sum::<Vector2<f64>>() / 4.0;
        let unit = canvas.diagonals().map(plan::Length::to_mm).into_iter().sum::<f64>() / 4.0;
        let mut rays = [plan::PhotoPoint::default(); 4];
        for (ray, corner) in rays.iter_mut().zip(corners) {
            let bent = (Vector2::new(corner.x, corner.y) - view.middle) / view.focal;
            let straight = lens.straightened(bent)?.at;
            *ray = plan::PhotoPoint::new(straight.x, straight.y);
        }
        let targets = canvas.corners.map(|corner| {
            let at = (millimetres(corner) - middle) / unit;
            plan::PhotoPoint::new(at.x, at.y)
        });
        let rows = plan::Homography::between(rays, targets)?.rows();
        let scale = rows[2][2];
        let mut numbers = Numbers::zeros();
        for at in 0..8 {
            numbers[at] = rows[at / 3][at % 3] / scale;
        }
        (numbers[AT_K1], numbers[AT_K1 + 1]) = (lens.k1, lens.k2);
        let start = Self {
            view,
            middle,
            unit,
            numbers,
            to_rays: Matrix3::identity(),
            covariance: Covariance::zeros(),
        };
        start.with(numbers, &Covariance::zeros())
    }

    /// The same camera and canvas with other numbers; `None` when they make no map.
    pub(crate) fn with(&self, numbers: Numbers, covariance: &Covariance) -> Option<Self> {
        let to_rays = homography(&numbers).try_inverse()?;
        let sound = numbers.iter().chain(to_rays.iter()).all(|number| number.is_finite());
        sound.then(|| Self { numbers, to_rays, covariance: *covariance, ..self.clone() })
    }

    /// Where a point of the photo lies on the canvas; `None` beyond the horizon or where the lens is not known to reach.
    pub fn to_canvas(&self, point: ImagePoint) -> Option<CanvasPoint> {
        let at = self.place(Vector2::new(point.x, point.y))?;
        Some(CanvasPoint::mm(at.x, at.y))
    }

    /// Where a point of the canvas is seen in the photo.
    pub fn to_image(&self, point: CanvasPoint) -> ImagePoint {
        let at = self.pixel(millimetres(point));
        ImagePoint::new(at.x, at.y)
    }

    /// The lens as estimated.
    pub fn lens(&self) -> Lens {
        Lens { k1: self.numbers[AT_K1], k2: self.numbers[AT_K1 + 1] }
    }

    /// The standard deviation of the estimated k₁.
    pub fn k1_sd(&self) -> f64 {
        self.covariance[(AT_K1, AT_K1)].max(0.0).sqrt()
    }

    /// The standard deviations of k₁ and k₂.
    pub(crate) fn lens_sd(&self) -> [f64; 2] {
        [AT_K1, AT_K1 + 1].map(|at| self.covariance[(at, at)].max(0.0).sqrt())
    }

    /// Pixels per mm around a point of the canvas: the geometric mean over the directions.
    pub fn pixels_per_mm(&self, point: CanvasPoint) -> f64 {
        let at = millimetres(point);
        let step = 0.5;
        let across = self.pixel(at + Vector2::new(step, 0.0)) - self.pixel(at - Vector2::new(step, 0.0));
        let down = self.pixel(at + Vector2::new(0.0, step)) - self.pixel(at - Vector2::new(0.0, step));
        (across.perp(&down)).abs().sqrt() / (2.0 * step)
    }

    /// How far the map itself may be off at a point of the photo: covariance of the canvas place, mm², of right and down.
    pub fn covariance_at(&self, point: ImagePoint) -> Option<[[f64; 2]; 2]> {
        let slopes = self.slopes(Vector2::new(point.x, point.y))?;
        let covariance = slopes.by_numbers * self.covariance * slopes.by_numbers.transpose();
        Some([[covariance[(0, 0)], covariance[(0, 1)]], [covariance[(1, 0)], covariance[(1, 1)]]])
    }

    /// Half the width of the interval that holds the true place of a point of the canvas with 95 %, mm, in the direction
    /// in which it is widest.
    pub fn half_width_95_at(&self, point: CanvasPoint) -> Option<f64> {
        let [[a, b], [_, d]] = self.covariance_at(self.to_image(point))?;
        let largest = f64::midpoint(a, d) + ((a - d) / 2.0).hypot(b);
        Some(crate::NORMAL_95 * largest.max(0.0).sqrt())
    }

    pub(crate) const fn numbers(&self) -> &Numbers {
        &self.numbers
    }

    pub(crate) const fn covariance(&self) -> &Covariance {
        &self.covariance
    }

    /// [`CanvasMap::to_canvas`] in bare mm.
    pub(crate) fn place(&self, pixel: Vector2<f64>) -> Option<Vector2<f64>> {
        let straight = self.lens().straightened(self.bent(pixel))?.at;
        let over = homography(&self.numbers) * straight.push(1.0);
        (over.z > 0.0).then(|| self.middle + over.xy() / over.z * self.unit)
    }

    /// [`CanvasMap::to_image`] in bare pixels.
    pub(crate) fn pixel(&self, place: Vector2<f64>) -> Vector2<f64> {
        let at = (place - self.middle) / self.unit;
        let ray = self.to_rays * Vector3::new(at.x, at.y, 1.0);
        self.view.middle + (self.lens().bent(ray.xy() / ray.z) + self.axis()) * self.view.focal
    }

    /// A pixel's place on the canvas with its slopes.
    pub(crate) fn slopes(&self, pixel: Vector2<f64>) -> Option<Slopes> {
        let straight = self.lens().straightened(self.bent(pixel))?;
        let over = homography(&self.numbers) * straight.at.push(1.0);
        if over.z <= 0.0 {
            return None;
        }
        let at = over.xy() / over.z;
        let scale = self.unit / over.z;
        let h = homography(&self.numbers);
        let by_ray = Matrix2::new(
            h[(0, 0)] - at.x * h[(2, 0)],
            h[(0, 1)] - at.x * h[(2, 1)],
            h[(1, 0)] - at.y * h[(2, 0)],
            h[(1, 1)] - at.y * h[(2, 1)],
        ) * scale;
        let mut by_numbers = SMatrix::<f64, 2, NUMBERS>::zeros();
        let ray = straight.at;
        for (at_number, share) in [ray.x, ray.y, 1.0].into_iter().enumerate() {
            by_numbers[(0, at_number)] = share * scale;
            by_numbers[(1, 3 + at_number)] = share * scale;
        }
        for (at_number, share) in [ray.x, ray.y].into_iter().enumerate() {
            by_numbers[(0, 6 + at_number)] = -at.x * share * scale;
            by_numbers[(1, 6 + at_number)] = -at.y * share * scale;
        }
        let by_bent = by_ray * straight.by_place;
        for (step, by_lens) in straight.by_lens.into_iter().enumerate() {
            by_numbers.set_column(AT_K1 + step, &(by_ray * by_lens));
            by_numbers.set_column(AT_AXIS + step, &(-by_bent.column(step)));
        }
        Some(Slopes { at: self.middle + at * self.unit, by_pixel: by_bent / self.view.focal, by_numbers })
    }

    /// Towards which direction the camera sees a step of 1 mm to the right on the canvas, and one downwards: in units of the
    /// distance, with a scale common to both, for a camera of the focal length assumed.
    pub(crate) fn axes(&self) -> [Vector3<f64>; 2] {
        [0, 1].map(|axis| self.to_rays.column(axis).into_owned())
    }

    /// The direction in which a point of the canvas, mm, is seen.
    pub(crate) fn ray(&self, place: Vector2<f64>) -> Vector3<f64> {
        let at = (place - self.middle) / self.unit;
        self.to_rays * Vector3::new(at.x, at.y, 1.0)
    }

    fn bent(&self, pixel: Vector2<f64>) -> Vector2<f64> {
        (pixel - self.view.middle) / self.view.focal - self.axis()
    }

    fn axis(&self) -> Vector2<f64> {
        Vector2::new(self.numbers[AT_AXIS], self.numbers[AT_AXIS + 1])
    }
}

/// A point of the canvas as a bare vector in mm.
pub(crate) fn millimetres(point: CanvasPoint) -> Vector2<f64> {
    Vector2::new(point.x.to_mm(), point.y.to_mm())
}

fn homography(numbers: &Numbers) -> Matrix3<f64> {
    let n = numbers;
    Matrix3::new(n[0], n[1], n[2], n[3], n[4], n[5], n[6], n[7], 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use plan::{CanvasRect, Length};
    use proptest::prelude::*;

    fn canvas() -> Quad {
        CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(406.0), Length::mm(508.0)).into()
    }

    fn corners(slant: f64) -> [ImagePoint; 4] {
        [(300.0, 400.0), (2800.0 - slant, 420.0 + slant), (2700.0, 3600.0), (310.0 + slant, 3550.0)]
            .map(|(x, y)| ImagePoint::new(x, y))
    }

    fn view() -> View {
        View { middle: Vector2::new(1512.0, 2016.0), focal: 3000.0 }
    }

    proptest! {
        #[test]
        fn the_map_takes_the_corners_over_and_back(slant in 0.0..200.0_f64, k1 in -0.08..0.08_f64) {
            let map = CanvasMap::through_corners(view(), corners(slant), &canvas(), Lens { k1, k2: 0.0 }).unwrap();
            for (corner, target) in corners(slant).into_iter().zip(canvas().corners) {
                prop_assert!(map.to_canvas(corner).unwrap().distance_to(target) < Length::mm(1e-8));
                prop_assert!(map.to_image(target).distance_to(corner) < 1e-7);
            }
        }

        #[test]
        fn the_slopes_are_those_of_small_steps(
            x in 300.0..2700.0_f64, y in 400.0..3600.0_f64, k1 in -0.08..0.08_f64, which in 0..NUMBERS
        ) {
            let map = CanvasMap::through_corners(view(), corners(90.0), &canvas(), Lens { k1, k2: 0.01 }).unwrap();
            let pixel = Vector2::new(x, y);
            let slopes = map.slopes(pixel).unwrap();
            let step = 1e-6;
            let mut numbers = *map.numbers();
            numbers[which] += step;
            let moved = map.with(numbers, map.covariance()).unwrap().place(pixel).unwrap();
            prop_assert!(((moved - slopes.at) / step - slopes.by_numbers.column(which)).norm() < 2e-3);
            let right = map.place(pixel + Vector2::new(0.01, 0.0)).unwrap();
            prop_assert!(((right - slopes.at) / 0.01 - slopes.by_pixel.column(0)).norm() < 1e-4);
        }
    }
}
