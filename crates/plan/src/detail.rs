//! Detail boxes: smaller boxes on the canvas, each with a grid of its own, where the likeness lives.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::canvas::{Size, in_both_units};
use crate::frame::CanvasRect;
use crate::grid::{Grid, GridError, GridLine};
use crate::length::Length;
use crate::outline::Quad;

/// The most detail boxes on one canvas: a box for every feature of a group portrait, and sheets stay countable.
pub const MAX_DETAILS: usize = 64;

/// The smallest side of a detail box: smaller than an eye on a miniature.
const MIN_DETAIL_SIDE: Length = Length::mm(5.0);

/// A box on the canvas with a grid of its own. It is upright and true in the canvas frame, also on a canvas that is
/// out of square.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DetailBox {
    /// What is in it, such as `Head`.
    pub name: String,
    /// Where it lies.
    pub rect: CanvasRect,
    /// Its grid.
    pub grid: Grid,
}

/// Why a detail box cannot be.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum DetailError {
    /// A side is too short, or not a length.
    #[error("The detail box “{name}” of {} by {} is too small. Its sides are at least 5 mm.", in_both_units(*.width), in_both_units(*.height))]
    TooSmall {
        /// The box's name.
        name: String,
        /// Its width.
        width: Length,
        /// Its height.
        height: Length,
    },
    /// It reaches over the canvas's edge.
    #[error("The detail box “{name}” reaches beyond the canvas. Move it or make it smaller.")]
    OffCanvas {
        /// The box's name.
        name: String,
    },
    /// Its grid cannot be ruled.
    #[error("The detail box “{name}”: {error}")]
    Grid {
        /// The box's name.
        name: String,
        /// What is wrong with its grid.
        error: GridError,
    },
}

/// A box may reach over the canvas's outline by this much: what one reading of a ruler leaves open.
const OVERHANG: Length = Length::mm(1.0);

impl DetailBox {
    /// The box's size.
    pub const fn size(&self) -> Size {
        Size { width: self.rect.width, height: self.rect.height }
    }

    /// The lines ruled in the box.
    pub fn lines(&self) -> Vec<GridLine> {
        self.grid.lines(&self.rect.into(), self.size())
    }

    /// Checks that the box lies on the canvas and can be ruled.
    ///
    /// # Errors
    /// When it is too small, reaches over the canvas's edge, or has a grid that cannot be ruled.
    pub fn check(&self, canvas: &Quad) -> Result<(), DetailError> {
        let (name, width, height) = (self.name.clone(), self.rect.width, self.rect.height);
        let large_enough = |side: Length| side.is_finite() && side >= MIN_DETAIL_SIDE;
        if !(large_enough(width) && large_enough(height)) {
            return Err(DetailError::TooSmall { name, width, height });
        }
        let on_canvas = self.rect.corners().into_iter().all(|corner| {
            corner.is_finite()
                && crate::outline::Side::ALL
                    .into_iter()
                    .all(|side| canvas.distance_from_side(side, corner) >= -OVERHANG)
        });
        if !on_canvas {
            return Err(DetailError::OffCanvas { name });
        }
        self.grid.check(self.size()).map_err(|error| DetailError::Grid { name, error })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::CanvasPoint;

    fn detail(x: f64, y: f64, width: f64, height: f64) -> DetailBox {
        let origin = CanvasPoint::new(Length::inches(x), Length::inches(y));
        let rect = CanvasRect::new(origin, Length::inches(width), Length::inches(height));
        DetailBox { name: "Head".to_owned(), rect, grid: Grid::default() }
    }

    #[test]
    fn a_box_must_lie_on_the_canvas_and_be_large_enough() {
        let canvas = crate::canvas::Canvas::nominal(Length::inches(12.0), Length::inches(12.0)).outline();
        assert_eq!(detail(2.0, 2.0, 8.0, 8.0).check(&canvas), Ok(()));
        assert_eq!(detail(4.0, 4.0, 8.0, 8.0).check(&canvas), Ok(()));
        assert!(matches!(detail(5.0, 4.0, 8.0, 8.0).check(&canvas), Err(DetailError::OffCanvas { .. })));
        assert!(matches!(detail(2.0, 2.0, 0.1, 8.0).check(&canvas), Err(DetailError::TooSmall { .. })));
        assert!(matches!(detail(f64::NAN, 2.0, 1.0, 8.0).check(&canvas), Err(DetailError::OffCanvas { .. })));
    }
}
