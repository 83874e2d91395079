//! The camera: where a point of the canvas falls in the photo, exactly, and back.

use glam::{DMat3, DVec2, DVec3};

/// Diagonal of the 36 x 24 mm frame, mm: the measure of "35 mm equivalent" focal lengths (CIPA DCG-001).
const DIAGONAL_35MM: f64 = 43.266_615_305_567_87;

/// A hand-held camera before a canvas.
///
/// Lens: Brown's radial model (D. C. Brown, "Close-range camera calibration", 1971): a point at distance r from the
/// principal point, in focal lengths, is seen at r (1 + k1 r² + k2 r⁴).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// Width and height of the photo, pixels.
    pub size: [u32; 2],
    /// Focal length that the file tells, 35 mm equivalent by the diagonal, mm.
    pub focal_35mm: f64,
    /// The true focal length in terms of the told one: 1 when it tells the truth.
    pub focal_truth: f64,
    /// The principal point, from the photo's middle, in photo diagonals (15 px of 12 megapixels are 0.003).
    pub principal: [f64; 2],
    /// Brown's first coefficient; above 0 the edges bend inwards at their middles.
    pub k1: f64,
    /// Brown's second coefficient.
    pub k2: f64,
    /// Between the optical axis and the canvas's normal, degrees.
    pub tilt: f64,
    /// The direction of the axis that the tilt turns about, degrees clockwise from the canvas's x axis.
    pub tilt_about: f64,
    /// Turn about the optical axis, degrees.
    pub roll: f64,
    /// From the pinhole to the plane through the canvas's middle, along the axis, mm.
    pub distance: f64,
    /// Where the canvas's middle falls, from the photo's middle, in photo diagonals.
    pub aim: [f64; 2],
}

impl Camera {
    /// Focal length in pixels.
    pub fn focal_px(&self) -> f64 {
        self.focal_truth * self.focal_35mm * self.diagonal_px() / DIAGONAL_35MM
    }

    pub(crate) fn diagonal_px(&self) -> f64 {
        f64::from(self.size[0]).hypot(f64::from(self.size[1]))
    }
}

/// A camera placed before a canvas.
#[derive(Clone, Copy, Debug)]
pub(crate) struct View {
    camera: Camera,
    focal_px: f64,
    principal_px: DVec2,
    /// Canvas axes (x right, y down, z away from the viewer) to camera axes.
    turn: DMat3,
    /// The canvas's middle, canvas frame, mm; and seen from the camera.
    middle: DVec3,
    middle_seen: DVec3,
}

impl View {
    pub(crate) fn new(camera: Camera, middle: DVec2) -> Self {
        let size = DVec2::new(f64::from(camera.size[0]), f64::from(camera.size[1]));
        let focal_px = camera.focal_px();
        let (sin, cos) = camera.tilt_about.to_radians().sin_cos();
        let tilt = DMat3::from_axis_angle(DVec3::new(cos, sin, 0.0), camera.tilt.to_radians());
        let aim = DVec2::from(camera.aim) * camera.diagonal_px() / focal_px * camera.distance;
        Self {
            camera,
            focal_px,
            principal_px: size / 2.0 + DVec2::from(camera.principal) * camera.diagonal_px(),
            turn: DMat3::from_rotation_z(camera.roll.to_radians()) * tilt,
            middle: middle.extend(0.0),
            middle_seen: aim.extend(camera.distance),
        }
    }

    pub(crate) fn focal_px(&self) -> f64 {
        self.focal_px
    }

    pub(crate) fn principal_px(&self) -> DVec2 {
        self.principal_px
    }

    /// Size of a photo pixel at the canvas's middle, mm.
    pub(crate) fn pixel_mm(&self) -> f64 {
        self.camera.distance / self.focal_px
    }

    /// The pinhole, canvas frame.
    pub(crate) fn eye(&self) -> DVec3 {
        self.middle - self.turn.transpose() * self.middle_seen
    }

    /// Where a point of the canvas frame (mm, z away from the viewer) falls, pixels.
    pub(crate) fn project(&self, point: DVec3) -> DVec2 {
        let seen = self.turn * (point - self.middle) + self.middle_seen;
        let ideal = seen.truncate() / seen.z;
        let r2 = ideal.length_squared();
        self.principal_px + self.focal_px * ideal * (1.0 + r2 * (self.camera.k1 + r2 * self.camera.k2))
    }

    /// The direction (canvas axes, not of length 1) in which a point of the photo lies from the pinhole.
    pub(crate) fn ray(&self, px: DVec2) -> DVec3 {
        let seen = (px - self.principal_px) / self.focal_px;
        self.turn.transpose() * (seen * self.straightened(seen.length())).extend(1.0)
    }

    /// The point of the canvas's plane seen at `px`, mm.
    pub(crate) fn on_canvas(&self, px: DVec2) -> DVec2 {
        let (eye, ray) = (self.eye(), self.ray(px));
        (eye - ray * (eye.z / ray.z)).truncate()
    }

    /// The factor by which a seen distance from the principal point (in focal lengths) becomes the ideal one.
    fn straightened(&self, seen: f64) -> f64 {
        if seen < 1e-12 {
            return 1.0;
        }
        let (k1, k2) = (self.camera.k1, self.camera.k2);
        let mut r = seen;
        for _ in 0..12 {
            let r2 = r * r;
            let step = (r * (1.0 + r2 * (k1 + r2 * k2)) - seen) / (1.0 + r2 * (3.0 * k1 + 5.0 * r2 * k2));
            r -= step;
            if step.abs() < 1e-13 {
                break;
            }
        }
        r / seen
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn camera() -> Camera {
        Camera {
            size: [3024, 4032],
            focal_35mm: 26.0,
            focal_truth: 1.01,
            principal: [0.003, -0.002],
            k1: -0.08,
            k2: -0.02,
            tilt: 18.0,
            tilt_about: 130.0,
            roll: 4.0,
            distance: 600.0,
            aim: [0.01, 0.0],
        }
    }

    #[test]
    fn what_is_seen_at_a_points_picture_is_the_point() {
        let view = View::new(camera(), DVec2::new(150.0, 200.0));
        for point in [[0.0, 0.0], [300.0, 0.0], [300.0, 400.0], [0.0, 400.0], [150.0, 200.0]].map(DVec2::from)
        {
            assert!(view.on_canvas(view.project(point.extend(0.0))).distance(point) < 1e-9);
        }
    }

    #[test]
    fn the_middle_of_the_canvas_lies_at_the_distance_said_and_the_axis_is_tilted_as_said() {
        let view = View::new(camera(), DVec2::new(150.0, 200.0));
        let axis = view.turn.transpose() * DVec3::Z;
        assert!((axis.z.acos().to_degrees() - 18.0).abs() < 1e-9);
        assert!(((DVec3::new(150.0, 200.0, 0.0) - view.eye()).dot(axis) - 600.0).abs() < 1e-9);
    }

    #[test]
    fn a_barrel_lens_draws_points_towards_its_middle() {
        let (lens, none) = (camera(), Camera { k1: 0.0, k2: 0.0, ..camera() });
        let middle = DVec2::new(150.0, 200.0);
        let of = |camera| View::new(camera, middle).project(DVec3::ZERO);
        let principal = View::new(lens, middle).principal_px();
        assert!(of(lens).distance(principal) < of(none).distance(principal) - 10.0);
    }
}
