//! The photo as it goes into the file: its JPEG stream untouched, once, whatever the number of sheets.
//!
//! Typst would decode the whole picture only to learn its size (0.17 s for 24 megapixels, and 70 MB). It is given a
//! stand-in instead, a grey dot with the photo's colour profile, and lays that on the sheets; the dot's stream is then
//! exchanged for the photo's. Size and pixels are all that differ, so what Typst wrote about colour stays true.

use jpeg_encoder::{ColorType, Encoder};
use plan::{PhotoPoint, PhotoSize};

use crate::packet::SheetsError;

/// A JPEG stream without private metadata, and what has to be known of it to lay it upright.
#[derive(Clone, Debug)]
pub struct PhotoStream {
    /// The JPEG stream as it shall stand in the file.
    pub jpeg: Vec<u8>,
    /// How its pixels are stored.
    pub stored: Stored,
    /// True when it has one channel, false when it has three.
    pub grey: bool,
    /// Its ICC colour profile, if it has one; else its colours are sRGB.
    pub profile: Option<Vec<u8>>,
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
    /// A grey dot with the photo's channels and colour profile.
    pub(crate) fn stand_in(&self) -> Result<Vec<u8>, SheetsError> {
        let told = |error: jpeg_encoder::EncodingError| SheetsError::Setting(error.to_string());
        let mut dot = Vec::new();
        let mut encoder = Encoder::new(&mut dot, 90);
        if let Some(profile) = &self.profile {
            encoder.add_icc_profile(profile).map_err(told)?;
        }
        let (pixel, channels): (&[u8], _) =
            if self.grey { (&[128], ColorType::Luma) } else { (&[128; 3], ColorType::Rgb) };
        encoder.encode(pixel, 1, 1, channels).map_err(told)?;
        Ok(dot)
    }
}
