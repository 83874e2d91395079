//! Fits similarities for the outside checks: reads `[{"photo":[[x,y],…],"canvas":[[x,y],…]},…]` (pixels, millimetres)
//! from standard input and writes for each the photo origin on the canvas, the size of a pixel, the turn and the residual.

use std::io::{Read, stdin};

use plan::{CanvasPoint, PhotoPoint, fit_similarity};
use serde_json::{Value, json};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut text = String::new();
    stdin().read_to_string(&mut text)?;
    let sets: Vec<Value> = serde_json::from_str(&text)?;
    let mut fits = Vec::new();
    for set in sets {
        let photo: Vec<[f64; 2]> = serde_json::from_value(set["photo"].clone())?;
        let canvas: Vec<[f64; 2]> = serde_json::from_value(set["canvas"].clone())?;
        let pairs: Vec<_> = photo
            .into_iter()
            .zip(canvas)
            .map(|([x, y], [u, v])| (PhotoPoint::new(x, y), CanvasPoint::mm(u, v)))
            .collect();
        let fit = fit_similarity(&pairs, false)?;
        fits.push(json!({
            "origin_mm": [fit.placing.origin().x.to_mm(), fit.placing.origin().y.to_mm()],
            "pixel_mm": fit.placing.pixel().to_mm(),
            "turn_degrees": fit.placing.turn().to_degrees(),
            "residual_mm": fit.residual.to_mm(),
        }));
    }
    println!("{}", serde_json::to_string(&fits)?);
    Ok(())
}
