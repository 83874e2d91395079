//! Ruler readings: a position rounded to what stands on a ruler, with what was rounded away.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::length::{Length, Unit};

/// The ruler a painter reads: its unit and its finest division.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub enum Ruler {
    /// An inch ruler.
    Inch(InchDivision),
    /// A metric ruler, whose numbered divisions are centimetres.
    Metric(MetricDivision),
}

/// The finest division of an inch ruler.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum InchDivision {
    /// 1/8 in.
    Eighth,
    /// 1/16 in.
    Sixteenth,
    /// 1/32 in.
    ThirtySecond,
    /// 1/64 in.
    SixtyFourth,
}

/// The finest division of a metric ruler.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MetricDivision {
    /// 1 mm.
    Millimetre,
    /// 0.5 mm.
    HalfMillimetre,
}

impl Ruler {
    /// The ruler usual for lengths stated in `unit`: sixteenths of an inch, or millimetres.
    pub const fn usual(unit: Unit) -> Self {
        match unit {
            Unit::Inch => Self::Inch(InchDivision::Sixteenth),
            Unit::Centimetre | Unit::Millimetre => Self::Metric(MetricDivision::Millimetre),
        }
    }

    /// The finest division.
    pub const fn division(self) -> Length {
        match self {
            Self::Inch(division) => Length::inches(1.0 / division.per_inch() as f64),
            Self::Metric(MetricDivision::Millimetre) => Length::mm(1.0),
            Self::Metric(MetricDivision::HalfMillimetre) => Length::mm(0.5),
        }
    }

    /// The unit whose whole numbers stand on the ruler.
    pub const fn unit(self) -> Unit {
        match self {
            Self::Inch(_) => Unit::Inch,
            Self::Metric(_) => Unit::Centimetre,
        }
    }

    /// A length in words: as it stands on this ruler where a division meets it, `2 15/16 in`; else as it is, `0.15 cm`.
    pub fn told(self, exact: Length) -> String {
        let reading = self.read(exact);
        if reading.rounded_away().abs() < MET { reading.to_string() } else { exact.in_unit(self.unit()) }
    }

    /// Reads `exact` off this ruler: the nearest division, halves away from zero.
    pub fn read(self, exact: Length) -> Reading {
        let divisions = (exact / self.division()).round();
        Reading { exact, divisions: divisions as i64, ruler: self }
    }
}

/// A division that is nearer than this meets a length: it is less than a pencil line's breadth can show.
const MET: Length = Length::mm(0.05);

impl InchDivision {
    /// Divisions to the inch.
    pub const fn per_inch(self) -> i64 {
        match self {
            Self::Eighth => 8,
            Self::Sixteenth => 16,
            Self::ThirtySecond => 32,
            Self::SixtyFourth => 64,
        }
    }
}

impl fmt::Display for Ruler {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Inch(division) => write!(f, "1/{} in", division.per_inch()),
            Self::Metric(MetricDivision::Millimetre) => f.write_str("1 mm"),
            Self::Metric(MetricDivision::HalfMillimetre) => f.write_str("0.5 mm"),
        }
    }
}

impl From<Ruler> for String {
    fn from(ruler: Ruler) -> Self {
        ruler.to_string()
    }
}

/// The text names no ruler.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("“{text}” is not a ruler. Choose 1/8, 1/16, 1/32 or 1/64 for inches, mm or 0.5mm for metric.")]
pub struct RulerError {
    /// The text as given.
    pub text: String,
}

impl FromStr for Ruler {
    type Err = RulerError;

    fn from_str(text: &str) -> Result<Self, RulerError> {
        let compact: String = text.to_lowercase().chars().filter(|c| !c.is_whitespace()).collect();
        Ok(match compact.trim_end_matches("in").trim_end_matches('"') {
            "1/8" => Self::Inch(InchDivision::Eighth),
            "1/16" => Self::Inch(InchDivision::Sixteenth),
            "1/32" => Self::Inch(InchDivision::ThirtySecond),
            "1/64" => Self::Inch(InchDivision::SixtyFourth),
            "mm" | "1mm" => Self::Metric(MetricDivision::Millimetre),
            "0.5mm" | "0,5mm" | "1/2mm" | "½mm" => Self::Metric(MetricDivision::HalfMillimetre),
            _ => return Err(RulerError { text: text.to_owned() }),
        })
    }
}

impl TryFrom<String> for Ruler {
    type Error = RulerError;

    fn try_from(text: String) -> Result<Self, RulerError> {
        text.parse()
    }
}

/// A length as it stands on a ruler, with the exact length it was rounded from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    exact: Length,
    divisions: i64,
    ruler: Ruler,
}

impl Reading {
    /// The exact length, not rounded.
    pub const fn exact(self) -> Length {
        self.exact
    }

    /// The length that stands on the ruler.
    pub fn rounded(self) -> Length {
        self.ruler.division() * self.divisions as f64
    }

    /// What was rounded away: exact less rounded, so positive when the true place lies beyond the reading.
    pub fn rounded_away(self) -> Length {
        self.exact - self.rounded()
    }

