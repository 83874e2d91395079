//! `warp_bench PHOTO WIDTH HEIGHT M11 … M33` reads a photo, then for each line it is sent, `bilinear` or `bicubic`, warps it
//! once so and prints how many milliseconds that took. For `bench/warp.py`, which times another library by turns with it.

use std::io::{BufRead as _, Write as _, stdin, stdout};
use std::time::Instant;

use photo::{Interpolation, Photo};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [file, width, height, map @ ..] = &arguments[..] else {
        return Err("Give a photo, a width, a height and the nine numbers of a map.".into());
    };
    let picture = Photo::open(file.as_ref())?.upright()?;
    let (width, height) = (width.parse()?, height.parse()?);
    let map: Vec<f64> = map.iter().map(|number| number.parse()).collect::<Result<_, _>>()?;
    let [a, b, c, d, e, f, g, h, i] = map[..] else { return Err("A map has nine numbers.".into()) };
    for line in stdin().lock().lines() {
        let interpolation = match line?.as_str() {
            "bilinear" => Interpolation::Bilinear,
            "bicubic" => Interpolation::Bicubic,
            other => return Err(format!("“{other}” is neither bilinear nor bicubic.").into()),
        };
        let begun = Instant::now();
        let warped = picture.warped([[a, b, c], [d, e, f], [g, h, i]], width, height, interpolation);
        let took = begun.elapsed().as_secs_f64() * 1000.0;
        // The picture is used, so that making it is not left out.
        assert_eq!(warped.rgb().len(), width as usize * height as usize * 3);
        println!("{took}");
        stdout().flush()?;
    }
    Ok(())
}
