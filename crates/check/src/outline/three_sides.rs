//! Three long edges that end where the canvas's fourth side must lie: a bright wall in the canvas's own shadow has the
//! canvas's tone on that side, and shows no edge there.

use super::edges::EdgePicture;
use super::quads::{Candidate, LEAST_AREA, Tracks, agreement, centred, shoelace};
use super::tracks::{Run, Track};

/// The least share of each of the three sides that must be seen as an edge: three say less than four.
const LEAST_SEEN: f64 = 0.9;

/// How well the corners must agree with the canvas's shape at least, which the ends of the edges decide.
const LEAST_AGREEMENT: f64 = 0.3;

/// The stretch of an edge before and after its end that is looked at, in terms of the photo's shorter side; how much of it must
/// be seen before, and may be seen after.
const STRETCH: f64 = 0.06;
const BEFORE: f64 = 0.8;
const AFTER: f64 = 0.2;

/// The shortest side, in terms of the photo's shorter side.
const SHORTEST: f64 = 0.2;

impl Tracks {
    /// Candidates of three sides, best first; their fourth sides are added to the tracks.
    pub(super) fn three_sided(&mut self, picture: &EdgePicture, shape: f64, focal: f64) -> Vec<Candidate> {
        let mut found = Vec::new();
        for run in [Run::Level, Run::Plumb] {
            let (across, along) = match run {
                Run::Level => (self.level.clone(), self.plumb.clone()),
                Run::Plumb => (self.plumb.clone(), self.level.clone()),
            };
            for (near, only) in across.iter().enumerate() {
                for first in 0..along.len() {
                    for second in 0..along.len() {
                        for onwards in [1.0, -1.0] {
                            let pair = [(first, &along[first]), (second, &along[second])];
                            let three = Three { run, only: (near, only), pair, onwards };
                            found.extend(three.candidate(self, picture, shape, focal));
                        }
                    }
                }
            }
        }
        found.sort_by(|a: &Candidate, b| b.score.total_cmp(&a.score));
        found
    }
}

/// A side and the two that start from its ends.
struct Three<'a> {
    /// The run of the single side.
    run: Run,
    only: (usize, &'a Track),
    /// The other two, the one to the left (or at the top) first.
    pair: [(usize, &'a Track); 2],
    /// 1 when they lead to the right or downwards from the single side, else -1.
    onwards: f64,
}

impl Three<'_> {
    fn candidate(
        &self,
        tracks: &mut Tracks,
        picture: &EdgePicture,
        shape: f64,
        focal: f64,
    ) -> Option<Candidate> {
        let (width, height) = (picture.width as f64, picture.height as f64);
        let shorter = width.min(height);
        let level = self.run == Run::Level;
        // Places along the single side and along the pair.
        let (along, down) = if level { (0, 1) } else { (1, 0) };
        let mut starts = [[0.0; 2]; 2];
        for (start, (_, side)) in starts.iter_mut().zip(self.pair) {
            *start =
                if level { Track::crossing(self.only.1, side) } else { Track::crossing(side, self.only.1) }?;
        }
        let mut seen = vec![self.only.1.seen_on(starts[0][along], starts[1][along])];
        if starts[1][along] - starts[0][along] < SHORTEST * shorter || seen[0] < LEAST_SEEN {
            return None;
        }
        let mut ends = [[0.0; 2]; 2];
        for ((start, end), (_, side)) in starts.iter().zip(&mut ends).zip(self.pair) {
            let last = side.end_from(start[down], self.onwards, STRETCH * shorter)?;
            let share = side.seen_on(start[down].min(last), start[down].max(last));
            if (last - start[down]).abs() < SHORTEST * shorter || share < LEAST_SEEN {
                return None;
            }
            end[down] = last;
            end[along] = side.across(last);
            seen.push(share);
        }
        let (near, far) = if self.onwards > 0.0 { (starts, ends) } else { (ends, starts) };
        let corners =
            if level { [near[0], near[1], far[1], far[0]] } else { [near[0], far[0], far[1], near[1]] };
        let area = shoelace(corners) / (width * height);
        let agreement = agreement(centred(corners, [width, height], focal), Some(shape))?;
        if area < LEAST_AREA || agreement < LEAST_AGREEMENT {
            return None;
        }
        let fourth = Track::through(ends.map(|end| [end[along], end[down]]), self.run, picture);
        let list = if level { &mut tracks.level } else { &mut tracks.plumb };
        list.push(fourth);
        let added = list.len() - 1;
        let single = if self.onwards > 0.0 { [self.only.0, added] } else { [added, self.only.0] };
        let pair = self.pair.map(|side| side.0);
        let sides = if level {
            [single[0], pair[1], single[1], pair[0]]
        } else {
            [pair[0], single[1], pair[1], single[0]]
        };
        let score = seen.iter().sum::<f64>() / 4.0 * (0.4 + 0.6 * agreement) + 0.08 * area.sqrt();
        Some(Candidate { corners, sides, clear: true, alike: 0.0, score, area })
    }
}

impl Track {
    /// Where the edge ends when it is followed from a place on it, `onwards` being 1 or -1; `None` where it does not end.
    fn end_from(&self, start: f64, onwards: f64, stretch: f64) -> Option<f64> {
        let seen = |from: f64, to: f64| self.seen_between(from.min(to), from.max(to));
        let end = |at: f64| {
            let (before, after) = (seen(at - onwards * stretch, at), seen(at, at + onwards * stretch));
            (before >= BEFORE && after <= AFTER).then_some(before - after)
        };
        let mut best: Option<(f64, f64)> = None;
        for at in (1..).map(|step| start + onwards * f64::from(step)).take_while(|at| self.holds(*at)) {
            match (end(at), best) {
                (Some(clear), None) => best = Some((clear, at)),
                (Some(clear), Some(sofar)) if clear > sofar.0 => best = Some((clear, at)),
                (None, Some(_)) => break,
                _ => {}
            }
        }
        best.map(|best| best.1)
    }
}
