//! The value at a spot.

use photo::Picture;
use plan::{Length, PhotoPoint};

use crate::munsell::value_of;
use crate::steps::in_pixels;
use crate::value_map::luminance_at;

/// The Munsell value, 0 to 10, of the mean light within a disc of `diameter` on the canvas around a point of the picture,
/// whose pixels are `pixel` large on the canvas. At least the pixel under the point counts. `None` outside the picture.
///
/// The point is in pixels of this very picture: for a reduced one it must be reduced too.
pub fn value_at(picture: &Picture, at: PhotoPoint, pixel: Length, diameter: Length) -> Option<f64> {
    let (width, height) = (f64::from(picture.width()), f64::from(picture.height()));
    if !((0.0..width).contains(&at.x) && (0.0..height).contains(&at.y)) {
        return None;
    }
    let radius = (in_pixels(diameter, pixel) / 2.0).min(width.hypot(height));
    let span = |middle: f64, end: f64| {
        ((middle - radius).max(0.0) as usize)..=((middle + radius).min(end - 1.0).max(0.0) as usize)
    };
    let mut light = 0.0;
    let mut pixels = 0.0;
    for row in span(at.y, height) {
        for column in span(at.x, width) {
            let away = (column as f64 + 0.5 - at.x).hypot(row as f64 + 0.5 - at.y);
            if away <= radius {
                light += f64::from(luminance_at(picture, column, row));
                pixels += 1.0;
            }
        }
    }
    if pixels == 0.0 {
        (light, pixels) = (f64::from(luminance_at(picture, at.x as usize, at.y as usize)), 1.0);
    }
    Some(value_of(light / pixels))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spot_has_the_value_of_the_mean_of_its_light() {
        // ASTM D1535 and IEC 61966-2-1: number 121 is value 5, number 200 value 8.
        let rgb: Vec<u8> = (0..40 * 40).flat_map(|at| [if at % 40 < 20 { 121 } else { 200 }; 3]).collect();
        let picture = Picture::from_rgb(40, 40, rgb).unwrap();
        let spot =
            |x, diameter| value_at(&picture, PhotoPoint::new(x, 20.0), Length::mm(0.5), Length::mm(diameter));
        assert!((spot(5.0, 2.0).unwrap() - 5.0).abs() < 0.03);
        assert!((spot(35.0, 0.0).unwrap() - 8.0).abs() < 0.03);
        // Half of each: the mean of their light, 38.4 %, is value 6.74.
        assert!((spot(20.0, 6.0).unwrap() - 6.74).abs() < 0.03);
        assert_eq!((spot(40.0, 1.0), spot(-0.1, 1.0), spot(f64::NAN, 1.0)), (None, None, None));
    }
}
