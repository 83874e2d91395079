//! Writes the demo's two photos of the canvas into a folder, see [`easel_photo::demo`]:
//! `cargo run --release -p easel-photo --example demo -- demo`, at the root of the repository.

use std::error::Error;
use std::fs;
use std::path::Path;

use easel_photo::demo::{half_done, ruled};
use photo::Photo;
use plan::PhotoPoint;
use serde_json::Value;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args().nth(1).ok_or("Name the demo's folder.")?;
    let folder = Path::new(&folder);
    let picture = Photo::open(&folder.join("harbour-pilot.jpg"))?.upright()?;
    let landmarks: Value = serde_json::from_slice(&fs::read(folder.join("harbour-pilot.json"))?)?;
    let point = |name: &str| {
        let all = landmarks["landmarks"].as_array()?;
        let found = all.iter().find(|landmark| landmark["name"] == name)?;
        Some(PhotoPoint::new(found["x"].as_f64()?, found["y"].as_f64()?))
    };
    let marks = point("crown").zip(point("chin")).zip(point("left eye, pupil"));
    let ((crown, chin), pupil) = marks.ok_or("a landmark is missing")?;
    let painting = half_done(picture, [crown, chin, pupil]).ok_or("the head cannot be placed")?;
    for (name, scene) in [("ruled-canvas.jpg", ruled()), ("half-done.jpg", painting.scene)] {
        let jpeg = scene.shoot().jpeg()?;
        fs::write(folder.join(name), &jpeg)?;
        println!("{name}: {} KB", jpeg.len() / 1000);
    }
    Ok(())
}
