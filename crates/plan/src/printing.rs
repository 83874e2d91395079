//! How the painter wants the sheets: paper, margin, lap, and whether and how the grid is on them.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::layout::{Insets, MAX_SHEETS, Paper, PrinterCorrection, Seams, Stock};
use crate::length::{Length, Unit};
use crate::line_look::{LineLook, LineStrengthError};

/// The widest margin or lap that can be asked for: half the short side of the smallest paper leaves no room at all.
const WIDEST: Length = Length::mm(100.0);

/// On what, and how, the packet is printed. What a printer gets wrong is no part of it: that belongs to the printer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Printing {
    /// The paper.
    pub paper: Paper,
    /// What the printer leaves blank along every edge.
    pub margin: Length,
    /// How much of the picture two neighbouring sheets both show.
    pub lap: Length,
    /// Whether the grid is drawn over the photo.
    pub lines: bool,
    /// How its lines are drawn, on the sheets and on screens.
    #[serde(default)]
    pub line_look: LineLook,
    /// Where the seams of the reference run.
    #[serde(default)]
    pub seams: Seams,
}

/// Sheets that cannot be.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PrintingError {
    /// A margin or lap that leaves no sheet.
    #[error("The {what} must be a length from 0 to {}.", WIDEST.in_both_units(*.unit))]
    Width {
        /// What is too wide or no length.
        what: &'static str,
        /// The unit that the widest is told in first.
        unit: Unit,
    },
    /// Lines that cannot be drawn so.
    #[error(transparent)]
    Lines(#[from] LineStrengthError),
    /// Seams that are no places, or more than there can be sheets.
    #[error("The seams put by hand cannot be read. Let the seams run by themselves.")]
    Seams,
}

impl PrintingError {
    /// The same, told in this unit first.
    pub(crate) fn told_in(mut self, painters: Unit) -> Self {
        if let Self::Width { unit, .. } = &mut self {
            *unit = painters;
        }
        self
    }
}

impl Printing {
    /// What is usual where lengths are stated in `unit`, in round figures of it: the paper, the margin that nearly all printers can
    /// keep, and a lap wide enough for glue and narrow enough not to cost a sheet.
    pub const fn usual(unit: Unit) -> Self {
        let (paper, margin, lap) = match unit {
            Unit::Inch => (Paper::Letter, Length::inches(0.25), Length::inches(0.375)),
            Unit::Centimetre | Unit::Millimetre => (Paper::A4, Length::mm(7.0), Length::mm(10.0)),
        };
        Self { paper, margin, lap, lines: true, line_look: LineLook::USUAL, seams: Seams::BesideHead }
    }

    /// Laps in round figures that can be glued, from the usual one to the narrowest (common practice, no source).
    pub(crate) fn laps(unit: Unit) -> [Length; 4] {
        let usual = Self::usual(unit).lap;
        match unit {
            Unit::Inch => [usual, Length::inches(0.3125), Length::inches(0.25), Length::inches(0.1875)],
            Unit::Centimetre | Unit::Millimetre => [usual, Length::mm(8.0), Length::mm(6.0), Length::mm(5.0)],
        }
    }

    /// Goes over from the usual things of `old` to those of `new`; what the painter chose otherwise stays.
    pub fn change_unit(&mut self, old: Unit, new: Unit) {
        let (old, new) = (Self::usual(old), Self::usual(new));
        if self.paper == old.paper {
            self.paper = new.paper;
        }
        if self.margin == old.margin {
            self.margin = new.margin;
        }
        if self.lap == old.lap {
            self.lap = new.lap;
        }
    }

    /// The paper with its margins, for a printer with this error, on which labels take `furniture`.
    pub const fn stock(&self, furniture: Insets, correction: PrinterCorrection) -> Stock {
        Stock { paper: self.paper, margins: Insets::all(self.margin), furniture, correction }
    }

    /// Checks that margin and lap are lengths that a sheet can have, the lines can be drawn, and the seams are places.
    ///
    /// # Errors
    /// When a margin or lap is negative, too wide or not a number, the lines are of no strength there is, or the seams are
    /// too many or not numbers.
    pub fn check(&self) -> Result<(), PrintingError> {
        for (what, length) in [("margin", self.margin), ("lap", self.lap)] {
            if !(Length::ZERO..=WIDEST).contains(&length) {
                return Err(PrintingError::Width { what, unit: Unit::Millimetre });
            }
        }
        self.line_look.check()?;
        if let Seams::ByHand(seams) = &self.seams {
            let mut places = seams.upright.iter().chain(&seams.level);
            if seams.upright.len() + seams.level.len() > MAX_SHEETS || !places.all(|seam| seam.is_finite()) {
                return Err(PrintingError::Seams);
            }
        }
        Ok(())
    }
}

impl Default for Printing {
    fn default() -> Self {
        Self::usual(Unit::Inch)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn margins_that_leave_no_sheet_are_refused() {
        for margin in [-1.0, 101.0, f64::NAN] {
            let printing = Printing { margin: Length::mm(margin), ..Printing::default() };
            assert!(printing.check().is_err(), "{margin}");
        }
        assert!(Printing::usual(Unit::Millimetre).check().is_ok());
    }
}
