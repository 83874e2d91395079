//! The canvas: its nominal size and, where the painter measured it, its true outline.

mod measured;
mod standard;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::frame::{CanvasPoint, CanvasRect};
use crate::length::{Length, Unit};
use crate::outline::Quad;
use crate::ruler::Ruler;

pub use measured::{Contradiction, Measured, SolvedCanvas};
pub use standard::{StandardSize, standard_sizes};

/// The shortest side a canvas may have: smaller than any miniature, large enough to hold a grid.
pub const MIN_SIDE: Length = Length::mm(10.0);

/// The longest side a canvas may have: a mural panel. PDF viewers draw no page over 5080 mm (200 in), and ruler
/// readings lose their sense beyond.
pub const MAX_SIDE: Length = Length::mm(5000.0);

/// A width and a height.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Size {
    /// From left to right.
    pub width: Length,
    /// From top to bottom.
    pub height: Length,
}

impl Size {
    /// Both sides in a unit, as [`Length::in_unit`] writes them: `12 x 16 1/2 in`.
    pub fn in_unit(self, unit: Unit) -> String {
        Self::joined(&self.width.in_unit(unit), &self.height.in_unit(unit), unit)
    }

    /// Both sides as [`Length::about_in_unit`] writes them: `30.5 x 40.6 cm`.
    pub fn about_in_unit(self, unit: Unit) -> String {
        Self::joined(&self.width.about_in_unit(unit), &self.height.about_in_unit(unit), unit)
    }

    fn joined(width: &str, height: &str, unit: Unit) -> String {
        let ending = format!(" {unit}");
        format!("{} x {height}", width.strip_suffix(&ending).unwrap_or(width))
    }
}

/// What is painted on, whatever it is made of.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Canvas {
    /// The size it is sold as.
    pub nominal: Size,
    /// The four sides and two diagonals, if the painter measured them.
    pub measured: Option<Measured>,
}

/// Why a canvas cannot be.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum CanvasError {
    /// A side is too short or too long.
    #[error(
        "The canvas's {what} of {} is out of range. A canvas side is between {} and {}.",
        .length.in_both_units(*.unit), MIN_SIDE.in_both_units(*.unit), MAX_SIDE.in_both_units(*.unit)
    )]
    OutOfRange {
        /// Which length.
        what: &'static str,
        /// The length as given.
        length: Length,
        /// The unit it is told in first.
        unit: Unit,
    },
    /// The six measured lengths make no four-cornered outline.
    #[error(
        "The measured sides and diagonals cannot belong to one canvas. Measure again; perhaps two were exchanged."
    )]
    NoOutline,
    /// The measured outline has little to do with the nominal size.
    #[error(
        "The measured {what} is {}, but the canvas is said to be {}. Check the size, or whether width and height are exchanged.",
        .measured.in_both_units(*.unit),
        .nominal.in_both_units(*.unit)
    )]
    NotThisCanvas {
        /// Which side differs.
        what: &'static str,
        /// Its measured length.
        measured: Length,
        /// Its nominal length.
        nominal: Length,
        /// The unit they are told in first.
        unit: Unit,
    },
}

impl CanvasError {
    /// The same, told in this unit first.
    pub(crate) fn told_in(mut self, painters: Unit) -> Self {
        if let Self::OutOfRange { unit, .. } | Self::NotThisCanvas { unit, .. } = &mut self {
            *unit = painters;
        }
        self
    }
}

impl Canvas {
    /// A canvas of its nominal size, not measured.
    pub const fn nominal(width: Length, height: Length) -> Self {
        Self { nominal: Size { width, height }, measured: None }
    }

    /// Checks that the canvas is one that can be: sides in range, and an outline that the measurements allow.
    ///
    /// # Errors
    /// When a length is out of range or the measurements make no outline near the nominal size.
    pub fn check(&self) -> Result<(), CanvasError> {
        in_range("width", self.nominal.width)?;
        in_range("height", self.nominal.height)?;
        if let Some(measured) = &self.measured {
            measured.check(self.nominal)?;
        }
        Ok(())
    }

    /// The outline in the canvas frame: top left corner at the origin, top side along x. The measured outline where
    /// the canvas was measured, else the nominal rectangle.
    ///
    /// A canvas that fails [`Canvas::check`] is taken at its nominal size.
    pub fn outline(&self) -> Quad {
        self.solved().map_or_else(|| self.nominal_rect().into(), |solved| solved.outline)
    }

    /// What the six measurements say, if the canvas was measured and they make an outline.
    pub fn solved(&self) -> Option<SolvedCanvas> {
        self.measured.as_ref().and_then(|measured| measured.solve().ok())
    }

    /// Whether the six measurements contradict each other by more than reading `ruler` explains.
    pub fn contradiction(&self, ruler: Ruler) -> Option<Contradiction> {
        self.solved().and_then(|solved| solved.contradiction(ruler))
    }

    /// The nominal size as a rectangle in the canvas frame.
    pub const fn nominal_rect(&self) -> CanvasRect {
        CanvasRect::new(CanvasPoint::ORIGIN, self.nominal.width, self.nominal.height)
    }
}

fn in_range(what: &'static str, length: Length) -> Result<(), CanvasError> {
    if length.is_finite() && (MIN_SIDE..=MAX_SIDE).contains(&length) {
        Ok(())
    } else {
        Err(CanvasError::OutOfRange { what, length, unit: Unit::Millimetre })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_is_written_with_its_unit_once() {
        let size = Size { width: Length::inches(12.5), height: Length::inches(16.0) };
        assert_eq!(size.in_unit(Unit::Inch), "12 1/2 x 16 in");
        assert_eq!(size.in_unit(Unit::Centimetre), "31.75 x 40.64 cm");
        assert_eq!(size.about_in_unit(Unit::Centimetre), "31.8 x 40.6 cm");
    }

    #[test]
    fn a_canvas_out_of_range_is_refused() {
        for side in [0.0, -5.0, 9.9, 5001.0, f64::NAN, f64::INFINITY] {
            let canvas = Canvas::nominal(Length::mm(side), Length::mm(100.0));
            assert!(matches!(canvas.check(), Err(CanvasError::OutOfRange { what: "width", .. })), "{side}");
        }
        assert!(Canvas::nominal(Length::mm(10.0), Length::mm(5000.0)).check().is_ok());
    }

    #[test]
    fn a_canvas_not_measured_is_its_nominal_rectangle() {
        let canvas = Canvas::nominal(Length::inches(12.0), Length::inches(16.0));
        assert_eq!(canvas.outline().corners[2], CanvasPoint::new(Length::inches(12.0), Length::inches(16.0)));
        assert!(canvas.solved().is_none());
    }

    #[test]
    fn measurements_of_another_canvas_are_told() {
        let mut canvas = Canvas::nominal(Length::inches(12.0), Length::inches(16.0));
        canvas.measured = Some(Measured::rectangle(Length::inches(16.0), Length::inches(12.0)));
        let error = canvas.check().unwrap_err();
        assert!(error.to_string().contains("exchanged"), "{error}");
    }
}
