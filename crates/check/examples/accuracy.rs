//! How accurate the checks are, over photos that `easel-photo` invents: the table of aims against what was reached.
//!
//! `cargo run --release -p check --example accuracy -- [FIRST_SEED] [PHOTOS]`
//!
//! With `KEEP=FOLDER` in the environment the photos are kept there and not made again; with `EACH=1` each photo is told.

#![expect(clippy::expect_used, reason = "a photo of our own that does not open ends the report")]

use std::time::Instant;

use check::{
    CanvasMap, CanvasPhoto, Drift, GridCheck, GridCheckWishes, ImagePoint, Outline, PaintedAt,
    PaintedLandmark, Pose, Unfit, Verdict,
};
use easel_photo::{Chance, DrawnLine, Kind, Scene, Truth};
use plan::{Canvas, CanvasPoint, Direction, Grid, Length, Plan, Side, Unit};

/// Where a finger with a loupe leaves a corner: standard deviation in pixels.
const CORNER_SLIP: f64 = 4.0;

/// How far a click on a landmark, or one of eight on the outline, may be off: standard deviation in pixels.
const CLICK: f64 = 1.5;

/// What one kind of photo showed.
#[derive(Default)]
struct Tally {
    photos: usize,
    refused: Vec<String>,
    point_mm: Vec<f64>,
    points_covered: Covered,
    offset_mm: Vec<f64>,
    offsets_covered: Covered,
    drawn: usize,
    found: usize,
    empty: usize,
    false_finds: usize,
    unplanned: usize,
    wrong: usize,
    wrong_called_off: usize,
    fine: usize,
    fine_called_true: usize,
    fine_called_off: usize,
    landmark_mm: Vec<f64>,
    shift_mm: Vec<f64>,
    size_percent: Vec<f64>,
    turn_deg: Vec<f64>,
    whole_covered: Covered,
    clicked_mm: Vec<f64>,
    clicked_covered: Covered,
    seconds: Vec<f64>,
}

#[derive(Default)]
struct Covered {
    inside: usize,
    all: usize,
}

impl Covered {
    fn add(&mut self, off: f64, half_width: f64) {
        self.all += 1;
        self.inside += usize::from(off.abs() <= half_width);
    }

    fn percent(&self) -> f64 {
        100.0 * self.inside as f64 / self.all.max(1) as f64
    }
}

/// A line as drawn: how far off it lies, in mm.
struct Drawn {
    planned: f64,
    direction: Direction,
    middle: f64,
    wrong: bool,
}

fn main() {
    let arguments: Vec<u64> = std::env::args().skip(1).filter_map(|text| text.parse().ok()).collect();
    let first = arguments.first().copied().unwrap_or(1000);
    let photos = arguments.get(1).copied().unwrap_or(60);
    for bow in [0.0, 0.4] {
        let mut tally = Tally::default();
        for seed in first..first + photos {
            one(&mut tally, seed, bow);
        }
        report(&tally, bow);
    }
}

