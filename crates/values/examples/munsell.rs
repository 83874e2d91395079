//! For the checks against the outside: Munsell values of sRGB colours, and luminances of Munsell values, from JSON on
//! standard input to JSON on standard output.

use std::io::{Read, stdin};

use photo::Picture;
use plan::{Length, PhotoPoint};
use serde_json::{Value, json};
use values::{luminance_of, value_at, value_of};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut text = String::new();
    stdin().read_to_string(&mut text)?;
    let asked: Value = serde_json::from_str(&text)?;
    let numbers = |name: &str| -> Vec<f64> {
        asked[name].as_array().into_iter().flatten().filter_map(Value::as_f64).collect()
    };
    let of_colours: Vec<Option<f64>> = numbers("rgb")
        .chunks(3)
        .map(|colour| {
            let pixel = Picture::from_rgb(1, 1, colour.iter().map(|number| *number as u8).collect())?;
            value_at(&pixel, PhotoPoint::new(0.5, 0.5), Length::mm(1.0), Length::ZERO)
        })
        .collect();
    let luminances: Vec<f64> = numbers("values").into_iter().map(luminance_of).collect();
    let values: Vec<f64> = numbers("luminances").into_iter().map(value_of).collect();
    println!("{}", json!({ "values_of_rgb": of_colours, "luminances": luminances, "values": values }));
    Ok(())
}
