//! The nose: bridge, tip, wings, nostrils.

use glam::DVec3;

use crate::sdf::{Roll, ellipsoid, far_from, smooth_max, smooth_min};

/// Where the tip, the wing and the base (where the nose meets the lip) are looked for, head frame, mm.
pub(crate) const TIP: DVec3 = DVec3::new(0.0, -40.0, 122.0);
pub(crate) const WING: DVec3 = DVec3::new(19.0, -46.0, 100.0);
pub(crate) const BASE: DVec3 = DVec3::new(0.0, -53.0, 105.0);
const CENTRE: DVec3 = DVec3::new(0.0, -22.0, 98.0);
const REACH: f64 = 38.0;

/// The nose as laid rolls and pressed-in hollows.
#[derive(Debug, Clone)]
pub(crate) struct Nose {
    ridge: Roll,
    walls: Roll,
    columella: Roll,
    wing: Roll,
    nostril: Roll,
}

impl Nose {
    pub(crate) fn new() -> Self {
        let at = |x: f64, y: f64, z: f64, r: f64| (DVec3::new(x, y, z), r);
        Self {
            ridge: Roll::new(&[
                at(0.0, 17.0, 85.0, 6.0),
                at(0.0, 3.0, 86.6, 6.8),
                at(0.0, -12.0, 94.8, 7.2),
                at(0.0, -22.0, 101.2, 7.6),
                at(0.0, -32.5, 107.0, 7.4),
                at(0.0, -38.5, 111.0, 7.6),
            ]),
            walls: Roll::new(&[
                at(0.0, 4.0, 80.0, 9.5),
                at(0.0, -14.0, 85.0, 12.0),
                at(0.0, -28.0, 90.0, 14.0),
                at(0.0, -40.0, 96.0, 15.0),
            ]),
            columella: Roll::new(&[
                at(0.0, -52.5, 101.0, 4.2),
                at(0.0, -51.0, 108.0, 3.6),
                at(0.0, -47.5, 114.0, 4.6),
            ]),
            wing: Roll::new(&[
                at(14.6, -48.2, 95.5, 3.6),
                at(15.6, -45.4, 100.5, 4.9),
                at(13.2, -43.6, 106.5, 5.2),
                at(8.0, -42.5, 112.0, 5.0),
            ]),
            nostril: Roll::new(&[
                at(9.8, -53.0, 101.5, 2.6),
                at(8.4, -51.8, 106.5, 3.4),
                at(5.6, -51.0, 111.0, 2.2),
            ]),
        }
    }

    /// The face `d` at `p` (`p.x` >= 0) with the nose on it.
    pub(crate) fn model(&self, p: DVec3, d: f64) -> f64 {
        if let Some(d) = far_from(p, CENTRE, REACH, d) {
            return d;
        }
        let pyramid = smooth_min(self.ridge.distance(p), self.walls.distance(p), 7.0);
        // The two domes of the tip run together in the middle.
        let dome = DVec3::new(p.x.hypot(2.0) - 3.6, p.y + 40.2, p.z - 111.2);
        let dome = ellipsoid(dome, DVec3::new(9.0, 8.8, 10.8));
        let tip = smooth_min(pyramid, dome, 9.0);
        let d = smooth_min(d, tip, 5.5);
        let d = smooth_min(d, self.wing.distance(p), 3.2);
        let d = smooth_min(d, self.columella.distance(p), 3.4);
        smooth_max(d, -self.nostril.distance(p), 1.2)
    }
}
