//! A picture file to upright, colour-managed pixels with its camera facts.
//!
//! ```no_run
//! # fn main() -> Result<(), photo::PhotoError> {
//! let photo = photo::Photo::open("sitter.jpg".as_ref())?;
//! let size = photo.size(); // upright, in pixels
//! let picture = photo.upright()?; // 8-bit sRGB
//! # Ok(())
//! # }
//! ```
//!
//! Opening reads the whole file into memory but only its header is understood; every limit is checked there, before anything is
//! decoded, and a file whose end is missing is refused there. Names, places and makers' notes in the file are never read.

mod colour;
mod conversion;
mod error;
mod facts;
mod format;
mod header;
mod jpeg;
pub mod limits;
mod orientation;
mod picture;
mod png;
mod resample;
pub mod srgb;
mod stop;
mod tiff;
mod warp;
mod webp;

use std::fmt;
use std::fs::File;
use std::io::{self, Read};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::Arc;

pub use colour::ColourFacts;
pub use error::{Fault, PhotoError};
pub use facts::{CameraFacts, DateTaken};
pub use format::{Format, Unsupported};
pub use jpeg::EmbeddableJpeg;
pub use orientation::Orientation;
pub use picture::Picture;
pub use stop::Stop;
pub use warp::Interpolation;

use colour::Colour;
use header::Header;
use limits::MAX_FILE_BYTES;
use picture::Raster;

/// Width and height in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PhotoSize {
    /// Width in pixels, at least 1.
    pub width: u32,
    /// Height in pixels, at least 1.
    pub height: u32,
}

/// A picture file, opened: its header is understood, its pixels not yet decoded. Copies share the file's bytes.
#[derive(Clone)]
pub struct Photo {
    name: String,
    bytes: Arc<Vec<u8>>,
    kind: Kind,
    header: Header,
    colour: Arc<Colour>,
    stop: Stop,
}

/// The format, with what is needed from its header to decode it.
#[derive(Clone)]
enum Kind {
    Jpeg(jpeg::Markers),
    Png,
    Tiff,
    WebP,
}

impl Photo {
    /// JPEG quality for [`Photo::as_jpeg`] whose mean loss is under 1 CIEDE2000, less than print shows.
    pub const PRINT_QUALITY: u8 = 95;

