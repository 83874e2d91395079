//! The grid: lines that divide the canvas, or a box on it, in proportion.
//!
//! Grid lines belong to the canvas. They are ruled between marks on opposite sides, and on a canvas that is out of
//! square the marks lie in proportion along each real side.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::canvas::Size;
use crate::frame::CanvasPoint;
use crate::length::{Length, Unit};
use crate::outline::{Quad, Side};

/// The most divisions along one side: more lines than this on a canvas hide the painting, and sheets stay readable.
pub const MAX_DIVISIONS: u32 = 64;

/// Where the squares of a grid are counted from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum SquaresFrom {
    /// From the top left corner.
    #[default]
    TopLeft,
    /// From the top right corner.
    TopRight,
    /// From the bottom left corner.
    BottomLeft,
    /// From the bottom right corner.
    BottomRight,
    /// From the middle, where two lines cross.
    Centre,
}

/// How a side is divided.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Division {
    /// Equal parts: so many columns and so many rows.
    Parts {
        /// Boxes from left to right.
        columns: u32,
        /// Boxes from top to bottom.
        rows: u32,
    },
    /// Squares of a given side.
    Squares {
        /// The side of a square.
        side: Length,
        /// Where they are counted from.
        from: SquaresFrom,
    },
}

/// A grid on the canvas, or in a box on it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Grid {
    /// How the sides are divided.
    pub division: Division,
    /// Whether the two diagonals are ruled as well.
    pub diagonals: bool,
}

impl Default for Grid {
    /// Quarters both ways.
    fn default() -> Self {
        Self::parts(4, 4)
    }
}

/// Why a grid cannot be.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum GridError {
    /// Too few or too many parts.
    #[error(
        "A grid of {columns} by {rows} is out of range. It has from 1 to {MAX_DIVISIONS} parts each way."
    )]
    Parts {
        /// Columns asked for.
        columns: u32,
        /// Rows asked for.
        rows: u32,
    },
    /// Squares that are too small or not smaller than what they divide.
    #[error(
        "Squares of {} do not divide {} by {}. Choose a side smaller than both and not under a {MAX_DIVISIONS}th of the longer.",
        .side.in_both_units(*.unit), .width.in_both_units(*.unit), .height.in_both_units(*.unit)
    )]
    Squares {
        /// The side asked for.
        side: Length,
        /// The width to be divided.
        width: Length,
        /// The height to be divided.
        height: Length,
        /// The unit they are told in first.
        unit: Unit,
    },
}

impl GridError {
    /// The same, told in this unit first.
    pub(crate) fn told_in(mut self, painters: Unit) -> Self {
        if let Self::Squares { unit, .. } = &mut self {
            *unit = painters;
        }
        self
    }
}

/// The direction of a grid line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Direction {
    /// From a mark on the top side to a mark on the bottom side.
    Vertical,
    /// From a mark on the left side to a mark on the right side.
    Horizontal,
    /// The diagonal down from the top left corner.
    Down,
    /// The diagonal up from the bottom left corner.
    Up,
}

/// One ruled line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GridLine {
    /// The line's direction.
    pub direction: Direction,
    /// Where along the sides its marks lie: 0 at the left or top end, 1 at the right or bottom. 0 for diagonals.
    pub share: f64,
    /// Its end at the top or left (for the diagonals: the left).
    pub from: CanvasPoint,
    /// Its end at the bottom or right (for the diagonals: the right).
    pub to: CanvasPoint,
}

impl Grid {
    /// A grid of equal parts without diagonals.
    pub const fn parts(columns: u32, rows: u32) -> Self {
        Self { division: Division::Parts { columns, rows }, diagonals: false }
    }

    /// Checks that the grid can be ruled on something of this size.
    ///
    /// # Errors
    /// When it has too few or too many lines.
    pub fn check(&self, size: Size) -> Result<(), GridError> {
        match self.division {
            Division::Parts { columns, rows } => {
                let fine = |parts| (1..=MAX_DIVISIONS).contains(&parts);
                if fine(columns) && fine(rows) { Ok(()) } else { Err(GridError::Parts { columns, rows }) }
            }
            Division::Squares { side, .. } => {
                let (width, height) = (size.width, size.height);
                let longest = width.max(height);
                let fine = side < width.min(height) && side >= longest / f64::from(MAX_DIVISIONS);
                let unit = Unit::Millimetre;
                if fine { Ok(()) } else { Err(GridError::Squares { side, width, height, unit }) }
            }
        }
    }

