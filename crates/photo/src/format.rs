//! Which kind of file it is, told from its first bytes; its name is never believed.

use std::fmt;

use crate::error::Fault;

/// A kind of picture file that is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// JPEG (ITU-T T.81).
    Jpeg,
    /// PNG (W3C PNG, ISO/IEC 15948).
    Png,
    /// TIFF 6.0.
    Tiff,
    /// WebP (RFC 9649).
    WebP,
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Jpeg => "JPEG",
            Self::Png => "PNG",
            Self::Tiff => "TIFF",
            Self::WebP => "WebP",
        })
    }
}

/// A kind of file that is recognised, so that the painter can be told what it is, but not read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unsupported {
    /// HEIC or HEIF, what many telephones save.
    Heif,
    /// AVIF.
    Avif,
    /// Moving pictures in the MP4 or `QuickTime` container.
    Video,
    /// A camera's raw file; which one, where it can be told.
    Raw(&'static str),
    /// JPEG XL.
    JpegXl,
    /// JPEG 2000.
    Jpeg2000,
    /// SVG.
    Svg,
    /// GIF.
    Gif,
    /// BMP.
    Bmp,
    /// PDF.
    Pdf,
    /// PostScript or EPS.
    PostScript,
    /// A layered document of an image editor (the PSD and PSB formats).
    LayeredDocument,
    /// `OpenEXR` or Radiance HDR.
    HighDynamicRange,
    /// A Windows icon.
    Icon,
    /// A page of text with markup, as when a web page was saved in the picture's place.
    WebPage,
    /// A ZIP archive, or a document that is one inside.
    Archive,
}

impl Unsupported {
    /// What it is, with its article: "a HEIC photo".
    pub fn name(self) -> String {
        match self {
            Self::Heif => "a HEIC photo".into(),
            Self::Avif => "an AVIF picture".into(),
            Self::Video => "a video".into(),
            Self::Raw(kind) => format!("a camera's raw file ({kind})"),
            Self::JpegXl => "a JPEG XL picture".into(),
            Self::Jpeg2000 => "a JPEG 2000 picture".into(),
            Self::Svg => "an SVG drawing".into(),
            Self::Gif => "a GIF picture".into(),
            Self::Bmp => "a BMP picture".into(),
            Self::Pdf => "a PDF document".into(),
            Self::PostScript => "a PostScript or EPS document".into(),
            Self::LayeredDocument => "a layered document (PSD or PSB)".into(),
            Self::HighDynamicRange => "a high dynamic range picture".into(),
            Self::Icon => "an icon".into(),
            Self::WebPage => "a web page, not a picture".into(),
            Self::Archive => "a ZIP archive".into(),
        }
    }

    /// What to do instead, as a sentence.
    pub fn advice(self) -> &'static str {
        match self {
            Self::Heif => {
                "On the phone share it as JPEG (choose the most compatible format), or open it in your photo program \
                 and export a JPEG; then open that."
            }
            Self::Video => "Save one still of it as JPEG and open that.",
            Self::Raw(_) => "Develop it in your camera's program, save a JPEG or TIFF, and open that.",
            Self::Svg | Self::Pdf | Self::PostScript => "Export it as PNG or JPEG and open that.",
            Self::WebPage => "Save the picture itself from the page and open that.",
            Self::Archive => "Unpack it and open the picture inside.",
            Self::Avif
            | Self::JpegXl
            | Self::Jpeg2000
            | Self::Gif
            | Self::Bmp
            | Self::LayeredDocument
            | Self::HighDynamicRange
            | Self::Icon => "Open it in your photo program, export a JPEG or PNG, and open that.",
        }
    }
}

/// Tells the format from the content.
pub(crate) fn sniff(bytes: &[u8]) -> Result<Format, Fault> {
    if bytes.is_empty() {
        return Err(Fault::Empty);
    }
    if bytes.starts_with(b"\xFF\xD8\xFF") {
        return Ok(Format::Jpeg);
    }
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        return Ok(Format::Png);
    }
    if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        return Ok(Format::WebP);
    }
    if let Some(raw) = raw_signature(bytes) {
        return Err(Fault::Unsupported(Unsupported::Raw(raw)));
    }
    // Classic and Big TIFF in either byte order. Raw files that look like plain TIFF are told apart by their tags.
    if [&b"II*\0"[..], b"MM\0*", b"II+\0", b"MM\0+"].iter().any(|magic| bytes.starts_with(magic)) {
        return Ok(Format::Tiff);
    }
    Err(unsupported(bytes).map_or(Fault::NotAPicture, Fault::Unsupported))
}

/// Raw formats with a signature of their own.
fn raw_signature(bytes: &[u8]) -> Option<&'static str> {
    let brand = bytes.get(4..12);
    if bytes.starts_with(b"II*\0") && bytes.get(8..10) == Some(b"CR") {
        return Some("CR2");
    }
    if brand == Some(b"ftypcrx ") {
        return Some("CR3");
    }
    let signatures: [(&[u8], &str); 7] = [
        (b"FUJIFILMCCD-RAW", "RAF"),
        (b"IIRO", "ORF"),
        (b"IIRS", "ORF"),
        (b"MMOR", "ORF"),
        (b"IIU\0", "RW2"),
        (b"FOVb", "X3F"),
        (b"\0MRM", "MRW"),
    ];
    signatures.iter().find(|(magic, _)| bytes.starts_with(magic)).map(|&(_, name)| name)
}

