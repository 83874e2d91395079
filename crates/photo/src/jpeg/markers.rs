//! The marker segments of a JPEG (ITU-T T.81, annex B): walked from start to end, so that a missing end is noticed.
//!
//! Decoders take a truncated JPEG for whole and fill in grey. Here every byte is passed over once, whether as part of a segment
//! or of entropy-coded data, until the end-of-image marker: without one the file is cut short. What lies behind that marker (a
//! second picture, a gain map, a film clip) is never looked at.

use std::ops::Range;

use memchr::memchr;

use crate::colour::ColourClaim;
use crate::error::Fault;
use crate::facts::{Facts, read_exif};
use crate::format::Format;
use crate::header::Header;
use crate::limits::{ClaimedSize, MAX_SCANS};
use crate::picture::Channels;

pub(super) const SOI: u8 = 0xD8;
pub(super) const EOI: u8 = 0xD9;
pub(super) const SOS: u8 = 0xDA;
pub(super) const DHT: u8 = 0xC4;
pub(super) const DQT: u8 = 0xDB;
pub(super) const DRI: u8 = 0xDD;
const JPG: u8 = 0xC8;
const DAC: u8 = 0xCC;
const DNL: u8 = 0xDC;
pub(super) const RST0: u8 = 0xD0;
pub(super) const RST7: u8 = 0xD7;
const TEM: u8 = 0x01;
pub(super) const APP0: u8 = 0xE0;
const APP1: u8 = 0xE1;
const APP2: u8 = 0xE2;
pub(super) const APP13: u8 = 0xED;
pub(super) const APP14: u8 = 0xEE;
pub(super) const APP15: u8 = 0xEF;
pub(super) const COM: u8 = 0xFE;

const ICC_SIGNATURE: &[u8] = b"ICC_PROFILE\0";
const ADOBE_SIGNATURE: &[u8] = b"Adobe";

/// One marker segment, or one scan with its entropy-coded data.
#[derive(Debug, Clone)]
pub(super) struct Segment {
    pub(super) marker: u8,
    /// From the marker's 0xFF to the end of the segment (of the entropy-coded data, for a scan), as a range of the file.
    pub(super) whole: Range<usize>,
    /// What follows the length.
    pub(super) content: Range<usize>,
}

/// Component of the frame header.
#[derive(Debug, Clone, Copy)]
pub(super) struct Component {
    pub(super) id: u8,
    pub(super) horizontal: u8,
    pub(super) vertical: u8,
    /// The number of its quantization table.
    pub(super) quantization: u8,
}

/// The frame header.
#[derive(Debug, Clone)]
pub(super) struct Frame {
    /// Where in the file its content begins.
    pub(super) content: usize,
    /// Neither extended nor progressive.
    pub(super) baseline: bool,
    pub(super) progressive: bool,
    pub(super) width: u16,
    pub(super) height: u16,
    pub(super) components: Vec<Component>,
}

/// All segments of the first picture, from after the start to before the end marker.
#[derive(Debug, Clone)]
pub(crate) struct Markers {
    pub(super) segments: Vec<Segment>,
    pub(super) frame: Frame,
    /// The colour transform in Adobe's APP14 segment, if there is one: 0 none, 1 YCbCr, 2 YCCK.
    pub(super) adobe_transform: Option<u8>,
}

impl Markers {
    /// What the components are, once decoded.
    pub(super) fn channels(&self) -> Channels {
        match self.frame.components.len() {
            1 => Channels::Grey,
            3 => Channels::Rgb,
            _ => Channels::Cmyk,
        }
    }
}

/// Reads what the markers say.
pub(crate) fn read_header(bytes: &[u8]) -> Result<(Header, Markers), Fault> {
    let markers = walk(bytes)?;
    let channels = markers.channels();
    let (width, height) = (u32::from(markers.frame.width), u32::from(markers.frame.height));
    let size = ClaimedSize { width, height, channels: channels.count() as u32, bytes_per_sample: 1 };
    size.check(bytes.len())?;
    let facts = exif(bytes, &markers.segments);
    let claim = match icc_profile(bytes, &markers.segments) {
        Some(icc) => ColourClaim::Icc(icc),
        None => facts.colour_claim(),
    };
    Ok((Header { width, height, bits: 8, channels, claim, facts }, markers))
}

