//! How often the proposed outline is right, over fresh photos of each kind of scene:
//! `cargo run --release -p check --example outlines -- [PHOTOS OF EACH KIND] [FIRST SEED] [WIDTH]`.
//!
//! Right: all corners within 1.2 % of the photo's diagonal (60 px of 12 megapixels). The aims are 95 % for the first
//! proposal, 99 % for one of three, and none at all, or the right one, for a canvas on a wall of its own tone.

use std::error::Error;
use std::time::Instant;

use check::{CanvasPhoto, Expected, ImagePoint, Luma, find_outlines};
use easel_photo::{Kind, Paint, Scene};
use photo::Picture;
use plan::{Canvas, CanvasPoint, Grid, Length};

/// Corners nearer than this share of the diagonal are right.
const RIGHT: f64 = 0.012;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let mut number = |otherwise: u64| arguments.next().map_or(Ok(otherwise), |text| text.parse());
    let (photos, first, width) = (number(40)?, number(100_000)?, number(960)?);
    let aims = "aims: first 95 %, among three 99 %";
    println!("{photos} photos of each kind, {width} pixels wide, seeds from {first}; {aims}");
    for kind in [Kind::Plain, Kind::Cluttered, Kind::Strokes, Kind::Painted, Kind::OwnTone] {
        let mut tally = Tally::default();
        for seed in first..first + photos {
            tally.add(kind, seed, width as u32)?;
        }
        tally.tell(kind, photos);
    }
    Ok(())
}

#[derive(Default)]
struct Tally {
    first: usize,
    among_three: usize,
    none: Vec<u64>,
    corner_errors: Vec<f64>,
    seconds: f64,
    wrong: Vec<u64>,
}

impl Tally {
    fn add(&mut self, kind: Kind, seed: u64, width: u32) -> Result<(), Box<dyn Error>> {
        let (wide, high) = if seed.is_multiple_of(2) { (406.4, 508.0) } else { (304.8, 304.8) };
        let canvas = Canvas::nominal(Length::mm(wide), Length::mm(high));
        let grid = Grid::parts(4, 4).lines(&canvas.outline(), canvas.nominal);
        let scene = Scene::random(wide, high, kind, seed).sized(width, width * 4 / 3);
        // Every third photo is of a canvas without lines.
        let lines: Vec<_> = (1..4)
            .flat_map(|quarter| {
                let share = f64::from(quarter) / 4.0;
                [scene.vertical(wide * share, 0.15), scene.horizontal(high * share, 0.15)]
            })
            .filter(|_| !seed.is_multiple_of(3))
            .collect();
        let scene = scene.with_lines(lines);
        let shot = scene.shoot();
        let file = photo::Photo::from_bytes(shot.jpeg()?, "canvas.jpg")?;
        let reference = reference_of(&scene.paint);
        let canvas_photo = CanvasPhoto::new(&file.upright()?, file.camera())?;
        let began = Instant::now();
        let expected = Expected {
            size: canvas.nominal,
            lines: &grid,
            reference: reference.as_ref().map(|reference| reference as _),
        };
        let found = find_outlines(&canvas_photo, &expected);
        self.seconds += began.elapsed().as_secs_f64();
        let diagonal = f64::from(shot.width).hypot(f64::from(shot.height));
        let truth = shot.truth.corners_px().map(ImagePoint::from);
        let errors: Vec<f64> = found
            .iter()
            .map(|outline| {
                outline.corners.iter().zip(truth).map(|(a, b)| a.distance_to(b)).fold(0.0, f64::max)
                    / diagonal
            })
            .collect();
        if errors.first().is_some_and(|error| *error < RIGHT) {
            self.first += 1;
            self.corner_errors.push(errors[0]);
        } else if found.is_empty() {
            self.none.push(seed);
        } else {
            self.wrong.push(seed);
        }
        self.among_three += usize::from(errors.iter().any(|error| *error < RIGHT));
        Ok(())
    }

    fn tell(&mut self, kind: Kind, photos: u64) {
        self.corner_errors.sort_by(f64::total_cmp);
        let at = |share: f64| {
            let last = self.corner_errors.len().saturating_sub(1);
            self.corner_errors.get((share * last as f64) as usize).map_or(f64::NAN, |error| error * 5040.0)
        };
        let percent = |count: usize| 100.0 * count as f64 / photos as f64;
        println!(
            "{kind:?}: first {:.1} %, among three {:.1} %, none {:.1} %; worst corner {:.0} px median, {:.0} px p95 (of 12 MP); \
             {:.2} s each; wrong first: {:?}; none: {:?}",
            percent(self.first),
            percent(self.among_three),
            percent(self.none.len()),
            at(0.5),
            at(0.95),
            self.seconds / photos as f64,
            self.wrong,
            if kind == Kind::OwnTone { &[][..] } else { &self.none }
        );
    }
}

/// The light that the painting should have, from the picture that was painted.
fn reference_of(paint: &Paint) -> Option<impl Fn(CanvasPoint) -> Option<f64> + Sync + use<>> {
    let Paint::Portrait(portrait) = paint else { return None };
    let (width, height, rgb) = portrait.picture.pixels();
    let picture = Picture::from_rgb(width as u32, height as u32, rgb.to_vec())?;
    let luma = Luma::of(&picture);
    let ([x, y], pixel) = (portrait.origin, portrait.pixel);
    Some(move |point: CanvasPoint| {
        let (u, v) = ((point.x.to_mm() - x) / pixel, (point.y.to_mm() - y) / pixel);
        luma.holds(u, v, 0.0).then(|| f64::from(luma.at(u, v)))
    })
}
