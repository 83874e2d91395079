//! For the checks against the outside: where a camera at a given distance sees the cast's landmarks, as JSON, and a plain
//! picture with that camera's facts: `at_distance DISTANCE_MM FOCAL_35MM PICTURE.jpg`. The landmarks are found on the
//! sculpture itself, so the picture need not be rendered.

use std::error::Error;

use cast::{Camera, Image, Sculpture, landmarks};

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [distance, focal, path] = &arguments[..] else {
        return Err("Give distance, focal length and picture.".into());
    };
    let (width, height) = (1500, 2000);
    let camera = Camera { distance: distance.parse()?, focal_35mm: focal.parse()?, size: (width, height) };
    let found = landmarks(&Sculpture::new(), &camera);
    let point =
        |name: &str| found.iter().find(|landmark| landmark.name == name).ok_or("a landmark is missing");
    let head = point("crown")?.point.truncate().distance(point("chin")?.point.truncate());
    let plain = Image { width, height, rgb: vec![120; (width * height * 3) as usize] };
    std::fs::write(path, plain.to_jpeg(&camera, usize::MAX)?)?;
    println!("{}", serde_json::json!({ "landmarks": found, "head_mm": head }));
    Ok(())
}
