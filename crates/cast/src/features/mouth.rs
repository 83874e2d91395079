//! The mouth: two lips laid on the round of the teeth, parted by a line that runs into the corners.

use glam::DVec3;

use crate::sdf::{Roll, far_from, smooth_max, smooth_min};
use crate::skull::Skull;

/// The corner of the mouth and the middle of the parting, (x, y), mm.
pub(crate) const CORNER: (f64, f64) = (26.8, -75.7);
pub(crate) const PARTING: (f64, f64) = (0.0, -74.0);
const REACH: f64 = 36.0;

/// The lips as rolls lying on the skull's front.
#[derive(Debug, Clone)]
pub(crate) struct Mouth {
    upper: Roll,
    lower: Roll,
    parting: Roll,
    centre: DVec3,
}

impl Mouth {
    pub(crate) fn new(skull: &Skull) -> Self {
        let lay = |knots: &[(f64, f64, f64, f64)]| {
            let knots: Vec<_> = knots
                .iter()
                .map(|&(x, y, proud, r)| (skull.front(x, y) + DVec3::Z * (proud - r), r))
                .collect();
            Roll::new(&knots)
        };
        Self {
            upper: lay(&[
                (-5.5, -68.4, 4.0, 4.6),
                (0.0, -69.4, 3.9, 4.7),
                (5.5, -68.4, 4.0, 4.6),
                (13.0, -70.2, 2.9, 3.8),
                (20.0, -72.4, 1.5, 2.6),
                (26.0, -74.6, 0.0, 1.2),
            ]),
            lower: lay(&[
                (-7.0, -79.2, 3.8, 5.6),
                (0.0, -79.4, 3.2, 5.4),
                (7.0, -79.2, 3.8, 5.6),
                (14.0, -78.4, 2.6, 4.4),
                (20.0, -77.2, 1.2, 2.9),
                (26.0, -75.6, -0.3, 1.2),
            ]),
            parting: lay(&[
                (-6.0, -73.6, 1.0, 0.3),
                (0.0, -74.0, 1.0, 0.3),
                (6.0, -73.6, 1.0, 0.3),
                (14.0, -74.1, 0.2, 0.4),
                (21.0, -75.0, -0.6, 0.4),
                (27.5, -76.0, -1.0, 0.1),
            ]),
            centre: skull.front(0.0, -74.0),
        }
    }

    /// The face `d` at `p` (`p.x` >= 0) with the lips on it.
    pub(crate) fn model(&self, p: DVec3, d: f64) -> f64 {
        if let Some(d) = far_from(p, self.centre, REACH, d) {
            return d;
        }
        // The skin above flares out to the edge of the upper lip; between the lips the valley stays sharp.
        let lips = smooth_min(self.upper.distance(p), self.lower.distance(p), 0.5);
        let d = smooth_min(d, lips, 2.8);
        smooth_max(d, -self.parting.distance(p), 1.0)
    }
}
