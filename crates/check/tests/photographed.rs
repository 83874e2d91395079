//! Small rendered photos, from pixels to verdicts. Accuracy over many photos is what `examples/accuracy.rs` reports.

#![expect(clippy::unwrap_used, reason = "a test that cannot be set up fails")]

use std::sync::{LazyLock, Mutex};

use check::{
    CanvasPhoto, CanvasShape, GridCheck, GridCheckWishes, ImagePoint, LineReport, Outline, Pose, Report,
    Seen, Unfit, Verdict,
};
use easel_photo::{Background, Scene};
use photo::{CameraFacts, Picture};
use plan::{Canvas, CanvasPoint, CanvasRect, DetailBox, Direction, Grid, Length, Plan, Unit};

const WIDTH: f64 = 250.0;
const HEIGHT: f64 = 300.0;

/// A canvas of 250 x 300 mm with quarters ruled, the middle vertical 2 mm too far right, photographed at 3 megapixels.
fn scene() -> Scene {
    let mut scene = Scene::new(WIDTH, HEIGHT, 5).sized(1512, 2016).filling(0.85);
    scene.background = Background::Plain(0.2);
    scene.camera.tilt = 9.0;
    scene.camera.k1 = -0.05;
    let scene = scene.filling(0.85);
    let verticals = [0.25, 0.5, 0.75].map(|share| scene.vertical(WIDTH * share, 0.25));
    let horizontals = [0.25, 0.5, 0.75].map(|share| scene.horizontal(HEIGHT * share, 0.25));
    let [first, second, third] = verticals;
    scene.with_lines([first, second.moved(2.0, 0.0), third]).with_lines(horizontals)
}

fn plan() -> Plan {
    let mut plan = Plan::new(Canvas::nominal(Length::mm(WIDTH), Length::mm(HEIGHT)), Unit::Centimetre);
    plan.grid = Grid::parts(8, 4);
    plan
}

/// The photo of [`scene`], with where its corners are.
static ORDINARY: LazyLock<(CanvasPhoto, [ImagePoint; 4])> = LazyLock::new(|| taken(&scene()));

fn taken(scene: &Scene) -> (CanvasPhoto, [ImagePoint; 4]) {
    let shot = scene.shoot();
    let corners = shot.truth.corners_px().map(ImagePoint::from);
    let picture = Picture::from_rgb(shot.width, shot.height, shot.rgb).unwrap();
    let facts = CameraFacts { focal_length_35mm: Some(26.0), ..CameraFacts::default() };
    (CanvasPhoto::new(&picture, &facts).unwrap(), corners)
}

fn checked(photo: &CanvasPhoto, corners: [ImagePoint; 4], plan: &Plan) -> Result<GridCheck, Unfit> {
    GridCheck::of(photo, plan, &Outline::given(corners), GridCheckWishes::default(), &|_| true)
}

