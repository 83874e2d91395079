//! A painting's plan, and the numbers that follow from it.
//!
//! A plan is a plain value: the canvas, the reference photo's size, how the photo lies on the canvas, and the grid.
//! Everything here is a pure function on such values. This crate knows nothing of files, pixels, PDF or HTTP.
//!
//! # Two frames, one unit
//!
//! * **Photo frame** ([`PhotoPoint`]): pixels of the upright photo; origin at its top left corner, x to the right,
//!   y down; pixel *edges* lie on whole numbers, so the middle of the first pixel is (0.5, 0.5).
//! * **Canvas frame** ([`CanvasPoint`]): origin at the canvas's top left corner seen from the front, x along the top
//!   side, y down; each coordinate is a [`Length`].
//!
//! Only [`Placing`] leads from one frame to the other.

mod camera;
mod canvas;
mod detail;
mod dividers;
mod frame;
mod grid;
mod guides;
mod head;
mod landmarks;
mod layout;
mod length;
mod line_look;
mod marks;
mod measures;
mod on_sheets;
mod other_canvas;
mod outline;
mod painting_plan;
mod placing;
mod plot;
mod printing;
mod proportions;
mod reference;
mod ruler;
mod similarity;
mod square_up;

pub use camera::{
    CameraDistance, CameraError, FOCAL_LENGTHS, SitterHead, TOO_NEAR, USUAL_DISTANCE, camera_distance,
    enlarged,
};
pub use canvas::{
    Canvas, CanvasError, Contradiction, MAX_SIDE, MIN_SIDE, Measured, Size, SolvedCanvas, StandardSize,
    standard_sizes,
};
pub use detail::{DetailBox, DetailError, MAX_DETAILS, OnPhoto};
pub use dividers::{MAX_RATIO, Ratio, RatioError};
pub use frame::{Angle, CanvasPoint, CanvasRect, PhotoPoint, PhotoSize};
pub use grid::{Direction, Division, Grid, GridError, GridLine, MAX_DIVISIONS, SquaresFrom};
pub use guides::Guide;
pub use head::{HEAD_BREADTH, Head, HeadMarks, LARGER_THAN_LIFE};
pub use landmarks::{BodyPoint, Landmark, LandmarkError, LandmarkName, MAX_LANDMARKS, MAX_NAME_CHARS};
pub use layout::{
    Insets, LayoutError, MAX_SHEETS, Orientation, Paper, PrinterCorrection, SeamDirection, SeamThrough,
    Seams, SeamsByHand, SheetLayout, SheetWindow, Stock,
};
pub use length::{Length, LengthError, Stated, Unit, parse_list, parse_pair};
pub use line_look::{LINE_STRENGTHS, LineLook, LineStrengthError, LineTone};
pub use marks::{DetailMarks, Mark, Marks, SideMarks, marks};
pub use measures::{MAX_MEASURES, Measure, MeasureReading, measures};
pub use outline::{Polygon, Quad, Side};
pub use painting_plan::{Plan, PlanError};
pub use placing::{Place, Placing, PlacingError, Resolution};
pub use plot::{BoxPlot, DetailPlot, FromLine, GridBox, Plot, letters, plots};
pub use printing::{Printing, PrintingError};
pub use proportions::{Canon, Population, Proportion, ProportionKind, ProportionUnit, proportions};
pub use reference::Reference;
pub use ruler::{InchDivision, MetricDivision, MetricNumbers, Reading, Ruler, RulerError};
pub use similarity::{SimilarityError, SimilarityFit, fit_similarity};
pub use square_up::{Homography, SquareUp, SquareUpError, turn_to_level, turn_to_plumb};

/// Half the width of a 95 % interval of a normal distribution, in standard deviations.
const NORMAL_95: f64 = 1.96;
