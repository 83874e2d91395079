//! The photo as it goes into the file: its JPEG stream untouched, once, whatever the number of sheets.
//!
//! Typst would decode the whole picture only to learn its size (0.17 s for 24 megapixels, and 70 MB). It is given a
//! stand-in instead, a grey dot with the photo's colour profile, and lays that on the sheets; the dot's stream is then
//! exchanged for the photo's. Size and pixels are all that differ, so what Typst wrote about colour stays true.

use jpeg_decoder::{Decoder, PixelFormat};
use jpeg_encoder::{ColorType, Encoder, EncodingError};
use photo::{EmbeddableJpeg, Photo, PhotoError};
use plan::{PhotoPoint, PhotoSize};

use crate::packet::SheetsError;

/// A JPEG stream without private metadata, and how it is laid upright.
#[derive(Clone, Debug)]
pub struct PhotoStream {
    coded: Coded,
    stored: Stored,
    is_grey: bool,
    /// Its colour profile; without one its colours are sRGB.
    profile: Option<Vec<u8>>,
}

/// Where a stream comes from.
#[derive(Clone, Debug)]
enum Coded {
    /// From the photo as it is; whether it is whole is still to be checked.
    Own(EmbeddableJpeg),
    /// From decoded pixels.
    Anew(Vec<u8>),
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
    /// The photo's own stream where a PDF reader shows it in its true colours; else the photo coded anew. Whether its own stream
    /// is whole, [`packet`](crate::packet()) checks while it sets the sheets.
    ///
    /// # Errors
    /// When the photo is to be coded anew and turns out to be damaged.
    pub fn of(photo: &Photo) -> Result<Self, PhotoError> {
        if let Some(own) = photo.embeddable_jpeg().and_then(Self::untouched) {
            return Ok(own);
        }
        let photo::PhotoSize { width, height } = photo.size();
        let jpeg = photo.as_jpeg(Photo::PRINT_QUALITY)?;
        let stored = Stored { width, height, orientation: 1 };
        Ok(Self { coded: Coded::Anew(jpeg), stored, is_grey: false, profile: None })
    }

    /// The stream as it is; `None` if a PDF cannot hold its profile.
    fn untouched(own: EmbeddableJpeg) -> Option<Self> {
        let mut header = Decoder::new(own.bytes.as_slice());
        header.read_info().ok()?;
        let profile = header.icc_profile();
        if !profile.as_deref().is_none_or(fits_in_pdf) {
            return None;
        }
        let is_grey = header.info()?.pixel_format == PixelFormat::L8;
        let stored = Stored { width: own.width, height: own.height, orientation: own.orientation.exif() };
        Some(Self { coded: Coded::Own(own), stored, is_grey, profile })
    }

    /// The stream as it stands in the file.
    pub fn jpeg(&self) -> &[u8] {
        match &self.coded {
            Coded::Own(own) => &own.bytes,
            Coded::Anew(jpeg) => jpeg,
        }
    }

    /// Reads every code of the photo's own stream, which a viewer would fill up with grey where something is missing.
    ///
    /// # Errors
    /// When something is missing.
    pub(crate) fn check(&self) -> Result<(), PhotoError> {
        match &self.coded {
            Coded::Own(own) => own.check(),
            Coded::Anew(_) => Ok(()),
        }
    }

    /// Size and orientation of its pixels.
    pub fn stored(&self) -> Stored {
        self.stored
    }

    /// A grey dot with the photo's channels and colour profile.
    pub(crate) fn stand_in(&self) -> Result<Vec<u8>, SheetsError> {
        let told = |error: EncodingError| SheetsError::Setting(error.to_string());
        let mut dot = Vec::new();
        let mut encoder = Encoder::new(&mut dot, 90);
        if let Some(profile) = &self.profile {
            encoder.add_icc_profile(profile).map_err(told)?;
        }
        let (pixel, channels): (&[u8], _) =
            if self.is_grey { (&[128], ColorType::Luma) } else { (&[128; 3], ColorType::Rgb) };
        encoder.encode(pixel, 1, 1, channels).map_err(told)?;
        Ok(dot)
    }
}

/// Whether an ICC profile is of a version that PDF 1.7 holds, up to 4.2 (ISO 32000-1, 8.6.5.5), as our PDF writer judges
/// it: by a profile's bytes 8 and 9 (ICC.1:2010, 7.2.4), major and minor each by itself. Any other it would leave out,
/// and the colours would be taken for sRGB.
fn fits_in_pdf(profile: &[u8]) -> bool {
    matches!(profile, [_, _, _, _, _, _, _, _, major, minor, ..] if *major <= 4 && *minor >> 4 <= 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_of_the_stored_pixels_is_turned_as_the_camera_was_held() {
        let corner = |orientation| {
            let stored = Stored { width: 30, height: 20, orientation };
            let PhotoPoint { x, y } = stored.upright(PhotoPoint::new(1.0, 2.0));
            (x, y)
        };
        // CIPA DC-008, tag 0x0112: on which side of the upright picture the first row and the first column lie.
        let expected = [
            (1.0, 2.0),
            (29.0, 2.0),
            (29.0, 18.0),
            (1.0, 18.0),
            (2.0, 1.0),
            (18.0, 1.0),
            (18.0, 29.0),
            (2.0, 29.0),
        ];
        assert_eq!([1, 2, 3, 4, 5, 6, 7, 8].map(corner), expected);
    }

    #[test]
    fn a_profile_newer_than_the_file_allows_is_not_put_in() {
        let profile = |major, minor: u8| [&[0; 8], &[major, minor << 4, 0, 0][..]].concat();
        assert!(fits_in_pdf(&profile(2, 1)) && fits_in_pdf(&profile(4, 2)));
        assert!(!fits_in_pdf(&profile(4, 4)) && !fits_in_pdf(&profile(5, 0)) && !fits_in_pdf(&[]));
    }

    #[test]
    fn the_stand_in_has_the_photo_s_channels_and_profile() {
        let stored = Stored { width: 3, height: 2, orientation: 1 };
        let profile = vec![7; 70_000];
        let photo = PhotoStream {
            coded: Coded::Anew(Vec::new()),
            stored,
            is_grey: true,
            profile: Some(profile.clone()),
        };
        let dot = photo.stand_in().unwrap();
        let mut header = Decoder::new(dot.as_slice());
        header.read_info().unwrap();
        assert_eq!(header.info().unwrap().pixel_format, PixelFormat::L8);
        assert_eq!(header.icc_profile(), Some(profile));
    }
}
