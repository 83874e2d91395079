//! What a photo of the canvas tells about it: outline, lens, grid lines and landmarks, each with its uncertainty.
//!
//! Everything here is a pure function of pixels and a plan. This crate knows nothing of files, PDF or HTTP.
//!
//! # Two frames
//!
//! * **Image frame** ([`ImagePoint`]): pixels of the upright photo *of the canvas*; origin at its top left corner, x to
//!   the right, y down; pixel edges lie on whole numbers. It is not the frame of the reference photo.
//! * **Canvas frame** ([`plan::CanvasPoint`]): as everywhere.

mod camera;
mod drift;
mod edges;
mod frame;
mod grid_check;
mod lens_card;
mod lines;
mod luma;
mod other_way;
mod outline;
mod overlay;
mod pose;
mod proportion_check;
mod rectify;
mod report;
mod robust;
mod shape;
mod unfit;
mod value_check;
mod warning;

pub use camera::{CanvasPhoto, CanvasPhotoError};
pub use drift::{
    Drift, FEWEST_LANDMARKS, MOST_PAINTED, OwnDrift, PaintedAt, PaintedLandmark, WholeDrift, WholeNumber,
    click_sd,
};
pub use frame::ImagePoint;
pub use grid_check::{
    GridCheck, GridCheckWishes, LensReport, LineCheck, LinePlace, USUAL_TOLERANCE, UnplannedLine, Verdict,
};
pub use lens_card::{FEWEST_CROSSES, LensCard};
pub use lines::Seen;
pub use luma::Luma;
pub use other_way::{OtherWay, refuse_painting};
pub use outline::{
    COMPARED_SIDE, Expected, MOST_PROPOSALS, OtherShape, Outline, ReferenceLight, Standing,
    find_lying_outlines, find_other_shape, find_outlines,
};
pub use overlay::{ENLARGED, overlay};
pub use pose::{CanvasMap, KnownLens, Lens, LensFocal, Pose, STEEPEST_TILT};
pub use proportion_check::ProportionCheck;
pub use rectify::{MOST_PIXELS, RectifyError, rectified};
pub use report::{
    LensFound, LineReport, Painted, PlanChange, Report, at_most, distance_in_both, small_length,
};
pub use shape::CanvasShape;
pub use unfit::Unfit;
pub use value_check::{BoxValues, VALUES_SIDE, ValueCheck};
pub use warning::Warning;

/// Two-sided 95 % bound of a normal distribution.
pub const NORMAL_95: f64 = 1.959_964;
