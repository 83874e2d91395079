//! The reference: the photo painted from, and how it lies on the canvas.
//!
//! A photo that was taken of a print may be squared up first; the photo frame is then that of the squared-up picture.

use serde::{Deserialize, Serialize};

use crate::frame::{Angle, PhotoSize};
use crate::head::HeadMarks;
use crate::outline::Quad;
use crate::placing::{Place, Placing, PlacingError};
use crate::square_up::{SquareUp, SquareUpError};

/// The photo painted from, after it is turned upright.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reference {
    /// The upright photo's size, before any squaring up.
    pub photo: PhotoSize,
    /// The four corners of a print in the photo, if the photo was taken of one and is squared up.
    #[serde(default)]
    pub square_up: Option<SquareUp>,
    /// Crown and chin, if the painter marked them.
    pub head: Option<HeadMarks>,
    /// How the painter says where the photo lies.
    pub place: Place,
    /// How far the photo is turned on the canvas.
    pub turn: Angle,
    /// Whether the photo is mirrored.
    pub mirror: bool,
    /// The lens's focal length as the painter states it, in millimetres of a lens with the same view on 36 × 24 mm
    /// film, for a photo that does not tell it; 8 to 1200.
    #[serde(default)]
    pub focal_35mm: Option<f64>,
}

impl Reference {
    /// A photo laid on the canvas whole, as it is.
    pub const fn fitted(photo: PhotoSize) -> Self {
        Self {
            photo,
            square_up: None,
            head: None,
            place: Place::Fit,
            turn: Angle::ZERO,
            mirror: false,
            focal_35mm: None,
        }
    }

    /// The size of the picture that lies on the canvas: the photo, or what squaring up makes of it.
    pub fn size(&self) -> PhotoSize {
        self.square_up.map_or(self.photo, |square_up| square_up.size())
    }

    /// Checks that a photo that is squared up can be.
    ///
    /// # Errors
    /// When the corners span no picture.
    pub fn check(&self) -> Result<(), SquareUpError> {
        self.square_up.map_or(Ok(()), |square_up| square_up.check(self.photo))
    }

    /// How the photo lies on a canvas of this outline.
    ///
    /// # Errors
    /// When what the painter said makes no picture; see [`PlacingError`].
    pub fn placing(&self, canvas: &Quad) -> Result<Placing, PlacingError> {
        Placing::of(self.place, self.size(), self.head, self.turn, self.mirror, canvas)
    }
}
