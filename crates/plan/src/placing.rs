//! How the reference lies on the canvas: a similarity from the photo frame to the canvas frame.
//!
//! A similarity keeps every shape: the photo is only scaled, turned, moved and perhaps mirrored, never stretched, so
//! that the likeness survives whatever the canvas's shape.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::frame::{Angle, CanvasPoint, PhotoPoint, PhotoSize};
use crate::head::HeadMarks;
use crate::length::{Length, Unit};
use crate::outline::{Polygon, Quad};

/// The smallest and largest size a pixel may have on the canvas: 25 400 ppi, and a pixel as large as a thumb.
const PIXEL_SIZES: std::ops::RangeInclusive<Length> = Length::mm(0.001)..=Length::mm(25.4);

/// The head heights a painter may ask for: from a portrait miniature to a head that fills a mural.
const HEAD_HEIGHTS: std::ops::RangeInclusive<Length> = Length::mm(5.0)..=Length::mm(3000.0);

/// Crown and chin must be this many pixels apart: closer, and the head's height would hang on a slip of the hand.
const MIN_HEAD_PIXELS: f64 = 20.0;

/// How a painter says where the reference lies on the canvas.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "by", rename_all = "lowercase")]
pub enum Place {
    /// The whole photo as large as the canvas holds, in its middle.
    Fit,
    /// The photo as small as still covers the whole canvas, middle on middle.
    Fill,
    /// The head, from crown to chin, at a given height.
    Head {
        /// From crown to chin on the canvas.
        height: Length,
        /// Where the point halfway from crown to chin goes; the middle of the canvas if not said.
        middle: Option<CanvasPoint>,
    },
    /// An explicit scale and position.
    At {
        /// The size of a photo pixel on the canvas.
        pixel: Length,
        /// Where the middle of the photo goes.
        middle: CanvasPoint,
    },
}

/// Why the reference cannot lie so.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PlacingError {
    /// The photo has no pixels.
    #[error("The photo has no pixels.")]
    EmptyPhoto,
    /// Placing by the head without crown and chin.
    #[error("To place the photo by the head, say where the crown and the chin are in it.")]
    NoHead,
    /// Crown and chin coincide or nearly so.
    #[error(
        "Crown and chin are only {pixels:.0} pixels apart in the photo. Place them on the top of the head and the bottom of the chin."
    )]
    HeadTooSmall {
        /// Their distance in pixels.
        pixels: f64,
    },
    /// A head height that no canvas has.
    #[error(
        "A head of {} from crown to chin is out of range. It may be from {} to {}.",
        .height.in_both_units(*.unit), HEAD_HEIGHTS.start().in_both_units(*.unit), HEAD_HEIGHTS.end().in_both_units(*.unit)
    )]
    HeadHeight {
        /// The height asked for.
        height: Length,
        /// The unit it is told in first.
        unit: Unit,
    },
    /// Crown or chin outside the photo.
    #[error("The {which} at {x:.0},{y:.0} lies outside the photo of {} x {} pixels. Set it on the photo.", .photo.width, .photo.height)]
    OutsidePhoto {
        /// `crown` or `chin`.
        which: &'static str,
        /// Its x in the photo frame.
        x: f64,
        /// Its y in the photo frame.
        y: f64,
        /// The photo's size.
        photo: PhotoSize,
    },
    /// A scale, turn or position that makes no picture.
    #[error(
        "The photo would be unreasonably large or small on the canvas. Check the head's height and where crown and chin are."
    )]
    OutOfRange,
}

impl PlacingError {
    /// The same, told in this unit first.
    pub(crate) fn told_in(mut self, painters: Unit) -> Self {
        if let Self::HeadHeight { unit, .. } = &mut self {
            *unit = painters;
        }
        self
    }
}

/// A similarity from the photo frame to the canvas frame: first an optional mirroring from left to right, then a turn
/// about the photo's top left corner, a scaling, and a move.
///
/// ```
/// use plan::{Angle, CanvasPoint, Length, PhotoPoint, Placing};
/// let placing = Placing::new(CanvasPoint::mm(10.0, 20.0), Length::mm(0.5), Angle::degrees(90.0), false);
/// // A quarter turn clockwise brings the photo's right to the canvas's down.
/// assert_eq!(placing.to_canvas(PhotoPoint::new(100.0, 0.0)), CanvasPoint::mm(10.0, 70.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Placing {
    origin: CanvasPoint,
    pixel: Length,
    turn: Angle,
    mirror: bool,
}

