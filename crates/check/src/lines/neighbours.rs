//! How far from its planned place a line is looked for, and along which part of it, with other lines planned near it.
//!
//! A line of a detail box may run close beside one of the grid, and be a small part of its length. If that kept the search short, a
//! grid line ruled in the wrong place would be missed, and its stroke be taken for the box's. So the grid line is looked for as widely
//! as any, but not where the box's runs, as long as enough of it is left; and what was seen of the box's is not believed where the grid's
//! line turns out to run, nor where that could not be looked for.

use std::ops::Range;

use nalgebra::Vector2;
use plan::{CanvasPoint, Direction, Quad, Side};

use super::planned::{LineFrame, PlannedLine};
use super::{Band, EDGE_MARGIN, NARROWEST, SAME, Seen, Sighting, strip};
use crate::edges::median;
use crate::pose::millimetres;

/// How far from its planned place a line is looked for, mm.
pub(super) const RANGE: f64 = 6.0;

/// A line is looked for within this share of the way to its neighbour.
const SHARE_OF_GAP: f64 = 0.4;

/// Beyond the ends of a short neighbour its stroke, and those that end on it, may still disturb, mm.
const BEYOND_ENDS: f64 = 3.0;

/// At least this share of a line must be left to look along; else its neighbours keep the search short, as long ones do.
const LEAST_LEFT: f64 = 0.25;

/// A stroke nearer than this to another line's is that line's, mm.
const SAME_STROKE: f64 = 0.6;

/// Where a line is looked for.
#[derive(Clone, Debug)]
pub(super) struct Reach {
    /// To either side of its planned place, mm.
    pub(super) range: f64,
    /// Which parts of it are passed over, as shares of its length.
    pub(super) passed_over: Vec<Range<f64>>,
}

impl Reach {
    /// To either side alone.
    pub(super) const fn of(range: f64) -> Self {
        Self { range, passed_over: Vec::new() }
    }
}

/// Where to look for a line: not as far as its neighbours, nor over the canvas's edge.
pub(super) fn reach(line: &PlannedLine, planned: &[PlannedLine], outline: &Quad) -> Reach {
    let (origin, along, _, length) = line.frame();
    let middle = origin + along * (length / 2.0);
    let to_edge = match line.direction {
        Direction::Vertical | Direction::Horizontal => Side::ALL
            .into_iter()
            .filter(|side| side.is_level() == (line.direction == Direction::Horizontal))
            .map(|side| outline.distance_from_side(side, CanvasPoint::mm(middle.x, middle.y)).to_mm())
            .fold(f64::INFINITY, f64::min),
        Direction::Down | Direction::Up => f64::INFINITY,
    };
    // How far aside each neighbour is, and beside which part of this line it runs.
    let neighbours: Vec<(f64, Range<f64>)> = planned
        .iter()
        .filter(|other| other.direction == line.direction)
        .filter_map(|other| {
            let [from, to] = [other.from, other.to].map(|end| in_frame(line.frame(), millimetres(end)));
            let (first, last) = (from.x, to.x);
            // On a canvas out of square a line of the grid leans against those of a box: it counts where the two are beside each other.
            let beside_middle = (length / 2.0).clamp(first.min(last), first.max(last));
            let gap = (from.y + (to.y - from.y) * (beside_middle - first) / (last - first)).abs();
            let beside = (first.min(last) - BEYOND_ENDS)..(first.max(last) + BEYOND_ENDS);
            let share = (beside.start / length).max(0.0)..(beside.end / length).min(1.0);
            (gap > SAME && share.start < share.end).then_some((gap, share))
        })
        .collect();
    let nearest = |all: &mut dyn Iterator<Item = &(f64, Range<f64>)>| {
        all.map(|(gap, _)| *gap).fold(f64::INFINITY, f64::min)
    };
    let is_short = |share: &Range<f64>| share.end - share.start < 1.0 - LEAST_LEFT;
    let long = nearest(&mut neighbours.iter().filter(|(_, share)| !is_short(share)));
    let range = RANGE.min(SHARE_OF_GAP * long).min((to_edge - EDGE_MARGIN / 2.0).max(NARROWEST));
    let near = |(gap, share): &&(f64, Range<f64>)| is_short(share) && *gap < range + strip::REACH;
    let passed_over: Vec<Range<f64>> =
        neighbours.iter().filter(near).map(|(_, share)| share.clone()).collect();
    if passed_over.is_empty() || left(&passed_over) >= LEAST_LEFT {
        return Reach { range, passed_over };
    }
    let any = nearest(&mut neighbours.iter());
    Reach::of(range.min(SHARE_OF_GAP * any))
}

