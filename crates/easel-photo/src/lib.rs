//! Invents hand-held photos of a canvas whose truth is known, for tests, benches and the demo.
//!
//! [`Scene`] says everything that decides how the photo looks; [`Scene::shoot`] takes it; [`Truth`] tells where every point
//! of the canvas really is in it. The same scene always gives the same photo.
//!
//! # The model
//!
//! One ray for each pixel, through Brown's radial lens, to: things before the canvas (shelf, clamp), the canvas's front,
//! the sides of its stretcher, an easel's bars, things on the wall, the wall. The front has a plain weave whose threads
//! waver, are lighter or darker as a whole and thicken to slubs; edges that bow and are rough, corners that are round, folds
//! that catch or lose light; lines with the hand's wobble, uneven pressure and the grain that threads give them; paint laid
//! on stroke by stroke. Light falls unevenly. The sum is blurred, sharpened if wished, given noise, and written as JPEG.
//!
//! # Where it is kinder than life
//!
//! * The canvas is flat. A twisted or bulging one moves its points by more than all else here.
//! * The lens is exactly Brown's. Phones correct their lenses by tables of their own, and move them against shake.
//! * Blur is even over the frame, noise is new in each pixel (no demosaicing, no smoothing by the phone), nothing moved
//!   while the shutter rolled, no merged exposures.
//! * A pencil line is one stroke along a ruler: none is doubled, smudged, rubbed out or crossed by construction marks.
//! * Surfaces are matt: no glare of wet paint, no lamp mirrored in it.
//! * Sides of the stretcher are plain: no staples, no folds of cloth at the corners, no paint run over them.
//! * Things around are flat boards parallel to the canvas, and nothing stands before it but a shelf and a clamp.

mod camera;
mod canvas;
pub mod demo;
mod drawn;
mod paint;
mod random;
mod render;
mod scene;
mod shot;
mod surroundings;

pub use camera::Camera;
pub use canvas::Canvas;
pub use drawn::DrawnLine;
pub use paint::{Bitmap, Misplaced, Paint, Portrait};
pub use random::Chance;
pub use scene::{Kind, Light, Scene, Truth};
pub use shot::{Shot, ShotError};
pub use surroundings::Background;
