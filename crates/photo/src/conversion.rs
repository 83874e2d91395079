//! Stored samples to 8-bit sRGB.
//!
//! The profile's perceptual intent is followed, the one made for photographs. Press profiles are given black point compensation
//! (ISO 18619), as photo programs do: the darkest mixture of inks becomes black, or every shadow would look washed out.

use std::sync::Arc;

use moxcms::{
    CmsError, ColorProfile, Layout, Transform8BitExecutor, Transform16BitExecutor, TransformOptions,
};
use rayon::prelude::*;

use crate::picture::{Channels, Raster, Samples};
use crate::srgb::{LUMINANCE, light_of, number_of};

/// How samples become sRGB.
pub(crate) enum Conversion {
    /// The numbers are sRGB already, or grey on sRGB's scale.
    Plain,
    /// 8-bit grey or RGB through a profile.
    Eight(Arc<Transform8BitExecutor>),
    /// 16-bit samples, or inks of any depth, through a profile, and from the 16-bit sRGB it gives to 8 bits by a table.
    Sixteen { transform: Arc<Transform16BitExecutor>, narrow: Vec<u8> },
}

impl Conversion {
    /// The conversion by this profile, which must be one for these channels. `None` if it is damaged.
    pub(crate) fn by(profile: &ColorProfile, channels: Channels, sixteen: bool) -> Option<Self> {
        let layout = match channels {
            Channels::Grey => Layout::Gray,
            Channels::Rgb => Layout::Rgb,
            // Four channels of any meaning go by this name.
            Channels::Cmyk => Layout::Rgba,
        };
        let srgb = ColorProfile::new_srgb();
        let options = TransformOptions::default();
        if !sixteen && channels != Channels::Cmyk {
            return profile.create_transform_8bit(layout, &srgb, Layout::Rgb, options).ok().map(Self::Eight);
        }
        let transform = profile.create_transform_16bit(layout, &srgb, Layout::Rgb, options).ok()?;
        let black = if channels == Channels::Cmyk { darkest_ink(&*transform).ok()? } else { 0.0 };
        Some(Self::Sixteen { transform, narrow: narrowing_from(black) })
    }

    /// Converts a picture's samples; gives three bytes a pixel.
    pub(crate) fn apply(&self, raster: Raster) -> Result<Vec<u8>, CmsError> {
        let channels = raster.channels;
        match (self, raster.samples) {
            (Self::Plain, Samples::Eight(samples)) if channels == Channels::Rgb => Ok(samples),
            (Self::Eight(transform), Samples::Eight(samples)) => {
                in_strips(&samples, channels, |from, to| transform.transform(from, to))
            }
            (Self::Sixteen { transform, narrow }, Samples::Eight(samples)) => {
                in_strips(&samples, channels, |from, to| {
                    let wide: Vec<u16> = from.iter().map(|sample| u16::from(*sample) * 257).collect();
                    through(&**transform, &wide, narrow, to)
                })
            }
            (Self::Sixteen { transform, narrow }, Samples::Sixteen(samples)) => {
                in_strips(&samples, channels, |from, to| through(&**transform, from, narrow, to))
            }
            (_, Samples::Eight(samples)) => in_strips(&samples, channels, |from, to| {
                plain(from, to, channels, |sample| sample);
                Ok(())
            }),
            (_, Samples::Sixteen(samples)) => in_strips(&samples, channels, |from, to| {
                plain(from, to, channels, narrowed);
                Ok(())
            }),
        }
    }
}

/// Converts the samples strip by strip on all processors.
fn in_strips<S: Sync>(
    samples: &[S],
    channels: Channels,
    convert: impl Fn(&[S], &mut [u8]) -> Result<(), CmsError> + Sync,
) -> Result<Vec<u8>, CmsError> {
    /// Pixels in a strip: small enough for a processor's cache, large enough to make sharing out cheap.
    const STRIP: usize = 1 << 14;
    let mut rgb = vec![0; samples.len() / channels.count() * 3];
    rgb.par_chunks_mut(STRIP * 3)
        .zip(samples.par_chunks(STRIP * channels.count()))
        .try_for_each(|(to, from)| convert(from, to))?;
    Ok(rgb)
}

fn through(
    transform: &Transform16BitExecutor,
    from: &[u16],
    narrow: &[u8],
    to: &mut [u8],
) -> Result<(), CmsError> {
    let mut wide = vec![0; to.len()];
    transform.transform(from, &mut wide)?;
    to.iter_mut().zip(wide).for_each(|(to, wide)| *to = narrow[usize::from(wide)]);
    Ok(())
}

/// Grey or RGB on sRGB's own scale; inks never come here, since a profile is assumed for them.
fn plain<S: Copy>(from: &[S], to: &mut [u8], channels: Channels, narrow: impl Fn(S) -> u8) {
    for (from, to) in from.chunks_exact(channels.count()).zip(to.chunks_exact_mut(3)) {
        to.iter_mut().zip(from.iter().cycle()).for_each(|(to, from)| *to = narrow(*from));
    }
}

/// A 16-bit sample rounded to 8 bits.
fn narrowed(sample: u16) -> u8 {
    ((u32::from(sample) + 128) / 257) as u8
}

/// Luminance of all inks together, white being 1.
fn darkest_ink(transform: &Transform16BitExecutor) -> Result<f64, CmsError> {
    let mut darkest = [0; 3];
    transform.transform(&[u16::MAX; 4], &mut darkest)?;
    let light = darkest.map(|sample| light_of(f64::from(sample) / 65_535.0));
    Ok(light.iter().zip(LUMINANCE).map(|(light, share)| light * share).sum())
}

/// A table from 16-bit sRGB to 8-bit sRGB in which neutral light of this luminance becomes black and white stays white: in light,
/// each channel is shifted and stretched (ISO 18619, with black at 0 in sRGB). Luminance 0 only rounds.
fn narrowing_from(black: f64) -> Vec<u8> {
    (0..=u16::MAX)
        .map(|sample| {
            let light = light_of(f64::from(sample) / 65_535.0);
            let stretched = ((light - black) / (1.0 - black)).clamp(0.0, 1.0);
            (255.0 * number_of(stretched)).round() as u8
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_black_to_lift_the_table_only_rounds() {
        let table = narrowing_from(0.0);
        for sample in 0..=u16::MAX {
            assert_eq!(table[usize::from(sample)], narrowed(sample));
        }
    }

    #[test]
    fn the_darkest_ink_becomes_black_and_paper_stays_white() {
        let table = narrowing_from(light_of(30.0 / 255.0));
        assert_eq!((table[30 * 257], table[65_535]), (0, 255));
        assert!(table.is_sorted());
    }
}
