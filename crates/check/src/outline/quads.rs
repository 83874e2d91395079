//! Four long edges that could be the canvas's, and how well they would be.

#![expect(clippy::needless_range_loop, reason = "a candidate is the numbers of its four tracks")]

use nalgebra::{Matrix3, SMatrix, SVector, Vector3};

use super::edges::EdgePicture;
use super::tracks::{Run, Track, tracks};

/// The least share of the photo that a canvas worth measuring fills.
pub(super) const LEAST_AREA: f64 = 0.12;

/// How much of the sides must be seen as edges.
#[derive(Clone, Copy, Debug)]
pub(super) struct LeastSeen {
    /// Share of each side.
    side: f64,
    /// Share of all four together.
    mean: f64,
}

/// What must be seen where nothing but edges speaks for a candidate. A clamp or a hand hides a part of one side; a canvas on a
/// wall of its own tone shows less.
pub(super) const LEAST_SEEN: LeastSeen = LeastSeen { side: 0.55, mean: 0.75 };

/// What must be seen where the painting can be held against its reference: here and there paint has the wall's tone.
pub(super) const LEAST_OF_PAINTED: LeastSeen = LeastSeen { side: 0.3, mean: 0.6 };

impl LeastSeen {
    /// Whether sides seen by these shares will do.
    pub(super) fn allows(self, seen: &[f64; 4]) -> bool {
        seen.iter().all(|side| *side >= self.side) && seen.iter().sum::<f64>() / 4.0 >= self.mean
    }
}

/// Share of a side at each corner that is not looked at: corners are round.
const CORNER: f64 = 0.03;

/// How far beyond a corner an edge is followed, in terms of the side: the canvas's edges end at its corners, those of
/// shelves, frames and ruled lines need not.
const BEYOND: f64 = 0.12;

/// A candidate.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    /// Corners from the top left clockwise, pixels of the small picture.
    pub(super) corners: [[f64; 2]; 4],
    /// Numbers of the tracks: top, right, bottom, left.
    pub(super) sides: [usize; 4],
    /// Whether its edges are seen well enough to speak for themselves.
    pub(super) clear: bool,
    /// How much it looks like the reference, 0 to 1; 0 before it was held against one.
    pub(super) alike: f64,
    /// 0 to about 1.
    pub(super) score: f64,
    /// Share of the photo.
    pub(super) area: f64,
}

/// All long edges, level ones and plumb ones.
pub(super) struct Tracks {
    pub(super) level: Vec<Track>,
    pub(super) plumb: Vec<Track>,
}

impl Tracks {
    pub(super) fn of(picture: &EdgePicture) -> Self {
        let (level, plumb) = rayon::join(|| tracks(picture, Run::Level), || tracks(picture, Run::Plumb));
        Self { level, plumb }
    }

    /// A point of a candidate's inside, by shares across and down: between the four curves (Coons, 1967), so that what the
    /// lens does to the edges it does to the inside in proportion.
    pub(super) fn inside(&self, candidate: &Candidate, across: f64, down: f64) -> [f64; 2] {
        let [top_left, top_right, bottom_right, bottom_left] = candidate.corners;
        let shares = projective_shares(candidate.corners, across, down);
        let (s, t) = (shares[0], shares[1]);
        let [top, right, bottom, left] = candidate.sides;
        let mix = |a: f64, b: f64, share: f64| a + (b - a) * share;
        let (x_top, x_bottom) = (mix(top_left[0], top_right[0], s), mix(bottom_left[0], bottom_right[0], s));
        let (y_left, y_right) = (mix(top_left[1], bottom_left[1], t), mix(top_right[1], bottom_right[1], t));
        let straight = |axis: usize| {
            mix(mix(top_left[axis], top_right[axis], s), mix(bottom_left[axis], bottom_right[axis], s), t)
        };
        let bend_y = mix(
            self.level[top].across(x_top) - mix(top_left[1], top_right[1], s),
            self.level[bottom].across(x_bottom) - mix(bottom_left[1], bottom_right[1], s),
            t,
        );
        let bend_x = mix(
            self.plumb[left].across(y_left) - mix(top_left[0], bottom_left[0], t),
            self.plumb[right].across(y_right) - mix(top_right[0], bottom_right[0], t),
            s,
        );
        [straight(0) + bend_x, straight(1) + bend_y]
    }