impl Placing {
    /// The similarity that takes the photo's top left corner to `origin`, makes a pixel `pixel` wide, turns by `turn`
    /// and, if `mirror`, exchanges left and right first.
    pub const fn new(origin: CanvasPoint, pixel: Length, turn: Angle, mirror: bool) -> Self {
        Self { origin, pixel, turn, mirror }
    }

    /// The similarity that takes `from` to `to`.
    pub fn through(from: PhotoPoint, to: CanvasPoint, pixel: Length, turn: Angle, mirror: bool) -> Self {
        let at_origin = Self::new(CanvasPoint::ORIGIN, pixel, turn, mirror);
        let moved = at_origin.to_canvas(from);
        Self { origin: to.moved(-moved.x, -moved.y), ..at_origin }
    }

    /// Places a photo on a canvas as the painter said.
    ///
    /// # Errors
    /// When the photo is empty, when crown and chin are missing or too near each other, or when the outcome would be
    /// unreasonably large or small.
    pub fn of(
        place: Place,
        photo: PhotoSize,
        head: Option<HeadMarks>,
        turn: Angle,
        mirror: bool,
        canvas: &Quad,
    ) -> Result<Self, PlacingError> {
        if photo.width == 0 || photo.height == 0 {
            return Err(PlacingError::EmptyPhoto);
        }
        if let Some(head) = head {
            head.check(photo)?;
        }
        let (from, to, pixel) = match place {
            Place::Fit => {
                let room = canvas.inner_rect();
                let (wide, high) = turned_extent(f64::from(photo.width), f64::from(photo.height), turn);
                (photo.centre(), room.centre(), (room.width / wide).min(room.height / high))
            }
            Place::Fill => {
                let room = canvas.bounds();
                // Seen from the photo, it is the canvas that is turned; a mirrored turn has the same extent.
                let (wide, high) = turned_extent(room.width.to_mm(), room.height.to_mm(), turn);
                let pixel = (wide / f64::from(photo.width)).max(high / f64::from(photo.height));
                (photo.centre(), room.centre(), Length::mm(pixel))
            }
            Place::Head { height, middle } => {
                let head = head.ok_or(PlacingError::NoHead)?;
                if !HEAD_HEIGHTS.contains(&height) {
                    return Err(PlacingError::HeadHeight { height, unit: Unit::Millimetre });
                }
                let pixels = head.crown.distance_to(head.chin);
                if pixels < MIN_HEAD_PIXELS {
                    return Err(PlacingError::HeadTooSmall { pixels });
                }
                (head.middle(), middle.unwrap_or(canvas.bounds().centre()), height / pixels)
            }
            Place::At { pixel, middle } => (photo.centre(), middle, pixel),
        };
        if !PIXEL_SIZES.contains(&pixel) || !to.is_finite() || !turn.is_finite() {
            return Err(PlacingError::OutOfRange);
        }
        Ok(Self::through(from, to, pixel, turn, mirror))
    }

    /// Takes a point of the photo to the canvas.
    pub fn to_canvas(&self, point: PhotoPoint) -> CanvasPoint {
        let (sin, cos) = self.turn.sin_cos();
        let x = if self.mirror { -point.x } else { point.x };
        self.origin.moved(self.pixel * (x * cos - point.y * sin), self.pixel * (x * sin + point.y * cos))
    }

    /// Takes a point of the canvas to the photo.
    pub fn to_photo(&self, point: CanvasPoint) -> PhotoPoint {
        let (sin, cos) = self.turn.sin_cos();
        let (right, down) = ((point.x - self.origin.x) / self.pixel, (point.y - self.origin.y) / self.pixel);
        let (x, y) = (right * cos + down * sin, down * cos - right * sin);
        PhotoPoint::new(if self.mirror { -x } else { x }, y)
    }

    /// The photo's outline on the canvas, in clockwise order.
    pub fn photo_outline(&self, photo: PhotoSize) -> Polygon {
        photo.corners().map(|corner| self.to_canvas(corner)).into()
    }

    /// Where the photo's top left corner lies.
    pub const fn origin(&self) -> CanvasPoint {
        self.origin
    }

    /// The size of a photo pixel on the canvas.
    pub const fn pixel(&self) -> Length {
        self.pixel
    }

    /// How far the photo is turned.
    pub const fn turn(&self) -> Angle {
        self.turn
    }

    /// Whether left and right are exchanged.
    pub const fn mirror(&self) -> bool {
        self.mirror
    }

    /// How many of the photo's pixels go into a length of canvas.
    pub fn resolution(&self) -> Resolution {
        Resolution { pixels_per_inch: Length::inches(1.0) / self.pixel }
    }
}

