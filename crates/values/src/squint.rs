//! Squint: the picture blurred, as through half-shut eyes.

use photo::Picture;
use plan::Length;
use rayon::prelude::*;

use crate::light::{light, same_size};
use crate::plane::{Plane, places};
use crate::steps::in_pixels;

/// The standard deviation of a Gaussian whose breadth at half its height is 1.
const SD_OF_BREADTH: f64 = 0.424_660_900_144_009_5;

/// The least standard deviation, in working pixels: enough that blocks of pixels do not show.
const LEAST_SD: f64 = 4.0;

/// The blurs that may be asked for; the widest leaves a head of life size without features.
pub const BLURS: std::ops::RangeInclusive<Length> = Length::mm(0.1)..=Length::mm(100.0);

/// The picture, whose pixels are `pixel` large on the canvas, blurred so that a point becomes a spot `breadth` wide on the
/// canvas: a Gaussian of that breadth at half its height, on linear light, as an eye out of focus mixes it.
pub fn squint(picture: &Picture, pixel: Length, breadth: Length) -> Picture {
    let breadth = breadth.max(*BLURS.start()).min(*BLURS.end());
    let sd = in_pixels(breadth, pixel).min(f64::from(picture.width().max(picture.height()))) * SD_OF_BREADTH;
    let scale = ((sd / LEAST_SD) as usize).max(1);
    // Taking blocks together and drawing between their middles blurs by itself; what is left is the Gaussian's.
    let block = scale as f64;
    let by_itself = if scale > 1 { block * block * (1.0 / 12.0 + 1.0 / 6.0) } else { 0.0 };
    let working_sd = (sd * sd - by_itself).max(0.0).sqrt() / block;
    let linear = &light().linear;
    let channel = |of: usize| Plane::block_means(picture, scale, |pixel| linear[usize::from(pixel[of])]);
    let channels: Vec<Plane> = (0..3).map(|of| channel(of).gaussian(working_sd)).collect();
    drawn(picture, &channels, scale)
}

/// The picture between the middles of the working pixels.
fn drawn(like: &Picture, channels: &[Plane], scale: usize) -> Picture {
    let (light, width, height) = (light(), like.width() as usize, like.height() as usize);
    let (columns, rows) = (channels[0].width, channels[0].height);
    let (across, down) = (places(width, columns, scale), places(height, rows, scale));
    let mut rgb = vec![0; width * height * 3];
    rgb.par_chunks_mut(width * 3).zip(&down).for_each(|(line, down)| {
        for (channel, plane) in channels.iter().enumerate() {
            // First between the two working rows, once for all pixels of the line.
            let (above, below) = (
                &plane.data[down.first * columns..][..columns],
                &plane.data[down.second * columns..][..columns],
            );
            let row: Vec<f32> = above.iter().zip(below).map(|(a, b)| a + (b - a) * down.share).collect();
            for (pixel, across) in line.chunks_exact_mut(3).zip(&across) {
                let (first, second) = (row[across.first], row[across.second]);
                pixel[channel] = light.encode(first + (second - first) * across.share);
            }
        }
    });
    same_size(like, rgb)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A white upright line of a few pixels on black, blurred: its breadth at half its height is what was asked for.
    #[test]
    fn a_thin_line_becomes_as_broad_as_was_asked() {
        for breadth in [6.0, 20.0, 61.0] {
            let (width, height) = (401_u32, 60_u32);
            let rgb: Vec<u8> =
                (0..width * height).flat_map(|at| [if (at % width) == 200 { 255 } else { 0 }; 3]).collect();
            let line = Picture::from_rgb(width, height, rgb).unwrap();
            let blurred = squint(&line, Length::mm(1.0), Length::mm(breadth));
            let row: Vec<f32> = blurred.rgb()[401 * 3 * 30..401 * 3 * 31]
                .chunks(3)
                .map(|p| light().linear[p[0] as usize])
                .collect();
            let sum: f32 = row.iter().sum();
            let sd =
                row.iter().enumerate().map(|(x, y)| (x as f32 - 200.0).powi(2) * y / sum).sum::<f32>().sqrt();
            let expected = (breadth * SD_OF_BREADTH) as f32;
            assert!((sd / expected - 1.0).abs() < 0.06, "{breadth}: {sd} {expected}");
        }
    }

    #[test]
    fn black_and_white_lines_mix_to_half_the_light_and_not_to_half_the_number() {
        let rgb: Vec<u8> = (0..100 * 100).flat_map(|at| [if at % 2 == 0 { 255 } else { 0 }; 3]).collect();
        let blurred = squint(&Picture::from_rgb(100, 100, rgb).unwrap(), Length::mm(1.0), Length::mm(20.0));
        // IEC 61966-2-1: half the light is the number 188.
        let middle = blurred.rgb()[(50 * 100 + 50) * 3];
        assert!((187..=189).contains(&middle), "{middle}");
    }

    #[test]
    fn a_flat_picture_stays_as_it_is_and_no_size_is_refused() {
        for (width, height) in [(1, 1), (7, 3), (50, 50)] {
            let flat = Picture::from_rgb(width, height, vec![99; (width * height * 3) as usize]).unwrap();
            for breadth in [f64::NAN, -1.0, 0.5, 1e9] {
                assert_eq!(squint(&flat, Length::mm(0.1), Length::mm(breadth)), flat);
            }
        }
    }
}
