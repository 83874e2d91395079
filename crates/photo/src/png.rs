//! PNG: its chunks walked to the end, and its pixels.

use png::{BitDepth, ColorType, Decoder, Reader, Transformations};

use crate::colour::ColourClaim;
use crate::error::Fault;
use crate::facts::read_exif;
use crate::format::Format;
use crate::header::Header;
use crate::limits::ClaimedSize;
use crate::picture::{Channels, Raster, Samples, over_white};
use crate::stop::{Stop, Watched};

/// Reads the header; a file whose chunks do not reach the end chunk is cut short.
pub(crate) fn read_header(bytes: &[u8]) -> Result<Header, Fault> {
    walk(bytes)?;
    let reader = open(Watched::unstopped(bytes))?;
    let info = reader.info();
    let (width, height) = (info.width, info.height);
    let (colour, depth) = reader.output_color_type();
    let size = ClaimedSize {
        width,
        height,
        channels: colour.samples() as u32,
        bytes_per_sample: if depth == BitDepth::Sixteen { 2 } else { 1 },
    };
    size.check(bytes.len())?;
    let facts = info.exif_metadata.as_deref().map(read_exif).unwrap_or_default();
    Ok(Header {
        width,
        height,
        bits: info.bit_depth as u8,
        channels: channels(colour),
        claim: colour_claim(info).unwrap_or_else(|| facts.colour_claim()),
        facts,
    })
}

/// Decodes the pixels, transparent ones laid over white. An animated PNG gives its still picture.
pub(crate) fn decode(bytes: &[u8], stop: &Stop) -> Result<Raster, Fault> {
    let mut reader = open(Watched::new(bytes, stop))?;
    let (colour, depth) = reader.output_color_type();
    let (width, height) = (reader.info().width, reader.info().height);
    let size = reader.output_buffer_size().ok_or(Fault::TooLarge { width, height })?;
    let mut data = vec![0; size];
    reader.next_frame(&mut data).map_err(fault)?;
    let alpha = matches!(colour, ColorType::GrayscaleAlpha | ColorType::Rgba);
    let samples = if depth == BitDepth::Sixteen {
        let mut wide: Vec<u16> =
            data.chunks_exact(2).map(|two| u16::from_be_bytes([two[0], two[1]])).collect();
        drop(data);
        if alpha {
            over_white(&mut wide, colour.samples());
        }
        Samples::Sixteen(wide)
    } else {
        if alpha {
            over_white(&mut data, colour.samples());
        }
        Samples::Eight(data)
    };
    Raster { width, height, channels: channels(colour), samples }.checked(Format::Png)
}

fn open(bytes: Watched<'_>) -> Result<Reader<Watched<'_>>, Fault> {
    // The library's own limit of 64 MiB is for one row and for what stands beside the picture.
    let mut decoder = Decoder::new(bytes);
    // Palettes to RGB, less than 8 bits to 8, a transparent colour to an alpha channel.
    decoder.set_transformations(Transformations::EXPAND);
    decoder.set_ignore_text_chunk(true);
    decoder.read_info().map_err(fault)
}

fn channels(colour: ColorType) -> Channels {
    match colour {
        ColorType::Grayscale | ColorType::GrayscaleAlpha => Channels::Grey,
        ColorType::Rgb | ColorType::Rgba | ColorType::Indexed => Channels::Rgb,
    }
}

/// PNG, third edition, 4.3: of several claims, code points come before a profile, and that before the sRGB chunk. The old gamma
/// chunk alone is not used: programs wrote it without meaning it.
fn colour_claim(info: &png::Info<'_>) -> Option<ColourClaim> {
    if let Some(points) = &info.coding_independent_code_points {
        let profile = moxcms::CicpProfile {
            color_primaries: points.color_primaries.try_into().ok()?,
            transfer_characteristics: points.transfer_function.try_into().ok()?,
            matrix_coefficients: points.matrix_coefficients.try_into().ok()?,
            full_range: points.is_video_full_range_image,
        };
        return Some(ColourClaim::Cicp(profile));
    }
    if let Some(icc) = &info.icc_profile {
        return Some(ColourClaim::Icc(icc.to_vec()));
    }
    info.srgb.map(|_| ColourClaim::Srgb)
}

/// Passes over all chunks by their lengths.
fn walk(bytes: &[u8]) -> Result<(), Fault> {
    const SIGNATURE: usize = 8;
    const LENGTH_TYPE_AND_CHECK: usize = 12;
    let mut at = SIGNATURE;
    loop {
        let Some(&[a, b, c, d, ref kind @ ..]) = bytes.get(at..at + 8) else {
            return Err(Fault::CutShort(Format::Png));
        };
        let next = at + LENGTH_TYPE_AND_CHECK + u32::from_be_bytes([a, b, c, d]) as usize;
        if next > bytes.len() {
            return Err(Fault::CutShort(Format::Png));
        }
        if kind == b"IEND" {
            return Ok(());
        }
        at = next;
    }
}

fn fault(error: png::DecodingError) -> Fault {
    match error {
        png::DecodingError::IoError(io) if io.kind() == std::io::ErrorKind::UnexpectedEof => {
            Fault::CutShort(Format::Png)
        }
        other => Fault::damaged(Format::Png, other.to_string()),
    }
}
