//! Too near? How far the camera stood from the sitter, and what that does to a face.
//!
//! A pinhole at distance *d* makes of a length *X* an image of *f·X/d*; so a feature that stands *z* nearer than
//! another is drawn *d/(d − z)* times as large as it, whatever the lens. Only the distance matters: a crop or a longer
//! lens changes nothing.

use thiserror::Error;

use crate::NORMAL_95;
use crate::frame::PhotoSize;
use crate::length::{Length, Unit};
use crate::painting_plan::Plan;

/// Focal lengths, in mm on 36 × 24 mm film, that are believed: cameras are known to write nonsense beyond.
pub const FOCAL_LENGTHS: std::ops::RangeInclusive<f64> = 8.0..=1200.0;

/// Nearer than this the face is visibly drawn by the camera's nearness (common practice, no source).
pub const TOO_NEAR: Length = Length::mm(1200.0);

/// The distance from which a sitter is usually seen, in conversation across a room or by a portrait painter, who stands
/// 1.5 to 3 m away (common practice, no source).
pub const USUAL_DISTANCE: Length = Length::mm(2000.0);

/// How far the tip of the nose stands before the plane of the ears: half the head's length, 97 mm (ANSUR II, Gordon et
/// al. 2014, NATICK/TR-15/007: 199.5 mm men, 189.8 mm women), and the nose's own 20 mm (mean protrusion 21.1 mm men,
/// 19.8 mm women, NIOSH survey of respirator users, from memory).
const NOSE_BEFORE_EARS: Length = Length::mm(117.0);

/// Diagonal of the 36 × 24 mm frame, by which equivalent focal lengths are stated (CIPA DCG-001).
const DIAGONAL_MM: f64 = 43.266_615_305_567_87;
/// The long side of that frame, by which some cameras state them instead.
const LONG_SIDE_MM: f64 = 36.0;

/// The true height of the sitter's head, from crown to chin as the painter marked them, and how sure it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SitterHead {
    /// The height.
    pub height: Length,
    /// Its standard deviation.
    pub sd: Length,
}

impl SitterHead {
    /// Any grown-up: 232 ± 12 mm men and 218 ± 11 mm women from chin to the top of the skull (derived from ANSUR II:
    /// sitting height less eye height, plus face length, less 4 mm), half of each, and some 10 ± 8 mm of hair (common
    /// practice, no source).
    pub const GROWN_UP: Self = Self { height: Length::mm(235.0), sd: Length::mm(16.0) };

    /// A head that the painter measured, to about 5 mm.
    pub const fn measured(height: Length) -> Self {
        Self { height, sd: Length::mm(2.5) }
    }
}

/// Heads that a painter may state: from an infant's to beyond any grown-up's with hat.
const HEADS: std::ops::RangeInclusive<Length> = Length::mm(80.0)..=Length::mm(400.0);

/// An estimate of where the camera stood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CameraDistance {
    /// From the camera to the plane of the head's outline, about that of the ears.
    pub distance: Length,
    /// The 95 % interval: what the unknown height of the head and the rule of the focal length leave open.
    pub range: (Length, Length),
    /// The height that the sitter's head is taken to have.
    pub sitter: SitterHead,
}

/// Why the distance cannot be told.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum CameraError {
    /// A focal length that no lens has.
    #[error(
        "A focal length of {focal_35mm} mm is out of range. State it as on 35 mm film: from {} to {} mm.",
        FOCAL_LENGTHS.start(), FOCAL_LENGTHS.end()
    )]
    Focal {
        /// As stated, in mm.
        focal_35mm: f64,
    },
    /// No focal length is known.
    #[error("The photo does not tell its lens. Say its focal length as on 35 mm film, for example 50 mm.")]
    NoFocal,
    /// Crown and chin are not marked.
    #[error("To tell the camera's distance, mark crown and chin in the photo.")]
    NoHead,
    /// The photo shows a print.
    #[error("The photo was taken of a print, so its camera says nothing of the sitter's distance.")]
    OfAPrint,
    /// The head's stated height cannot be.
    #[error(
        "A head of {} from crown to chin is out of range. It may be from {} to {}.",
        .height.in_both_units(*.unit), HEADS.start().in_both_units(*.unit), HEADS.end().in_both_units(*.unit)
    )]
    Head {
        /// As stated.
        height: Length,
        /// The unit it is told in first.
        unit: Unit,
    },
}

