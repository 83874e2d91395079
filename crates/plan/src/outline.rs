//! Outlines on the canvas: the canvas's own four-cornered outline, and convex polygons cut from it.

use serde::{Deserialize, Serialize};

use crate::frame::{Angle, CanvasPoint, CanvasRect};
use crate::length::Length;

/// A side of the canvas, or of a box on it, seen from the front.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// The top side, marked from left to right.
    Top,
    /// The right side, marked from top to bottom.
    Right,
    /// The bottom side, marked from left to right.
    Bottom,
    /// The left side, marked from top to bottom.
    Left,
}

impl Side {
    /// All four sides, clockwise from the top.
    pub const ALL: [Self; 4] = [Self::Top, Self::Right, Self::Bottom, Self::Left];

    /// The side's name in running text.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Right => "right",
            Self::Bottom => "bottom",
            Self::Left => "left",
        }
    }

    /// True for the top and bottom sides, which run from left to right.
    pub const fn is_level(self) -> bool {
        matches!(self, Self::Top | Self::Bottom)
    }
}

/// A convex four-cornered outline, such as a canvas that is a little out of square.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Quad {
    /// The corners: top left, top right, bottom right, bottom left.
    pub corners: [CanvasPoint; 4],
}

impl Quad {
    /// The two ends of a side, in the order in which it is marked.
    pub const fn side(&self, side: Side) -> (CanvasPoint, CanvasPoint) {
        let [top_left, top_right, bottom_right, bottom_left] = self.corners;
        match side {
            Side::Top => (top_left, top_right),
            Side::Right => (top_right, bottom_right),
            Side::Bottom => (bottom_left, bottom_right),
            Side::Left => (top_left, bottom_left),
        }
    }

    /// The length of a side.
    pub fn side_length(&self, side: Side) -> Length {
        let (from, to) = self.side(side);
        from.distance_to(to)
    }

    /// The point at `share` of a side, counted in the direction in which the side is marked.
    pub fn along(&self, side: Side, share: f64) -> CanvasPoint {
        let (from, to) = self.side(side);
        from.towards(to, share)
    }

    /// The diagonals: `[down, up]`, from the top left corner and from the bottom left corner.
    pub fn diagonals(&self) -> [Length; 2] {
        let [top_left, top_right, bottom_right, bottom_left] = self.corners;
        [top_left.distance_to(bottom_right), bottom_left.distance_to(top_right)]
    }

    /// The inner angle at each corner, in the order of [`Quad::corners`].
    pub fn corner_angles(&self) -> [Angle; 4] {
        std::array::from_fn(|at| {
            let here = self.corners[at];
            let (before, after) = (self.corners[(at + 3) % 4], self.corners[(at + 1) % 4]);
            Angle::radians(bearing(here, before) - bearing(here, after)).within_full_turn()
        })
    }

    /// True when every corner turns clockwise, so that the outline is convex and not crossed.
    pub fn is_convex(&self) -> bool {
        (0..4).all(|at| {
            let [a, b, c] = [0, 1, 2].map(|step| self.corners[(at + step) % 4]);
            cross(a, b, c) > 0.0
        })
    }

    /// The smallest upright rectangle around the outline.
    pub fn bounds(&self) -> CanvasRect {
        CanvasRect::around(self.corners).unwrap_or(CanvasRect::new(
            self.corners[0],
            Length::ZERO,
            Length::ZERO,
        ))
    }

    /// The upright rectangle between the corners that reach inwards the most: it lies within the outline of a canvas
    /// that is only a little out of square.
    pub fn inner_rect(&self) -> CanvasRect {
        let [top_left, top_right, bottom_right, bottom_left] = self.corners;
        let origin = CanvasPoint::new(top_left.x.max(bottom_left.x), top_left.y.max(top_right.y));
        let right = top_right.x.min(bottom_right.x);
        let bottom = bottom_left.y.min(bottom_right.y);
        CanvasRect::new(origin, (right - origin.x).max(Length::ZERO), (bottom - origin.y).max(Length::ZERO))
    }

    /// The distance of `point` from the straight line through a side; positive on the inner side of it.
    pub fn distance_from_side(&self, side: Side, point: CanvasPoint) -> Length {
        let (from, to) = self.side(side);
        let signed = cross(from, to, point) / from.distance_to(to).to_mm();
        Length::mm(match side {
            Side::Top | Side::Right => signed,
            Side::Bottom | Side::Left => -signed,
        })
    }
}

impl From<CanvasRect> for Quad {
    fn from(rect: CanvasRect) -> Self {
        Self { corners: rect.corners() }
    }
}

/// A convex polygon on the canvas, its corners in clockwise order; empty when nothing is left of it.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Polygon {
    /// The corners in clockwise order.
    pub corners: Vec<CanvasPoint>,
}

impl Polygon {
    /// What this polygon and the convex `window` have in common, by the clipping algorithm of Sutherland and Hodgman
    /// ("Reentrant polygon clipping", Communications of the ACM 17, 1974).
    #[must_use]
    pub fn clipped_to(&self, window: &Quad) -> Self {
        let mut corners = self.corners.clone();
        for at in 0..4 {
            let (from, to) = (window.corners[at], window.corners[(at + 1) % 4]);
            corners = clip_to_half_plane(&corners, from, to);
        }
        Self { corners }
    }

