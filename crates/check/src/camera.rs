//! The photo of the canvas as it is measured: its light, and what the camera says of itself.

use nalgebra::Vector2;
use photo::{CameraFacts, Photo, PhotoError, Picture};
use thiserror::Error;

use crate::frame::ImagePoint;
use crate::luma::Luma;
use crate::outline::Reduced;
use crate::pose::View;
use crate::unfit::Unfit;

/// Diagonal of the 36 x 24 mm frame, mm, by which focal lengths are compared (CIPA DCG-001).
const DIAGONAL_35MM: f64 = 43.266_615_305_567_87;

/// The main camera of a telephone, when the photo does not say: focal length in mm on the 36 x 24 mm frame.
const USUAL_FOCAL_35MM: f64 = 26.0;

/// What it may be then, from a telephone's main camera to its long one (common practice, no source); a camera's normal lens lies between.
const UNTOLD_FOCALS_35MM: [f64; 2] = [23.0, 77.0];

/// What a focal length that is told may be, in shares of it: makers round it to whole millimetres, and the lens breathes with the distance.
const TOLD_FOCAL: [f64; 2] = [0.95, 1.05];

/// The shortest focal length, mm on the 36 x 24 mm frame, whose bending of straight lines the accuracy was proved for: main cameras
/// have 23 to 28, the wide ones beside them 13 to 18.
const WIDEST_PROVED: f64 = 20.0;

/// The shortest side in pixels from which a canvas can be measured: below, a pixel is more than half a millimetre of the
/// smallest canvas worth checking.
const SHORTEST_SIDE: u32 = 700;

/// The most pixels: 64 megapixels are more than the finest sensors of telephones and cameras resolve, and take a gigabyte to measure in.
const MOST_PIXELS: u64 = 64_000_000;

/// A camera that enlarged its picture more than this hides which part of the lens was used.
const MOST_ZOOM: f64 = 1.05;

/// A photo longer than this, in terms of its shorter side, comes from no sensor: it was stitched. Sensors go to 16 by 9,
/// and wide crops of them to 2.
const LONGEST_SHAPE: f64 = 2.3;

/// A corner set within this share of the photo's longer side of its edge, 16 pixels in a photo of 12 megapixels and two on a screen,
/// lies at the edge.
const VERY_EDGE: f64 = 0.004;

/// Light below this share of white at its brightest hundredth is a photo taken in the dark.
const DARKEST: f32 = 0.02;

/// Light above this share of white over this share of the photo is burnt out.
const BURNT_OUT: (f32, f64) = (0.985, 0.9);

/// The photo of the canvas.
#[derive(Clone, Debug)]
pub struct CanvasPhoto {
    luma: Luma,
    reduced: Reduced,
    focal: Focal,
    wide: Option<f64>,
}

/// Why a photo of the canvas cannot be taken in.
#[derive(Debug, Error)]
pub enum CanvasPhotoError {
    /// It cannot be decoded.
    #[error(transparent)]
    Photo(#[from] PhotoError),
    /// Nothing can be measured in it.
    #[error(transparent)]
    Unfit(#[from] Unfit),
}

/// The focal length, and how well it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Focal {
    /// In pixels.
    pub(crate) pixels: f64,
    /// What it may be in 19 of 20 photos, in shares of it.
    pub(crate) may_be: [f64; 2],
    /// Whether the photo tells it.
    pub(crate) is_told: bool,
}

impl CanvasPhoto {
    /// Takes in the upright picture and what the camera wrote beside it.
    ///
    /// # Errors
    /// When it is too small, too dark or too bright to measure anything in, zoomed digitally, or stitched.
    pub fn new(picture: &Picture, camera: &CameraFacts) -> Result<Self, Unfit> {
        let (width, height) = (picture.width(), picture.height());
        Self::check_size(width, height)?;
        if let Some(factor) = camera.digital_zoom.filter(|zoom| *zoom > MOST_ZOOM) {
            return Err(Unfit::DigitalZoom { factor });
        }
        let luma = Luma::of(picture);
        check_light(&luma)?;
        let diagonal = f64::from(width).hypot(f64::from(height));
        let wide = camera.focal_length_35mm.filter(|focal| *focal < WIDEST_PROVED);
        let told = camera.focal_length_35mm;
        let focal = told.unwrap_or(USUAL_FOCAL_35MM);
        let may_be = if told.is_some() { TOLD_FOCAL } else { UNTOLD_FOCALS_35MM.map(|other| other / focal) };
        Ok(Self {
            luma,
            reduced: Reduced::of(picture),
            focal: Focal { pixels: focal / DIAGONAL_35MM * diagonal, may_be, is_told: told.is_some() },
            wide,
        })
    }

