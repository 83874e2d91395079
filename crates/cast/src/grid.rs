//! The sculpture's distances sampled once on a fine grid, so that the many shadow and bounce rays need not ask the
//! exact surface; they alone use it. What is seen directly is found on the exact surface.

use glam::{DVec3, Vec3};
use rayon::prelude::*;

use crate::sculpture::Sculpture;

/// Distance between two samples, mm: half the thickness of an eyelid.
const CELL: f32 = 1.0;
/// Coarse cells this many fine ones wide are measured first; only those near the surface are refined.
const COARSE: usize = 5;
/// The box that holds the cast, mm.
const LOW: Vec3 = Vec3::new(-125.0, -305.0, -150.0);
const HIGH: Vec3 = Vec3::new(125.0, 140.0, 145.0);

/// Sampled distances, mm, in the cast frame.
pub(crate) struct Grid {
    size: [usize; 3],
    samples: Vec<f32>,
}

impl Grid {
    /// Samples `sculpture`.
    pub(crate) fn new(sculpture: &Sculpture) -> Self {
        let cells = |low: f32, high: f32| ((high - low) / CELL / COARSE as f32).ceil() as usize * COARSE + 1;
        let size = [cells(LOW.x, HIGH.x), cells(LOW.y, HIGH.y), cells(LOW.z, HIGH.z)];
        let at = |i: usize, j: usize, k: usize| {
            sculpture.distance((LOW + Vec3::new(i as f32, j as f32, k as f32) * CELL).as_dvec3()) as f32
        };
        let coarse_size = size.map(|n| (n - 1) / COARSE + 1);
        let coarse: Vec<f32> = (0..coarse_size.iter().product())
            .into_par_iter()
            .map(|index| {
                let [i, j, k] = unravel(index, coarse_size);
                at(i * COARSE, j * COARSE, k * COARSE)
            })
            .collect();
        let far = CELL * COARSE as f32 * 2.0;
        let samples = (0..size.iter().product())
            .into_par_iter()
            .map(|index| {
                let [i, j, k] = unravel(index, size);
                let position = [i, j, k].map(|n| n as f32 / COARSE as f32);
                let rough = trilinear(&coarse, coarse_size, position);
                if rough.abs() > far { rough } else { at(i, j, k) }
            })
            .collect();
        Self { size, samples }
    }

    /// Distance at `p`, mm; outside the box, the distance to the box and a little more.
    pub(crate) fn distance(&self, p: Vec3) -> f32 {
        let inside = p.clamp(LOW, HIGH);
        let out = p.distance(inside);
        if out > 0.0 {
            return out + 2.0;
        }
        trilinear(&self.samples, self.size, ((inside - LOW) / CELL).to_array())
    }

    /// Outward normal from differences over `reach` mm: the larger, the softer.
    pub(crate) fn normal(&self, p: Vec3, reach: f32) -> Vec3 {
        const CORNERS: [Vec3; 4] = [
            Vec3::new(1.0, -1.0, -1.0),
            Vec3::new(-1.0, -1.0, 1.0),
            Vec3::new(-1.0, 1.0, -1.0),
            Vec3::new(1.0, 1.0, 1.0),
        ];
        CORNERS.iter().map(|&k| k * self.distance(p + k * reach)).sum::<Vec3>().normalize_or(Vec3::Y)
    }

    /// How far along the ray from `from` towards the unit vector `towards` the cast is met, mm, up to `limit`.
    pub(crate) fn march(&self, from: Vec3, towards: Vec3, limit: f32) -> Option<f32> {
        let (enter, leave) = crossing(from, towards)?;
        // Not from the very start: the samples are too coarse to tell the surface left from itself.
        let mut t = enter.max(0.4);
        let leave = leave.min(limit);
        while t < leave {
            let d = self.distance(from + towards * t);
            if d < 0.1 {
                return Some(t);
            }
            t += (d * 0.9).max(0.4);
        }
        None
    }
}

/// A quantity that changes slowly through the room about the cast, sampled on a coarse grid.
pub(crate) struct Field {
    size: [usize; 3],
    samples: Vec<f32>,
}

impl Field {
    /// Distance between two samples, mm.
    pub(crate) const CELL: f32 = 8.0;

    /// Samples `value`.
    pub(crate) fn new(value: impl Fn(Vec3) -> f32 + Sync) -> Self {
        let size = ((HIGH - LOW) / Self::CELL).to_array().map(|n| n.ceil() as usize + 1);
        let samples = (0..size.iter().product())
            .into_par_iter()
            .map(|index| {
                let [i, j, k] = unravel(index, size);
                value(LOW + Vec3::new(i as f32, j as f32, k as f32) * Self::CELL)
            })
            .collect();
        Self { size, samples }
    }

    /// The quantity at `p`, and beyond the grid that at its nearest point.
    pub(crate) fn at(&self, p: Vec3) -> f32 {
        trilinear(&self.samples, self.size, ((p.clamp(LOW, HIGH) - LOW) / Self::CELL).to_array())
    }
}

/// Where a ray enters and leaves the box of the grid.
pub(crate) fn crossing(from: Vec3, towards: Vec3) -> Option<(f32, f32)> {
    let (a, b) = ((LOW - from) / towards, (HIGH - from) / towards);
    let (enter, leave) = (a.min(b).max_element(), a.max(b).min_element());
    (leave > enter.max(0.0)).then_some((enter, leave))
}

/// [`crossing`] for exact rays.
pub(crate) fn crossing_exact(from: DVec3, towards: DVec3) -> Option<(f64, f64)> {
    crossing(from.as_vec3(), towards.as_vec3()).map(|(a, b)| (f64::from(a), f64::from(b)))
}

fn unravel(index: usize, size: [usize; 3]) -> [usize; 3] {
    [index % size[0], index / size[0] % size[1], index / (size[0] * size[1])]
}

fn trilinear(samples: &[f32], size: [usize; 3], position: [f32; 3]) -> f32 {
    let mut base = [0; 3];
    let mut part = [0.0; 3];
    for axis in 0..3 {
        base[axis] = (position[axis] as usize).min(size[axis] - 2);
        part[axis] = position[axis] - base[axis] as f32;
    }
    let (row, layer) = (size[0], size[0] * size[1]);
    let i = base[0] + base[1] * row + base[2] * layer;
    let mix = |a: f32, b: f32, t: f32| a + (b - a) * t;
    let edge = |i: usize| mix(samples[i], samples[i + 1], part[0]);
    let face = |i: usize| mix(edge(i), edge(i + row), part[1]);
    mix(face(i), face(i + layer), part[2])
}
