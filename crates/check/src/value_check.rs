//! Values of the painting against the reference, box by box of the grid. Indicative only: a photo of wet paint under a lamp is
//! no measurement of it.

use nalgebra::Vector2;
use plan::CanvasRect;
use serde::Serialize;

use crate::camera::CanvasPhoto;
use crate::edges::median;
use crate::pose::CanvasMap;

/// Samples along each side of a box: enough for a mean that strokes do not sway.
const SAMPLES: u32 = 48;

/// Luminance below this share of white says nothing of the exposure.
const DARKEST: f64 = 0.005;

/// The values of all boxes, after the exposure of the painting's photo was fitted to the reference.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ValueCheck {
    /// By how many stops the painting's photo was brightened to match the reference over most boxes.
    pub exposure_stops: f64,
    /// Each box, in the order given.
    pub boxes: Vec<BoxValues>,
}

/// The mean values of one box, on the Munsell scale from 0 to 10.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BoxValues {
    /// Of the reference.
    pub reference: f64,
    /// Of the painting, exposure fitted.
    pub painting: f64,
}

impl BoxValues {
    /// By how much the painting is too light, in steps of value; below 0 too dark.
    pub fn too_light(&self) -> f64 {
        self.painting - self.reference
    }
}

impl ValueCheck {
    /// Compares the mean luminance of each box, 0 to 1, as pairs of reference and painting; `value_of` takes a luminance to
    /// Munsell value. The exposure is the median ratio, so that a few boxes painted wrong do not sway it.
    pub fn of(luminances: &[(f64, f64)], value_of: impl Fn(f64) -> f64) -> Self {
        let told = luminances.iter().filter(|(reference, painting)| reference.min(*painting) > DARKEST);
        let stops = median(told.map(|(reference, painting)| (reference / painting).log2())).unwrap_or(0.0);
        let boxes = luminances
            .iter()
            .map(|(reference, painting)| BoxValues {
                reference: value_of(*reference),
                painting: value_of((painting * stops.exp2()).min(1.0)),
            })
            .collect();
        Self { exposure_stops: stops, boxes }
    }
}

/// The mean luminance of a box of the canvas in the photo, 0 to 1.
pub fn box_luminance(photo: &CanvasPhoto, map: &CanvasMap, part: CanvasRect) -> f64 {
    let (left, top) = (part.origin.x.to_mm(), part.origin.y.to_mm());
    let (width, height) = (part.width.to_mm(), part.height.to_mm());
    let share = |at: u32| (f64::from(at) + 0.5) / f64::from(SAMPLES);
    let sum: f64 = (0..SAMPLES * SAMPLES)
        .map(|at| {
            let place = Vector2::new(left + width * share(at % SAMPLES), top + height * share(at / SAMPLES));
            let pixel = map.pixel(place);
            f64::from(photo.luma().at(pixel.x, pixel.y))
        })
        .sum();
    sum / f64::from(SAMPLES * SAMPLES)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_darker_photo_is_brought_up_and_the_one_box_painted_too_dark_shows() {
        let reference = [0.1, 0.2, 0.3, 0.5, 0.6];
        let mut luminances: Vec<(f64, f64)> = reference.iter().map(|light| (*light, light / 2.0)).collect();
        luminances[2].1 = 0.075;
        let check = ValueCheck::of(&luminances, |luminance| 10.0 * luminance.sqrt());
        assert!((check.exposure_stops - 1.0).abs() < 1e-12);
        let off: Vec<f64> = check.boxes.iter().map(BoxValues::too_light).collect();
        assert!(off[2] < -1.0 && [0, 1, 3, 4].iter().all(|at| off[*at].abs() < 1e-9), "{off:?}");
        assert!(ValueCheck::of(&[], |luminance| luminance).boxes.is_empty());
    }
}
