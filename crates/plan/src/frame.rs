//! Points, sizes and turns that carry their frame in their type.

use serde::{Deserialize, Serialize};

use crate::length::Length;

/// A point of the upright photo, in pixels from its top left corner; pixel edges lie on whole numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct PhotoPoint {
    /// Pixels to the right of the photo's left edge.
    pub x: f64,
    /// Pixels below the photo's top edge.
    pub y: f64,
}

impl PhotoPoint {
    /// The point `x` pixels right of the left edge and `y` pixels below the top edge.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The distance to another point of the photo, in pixels.
    pub fn distance_to(self, other: Self) -> f64 {
        (other.x - self.x).hypot(other.y - self.y)
    }

    /// The point halfway to `other`.
    pub fn midpoint(self, other: Self) -> Self {
        Self::new(f64::midpoint(self.x, other.x), f64::midpoint(self.y, other.y))
    }

    /// True when both coordinates are finite.
    pub const fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

/// The upright photo's size in whole pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PhotoSize {
    /// Pixels from left to right.
    pub width: u32,
    /// Pixels from top to bottom.
    pub height: u32,
}

impl PhotoSize {
    /// The photo's four corners: top left, top right, bottom right, bottom left.
    pub fn corners(self) -> [PhotoPoint; 4] {
        let (right, bottom) = (f64::from(self.width), f64::from(self.height));
        [
            PhotoPoint::new(0.0, 0.0),
            PhotoPoint::new(right, 0.0),
            PhotoPoint::new(right, bottom),
            PhotoPoint::new(0.0, bottom),
        ]
    }

    /// The middle of the photo.
    pub fn centre(self) -> PhotoPoint {
        PhotoPoint::new(f64::from(self.width) / 2.0, f64::from(self.height) / 2.0)
    }
}

/// A point of the canvas, from its top left corner seen from the front.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct CanvasPoint {
    /// To the right of the top left corner, along the top side.
    pub x: Length,
    /// Below the top side.
    pub y: Length,
}

impl CanvasPoint {
    /// The canvas's top left corner.
    pub const ORIGIN: Self = Self { x: Length::ZERO, y: Length::ZERO };

    /// The point `x` to the right of and `y` below the canvas's top left corner.
    pub const fn new(x: Length, y: Length) -> Self {
        Self { x, y }
    }

    /// The point `x` mm to the right of and `y` mm below the canvas's top left corner.
    pub const fn mm(x: f64, y: f64) -> Self {
        Self::new(Length::mm(x), Length::mm(y))
    }

    /// The distance to another point of the canvas.
    pub fn distance_to(self, other: Self) -> Length {
        Length::mm((other.x - self.x).to_mm().hypot((other.y - self.y).to_mm()))
    }

    /// The point `share` of the way to `other`: 0 is here, 1 is there.
    pub fn towards(self, other: Self, share: f64) -> Self {
        Self::new(self.x + (other.x - self.x) * share, self.y + (other.y - self.y) * share)
    }

    /// The point moved right by `dx` and down by `dy`.
    pub fn moved(self, dx: Length, dy: Length) -> Self {
        Self::new(self.x + dx, self.y + dy)
    }

    /// True when both coordinates are finite.
    pub const fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

/// An upright rectangle on the canvas.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct CanvasRect {
    /// Its top left corner.
    pub origin: CanvasPoint,
    /// Its width, never negative.
    pub width: Length,
    /// Its height, never negative.
    pub height: Length,
}

impl CanvasRect {
    /// The rectangle with `origin` as its top left corner.
    pub const fn new(origin: CanvasPoint, width: Length, height: Length) -> Self {
        Self { origin, width, height }
    }

    /// The smallest rectangle that holds every one of `points`; `None` without points.
    pub fn around(points: impl IntoIterator<Item = CanvasPoint>) -> Option<Self> {
        let mut points = points.into_iter();
        let first = points.next()?;
        let (low, high) = points.fold((first, first), |(low, high), point| {
            let low = CanvasPoint::new(low.x.min(point.x), low.y.min(point.y));
            (low, CanvasPoint::new(high.x.max(point.x), high.y.max(point.y)))
        });
        Some(Self::new(low, high.x - low.x, high.y - low.y))
    }

    /// The right side's distance from the canvas's left.
    pub fn right(self) -> Length {
        self.origin.x + self.width
    }

    /// The bottom side's distance from the canvas's top.
    pub fn bottom(self) -> Length {
        self.origin.y + self.height
    }

    /// The middle of the rectangle.
    pub fn centre(self) -> CanvasPoint {
        self.origin.moved(self.width / 2.0, self.height / 2.0)
    }

    /// The corners: top left, top right, bottom right, bottom left.
    pub fn corners(self) -> [CanvasPoint; 4] {
        [
            self.origin,
            self.origin.moved(self.width, Length::ZERO),
            self.origin.moved(self.width, self.height),
            self.origin.moved(Length::ZERO, self.height),
        ]
    }

    /// True when `point` lies in the rectangle or on its edge.
    pub fn contains(self, point: CanvasPoint) -> bool {
        (self.origin.x..=self.right()).contains(&point.x)
            && (self.origin.y..=self.bottom()).contains(&point.y)
    }

    /// True when the two have a point in common, if only on their edges.
    pub fn touches(self, other: Self) -> bool {
        let [across, down] = [
            self.origin.x <= other.right() && other.origin.x <= self.right(),
            self.origin.y <= other.bottom() && other.origin.y <= self.bottom(),
        ];
        across && down
    }
}

/// A turn, positive clockwise as seen from the front.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Angle {
    degrees: f64,
}

impl Angle {
    /// No turn.
    pub const ZERO: Self = Self { degrees: 0.0 };

    /// A turn of `degrees`, positive clockwise.
    pub const fn degrees(degrees: f64) -> Self {
        Self { degrees }
    }

    /// A turn of `radians`, positive clockwise.
    pub const fn radians(radians: f64) -> Self {
        Self { degrees: radians.to_degrees() }
    }

    /// The turn in degrees, positive clockwise.
    pub const fn to_degrees(self) -> f64 {
        self.degrees
    }

    /// The turn in radians, positive clockwise.
    pub const fn to_radians(self) -> f64 {
        self.degrees.to_radians()
    }

    /// Sine and cosine, exact at the quarter turns so that a photo turned on its side stays square to the canvas.
    pub fn sin_cos(self) -> (f64, f64) {
        match self.degrees.rem_euclid(360.0) {
            0.0 => (0.0, 1.0),
            90.0 => (1.0, 0.0),
            180.0 => (0.0, -1.0),
            270.0 => (-1.0, 0.0),
            degrees => degrees.to_radians().sin_cos(),
        }
    }

    /// True unless the turn is infinite or not a number.
    pub const fn is_finite(self) -> bool {
        self.degrees.is_finite()
    }
}
