//! Long edges: found by votes, then followed as slightly bent curves.

use super::edges::{EdgePicture, EdgePoint};
use super::reduced::Tone;
use super::votes::{FULL_STRENGTH, Votes, along_run};

/// The most long edges of each direction that are looked at.
const MOST_TRACKS: usize = 26;

/// The least step of the light's logarithm between the two sides of an edge of the canvas: 3 %. A drawn line has none.
const LEAST_STEP: f32 = 0.03;

/// The least step in terms of all that happens within four pixels of the edge: a drawn line changes much and leads nowhere.
const STEP_OF_RANGE: f32 = 0.35;

/// The most that an edge is bent where it leaves the picture, in terms of half the picture's length, once the lens's bend is
/// taken out as far as the votes show it.
const MOST_BOW: f64 = 0.03;

/// Which way a long edge runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Run {
    /// From left to right: y is a function of x.
    Level,
    /// From top to bottom: x is a function of y.
    Plumb,
}

/// A long edge.
#[derive(Clone, Debug)]
pub(super) struct Track {
    pub(super) run: Run,
    middle: f64,
    /// The curve: place across = c0 + c1 u + c2 u², u being the place along from the picture's middle.
    curve: [f64; 3],
    /// How many of the places along, up to each, lie on an edge.
    seen: Vec<u32>,
    /// Sum of squares of the edge's distance from the curve, up to each place along.
    astray: Vec<f32>,
}

impl Track {
    /// The place across at a place along, pixels of the small picture.
    pub(super) fn across(&self, along: f64) -> f64 {
        let u = along - self.middle;
        self.curve[0] + u * (self.curve[1] + u * self.curve[2])
    }

    /// Share of the places between two places along at which there is an edge; places out of the picture have none.
    pub(super) fn seen_between(&self, from: f64, to: f64) -> f64 {
        let (low, high) = self.range(from, to);
        if to - from < 1.0 { 0.0 } else { f64::from(self.seen[high] - self.seen[low]) / (to - from) }
    }

    /// Root mean square distance of the edge from the curve between two places, pixels.
    pub(super) fn astray_between(&self, from: f64, to: f64) -> f64 {
        let (low, high) = self.range(from, to);
        let seen = f64::from(self.seen[high] - self.seen[low]);
        if seen < 1.0 {
            0.0
        } else {
            (f64::from(self.astray[high] - self.astray[low]).max(0.0) / seen).sqrt()
        }
    }

    fn range(&self, from: f64, to: f64) -> (usize, usize) {
        let last = self.seen.len() - 1;
        let low = (from.max(0.0) as usize).min(last);
        (low, (to.max(0.0) as usize).clamp(low, last))
    }

    /// True for a place along the picture.
    pub(super) fn holds(&self, along: f64) -> bool {
        along >= 0.0 && along < (self.seen.len() - 1) as f64
    }

    /// The straight track through two points, each given by its places along and across, whether or not an edge is seen there.
    pub(super) fn through([[a, y], [b, z]]: [[f64; 2]; 2], run: Run, picture: &EdgePicture) -> Self {
        let (length, breadth) = extent(picture, run);
        let middle = length as f64 / 2.0;
        let slope = (z - y) / (b - a);
        let curve = [y + slope * (middle - a), slope, 0.0];
        let mut track = Self { run, middle, curve, seen: Vec::new(), astray: Vec::new() };
        measure(&mut track, picture, length, breadth);
        track
    }

    /// Where a level track and a plumb one cross.
    pub(super) fn crossing(level: &Self, plumb: &Self) -> Option<[f64; 2]> {
        let (mut x, mut y) = (plumb.middle, level.middle);
        for _ in 0..12 {
            y = level.across(x);
            x = plumb.across(y);
        }
        (x.is_finite() && y.is_finite()).then_some([x, y])
    }
}

/// The long edges that run one way, the best seen first.
pub(super) fn tracks(picture: &EdgePicture, run: Run) -> Vec<Track> {
    let (length, breadth) = extent(picture, run);
    let points = along_run(&picture.points, run);
    let mut found: Vec<Track> = Vec::new();
    for (slope, offset) in Votes::of(&points, length, breadth).peaks(4 * MOST_TRACKS) {
        let middle = length as f64 / 2.0;
        let Some(curve) = followed(&points, middle, [offset, slope, 0.0]) else { continue };
        let mut track = Track { run, middle, curve, seen: Vec::new(), astray: Vec::new() };
        let same = |other: &Track| {
            [0.2, 0.5, 0.8].iter().all(|share| {
                let along = share * length as f64;
                (other.across(along) - track.across(along)).abs() < 2.5
            })
        };
        if found.iter().any(same) {
            continue;
        }
        measure(&mut track, picture, length, breadth);
        if track.seen_between(0.0, length as f64) > 0.12 {
            found.push(track);
        }
        if found.len() == MOST_TRACKS {
            break;
        }
    }
    found
}

