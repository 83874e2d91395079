//! The mass of the head without its features: cranium, face and jaw.
//!
//! Head frame, mm: origin midway between the ear holes at the height of the pupils; x to the sitter's left, y up,
//! z forward. The figures are those of an ordinary grown man (see the tests, against ANSUR II).

use glam::DVec3;

use crate::loft::{Contour, Loft};
use crate::sdf::{ellipsoid, smooth_max, smooth_min};

/// Templates from above the brow down to below the jaw, half outlines from the middle of the front to that of the back.
#[rustfmt::skip]
const CONTOURS: &[Contour] = &[
    Contour { y: 74.0, outline: &[(0.0, 78.0), (22.0, 75.0), (42.0, 64.0), (57.0, 45.0), (67.0, 20.0), (73.0, -5.0), (74.0, -30.0), (60.0, -72.0), (30.0, -93.0), (0.0, -99.0)] },
    Contour { y: 45.0, outline: &[(0.0, 95.0), (20.0, 93.0), (38.0, 85.0), (51.0, 70.0), (60.0, 50.0), (68.0, 25.0), (74.0, 0.0), (77.0, -25.0), (64.0, -70.0), (32.0, -94.0), (0.0, -101.0)] },
    Contour { y: 28.0, outline: &[(0.0, 98.5), (18.0, 98.0), (34.0, 93.5), (47.0, 84.0), (56.0, 68.0), (62.5, 45.0), (69.0, 20.0), (73.0, 0.0), (75.0, -25.0), (62.0, -70.0), (32.0, -93.0), (0.0, -100.0)] },
    Contour { y: 17.0, outline: &[(0.0, 97.5), (15.0, 95.0), (29.0, 90.0), (44.0, 83.0), (54.5, 70.0), (61.0, 48.0), (68.0, 22.0), (72.0, 0.0), (74.0, -25.0), (61.0, -69.0), (31.0, -92.0), (0.0, -98.0)] },
    Contour { y: 8.0, outline: &[(0.0, 92.0), (14.0, 85.5), (28.0, 80.0), (42.0, 77.0), (53.5, 68.0), (61.0, 50.0), (68.0, 25.0), (71.0, 0.0), (72.0, -25.0), (60.0, -68.0), (30.0, -91.0), (0.0, -97.0)] },
    Contour { y: -2.0, outline: &[(0.0, 91.0), (14.0, 84.0), (28.0, 77.5), (42.0, 74.0), (54.0, 66.5), (62.0, 51.0), (69.0, 27.0), (70.0, 0.0), (71.0, -25.0), (59.5, -67.0), (29.0, -89.0), (0.0, -95.0)] },
    Contour { y: -12.0, outline: &[(0.0, 93.0), (14.0, 87.0), (28.0, 81.5), (42.0, 77.5), (55.0, 67.5), (64.0, 51.0), (70.0, 28.0), (70.0, 0.0), (69.0, -25.0), (58.0, -65.0), (28.0, -86.0), (0.0, -92.0)] },
    Contour { y: -22.0, outline: &[(0.0, 96.0), (14.0, 91.0), (28.0, 87.0), (43.0, 80.0), (56.0, 66.5), (65.0, 48.0), (69.5, 27.0), (68.0, 0.0), (67.0, -25.0), (56.0, -62.0), (27.0, -81.0), (0.0, -87.0)] },
    Contour { y: -34.0, outline: &[(0.0, 98.0), (16.0, 94.0), (30.0, 87.5), (44.0, 77.5), (55.5, 63.0), (63.0, 45.0), (67.0, 25.0), (66.0, 2.0), (64.0, -25.0), (53.0, -58.0), (26.0, -75.0), (0.0, -80.0)] },
    Contour { y: -48.0, outline: &[(0.0, 102.0), (16.0, 97.0), (30.0, 88.0), (42.0, 75.0), (51.5, 59.0), (58.0, 42.0), (63.0, 24.0), (63.0, 3.0), (61.0, -22.0), (49.0, -53.0), (24.0, -68.0), (0.0, -73.0)] },
    Contour { y: -60.0, outline: &[(0.0, 105.0), (16.0, 99.5), (30.0, 87.5), (41.0, 72.5), (49.5, 56.0), (55.5, 40.0), (60.5, 24.0), (61.0, 4.0), (58.0, -20.0), (45.0, -48.0), (22.0, -62.0), (0.0, -66.0)] },
    Contour { y: -73.0, outline: &[(0.0, 104.5), (16.0, 98.5), (29.0, 86.0), (39.0, 70.5), (46.5, 54.0), (53.0, 39.0), (58.0, 24.0), (58.5, 6.0), (55.0, -18.0), (42.0, -45.0), (20.0, -58.0), (0.0, -62.0)] },
    Contour { y: -86.0, outline: &[(0.0, 99.5), (15.0, 95.0), (27.0, 84.0), (36.5, 69.0), (44.5, 52.5), (50.5, 37.0), (55.5, 22.0), (55.5, 6.0), (52.0, -16.0), (40.0, -43.0), (19.0, -56.0), (0.0, -60.0)] },
    Contour { y: -100.0, outline: &[(0.0, 100.8), (13.0, 98.5), (24.0, 89.5), (34.0, 72.5), (42.5, 54.0), (48.5, 39.0), (53.0, 23.0), (53.0, 6.0), (50.0, -16.0), (38.0, -42.0), (18.0, -55.0), (0.0, -59.0)] },
    Contour { y: -112.0, outline: &[(0.0, 99.6), (13.0, 97.0), (23.0, 88.0), (32.0, 71.0), (40.5, 54.0), (46.5, 39.0), (51.0, 23.0), (51.0, 6.0), (48.0, -16.0), (36.0, -42.0), (18.0, -55.0), (0.0, -58.0)] },
    Contour { y: -126.0, outline: &[(0.0, 92.0), (12.0, 89.0), (21.0, 81.0), (30.0, 66.0), (38.0, 50.0), (44.0, 36.0), (49.0, 22.0), (49.0, 6.0), (46.0, -16.0), (35.0, -42.0), (18.0, -55.0), (0.0, -58.0)] },
];

