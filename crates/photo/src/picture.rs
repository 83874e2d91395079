//! Pixels: the finished upright sRGB [`Picture`], and the samples a decoder gives before they are colour-managed.

use crate::error::Fault;
use crate::format::Format;

/// An upright picture in 8-bit sRGB (IEC 61966-2-1).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    pub(crate) width: u32,
    pub(crate) height: u32,
    pub(crate) rgb: Vec<u8>,
}

impl Picture {
    /// A picture of these pixels: red, green, blue, row after row from the top left. `None` unless `rgb` has exactly
    /// `3 × width × height` bytes and no side is 0.
    pub fn from_rgb(width: u32, height: u32, rgb: Vec<u8>) -> Option<Self> {
        let bytes = 3 * u64::from(width) * u64::from(height);
        (bytes > 0 && bytes == rgb.len() as u64).then_some(Self { width, height, rgb })
    }

    /// Width in pixels, at least 1.
    pub fn width(&self) -> u32 {
        self.width
    }

    /// Height in pixels, at least 1.
    pub fn height(&self) -> u32 {
        self.height
    }

    /// Red, green, blue of each pixel, row after row from the top left; `3 × width × height` bytes.
    pub fn rgb(&self) -> &[u8] {
        &self.rgb
    }

    /// The same, given away.
    pub fn into_rgb(self) -> Vec<u8> {
        self.rgb
    }
}

/// Samples of one depth, as stored.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Samples {
    Eight(Vec<u8>),
    Sixteen(Vec<u16>),
}

/// What the channels of a pixel are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Channels {
    /// Black is 0.
    Grey,
    Rgb,
    /// Amounts of ink: no ink is 0.
    Cmyk,
}

impl Channels {
    pub(crate) fn count(self) -> usize {
        match self {
            Self::Grey => 1,
            Self::Rgb => 3,
            Self::Cmyk => 4,
        }
    }
}

/// A decoded picture as it is stored: neither upright nor in sRGB yet, but opaque.
#[derive(Debug, Clone)]
pub(crate) struct Raster {
    pub(crate) width: u32,
    pub(crate) height: u32,
    pub(crate) channels: Channels,
    pub(crate) samples: Samples,
}

impl Raster {
    /// Checks that the decoder gave as many samples as the size demands.
    pub(crate) fn checked(self, format: Format) -> Result<Self, Fault> {
        let expected = self.width as usize * self.height as usize * self.channels.count();
        let given = match &self.samples {
            Samples::Eight(samples) => samples.len(),
            Samples::Sixteen(samples) => samples.len(),
        };
        if given == expected {
            Ok(self)
        } else {
            Err(Fault::damaged(format, format!("{given} samples instead of {expected}")))
        }
    }
}

/// Lays pixels whose last channel is opacity over white, in place, and drops that channel.
///
/// Mixed as stored, without going to linear light, as web browsers do, so that soft edges look as they do there.
pub(crate) fn over_white<S: Sample>(samples: &mut Vec<S>, channels_with_alpha: usize) {
    drop_last_channel(samples, channels_with_alpha, S::over_white);
}

/// The same for colours that are stored already multiplied by their opacity.
pub(crate) fn premultiplied_over_white<S: Sample>(samples: &mut Vec<S>, channels_with_alpha: usize) {
    drop_last_channel(samples, channels_with_alpha, S::premultiplied_over_white);
}

fn drop_last_channel<S: Sample>(samples: &mut Vec<S>, channels: usize, mix: impl Fn(S, S) -> S) {
    let colours = channels - 1;
    let pixels = samples.len() / channels;
    for pixel in 0..pixels {
        let from = pixel * channels;
        let alpha = samples[from + colours];
        for channel in 0..colours {
            samples[pixel * colours + channel] = mix(samples[from + channel], alpha);
        }
    }
    samples.truncate(pixels * colours);
}

/// One sample of a pixel, whose largest value is white or full opacity.
pub(crate) trait Sample: Copy {
    /// This colour sample seen with the given opacity before white, rounded.
    fn over_white(self, alpha: Self) -> Self;
    /// The same for a colour sample that is stored multiplied by the opacity.
    fn premultiplied_over_white(self, alpha: Self) -> Self;
}

impl Sample for u8 {
    fn over_white(self, alpha: Self) -> Self {
        let (colour, alpha) = (u32::from(self), u32::from(alpha));
        ((colour * alpha + 255 * (255 - alpha) + 127) / 255) as u8
    }

    fn premultiplied_over_white(self, alpha: Self) -> Self {
        self.saturating_add(u8::MAX - alpha)
    }
}

impl Sample for u16 {
    fn over_white(self, alpha: Self) -> Self {
        let (colour, alpha) = (u64::from(self), u64::from(alpha));
        ((colour * alpha + 65_535 * (65_535 - alpha) + 32_767) / 65_535) as u16
    }

    fn premultiplied_over_white(self, alpha: Self) -> Self {
        self.saturating_add(u16::MAX - alpha)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn transparent_is_white_opaque_is_itself_and_half_is_between() {
        let mut pixels = vec![10_u8, 20, 30, 0, 10, 20, 30, 255, 0, 100, 255, 128];
        over_white(&mut pixels, 4);
        assert_eq!(pixels, [255, 255, 255, 10, 20, 30, 127, 177, 255]);
        let mut wide = vec![1000_u16, 0, 1000, 65_535];
        over_white(&mut wide, 2);
        assert_eq!(wide, [65_535, 1000]);
        let mut multiplied = vec![0_u8, 128, 128, 128];
        premultiplied_over_white(&mut multiplied, 2);
        assert_eq!(multiplied, [127, 255]);
    }

    #[test]
    fn a_picture_has_exactly_its_pixels() {
        assert!(Picture::from_rgb(2, 1, vec![0; 6]).is_some());
        assert!(Picture::from_rgb(2, 1, vec![0; 5]).is_none());
        assert!(Picture::from_rgb(0, 1, vec![]).is_none());
    }
}
