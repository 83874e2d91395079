//! The whole cast: head on its neck, cap, socle; one signed distance.

use glam::{DMat3, DVec3};

use crate::face::Face;
use crate::neck::{Neck, socle};
use crate::sdf::smooth_min;
use crate::{cap, face};

/// The plaster cast of a harbour pilot's head, life size, as a signed distance in millimetres.
///
/// Cast frame: origin midway between the ear holes at the height of the pupils before the head is turned, x to the
/// sitter's left, y up, z forward. The crown is the top of the knitted cap, which hugs the skull.
#[derive(Debug, Clone)]
pub struct Sculpture {
    pub(crate) face: Face,
    neck: Neck,
    pose: Pose,
}

/// How the head is carried: turned and tilted on the neck.
#[derive(Debug, Clone, Copy)]
struct Pose {
    turn: DMat3,
}

/// The head turns about the top of the neck, mm.
const PIVOT: DVec3 = DVec3::new(0.0, -95.0, -18.0);
/// Turn to the sitter's right, tilt and nod of the head, degrees.
const TURN: f64 = -19.0;
const TILT: f64 = 2.5;
const NOD: f64 = 1.0;

impl Pose {
    fn new() -> Self {
        let turn = DMat3::from_rotation_z(TILT.to_radians())
            * DMat3::from_rotation_y(TURN.to_radians())
            * DMat3::from_rotation_x(NOD.to_radians());
        Self { turn }
    }

    fn to_cast(self, head: DVec3) -> DVec3 {
        self.turn * (head - PIVOT) + PIVOT
    }

    fn to_head(self, cast: DVec3) -> DVec3 {
        self.turn.transpose() * (cast - PIVOT) + PIVOT
    }
}

impl Default for Sculpture {
    fn default() -> Self {
        Self::new()
    }
}

impl Sculpture {
    /// Models the cast.
    pub fn new() -> Self {
        let pose = Pose::new();
        Self { face: Face::new(), neck: Neck::new(|p| pose.to_cast(p)), pose }
    }

    /// Signed distance from `p` (cast frame, mm) to the plaster, mm, negative inside; a bound, not exact, far away.
    pub fn distance(&self, p: DVec3) -> f64 {
        let q = self.to_head(p);
        let head = if q.y > -170.0 { self.face.distance(q) } else { 1e3 };
        let neck = self.neck.distance(p);
        let mut d = smooth_min(head, neck, 9.0);
        if q.y > -30.0 {
            d = d.min(cap::distance(q));
        }
        if p.y < -180.0 {
            d = d.min(socle(p));
        }
        d
    }

    /// Signed distance to the bare head, without cap and neck, `q` in the head frame, mm.
    pub fn bare_head(&self, q: DVec3) -> f64 {
        self.face.distance(q)
    }

    /// The outward normal at `p`, from central differences over `reach` mm to either side.
    pub fn normal(&self, p: DVec3, reach: f64) -> DVec3 {
        // Tetrahedral differences (Quilez, "Normals for an SDF").
        const CORNERS: [DVec3; 4] = [
            DVec3::new(1.0, -1.0, -1.0),
            DVec3::new(-1.0, -1.0, 1.0),
            DVec3::new(-1.0, 1.0, -1.0),
            DVec3::new(1.0, 1.0, 1.0),
        ];
        CORNERS.iter().map(|&k| k * self.distance(p + k * reach)).sum::<DVec3>().normalize_or(DVec3::Y)
    }

    /// The point of the cast frame that `head` of the head frame is.
    pub fn to_cast(&self, head: DVec3) -> DVec3 {
        self.pose.to_cast(head)
    }

    /// The point of the head frame that `cast` of the cast frame is.
    pub fn to_head(&self, cast: DVec3) -> DVec3 {
        self.pose.to_head(cast)
    }

    /// The point of the cast frame at which the modeller put `design`, a point of the symmetric head.
    pub(crate) fn placed(&self, design: DVec3) -> DVec3 {
        let mut head = design;
        for _ in 0..20 {
            head = design + face::asymmetry(head);
        }
        self.to_cast(head)
    }
}
