//! One edge, followed from the coarse map along its length.

use nalgebra::Vector2;
use plan::{CanvasPoint, Quad, Side};

use super::fold::Fold;
use super::profile::{Profile, Step};
use super::{SeenEdge, WELL_SEEN, median, side_frame};
use crate::luma::Luma;
use crate::pose::CanvasMap;
use crate::robust::Parabola;

/// Places along an edge at which it is measured.
const STATIONS: usize = 200;

/// The share of an edge at either end that is left out: corners are rounded and folded.
const CORNER_SHARE: f64 = 0.03;

/// Half the range searched across an edge after the coarse search, in pixels of a 12-megapixel photo: more than the bow of
/// stretcher bars, less than the depth of their turned side.
const WIDE: f64 = 14.0;

/// The same around the parabola through what was found so.
const NARROW: f64 = 7.0;

/// Half the range in which the fold's shade is looked for, in the same pixels: it reaches a millimetre or two inwards.
const FOLD_RANGE: f64 = 14.0;

/// How far an edge may lie off the line that its piece and the shade say, in the same pixels.
const NEAR_FOLD: f64 = 3.0;

/// A step must keep at least this share of the edge's usual steepness to count as the same edge.
const WEAKEST_SHARE: f64 = 0.3;

/// A step with the sign that the rest of the edge does not have must be steeper: the shade of the canvas's fold has both.
const CLEAR_TURNED_SHARE: f64 = 0.5;

/// By how many times more places must answer on another course for it to be the edge: the fold's shade answers as often.
const FAR_MORE: f64 = 1.1;

/// What lies further from an edge than this lies beside it, in the same pixels.
const BESIDE: f64 = 3.0;

/// A point of an edge this far from the edge's parabola belongs to something else, in spreads.
const FAR_OFF: f64 = 4.0;

/// One place along an edge: where the edge is expected, and the directions along and across in the photo.
#[derive(Clone, Copy)]
struct Station {
    share: f64,
    at: Vector2<f64>,
    along: Vector2<f64>,
    across: Vector2<f64>,
}

/// What was seen: each station with its step, whose offset is from the station.
type Seen = Vec<(Station, Step)>;

/// One course that an edge may take: a parabola in pixels across, and what was seen on it.
#[derive(Default)]
struct Course {
    parabola: Parabola,
    seen: Seen,
}

/// Follows one edge of the canvas.
pub(super) struct Follower<'a> {
    luma: &'a Luma,
    side: Side,
    stations: Vec<Station>,
    /// 1 where the canvas lies to the right of the edge or below it, else -1.
    inside: i32,
    /// Pixels of this photo to one of a usual photo.
    scale: f64,
    per_mm: f64,
}

impl<'a> Follower<'a> {
    pub(super) fn new(luma: &'a Luma, map: &CanvasMap, canvas: &Quad, side: Side, scale: f64) -> Self {
        let (origin, along, across, length) = side_frame(canvas, side);
        let stations = (0..STATIONS)
            .map(|at| {
                let share = CORNER_SHARE + (1.0 - 2.0 * CORNER_SHARE) * at as f64 / (STATIONS - 1) as f64;
                let place = origin + along * (share * length);
                let here = map.pixel(place);
                let tangent = (map.pixel(place + along) - map.pixel(place - along)).normalize();
                let outward = map.pixel(place + across) - here;
                let normal = Vector2::new(-tangent.y, tangent.x);
                let across = if normal.dot(&outward) < 0.0 { -normal } else { normal };
                Station { share, at: here, along: tangent, across }
            })
            .collect();
        let middle = origin + along * (length / 2.0);
        let per_mm = map.pixels_per_mm(CanvasPoint::mm(middle.x, middle.y));
        let inside = if matches!(side, Side::Top | Side::Left) { 1 } else { -1 };
        Self { luma, side, stations, inside, scale, per_mm }
    }

    /// The edge, whose light changes with the given sign to the right or downwards along most of it.
    pub(super) fn follow(&self, sign: f32) -> SeenEdge {
        let course = self.by_steepness(sign);
        let without_fold = self.without_fold(&course);
        let unfolded = without_fold.is_some();
        let seen = without_fold.unwrap_or(course.seen);
        SeenEdge {
            side: self.side,
            points: seen.iter().map(|(station, step)| station.at + station.across * step.offset).collect(),
            seen_share: seen.len() as f64 / STATIONS as f64,
            contrast: median(seen.iter().map(|(_, step)| step.height)).unwrap_or(0.0),
            blur: median(seen.iter().map(|(_, step)| step.width)).unwrap_or(0.0),
            unfolded,
        }
    }