/// Where the lower border of the jaw runs: its height under the chin, and its rise per mm towards the ear.
const JAW_UNDER_CHIN: f64 = -118.5;
const JAW_CHIN_Z: f64 = 92.0;
const JAW_RISE: f64 = 0.47;

/// Cranium, face and jaw.
#[derive(Debug, Clone)]
pub(crate) struct Skull {
    loft: Loft,
}

impl Skull {
    pub(crate) fn new() -> Self {
        Self { loft: Loft::new(CONTOURS) }
    }

    /// Distance from `p` in the head frame, mm.
    pub(crate) fn distance(&self, p: DVec3) -> f64 {
        let cranium = ellipsoid(p - DVec3::new(0.0, 32.0, -8.0), DVec3::new(76.5, 83.0, 98.0));
        let lofted = smooth_max(self.loft.distance(p), p.y - 66.0, 20.0);
        let border = JAW_UNDER_CHIN + (JAW_CHIN_Z - p.z) * JAW_RISE;
        let below = (border - p.y) / (1.0 + JAW_RISE * JAW_RISE).sqrt();
        let face = smooth_max(lofted, below, 11.0);
        smooth_min(face, cranium, 14.0)
    }

    /// The point of the surface that lies at `(x, y)` seen from the front, mm.
    pub(crate) fn front(&self, x: f64, y: f64) -> DVec3 {
        self.march(DVec3::new(x, y, 140.0), DVec3::NEG_Z)
    }

    /// The point of the surface that lies at `(z, y)` seen from the sitter's left, mm.
    pub(crate) fn side(&self, z: f64, y: f64) -> DVec3 {
        self.march(DVec3::new(110.0, y, z), DVec3::NEG_X)
    }

    fn march(&self, from: DVec3, towards: DVec3) -> DVec3 {
        let mut p = from;
        for _ in 0..120 {
            p += towards * (self.distance(p) * 0.8);
        }
        p
    }
}
