//! Writes the demo's two photos of the canvas into a folder: the ruled canvas with two lines drawn wrong, and the painting
//! half done with the head 3 % too large and the left eye 1/8 in low:
//! `cargo run --release -p easel-photo --example demo -- demo`, at the root of the repository.

use std::error::Error;
use std::fs;
use std::path::Path;
use std::sync::Arc;

use easel_photo::{Background, Bitmap, DrawnLine, Misplaced, Paint, Portrait, Scene};
use photo::Photo;
use plan::{Canvas, CanvasPoint, HeadMarks, Length, PhotoPoint, PhotoSize, Place, Plan, Reference, Unit};
use serde_json::Value;

/// Width and height of the demo's canvas, 12 x 16 in, in mm.
const SIZE: [f64; 2] = [304.8, 406.4];

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args().nth(1).ok_or("Name the demo's folder.")?;
    let folder = Path::new(&folder);
    for (name, scene) in [("ruled-canvas.jpg", ruled()), ("half-done.jpg", half_done(folder)?)] {
        let jpeg = scene.shoot().jpeg()?;
        fs::write(folder.join(name), &jpeg)?;
        println!("{name}: {} KB", jpeg.len() / 1000);
    }
    Ok(())
}

/// Before any paint: the line 9 in from the left stands 1/8 in too far to the right, and the one 8 in from the top falls by
/// 1/8 in towards the right.
fn ruled() -> Scene {
    let mut lines = lines(0.24);
    lines[2] = lines[2].moved(25.4 / 8.0, 0.0);
    lines[4].to[1] += 25.4 / 8.0;
    easel(11).with_lines(lines)
}

fn half_done(folder: &Path) -> Result<Scene, Box<dyn Error>> {
    let file = folder.join("harbour-pilot.jpg");
    let picture = Photo::open(&file)?.upright()?;
    let (width, height) = (picture.width(), picture.height());
    let landmarks: Value = serde_json::from_slice(&fs::read(folder.join("harbour-pilot.json"))?)?;
    let point = |name: &str| -> Option<PhotoPoint> {
        let found = landmarks["landmarks"].as_array()?.iter().find(|landmark| landmark["name"] == name)?;
        Some(PhotoPoint::new(found["x"].as_f64()?, found["y"].as_f64()?))
    };
    let missing = "a landmark is missing";
    let mut plan = Plan::new(Canvas::nominal(Length::mm(SIZE[0]), Length::mm(SIZE[1])), Unit::Inch);
    let mut reference = Reference::fitted(PhotoSize { width, height });
    reference.head =
        Some(HeadMarks { crown: point("crown").ok_or(missing)?, chin: point("chin").ok_or(missing)? });
    let middle = CanvasPoint::new(Length::inches(6.0), Length::inches(6.5));
    reference.place = Place::Head { height: Length::inches(8.0), middle: Some(middle) };
    plan.reference = Some(reference);
    let placing = plan.placing().ok_or("the head cannot be placed")?;
    // Too large about the head's middle.
    let larger = |at: CanvasPoint| {
        let (x, y) = (middle.x.to_mm(), middle.y.to_mm());
        [x + 1.03 * (at.x.to_mm() - x), y + 1.03 * (at.y.to_mm() - y)]
    };
    let eye = larger(placing.to_canvas(point("left eye, pupil").ok_or(missing)?));
    let bitmap = Bitmap::new(width as usize, height as usize, picture.into_rgb()).ok_or("no pixels")?;
    let portrait = Portrait {
        picture: Arc::new(bitmap),
        origin: larger(placing.origin()),
        pixel: 1.03 * placing.pixel().to_mm(),
        turn: placing.turn().to_degrees(),
        misplaced: vec![Misplaced { at: eye, radius: 20.0, by: [0.0, 25.4 / 8.0] }],
        bare_border: 3.0,
        covered: 0.62,
        brush: 1.6,
    };
    let mut scene = easel(23).with_lines(lines(0.2));
    scene.paint = Paint::Portrait(Box::new(portrait));
    Ok(scene)
}

/// The canvas on its easel before a grey wall, as the painter's phone sees it.
fn easel(seed: u64) -> Scene {
    let mut scene = Scene::new(SIZE[0], SIZE[1], seed).sized(1800, 2400);
    scene.background = Background::Cluttered { wall: 0.22, clamp: false };
    scene.camera.tilt = 7.0;
    scene.camera.tilt_about = 35.0;
    scene.camera.roll = -1.2;
    scene.camera.k1 = 0.03;
    scene.light.quality = 88;
    scene.filling(0.8)
}

/// The quarters of the canvas: three upright lines, then three level ones.
fn lines(contrast: f64) -> Vec<DrawnLine> {
    let scene = Scene::new(SIZE[0], SIZE[1], 0);
    let quarter = |at: u32, side: f64| f64::from(at) * side / 4.0;
    let upright = (1..4).map(|at| scene.vertical(quarter(at, SIZE[0]), contrast));
    upright.chain((1..4).map(|at| scene.horizontal(quarter(at, SIZE[1]), contrast))).collect()
}