/// The share of a line that lies in none of these parts of it.
fn left(parts: &[Range<f64>]) -> f64 {
    let mut parts = parts.to_vec();
    parts.sort_by(|a, b| a.start.total_cmp(&b.start));
    let (covered, _) = parts.iter().fold((0.0, 0.0_f64), |(covered, end), part| {
        (covered + (part.end - part.start.max(end)).max(0.0), end.max(part.end))
    });
    1.0 - covered
}

/// Leaves open whether a box's line was seen where its stroke may be one of the grid: where a found line of the grid runs, for a stroke is
/// one line, and where the grid's line beside it was not found and could not be looked for there.
pub(super) fn give_strokes_to_the_grid(planned: &[PlannedLine], bands: &[Band], seen: &mut [Sighting]) {
    let strokes: Vec<(Direction, Stroke)> = planned
        .iter()
        .zip(&*seen)
        .filter(|(line, sighting)| line.detail.is_none() && sighting.seen == Seen::Found)
        .filter_map(|(line, sighting)| Some((line.direction, Stroke::of(line, &sighting.on_canvas)?)))
        .collect();
    let missed: Vec<(&PlannedLine, &Reach)> = planned
        .iter()
        .zip(bands)
        .zip(&*seen)
        .filter(|((line, _), sighting)| line.detail.is_none() && sighting.seen != Seen::Found)
        .map(|((line, band), _)| (line, &band.reach))
        .collect();
    for (line, sighting) in planned.iter().zip(seen).filter(|(line, _)| line.detail.is_some()) {
        let is_of_grid = strokes
            .iter()
            .any(|(direction, stroke)| *direction == line.direction && stroke.holds(&sighting.on_canvas));
        let may_be = || missed.iter().any(|(other, reach)| may_stray_to(other, reach, line));
        if sighting.seen == Seen::Found && (is_of_grid || may_be()) {
            sighting.seen = Seen::Unsure;
        }
    }
}

/// How far aside most lines of a box must have been seen for the box to be thought of as ruled aside, mm.
const ASIDE: f64 = 0.3;

/// Leaves open where the lines of a finely divided box are that may be taken for one another: where all lie aside and the last one to a
/// side is missing, each may be its neighbour, the whole box lying farther to the other side.
pub(super) fn doubt_what_may_be_its_neighbour(planned: &[PlannedLine], seen: &mut [Sighting]) {
    let boxes = planned.iter().filter_map(|line| line.detail).max().map_or(0, |last| last + 1);
    for detail in 0..boxes {
        for direction in [Direction::Vertical, Direction::Horizontal] {
            let mut lines: Vec<usize> = (0..planned.len())
                .filter(|at| planned[*at].detail == Some(detail) && planned[*at].direction == direction)
                .collect();
            lines.sort_by(|a, b| planned[*a].planned().to_mm().total_cmp(&planned[*b].planned().to_mm()));
            let [first, second, .., last] = lines.as_slice() else { continue };
            let is_fine = (planned[*second].planned() - planned[*first].planned()).to_mm() < 2.0 * RANGE;
            let is_found = |at: &usize| seen[*at].seen == Seen::Found;
            let aside = median(lines.iter().filter(|at| is_found(at)).map(|at| seen[*at].offset));
            let is_aside = aside.is_some_and(|aside| aside.abs() > ASIDE);
            if is_fine && is_aside && !(is_found(first) && is_found(last)) {
                let found: Vec<usize> = lines.iter().copied().filter(|at| is_found(at)).collect();
                for at in found {
                    seen[at].seen = Seen::Unsure;
                }
            }
        }
    }
}

