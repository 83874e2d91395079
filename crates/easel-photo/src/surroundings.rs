//! What is around the canvas: a wall, an easel, things on the wall, a clamp, and the shadows on them.

use glam::{DVec2, DVec3};

use crate::canvas::Canvas;
use crate::random::{Chance, noise_over};

/// What is around the canvas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Background {
    /// A plain wall of this reflectance, 0 to 1.
    Plain(f64),
    /// An easel's bars and shelf, pictures and shelves on the wall, shadows; with a clamp over the top edge or without.
    Cluttered {
        /// Reflectance of the wall.
        wall: f64,
        /// Whether a clamp grips the top edge, or a peg of the easel holds it.
        clamp: bool,
    },
    /// A wall of the canvas's own tone, brighter (or, below 0, darker) by this share, lit so that no shadow falls on it.
    OwnTone(f64),
}

/// A flat thing parallel to the canvas.
struct Board {
    middle: DVec2,
    along: DVec2,
    half: DVec2,
    /// Distance behind the canvas's front, mm; below 0 before it.
    z: f64,
    tone: [f32; 3],
    grain: f32,
}

/// Everything around the canvas, ready to be asked.
pub(crate) struct Surroundings {
    /// Nearest first.
    before: Vec<Board>,
    behind: Vec<Board>,
    wall_z: f64,
    wall: [f32; 3],
    shadow: Option<Shadow>,
    seed: u32,
}

struct Shadow {
    low: DVec2,
    high: DVec2,
    soft: f64,
    depth: f32,
}

impl Surroundings {
    pub(crate) fn new(background: Background, canvas: &Canvas, chance: &mut Chance) -> Self {
        let low = canvas.corners.iter().map(|&c| DVec2::from(c)).reduce(DVec2::min).unwrap_or_default();
        let high = canvas.corners.iter().map(|&c| DVec2::from(c)).reduce(DVec2::max).unwrap_or_default();
        let tint = |grey: f64, chance: &mut Chance| {
            [1.0, 0.98, 0.94].map(|share| (grey * share * chance.between(0.96, 1.04)) as f32)
        };
        let wall_z = canvas.depth + chance.between(5.0, 120.0);
        let mut made = Self {
            before: Vec::new(),
            behind: Vec::new(),
            wall_z,
            wall: match background {
                Background::Plain(grey) | Background::Cluttered { wall: grey, .. } => tint(grey, chance),
                Background::OwnTone(brighter) => canvas.tone.map(|tone| (tone * (1.0 + brighter)) as f32),
            },
            shadow: None,
            seed: chance.seed(),
        };
        if !matches!(background, Background::OwnTone(_)) {
            let off = DVec2::new(chance.between(-1.0, 1.0), chance.between(0.1, 0.8)) * wall_z * 0.7;
            let soft = 4.0 + 0.25 * wall_z;
            let depth = chance.between(0.15, 0.5) as f32;
            made.shadow = Some(Shadow { low: low + off, high: high + off, soft, depth });
        }
        if let Background::Cluttered { clamp, .. } = background {
            made.clutter(low, high, clamp, canvas, chance);
        }
        made.behind.sort_by(|a, b| a.z.total_cmp(&b.z));
        made.before.sort_by(|a, b| a.z.total_cmp(&b.z));
        made
    }

