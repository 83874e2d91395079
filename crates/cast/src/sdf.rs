//! Solids as signed distances: the few primitives the sculpture is modelled from, and how they run together.
//!
//! A signed distance is in millimetres, negative inside. The formulas for the smooth minimum, the ellipsoid bound,
//! the box and the cylinder are those published by Inigo Quilez, "Smooth minimum" and "Distance functions",
//! iquilezles.org/articles/smin and /distfunctions.

use std::f64::consts::TAU;

use glam::{DVec2, DVec3};

/// Union of two solids whose meeting is rounded over about `k` mm (quadratic polynomial smooth minimum).
pub(crate) fn smooth_min(a: f64, b: f64, k: f64) -> f64 {
    let h = (k - (a - b).abs()).max(0.0) / k;
    a.min(b) - h * h * k * 0.25
}

/// Intersection of two solids whose edge is rounded over about `k` mm.
pub(crate) fn smooth_max(a: f64, b: f64, k: f64) -> f64 {
    -smooth_min(-a, -b, k)
}

/// A detail that lies within `reach` mm of `centre` need not be modelled at `p` far from it: then the distance to the
/// solid `d` with the detail, or a lower bound of it; nothing when `p` is near.
pub(crate) fn far_from(p: DVec3, centre: DVec3, reach: f64, d: f64) -> Option<f64> {
    /// No joint reaches farther than this, mm.
    const JOINT: f64 = 9.5;
    let gap = p.distance(centre) - reach;
    (gap > JOINT).then(|| d.min(gap))
}

/// Rises smoothly from 0 at `from` to 1 at `to` (Hermite step).
pub(crate) fn smooth_step(from: f64, to: f64, x: f64) -> f64 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// A bell of height 1 and width `w` about 0.
pub(crate) fn bell(x: f64, w: f64) -> f64 {
    (-(x / w).powi(2)).exp()
}

/// Distance bound to an ellipsoid about the origin.
pub(crate) fn ellipsoid(p: DVec3, radii: DVec3) -> f64 {
    let k0 = (p / radii).length();
    let k1 = (p / (radii * radii)).length();
    if k1 < 1e-12 { -radii.min_element() } else { k0 * (k0 - 1.0) / k1 }
}

/// Distance to a box of half sizes `half` about the origin, with edges rounded by `r`.
pub(crate) fn rounded_box(p: DVec3, half: DVec3, r: f64) -> f64 {
    let q = p.abs() - half + DVec3::splat(r);
    q.max(DVec3::ZERO).length() + q.max_element().min(0.0) - r
}

/// Distance to an upright cylinder of radius `radius` and half height `half`, edges rounded by `r`.
pub(crate) fn rounded_cylinder(p: DVec3, radius: f64, half: f64, r: f64) -> f64 {
    let q = DVec2::new(p.x.hypot(p.z) - radius + r, p.y.abs() - half + r);
    q.max(DVec2::ZERO).length() + q.max_element().min(0.0) - r
}

/// A round bar along a smooth curve, its radius changing on the way: a roll of clay laid on the work.
#[derive(Debug, Clone)]
pub(crate) struct Roll {
    knots: Vec<(DVec3, f64)>,
    pieces: Vec<Piece>,
    centre: DVec3,
    reach: f64,
}

/// A straight piece that roughly stands for a stretch of a [`Roll`]: from `start` by `along`.
#[derive(Debug, Clone, Copy)]
struct Piece {
    start: DVec3,
    along: DVec3,
    per_square: f64,
    radius: f64,
}

/// Pieces between two given points of a [`Roll`], to find the nearest stretch by.
const PIECES: usize = 3;

