//! Edits of the canvas, and of the unit and ruler it is measured with.

use plan::{Canvas, Length, LengthError, Measured, Plan, Ruler, Size, Unit, parse_pair, standard_sizes};
use serde::Deserialize;
use utoipa::ToSchema;

use super::{EditError, length};

/// A change of the canvas.
#[derive(Clone, Debug, PartialEq, Deserialize, ToSchema)]
#[serde(tag = "do", rename_all = "kebab-case", deny_unknown_fields)]
pub enum CanvasEdit {
    /// State lengths in this unit from now on, and read the ruler usual for it.
    Unit {
        /// The unit.
        unit: Unit,
    },
    /// Read this ruler.
    Ruler {
        /// The ruler: `1/16`, `mm`, …
        ruler: String,
    },
    /// Give the canvas a nominal size; measurements of the old one are dropped.
    Size {
        /// Width and height as typed: `12 x 16 in`.
        size: String,
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
                (plan.unit, plan.ruler) = (*unit, Ruler::usual(*unit));
                Ok("Change the unit")
            }
            Self::Ruler { ruler } => {
                plan.ruler = ruler.parse()?;
                Ok("Change the ruler")
            }
            Self::Size { size } => {
                let (width, height) = parse_pair(size, Some(plan.unit))
                    .map_err(|error| unreadable_side(size).unwrap_or_else(|| error.into()))?;
                plan.canvas = Canvas::nominal(width.length, height.length);
                Ok("Change the canvas")
            }
            Self::Standard { name } => {
                let standard = standard_sizes().into_iter().find(|standard| standard.name == *name);
                let Size { width, height } =
                    standard.ok_or_else(|| EditError::NoSuchSize { name: name.clone() })?.size;
                plan.canvas = Canvas::nominal(width, height);
                Ok("Change the canvas")
            }
            Self::Turn => {
                let Size { width, height } = plan.canvas.nominal;
                plan.canvas = Canvas::nominal(height, width);
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

/// Which of the two sides is no length: the page asks for them one by one.
fn unreadable_side(size: &str) -> Option<EditError> {
    // The sides may be words with an x in them; the sign between them stands by itself.
    let (width, height) = size.split_once(" x ").or_else(|| size.split_once(" × "))?;
    let fault = |(side, text): (&'static str, &str)| match Length::parse(text, Some(Unit::Inch)) {
        Ok(_) => None,
        Err(LengthError::Empty) => Some(EditError::EmptyCanvasSide { side }),
        Err(_) => Some(EditError::CanvasSide { side, text: text.trim().to_owned() }),
    };
    [("width", width), ("height", height)].into_iter().find_map(fault)
}
