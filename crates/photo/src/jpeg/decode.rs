//! The pixels of a JPEG, whole or at a reduced size.

use jpeg_decoder::{Decoder, Error};

use super::markers::Markers;
use super::scans;
use crate::error::Fault;
use crate::format::Format;
use crate::picture::{Channels, Raster, Samples};
use crate::stop::{Stop, Watched};

/// Decodes the picture. With `at_least` (a width and height in stored pixels) it comes at the smallest of the sizes 1/1, 1/2,
/// 1/4 and 1/8 that is not below it, which skips most of the work.
pub(crate) fn decode(
    bytes: &[u8],
    markers: &Markers,
    at_least: Option<(u32, u32)>,
    stop: &Stop,
) -> Result<Raster, Fault> {
    // The decoder itself would fill in grey for what is missing. Where it needs little memory it may begin before that is known.
    let (mut samples, width, height) = if at_least.is_some() && !markers.frame.progressive {
        let (whole, decoded) =
            rayon::join(|| scans::check(bytes, markers, stop), || decode_leniently(bytes, at_least, stop));
        whole.and(decoded)?
    } else {
        scans::check(bytes, markers, stop)?;
        decode_leniently(bytes, at_least, stop)?
    };
    let channels = markers.channels();
    if channels == Channels::Cmyk && markers.adobe_transform.is_none() {
        // The decoder always inverts four channels, as files with Adobe's marker demand: those store the ink left out. Without
        // the marker the file stores the ink.
        for sample in &mut samples {
            *sample = 255 - *sample;
        }
    }
    Raster { width, height, channels, samples: Samples::Eight(samples) }.checked(Format::Jpeg)
}

/// Samples, width and height.
fn decode_leniently(
    bytes: &[u8],
    at_least: Option<(u32, u32)>,
    stop: &Stop,
) -> Result<(Vec<u8>, u32, u32), Fault> {
    let mut decoder = Decoder::new(Watched::new(bytes, stop));
    if let Some((width, height)) = at_least {
        decoder.scale(clamped(width), clamped(height)).map_err(fault)?;
    }
    let samples = decoder.decode().map_err(fault)?;
    let info = decoder.info().ok_or_else(|| Fault::damaged(Format::Jpeg, "no size after decoding"))?;
    Ok((samples, info.width.into(), info.height.into()))
}

fn clamped(side: u32) -> u16 {
    u16::try_from(side).unwrap_or(u16::MAX)
}

fn fault(error: Error) -> Fault {
    match error {
        Error::Unsupported(_) => Fault::unusual(Format::Jpeg, "of a rare variety"),
        other => Fault::damaged(Format::Jpeg, other.to_string()),
    }
}