impl Roll {
    /// A roll through `knots`, each a point and the radius there.
    pub(crate) fn new(knots: &[(DVec3, f64)]) -> Self {
        let mut roll = Self { knots: knots.to_vec(), pieces: Vec::new(), centre: DVec3::ZERO, reach: 0.0 };
        let last = (knots.len() - 1) * PIECES;
        let points: Vec<_> = (0..=last).map(|i| roll.at(i as f64 / PIECES as f64).0).collect();
        for pair in points.windows(2) {
            let along = pair[1].0 - pair[0].0;
            let per_square = 1.0 / along.length_squared().max(1e-12);
            roll.pieces.push(Piece {
                start: pair[0].0,
                along,
                per_square,
                radius: 0.5 * (pair[0].1 + pair[1].1),
            });
        }
        roll.centre = points.iter().map(|k| k.0).sum::<DVec3>() / points.len() as f64;
        // A little more, because the pieces cut the bends short.
        roll.reach = points.iter().map(|k| k.0.distance(roll.centre) + k.1).fold(0.0, f64::max) + 0.5;
        roll
    }

    /// Point and radius of the curve at `place`, 0 to the number of stretches, and its first two derivatives by it.
    fn at(&self, place: f64) -> ((DVec3, f64), DVec3, DVec3) {
        let last = self.knots.len() - 1;
        let stretch = (place.max(0.0) as usize).min(last - 1);
        let t = place - stretch as f64;
        let four: [_; 4] = std::array::from_fn(|i| self.knots[(stretch + i).saturating_sub(1).min(last)]);
        let sum = |w: [f64; 4]| (0..4).map(|i| four[i].0 * w[i]).sum::<DVec3>();
        let w = catmull_rom(t);
        let radius = (0..4).map(|i| four[i].1 * w[i]).sum();
        let bend = [2.0 - 3.0 * t, 9.0 * t - 5.0, 4.0 - 9.0 * t, 3.0 * t - 1.0];
        ((sum(w), radius), sum(catmull_rom_slope(t)), sum(bend))
    }

    /// A lower bound of the distance from `p`, from the ball around the roll.
    pub(crate) fn bound(&self, p: DVec3) -> f64 {
        p.distance(self.centre) - self.reach
    }

    /// The solid `d` at `p` with the roll laid on, run together over about `k` mm.
    pub(crate) fn join(&self, p: DVec3, d: f64, k: f64) -> f64 {
        if self.bound(p) > d + k { d } else { smooth_min(d, self.distance(p), k) }
    }

    /// Distance from `p` to the roll's surface.
    pub(crate) fn distance(&self, p: DVec3) -> f64 {
        self.nearest(p).0
    }

    /// Distance from `p` to the roll's surface, and how far along the roll, from 0 to 1, that is.
    fn nearest(&self, p: DVec3) -> (f64, f64) {
        let (mut best, mut place) = (f64::INFINITY, 0.0);
        for (i, piece) in self.pieces.iter().enumerate() {
            let from = p - piece.start;
            let t = (from.dot(piece.along) * piece.per_square).clamp(0.0, 1.0);
            let d = from.distance(piece.along * t) - piece.radius;
            if d < best {
                (best, place) = (d, (i as f64 + t) / PIECES as f64);
            }
        }
        let end = self.knots.len() as f64 - 1.0;
        // Newton's method from there to the foot of the perpendicular on the true curve.
        for _ in 0..3 {
            let ((point, _), slope, bend) = self.at(place);
            let off = point - p;
            let fall = (slope.length_squared() + off.dot(bend)).max(0.25 * slope.length_squared());
            place = (place - (off.dot(slope) / fall.max(1e-12)).clamp(-0.34, 0.34)).clamp(0.0, end);
        }
        let (point, radius) = self.at(place).0;
        (p.distance(point) - radius, place / end)
    }
}

/// Weights of four equally spaced knots at `t` between the middle two (Catmull and Rom 1974).
pub(crate) fn catmull_rom(t: f64) -> [f64; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [
        0.5 * (-t + 2.0 * t2 - t3),
        0.5 * (2.0 - 5.0 * t2 + 3.0 * t3),
        0.5 * (t + 4.0 * t2 - 3.0 * t3),
        0.5 * (t3 - t2),
    ]
}

