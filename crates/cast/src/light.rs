//! The light: one large window high on the left, and what the room gives back.

use glam::Vec3;

/// The studio's light. Lengths in mm in the cast frame; strengths are relative, 1 being a fully lit white.
#[derive(Debug, Clone, Copy)]
pub struct Light {
    /// Middle of the window.
    pub window: Vec3,
    /// Half the window's width and half its height.
    pub half_size: (f32, f32),
    /// Brightness that the window gives a white surface facing it at the cast.
    pub key: f32,
    /// Brightness of the dim room, from below to above.
    pub room: (f32, f32),
    /// Brightness of a pale wall on the right of the cast: the reflected light.
    pub reflected: f32,
    /// Rays cast to the window, and as many into the room, for one point seen.
    pub rays: u32,
}

impl Light {
    /// North light as in a drawing school: large, high, from the upper left and front.
    pub fn studio() -> Self {
        Self {
            window: Vec3::new(-1250.0, 1250.0, 1300.0),
            half_size: (330.0, 430.0),
            key: 1.08,
            room: (0.016, 0.055),
            reflected: 0.50,
            rays: 32,
        }
    }

    /// The same light with fewer rays, for small trial pictures.
    pub fn quick() -> Self {
        Self { rays: 8, ..Self::studio() }
    }

    /// The two axes of the window's plane and its normal, towards the cast.
    pub(crate) fn axes(&self) -> (Vec3, Vec3, Vec3) {
        let normal = -self.window.normalize();
        let across = Vec3::Y.cross(normal).normalize();
        (across, normal.cross(across), normal)
    }
}
