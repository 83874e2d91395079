//! The head: crown and chin in the photo, and what becomes of them on the canvas.

use serde::{Deserialize, Serialize};

use crate::frame::{CanvasPoint, CanvasRect, PhotoPoint, PhotoSize};
use crate::length::Length;
use crate::outline::{Polygon, Quad, Side};
use crate::placing::{Placing, PlacingError};

/// A head taller than this from crown to chin is larger than life: the 95th percentile of men, from mean 232 mm and
/// standard deviation 12 mm as derived from ANSUR II (Gordon et al. 2014, NATICK/TR-15/007), hair not counted.
pub const LARGER_THAN_LIFE: Length = Length::mm(252.0);

/// The breadth of a head to its height from crown to chin: about three quarters (ANSUR II: mean breadth 154 mm to mean
/// height 232 mm is 0.66; hair and ears add the rest).
pub const HEAD_BREADTH: f64 = 0.75;

/// Where the hairline lies from crown to chin, as a share of it; the face below it is three equal parts, the uppermost of which ends at
/// the brow (common practice, no source).
const HAIRLINE: f64 = 0.15;
const BROW: f64 = HAIRLINE + (1.0 - HAIRLINE) / 3.0;

/// With less of it than this on the canvas, most of a head lies off it. A head cut by an edge is a painter's choice.
const MOST: f64 = 0.5;

/// Crown and chin as the painter marked them in the photo.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct HeadMarks {
    /// The top of the head, hair and hat as the painter sees fit.
    pub crown: PhotoPoint,
    /// The bottom of the chin.
    pub chin: PhotoPoint,
}

impl HeadMarks {
    /// The point halfway from crown to chin.
    pub fn middle(&self) -> PhotoPoint {
        self.crown.midpoint(self.chin)
    }

    pub(crate) fn check(&self, photo: PhotoSize) -> Result<(), PlacingError> {
        for (which, point) in [("crown", self.crown), ("chin", self.chin)] {
            let inside = (0.0..=f64::from(photo.width)).contains(&point.x)
                && (0.0..=f64::from(photo.height)).contains(&point.y);
            if !inside {
                return Err(PlacingError::OutsidePhoto { which, x: point.x, y: point.y, photo });
            }
        }
        Ok(())
    }
}

/// The head as it stands on the canvas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Head {
    /// The top of the head.
    pub crown: CanvasPoint,
    /// The bottom of the chin.
    pub chin: CanvasPoint,
}

impl Head {
    /// Where `marks` come to lie.
    pub fn on_canvas(marks: HeadMarks, placing: &Placing) -> Self {
        Self { crown: placing.to_canvas(marks.crown), chin: placing.to_canvas(marks.chin) }
    }

    /// The head's height, from crown to chin.
    pub fn height(&self) -> Length {
        self.crown.distance_to(self.chin)
    }

    /// The point halfway from crown to chin.
    pub fn middle(&self) -> CanvasPoint {
        self.crown.towards(self.chin, 0.5)
    }

    /// The point from which the head's distance to a side of the canvas is told: the crown to the top, the chin to the
    /// bottom, the middle of the head to left and right.
    pub fn edge(&self, side: Side) -> CanvasPoint {
        match side {
            Side::Top => self.crown,
            Side::Bottom => self.chin,
            Side::Left | Side::Right => self.middle(),
        }
    }

    /// Whether the head is larger than life.
    pub fn is_larger_than_life(&self) -> bool {
        self.height() > LARGER_THAN_LIFE
    }

