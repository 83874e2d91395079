//! Pictures made smaller.
//!
//! Each new pixel is a weighted mean of all old ones that it covers (Lanczos windows of three lobes, widened by the reduction), so
//! that fine texture neither vanishes nor turns into false patterns. Samples are averaged as stored (gamma-encoded), as JPEG's own
//! reduced decoding does and libvips and Pillow do by default: in linear light the same filter leaves dark halos at edges, and the
//! difference is only seen where black and white alternate from pixel to pixel.

use fast_image_resize::images::{TypedImage, TypedImageRef};
use fast_image_resize::pixels::{U16, U16x3};
use fast_image_resize::{FilterType, PixelTrait, ResizeAlg, ResizeOptions, Resizer};
use rayon::prelude::*;

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
    let fault = |detail: String| Fault::damaged(format, detail);
    let sides = (from, to);
    let samples = match raster.samples {
        Samples::Eight(samples) => {
            let wide = |sample| u16::from(sample) * WIDER;
            let narrow = |sample: u16| (sample.saturating_add(WIDER / 2) / WIDER) as u8;
            Samples::Eight(smaller(samples, wide, narrow, channels, sides).map_err(fault)?)
        }
        Samples::Sixteen(samples) => Samples::Sixteen(
            smaller(samples, |sample| sample, |sample| sample, channels, sides).map_err(fault)?,
        ),
    };
    Raster { width, height, channels, samples }.checked(format)
}

/// The largest 16-bit sample over the largest 8-bit one.
const WIDER: u16 = 257;

/// Reduces samples that `wide` makes 16 bits wide and `narrow` as they were: the resizer is compiled for each kind of pixel, and for
/// those of 8 bits at fifteen times the length, so only for 16 bits; the colours of an RGB pixel together, all other channels by
/// themselves.
fn smaller<S: Copy + Default + Send + Sync>(
    samples: Vec<S>,
    wide: impl Fn(S) -> u16 + Copy + Send + Sync,
    narrow: impl Fn(u16) -> S + Copy + Send + Sync,
    channels: Channels,
    (from, to): ((u32, u32), (u32, u32)),
) -> Result<Vec<S>, String> {
    let count = to.0 as usize * to.1 as usize;
    let mut smaller = vec![S::default(); count * channels.count()];
    if channels == Channels::Rgb {
        let (whole, _) = samples.as_chunks::<3>();
        let pixels: Vec<U16x3> = whole.par_iter().map(|pixel| U16x3::new(pixel.map(wide))).collect();
        // The largest pictures there are pass here: one copy at a time.
        drop(samples);
        let mut reduced = vec![U16x3::new([0; 3]); count];
        resize(&pixels, from, &mut reduced, to)?;
        let (into, _) = smaller.as_chunks_mut::<3>();
        into.par_iter_mut().zip(&reduced).for_each(|(into, from)| *into = from.0.map(narrow));
        return Ok(smaller);
    }
    let channels = channels.count();
    let mut reduced = vec![U16::new(0); count];
    for channel in 0..channels {
        let of_channel = samples.iter().skip(channel).step_by(channels);
        let plane: Vec<U16> = of_channel.map(|sample| U16::new(wide(*sample))).collect();
        resize(&plane, from, &mut reduced, to)?;
        for (into, from) in smaller.iter_mut().skip(channel).step_by(channels).zip(&reduced) {
            *into = narrow(from.0);
        }
    }
    Ok(smaller)
}

fn resize<P: PixelTrait>(
    pixels: &[P],
    from: (u32, u32),
    reduced: &mut [P],
    to: (u32, u32),
) -> Result<(), String> {
    let source = TypedImageRef::new(from.0, from.1, pixels).map_err(|error| error.to_string())?;
    let mut into = TypedImage::from_pixels_slice(to.0, to.1, reduced).map_err(|error| error.to_string())?;
    let options =
        ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3)).use_alpha(false);
    Resizer::new().resize_typed(&source, &mut into, &options).map_err(|error| error.to_string())
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
