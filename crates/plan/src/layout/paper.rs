//! Paper: its standard sizes, its unprintable margins, and a printer's error in each direction.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::length::{Length, Stated, Unit};

/// A standard sheet of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "lowercase")]
pub enum Paper {
    /// 8 1/2 x 11 in (ANSI/ASME Y14.1 size A).
    Letter,
    /// 8 1/2 x 14 in (North American office practice).
    Legal,
    /// 11 x 17 in (ANSI/ASME Y14.1 size B).
    Tabloid,
    /// 210 x 297 mm (ISO 216).
    A4,
    /// 297 x 420 mm (ISO 216).
    A3,
}

impl Paper {
    /// All papers, from small to large within each family.
    pub const ALL: [Self; 5] = [Self::Letter, Self::Legal, Self::Tabloid, Self::A4, Self::A3];

    /// Width and height of the sheet held upright.
    pub const fn upright_size(self) -> (Length, Length) {
        match self {
            Self::Letter => (Length::inches(8.5), Length::inches(11.0)),
            Self::Legal => (Length::inches(8.5), Length::inches(14.0)),
            Self::Tabloid => (Length::inches(11.0), Length::inches(17.0)),
            Self::A4 => (Length::mm(210.0), Length::mm(297.0)),
            Self::A3 => (Length::mm(297.0), Length::mm(420.0)),
        }
    }

    /// Width and height of the sheet as it is turned.
    pub const fn size(self, orientation: Orientation) -> (Length, Length) {
        let (short, long) = self.upright_size();
        match orientation {
            Orientation::Portrait => (short, long),
            Orientation::Landscape => (long, short),
        }
    }
}

impl fmt::Display for Paper {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Letter => "Letter",
            Self::Legal => "Legal",
            Self::Tabloid => "Tabloid",
            Self::A4 => "A4",
            Self::A3 => "A3",
        })
    }
}

/// The text names no paper.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("“{text}” is not a paper size. Choose letter, legal, tabloid, a4 or a3.")]
pub struct PaperError {
    /// The text as given.
    pub text: String,
}

impl FromStr for Paper {
    type Err = PaperError;

    fn from_str(text: &str) -> Result<Self, PaperError> {
        let named = |paper: &Self| paper.to_string().eq_ignore_ascii_case(text.trim());
        Self::ALL.into_iter().find(named).ok_or_else(|| PaperError { text: text.to_owned() })
    }
}

/// How a sheet is turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Orientation {
    /// Short side at the top.
    Portrait,
    /// Long side at the top.
    Landscape,
}

impl Orientation {
    /// Both, upright first.
    pub const BOTH: [Self; 2] = [Self::Portrait, Self::Landscape];
}

/// Strips along the four edges of a sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Insets {
    /// Along the top edge.
    pub top: Length,
    /// Along the right edge.
    pub right: Length,
    /// Along the bottom edge.
    pub bottom: Length,
    /// Along the left edge.
    pub left: Length,
}

impl Insets {
    /// The same on all four edges.
    pub const fn all(inset: Length) -> Self {
        Self { top: inset, right: inset, bottom: inset, left: inset }
    }

    fn is_sound(self) -> bool {
        [self.top, self.right, self.bottom, self.left]
            .into_iter()
            .all(|inset| inset.is_finite() && inset >= Length::ZERO)
    }
}

/// A printer's error: how long a bar that ought to be 100 mm comes out. It belongs to the printer, so it follows the
/// *paper*: `across` runs along the short edge, `along` runs along the long edge, however the picture is turned on it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PrinterCorrection {
    across: f64,
    along: f64,
}

/// A scale bar was measured as something no printer at actual size gives.
#[derive(Clone, Debug, PartialEq, Error)]
#[error(
    "A 100 mm scale bar measured as {:.1} mm is more than 5 % off. The sheet was printed with “fit to page” or another scale: print at actual size and measure again.",
    .measured.to_mm()
)]
pub struct CorrectionError {
    /// The length as given.
    pub measured: Length,
}

impl PrinterCorrection {
    /// A printer that prints true.
    pub const NONE: Self = Self { across: 1.0, along: 1.0 };

    /// The length of the scale bars that are measured.
    pub const BAR: Length = Length::mm(100.0);

    /// The largest error that counts as a printer's own: engines were allowed 2 to 3 %, while fitting a page to its
    /// margins starts at about 3 % and a wrong paper size at 6 %.
    pub const LARGEST: f64 = 0.05;

