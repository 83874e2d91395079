//! Lengths: held in millimetres, written in what the painter uses.

mod stated;

use std::fmt;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

use serde::{Deserialize, Serialize};

use crate::ruler::{InchDivision, Ruler};

pub use self::stated::{LengthError, Stated, parse_list, parse_pair};

/// Tenths of a millimetre in an inch: exact since the international yard and pound agreement of 1959. Multiplying by
/// this whole number before dividing by ten rounds only once, so that 12 in is the very number 304.8 mm.
const TENTHS_OF_MM_PER_INCH: f64 = 254.0;

/// A length, signed and finite, held in millimetres.
///
/// ```
/// use plan::Length;
/// assert_eq!(Length::inches(12.0), Length::mm(304.8));
/// assert_eq!(Length::cm(30.5).to_mm(), 305.0);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Length(f64);

impl Length {
    /// No length at all.
    pub const ZERO: Self = Self(0.0);

    /// A length of `mm` millimetres.
    pub const fn mm(mm: f64) -> Self {
        Self(mm)
    }

    /// A length of `cm` centimetres.
    pub const fn cm(cm: f64) -> Self {
        Self(cm * 10.0)
    }

    /// A length of `inches` inches of exactly 25.4 mm.
    pub const fn inches(inches: f64) -> Self {
        Self(inches * TENTHS_OF_MM_PER_INCH / 10.0)
    }

    /// A length of `value` times `unit`.
    pub const fn of(value: f64, unit: Unit) -> Self {
        match unit {
            Unit::Inch => Self::inches(value),
            Unit::Centimetre => Self::cm(value),
            Unit::Millimetre => Self::mm(value),
        }
    }

    /// The length in millimetres.
    pub const fn to_mm(self) -> f64 {
        self.0
    }

    /// The length in inches.
    pub const fn to_inches(self) -> f64 {
        self.0 * 10.0 / TENTHS_OF_MM_PER_INCH
    }

    /// The length as a multiple of `unit`.
    pub const fn to(self, unit: Unit) -> f64 {
        match unit {
            Unit::Inch => self.to_inches(),
            Unit::Centimetre => self.0 / 10.0,
            Unit::Millimetre => self.0,
        }
    }

    /// The length without its sign.
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// The smaller of two lengths.
    pub const fn min(self, other: Self) -> Self {
        Self(self.0.min(other.0))
    }

    /// The larger of two lengths.
    pub const fn max(self, other: Self) -> Self {
        Self(self.0.max(other.0))
    }

    /// True unless the length is infinite or not a number, which only a damaged file can bring.
    pub const fn is_finite(self) -> bool {
        self.0.is_finite()
    }

    /// The length in `unit` as text: inches as on a ruler where they are whole 64ths, `12 1/2 in`, and all else to at most three
    /// decimals, without trailing zeros: `304.8 mm`, `12.3 in`.
    pub fn in_unit(self, unit: Unit) -> String {
        if unit == Unit::Inch {
            let reading = Ruler::Inch(InchDivision::SixtyFourth).read(self);
            if reading.rounded_away().abs() < SAME_ON_A_RULER {
                return reading.to_string();
            }
        }
        let rounded = format!("{:.3}", self.to(unit));
        let trimmed = rounded.trim_end_matches('0').trim_end_matches('.');
        let trimmed = if trimmed == "-0" { "0" } else { trimmed };
        format!("{trimmed} {unit}")
    }

    /// The length in `unit` as far as it serves beside the painter's own: inches to a sixteenth, centimetres to a tenth, whole
    /// millimetres.
    pub fn about_in_unit(self, unit: Unit) -> String {
        let tick = match unit {
            Unit::Inch => Self::inches(1.0 / 16.0),
            Unit::Centimetre | Unit::Millimetre => Self::mm(1.0),
        };
        (tick * (self / tick).round()).in_unit(unit)
    }

    /// The length in the painter's unit with the other in brackets, each to about a tenth of a millimetre: `30.48 cm
    /// (12 in)`, `12 1/2 in (31.75 cm)`. One that is nearer to nothing is told to the thousandth.
    pub(crate) fn in_both_units(self, painters: Unit) -> String {
        let other = match painters {
            Unit::Inch => Unit::Centimetre,
            Unit::Centimetre | Unit::Millimetre => Unit::Inch,
        };
        format!("{} ({})", self.rounded_in(painters).in_unit(painters), self.rounded_in(other).in_unit(other))
    }

