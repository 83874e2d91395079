//! A picture to JPEG, for pages that cannot take the photo as it is.

use jpeg_encoder::{ColorType, Encoder, EncodingError, SamplingFactor};

use crate::colour::SRGB_PROFILE;
use crate::error::{Fault, PhotoError};
use crate::format::Format;
use crate::picture::Picture;

/// Encodes a picture with full-resolution colour (4:4:4), baseline, with this colour profile. The same picture and quality always
/// give the same bytes.
pub(crate) fn encode(picture: &Picture, quality: u8, profile: &[u8]) -> Result<Vec<u8>, EncodingError> {
    let mut jpeg = Vec::new();
    let mut encoder = Encoder::new(&mut jpeg, quality);
    encoder.set_sampling_factor(SamplingFactor::F_1_1);
    encoder.add_icc_profile(profile)?;
    let side = |pixels: u32| u16::try_from(pixels).unwrap_or(u16::MAX);
    encoder.encode(picture.rgb(), side(picture.width()), side(picture.height()), ColorType::Rgb)?;
    Ok(jpeg)
}

impl Picture {
    /// The picture as a JPEG: sRGB with its profile attached, full-resolution colour (4:4:4), without metadata.
    /// `quality` is 1 to 100. The same picture and quality always give the same bytes.
    ///
    /// # Errors
    /// When a side has more than 65 535 pixels, the most a JPEG can have.
    pub fn to_jpeg(&self, quality: u8) -> Result<Vec<u8>, PhotoError> {
        encode(self, quality.clamp(1, 100), SRGB_PROFILE)
            .map_err(|error| Fault::damaged(Format::Jpeg, error.to_string()).of("The picture"))
    }
}
