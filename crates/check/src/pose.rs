//! Pose and lens: from where the canvas was photographed, and through what.

mod canvas_map;
mod estimate;
mod lens;
mod noise;
mod settle;
#[cfg(test)]
mod tests;

pub use canvas_map::CanvasMap;
pub(crate) use canvas_map::*;
pub(crate) use estimate::*;
pub use lens::Lens;
pub(crate) use noise::Noise;
pub(crate) use settle::*;
