//! Where the cast's landmarks fall in the picture, found on the surface itself.
//!
//! "Right" and "left" are the sitter's. Extremes (crown, chin, tip and wings of the nose, ears) are climbed to on the
//! surface; the others are met by a line drawn onto it where the modeller put the feature. The crown is the top of
//! the cap's silhouette and the chin the lowest point of the chin's, as a draughtsman measures a head. The hairline
//! is under the cap and not among them.

use glam::DVec3;
use serde::Serialize;

use crate::camera::Camera;
use crate::features::{ear, eye, mouth, nose};
use crate::sculpture::Sculpture;

/// A named point of the head.
#[derive(Debug, Clone, Serialize)]
pub struct Landmark {
    /// What it is, with "right" and "left" as the sitter's.
    pub name: &'static str,
    /// Pixels from the left edge of the picture.
    pub x: f64,
    /// Pixels from the top edge of the picture.
    pub y: f64,
    /// Whether it is seen, or hidden behind another part of the cast.
    pub visible: bool,
    /// The point itself, cast frame, mm.
    #[serde(skip)]
    pub point: DVec3,
}

/// A point this near the surface lies on it, mm.
const SETTLED: f64 = 1e-9;

/// The landmarks of `sculpture` as `camera` sees them, from the crown down.
pub fn landmarks(sculpture: &Sculpture, camera: &Camera) -> Vec<Landmark> {
    let finder = Finder { sculpture, camera };
    let sided = [-1.0, 1.0];
    let [right_eye, left_eye] = sided.map(|s| finder.eye(s));
    let [right_brow, left_brow] = sided.map(|s| finder.brow(s * eye::CENTRE.x));
    let [right_wing, left_wing] = sided.map(|s| finder.wing(s));
    let [right_corner, left_corner] = sided.map(|s| finder.onto(s * mouth::CORNER.0, mouth::CORNER.1));
    let [right_ear, left_ear] = sided.map(|s| finder.ear(s));
    let [right_jaw, left_jaw] = sided.map(|s| finder.jaw_angle(s));
    let named = [
        ("crown", finder.crown()),
        ("brow", finder.brow(0.0)),
        ("right brow", right_brow),
        ("left brow", left_brow),
        ("right eye, outer corner", right_eye[0]),
        ("right eye, pupil", right_eye[1]),
        ("right eye, inner corner", right_eye[2]),
        ("left eye, inner corner", left_eye[2]),
        ("left eye, pupil", left_eye[1]),
        ("left eye, outer corner", left_eye[0]),
        ("right ear, top", right_ear[0]),
        ("left ear, top", left_ear[0]),
        ("right ear, lobe", right_ear[1]),
        ("left ear, lobe", left_ear[1]),
        ("tip of the nose", finder.tip()),
        ("right wing of the nose", right_wing),
        ("left wing of the nose", left_wing),
        ("base of the nose", finder.nose_base()),
        ("right corner of the mouth", right_corner),
        ("parting of the mouth", finder.onto(mouth::PARTING.0, mouth::PARTING.1)),
        ("left corner of the mouth", left_corner),
        ("right angle of the jaw", right_jaw),
        ("left angle of the jaw", left_jaw),
        ("chin", finder.chin()),
        ("pit of the neck", finder.pit_of_the_neck()),
    ];
    let mark = |(name, point)| {
        let at = camera.project(point);
        Landmark { name, x: at.x, y: at.y, visible: finder.sees(point), point }
    };
    named.map(mark).into()
}

/// The demo's account of its picture: what `harbour-pilot.json` holds.
///
/// # Errors
/// None in practice: plain numbers and names always have a JSON form.
pub fn account(photo: &str, camera: &Camera, landmarks: &[Landmark]) -> serde_json::Result<String> {
    #[derive(Serialize)]
    struct Account<'a> {
        photo: &'a str,
        width: u32,
        height: u32,
        landmarks: &'a [Landmark],
    }
    let rounded: Vec<_> = landmarks
        .iter()
        .map(|l| Landmark { x: (l.x * 1e3).round() / 1e3, y: (l.y * 1e3).round() / 1e3, ..l.clone() })
        .collect();
    let account = Account { photo, width: camera.size.0, height: camera.size.1, landmarks: &rounded };
    Ok(serde_json::to_string_pretty(&account)? + "\n")
}

