//! Pictures made smaller.
//!
//! Each new pixel is a weighted mean of all old ones that it covers (Lanczos windows of three lobes, widened by the reduction), so
//! that fine texture neither vanishes nor turns into false patterns. Samples are averaged as stored (gamma-encoded), as JPEG's own
//! reduced decoding does and libvips and Pillow do by default: in linear light the same filter leaves dark halos at edges, and the
//! difference is only seen where black and white alternate from pixel to pixel.

use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{PixelType, ResizeAlg, ResizeOptions, Resizer};

use crate::error::Fault;
use crate::format::Format;
use crate::picture::{Channels, Raster, Samples};

/// Width and height with the same proportions whose longer side is `longest` pixels, but never larger than given and never 0.
pub(crate) fn fitted(width: u32, height: u32, longest: u32) -> (u32, u32) {
    let current = width.max(height);
    if current <= longest {
        return (width, height);
    }
    let scaled = |side: u32| {
        let rounded = (u64::from(side) * u64::from(longest) + u64::from(current) / 2) / u64::from(current);
        (rounded as u32).max(1)
    };
    (scaled(width), scaled(height))
}

/// The raster in this smaller size.
pub(crate) fn reduced(raster: Raster, width: u32, height: u32, format: Format) -> Result<Raster, Fault> {
    if (raster.width, raster.height) == (width, height) {
        return Ok(raster);
    }
    let channels = raster.channels;
    let from = (raster.width, raster.height);
    let samples = match &raster.samples {
        Samples::Eight(samples) => {
            let kind = match channels {
                Channels::Grey => PixelType::U8,
                Channels::Rgb => PixelType::U8x3,
                Channels::Cmyk => PixelType::U8x4,
            };
            Samples::Eight(resized(samples, from, (width, height), kind, format)?)
        }
        Samples::Sixteen(samples) => {
            let kind = match channels {
                Channels::Grey => PixelType::U16,
                Channels::Rgb => PixelType::U16x3,
                Channels::Cmyk => PixelType::U16x4,
            };
            let bytes: Vec<u8> = samples.iter().flat_map(|sample| sample.to_ne_bytes()).collect();
            let bytes = resized(&bytes, from, (width, height), kind, format)?;
            Samples::Sixteen(bytes.chunks_exact(2).map(|two| u16::from_ne_bytes([two[0], two[1]])).collect())
        }
    };
    Raster { width, height, channels, samples }.checked(format)
}

fn resized(
    samples: &[u8],
    from: (u32, u32),
    to: (u32, u32),
    kind: PixelType,
    format: Format,
) -> Result<Vec<u8>, Fault> {
    let source = ImageRef::new(from.0, from.1, samples, kind)
        .map_err(|error| Fault::damaged(format, error.to_string()))?;
    let mut smaller = Image::new(to.0, to.1, kind);
    let options = ResizeOptions::new()
        .resize_alg(ResizeAlg::Convolution(fast_image_resize::FilterType::Lanczos3))
        .use_alpha(false);
    Resizer::new()
        .resize(&source, &mut smaller, &options)
        .map_err(|error| Fault::damaged(format, error.to_string()))?;
    Ok(smaller.into_vec())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longer_side_is_met_and_proportions_kept_but_nothing_is_enlarged() {
        assert_eq!(fitted(6000, 4000, 2048), (2048, 1365));
        assert_eq!(fitted(4000, 6000, 2048), (1365, 2048));
        assert_eq!(fitted(300, 200, 2048), (300, 200));
        assert_eq!(fitted(10_000, 2, 100), (100, 1));
    }

    #[test]
    fn a_fine_check_pattern_becomes_an_even_mean_without_false_patterns() {
        let (width, height) = (303, 302);
        let samples =
            (0..width * height).map(|i| if (i % width + i / width) % 2 == 0 { 255 } else { 0 }).collect();
        let checks = Raster { width, height, channels: Channels::Grey, samples: Samples::Eight(samples) };
        let smaller = reduced(checks, 50, 50, Format::Png).unwrap();
        let Samples::Eight(values) = smaller.samples else { panic!("depth changed") };
        assert!(values.iter().all(|value| (122..=133).contains(value)), "{values:?}");
    }

    #[test]
    fn sixteen_bits_stay_sixteen_bits() {
        let flat = Raster {
            width: 40,
            height: 30,
            channels: Channels::Rgb,
            samples: Samples::Sixteen(vec![12_345; 3 * 40 * 30]),
        };
        let smaller = reduced(flat, 20, 15, Format::Tiff).unwrap();
        assert_eq!(smaller.samples, Samples::Sixteen(vec![12_345; 3 * 20 * 15]));
    }
}