/// Whether a grid line that was not found may have been ruled at the place of a box's: that is as near as a line is looked for, and it
/// was not looked for there.
fn may_stray_to(grid: &PlannedLine, reach: &Reach, line: &PlannedLine) -> bool {
    let middle = in_frame(grid.frame(), millimetres(line.from.towards(line.to, 0.5)));
    grid.direction == line.direction && (reach.range..RANGE).contains(&middle.y.abs())
}

/// A straight line through what was seen of a planned one.
struct Stroke {
    frame: LineFrame,
    /// How far aside it begins, mm, and by how much more for each mm along.
    aside: (f64, f64),
}

impl Stroke {
    /// By least squares.
    fn of(line: &PlannedLine, points: &[Vector2<f64>]) -> Option<Self> {
        let frame = line.frame();
        let placed: Vec<Vector2<f64>> = points.iter().map(|point| in_frame(frame, *point)).collect();
        let count = placed.len() as f64;
        let middle = placed.iter().sum::<Vector2<f64>>() / count;
        let spread: f64 = placed.iter().map(|place| (place.x - middle.x).powi(2)).sum();
        let lean: f64 = placed.iter().map(|place| (place.x - middle.x) * (place.y - middle.y)).sum();
        let slope = lean / spread;
        slope.is_finite().then_some(Self { frame, aside: (middle.y - slope * middle.x, slope) })
    }

    /// Whether most of these points lie on it.
    fn holds(&self, points: &[Vector2<f64>]) -> bool {
        let on_it = |point: &&Vector2<f64>| {
            let place = in_frame(self.frame, **point);
            (place.y - self.aside.0 - self.aside.1 * place.x).abs() < SAME_STROKE
        };
        2 * points.iter().filter(on_it).count() > points.len()
    }
}

/// How far along a line and how far aside of it a point lies, mm.
fn in_frame((origin, along, across, _): LineFrame, point: Vector2<f64>) -> Vector2<f64> {
    Vector2::new((point - origin).dot(&along), (point - origin).dot(&across))
}

#[cfg(test)]
mod tests {
    use super::*;
    use plan::{CanvasRect, Length};

    fn upright(x: f64, from: f64, to: f64, detail: Option<usize>) -> PlannedLine {
        let at = |y| CanvasPoint::mm(x, y);
        PlannedLine {
            name: String::new(),
            direction: Direction::Vertical,
            from: at(from),
            to: at(to),
            detail,
        }
    }

    fn canvas() -> Quad {
        CanvasRect::new(CanvasPoint::mm(0.0, 0.0), Length::mm(400.0), Length::mm(500.0)).into()
    }

    #[test]
    fn a_short_neighbour_is_passed_over_and_a_long_one_keeps_the_search_short() {
        let grid = upright(200.0, 0.0, 500.0, None);
        let of_box = upright(203.0, 139.0, 179.0, Some(0));
        let found = reach(&grid, &[grid.clone(), of_box.clone()], &canvas());
        assert_eq!((found.range, found.passed_over.len()), (RANGE, 1));
        let part = &found.passed_over[0];
        assert!((part.start - 136.0 / 500.0).abs() < 1e-9 && (part.end - 182.0 / 500.0).abs() < 1e-9);
        let found = reach(&of_box, &[grid.clone(), of_box.clone()], &canvas());
        assert!((found.range - 1.2).abs() < 1e-9 && found.passed_over.is_empty());
        let long = upright(203.0, 20.0, 480.0, Some(0));
        let found = reach(&grid, &[grid.clone(), long], &canvas());
        assert!((found.range - 1.2).abs() < 1e-9 && found.passed_over.is_empty());
    }