    /// The candidates worth looking at, best first. `shape` is width by height of the canvas, if only such are wanted, `focal` the
    /// focal length in pixels of the small picture.
    pub(super) fn candidates(
        &self,
        picture: &EdgePicture,
        shape: Option<f64>,
        focal: f64,
        least: LeastSeen,
    ) -> Vec<Candidate> {
        let (width, height) = (picture.width as f64, picture.height as f64);
        let crossings: Vec<Vec<Option<[f64; 2]>>> = self
            .level
            .iter()
            .map(|level| {
                self.plumb
                    .iter()
                    .map(|plumb| {
                        let margin = 0.01 * width.hypot(height);
                        Track::crossing(level, plumb).filter(|[x, y]| {
                            *x > -margin && *y > -margin && *x < width + margin && *y < height + margin
                        })
                    })
                    .collect()
            })
            .collect();
        let mut found = Vec::new();
        for top in 0..self.level.len() {
            for bottom in 0..self.level.len() {
                for left in 0..self.plumb.len() {
                    let (Some(a), Some(d)) = (crossings[top][left], crossings[bottom][left]) else {
                        continue;
                    };
                    if d[1] - a[1] < 0.2 * height {
                        continue;
                    }
                    let left_seen = self.plumb[left].seen_on(a[1], d[1]);
                    if left_seen < least.side {
                        continue;
                    }
                    for right in 0..self.plumb.len() {
                        let (Some(b), Some(c)) = (crossings[top][right], crossings[bottom][right]) else {
                            continue;
                        };
                        let corners = [a, b, c, d];
                        if b[0] - a[0] < 0.2 * width || c[1] - b[1] < 0.2 * height {
                            continue;
                        }
                        let sides = [top, right, bottom, left];
                        if let Some(candidate) =
                            self.judged(corners, sides, [width, height], shape, focal, least)
                        {
                            found.push(candidate);
                        }
                    }
                }
            }
        }
        found.sort_by(|a: &Candidate, b| b.score.total_cmp(&a.score));
        found
    }

    fn judged(
        &self,
        corners: [[f64; 2]; 4],
        sides: [usize; 4],
        photo: [f64; 2],
        shape: Option<f64>,
        focal: f64,
        least: LeastSeen,
    ) -> Option<Candidate> {
        let [a, b, c, d] = corners;
        let [top, right, bottom, left] = sides;
        let runs = [
            (&self.level[top], a[0], b[0]),
            (&self.plumb[right], b[1], c[1]),
            (&self.level[bottom], d[0], c[0]),
            (&self.plumb[left], a[1], d[1]),
        ];
        let seen = runs.map(|(track, from, to)| track.seen_on(from, to));
        if !least.allows(&seen) {
            return None;
        }
        let worst = seen.into_iter().fold(1.0, f64::min);
        let mean = seen.iter().sum::<f64>() / 4.0;
        let area = shoelace(corners) / (photo[0] * photo[1]);
        if area < LEAST_AREA {
            return None;
        }
        let agreement = agreement(centred(corners, photo, focal), shape)?;
        if agreement < 0.02 {
            return None;
        }
        let beyond = runs
            .map(|(track, from, to)| {
                let (skip, reach) = (0.025 * (to - from), BEYOND * (to - from));
                track
                    .seen_between(from - reach, from - skip)
                    .midpoint(track.seen_between(to + skip, to + reach))
            })
            .iter()
            .sum::<f64>()
            / 4.0;
        // A canvas's edge is straight to a tenth of a millimetre, the edge of a painted part is not.
        let ragged = runs.map(|(track, from, to)| track.astray_between(from, to)).iter().sum::<f64>() / 4.0;
        let score = (0.6 * mean + 0.4 * worst) * (0.4 + 0.6 * agreement)
            - 0.6 * beyond
            - 0.12 * (ragged - 0.25).max(0.0)
            + 0.08 * area.sqrt();
        Some(Candidate { corners, sides, clear: LEAST_SEEN.allows(&seen), alike: 0.0, score, area })
    }
}

impl Track {
    /// Share of a side seen as an edge, its corners left out.
    pub(super) fn seen_on(&self, from: f64, to: f64) -> f64 {
        let skip = CORNER * (to - from);
        self.seen_between(from + skip, to - skip)
    }
}

