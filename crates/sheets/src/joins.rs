//! How a sheet joins its neighbours: the seams, what to do at each, and the crosses that register two sheets.
//!
//! A sheet is cut at its left and upper seams and laid over its neighbours there; its right and lower laps stay, and the
//! next sheets come to lie on them. The seam runs along the middle of the lap, and the crosses stand on it: of each
//! cross one half stays on the upper sheet, the other half shows on the lower one.

use plan::{CanvasPoint, CanvasRect, Length, SheetLayout, SheetWindow};
use serde::Serialize;

use crate::paper::{Drawing, PaperPoint};

/// Arm of a fit-up cross, in mm.
const CROSS_ARM: f64 = 4.0;

/// Where along a seam its two crosses stand, as shares of the piece of seam that two sheets share: far apart, so that
/// they turn the sheets true, and off the corners where four sheets meet.
const CROSS_PLACES: [f64; 2] = [0.15, 0.85];

/// The smallest lap, in mm, whose outer half has room for a note that can be read.
const LEAST_LAP_FOR_NOTE: f64 = 4.5;
/// The size of a note's type, in mm (7 pt), where the outer half of the lap has room for it, and the least room above and below it.
const NOTE_TYPE: f64 = 2.47;
const NOTE_AIR: f64 = 0.35;

/// The line at which two sheets meet.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Seam {
    line: [PaperPoint; 2],
    /// The middles of the fit-up crosses on it.
    crosses: [PaperPoint; 2],
    /// Length of a cross's arm, in mm.
    arm: f64,
    /// What to do here, written in the part of the lap that is cut off or covered; nothing where that is too narrow.
    note: Option<Note>,
}

/// Words centred on a point.
#[derive(Clone, Debug, Serialize)]
struct Note {
    at: PaperPoint,
    text: String,
    /// True when they are turned to read upwards.
    turned: bool,
    /// The size of its type, and the air above and below it, in mm.
    size: f64,
    air: f64,
}

/// The seams of `sheet`, as they lie on it; `named` names its neighbours, as far as they are printed: where none is, nothing is joined.
pub(crate) fn seams(
    layout: &SheetLayout,
    sheet: &SheetWindow,
    drawing: &Drawing,
    named: &dyn Fn(&SheetWindow) -> Option<String>,
) -> Vec<Seam> {
    [(true, true), (true, false), (false, true), (false, false)]
        .into_iter()
        .filter_map(|(upright, before)| seam(layout, sheet, drawing, named, upright, before))
        .collect()
}

/// The piece of canvas that a sheet shows once the sheets are joined: its window up to the seams.
pub(crate) fn joined_piece(layout: &SheetLayout, sheet: &SheetWindow) -> CanvasRect {
    let SheetWindow { row, column, window } = *sheet;
    let before = |seams: &[Length], at: usize| at.checked_sub(1).and_then(|at| seams.get(at)).copied();
    let left = before(&layout.upright_seams, column).unwrap_or(window.origin.x);
    let top = before(&layout.level_seams, row).unwrap_or(window.origin.y);
    let right = layout.upright_seams.get(column).copied().unwrap_or(window.right());
    let bottom = layout.level_seams.get(row).copied().unwrap_or(window.bottom());
    CanvasRect::new(CanvasPoint::new(left, top), right - left, bottom - top)
}

/// The upright or level seam before (left, above) or after (right, below) the sheet's piece, if there is a neighbour.
fn seam(
    layout: &SheetLayout,
    sheet: &SheetWindow,
    drawing: &Drawing,
    named: &dyn Fn(&SheetWindow) -> Option<String>,
    upright: bool,
    before: bool,
) -> Option<Seam> {
    let SheetWindow { row, column, window } = *sheet;
    let (all, index) = if upright { (&layout.upright_seams, column) } else { (&layout.level_seams, row) };
    let (seam, other) =
        if before { (index.checked_sub(1)?, index.checked_sub(1)?) } else { (index, index + 1) };
    let across = *all.get(seam)?;
    let (row, column) = if upright { (row, other) } else { (other, column) };
    let neighbour = named(&SheetWindow { row, column, window })?;

    let on_sheet = |across: Length, share: f64| {
        drawing.point(if upright {
            CanvasPoint::new(across, window.origin.y + window.height * share)
        } else {
            CanvasPoint::new(window.origin.x + window.width * share, across)
        })
    };
    let quarter_lap = layout.lap / 4.0;
    let note = (layout.lap.to_mm() >= LEAST_LAP_FOR_NOTE).then(|| Note {
        at: on_sheet(if before { across - quarter_lap } else { across + quarter_lap }, 0.5),
        text: if before {
            format!("cut here and lay over {neighbour}")
        } else {
            format!("{neighbour} lies over this edge")
        },
        turned: upright,
        size: NOTE_TYPE.min(layout.lap.to_mm() / 2.0 - 2.0 * NOTE_AIR),
        air: NOTE_AIR,
    });
    Some(Seam {
        line: [on_sheet(across, 0.0), on_sheet(across, 1.0)],
        crosses: CROSS_PLACES.map(|share| on_sheet(across, share)),
        arm: CROSS_ARM.min(layout.lap.to_mm() / 2.0),
        note,
    })
}
