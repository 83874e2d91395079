//! Renders the cast: what each pixel sees, and how the studio's light falls on it.

use glam::{DVec3, Vec2, Vec3};
use rayon::prelude::*;

use crate::camera::Camera;
use crate::grid::{Grid, crossing_exact};
use crate::image::Image;
use crate::light::Light;
use crate::plaster;
use crate::sculpture::Sculpture;
use crate::studio::{Studio, Surface, backdrop};

/// Renders `sculpture` as `camera` sees it in `light`. The same input gives the same picture.
pub fn render(sculpture: &Sculpture, camera: &Camera, light: &Light) -> Image {
    render_part(sculpture, camera, light, (0, 0), camera.size)
}

/// Renders the part of the picture of `size` pixels whose top left corner is the pixel `from`.
pub fn render_part(
    sculpture: &Sculpture,
    camera: &Camera,
    light: &Light,
    from: (u32, u32),
    size: (u32, u32),
) -> Image {
    let studio = Studio::new(Grid::new(sculpture), *light);
    let (width, height) = size;
    let look = |column: u32, row: u32, i: u32| {
        let (x, y) = (from.0 + column, from.1 + row);
        let place = PLACES[i as usize];
        seen(sculpture, camera, &studio, (f64::from(x) + place.0, f64::from(y) + place.1), offset(x, y, i))
    };
    let once: Vec<Vec3> =
        (0..width * height).into_par_iter().map(|i| look(i % width, i / width, 0)).collect();
    let rgb = (0..width * height)
        .into_par_iter()
        .flat_map_iter(|i| {
            let (column, row) = (i % width, i / width);
            let first = once[i as usize];
            if !stands_out(&once, size, column, row) {
                return plaster::to_srgb(first);
            }
            let more = (1..PLACES.len() as u32).map(|i| look(column, row, i)).sum::<Vec3>();
            plaster::to_srgb((first + more) / PLACES.len() as f32)
        })
        .collect();
    Image { width, height, rgb }
}

/// Where in a pixel it is looked at: once in the middle, and where it differs from its neighbours four times more.
const PLACES: [(f64, f64); 5] = [(0.5, 0.5), (0.125, 0.375), (0.375, 0.875), (0.875, 0.625), (0.625, 0.125)];

/// Whether the pixel differs so much from one of its neighbours that it must be looked at more closely.
fn stands_out(once: &[Vec3], (width, height): (u32, u32), column: u32, row: u32) -> bool {
    const STEP: f32 = 0.06;
    let value = |column: u32, row: u32| once[(row * width + column) as usize].y.max(0.0).sqrt();
    let here = value(column, row);
    let (left, up) = (column.saturating_sub(1), row.saturating_sub(1));
    let (right, down) = ((column + 1).min(width - 1), (row + 1).min(height - 1));
    [value(left, row), value(right, row), value(column, up), value(column, down)]
        .iter()
        .any(|there| (there - here).abs() > STEP)
}

/// Where in the sequence of rays the point `i` of a pixel starts: scattered, so that what unevenness is left looks like
/// the grain of a photograph.
fn offset(x: u32, y: u32, i: u32) -> Vec2 {
    let place = DVec3::new(f64::from(x), f64::from(y), f64::from(i));
    Vec2::new(plaster::hash(place, 21) as f32, plaster::hash(place, 22) as f32)
}

/// Light that comes from the point `(x, y)` of the photo frame.
fn seen(sculpture: &Sculpture, camera: &Camera, studio: &Studio, (x, y): (f64, f64), offset: Vec2) -> Vec3 {
    let (from, towards) = (camera.eye(), camera.ray(x, y));
    if let Some(p) = meet(sculpture, &studio.grid, from, towards) {
        let exact = sculpture.normal(p, 0.12);
        let q = sculpture.to_head(p);
        let normal = plaster::grain(q, exact).as_vec3();
        let p = p.as_vec3();
        // Light wanders a little way under the skin of plaster: the form's edges turn softly.
        let soft = studio.grid.normal(p, 3.0);
        let surface =
            Surface { p, normal, soft, albedo: plaster::albedo(&studio.grid, q, p, exact.as_vec3()) };
        return studio.shade(&surface, -towards.as_vec3(), offset);
    }
    match backdrop(from.as_vec3(), towards.as_vec3()) {
        Some(surface) => studio.shade(&surface, -towards.as_vec3(), offset),
        None => Vec3::ZERO,
    }
}

/// The point of the cast that the ray from `from` towards `towards` meets, found on the exact surface.
pub(crate) fn meet(sculpture: &Sculpture, grid: &Grid, from: DVec3, towards: DVec3) -> Option<DVec3> {
    let (enter, leave) = crossing_exact(from, towards)?;
    let mut t = enter.max(0.0);
    let mut before = (t - 1.0, 1.0);
    while t < leave {
        let p = from + towards * t;
        let rough = f64::from(grid.distance(p.as_vec3()));
        if rough > 2.5 {
            t += (rough - 1.5) * 0.9;
            continue;
        }
        let d = sculpture.distance(p);
        if d < 0.02 {
            // One step of the secant method puts the point on the surface.
            let slope = (d - before.1) / (t - before.0);
            let step = if slope < -0.05 { (-d / slope).clamp(-1.0, 0.2) } else { 0.0 };
            return Some(p + towards * step);
        }
        before = (t, d);
        t += (d * 0.8).max(0.02);
    }
    None
}
