//! How the reference is shown: as the photo is, without colour, in steps of value, or squinted at.

use std::fmt;
use std::str::FromStr;

use photo::Picture;
use plan::{Length, LengthError, Unit};
use thiserror::Error;

use crate::light::grey;
use crate::squint::{BLURS, squint};
use crate::steps::{StepsError, ValueSteps};
use crate::value_map::{SMOOTHINGS, USUAL_SMOOTHING, ValueMap};

/// A way of showing the reference.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Tone {
    /// As the photo is.
    #[default]
    Photo,
    /// Without colour, by luminance.
    Grey,
    /// In steps of value.
    Values {
        /// How many.
        steps: ValueSteps,
        /// The smallest mass that is kept, on the canvas.
        smoothing: Length,
    },
    /// Blurred, so that a point becomes a spot of this breadth on the canvas.
    Squint {
        /// The breadth.
        breadth: Length,
    },
}

/// Why a text is no way of showing the reference.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum ToneError {
    /// None of the words.
    #[error("“{text}” is not a way to show the reference. Choose photo, grey, values:5 or squint:4mm.")]
    Unknown {
        /// The text as given.
        text: String,
    },
    /// A number of steps that no map has.
    #[error(transparent)]
    Steps(#[from] StepsError),
    /// A smoothing that is out of range.
    #[error("The smallest mass is from 0 to 50 mm (2 in) on the canvas.")]
    Smoothing,
    /// A blur that is out of range.
    #[error("The blur is from 0.1 to 100 mm (4 in) on the canvas.")]
    Breadth,
    /// A smoothing or a blur that is no length.
    #[error(transparent)]
    Length(#[from] LengthError),
}

impl Tone {
    /// The picture shown so, whose pixels are `pixel` large on the canvas.
    pub fn of(self, picture: Picture, pixel: Length) -> Picture {
        match self {
            Self::Photo => picture,
            Self::Grey => grey(&picture),
            Self::Values { steps, smoothing } => {
                ValueMap::of(&picture, pixel, steps, smoothing).into_picture()
            }
            Self::Squint { breadth } => squint(&picture, pixel, breadth),
        }
    }

    /// The steps of value it has, for the strip beside it.
    pub const fn steps(self) -> Option<ValueSteps> {
        match self {
            Self::Values { steps, .. } => Some(steps),
            _ => None,
        }
    }
}

/// Reads `photo`, `grey`, `values:5`, `values:5:3mm` (with the smoothing) and `squint:4mm`; a bare length is in mm.
impl FromStr for Tone {
    type Err = ToneError;

    fn from_str(text: &str) -> Result<Self, ToneError> {
        let unknown = || ToneError::Unknown { text: text.to_owned() };
        let length = |part: &str| Length::parse(part, Some(Unit::Millimetre)).map(|stated| stated.length);
        let lowered = text.trim().to_lowercase();
        let parts: Vec<&str> = lowered.split(':').collect();
        Ok(match parts[..] {
            ["photo"] => Self::Photo,
            ["grey" | "gray"] => Self::Grey,
            ["values"] => Self::Values { steps: ValueSteps::FIVE, smoothing: USUAL_SMOOTHING },
            ["values", count, ref rest @ ..] => {
                let steps = ValueSteps::new(count.trim().parse().map_err(|_| unknown())?)?;
                let smoothing = match rest {
                    [] => USUAL_SMOOTHING,
                    [smoothing] => length(smoothing)?,
                    _ => return Err(unknown()),
                };
                if !SMOOTHINGS.contains(&smoothing) {
                    return Err(ToneError::Smoothing);
                }
                Self::Values { steps, smoothing }
            }
            ["squint", breadth] => {
                let breadth = length(breadth)?;
                if !BLURS.contains(&breadth) {
                    return Err(ToneError::Breadth);
                }
                Self::Squint { breadth }
            }
            _ => return Err(unknown()),
        })
    }
}

/// Written as it is read.
impl fmt::Display for Tone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mm = |length: Length| length.in_unit(Unit::Millimetre).replace(' ', "");
        match self {
            Self::Photo => f.write_str("photo"),
            Self::Grey => f.write_str("grey"),
            Self::Values { steps, smoothing } if *smoothing == USUAL_SMOOTHING => {
                write!(f, "values:{}", steps.count())
            }
            Self::Values { steps, smoothing } => write!(f, "values:{}:{}", steps.count(), mm(*smoothing)),
            Self::Squint { breadth } => write!(f, "squint:{}", mm(*breadth)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_is_read_and_written_alike() {
        for text in ["photo", "grey", "values:5", "values:9:3mm", "squint:4mm", "squint:6.35mm"] {
            assert_eq!(text.parse::<Tone>().unwrap().to_string(), text);
        }
        assert_eq!("squint:1/4in".parse::<Tone>(), Ok(Tone::Squint { breadth: Length::mm(6.35) }));
        assert_eq!("Values".parse::<Tone>().unwrap().to_string(), "values:5");
    }

    #[test]
    fn what_is_no_way_is_told() {
        for (text, expected) in [
            ("sepia", "is not a way"),
            ("values:x", "is not a way"),
            ("values:1", "2 to 9 steps"),
            ("values:12", "2 to 9 steps"),
            ("values:5:60mm", "The smallest mass is"),
            ("values:5:-1mm", "The smallest mass is"),
            ("values:5:wide", "“wide” is not a length"),
            ("squint", "is not a way"),
            ("squint:", "The length is empty"),
            ("squint:0mm", "The blur is"),
            ("squint:5in", "The blur is"),
        ] {
            let error = text.parse::<Tone>().unwrap_err().to_string();
            assert!(error.contains(expected), "{text}: {error}");
        }
    }
}
