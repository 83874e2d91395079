//! The pilot's knitted watch cap: a ribbed dome close to the skull and a turned-up cuff.
//!
//! The crown of the cast is the top of the cap's silhouette: the cap hugs the skull, so a draughtsman measures to it.

use glam::DVec3;

use crate::sdf::{ellipsoid, smooth_max, smooth_min, smooth_step};

const DOME_CENTRE: DVec3 = DVec3::new(0.0, 37.0, -7.0);
const DOME: DVec3 = DVec3::new(82.5, 85.0, 106.0);
/// The cuff's lower edge: its height at the ears' plane and its rise towards the brow per mm.
const EDGE_HEIGHT: f64 = 31.0;
const EDGE_RISE: f64 = 0.18;
/// Height of the cuff, mm, and ribs of the knitting around the head.
const CUFF_HEIGHT: f64 = 40.0;
const RIBS: f64 = 92.0;

/// Distance from `p` in the head frame to the cap, mm.
pub(crate) fn distance(p: DVec3) -> f64 {
    let q = p - DOME_CENTRE;
    if ellipsoid(q, DOME) > 24.0 {
        return ellipsoid(q, DOME) - 14.0;
    }
    let turn = f64::atan2(q.x, q.z);
    // The cuff was turned up by hand: its edge wavers.
    let waver = 1.2 * (turn * 3.0 + 0.6).sin() + 0.7 * (turn * 7.0 + 2.0).sin();
    let edge = EDGE_HEIGHT + EDGE_RISE * p.z + waver;
    let slope = (1.0 + EDGE_RISE * EDGE_RISE).sqrt();
    let above = (p.y - edge) / slope;
    let around = q.x.hypot(q.z);
    let crown_fade = smooth_step(14.0, 66.0, around);
    let sag = 2.4 * (turn * 2.0 + 1.0).sin() * smooth_step(20.0, 70.0, q.y) * crown_fade;
    let dome = ellipsoid(q, DOME + DVec3::splat(sag));
    let rib = (turn * RIBS).cos();
    let knit = 0.55 * rib * crown_fade;
    let body = smooth_max(dome - knit, -above, 3.0);
    // The cuff stands off the dome as an upright band with a rolled edge.
    let top = CUFF_HEIGHT + 1.4 * (turn * 4.0).sin();
    let band = (above - top * 0.5).abs() - top * 0.5;
    let girth = ellipsoid(DVec3::new(q.x, q.y * 0.55, q.z), DOME) - 4.6 - 0.75 * rib;
    let cuff = smooth_max(girth, band, 5.0);
    smooth_min(body, cuff, 1.6)
}