    fn clutter(&mut self, low: DVec2, high: DVec2, clamp: bool, canvas: &Canvas, chance: &mut Chance) {
        let size = high - low;
        let wood = |light: f64| [0.42, 0.28, 0.16].map(|tone| (tone * light) as f32);
        let level = DVec2::X;
        // Mast and crossbars of the easel, behind the canvas.
        let mast =
            DVec2::new(f64::midpoint(low.x, high.x) + chance.normal(30.0), f64::midpoint(low.y, high.y));
        let light = chance.between(0.6, 1.3);
        let half_width = chance.between(20.0, 45.0);
        self.behind.push(Board {
            middle: mast,
            along: DVec2::from_angle(chance.normal(0.01)),
            half: DVec2::new(half_width, 3.0 * size.y),
            z: canvas.depth + 3.0,
            tone: wood(light),
            grain: 0.12,
        });
        for _ in 0..2 {
            let lean = chance.normal(0.25);
            self.behind.push(Board {
                middle: mast + DVec2::new(chance.between(-0.8, 0.8) * size.x, 0.0),
                along: DVec2::from_angle(lean),
                half: DVec2::new(chance.between(10.0, 22.0), 3.0 * size.y),
                z: canvas.depth + 30.0,
                tone: wood(light * 0.8),
                grain: 0.12,
            });
        }
        // The shelf that the canvas stands on: it begins just below the bottom edge.
        self.before.push(Board {
            middle: DVec2::new(mast.x, high.y + 18.0 + 1.2),
            along: DVec2::from_angle(chance.normal(0.003)),
            half: DVec2::new(size.x * chance.between(0.35, 0.8), 18.0),
            z: -20.0,
            tone: wood(light * chance.between(0.8, 1.2)),
            grain: 0.1,
        });
        if clamp {
            let dark = chance.between(0.02, 0.3) as f32;
            self.before.push(Board {
                middle: DVec2::new(mast.x + chance.normal(15.0), low.y - 6.0),
                along: level,
                half: DVec2::new(chance.between(12.0, 24.0), chance.between(14.0, 20.0)),
                z: -6.0,
                tone: [dark; 3],
                grain: 0.05,
            });
        }
        // Pictures, shelves and jars on the wall.
        for _ in 0..9 {
            let grey = chance.between(0.03, 0.8);
            let tone = [0; 3].map(|_| (grey * chance.between(0.85, 1.15)).min(0.9) as f32);
            let wide = DVec2::new(chance.between(15.0, 0.45 * size.x), chance.between(15.0, 0.45 * size.x));
            let middle = DVec2::new(
                low.x + size.x * chance.between(-0.6, 1.6),
                low.y + size.y * chance.between(-0.5, 1.5),
            );
            let along = DVec2::from_angle(chance.normal(0.03));
            let z = self.wall_z - chance.between(1.0, 4.0);
            self.behind.push(Board {
                middle,
                along,
                half: wide,
                z,
                tone: tone.map(|t| t * 0.35),
                grain: 0.0,
            });
            self.behind.push(Board { middle, along, half: wide * 0.88, z: z - 0.5, tone, grain: 0.2 });
        }
    }

    /// Lays what stands before the canvas over `seen` along a ray.
    pub(crate) fn before(&self, eye: DVec3, ray: DVec3, pixel_mm: f64) -> ([f32; 3], f32) {
        lay(&self.before, eye, ray, pixel_mm, self.seed)
    }

    /// What is seen past the canvas.
    pub(crate) fn behind(&self, eye: DVec3, ray: DVec3, pixel_mm: f64) -> [f32; 3] {
        let (mut seen, passed) = lay(&self.behind, eye, ray, pixel_mm, self.seed);
        if passed > 0.0 {
            let at = hit(eye, ray, self.wall_z);
            let mut light = 1.0
                + 0.03 * noise_over((at.x / 150.0) as f32, (at.y / 150.0) as f32, self.seed)
                + 0.01 * noise_over((at.x / 4.0) as f32, (at.y / 4.0) as f32, self.seed);
            if let Some(shadow) = &self.shadow {
                light *= 1.0 - shadow.at(at);
            }
            for (channel, tone) in seen.iter_mut().zip(self.wall) {
                *channel += passed * tone * light;
            }
        }
        seen
    }
}

impl Shadow {
    fn at(&self, point: DVec2) -> f32 {
        let inside = (point - self.low).min(self.high - point).min_element();
        self.depth * f64::midpoint(inside / self.soft, 1.0).clamp(0.0, 1.0) as f32
    }
}

/// Where a ray meets the plane at `z`.
pub(crate) fn hit(eye: DVec3, ray: DVec3, z: f64) -> DVec2 {
    (eye + ray * ((z - eye.z) / ray.z)).truncate()
}

/// What boards, nearest first, show along a ray, and the share of light from behind that passes them.
fn lay(boards: &[Board], eye: DVec3, ray: DVec3, pixel_mm: f64, seed: u32) -> ([f32; 3], f32) {
    let (mut seen, mut passed) = ([0.0; 3], 1.0);
    for board in boards {
        let off = hit(eye, ray, board.z) - board.middle;
        let place = DVec2::new(off.dot(board.along), off.dot(board.along.perp()));
        let inside = (board.half - place.abs()).min_element();
        let cover = (inside / pixel_mm + 0.5).clamp(0.0, 1.0) as f32;
        if cover > 0.0 {
            let grain = 1.0
                + board.grain * noise_over((place.x / 2.5) as f32, (place.y / 60.0) as f32, seed)
                + board.grain * 0.7 * noise_over((place.x / 20.0) as f32, (place.y / 30.0) as f32, seed);
            for (channel, tone) in seen.iter_mut().zip(board.tone) {
                *channel += passed * cover * tone * grain;
            }
            passed *= 1.0 - cover;
            if passed <= 0.0 {
                break;
            }
        }
    }
    (seen, passed)
}