    /// From the measured lengths of the two 100 mm bars: the one across the paper held upright, and the one along it.
    ///
    /// # Errors
    /// When a length is more than [`PrinterCorrection::LARGEST`] off.
    pub fn from_bars(across: Length, along: Length) -> Result<Self, CorrectionError> {
        for measured in [across, along] {
            let off = (measured / Self::BAR - 1.0).abs();
            if off.is_nan() || off > Self::LARGEST {
                return Err(CorrectionError { measured });
            }
        }
        Ok(Self { across: across / Self::BAR, along: along / Self::BAR })
    }

    /// A measured bar as a 100 mm bar: who measures in inches has measured the 4 in bar.
    pub fn bar_as_metric(measured: Stated) -> Length {
        match measured.unit {
            Unit::Inch => Self::BAR * (measured.length / Length::inches(4.0)),
            Unit::Centimetre | Unit::Millimetre => measured.length,
        }
    }

    /// The measured lengths of the two bars in words, in the painter's family of units: of those of 100 mm, or of 4 in.
    pub fn bars_in_words(self, unit: Unit) -> [String; 2] {
        [self.across, self.along].map(|share| match unit {
            Unit::Inch => (Length::inches(4.0) * share).in_unit(unit),
            Unit::Centimetre | Unit::Millimetre => format!("{:.1} mm", (Self::BAR * share).to_mm()),
        })
    }

    /// How long to draw what shall come out as 1, horizontally and vertically on a sheet turned so.
    pub fn drawn(self, orientation: Orientation) -> (f64, f64) {
        match orientation {
            Orientation::Portrait => (1.0 / self.across, 1.0 / self.along),
            Orientation::Landscape => (1.0 / self.along, 1.0 / self.across),
        }
    }

    /// True when the printer needs no correction.
    pub fn is_none(self) -> bool {
        self == Self::NONE
    }
}

impl Default for PrinterCorrection {
    fn default() -> Self {
        Self::NONE
    }
}

/// The paper a packet is printed on, with what of it the picture cannot use.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stock {
    /// The paper.
    pub paper: Paper,
    /// What the printer leaves blank, with the paper held upright.
    pub margins: Insets,
    /// What labels, map and scale bars take inside the margins, as the sheet is read.
    pub furniture: Insets,
    /// The printer's error.
    pub correction: PrinterCorrection,
}

impl Stock {
    /// Margins of a sheet turned so, as it is read. A sheet on its side may be turned either way on its way through the
    /// printer, so the larger of two opposite margins holds at both ends.
    pub fn margins(&self, orientation: Orientation) -> Insets {
        match orientation {
            Orientation::Portrait => self.margins,
            Orientation::Landscape => {
                let sides = self.margins.top.max(self.margins.bottom);
                let ends = self.margins.left.max(self.margins.right);
                Insets { top: ends, right: sides, bottom: ends, left: sides }
            }
        }
    }

    /// The largest piece of canvas, width and height, that a sheet turned so shows at true size.
    pub fn room(&self, orientation: Orientation) -> (Length, Length) {
        let (width, height) = self.paper.size(orientation);
        let margins = self.margins(orientation);
        let (drawn_across, drawn_down) = self.correction.drawn(orientation);
        let furniture = self.furniture;
        (
            (width - margins.left - margins.right - furniture.left - furniture.right) / drawn_across,
            (height - margins.top - margins.bottom - furniture.top - furniture.bottom) / drawn_down,
        )
    }

    pub(super) fn is_sound(&self) -> bool {
        self.margins.is_sound() && self.furniture.is_sound()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_printer_that_shrinks_gets_a_larger_drawing() {
        let correction = PrinterCorrection::from_bars(Length::mm(99.4), Length::mm(100.6)).unwrap();
        let (across, down) = correction.drawn(Orientation::Portrait);
        assert!((across * 0.994 - 1.0).abs() < 1e-12 && (down * 1.006 - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_correction_follows_the_paper_when_the_picture_is_turned_on_it() {
        let correction = PrinterCorrection::from_bars(Length::mm(99.0), Length::mm(101.0)).unwrap();
        let (across, down) = correction.drawn(Orientation::Portrait);
        assert_eq!(correction.drawn(Orientation::Landscape), (down, across));
    }

    #[test]
    fn bars_of_a_page_fitted_to_its_margins_are_told_as_such() {
        let error = PrinterCorrection::from_bars(Length::mm(94.1), Length::mm(94.1)).unwrap_err();
        assert!(error.to_string().contains("fit to page"));
        assert!(PrinterCorrection::from_bars(Length::mm(f64::NAN), Length::mm(100.0)).is_err());
    }

    #[test]
    fn papers_are_found_by_name() {
        assert_eq!("letter".parse::<Paper>().unwrap(), Paper::Letter);
        assert_eq!(" A3 ".parse::<Paper>().unwrap(), Paper::A3);
        assert!("foolscap".parse::<Paper>().is_err());
    }
}
