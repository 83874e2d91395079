//! WebP: its size and its pixels, lossy or lossless.

use image_webp::{DecodingError, WebPDecoder};

use crate::colour::ColourClaim;
use crate::error::Fault;
use crate::facts::read_exif;
use crate::format::Format;
use crate::header::Header;
use crate::limits::{ClaimedSize, MAX_PROFILE_BYTES};
use crate::picture::{Channels, Raster, Samples, over_white};
use crate::stop::{Stop, Watched};

/// Reads the header; a file shorter than its own header says is cut short.
pub(crate) fn read_header(bytes: &[u8]) -> Result<Header, Fault> {
    let mut decoder = open(bytes, &Stop::default())?;
    let (width, height) = decoder.dimensions();
    let channels = if decoder.has_alpha() { 4 } else { 3 };
    ClaimedSize { width, height, channels, bytes_per_sample: 1 }.check(bytes.len())?;
    let facts = decoder.exif_metadata().ok().flatten().as_deref().map(read_exif).unwrap_or_default();
    let claim = match decoder.icc_profile().map_err(fault)? {
        Some(icc) => ColourClaim::Icc(icc),
        None => facts.colour_claim(),
    };
    Ok(Header { width, height, bits: 8, channels: Channels::Rgb, claim, facts })
}

/// Decodes the pixels, transparent ones laid over white. An animation gives its first picture.
pub(crate) fn decode(bytes: &[u8], stop: &Stop) -> Result<Raster, Fault> {
    let mut decoder = open(bytes, stop)?;
    let (width, height) = decoder.dimensions();
    let size = decoder.output_buffer_size().ok_or(Fault::TooLarge { width, height })?;
    let mut samples = vec![0; size];
    decoder.read_image(&mut samples).map_err(fault)?;
    if decoder.has_alpha() {
        over_white(&mut samples, 4);
    }
    Raster { width, height, channels: Channels::Rgb, samples: Samples::Eight(samples) }.checked(Format::WebP)
}

fn open<'a>(bytes: &'a [u8], stop: &Stop) -> Result<WebPDecoder<Watched<'a>>, Fault> {
    const RIFF_HEADER: u64 = 8;
    let stated = bytes.get(4..8).and_then(|four| four.try_into().ok()).map_or(0, u32::from_le_bytes);
    if RIFF_HEADER + u64::from(stated) > bytes.len() as u64 {
        return Err(Fault::CutShort(Format::WebP));
    }
    let mut decoder = WebPDecoder::new(Watched::new(bytes, stop)).map_err(fault)?;
    // The library's limit is for what stands beside the picture.
    decoder.set_memory_limit(MAX_PROFILE_BYTES);
    Ok(decoder)
}

fn fault(error: DecodingError) -> Fault {
    match error {
        DecodingError::IoError(io) if io.kind() == std::io::ErrorKind::UnexpectedEof => {
            Fault::CutShort(Format::WebP)
        }
        other => Fault::damaged(Format::WebP, other.to_string()),
    }
}
