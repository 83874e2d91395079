//! Renders Mahlstick's demo: the plaster cast of a harbour pilot's head, an invented man.

mod camera;
mod cap;
mod exif;
mod face;
mod features;
mod grid;
mod image;
mod landmarks;
mod light;
mod loft;
mod neck;
mod plaster;
mod render;
mod sculpture;
mod sdf;
mod skull;
mod studio;

pub use camera::Camera;
pub use image::Image;
pub use landmarks::{Landmark, account, landmarks};
pub use light::Light;
pub use render::{render, render_part};
pub use sculpture::Sculpture;
