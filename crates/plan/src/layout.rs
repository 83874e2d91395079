//! Sheets: a region of canvas cut over as few sheets of paper as will hold it, with the seams kept off the face.

mod paper;
mod seams;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::frame::{CanvasPoint, CanvasRect};
use crate::head::Head;
use crate::length::Length;
use crate::plot::letters;

pub use paper::{Insets, Orientation, Paper, PrinterCorrection, Stock};
use seams::{Axis, fewest_windows};

/// The most sheets for one region: more than a ream of paper is a misunderstanding, and the sheets' letters and
/// numbers would run out of sense.
pub const MAX_SHEETS: usize = 600;

/// The least room a sheet must leave for the picture each way, beyond the lap: less, and the sheets are mostly lap.
const MIN_ROOM: Length = Length::mm(25.0);

/// One sheet: where it stands among the sheets, and the part of the canvas it shows at true size.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SheetWindow {
    /// The row, counted from 0 at the top.
    pub row: usize,
    /// The column, counted from 0 at the left.
    pub column: usize,
    /// The part of the canvas on this sheet, laps included.
    pub window: CanvasRect,
}

impl SheetWindow {
    /// The sheet's name: its row as a letter and its column as a number, `A1` at the top left.
    pub fn name(&self) -> String {
        format!("{}{}", letters(self.row), self.column + 1)
    }
}

/// A region of canvas cut over sheets.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SheetLayout {
    /// How the paper is turned.
    pub orientation: Orientation,
    /// Sheets from left to right.
    pub columns: usize,
    /// Sheets from top to bottom.
    pub rows: usize,
    /// How much of the picture two neighbouring sheets both show. The seam runs along its middle.
    pub lap: Length,
    /// Where the upright seams run, as distances from the canvas's left, from left to right.
    pub upright_seams: Vec<Length>,
    /// Where the level seams run, as distances from the canvas's top, from top to bottom.
    pub level_seams: Vec<Length>,
    /// The sheets, row by row.
    pub sheets: Vec<SheetWindow>,
}

/// Why a region cannot be cut over sheets.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum LayoutError {
    /// Margins, labels and lap leave no room.
    #[error(
        "The margins and the lap leave no room for the picture on {paper} paper. Make the margin or the lap smaller."
    )]
    NoRoom {
        /// The paper.
        paper: Paper,
    },
    /// A margin or lap that is negative or not a length.
    #[error("A margin or lap must be a length of zero or more.")]
    NegativeInset,
    /// More sheets than anyone would join.
    #[error("{sheets} sheets of {paper} would be needed, more than {MAX_SHEETS}. Choose larger paper.")]
    TooManySheets {
        /// Sheets needed.
        sheets: usize,
        /// The paper.
        paper: Paper,
    },
}

impl SheetLayout {
    /// Cuts `region` over the fewest sheets of `stock`, upright or on their side, neighbours sharing `lap`. Among
    /// layouts with equally few sheets it takes the one whose seams stay farthest from `points`; without points the
    /// seams lie evenly. Sheets at the rim show what lies around the region as far as their paper reaches, but nothing
    /// outside `limit`.
    ///
    /// # Errors
    /// When there is no room on the paper, or the region takes more than [`MAX_SHEETS`].
    pub fn new(
        region: CanvasRect,
        limit: CanvasRect,
        stock: &Stock,
        lap: Length,
        points: &[CanvasPoint],
    ) -> Result<Self, LayoutError> {
        if !(lap.is_finite() && lap >= Length::ZERO && stock.is_sound()) {
            return Err(LayoutError::NegativeInset);
        }
        let candidates = Orientation::BOTH.into_iter().filter_map(|orientation| {
            let (width, height) = stock.room(orientation);
            (width - lap >= MIN_ROOM && height - lap >= MIN_ROOM).then(|| {
                let across =
                    Axis::new((region.origin.x, region.right()), (limit.origin.x, limit.right()), width, lap);
                let down = Axis::new(
                    (region.origin.y, region.bottom()),
                    (limit.origin.y, limit.bottom()),
                    height,
                    lap,
                );
                (orientation, across, down)
            })
        });
        let fewest: Vec<_> = {
            let mut all: Vec<_> = candidates.collect();
            let count =
                |(_, across, down): &(Orientation, Axis, Axis)| fewest_windows(across) * fewest_windows(down);
            let least = all.iter().map(count).min().ok_or(LayoutError::NoRoom { paper: stock.paper })?;
            if least > MAX_SHEETS {
                return Err(LayoutError::TooManySheets { sheets: least, paper: stock.paper });
            }
            all.retain(|candidate| count(candidate) == least);
            all
        };
        let across_points: Vec<Length> = points.iter().map(|point| point.x).collect();
        let down_points: Vec<Length> = points.iter().map(|point| point.y).collect();
        fewest
            .into_iter()
            .map(|(orientation, across, down)| {
                let (across, down) = (across.cut(&across_points), down.cut(&down_points));
                let clearance = across.clearance.min(down.clearance);
                (clearance, Self::of(orientation, lap, &across, &down))
            })
            .reduce(|best, other| if other.0 > best.0 { other } else { best })
            .map(|(_, layout)| layout)
            .ok_or(LayoutError::NoRoom { paper: stock.paper })
    }

    /// The least distance of any seam from any of `points`; `None` without seams or points.
    pub fn clearance(&self, points: &[CanvasPoint]) -> Option<Length> {
        let upright = self
            .upright_seams
            .iter()
            .flat_map(|seam| points.iter().map(move |point| (point.x - *seam).abs()));
        let level =
            self.level_seams.iter().flat_map(|seam| points.iter().map(move |point| (point.y - *seam).abs()));
        upright.chain(level).reduce(Length::min)
    }

    /// Whether any seam runs through `rect`. A seam runs from one end of the region to the other.
    pub fn crosses(&self, rect: CanvasRect) -> bool {
        let within = |seams: &[Length], from, to| seams.iter().any(|seam| (from..=to).contains(seam));
        within(&self.upright_seams, rect.origin.x, rect.right())
            || within(&self.level_seams, rect.origin.y, rect.bottom())
    }

    /// How far the seams keep from the face; `None` where one crosses the head, or where there is none.
    pub fn clearance_of_face(&self, head: &Head) -> Option<Length> {
        (!self.crosses(head.bounds())).then(|| self.clearance(&head.face_points())).flatten()
    }

    fn of(orientation: Orientation, lap: Length, across: &seams::Cut, down: &seams::Cut) -> Self {
        let sheets = down.windows.iter().enumerate().flat_map(|(row, &(top, bottom))| {
            across.windows.iter().enumerate().map(move |(column, &(left, right))| SheetWindow {
                row,
                column,
                window: CanvasRect::new(CanvasPoint::new(left, top), right - left, bottom - top),
            })
        });
        Self {
            orientation,
            columns: across.windows.len(),
            rows: down.windows.len(),
            lap,
            upright_seams: across.seams.clone(),
            level_seams: down.seams.clone(),
            sheets: sheets.collect(),
        }
    }
}

#[cfg(test)]
mod tests;