    /// What to say of a head of which most or all lies off the canvas; nothing of one that is in sight.
    pub fn off_canvas_in_words(&self, canvas: &Quad) -> Option<&'static str> {
        let bounds = self.bounds();
        let whole = (bounds.width * bounds.height.to_mm()).to_mm();
        let seen = Polygon::from(bounds.corners()).clipped_to(canvas).area_mm2();
        if seen <= 0.0 {
            Some("The head lies off the canvas.")
        } else {
            (seen < whole * MOST).then_some("Most of the head lies off the canvas.")
        }
    }

    /// The smallest upright rectangle around the face points.
    pub fn bounds(&self) -> CanvasRect {
        let nothing = CanvasRect::new(self.crown, Length::ZERO, Length::ZERO);
        CanvasRect::around(self.face_points()).unwrap_or(nothing)
    }

    /// The part of the head from this share of its height below the crown down to the chin, as a rectangle around it.
    fn below_share(&self, share: f64) -> CanvasRect {
        let axis = (self.chin.x - self.crown.x, self.chin.y - self.crown.y);
        let top = self.crown.towards(self.chin, share);
        let sides = [-HEAD_BREADTH / 2.0, HEAD_BREADTH / 2.0];
        let corners = [top, self.chin]
            .into_iter()
            .flat_map(|end| sides.map(|side| end.moved(-axis.1 * side, axis.0 * side)));
        let nothing = CanvasRect::new(self.chin, Length::ZERO, Length::ZERO);
        CanvasRect::around(corners).unwrap_or(nothing)
    }

    /// The features, from the brow to the chin.
    pub fn features(&self) -> CanvasRect {
        self.below_share(BROW)
    }

    /// What a seam is kept out of, the more the better: the whole head, or else all below the top of the forehead, or else the features.
    pub fn kept_whole(&self) -> [CanvasRect; 3] {
        [self.bounds(), self.below_share(HAIRLINE), self.features()]
    }

    /// Points spread over the face where no seam should pass: crown, chin, and between them the middle line and the
    /// sides at every quarter of the head's height.
    pub fn face_points(&self) -> Vec<CanvasPoint> {
        let axis = (self.chin.x - self.crown.x, self.chin.y - self.crown.y);
        let half_breadth = HEAD_BREADTH / 2.0;
        let mut points = vec![self.crown, self.chin];
        for share in [0.25, 0.5, 0.75] {
            let on_axis = self.crown.towards(self.chin, share);
            points.push(on_axis);
            for side in [-half_breadth, half_breadth] {
                points.push(on_axis.moved(-axis.1 * side, axis.0 * side));
            }
        }
        points
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ten_inch_head_is_larger_than_life_and_a_nine_inch_head_is_not() {
        let head = |inches| Head {
            crown: CanvasPoint::ORIGIN,
            chin: CanvasPoint::new(Length::ZERO, Length::inches(inches)),
        };
        assert!(head(10.0).is_larger_than_life());
        assert!(!head(9.0).is_larger_than_life());
    }

    #[test]
    fn a_head_off_the_canvas_is_told_and_one_cut_by_an_edge_is_not() {
        let canvas = CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(400.0), Length::mm(500.0)).into();
        let told = |x: f64, y: f64| {
            let (crown, chin) = (CanvasPoint::mm(x, y), CanvasPoint::mm(x, y + 200.0));
            Head { crown, chin }.off_canvas_in_words(&canvas)
        };
        assert_eq!(told(200.0, 100.0), None);
        assert_eq!(told(10.0, 100.0), None, "a little more than half is seen");
        assert_eq!(told(200.0, -60.0), None);
        assert_eq!(told(-10.0, 100.0), Some("Most of the head lies off the canvas."));
        assert_eq!(told(200.0, 420.0), Some("Most of the head lies off the canvas."));
        assert_eq!(told(200.0, -5000.0), Some("The head lies off the canvas."));
        assert_eq!(told(900.0, 100.0), Some("The head lies off the canvas."));
    }

    #[test]
    fn of_a_head_the_whole_is_kept_first_and_the_features_last() {
        let head = Head { crown: CanvasPoint::mm(150.0, 50.0), chin: CanvasPoint::mm(150.0, 250.0) };
        let tops =
            head.kept_whole().map(|rect| (rect.origin.y.to_mm(), rect.bottom().to_mm(), rect.width.to_mm()));
        for (told, wanted) in tops.into_iter().zip([
            (50.0, 250.0, 150.0),
            (80.0, 250.0, 150.0),
            (80.0 + 170.0 / 3.0, 250.0, 150.0),
        ]) {
            let off = (told.0 - wanted.0).abs() + (told.1 - wanted.1).abs() + (told.2 - wanted.2).abs();
            assert!(off < 1e-9, "{told:?} {wanted:?}");
        }
    }

    #[test]
    fn the_face_points_of_an_upright_head_lie_within_its_box() {
        let head = Head { crown: CanvasPoint::mm(150.0, 50.0), chin: CanvasPoint::mm(150.0, 250.0) };
        let (low, high) = (150.0 - 75.0 - 1e-9, 150.0 + 75.0 + 1e-9);
        assert!(
            head.face_points()
                .iter()
                .all(|p| (low..=high).contains(&p.x.to_mm()) && (50.0..=250.0).contains(&p.y.to_mm()))
        );
    }
}
