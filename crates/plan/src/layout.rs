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

/// How much of the paper is kept in reserve when a seam is moved by hand: more than printers are usually wrong by.
const HAND_RESERVE: f64 = 0.015;

/// Where the seams of the reference run.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Seams {
    /// Over the fewest sheets and, among layouts with equally few, as far from the face as they can.
    #[default]
    Fewest,
    /// Beside the head and other places that are to be kept whole, with as many sheets more as that takes.
    BesideHead,
    /// Where the painter put them.
    ByHand(SeamsByHand),
}

impl Seams {
    /// Cuts `region` over sheets of `stock` as these seams have it; see [`SheetLayout::new`] for the rest.
    ///
    /// # Errors
    /// See [`SheetLayout::new`] and [`SheetLayout::at_seams`].
    pub fn cut(
        &self,
        region: CanvasRect,
        limit: CanvasRect,
        stock: &Stock,
        lap: Length,
        points: &[CanvasPoint],
        whole: &[CanvasRect],
    ) -> Result<SheetLayout, LayoutError> {
        match self {
            Self::ByHand(seams) => SheetLayout::at_seams(region, limit, stock, lap, seams),
            Self::BesideHead => SheetLayout::keeping_whole(region, limit, stock, lap, points, whole),
            Self::Fewest => SheetLayout::new(region, limit, stock, lap, points),
        }
    }
}

/// Seams that the painter put where they are.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SeamsByHand {
    /// How the paper is turned.
    pub orientation: Orientation,
    /// The upright seams, as distances from the canvas's left.
    pub upright: Vec<Length>,
    /// The level seams, as distances from the canvas's top.
    pub level: Vec<Length>,
}

/// What of the head a seam runs through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SeamThrough {
    /// The features, from the brow to the chin.
    Features,
    /// What lies above the brow alone.
    Above,
}

impl SeamThrough {
    /// As what a seam runs through: `the face`.
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::Features => "the face",
            Self::Above => "the head above the brow",
        }
    }
}

