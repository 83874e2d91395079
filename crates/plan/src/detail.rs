//! Detail boxes: smaller boxes on the canvas, each with a grid of its own, where the likeness lives.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::canvas::Size;
use crate::frame::{Angle, CanvasPoint, CanvasRect, PhotoPoint};
use crate::grid::{Division, Grid, GridError, GridLine};
use crate::layout::{Orientation, Stock};
use crate::length::{Length, Unit};
use crate::outline::Quad;
use crate::placing::Placing;

/// The most detail boxes on one canvas: a box for every feature of a group portrait, and sheets stay countable.
pub const MAX_DETAILS: usize = 64;

/// The smallest side of a detail box: smaller than an eye on a miniature.
const MIN_DETAIL_SIDE: Length = Length::mm(5.0);

/// A box larger than a sheet by up to this share is told how it would go on one; a larger one is meant to take several.
const LITTLE_LARGER: f64 = 0.15;

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
    /// Where it belongs on the photo, while it lies otherwise because the canvas or its least side would not have it: so that a head
    /// that was made far too small or too large by a slip leaves no trace.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub belongs: Option<OnPhoto>,
}

/// A detail box as it belongs on the photo, told with the turn that the photo had on the canvas then.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct OnPhoto {
    /// The spot under its middle.
    middle: PhotoPoint,
    /// From its left to its right on the canvas, in pixels of the photo.
    width: f64,
    /// From its top to its bottom on the canvas, in pixels of the photo.
    height: f64,
    /// The photo's turn.
    turn: Angle,
}

impl OnPhoto {
    fn of(rect: CanvasRect, placing: &Placing) -> Self {
        let (width, height) = (rect.width / placing.pixel(), rect.height / placing.pixel());
        Self { middle: placing.to_photo(rect.centre()), width, height, turn: placing.turn() }
    }

    /// The same on a picture with so many times as many pixels across and down.
    pub(crate) fn scaled(self, (across, down): (f64, f64)) -> Self {
        let middle = PhotoPoint::new(self.middle.x * across, self.middle.y * down);
        Self { middle, width: self.width * across, height: self.height * down, ..self }
    }

    fn on_canvas(self, placing: &Placing) -> CanvasRect {
        let (width, height) = if lies_down(self.turn, placing.turn()) {
            (self.height, self.width)
        } else {
            (self.width, self.height)
        };
        let (width, height) = (placing.pixel() * width, placing.pixel() * height);
        CanvasRect::new(placing.to_canvas(self.middle).moved(-width / 2.0, -height / 2.0), width, height)
    }
}

/// Whether what was upright lies down after a turn: by a quarter, or nearer to that than to none or a half.
fn lies_down(from: Angle, to: Angle) -> bool {
    let quarter_turns = ((to.to_degrees() - from.to_degrees()) / 90.0).round();
    quarter_turns.rem_euclid(2.0) > 0.5
}

