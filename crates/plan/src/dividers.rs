//! Proportional dividers: the setting for a picture that is shown at another size than the canvas has, and where the
//! pivot sits for it.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::length::Length;

/// The largest ratio of the two sizes, either way: the widest that proportional dividers are made for.
pub const MAX_RATIO: f64 = 10.0;

/// A picture's size to the canvas's size: `1:2` is a picture half as large as the canvas.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Ratio(f64);

/// Why a text or number is no ratio.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum RatioError {
    /// Not two numbers with a colon between them.
    #[error(
        "“{text}” is not a ratio. Write the picture's size to the canvas's, for example 1:2 for half size."
    )]
    NotARatio {
        /// The text as given.
        text: String,
    },
    /// A ratio that dividers do not have.
    #[error("{ratio:.3} to 1 is out of range. Dividers reach from 1:{MAX_RATIO} to {MAX_RATIO}:1.")]
    OutOfRange {
        /// Picture to canvas.
        ratio: f64,
    },
}

impl Ratio {
    /// Picture and canvas of one size.
    pub const TRUE_SIZE: Self = Self(1.0);

    /// The ratio of a picture to the canvas.
    ///
    /// # Errors
    /// When it is not a number or beyond [`MAX_RATIO`] either way.
    pub fn new(ratio: f64) -> Result<Self, RatioError> {
        let in_range = (1.0 / MAX_RATIO..=MAX_RATIO).contains(&ratio);
        if in_range { Ok(Self(ratio)) } else { Err(RatioError::OutOfRange { ratio }) }
    }

    /// How large a canvas length of 1 is in the picture.
    pub const fn picture_to_canvas(self) -> f64 {
        self.0
    }

    /// Whether the picture has the canvas's own size, so that plain dividers do.
    pub fn is_true_size(self) -> bool {
        self.0 == 1.0
    }

    /// The dividers' setting: the wide opening as a multiple of the narrow one, 1 or more.
    pub fn setting(self) -> f64 {
        self.0.max(1.0 / self.0)
    }

    /// Where the pivot sits on proportional dividers that measure `length` from point to point when closed: its distance
    /// from the points of the wide opening and from those of the narrow one. The openings are to each other as these
    /// distances (similar triangles, Euclid, Elements VI.4).
    pub fn pivot(self, length: Length) -> (Length, Length) {
        let setting = self.setting();
        (length * (setting / (1.0 + setting)), length * (1.0 / (1.0 + setting)))
    }

    /// What a length on the canvas is in the picture.
    pub fn in_picture(self, on_canvas: Length) -> Length {
        on_canvas * self.0
    }
}

impl TryFrom<f64> for Ratio {
    type Error = RatioError;

    fn try_from(ratio: f64) -> Result<Self, RatioError> {
        Self::new(ratio)
    }
}

impl From<Ratio> for f64 {
    fn from(ratio: Ratio) -> Self {
        ratio.0
    }
}

impl FromStr for Ratio {
    type Err = RatioError;

    fn from_str(text: &str) -> Result<Self, RatioError> {
        let number =
            |part: &str| part.trim().replace(',', ".").parse::<f64>().ok().filter(|part| *part > 0.0);
        let parts = text.split_once(':').and_then(|(picture, canvas)| number(picture).zip(number(canvas)));
        let (picture, canvas) = parts.ok_or_else(|| RatioError::NotARatio { text: text.to_owned() })?;
        Self::new(picture / canvas)
    }
}

/// Written with the smaller number as 1 where it is the picture or the canvas: `1:2`, `3:1`, else as small whole numbers
/// where there are such (`2:3`), else to three decimals (`1:1.618`).
impl fmt::Display for Ratio {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for canvas in 1..=WHOLE_UP_TO {
            let picture = self.0 * f64::from(canvas);
            if picture.round() >= 1.0 && (picture - picture.round()).abs() < 1e-9 * picture {
                return write!(f, "{picture:.0}:{canvas}");
            }
        }
        let decimals =
            |number: f64| format!("{number:.3}").trim_end_matches('0').trim_end_matches('.').to_owned();
        if self.0 < 1.0 {
            write!(f, "1:{}", decimals(1.0 / self.0))
        } else {
            write!(f, "{}:1", decimals(self.0))
        }
    }
}

/// Whole numbers up to this are tried for writing a ratio; larger ones say less than decimals do.
const WHOLE_UP_TO: u32 = 10;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_ratio_is_read_and_written_as_painters_write_it() {
        for (text, written, setting) in [
            ("1:2", "1:2", 2.0),
            ("2 : 4", "1:2", 2.0),
            ("3:1", "3:1", 3.0),
            ("2:3", "2:3", 1.5),
            ("1:1", "1:1", 1.0),
            ("1:1.618", "1:1.618", 1.618),
        ] {
            let ratio: Ratio = text.parse().unwrap();
            assert_eq!(ratio.to_string(), written);
            assert!((ratio.setting() - setting).abs() < 1e-12);
        }
        for text in ["", "2", "1:0", "0:1", "-1:2", "1:x", "nan:1"] {
            assert!(matches!(text.parse::<Ratio>(), Err(RatioError::NotARatio { .. })), "{text}");
        }
        for text in ["1:11", "11:1", "1:inf"] {
            assert!(matches!(text.parse::<Ratio>(), Err(RatioError::OutOfRange { .. })), "{text}");
        }
    }

    proptest! {
        #[test]
        fn the_pivot_divides_the_dividers_as_the_openings_are_divided(ratio in 0.1..=10.0_f64, length in 100.0..400.0_f64) {
            let ratio = Ratio::new(ratio).unwrap();
            let (wide, narrow) = ratio.pivot(Length::mm(length));
            prop_assert!((wide + narrow - Length::mm(length)).abs() < Length::mm(1e-9));
            prop_assert!((wide / narrow - ratio.setting()).abs() < 1e-9 * ratio.setting());
        }

        #[test]
        fn what_is_written_is_read_again(ratio in 0.1..=10.0_f64) {
            let ratio = Ratio::new(ratio).unwrap();
            let again: Ratio = ratio.to_string().parse().unwrap();
            prop_assert!((again.0 / ratio.0 - 1.0).abs() < 6e-4);
        }
    }
}