/// Whether these bytes are a JPEG that reaches its end marker and is no larger than the strip or tile of a TIFF that it fills
/// (give or take one block of padding).
pub(crate) fn is_whole_and_within(bytes: &[u8], width: u32, height: u32) -> bool {
    const PADDING: u32 = 32;
    walk(bytes).is_ok_and(|markers| {
        u32::from(markers.frame.width) <= width.saturating_add(PADDING)
            && u32::from(markers.frame.height) <= height.saturating_add(PADDING)
    })
}

/// Walks all segments up to the end of the picture.
fn walk(bytes: &[u8]) -> Result<Markers, Fault> {
    let mut segments = Vec::new();
    let mut frame = None;
    let mut scans = 0;
    let mut at = 2;
    loop {
        let (start, marker) = next_marker(bytes, at)?;
        at = start + 2;
        match marker {
            EOI => break,
            SOI => return Err(damaged("a second start of image inside the first")),
            RST0..=RST7 | TEM => continue,
            _ => {}
        }
        let length = match bytes.get(at..at + 2) {
            Some(&[high, low]) => usize::from(u16::from_be_bytes([high, low])),
            _ => return Err(Fault::CutShort(Format::Jpeg)),
        };
        if length < 2 {
            return Err(damaged("a segment shorter than its own length"));
        }
        let content = at + 2..at + length;
        let Some(data) = bytes.get(content.clone()) else {
            return Err(Fault::CutShort(Format::Jpeg));
        };
        at = content.end;
        match marker {
            DHT | JPG | DAC => {}
            0xC0..=0xCF if frame.is_some() => return Err(hierarchical()),
            0xC0..=0xCF => frame = Some(read_frame(marker, content.start, data)?),
            SOS if frame.is_none() => return Err(damaged("a scan before the frame header")),
            SOS => {
                scans += 1;
                if scans > MAX_SCANS {
                    return Err(damaged("more scans than any encoder writes"));
                }
                at = end_of_scan(bytes, at)?;
            }
            DNL => return Err(Fault::unusual(Format::Jpeg, "without its height at the start")),
            _ => {}
        }
        segments.push(Segment { marker, whole: start..at, content });
    }
    let Some(frame) = frame.filter(|_| scans > 0) else {
        return Err(damaged("no picture before the end marker"));
    };
    let adobe_transform = segments
        .iter()
        .filter(|segment| segment.marker == APP14)
        .map(|segment| &bytes[segment.content.clone()])
        .find_map(|data| data.starts_with(ADOBE_SIGNATURE).then(|| data.get(11).copied())?);
    Ok(Markers { segments, frame, adobe_transform })
}

/// Finds the next marker at or after `at`; gives the place of its last 0xFF and its code. Stray bytes before it are passed over,
/// as all decoders do, because some cameras write them.
fn next_marker(bytes: &[u8], mut at: usize) -> Result<(usize, u8), Fault> {
    loop {
        match bytes.get(at..at + 2) {
            Some(&[0xFF, code]) if code != 0xFF && code != 0 => return Ok((at, code)),
            Some(_) => at += 1,
            None => return Err(Fault::CutShort(Format::Jpeg)),
        }
    }
}

/// Finds where the entropy-coded data that begins at `at` ends: at the first marker that is not a restart.
fn end_of_scan(bytes: &[u8], mut at: usize) -> Result<usize, Fault> {
    loop {
        let Some(found) = bytes.get(at..).and_then(|rest| memchr(0xFF, rest)) else {
            return Err(Fault::CutShort(Format::Jpeg));
        };
        at += found;
        match bytes.get(at + 1) {
            None => return Err(Fault::CutShort(Format::Jpeg)),
            Some(0 | RST0..=RST7) => at += 2,
            Some(0xFF) => at += 1,
            Some(_) => return Ok(at),
        }
    }
}

