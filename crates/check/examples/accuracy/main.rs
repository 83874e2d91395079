//! How accurate the checks are, over photos that `easel-photo` invents: the table of aims against what was reached.
//!
//! `cargo run --release -p check --example accuracy -- [FIRST_SEED] [PHOTOS] [CONDITION ...]`, the conditions being those of
//! `conditions.rs`, or all of them.
//!
//! With `KEEP=FOLDER` in the environment the photos are kept there and not made again; with `EACH=1` each photo is told.

#![expect(clippy::expect_used, reason = "a photo of our own that does not open ends the report")]

mod conditions;
mod tally;

use std::time::Instant;

use check::{
    CanvasMap, CanvasPhoto, Drift, Expected, GridCheck, GridCheckWishes, ImagePoint, LineCheck, NORMAL_95,
    Outline, PaintedAt, PaintedLandmark, Pose, Unfit, Verdict, find_outlines,
};
use conditions::{CONDITIONS, Condition, Drawn, Prepared};
use easel_photo::{Chance, Truth};
use plan::{Canvas, CanvasPoint, Grid, Length, Plan, Side, Unit};
use tally::{Covered, Tally, report};

/// Where a finger with a loupe leaves a corner: standard deviation in pixels.
const CORNER_SLIP: f64 = 4.0;

/// A proposed corner nearer than this is one that a person confirms, pixels.
const SEEN_TO_BE_RIGHT: f64 = 60.0;

/// How far a click on a landmark, or one of eight on the outline, may be off: standard deviation in pixels.
const CLICK: f64 = 1.5;

fn main() {
    let arguments: Vec<u64> = std::env::args().skip(1).filter_map(|text| text.parse().ok()).collect();
    let first = arguments.first().copied().unwrap_or(1000);
    let photos = arguments.get(1).copied().unwrap_or(60);
    let named: Vec<String> = std::env::args().skip(1).filter(|text| text.parse::<u64>().is_err()).collect();
    for condition in
        CONDITIONS.iter().filter(|one| named.is_empty() || named.iter().any(|name| name == one.name))
    {
        let mut tally = Tally::default();
        for seed in first..first + photos {
            one(&mut tally, seed, condition);
        }
        report(&tally, condition);
    }
}

fn one(tally: &mut Tally, seed: u64, condition: &Condition) {
    let mut chance = Chance::new(seed.wrapping_mul(0x9e37_79b9) ^ 0xacc);
    let (width, height) = if seed.is_multiple_of(2) { (305.0, 305.0) } else { (406.0, 508.0) };
    let Prepared { scene, drawn, detail } = condition.prepared([width, height], seed, &mut chance);
    let truth = &scene.truth();
    let jpeg = kept(&format!("{seed}-{}.jpg", condition.name), || {
        scene.shoot().jpeg().expect("the photo fits a JPEG")
    });
    let began = Instant::now();
    let photo = photo::Photo::from_bytes(jpeg, "canvas.jpg").expect("our own JPEG opens");
    let picture = photo.upright().expect("our own JPEG is whole");
    let corners = truth
        .corners_px()
        .map(|[x, y]| ImagePoint::new(x + chance.normal(CORNER_SLIP), y + chance.normal(CORNER_SLIP)));
    let mut plan = Plan::new(Canvas::nominal(Length::mm(width), Length::mm(height)), Unit::Centimetre);
    plan.grid = Grid::parts(8, 8);
    plan.details.extend(detail);
    tally.photos += 1;
    let photo = CanvasPhoto::new(&picture, photo.camera()).expect("the photo is large and bright enough");
    let checked =
        GridCheck::of(&photo, &plan, &Outline::given(corners), GridCheckWishes::default(), &|_| true);
    tally.seconds.push(began.elapsed().as_secs_f64());
    let size = (width, height);
    match checked {
        Ok(check) => {
            compare(tally, &check, truth, &drawn, size, seed);
            landmarks(tally, &check.map, truth, size, &mut chance);
        }
        Err(unfit) => tally.refused.push(format!("seed {seed}: {unfit}")),
    }
    from_proposal(tally, &photo, &plan, truth, &drawn, size, seed);
    if size != (305.0, 305.0) {
        match eight_clicks(&photo, &plan, truth, &mut chance) {
            Ok(pose) => {
                points(&pose.map, truth, size, &mut tally.clicked_mm, &mut tally.clicked_covered);
            }
            Err(unfit) => tally.refused.push(format!("seed {seed}, eight clicks: {unfit}")),
        }
    }
}

