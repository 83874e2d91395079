//! The photo reduced to about a megapixel: what outlines are looked for in.

use photo::Picture;
use rayon::prelude::*;

use crate::luma::{SHARES, linear_light};

/// The photo is halved until it has no more pixels than this: the canvas's edges are long, and noise and weave fade.
const MOST_PIXELS: usize = 1_300_000;

/// Added to light before its logarithm is taken, so that darkness does not turn noise into edges.
const DARK: f32 = 0.02;

/// How much a difference of colour counts against one of light: less, as telephones make more noise in colour, and store it
/// more coarsely.
const COLOUR: f32 = 0.6;

/// Light and colour of a point: the logarithm of light, and those of red and of blue against green, which no shadow changes
/// much, times [`COLOUR`].
pub(super) type Tone = [f32; 3];

/// The photo reduced, row after row from the top left.
#[derive(Clone, Debug)]
pub(crate) struct Reduced {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Size of its pixels in pixels of the photo.
    pub(super) scale: usize,
    pub(super) tones: Vec<Tone>,
}

impl Reduced {
    /// Each pixel the mean of a square of pixels in linear light; rows and columns that fill no square are left out.
    pub(crate) fn of(picture: &Picture) -> Self {
        let (full_width, full_height) = (picture.width() as usize, picture.height() as usize);
        let mut scale = 1;
        while (full_width / scale) * (full_height / scale) > MOST_PIXELS {
            scale *= 2;
        }
        let (width, height) = (full_width / scale, full_height / scale);
        let light = linear_light();
        let count = (scale * scale) as f32;
        let mut tones = vec![[0.0; 3]; width * height];
        tones.par_chunks_exact_mut(width).enumerate().for_each(|(row, line)| {
            for full in picture.rgb().chunks_exact(3 * full_width).skip(row * scale).take(scale) {
                for (sum, square) in line.iter_mut().zip(full.chunks_exact(3 * scale)) {
                    for pixel in square.chunks_exact(3) {
                        for (sum, code) in sum.iter_mut().zip(pixel) {
                            *sum += light[usize::from(*code)];
                        }
                    }
                }
            }
            for tone in line {
                *tone = Self::tone(tone.map(|sum| sum / count));
            }
        });
        Self { width, height, scale, tones }
    }

    fn tone(rgb: [f32; 3]) -> Tone {
        let light: f32 = rgb.iter().zip(SHARES).map(|(light, share)| light * share).sum();
        let [red, green, blue] = rgb.map(|light| (light + DARK).ln());
        [(light + DARK).ln(), COLOUR * (red - green), COLOUR * (blue - green)]
    }
}
