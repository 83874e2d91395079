//! The reference: the photo painted from, and how it lies on the canvas.

use serde::{Deserialize, Serialize};

use crate::frame::{Angle, PhotoSize};
use crate::head::HeadMarks;
use crate::outline::Quad;
use crate::placing::{Place, Placing, PlacingError};

/// The photo painted from, after it is turned upright.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reference {
    /// The upright photo's size.
    pub size: PhotoSize,
    /// Crown and chin, if the painter marked them.
    pub head: Option<HeadMarks>,
    /// How the painter says where the photo lies.
    pub place: Place,
    /// How far the photo is turned on the canvas.
    pub turn: Angle,
    /// Whether the photo is mirrored.
    pub mirror: bool,
}

impl Reference {
    /// A photo laid on the canvas whole, as it is.
    pub const fn fitted(size: PhotoSize) -> Self {
        Self { size, head: None, place: Place::Fit, turn: Angle::ZERO, mirror: false }
    }

    /// How the photo lies on a canvas of this outline.
    ///
    /// # Errors
    /// When what the painter said makes no picture; see [`PlacingError`].
    pub fn placing(&self, canvas: &Quad) -> Result<Placing, PlacingError> {
        Placing::of(self.place, self.size, self.head, self.turn, self.mirror, canvas)
    }
}