/// Which way a seam runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum SeamDirection {
    /// From top to bottom.
    Upright,
    /// From left to right.
    Level,
}

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
    /// The sheet's name, as that of a box of the grid: its column as a letter and its row as a number, `A1` at the top left.
    pub fn name(&self) -> String {
        format!("{}{}", letters(self.column), self.row + 1)
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
    /// Seams set by hand between which lies more than a sheet holds.
    #[error(
        "With the seams as they were put by hand, a sheet of {paper} does not hold its part. Move the seams, or let them run by themselves."
    )]
    SeamsTooFarApart {
        /// The paper.
        paper: Paper,
    },
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
        let ways = ways(region, limit, stock, lap)?;
        best_cut(&ways, lap, points).ok_or(LayoutError::NoRoom { paper: stock.paper })
    }

    /// As [`SheetLayout::new`], but no seam runs through any of `whole`, at the price of more sheets where there is no other way. Where not
    /// all of them can be kept whole, the first go before the later ones; what no sheet can hold is cut as [`SheetLayout::new`] does:
    /// ask [`SheetLayout::crosses`].
    ///
    /// # Errors
    /// As [`SheetLayout::new`].
    pub fn keeping_whole(
        region: CanvasRect,
        limit: CanvasRect,
        stock: &Stock,
        lap: Length,
        points: &[CanvasPoint],
        whole: &[CanvasRect],
    ) -> Result<Self, LayoutError> {
        let ways = ways(region, limit, stock, lap)?;
        let can_be: Vec<(CanvasRect, bool)> = whole
            .iter()
            .enumerate()
            .filter(|(_, rect)| ways.iter().any(|way| way.holds(**rect)))
            .map(|(at, rect)| (*rect, whole[..at].iter().any(|other| other.contains(rect.centre()))))
            .collect();
        let keep = |mut way: Way| {
            let kept: Vec<usize> =
                can_be.iter().map(|&(rect, is_part)| way.keep_whole(rect, is_part)).collect();
            (kept, way)
        };
        let kept: Vec<(Vec<usize>, Way)> = ways.into_iter().map(keep).collect();
        let most = kept.iter().map(|(kept, _)| kept).max().cloned();
        let best: Vec<Way> =
            kept.into_iter().filter(|(kept, _)| Some(kept) == most.as_ref()).map(|(_, way)| way).collect();
        let layout = best_cut(&best, lap, points).filter(|layout| layout.sheets.len() <= MAX_SHEETS);
        layout.map_or_else(|| Self::new(region, limit, stock, lap, points), Ok)
    }

    /// Cuts `region` at the seams given, whatever they run through.
    ///
    /// # Errors
    /// As [`SheetLayout::new`], and when a sheet would not hold its part of the region.
    pub fn at_seams(
        region: CanvasRect,
        limit: CanvasRect,
        stock: &Stock,
        lap: Length,
        seams: &SeamsByHand,
    ) -> Result<Self, LayoutError> {
        let refused = LayoutError::SeamsTooFarApart { paper: stock.paper };
        let way =
            ways(region, limit, stock, lap)?.into_iter().find(|way| way.orientation == seams.orientation);
        let Way { orientation, across, down } = way.ok_or_else(|| refused.clone())?;
        let cuts = across.cut_at(&seams.upright).zip(down.cut_at(&seams.level));
        let (across, down) = cuts.ok_or(refused)?;
        Ok(Self::of(orientation, lap, &across, &down))
    }

    /// The seams with one of them moved to `to`, or as near to it as the paper allows while the others stay. `None` where
    /// there is no such seam.
    ///
    /// Some of the paper is kept in reserve, so that the seams still hold when a printer's error is corrected; a seam that has used it up
    /// already may stay.
    pub fn moved_seam(
        &self,
        region: CanvasRect,
        stock: &Stock,
        way: SeamDirection,
        at: usize,
        to: Length,
    ) -> Option<SeamsByHand> {
        let (width, height) = stock.room(self.orientation);
        let (ends, room) = match way {
            SeamDirection::Upright => ((region.origin.x, region.right()), width),
            SeamDirection::Level => ((region.origin.y, region.bottom()), height),
        };
        let axis = Axis::new(ends, ends, room * (1.0 - HAND_RESERVE), self.lap);
        let mut seams = SeamsByHand {
            orientation: self.orientation,
            upright: self.upright_seams.clone(),
            level: self.level_seams.clone(),
        };
        let moved = match way {
            SeamDirection::Upright => &mut seams.upright,
            SeamDirection::Level => &mut seams.level,
        };
        let places: Vec<f64> = moved.iter().map(|seam| seam.to_mm()).collect();
        let here = *places.get(at)?;
        let (from, until) = axis.room_of_seam(&places, at);
        moved[at] = Length::mm(to.to_mm().clamp(from.min(here), until.max(here)));
        Some(seams)
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

    /// What of the head a seam runs through, if one does.
    pub fn through(&self, head: &Head) -> Option<SeamThrough> {
        self.crosses(head.bounds())
            .then(|| if self.crosses(head.features()) { SeamThrough::Features } else { SeamThrough::Above })
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

/// One way to hold the paper, with the two directions to be cut.
struct Way {
    orientation: Orientation,
    across: Axis,
    down: Axis,
}

impl Way {
    /// Whether a sheet held this way can hold all of it.
    fn holds(&self, rect: CanvasRect) -> bool {
        self.across.holds(rect.width) && self.down.holds(rect.height)
    }

    /// Lets no upright and no level seam run through `rect` from now on, where that can be; gives in how many of the two directions it
    /// can. A seam through it in one is still better than in both; a part of something that could not be kept is worth sheets only where
    /// it is kept in both.
    fn keep_whole(&mut self, rect: CanvasRect, is_part: bool) -> usize {
        let across = self.across.keeping_whole(rect.origin.x, rect.right());
        let down = self.down.keeping_whole(rect.origin.y, rect.bottom());
        let (can_across, can_down) = (across.can_be_cut(), down.can_be_cut());
        if is_part && !(can_across && can_down) {
            return 0;
        }
        if can_across {
            self.across = across;
        }
        if can_down {
            self.down = down;
        }
        usize::from(can_across) + usize::from(can_down)
    }
}

/// The ways to hold the paper on which there is room.
fn ways(region: CanvasRect, limit: CanvasRect, stock: &Stock, lap: Length) -> Result<Vec<Way>, LayoutError> {
    if !(lap.is_finite() && lap >= Length::ZERO && stock.is_sound()) {
        return Err(LayoutError::NegativeInset);
    }
    let ways: Vec<Way> = Orientation::BOTH
        .into_iter()
        .filter_map(|orientation| {
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
                Way { orientation, across, down }
            })
        })
        .collect();
    let count = |Way { across, down, .. }: &Way| fewest_windows(across) * fewest_windows(down);
    let least = ways.iter().map(count).min().ok_or(LayoutError::NoRoom { paper: stock.paper })?;
    if least > MAX_SHEETS {
        return Err(LayoutError::TooManySheets { sheets: least, paper: stock.paper });
    }
    Ok(ways)
}

/// The layout with the fewest sheets and, among equals, the largest clearance from `points`.
fn best_cut(ways: &[Way], lap: Length, points: &[CanvasPoint]) -> Option<SheetLayout> {
    let across_points: Vec<Length> = points.iter().map(|point| point.x).collect();
    let down_points: Vec<Length> = points.iter().map(|point| point.y).collect();
    ways.iter()
        .filter_map(|Way { orientation, across, down }| {
            let (across, down) = (across.cut(&across_points)?, down.cut(&down_points)?);
            let clearance = across.clearance.min(down.clearance);
            Some((clearance, SheetLayout::of(*orientation, lap, &across, &down)))
        })
        .reduce(|best, other| {
            let fewer = other.1.sheets.len() < best.1.sheets.len();
            let as_few = other.1.sheets.len() == best.1.sheets.len();
            if fewer || (as_few && other.0 > best.0) { other } else { best }
        })
        .map(|(_, layout)| layout)
}

#[cfg(test)]
mod tests;