    /// Rounded to hundredths of an inch or of a centimetre, or to tenths of a millimetre, unless nothing is left or a
    /// ruler has a mark for it.
    fn rounded_in(self, unit: Unit) -> Self {
        let per_unit = if unit == Unit::Millimetre { 10.0 } else { 100.0 };
        let rounded = Self::of((self.to(unit) * per_unit).round() / per_unit, unit);
        let stands_on_a_ruler = unit == Unit::Inch && self.in_unit(unit).contains('/');
        if rounded == Self::ZERO || stands_on_a_ruler { self } else { rounded }
    }
}

/// Less than this is rounded away of a length without a word.
const SAME_ON_A_RULER: Length = Length::mm(0.01);

/// A unit a painter states lengths in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "lowercase")]
pub enum Unit {
    /// The inch of 25.4 mm.
    Inch,
    /// The centimetre.
    Centimetre,
    /// The millimetre.
    Millimetre,
}

impl Unit {
    /// The finest length told in this family of units, 1/64 in or a tenth of a millimetre, and the unit that it is told in.
    pub const fn finest_tick(self) -> (Length, Self) {
        match self {
            Self::Inch => (Length::inches(1.0 / 64.0), Self::Inch),
            Self::Centimetre | Self::Millimetre => (Length::mm(0.1), Self::Millimetre),
        }
    }

    fn named(text: &str) -> Option<Self> {
        match text.trim().to_ascii_lowercase().as_str() {
            "in" | "in." | "inch" | "inches" | "\"" | "″" | "”" | "''" => Some(Self::Inch),
            "cm" | "cm." | "centimetre" | "centimetres" | "centimeter" | "centimeters" => {
                Some(Self::Centimetre)
            }
            "mm" | "mm." | "millimetre" | "millimetres" | "millimeter" | "millimeters" => {
                Some(Self::Millimetre)
            }
            _ => None,
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Inch => "in",
            Self::Centimetre => "cm",
            Self::Millimetre => "mm",
        })
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<f64> for Length {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }
}

impl Div<f64> for Length {
    type Output = Self;
    fn div(self, divisor: f64) -> Self {
        Self(self.0 / divisor)
    }
}

/// How many times one length goes into another.
impl Div for Length {
    type Output = f64;
    fn div(self, other: Self) -> f64 {
        self.0 / other.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_is_written_without_idle_zeros() {
        assert_eq!(Length::inches(12.0).in_unit(Unit::Millimetre), "304.8 mm");
        assert_eq!(Length::inches(12.0).in_unit(Unit::Inch), "12 in");
        assert_eq!(Length::inches(2.5).in_unit(Unit::Inch), "2 1/2 in");
        assert_eq!(Length::mm(0.396_875).in_unit(Unit::Inch), "1/64 in");
        assert_eq!(Length::mm(100.0).in_unit(Unit::Inch), "3.937 in");
        assert_eq!(Length::mm(-0.0001).in_unit(Unit::Millimetre), "0 mm");
    }

    #[test]
    fn beside_the_painters_own_unit_a_length_is_told_no_finer_than_a_ruler_shows_it() {
        assert_eq!(Length::cm(40.0).about_in_unit(Unit::Inch), "15 3/4 in");
        assert_eq!(Length::cm(50.0).about_in_unit(Unit::Inch), "19 11/16 in");
        assert_eq!(Length::inches(16.0).about_in_unit(Unit::Inch), "16 in");
        assert_eq!(Length::inches(12.0).about_in_unit(Unit::Centimetre), "30.5 cm");
        assert_eq!(Length::inches(12.0).about_in_unit(Unit::Millimetre), "305 mm");
    }

    #[test]
    fn a_length_is_told_in_the_painters_unit_first_and_to_a_tenth_of_a_millimetre() {
        assert_eq!(Length::inches(12.0).in_both_units(Unit::Centimetre), "30.48 cm (12 in)");
        assert_eq!(Length::inches(12.5).in_both_units(Unit::Inch), "12 1/2 in (31.75 cm)");
        assert_eq!(Length::mm(9.94).in_both_units(Unit::Millimetre), "9.9 mm (0.39 in)");
        assert_eq!(Length::mm(9.94).in_both_units(Unit::Inch), "0.39 in (0.99 cm)");
        assert_eq!(Length::mm(0.04).in_both_units(Unit::Centimetre), "0.004 cm (0.002 in)");
    }
}
