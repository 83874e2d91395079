//! Where the landmarks that are not placed yet are to be expected, from those that are.
//!
//! A head and figure of usual proportions is laid over the placed landmarks, turned, leaned and foreshortened as they
//! tell. What comes of it is a place to begin looking, and no more.

use nalgebra::{Matrix3, Matrix3x2, Vector3};

use super::{BodyPoint, Landmark, LandmarkName};
use crate::frame::PhotoPoint;
use crate::painting_plan::Plan;

use BodyPoint as B;

/// The least distance between two placed landmarks, in head heights, from which a size is concluded: an eighth
/// of the head, so that a slip of the hand does not throw the far end.
const LEAST_SPREAD: f64 = 0.12;

/// How strongly the turn and lean of the head hold to none, in square head heights: about as much as one landmark that
/// lies a fifth of the head aside tells against it.
const STIFFNESS: f64 = 0.04;

/// The sitter is taken for one seen in a mirror, or not, against how the photo lies, if that leaves less than this share
/// of the squares: a slip of the hand does not do it, one eye on its side of the nose does.
const CLEARLY: f64 = 0.5;

impl Plan {
    /// Every point of both sets that is not placed yet and is expected inside the photo, from the crown down, each
    /// where the placed ones let expect it. Empty while fewer than two landmarks far enough apart are placed.
    ///
    /// Right and left are those of the sitter as seen on the canvas. Where the placed landmarks tell nothing of it, a photo
    /// that lies mirrored is so taken to show a sitter whose right is on the photo's right.
    pub fn suggested_landmarks(&self) -> Vec<Landmark> {
        let placed: Vec<(BodyPoint, PhotoPoint)> = self
            .all_landmarks()
            .into_iter()
            .filter_map(|landmark| match landmark.name {
                LandmarkName::Body(point) => Some((point, landmark.at)),
                LandmarkName::Own(_) => None,
            })
            .collect();
        let of_head: Vec<_> = placed.iter().copied().filter(|(point, _)| point.is_of_head()).collect();
        let mirrored = self.reference.as_ref().is_some_and(|reference| reference.mirror);
        let whole = Likeness::of_either(&placed, mirrored);
        let head = Likeness::of_either(&of_head, mirrored).or(whole);
        let expected = BodyPoint::all()
            .filter(|point| placed.iter().all(|(other, _)| other != point))
            .filter_map(|point| {
                let likeness = if point.is_of_head() { head } else { whole };
                Some(Landmark { name: point.into(), at: likeness?.at(point) })
            });
        expected.filter(|landmark| self.check_in_photo("", landmark.at).is_ok()).collect()
    }
}

/// The usual head and figure as it lies over the placed landmarks.
#[derive(Clone, Copy, Debug)]
struct Likeness {
    /// A head height to the right of the sitter's upright middle, and down along it, in pixels of the photo: a similarity.
    along: (f64, f64),
    usual_middle: Vector3<f64>,
    photo_middle: PhotoPoint,
    /// Whether it is laid over the photo as seen in a mirror.
    mirrored: bool,
    /// The sum of the squares, in pixels, that the similarity leaves.
    off: f64,
    /// What is left over, in pixels for each head height to the right, down and towards the viewer.
    bend: Matrix3x2<f64>,
}

impl Likeness {
    /// The one that is expected, unless the landmarks clearly tell of the other: as it is, or as seen in a mirror.
    fn of_either(placed: &[(BodyPoint, PhotoPoint)], mirrored: bool) -> Option<Self> {
        let expected = Self::of(placed, mirrored)?;
        let other = Self::of(placed, !mirrored).filter(|other| other.off < CLEARLY * expected.off);
        Some(other.unwrap_or(expected))
    }

    /// The similarity of least squares (closed form in two dimensions, as in [`crate::fit_similarity`]), then what it
    /// leaves as a linear function of the place on and before the face, by ridge regression (Hoerl and Kennard,
    /// Technometrics 12, 1970).
    fn of(placed: &[(BodyPoint, PhotoPoint)], mirrored: bool) -> Option<Self> {
        let count = placed.len() as f64;
        if placed.len() < 2 {
            return None;
        }
        let usual = |point: BodyPoint| usual_seen(point, mirrored);
        let usual_middle = placed.iter().map(|(point, _)| usual(*point)).sum::<Vector3<f64>>() / count;
        let photo_middle = PhotoPoint::new(
            placed.iter().map(|(_, at)| at.x).sum::<f64>() / count,
            placed.iter().map(|(_, at)| at.y).sum::<f64>() / count,
        );
        let about_middles: Vec<(Vector3<f64>, (f64, f64))> = placed
            .iter()
            .map(|(point, at)| (usual(*point) - usual_middle, (at.x - photo_middle.x, at.y - photo_middle.y)))
            .collect();
        let spread: f64 = about_middles.iter().map(|(place, _)| place.x * place.x + place.y * place.y).sum();
        if spread < 2.0 * (LEAST_SPREAD / 2.0).powi(2) {
            return None;
        }
        let (mut dot, mut cross) = (0.0, 0.0);
        for (place, (x, y)) in &about_middles {
            dot += place.x * x + place.y * y;
            cross += place.x * y - place.y * x;
        }
        let mut similar = Self {
            along: (dot / spread, cross / spread),
            usual_middle,
            photo_middle,
            mirrored,
            off: 0.0,
            bend: Matrix3x2::zeros(),
        };
        similar.off = placed.iter().map(|(point, at)| similar.at(*point).distance_to(*at).powi(2)).sum();
        let (mut squares, mut products) = (Matrix3::identity() * STIFFNESS, Matrix3x2::zeros());
        for ((place, _), (point, at)) in about_middles.iter().zip(placed) {
            let expected = similar.at(*point);
            let left = nalgebra::RowVector2::new(at.x - expected.x, at.y - expected.y);
            squares += place * place.transpose();
            products += place * left;
        }
        Some(Self { bend: squares.try_inverse()? * products, ..similar })
    }

