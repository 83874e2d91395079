//! `mahlstick demo`: the packet of the demo painting.
//!
//! The demo is a plaster cast of a harbour pilot's head, rendered by the crate `cast`, so its landmarks are known exactly.

use anyhow::{Context, anyhow};
use painting::{Document, PhotoId};
use photo::Photo;
use plan::{
    Canvas, CanvasPoint, CanvasRect, DetailBox, Grid, HeadMarks, Landmark, Length, Measure, PhotoPoint,
    Place, Plan, Reference, Unit,
};
use serde::Deserialize;
use sheets::PacketOptions;
use studio::DemoCheck;

use crate::Failure;
use crate::args::DemoArguments;
use crate::packet_command::{photo_size, today, write_packet};

const PHOTO: &[u8] = include_bytes!("../../../demo/harbour-pilot.jpg");
/// The canvas ruled, with two lines wrong, and the painting half done: each photo, and what is measured in it.
const CHECKS: [DemoCheck; 2] = [
    DemoCheck {
        photo: include_bytes!("../../../demo/ruled-canvas.jpg"),
        report: include_str!("../../../demo/ruled-canvas-check.json"),
    },
    DemoCheck {
        photo: include_bytes!("../../../demo/half-done.jpg"),
        report: include_str!("../../../demo/half-done-check.json"),
    },
];
const LANDMARKS: &str = include_str!("../../../demo/harbour-pilot.json");

/// Writes the demo's packet and says what it wrote.
pub(crate) fn run(arguments: &DemoArguments) -> Result<(), Failure> {
    let photo = Photo::from_bytes(PHOTO.to_vec(), "harbour-pilot.jpg")?;
    let plan = plan(&photo)?;
    let mut options = PacketOptions::of_plan("The harbour pilot", &plan);
    options.paper = arguments.paper;
    options.date = Some(today());
    options.focal_35mm = photo.camera().focal_length_35mm;
    write_packet(&plan, Some(&photo), &options, &arguments.output)
}

/// The demo as a painting on the studio's shelf.
pub(crate) fn for_the_shelf() -> Result<studio::Demo, Failure> {
    let photo = Photo::from_bytes(PHOTO.to_vec(), "harbour-pilot.jpg")?;
    let document = Document {
        title: "The harbour pilot".to_owned(),
        photo: Some(PhotoId::of(PHOTO)),
        plan: plan(&photo)?,
    };
    Ok(studio::Demo { document, photo: PHOTO.to_vec(), checks: CHECKS.to_vec() })
}

/// A canvas of 12 x 16 in with the head 8 in high, a detail box around eyes, nose and mouth, every landmark that is seen,
/// and some measures in eye-widths.
fn plan(photo: &Photo) -> anyhow::Result<Plan> {
    let landmarks: KnownLandmarks = serde_json::from_str(LANDMARKS).context("the demo's landmarks")?;
    let mut plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(16.0)), Unit::Inch);
    let mut reference = Reference::fitted(photo_size(photo));
    reference.head = Some(HeadMarks { crown: landmarks.point("crown")?, chin: landmarks.point("chin")? });
    let middle = CanvasPoint::new(Length::inches(6.0), Length::inches(6.5));
    reference.place = Place::Head { height: Length::inches(8.0), middle: Some(middle) };
    plan.reference = Some(reference);
    let face = CanvasRect::new(
        CanvasPoint::new(Length::inches(3.5), Length::inches(5.0)),
        Length::inches(5.0),
        Length::inches(5.0),
    );
    plan.details.push(DetailBox::new("Face".to_owned(), face, Grid::default()));
    for KnownLandmark { name, x, y, .. } in landmarks.landmarks.iter().filter(|landmark| landmark.visible) {
        let at = PhotoPoint::new(*x, *y);
        // Crown and chin are the head's own and would hold the photo where it lies.
        if !matches!(name.as_str(), "crown" | "chin") {
            plan.place_landmark(Landmark { name: name.as_str().into(), at })?;
        }
    }
    for (name, from, to) in MEASURES {
        let measure = Measure::new(name, landmarks.point(from)?, landmarks.point(to)?);
        let on = |landmark: &str| Some(landmark.into()).filter(|name| plan.landmark(name).is_some());
        let (from_landmark, to_landmark) = (on(from), on(to));
        plan.keep_measure(Measure { from_landmark, to_landmark, ..measure })?;
    }
    plan.unit_measure = Some(MEASURES[0].0.to_owned());
    plan.check()?;
    Ok(plan)
}

/// The demo's measures, each from one landmark to another; the first is the unit.
const MEASURES: [(&str, &str, &str); 4] = [
    ("eye", "left eye, inner corner", "left eye, outer corner"),
    ("head", "crown", "chin"),
    ("eye to eye", "right eye, pupil", "left eye, pupil"),
    ("mouth", "right corner of the mouth", "left corner of the mouth"),
];