pub(super) fn shoelace(corners: [[f64; 2]; 4]) -> f64 {
    (0..4)
        .map(|at| {
            let ([x, y], [u, v]) = (corners[at], corners[(at + 1) % 4]);
            x * v - u * y
        })
        .sum::<f64>()
        / 2.0
}

/// The projective map of the unit square to the corners; `None` when they are no convex quadrilateral.
fn map(corners: [[f64; 2]; 4]) -> Option<Matrix3<f64>> {
    let mut sums = SMatrix::<f64, 8, 8>::zeros();
    let mut right = SVector::<f64, 8>::zeros();
    for (at, ([u, v], [x, y])) in
        [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]].into_iter().zip(corners).enumerate()
    {
        sums.set_row(2 * at, &[u, v, 1.0, 0.0, 0.0, 0.0, -u * x, -v * x].into());
        sums.set_row(2 * at + 1, &[0.0, 0.0, 0.0, u, v, 1.0, -u * y, -v * y].into());
        (right[2 * at], right[2 * at + 1]) = (x, y);
    }
    let h = sums.lu().solve(&right)?;
    let map = Matrix3::new(h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], 1.0);
    let before = |u: f64, v: f64| h[6] * u + h[7] * v + 1.0 > 0.05;
    (before(0.0, 0.0) && before(1.0, 0.0) && before(1.0, 1.0) && before(0.0, 1.0)).then_some(map)
}

/// The shares by which the straight sides of the corners' quadrilateral are to be divided so that a point lies at these
/// shares of the canvas: perspective puts the middle nearer the far side.
fn projective_shares(corners: [[f64; 2]; 4], across: f64, down: f64) -> [f64; 2] {
    let Some(map) = map(corners) else { return [across, down] };
    let seen = map * Vector3::new(across, down, 1.0);
    let target = [seen[0] / seen[2], seen[1] / seen[2]];
    // Inverse of the bilinear map by Newton's steps; quadrilaterals seen under 35 degrees are gentle.
    let [a, b, c, d] = corners;
    let (mut s, mut t) = (across, down);
    for _ in 0..8 {
        let at = |axis: usize| {
            (1.0 - t) * ((1.0 - s) * a[axis] + s * b[axis]) + t * ((1.0 - s) * d[axis] + s * c[axis])
                - target[axis]
        };
        let by_s = |axis: usize| (1.0 - t) * (b[axis] - a[axis]) + t * (c[axis] - d[axis]);
        let by_t = |axis: usize| (1.0 - s) * (d[axis] - a[axis]) + s * (c[axis] - b[axis]);
        let det = by_s(0) * by_t(1) - by_t(0) * by_s(1);
        if det.abs() < 1e-9 {
            break;
        }
        let (ex, ey) = (at(0), at(1));
        s -= (ex * by_t(1) - by_t(0) * ey) / det;
        t -= (by_s(0) * ey - by_s(1) * ex) / det;
    }
    [s, t]
}

/// Corners in focal lengths from the photo's middle.
pub(super) fn centred(corners: [[f64; 2]; 4], photo: [f64; 2], focal: f64) -> [[f64; 2]; 4] {
    corners.map(|[x, y]| [(x - photo[0] / 2.0) / focal, (y - photo[1] / 2.0) / focal])
}

/// Width by height of the parallelogram that is seen with these corners, in focal lengths from the photo's middle, and the cosine of
/// the angle between its sides (Zhang, "A flexible new technique for camera calibration", IEEE PAMI 22, 2000, equations 3 and 4).
pub(super) fn shape_seen(corners: [[f64; 2]; 4]) -> Option<(f64, f64)> {
    let map = map(corners)?;
    let (first, second) = (map.column(0), map.column(1));
    let (long, wide) = (first.norm(), second.norm());
    (long > 1e-9 && wide > 1e-9).then(|| (long / wide, first.dot(&second) / (long * wide)))
}

/// How well the corners, in focal lengths from the photo's middle, agree with a rectangle, of this shape if one is given: 1 fully,
/// towards 0 not at all. Its sides must come out square to each other, and as long as they are.
pub(super) fn agreement(corners: [[f64; 2]; 4], shape: Option<f64>) -> Option<f64> {
    let (seen, square) = shape_seen(corners)?;
    let equal = shape.map_or(0.0, |shape| (seen / shape).ln());
    // The lens's bend and its unknown middle blur both by a few hundredths.
    Some((-0.5 * ((square / 0.05).powi(2) + (equal / 0.05).powi(2))).exp())
}
