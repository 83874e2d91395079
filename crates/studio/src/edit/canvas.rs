//! Edits of the canvas, and of the unit and ruler it is measured with.

use plan::{Length, LengthError, Measured, Plan, Ruler, Size, Unit, parse_pair, standard_sizes};
use serde::Deserialize;
use utoipa::ToSchema;

use super::{EditError, length};

/// A change of the canvas.
#[derive(Clone, Debug, PartialEq, Deserialize, ToSchema)]
#[serde(tag = "do", rename_all = "kebab-case", deny_unknown_fields)]
pub enum CanvasEdit {
    /// State lengths in this unit from now on, read the ruler usual for it, and print on the paper usual for it unless the
    /// painter has chosen another than that of the former unit.
    Unit {
        /// The unit.
        unit: Unit,
    },
    /// Read this ruler.
    Ruler {
        /// The ruler: `1/16`, `mm`, …
        ruler: String,
    },
    /// Give the canvas a nominal size; measurements are dropped unless it can be the same canvas.
    Size {
        /// The width as typed, or both sides: `16 in`, `16 x 20 in`.
        width: String,
        /// The height as typed, or both sides.
        height: String,
    },
    /// Take a canvas of a standard size.
    Standard {
        /// The size's name, as in the list of standard sizes.
        name: String,
    },
    /// Exchange width and height; measurements are dropped.
    Turn,
    /// Enter the six measurements, as typed.
    Measure {
        /// The top side.
        top: String,
        /// The right side.
        right: String,
        /// The bottom side.
        bottom: String,
        /// The left side.
        left: String,
        /// The diagonal down from the top left corner.
        down: String,
        /// The diagonal up from the bottom left corner.
        up: String,
    },
    /// Drop the six measurements.
    Forget,
}

impl CanvasEdit {
    pub(super) fn apply(&self, plan: &mut Plan) -> Result<&'static str, EditError> {
        match self {
            Self::Unit { unit } => {
                plan.printing.change_unit(plan.unit, *unit);
                (plan.unit, plan.ruler) = (*unit, Ruler::usual(*unit));
                Ok("Change the unit")
            }
            Self::Ruler { ruler } => {
                plan.ruler = ruler.parse::<Ruler>()?.numbered_in(plan.unit);
                Ok("Change the ruler")
            }
            Self::Size { width, height } => {
                let (width, height) = both_sides(width, height, plan.unit)?;
                plan.change_canvas(Size { width, height });
                Ok("Change the canvas")
            }
            Self::Standard { name } => {
                let standard = standard_sizes().into_iter().find(|standard| standard.name == *name);
                let standard = standard.ok_or_else(|| EditError::NoSuchSize { name: name.clone() })?;
                plan.change_canvas(standard.size);
                Ok("Change the canvas")
            }
            Self::Turn => {
                let Size { width, height } = plan.canvas.nominal;
                plan.change_canvas(Size { width: height, height: width });
                Ok("Turn the canvas")
            }
            Self::Measure { top, right, bottom, left, down, up } => {
                plan.canvas.measured = Some(Measured {
                    top: length(top, plan)?,
                    right: length(right, plan)?,
                    bottom: length(bottom, plan)?,
                    left: length(left, plan)?,
                    down: length(down, plan)?,
                    up: length(up, plan)?,
                });
                Ok("Measure the canvas")
            }
            Self::Forget => {
                plan.canvas.measured = None;
                Ok("Forget the measurements")
            }
        }
    }
}

/// The two sides as typed; whoever types both of them into the field of one means both.
pub(super) fn both_sides(width: &str, height: &str, unit: Unit) -> Result<(Length, Length), EditError> {
    for text in [width, height] {
        if let Ok((width, height)) = parse_pair(text, Some(unit)) {
            return Ok((width.length, height.length));
        }
    }
    let side = |side: &'static str, text: &str| match Length::parse(text, Some(unit)) {
        Ok(stated) => Ok(stated.length),
        Err(LengthError::Empty) => Err(EditError::EmptySide { side }),
        Err(error @ (LengthError::TooLarge { .. } | LengthError::TwoWays { .. })) => Err(error.into()),
        Err(_) => Err(EditError::Side { side, text: text.trim().to_owned() }),
    };
    Ok((side("width", width)?, side("height", height)?))
}