/// Why a detail box cannot be.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum DetailError {
    /// A side is too short, or not a length.
    #[error(
        "The detail box “{name}” of {} by {} is too small. Its sides are at least {}.",
        .width.in_both_units(*.unit), .height.in_both_units(*.unit), MIN_DETAIL_SIDE.in_both_units(*.unit)
    )]
    TooSmall {
        /// The box's name.
        name: String,
        /// Its width.
        width: Length,
        /// Its height.
        height: Length,
        /// The unit they are told in first.
        unit: Unit,
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

impl DetailError {
    /// The same, told in this unit first.
    pub(crate) fn told_in(self, painters: Unit) -> Self {
        match self {
            Self::TooSmall { name, width, height, .. } => {
                Self::TooSmall { name, width, height, unit: painters }
            }
            Self::Grid { name, error } => Self::Grid { name, error: error.told_in(painters) },
            Self::OffCanvas { .. } => self,
        }
    }
}

/// A box may reach over the canvas's outline by this much: what one reading of a ruler leaves open.
const OVERHANG: Length = Length::mm(1.0);

impl DetailBox {
    /// What the box can be at most to go on one sheet at true size, where it is only a little too large for that.
    pub fn size_for_one_sheet(&self, stock: &Stock) -> Option<Size> {
        let CanvasRect { width, height, .. } = self.rect;
        let over = |(across, down): (Length, Length)| (width / across).max(height / down);
        let room = [Orientation::Portrait, Orientation::Landscape]
            .map(|orientation| stock.room(orientation))
            .into_iter()
            .min_by(|a, b| over(*a).total_cmp(&over(*b)))?;
        (1.0 + 1e-9..=1.0 + LITTLE_LARGER)
            .contains(&over(room))
            .then(|| Size { width: width.min(room.0), height: height.min(room.1) })
    }

    /// A box of this name, place and grid.
    pub const fn new(name: String, rect: CanvasRect, grid: Grid) -> Self {
        Self { name, rect, grid, belongs: None }
    }

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
            return Err(DetailError::TooSmall { name, width, height, unit: Unit::Millimetre });
        }
        if !lies_on(self.rect, canvas) {
            return Err(DetailError::OffCanvas { name });
        }
        self.grid.check(self.size()).map_err(|error| DetailError::Grid { name, error })
    }

    /// The box as it goes along when the photo that lay as `from` comes to lie as `to`: its middle stays on the same spot
    /// of the photo, and its sides grow with it. It stays upright, and on the canvas.
    #[must_use]
    pub fn carried(&self, from: &Placing, to: &Placing, canvas: &Quad) -> Self {
        let belongs = self.belongs.unwrap_or_else(|| OnPhoto::of(self.rect, from));
        let wished = belongs.on_canvas(to);
        let rect = fitted(wished, canvas);
        let division = match self.grid.division {
            Division::Parts { columns, rows } if lies_down(from.turn(), to.turn()) => {
                Division::Parts { columns: rows, rows: columns }
            }
            Division::Squares { side, from: start } => {
                Division::Squares { side: side * (to.pixel() / from.pixel()), from: start }
            }
            parts @ Division::Parts { .. } => parts,
        };
        let belongs = (rect != wished).then_some(belongs);
        Self { rect, grid: Grid { division, ..self.grid }, name: self.name.clone(), belongs }
    }

    /// The box on another canvas, where it stays if there is room.
    #[must_use]
    pub fn kept_on(&self, canvas: &Quad) -> Self {
        Self { rect: fitted(self.rect, canvas), ..self.clone() }
    }

    /// Lays the box elsewhere: there it belongs from now on.
    pub const fn lay(&mut self, rect: CanvasRect) {
        (self.rect, self.belongs) = (rect, None);
    }
}

/// The rectangle no smaller than a detail box may be, and moved or cut so that it lies on the canvas.
fn fitted(wished: CanvasRect, canvas: &Quad) -> CanvasRect {
    let (width, height) = (wished.width.max(MIN_DETAIL_SIDE), wished.height.max(MIN_DETAIL_SIDE));
    let centre = wished.centre();
    let large_enough = if (width, height) == (wished.width, wished.height) {
        wished
    } else {
        CanvasRect::new(centre.moved(-width / 2.0, -height / 2.0), width, height)
    };
    if lies_on(large_enough, canvas) { large_enough } else { pushed_into(large_enough, canvas.inner_rect()) }
}

fn lies_on(rect: CanvasRect, canvas: &Quad) -> bool {
    rect.corners().into_iter().all(|corner| {
        corner.is_finite()
            && crate::outline::Side::ALL
                .into_iter()
                .all(|side| canvas.distance_from_side(side, corner) >= -OVERHANG)
    })
}

