//! Landmarks: named points of the sitter, placed on the reference by the painter.
//!
//! Crown and chin are kept once. Where both are marked they are the reference's [`HeadMarks`], from which the head's
//! height is taken; one placed alone stands among the other landmarks until its fellow joins it. Placing or removing a
//! landmark never moves the photo on the canvas.

mod body_point;
mod suggestion;

use std::collections::HashSet;
use std::fmt;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::frame::{PhotoPoint, PhotoSize};
use crate::head::HeadMarks;
use crate::painting_plan::Plan;
use crate::placing::Place;

pub use body_point::BodyPoint;

/// The most landmarks in one plan: more than a head needs, for whoever plots a contour point by point. Up to here what they cost
/// grows in a straight line (`bench/growth.py`).
pub const MAX_LANDMARKS: usize = 2000;

/// The most characters in the name of a landmark or a measure: what fits into its column on a sheet.
pub const MAX_NAME_CHARS: usize = 40;

/// What a landmark is called.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(into = "String", from = "String")]
pub enum LandmarkName {
    /// A point of the head or figure with a name in the trade.
    Body(BodyPoint),
    /// A point that the painter named.
    Own(String),
}

impl LandmarkName {
    /// The name in running text.
    pub fn as_str(&self) -> &str {
        match self {
            Self::Body(point) => point.name(),
            Self::Own(name) => name,
        }
    }

    /// Whether it belongs to the head; what the painter named is not known to.
    pub fn is_of_head(&self) -> bool {
        matches!(self, Self::Body(point) if point.is_of_head())
    }
}

impl From<String> for LandmarkName {
    fn from(text: String) -> Self {
        BodyPoint::named(&text).map_or_else(|| Self::Own(text.trim().to_owned()), Self::Body)
    }
}

impl From<&str> for LandmarkName {
    fn from(text: &str) -> Self {
        Self::from(text.to_owned())
    }
}

impl From<BodyPoint> for LandmarkName {
    fn from(point: BodyPoint) -> Self {
        Self::Body(point)
    }
}

impl From<LandmarkName> for String {
    fn from(name: LandmarkName) -> Self {
        name.as_str().to_owned()
    }
}

impl fmt::Display for LandmarkName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// A named point of the reference.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Landmark {
    /// What it is called.
    pub name: LandmarkName,
    /// Where it is in the picture that lies on the canvas: the upright photo, or what squaring up made of it.
    pub at: PhotoPoint,
}

/// Why a landmark or a measure cannot be.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum LandmarkError {
    /// There is no photo to place it on.
    #[error("There is no photo to place “{name}” on. Choose the photo first.")]
    NoPhoto {
        /// Its name.
        name: String,
    },
    /// It lies outside the photo.
    #[error(
        "“{name}” at {x:.0},{y:.0} lies outside the photo of {} x {} pixels. Place it on the photo.",
        .photo.width, .photo.height
    )]
    OutsidePhoto {
        /// Its name.
        name: String,
        /// Its x in the photo frame.
        x: f64,
        /// Its y in the photo frame.
        y: f64,
        /// The photo's size.
        photo: PhotoSize,
    },
    /// Two of them bear one name.
    #[error("There are two places for “{name}”. Give each its own name.")]
    Twice {
        /// The name.
        name: String,
    },
    /// The name is blank, too long, or not one line.
    #[error("“{name}” is not a name. Write one line of 1 to {MAX_NAME_CHARS} letters.")]
    Name {
        /// The name.
        name: String,
    },
    /// Too many of them.
    #[error("There are {count} {what}. A painting may have up to {most}.")]
    TooMany {
        /// `landmarks` or `measures`.
        what: &'static str,
        /// How many there are.
        count: usize,
        /// How many there may be.
        most: usize,
    },
    /// The two ends of a measure coincide.
    #[error("The two ends of the measure “{name}” lie in one place. Place them farther apart.")]
    NoLength {
        /// The measure's name.
        name: String,
    },
    /// The unit names no measure.
    #[error("There is no measure “{name}” to take as the unit. Choose one from the list.")]
    NoSuchUnit {
        /// The name asked for.
        name: String,
    },
}

