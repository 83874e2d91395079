//! The squared-up photo: the canvas as it would be seen from straight before it, at a known number of pixels to the inch.

use nalgebra::Vector2;
use photo::Picture;
use plan::Quad;
use rayon::prelude::*;
use thiserror::Error;

use crate::pose::CanvasMap;

/// Most pixels of a squared-up photo: that of a 40 x 50 in canvas at 200 pixels to the inch.
pub const MOST_PIXELS: u64 = 80_000_000;

/// Where the photo has more pixels than the result, up to this many squared are averaged for one.
const MOST_SAMPLES: u32 = 4;

/// Why a photo cannot be squared up so.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum RectifyError {
    /// Not a number of pixels to the inch.
    #[error("The squared-up photo needs between 10 and 1200 pixels to the inch.")]
    PixelsPerInch,
    /// More pixels than sense.
    #[error(
        "At {ppi:.0} pixels to the inch the squared-up photo would have {millions} million pixels. Choose fewer to the inch."
    )]
    TooLarge {
        /// Pixels to the inch asked for.
        ppi: f64,
        /// How many millions it would have.
        millions: u64,
    },
}

/// Squares up the canvas: the smallest upright rectangle around its outline at `ppi` pixels to the inch, sampled through
/// lens and homography. What the photo does not show is its nearest edge.
///
/// # Errors
/// When `ppi` is out of range or makes too many pixels.
pub fn rectified(
    picture: &Picture,
    map: &CanvasMap,
    canvas: &Quad,
    ppi: f64,
) -> Result<Picture, RectifyError> {
    if !(10.0..=1200.0).contains(&ppi) {
        return Err(RectifyError::PixelsPerInch);
    }
    let bounds = canvas.bounds();
    let pixels = |mm: f64| (mm / 25.4 * ppi).round().max(1.0) as u32;
    let (width, height) = (pixels(bounds.width.to_mm()), pixels(bounds.height.to_mm()));
    let count = u64::from(width) * u64::from(height);
    if count > MOST_PIXELS {
        return Err(RectifyError::TooLarge { ppi, millions: count.div_ceil(1_000_000) });
    }
    let millimetres = 25.4 / ppi;
    let origin = Vector2::new(bounds.origin.x.to_mm(), bounds.origin.y.to_mm());
    let per_pixel = map.pixels_per_mm(bounds.centre()) * millimetres;
    let samples = (per_pixel.round() as u32).clamp(1, MOST_SAMPLES);
    let mut rgb = vec![0_u8; count as usize * 3];
    rgb.par_chunks_exact_mut(width as usize * 3).enumerate().for_each(|(row, line)| {
        for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
            let corner = origin + Vector2::new(column as f64, row as f64) * millimetres;
            pixel.copy_from_slice(&mean(picture, map, corner, millimetres, samples));
        }
    });
    // The size was computed just so: there is no picture only if a side were zero, and it is at least one.
    Ok(Picture::from_rgb(width, height, rgb).unwrap_or_else(|| picture.clone()))
}

/// The mean colour over a square of the canvas.
fn mean(picture: &Picture, map: &CanvasMap, corner: Vector2<f64>, side: f64, samples: u32) -> [u8; 3] {
    let mut sum = [0.0; 3];
    for sample in 0..samples * samples {
        let off = Vector2::new(f64::from(sample % samples) + 0.5, f64::from(sample / samples) + 0.5);
        let at = map.pixel(corner + off * (side / f64::from(samples)));
        for (sum, value) in sum.iter_mut().zip(colour(picture, at)) {
            *sum += value;
        }
    }
    sum.map(|sum| (sum / f64::from(samples * samples)).round() as u8)
}

/// The colour at a point, bilinear between the middles of the four pixels around it.
fn colour(picture: &Picture, at: Vector2<f64>) -> [f64; 3] {
    let place = |place: f64, count: u32| {
        let place = if place.is_finite() { (place - 0.5).clamp(0.0, f64::from(count) - 1.0) } else { 0.0 };
        (place as usize, place.fract(), (place as usize + 1).min(count as usize - 1))
    };
    let (left, across, right) = place(at.x, picture.width());
    let (top, down, bottom) = place(at.y, picture.height());
    let rgb = picture.rgb();
    let value = |column: usize, row: usize, channel: usize| {
        f64::from(rgb[(row * picture.width() as usize + column) * 3 + channel])
    };
    [0, 1, 2].map(|channel| {
        let above = value(left, top, channel) * (1.0 - across) + value(right, top, channel) * across;
        let below = value(left, bottom, channel) * (1.0 - across) + value(right, bottom, channel) * across;
        above * (1.0 - down) + below * down
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::ImagePoint;
    use crate::pose::{Lens, View};
    use plan::{CanvasPoint, CanvasRect, Length};

    /// A photo whose red is its column and green its row, of a canvas of 100 x 80 mm seen through a bent lens.
    fn photo() -> (Picture, CanvasMap, Quad) {
        let rgb = (0..240 * 200_u32).flat_map(|at| [(at % 240) as u8, (at / 240) as u8, 7]).collect();
        let canvas: Quad = CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(100.0), Length::mm(80.0)).into();
        let corners =
            [(20.0, 22.0), (215.0, 30.0), (205.0, 180.0), (30.0, 175.0)].map(|(x, y)| ImagePoint::new(x, y));
        let view = View { middle: Vector2::new(120.0, 100.0), focal: 200.0 };
        let map = CanvasMap::through_corners(view, corners, &canvas, Lens { k1: -0.05, k2: 0.0 }).unwrap();
        (Picture::from_rgb(240, 200, rgb).unwrap(), map, canvas)
    }

    #[test]
    fn each_pixel_shows_the_point_that_the_map_says() {
        let (picture, map, canvas) = photo();
        let squared = rectified(&picture, &map, &canvas, 50.8).unwrap();
        assert_eq!((squared.width(), squared.height()), (200, 160));
        for (column, row) in [(0_u32, 0_u32), (100, 80), (199, 159), (30, 120)] {
            let mm = |at: u32| f64::midpoint(f64::from(at), 0.5);
            let seen = map.to_image(CanvasPoint::mm(mm(column), mm(row)));
            let at = ((row * 200 + column) * 3) as usize;
            assert!((f64::from(squared.rgb()[at]) - (seen.x - 0.5)).abs() <= 0.51, "{column} {row}");
            assert!((f64::from(squared.rgb()[at + 1]) - (seen.y - 0.5)).abs() <= 0.51, "{column} {row}");
        }
    }

    #[test]
    fn absurd_resolutions_are_refused() {
        let (picture, map, canvas) = photo();
        assert_eq!(rectified(&picture, &map, &canvas, f64::NAN), Err(RectifyError::PixelsPerInch));
        let mural: Quad = CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(5000.0), Length::mm(5000.0)).into();
        assert!(matches!(rectified(&picture, &map, &mural, 300.0), Err(RectifyError::TooLarge { .. })));
    }
}