#[test]
fn a_line_two_millimetres_off_is_told_and_the_others_are_true() {
    let scene = scene();
    let (photo, corners) = &*ORDINARY;
    let corners = *corners;
    let slipped = corners.map(|corner| ImagePoint::new(corner.x + 3.0, corner.y - 2.0));
    let check = checked(photo, slipped, &plan()).unwrap();
    for line in &check.lines {
        let drawn = (line.planned_mm / WIDTH * 8.0).round() as i32 % 2 == 0
            || line.direction == plan::Direction::Horizontal;
        assert_eq!(line.found, drawn, "{line:?}");
        if let (true, Some(place)) = (drawn, line.place) {
            let wrong = line.name == "vertical at 12.5 cm";
            let truth = if wrong { 2.0 } else { 0.0 };
            assert!((place.offset_mm - truth).abs() < 0.25, "{line:?}");
            assert_eq!(line.verdict, if wrong { Verdict::Off } else { Verdict::True }, "{line:?}");
        }
    }
    assert!(check.unplanned.is_empty(), "{:?}", check.unplanned);
    let truth = scene.truth();
    for mm in [[10.0, 10.0], [240.0, 20.0], [125.0, 150.0], [20.0, 280.0]] {
        let place = check.map.to_canvas(ImagePoint::from(truth.px_of(mm))).unwrap();
        assert!(place.distance_to(CanvasPoint::mm(mm[0], mm[1])) < Length::mm(0.35), "{place:?}");
    }
    let report = Report::of(&check, &Outline::given(corners), &plan());
    let words = report.worst_first()[0].in_words("1/16".parse().unwrap());
    assert!(
        words.starts_with("off by 3/32 in (2.") && words.contains(" mm) to the right, give or take"),
        "{words}"
    );
    let json = serde_json::to_value(&report).unwrap();
    let read: Report = serde_json::from_value(json.clone()).unwrap();
    assert_eq!(read.lines.len(), report.lines.len());
    assert_eq!(read.lines[3].verdict, report.lines[3].verdict);
    assert_eq!(json["outline"], "given");
    assert_eq!(json["outline_px"][0].as_array().unwrap().len(), 2);
    assert_eq!(json["lines"][3]["verdict"], "off");
    assert!(json["lines"][3]["offset_95_mm"].as_f64().unwrap() > 0.05);
}

#[test]
fn a_line_that_nobody_planned_is_told() {
    let scene = scene();
    let extra = scene.vertical(77.0, 0.25);
    let (photo, corners) = taken(&scene.with_lines([extra]));
    let mut plan = plan();
    plan.grid = Grid::parts(4, 4);
    let check = checked(&photo, corners, &plan).unwrap();
    assert_eq!(check.unplanned.len(), 1, "{:?}", check.unplanned);
    assert!((check.unplanned[0].from.x.to_mm() - 77.0).abs() < 0.4);
}

#[test]
fn a_canvas_the_other_way_round_is_told_by_the_lines_of_its_detail_boxes() {
    let (left, right, top, bottom) = (80.0, 110.0, 90.0, 130.0);
    let ruled = |scene: Scene| {
        let verticals = [left, right, f64::midpoint(left, right)].map(|x| scene.vertical(x, 0.25));
        let horizontals = [top, bottom, f64::midpoint(top, bottom)].map(|y| scene.horizontal(y, 0.25));
        scene.with_lines(verticals).with_lines(horizontals)
    };
    let (photo, [a, b, c, d]) = taken(&ruled(scene()));
    let boxed = |x: f64, y: f64| {
        let mut plan = plan();
        plan.grid = Grid::parts(4, 4);
        let rect = CanvasRect::new(CanvasPoint::mm(x, y), Length::mm(right - left), Length::mm(bottom - top));
        plan.details = vec![DetailBox::new("Eye".to_owned(), rect, Grid::parts(2, 2))];
        plan
    };
    let upright = boxed(left, top);
    assert!(checked(&photo, [a, b, c, d], &upright).unwrap().lines.iter().all(|line| line.found));
    let upside_down = checked(&photo, [c, d, a, b], &upright).unwrap_err();
    assert!(upside_down.to_string().contains("seems to be upside down"), "{upside_down}");
    // The photo is the right one of the plan mirrored.
    let mirrored = checked(&photo, [a, b, c, d], &boxed(WIDTH - right, top)).unwrap_err();
    assert!(mirrored.to_string().contains("seems to be mirrored in"), "{mirrored}");
}

#[test]
fn a_detail_box_that_is_not_ruled_yet_does_not_speak_of_paint() {
    let (photo, corners) = &*ORDINARY;
    let mut plan = plan();
    plan.grid = Grid::parts(4, 4);
    let rect = CanvasRect::new(CanvasPoint::mm(80.0, 90.0), Length::mm(60.0), Length::mm(50.0));
    plan.details = vec![DetailBox::new("Eye".to_owned(), rect, Grid::parts(4, 4))];
    let bare = checked(photo, *corners, &plan).unwrap();
    assert!(bare.warnings.is_empty(), "{:?}", bare.warnings);
}

