//! Votes of edge points for straight lines (Hough; Duda and Hart, Comm. ACM 15, 1972).

#![expect(clippy::cast_possible_wrap, reason = "the small picture has far fewer than 2^31 pixels a side")]

use super::edges::EdgePoint;
use super::tracks::Run;

/// Degrees between two directions of the vote, and pixels between two offsets.
const DIRECTION_STEP: f64 = 0.5;
const OFFSET_STEP: f64 = 2.0;

/// Directions tried, degrees either way of level (or plumb).
const MOST_SLANT: f64 = 35.0;

/// How far a point's vote reaches about its own direction, in steps.
const VOTE_REACH: i32 = 4;

/// A change that counts fully; stronger ones do not count for more, so that a black frame does not outvote a canvas.
pub(super) const FULL_STRENGTH: f32 = 0.06;

/// The points of edges that run this way, as if they ran level: x along, y across.
pub(super) fn along_run(points: &[EdgePoint], run: Run) -> Vec<EdgePoint> {
    points
        .iter()
        .map(|point| match run {
            Run::Level => *point,
            Run::Plumb => {
                EdgePoint { x: point.y, y: point.x, across: [point.across[1], point.across[0]], ..*point }
            }
        })
        .filter(|point| point.across[1].abs() > MOST_SLANT.to_radians().cos() as f32)
        .collect()
}

/// How much speaks for each straight line.
pub(super) struct Votes {
    length: f64,
    /// How far from the picture a line's offset at the middle of the length can lie.
    reach: f64,
    directions: usize,
    offsets: usize,
    /// Votes for each direction and offset.
    cells: Vec<f32>,
}

impl Votes {
    /// The votes of points of edges that run along the picture's `length`.
    pub(super) fn of(points: &[EdgePoint], length: usize, breadth: usize) -> Self {
        let length = length as f64;
        let directions = (2.0 * MOST_SLANT / DIRECTION_STEP) as usize + 1;
        // An offset is measured at the middle of the length: the line is y = offset + slope (x - middle).
        let reach = length / 2.0 * MOST_SLANT.to_radians().tan();
        let offsets = ((breadth as f64 + 2.0 * reach) / OFFSET_STEP) as usize + 2;
        let slopes: Vec<f64> = (0..directions).map(|direction| angle(direction).tan()).collect();
        let mut votes = vec![0.0f32; directions * offsets];
        for point in points {
            // The direction of an edge is square to that of the change.
            let own = (f64::from(-point.across[0])).atan2(f64::from(point.across[1])).to_degrees();
            let own = if own > 90.0 {
                own - 180.0
            } else if own < -90.0 {
                own + 180.0
            } else {
                own
            };
            let nearest = ((own + MOST_SLANT) / DIRECTION_STEP).round() as i32;
            let weight = (point.strength / FULL_STRENGTH).min(1.0);
            for direction in nearest - VOTE_REACH..=nearest + VOTE_REACH {
                if (0..directions as i32).contains(&direction) {
                    let direction = direction as usize;
                    let offset = f64::from(point.y) - slopes[direction] * (f64::from(point.x) - length / 2.0);
                    let place = ((offset + reach) / OFFSET_STEP - 0.5).max(0.0);
                    let (at, share) = (place as usize, place.fract() as f32);
                    if at + 1 < offsets {
                        votes[direction * offsets + at] += weight * (1.0 - share);
                        votes[direction * offsets + at + 1] += weight * share;
                    }
                }
            }
        }
        Self { length, reach, directions, offsets, cells: votes }
    }

    /// How much the votes agree: the sum of their fourth powers, of which a long edge that falls into one place has nearly
    /// all, and has an eighth as much when it is spread over two. Neighbours are counted in, so that it matters little whether a
    /// line falls into one place or between two.
    pub(super) fn agreement(&self) -> f64 {
        self.together(0.5).iter().map(|votes| f64::from(*votes).powi(4)).sum()
    }

    /// The votes, those of the two neighbouring offsets counted in by a share.
    fn together(&self, share: f32) -> Vec<f32> {
        let last = self.cells.len() - 1;
        (0..=last)
            .map(|at| {
                let (low, high) = (at.saturating_sub(1), (at + 1).min(last));
                self.cells[at] + share * (self.cells[low] + self.cells[high])
            })
            .collect()
    }

    /// Slopes and offsets (at the middle of the length) of straight lines with many votes, the most voted for first.
    pub(super) fn peaks(&self, most: usize) -> Vec<(f64, f64)> {
        let (directions, offsets) = (self.directions, self.offsets);
        // What is left of a lens's bend bends long edges.
        let together = self.together(0.3);
        let value = |direction: i32, offset: i32| {
            if (0..directions as i32).contains(&direction) && (0..offsets as i32).contains(&offset) {
                together[direction as usize * offsets + offset as usize]
            } else {
                0.0
            }
        };
        let least = 0.05 * self.length as f32;
        let mut peaks: Vec<(f32, usize, usize)> = Vec::new();
        for direction in 0..directions {
            for offset in 0..offsets {
                let here = together[direction * offsets + offset];
                if here < least {
                    continue;
                }
                let highest = (-2..=2).all(|d| {
                    (-2..=2).all(|o| {
                        let other = value(direction as i32 + d, offset as i32 + o);
                        here > other || ((d, o) <= (0, 0) && here >= other)
                    })
                });
                if highest {
                    peaks.push((here, direction, offset));
                }
            }
        }
        peaks.sort_by(|a, b| b.0.total_cmp(&a.0));
        peaks.truncate(most);
        peaks
            .into_iter()
            .map(|(_, direction, offset)| {
                (angle(direction).tan(), (offset as f64 + 0.5) * OFFSET_STEP - self.reach)
            })
            .collect()
    }
}

fn angle(direction: usize) -> f64 {
    (direction as f64 * DIRECTION_STEP - MOST_SLANT).to_radians()
}