    /// The part of a straight line that lies in this polygon, which must be convex; `None` where it misses it (Cyrus and
    /// Beck, "Generalized two- and three-dimensional clipping", Computers and Graphics 3, 1978).
    pub fn part_of_line(&self, from: CanvasPoint, to: CanvasPoint) -> Option<(CanvasPoint, CanvasPoint)> {
        let (mut first, mut last) = (0.0_f64, 1.0_f64);
        for (at, &corner) in self.corners.iter().enumerate() {
            let next = self.corners[(at + 1) % self.corners.len()];
            let (begins, ends) = (cross(corner, next, from), cross(corner, next, to));
            if begins < 0.0 && ends < 0.0 {
                return None;
            }
            let crosses_at = begins / (begins - ends);
            if begins < 0.0 {
                first = first.max(crosses_at);
            } else if ends < 0.0 {
                last = last.min(crosses_at);
            }
        }
        let inside = !self.corners.is_empty() && first < last;
        inside.then(|| (from.towards(to, first), from.towards(to, last)))
    }

    /// The area in square millimetres.
    pub fn area_mm2(&self) -> f64 {
        let Some(&first) = self.corners.first() else { return 0.0 };
        self.corners.windows(2).map(|pair| cross(first, pair[0], pair[1]) / 2.0).sum::<f64>().abs()
    }

    /// The smallest upright rectangle around the polygon; `None` when it is empty.
    pub fn bounds(&self) -> Option<CanvasRect> {
        CanvasRect::around(self.corners.iter().copied())
    }
}

impl From<[CanvasPoint; 4]> for Polygon {
    /// The polygon with these corners, put in clockwise order.
    fn from(corners: [CanvasPoint; 4]) -> Self {
        let mut corners = corners.to_vec();
        if cross(corners[0], corners[1], corners[2]) < 0.0 {
            corners.reverse();
        }
        Self { corners }
    }
}

/// Keeps what lies to the right of the line from `from` to `to`, which is the inner side of a clockwise window.
fn clip_to_half_plane(corners: &[CanvasPoint], from: CanvasPoint, to: CanvasPoint) -> Vec<CanvasPoint> {
    let mut kept = Vec::with_capacity(corners.len() + 1);
    for (at, &here) in corners.iter().enumerate() {
        let next = corners[(at + 1) % corners.len()];
        let (here_side, next_side) = (cross(from, to, here), cross(from, to, next));
        if here_side >= 0.0 {
            kept.push(here);
        }
        if (here_side > 0.0 && next_side < 0.0) || (here_side < 0.0 && next_side > 0.0) {
            kept.push(here.towards(next, here_side / (here_side - next_side)));
        }
    }
    kept
}

/// Twice the signed area of the triangle a, b, c in mm²: positive when it runs clockwise as seen (y is down).
fn cross(a: CanvasPoint, b: CanvasPoint, c: CanvasPoint) -> f64 {
    (b.x - a.x).to_mm() * (c.y - a.y).to_mm() - (b.y - a.y).to_mm() * (c.x - a.x).to_mm()
}

fn bearing(from: CanvasPoint, to: CanvasPoint) -> f64 {
    (to.y - from.y).to_mm().atan2((to.x - from.x).to_mm())
}

impl Angle {
    fn within_full_turn(self) -> Self {
        Self::degrees(self.to_degrees().rem_euclid(360.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rect(x: f64, y: f64, width: f64, height: f64) -> CanvasRect {
        CanvasRect::new(CanvasPoint::mm(x, y), Length::mm(width), Length::mm(height))
    }

    #[test]
    fn an_upright_rectangle_has_right_angles_and_equal_diagonals() {
        let quad = Quad::from(rect(0.0, 0.0, 300.0, 400.0));
        assert!(quad.corner_angles().iter().all(|angle| (angle.to_degrees() - 90.0).abs() < 1e-9));
        assert_eq!(quad.diagonals(), [Length::mm(500.0); 2]);
        assert!(quad.is_convex());
        assert_eq!(quad.inner_rect(), quad.bounds());
    }

    #[test]
    fn the_inner_angles_of_a_leaning_outline_add_up_to_a_full_turn() {
        let corners =
            [(0.0, 0.0), (300.0, 0.0), (310.0, 395.0), (4.0, 402.0)].map(|(x, y)| CanvasPoint::mm(x, y));
        let angles = Quad { corners }.corner_angles().map(Angle::to_degrees);
        assert!((angles.iter().sum::<f64>() - 360.0).abs() < 1e-9);
        assert!(angles[0] < 90.0 && angles[1] > 90.0, "{angles:?}");
    }

    #[test]
    fn distances_from_the_sides_are_positive_inside() {
        let quad = Quad::from(rect(0.0, 0.0, 300.0, 400.0));
        let distances =
            Side::ALL.map(|side| quad.distance_from_side(side, CanvasPoint::mm(50.0, 80.0)).to_mm());
        assert_eq!(distances, [80.0, 250.0, 320.0, 50.0]);
    }

    #[test]
    fn two_apart_rectangles_have_nothing_in_common() {
        let photo = Polygon::from(rect(500.0, 0.0, 10.0, 10.0).corners());
        assert_eq!(photo.clipped_to(&rect(0.0, 0.0, 300.0, 400.0).into()), Polygon::default());
        assert!(Polygon::default().bounds().is_none());
    }

    proptest! {
        #[test]
        fn clipping_a_rectangle_gives_the_overlap(x in -50.0..50.0_f64, y in -50.0..50.0_f64, w in 1.0..90.0_f64, h in 1.0..90.0_f64) {
            let canvas = Quad::from(rect(0.0, 0.0, 40.0, 30.0));
            let overlap = ((x + w).min(40.0) - x.max(0.0)).max(0.0) * ((y + h).min(30.0) - y.max(0.0)).max(0.0);
            let cut = Polygon::from(rect(x, y, w, h).corners()).clipped_to(&canvas);
            prop_assert!((cut.area_mm2() - overlap).abs() < 1e-6);
        }
    }
}
