//! Light and dark as a painter sees them: Munsell value, value maps in few steps, squint and grey.
//!
//! All light is reckoned in linear sRGB (IEC 61966-2-1) and told on the Munsell value scale, 0 for black to 10 for
//! white (ASTM D1535). Sizes are lengths on the canvas, so a map looks the same however many pixels the photo has. This
//! crate knows nothing of files, PDF or HTTP.

mod box_values;
mod difference;
mod exposure;
mod light;
mod masses;
mod munsell;
mod plane;
mod spot;
mod squint;
mod steps;
mod tone;
mod value_map;

pub use box_values::{BoxValue, box_values};
pub use difference::{ALIKE, difference};
pub use exposure::Exposure;
pub use light::grey;
pub use munsell::{luminance_of, value_of};
pub use spot::value_at;
pub use squint::{BLURS, squint};
pub use steps::{Step, StepsError, ValueSteps};
pub use tone::{Tone, ToneError};
pub use value_map::{SMOOTHINGS, USUAL_SMOOTHING, ValueMap};