fn one(tally: &mut Tally, seed: u64, bow: f64) {
    let mut chance = Chance::new(seed.wrapping_mul(0x9e37_79b9) ^ 0xacc);
    let (width, height) = if seed.is_multiple_of(2) { (305.0, 305.0) } else { (406.0, 508.0) };
    let kind = if seed % 4 < 2 { Kind::Plain } else { Kind::Cluttered };
    let mut scene = Scene::random(width, height, kind, seed);
    scene.canvas.bow = [0.0; 4].map(|_| chance.normal(bow));
    let drawn = draw(&mut scene, &mut chance);
    let truth = &scene.truth();
    let jpeg = kept(&format!("{seed}-{bow}.jpg"), || scene.shoot().jpeg().expect("the photo fits a JPEG"));
    let began = Instant::now();
    let photo = photo::Photo::from_bytes(jpeg, "canvas.jpg").expect("our own JPEG opens");
    let picture = photo.upright().expect("our own JPEG is whole");
    let corners = truth
        .corners_px()
        .map(|[x, y]| ImagePoint::new(x + chance.normal(CORNER_SLIP), y + chance.normal(CORNER_SLIP)));
    let mut plan = Plan::new(Canvas::nominal(Length::mm(width), Length::mm(height)), Unit::Centimetre);
    plan.grid = Grid::parts(8, 8);
    tally.photos += 1;
    let photo = CanvasPhoto::new(&picture, photo.camera()).expect("the photo is large and bright enough");
    let checked =
        GridCheck::of(&photo, &plan, &Outline::given(corners), GridCheckWishes::default(), &|_| true);
    tally.seconds.push(began.elapsed().as_secs_f64());
    match checked {
        Ok(check) => {
            compare(tally, &check, truth, &drawn, (width, height), seed);
            landmarks(tally, &check.map, truth, (width, height), &mut chance);
        }
        Err(unfit) => tally.refused.push(format!("seed {seed}: {unfit}")),
    }
    if (width, height) != (305.0, 305.0) {
        match eight_clicks(&photo, &plan, truth, &mut chance) {
            Ok(pose) => {
                points(&pose.map, truth, (width, height), &mut tally.clicked_mm, &mut tally.clicked_covered);
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

/// Draws the quarters both ways: one of them 2 mm off, the others as a careful hand leaves them.
fn draw(scene: &mut Scene, chance: &mut Chance) -> Vec<Drawn> {
    let wrong = (chance.between(0.0, 6.0)) as usize;
    let contrasts = [0.08, 0.12, 0.16, 0.25];
    let contrast = contrasts[(chance.between(0.0, 4.0)) as usize];
    let [width, height] = scene.size;
    let mut drawn = Vec::new();
    for at in 0..6 {
        let direction = if at < 3 { Direction::Vertical } else { Direction::Horizontal };
        let span = if at < 3 { width } else { height };
        let planned = span * (at % 3 + 1) as f64 / 4.0;
        let sign = if chance.happens(0.5) { 1.0 } else { -1.0 };
        let shift = if at == wrong { 2.0 * sign } else { 0.0 };
        let ends = [0.0; 2].map(|_| shift + chance.normal(0.12));
        let line = if at < 3 {
            DrawnLine::pencil([planned + ends[0], 0.0], [planned + ends[1], height], contrast)
        } else {
            DrawnLine::pencil([0.0, planned + ends[0]], [width, planned + ends[1]], contrast)
        };
        scene.lines.push(line);
        drawn.push(Drawn { planned, direction, middle: f64::midpoint(ends[0], ends[1]), wrong: at == wrong });
    }
    drawn
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
        let truth = drawn
            .iter()
            .find(|drawn| drawn.direction == line.direction && (drawn.planned - line.planned_mm).abs() < 0.5);
        let Some(truth) = truth else {
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
            covered.add(place.x.to_mm() - mm[0], 1.96 * xx.sqrt());
            covered.add(place.y.to_mm() - mm[1], 1.96 * yy.sqrt());
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

fn percentile(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(((sorted.len().max(1) - 1) as f64 * share).round() as usize).copied().unwrap_or(f64::NAN)
}

fn report(tally: &Tally, bow: f64) {
    let share = |part: usize, whole: usize| 100.0 * part as f64 / whole.max(1) as f64;
    println!("{} photos, edges bowed by {bow} mm; {} refused", tally.photos, tally.refused.len());
    for refused in &tally.refused {
        println!("  {refused}");
    }
    let p95 = |values: &[f64]| percentile(values, 0.95);
    let bowed = bow > 0.0;
    let rows = [
        ("any point, p95 mm", if bowed { "0.3" } else { "0.2" }, p95(&tally.point_mm)),
        ("any point, median mm", "", percentile(&tally.point_mm, 0.5)),
        ("intervals of points cover, %", "92 to 98", tally.points_covered.percent()),
        ("line's offset, p95 mm", if bowed { "0.2" } else { "0.15" }, p95(&tally.offset_mm)),
        ("line's offset, largest mm", "", percentile(&tally.offset_mm, 1.0)),
        ("intervals of offsets cover, %", "92 to 98", tally.offsets_covered.percent()),
        ("drawn lines found, %", "99", share(tally.found, tally.drawn)),
        ("false finds on empty bands, %", "1", share(tally.false_finds, tally.empty)),
        ("2 mm off called off, %", "99", share(tally.wrong_called_off, tally.wrong)),
        ("true called true, %", "98", share(tally.fine_called_true, tally.fine)),
        ("true called off, %", "", share(tally.fine_called_off, tally.fine)),
        ("unplanned lines told, none there", "", tally.unplanned as f64),
        ("landmark, p95 mm", "0.7", p95(&tally.landmark_mm)),
        ("drift: shift, p95 mm", "0.25", p95(&tally.shift_mm)),
        ("drift: size, p95 %", "0.26", p95(&tally.size_percent)),
        ("drift: turn, p95 degrees", "0.15", p95(&tally.turn_deg)),
        ("intervals of drift cover, %", "92 to 98", tally.whole_covered.percent()),
        ("eight clicks, 406 x 508, p95 mm", if bowed { "" } else { "0.52" }, p95(&tally.clicked_mm)),
        ("intervals of eight clicks cover, %", "92 to 98", tally.clicked_covered.percent()),
        ("seconds, median", "2", percentile(&tally.seconds, 0.5)),
    ];
    println!("  {:<36} {:>9} {:>9}", "what", "aim", "reached");
    for (what, aim, reached) in rows {
        println!("  {what:<36} {aim:>9} {reached:>9.3}");
    }
    println!("  lines drawn {}, empty bands {}, lines 2 mm off {}", tally.drawn, tally.empty, tally.wrong);
}
