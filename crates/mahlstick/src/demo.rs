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

use crate::Failure;
use crate::args::DemoArguments;
use crate::packet_command::{photo_size, today, write_packet};

const PHOTO: &[u8] = include_bytes!("../../../demo/harbour-pilot.jpg");
const LANDMARKS: &str = include_str!("../../../demo/harbour-pilot.json");

/// Writes the demo's packet and says what it wrote.
pub(crate) fn run(arguments: &DemoArguments) -> Result<(), Failure> {
    let photo = Photo::from_bytes(PHOTO.to_vec(), "harbour-pilot.jpg")?;
    let plan = plan(&photo)?;
    let mut options = PacketOptions::new("The harbour pilot", arguments.paper);
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
    Ok(studio::Demo { document, photo: PHOTO.to_vec() })
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
    plan.details.push(DetailBox { name: "Face".to_owned(), rect: face, grid: Grid::default() });
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