/// The photo's resolution at the size it has on the canvas.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Resolution {
    /// Photo pixels to an inch of canvas.
    pub pixels_per_inch: f64,
}

impl Resolution {
    /// Below this, pixels show at arm's length: 150 ppi is about the acuity of 20/20 sight at 58 cm (one minute of
    /// arc), and the trade's rule for prints seen at arm's length (common practice, no source).
    pub const LEAST_AT_ARMS_LENGTH: Self = Self { pixels_per_inch: 150.0 };

    /// Photo pixels to an inch of canvas where the painter works in inches, or else to a centimetre.
    fn pixels(self, unit: Unit) -> f64 {
        match unit {
            Unit::Inch => self.pixels_per_inch,
            Unit::Centimetre | Unit::Millimetre => {
                self.pixels_per_inch * (Length::cm(1.0) / Length::inches(1.0))
            }
        }
    }

    /// In words: `150 pixels of the photo to an inch of canvas`, or to a centimetre where the painter's unit is metric.
    pub fn in_words(self, unit: Unit) -> String {
        let length = if unit == Unit::Inch { "an inch" } else { "a centimetre" };
        format!("{:.0} pixels of the photo to {length} of canvas", self.pixels(unit))
    }

    /// A sentence where pixels show at arm's length, and nothing elsewhere.
    pub fn coarse_in_words(self, unit: Unit) -> Option<String> {
        let least = Self::LEAST_AT_ARMS_LENGTH;
        (self < least).then(|| {
            let told = self.in_words(unit);
            format!("Only {told}: under {:.0}, pixels show at arm's length.", least.pixels(unit))
        })
    }
}