/// Beside the middle vertical, where it is drawn and should not be, a detail box has a line of its own.
#[test]
fn a_line_that_is_off_is_told_also_where_a_box_has_a_line_near_it() {
    let (photo, corners) = &*ORDINARY;
    for (box_line, from_left) in [("at", 107.0), ("short of", 104.0)] {
        let mut plan = plan();
        let rect = CanvasRect::new(CanvasPoint::mm(from_left, 60.0), Length::mm(40.0), Length::mm(30.0));
        plan.details = vec![DetailBox::new("Eye".to_owned(), rect, Grid::parts(2, 2))];
        let check = checked(photo, *corners, &plan).unwrap();
        let line = check.lines.iter().find(|line| line.name == "vertical at 12.5 cm").unwrap();
        assert_eq!(line.verdict, Verdict::Off, "{box_line}: {line:?}");
        assert!((line.place.unwrap().offset_mm - 2.0).abs() < 0.25, "{box_line}: {line:?}");
        for of_box in check.lines.iter().filter(|line| line.in_detail) {
            assert_ne!(of_box.seen, Seen::Found, "no box is ruled: {of_box:?}");
        }
    }
}

/// A line was drawn anew and the old one left: which is meant, no photo tells.
#[test]
fn two_lines_beside_each_other_are_told_as_two() {
    let redrawn = scene();
    let again = redrawn.vertical(WIDTH / 4.0, 0.25).moved(3.0, 0.0);
    let (photo, corners) = taken(&redrawn.with_lines([again]));
    let check = checked(&photo, corners, &plan()).unwrap();
    let report = Report::of(&check, &Outline::given(corners), &plan());
    let upright = |line: &&LineReport| line.direction == Direction::Vertical;
    let line =
        report.lines.iter().filter(upright).find(|line| (line.planned_mm - WIDTH / 4.0).abs() < 0.1).unwrap();
    assert_eq!(line.verdict, Verdict::CannotTell, "{line:?}");
    let words = line.in_words("mm".parse().unwrap());
    assert!(words.contains("two lines run here") && words.contains("rub out the wrong one"), "{words}");
    assert!(words.contains("in its place") || words.contains("off by 0."), "{words}");
    assert!(words.contains("off by 3.") || words.contains("off by 2.9"), "{words}");
    assert!(report.lines.iter().filter(|other| other.other_mm.is_some()).count() == 1);
}

/// Where the photo tells nothing of its lens, the canvas's shape is less sure, and why is said.
#[test]
fn the_shape_is_not_told_by_a_photo_that_does_not_say_how_wide_its_lens_is() {
    let mut slanted = scene();
    slanted.camera.tilt = 6.0;
    let shot = slanted.shoot();
    let corners = shot.truth.corners_px().map(ImagePoint::from);
    let picture = Picture::from_rgb(shot.width, shot.height, shot.rgb).unwrap();
    let told = |focal_length_35mm| {
        let facts = CameraFacts { focal_length_35mm, ..CameraFacts::default() };
        let check = checked(&CanvasPhoto::new(&picture, &facts).unwrap(), corners, &plan()).unwrap();
        (check.shape.wider_95_mm, check.shape.in_words("1/16".parse().unwrap()))
    };
    let ((sure, words), (unsure, no_lens)) = (told(Some(26.0)), told(None));
    assert!(unsure > 3.0 * sure, "{unsure} {sure}");
    assert!(words.contains("as wide for its height as planned"), "{words}");
    assert!(no_lens.contains("does not say how wide its lens is"), "{no_lens}");
}