impl CameraError {
    /// The same, told in this unit first.
    fn told_in(mut self, painters: Unit) -> Self {
        if let Self::Head { unit, .. } = &mut self {
            *unit = painters;
        }
        self
    }
}

impl CameraDistance {
    /// How many times as large the tip of the nose is drawn as the ears, against their true sizes.
    pub fn nose_against_ears(&self) -> f64 {
        enlarged(self.distance, NOSE_BEFORE_EARS)
    }

    /// How many times as large the nose looks against the ears as it does from [`USUAL_DISTANCE`].
    pub fn nose_against_usual(&self) -> f64 {
        self.nose_against_ears() / enlarged(USUAL_DISTANCE, NOSE_BEFORE_EARS)
    }

    /// Whether the estimate is nearer than [`TOO_NEAR`].
    pub fn is_too_near(&self) -> bool {
        self.distance < TOO_NEAR
    }

    /// What the painter should know, as sentences.
    pub fn sentence(&self, unit: Unit) -> String {
        let about = |length: Length| match unit {
            Unit::Inch => {
                let inches = length.to_inches().round();
                let (feet, inches) = ((inches / 12.0).floor(), inches % 12.0);
                if feet > 0.0 { format!("{feet:.0} ft {inches:.0} in") } else { format!("{inches:.0} in") }
            }
            Unit::Centimetre | Unit::Millimetre => format!("{:.2} m", length.to_mm() / 1000.0),
        };
        let (near, far) = (about(self.range.0), about(self.range.1));
        let stood = format!(
            "The camera stood about {} from the sitter: between {near} and {far}, {}.",
            about(self.distance),
            if self.sitter == SitterHead::GROWN_UP {
                "as the head’s true height is not known"
            } else {
                "for a head of the height you state"
            }
        );
        let percent = (self.nose_against_usual() - 1.0) * 100.0;
        let usual = about(USUAL_DISTANCE);
        let looks = if percent >= LEAST_PERCENT {
            format!("Against the ears the nose looks about {percent:.0} % larger than from {usual}.")
        } else if percent <= -LEAST_PERCENT {
            format!("Against the ears the nose looks about {:.0} % smaller than from {usual}.", -percent)
        } else {
            format!("Nose and ears are as large to each other as from {usual}.")
        };
        let near = if self.is_too_near() {
            " This is too near for a portrait: trust your eye more than the photo."
        } else {
            ""
        };
        format!("{stood} {looks}{near}")
    }
}

/// A difference of less than this, in per cent, is told as none: it is within what the estimate leaves open.
const LEAST_PERCENT: f64 = 1.0;

/// How many times as large a feature is drawn that stands `nearer` to the camera than another at `distance`, against the
/// true sizes of both; infinite where it reaches the camera.
pub fn enlarged(distance: Length, nearer: Length) -> f64 {
    if nearer >= distance { f64::INFINITY } else { distance / (distance - nearer) }
}

/// The camera's distance from a head that is `head_pixels` high in a photo of this size, which must be whole: a crop
/// shows a smaller frame than the focal length was stated for.
///
/// # Errors
/// When the focal length or the head's height is out of range.
pub fn camera_distance(
    head_pixels: f64,
    photo: PhotoSize,
    focal_35mm: f64,
    sitter: SitterHead,
) -> Result<CameraDistance, CameraError> {
    check_focal(focal_35mm)?;
    if !HEADS.contains(&sitter.height) {
        return Err(CameraError::Head { height: sitter.height, unit: Unit::Millimetre });
    }
    if !(head_pixels.is_finite() && head_pixels > 0.0) {
        return Err(CameraError::NoHead);
    }
    let (width, height) = (f64::from(photo.width), f64::from(photo.height));
    let focal_pixels = focal_35mm * width.hypot(height) / DIAGONAL_MM;
    let by_long_side = focal_35mm * width.max(height) / LONG_SIDE_MM;
    let distance = sitter.height * (focal_pixels / head_pixels);
    // Either rule may have been followed: the spread of a rectangular distribution between the two.
    let of_rule = (by_long_side / focal_pixels - 1.0).abs() / 12.0_f64.sqrt();
    let spread = NORMAL_95 * (sitter.sd / sitter.height).hypot(of_rule);
    Ok(CameraDistance { distance, range: (distance * (1.0 - spread), distance * (1.0 + spread)), sitter })
}

/// Checks that a lens can have this focal length.
pub(crate) fn check_focal(focal_35mm: f64) -> Result<(), CameraError> {
    if FOCAL_LENGTHS.contains(&focal_35mm) { Ok(()) } else { Err(CameraError::Focal { focal_35mm }) }
}

