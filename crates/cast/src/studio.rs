//! The room around the cast, and light's way through it: window, table, wall, one bounce.

use std::f32::consts::TAU;

use glam::{Vec2, Vec3};

use crate::grid::{Field, Grid};
use crate::light::Light;
use crate::neck::TABLE;
use crate::plaster;

/// The wall behind the cast, z in the cast frame, mm.
const WALL: f32 = -620.0;
/// The table runs up into the wall in a curve of this radius, so that there is no line behind the cast, mm.
const COVE: f32 = 260.0;
/// The share of light that the grey cloth over wall and table throws back.
const CLOTH: Vec3 = Vec3::new(0.300, 0.296, 0.290);

/// Rays that tell how much of the window a point sees.
const OPEN_RAYS: u32 = 24;

/// A point that light falls on.
pub(crate) struct Surface {
    pub(crate) p: Vec3,
    pub(crate) normal: Vec3,
    /// The normal of the form at large, without its small edges.
    pub(crate) soft: Vec3,
    pub(crate) albedo: Vec3,
}

/// Cast, room and light.
pub(crate) struct Studio {
    pub(crate) grid: Grid,
    pub(crate) light: Light,
    across: Vec3,
    up: Vec3,
    facing: Vec3,
    /// Scales the window so that a white surface facing it at the cast has brightness `light.key`.
    strength: f32,
    /// How much of the window the cast leaves open to each point of a coarse grid, 0 to 1.
    open: Field,
}

impl Studio {
    pub(crate) fn new(grid: Grid, light: Light) -> Self {
        let (across, up, facing) = light.axes();
        let strength = light.key * light.window.length_squared();
        let open = Field::new(|p| {
            let seen = (0..OPEN_RAYS).filter(|&i| {
                let to = window_point(&light, across, up, sequence(i, OPEN_RAYS, Vec2::ZERO)) - p;
                grid.march(p, to.normalize(), to.length()).is_none()
            });
            seen.count() as f32 / OPEN_RAYS as f32
        });
        Self { grid, light, across, up, facing, strength, open }
    }

    /// Light that leaves `surface` towards `viewer`.
    pub(crate) fn shade(&self, surface: &Surface, viewer: Vec3, offset: Vec2) -> Vec3 {
        let rays = self.light.rays.max(1);
        let start = surface.p + surface.soft * 0.4 + surface.normal * 0.5;
        let (mut key, mut sheen, mut room) = (0.0, 0.0, Vec3::ZERO);
        for i in 0..rays {
            let u = sequence(i, rays, offset);
            let to = window_point(&self.light, self.across, self.up, u) - start;
            let distance = to.length();
            let towards = to / distance;
            let amount = self.window_amount(towards, distance);
            let facing = lit(surface, towards);
            if facing > 0.0 && self.grid.march(start, towards, distance).is_none() {
                key += amount * facing;
                let half = (towards + viewer).normalize();
                sheen += amount
                    * surface.normal.dot(half).max(0.0).powi(14)
                    * surface.normal.dot(towards).max(0.0);
            }
            let v = sequence(i, rays, Vec2::new(offset.y, offset.x));
            room += self.incoming(start, around(surface.soft.lerp(surface.normal, 0.6).normalize(), v));
        }
        let share = 1.0 / rays as f32;
        surface.albedo * (Vec3::splat(key * share) + room * share) + Vec3::splat(sheen * share * 0.025)
    }

    /// Light that arrives at `from` out of the direction `towards`: from the room, or thrown back once.
    fn incoming(&self, from: Vec3, towards: Vec3) -> Vec3 {
        let (surface, nearby) = match self.grid.march(from, towards, f32::INFINITY) {
            Some(t) => {
                let p = from + towards * t;
                let normal = self.grid.normal(p, 1.5);
                (Surface { p, normal, soft: normal, albedo: plaster::WHITE }, true)
            }
            None => match backdrop(from, towards) {
                Some(surface) if surface.p.length() < 2500.0 => (surface, false),
                _ => return self.room(towards),
            },
        };
        let to = self.light.window - surface.p;
        let distance = to.length();
        let facing = surface.normal.dot(to / distance).max(0.0);
        let open = self.open.at(surface.p + surface.normal * Field::CELL);
        let key = self.window_amount(to / distance, distance) * facing * open;
        let around = self.room(surface.normal) * if nearby { 0.55 } else { 0.8 };
        surface.albedo * (Vec3::splat(key) + around)
    }

