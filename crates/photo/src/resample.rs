//! Pictures made smaller.
//!
//! Each new pixel is a weighted mean of all old ones that it covers (Lanczos windows of three lobes, widened by the reduction), so
//! that fine texture neither vanishes nor turns into false patterns. Samples are averaged as stored (gamma-encoded), as JPEG's own
//! reduced decoding does and libvips and Pillow do by default: in linear light the same filter leaves dark halos at edges, and the
//! difference is only seen where black and white alternate from pixel to pixel.

use std::ops::Range;

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
            Samples::Eight(smaller(&samples, wide, narrow, channels, sides).map_err(fault)?)
        }
        Samples::Sixteen(samples) => Samples::Sixteen(
            smaller(&samples, |sample| sample, |sample| sample, channels, sides).map_err(fault)?,
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
    samples: &[S],
    wide: impl Fn(S) -> u16 + Copy + Send + Sync,
    narrow: impl Fn(u16) -> S + Copy + Send + Sync,
    channels: Channels,
    (from, to): ((u32, u32), (u32, u32)),
) -> Result<Vec<S>, String> {
    let count = to.0 as usize * to.1 as usize;
    let mut smaller = vec![S::default(); count * channels.count()];
    if channels == Channels::Rgb {
        let (pixels, _) = samples.as_chunks::<3>();
        let (into, _) = smaller.as_chunks_mut::<3>();
        let (old_width, new_width) = (from.0 as usize, to.0 as usize);
        // The largest pictures there are pass here: only what some rows are made of is held in 16 bits.
        into.par_chunks_mut(BAND as usize * new_width).enumerate().try_for_each(|(number, into)| {
            let rows = Rows::of_band(number as u32, from.1, to.1);
            let old = &pixels[rows.old.start * old_width..rows.old.end * old_width];
            let old: Vec<U16x3> = old.iter().map(|pixel| U16x3::new(pixel.map(wide))).collect();
            let mut new = vec![U16x3::new([0; 3]); rows.new.len() * new_width];
            let top = rows.new.start as f64 * rows.reduction - rows.old.start as f64;
            let crop = [top, rows.new.len() as f64 * rows.reduction];
            resize(&old, (from.0, rows.old.len() as u32), &mut new, (to.0, rows.new.len() as u32), crop)?;
            let new = &new[rows.before * new_width..];
            into.iter_mut().zip(new).for_each(|(into, from)| *into = from.0.map(narrow));
            Ok::<_, String>(())
        })?;
        return Ok(smaller);
    }
    let channels = channels.count();
    let all = [0.0, f64::from(from.1)];
    let mut reduced = vec![U16::new(0); count];
    for channel in 0..channels {
        let of_channel = samples.iter().skip(channel).step_by(channels);
        let plane: Vec<U16> = of_channel.map(|sample| U16::new(wide(*sample))).collect();
        resize(&plane, from, &mut reduced, to, all)?;
        for (into, from) in smaller.iter_mut().skip(channel).step_by(channels).zip(&reduced) {
            *into = narrow(from.0);
        }
    }
    Ok(smaller)
}

/// New rows that are made together.
const BAND: u32 = 128;

/// New rows made on either side of them and thrown away again, so that each row of the band has all the old ones that it covers:
/// three lobes reach over three new rows.
const MARGIN: u32 = 4;

/// The rows of a band with its margins.
struct Rows {
    new: Range<usize>,
    /// How many of them are the margin before the band.
    before: usize,
    /// The old rows that these cover.
    old: Range<usize>,
    /// Old rows to a new one.
    reduction: f64,
}

impl Rows {
    fn of_band(number: u32, old_height: u32, new_height: u32) -> Self {
        let first = number * BAND;
        let (start, end) = (first.saturating_sub(MARGIN), (first + BAND + MARGIN).min(new_height));
        let reduction = f64::from(old_height) / f64::from(new_height);
        let old_start = (f64::from(start) * reduction).floor() as usize;
        let old_end = (f64::from(end) * reduction).ceil().min(f64::from(old_height)) as usize;
        Self {
            new: start as usize..end as usize,
            before: (first - start) as usize,
            old: old_start..old_end,
            reduction,
        }
    }
}

/// Reduces pixels, of whose rows those count that begin at the first number of `crop` and are as many as the second.
fn resize<P: PixelTrait>(
    pixels: &[P],
    from: (u32, u32),
    reduced: &mut [P],
    to: (u32, u32),
    [top, height]: [f64; 2],
) -> Result<(), String> {
    // What is rounded may not reach beyond the last row.
    let height = height.min(f64::from(from.1) - top);
    let source = TypedImageRef::new(from.0, from.1, pixels).map_err(|error| error.to_string())?;
    let mut into = TypedImage::from_pixels_slice(to.0, to.1, reduced).map_err(|error| error.to_string())?;
    let options = ResizeOptions::new()
        .resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3))
        .use_alpha(false)
        .crop(0.0, top, f64::from(from.0), height);
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
    fn a_picture_made_in_bands_is_the_picture_made_at_once() {
        let (from, to) = ((31, 1001), (17, 613));
        let samples: Vec<u16> =
            (0..31 * 1001 * 3).map(|at: u32| (at.wrapping_mul(at) % 65_521) as u16).collect();
        let raster = Raster {
            width: 31,
            height: 1001,
            channels: Channels::Rgb,
            samples: Samples::Sixteen(samples.clone()),
        };
        let Samples::Sixteen(banded) = reduced(raster, to.0, to.1, Format::Png).unwrap().samples else {
            panic!("depth changed")
        };
        let pixels: Vec<U16x3> = samples.as_chunks::<3>().0.iter().map(|pixel| U16x3::new(*pixel)).collect();
        let mut whole = vec![U16x3::new([0; 3]); 17 * 613];
        resize(&pixels, from, &mut whole, to, [0.0, 1001.0]).unwrap();
        let whole = whole.iter().flat_map(|pixel| pixel.0);
        let furthest = banded.iter().zip(whole).map(|(one, other)| one.abs_diff(other)).max().unwrap();
        assert!(furthest <= 2, "{furthest}");
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
