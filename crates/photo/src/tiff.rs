//! TIFF 6.0: the first page's tags and pixels.

use exif::{Field, In, Value};
use tiff::decoder::{ChunkType, Decoder, DecodingResult, Limits, ifd};
use tiff::tags::{
    CompressionMethod, PhotometricInterpretation, PlanarConfiguration, Predictor, SampleFormat, Tag,
};
use tiff::{ColorType, Directory, TiffError, TiffUnsupportedError};

use crate::colour::ColourClaim;
use crate::error::Fault;
use crate::facts::{CameraFacts, Facts, camera_facts};
use crate::format::{Format, Unsupported};
use crate::header::Header;
use crate::jpeg;
use crate::limits::{ClaimedSize, MAX_DECODED_BYTES, MAX_PROFILE_BYTES, MAX_SIDE};
use crate::orientation::Orientation;
use crate::picture::{Channels, Raster, Sample, Samples, over_white, premultiplied_over_white};
use crate::stop::{Stop, Watched};

type TiffDecoder<'a> = Decoder<Watched<'a>>;

/// Reads the first page's header.
pub(crate) fn read_header(bytes: &[u8]) -> Result<Header, Fault> {
    let mut decoder = open(Watched::unstopped(bytes))?;
    if let Some(raw) = raw_kind(&mut decoder) {
        return Err(Fault::Unsupported(Unsupported::Raw(raw)));
    }
    let layout = Layout::read(&mut decoder)?;
    ClaimedSize {
        width: layout.width,
        height: layout.height,
        channels: layout.samples_per_pixel as u32,
        bytes_per_sample: u32::from(layout.bits.div_ceil(8)),
    }
    .check(bytes.len())?;
    check_chunks(&mut decoder, bytes)?;
    let claim = match decoder.find_tag(Tag::IccProfile).map_err(fault)? {
        // What is not even a list of bytes is a damaged profile.
        Some(icc) => ColourClaim::Icc(icc.into_u8_vec().unwrap_or_default()),
        None => ColourClaim::Untagged,
    };
    let orientation = decoder.find_tag_unsigned::<u32>(Tag::Orientation).ok().flatten();
    Ok(Header {
        width: layout.width,
        height: layout.height,
        bits: layout.bits,
        channels: layout.channels,
        claim,
        facts: Facts {
            orientation: orientation.map_or(Orientation::Upright, Orientation::from_exif),
            camera: exif_directory(&mut decoder).unwrap_or_default(),
            colour_space: None,
        },
    })
}

/// Decodes the first page, transparent pixels laid over white.
pub(crate) fn decode(bytes: &[u8], stop: &Stop) -> Result<Raster, Fault> {
    let mut decoder = open(Watched::new(bytes, stop))?;
    let layout = Layout::read(&mut decoder)?;
    let mut data = DecodingResult::U8(Vec::new());
    let planes = decoder.read_image_to_buffer(&mut data).map_err(fault)?.planes;
    let samples = match data {
        DecodingResult::U8(packed) => {
            let mut samples = layout.opaque(interleaved(unpacked(packed, &layout), planes));
            if layout.luma_chroma {
                samples.chunks_exact_mut(3).for_each(luma_chroma_to_rgb);
            }
            Samples::Eight(samples)
        }
        DecodingResult::U16(samples) => Samples::Sixteen(layout.opaque(interleaved(samples, planes))),
        _ => return Err(unusual("of an unusual number format")),
    };
    Raster { width: layout.width, height: layout.height, channels: layout.channels, samples }
        .checked(Format::Tiff)
}