/// The picture's length along the run, and its breadth across.
const fn extent(picture: &EdgePicture, run: Run) -> (usize, usize) {
    match run {
        Run::Level => (picture.width, picture.height),
        Run::Plumb => (picture.height, picture.width),
    }
}

/// The curve that the points about a straight line follow; `None` when too few do.
fn followed(points: &[EdgePoint], middle: f64, mut curve: [f64; 3]) -> Option<[f64; 3]> {
    for (window, bend) in [(6.0, false), (5.0, true), (3.5, true), (2.5, true)] {
        // Normal equations of the fit in u / middle, so that they stay well conditioned.
        let mut sums = nalgebra::Matrix3::<f64>::zeros();
        let mut right = nalgebra::Vector3::<f64>::zeros();
        let slope_bound = 0.14;
        let mut count = 0;
        for point in points {
            let u = f64::from(point.x) - middle;
            let off = f64::from(point.y) - (curve[0] + u * (curve[1] + u * curve[2]));
            if off.abs() > window {
                continue;
            }
            let slope = curve[1] + 2.0 * u * curve[2];
            let own = -f64::from(point.across[0]) / f64::from(point.across[1]);
            if (own - slope).abs() > slope_bound {
                continue;
            }
            let s = u / middle;
            let terms = nalgebra::Vector3::new(1.0, s, if bend { s * s } else { 0.0 });
            let weight =
                f64::from((point.strength / FULL_STRENGTH).min(1.0)) * (1.0 - (off / window).powi(2)).powi(2);
            sums += weight * terms * terms.transpose();
            right += weight * terms * off;
            count += 1;
        }
        if count < 30 {
            return None;
        }
        // What is left of a lens's bend is a few thousandths of the length: a gentle pull towards straight.
        sums[(2, 2)] += if bend { 1e-3 * sums[(0, 0)] } else { 1.0 };
        let step = sums.lu().solve(&right)?;
        curve[0] += step[0];
        curve[1] += step[1] / middle;
        curve[2] += step[2] / (middle * middle);
    }
    let bow = curve[2] * middle * middle;
    (bow.abs() < MOST_BOW * middle).then_some(curve)
}

/// How far apart two tones are.
fn apart(one: &Tone, other: &Tone) -> f32 {
    one.iter().zip(other).map(|(a, b)| (a - b) * (a - b)).sum::<f32>().sqrt()
}

/// Where along the track there is an edge, and how far from the curve.
fn measure(track: &mut Track, picture: &EdgePicture, length: usize, breadth: usize) {
    let light = |along: f64, across: f64| match track.run {
        Run::Level => picture.at(along, across),
        Run::Plumb => picture.at(across, along),
    };
    let (mut seen, mut astray) = (vec![0], vec![0.0]);
    for place in 0..length {
        let along = place as f64 + 0.5;
        let across = track.across(along);
        let mut here = None;
        if across > 1.0 && across < breadth as f64 - 1.0 {
            let profile: [Tone; 21] = std::array::from_fn(|at| light(along, across + at as f64 - 10.0));
            let change: [f32; 7] = std::array::from_fn(|at| apart(&profile[at + 8], &profile[at + 6]) / 2.0);
            let steepest = (0..7).max_by(|&a, &b| change[a].total_cmp(&change[b])).unwrap_or(3);
            let at = steepest + 7;
            let mean = |from: usize| -> Tone {
                std::array::from_fn(|part| {
                    profile[from..from + 3].iter().map(|tone| tone[part]).sum::<f32>() / 3.0
                })
            };
            let step = apart(&mean(at + 4), &mean(at - 6));
            let near = &profile[at - 4..=at + 4];
            let (mut low, mut high) = (near[0], near[0]);
            for tone in near {
                for part in 0..tone.len() {
                    (low[part], high[part]) = (low[part].min(tone[part]), high[part].max(tone[part]));
                }
            }
            let range = apart(&high, &low);
            let inner = (1..6).contains(&steepest);
            if inner && step > LEAST_STEP && step > STEP_OF_RANGE * range && change[steepest] > 0.008 {
                let [left, peak, right] = [steepest - 1, steepest, steepest + 1].map(|at| change[at]);
                let bent = left - 2.0 * peak + right;
                let part = if bent < 0.0 { 0.5 * (left - right) / bent } else { 0.0 };
                here = Some(steepest as f32 - 3.0 + part.clamp(-0.5, 0.5));
            }
        }
        seen.push(seen[place] + u32::from(here.is_some()));
        astray.push(astray[place] + here.map_or(0.0, |off| off * off));
    }
    track.seen = seen;
    track.astray = astray;
}
