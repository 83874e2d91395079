//! The coarse search: which bend of the lens and which slack of the corners lay the canvas's outline on edges.

use nalgebra::Vector2;
use plan::{Quad, Side};
use rayon::prelude::*;

use super::{median, side_frame};
use crate::frame::ImagePoint;
use crate::luma::Luma;
use crate::outline::Standing;
use crate::pose::{CanvasMap, Lens, View};

/// Places along each edge at which it is looked for.
const STATIONS: usize = 72;

/// The share of an edge at either end that is left out.
const CORNER_SHARE: f64 = 0.04;

/// Largest k₁ tried either way: main cameras of telephones stay within ±0.1, and the estimate that follows can go beyond.
const LARGEST_K1: f64 = 0.1;

/// Steps of k₁ tried from one end to the other.
const K1_STEPS: i32 = 40;

/// Half the range of light looked at across an edge, in pixels of a 12-megapixel photo: the bend of the lens and the slack.
const RANGE: f64 = 80.0;

/// How far a person's corners may be off, in pixels of a 12-megapixel photo: a finger with a loupe.
const GIVEN_SLACK: f64 = 8.0;

/// How far found corners may be off: the search for them runs on a smaller picture.
const FOUND_SLACK: f64 = 16.0;

/// Corners are moved by up to this many times their slack.
const MOST_SLACKS: f64 = 2.5;

/// How much of the score, which is 1 at best, a corner moved by its slack costs.
const SLACK_COST: f64 = 0.03;

/// Bows of an edge beyond the lens's bend that are tried, in pixels of a 12-megapixel photo, and what each costs.
const BOWS: [(f64, f64); 3] = [(0.0, 0.0), (-6.0, 0.03), (6.0, 0.03)];

/// Stations of a piece of an edge: what lies behind the canvas may be darker along one piece and lighter along the next,
const PIECE: usize = 9;

/// but an edge that keeps its sign is the likelier one.
const PIECEWISE: f64 = 0.93;

/// The corners are moved in steps of this many pixels of a 12-megapixel photo.
const SLACK_STEP: f64 = 3.0;

/// The coarse map, and for each side the sign with which light changes to the right or downwards across it.
pub(super) struct Coarse {
    pub(super) map: CanvasMap,
    pub(super) signs: [f32; 4],
}

/// An edge's straight line between two corners, with the change of light around it.
struct Strip {
    from: Vector2<f64>,
    along: Vector2<f64>,
    across: Vector2<f64>,
    length: f64,
    /// For each station the change of light at each offset, from -1 to 1.
    changes: Vec<Vec<f32>>,
    reach: i32,
}

/// The best fit of one edge for one bend.
#[derive(Clone, Copy)]
struct Found {
    score: f64,
    sign: f32,
    /// How far its two ends lie off the corners, in pixels across.
    ends: [f64; 2],
}

pub(super) fn coarse_map(
    luma: &Luma,
    view: View,
    corners: [ImagePoint; 4],
    standing: Standing,
    canvas: &Quad,
    scale: f64,
) -> Option<Coarse> {
    let slack = scale * if standing == Standing::Given { GIVEN_SLACK } else { FOUND_SLACK };
    let strips: Vec<Strip> =
        Side::ALL.par_iter().map(|side| Strip::around(luma, corners, *side, scale)).collect();
    let bends: Vec<f64> =
        (0..=K1_STEPS).map(|step| LARGEST_K1 * (2.0 * f64::from(step) / f64::from(K1_STEPS) - 1.0)).collect();
    let tried: Vec<(f64, f64, Vec<Found>)> = bends
        .par_iter()
        .filter_map(|&k1| {
            let map = CanvasMap::through_corners(view, corners, canvas, Lens { k1, k2: 0.0 })?;
            let found: Vec<Found> = Side::ALL
                .iter()
                .zip(&strips)
                .map(|(side, strip)| strip.best(&strip.bow(&map, canvas, *side), slack, scale))
                .collect();
            Some((found.iter().map(|found| found.score).sum(), k1, found))
        })
        .collect();
    let (_, k1, found) = tried.into_iter().max_by(|a, b| a.0.total_cmp(&b.0))?;
    let moved = moved_corners(&strips, &found)?;
    let map = CanvasMap::through_corners(view, moved, canvas, Lens { k1, k2: 0.0 })?;
    let signs = [0, 1, 2, 3].map(|at| found[at].sign);
    Some(Coarse { map, signs })
}

/// The corners where the moved edges meet. The ends of the strips are in the order of [`Side::ALL`].
fn moved_corners(strips: &[Strip], found: &[Found]) -> Option<[ImagePoint; 4]> {
    let lines: Vec<(Vector2<f64>, Vector2<f64>)> = strips
        .iter()
        .zip(found)
        .map(|(strip, found)| {
            let from = strip.from + strip.across * found.ends[0];
            let to = strip.from + strip.along * strip.length + strip.across * found.ends[1];
            (from, to - from)
        })
        .collect();
    let meet = |a: usize, b: usize| {
        let ((p, d), (q, e)) = (lines[a], lines[b]);
        let turn = d.perp(&e);
        (turn.abs() > 1e-9).then(|| {
            let at = p + d * ((q - p).perp(&e) / turn);
            ImagePoint::new(at.x, at.y)
        })
    };
    Some([meet(3, 0)?, meet(0, 1)?, meet(1, 2)?, meet(2, 3)?])
}

