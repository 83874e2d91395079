//! Edits: what the page asks to be changed, in the painter's own words, and what each does to the plan.
//!
//! Lengths come as the painter typed them (`12 1/2 in`, `30.5cm`; a bare number takes the ruler's unit). Places on the
//! canvas come in millimetres of the canvas frame, places in the photo in pixels of the photo frame.

mod canvas;
mod detail;
mod grid;
mod likeness;
mod print;
mod reference;

use plan::{
    CanvasPoint, LayoutError, Length, LengthError, PhotoPoint, Plan, PlanError, PrinterCorrection, RulerError,
};
use serde::Deserialize;
use thiserror::Error;
use utoipa::ToSchema;

use crate::shape::Xy;

pub use canvas::CanvasEdit;
pub use detail::DetailEdit;
pub use grid::GridEdit;
pub use likeness::LikenessEdit;
pub use print::{PrintEdit, SeamRule};
pub use reference::ReferenceEdit;

/// One change of a plan, by the part of the plan it changes.
#[derive(Clone, Debug, PartialEq, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum Edit {
    /// A change of the canvas, or of the unit and ruler it is measured with.
    Canvas(CanvasEdit),
    /// A change of the reference or of how it lies on the canvas.
    Reference(ReferenceEdit),
    /// A change of the main grid.
    Grid(GridEdit),
    /// A change of the detail boxes.
    Detail(DetailEdit),
    /// A change of landmarks or measures.
    Likeness(LikenessEdit),
    /// A change of how the sheets are printed.
    Print(PrintEdit),
}

/// Why an edit cannot be made. The plan is as it was.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum EditError {
    /// A length that cannot be read.
    #[error(transparent)]
    Length(#[from] LengthError),
    /// A side of the canvas or of a detail box that cannot be read.
    #[error(
        "The {side} “{text}” is not a length. Write it like 12, 12 1/2 or 30.5 cm, or both sides like 40 x 50."
    )]
    Side {
        /// `width` or `height`.
        side: &'static str,
        /// What was typed.
        text: String,
    },
    /// A side of the canvas or of a detail box that is empty.
    #[error("The {side} is empty. Write it like 12, 12 1/2 or 30.5 cm.")]
    EmptySide {
        /// `width` or `height`.
        side: &'static str,
    },
    /// A ruler that cannot be read.
    #[error(transparent)]
    Ruler(#[from] RulerError),
    /// The plan that would come of it cannot be carried out.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// There is no photo yet.
    #[error("There is no photo yet. Bring one in first.")]
    NoPhoto,
    /// Crown and chin are not marked.
    #[error("Crown and chin are not marked yet. Set them on the photo first.")]
    NoHead,
    /// The photo was to be straightened by a line whose ends lie in one place.
    #[error("The two ends of the line lie in one place. Drag along a line that ought to be level or plumb.")]
    LineWithoutLength,
    /// The photo was to be turned more than once around.
    #[error("A turn of {degrees}° is more than once around. Write from -180 to 180.")]
    TurnTooFar {
        /// Degrees clockwise, as typed.
        degrees: f64,
    },
    /// No such standard size.
    #[error("“{name}” is not among the standard sizes.")]
    NoSuchSize {
        /// The name as given.
        name: String,
    },
    /// The reference cannot be cut over this paper.
    #[error(transparent)]
    Layout(#[from] LayoutError),
    /// No such landmark or measure.
    #[error("“{name}” is no longer there.")]
    NotThere {
        /// Its name.
        name: String,
    },
    /// No such seam.
    #[error("That seam is no longer there.")]
    NoSuchSeam,
    /// No such detail box.
    #[error("That detail box is no longer there.")]
    NoSuchDetail,
    /// A detail box's name is too long.
    #[error("The name of a detail box has at most {most} characters.")]
    NameTooLong {
        /// The most it may have.
        most: usize,
    },
}

/// The plan with the edit made, checked, and the edit's name for the history (`Move the photo`). A seam is moved on the sheets of a printer
/// with this error.
///
/// # Errors
/// When the edit makes no sense for this plan, or the plan it makes cannot be carried out.
pub fn edited(
    plan: &Plan,
    edit: &Edit,
    correction: PrinterCorrection,
) -> Result<(Plan, &'static str), EditError> {
    let mut plan = plan.clone();
    let name = match edit {
        Edit::Canvas(edit) => edit.apply(&mut plan)?,
        Edit::Reference(edit) => edit.apply(&mut plan)?,
        Edit::Grid(edit) => edit.apply(&mut plan)?,
        Edit::Detail(edit) => edit.apply(&mut plan)?,
        Edit::Likeness(edit) => edit.apply(&mut plan)?,
        Edit::Print(edit) => edit.apply(&mut plan, correction)?,
    };
    print::drop_seams_that_do_not_hold(&mut plan);
    plan.check()?;
    Ok((plan, name))
}

/// Reads a length as typed; a bare number takes the unit that stands beside it on the page, which is the ruler's.
fn length(text: &str, plan: &Plan) -> Result<Length, EditError> {
    Ok(Length::parse(text, Some(plan.ruler.unit()))?.length)
}

const fn on_canvas(Xy([x, y]): Xy) -> CanvasPoint {
    CanvasPoint::mm(x, y)
}

const fn in_photo(Xy([x, y]): Xy) -> PhotoPoint {
    PhotoPoint::new(x, y)
}

#[cfg(test)]
mod tests;