struct Finder<'a> {
    sculpture: &'a Sculpture,
    camera: &'a Camera,
}

impl Finder<'_> {
    /// The highest point of the cap in the picture.
    fn crown(&self) -> DVec3 {
        let top = self.sculpture.to_cast(DVec3::new(0.0, 130.0, -7.0));
        self.climb(top, 40.0, |p| -self.camera.project(p).y)
    }

    /// The lowest point of the chin in the picture.
    fn chin(&self) -> DVec3 {
        let under = self.sculpture.placed(DVec3::new(0.0, -119.0, 88.0));
        self.climb(under, 25.0, |p| self.camera.project(p).y)
    }

    /// The crest of the brow in the upright plane `x` of the head.
    fn brow(&self, x: f64) -> DVec3 {
        let at = |y: f64| self.ahead(DVec3::new(x, y, 0.0));
        let forward = |y: f64| self.sculpture.to_head(at(y)).z;
        at(highest(12.0, 34.0, forward))
    }

    /// Outer corner, pupil and inner corner of the eye on the side `s`. The blank eye looks straight ahead.
    fn eye(&self, s: f64) -> [DVec3; 3] {
        let (outer, inner) = (eye::OUTER_CORNER, eye::INNER_CORNER);
        [(outer.0, outer.1), (eye::CENTRE.x, eye::CENTRE.y), (inner.0, inner.1)]
            .map(|(x, y)| self.onto(s * x, y))
    }

    /// The top and the lobe of the ear on the side `s`.
    fn ear(&self, s: f64) -> [DVec3; 2] {
        let [top, lobe] = [ear::TOP, ear::LOBE].map(|q| {
            let p = self.sculpture.face.ear.to_head(q);
            self.sculpture.placed(DVec3::new(s * p.x, p.y, p.z))
        });
        // The ear alone, so that the climb cannot stray over the joint onto the skull or the jaw.
        let alone = |p: DVec3| self.sculpture.face.ear_alone(self.sculpture.to_head(p));
        [
            self.beside(s, climb(&alone, top, 12.0, |p| -self.camera.project(p).y)),
            self.beside(s, climb(&alone, lobe, 12.0, |p| self.camera.project(p).y)),
        ]
    }

    fn tip(&self) -> DVec3 {
        self.climb(self.sculpture.placed(nose::TIP), 12.0, |p| self.sculpture.to_head(p).z)
    }

    fn wing(&self, s: f64) -> DVec3 {
        let wing = self.sculpture.placed(DVec3::new(s * nose::WING.x, nose::WING.y, nose::WING.z));
        self.climb(wing, 9.0, |p| s * self.sculpture.to_head(p).x)
    }

    /// The deepest point of the angle between nose and lip: of the profile, what lies farthest behind its chord.
    fn nose_base(&self) -> DVec3 {
        let at = |y: f64| self.onto(nose::BASE.x, y);
        let (above, below) = (self.tip(), at(nose::BASE.y - 14.0));
        let chord = (below - above).normalize();
        let behind = |y: f64| {
            let from = at(y) - above;
            (from - chord * from.dot(chord)).length()
        };
        at(highest(nose::BASE.y - 10.0, nose::BASE.y + 4.0, behind))
    }

    /// The outermost point of the corner of the jaw, below and behind; where neck muscle covers it, the skin over it.
    fn jaw_angle(&self, s: f64) -> DVec3 {
        let seed = self.sculpture.placed(DVec3::new(s * 57.0, -76.0, 12.0));
        let outwards = DVec3::new(s * 0.55, -0.6, -0.45);
        let bare = |p: DVec3| self.sculpture.bare_head(self.sculpture.to_head(p));
        self.beside(s, climb(&bare, seed, 14.0, |p| self.sculpture.to_head(p).dot(outwards)))
    }

    /// The point of the plaster that lies over `point` of the bare head, seen square from the side `s`.
    fn beside(&self, s: f64, point: DVec3) -> DVec3 {
        let head = self.sculpture.to_head(point);
        let outside = self.sculpture.to_cast(head + DVec3::X * (s * 40.0));
        self.march(outside, (point - outside).normalize())
    }

    fn pit_of_the_neck(&self) -> DVec3 {
        self.march(DVec3::new(0.0, -207.0, 120.0), DVec3::NEG_Z)
    }

    /// The point of the face straight ahead of `(x, y)` of the symmetric design.
    fn onto(&self, x: f64, y: f64) -> DVec3 {
        let design = self.sculpture.to_head(self.sculpture.placed(DVec3::new(x, y, 95.0)));
        self.ahead(design)
    }

    /// The point of the face straight ahead of `head`.
    fn ahead(&self, head: DVec3) -> DVec3 {
        let from = self.sculpture.to_cast(DVec3::new(head.x, head.y, 150.0));
        let towards = self.sculpture.to_cast(DVec3::new(head.x, head.y, 0.0)) - from;
        self.march(from, towards.normalize())
    }

    fn march(&self, from: DVec3, towards: DVec3) -> DVec3 {
        let mut p = from;
        for _ in 0..400 {
            let d = self.sculpture.distance(p);
            p += towards * (d * 0.6);
            if d.abs() < SETTLED {
                break;
            }
        }
        p
    }

    fn climb(&self, start: DVec3, reach: f64, height: impl Fn(DVec3) -> f64) -> DVec3 {
        climb(&|p| self.sculpture.distance(p), start, reach, height)
    }

    /// Whether nothing of the cast lies between the pinhole and `point`.
    fn sees(&self, point: DVec3) -> bool {
        /// So near the point the ray may graze the surface it is on, or the lip of the fold it lies in, mm.
        const GRAZE: f64 = 1.5;
        let from = self.camera.eye();
        let (towards, length) = ((point - from).normalize(), point.distance(from));
        let mut t = (length - 400.0).max(0.0);
        while t < length - GRAZE {
            let d = self.sculpture.distance(from + towards * t);
            if d < 0.0 {
                return false;
            }
            t += (d * 0.6).max(0.02);
        }
        true
    }
}

