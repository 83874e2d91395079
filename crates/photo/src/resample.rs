//! Pictures made smaller.
//!
//! Each new pixel is a weighted mean of all old ones that it covers (Lanczos windows of three lobes, widened by the reduction), so
//! that fine texture neither vanishes nor turns into false patterns. Samples are averaged as stored (gamma-encoded), as JPEG's own
//! reduced decoding does and libvips and Pillow do by default: in linear light the same filter leaves dark halos at edges, and the
//! difference is only seen where black and white alternate from pixel to pixel.

use fast_image_resize::images::{TypedImage, TypedImageRef};
use fast_image_resize::pixels::{U8x3, U16};
use fast_image_resize::{FilterType, PixelTrait, ResizeAlg, ResizeOptions, Resizer};

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
    let (from, to) = ((raster.width, raster.height), (width, height));
    if from == to {
        return Ok(raster);
    }
    let channels = raster.channels;
    let count = channels.count();
    let fault = |detail: String| Fault::damaged(format, detail);
    // The resizer is compiled for each kind of pixel, at great length: so only for the common kind and for single channels of 16 bits.
    let samples = match raster.samples {
        Samples::Eight(samples) if channels == Channels::Rgb => {
            let mut smaller = vec![0; width as usize * height as usize * count];
            let source =
                TypedImageRef::from_buffer(from.0, from.1, &samples).map_err(|e| fault(e.to_string()))?;
            let into =
                TypedImage::from_buffer(width, height, &mut smaller).map_err(|e| fault(e.to_string()))?;
            resize::<U8x3>(&source, into).map_err(fault)?;
            Samples::Eight(smaller)
        }
        Samples::Eight(samples) => {
            let wide: Vec<u16> = samples.iter().map(|sample| u16::from(*sample) * WIDER).collect();
            let smaller = by_channel(&wide, count, from, to).map_err(fault)?;
            Samples::Eight(
                smaller.into_iter().map(|sample| (sample.saturating_add(WIDER / 2) / WIDER) as u8).collect(),
            )
        }
        Samples::Sixteen(samples) => Samples::Sixteen(by_channel(&samples, count, from, to).map_err(fault)?),
    };
    Raster { width, height, channels, samples }.checked(format)
}

/// The largest 16-bit sample over the largest 8-bit one.
const WIDER: u16 = 257;

/// Each channel by itself.
fn by_channel(
    samples: &[u16],
    channels: usize,
    from: (u32, u32),
    to: (u32, u32),
) -> Result<Vec<u16>, String> {
    let pixels = to.0 as usize * to.1 as usize;
    let mut smaller = vec![0; pixels * channels];
    let mut reduced = vec![U16::new(0); pixels];
    for channel in 0..channels {
        let plane: Vec<U16> =
            samples.iter().skip(channel).step_by(channels).map(|one| U16::new(*one)).collect();
        let source = TypedImageRef::new(from.0, from.1, &plane).map_err(|error| error.to_string())?;
        let into =
            TypedImage::from_pixels_slice(to.0, to.1, &mut reduced).map_err(|error| error.to_string())?;
        resize(&source, into)?;
        for (into, from) in smaller.iter_mut().skip(channel).step_by(channels).zip(&reduced) {
            *into = from.0;
        }
    }
    Ok(smaller)
}

fn resize<P: PixelTrait>(source: &TypedImageRef<'_, P>, mut into: TypedImage<'_, P>) -> Result<(), String> {
    let options =
        ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3)).use_alpha(false);
    Resizer::new().resize_typed(source, &mut into, &options).map_err(|error| error.to_string())
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