    /// The clear steps nearest to the canvas.
    fn by_steepness(&self, sign: f32) -> Course {
        let first = self.steps(&Parabola::default(), WIDE, sign, &[]);
        let Some(edge) = self.narrowed(&first, sign) else {
            return Course::default();
        };
        if edge.seen.len() as f64 >= WELL_SEEN * STATIONS as f64 {
            return edge;
        }
        // Along much of it something else was seen: that may be the edge, and this a frame or a ledge behind it.
        let beside: Seen = first
            .into_iter()
            .filter(|(station, step)| {
                (step.offset - edge.parabola.at(station.share)).abs() > BESIDE * self.scale
            })
            .collect();
        match self.narrowed(&beside, sign) {
            Some(other)
                if self.answers(&other.parabola) as f64 > FAR_MORE * self.answers(&edge.parabola) as f64 =>
            {
                other
            }
            _ => edge,
        }
    }

    /// From steps found in the wide range to those in the narrow one around the parabola through most of them. `None` of too
    /// few for a parabola.
    fn narrowed(&self, first: &[(Station, Step)], sign: f32) -> Option<Course> {
        let rough = self.course(clear(first, WEAKEST_SHARE, usual(first)?))?;
        let seen = self.steps(&rough.parabola, NARROW, sign, &[]);
        let usual = usual(&seen)?;
        let mut seen = clear(&seen, WEAKEST_SHARE, usual);
        // Where what lies behind the canvas changes from darker to lighter, the edge goes on with the other sign.
        let turned = self.steps(&rough.parabola, NARROW, -sign, &seen);
        seen.extend(clear(&turned, CLEAR_TURNED_SHARE, usual));
        seen.sort_by(|(a, _), (b, _)| a.share.total_cmp(&b.share));
        self.course(seen)
    }

    /// The parabola through most steps, and the steps that lie on it. `None` of too few.
    fn course(&self, mut seen: Seen) -> Option<Course> {
        let offsets: Vec<(f64, f64)> =
            seen.iter().map(|(station, step)| (station.share, step.offset)).collect();
        let (parabola, spread) = Parabola::fit(&offsets, self.scale)?;
        seen.retain(|(station, step)| (step.offset - parabola.at(station.share)).abs() < FAR_OFF * spread);
        Some(Course { parabola, seen })
    }

    /// At how many stations there is a step of either sign on this parabola, however low: along its true place an edge is seen
    /// nearly everywhere, and what lies behind ends somewhere.
    fn answers(&self, parabola: &Parabola) -> usize {
        let answers = |station: &&Station| {
            let profile = self.profile(station, parabola, NARROW);
            profile.is_some_and(|profile| profile.has_step(BESIDE * self.scale))
        };
        self.stations.iter().filter(answers).count()
    }

    /// The edge's step with this sign at each station that is not among those already seen.
    fn steps(&self, parabola: &Parabola, range: f64, sign: f32, already: &[(Station, Step)]) -> Seen {
        let seen: Vec<f64> = already.iter().map(|(station, _)| station.share).collect();
        self.stations
            .iter()
            .filter(|station| !seen.contains(&station.share))
            .filter_map(|station| {
                let mut step = self.profile(station, parabola, range)?.edge(sign)?;
                step.offset += parabola.at(station.share);
                Some((*station, step))
            })
            .collect()
    }

    /// The places anew with the shade of the canvas's fold taken out; `None` where it does not show.
    fn without_fold(&self, Course { parabola, seen }: &Course) -> Option<Seen> {
        let profiles: Vec<(Station, Profile)> = seen
            .iter()
            .filter_map(|(station, _)| Some((*station, self.profile(station, parabola, FOLD_RANGE)?)))
            .collect();
        let by_share: Vec<(f64, &Profile)> =
            profiles.iter().map(|(station, profile)| (station.share, profile)).collect();
        let fold = Fold::of(&by_share, self.per_mm, self.scale)?;
        let step = |(station, profile): &(Station, Profile)| {
            let place = fold.place(station.share);
            let near = NEAR_FOLD * self.scale;
            // The step that the shade hid may have either sign.
            let mut step = [1.0, -1.0]
                .into_iter()
                .filter_map(|sign| profile.steepest_near(sign, place, near, |at| fold.slope(at, place)))
                .max_by(|a, b| a.steepness.total_cmp(&b.steepness))?;
            step.offset += parabola.at(station.share);
            Some((*station, step))
        };
        Some(profiles.iter().filter_map(step).collect())
    }

    fn profile(&self, station: &Station, parabola: &Parabola, range: f64) -> Option<Profile> {
        let centre = station.at + station.across * parabola.at(station.share);
        Profile::across(
            self.luma,
            centre,
            station.along,
            station.across,
            range * self.scale,
            self.scale,
            self.inside,
        )
    }
}

/// The usual steepness of steps.
fn usual(seen: &[(Station, Step)]) -> Option<f64> {
    median(seen.iter().map(|(_, step)| step.steepness))
}

/// Those that are at least this share of the usual as steep.
fn clear(seen: &[(Station, Step)], share: f64, usual: f64) -> Seen {
    seen.iter().filter(|(_, step)| step.steepness > share * usual).copied().collect()
}