    /// Light of the dim room out of `towards`.
    fn room(&self, towards: Vec3) -> Vec3 {
        let (below, above) = self.light.room;
        let up = 0.5 + 0.5 * towards.y;
        // The room's far side is warmer than its window.
        let warm = Vec3::new(1.03, 1.0, 0.95);
        let cool = Vec3::new(0.97, 1.0, 1.03);
        let left = 0.5 - 0.5 * towards.x;
        // The pale wall on the right.
        let card = towards.dot(Vec3::new(0.98, 0.10, 0.17)).max(0.0).powi(3) * self.light.reflected;
        (below + (above - below) * up) * warm.lerp(cool, left) + card * warm
    }

    fn window_amount(&self, towards: Vec3, distance: f32) -> f32 {
        self.strength * self.facing.dot(-towards).max(0.0) / (distance * distance)
    }
}

/// Where a ray that misses the cast meets table or wall.
pub(crate) fn backdrop(from: Vec3, towards: Vec3) -> Option<Surface> {
    let table = TABLE as f32;
    let mut best: Option<(f32, Vec3)> = None;
    let mut keep = |t: f32, normal: Vec3| {
        if t > 1e-3 && best.is_none_or(|(b, _)| t < b) {
            best = Some((t, normal));
        }
    };
    if towards.y < 0.0 {
        let t = (table - from.y) / towards.y;
        if (from + towards * t).z > WALL + COVE {
            keep(t, Vec3::Y);
        }
    }
    if towards.z < 0.0 {
        let t = (WALL - from.z) / towards.z;
        if (from + towards * t).y > table + COVE {
            keep(t, Vec3::Z);
        }
    }
    // The cove: a quarter of a lying cylinder, seen from inside.
    let axis = Vec2::new(table + COVE, WALL + COVE);
    let (o, d) = (Vec2::new(from.y, from.z) - axis, Vec2::new(towards.y, towards.z));
    let (a, b, c) = (d.length_squared(), o.dot(d), o.length_squared() - COVE * COVE);
    let root = b * b - a * c;
    if root > 0.0 && a > 1e-9 {
        let t = (-b + root.sqrt()) / a;
        let at = o + d * t;
        if at.x <= 0.0 && at.y <= 0.0 {
            keep(t, Vec3::new(0.0, -at.x, -at.y).normalize());
        }
    }
    best.map(|(t, normal)| {
        let p = from + towards * t;
        Surface { p, normal, soft: normal, albedo: CLOTH }
    })
}

/// The point `u` of the unit square on the window.
fn window_point(light: &Light, across: Vec3, up: Vec3, u: Vec2) -> Vec3 {
    let (w, h) = light.half_size;
    light.window + across * ((u.x * 2.0 - 1.0) * w) + up * ((u.y * 2.0 - 1.0) * h)
}

/// How squarely light from `towards` falls: mostly by the exact normal, partly by the softened form (light under the skin).
fn lit(surface: &Surface, towards: Vec3) -> f32 {
    let (fine, soft) = (surface.normal.dot(towards), surface.soft.dot(towards));
    let wrapped = (soft + 0.06) / 1.06;
    fine.max(0.0) * 0.72 + wrapped.max(0.0) * 0.28
}

/// The direction `v` of the unit square about `normal`, densest where light falls squarely.
fn around(normal: Vec3, v: Vec2) -> Vec3 {
    let (radius, angle) = (v.x.sqrt(), v.y * TAU);
    let (across, along) = normal.any_orthonormal_pair();
    let up = (1.0 - v.x).max(0.0).sqrt();
    across * (radius * angle.cos()) + along * (radius * angle.sin()) + normal * up
}

/// The `i`th of `count` evenly spread points of the unit square, shifted by `offset`.
fn sequence(i: u32, count: u32, offset: Vec2) -> Vec2 {
    let x = (i as f32 + 0.5) / count as f32 + offset.x;
    let y = i as f32 * 0.618_034 + offset.y;
    Vec2::new(x.fract(), y.fract())
}
