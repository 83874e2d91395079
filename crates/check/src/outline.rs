//! The canvas's outline in the photo: four corners, and who says so.

mod edges;
mod expected;
mod find;
mod quads;
mod reduced;
mod reference_light;
mod straighten;
mod three_sides;
mod tracks;
mod votes;

use photo::Picture;
use plan::Plan;
use serde::{Deserialize, Serialize};

use crate::camera::CanvasPhoto;
use crate::frame::ImagePoint;

pub use find::{Expected, MOST_PROPOSALS, OtherShape, find_lying_outlines, find_other_shape, find_outlines};
pub(crate) use reduced::Reduced;
pub use reference_light::{COMPARED_SIDE, ReferenceLight};

/// Where the canvas's corners lie in the photo.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Outline {
    /// The corners of the canvas's front: top left, top right, bottom right, bottom left as the canvas is seen upright.
    pub corners: [ImagePoint; 4],
    /// The middles of the top, right, bottom and left edges as a person clicked them, where the edges cannot be followed; see
    /// [`Pose::from_clicks`](crate::Pose::from_clicks).
    pub middles: Option<[ImagePoint; 4]>,
    /// Who says so.
    pub standing: Standing,
}

/// Who says where the outline is. No score can tell a wrong outline from a right one, so it matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Standing {
    /// A person gave or confirmed the corners.
    #[serde(rename = "given")]
    Given,
    /// Found in the photo, and confirmed by a person who looked at it.
    #[serde(rename = "confirmed")]
    Confirmed,
    /// Found in the photo, and seen by nobody yet.
    #[serde(rename = "automatic, unconfirmed")]
    Automatic,
}

impl Outline {
    /// Corners that a person gave or confirmed, from the top left clockwise.
    pub const fn given(corners: [ImagePoint; 4]) -> Self {
        Self { corners, middles: None, standing: Standing::Given }
    }

    /// Corners and middles of the edges that a person clicked: nothing of them is looked for in the photo.
    pub const fn clicked(corners: [ImagePoint; 4], middles: [ImagePoint; 4]) -> Self {
        Self { corners, middles: Some(middles), standing: Standing::Given }
    }

    /// Where the canvas of this plan may lie in the photo, the likeliest first; none where no four edges can be followed.
    /// `reference` is the picture that lies on the canvas, reduced to about [`COMPARED_SIDE`].
    pub fn found(photo: &CanvasPhoto, plan: &Plan, reference: Option<&Picture>) -> Vec<Self> {
        let light = reference.and_then(|reference| ReferenceLight::of(reference, plan));
        let light = light.as_ref().map(|light| |point| light.at(point));
        let expected = Expected {
            size: plan.canvas.nominal,
            lines: &plan.grid_lines(),
            reference: light.as_ref().map(|light| light as _),
        };
        find_outlines(photo, &expected)
    }

    /// Corners found in the photo that a person confirmed as they are. They are as loose as those of [`Outline::automatic`].
    pub const fn confirmed(corners: [ImagePoint; 4]) -> Self {
        Self { corners, middles: None, standing: Standing::Confirmed }
    }

    /// Corners found in the photo that nobody has confirmed.
    pub const fn automatic(corners: [ImagePoint; 4]) -> Self {
        Self { corners, middles: None, standing: Standing::Automatic }
    }
}