/// The derivative of [`catmull_rom`] by `t`.
pub(crate) fn catmull_rom_slope(t: f64) -> [f64; 4] {
    let t2 = t * t;
    [
        0.5 * (-1.0 + 4.0 * t - 3.0 * t2),
        0.5 * (-10.0 * t + 9.0 * t2),
        0.5 * (1.0 + 8.0 * t - 9.0 * t2),
        0.5 * (3.0 * t2 - 2.0 * t),
    ]
}

/// A stroke of the sculptor's thumb: presses the surface in (`amount` < 0) or raises it (`amount` > 0), in mm, fading
/// out over `width` mm to either side of a curve on the surface, and towards the curve's ends unless those lie in the
/// middle plane, where the stroke runs on to the other side, or the stroke is a mere dab.
#[derive(Debug, Clone)]
pub(crate) struct Stroke {
    curve: Roll,
    width: f64,
    amount: f64,
    runs_on: [bool; 2],
    locks: f64,
}

impl Stroke {
    /// A stroke along `points`.
    pub(crate) fn new(points: &[DVec3], width: f64, amount: f64) -> Self {
        let knots: Vec<_> = points.iter().map(|&p| (p, 0.0)).collect();
        let middle = |p: Option<&DVec3>| p.is_some_and(|p| p.x.abs() < 1e-6);
        let length: f64 = points.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
        let dab = length < 1.5 * width;
        let runs_on = [dab || middle(points.first()), dab || middle(points.last())];
        Self { curve: Roll::new(&knots), width, amount, runs_on, locks: 0.0 }
    }

    /// The same stroke cut across into `locks` of hair.
    pub(crate) fn in_locks(self, locks: f64) -> Self {
        Self { locks, ..self }
    }

    /// How far the surface is raised at `p`, mm.
    pub(crate) fn raise(&self, p: DVec3) -> f64 {
        if self.curve.bound(p) > self.width {
            return 0.0;
        }
        let (distance, place) = self.curve.nearest(p);
        let t = (distance / self.width).min(1.0);
        let start = if self.runs_on[0] { 1.0 } else { 0.25 + 0.75 * smooth_step(0.0, 0.4, place) };
        let end = if self.runs_on[1] { 1.0 } else { 0.25 + 0.75 * smooth_step(1.0, 0.6, place) };
        let flat = self.amount * start * end * (1.0 - t * t).powi(3);
        if self.locks > 0.0 {
            // The locks lean, and are not all of a size.
            let phase = place * self.locks + 0.3 * (place * 11.0).sin() - p.y * 0.11;
            flat * (1.0 + 0.13 * (phase * TAU).sin() + 0.09 * (phase * 1.63 * TAU + 1.0).sin())
        } else {
            flat
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_smooth_union_is_never_larger_than_the_plain_one_and_equals_it_far_from_the_joint() {
        for i in 0..40 {
            let b = f64::from(i) - 20.0;
            assert!(smooth_min(1.5, b, 4.0) <= 1.5f64.min(b));
        }
        assert!((smooth_min(1.0, 9.0, 4.0) - 1.0).abs() < 1e-15);
    }

    #[test]
    fn a_roll_passes_through_its_knots() {
        let knots = [
            (DVec3::new(0.0, 0.0, 0.0), 2.0),
            (DVec3::new(10.0, 4.0, 0.0), 3.0),
            (DVec3::new(20.0, 0.0, 5.0), 1.0),
        ];
        let roll = Roll::new(&knots);
        for (point, radius) in knots {
            assert!((roll.distance(point) + radius).abs() < 0.5);
            assert!(roll.bound(point) <= roll.distance(point));
        }
    }

    #[test]
    fn the_weights_of_the_curve_sum_to_one_and_their_slopes_to_nothing() {
        for i in 0..=10 {
            let t = f64::from(i) / 10.0;
            assert!((catmull_rom(t).iter().sum::<f64>() - 1.0).abs() < 1e-12);
            assert!(catmull_rom_slope(t).iter().sum::<f64>().abs() < 1e-12);
        }
    }
}