    /// Decodes a photo and takes it in, unless its size tells already that it will not do.
    ///
    /// # Errors
    /// When its pixels cannot all be read, and as in [`CanvasPhoto::new`].
    pub fn decoded(photo: &Photo) -> Result<(Picture, Self), CanvasPhotoError> {
        let size = photo.size();
        Self::check_size(size.width, size.height)?;
        let picture = photo.upright()?;
        let canvas_photo = Self::new(&picture, photo.camera())?;
        Ok((picture, canvas_photo))
    }

    /// Whether a photo of this size, in pixels, can be measured in: to be asked before it is decoded.
    ///
    /// # Errors
    /// When it has too few pixels or too many, or was stitched.
    pub(crate) fn check_size(width: u32, height: u32) -> Result<(), Unfit> {
        if width.min(height) < SHORTEST_SIDE {
            return Err(Unfit::TooSmall { width, height });
        }
        if u64::from(width) * u64::from(height) > MOST_PIXELS {
            return Err(Unfit::TooLarge { width, height });
        }
        if f64::from(width.max(height)) > LONGEST_SHAPE * f64::from(width.min(height)) {
            return Err(Unfit::Panorama);
        }
        Ok(())
    }

    /// The focal length in mm on the 36 x 24 mm frame, if it is shorter than the check was proved for.
    pub(crate) const fn wide(&self) -> Option<f64> {
        self.wide
    }

    /// The photo's light.
    pub const fn luma(&self) -> &Luma {
        &self.luma
    }

    /// The photo reduced, for finding the outline.
    pub(crate) const fn reduced(&self) -> &Reduced {
        &self.reduced
    }

    pub(crate) const fn focal(&self) -> Focal {
        self.focal
    }

    /// The longer side, pixels.
    pub(crate) fn longer_side(&self) -> f64 {
        self.luma.width().max(self.luma.height()) as f64
    }

    pub(crate) fn view(&self) -> View {
        let middle = Vector2::new(self.luma.width() as f64 / 2.0, self.luma.height() as f64 / 2.0);
        View { middle, focal: self.focal.pixels }
    }

    /// True when the point lies in the photo.
    pub(crate) fn holds(&self, point: ImagePoint) -> bool {
        point.is_finite() && self.luma.holds(point.x, point.y, 0.0)
    }

    /// True when the photo shows something around a point in it.
    pub(crate) fn shows_around(&self, point: ImagePoint) -> bool {
        let around = VERY_EDGE * self.longer_side();
        self.luma.holds(point.x, point.y, around)
    }
}

fn check_light(luma: &Luma) -> Result<(), Unfit> {
    // Every 97th pixel, a prime, so that no column of the photo is looked at alone.
    let mut some: Vec<f32> = luma.light().iter().copied().step_by(97).collect();
    let brightest = (some.len() * 99 / 100).min(some.len() - 1);
    let bright = *some.select_nth_unstable_by(brightest, f32::total_cmp).1;
    if bright < DARKEST {
        return Err(Unfit::TooDark);
    }
    let burnt = some.iter().filter(|light| **light > BURNT_OUT.0).count();
    if burnt as f64 > BURNT_OUT.1 * some.len() as f64 { Err(Unfit::TooBright) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(width: u32, height: u32, grey: u8) -> Picture {
        Picture::from_rgb(width, height, vec![grey; (3 * width * height) as usize]).unwrap()
    }

    #[test]
    fn photos_that_cannot_do_are_refused_with_what_to_do() {
        let facts = CameraFacts::default();
        let zoomed = CameraFacts { digital_zoom: Some(2.0), ..facts.clone() };
        let refused = |picture: &Picture, facts: &CameraFacts| CanvasPhoto::new(picture, facts).unwrap_err();
        assert!(matches!(refused(&plain(200, 200, 99), &facts), Unfit::TooSmall { .. }));
        let large = CanvasPhoto::check_size(12_000, 9_000).unwrap_err();
        assert!(large.to_string().contains("has 108 megapixels"), "{large}");
        assert_eq!(CanvasPhoto::check_size(8_160, 6_120), Ok(()));
        assert_eq!(refused(&plain(800, 900, 0), &facts), Unfit::TooDark);
        assert_eq!(refused(&plain(800, 900, 255), &facts), Unfit::TooBright);
        assert_eq!(refused(&plain(2000, 800, 99), &facts), Unfit::Panorama);
        let told = refused(&plain(800, 900, 99), &zoomed).to_string();
        assert!(told.contains("2.0 times digital zoom") && told.contains("without zoom"), "{told}");
    }
}
