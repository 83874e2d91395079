//! Edits of how the sheets are printed.

use plan::{Length, LineLook, LineTone, Paper, Plan, PrinterCorrection, Printing, SeamDirection, Seams};
use serde::Deserialize;
use sheets::FURNITURE;
use utoipa::ToSchema;

use super::{EditError, length};

/// A change of how the sheets are printed.
#[derive(Clone, Debug, PartialEq, Deserialize, ToSchema)]
#[serde(tag = "do", rename_all = "kebab-case", deny_unknown_fields)]
pub enum PrintEdit {
    /// Print on this paper.
    Paper {
        /// The paper.
        paper: Paper,
    },
    /// Leave this margin along every edge.
    Margin {
        /// The margin, as typed.
        margin: String,
    },
    /// Let neighbouring sheets share so much.
    Lap {
        /// The lap, as typed.
        lap: String,
    },
    /// Let the seams run by themselves again.
    Seams {
        /// What they go by.
        by: SeamRule,
    },
    /// Move a seam by hand; the others stay where they are.
    Seam {
        /// Which way it runs.
        direction: SeamDirection,
        /// Which of them, counted from 0 at the left or top.
        at: usize,
        /// Where to, in mm from the canvas's left or top. It goes as near as the paper allows.
        to: f64,
    },
    /// Draw the grid over the photo, or leave it off.
    Lines {
        /// Whether it is drawn.
        lines: bool,
    },
    /// Draw the grid's lines so, on screens and sheets.
    LineLook {
        /// Their width as a multiple of the finest, from 1 to 4.
        strength: f64,
        /// Their tone.
        tone: LineTone,
    },
}

/// What seams go by that run by themselves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SeamRule {
    /// The fewest sheets.
    Fewest,
    /// Beside the head, with as many sheets more as that takes.
    BesideHead,
}

/// Lets the seams run by themselves again where, after a change of canvas, photo or paper, those put by hand no longer
/// leave each sheet what it can hold.
pub(super) fn drop_seams_that_do_not_hold(plan: &mut Plan) {
    let stock = plan.printing.stock(FURNITURE, PrinterCorrection::NONE);
    let by_hand = matches!(plan.printing.seams, Seams::ByHand(_));
    if by_hand && plan.sheet_layout(&stock, plan.printing.lap).is_err() {
        plan.printing.seams = Printing::usual(plan.unit).seams;
    }
}

impl PrintEdit {
    pub(super) fn apply(
        &self,
        plan: &mut Plan,
        correction: PrinterCorrection,
    ) -> Result<&'static str, EditError> {
        match self {
            Self::Paper { paper } => {
                plan.printing.paper = *paper;
                Ok("Change the paper")
            }
            Self::Margin { margin } => {
                plan.printing.margin = length(margin, plan)?;
                Ok("Change the margin")
            }
            Self::Lap { lap } => {
                plan.printing.lap = length(lap, plan)?;
                Ok("Change the lap")
            }
            Self::Seams { by } => {
                plan.printing.seams = match by {
                    SeamRule::Fewest => Seams::Fewest,
                    SeamRule::BesideHead => Seams::BesideHead,
                };
                Ok("Let the seams run by themselves")
            }
            Self::Seam { direction, at, to } => {
                let stock = plan.printing.stock(FURNITURE, correction);
                let layout = plan.sheet_layout(&stock, plan.printing.lap)?;
                let moved = layout.moved_seam(plan.sheet_region(), &stock, *direction, *at, Length::mm(*to));
                plan.printing.seams = Seams::ByHand(moved.ok_or(EditError::NoSuchSeam)?);
                Ok("Move a seam")
            }
            Self::Lines { lines } => {
                plan.printing.lines = *lines;
                Ok(if *lines { "Print the grid lines" } else { "Leave the grid lines off" })
            }
            Self::LineLook { strength, tone } => {
                plan.printing.line_look = LineLook { strength: *strength, tone: *tone };
                Ok("Change how the lines are drawn")
            }
        }
    }
}