    /// Where the marks lie along the top and bottom sides of something `size` large, as shares from the left; corners
    /// excluded.
    pub fn shares_across(&self, size: Size) -> Vec<f64> {
        match self.division {
            Division::Parts { columns, .. } => equal_shares(columns),
            Division::Squares { side, from } => square_shares(
                side / size.width,
                matches!(from, SquaresFrom::TopRight | SquaresFrom::BottomRight),
                from,
            ),
        }
    }

    /// Where the marks lie along the left and right sides, as shares from the top; corners excluded.
    pub fn shares_down(&self, size: Size) -> Vec<f64> {
        match self.division {
            Division::Parts { rows, .. } => equal_shares(rows),
            Division::Squares { side, from } => square_shares(
                side / size.height,
                matches!(from, SquaresFrom::BottomLeft | SquaresFrom::BottomRight),
                from,
            ),
        }
    }

    /// The lines ruled on `outline`, whose nominal size is `size`: verticals from left to right, horizontals from top
    /// to bottom, then the diagonals. The sides themselves are not among them.
    pub fn lines(&self, outline: &Quad, size: Size) -> Vec<GridLine> {
        let between = |direction, share, first, second| GridLine {
            direction,
            share,
            from: outline.along(first, share),
            to: outline.along(second, share),
        };
        let mut lines = Vec::new();
        for share in self.shares_across(size) {
            lines.push(between(Direction::Vertical, share, Side::Top, Side::Bottom));
        }
        for share in self.shares_down(size) {
            lines.push(between(Direction::Horizontal, share, Side::Left, Side::Right));
        }
        if self.diagonals {
            let [top_left, top_right, bottom_right, bottom_left] = outline.corners;
            lines.push(GridLine { direction: Direction::Down, share: 0.0, from: top_left, to: bottom_right });
            lines.push(GridLine { direction: Direction::Up, share: 0.0, from: bottom_left, to: top_right });
        }
        lines
    }
}

fn equal_shares(parts: u32) -> Vec<f64> {
    (1..parts).map(|at| f64::from(at) / f64::from(parts)).collect()
}

/// A mark nearer than this share to a corner is the corner: squares that divide the side evenly end there.
const AT_THE_CORNER: f64 = 1e-9;