    /// Opens the file. Its content decides what it is, not the ending of its name.
    ///
    /// # Errors
    /// See [`Fault`]; in particular the file may be of an unsupported kind, cut short, damaged or beyond the [`limits`].
    pub fn open(path: &Path) -> Result<Self, PhotoError> {
        let name =
            path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned());
        let bytes = read_bounded(path).map_err(|fault| fault.of(&name))?;
        Self::from_bytes(bytes, name)
    }

    /// The same for a file already in memory; `name` is used in messages.
    ///
    /// # Errors
    /// As [`Photo::open`].
    pub fn from_bytes(bytes: Vec<u8>, name: impl Into<String>) -> Result<Self, PhotoError> {
        let name = name.into();
        let understood = format::sniff(&bytes).and_then(|format| {
            guarded(format, || {
                let (mut header, kind) = match format {
                    Format::Jpeg => {
                        let (header, markers) = jpeg::read_header(&bytes)?;
                        (header, Kind::Jpeg(markers))
                    }
                    Format::Png => (png::read_header(&bytes)?, Kind::Png),
                    Format::Tiff => (tiff::read_header(&bytes)?, Kind::Tiff),
                    Format::WebP => (webp::read_header(&bytes)?, Kind::WebP),
                };
                let claim = std::mem::take(&mut header.claim);
                let colour = Colour::settle(claim, header.channels, header.bits == 16);
                Ok((kind, header, colour))
            })
        });
        match understood {
            Ok((kind, header, colour)) => Ok(Self {
                name,
                bytes: Arc::new(bytes),
                kind,
                header,
                colour: Arc::new(colour),
                stop: Stop::default(),
            }),
            Err(fault) => Err(fault.of(&name)),
        }
    }

    /// The same photo, whose reading ends with [`Fault::Stopped`] once `stop` is told to stop. A lossy WebP and the last step of
    /// a progressive JPEG are not interrupted: they take under a second at the largest size allowed.
    pub fn stopped_by(&self, stop: &Stop) -> Self {
        Self { stop: stop.clone(), ..self.clone() }
    }

    /// The file's name, without its folders.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The file as it was opened, with everything that is in it.
    pub fn file_bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// What kind of file it is.
    pub fn format(&self) -> Format {
        match self.kind {
            Kind::Jpeg(_) => Format::Jpeg,
            Kind::Png => Format::Png,
            Kind::Tiff => Format::Tiff,
            Kind::WebP => Format::WebP,
        }
    }

    /// Size when upright.
    pub fn size(&self) -> PhotoSize {
        let (width, height) = self.orientation().upright_size(self.header.width, self.header.height);
        PhotoSize { width, height }
    }

    /// How the stored pixels must be turned to stand upright. [`Photo::upright`] and [`Photo::preview`] have done so.
    pub fn orientation(&self) -> Orientation {
        self.header.facts.orientation
    }

    /// Bits per channel as stored: 1, 2, 4, 8 or 16.
    pub fn bits(&self) -> u8 {
        self.header.bits
    }

    /// Which colours the stored numbers stand for.
    pub fn colour(&self) -> &ColourFacts {
        &self.colour.facts
    }

    /// What the camera says about the taking.
    pub fn camera(&self) -> &CameraFacts {
        &self.header.facts.camera
    }

    /// The whole picture, upright and in sRGB.
    ///
    /// # Errors
    /// [`Fault::Damaged`] or [`Fault::CutShort`] if the pixels cannot all be read.
    pub fn upright(&self) -> Result<Picture, PhotoError> {
        self.finished(u32::MAX)
    }

    /// The picture, upright and in sRGB, reduced so that its longer side has `longest_side` pixels; a smaller picture keeps its
    /// size. `longest_side` 0 is taken for 1.
    ///
    /// # Errors
    /// As [`Photo::upright`].
    pub fn preview(&self, longest_side: u32) -> Result<Picture, PhotoError> {
        self.finished(longest_side.max(1))
    }

    /// The JPEG as it is, without its metadata, for a page that applies the orientation itself; whether it is whole is still to be
    /// [checked](EmbeddableJpeg::check). `None` if the photo is not a JPEG or its colours need converting first: then use
    /// [`Photo::as_jpeg`].
    pub fn embeddable_jpeg(&self) -> Option<EmbeddableJpeg> {
        let Kind::Jpeg(markers) = &self.kind else { return None };
        jpeg::embeddable(&self.bytes, markers, &self.colour, self.orientation(), &self.name)
    }

    /// The picture coded anew: upright, sRGB with its profile attached, full-resolution colour (4:4:4), without metadata.
    /// `quality` is 1 to 100, see [`Photo::PRINT_QUALITY`]. The same photo and quality always give the same bytes.
    ///
    /// # Errors
    /// As [`Photo::upright`].
    pub fn as_jpeg(&self, quality: u8) -> Result<Vec<u8>, PhotoError> {
        self.upright()?.to_jpeg(quality)
    }

    fn finished(&self, longest_side: u32) -> Result<Picture, PhotoError> {
        let format = self.format();
        guarded(format, || {
            let (width, height) = resample::fitted(self.header.width, self.header.height, longest_side);
            let raster = resample::reduced(self.decoded(width, height)?, width, height, format)?;
            let rgb = self.colour.to_srgb(raster, format)?;
            let (width, height, rgb) = self.orientation().apply(width, height, rgb);
            Picture::from_rgb(width, height, rgb).ok_or_else(|| Fault::damaged(format, "pixels are missing"))
        })
        .map_err(|fault| if self.stop.is_stopped() { Fault::Stopped } else { fault }.of(&self.name))
    }

    /// The stored picture, at full size or, where that is quicker, at a smaller one that is not below the wanted width and height.
    fn decoded(&self, width: u32, height: u32) -> Result<Raster, Fault> {
        match &self.kind {
            Kind::Jpeg(markers) => {
                let smaller = (width, height) != (self.header.width, self.header.height);
                jpeg::decode(&self.bytes, markers, smaller.then_some((width, height)), &self.stop)
            }
            Kind::Png => png::decode(&self.bytes, &self.stop),
            Kind::Tiff => tiff::decode(&self.bytes, &self.stop),
            Kind::WebP => webp::decode(&self.bytes, &self.stop),
        }
    }
}

impl fmt::Debug for Photo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Photo")
            .field("name", &self.name)
            .field("format", &self.format())
            .field("size", &self.size())
            .field("colour", &self.colour.facts)
            .finish_non_exhaustive()
    }
}

/// Runs a decoder over bytes that anyone may have written. The decoders are meant never to panic; should one, the file is told to
/// be damaged instead of the program ending, with everything the painter has not saved.
fn guarded<T>(format: Format, work: impl FnOnce() -> Result<T, Fault>) -> Result<T, Fault> {
    catch_unwind(AssertUnwindSafe(work))
        .unwrap_or_else(|_| Err(Fault::damaged(format, "the decoder gave up")))
}

/// Reads the file, unless it is larger than any photo.
fn read_bounded(path: &Path) -> Result<Vec<u8>, Fault> {
    let unreadable = |error: io::Error| match error.kind() {
        io::ErrorKind::NotFound => Fault::NotFound,
        _ => Fault::Unreadable(error),
    };
    let file = File::open(path).map_err(unreadable)?;
    let metadata = file.metadata().map_err(unreadable)?;
    if metadata.is_dir() {
        return Err(Fault::Folder);
    }
    let too_many = |bytes| Fault::TooManyBytes { bytes, limit: MAX_FILE_BYTES };
    if metadata.len() > MAX_FILE_BYTES {
        return Err(too_many(metadata.len()));
    }
    let mut bytes = Vec::with_capacity(metadata.len() as usize);
    // A pipe or a growing file may give more than its size said.
    file.take(MAX_FILE_BYTES + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    if bytes.len() as u64 > MAX_FILE_BYTES {
        return Err(too_many(bytes.len() as u64));
    }
    Ok(bytes)
}
