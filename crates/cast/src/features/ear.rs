//! The ear: helix, antihelix, concha, tragus and lobe, on a plate that stands off the head.

use glam::{DMat3, DVec3};

use crate::sdf::{Roll, ellipsoid, far_from, smooth_max, smooth_min};

/// Ear frame: origin at the ear hole's height on the plate; u backwards, v up, w out from the plate, mm.
const ORIGIN: DVec3 = DVec3::new(69.5, -19.0, -6.0);
/// Everything of the ear lies within this of this point of its frame, mm.
const CENTRE: DVec3 = DVec3::new(8.0, 1.0, 0.0);
const REACH: f64 = 40.0;
/// Top and lobe of the ear in its own frame, where their extremes are looked for.
pub(crate) const TOP: DVec3 = DVec3::new(9.0, 33.0, 3.0);
pub(crate) const LOBE: DVec3 = DVec3::new(1.0, -32.0, 2.0);

/// The ear as rolls on a plate.
#[derive(Debug, Clone)]
pub(crate) struct Ear {
    turn: DMat3,
    helix: Roll,
    antihelix: Roll,
    fork: Roll,
}

impl Ear {
    pub(crate) fn new() -> Self {
        // The plate leans back by about 12 degrees and flares from the head by about 28.
        let flare = DMat3::from_rotation_y(-(28f64.to_radians()));
        let lean = DMat3::from_rotation_x(-(12f64.to_radians()));
        let axes = lean * flare * DMat3::from_cols(DVec3::NEG_Z, DVec3::Y, DVec3::X);
        let at = |u: f64, v: f64, w: f64, r: f64| (DVec3::new(u, v, w), r);
        Self {
            turn: axes.transpose(),
            helix: Roll::new(&[
                at(5.0, -6.0, -3.0, 1.6),
                at(-2.0, 1.0, 0.8, 2.2),
                at(-5.5, 12.0, 2.6, 2.8),
                at(-3.0, 23.0, 3.0, 3.0),
                at(6.0, 30.0, 3.0, 3.2),
                at(16.0, 28.0, 2.8, 3.2),
                at(23.0, 19.0, 2.6, 3.0),
                at(25.0, 6.0, 2.4, 2.8),
                at(22.0, -8.0, 2.2, 2.5),
                at(16.0, -20.0, 1.4, 2.6),
                at(9.0, -27.0, 0.8, 3.2),
            ]),
            antihelix: Roll::new(&[
                at(7.0, -19.0, 2.0, 3.0),
                at(13.0, -15.0, 2.6, 3.0),
                at(17.0, -5.0, 3.4, 3.0),
                at(17.0, 5.0, 3.4, 3.2),
                at(14.0, 14.0, 2.6, 3.0),
                at(14.0, 22.0, 1.2, 2.4),
            ]),
            fork: Roll::new(&[at(17.0, 5.0, 3.2, 3.0), at(10.0, 12.0, 2.2, 2.4), at(1.0, 14.0, 1.0, 1.8)]),
        }
    }

    /// The point of the head frame that `q` of the ear frame is.
    pub(crate) fn to_head(&self, q: DVec3) -> DVec3 {
        self.turn.transpose() * q + ORIGIN
    }

    /// The head `d` at `p` (`p.x` >= 0) with the ear on it.
    pub(crate) fn model(&self, p: DVec3, d: f64) -> f64 {
        let q = self.turn * (p - ORIGIN);
        if let Some(d) = far_from(q, CENTRE, REACH, d) {
            return d;
        }
        let plate = ellipsoid(q - DVec3::new(9.5, 3.0, -0.6), DVec3::new(18.0, 29.0, 4.6));
        let lobe = ellipsoid(q - DVec3::new(4.0, -26.0, 0.4), DVec3::new(9.0, 9.0, 4.4));
        let plate = smooth_min(plate, lobe, 5.0);
        let bowl = ellipsoid(q - DVec3::new(5.0, -5.0, 4.5), DVec3::new(10.5, 14.0, 8.5));
        let shell = smooth_max(plate, -bowl, 2.0);
        let shell = smooth_min(shell, self.antihelix.distance(q), 2.4);
        let shell = smooth_min(shell, self.fork.distance(q), 2.4);
        let shell = smooth_min(shell, self.helix.distance(q), 1.8);
        let tragus = ellipsoid(q - DVec3::new(-5.5, -7.0, 3.0), DVec3::new(3.6, 6.0, 3.2));
        let antitragus = ellipsoid(q - DVec3::new(5.0, -19.5, 2.6), DVec3::new(5.0, 3.2, 3.0));
        let shell = smooth_min(smooth_min(shell, tragus, 3.0), antitragus, 2.4);
        // The back of the ear grows out of the head.
        let root = ellipsoid(q - DVec3::new(2.0, -5.0, -6.0), DVec3::new(9.0, 27.0, 8.0));
        let root = smooth_max(root, -bowl, 2.0);
        let joined = smooth_min(d, root, 5.0);
        let joined = smooth_max(joined, -bowl, 1.0);
        smooth_min(joined, shell, 2.5)
    }
}
