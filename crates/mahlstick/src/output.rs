//! Files that appear whole or not at all.

use std::io::{self, Write};
use std::path::Path;

use anyhow::{Context, Result, bail};
use photo::{Photo, Picture};
use tempfile::Builder;

/// Writes `bytes` to `path`: first to a file beside it, forced to the disk, then renamed into place.
pub(crate) fn write_whole(path: &Path, bytes: &[u8]) -> Result<()> {
    let folder =
        path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
    let write = || -> std::io::Result<()> {
        let mut file = Builder::new().prefix(".mahlstick-").suffix(".part").tempfile_in(folder)?;
        file.write_all(bytes)?;
        file.as_file().sync_all()?;
        file.persist(path)?;
        Ok(())
    };
    write().map_err(of_the_system).with_context(|| {
        format!(
            "“{}” could not be written. Check that the folder exists, can be written to and has room",
            path.display()
        )
    })
}

/// What the system said, without the name of the file beside the one that is written, which the error may carry.
fn of_the_system(error: io::Error) -> io::Error {
    match error.kind() {
        io::ErrorKind::NotFound => io::Error::other("there is no such folder"),
        kind if error.get_ref().is_some() => kind.into(),
        _ => error,
    }
}

/// The kinds of picture files that are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PictureKind {
    Png,
    Jpeg,
}

impl PictureKind {
    /// The kind that the ending of a file's name asks for.
    pub(crate) fn of(path: &Path) -> Result<Self> {
        let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
        match ending.as_deref() {
            Some("png") => Ok(Self::Png),
            Some("jpg" | "jpeg") => Ok(Self::Jpeg),
            _ => bail!("“{}” is not a picture’s name. End it in .png or .jpg.", path.display()),
        }
    }

    /// The picture as a file of this kind.
    pub(crate) fn coded(self, picture: &Picture) -> Result<Vec<u8>> {
        match self {
            Self::Png => Ok(png_of(picture)?),
            Self::Jpeg => Ok(picture.to_jpeg(Photo::PRINT_QUALITY)?),
        }
    }
}

fn png_of(picture: &Picture) -> Result<Vec<u8>, png::EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, picture.width(), picture.height());
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_source_srgb(png::SrgbRenderingIntent::Perceptual);
    encoder.write_header()?.write_image_data(picture.rgb())?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_replaced_whole_and_nothing_else_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("packet.pdf");
        write_whole(&path, b"first").unwrap();
        write_whole(&path, b"second").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"second");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_folder_that_is_not_there_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let error = write_whole(&folder.path().join("nowhere/packet.pdf"), b"x").unwrap_err();
        assert!(error.to_string().contains("Check that the folder exists"));
    }
}
