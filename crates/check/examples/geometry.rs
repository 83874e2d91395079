//! Geometry for the outside checks. Reads one JSON value from standard input and writes one to standard output:
//!
//! * `{"homography":[{"from":[[x,y]×4],"to":[[x,y]×4]},…]}`: for each the nine numbers of the map, or null.
//! * `{"warp":{"photo":FILE,"rows":[[…]×3],"width":w,"height":h,"bicubic":true|false,"to":FILE}}`: writes the
//!   warped picture as raw RGB.
//! * `{"clicks":{"photo":FILE,"size_mm":[w,h],"corners":[[x,y]×4],"middles":[[x,y]×4],"points":[[x,y],…]}}`: the lens and
//!   where the points lie on the canvas, mm; or `refused_tilt_deg`.

use std::error::Error;
use std::io::{Read, stdin};
use std::path::Path;

use check::{CanvasPhoto, ImagePoint, Pose, Unfit};
use photo::{Interpolation, Photo};
use plan::{Canvas, Homography, Length, PhotoPoint};
use serde_json::{Value, from_value, json};

/// What a corner finder is off by, pixels.
const CLICK_SD: f64 = 0.3;

fn main() -> Result<(), Box<dyn Error>> {
    let mut text = String::new();
    stdin().read_to_string(&mut text)?;
    let asked: Value = serde_json::from_str(&text)?;
    let answer = if asked["homography"].is_array() {
        homographies(&asked["homography"])?
    } else if asked["warp"].is_object() {
        warp(&asked["warp"])?
    } else {
        clicks(&asked["clicks"])?
    };
    println!("{answer}");
    Ok(())
}

fn homographies(sets: &Value) -> Result<Value, Box<dyn Error>> {
    let mut maps = Vec::new();
    for set in sets.as_array().into_iter().flatten() {
        let from: [[f64; 2]; 4] = from_value(set["from"].clone())?;
        let to: [[f64; 2]; 4] = from_value(set["to"].clone())?;
        let points = |corners: [[f64; 2]; 4]| corners.map(|[x, y]| PhotoPoint::new(x, y));
        maps.push(Homography::between(points(from), points(to)).map(|map| map.rows()));
    }
    Ok(json!(maps))
}

fn warp(asked: &Value) -> Result<Value, Box<dyn Error>> {
    let [file, to]: [String; 2] = from_value(json!([asked["photo"], asked["to"]]))?;
    let [width, height]: [u32; 2] = from_value(json!([asked["width"], asked["height"]]))?;
    let bicubic: bool = from_value(asked["bicubic"].clone())?;
    let interpolation = if bicubic { Interpolation::Bicubic } else { Interpolation::Bilinear };
    let rows = from_value(asked["rows"].clone())?;
    let picture = Photo::open(Path::new(&file))?.upright()?;
    std::fs::write(to, picture.warped(rows, width, height, interpolation).rgb())?;
    Ok(json!({}))
}

fn clicks(asked: &Value) -> Result<Value, Box<dyn Error>> {
    let file: String = from_value(asked["photo"].clone())?;
    let photo = Photo::open(Path::new(&file))?;
    let photo = CanvasPhoto::new(&photo.upright()?, photo.camera())?;
    let [width, height]: [f64; 2] = from_value(asked["size_mm"].clone())?;
    let canvas = Canvas::nominal(Length::mm(width), Length::mm(height)).outline();
    let corners: [ImagePoint; 4] = from_value(asked["corners"].clone())?;
    let middles: [ImagePoint; 4] = from_value(asked["middles"].clone())?;
    let points: Vec<ImagePoint> = from_value(asked["points"].clone())?;
    let pose = match Pose::from_clicks(&photo, &canvas, corners, middles, CLICK_SD, None) {
        Err(Unfit::Tilted { tilt }) => return Ok(json!({ "refused_tilt_deg": tilt.to_degrees() })),
        other => other?,
    };
    let mut places = Vec::new();
    for point in points {
        let at = pose.map.to_canvas(point).ok_or("a point lies beyond the map")?;
        places.push([at.x.to_mm(), at.y.to_mm()]);
    }
    Ok(json!({ "k1": pose.map.lens().k1, "k1_sd": pose.map.k1_sd(), "places_mm": places }))
}