/// The box moved just so far that it lies within `room`, and no larger than it.
fn pushed_into(rect: CanvasRect, room: CanvasRect) -> CanvasRect {
    let (width, height) = (rect.width.min(room.width), rect.height.min(room.height));
    let x = rect.origin.x.min(room.right() - width).max(room.origin.x);
    let y = rect.origin.y.min(room.bottom() - height).max(room.origin.y);
    CanvasRect::new(CanvasPoint::new(x, y), width, height)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn detail(x: f64, y: f64, width: f64, height: f64) -> DetailBox {
        let origin = CanvasPoint::new(Length::inches(x), Length::inches(y));
        let rect = CanvasRect::new(origin, Length::inches(width), Length::inches(height));
        DetailBox::new("Head".to_owned(), rect, Grid::default())
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

    #[test]
    fn a_box_a_little_too_large_for_a_sheet_is_told_what_goes_on_one() {
        let stock = crate::Printing::usual(Unit::Inch)
            .stock(crate::Insets::all(Length::ZERO), crate::PrinterCorrection::NONE);
        // Letter with margins of 1/4 in leaves 8 x 10 1/2 in.
        let on_one = |width, height| {
            let size = detail(0.0, 0.0, width, height).size_for_one_sheet(&stock)?;
            Some([size.width, size.height].map(|side| (side / Length::inches(0.01)).round() / 100.0))
        };
        assert_eq!(on_one(8.0, 10.5), None);
        assert_eq!(on_one(10.0, 8.0), None);
        assert_eq!(on_one(8.5, 10.0), Some([8.0, 10.0]));
        assert_eq!(on_one(10.6, 7.0), Some([10.5, 7.0]));
        assert_eq!(on_one(12.5, 7.0), None);
    }

    fn placings() -> impl Strategy<Value = Placing> {
        (-300.0..600.0_f64, -300.0..600.0_f64, 0.02..3.0_f64, -180.0..180.0_f64, any::<bool>()).prop_map(
            |(x, y, pixel, turn, mirror)| {
                Placing::new(CanvasPoint::mm(x, y), Length::mm(pixel), Angle::degrees(turn), mirror)
            },
        )
    }

    proptest! {
        #[test]
        fn a_box_that_goes_along_stays_on_the_canvas(from in placings(), to in placings()) {
            let canvas = crate::canvas::Canvas::nominal(Length::inches(12.0), Length::inches(12.0)).outline();
            let carried = detail(2.0, 2.0, 8.0, 5.0).carried(&from, &to, &canvas);
            prop_assert_eq!(carried.check(&canvas), Ok(()));
        }

        #[test]
        fn a_box_that_had_no_room_comes_back_to_where_it_belongs(from in placings(), between in placings()) {
            let canvas = crate::canvas::Canvas::nominal(Length::inches(12.0), Length::inches(12.0)).outline();
            let before = detail(2.0, 2.0, 2.0, 0.5);
            let between = Placing::new(
                between.to_canvas(crate::frame::PhotoPoint::new(0.0, 0.0)), between.pixel(), from.turn(), from.mirror());
            let back = before.carried(&from, &between, &canvas).carried(&between, &from, &canvas);
            prop_assert!((back.rect.width - before.rect.width).abs() < Length::mm(1e-6));
            prop_assert!((back.rect.height - before.rect.height).abs() < Length::mm(1e-6));
            prop_assert!(back.rect.centre().distance_to(before.rect.centre()) < Length::mm(1e-6));
            prop_assert_eq!(back.belongs, None);
        }

        #[test]
        fn a_box_goes_along_with_what_it_lies_on(dx in -20.0..20.0_f64, dy in -20.0..20.0_f64, factor in 0.8..1.25_f64) {
            let canvas = crate::canvas::Canvas::nominal(Length::inches(12.0), Length::inches(12.0)).outline();
            let from = Placing::new(CanvasPoint::ORIGIN, Length::mm(0.1), Angle::degrees(3.0), false);
            let to = Placing::new(CanvasPoint::mm(dx, dy), Length::mm(0.1 * factor), Angle::degrees(3.0), false);
            let before = detail(3.0, 3.0, 4.0, 5.0);
            let after = before.carried(&from, &to, &canvas);
            let spots = [before.rect, after.rect].map(CanvasRect::centre);
            prop_assert!(from.to_photo(spots[0]).distance_to(to.to_photo(spots[1])) < 1e-6);
            prop_assert!((after.rect.width - before.rect.width * factor).abs() < Length::mm(1e-9));
            prop_assert!((after.rect.height - before.rect.height * factor).abs() < Length::mm(1e-9));
        }
    }
}
