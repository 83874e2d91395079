//! A point of the photo of the canvas.

use serde::{Deserialize, Serialize};

/// A point of the upright photo of the canvas, in pixels from its top left corner; pixel edges lie on whole numbers, so
/// the middle of the first pixel is (0.5, 0.5). Written as `[x, y]`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(from = "[f64; 2]", into = "[f64; 2]")]
pub struct ImagePoint {
    /// Pixels to the right of the photo's left edge.
    pub x: f64,
    /// Pixels below the photo's top edge.
    pub y: f64,
}

impl ImagePoint {
    /// The point `x` pixels right of the left edge and `y` pixels below the top edge.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The distance to another point of the photo, in pixels.
    pub fn distance_to(self, other: Self) -> f64 {
        (other.x - self.x).hypot(other.y - self.y)
    }

    /// The point `share` of the way to `other`: 0 is here, 1 is there.
    pub fn towards(self, other: Self, share: f64) -> Self {
        Self::new(self.x + (other.x - self.x) * share, self.y + (other.y - self.y) * share)
    }

    /// True when both coordinates are finite.
    pub const fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl From<[f64; 2]> for ImagePoint {
    fn from([x, y]: [f64; 2]) -> Self {
        Self::new(x, y)
    }
}

impl From<ImagePoint> for [f64; 2] {
    fn from(point: ImagePoint) -> Self {
        [point.x, point.y]
    }
}
