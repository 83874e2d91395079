//! The photo as it goes into the file: its JPEG stream untouched, once, whatever the number of sheets.
//!
//! Typst would decode the whole picture only to learn its size (0.17 s for 24 megapixels, and 70 MB). It is given a
//! stand-in instead, a grey dot with the photo's colour profile, and lays that on the sheets; the dot's stream is then
//! exchanged for the photo's. Size and pixels are all that differ, so what Typst wrote about colour stays true.

use jpeg_decoder::{Decoder, PixelFormat};
use jpeg_encoder::{ColorType, Encoder, EncodingError};
use photo::{Photo, PhotoError};
use plan::{PhotoPoint, PhotoSize};

use crate::packet::SheetsError;

/// A JPEG stream without private metadata, and how it is laid upright.
#[derive(Clone, Debug)]
pub struct PhotoStream {
    jpeg: Vec<u8>,
    stored: Stored,
}

/// Size and orientation of the stored pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stored {
    /// Stored pixels in a row.
    pub width: u32,
    /// Stored rows.
    pub height: u32,
    /// How they are turned for looking at: 1 to 8 as in the EXIF standard (CIPA DC-008, tag 0x0112).
    pub orientation: u8,
}

impl Stored {
    /// The upright photo's size.
    pub const fn upright_size(&self) -> PhotoSize {
        match self.orientation {
            5..=8 => PhotoSize { width: self.height, height: self.width },
            _ => PhotoSize { width: self.width, height: self.height },
        }
    }

    /// Where a point of the stored pixels, counted from their top left corner, lies in the upright photo.
    pub(crate) fn upright(&self, PhotoPoint { x, y }: PhotoPoint) -> PhotoPoint {
        let (width, height) = (f64::from(self.width), f64::from(self.height));
        let (x, y) = match self.orientation {
            2 => (width - x, y),
            3 => (width - x, height - y),
            4 => (x, height - y),
            5 => (y, x),
            6 => (height - y, x),
            7 => (height - y, width - x),
            8 => (y, width - x),
            _ => (x, y),
        };
        PhotoPoint::new(x, y)
    }
}

impl PhotoStream {
    /// The photo's own stream where a PDF reader shows it in its true colours; else the photo coded anew.
    ///
    /// # Errors
    /// When the photo turns out to be damaged.
    pub fn of(photo: &Photo) -> Result<Self, PhotoError> {
        if let Some(own) = photo.embeddable_jpeg()? {
            let stored = Stored { width: own.width, height: own.height, orientation: own.orientation.exif() };
            return Ok(Self { jpeg: own.bytes, stored });
        }
        let photo::PhotoSize { width, height } = photo.size();
        let jpeg = photo.as_jpeg(Photo::PRINT_QUALITY)?;
        Ok(Self { jpeg, stored: Stored { width, height, orientation: 1 } })
    }

    /// The stream as it stands in the file.
    pub fn jpeg(&self) -> &[u8] {
        &self.jpeg
    }

    /// Size and orientation of its pixels.
    pub fn stored(&self) -> Stored {
        self.stored
    }

    /// A grey dot with the photo's channels and colour profile.
    pub(crate) fn stand_in(&self) -> Result<Vec<u8>, SheetsError> {
        let mut header = Decoder::new(self.jpeg.as_slice());
        header.read_info().map_err(|error| SheetsError::Setting(error.to_string()))?;
        let is_grey = header.info().is_some_and(|info| info.pixel_format == PixelFormat::L8);
        let told = |error: EncodingError| SheetsError::Setting(error.to_string());
        let mut dot = Vec::new();
        let mut encoder = Encoder::new(&mut dot, 90);
        if let Some(profile) = header.icc_profile() {
            encoder.add_icc_profile(&profile).map_err(told)?;
        }
        let (pixel, channels): (&[u8], _) =
            if is_grey { (&[128], ColorType::Luma) } else { (&[128; 3], ColorType::Rgb) };
        encoder.encode(pixel, 1, 1, channels).map_err(told)?;
        Ok(dot)
    }
}
