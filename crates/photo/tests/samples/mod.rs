//! Small picture files made in code, for the tests.
#![allow(dead_code, unreachable_pub, reason = "each test file uses some of them")]
#![allow(clippy::unwrap_used, reason = "a sample that cannot be made is a failed test")]

use std::borrow::Cow;
use std::io::Cursor;

use exif::{Field, In, Rational, Tag, Value};
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};

pub const WIDTH: u32 = 61;
pub const HEIGHT: u32 = 43;

/// A soft scene of all hues with a little texture; red, green, blue for each pixel.
pub fn scene() -> Vec<u8> {
    let mut rgb = Vec::new();
    for y in 0..HEIGHT {
        for x in 0..WIDTH {
            let texture = (x * 7 + y * 13) % 5;
            rgb.push((x * 4) as u8);
            rgb.push((y * 5 + texture) as u8);
            rgb.push((255 - x * 2 - y * 2) as u8);
        }
    }
    rgb
}

/// Mean difference between two lists of samples.
pub fn mean_difference(a: &[u8], b: &[u8]) -> f64 {
    assert_eq!(a.len(), b.len());
    a.iter().zip(b).map(|(a, b)| f64::from(a.abs_diff(*b))).sum::<f64>() / a.len() as f64
}

/// How a sample JPEG is coded.
#[derive(Debug, Clone, Copy)]
pub struct Jpeg {
    pub sampling: SamplingFactor,
    pub progressive: bool,
    pub restart_interval: u16,
}

pub const PLAIN_JPEG: Jpeg =
    Jpeg { sampling: SamplingFactor::F_2_2, progressive: false, restart_interval: 0 };

/// All the ways of coding that are tried.
pub fn jpeg_varieties() -> Vec<Jpeg> {
    let samplings = [
        SamplingFactor::F_1_1,
        SamplingFactor::F_2_1,
        SamplingFactor::F_1_2,
        SamplingFactor::F_2_2,
        SamplingFactor::F_4_1,
    ];
    let mut varieties = Vec::new();
    for sampling in samplings {
        for progressive in [false, true] {
            for restart_interval in [0, 3] {
                varieties.push(Jpeg { sampling, progressive, restart_interval });
            }
        }
    }
    varieties
}

impl Jpeg {
    /// The scene coded so, with these application segments.
    pub fn coded(self, segments: &[(u8, Vec<u8>)]) -> Vec<u8> {
        self.coded_as(ColorType::Rgb, &scene(), segments)
    }

    /// These samples coded so.
    pub fn coded_as(self, kind: ColorType, samples: &[u8], segments: &[(u8, Vec<u8>)]) -> Vec<u8> {
        let mut bytes = Vec::new();
        let mut encoder = Encoder::new(&mut bytes, 95);
        encoder.set_sampling_factor(self.sampling);
        encoder.set_progressive(self.progressive);
        if self.restart_interval > 0 {
            encoder.set_restart_interval(self.restart_interval);
        }
        for (number, data) in segments {
            encoder.add_app_segment(*number, data.clone()).unwrap();
        }
        encoder.encode(samples, WIDTH as u16, HEIGHT as u16, kind).unwrap();
        bytes
    }
}

/// An EXIF block with this orientation and what a camera and a careless client write.
pub fn exif_block(orientation: u16) -> Vec<u8> {
    let text = |text: &str| Value::Ascii(vec![text.as_bytes().to_vec()]);
    let degrees = || Value::Rational(vec![Rational { num: 41, denom: 1 }; 3]);
    let fields = [
        (Tag::Orientation, Value::Short(vec![orientation])),
        (Tag::FocalLength, Value::Rational(vec![Rational { num: 850, denom: 10 }])),
        (Tag::FocalLengthIn35mmFilm, Value::Short(vec![127])),
        (Tag::DateTimeOriginal, text("2024:05:17 14:03:22")),
        (Tag::Artist, text("SECRET-ARTIST")),
        (Tag::Copyright, text("SECRET-COPYRIGHT")),
        (Tag::ImageDescription, text("SECRET-CLIENT")),
        (Tag::GPSLatitudeRef, text("N")),
        (Tag::GPSLatitude, degrees()),
        (Tag::GPSLongitudeRef, text("W")),
        (Tag::GPSLongitude, degrees()),
        (Tag::GPSAreaInformation, Value::Undefined(b"SECRET-PLACE".to_vec(), 0)),
    ]
    .map(|(tag, value)| Field { tag, ifd_num: In::PRIMARY, value });
    let mut writer = exif::experimental::Writer::new();
    for field in &fields {
        writer.push_field(field);
    }
    let mut block = Cursor::new(Vec::new());
    writer.write(&mut block, false).unwrap();
    block.into_inner()
}

/// The same with the signature that a JPEG's segment begins with.
pub fn exif_segment(orientation: u16) -> Vec<u8> {
    [b"Exif\0\0".to_vec(), exif_block(orientation)].concat()
}

/// A PNG of these samples.
pub fn png(colour: png::ColorType, depth: png::BitDepth, data: &[u8], exif: Option<Vec<u8>>) -> Vec<u8> {
    let mut info = png::Info::with_size(WIDTH, HEIGHT);
    info.color_type = colour;
    info.bit_depth = depth;
    info.exif_metadata = exif.map(Cow::Owned);
    let mut bytes = Vec::new();
    let mut writer = png::Encoder::with_info(&mut bytes, info).unwrap().write_header().unwrap();
    writer.write_image_data(data).unwrap();
    writer.finish().unwrap();
    bytes
}

/// The scene as a PNG of 8 bits.
pub fn plain_png() -> Vec<u8> {
    png(png::ColorType::Rgb, png::BitDepth::Eight, &scene(), None)
}

/// The scene as a lossless WebP.
pub fn webp(exif: Option<Vec<u8>>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = image_webp::WebPEncoder::new(&mut bytes);
    if let Some(exif) = exif {
        encoder.set_exif_metadata(exif);
    }
    encoder.encode(&scene(), WIDTH, HEIGHT, image_webp::ColorType::Rgb8).unwrap();
    bytes
}

/// These samples as a TIFF.
pub fn tiff<C: tiff::encoder::colortype::ColorType>(
    samples: &[C::Inner],
    compression: tiff::encoder::Compression,
    orientation: u16,
) -> Vec<u8>
where
    [C::Inner]: tiff::encoder::TiffValue,
{
    let mut bytes = Cursor::new(Vec::new());
    let mut encoder = tiff::encoder::TiffEncoder::new(&mut bytes).unwrap().with_compression(compression);
    let mut image = encoder.new_image::<C>(WIDTH, HEIGHT).unwrap();
    image.encoder().write_tag(tiff::tags::Tag::Orientation, orientation).unwrap();
    image.write_data(samples).unwrap();
    bytes.into_inner()
}

/// The scene as a TIFF of 8 bits.
pub fn plain_tiff() -> Vec<u8> {
    tiff::<tiff::encoder::colortype::RGB8>(&scene(), tiff::encoder::Compression::Lzw, 1)
}
