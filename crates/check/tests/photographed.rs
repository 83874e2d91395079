//! Small rendered photos, from pixels to verdicts. Accuracy over many photos is what `examples/accuracy.rs` reports.

#![expect(clippy::unwrap_used, reason = "a test that cannot be set up fails")]

use std::sync::{LazyLock, Mutex};

use check::{
    CanvasPhoto, CanvasShape, GridCheck, GridCheckWishes, ImagePoint, LineReport, Outline, PlanChange, Pose,
    Report, Seen, Unfit, Verdict,
};
use easel_photo::{Background, DrawnLine, Scene};
use photo::{CameraFacts, Picture};
use plan::{Canvas, CanvasPoint, CanvasRect, DetailBox, Direction, Grid, Length, Measured, Plan, Side, Unit};

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

/// The canvas as it was measured, with what is ruled on it in proportion along each real side.
#[test]
fn on_a_canvas_out_of_square_every_line_is_found_and_none_that_is_not_there() {
    for (longer_mm, parts, leans) in
        [(3.0, 8, "to the right"), (-7.0, 4, "to the left"), (7.0, 4, "to the right")]
    {
        let mut plan = plan();
        plan.grid = Grid::parts(parts, parts);
        let square = Measured::rectangle(Length::mm(WIDTH), Length::mm(HEIGHT));
        let (down, up) = (square.down + Length::mm(longer_mm), square.up - Length::mm(longer_mm));
        plan.canvas.measured = Some(Measured { down, up, ..square });
        let rect = CanvasRect::new(CanvasPoint::mm(70.0, 40.0), Length::mm(60.0), Length::mm(50.0));
        plan.details = vec![DetailBox::new("Eyes".to_owned(), rect, Grid::parts(3, 2))];
        let place = |point: CanvasPoint| [point.x.to_mm(), point.y.to_mm()];
        let outline = plan.canvas.outline();
        let mut scene = scene();
        scene.lines.clear();
        scene.canvas.corners = outline.corners.map(place);
        let pencil = |from, to| DrawnLine::pencil(place(from), place(to), 0.25);
        let of_box = plan.details[0].lines();
        let [a, b, c, d] = rect.corners();
        let ruled = plan.grid_lines().into_iter().chain(of_box).map(|line| pencil(line.from, line.to));
        let boxed = [(a, b), (b, c), (c, d), (d, a)].map(|(from, to)| pencil(from, to));
        let (photo, corners) = taken(&scene.with_lines(ruled).with_lines(boxed).filling(0.8));
        let check = checked(&photo, corners, &plan).unwrap();
        for line in &check.lines {
            assert_eq!(line.verdict, Verdict::True, "{longer_mm}, {parts}: {line:?}");
        }
        assert!(check.unplanned.is_empty(), "{longer_mm}, {parts}: {:?}", check.unplanned);
        // It is as it was measured, which is not square.
        let words = check.shape.in_words("mm".parse().unwrap());
        assert!(
            words.contains("leans as you measured it") || words.contains("has the shape that you measured"),
            "{words}"
        );
        assert!(!words.contains("square"), "{words}");
        // Taken for a square one it is told to lean, and that way.
        plan.canvas.measured = None;
        let told = checked(&photo, corners, &plan).unwrap().shape;
        if told.told {
            let words = told.in_words("mm".parse().unwrap());
            assert!(words.contains("not square") && words.contains(leans), "{words}");
        }
    }
}