/// Reads the frame header (T.81, B.2.2).
fn read_frame(marker: u8, content: usize, data: &[u8]) -> Result<Frame, Fault> {
    match marker {
        0xC0..=0xC2 => {}
        0xC3 => return Err(Fault::unusual(Format::Jpeg, "a lossless one")),
        0xC9..=0xCB => return Err(Fault::unusual(Format::Jpeg, "arithmetic-coded")),
        _ => return Err(hierarchical()),
    }
    let &[precision, h1, h0, w1, w0, count, ref list @ ..] = data else {
        return Err(damaged("the frame header is too short"));
    };
    if precision != 8 {
        return Err(Fault::unusual(Format::Jpeg, format!("of {precision} bits per channel")));
    }
    if !matches!(count, 1 | 3 | 4) {
        return Err(Fault::unusual(Format::Jpeg, format!("of {count} channels")));
    }
    let components: Vec<Component> = list
        .chunks_exact(3)
        .map(|c| Component { id: c[0], horizontal: c[1] >> 4, vertical: c[1] & 15, quantization: c[2] })
        .collect();
    if components.len() != usize::from(count) || list.len() != 3 * components.len() {
        return Err(damaged("the frame header has the wrong length"));
    }
    if components.iter().any(|c| !(1..=4).contains(&c.horizontal) || !(1..=4).contains(&c.vertical)) {
        return Err(damaged("a sampling factor outside 1 to 4"));
    }
    if components.iter().any(|c| c.quantization > 3) {
        return Err(damaged("a quantization table that cannot be"));
    }
    if (1..components.len()).any(|at| components[..at].iter().any(|other| other.id == components[at].id)) {
        return Err(damaged("two channels of the same name"));
    }
    Ok(Frame {
        content,
        baseline: marker == 0xC0,
        progressive: marker == 0xC2,
        width: u16::from_be_bytes([w1, w0]),
        height: u16::from_be_bytes([h1, h0]),
        components,
    })
}

/// What the first EXIF segment says.
fn exif(bytes: &[u8], segments: &[Segment]) -> Facts {
    segments
        .iter()
        .filter(|segment| segment.marker == APP1)
        .map(|segment| &bytes[segment.content.clone()])
        .find(|data| data.starts_with(b"Exif\0"))
        .map(|data| read_exif(data.get(6..).unwrap_or_default()))
        .unwrap_or_default()
}

/// Puts the ICC profile together from its numbered parts (ICC.1, annex B.4). Parts that do not add up still give what is there:
/// it will not parse, and the painter is told that the profile is damaged.
fn icc_profile(bytes: &[u8], segments: &[Segment]) -> Option<Vec<u8>> {
    let mut parts: Vec<&[u8]> = segments
        .iter()
        .filter(|segment| segment.marker == APP2)
        .filter_map(|segment| bytes[segment.content.clone()].strip_prefix(ICC_SIGNATURE))
        .filter(|part| part.len() > 2)
        .collect();
    parts.sort_by_key(|part| part[0]);
    (!parts.is_empty()).then(|| parts.iter().flat_map(|part| &part[2..]).copied().collect())
}

/// The APP2 segments that carry this profile.
pub(super) fn icc_segments(icc: &[u8]) -> Vec<u8> {
    const MOST: usize = 65_535 - 2 - ICC_SIGNATURE.len() - 2;
    let count = icc.len().div_ceil(MOST);
    let mut segments = Vec::with_capacity(icc.len() + 20 * count);
    for (index, part) in icc.chunks(MOST).enumerate() {
        let length = (2 + ICC_SIGNATURE.len() + 2 + part.len()) as u16;
        segments.extend([0xFF, APP2]);
        segments.extend(length.to_be_bytes());
        segments.extend(ICC_SIGNATURE);
        segments.extend([index as u8 + 1, count as u8]);
        segments.extend(part);
    }
    segments
}

fn hierarchical() -> Fault {
    Fault::unusual(Format::Jpeg, "of several layers (hierarchical)")
}

fn damaged(detail: &str) -> Fault {
    Fault::damaged(Format::Jpeg, detail)
}