impl Plan {
    /// Every landmark, crown and chin among them: the trade's from the crown down, then the painter's own in the order
    /// in which they were placed.
    pub fn all_landmarks(&self) -> Vec<Landmark> {
        let head = self.reference.as_ref().and_then(|reference| reference.head);
        let of_head = head.into_iter().flat_map(|HeadMarks { crown, chin }| {
            [(BodyPoint::Crown, crown), (BodyPoint::Chin, chin)]
                .map(|(name, at)| Landmark { name: name.into(), at })
        });
        let mut all: Vec<Landmark> = of_head.chain(self.landmarks.iter().cloned()).collect();
        all.sort_by_key(|landmark| match landmark.name {
            LandmarkName::Body(point) => (false, point),
            LandmarkName::Own(_) => (true, BodyPoint::Crown),
        });
        all
    }

    /// Where a landmark is in the photo, if it is placed.
    pub fn landmark(&self, name: &LandmarkName) -> Option<PhotoPoint> {
        self.all_landmarks().into_iter().find(|landmark| landmark.name == *name).map(|landmark| landmark.at)
    }

    /// Places a landmark, or moves it if it is placed already. The photo stays where it lies on the canvas.
    ///
    /// # Errors
    /// When there is no photo, the place is outside it, the name cannot be, or there are too many; the plan is then as
    /// it was.
    pub fn place_landmark(&mut self, landmark: Landmark) -> Result<(), LandmarkError> {
        let mut changed = self.clone();
        changed.take_away(&landmark.name);
        changed.landmarks.push(landmark);
        changed.join_crown_and_chin();
        changed.check_landmarks()?;
        *self = changed;
        Ok(())
    }

    /// Forgets a landmark; true if it was there. The photo stays where it lies on the canvas, and so do the ends of measures
    /// that were on it.
    pub fn remove_landmark(&mut self, name: &LandmarkName) -> bool {
        self.let_go_of(name);
        self.take_away(name)
    }

    fn take_away(&mut self, name: &LandmarkName) -> bool {
        self.part_crown_and_chin(name);
        let before = self.landmarks.len();
        self.landmarks.retain(|landmark| landmark.name != *name);
        self.landmarks.len() < before
    }

    /// Marks crown and chin, also where one of them was placed as a landmark. Unlike [`Plan::place_landmark`], a photo
    /// that is placed by the head's height moves with them.
    pub fn mark_head(&mut self, head: HeadMarks) {
        self.landmarks.retain(|landmark| !is_crown_or_chin(&landmark.name));
        if let Some(reference) = &mut self.reference {
            reference.head = Some(head);
        }
    }

    /// Forgets everything that was marked in the picture: for when another picture takes its place.
    pub fn forget_marked(&mut self) {
        self.landmarks.clear();
        self.measures.clear();
        self.unit_measure = None;
        if let Some(reference) = &mut self.reference {
            reference.head = None;
        }
        for detail in &mut self.details {
            detail.belongs = None;
        }
    }

    /// Takes the same picture in another size in place of the photo: all that was marked in it stays on it, and it lies as it did.
    /// Does nothing without a photo.
    pub fn take_in_another_size(&mut self, size: PhotoSize) {
        let Some(reference) = &mut self.reference else { return };
        let times = |to: u32, from: u32| f64::from(to) / f64::from(from.max(1));
        let of_photo = (times(size.width, reference.photo.width), times(size.height, reference.photo.height));
        let before = reference.size();
        reference.photo = size;
        if let Some(square_up) = &mut reference.square_up {
            square_up.corners = square_up.corners.map(|corner| scaled(corner, of_photo));
        }
        let after = reference.size();
        // What is squared up is in its own pixels.
        let of_picture = (times(after.width, before.width), times(after.height, before.height));
        if let Place::At { pixel, .. } = &mut reference.place {
            *pixel = *pixel / of_picture.0;
        }
        if let Some(head) = &mut reference.head {
            (head.crown, head.chin) = (scaled(head.crown, of_picture), scaled(head.chin, of_picture));
        }
        for landmark in &mut self.landmarks {
            landmark.at = scaled(landmark.at, of_picture);
        }
        for measure in &mut self.measures {
            (measure.from, measure.to) = (scaled(measure.from, of_picture), scaled(measure.to, of_picture));
        }
        for detail in &mut self.details {
            detail.belongs = detail.belongs.map(|belongs| belongs.scaled(of_picture));
        }
    }

    pub(crate) fn check_landmarks(&self) -> Result<(), LandmarkError> {
        let all = self.all_landmarks();
        if all.len() > MAX_LANDMARKS {
            let (count, most) = (all.len(), MAX_LANDMARKS);
            return Err(LandmarkError::TooMany { what: "landmarks", count, most });
        }
        let mut names = HashSet::with_capacity(all.len());
        for landmark in &all {
            let name = landmark.name.as_str();
            check_name(name)?;
            if !names.insert(&landmark.name) {
                return Err(LandmarkError::Twice { name: name.to_owned() });
            }
            self.check_in_photo(name, landmark.at)?;
        }
        Ok(())
    }

