//! The photo of the canvas squared up: the canvas alone, seen straight on, at a known scale.

use photo::Picture;
use plan::{CanvasPoint, Quad};
use rayon::prelude::*;
use thiserror::Error;

use crate::pose::CanvasMap;

/// The most pixels of a squared-up photo: a canvas of 1 m square at 300 ppi, half a gigabyte of memory.
pub const MOST_SQUARED_UP: f64 = 150e6;

/// The squared-up photo would be too large.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
#[error(
    "The squared-up photo would have {:.0} megapixels, more than {:.0}. Choose fewer pixels to an inch.",
    pixels / 1e6,
    MOST_SQUARED_UP / 1e6
)]
pub struct TooManyPixels {
    /// How many it would have.
    pub pixels: f64,
}

/// The canvas within `canvas`'s bounds, `per_mm` pixels to a millimetre, its top left corner at the picture's. Bilinear;
/// where a pixel covers more than one of the photo's, several places of it are averaged.
///
/// # Errors
/// When it would have more than [`MOST_SQUARED_UP`] pixels.
pub fn squared_up(
    photo: &Picture,
    map: &CanvasMap,
    canvas: &Quad,
    per_mm: f64,
) -> Result<Picture, TooManyPixels> {
    let bounds = canvas.bounds();
    let [width, height] = [bounds.width, bounds.height].map(|side| (side.to_mm() * per_mm).round().max(1.0));
    let too_many = TooManyPixels { pixels: width * height };
    if !(width * height <= MOST_SQUARED_UP) {
        return Err(too_many);
    }
    let (left, top) = (bounds.origin.x.to_mm(), bounds.origin.y.to_mm());
    let covered = map.pixels_per_mm(bounds.centre()) / per_mm;
    let places = (covered.ceil() as usize).clamp(1, 4);
    let stride = 3 * width as usize;
    let mut rgb = vec![0; stride * height as usize];
    rgb.par_chunks_exact_mut(stride).enumerate().for_each(|(row, line)| {
        for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
            let mut sum = [0.0; 3];
            for place in 0..places * places {
                let share = |at: usize| (at as f64 + 0.5) / places as f64;
                let (x, y) = (column as f64 + share(place % places), row as f64 + share(place / places));
                let at = map.to_image(CanvasPoint::mm(left + x / per_mm, top + y / per_mm));
                for (sum, value) in sum.iter_mut().zip(between(photo, at.x, at.y)) {
                    *sum += value;
                }
            }
            for (code, sum) in pixel.iter_mut().zip(sum) {
                *code = (sum / (places * places) as f64).round() as u8;
            }
        }
    });
    Picture::from_rgb(width as u32, height as u32, rgb).ok_or(too_many)
}

/// The colour at a point, between the middles of the four pixels around it.
fn between(photo: &Picture, x: f64, y: f64) -> [f64; 3] {
    let (left, share_right) = neighbour(x, photo.width());
    let (top, share_down) = neighbour(y, photo.height());
    let right = (left + 1).min(photo.width() as usize - 1);
    let below = (top + 1).min(photo.height() as usize - 1);
    let at = |column: usize, row: usize| 3 * (row * photo.width() as usize + column);
    let corners = [at(left, top), at(right, top), at(left, below), at(right, below)];
    std::array::from_fn(|channel| {
        let [a, b, c, d] = corners.map(|at| f64::from(photo.rgb()[at + channel]));
        let above = a + (b - a) * share_right;
        let beneath = c + (d - c) * share_right;
        above + (beneath - above) * share_down
    })
}

/// The last pixel whose middle is not beyond `place`, and how far on the way to the next one's middle the place is.
fn neighbour(place: f64, count: u32) -> (usize, f64) {
    let last = f64::from(count) - 1.0;
    let place = if place.is_finite() { (place - 0.5).clamp(0.0, last) } else { 0.0 };
    (place as usize, place.fract())
}