    #[test]
    fn a_neighbour_that_runs_elsewhere_does_not_count() {
        let [upper, lower] = [upright(150.0, 50.0, 90.0, Some(0)), upright(152.0, 300.0, 340.0, Some(1))];
        let found = reach(&upper, &[upper.clone(), lower], &canvas());
        assert_eq!((found.range, found.passed_over.len()), (RANGE, 0));
    }

    #[test]
    fn many_short_neighbours_keep_the_search_short_too() {
        let grid = upright(200.0, 0.0, 500.0, None);
        let boxes =
            (0..5).map(|at| upright(205.0, 100.0 * f64::from(at), 100.0 * f64::from(at) + 90.0, Some(0)));
        let found = reach(&grid, &std::iter::once(grid.clone()).chain(boxes).collect::<Vec<_>>(), &canvas());
        assert!((found.range - 2.0).abs() < 1e-9 && found.passed_over.is_empty());
    }

    /// A line seen so far aside.
    fn seen_aside(line: &PlannedLine, offset: f64) -> Sighting {
        let (origin, along, across, length) = line.frame();
        let point = |share: f64| origin + along * (length * share) + across * offset;
        let on_canvas = (0..=10).map(|at| point(f64::from(at) / 10.0)).collect();
        Sighting { seen: Seen::Found, offset, on_canvas, ..Sighting::NONE }
    }

    fn given(planned: &[PlannedLine], mut seen: Vec<Sighting>) -> Vec<Seen> {
        let band = |line: &PlannedLine| Band { frame: line.frame(), reach: reach(line, planned, &canvas()) };
        give_strokes_to_the_grid(planned, &planned.iter().map(band).collect::<Vec<_>>(), &mut seen);
        doubt_what_may_be_its_neighbour(planned, &mut seen);
        seen.iter().map(|sighting| sighting.seen).collect()
    }

    #[test]
    fn a_stroke_is_one_line() {
        let both = [upright(200.0, 0.0, 500.0, None), upright(203.0, 139.0, 179.0, Some(0))];
        let strayed = vec![seen_aside(&both[0], 3.0), seen_aside(&both[1], 0.0)];
        assert_eq!(given(&both, strayed), [Seen::Found, Seen::Unsure]);
        let in_place = vec![seen_aside(&both[0], 0.1), seen_aside(&both[1], 0.0)];
        assert_eq!(given(&both, in_place), [Seen::Found, Seen::Found]);
        // The grid line was looked for there, and is not there.
        assert_eq!(
            given(&both, vec![Sighting::NONE, seen_aside(&both[1], 0.0)]),
            [Seen::NotSeen, Seen::Found]
        );
        // Beside so long a line it could not be.
        let long = [both[0].clone(), upright(203.0, 20.0, 480.0, Some(0))];
        assert_eq!(
            given(&long, vec![Sighting::NONE, seen_aside(&long[1], 0.0)]),
            [Seen::NotSeen, Seen::Unsure]
        );
    }

    #[test]
    fn lines_of_a_fine_box_that_lies_aside_without_its_last_may_each_be_another() {
        let lines: Vec<PlannedLine> =
            (0..9).map(|at| upright(100.0 + 5.0 * f64::from(at), 100.0, 140.0, Some(0))).collect();
        let seen = |offset: f64, has_last: bool| -> Vec<Sighting> {
            let mut seen: Vec<Sighting> = lines.iter().map(|line| seen_aside(line, offset)).collect();
            if !has_last {
                seen[8] = Sighting::NONE;
            }
            seen
        };
        assert_eq!(given(&lines, seen(1.0, false))[..8], [Seen::Unsure; 8]);
        assert_eq!(given(&lines, seen(1.0, true)), [Seen::Found; 9]);
        assert_eq!(given(&lines, seen(0.1, false))[..8], [Seen::Found; 8]);
    }
}
