//! The stretched canvas as an object: its outline with bowed and rough edges, its folded edge and its weave.

use glam::DVec2;

use crate::random::{Chance, floor, hashed, noise_along, noise_over};

/// A stretched canvas.
#[derive(Clone, Debug, PartialEq)]
pub struct Canvas {
    /// The corners from the top left clockwise, canvas frame, mm. The truth is told in this frame.
    pub corners: [[f64; 2]; 4],
    /// How far each side's middle stands out beyond the line between its corners, mm: top, right, bottom, left.
    pub bow: [f64; 4],
    /// Standard deviation of the edges' roughness, mm; it changes over about 6 mm.
    pub roughness: f64,
    /// Radius of the corners, mm.
    pub corner_radius: f64,
    /// How much darker (below 0: lighter) the folded edge is on each side, 0 to 1, over about a millimetre.
    pub fold: [f64; 4],
    /// Depth of the stretcher, mm.
    pub depth: f64,
    /// Reflectance of the primed surface, 0 to 1, for red, green, blue.
    pub tone: [f64; 3],
    /// From one thread to the next, mm.
    pub thread: f64,
    /// Contrast of the weave, rms: 0.03 to 0.06 is ordinary, 0.08 to 0.15 rough.
    pub weave: f64,
    /// Contrast of whole threads that are lighter or darker, and of slubs (thick places), in terms of `weave`.
    pub stripes: f64,
}

impl Canvas {
    /// An ordinary primed canvas with straight edges.
    pub fn new(width: f64, height: f64) -> Self {
        Self {
            corners: [[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]],
            bow: [0.0; 4],
            roughness: 0.1,
            corner_radius: 1.5,
            fold: [-0.05, 0.06, 0.12, 0.03],
            depth: 18.0,
            tone: [0.74, 0.73, 0.69],
            thread: 0.62,
            weave: 0.045,
            stripes: 0.3,
        }
    }

    pub(crate) fn middle(&self) -> DVec2 {
        self.corners.iter().map(|&corner| DVec2::from(corner)).sum::<DVec2>() / 4.0
    }
}

/// The outline, ready to be asked.
pub(crate) struct Edges {
    sides: [Side; 4],
    corners: [DVec2; 4],
    corner_radius: f64,
    roughness: f64,
}

struct Side {
    from: DVec2,
    along: DVec2,
    inward: DVec2,
    length: f64,
    bow: f64,
    fold: f64,
    seed: u32,
}

impl Edges {
    pub(crate) fn new(canvas: &Canvas, chance: &mut Chance) -> Self {
        let corners = canvas.corners.map(DVec2::from);
        let sides = std::array::from_fn(|at| {
            let (from, to) = (corners[at], corners[(at + 1) % 4]);
            let along = (to - from).normalize();
            Side {
                from,
                along,
                inward: along.perp(),
                length: from.distance(to),
                bow: canvas.bow[at],
                fold: canvas.fold[at],
                seed: chance.seed(),
            }
        });
        Self { sides, corners, corner_radius: canvas.corner_radius, roughness: canvas.roughness }
    }

    /// How far inside the outline a point lies (below 0: outside), mm, and the share of light its folded edge leaves.
    pub(crate) fn inside(&self, point: DVec2) -> (f64, f64) {
        let mut least = f64::MAX;
        let mut second = f64::MAX;
        let mut light = 1.0;
        for side in &self.sides {
            let from = point - side.from;
            let mut depth = from.dot(side.inward);
            if depth < 12.0 {
                let at = from.dot(side.along);
                let share = (at / side.length).clamp(0.0, 1.0);
                let rough = f64::from(
                    noise_along((at / 6.0) as f32, side.seed)
                        + 0.5 * noise_along((at / 2.3) as f32, side.seed ^ 1),
                );
                depth += side.bow * 4.0 * share * (1.0 - share) + self.roughness * 1.9 * rough;
                if depth < 3.0 {
                    light *= 1.0 - side.fold * (-(depth.max(0.0) / 0.8).powi(2)).exp();
                }
            }
            if depth < least {
                second = least;
                least = depth;
            } else {
                second = second.min(depth);
            }
        }
        let radius = self.corner_radius;
        if least < radius && second < radius {
            let short = DVec2::new(radius - least, radius - second);
            least = radius - short.length();
        }
        (least, light)
    }

