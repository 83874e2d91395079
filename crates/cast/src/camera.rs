//! The camera: a pinhole at a known distance, so that every point of the picture is known exactly.

use glam::{DVec2, DVec3};
use serde::Serialize;

/// Diagonal of the 36 x 24 mm frame, mm: the measure of "35 mm equivalent" focal lengths (CIPA DCG-001).
const DIAGONAL_35MM: f64 = 43.266_615_305_567_87;

/// A pinhole camera with a level axis, so that plumb lines stay plumb.
///
/// Its axis runs parallel to the cast's z axis through the point [`Camera::AIM`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Camera {
    /// From the pinhole to the plane of the head's outline (through the ears, z = 0 of the cast frame), mm.
    pub distance: f64,
    /// Focal length equivalent on the 36 x 24 mm frame, by the diagonal rule, mm.
    pub focal_35mm: f64,
    /// Width and height of the picture, pixels, 1 to 65535 (a JPEG's limit).
    pub size: (u32, u32),
}

impl Camera {
    /// The point of the plane of the outline seen in the middle of the picture, (x, y) in the cast frame, mm.
    pub const AIM: DVec2 = DVec2::new(6.0, -78.0);

    /// The camera of the demo: 85 mm at 1.5 m, a portrait painter's usual distance (1.5 to 3 m), 3000 x 4000 px.
    pub fn demo() -> Self {
        Self { distance: 1500.0, focal_35mm: 85.0, size: (3000, 4000) }
    }

    /// Focal length in pixels of the picture.
    pub fn focal_px(&self) -> f64 {
        let (w, h) = (f64::from(self.size.0), f64::from(self.size.1));
        self.focal_35mm * w.hypot(h) / DIAGONAL_35MM
    }

    /// The pinhole, cast frame, mm.
    pub fn eye(&self) -> DVec3 {
        Self::AIM.extend(self.distance)
    }

    /// The unit direction in which the point `(x, y)` of the photo frame lies from the pinhole.
    pub fn ray(&self, x: f64, y: f64) -> DVec3 {
        let (w, h) = (f64::from(self.size.0), f64::from(self.size.1));
        let f = self.focal_px();
        DVec3::new((x - w * 0.5) / f, (h * 0.5 - y) / f, -1.0).normalize()
    }

    /// Where `p` (cast frame, mm, in front of the pinhole) falls in the photo frame: pixels from the top left corner.
    pub fn project(&self, p: DVec3) -> DVec2 {
        let (w, h) = (f64::from(self.size.0), f64::from(self.size.1));
        let q = p - self.eye();
        let scale = self.focal_px() / -q.z;
        DVec2::new(w * 0.5 + q.x * scale, h * 0.5 - q.y * scale)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_lies_on_the_ray_through_its_picture() {
        let camera = Camera::demo();
        let p = DVec3::new(40.0, 90.0, 70.0);
        let at = camera.project(p);
        let towards = (p - camera.eye()).normalize();
        assert!(camera.ray(at.x, at.y).distance(towards) < 1e-12);
    }

    #[test]
    fn a_length_in_the_plane_of_the_outline_has_the_size_the_diagonal_rule_gives() {
        let camera = Camera { distance: 2300.0, focal_35mm: 85.0, size: (3000, 4000) };
        let length = camera
            .project(DVec3::new(0.0, 115.0, 0.0))
            .distance(camera.project(DVec3::new(0.0, -115.0, 0.0)));
        assert!((length - 230.0 / 2300.0 * 85.0 * 5000.0 / 43.266_615).abs() < 1e-3);
    }
}
