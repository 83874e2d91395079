//! Edits of the main grid.

use plan::{Division, Plan, SquaresFrom};
use serde::Deserialize;
use utoipa::ToSchema;

use super::{EditError, length};

/// A change of the main grid.
#[derive(Clone, Debug, PartialEq, Deserialize, ToSchema)]
#[serde(tag = "do", rename_all = "kebab-case", deny_unknown_fields)]
pub enum GridEdit {
    /// Divide into columns and rows.
    Parts {
        /// Columns.
        columns: u32,
        /// Rows.
        rows: u32,
    },
    /// Divide into squares.
    Squares {
        /// The side of a square, as typed.
        side: String,
        /// Where they are counted from.
        from: SquaresFrom,
    },
    /// Rule the diagonals, or leave them off.
    Diagonals {
        /// Whether they are ruled.
        diagonals: bool,
    },
}

impl GridEdit {
    pub(super) fn apply(&self, plan: &mut Plan) -> Result<&'static str, EditError> {
        match self {
            Self::Parts { columns, rows } => {
                plan.grid.division = Division::Parts { columns: *columns, rows: *rows };
                Ok("Change the grid")
            }
            Self::Squares { side, from } => {
                plan.grid.division = Division::Squares { side: length(side, plan)?, from: *from };
                Ok("Change the grid")
            }
            Self::Diagonals { diagonals } => {
                plan.grid.diagonals = *diagonals;
                Ok(if *diagonals { "Rule the diagonals" } else { "Leave off the diagonals" })
            }
        }
    }
}