#[test]
fn an_edge_beside_both_corners_that_were_set_is_not_taken_for_the_one_between_them() {
    let (photo, [a, b, c, d]) = &*ORDINARY;
    // What covers the canvas's foot has an edge of its own: here the canvas's, with the corners set below it.
    let below = |corner: &ImagePoint, above: &ImagePoint| corner.towards(*above, -0.008);
    let refused = checked(photo, [*a, *b, below(c, b), below(d, a)], &plan()).unwrap_err();
    let Unfit::EdgeElsewhere { side, off } = refused else { panic!("{refused}") };
    assert_eq!(side, Side::Bottom);
    assert!((off.to_mm() - 2.4).abs() < 0.4, "{off:?}");
    // All of them set beside the canvas's own are found all the same, and so is one that was set carelessly.
    let middle = a.towards(*c, 0.5);
    let all = [a, b, c, d].map(|corner| corner.towards(middle, 0.02));
    assert!(checked(photo, all, &plan()).unwrap().lines.iter().any(|line| line.verdict == Verdict::True));
    let one = checked(photo, [*a, *b, below(c, b), *d], &plan()).unwrap();
    assert!(one.lines.iter().any(|line| line.verdict == Verdict::True));
}

#[test]
fn a_canvas_of_other_proportions_than_planned_makes_the_outline_doubtful() {
    let mut square_on = scene();
    square_on.camera.tilt = 2.0;
    let (photo, corners) = taken(&square_on.filling(0.8));
    let warned = |height: f64| {
        let mut plan = plan();
        plan.canvas = Canvas::nominal(Length::mm(WIDTH), Length::mm(height));
        let check = checked(&photo, corners, &plan).unwrap();
        check.warnings.iter().map(ToString::to_string).find(|told| told.starts_with("The canvas looks"))
    };
    assert_eq!(warned(HEIGHT), None);
    let told = warned(HEIGHT + 6.0).unwrap();
    assert!(told.contains("wider for its height than planned") && told.contains("ledge"), "{told}");
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
    // Another tolerance does not tell which of them is meant.
    let mut loose = report.clone();
    loose.set_tolerance(Length::mm(5.0), &plan()).unwrap();
    let same = loose.lines.iter().find(|other| other.other_mm.is_some()).unwrap();
    assert_eq!(same.verdict, Verdict::CannotTell, "{same:?}");
}

#[test]
fn a_check_tells_when_the_canvas_or_the_grid_is_another_now() {
    let (photo, corners) = &*ORDINARY;
    let check = checked(photo, *corners, &plan()).unwrap();
    let report = Report::of(&check, &Outline::given(*corners), &plan());
    let changed = |change: fn(&mut Plan)| {
        let mut now = plan();
        change(&mut now);
        report.clone().held_against(&now).plan_changed
    };
    assert_eq!(changed(|_| {}), None);
    assert_eq!(changed(|plan| plan.grid = Grid::parts(5, 5)), Some(PlanChange::Grid));
    let another_box = |plan: &mut Plan| {
        let rect = CanvasRect::new(CanvasPoint::mm(70.0, 40.0), Length::mm(60.0), Length::mm(50.0));
        plan.details.push(DetailBox::new("Eyes".to_owned(), rect, Grid::parts(3, 2)));
    };
    assert_eq!(changed(another_box), Some(PlanChange::Grid));
    let larger = |plan: &mut Plan| plan.canvas = Canvas::nominal(Length::mm(WIDTH), Length::mm(HEIGHT + 1.0));
    assert_eq!(changed(larger), Some(PlanChange::Canvas));
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
    let shape = CanvasShape::of(&photo, &pose, &canvas, false);
    assert!(shape.told && shape.wider_mm.abs() < 0.8 && shape.leans_mm.abs() < 0.8, "{shape:?}");
}

#[test]
fn a_slanted_photo_does_not_claim_to_know_the_canvas_shape() {
    let mut slanted = scene();
    slanted.camera.tilt = 18.0;
    let (photo, corners) = taken(&slanted.filling(0.8));
    let canvas = plan().canvas.outline();
    let pose = Pose::from_edges(&photo, &canvas, &Outline::given(corners), None).unwrap();
    let shape = CanvasShape::of(&photo, &pose, &canvas, false);
    assert!((shape.tilt.to_degrees() - 18.0).abs() < 3.0, "{shape:?}");
    assert!(!shape.told && shape.in_words("mm".parse().unwrap()).contains("diagonals"), "{shape:?}");
}