    /// The reading's parts, for setting a fraction as a fraction.
    pub fn parts(self) -> ReadingParts {
        let magnitude = self.divisions.unsigned_abs();
        let negative = self.divisions < 0;
        match self.ruler {
            Ruler::Inch(division) => {
                let per_inch = division.per_inch().unsigned_abs();
                let (mut top, mut bottom) = (magnitude % per_inch, per_inch);
                while top > 0 && top % 2 == 0 {
                    (top, bottom) = (top / 2, bottom / 2);
                }
                let fraction = (top > 0).then_some((top, bottom));
                ReadingParts {
                    negative,
                    whole: magnitude / per_inch,
                    fraction,
                    decimals: None,
                    unit: Unit::Inch,
                }
            }
            Ruler::Metric(division) => {
                let (per_cm, digits) = match division {
                    MetricDivision::Millimetre => (10, 1),
                    MetricDivision::HalfMillimetre => (20, 2),
                };
                let hundredths = magnitude % per_cm * (100 / per_cm);
                let decimals = format!("{hundredths:02}")[..digits].to_owned();
                let (whole, unit) = (magnitude / per_cm, Unit::Centimetre);
                ReadingParts { negative, whole, fraction: None, decimals: Some(decimals), unit }
            }
        }
    }
}

/// A reading taken apart: sign, whole part, and either a common fraction (inches) or decimals (centimetres).
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReadingParts {
    /// True when the length is less than zero.
    pub negative: bool,
    /// The whole inches or centimetres.
    pub whole: u64,
    /// The fraction of an inch in lowest terms, if there is one.
    pub fraction: Option<(u64, u64)>,
    /// The digits behind the decimal point, for a metric ruler.
    pub decimals: Option<String>,
    /// The unit of the whole part.
    pub unit: Unit,
}

/// Written as a painter would say it: `2 15/16 in`, `30.3 cm`.
impl fmt::Display for Reading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts = self.parts();
        if parts.negative {
            f.write_str("-")?;
        }
        match (&parts.fraction, &parts.decimals) {
            (Some((top, bottom)), _) if parts.whole == 0 => write!(f, "{top}/{bottom}")?,
            (Some((top, bottom)), _) => write!(f, "{} {top}/{bottom}", parts.whole)?,
            (None, Some(decimals)) => write!(f, "{}.{decimals}", parts.whole)?,
            (None, None) => write!(f, "{}", parts.whole)?,
        }
        write!(f, " {}", parts.unit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const SIXTEENTHS: Ruler = Ruler::Inch(InchDivision::Sixteenth);

    #[test]
    fn readings_stand_as_on_the_ruler() {
        let read = |ruler: &str, length: Length| ruler.parse::<Ruler>().unwrap().read(length).to_string();
        assert_eq!(read("1/16", Length::inches(2.9375)), "2 15/16 in");
        assert_eq!(read("1/16", Length::inches(3.0)), "3 in");
        assert_eq!(read("1/32", Length::inches(0.5)), "1/2 in");
        assert_eq!(read("1/8", Length::inches(5.0 / 3.0)), "1 5/8 in");
        assert_eq!(read("1/64in", Length::inches(5.0 / 3.0)), "1 43/64 in");
        assert_eq!(read("mm", Length::mm(303.4)), "30.3 cm");
        assert_eq!(read("0.5mm", Length::mm(303.4)), "30.35 cm");
        assert_eq!(read("mm", Length::mm(-4.0)), "-0.4 cm");
        assert_eq!(read("1/16", Length::inches(-0.25)), "-1/4 in");
        assert_eq!(read("1/16", Length::ZERO), "0 in");
    }

    #[test]
    fn what_was_rounded_away_is_kept() {
        let reading = SIXTEENTHS.read(Length::inches(5.0 / 3.0));
        assert_eq!(reading.rounded(), Length::inches(1.6875));
        assert!((reading.rounded_away() - Length::inches(5.0 / 3.0 - 1.6875)).abs() < Length::mm(1e-9));
    }

    #[test]
    fn a_length_between_two_divisions_is_told_as_it_is() {
        let millimetres: Ruler = "mm".parse().unwrap();
        assert_eq!(millimetres.told(Length::mm(1.5)), "0.15 cm");
        assert_eq!(millimetres.told(Length::mm(15.0)), "1.5 cm");
        assert_eq!(SIXTEENTHS.told(Length::inches(0.3125)), "5/16 in");
        assert_eq!(SIXTEENTHS.told(Length::mm(10.0)), "0.394 in");
    }

    #[test]
    fn an_unknown_ruler_is_told() {
        let error = "1/10".parse::<Ruler>().unwrap_err();
        assert!(error.to_string().contains("1/16"));
    }

    proptest! {
        #[test]
        fn a_reading_is_never_off_by_more_than_half_a_division(mm in -5000.0_f64..5000.0, choice in 0..6_usize) {
            let ruler: Ruler = ["1/8", "1/16", "1/32", "1/64", "mm", "0.5mm"][choice].parse().unwrap();
            let reading = ruler.read(Length::mm(mm));
            prop_assert!(reading.rounded_away().abs().to_mm() <= ruler.division().to_mm() / 2.0 + 1e-9);
        }

        #[test]
        fn a_reading_is_read_back_as_what_it_stands_for(mm in -5000.0_f64..5000.0, choice in 0..6_usize) {
            let ruler: Ruler = ["1/8", "1/16", "1/32", "1/64", "mm", "0.5mm"][choice].parse().unwrap();
            let reading = ruler.read(Length::mm(mm));
            let back = Length::parse(&reading.to_string(), None).unwrap().length;
            prop_assert!((back - reading.rounded()).abs() < Length::mm(1e-9));
        }
    }
}
