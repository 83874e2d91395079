//! What the camera wrote beside the picture, as far as it serves the painter: how it was held, focal length, date.
//!
//! Nothing that could point to a person or a place is read: no position, no names, no serial numbers, no comments, and not the
//! maker's own notes. Density ("72 dpi") is not read either: it says nothing about the size of anything.

use std::fmt;

use exif::{Exif, Field, In, Tag, Value};

use crate::colour::ColourClaim;
use crate::limits::MAX_EXIF_BYTES;
use crate::orientation::Orientation;

/// What the camera says about the taking of the photo.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CameraFacts {
    /// Focal length of the lens in millimetres.
    pub focal_length_mm: Option<f64>,
    /// Focal length in millimetres of a lens with the same view on 36 × 24 mm film; 8 to 1200, values outside are dropped
    /// because old cameras are known to write nonsense there.
    pub focal_length_35mm: Option<f64>,
    /// How many times the camera enlarged a part of its picture (digital zoom, Exif tag 0xA404); above 0, and 1 when it states
    /// that it did not.
    pub digital_zoom: Option<f64>,
    /// When the photo was taken, by the camera's clock.
    pub taken: Option<DateTaken>,
}

/// Date and time by the camera's clock, without a time zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct DateTaken {
    /// Year, 1800 to 9999.
    pub year: u16,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day, 1 to 31.
    pub day: u8,
    /// Hour, 0 to 23.
    pub hour: u8,
    /// Minute, 0 to 59.
    pub minute: u8,
    /// Second, 0 to 60.
    pub second: u8,
}

impl fmt::Display for DateTaken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { year, month, day, hour, minute, second } = self;
        write!(f, "{year:04}-{month:02}-{day:02} {hour:02}:{minute:02}:{second:02}")
    }
}

impl DateTaken {
    /// Reads Exif's `YYYY:MM:DD HH:MM:SS`; blanks, zeros and nonsense give nothing.
    fn from_exif(text: &[u8]) -> Option<Self> {
        let exif::DateTime { year, month, day, hour, minute, second, .. } =
            exif::DateTime::from_ascii(text).ok()?;
        let real = (1800..=9999).contains(&year)
            && (1..=12).contains(&month)
            && (1..=31).contains(&day)
            && hour < 24
            && minute < 60
            && second <= 60;
        real.then_some(Self { year, month, day, hour, minute, second })
    }
}

/// All that is taken from an EXIF block.
#[derive(Debug, Clone, Default)]
pub(crate) struct Facts {
    pub(crate) orientation: Orientation,
    pub(crate) camera: CameraFacts,
    /// The colours by name, without a profile.
    pub(crate) colour_space: Option<NamedColourSpace>,
}

#[derive(Debug, Clone, Copy)]
pub(crate) enum NamedColourSpace {
    Srgb,
    AdobeRgb,
}

impl Facts {
    /// What the camera says about the colours, for a file without a profile.
    pub(crate) fn colour_claim(&self) -> ColourClaim {
        match self.colour_space {
            None => ColourClaim::Untagged,
            Some(NamedColourSpace::Srgb) => ColourClaim::Srgb,
            Some(NamedColourSpace::AdobeRgb) => ColourClaim::AdobeRgb,
        }
    }
}

/// Reads an EXIF block, which is a small TIFF file, with or without `Exif\0\0` before it. A damaged block gives what can be read.
pub(crate) fn read_exif(block: &[u8]) -> Facts {
    let block = block.strip_prefix(b"Exif\0\0").unwrap_or(block);
    if block.len() > MAX_EXIF_BYTES {
        return Facts::default();
    }
    let mut reader = exif::Reader::new();
    reader.continue_on_error(true);
    let Ok(exif) = reader.read_raw(block.to_vec()).or_else(|e| e.distill_partial_result(|_| ())) else {
        return Facts::default();
    };
    Facts {
        orientation: uint(&exif, Tag::Orientation).map_or(Orientation::Upright, Orientation::from_exif),
        camera: camera_facts(|tag| exif.get_field(tag, In::PRIMARY).cloned()),
        colour_space: colour_space(&exif),
    }
}

/// The camera's facts from whatever can look up a primary field.
pub(crate) fn camera_facts(field: impl Fn(Tag) -> Option<Field>) -> CameraFacts {
    /// Longest lens believed, in millimetres: longer ones have been built only as single pieces.
    const LONGEST_MM: f64 = 2000.0;
    let real = |tag| field(tag).as_ref().and_then(|f| real_value(&f.value));
    CameraFacts {
        focal_length_mm: real(Tag::FocalLength).filter(|mm| *mm > 0.0 && *mm <= LONGEST_MM),
        focal_length_35mm: real(Tag::FocalLengthIn35mmFilm).filter(|mm| (8.0..=1200.0).contains(mm)),
        // Zero says that digital zoom was not used (Exif 3.0, 4.6.6).
        digital_zoom: real(Tag::DigitalZoomRatio)
            .filter(|zoom| (0.0..=100.0).contains(zoom))
            .map(|zoom| if zoom < 1.0 { 1.0 } else { zoom }),
        taken: field(Tag::DateTimeOriginal).and_then(|f| match f.value {
            Value::Ascii(lines) => DateTaken::from_exif(lines.first()?),
            _ => None,
        }),
    }
}

/// Exif tag 0xA001; for Adobe RGB it says only "uncalibrated", and DCF 2.0 (CIPA DC-009, "optional colour space") adds the
/// interoperability index `R03`.
fn colour_space(exif: &Exif) -> Option<NamedColourSpace> {
    const SRGB: u32 = 1;
    const UNCALIBRATED: u32 = 65_535;
    let index = exif.get_field(Tag::InteroperabilityIndex, In::PRIMARY).map(|f| &f.value);
    let r03 = matches!(index, Some(Value::Ascii(lines)) if lines.first().is_some_and(|line| line.starts_with(b"R03")));
    match uint(exif, Tag::ColorSpace)? {
        SRGB => Some(NamedColourSpace::Srgb),
        UNCALIBRATED if r03 => Some(NamedColourSpace::AdobeRgb),
        _ => None,
    }
}

fn uint(exif: &Exif, tag: Tag) -> Option<u32> {
    exif.get_field(tag, In::PRIMARY)?.value.get_uint(0)
}

fn real_value(value: &Value) -> Option<f64> {
    let real = match value {
        Value::Rational(list) => list.first()?.to_f64(),
        other => f64::from(other.get_uint(0)?),
    };
    real.is_finite().then_some(real)
}
