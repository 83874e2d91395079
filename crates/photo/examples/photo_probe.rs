//! Opens a picture file as the program does and shows what came of it, for the checks against other libraries.
//!
//! `photo_probe FILE [--upright OUT.ppm] [--preview SIDE OUT.ppm] [--embeddable OUT.jpg] [--as-jpeg QUALITY OUT.jpg]`
//!
//! Prints one JSON object with the header's facts; on an error prints its sentence to standard error and leaves with status 1.

use std::error::Error;
use std::io::Write;
use std::path::Path;
use std::process::ExitCode;
use std::{env, fs};

use photo::{Photo, Picture};
use serde_json::json;

fn main() -> ExitCode {
    let mut arguments = env::args().skip(1);
    let Some(file) = arguments.next() else {
        eprintln!("Give a picture file.");
        return ExitCode::from(2);
    };
    match probe(&file, arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}

fn probe(file: &str, mut arguments: impl Iterator<Item = String>) -> Result<(), Box<dyn Error>> {
    let photo = Photo::open(Path::new(file))?;
    let (size, camera) = (photo.size(), photo.camera());
    println!(
        "{}",
        json!({
            "format": photo.format().to_string(),
            "width": size.width,
            "height": size.height,
            "orientation": photo.orientation().exif(),
            "bits": photo.bits(),
            "colour": photo.colour().name,
            "note": photo.colour().note,
            "focal_length_mm": camera.focal_length_mm,
            "focal_length_35mm": camera.focal_length_35mm,
            "taken": camera.taken.map(|taken| taken.to_string()),
        })
    );
    while let Some(argument) = arguments.next() {
        let mut next = || arguments.next().ok_or("An argument is missing.");
        match argument.as_str() {
            "--upright" => write_ppm(&photo.upright()?, &next()?)?,
            "--preview" => {
                let side = next()?.parse()?;
                write_ppm(&photo.preview(side)?, &next()?)?;
            }
            "--embeddable" => {
                let out = next()?;
                if let Some(jpeg) = photo.embeddable_jpeg() {
                    jpeg.check()?;
                    fs::write(out, jpeg.bytes)?;
                }
            }
            "--as-jpeg" => {
                let quality = next()?.parse()?;
                fs::write(next()?, photo.as_jpeg(quality)?)?;
            }
            other => return Err(format!("Unknown argument {other}.").into()),
        }
    }
    Ok(())
}

fn write_ppm(picture: &Picture, out: &str) -> Result<(), Box<dyn Error>> {
    let mut file = fs::File::create(out)?;
    write!(file, "P6\n{} {}\n255\n", picture.width(), picture.height())?;
    file.write_all(picture.rgb())?;
    Ok(())
}