/// Other kinds that a painter may well pick by mistake.
fn unsupported(bytes: &[u8]) -> Option<Unsupported> {
    let signatures: [(&[u8], Unsupported); 20] = [
        (b"GIF8", Unsupported::Gif),
        (b"BM", Unsupported::Bmp),
        (b"%PDF", Unsupported::Pdf),
        (b"%!", Unsupported::PostScript),
        (b"\xC5\xD0\xD3\xC6", Unsupported::PostScript),
        (b"8BPS", Unsupported::LayeredDocument),
        (b"\xFF\x0A", Unsupported::JpegXl),
        (b"\0\0\0\x0CJXL ", Unsupported::JpegXl),
        (b"\0\0\0\x0CjP  ", Unsupported::Jpeg2000),
        (b"\xFF\x4F\xFF\x51", Unsupported::Jpeg2000),
        (b"v/1\x01", Unsupported::HighDynamicRange),
        (b"#?RADIANCE", Unsupported::HighDynamicRange),
        (b"#?RGBE", Unsupported::HighDynamicRange),
        (b"\0\0\x01\0", Unsupported::Icon),
        (b"\0\0\x02\0", Unsupported::Icon),
        (b"PK\x03\x04", Unsupported::Archive),
        (b"\x1A\x45\xDF\xA3", Unsupported::Video),
        (b"\0\0\x01\xBA", Unsupported::Video),
        (b"\0\0\x01\xB3", Unsupported::Video),
        (b"OggS", Unsupported::Video),
    ];
    if bytes.get(4..8) == Some(b"ftyp") {
        return Some(match bytes.get(8..12) {
            Some(b"avif" | b"avis") => Unsupported::Avif,
            // This brand is common to both; the list of compatible ones behind it decides.
            Some(b"mif1" | b"msf1") if lists_avif(bytes) => Unsupported::Avif,
            Some(b"heic" | b"heix" | b"hevc" | b"hevx" | b"heim" | b"heis" | b"mif1" | b"msf1") => {
                Unsupported::Heif
            }
            _ => Unsupported::Video,
        });
    }
    if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"AVI ") {
        return Some(Unsupported::Video);
    }
    signatures
        .iter()
        .find(|(magic, _)| bytes.starts_with(magic))
        .map(|&(_, kind)| kind)
        .or_else(|| markup(bytes))
}

/// Whether the list of brands at the start of the file has AVIF.
fn lists_avif(bytes: &[u8]) -> bool {
    const LOOKED_AT: usize = 64;
    bytes.chunks_exact(4).take(LOOKED_AT / 4).any(|brand| brand == b"avif")
}

/// SVG and web pages are text: looks for their root in the first few kilobytes.
fn markup(bytes: &[u8]) -> Option<Unsupported> {
    const LOOKED_AT: usize = 4096;
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(LOOKED_AT)]).to_ascii_lowercase();
    let head = head.trim_start_matches(['\u{feff}', ' ', '\t', '\r', '\n']);
    if !head.starts_with('<') {
        return None;
    }
    if head.contains("<svg") {
        Some(Unsupported::Svg)
    } else if head.contains("<html") || head.contains("<!doctype html") {
        Some(Unsupported::WebPage)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kind(bytes: &[u8]) -> String {
        match sniff(bytes) {
            Ok(format) => format.to_string(),
            Err(fault) => fault.to_string(),
        }
    }

    #[test]
    fn the_content_decides_the_kind() {
        assert_eq!(kind(b"\xFF\xD8\xFF\xE0"), "JPEG");
        assert_eq!(kind(b"\x89PNG\r\n\x1a\n...."), "PNG");
        assert_eq!(kind(b"MM\0*\0\0\0\x08"), "TIFF");
        assert_eq!(kind(b"RIFF\0\0\0\0WEBPVP8 "), "WebP");
    }

    #[test]
    fn what_cannot_be_opened_is_named_with_what_to_do() {
        let cases: [(&[u8], &str); 8] = [
            (b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
            (b"\0\0\0\x18ftypavif\0\0\0\0", "AVIF"),
            (b"II*\0\x10\0\0\0CR\x02\0", "CR2"),
            (b"<?xml version=\"1.0\"?><svg xmlns=", "SVG"),
            (b"<!DOCTYPE html><title>Not found", "web page"),
            (b"GIF89a", "GIF"),
            (b"%PDF-1.7", "PDF"),
            (b"plain words", "not a picture"),
        ];
        for (bytes, word) in cases {
            let message = kind(bytes);
            assert!(message.contains(word), "{message}");
            assert!(message.contains("open that") || message.contains("Open"), "says what to do: {message}");
        }
        assert!(matches!(sniff(b""), Err(Fault::Empty)));
    }
}