    /// A box around the outline, corner to corner, that holds it with `margin` to spare.
    pub(crate) fn bounds(&self, margin: f64) -> (DVec2, DVec2) {
        let low = self.corners.iter().copied().reduce(DVec2::min).unwrap_or_default();
        let high = self.corners.iter().copied().reduce(DVec2::max).unwrap_or_default();
        (low - margin, high + margin)
    }
}

/// The weave, ready to be asked.
pub(crate) struct Weave {
    thread: f32,
    contrast: f32,
    stripe: f32,
    /// What remains of single threads, and of stripes, at the photo's resolution.
    kept: f32,
    stripe_kept: f32,
    seeds: [u32; 8],
}

/// A place on the weave.
pub(crate) struct Place {
    /// Light in terms of the surface's mean.
    pub(crate) light: f32,
    /// Height of the threads here, -1 in the hollows to 1 on the tops: dry pencil and chalk catch on the tops.
    pub(crate) height: f32,
}

impl Weave {
    pub(crate) fn new(canvas: &Canvas, pixel_mm: f64, chance: &mut Chance) -> Self {
        let pixels = canvas.thread / pixel_mm;
        Self {
            thread: canvas.thread as f32,
            contrast: canvas.weave as f32,
            stripe: (canvas.weave * canvas.stripes) as f32,
            kept: (1.0 / (1.0 + (2.2 / pixels).powi(4))) as f32,
            stripe_kept: pixels.sqrt().min(1.0) as f32,
            seeds: std::array::from_fn(|_| chance.seed()),
        }
    }

    pub(crate) fn at(&self, x: f32, y: f32) -> Place {
        let s = &self.seeds;
        let u = x / self.thread
            + 0.5 * noise_along(y / 31.0, s[0])
            + 0.8 * noise_over(x / 140.0, y / 140.0, s[1]);
        let v = y / self.thread
            + 0.5 * noise_along(x / 37.0, s[2])
            + 0.8 * noise_over(x / 140.0, y / 140.0, s[3]);
        let (i, j) = (floor(u), floor(v));
        let (across, down) = (u - i as f32 - 0.5, v - j as f32 - 0.5);
        // Plain weave: warp and weft pass over each other in turn.
        let parity = if (i + j) & 1 == 0 { 1.0 } else { -1.0 };
        let over = 0.5 + 0.5 * parity * (1.0 - 4.0 * across * across) * (1.0 - 4.0 * down * down);
        let height = over * (1.0 - 4.0 * across * across) + (1.0 - over) * (1.0 - 4.0 * down * down) - 0.62;
        let warp = self.thread_light(i, y, s[4]) * (0.4 + 0.6 * over);
        let weft = self.thread_light(j, x, s[5]) * (1.0 - 0.6 * over);
        let ground = 0.008 * noise_over(x / 0.45, y / 0.45, s[6]) * self.kept
            + 0.008 * noise_over(x / 7.0, y / 7.0, s[7])
            + 0.015 * noise_over(x / 60.0, y / 60.0, s[6]);
        let light =
            1.0 + 4.0 * self.contrast * height * self.kept + (warp + weft) * self.stripe_kept + ground;
        Place { light, height: height * 2.0 * self.kept }
    }

    /// Light of one thread at a place along it: the thread's own, and a slub now and then.
    fn thread_light(&self, thread: i32, along: f32, seed: u32) -> f32 {
        let own = (hashed(thread, 1, seed) + hashed(thread, 2, seed) + hashed(thread, 3, seed) - 1.5) * 2.0;
        let length = 8.0 + 50.0 * hashed(thread, 4, seed);
        let part = floor(along / length + hashed(thread, 5, seed));
        let chosen = hashed(thread, 6 + part, seed ^ 0x51ab);
        let slub = if chosen < 0.02 {
            let share = along / length + hashed(thread, 5, seed) - part as f32;
            (if chosen < 0.012 { 3.0 } else { -3.0 }) * 4.0 * share * (1.0 - share)
        } else {
            0.0
        };
        self.stripe * (own + slub)
    }
}
