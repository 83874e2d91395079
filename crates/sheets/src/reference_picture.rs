//! The picture that lies on the canvas: the photo or, if it is squared up, what lies between the four corners of the
//! print in it.

use photo::{Interpolation, Photo, PhotoError, Picture};
use plan::{Length, Reference};
use values::Tone;

use crate::photo_stream::PhotoStream;

/// The picture of a reference, upright, at full size or with its longer side reduced to `longest_side` pixels.
///
/// # Errors
/// When the photo's pixels cannot all be read.
pub fn reference_picture(
    photo: &Photo,
    reference: &Reference,
    longest_side: Option<u32>,
) -> Result<Picture, PhotoError> {
    let map = reference.square_up.and_then(|square_up| square_up.to_photo().ok());
    let Some(map) = map else {
        return longest_side.map_or_else(|| photo.upright(), |side| photo.preview(side));
    };
    let (size, full) = (reference.size(), photo.size());
    let longest = |width: u32, height: u32| f64::from(width.max(height));
    let shrink =
        longest_side.map_or(1.0, |side| (f64::from(side) / longest(size.width, size.height)).min(1.0));
    // The photo is reduced as much as its part of the picture is, so that no pixel is skipped.
    let source = photo.preview((longest(full.width, full.height) * shrink).ceil() as u32)?;
    let scale = f64::from(source.width()) / f64::from(full.width);
    let [width, height] = [size.width, size.height].map(|side| (f64::from(side) * shrink).round() as u32);
    let [row_x, row_y, row_w] = map.rows();
    let scaled = [row_x.map(|element| element * scale), row_y.map(|element| element * scale), row_w];
    let to_source = scaled.map(|[a, b, c]| [a / shrink, b / shrink, c]);
    Ok(source.warped(to_source, width, height, Interpolation::Bicubic))
}

impl PhotoStream {
    /// The stream of a reference: the photo's own if that is what lies on the canvas, a new one if it is squared up.
    ///
    /// # Errors
    /// When the photo's pixels cannot all be read.
    pub fn of_reference(photo: &Photo, reference: &Reference) -> Result<Self, PhotoError> {
        if reference.square_up.is_none() {
            return Self::of(photo);
        }
        let jpeg = reference_picture(photo, reference, None)?.to_jpeg(Photo::PRINT_QUALITY)?;
        Self::of(&Photo::from_bytes(jpeg, photo.name())?)
    }
    /// The stream of a reference in this tone; `pixel` is the size of its pixels on the canvas.
    ///
    /// # Errors
    /// When the photo's pixels cannot all be read.
    pub fn shown(
        photo: &Photo,
        reference: &Reference,
        tone: Tone,
        pixel: Length,
    ) -> Result<Self, PhotoError> {
        if tone == Tone::Photo {
            return Self::of_reference(photo, reference);
        }
        let picture = tone.of(reference_picture(photo, reference, None)?, pixel);
        Self::of(&Photo::from_bytes(picture.to_jpeg(Photo::PRINT_QUALITY)?, photo.name())?)
    }
}
