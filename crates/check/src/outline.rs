//! The canvas's outline in the photo: four corners, and who says so.

mod edges;
mod expected;
mod find;
mod quads;
mod tracks;

use serde::{Deserialize, Serialize};

use crate::frame::ImagePoint;

pub use find::{Expected, MOST_PROPOSALS, find_outlines};

/// Where the canvas's corners lie in the photo.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Outline {
    /// The corners of the canvas's front: top left, top right, bottom right, bottom left as the canvas is seen upright.
    pub corners: [ImagePoint; 4],
    /// Who says so.
    pub standing: Standing,
}

/// Who says where the outline is. No score can tell a wrong outline from a right one, so it matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Standing {
    /// A person gave or confirmed the corners.
    #[serde(rename = "given")]
    Given,
    /// Found in the photo, and seen by nobody yet.
    #[serde(rename = "automatic, unconfirmed")]
    Automatic,
}

impl Outline {
    /// Corners that a person gave or confirmed, from the top left clockwise.
    pub const fn given(corners: [ImagePoint; 4]) -> Self {
        Self { corners, standing: Standing::Given }
    }

    /// Corners found in the photo that nobody has confirmed.
    pub const fn automatic(corners: [ImagePoint; 4]) -> Self {
        Self { corners, standing: Standing::Automatic }
    }
}
