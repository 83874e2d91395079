//! The head: skull, the strokes that model its flesh, the features, and the asymmetries that make it one man's.

use glam::DVec3;

use crate::features::ear::Ear;
use crate::features::eye;
use crate::features::mouth::Mouth;
use crate::features::nose::Nose;
use crate::sdf::{Stroke, bell, smooth_step};
use crate::skull::Skull;

/// A head without its cap.
#[derive(Debug, Clone)]
pub(crate) struct Face {
    skull: Skull,
    strokes: Vec<Stroke>,
    nose: Nose,
    mouth: Mouth,
    pub(crate) ear: Ear,
}

/// A stroke laid on the skull from one side: points across and up, width and amount, mm. The sitter's left side.
type Laid = (&'static [(f64, f64)], f64, f64);

/// Strokes seen from the front: points `(x, y)`.
#[rustfmt::skip]
const FLESH: &[Laid] = &[
    // Brow ridge.
    (&[(6.0, 17.0), (20.0, 21.5), (34.0, 24.0), (46.0, 21.0), (55.0, 12.0)], 13.0, 3.0),
    // Lines of the forehead, and those at the outer corner of the eye.
    (&[(0.0, 37.0), (16.0, 39.5), (34.0, 37.5), (44.0, 33.0)], 4.0, -0.55),
    (&[(51.0, 3.5), (55.0, 7.0), (59.0, 12.0)], 3.0, -0.5),
    (&[(51.0, -0.5), (56.0, 0.0), (61.0, 2.0)], 3.0, -0.6),
    (&[(50.0, -4.0), (55.0, -7.0), (59.0, -9.0)], 3.0, -0.5),
    // Furrow beside the root of the nose.
    (&[(6.8, 37.0), (6.4, 27.0), (7.5, 17.0), (11.0, 9.0)], 6.4, -1.6),
    // Deep inner corner of the socket.
    (&[(13.0, 11.0), (17.0, 6.0), (18.0, 1.0)], 11.0, -3.6),
    // Hood of the upper lid towards the temple.
    (&[(22.0, 13.0), (34.0, 12.5), (45.0, 8.0), (53.0, 0.0)], 10.0, 3.0),
    // Bag under the eye and the trough below it.
    (&[(18.0, -8.0), (29.0, -11.0), (40.0, -9.5), (48.0, -4.0)], 7.0, 1.5),
    (&[(12.0, -6.0), (20.0, -14.5), (32.0, -19.5), (44.0, -18.0)], 8.0, -2.0),
    // Cheekbone, hollow of the cheek.
    (&[(30.0, -27.0), (46.0, -22.0), (58.0, -13.0)], 15.0, 2.0),
    (&[(43.0, -40.0), (47.0, -52.0), (48.0, -64.0)], 24.0, -2.0),
    // Fold from the wing of the nose to the mouth, and the cheek above it.
    (&[(17.0, -38.0), (21.5, -46.0), (28.0, -58.0), (33.0, -70.0), (35.0, -80.0)], 8.0, -2.6),
    (&[(24.0, -34.0), (33.0, -46.0), (41.0, -59.0), (44.0, -74.0)], 14.0, 2.6),
    // Groove of the upper lip and its two pillars.
    (&[(0.0, -54.0), (0.0, -66.0)], 5.0, -1.5),
    (&[(4.8, -54.0), (6.0, -66.0)], 4.5, 1.0),
    // Knot beside the corner of the mouth, and the fold under it.
    (&[(32.0, -71.0), (32.5, -79.0)], 13.0, 0.9),
    (&[(26.0, -77.0), (28.5, -84.0), (31.0, -92.0)], 10.0, -1.2),
    // Fold above the chin, the two pads of the chin and the dent between them.
    (&[(0.0, -89.0), (12.0, -88.5), (22.0, -84.0)], 9.0, -2.6),
    (&[(0.0, -103.0), (10.0, -103.5)], 15.0, 1.6),
    (&[(0.0, -99.0), (0.0, -106.0), (0.0, -112.0)], 7.0, -0.8),
];

/// The hair of the brow, seen from the front, and the hair before the ear, seen from the side, in so many locks.
const BROW: Laid = (&[(8.0, 15.5), (20.0, 20.0), (35.0, 23.5), (46.0, 20.0), (54.0, 13.0)], 6.0, 1.7);
const BROW_LOCKS: f64 = 15.0;
const TEMPLE_HAIR: Laid = (&[(18.0, 34.0), (15.0, 12.0), (13.0, -8.0), (14.0, -26.0)], 9.0, 1.5);
const TEMPLE_LOCKS: f64 = 15.0;

/// Strokes seen from the side: points `(z, y)`.
const SIDE_FLESH: &[Laid] = &[
    // Masseter, and the angle of the jaw.
    (&[(32.0, -32.0), (24.0, -52.0), (16.0, -74.0)], 17.0, 2.4),
    // Temple, and the line where the forehead turns into it.
    (&[(48.0, 34.0), (46.0, 14.0)], 20.0, -2.4),
];

impl Face {
    pub(crate) fn new() -> Self {
        let skull = Skull::new();
        let lay = |(points, width, amount): Laid, onto: &dyn Fn(f64, f64) -> DVec3| {
            let points: Vec<_> = points.iter().map(|&(across, y)| onto(across, y)).collect();
            Stroke::new(&points, width, amount)
        };
        let (front, side) = (|x, y| skull.front(x, y), |z, y| skull.side(z, y));
        let mut strokes: Vec<_> = FLESH.iter().map(|&stroke| lay(stroke, &front)).collect();
        strokes.extend(SIDE_FLESH.iter().map(|&stroke| lay(stroke, &side)));
        strokes.push(lay(BROW, &front).in_locks(BROW_LOCKS));
        strokes.push(lay(TEMPLE_HAIR, &side).in_locks(TEMPLE_LOCKS));
        let (nose, mouth, ear) = (Nose::new(), Mouth::new(&skull), Ear::new());
        Self { skull, strokes, nose, mouth, ear }
    }

    /// Distance from `p` in the head frame, mm.
    pub(crate) fn distance(&self, p: DVec3) -> f64 {
        let p = folded(p);
        let mut d = self.skull.distance(p);
        if d > 60.0 {
            return d - 30.0;
        }
        d -= self.strokes.iter().map(|stroke| stroke.raise(p)).sum::<f64>();
        let d = self.mouth.model(p, d);
        let d = self.nose.model(p, d);
        let d = eye::carve(p, d);
        self.ear.model(p, d)
    }

    /// Distance from `p` in the head frame to the ears alone, mm.
    pub(crate) fn ear_alone(&self, p: DVec3) -> f64 {
        self.ear.model(folded(p), 1e6)
    }
}

/// `p` on the left side of the symmetric head.
fn folded(p: DVec3) -> DVec3 {
    let p = p - asymmetry(p);
    DVec3::new(p.x.abs(), p.y, p.z)
}

/// How far the man's features are shifted from their mirror image at `p`: the bridge of the nose was broken once, the
/// left brow sits higher, the mouth runs a little askew, the chin is off the middle.
pub(crate) fn asymmetry(p: DVec3) -> DVec3 {
    let near_middle = bell(p.x, 22.0) * smooth_step(60.0, 95.0, p.z);
    let bridge = 2.2 * bell(p.y + 14.0, 11.0) - 0.9 * bell(p.y + 40.0, 12.0);
    let left = smooth_step(-18.0, 18.0, p.x);
    let brow = 2.0 * left * bell(p.y - 22.0, 11.0);
    let mouth = 0.035 * p.x * bell(p.y + 76.0, 16.0);
    let chin = -1.4 * smooth_step(-70.0, -105.0, p.y);
    let front = smooth_step(20.0, 60.0, p.z);
    DVec3::new(bridge * near_middle + chin * front, (brow + mouth) * front, 0.0)
}
