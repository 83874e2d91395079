//! A photo taken: its pixels, its truth, and the file a phone would write.

use exif::experimental::Writer;
use exif::{Field, In, Tag, Value};
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use thiserror::Error;

use crate::scene::Truth;

/// A photo and its truth.
#[derive(Clone, Debug)]
pub struct Shot {
    /// Width, pixels.
    pub width: u32,
    /// Height, pixels.
    pub height: u32,
    /// Red, green, blue of each pixel in sRGB, row after row from the top left.
    pub rgb: Vec<u8>,
    /// What is true of it.
    pub truth: Truth,
    pub(crate) focal_35mm: f64,
    pub(crate) quality: u8,
}

/// Why a file cannot be written.
#[derive(Debug, Error)]
pub enum ShotError {
    /// A side over 65535 pixels.
    #[error("The photo does not fit a JPEG: {0}.")]
    Jpeg(#[from] jpeg_encoder::EncodingError),
    /// The camera's facts cannot be written.
    #[error("The camera's facts cannot be written: {0}.")]
    Facts(#[from] exif::Error),
}

impl Shot {
    /// The photo as a phone's file: JPEG with the camera's facts (Exif), at the scene's quality.
    ///
    /// # Errors
    /// When a side is over 65535 pixels.
    pub fn jpeg(&self) -> Result<Vec<u8>, ShotError> {
        let mut jpeg = Vec::new();
        let mut encoder = Encoder::new(&mut jpeg, self.quality.clamp(1, 100));
        encoder.set_sampling_factor(SamplingFactor::R_4_2_0);
        // Tables of its own would make the encoder write one scan for each colour component, which some decoders misread.
        encoder.set_optimized_huffman_tables(false);
        encoder.add_exif_metadata(&self.facts()?)?;
        let side = |n: u32| u16::try_from(n).unwrap_or(u16::MAX);
        encoder.encode(&self.rgb, side(self.width), side(self.height), ColorType::Rgb)?;
        Ok(jpeg)
    }

    /// The camera's facts as a TIFF block: upright, focal length equivalent, sRGB; no maker, no place.
    fn facts(&self) -> Result<Vec<u8>, exif::Error> {
        let equivalent = self.focal_35mm.round().clamp(0.0, f64::from(u16::MAX)) as u16;
        let fields = [
            field(Tag::Orientation, Value::Short(vec![1])),
            field(Tag::DateTimeOriginal, Value::Ascii(vec![TAKEN.to_vec()])),
            field(Tag::ExifVersion, Value::Undefined(b"0232".to_vec(), 0)),
            field(Tag::FocalLengthIn35mmFilm, Value::Short(vec![equivalent])),
            field(Tag::ColorSpace, Value::Short(vec![1])),
        ];
        let mut writer = Writer::new();
        for field in &fields {
            writer.push_field(field);
        }
        let mut block = std::io::Cursor::new(Vec::new());
        writer.write(&mut block, false)?;
        Ok(block.into_inner())
    }
}

/// When the photo was taken: invented.
const TAKEN: &[u8] = b"2024:11:02 15:10:00";

fn field(tag: Tag, value: Value) -> Field {
    Field { tag, ifd_num: In::PRIMARY, value }
}