    pub(crate) fn check_in_photo(&self, name: &str, at: PhotoPoint) -> Result<(), LandmarkError> {
        let name = name.to_owned();
        let Some(reference) = &self.reference else { return Err(LandmarkError::NoPhoto { name }) };
        let photo = reference.size();
        let inside =
            (0.0..=f64::from(photo.width)).contains(&at.x) && (0.0..=f64::from(photo.height)).contains(&at.y);
        if inside { Ok(()) } else { Err(LandmarkError::OutsidePhoto { name, x: at.x, y: at.y, photo }) }
    }

    /// Makes the head's marks of crown and chin once both are among the landmarks.
    fn join_crown_and_chin(&mut self) {
        let find = |point: BodyPoint| {
            self.landmarks.iter().find(|landmark| landmark.name == point.into()).map(|landmark| landmark.at)
        };
        let (Some(crown), Some(chin)) = (find(BodyPoint::Crown), find(BodyPoint::Chin)) else { return };
        self.hold_photo();
        self.mark_head(HeadMarks { crown, chin });
    }

    /// Puts crown and chin among the other landmarks if `name` is one of them.
    fn part_crown_and_chin(&mut self, name: &LandmarkName) {
        let head = self.reference.as_ref().and_then(|reference| reference.head);
        let Some(HeadMarks { crown, chin }) = head.filter(|_| is_crown_or_chin(name)) else { return };
        self.hold_photo();
        if let Some(reference) = &mut self.reference {
            reference.head = None;
        }
        for (point, at) in [(BodyPoint::Crown, crown), (BodyPoint::Chin, chin)] {
            self.landmarks.push(Landmark { name: point.into(), at });
        }
    }

    /// Holds a photo that was placed by its head where it lies.
    fn hold_photo(&mut self) {
        let Some(placing) = self.placing() else { return };
        if let Some(reference) = &mut self.reference
            && matches!(reference.place, Place::Head { .. })
        {
            let middle = placing.to_canvas(reference.size().centre());
            reference.place = Place::At { pixel: placing.pixel(), middle };
        }
    }
}

fn is_crown_or_chin(name: &LandmarkName) -> bool {
    matches!(name, LandmarkName::Body(BodyPoint::Crown | BodyPoint::Chin))
}

pub(crate) fn check_name(name: &str) -> Result<(), LandmarkError> {
    let fine = !name.trim().is_empty()
        && name.chars().count() <= MAX_NAME_CHARS
        && !name.chars().any(char::is_control);
    if fine { Ok(()) } else { Err(LandmarkError::Name { name: name.to_owned() }) }
}