/// The file of this name in the folder of kept photos, made if it is not there.
fn kept(name: &str, make: impl FnOnce() -> Vec<u8>) -> Vec<u8> {
    let Some(folder) = std::env::var_os("KEEP") else { return make() };
    let file = std::path::Path::new(&folder).join(name);
    std::fs::read(&file).unwrap_or_else(|_| {
        let jpeg = make();
        std::fs::write(&file, &jpeg).expect("the folder can be written");
        jpeg
    })
}

fn compare(
    tally: &mut Tally,
    check: &GridCheck,
    truth: &Truth,
    drawn: &[Drawn],
    size: (f64, f64),
    seed: u64,
) {
    let worst = points(&check.map, truth, size, &mut tally.point_mm, &mut tally.points_covered);
    let mut unseen = 0;
    for line in &check.lines {
        let Some(truth) = drawn_as(line, drawn) else {
            tally.empty += 1;
            tally.false_finds += usize::from(line.found);
            continue;
        };
        tally.drawn += 1;
        tally.found += usize::from(line.found);
        unseen += usize::from(!line.found);
        if let (true, Some(place)) = (line.found, line.place) {
            tally.offset_mm.push((place.offset_mm - truth.middle).abs());
            if std::env::var_os("EACH").is_some() && (place.offset_mm - truth.middle).abs() > 0.3 {
                println!("  {} {place:?} truth {:.2}", line.name, truth.middle);
            }
            tally.offsets_covered.add(place.offset_mm - truth.middle, place.offset_95_mm);
        }
        if truth.wrong {
            tally.wrong += 1;
            tally.wrong_called_off += usize::from(line.verdict == Verdict::Off);
        } else {
            tally.fine += 1;
            tally.fine_called_true += usize::from(line.verdict == Verdict::True);
            tally.fine_called_off += usize::from(line.verdict == Verdict::Off);
        }
    }
    tally.unplanned += check.unplanned.len();
    tally.doubted += usize::from(check.shape.warning().is_some());
    if std::env::var_os("EACH").is_some() {
        println!(
            "seed {seed} {size:?}: worst point {worst:.2} mm, rms {:.2} px, k1 {:.4} ± {:.4}, {unseen} unseen, {} unplanned",
            check.rms_px,
            check.lens.k1,
            check.lens.k1_sd,
            check.unplanned.len()
        );
    }
}

/// The line that was drawn where this one is planned.
fn drawn_as<'a>(line: &LineCheck, drawn: &'a [Drawn]) -> Option<&'a Drawn> {
    drawn.iter().find(|drawn| {
        let same = (drawn.direction, drawn.in_detail) == (line.direction, line.in_detail);
        same && (drawn.planned - line.planned_mm).abs() < 0.5
    })
}

/// The check begun from the outline that the finder proposes first, where a person would confirm it.
fn from_proposal(
    tally: &mut Tally,
    photo: &CanvasPhoto,
    plan: &Plan,
    truth: &Truth,
    drawn: &[Drawn],
    size: (f64, f64),
    seed: u64,
) {
    let lines = plan.grid_lines();
    let expected = Expected { size: plan.canvas.nominal, lines: &lines, reference: None };
    let found = find_outlines(photo, &expected);
    let right = found.first().filter(|outline| {
        let corners = truth.corners_px().map(ImagePoint::from);
        outline
            .corners
            .iter()
            .zip(corners)
            .all(|(found, corner)| found.distance_to(corner) < SEEN_TO_BE_RIGHT)
    });
    let Some(outline) = right else { return };
    tally.proposed_right += 1;
    let outline = Outline::confirmed(outline.corners);
    let Ok(check) = GridCheck::of(photo, plan, &outline, GridCheckWishes::default(), &|_| true) else {
        return;
    };
    let worst = points(&check.map, truth, size, &mut tally.proposed_mm, &mut Covered::default());
    if std::env::var_os("EACH").is_some() {
        println!("seed {seed}, begun from its proposal: worst point {worst:.2} mm");
    }
    for line in check.lines.iter().filter(|line| line.found) {
        if let (Some(place), Some(truth)) = (line.place, drawn_as(line, drawn)) {
            tally.proposed_offset_mm.push((place.offset_mm - truth.middle).abs());
        }
    }
}

