//! For the checks against the outside: the cast as a camera sees it from a given distance, small, with the camera's facts in
//! the picture: `at_distance DISTANCE_MM FOCAL_35MM PICTURE.jpg`. Prints the landmarks and the head's true height as JSON.

use std::error::Error;

use cast::{Camera, Light, Sculpture, landmarks, render};

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [distance, focal, path] = &arguments[..] else {
        return Err("Give distance, focal length and picture.".into());
    };
    let camera = Camera { distance: distance.parse()?, focal_35mm: focal.parse()?, size: (180, 240) };
    let sculpture = Sculpture::new();
    let found = landmarks(&sculpture, &camera);
    let point =
        |name: &str| found.iter().find(|landmark| landmark.name == name).ok_or("a landmark is missing");
    let head = point("crown")?.point.truncate().distance(point("chin")?.point.truncate());
    std::fs::write(path, render(&sculpture, &camera, &Light::studio()).to_jpeg(&camera, 1_000_000)?)?;
    let told = serde_json::json!({ "landmarks": found, "head_mm": head });
    println!("{told}");
    Ok(())
}
