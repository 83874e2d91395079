//! The kinds of sheets in a packet.

use std::fmt;
use std::str::FromStr;

use thiserror::Error;

/// A kind of sheet. The packet holds them in this order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SheetKind {
    /// The canvas drawn to scale, and the steps of the work.
    Plan,
    /// Every ruler reading, in large figures.
    Marks,
    /// The marks of each side at true size, on strips of paper.
    Strips,
    /// The photo with its grid at true size.
    Reference,
    /// Each detail box with a grid of its own, at true size.
    Details,
    /// The grid alone at true size, for clear film.
    Film,
    /// Where each landmark lies within its grid box.
    Plots,
    /// The measures taken on the reference.
    Measures,
    /// The sitter's proportions, and how far the camera stood.
    Proportions,
    /// Long scale bars.
    Bars,
    /// Crosses at known places, which tell the lens of a phone.
    Card,
    /// What a photo of the canvas told. It is made from a check and stands in no packet.
    Check,
}

impl SheetKind {
    /// All kinds that a packet may hold, in its order.
    pub const ALL: [Self; 11] = [
        Self::Plan,
        Self::Marks,
        Self::Strips,
        Self::Reference,
        Self::Details,
        Self::Film,
        Self::Plots,
        Self::Measures,
        Self::Proportions,
        Self::Bars,
        Self::Card,
    ];

    /// Whether a packet holds it unless it is asked for otherwise: the lens card is needed once in a phone's life, and the film sheet
    /// wants clear film in the printer.
    pub const fn is_usual(self) -> bool {
        !matches!(self, Self::Film | Self::Card | Self::Check)
    }

    /// The word for it in a list of kinds, such as `marks`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Plan => "plan",
            Self::Marks => "marks",
            Self::Strips => "strips",
            Self::Reference => "reference",
            Self::Details => "details",
            Self::Film => "film",
            Self::Plots => "plots",
            Self::Measures => "measures",
            Self::Proportions => "proportions",
            Self::Bars => "bars",
            Self::Card => "card",
            Self::Check => "check",
        }
    }

    /// What such sheets are called together, as a bookmark and in messages.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Plan => "Plan sheet",
            Self::Marks => "Mark-up sheet",
            Self::Strips => "Edge strips",
            Self::Reference => "Reference sheets",
            Self::Details => "Detail sheets",
            Self::Film => "Film sheets",
            Self::Plots => "Plots",
            Self::Measures => "Measures",
            Self::Proportions => "Proportions",
            Self::Bars => "Scale bars",
            Self::Card => "Lens card",
            Self::Check => "Check sheet",
        }
    }
}

impl fmt::Display for SheetKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// The text names no kind of sheet.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error(
    "“{text}” is not a kind of sheet. Choose from plan, marks, strips, reference, details, film, plots, measures, proportions, bars, card."
)]
pub struct SheetKindError {
    /// The text as given.
    pub text: String,
}

impl FromStr for SheetKind {
    type Err = SheetKindError;

    fn from_str(text: &str) -> Result<Self, SheetKindError> {
        let named = |kind: &Self| kind.word().eq_ignore_ascii_case(text.trim());
        Self::ALL.into_iter().find(named).ok_or_else(|| SheetKindError { text: text.to_owned() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_found_by_its_word() {
        for kind in SheetKind::ALL {
            assert_eq!(kind.word().parse(), Ok(kind));
        }
        assert!("poster".parse::<SheetKind>().unwrap_err().to_string().contains("reference"));
    }
}
