//! Plaster: its colour, its grain, its dust, and how its brightness becomes the picture's values.

use glam::{DVec3, Vec3};

use crate::grid::Grid;
use crate::sdf::bell;

/// Clean plaster, slightly warm.
pub(crate) const WHITE: Vec3 = Vec3::new(0.84, 0.825, 0.79);
/// Dust that lies in hollows and on what faces up.
const DUST: Vec3 = Vec3::new(0.56, 0.53, 0.48);

/// The normal at `p` (head frame) with the plaster's grain: tool marks, pits, and the seam of the mould.
pub(crate) fn grain(p: DVec3, normal: DVec3) -> DVec3 {
    const REACH: f64 = 0.08;
    let here = relief(p);
    let slope = DVec3::new(
        relief(p + DVec3::X * REACH) - here,
        relief(p + DVec3::Y * REACH) - here,
        relief(p + DVec3::Z * REACH) - here,
    ) / REACH;
    (normal - (slope - normal * slope.dot(normal))).normalize_or(normal)
}

/// Height of the grain over the modelled surface, mm.
fn relief(p: DVec3) -> f64 {
    let hand = 0.05 * noise(p * 0.16) + 0.018 * noise(p * 0.55);
    let sand = 0.004 * noise(p * 2.3);
    // The seam of the two halves of the mould, from the cap down over the ear, pared down unevenly.
    let off = p.z + 7.0 + 1.5 * noise(DVec3::new(0.0, p.y * 0.03, 0.0));
    let seam = 0.22 * bell(off, 0.7) * (0.6 + 0.4 * noise(p * 0.09));
    hand + sand + seam - pits(p * 0.16) / 0.16 - pits(p * 0.45 + 31.7) / 0.45
}

/// Depth of the air-bubble pits at `p`, in cells: about one cell in three has a small round hole.
fn pits(p: DVec3) -> f64 {
    let mut depth: f64 = 0.0;
    for corner in 0..8 {
        let shift = DVec3::new(f64::from(corner & 1), f64::from(corner >> 1 & 1), f64::from(corner >> 2));
        let c = (p - 0.5).floor() + shift;
        let kind = hash(c, 11);
        if kind > 0.35 {
            continue;
        }
        let centre = c + DVec3::new(hash(c, 1), hash(c, 2), hash(c, 3)) * 0.6 + 0.2;
        let radius = 0.04 + 0.07 * (kind / 0.35).powi(3);
        let t = p.distance(centre) / radius;
        if t < 1.0 {
            depth = depth.max(radius * 0.55 * (1.0 - t * t));
        }
    }
    depth
}

/// The share of light that the plaster at `p` (`q` in the head frame) throws back, red, green, blue.
pub(crate) fn albedo(grid: &Grid, q: DVec3, p: Vec3, normal: Vec3) -> Vec3 {
    let hollow = |reach: f32| (1.0 - grid.distance(p + normal * reach) / reach).clamp(0.0, 1.0);
    let crevice = hollow(2.0) * 0.6 + hollow(5.0) * 0.5;
    let upward = normal.y.max(0.0).powi(3);
    let mottle = 0.5 + 0.5 * noise(q * 0.045) as f32 + 0.25 * noise(q * 0.21) as f32;
    let dust = (crevice * 0.55 + upward * 0.10 + 0.05) * (0.5 + mottle * 0.7);
    WHITE.lerp(DUST, dust.clamp(0.0, 0.75))
}

/// A number between 0 and 1 for the cell `c`: an integer hash (the finaliser of Murmur hash 3), the same everywhere.
pub(crate) fn hash(c: DVec3, salt: u32) -> f64 {
    let mut h = (c.x as i32 as u32).wrapping_mul(0x9E37_79B1)
        ^ (c.y as i32 as u32).wrapping_mul(0x85EB_CA77)
        ^ (c.z as i32 as u32).wrapping_mul(0xC2B2_AE3D)
        ^ salt.wrapping_mul(0x27D4_EB2F);
    h = (h ^ (h >> 16)).wrapping_mul(0x85EB_CA6B);
    h = (h ^ (h >> 13)).wrapping_mul(0xC2B2_AE35);
    f64::from(h ^ (h >> 16)) / f64::from(u32::MAX)
}

/// Smooth noise between -1 and 1 with one wave to a unit: values on a lattice, blended.
fn noise(p: DVec3) -> f64 {
    let cell = p.floor();
    let f = p - cell;
    let w = f * f * f * (f * (f * 6.0 - 15.0) + 10.0);
    let at = |x: f64, y: f64, z: f64| hash(cell + DVec3::new(x, y, z), 7) * 2.0 - 1.0;
    let mix = |a: f64, b: f64, t: f64| a + (b - a) * t;
    let edge = |y: f64, z: f64| mix(at(0.0, y, z), at(1.0, y, z), w.x);
    mix(mix(edge(0.0, 0.0), edge(1.0, 0.0), w.y), mix(edge(0.0, 1.0), edge(1.0, 1.0), w.y), w.z)
}

/// Scene brightness to 8-bit sRGB: highlights roll off as on film, then the sRGB curve (IEC 61966-2-1).
pub(crate) fn to_srgb(light: Vec3) -> [u8; 3] {
    let curve = |v: f32| {
        let v = v.max(0.0).powf(1.32);
        // Straight up to the knee, then towards 1 without reaching it.
        let knee = 0.6;
        let v = if v > knee { knee + (1.0 - knee) * (1.0 - (-(v - knee) / (1.0 - knee)).exp()) } else { v };
        let s = if v <= 0.003_130_8 { v * 12.92 } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 };
        (s * 255.0 + 0.5).clamp(0.0, 255.0) as u8
    };
    light.to_array().map(curve)
}
