//! For the checks against the outside: enlargements by nearness and pivots of dividers, from JSON on standard input to JSON
//! on standard output.

use std::error::Error;
use std::io::{Read, stdin};

use plan::{Length, Ratio, enlarged};
use serde::Deserialize;
use serde_json::json;

#[derive(Deserialize)]
struct Asked {
    /// Distance and how much nearer, in mm.
    enlarged: Vec<[f64; 2]>,
    /// Ratios as painters write them.
    ratios: Vec<String>,
    /// The length of the dividers, in mm.
    dividers: f64,
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut text = String::new();
    stdin().read_to_string(&mut text)?;
    let asked: Asked = serde_json::from_str(&text)?;
    let larger: Vec<f64> = asked
        .enlarged
        .iter()
        .map(|[distance, nearer]| enlarged(Length::mm(*distance), Length::mm(*nearer)))
        .collect();
    let mut pivots = Vec::new();
    for text in &asked.ratios {
        let ratio: Ratio = text.parse()?;
        let (wide, narrow) = ratio.pivot(Length::mm(asked.dividers));
        pivots.push(
            json!({ "setting": ratio.setting(), "wide_mm": wide.to_mm(), "narrow_mm": narrow.to_mm() }),
        );
    }
    println!("{}", json!({ "enlarged": larger, "pivots": pivots }));
    Ok(())
}
