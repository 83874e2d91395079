//! Lengths as they are set on the sheets: a reading in the painter's unit, and the same in the other unit.

use plan::{InchDivision, Length, Reading, Ruler, Unit};
use serde::Serialize;

/// A figure with its unit, taken apart so that a fraction can be set as a fraction.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub(crate) struct Figure {
    negative: bool,
    whole: u64,
    fraction: Option<(u64, u64)>,
    decimals: Option<String>,
    unit: &'static str,
}

impl From<Reading> for Figure {
    fn from(reading: Reading) -> Self {
        let parts = reading.parts();
        Self {
            negative: parts.negative,
            whole: parts.whole,
            fraction: parts.fraction,
            decimals: parts.decimals,
            unit: abbreviation(parts.unit),
        }
    }
}

impl Figure {
    /// The bare number, where the unit follows later in the line.
    pub(crate) fn without_unit(self) -> Self {
        Self { unit: "", ..self }
    }

    /// A length in millimetres to a tenth, without an idle zero.
    pub(crate) fn millimetres(length: Length) -> Self {
        let tenths = (length.to_mm() * 10.0).round();
        let magnitude = tenths.abs() as u64;
        let decimals = (!magnitude.is_multiple_of(10)).then(|| (magnitude % 10).to_string());
        let unit = abbreviation(Unit::Millimetre);
        Self { negative: tenths < 0.0, whole: magnitude / 10, fraction: None, decimals, unit }
    }

    /// A length in the unit that the painter's ruler does not have: millimetres beside inches, sixteenths of an inch
    /// beside metric.
    pub(crate) fn in_other_unit(length: Length, ruler: Ruler) -> Self {
        match ruler {
            Ruler::Inch(_) => Self::millimetres(length),
            Ruler::Metric(..) => Ruler::Inch(InchDivision::Sixteenth).read(length).into(),
        }
    }
}

/// The abbreviation of a unit.
pub(crate) const fn abbreviation(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "in",
        Unit::Centimetre => "cm",
        Unit::Millimetre => "mm",
    }
}

/// A stretch of a set line: words, or a figure whose fraction is set as a fraction.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub(crate) enum Run {
    /// Words.
    Words(String),
    /// A figure with its unit.
    Figure(Figure),
}

/// A line of words and figures.
pub(crate) type Line = Vec<Run>;

impl From<&str> for Run {
    fn from(words: &str) -> Self {
        Self::Words(words.to_owned())
    }
}

impl From<String> for Run {
    fn from(words: String) -> Self {
        Self::Words(words)
    }
}

impl From<Reading> for Run {
    fn from(reading: Reading) -> Self {
        Self::Figure(reading.into())
    }
}

impl From<Figure> for Run {
    fn from(figure: Figure) -> Self {
        Self::Figure(figure)
    }
}

/// Builds a [`Line`] from words and figures.
macro_rules! line {
    ($($run:expr),* $(,)?) => { vec![$($crate::figures::Run::from($run)),*] };
}
pub(crate) use line;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_other_unit_of_an_inch_is_millimetres_and_the_reverse() {
        let inches = Ruler::usual(Unit::Inch);
        let figure = Figure::in_other_unit(Length::inches(4.0), inches);
        assert_eq!((figure.whole, figure.decimals.as_deref(), figure.unit), (101, Some("6"), "mm"));
        assert_eq!(Figure::in_other_unit(Length::mm(305.0), inches).decimals, None);
        let figure = Figure::in_other_unit(Length::cm(30.5), Ruler::usual(Unit::Centimetre));
        assert_eq!((figure.whole, figure.fraction, figure.unit), (12, None, "in"));
    }
}
