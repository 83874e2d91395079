//! What to know about the numbers of a check.

use plan::Length;
use serde::{Serialize, Serializer};
use thiserror::Error;

use crate::grid_check::LineCheck;
use crate::lines::found_of_grid;
use crate::outline::Standing;
use crate::report::small_length;
use crate::unfit::BOTH_UNITS;

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
        "The photo was taken with a lens of {focal:.0} mm (as on 35 mm film), so wide that the numbers may be further off than they say. Take it again from further away with the main camera, or photograph the lens card with this one."
    )]
    WideLens {
        /// Its focal length in mm on the 36 x 24 mm frame.
        focal: f64,
    },
    /// The photo tells another focal length than that of the lens that was measured.
    #[error(
        "This photo was not taken with the lens that you measured with the card, so that it was left aside. Take it with the same camera of the telephone, without zoom, or measure this one too."
    )]
    OtherLens,
    /// The canvas has not the proportions that it is planned or was measured with.
    #[error(
        "The canvas looks {} for its height than {}. Either it is not of that size (measure it), or an edge was taken that is not its own, such as that of a ledge which covers it. Until that is clear do not trust what is off by an amount that grows from one side to the other.",
        wider_or_narrower(*wider),
        if *is_measured { "you measured it" } else { "planned" }
    )]
    OtherProportions {
        /// By how much it looks wider; narrower below 0.
        wider: Length,
        /// Whether it was measured.
        is_measured: bool,
    },
    /// Too few lines to tell bowed edges from the lens.
    #[error(
        "{}, too few to tell a bowed edge from the lens. With lines both ways, or the lens card, the numbers would be surer.",
        few_found(*found)
    )]
    FewLines {
        /// How many.
        found: usize,
    },
    /// Most lines were not found.
    #[error(
        "{}. Paint may hide lines. On a bare canvas, check that it is the one of the plan, and let light from the side show the pencil. A line that was not seen may be there all the same.",
        few_seen(*found, *planned)
    )]
    MostNotSeen {
        /// How many were found.
        found: usize,
        /// How many were planned.
        planned: usize,
    },
}

fn wider_or_narrower(wider: Length) -> String {
    let how = if wider < Length::ZERO { "narrower" } else { "wider" };
    format!("{} {how}", small_length(wider.abs(), BOTH_UNITS))
}

fn few_found(found: usize) -> String {
    match found {
        0 => "No lines were found".to_owned(),
        1 => "Only 1 line was found".to_owned(),
        found => format!("Only {found} lines were found"),
    }
}

/// How many of the planned lines were seen, where those are few.
pub(crate) fn few_seen(found: usize, planned: usize) -> String {
    match (found, planned) {
        (_, 1) => "The one line of the grid was not seen".to_owned(),
        (0, planned) => format!("None of the grid’s {planned} lines was seen"),
        (1, planned) => format!("Only 1 of the grid’s {planned} lines was seen"),
        (found, planned) => format!("Only {found} of the grid’s {planned} lines were seen"),
    }
}

/// With fewer lines than this the edges' bow cannot be told from the lens's.
const FEW_LINES: usize = 4;

impl Warning {
    pub(crate) fn of_outline(standing: Standing) -> Vec<Self> {
        if standing == Standing::Automatic { vec![Self::OutlineUnconfirmed] } else { Vec::new() }
    }

    pub(crate) fn of_lines(lines: &[LineCheck]) -> Vec<Self> {
        let (of_grid, planned) = found_of_grid(lines.iter().map(|line| (line.in_detail, line.found)));
        let found = lines.iter().filter(|line| line.found).count();
        if 2 * of_grid < planned {
            vec![Self::MostNotSeen { found: of_grid, planned }]
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_line_and_none_are_told_as_they_are_spoken_of() {
        for (warning, beginning) in [
            (Warning::FewLines { found: 0 }, "No lines were found, too few"),
            (Warning::FewLines { found: 1 }, "Only 1 line was found, too few"),
            (Warning::FewLines { found: 3 }, "Only 3 lines were found, too few"),
            (Warning::MostNotSeen { found: 0, planned: 1 }, "The one line of the grid was not seen. "),
            (Warning::MostNotSeen { found: 0, planned: 6 }, "None of the grid’s 6 lines was seen. "),
            (Warning::MostNotSeen { found: 1, planned: 6 }, "Only 1 of the grid’s 6 lines was seen. "),
            (Warning::MostNotSeen { found: 2, planned: 6 }, "Only 2 of the grid’s 6 lines were seen. "),
        ] {
            let told = warning.to_string();
            assert!(told.starts_with(beginning), "{told}");
        }
    }
}