/// Width and height of the upright rectangle around a turned rectangle.
fn turned_extent(width: f64, height: f64, turn: Angle) -> (f64, f64) {
    let (sin, cos) = turn.sin_cos();
    (width * cos.abs() + height * sin.abs(), width * sin.abs() + height * cos.abs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::CanvasRect;
    use proptest::prelude::*;

    const PHOTO: PhotoSize = PhotoSize { width: 3000, height: 4000 };
    const HEAD: HeadMarks =
        HeadMarks { crown: PhotoPoint::new(1500.0, 600.0), chin: PhotoPoint::new(1500.0, 2600.0) };

    fn canvas(width: f64, height: f64) -> Quad {
        CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(width), Length::mm(height)).into()
    }

    fn place(place: Place, canvas: &Quad) -> Placing {
        Placing::of(place, PHOTO, Some(HEAD), Angle::ZERO, false, canvas).unwrap()
    }

    fn near(a: CanvasPoint, b: CanvasPoint) -> bool {
        a.distance_to(b) < Length::mm(1e-7)
    }

    #[test]
    fn fit_shows_the_whole_photo_and_fill_covers_the_canvas() {
        let square = canvas(300.0, 300.0);
        let fit = place(Place::Fit, &square);
        assert!(near(fit.to_canvas(PhotoPoint::new(0.0, 0.0)), CanvasPoint::mm(37.5, 0.0)));
        let fill = place(Place::Fill, &square);
        assert!(near(fill.to_canvas(PhotoPoint::new(0.0, 0.0)), CanvasPoint::mm(0.0, -50.0)));
    }

    #[test]
    fn resolution_is_told_to_the_length_that_the_painter_uses() {
        let of = |pixels_per_inch| Resolution { pixels_per_inch };
        assert_eq!(of(150.0).in_words(Unit::Inch), "150 pixels of the photo to an inch of canvas");
        assert_eq!(of(150.0).in_words(Unit::Centimetre), "59 pixels of the photo to a centimetre of canvas");
        assert_eq!(of(150.0).coarse_in_words(Unit::Inch), None);
        assert_eq!(
            of(100.0).coarse_in_words(Unit::Millimetre).unwrap(),
            "Only 39 pixels of the photo to a centimetre of canvas: under 59, pixels show at arm's length."
        );
    }

    #[test]
    fn a_head_gets_its_height_and_its_place() {
        let height = Length::inches(8.0);
        let middle = CanvasPoint::new(Length::inches(6.0), Length::inches(5.0));
        let placing = place(Place::Head { height, middle: Some(middle) }, &canvas(304.8, 304.8));
        assert!(near(placing.to_canvas(HEAD.crown), middle.moved(Length::ZERO, Length::inches(-4.0))));
        assert!(near(placing.to_canvas(HEAD.chin), middle.moved(Length::ZERO, Length::inches(4.0))));
        assert!((placing.resolution().pixels_per_inch - 250.0).abs() < 1e-9);
    }

    #[test]
    fn a_mirrored_photo_exchanges_left_and_right_about_its_middle() {
        let sheet = canvas(300.0, 400.0);
        let mirrored = Placing::of(Place::Fit, PHOTO, None, Angle::ZERO, true, &sheet).unwrap();
        assert!(near(mirrored.to_canvas(PhotoPoint::new(0.0, 0.0)), CanvasPoint::mm(300.0, 0.0)));
        assert!(near(mirrored.to_canvas(PhotoPoint::new(3000.0, 4000.0)), CanvasPoint::mm(0.0, 400.0)));
    }

    #[test]
    fn what_makes_no_picture_is_refused() {
        let sheet = canvas(300.0, 400.0);
        let try_place = |place, photo, head| Placing::of(place, photo, head, Angle::ZERO, false, &sheet);
        let by_head = |height| Place::Head { height, middle: None };
        let empty = PhotoSize { width: 0, height: 10 };
        assert_eq!(try_place(Place::Fit, empty, None), Err(PlacingError::EmptyPhoto));
        assert_eq!(try_place(by_head(Length::mm(200.0)), PHOTO, None), Err(PlacingError::NoHead));
        let dot = HeadMarks { crown: HEAD.crown, chin: HEAD.crown };
        assert!(matches!(
            try_place(by_head(Length::mm(200.0)), PHOTO, Some(dot)),
            Err(PlacingError::HeadTooSmall { .. })
        ));
        for height in [0.0, -3.0, f64::NAN, 1e9] {
            let refused = try_place(by_head(Length::mm(height)), PHOTO, Some(HEAD));
            assert!(matches!(refused, Err(PlacingError::HeadHeight { .. })), "{height}");
        }
        let outside = HeadMarks { crown: PhotoPoint::new(-4.0, 0.0), chin: HEAD.chin };
        assert!(matches!(
            try_place(Place::Fit, PHOTO, Some(outside)),
            Err(PlacingError::OutsidePhoto { which: "crown", .. })
        ));
        let speck = Place::At { pixel: Length::mm(1e-9), middle: CanvasPoint::ORIGIN };
        assert_eq!(try_place(speck, PHOTO, None), Err(PlacingError::OutOfRange));
    }

    prop_compose! {
        fn any_placing()(x in -500.0..500.0_f64, y in -500.0..500.0_f64, pixel in 0.01..2.0_f64, turn in -400.0..400.0_f64, mirror: bool) -> Placing {
            Placing::new(CanvasPoint::mm(x, y), Length::mm(pixel), Angle::degrees(turn), mirror)
        }
    }

    proptest! {
        #[test]
        fn photo_to_canvas_and_back_is_where_it_began(placing in any_placing(), x in 0.0..6000.0_f64, y in 0.0..6000.0_f64) {
            let there = PhotoPoint::new(x, y);
            prop_assert!(placing.to_photo(placing.to_canvas(there)).distance_to(there) < 1e-6);
        }

        #[test]
        fn every_distance_is_scaled_alike(placing in any_placing(), a in prop::array::uniform2(0.0..6000.0_f64), b in prop::array::uniform2(0.0..6000.0_f64)) {
            let (a, b) = (PhotoPoint::new(a[0], a[1]), PhotoPoint::new(b[0], b[1]));
            let on_canvas = placing.to_canvas(a).distance_to(placing.to_canvas(b));
            prop_assert!((on_canvas - placing.pixel() * a.distance_to(b)).abs() < Length::mm(1e-6));
        }

        #[test]
        fn fit_stays_inside_and_fill_covers_at_any_turn(turn in -180.0..180.0_f64, mirror: bool, wide in 50.0..900.0_f64, high in 50.0..900.0_f64) {
            let sheet = canvas(wide, high);
            let turn = Angle::degrees(turn);
            let fit = Placing::of(Place::Fit, PHOTO, None, turn, mirror, &sheet).unwrap();
            for corner in fit.photo_outline(PHOTO).corners {
                prop_assert!(corner.x.to_mm() > -1e-6 && corner.x.to_mm() < wide + 1e-6);
                prop_assert!(corner.y.to_mm() > -1e-6 && corner.y.to_mm() < high + 1e-6);
            }
            let fill = Placing::of(Place::Fill, PHOTO, None, turn, mirror, &sheet).unwrap();
            let covered = fill.photo_outline(PHOTO).clipped_to(&sheet).area_mm2();
            prop_assert!((covered / (wide * high) - 1.0).abs() < 1e-9);
        }
    }
}
