//! Pose and lens: from where the canvas was photographed, and through what.

mod canvas_map;
mod estimate;
mod lens;
mod map_record;
mod noise;
mod photographed;
mod settle;
#[cfg(test)]
pub(crate) mod tests;
#[cfg(test)]
pub(crate) use tests::Dice;

pub use canvas_map::CanvasMap;
pub(crate) use canvas_map::*;
pub(crate) use estimate::*;
pub use lens::Lens;
pub(crate) use photographed::check_corners;
#[cfg(test)]
use photographed::clicked;
pub use photographed::{Pose, STEEPEST_TILT};
pub(crate) use settle::*;
pub use settle::{KnownLens, LensFocal};
