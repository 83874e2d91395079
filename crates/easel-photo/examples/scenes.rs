//! Writes one photo of each kind as a PNG of the given width into a folder, to look at:
//! `cargo run --release -p easel-photo --example scenes -- FOLDER [WIDTH] [SEED]`.

use std::error::Error;
use std::fs::File;
use std::path::Path;
use std::time::Instant;

use easel_photo::{Kind, Scene};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().ok_or("Name a folder.")?;
    let width: u32 = arguments.next().map_or(Ok(3024), |text| text.parse())?;
    let seed: u64 = arguments.next().map_or(Ok(1), |text| text.parse())?;
    for kind in [Kind::Plain, Kind::Cluttered, Kind::Strokes, Kind::Painted, Kind::OwnTone] {
        let scene = Scene::random(406.4, 508.0, kind, seed).sized(width, width * 4 / 3);
        let lines: Vec<_> = (1..4)
            .flat_map(|quarter| {
                let share = f64::from(quarter) / 4.0;
                [scene.vertical(406.4 * share, 0.2), scene.horizontal(508.0 * share, 0.2)]
            })
            .collect();
        let began = Instant::now();
        let shot = scene.with_lines(lines).shoot();
        println!("{kind:?}: {:.2} s", began.elapsed().as_secs_f64());
        let file = File::create(Path::new(&folder).join(format!("{kind:?}.png").to_lowercase()))?;
        let mut encoder = png::Encoder::new(file, shot.width, shot.height);
        encoder.set_color(png::ColorType::Rgb);
        encoder.write_header()?.write_image_data(&shot.rgb)?;
    }
    Ok(())
}
