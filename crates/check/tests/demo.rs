//! The demo's two photos, from the committed files to what is told of them, against what is true of them.

#![expect(clippy::unwrap_used, reason = "a test that cannot be set up fails")]

use std::path::{Path, PathBuf};

use check::{
    COMPARED_SIDE, CanvasPhoto, Expected, GridCheck, GridCheckWishes, ImagePoint, Outline, Painted,
    ReferenceLight, Report, ValueCheck, Verdict, find_outlines, refuse_painting,
};
use easel_photo::demo::{HalfDone, TOO_LARGE, WRONG_BY, half_done, ruled};
use photo::{Interpolation, Photo};
use plan::{BodyPoint, Landmark, PhotoPoint, Plan};
use serde_json::Value;

fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name)
}

/// The cast's landmarks, by the trade's names, as far as they are to be seen.
fn landmarks() -> Vec<Landmark> {
    let file: Value = serde_json::from_slice(&std::fs::read(demo("harbour-pilot.json")).unwrap()).unwrap();
    let seen = file["landmarks"].as_array().unwrap().iter().filter(|landmark| landmark["visible"] == true);
    seen.map(|landmark| {
        let at = PhotoPoint::new(landmark["x"].as_f64().unwrap(), landmark["y"].as_f64().unwrap());
        Landmark { name: BodyPoint::named(landmark["name"].as_str().unwrap()).unwrap().into(), at }
    })
    .collect()
}

fn at(point: BodyPoint) -> PhotoPoint {
    landmarks().into_iter().find(|landmark| landmark.name == point.into()).unwrap().at
}

fn painting() -> HalfDone {
    let reference = Photo::open(&demo("harbour-pilot.jpg")).unwrap().upright().unwrap();
    half_done(reference, [at(BodyPoint::Crown), at(BodyPoint::Chin), at(BodyPoint::LeftPupil)]).unwrap()
}

/// The first outline proposed, which must be the canvas's.
fn proposed(
    photo: &CanvasPhoto,
    plan: &Plan,
    light: Option<&ReferenceLight>,
    truth: [[f64; 2]; 4],
) -> Outline {
    let light = light.map(|light| |point| light.at(point));
    let lines = plan.grid_lines();
    let expected = Expected {
        size: plan.canvas.nominal,
        lines: &lines,
        reference: light.as_ref().map(|light| light as _),
    };
    let found = find_outlines(photo, &expected)[0];
    let worst =
        found.corners.iter().zip(truth).map(|(corner, truth)| corner.distance_to(ImagePoint::from(truth)));
    let worst = worst.fold(0.0, f64::max);
    // 60 pixels of 12 megapixels, as the proposals are measured.
    assert!(worst < 36.0, "{worst} px");
    found
}

fn measured(
    file: &str,
    plan: &Plan,
    light: Option<&ReferenceLight>,
    truth: [[f64; 2]; 4],
) -> (photo::Picture, Report) {
    let photo = Photo::open(&demo(file)).unwrap();
    let picture = photo.upright().unwrap();
    let canvas_photo = CanvasPhoto::new(&picture, photo.camera()).unwrap();
    let outline = Outline::confirmed(proposed(&canvas_photo, plan, light, truth).corners);
    let check = GridCheck::of(&canvas_photo, plan, &outline, GridCheckWishes::default(), &|_| true).unwrap();
    let report = Report::of(&check, &outline, plan);
    (picture, report)
}

#[test]
fn the_two_lines_that_were_drawn_wrong_are_told_and_no_other() {
    let mut plan = painting().plan;
    plan.reference = None;
    let (_, report) = measured("ruled-canvas.jpg", &plan, None, ruled().truth().corners_px());
    let off: Vec<&str> = report
        .worst_first()
        .iter()
        .filter(|line| line.verdict == Verdict::Off)
        .map(|line| line.name.as_str())
        .collect();
    assert_eq!(off.len(), 2, "{off:?}");
    for line in &report.lines {
        let (start, end) = match line.name.as_str() {
            "vertical at 9 in" => (WRONG_BY, WRONG_BY),
            "horizontal at 8 in" => (0.0, WRONG_BY),
            _ => (0.0, 0.0),
        };
        assert!(
            (line.start_mm.unwrap() - start).abs() < 0.4 && (line.end_mm.unwrap() - end).abs() < 0.4,
            "{line:?}"
        );
        assert_eq!(line.verdict, if start + end > 0.0 { Verdict::Off } else { Verdict::True }, "{line:?}");
    }
}

