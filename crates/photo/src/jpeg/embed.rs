//! A copy of a JPEG for embedding in a PDF: the same coded picture, untouched, and nothing that tells about the client.

use super::markers::{APP0, APP14, APP15, COM, EOI, Markers, SOI, Segment, icc_segments, read_header};
use super::scans;
use crate::colour::Colour;
use crate::error::PhotoError;
use crate::format::Format;
use crate::guarded;
use crate::orientation::Orientation;
use crate::picture::Channels;
use crate::stop::Stop;

/// A JPEG without metadata, to be embedded as it is. Its codes have not been read yet: see [`EmbeddableJpeg::check`].
///
/// Kept are the coded picture, the colour profile, Adobe's colour transform marker (without it the colours cannot be decoded) and
/// a plain JFIF marker if there was one. Dropped are EXIF, XMP, IPTC, comments, makers' segments, previews, and everything behind
/// the end of the first picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EmbeddableJpeg {
    /// The file.
    pub bytes: Vec<u8>,
    /// Width in pixels as stored, before it is turned upright.
    pub width: u32,
    /// Height in pixels as stored, before it is turned upright.
    pub height: u32,
    /// How the page must turn it, since its EXIF is gone.
    pub orientation: Orientation,
    /// The name of the photo it is of, for messages.
    pub name: String,
}

impl EmbeddableJpeg {
    /// Reads every code of the picture to its end, which takes a third of the time of decoding it: a viewer or printer would
    /// put grey where data is missing, and say nothing.
    ///
    /// # Errors
    /// [`Fault::Damaged`](crate::Fault::Damaged) if something is missing or makes no sense.
    pub fn check(&self) -> Result<(), PhotoError> {
        guarded(Format::Jpeg, || {
            let (_, markers) = read_header(&self.bytes)?;
            scans::check(&self.bytes, &markers, &Stop::default())
        })
        .map_err(|fault| fault.of(&self.name))
    }
}

/// The copy, or `None` if a PDF reader could show it in other colours than we do: CMYK, RGB without a marker that says so, or a
/// profile for another kind of pixels.
pub(crate) fn embeddable(
    bytes: &[u8],
    markers: &Markers,
    colour: &Colour,
    orientation: Orientation,
    name: &str,
) -> Option<EmbeddableJpeg> {
    let channels = markers.channels();
    if channels == Channels::Cmyk || colour.mismatched || names_rgb_only_by_letters(markers) {
        return None;
    }
    let mut clean = Vec::with_capacity(bytes.len());
    clean.extend([0xFF, SOI]);
    if markers.segments.iter().any(|segment| is_jfif(bytes, segment)) {
        clean.extend(PLAIN_JFIF);
    }
    if let Some(transform) = markers.adobe_transform {
        clean.extend(ADOBE_BEFORE_TRANSFORM);
        clean.push(transform);
    }
    clean.extend(icc_segments(colour.profile.as_deref().unwrap_or_default()));
    for segment in &markers.segments {
        if !matches!(segment.marker, APP0..=APP15 | COM) {
            clean.extend(&bytes[segment.whole.clone()]);
        }
    }
    clean.extend([0xFF, EOI]);
    Some(EmbeddableJpeg {
        bytes: clean,
        width: markers.frame.width.into(),
        height: markers.frame.height.into(),
        orientation,
        name: name.to_owned(),
    })
}

/// JFIF 1.02 with square pixels of no stated density, and no preview, which could show more of the scene than the picture does.
const PLAIN_JFIF: &[u8] = b"\xFF\xE0\0\x10JFIF\0\x01\x02\0\0\x01\0\x01\0\0";

/// Adobe's APP14 segment, version 100, without flags, up to its last byte, which is the colour transform (Adobe Technical Note
/// 5116).
const ADOBE_BEFORE_TRANSFORM: &[u8] = &[0xFF, APP14, 0, 14, b'A', b'd', b'o', b'b', b'e', 0, 100, 0, 0, 0, 0];

fn is_jfif(bytes: &[u8], segment: &Segment) -> bool {
    segment.marker == APP0 && bytes[segment.content.clone()].starts_with(b"JFIF\0")
}

/// Components named `R`, `G`, `B` without Adobe's marker: decoders disagree on whether these are RGB.
fn names_rgb_only_by_letters(markers: &Markers) -> bool {
    let ids: Vec<u8> = markers.frame.components.iter().map(|component| component.id).collect();
    ids == *b"RGB" && markers.adobe_transform.is_none()
}