/// The point of the surface `distance` = 0 with the greatest `height` within `reach` mm of `start`: a compass search over the surface.
fn climb(distance: &dyn Fn(DVec3) -> f64, start: DVec3, reach: f64, height: impl Fn(DVec3) -> f64) -> DVec3 {
    let normal = |p: DVec3| {
        let h = 1e-4;
        DVec3::from_array(DVec3::AXES.map(|axis| distance(p + axis * h) - distance(p - axis * h)))
            .normalize_or(DVec3::Y)
    };
    let settle = |mut p: DVec3| {
        for _ in 0..12 {
            let d = distance(p);
            if d.abs() < SETTLED {
                break;
            }
            p -= normal(p) * (d * 0.9);
        }
        p
    };
    let mut p = settle(start);
    let mut best = height(p);
    let mut step = 2.0;
    while step > 1e-6 {
        let (across, along) = normal(p).any_orthonormal_pair();
        let next = (0..8)
            .map(|i| {
                let (s, c) = (f64::from(i) * std::f64::consts::FRAC_PI_4).sin_cos();
                settle(p + (across * c + along * s) * step)
            })
            .filter(|q| q.distance(start) < reach)
            .map(|q| (height(q), q))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        match next {
            Some((value, q)) if value > best => (best, p) = (value, q),
            _ => step *= 0.5,
        }
    }
    p
}

/// Where `value` is greatest between `low` and `high`: a scan, then the golden section.
fn highest(low: f64, high: f64, value: impl Fn(f64) -> f64) -> f64 {
    const SCAN: u32 = 24;
    let step = (high - low) / f64::from(SCAN);
    let at = |i: u32| low + f64::from(i) * step;
    let best = (0..=SCAN).max_by(|&a, &b| value(at(a)).total_cmp(&value(at(b)))).unwrap_or(0);
    let (mut low, mut high) = ((at(best) - step).max(low), (at(best) + step).min(high));
    let golden = 0.618_033_988_749_895;
    while high - low > 1e-6 {
        let (a, b) = (high - golden * (high - low), low + golden * (high - low));
        if value(a) > value(b) { high = b } else { low = a }
    }
    0.5 * (low + high)
}