    fn at(&self, point: BodyPoint) -> PhotoPoint {
        let place = usual_seen(point, self.mirrored) - self.usual_middle;
        let (right, down) = self.along;
        let bent = self.bend.transpose() * place;
        PhotoPoint::new(
            self.photo_middle.x + right * place.x - down * place.y + bent.x,
            self.photo_middle.y + down * place.x + right * place.y + bent.y,
        )
    }
}

/// The same place, or where it is seen in a mirror.
fn usual_seen(point: BodyPoint, mirrored: bool) -> Vector3<f64> {
    let place = usual(point);
    if mirrored { Vector3::new(-place.x, place.y, place.z) } else { place }
}

/// Where a point lies on a sitter of usual proportions who faces the viewer: to the viewer's right of the middle, below
/// the crown, and towards the viewer from the pupils, in head heights.
///
/// Eye line, distance of the pupils and breadth of the head are means of ANSUR II (Gordon et al. 2014,
/// NATICK/TR-15/007); all else is common practice, no source: the face in thirds below the hairline, a figure of 7½
/// heads.
fn usual(point: BodyPoint) -> Vector3<f64> {
    let (x, y, z) = match point {
        B::Crown => (0.0, 0.0, -0.4),
        B::Hairline => (0.0, 0.15, -0.02),
        B::Brow => (0.0, 0.42, 0.07),
        B::RightBrow | B::LeftBrow => (0.14, 0.41, 0.03),
        B::RightEyeOuter | B::LeftEyeOuter => (0.2, 0.49, -0.05),
        B::RightPupil | B::LeftPupil => (0.138, 0.49, 0.0),
        B::RightEyeInner | B::LeftEyeInner => (0.07, 0.495, 0.0),
        B::RightEarTop | B::LeftEarTop => (0.33, 0.46, -0.42),
        B::RightEarLobe | B::LeftEarLobe => (0.31, 0.7, -0.36),
        B::NoseTip => (0.0, 0.665, 0.16),
        B::RightNoseWing | B::LeftNoseWing => (0.075, 0.675, 0.05),
        B::NoseBase => (0.0, 0.71, 0.09),
        B::RightMouthCorner | B::LeftMouthCorner => (0.11, 0.8, 0.02),
        B::MouthParting => (0.0, 0.8, 0.09),
        B::RightJawAngle | B::LeftJawAngle => (0.25, 0.8, -0.3),
        B::Chin => (0.0, 1.0, 0.05),
        B::NeckPit => (0.0, 1.33, -0.15),
        B::RightShoulder | B::LeftShoulder => (0.85, 1.45, -0.4),
        B::RightElbow | B::LeftElbow => (1.0, 2.9, -0.35),
        B::RightWrist | B::LeftWrist => (1.05, 3.9, -0.2),
        B::Navel => (0.0, 3.0, -0.1),
        B::RightHip | B::LeftHip => (0.7, 3.85, -0.3),
        B::RightKnee | B::LeftKnee => (0.4, 5.5, -0.2),
        B::RightAnkle | B::LeftAnkle => (0.35, 7.15, -0.3),
        B::RightSole | B::LeftSole => (0.4, 7.5, -0.2),
    };
    let side = if point.name().split(' ').any(|word| word == "right") { -1.0 } else { 1.0 };
    Vector3::new(side * x, y, z)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::Canvas;
    use crate::frame::PhotoSize;
    use crate::length::{Length, Unit};
    use crate::reference::Reference;
    use proptest::prelude::*;

    fn plan_with(landmarks: impl IntoIterator<Item = (BodyPoint, PhotoPoint)>) -> Plan {
        let mut plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(16.0)), Unit::Inch);
        plan.reference = Some(Reference::fitted(PhotoSize { width: 3000, height: 4000 }));
        for (point, at) in landmarks {
            plan.place_landmark(Landmark { name: point.into(), at }).unwrap();
        }
        plan
    }

    fn suggested(plan: &Plan, point: BodyPoint) -> Option<PhotoPoint> {
        plan.suggested_landmarks().into_iter().find(|landmark| landmark.name == point.into()).map(|l| l.at)
    }

    #[test]
    fn nothing_is_expected_before_two_landmarks_stand_apart() {
        let one = plan_with([(B::Chin, PhotoPoint::new(1500.0, 2500.0))]);
        assert!(one.suggested_landmarks().is_empty());
        let near = plan_with([
            (B::LeftPupil, PhotoPoint::new(1500.0, 1500.0)),
            (B::LeftEyeInner, PhotoPoint::new(1400.0, 1500.0)),
        ]);
        assert!(near.suggested_landmarks().is_empty());
    }

    #[test]
    fn from_crown_and_chin_the_eyes_are_expected_halfway() {
        let plan = plan_with([
            (B::Crown, PhotoPoint::new(1500.0, 600.0)),
            (B::Chin, PhotoPoint::new(1500.0, 2600.0)),
        ]);
        let (right, left) =
            (suggested(&plan, B::RightPupil).unwrap(), suggested(&plan, B::LeftPupil).unwrap());
        assert!((right.y - 1580.0).abs() < 1.0 && right.x < left.x);
        assert_eq!(suggested(&plan, B::LeftSole), None, "it lies below the photo");
        assert_eq!(plan.suggested_landmarks()[0].name, B::Hairline.into());
    }

    #[test]
    fn on_a_mirrored_photo_right_and_left_are_expected_as_they_are_seen_on_the_canvas() {
        let mut plan = plan_with([
            (B::Crown, PhotoPoint::new(1500.0, 600.0)),
            (B::Chin, PhotoPoint::new(1500.0, 2600.0)),
        ]);
        let across = |plan: &Plan, point| {
            let at = suggested(plan, point).unwrap();
            plan.placing().unwrap().to_canvas(at).x
        };
        if let Some(reference) = &mut plan.reference {
            reference.mirror = true;
        }
        assert!(across(&plan, B::RightPupil) < across(&plan, B::LeftPupil));
        // One landmark on the other side tells more than how the photo lies.
        let at = PhotoPoint::new(1220.0, 1580.0);
        plan.place_landmark(Landmark { name: B::RightPupil.into(), at }).unwrap();
        let left = suggested(&plan, B::LeftPupil).unwrap();
        assert!((left.x - 1780.0).abs() < 60.0, "{left:?}");
        assert!(across(&plan, B::LeftPupil) < plan.placing().unwrap().to_canvas(at).x);
    }

    /// The demo's head is turned and leaned; its landmarks are known from the sculpture.
    #[test]
    fn on_a_turned_head_each_landmark_is_expected_near_its_place() {
        #[derive(serde::Deserialize)]
        struct Account {
            landmarks: Vec<Point>,
        }
        #[derive(serde::Deserialize)]
        struct Point {
            name: String,
            x: f64,
            y: f64,
        }
        let account: Account =
            serde_json::from_str(include_str!("../../../../demo/harbour-pilot.json")).unwrap();
        let all: Vec<(BodyPoint, PhotoPoint)> = account
            .landmarks
            .iter()
            .map(|point| (BodyPoint::named(&point.name).unwrap(), PhotoPoint::new(point.x, point.y)))
            .filter(|(point, _)| point.is_of_head())
            .collect();
        assert_eq!(all.len(), 24);
        let head = 1615.0;
        let mut off: Vec<(f64, BodyPoint)> = all
            .iter()
            .map(|(left_out, truth)| {
                let plan = plan_with(all.iter().copied().filter(|(point, _)| point != left_out));
                (suggested(&plan, *left_out).unwrap().distance_to(*truth) / head, *left_out)
            })
            .collect();
        off.sort_by(|a, b| a.0.total_cmp(&b.0));
        assert!(off[12].0 < 0.03 && off[23].0 < 0.12, "{off:?}");
    }

    proptest! {
        #[test]
        fn a_usual_head_is_found_however_it_lies(
            scale in 200.0..1500.0_f64, turn in -0.6..0.6_f64, chosen in prop::sample::subsequence(BodyPoint::HEAD.to_vec(), 4..20),
        ) {
            let (sin, cos) = turn.sin_cos();
            let truth = |point: BodyPoint| {
                let place = usual(point);
                PhotoPoint::new(1500.0 + scale * (cos * place.x - sin * place.y), 1000.0 + scale * (sin * place.x + cos * place.y))
            };
            let plan = plan_with(chosen.iter().map(|point| (*point, truth(*point))));
            for landmark in plan.suggested_landmarks() {
                let LandmarkName::Body(point) = landmark.name else { continue };
                prop_assert!(landmark.at.distance_to(truth(point)) < 1e-6 * scale, "{point}");
            }
        }
    }
}
