//! The light that a painting should have, by its reference: for telling the canvas from other outlines in the photo.

use photo::Picture;
use plan::{CanvasPoint, Placing, Plan};

use crate::luma::Luma;

/// The longer side, pixels, to which a reference is best reduced for [`ReferenceLight`]: a pixel is then about what is compared.
pub const COMPARED_SIDE: u32 = 64;

/// The light of a reference where it lies on the canvas.
#[derive(Clone, Debug)]
pub struct ReferenceLight {
    luma: Luma,
    placing: Placing,
    /// Pixels of the reduced picture to one of the reference.
    reduced: f64,
}

impl ReferenceLight {
    /// The light of the picture that lies on the canvas, reduced to about [`COMPARED_SIDE`]; `None` where none is placed.
    pub fn of(picture: &Picture, plan: &Plan) -> Option<Self> {
        let (placing, size) = (plan.placing()?, plan.reference.as_ref()?.size());
        let reduced = f64::from(picture.width()) / f64::from(size.width);
        Some(Self { luma: Luma::of(picture), placing, reduced })
    }

    /// The light at a point of the canvas, linear, 0 to 1; `None` beyond the reference.
    pub fn at(&self, point: CanvasPoint) -> Option<f64> {
        let at = self.placing.to_photo(point);
        let (x, y) = (at.x * self.reduced, at.y * self.reduced);
        self.luma.holds(x, y, 0.0).then(|| f64::from(self.luma.at(x, y)))
    }
}