/// How far the map is off over a grid of points, and whether its intervals cover that; gives the worst, mm.
fn points(
    map: &CanvasMap,
    truth: &Truth,
    size: (f64, f64),
    off: &mut Vec<f64>,
    covered: &mut Covered,
) -> f64 {
    let mut worst = 0.0_f64;
    for at in 0..225 {
        let mm = [f64::from(at % 15) / 14.0 * size.0, f64::from(at / 15) / 14.0 * size.1];
        let seen = ImagePoint::from(truth.px_of(mm));
        let Some(place) = map.to_canvas(seen) else { continue };
        let apart = place.distance_to(CanvasPoint::mm(mm[0], mm[1])).to_mm();
        worst = worst.max(apart);
        off.push(apart);
        if let Some([[xx, _], [_, yy]]) = map.covariance_at(seen) {
            covered.add(place.x.to_mm() - mm[0], NORMAL_95 * xx.sqrt());
            covered.add(place.y.to_mm() - mm[1], NORMAL_95 * yy.sqrt());
        }
    }
    worst
}

/// Ten landmarks of a head 8 in high, painted where they are planned: every drift told is an error.
fn landmarks(tally: &mut Tally, map: &CanvasMap, truth: &Truth, size: (f64, f64), chance: &mut Chance) {
    let face = [
        (0.0, -0.5),
        (-0.16, -0.06),
        (0.16, -0.06),
        (-0.25, -0.04),
        (0.25, -0.04),
        (0.0, 0.17),
        (-0.11, 0.3),
        (0.11, 0.3),
        (0.0, 0.5),
        (-0.34, 0.1),
    ];
    let marks: Vec<PaintedLandmark> = face
        .iter()
        .map(|(x, y)| {
            let mm = [size.0 / 2.0 + 203.0 * x, size.1 * 0.45 + 203.0 * y];
            let [u, v] = truth.px_of(mm);
            let point = ImagePoint::new(u + chance.normal(CLICK), v + chance.normal(CLICK));
            let planned = CanvasPoint::mm(mm[0], mm[1]);
            if let Some(place) = map.to_canvas(point) {
                tally.landmark_mm.push(place.distance_to(planned).to_mm());
            }
            PaintedLandmark { name: String::new(), planned, painted: PaintedAt::Photo { point, sd: CLICK } }
        })
        .collect();
    let Ok(drift) = Drift::of(map, &marks, Length::mm(0.8)) else { return };
    let whole = drift.whole;
    tally.shift_mm.extend([whole.right_mm.abs(), whole.down_mm.abs()]);
    tally.size_percent.push(whole.size_percent.abs());
    tally.turn_deg.push(whole.turn_deg.abs());
    for (off, half) in [
        (whole.right_mm, whole.right_95_mm),
        (whole.down_mm, whole.down_95_mm),
        (whole.size_percent, whole.size_95_percent),
        (whole.turn_deg, whole.turn_95_deg),
    ] {
        tally.whole_covered.add(off, half);
    }
}

/// Corners and middles clicked, without looking at the photo.
fn eight_clicks(photo: &CanvasPhoto, plan: &Plan, truth: &Truth, chance: &mut Chance) -> Result<Pose, Unfit> {
    let outline = plan.canvas.outline();
    let mut click = |point: CanvasPoint| {
        let [x, y] = truth.px_of([point.x.to_mm(), point.y.to_mm()]);
        ImagePoint::new(x + chance.normal(CLICK), y + chance.normal(CLICK))
    };
    let corners = outline.corners.map(&mut click);
    let middles = Side::ALL.map(|side| click(outline.along(side, 0.5)));
    Pose::from_clicks(photo, &outline, corners, middles, CLICK, None)
}