/// Each landmark set within a pixel and a half of where it is painted.
fn set(painting: &HalfDone) -> Vec<Painted> {
    let (truth, placing) = (painting.scene.truth(), painting.plan.placing().unwrap());
    let click = |number: usize| f64::from((number * 37 % 7) as u8) / 2.0 - 1.5;
    let set = landmarks().into_iter().enumerate().map(|(number, landmark)| {
        let PhotoPoint { x, y } = landmark.at;
        let [px, py] = truth.px_of(painting.portrait.painted_at([x, y]));
        Painted {
            name: landmark.name.to_string(),
            planned: placing.to_canvas(landmark.at),
            at_px: ImagePoint::new(px + click(number), py + click(number + 3)),
            sd_px: 1.5,
        }
    });
    set.collect()
}

#[test]
fn the_head_is_told_three_per_cent_too_large_and_the_left_eye_an_eighth_low() {
    let painting = painting();
    let mut plan = painting.plan.clone();
    for landmark in landmarks() {
        plan.place_landmark(landmark).unwrap();
    }
    let reference = Photo::open(&demo("harbour-pilot.jpg")).unwrap();
    let light = ReferenceLight::of(&reference.preview(COMPARED_SIDE).unwrap(), &plan).unwrap();
    let (picture, mut report) =
        measured("half-done.jpg", &plan, Some(&light), painting.scene.truth().corners_px());
    report.take_painted(set(&painting), &plan).unwrap();
    let drift = report.drift.as_ref().unwrap();
    let too_large = 100.0 * (TOO_LARGE - 1.0);
    assert!(
        (drift.whole.size_percent - too_large).abs() < drift.whole.size_95_percent.max(0.3),
        "{:?}",
        drift.whole
    );
    assert!(drift.whole.turn_deg.abs() < 0.3, "{:?}", drift.whole);
    let first = &drift.own[0];
    assert_eq!(first.name, "left pupil");
    assert!(
        first.stands_out && (first.down_mm - WRONG_BY).abs() < 0.8 && first.right_mm.abs() < 0.6,
        "{first:?}"
    );
    assert!(drift.set_aside.contains(&first.name), "{:?}", drift.set_aside);
    let words = first.in_words("1/16".parse().unwrap(), report.nose());
    assert!(words.starts_with("1/8 in low, give or take "), "{words}");
    // Only the left eye with what was drawn along stands out.
    let others: Vec<&str> =
        drift.own.iter().filter(|own| own.stands_out).map(|own| own.name.as_str()).collect();
    assert!(
        others.iter().all(|name| name.contains("left eye")
            || name.contains("left pupil")
            || name.contains("left brow")),
        "{others:?}"
    );
    let tilt = report.proportions.iter().find(|one| one.what == "tilt of the eye line").unwrap();
    assert!(tilt.differs, "{tilt:?}");

    let values = ValueCheck::of(&picture, &report.map, &reference.preview(800).unwrap(), &plan).unwrap();
    // Half done: the covered middle is like the reference, the bare corners are too light.
    let box_of = |name: &str| values.boxes.iter().find(|one| one.name == name).unwrap().too_light();
    assert!(box_of("B2").abs() < 1.0, "{values:?}");
    assert!(report.shows_paint());
    let held = |picture| refuse_painting(picture, &report.map, &reference.preview(800).unwrap(), &plan);
    assert_eq!(held(&picture), Ok(()));
}

#[test]
fn a_painting_photographed_in_a_mirror_is_told_by_its_reference() {
    let painting = painting();
    let photo = Photo::open(&demo("half-done.jpg")).unwrap();
    let taken = photo.upright().unwrap();
    let width = f64::from(taken.width());
    let over = [[-1.0, 0.0, width], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    let mirrored = taken.warped(over, taken.width(), taken.height(), Interpolation::Bilinear);
    let canvas_photo = CanvasPhoto::new(&mirrored, photo.camera()).unwrap();
    let [a, b, c, d] = painting.scene.truth().corners_px().map(|[x, y]| ImagePoint::new(width - x, y));
    let outline = Outline::given([b, a, d, c]);
    let check = GridCheck::of(&canvas_photo, &painting.plan, &outline, GridCheckWishes::default(), &|_| true)
        .unwrap();
    let reference = Photo::open(&demo("harbour-pilot.jpg")).unwrap().preview(800).unwrap();
    let refused = refuse_painting(&mirrored, &check.map, &reference, &painting.plan).unwrap_err();
    assert!(refused.to_string().contains("seems to be mirrored in the photo"), "{refused}");
}
