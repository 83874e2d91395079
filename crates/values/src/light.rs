//! Pixels and light: the numbers of sRGB as linear light and back.

use std::sync::LazyLock;

use photo::Picture;
use photo::srgb::{LUMINANCE, light_of, number_of};
use rayon::prelude::*;

/// How many levels of linear light the table back to sRGB tells apart, on a scale by square root.
const LEVELS: usize = 4096;

/// Tables between sRGB's numbers and linear light.
pub(crate) struct Light {
    /// The light, 0 to 1, that each number of a channel stands for.
    pub(crate) linear: [f32; 256],
    /// The same times the channel's share in luminance: red, green, blue.
    weighted: [[f32; 256]; 3],
    /// The number whose light is nearest, by the square root of light in even steps.
    encoded: Vec<u8>,
}

static LIGHT: LazyLock<Light> = LazyLock::new(Light::new);

/// The tables, made once.
pub(crate) fn light() -> &'static Light {
    &LIGHT
}

impl Light {
    fn new() -> Self {
        let exact: [f64; 256] = std::array::from_fn(|number| light_of(number as f64 / 255.0));
        let last = (LEVELS - 1) as f64;
        Self {
            linear: exact.map(|light| light as f32),
            weighted: LUMINANCE.map(|share| exact.map(|light| (light * share) as f32)),
            encoded: (0..LEVELS)
                .map(|at| (number_of((at as f64 / last).powi(2)) * 255.0).round() as u8)
                .collect(),
        }
    }

    /// The luminance of a pixel, 0 to 1.
    pub(crate) fn luminance(&self, [red, green, blue]: [u8; 3]) -> f32 {
        let [r, g, b] = &self.weighted;
        r[red as usize] + g[green as usize] + b[blue as usize]
    }

    /// The number for an amount of light from 0 to 1.
    pub(crate) fn encode(&self, light: f32) -> u8 {
        self.encoded[(light.clamp(0.0, 1.0).sqrt() * (LEVELS - 1) as f32 + 0.5) as usize]
    }
}

/// The three numbers of the pixel that begins at `at`.
pub(crate) fn pixel(rgb: &[u8], at: usize) -> [u8; 3] {
    [rgb[at], rgb[at + 1], rgb[at + 2]]
}

/// The picture without colour: each pixel the grey of its own luminance.
pub fn grey(picture: &Picture) -> Picture {
    let (light, width) = (light(), picture.width() as usize);
    let mut rgb = vec![0; picture.rgb().len()];
    rgb.par_chunks_mut(width * 3).zip(picture.rgb().par_chunks(width * 3)).for_each(|(row, from)| {
        for (pixel, from) in row.chunks_exact_mut(3).zip(from.chunks_exact(3)) {
            pixel.fill(light.encode(light.luminance([from[0], from[1], from[2]])));
        }
    });
    same_size(picture, rgb)
}

/// A picture of these pixels in the size of `like`.
pub(crate) fn same_size(like: &Picture, rgb: Vec<u8>) -> Picture {
    // As many bytes as `like` has always make a picture; should they not, it stays as it is.
    Picture::from_rgb(like.width(), like.height(), rgb).unwrap_or_else(|| like.clone())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_comes_back_from_its_light() {
        for number in 0..=255_u8 {
            assert_eq!(light().encode(light().linear[number as usize]), number);
            assert_eq!(light().encode(light().luminance([number; 3])), number);
        }
    }

    #[test]
    fn a_grey_picture_keeps_greys_and_turns_colours_into_their_luminance() {
        let picture = Picture::from_rgb(3, 1, vec![77, 77, 77, 255, 0, 0, 0, 255, 0]).unwrap();
        // 0.2126 and 0.7152 of the light, encoded: 127 and 220.
        assert_eq!(grey(&picture).rgb(), [77, 77, 77, 127, 127, 127, 220, 220, 220]);
    }
}
