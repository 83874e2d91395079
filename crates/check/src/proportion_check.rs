//! Proportions of the head as the reference has them and as they are painted: tilts, and widths in terms of an eye's.

use plan::{CanvasPoint, Landmark, LandmarkName, Plan, Proportion, proportions};
use serde::{Deserialize, Serialize};

/// One proportion of both.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ProportionCheck {
    /// What it is: `tilt of the eye line`.
    pub what: String,
    /// The reference's, as it is told: `0.49`, `−2.5°`.
    pub reference: String,
    /// The painting's.
    pub painting: String,
    /// True when the two are told differently.
    pub differs: bool,
}

impl ProportionCheck {
    /// The proportions that the painted landmarks tell, from landmarks that the plan has too.
    pub fn of(plan: &Plan, painted: &[(&str, CanvasPoint)]) -> Vec<Self> {
        let Some(placing) = plan.placing() else { return Vec::new() };
        let planned = plan.all_landmarks();
        let both: Vec<(Landmark, Landmark)> = painted
            .iter()
            .filter_map(|(name, at)| {
                let name = LandmarkName::from(*name);
                let planned = planned.iter().find(|landmark| landmark.name == name)?.clone();
                Some((planned, Landmark { name, at: placing.to_photo(*at) }))
            })
            .collect();
        let (planned, painted): (Vec<_>, Vec<_>) = both.into_iter().unzip();
        let (planned, painted) = (with_landmarks(plan, planned), with_landmarks(plan, painted));
        let painted = proportions(&painted);
        proportions(&planned)
            .into_iter()
            .filter_map(|reference| {
                let painting = painted.iter().find(|painting| painting.kind == reference.kind)?;
                Some(Self::between(reference, *painting))
            })
            .collect()
    }

    fn between(reference: Proportion, painting: Proportion) -> Self {
        let (told, painted) = (reference.told(), painting.told());
        let differs = told != painted;
        Self { what: reference.kind.words().to_owned(), reference: told, painting: painted, differs }
    }
}

/// The plan with these landmarks alone. The photo is held where it lies, since crown and chin may be among them.
fn with_landmarks(plan: &Plan, landmarks: Vec<Landmark>) -> Plan {
    let mut plan = plan.clone();
    let placing = plan.placing();
    plan.forget_marked();
    if let (Some(reference), Some(placing)) = (&mut plan.reference, placing) {
        let middle = placing.to_canvas(reference.size().centre());
        reference.place = plan::Place::At { pixel: placing.pixel(), middle };
    }
    plan.landmarks = landmarks;
    plan
}

#[cfg(test)]
mod tests {
    use super::*;
    use plan::{BodyPoint, Canvas, HeadMarks, Length, PhotoPoint, PhotoSize, Place, Reference, Unit};

    #[test]
    fn a_mouth_painted_too_wide_and_an_eye_too_low_show_in_the_proportions() {
        let mut plan = Plan::new(Canvas::nominal(Length::mm(300.0), Length::mm(400.0)), Unit::Millimetre);
        let mut reference = Reference::fitted(PhotoSize { width: 3000, height: 4000 });
        reference.head =
            Some(HeadMarks { crown: PhotoPoint::new(1500.0, 500.0), chin: PhotoPoint::new(1500.0, 2500.0) });
        reference.place = Place::Head { height: Length::mm(200.0), middle: None };
        plan.reference = Some(reference);
        for (point, x, y) in [
            (BodyPoint::RightEyeOuter, 1200.0, 1500.0),
            (BodyPoint::RightEyeInner, 1400.0, 1500.0),
            (BodyPoint::LeftEyeInner, 1600.0, 1500.0),
            (BodyPoint::LeftEyeOuter, 1800.0, 1500.0),
            (BodyPoint::RightMouthCorner, 1300.0, 2100.0),
            (BodyPoint::LeftMouthCorner, 1700.0, 2100.0),
        ] {
            plan.place_landmark(Landmark { name: point.into(), at: PhotoPoint::new(x, y) }).unwrap();
        }
        let placing = plan.placing().unwrap();
        let all = plan.all_landmarks();
        let painted: Vec<(&str, CanvasPoint)> = all
            .iter()
            .map(|landmark| {
                let at = placing.to_canvas(landmark.at);
                let (right, down) = match landmark.name.as_str() {
                    "left corner of the mouth" => (4.0, 0.0),
                    "outer corner of the left eye" => (0.0, 3.0),
                    _ => (0.0, 0.0),
                };
                (landmark.name.as_str(), at.moved(Length::mm(right), Length::mm(down)))
            })
            .collect();
        let found = ProportionCheck::of(&plan, &painted);
        let told = |what: &str| {
            let one = found.iter().find(|one| one.what.contains(what)).unwrap();
            (one.reference.as_str(), one.painting.as_str(), one.differs)
        };
        assert_eq!(told("width of the mouth"), ("2.00", "2.19", true));
        assert_eq!(told("tilt of the eye line"), ("level", "2.9°, higher at the picture’s left", true));
        assert!(!told("tilt of the mouth").2);
        assert!(ProportionCheck::of(&plan, &[]).is_empty());
    }
}