fn open(bytes: Watched<'_>) -> Result<TiffDecoder<'_>, Fault> {
    let mut limits = Limits::default();
    limits.decoding_buffer_size = usize::try_from(MAX_DECODED_BYTES).unwrap_or(usize::MAX);
    limits.intermediate_buffer_size = limits.decoding_buffer_size;
    limits.ifd_value_size = MAX_PROFILE_BYTES;
    Ok(Decoder::new(bytes).map_err(fault)?.with_limits(limits))
}

/// How the first page's samples lie.
struct Layout {
    width: u32,
    height: u32,
    channels: Channels,
    /// Bits per sample as stored: 1, 2, 4, 8 or 16.
    bits: u8,
    /// Samples that the decoder gives for each pixel, extra ones included.
    samples_per_pixel: usize,
    opacity: Opacity,
    luma_chroma: bool,
}

/// What the sample behind the colours is.
#[derive(Clone, Copy, PartialEq)]
enum Opacity {
    /// There is none, or it means something else.
    None,
    /// The colours are stored as they are.
    Separate,
    /// The colours are stored multiplied by it.
    Premultiplied,
}

impl Layout {
    fn read(decoder: &mut TiffDecoder<'_>) -> Result<Self, Fault> {
        let (width, height) = decoder.dimensions().map_err(fault)?;
        let colour = decoder.colortype().map_err(fault)?;
        let (channels, bits) = match colour {
            ColorType::Gray(bits @ (1 | 2 | 4 | 8 | 16))
            | ColorType::Multiband { bit_depth: bits @ (8 | 16), num_samples: 2 } => (Channels::Grey, bits),
            ColorType::RGB(bits @ (8 | 16))
            | ColorType::RGBA(bits @ (8 | 16))
            | ColorType::YCbCr(bits @ 8) => (Channels::Rgb, bits),
            ColorType::CMYK(bits @ (8 | 16)) | ColorType::CMYKA(bits @ (8 | 16)) => (Channels::Cmyk, bits),
            other if ![1, 2, 4, 8, 16].contains(&other.bit_depth()) => {
                return Err(unusual(format!("of {} bits per channel", other.bit_depth())));
            }
            _ => return Err(unusual("of an unusual colour coding")),
        };
        refuse_what_the_library_gets_wrong(decoder, colour)?;
        let extra = decoder.find_tag_unsigned_vec::<u16>(Tag::ExtraSamples).map_err(fault)?;
        Ok(Self {
            width,
            height,
            channels,
            bits,
            samples_per_pixel: usize::from(colour.num_samples()),
            opacity: match extra.unwrap_or_default().first() {
                Some(1) => Opacity::Premultiplied,
                Some(2) => Opacity::Separate,
                // Some programs write four samples and do not say what the fourth is.
                None if matches!(colour, ColorType::RGBA(_)) => Opacity::Separate,
                _ => Opacity::None,
            },
            luma_chroma: matches!(colour, ColorType::YCbCr(_)),
        })
    }

    /// Takes away what stands behind the colours, laying them over white if it is opacity.
    fn opaque<S: Sample>(&self, mut samples: Vec<S>) -> Vec<S> {
        let colours = self.channels.count();
        if self.samples_per_pixel == colours {
            return samples;
        }
        match self.opacity {
            Opacity::Separate if self.channels != Channels::Cmyk => {
                over_white(&mut samples, self.samples_per_pixel);
            }
            Opacity::Premultiplied if self.channels != Channels::Cmyk => {
                premultiplied_over_white(&mut samples, self.samples_per_pixel);
            }
            // Ink over white paper is the ink itself; anything else behind the colours has no meaning here.
            _ => {
                let mut kept = 0;
                samples.retain(|_| {
                    kept += 1;
                    (kept - 1) % self.samples_per_pixel < colours
                });
            }
        }
        samples
    }
}

fn refuse_what_the_library_gets_wrong(decoder: &mut TiffDecoder<'_>, colour: ColorType) -> Result<(), Fault> {
    const REVERSED: u16 = 2;
    let formats = decoder.find_tag_unsigned_vec::<u16>(Tag::SampleFormat).map_err(fault)?.unwrap_or_default();
    let mut number =
        |tag| decoder.find_tag_unsigned::<u16>(tag).map(Option::unwrap_or_default).map_err(fault);
    let extra_samples = number(Tag::SamplesPerPixel)?.max(1) != colour.num_samples();
    let predicted = number(Tag::Predictor)? > Predictor::None.to_u16();
    let planar = number(Tag::PlanarConfiguration)? == PlanarConfiguration::Planar.to_u16();
    let reversed = number(Tag::FillOrder)? == REVERSED;
    if formats.iter().any(|&format| format != SampleFormat::Uint.to_u16()) {
        return Err(unusual("of an unusual number format"));
    }
    if extra_samples && predicted {
        // It drops the extra samples before it undoes the prediction, which needs them.
        return Err(unusual("of an unusual arrangement of channels"));
    }
    if planar && decoder.get_chunk_type() == ChunkType::Tile {
        // It counts the tiles of the second colour as lying below the picture.
        return Err(unusual("of tiles with the colours kept apart"));
    }
    if reversed && colour.bit_depth() < 8 {
        return Err(unusual("with the bits of each byte in reverse"));
    }
    Ok(())
}

/// Samples of less than 8 bits to one byte each, white being 255; each row begins on a byte.
fn unpacked(packed: Vec<u8>, layout: &Layout) -> Vec<u8> {
    let bits = usize::from(layout.bits);
    if bits >= 8 {
        return packed;
    }
    let width = layout.width as usize;
    let largest = (1_u8 << bits) - 1;
    packed
        .chunks_exact((width * bits).div_ceil(8))
        .flat_map(|row| {
            (0..width).map(move |x| {
                let bit = x * bits;
                let sample = row[bit / 8] >> (8 - bits - bit % 8) & largest;
                sample * (255 / largest)
            })
        })
        .collect()
}

/// Planes one behind the other to pixels.
fn interleaved<S: Copy + Default>(samples: Vec<S>, planes: usize) -> Vec<S> {
    if planes < 2 {
        return samples;
    }
    let pixels = samples.len() / planes;
    let mut pixelwise = vec![S::default(); pixels * planes];
    for (plane, values) in samples.chunks_exact(pixels).enumerate() {
        for (pixel, value) in pixelwise.chunks_exact_mut(planes).zip(values) {
            pixel[plane] = *value;
        }
    }
    pixelwise
}

/// Full-range luma and chroma by ITU-R BT.601, the default of TIFF 6.0, section 21, and of JPEG in TIFF.
fn luma_chroma_to_rgb(pixel: &mut [u8]) {
    let [luma, blue, red] = [f32::from(pixel[0]), f32::from(pixel[1]) - 128.0, f32::from(pixel[2]) - 128.0];
    let rgb = [luma + 1.402 * red, luma - 0.344_136 * blue - 0.714_136 * red, luma + 1.772 * blue];
    pixel.iter_mut().zip(rgb).for_each(|(to, value)| *to = value.round() as u8);
}

/// Checks that every strip or tile lies inside the file and, where it is a JPEG of its own, that it is whole and of a size that
/// fits its place: the decoder would fill in grey, or make room for whatever size it claims.
fn check_chunks(decoder: &mut TiffDecoder<'_>, bytes: &[u8]) -> Result<(), Fault> {
    let (width, height) = decoder.chunk_dimensions();
    if width > MAX_SIDE {
        return Err(damaged("a strip or tile is wider than any picture"));
    }
    let jpeg = decoder.find_tag_unsigned::<u16>(Tag::Compression).map_err(fault)?
        == Some(CompressionMethod::ModernJPEG.to_u16());
    for (offsets, counts) in
        [(Tag::StripOffsets, Tag::StripByteCounts), (Tag::TileOffsets, Tag::TileByteCounts)]
    {
        let offsets = decoder.find_tag_unsigned_vec::<u64>(offsets).map_err(fault)?.unwrap_or_default();
        let counts = decoder.find_tag_unsigned_vec::<u64>(counts).map_err(fault)?.unwrap_or_default();
        for (offset, count) in offsets.into_iter().zip(counts) {
            let range = usize::try_from(offset).ok().zip(usize::try_from(offset.saturating_add(count)).ok());
            let Some(chunk) = range.and_then(|(start, end)| bytes.get(start..end)) else {
                return Err(Fault::CutShort(Format::Tiff));
            };
            if jpeg && !jpeg::is_whole_and_within(chunk, width, height) {
                return Err(damaged("a strip or tile is not a whole JPEG of its size"));
            }
        }
    }
    Ok(())
}

/// Camera raw files are TIFF inside, and what can be read in them is only a small preview.
fn raw_kind(decoder: &mut TiffDecoder<'_>) -> Option<&'static str> {
    const DNG_VERSION: u16 = 50_706;
    const REDUCED: u32 = 1;
    let mut has = |tag| decoder.find_tag(tag).ok().flatten().is_some();
    if has(Tag::from_u16_exhaustive(DNG_VERSION)) {
        return Some("DNG");
    }
    // The full picture is in a sub-directory, and the first page is only a reduced one of it, from a camera.
    let in_sub_directory = has(Tag::SubIfd) && has(Tag::Make);
    let kind = decoder.find_tag_unsigned::<u32>(Tag::NewSubfileType).ok().flatten();
    (in_sub_directory && kind.is_some_and(|kind| kind & REDUCED != 0)).then_some("NEF or similar")
}

/// The camera's facts in the Exif directory.
fn exif_directory(decoder: &mut TiffDecoder<'_>) -> Option<CameraFacts> {
    let pointer = decoder.find_tag(Tag::ExifDirectory).ok()??.into_ifd_pointer().ok()?;
    let directory: Directory = decoder.read_directory(pointer).ok()?;
    let mut fields = Vec::new();
    for tag in [exif::Tag::FocalLength, exif::Tag::FocalLengthIn35mmFilm, exif::Tag::DateTimeOriginal] {
        let mut reader = decoder.read_directory_tags(&directory);
        let value = match reader.find_tag(Tag::from_u16_exhaustive(tag.number())).ok().flatten() {
            Some(ifd::Value::Rational(num, denom)) => Value::Rational(vec![exif::Rational { num, denom }]),
            Some(ifd::Value::Short(number)) => Value::Short(vec![number]),
            Some(ifd::Value::Unsigned(number)) => Value::Long(vec![number]),
            Some(ifd::Value::Ascii(text)) => Value::Ascii(vec![text.into_bytes()]),
            _ => continue,
        };
        fields.push(Field { tag, ifd_num: In::PRIMARY, value });
    }
    Some(camera_facts(|tag| fields.iter().find(|field| field.tag == tag).cloned()))
}

fn damaged(detail: &str) -> Fault {
    Fault::damaged(Format::Tiff, detail)
}

fn unusual(variety: impl Into<String>) -> Fault {
    Fault::unusual(Format::Tiff, variety)
}

fn fault(error: TiffError) -> Fault {
    match error {
        TiffError::IoError(io) if io.kind() == std::io::ErrorKind::UnexpectedEof => {
            Fault::CutShort(Format::Tiff)
        }
        TiffError::UnsupportedError(TiffUnsupportedError::UnknownInterpretation) => {
            unusual("of a colour coding that only camera raw files use")
        }
        TiffError::UnsupportedError(TiffUnsupportedError::InterpretationWithBits(
            PhotometricInterpretation::CIELab,
            _,
        )) => unusual("in CIE L*a*b* colours"),
        TiffError::UnsupportedError(TiffUnsupportedError::UnsupportedCompressionMethod(_)) => {
            unusual("packed in an unusual way")
        }
        TiffError::UnsupportedError(_) => unusual("of a rare variety"),
        other => Fault::damaged(Format::Tiff, other.to_string()),
    }
}
