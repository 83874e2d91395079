//! Edits of how the sheets are printed.

use plan::{Paper, Plan};
use serde::Deserialize;

use super::{EditError, length};

/// A change of how the sheets are printed.
#[derive(Clone, Debug, PartialEq, Deserialize)]
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
    /// Draw the grid over the photo, or leave it off.
    Lines {
        /// Whether it is drawn.
        lines: bool,
    },
}

impl PrintEdit {
    pub(super) fn apply(&self, plan: &mut Plan) -> Result<&'static str, EditError> {
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
            Self::Lines { lines } => {
                plan.printing.lines = *lines;
                Ok(if *lines { "Print the grid lines" } else { "Leave the grid lines off" })
            }
        }
    }
}
