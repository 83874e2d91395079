//! The pixels of a JPEG, whole or at a reduced size.

use jpeg_decoder::{Decoder, Error};

use super::halves::Halves;
use super::markers::Markers;
use super::scans;
use crate::error::Fault;
use crate::format::Format;
use crate::picture::{Channels, Raster, Samples};
use crate::stop::{Stop, WatchedPieces};

/// Decodes the picture. With `at_least` (a width and height in stored pixels) it comes at the smallest of the sizes 1/1, 1/2,
/// 1/4 and 1/8 that is not below it, which skips most of the work.
pub(crate) fn decode(
    bytes: &[u8],
    markers: &Markers,
    at_least: Option<(u32, u32)>,
    stop: &Stop,
) -> Result<Raster, Fault> {
    let Decoded { mut samples, width, height } = match at_least {
        Some(_) if !markers.frame.progressive => decode_and_check(bytes, markers, at_least, stop)?,
        _ => {
            // The decoder itself would fill in grey for what is missing.
            scans::check(bytes, markers, stop)?;
            decode_leniently(&[bytes], at_least, stop)?
        }
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

/// The decoder's samples, row by row.
pub(super) struct Decoded {
    pub(super) samples: Vec<u8>,
    pub(super) width: u32,
    pub(super) height: u32,
}

/// Where the decoder needs little memory it begins before it is known that nothing is missing, and a large picture is decoded in
/// two halves at once.
fn decode_and_check(
    bytes: &[u8],
    markers: &Markers,
    at_least: Option<(u32, u32)>,
    stop: &Stop,
) -> Result<Decoded, Fault> {
    if let Some(halves) = Halves::of(bytes, markers) {
        let (width, _) = open(&[bytes], at_least, stop)?.1;
        if let Some(decoded) = halves.decode(width, stop)? {
            return Ok(decoded);
        }
    }
    let (whole, decoded) =
        rayon::join(|| scans::check(bytes, markers, stop), || decode_leniently(&[bytes], at_least, stop));
    whole.and(decoded)
}

/// Decodes the file that these pieces make.
pub(super) fn decode_leniently(
    pieces: &[&[u8]],
    at_least: Option<(u32, u32)>,
    stop: &Stop,
) -> Result<Decoded, Fault> {
    let (mut decoder, (width, height)) = open(pieces, at_least, stop)?;
    let samples = decoder.decode().map_err(fault)?;
    Ok(Decoded { samples, width, height })
}

/// A decoder, and the width and height at which it decodes.
fn open<'a>(
    pieces: &'a [&'a [u8]],
    at_least: Option<(u32, u32)>,
    stop: &Stop,
) -> Result<(Decoder<WatchedPieces<'a>>, (u32, u32)), Fault> {
    let mut decoder = Decoder::new(WatchedPieces::new(pieces, stop));
    let (width, height) = at_least.unwrap_or((MOST_SIDE, MOST_SIDE));
    let (width, height) = decoder.scale(clamped(width), clamped(height)).map_err(fault)?;
    Ok((decoder, (width.into(), height.into())))
}

/// The most pixels that a side of a JPEG can have.
const MOST_SIDE: u32 = u16::MAX as u32;

fn clamped(side: u32) -> u16 {
    side.min(MOST_SIDE) as u16
}

fn fault(error: Error) -> Fault {
    match error {
        Error::Unsupported(_) => Fault::unusual(Format::Jpeg, "of a rare variety"),
        other => Fault::damaged(Format::Jpeg, other.to_string()),
    }
}
