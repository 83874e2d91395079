//! The eye: a ball in its socket, behind two lids with thickness; blank, as casts are.

use glam::DVec3;

use crate::sdf::{bell, ellipsoid, far_from, smooth_max, smooth_min, smooth_step};

/// Centre of the eyeball, head frame, mm: half of the mean interpupillary distance of men (ANSUR II, 64 mm) to the side.
pub(crate) const CENTRE: DVec3 = DVec3::new(32.0, 0.0, 71.0);
/// Radius of the eyeball, mm.
pub(crate) const RADIUS: f64 = 13.0;
/// Inner and outer corners of the opening, (x, y), mm.
pub(crate) const INNER_CORNER: (f64, f64) = (17.0, -1.8);
pub(crate) const OUTER_CORNER: (f64, f64) = (46.0, 0.6);
const UPPER_LIFT: f64 = 5.4;
const LOWER_DROP: f64 = 4.9;
/// Everything of the eye lies within this of its centre, mm.
const REACH: f64 = 22.0;

/// Height of the edge of the upper lid and of the lower lid at `x`.
fn edges(x: f64) -> (f64, f64) {
    let t = ((x - INNER_CORNER.0) / (OUTER_CORNER.0 - INNER_CORNER.0)).clamp(0.0, 1.0);
    let line = INNER_CORNER.1 + (OUTER_CORNER.1 - INNER_CORNER.1) * t;
    // Steepest near the nose above, near the temple below: the almond is no lens.
    let upper = 1.72 * t.powf(0.72) * (1.0 - t).powf(0.88);
    let lower = 1.86 * t.powf(1.05) * (1.0 - t).powf(0.8);
    (line + UPPER_LIFT * upper, line - LOWER_DROP * lower)
}

/// The face `d` at `p` with the eye set into it.
pub(crate) fn carve(p: DVec3, d: f64) -> f64 {
    if let Some(d) = far_from(p, CENTRE, REACH, d) {
        return d;
    }
    let (upper, lower) = edges(p.x);
    let opening =
        (p.y - upper).max(lower - p.y).max(INNER_CORNER.0 - p.x).max(p.x - OUTER_CORNER.0).max(60.0 - p.z);
    let upper_lid = ellipsoid(p - CENTRE - DVec3::new(-0.6, 0.8, 0.6), DVec3::new(17.5, 14.6, 14.1));
    let lower_lid = ellipsoid(p - CENTRE - DVec3::new(-0.6, -1.2, -0.6), DVec3::new(17.5, 14.0, 13.9));
    let lids = smooth_min(upper_lid, lower_lid, 1.0);
    let skin = smooth_min(d, lids, 2.4 + 4.0 * smooth_step(2.0, -6.0, p.y));
    // The fold above the upper lid, and the soft skin that hangs over it.
    let above = p.y - upper - 3.9;
    let along = smooth_step(16.0, 24.0, p.x) * smooth_step(51.0, 43.0, p.x);
    let fold = 0.9 * bell(above, 1.1) - 0.7 * smooth_step(0.3, 2.6, above) * smooth_step(8.0, 3.0, above);
    let skin = skin + fold * along;
    let slit = smooth_max(skin, -opening, 0.7);
    // The ball is drawn out to the corners, so that no hole opens beside it; at the nose lies the tear duct.
    let q = p - CENTRE;
    let drawn = q.distance(DVec3::new(-0.5, 0.0, -9.0)) - 21.7;
    let ball = smooth_min(q.length() - RADIUS, drawn, 1.5);
    let duct = p.distance(DVec3::new(INNER_CORNER.0 + 2.6, INNER_CORNER.1 - 0.4, 77.2)) - 2.6;
    let ball = smooth_min(ball, duct, 1.0);
    // It stays under the lids, and shows through the opening only.
    let ball = ball.max(lids + 0.7);
    // A breath of the cornea, so that the blank eye has a direction.
    let cornea = 0.5 * (1.0 - smooth_step(4.0, 7.0, q.x.hypot(q.y)));
    smooth_min(slit, ball - cornea, 0.5)
}