#[test]
fn wrong_corners_give_a_reason_and_no_result() {
    let (photo, corners) = &*ORDINARY;
    let [a, b, c, d] = *corners;
    let refused = |corners| checked(photo, corners, &plan()).unwrap_err();
    assert_eq!(refused([b, a, d, c]), Unfit::Mirrored);
    assert_eq!(refused([a, c, b, d]), Unfit::NoOutline);
    assert_eq!(refused([a, a.towards(c, 0.5), c, d]), Unfit::NoOutline);
    assert!(matches!(refused([b, c, d, a]), Unfit::OtherShape { .. }));
    assert_eq!(refused([ImagePoint::new(-5.0, 3.0), b, c, d]), Unfit::CornerOutside);
    assert_eq!(refused([ImagePoint::new(0.0, a.y), b, c, d]), Unfit::CutOff);
    let near = |corner: ImagePoint| a.towards(corner, 0.15);
    assert_eq!(refused([a, near(b), near(c), near(d)]), Unfit::CanvasTooSmall);
    assert!(matches!(refused([a, b, c.towards(b, 0.3), d]), Unfit::Tilted { .. } | Unfit::OtherShape { .. }));
    let stopped =
        GridCheck::of(photo, &plan(), &Outline::given(*corners), GridCheckWishes::default(), &|done| {
            done < 0.5
        });
    assert_eq!(stopped.unwrap_err(), Unfit::Stopped);
}

#[test]
fn how_far_it_is_is_told_in_small_steps() {
    let (photo, corners) = &*ORDINARY;
    let told = Mutex::new(Vec::new());
    let going_on = |share| {
        told.lock().unwrap().push(share);
        true
    };
    GridCheck::of(photo, &plan(), &Outline::given(*corners), GridCheckWishes::default(), &going_on).unwrap();
    let mut told = told.into_inner().unwrap();
    told.sort_by(f64::total_cmp);
    assert_eq!((told[0], told[told.len() - 1]), (0.0, 1.0));
    let longest = told.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
    assert!(longest < 0.3, "a step of {longest} among {}", told.len());
    assert!(told.len() > 20, "only {} steps", told.len());
}

#[test]
fn a_canvas_on_a_wall_of_its_own_tone_is_refused() {
    let mut scene = scene();
    scene.background = Background::OwnTone(0.0);
    scene.canvas.fold = [0.0; 4];
    let (photo, corners) = taken(&scene);
    assert!(matches!(checked(&photo, corners, &plan()), Err(Unfit::EdgeNotSeen { .. })));
}

#[test]
fn a_bare_canvas_has_no_lines_to_be_found() {
    let mut scene = scene();
    scene.lines.clear();
    let (photo, corners) = taken(&scene);
    let check = checked(&photo, corners, &plan()).unwrap();
    assert!(check.lines.iter().all(|line| line.seen != Seen::Found && line.verdict == Verdict::CannotTell));
}

#[test]
fn the_shape_is_told_from_a_square_on_photo() {
    let mut square = scene();
    square.camera.tilt = 1.0;
    let (photo, corners) = taken(&square.filling(0.8));
    let canvas = plan().canvas.outline();
    let pose = Pose::from_edges(&photo, &canvas, &Outline::given(corners), None).unwrap();
    let shape = CanvasShape::of(&photo, &pose, &canvas);
    assert!(shape.told && shape.wider_mm.abs() < 0.8 && shape.leans_mm.abs() < 0.8, "{shape:?}");
}

#[test]
fn a_slanted_photo_does_not_claim_to_know_the_canvas_shape() {
    let mut slanted = scene();
    slanted.camera.tilt = 18.0;
    let (photo, corners) = taken(&slanted.filling(0.8));
    let canvas = plan().canvas.outline();
    let pose = Pose::from_edges(&photo, &canvas, &Outline::given(corners), None).unwrap();
    let shape = CanvasShape::of(&photo, &pose, &canvas);
    assert!((shape.tilt.to_degrees() - 18.0).abs() < 3.0, "{shape:?}");
    assert!(!shape.told && shape.in_words("mm".parse().unwrap()).contains("diagonals"), "{shape:?}");
}
