//! Seams along one direction: how few windows hold a stretch, and where their seams lie best.
//!
//! Upright and level seams do not touch each other's choice, so each direction is solved by itself, exactly: the
//! largest clearance from the given points is found by bisection, each trial by passing forward the set of places
//! that the first, second, … seam can have.

use crate::length::Length;

/// A closed stretch of places, in mm.
type Stretch = (f64, f64);

/// Slack in mm that rounding may use up: far below anything on paper.
const ROUNDING: f64 = 1e-7;

/// The most windows spent beyond the fewest to keep something whole: one on each side of it always do where any do.
const MOST_SPENT: usize = 2;

/// How far beside what is kept whole a seam may lie at the nearest, in mm: a blade's breadth.
const BESIDE: f64 = 1.0;

/// Halvings of the clearance sought: from the longest canvas down to a thousandth of a micrometre.
const BISECTIONS: usize = 44;

/// One direction of a region to be cut.
#[derive(Clone, Debug)]
pub(super) struct Axis {
    start: f64,
    end: f64,
    limit: Stretch,
    window: f64,
    lap: f64,
    /// Stretches in which no seam may lie, their ends among them.
    whole: Vec<Stretch>,
}

/// One direction, cut.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Cut {
    /// Where the seams run.
    pub(super) seams: Vec<Length>,
    /// From where to where each window reaches.
    pub(super) windows: Vec<(Length, Length)>,
    /// The least distance of a seam from a point; infinite without seams or points.
    pub(super) clearance: f64,
}

/// The fewest windows that hold the stretch, each sharing the lap with the next.
pub(super) fn fewest_windows(axis: &Axis) -> usize {
    let extent = axis.end - axis.start;
    if extent <= axis.window + ROUNDING {
        return 1;
    }
    (((extent - axis.lap - ROUNDING) / (axis.window - axis.lap)).ceil() as usize).max(2)
}

impl Axis {
    pub(super) fn new(
        region: (Length, Length),
        limit: (Length, Length),
        window: Length,
        lap: Length,
    ) -> Self {
        let (start, end) = (region.0.to_mm(), region.1.to_mm());
        let limit = (limit.0.to_mm().min(start), limit.1.to_mm().max(end));
        Self { start, end, limit, window: window.to_mm(), lap: lap.to_mm(), whole: Vec::new() }
    }

    /// Whether one window can hold so much.
    pub(super) fn holds(&self, extent: Length) -> bool {
        extent.to_mm() <= self.window
    }

    /// The same direction with no seam from `from` to `to` either.
    pub(super) fn keeping_whole(&self, from: Length, to: Length) -> Self {
        let whole = self.whole.iter().copied().chain([(from.to_mm(), to.to_mm())]).collect();
        Self { whole, ..self.clone() }
    }

    /// Whether [`Axis::cut`] finds a way.
    pub(super) fn can_be_cut(&self) -> bool {
        self.fewest_seams(&[]).is_some()
    }

    /// Cuts the stretch into the fewest windows with the seams as far as possible from `points`; `None` where even two
    /// windows more than the stretch needs do not keep whole what has to be.
    pub(super) fn cut(&self, points: &[Length]) -> Option<Cut> {
        let points: Vec<f64> = points.iter().map(|point| point.to_mm()).collect();
        let (seam_count, mut reachable) = self.fewest_seams(&points)?;
        let (mut low, mut high) = (0.0, self.end - self.start);
        if seam_count > 0 && !points.is_empty() {
            for _ in 0..BISECTIONS {
                let middle = f64::midpoint(low, high);
                match self.reachable(seam_count, &points, middle) {
                    Some(places) => (low, reachable) = (middle, places),
                    None => high = middle,
                }
            }
        }
        let seams = self.most_even(&reachable);
        let clearance = seams
            .iter()
            .flat_map(|seam| points.iter().map(move |point| (point - seam).abs()))
            .fold(f64::INFINITY, f64::min);
        Some(Cut {
            windows: self.windows(&seams),
            seams: seams.into_iter().map(Length::mm).collect(),
            clearance,
        })
    }

    /// Cuts the stretch at given places, which are put in order; `None` where a window would not hold its part, or would
    /// be all lap.
    pub(super) fn cut_at(&self, seams: &[Length]) -> Option<Cut> {
        let mut seams: Vec<f64> = seams.iter().map(|seam| seam.to_mm()).collect();
        seams.sort_by(f64::total_cmp);
        let holds = (0..seams.len()).all(|at| {
            let (from, to) = self.room_of_seam(&seams, at);
            // Places found by the way forward may have used up the slack of every seam before them.
            let slack = ROUNDING * (seams.len() + 3) as f64;
            (from - slack..=to + slack).contains(&seams[at])
        });
        let one_holds_all = !seams.is_empty() || self.end - self.start <= self.window + ROUNDING;
        (holds && one_holds_all).then(|| Cut {
            windows: self.windows(&seams),
            seams: seams.iter().copied().map(Length::mm).collect(),
            clearance: f64::INFINITY,
        })
    }

    /// Between which places the seam `at` can lie while its neighbours stay where they are.
    pub(super) fn room_of_seam(&self, seams: &[f64], at: usize) -> Stretch {
        let half = self.lap / 2.0;
        let (before, shortest_before, longest_before) = match at.checked_sub(1) {
            Some(before) => (seams[before], self.lap, self.window - self.lap),
            None => (self.start, half, self.window - half),
        };
        let (after, shortest_after, longest_after) = match seams.get(at + 1) {
            Some(after) => (*after, self.lap, self.window - self.lap),
            None => (self.end, half, self.window - half),
        };
        let from = (before + shortest_before).max(after - longest_after);
        let to = (before + longest_before).min(after - shortest_after);
        (from, to)
    }

