//! How the grid's lines are drawn over the picture, on screens and on sheets alike.

use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Strengths that can be asked for: from a line that hides no eyelid to one that is seen across the room.
pub const LINE_STRENGTHS: std::ops::RangeInclusive<f64> = 1.0..=4.0;

/// How strong the lines of the grid are, and of which tone.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct LineLook {
    /// Their width as a multiple of the finest: one pixel on a screen, a quarter of a millimetre on a sheet.
    pub strength: f64,
    /// Their tone.
    pub tone: LineTone,
}

/// The tone of the lines over the picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum LineTone {
    /// A dark line with a light one beside it, which holds on any ground.
    #[default]
    Both,
    /// Light alone.
    Light,
    /// Dark alone.
    Dark,
}

/// A strength that lines do not have.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
#[error("Lines are from {} to {} times as strong as the finest.", LINE_STRENGTHS.start(), LINE_STRENGTHS.end())]
pub struct LineStrengthError;

impl LineLook {
    /// The finest lines, light and dark.
    pub const USUAL: Self = Self { strength: 1.0, tone: LineTone::Both };

    /// Checks that the lines can be drawn so.
    ///
    /// # Errors
    /// When the strength is beyond [`LINE_STRENGTHS`] or no number.
    pub fn check(self) -> Result<(), LineStrengthError> {
        if LINE_STRENGTHS.contains(&self.strength) { Ok(()) } else { Err(LineStrengthError) }
    }
}

impl Default for LineLook {
    fn default() -> Self {
        Self::USUAL
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_that_cannot_be_drawn_are_refused() {
        for strength in [0.0, 0.99, 4.1, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(
                LineLook { strength, ..LineLook::USUAL }.check(),
                Err(LineStrengthError),
                "{strength}"
            );
        }
        assert_eq!(LineLook { strength: 4.0, tone: LineTone::Light }.check(), Ok(()));
    }
}
