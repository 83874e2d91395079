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
    /// A metric ruler.
    Metric(MetricDivision, MetricNumbers),
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

/// What stands at the long divisions of a metric ruler.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MetricNumbers {
    /// 1, 2, 3: centimetres.
    Centimetres,
    /// 10, 20, 30: millimetres, as on a steel rule.
    Millimetres,
}

impl Ruler {
    /// The ruler usual for lengths stated in `unit`: sixteenths of an inch, or millimetres.
    pub const fn usual(unit: Unit) -> Self {
        match unit {
            Unit::Inch => Self::Inch(InchDivision::Sixteenth),
            Unit::Centimetre => Self::Metric(MetricDivision::Millimetre, MetricNumbers::Centimetres),
            Unit::Millimetre => Self::Metric(MetricDivision::Millimetre, MetricNumbers::Millimetres),
        }
    }

    /// A metric ruler with the numbers of `unit`; any other as it is.
    #[must_use]
    pub const fn numbered_in(self, unit: Unit) -> Self {
        match (self, unit) {
            (Self::Metric(division, _), Unit::Centimetre) => {
                Self::Metric(division, MetricNumbers::Centimetres)
            }
            (Self::Metric(division, _), Unit::Millimetre) => {
                Self::Metric(division, MetricNumbers::Millimetres)
            }
            _ => self,
        }
    }

    /// The finest division.
    pub const fn division(self) -> Length {
        match self {
            Self::Inch(division) => Length::inches(1.0 / division.per_inch() as f64),
            Self::Metric(MetricDivision::Millimetre, _) => Length::mm(1.0),
            Self::Metric(MetricDivision::HalfMillimetre, _) => Length::mm(0.5),
        }
    }

    /// The unit whose whole numbers stand on the ruler.
    pub const fn unit(self) -> Unit {
        match self {
            Self::Inch(_) => Unit::Inch,
            Self::Metric(_, MetricNumbers::Centimetres) => Unit::Centimetre,
            Self::Metric(_, MetricNumbers::Millimetres) => Unit::Millimetre,
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
            Self::Metric(MetricDivision::Millimetre, _) => f.write_str("1 mm"),
            Self::Metric(MetricDivision::HalfMillimetre, _) => f.write_str("0.5 mm"),
        }
    }
}

/// How a ruler stands in a painting file: by its finest division, with its numbers where they are millimetres.
impl From<Ruler> for String {
    fn from(ruler: Ruler) -> Self {
        match ruler {
            Ruler::Metric(_, MetricNumbers::Millimetres) => format!("{ruler}{IN_MILLIMETRES}"),
            _ => ruler.to_string(),
        }
    }
}

/// What follows the division of a ruler that is numbered in millimetres, in a painting file.
const IN_MILLIMETRES: &str = ", numbered in mm";

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
        if let Some(division) = text.strip_suffix(IN_MILLIMETRES) {
            return Ok(division.parse::<Self>()?.numbered_in(Unit::Millimetre));
        }
        let compact: String = text.to_lowercase().chars().filter(|c| !c.is_whitespace()).collect();
        Ok(match compact.trim_end_matches("in").trim_end_matches('"') {
            "1/8" => Self::Inch(InchDivision::Eighth),
            "1/16" => Self::Inch(InchDivision::Sixteenth),
            "1/32" => Self::Inch(InchDivision::ThirtySecond),
            "1/64" => Self::Inch(InchDivision::SixtyFourth),
            "mm" | "1mm" => Self::Metric(MetricDivision::Millimetre, MetricNumbers::Centimetres),
            "0.5mm" | "0,5mm" | "1/2mm" | "½mm" => {
                Self::Metric(MetricDivision::HalfMillimetre, MetricNumbers::Centimetres)
            }
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
            Ruler::Metric(division, numbers) => {
                let per_mm = match division {
                    MetricDivision::Millimetre => 1,
                    MetricDivision::HalfMillimetre => 2,
                };
                let (unit, per_unit, digits) = match numbers {
                    MetricNumbers::Centimetres => (Unit::Centimetre, 10 * per_mm, per_mm),
                    MetricNumbers::Millimetres => (Unit::Millimetre, per_mm, per_mm - 1),
                };
                let hundredths = magnitude % per_unit * (100 / per_unit);
                let decimals = (digits > 0).then(|| format!("{hundredths:02}")[..digits as usize].to_owned());
                ReadingParts { negative, whole: magnitude / per_unit, fraction: None, decimals, unit }
            }
        }
    }
}

/// A reading taken apart: sign, whole part, and either a common fraction (inches) or decimals (metric).
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReadingParts {
    /// True when the length is less than zero.
    pub negative: bool,
    /// The whole inches, centimetres or millimetres.
    pub whole: u64,
    /// The fraction of an inch in lowest terms, if there is one.
    pub fraction: Option<(u64, u64)>,
    /// The digits behind the decimal point, for a metric ruler that is read finer than its numbers.
    pub decimals: Option<String>,
    /// The unit of the whole part.
    pub unit: Unit,
}

/// Written as a painter would say it: `2 15/16 in`, `30.3 cm`, `303 mm`.
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
    fn a_ruler_numbered_in_millimetres_is_read_and_kept_so() {
        let steel = Ruler::usual(Unit::Millimetre);
        assert_eq!(steel.read(Length::mm(303.4)).to_string(), "303 mm");
        assert_eq!(steel.told(Length::mm(1.5)), "1.5 mm");
        let fine = "0.5mm".parse::<Ruler>().unwrap().numbered_in(Unit::Millimetre);
        assert_eq!(fine.read(Length::mm(303.4)).to_string(), "303.5 mm");
        assert_eq!(fine.read(Length::mm(-303.0)).to_string(), "-303.0 mm");
        for ruler in [steel, fine, Ruler::usual(Unit::Centimetre), SIXTEENTHS] {
            assert_eq!(String::from(ruler).parse(), Ok(ruler));
        }
        assert_eq!(SIXTEENTHS.numbered_in(Unit::Millimetre), SIXTEENTHS);
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
        fn a_reading_is_never_off_by_more_than_half_a_division(mm in -5000.0_f64..5000.0, choice in 0..8_usize) {
            let written = ["1/8", "1/16", "1/32", "1/64", "mm", "0.5mm", "1 mm, numbered in mm", "0.5 mm, numbered in mm"];
            let ruler: Ruler = written[choice].parse().unwrap();
            let reading = ruler.read(Length::mm(mm));
            prop_assert!(reading.rounded_away().abs().to_mm() <= ruler.division().to_mm() / 2.0 + 1e-9);
        }

        #[test]
        fn a_reading_is_read_back_as_what_it_stands_for(mm in -5000.0_f64..5000.0, choice in 0..8_usize) {
            let written = ["1/8", "1/16", "1/32", "1/64", "mm", "0.5mm", "1 mm, numbered in mm", "0.5 mm, numbered in mm"];
            let ruler: Ruler = written[choice].parse().unwrap();
            let reading = ruler.read(Length::mm(mm));
            let back = Length::parse(&reading.to_string(), None).unwrap().length;
            prop_assert!((back - reading.rounded()).abs() < Length::mm(1e-9));
        }
    }
}