    /// The fewest seams that do, and the places they can have.
    fn fewest_seams(&self, points: &[f64]) -> Option<(usize, Vec<Vec<Stretch>>)> {
        let fewest = fewest_windows(self) - 1;
        (fewest..=fewest + MOST_SPENT).find_map(|count| Some((count, self.reachable(count, points, 0.0)?)))
    }

    /// For each seam in turn, the places it can have so that all seams before it are at least `clearance` from every
    /// point; `None` when the last seam cannot reach the end.
    fn reachable(&self, seam_count: usize, points: &[f64], clearance: f64) -> Option<Vec<Vec<Stretch>>> {
        let half = self.lap / 2.0;
        let within = (self.start + half, self.end - half);
        let mut all = Vec::with_capacity(seam_count);
        let mut places = vec![(self.start, self.start)];
        for at in 0..seam_count {
            // The first window begins at the start itself, not half a lap before a seam.
            let longest = if at == 0 { self.window - half } else { self.window - self.lap };
            let shortest = if at == 0 { half } else { self.lap };
            let least =
                if at + 1 == seam_count { (self.end + half - self.window).max(within.0) } else { within.0 };
            let spread = places
                .iter()
                .map(|&(from, to)| {
                    ((from + shortest).max(least - ROUNDING), (to + longest + ROUNDING).min(within.1))
                })
                .filter(|(from, to)| from <= to);
            places = without_points(&merged(spread.collect()), points, clearance);
            for (from, to) in &self.whole {
                places = outside(&places, from - BESIDE, to + BESIDE);
            }
            if places.is_empty() {
                return None;
            }
            all.push(places.clone());
        }
        Some(all)
    }

    /// From the reachable places, last seam first, the ones nearest to an even division.
    fn most_even(&self, reachable: &[Vec<Stretch>]) -> Vec<f64> {
        let count = reachable.len();
        let step = (self.end - self.start) / (count as f64 + 1.0);
        let mut seams = vec![0.0; count];
        let mut allowed = (f64::NEG_INFINITY, f64::INFINITY);
        for at in (0..count).rev() {
            let ideal = self.start + step * (at as f64 + 1.0);
            let nearest = reachable[at]
                .iter()
                .map(|&(from, to)| (from.max(allowed.0), to.min(allowed.1)))
                .filter(|(from, to)| from <= to)
                .map(|(from, to)| ideal.clamp(from, to))
                .min_by(|a, b| (a - ideal).abs().total_cmp(&(b - ideal).abs()));
            seams[at] = nearest.unwrap_or(ideal);
            // Twice the slack of the way forward, so that a place reached to the last digit is found again.
            let slack = 2.0 * ROUNDING;
            allowed = (seams[at] - (self.window - self.lap) - slack, seams[at] - self.lap + slack);
        }
        seams
    }

    /// From where to where each window reaches: half a lap beyond its seams, and at the rim as far as the paper goes.
    fn windows(&self, seams: &[f64]) -> Vec<(Length, Length)> {
        let half = self.lap / 2.0;
        let from = std::iter::once(self.start).chain(seams.iter().map(|seam| seam - half));
        let to = seams.iter().map(|seam| seam + half).chain(std::iter::once(self.end));
        let mut windows: Vec<Stretch> = from.zip(to).collect();
        // A single window that is smaller than the paper grows on both ends alike, the others outwards.
        if let [only] = &mut windows[..] {
            let spare = (self.window - (only.1 - only.0)).max(0.0);
            let before = (spare / 2.0).max(spare - (self.limit.1 - only.1)).min(only.0 - self.limit.0);
            let after = (spare - before).min(self.limit.1 - only.1);
            *only = (only.0 - before, only.1 + after);
        } else {
            if let Some(first) = windows.first_mut() {
                first.0 = (first.1 - self.window).max(self.limit.0).min(first.0);
            }
            if let Some(last) = windows.last_mut() {
                last.1 = (last.0 + self.window).min(self.limit.1).max(last.1);
            }
        }
        windows.into_iter().map(|(from, to)| (Length::mm(from), Length::mm(to))).collect()
    }
}

/// Joins stretches that touch; the result is in order.
fn merged(mut stretches: Vec<Stretch>) -> Vec<Stretch> {
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut joined: Vec<Stretch> = Vec::with_capacity(stretches.len());
    for (from, to) in stretches {
        match joined.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}

/// What is left of `stretches` outside the open surroundings of every point.
fn without_points(stretches: &[Stretch], points: &[f64], clearance: f64) -> Vec<Stretch> {
    let mut left = stretches.to_vec();
    if clearance <= 0.0 {
        return left;
    }
    for point in points {
        let (from, to) = (point - clearance, point + clearance);
        left = outside(&left, from, to);
    }
    merged(left)
}

/// What is left of `stretches` outside the open stretch from `from` to `to`.
fn outside(stretches: &[Stretch], from: f64, to: f64) -> Vec<Stretch> {
    stretches
        .iter()
        .flat_map(|&(low, high)| [(low, high.min(from)), (low.max(to), high)])
        .filter(|(low, high)| low <= high)
        .collect()
}
