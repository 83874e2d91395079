//! How accurate the checks are, over photos that `easel-photo` invents: the table of aims against what was reached.
//!
//! `cargo run --release -p check --example accuracy -- [FIRST_SEED] [PHOTOS]`
//!
//! With `KEEP=FOLDER` in the environment the photos are kept there and not made again; with `EACH=1` each photo is told.

use std::time::Instant;

use check::{CanvasPhoto, GridCheck, GridCheckWishes, ImagePoint, Outline, Verdict};
use easel_photo::{Chance, DrawnLine, Kind, Scene, Truth};
use plan::{Canvas, CanvasPoint, Direction, Grid, Length, Plan, Unit};

/// Where a finger with a loupe leaves a corner: standard deviation in pixels.
const CORNER_SLIP: f64 = 4.0;

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
    let (width, height) = if seed % 2 == 0 { (305.0, 305.0) } else { (406.0, 508.0) };
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
    let checked = CanvasPhoto::new(&picture, photo.camera()).and_then(|photo| {
        GridCheck::of(&photo, &plan, &Outline::given(corners), GridCheckWishes::default(), &|_| true)
    });
    tally.seconds.push(began.elapsed().as_secs_f64());
    match checked {
        Ok(check) => compare(tally, &check, truth, &drawn, (width, height), seed),
        Err(unfit) => tally.refused.push(format!("seed {seed}: {unfit}")),
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
    let mut worst = 0.0_f64;
    for at in 0..225 {
        let mm = [f64::from(at % 15) / 14.0 * size.0, f64::from(at / 15) / 14.0 * size.1];
        let [x, y] = truth.px_of(mm);
        let seen = ImagePoint::new(x, y);
        let Some(place) = check.map.to_canvas(seen) else { continue };
        let off = place.distance_to(CanvasPoint::mm(mm[0], mm[1])).to_mm();
        worst = worst.max(off);
        tally.point_mm.push(off);
        if let Some([[xx, _], [_, yy]]) = check.map.covariance_at(seen) {
            tally.points_covered.add(place.x.to_mm() - mm[0], 1.96 * xx.sqrt());
            tally.points_covered.add(place.y.to_mm() - mm[1], 1.96 * yy.sqrt());
        }
    }
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
    let (points, offsets) = (&tally.point_mm, &tally.offset_mm);
    println!("  any point: median {:.3}, p95 {:.3} mm", percentile(points, 0.5), percentile(points, 0.95));
    println!("  95 % intervals of points cover {:.1} %", tally.points_covered.percent());
    println!(
        "  line's offset: median {:.3}, p95 {:.3}, most {:.3} mm",
        percentile(offsets, 0.5),
        percentile(offsets, 0.95),
        percentile(offsets, 1.0)
    );
    println!("  95 % intervals of offsets cover {:.1} %", tally.offsets_covered.percent());
    println!("  drawn lines found {:.1} % of {}", share(tally.found, tally.drawn), tally.drawn);
    println!("  false finds {:.2} % of {}", share(tally.false_finds, tally.empty), tally.empty);
    println!("  unplanned lines told, none being there: {}", tally.unplanned);
    println!("  2 mm off called off {:.1} % of {}", share(tally.wrong_called_off, tally.wrong), tally.wrong);
    println!(
        "  true called true {:.1} % of {}, called off {:.1} %",
        share(tally.fine_called_true, tally.fine),
        tally.fine,
        share(tally.fine_called_off, tally.fine)
    );
    println!(
        "  seconds: median {:.2}, most {:.2}",
        percentile(&tally.seconds, 0.5),
        percentile(&tally.seconds, 1.0)
    );
}
