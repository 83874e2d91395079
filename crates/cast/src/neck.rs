//! The neck and what the head stands on: throat, sternomastoids, pit of the neck, the cut, and a plain turned socle.
//!
//! Cast frame, mm: as the head frame before the head is turned on the neck.

use glam::DVec3;

use crate::sdf::{Roll, ellipsoid, rounded_box, rounded_cylinder, smooth_max, smooth_min};

/// Height at which the cast is cut off, mm.
const CUT: f64 = -234.0;
/// Height of the top of the table the socle stands on, mm.
pub(crate) const TABLE: f64 = -300.0;

/// Beyond this from the hull of the neck only the hull is asked, mm.
const FAR: f64 = 14.0;

/// Neck and socle.
#[derive(Debug, Clone)]
pub(crate) struct Neck {
    column: Roll,
    mastoids: [Roll; 2],
    clavicles: [Roll; 2],
    trapezius: [Roll; 2],
    throat: Roll,
}

impl Neck {
    /// A neck under a head whose frame `to_cast` carries into the cast frame.
    pub(crate) fn new(to_cast: impl Fn(DVec3) -> DVec3) -> Self {
        let side = |s: f64| {
            let at = |x: f64, y: f64, z: f64, r: f64| (DVec3::new(s * x, y, z), r);
            let behind_ear = to_cast(DVec3::new(s * 62.0, -34.0, -18.0));
            let half_way =
                to_cast(DVec3::new(s * 56.0, -86.0, 4.0)).lerp(DVec3::new(s * 42.0, -120.0, 6.0), 0.5);
            (
                Roll::new(&[
                    (behind_ear, 10.0),
                    (half_way, 11.0),
                    at(29.0, -163.0, 19.0, 9.5),
                    at(11.0, -209.0, 28.0, 5.5),
                ]),
                Roll::new(&[
                    at(15.0, -215.0, 25.0, 7.0),
                    at(43.0, -209.0, 22.0, 5.0),
                    at(74.0, -204.0, 8.0, 4.5),
                    at(104.0, -200.0, -20.0, 5.0),
                ]),
                Roll::new(&[
                    at(26.0, -60.0, -56.0, 14.0),
                    at(34.0, -120.0, -56.0, 20.0),
                    at(52.0, -175.0, -52.0, 26.0),
                    at(90.0, -222.0, -46.0, 30.0),
                ]),
            )
        };
        let (right, left) = (side(-1.0), side(1.0));
        let at = |y: f64, z: f64, r: f64| (DVec3::new(0.0, y, z), r);
        Self {
            column: Roll::new(&[
                at(-40.0, -14.0, 50.0),
                at(-110.0, -17.0, 54.0),
                at(-170.0, -26.0, 54.0),
                at(-240.0, -38.0, 62.0),
            ]),
            mastoids: [right.0, left.0],
            clavicles: [right.1, left.1],
            trapezius: [right.2, left.2],
            throat: Roll::new(&[
                at(-118.0, 30.0, 15.0),
                at(-148.0, 33.5, 13.5),
                at(-176.0, 25.0, 12.5),
                at(-206.0, 15.0, 12.0),
                at(-236.0, 6.0, 12.0),
            ]),
        }
    }

    /// Distance from `p` in the cast frame to the neck, mm, cut off below.
    pub(crate) fn distance(&self, p: DVec3) -> f64 {
        // The cut: the bust is rounded off to the sides and below.
        let hull = ellipsoid(p - DVec3::new(0.0, -122.0, -32.0), DVec3::new(106.0, 140.0, 100.0));
        if hull > FAR {
            return hull;
        }
        let mut d = self.column.distance(p);
        d = self.throat.join(p, d, 12.0);
        let apple = ellipsoid(p - DVec3::new(0.0, -147.0, 42.0), DVec3::new(8.0, 12.0, 8.0));
        d = smooth_min(d, apple, 8.0);
        let chest = ellipsoid(p - DVec3::new(0.0, -247.0, -34.0), DVec3::new(165.0, 62.0, 65.0));
        d = smooth_min(d, chest, 16.0);
        for roll in &self.trapezius {
            d = roll.join(p, d, 18.0);
        }
        for roll in &self.mastoids {
            d = roll.join(p, d, 6.0);
        }
        for roll in &self.clavicles {
            d = roll.join(p, d, 9.0);
        }
        let pit = p.distance(DVec3::new(0.0, -207.0, 40.0)) - 10.0;
        d = smooth_max(d, -pit, 8.0);
        smooth_max(smooth_max(d, hull, 4.0), CUT - p.y, 3.0)
    }
}

/// Distance from `p` in the cast frame to the socle, mm.
pub(crate) fn socle(p: DVec3) -> f64 {
    let q = p - DVec3::new(0.0, 0.0, -28.0);
    let stem = {
        let y = (q.y + 263.0) / 20.0;
        q.x.hypot(q.z) - 44.0 - 9.0 * y * y
    };
    let stem = smooth_max(stem, (q.y + 262.0).abs() - 24.0, 2.0);
    let ring = rounded_cylinder(q - DVec3::new(0.0, CUT - 5.0, 0.0), 56.0, 5.0, 4.0);
    let foot = rounded_box(q - DVec3::new(0.0, TABLE + 10.0, 0.0), DVec3::new(72.0, 10.0, 66.0), 2.0);
    // It has been knocked about: a corner and an edge are chipped.
    let chips = [(DVec3::new(73.0, TABLE + 21.0, 67.0), 7.0), (DVec3::new(-31.0, TABLE + 23.0, 70.0), 6.0)];
    let foot = chips
        .iter()
        .fold(foot, |d, &(at, r)| smooth_max(d, -ellipsoid(q - at, DVec3::new(1.5, 1.0, 0.8) * r), 1.2));
    stem.min(ring).min(foot)
}
