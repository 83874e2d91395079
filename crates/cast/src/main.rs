//! Writes the demo's picture and its landmarks into a folder: `cargo run --release -p cast -- demo`.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use cast::{Camera, Light, Sculpture, account, landmarks, render};

const PHOTO: &str = "harbour-pilot.jpg";
const LANDMARKS: &str = "harbour-pilot.json";
/// The repository carries the picture: it stays under 2 MB.
const PHOTO_BYTES: usize = 1_950_000;

fn main() -> ExitCode {
    let mut arguments = std::env::args_os().skip(1);
    let (Some(folder), None) = (arguments.next(), arguments.next()) else {
        eprintln!("Name the one folder to write {PHOTO} and {LANDMARKS} into.");
        return ExitCode::from(2);
    };
    match write_demo(Path::new(&folder)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("The demo could not be written into {}: {error}.", Path::new(&folder).display());
            ExitCode::FAILURE
        }
    }
}

fn write_demo(folder: &Path) -> Result<(), Box<dyn std::error::Error>> {
    let (sculpture, camera) = (Sculpture::new(), Camera::demo());
    let account = account(PHOTO, &camera, &landmarks(&sculpture, &camera))?;
    let jpeg = render(&sculpture, &camera, &Light::studio()).to_jpeg(&camera, PHOTO_BYTES)?;
    write_whole(&folder.join(PHOTO), &jpeg)?;
    write_whole(&folder.join(LANDMARKS), account.as_bytes())?;
    println!("Wrote {PHOTO} ({} KB) and {LANDMARKS} into {}.", jpeg.len() / 1000, folder.display());
    Ok(())
}

/// Writes a file whole or not at all.
fn write_whole(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let folder = path.parent().unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    // Readable by others like any file, not private like a temporary one; the user's mask still applies.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    file.persist(path)?;
    Ok(())
}