fn square_shares(step: f64, from_far_end: bool, from: SquaresFrom) -> Vec<f64> {
    let steps = 0..=MAX_DIVISIONS;
    let mut shares: Vec<f64> = match from {
        SquaresFrom::Centre => {
            steps.flat_map(|at| [0.5 - f64::from(at) * step, 0.5 + f64::from(at) * step]).skip(1).collect()
        }
        _ if from_far_end => steps.map(|at| 1.0 - f64::from(at) * step).collect(),
        _ => steps.map(|at| f64::from(at) * step).collect(),
    };
    shares.retain(|share| (AT_THE_CORNER..=1.0 - AT_THE_CORNER).contains(share));
    shares.sort_by(f64::total_cmp);
    shares
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::CanvasRect;
    use proptest::prelude::*;

    fn size(width: f64, height: f64) -> Size {
        Size { width: Length::mm(width), height: Length::mm(height) }
    }

    fn squares(side: f64, from: SquaresFrom) -> Grid {
        Grid { division: Division::Squares { side: Length::mm(side), from }, diagonals: false }
    }

    fn at_mm(shares: &[f64], side: f64) -> Vec<f64> {
        shares.iter().map(|share| (share * side * 1000.0).round() / 1000.0).collect()
    }

    #[test]
    fn squares_are_counted_from_where_the_painter_says() {
        let canvas = size(250.0, 330.0);
        let across = |from| at_mm(&squares(100.0, from).shares_across(canvas), 250.0);
        let down = |from| at_mm(&squares(100.0, from).shares_down(canvas), 330.0);
        assert_eq!(
            (across(SquaresFrom::TopLeft), down(SquaresFrom::TopLeft)),
            (vec![100.0, 200.0], vec![100.0, 200.0, 300.0])
        );
        assert_eq!(
            (across(SquaresFrom::TopRight), down(SquaresFrom::TopRight)),
            (vec![50.0, 150.0], vec![100.0, 200.0, 300.0])
        );
        assert_eq!(
            (across(SquaresFrom::BottomLeft), down(SquaresFrom::BottomLeft)),
            (vec![100.0, 200.0], vec![30.0, 130.0, 230.0])
        );
        assert_eq!(
            (across(SquaresFrom::Centre), down(SquaresFrom::Centre)),
            (vec![25.0, 125.0, 225.0], vec![65.0, 165.0, 265.0])
        );
    }

    #[test]
    fn squares_that_divide_a_side_evenly_leave_no_mark_on_the_corner() {
        let shares = squares(2.0 * 25.4, SquaresFrom::TopLeft).shares_across(size(304.8, 304.8));
        assert_eq!(at_mm(&shares, 12.0), [2.0, 4.0, 6.0, 8.0, 10.0]);
    }

    #[test]
    fn a_grid_that_cannot_be_ruled_is_refused() {
        let canvas = size(300.0, 400.0);
        assert!(Grid::parts(0, 4).check(canvas).is_err());
        assert!(Grid::parts(4, 65).check(canvas).is_err());
        assert!(Grid::parts(1, 64).check(canvas).is_ok());
        for side in [0.0, -10.0, 300.0, 6.0, f64::NAN] {
            assert!(squares(side, SquaresFrom::TopLeft).check(canvas).is_err(), "{side}");
        }
    }

    #[test]
    fn on_a_leaning_canvas_the_marks_lie_in_proportion_along_each_real_side() {
        let corners =
            [(0.0, 0.0), (304.0, 0.0), (306.0, 402.0), (-2.0, 398.0)].map(|(x, y)| CanvasPoint::mm(x, y));
        let outline = Quad { corners };
        let lines = Grid::parts(4, 4).lines(&outline, size(305.0, 400.0));
        assert_eq!(lines.len(), 6);
        assert_eq!(lines[0].from, CanvasPoint::mm(76.0, 0.0));
        assert_eq!(lines[0].to, CanvasPoint::mm(75.0, 399.0));
        assert_eq!(lines[4].from, CanvasPoint::mm(-1.0, 199.0));
    }

    proptest! {
        #[test]
        fn the_marks_of_equal_parts_divide_any_side_equally(columns in 1..64_u32, rows in 1..64_u32, width in 20.0..3000.0_f64) {
            let rect = CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(width), Length::mm(500.0));
            let lines = Grid::parts(columns, rows).lines(&rect.into(), size(width, 500.0));
            prop_assert_eq!(lines.len() as u32, columns + rows - 2);
            for (at, line) in lines.iter().filter(|line| line.direction == Direction::Vertical).enumerate() {
                let expected = width * (at as f64 + 1.0) / f64::from(columns);
                prop_assert!((line.from.x.to_mm() - expected).abs() < 1e-9);
                prop_assert_eq!(line.from.x, line.to.x);
            }
        }

        #[test]
        fn squares_are_all_of_their_side(side in 10.0..60.0_f64, width in 61.0..600.0_f64, choice in 0..5_usize) {
            let from = [SquaresFrom::TopLeft, SquaresFrom::TopRight, SquaresFrom::BottomLeft, SquaresFrom::BottomRight, SquaresFrom::Centre][choice];
            let shares = squares(side, from).shares_across(size(width, width));
            for pair in shares.windows(2) {
                prop_assert!(((pair[1] - pair[0]) * width - side).abs() < 1e-6);
            }
            let ends = shares[0].min(1.0 - shares[shares.len() - 1]) * width;
            prop_assert!(ends <= side + 1e-6);
        }
    }
}
