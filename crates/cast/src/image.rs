//! The picture: 8-bit sRGB pixels, and the JPEG made of them.

use jpeg_encoder::{ColorType, Encoder, EncodingError, SamplingFactor};

use crate::camera::Camera;
use crate::exif;

/// Highest quality tried, and the lowest that still counts as a good picture.
const QUALITIES: std::ops::RangeInclusive<u8> = 70..=96;

/// A rendered picture: rows of sRGB pixels from the top left corner.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Image {
    /// Width, pixels.
    pub width: u32,
    /// Height, pixels.
    pub height: u32,
    /// Red, green, blue of each pixel.
    pub rgb: Vec<u8>,
}

impl Image {
    /// The picture as a JPEG of at most `limit` bytes with the camera's facts in it, at the best quality that
    /// fits, or the lowest that still counts as a good picture.
    ///
    /// # Errors
    /// When the picture's sides do not fit a JPEG (over 65535 pixels).
    pub fn to_jpeg(&self, camera: &Camera, limit: usize) -> Result<Vec<u8>, EncodingError> {
        let mut jpeg = Vec::new();
        for quality in QUALITIES.rev().step_by(2) {
            jpeg = self.encode(camera, quality)?;
            if jpeg.len() <= limit {
                break;
            }
        }
        Ok(jpeg)
    }

    fn encode(&self, camera: &Camera, quality: u8) -> Result<Vec<u8>, EncodingError> {
        let mut jpeg = Vec::new();
        let mut encoder = Encoder::new(&mut jpeg, quality);
        encoder.set_sampling_factor(SamplingFactor::R_4_2_0);
        // Tables of its own would make the encoder write one scan for each colour component, which some decoders misread.
        encoder.set_optimized_huffman_tables(false);
        encoder.add_exif_metadata(&exif::facts(camera))?;
        let side = |n: u32| u16::try_from(n).unwrap_or(u16::MAX);
        encoder.encode(&self.rgb, side(self.width), side(self.height), ColorType::Rgb)?;
        Ok(jpeg)
    }
}