#[derive(Deserialize)]
struct KnownLandmarks {
    landmarks: Vec<KnownLandmark>,
}

#[derive(Deserialize)]
struct KnownLandmark {
    name: String,
    x: f64,
    y: f64,
    visible: bool,
}

impl KnownLandmarks {
    fn point(&self, name: &str) -> anyhow::Result<PhotoPoint> {
        let found = self.landmarks.iter().find(|landmark| landmark.name == name);
        let landmark = found.ok_or_else(|| anyhow!("The demo has no landmark “{name}”."))?;
        Ok(PhotoPoint::new(landmark.x, landmark.y))
    }
}

#[cfg(test)]
mod tests {
    use check::{CanvasPhoto, GridCheckWishes, ImagePoint, Outline, Painted, Report, VALUES_SIDE};
    use easel_photo::Truth;
    use easel_photo::demo::{half_done, ruled};
    use sheets::reference_picture;

    use super::*;

    fn measured(photo: &[u8], truth: &Truth, reference: &Photo, plan: &Plan) -> Report {
        let photo = Photo::from_bytes(photo.to_vec(), "canvas.jpg").unwrap();
        let (picture, seen) = CanvasPhoto::decoded(&photo).unwrap();
        let outline = Outline::given(truth.corners_px().map(ImagePoint::from));
        let small =
            reference_picture(reference, plan.reference.as_ref().unwrap(), Some(VALUES_SIDE)).unwrap();
        let wishes = GridCheckWishes::default();
        Report::measured((&picture, &seen), &outline, (plan, Some(&small)), wishes, &|_| true).unwrap()
    }

    fn ruled_canvas(photo: &Photo, plan: &Plan) -> Report {
        measured(CHECKS[0].photo, &ruled().truth(), photo, plan)
    }

    /// Each landmark set within a pixel and a half of where it is painted.
    fn half_done_painting(photo: &Photo, plan: &Plan) -> Report {
        let at = |name: &str| plan.landmark(&name.into()).unwrap();
        let HeadMarks { crown, chin } = plan.reference.unwrap().head.unwrap();
        let painting = half_done(photo.upright().unwrap(), [crown, chin, at("left pupil")]).unwrap();
        let (truth, placing) = (painting.scene.truth(), plan.placing().unwrap());
        let slip = |number: usize| (number * 37 % 7) as f64 / 2.0 - 1.5;
        let painted = plan.all_landmarks().into_iter().enumerate().map(|(number, landmark)| {
            let [x, y] = truth.px_of(painting.portrait.painted_at([landmark.at.x, landmark.at.y]));
            Painted {
                name: landmark.name.to_string(),
                planned: placing.to_canvas(landmark.at),
                at_px: ImagePoint::new(x + slip(number), y + slip(number + 3)),
                sd_px: 1.5,
            }
        });
        let mut report = measured(CHECKS[1].photo, &truth, photo, plan);
        report.take_painted(painted.collect(), plan).unwrap();
        report
    }

    /// With `RENEW_DEMO` in the environment they are written anew.
    #[test]
    fn the_checks_that_the_demo_carries_are_what_is_measured() {
        let photo = Photo::from_bytes(PHOTO.to_vec(), "harbour-pilot.jpg").unwrap();
        let plan = plan(&photo).unwrap();
        let now = [ruled_canvas(&photo, &plan), half_done_painting(&photo, &plan)];
        for ((report, name), kept) in now.iter().zip(["ruled-canvas", "half-done"]).zip(CHECKS) {
            if std::env::var_os("RENEW_DEMO").is_some() {
                let file = format!("{}/../../demo/{name}-check.json", env!("CARGO_MANIFEST_DIR"));
                std::fs::write(file, serde_json::to_string_pretty(report).unwrap() + "\n").unwrap();
                continue;
            }
            let kept: Report = serde_json::from_str(kept.report).unwrap();
            assert_eq!(kept.lines.len(), report.lines.len());
            for (kept, now) in kept.lines.iter().zip(&report.lines) {
                assert_eq!((&kept.name, kept.verdict, kept.seen), (&now.name, now.verdict, now.seen));
                let apart = kept.offset_mm.zip(now.offset_mm).map_or(0.0, |(kept, now)| kept - now);
                assert!(apart.abs() < 0.1, "{kept:?} {now:?}");
            }
            assert_eq!(kept.drift.is_some(), report.drift.is_some());
            if let (Some(kept), Some(now)) = (&kept.drift, &report.drift) {
                assert!((kept.whole.size_percent - now.whole.size_percent).abs() < 0.1);
                assert_eq!(kept.own[0].name, now.own[0].name);
                assert_eq!(kept.set_aside, now.set_aside);
            }
            let boxes = |report: &Report| report.values.as_ref().map(|values| values.boxes.len());
            assert_eq!(boxes(&kept), boxes(report));
        }
    }
}