/// The two corners that a side joins, in the order in which it is marked.
fn ends(side: Side) -> (usize, usize) {
    match side {
        Side::Top => (0, 1),
        Side::Right => (1, 2),
        Side::Bottom => (3, 2),
        Side::Left => (0, 3),
    }
}

fn share(station: usize) -> f64 {
    CORNER_SHARE + (1.0 - 2.0 * CORNER_SHARE) * station as f64 / (STATIONS - 1) as f64
}

impl Strip {
    fn around(luma: &Luma, corners: [ImagePoint; 4], side: Side, scale: f64) -> Self {
        let (from, to) = ends(side);
        let [from, to] = [corners[from], corners[to]].map(|corner| Vector2::new(corner.x, corner.y));
        let length = (to - from).norm().max(1.0);
        let along = (to - from) / length;
        let across =
            if side.is_level() { Vector2::new(-along.y, along.x) } else { Vector2::new(along.y, -along.x) };
        let reach = (RANGE * scale).ceil() as i32;
        let mut strip = Self { from, along, across, length, changes: Vec::new(), reach };
        let raw: Vec<Vec<f32>> =
            (0..STATIONS).map(|station| strip.slopes(luma, share(station), scale)).collect();
        let steepest = raw
            .iter()
            .map(|slopes| f64::from(slopes.iter().fold(0.0_f32, |most, slope| most.max(slope.abs()))));
        let usual = (median(steepest).unwrap_or(0.0) as f32 * 0.5).max(1e-4);
        strip.changes = raw
            .into_iter()
            .map(|slopes| slopes.into_iter().map(|slope| (slope / usual).clamp(-1.0, 1.0)).collect())
            .collect();
        strip
    }

    /// The change of the logarithm of light at whole pixels across, smoothed over a few.
    fn slopes(&self, luma: &Luma, share: f64, scale: f64) -> Vec<f32> {
        let blur = (2.0 * scale).max(1.0).round() as i32;
        let light: Vec<f32> = (-self.reach - 2 * blur..=self.reach + 2 * blur)
            .map(|off| {
                let middle = self.from + self.along * (share * self.length) + self.across * f64::from(off);
                let sum: f32 = (-3..=3)
                    .map(|aside| {
                        let place = middle + self.along * (f64::from(aside) * 2.5 * scale);
                        luma.at(place.x, place.y)
                    })
                    .sum();
                (sum / 7.0).max(2e-3).ln()
            })
            .collect();
        let blur = blur as usize;
        (0..=2 * self.reach as usize)
            .map(|at| {
                let middle = at + 2 * blur;
                let after: f32 = light[middle + 1..=middle + 2 * blur].iter().sum();
                let before: f32 = light[middle - 2 * blur..middle].iter().sum();
                (after - before) / (2 * blur) as f32
            })
            .collect()
    }

    /// How far the outline lies off the strip's straight line at each station, pixels.
    fn bow(&self, map: &CanvasMap, canvas: &Quad, side: Side) -> Vec<f64> {
        let (origin, along, _, length) = side_frame(canvas, side);
        // The stations are shares of the line in the photo, and perspective shifts them: looked up by interpolation.
        let points: Vec<(f64, f64)> = (0..=32)
            .map(|at| {
                let off = map.pixel(origin + along * (length * f64::from(at) / 32.0)) - self.from;
                (off.dot(&self.along) / self.length, off.dot(&self.across))
            })
            .collect();
        (0..STATIONS)
            .map(|station| {
                let share = share(station);
                let after = points.iter().position(|point| point.0 > share).unwrap_or(32).max(1);
                let (from, to) = (points[after - 1], points[after]);
                from.1 + (to.1 - from.1) * (share - from.0) / (to.0 - from.0)
            })
            .collect()
    }

    fn best(&self, bow: &[f64], slack: f64, scale: f64) -> Found {
        let steps = (MOST_SLACKS * slack / (SLACK_STEP * scale)).ceil() as i32;
        let mut best = Found { score: f64::NEG_INFINITY, sign: 1.0, ends: [0.0; 2] };
        for (more, bow_cost) in BOWS {
            for first in -steps..=steps {
                for second in -steps..=steps {
                    let ends = [first, second].map(|end| f64::from(end) * SLACK_STEP * scale);
                    let (sum, piecewise) = self.change_along(bow, ends, more * scale);
                    let off = (ends[0] * ends[0] + ends[1] * ends[1]) / (slack * slack);
                    let change = sum.abs().max(PIECEWISE * piecewise) / STATIONS as f64;
                    let score = change - SLACK_COST * off - bow_cost;
                    if score > best.score {
                        best = Found { score, sign: if sum < 0.0 { -1.0 } else { 1.0 }, ends };
                    }
                }
            }
        }
        best
    }

    /// The sum of changes along the bent line whose ends are moved by `ends` and whose middle by `more` besides; and the sum of
    /// its pieces' sums, each counted positive.
    fn change_along(&self, bow: &[f64], ends: [f64; 2], more: f64) -> (f64, f64) {
        let change = |station: usize| {
            let at = share(station);
            let off = bow[station] + ends[0] + (ends[1] - ends[0]) * at + more * 4.0 * at * (1.0 - at);
            let place = (off.round() as i32 + self.reach).max(0) as usize;
            self.changes[station].get(place).copied().map_or(0.0, f64::from)
        };
        let pieces = (0..STATIONS).step_by(PIECE);
        pieces.fold((0.0, 0.0), |(sum, piecewise), first| {
            let piece: f64 = (first..first + PIECE).map(change).sum();
            (sum + piece, piecewise + piece.abs())
        })
    }
}
