//! Edits of the detail boxes.

use plan::{CanvasRect, DetailBox, Grid, Length, Plan};
use serde::Deserialize;
use utoipa::ToSchema;

use super::canvas::both_sides;
use super::{EditError, length, on_canvas};
use crate::shape::Xy;

/// The most characters of a detail box's name: what stands in one line of a sheet's label.
const MAX_NAME_CHARS: usize = 60;

/// A change of the detail boxes; a box is told by its place in the list, from 0.
#[derive(Clone, Debug, PartialEq, Deserialize, ToSchema)]
#[serde(tag = "do", rename_all = "kebab-case", deny_unknown_fields)]
pub enum DetailEdit {
    /// Add a box, in quarters.
    Add {
        /// Its top left corner on the canvas, in mm.
        corner: Xy,
        /// Its width and height in mm.
        size: Xy,
    },
    /// Name a box.
    Name {
        /// Which box.
        at: usize,
        /// What is in it.
        name: String,
    },
    /// Move or size a box with the hand.
    Drag {
        /// Which box.
        at: usize,
        /// Its top left corner on the canvas, in mm.
        corner: Xy,
        /// Its width and height in mm.
        size: Xy,
    },
    /// Move and size a box by numbers, as typed.
    Place {
        /// Which box.
        at: usize,
        /// From the canvas's left.
        left: String,
        /// From the canvas's top.
        top: String,
        /// The width as typed, or both sides: `8 in`, `8 x 8 in`.
        width: String,
        /// The height as typed, or both sides.
        height: String,
    },
    /// Divide a box.
    Divide {
        /// Which box.
        at: usize,
        /// Its columns.
        columns: u32,
        /// Its rows.
        rows: u32,
        /// Whether its diagonals are ruled.
        diagonals: bool,
    },
    /// Take a box away.
    Remove {
        /// Which box.
        at: usize,
    },
}

impl DetailEdit {
    pub(super) fn apply(&self, plan: &mut Plan) -> Result<&'static str, EditError> {
        match self {
            Self::Add { corner, size } => {
                let name = free_name(plan);
                plan.details.push(DetailBox::new(name, rect(*corner, *size), Grid::default()));
                Ok("Add a detail box")
            }
            Self::Name { at, name } => {
                if name.chars().count() > MAX_NAME_CHARS {
                    return Err(EditError::NameTooLong { most: MAX_NAME_CHARS });
                }
                name.trim().clone_into(&mut detail(plan, *at)?.name);
                Ok("Name a detail box")
            }
            Self::Drag { at, corner, size } => {
                detail(plan, *at)?.lay(rect(*corner, *size));
                Ok("Move a detail box")
            }
            Self::Place { at, left, top, width, height } => {
                let (width, height) = both_sides(width, height, plan.ruler.unit())?;
                let origin = plan::CanvasPoint::new(length(left, plan)?, length(top, plan)?);
                detail(plan, *at)?.lay(CanvasRect::new(origin, width, height));
                Ok("Move a detail box")
            }
            Self::Divide { at, columns, rows, diagonals } => {
                let grid = Grid { diagonals: *diagonals, ..Grid::parts(*columns, *rows) };
                detail(plan, *at)?.grid = grid;
                Ok("Divide a detail box")
            }
            Self::Remove { at } => {
                detail(plan, *at)?;
                plan.details.remove(*at);
                Ok("Take a detail box away")
            }
        }
    }
}

fn detail(plan: &mut Plan, at: usize) -> Result<&mut DetailBox, EditError> {
    plan.details.get_mut(at).ok_or(EditError::NoSuchDetail)
}

fn rect(corner: Xy, Xy([width, height]): Xy) -> CanvasRect {
    CanvasRect::new(on_canvas(corner), Length::mm(width), Length::mm(height))
}

/// The first of `Detail 1`, `Detail 2`, … that no box bears.
fn free_name(plan: &Plan) -> String {
    let taken = |name: &String| plan.details.iter().any(|detail| detail.name == *name);
    (1..=plan::MAX_DETAILS + 1)
        .map(|number| format!("Detail {number}"))
        .find(|name| !taken(name))
        .unwrap_or_default()
}
