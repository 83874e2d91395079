//! What to know about the numbers of a check.

use serde::{Serialize, Serializer};
use thiserror::Error;

use crate::grid_check::LineCheck;
use crate::outline::Standing;

/// Something that the painter should know about a check. Written as its sentence.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Warning {
    /// Nobody has looked at the outline.
    #[error(
        "The outline was found in the photo and nobody has confirmed it. Look at it before you believe these numbers; a wrong outline cannot be told from a right one by its numbers."
    )]
    OutlineUnconfirmed,
    /// A lens wider than the check was proved for.
    #[error(
        "The photo was taken with a lens of {focal:.0} mm (on the 36 x 24 mm frame), so wide that the numbers may be further off than they say. Take it again from further away with the main camera, or photograph the lens card with this one."
    )]
    WideLens {
        /// Its focal length in mm on the 36 x 24 mm frame.
        focal: f64,
    },
    /// Too few lines to tell bowed edges from the lens.
    #[error(
        "Only {found} lines were found, too few to tell a bowed edge from the lens. With lines both ways, or the lens card, the numbers would be surer."
    )]
    FewLines {
        /// How many.
        found: usize,
    },
    /// Most lines were not found.
    #[error(
        "Only {found} of {planned} planned lines were seen. Paint may hide the others. On a bare canvas, check that it is the one of the plan, and let light from the side show the pencil. A line that was not seen may be there all the same."
    )]
    MostNotSeen {
        /// How many were found.
        found: usize,
        /// How many were planned.
        planned: usize,
    },
}

/// With fewer lines than this the edges' bow cannot be told from the lens's.
const FEW_LINES: usize = 4;

impl Warning {
    pub(crate) fn of_outline(standing: Standing) -> Vec<Self> {
        if standing == Standing::Automatic { vec![Self::OutlineUnconfirmed] } else { Vec::new() }
    }

    pub(crate) fn of_lines(lines: &[LineCheck]) -> Vec<Self> {
        // Detail boxes may not have been ruled yet: that their lines are missing says nothing.
        let of_grid = || lines.iter().filter(|line| !line.in_detail);
        let (planned, found_of_grid) = (of_grid().count(), of_grid().filter(|line| line.found).count());
        let found = lines.iter().filter(|line| line.found).count();
        if 2 * found_of_grid < planned {
            vec![Self::MostNotSeen { found: found_of_grid, planned }]
        } else if found < FEW_LINES {
            vec![Self::FewLines { found }]
        } else {
            Vec::new()
        }
    }
}

impl Serialize for Warning {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
