//! Writes one invented photo of a ruled canvas, 12 x 12 in and quartered, as a JPEG, and its truth as JSON beside it:
//! `cargo run --release -p easel-photo --example canvas_photo -- FILE.jpg [WIDTH] [SEED] [KIND]`.
//!
//! The second vertical line is drawn 2 mm too far to the right, the third horizontal one 1.5 mm too high at its right end.

use std::error::Error;
use std::fs;

use easel_photo::{Kind, Scene};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let file = arguments.next().ok_or("Name a file.")?;
    let width: u32 = arguments.next().map_or(Ok(3024), |text| text.parse())?;
    let seed: u64 = arguments.next().map_or(Ok(1), |text| text.parse())?;
    let kind = match arguments.next().as_deref() {
        None | Some("plain") => Kind::Plain,
        Some("cluttered") => Kind::Cluttered,
        Some("own-tone") => Kind::OwnTone,
        Some(other) => return Err(format!("{other} is no kind of scene").into()),
    };
    let side = 304.8;
    let scene = Scene::random(side, side, kind, seed).sized(width, width * 4 / 3);
    let quarter = |at: u32| f64::from(at) * side / 4.0;
    let mut lines: Vec<_> = (1..4)
        .flat_map(|at| [scene.vertical(quarter(at), 0.2), scene.horizontal(quarter(at), 0.2)])
        .collect();
    lines[2] = lines[2].moved(2.0, 0.0);
    lines[5].to[1] -= 1.5;
    let shot = scene.with_lines(lines).shoot();
    fs::write(&file, shot.jpeg()?)?;
    let corners = shot.truth.corners_px().map(|[x, y]| format!("[{x:.3},{y:.3}]")).join(",");
    fs::write(format!("{file}.json"), format!("{{\"corners\":[{corners}]}}\n"))?;
    Ok(())
}