fn scaled(point: PhotoPoint, (across, down): (f64, f64)) -> PhotoPoint {
    PhotoPoint::new(point.x * across, point.y * down)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::Canvas;
    use crate::length::{Length, Unit};
    use crate::reference::Reference;

    fn portrait() -> Plan {
        let mut plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(12.0)), Unit::Inch);
        let mut reference = Reference::fitted(PhotoSize { width: 3000, height: 4000 });
        reference.head =
            Some(HeadMarks { crown: PhotoPoint::new(1500.0, 500.0), chin: PhotoPoint::new(1500.0, 2500.0) });
        reference.place = Place::Head { height: Length::inches(8.0), middle: None };
        plan.reference = Some(reference);
        plan
    }

    fn landmark(name: impl Into<LandmarkName>, x: f64, y: f64) -> Landmark {
        Landmark { name: name.into(), at: PhotoPoint::new(x, y) }
    }

    #[test]
    fn crown_and_chin_are_the_head_s_own_and_kept_once() {
        let mut plan = portrait();
        assert_eq!(plan.landmark(&BodyPoint::Chin.into()), Some(PhotoPoint::new(1500.0, 2500.0)));
        let pixel = plan.placing().unwrap().pixel();
        plan.place_landmark(landmark(BodyPoint::Crown, 1500.0, 400.0)).unwrap();
        assert!(plan.landmarks.is_empty());
        assert_eq!(plan.reference.unwrap().head.unwrap().crown.y, 400.0);
        assert!((plan.placing().unwrap().pixel() - pixel).abs() < Length::mm(1e-12), "the photo moved");
        assert_eq!(plan.check(), Ok(()));
    }

    /// By head and by hand, squared up and not: on the canvas all stays where it was.
    #[test]
    fn the_same_picture_in_another_size_lies_as_the_one_before_it() {
        for squared_up in [false, true] {
            for by_hand in [false, true] {
                let mut plan = portrait();
                plan.place_landmark(landmark("mole", 1200.0, 1800.0)).unwrap();
                if let Some(reference) = &mut plan.reference {
                    let corner = PhotoPoint::new;
                    let corners = [
                        corner(0.0, 0.0),
                        corner(2900.0, 10.0),
                        corner(2950.0, 3900.0),
                        corner(20.0, 3990.0),
                    ];
                    reference.square_up = squared_up.then_some(crate::SquareUp { corners, shape: None });
                }
                if by_hand {
                    plan.hold_photo();
                }
                let places = |plan: &Plan| {
                    let placing = plan.placing().unwrap();
                    let head = plan.reference.as_ref().unwrap().head.unwrap();
                    [plan.landmark(&"mole".into()).unwrap(), head.crown, head.chin]
                        .map(|at| placing.to_canvas(at))
                };
                let before = places(&plan);
                plan.take_in_another_size(PhotoSize { width: 1080, height: 1440 });
                for (now, before) in places(&plan).into_iter().zip(before) {
                    // Squared up, a picture has whole pixels.
                    assert!(
                        now.distance_to(before) < Length::mm(0.2),
                        "{squared_up} {by_hand}: {now:?} {before:?}"
                    );
                }
                assert_eq!(plan.check(), Ok(()));
            }
        }
    }

    #[test]
    fn a_crown_without_a_chin_is_no_head_until_the_chin_joins_it() {
        let mut plan = portrait();
        assert!(plan.remove_landmark(&BodyPoint::Chin.into()));
        assert_eq!((plan.reference.unwrap().head, plan.landmarks.len()), (None, 1));
        assert_eq!(plan.check(), Ok(()));
        plan.place_landmark(landmark(BodyPoint::Chin, 1400.0, 2400.0)).unwrap();
        assert_eq!((plan.reference.unwrap().head.is_some(), plan.landmarks.len()), (true, 0));
        assert!(!plan.remove_landmark(&BodyPoint::NoseTip.into()));
    }

    #[test]
    fn landmarks_are_listed_from_the_crown_down_and_then_the_painter_s_own() {
        let mut plan = portrait();
        for landmark in [
            landmark("scar", 1.0, 1.0),
            landmark("mole", 2.0, 1.0),
            landmark("left pupil", 3.0, 1.0),
            landmark("navel", 4.0, 1.0),
        ] {
            plan.place_landmark(landmark).unwrap();
        }
        let names: Vec<_> = plan.all_landmarks().iter().map(|landmark| landmark.name.to_string()).collect();
        assert_eq!(names, ["crown", "left pupil", "chin", "navel", "scar", "mole"]);
    }

    #[test]
    fn what_cannot_be_placed_is_told_and_changes_nothing() {
        let mut plan = portrait();
        let before = plan.clone();
        for (landmark, expected) in [
            (landmark(BodyPoint::NoseTip, 3001.0, 0.0), "outside the photo"),
            (landmark(BodyPoint::Crown, -1.0, 0.0), "outside the photo"),
            (landmark(BodyPoint::NoseTip, f64::NAN, 0.0), "outside the photo"),
            (landmark("  ", 1.0, 1.0), "is not a name"),
            (landmark("two\nlines", 1.0, 1.0), "is not a name"),
            (landmark("x".repeat(41).as_str(), 1.0, 1.0), "is not a name"),
        ] {
            let error = plan.place_landmark(landmark).unwrap_err().to_string();
            assert!(error.contains(expected), "{error}");
        }
        assert_eq!(plan, before);
        let mut blank = Plan::new(plan.canvas, Unit::Inch);
        assert!(matches!(
            blank.place_landmark(landmark("mole", 1.0, 1.0)),
            Err(LandmarkError::NoPhoto { .. })
        ));
    }

    #[test]
    fn a_file_that_names_a_point_twice_is_refused() {
        let mut plan = portrait();
        plan.landmarks.push(landmark(BodyPoint::Crown, 1.0, 1.0));
        assert!(matches!(plan.check_landmarks(), Err(LandmarkError::Twice { .. })));
    }
}