impl Plan {
    /// The camera's distance from the sitter. `from_photo` is the focal length that the photo tells; one that the painter
    /// stated in the plan goes before it.
    ///
    /// # Errors
    /// When crown and chin are not marked, no focal length is known, or the photo was taken of a print.
    pub fn camera_distance(
        &self,
        from_photo: Option<f64>,
        sitter: SitterHead,
    ) -> Result<CameraDistance, CameraError> {
        let reference = self.reference.as_ref().ok_or(CameraError::NoHead)?;
        if reference.square_up.is_some() {
            return Err(CameraError::OfAPrint);
        }
        let head = reference.head.ok_or(CameraError::NoHead)?;
        let focal = reference.focal_35mm.or(from_photo).ok_or(CameraError::NoFocal)?;
        camera_distance(head.crown.distance_to(head.chin), reference.photo, focal, sitter)
            .map_err(|error| error.told_in(self.unit))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Ward et al. 2018 (JAMA Facial Plastic Surgery 20:333): seen from 12 in to the tip, the base of the nose is 30 %
    /// (men) and 29 % (women) larger against the cheeks than it truly is, and the tip 7 % against the base. The cheeks
    /// stand half a head's length behind the base of the nose, the tip 21.1 mm (19.8 mm) before it.
    #[test]
    fn a_photo_at_arm_s_length_enlarges_the_nose_as_published() {
        for (half_head, nose, published) in [(197.3 / 2.0, 21.1, 1.30), (187.5 / 2.0, 19.8, 1.29)] {
            let tip = 12.0 * 25.4;
            let cheeks = Length::mm(tip + nose + half_head);
            assert!((enlarged(cheeks, Length::mm(half_head)) - published).abs() < 0.005);
            assert!((enlarged(Length::mm(tip + nose), Length::mm(nose)) - 1.07).abs() < 0.006);
        }
    }

    #[test]
    fn a_head_of_known_height_gives_the_distance_of_the_pinhole() {
        let phone = PhotoSize { width: 3024, height: 4032 };
        let sitter = SitterHead::measured(Length::mm(230.0));
        let distance = |focal| camera_distance(2000.0, phone, focal, sitter).unwrap();
        for (focal, expected) in [(26.0, 348.0), (52.0, 697.0), (77.0, 1031.0)] {
            assert!((distance(focal).distance.to_mm() - expected).abs() < 1.5, "{focal}");
        }
        assert!(
            distance(26.0).is_too_near() && distance(77.0).is_too_near() && !distance(100.0).is_too_near()
        );
    }

    #[test]
    fn the_unknown_head_widens_the_interval() {
        let photo = PhotoSize { width: 6000, height: 4000 };
        let of = |sitter| camera_distance(1500.0, photo, 85.0, sitter).unwrap();
        let width = |d: CameraDistance| (d.range.1 - d.range.0) / d.distance;
        assert!(width(of(SitterHead::GROWN_UP)) > 5.0 * width(of(SitterHead::measured(Length::mm(235.0)))));
        assert!((width(of(SitterHead::GROWN_UP)) - 2.0 * 1.96 * 16.0 / 235.0).abs() < 0.001);
    }

    #[test]
    fn what_cannot_be_is_told() {
        let photo = PhotoSize { width: 300, height: 400 };
        let of = |pixels, focal, sitter| camera_distance(pixels, photo, focal, sitter);
        let grown = SitterHead::GROWN_UP;
        assert!(matches!(of(100.0, 7.0, grown), Err(CameraError::Focal { .. })));
        assert!(matches!(of(100.0, f64::NAN, grown), Err(CameraError::Focal { .. })));
        assert!(matches!(of(0.0, 50.0, grown), Err(CameraError::NoHead)));
        let tiny = SitterHead::measured(Length::mm(20.0));
        assert!(matches!(of(100.0, 50.0, tiny), Err(CameraError::Head { .. })));
        assert_eq!(enlarged(Length::mm(100.0), Length::mm(100.0)), f64::INFINITY);
    }

    proptest! {
        #[test]
        fn farther_away_the_nose_is_drawn_less_large(near in 200.0..3000.0_f64, step in 1.0..3000.0_f64) {
            let nose = NOSE_BEFORE_EARS;
            prop_assert!(enlarged(Length::mm(near), nose) > enlarged(Length::mm(near + step), nose));
            prop_assert!(enlarged(Length::mm(near + step), nose) > 1.0);
        }
    }
}
