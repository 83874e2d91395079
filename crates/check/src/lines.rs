//! Looking for ruled lines: each planned one near its place, and whatever else is ruled between them.
//!
//! Threads and slubs of a canvas are real, long, straight and thin, so no measure of significance tells them from a pencil
//! line. What does is how strong the line is against the strongest "lines" of bands of the same photo, direction and length
//! where nothing is planned.

mod neighbours;
mod planned;
mod search;
mod strip;

use std::sync::atomic::{AtomicUsize, Ordering};

use nalgebra::Vector2;
use plan::{CanvasPoint, Direction, Quad, Side};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::luma::Luma;
use crate::pose::{CanvasMap, millimetres};
use neighbours::{RANGE, Reach, doubt_what_may_be_its_neighbour, give_strokes_to_the_grid, reach};
pub(crate) use planned::{LineFrame, PlannedLine, planned_lines};
use search::{Strongest, another, strongest};
use strip::Strip;

/// Parallel lines nearer than this are one line, mm.
const SAME: f64 = 0.5;

/// Bands closer to the canvas's edge than this, mm, see the edge.
const EDGE_MARGIN: f64 = 8.0;

/// An empty band narrower than this, mm, holds no line.
const NARROWEST: f64 = 1.0;

/// Fewest empty bands from which a level can be judged.
const FEWEST_BANDS: usize = 4;

/// The share of empty bands below the level: a few may hold lines that nobody planned.
const LEVEL_SHARE: f64 = 0.85;

/// A line this many times as strong as the level of the empty bands is found.
const FOUND: f64 = 2.0;

/// One this many times as strong may be a line.
const UNSURE: f64 = 1.4;

/// What answers most strongly within this of the rim of a band, mm, may be the flank of something beyond it.
const RIM: f64 = 0.5;

/// A line that nobody planned must be this many times as strong, and seen over this share of its sections.
const EXTRA: (f64, f64) = (3.0, 0.6);

/// Whether a line was seen. One that was not seen may be there all the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Seen {
    /// It stands out clearly.
    #[serde(rename = "found")]
    Found,
    /// Something is there that a thread of the canvas could also be.
    #[serde(rename = "unsure")]
    Unsure,
    /// Nothing stands out.
    #[serde(rename = "not seen")]
    NotSeen,
}

/// How many lines of the main grid were found, and how many it has, of lines that each belong to a detail box or not and were found
/// or not. Detail boxes may not have been ruled yet: that their lines are missing says nothing.
pub(crate) fn found_of_grid(lines: impl Iterator<Item = (bool, bool)>) -> (usize, usize) {
    lines
        .filter(|(in_detail, _)| !in_detail)
        .fold((0, 0), |(found, count), (_, is_found)| (found + usize::from(is_found), count + 1))
}

/// What was seen of one line.
#[derive(Clone, Debug)]
pub(crate) struct Sighting {
    /// Whether it was seen.
    pub(crate) seen: Seen,
    /// How strong it is against the level of the empty bands.
    pub(crate) strength: f64,
    /// True when it is brighter than its surroundings.
    pub(crate) bright: bool,
    /// Where it was seen, pixels.
    pub(crate) points: Vec<Vector2<f64>>,
    /// How far aside its middle was seen, and where another line as strong runs beside it, mm; as the map has it that it was looked for by.
    pub(crate) offset: f64,
    pub(crate) other: Option<f64>,
    /// Where it was seen on the canvas by the same map, mm.
    on_canvas: Vec<Vector2<f64>>,
}

impl Sighting {
    /// Nothing was seen.
    const NONE: Self = Self {
        seen: Seen::NotSeen,
        strength: 0.0,
        bright: false,
        points: Vec::new(),
        offset: 0.0,
        other: None,
        on_canvas: Vec::new(),
    };
}

/// A line that nobody planned.
#[derive(Clone, Debug)]
pub(crate) struct Extra {
    pub(crate) direction: Direction,
    pub(crate) frame: LineFrame,
    pub(crate) sighting: Sighting,
}

/// All that was seen.
#[derive(Clone, Debug)]
pub(crate) struct Sightings {
    /// In the order of the planned lines.
    pub(crate) planned: Vec<Sighting>,
    pub(crate) extra: Vec<Extra>,
}

/// A stretch of canvas to look along.
#[derive(Clone)]
struct Band {
    frame: LineFrame,
    reach: Reach,
}

/// The lines of one direction in the main grid or in one detail box, with the bands between them.
struct Group {
    direction: Direction,
    detail: Option<usize>,
    members: Vec<usize>,
    empty: Vec<Band>,
}

/// Looks for every planned line, and between them. `going_on` is told the share done; once it answers false no more is looked for.
pub(crate) fn look(
    luma: &Luma,
    map: &CanvasMap,
    outline: &Quad,
    planned: &[PlannedLine],
    going_on: &(dyn Fn(f64) -> bool + Sync),
) -> Sightings {
    let bands: Vec<Band> = planned
        .iter()
        .map(|line| Band { frame: line.frame(), reach: reach(line, planned, outline) })
        .collect();
    let mut all = Sightings { planned: vec![Sighting::NONE; planned.len()], extra: Vec::new() };
    let groups = groups(planned, &bands, outline);
    let count: usize = groups.iter().map(|group| group.empty.len() + group.members.len()).sum();
    let done = AtomicUsize::new(0);
    let going_on = || going_on(done.fetch_add(1, Ordering::Relaxed) as f64 / count as f64);
    for group in groups {
        let empty = in_each(&group.empty, &going_on, |band| Some(strongest_in(luma, map, band)?.0));
        let Some(level) = level(&empty) else { continue };
        let of_members: Vec<Band> = group.members.iter().map(|member| bands[*member].clone()).collect();
        let seen = in_each(&of_members, &going_on, |band| {
            let (line, strip) = strongest_in(luma, map, band)?;
            let other = another(strip, band.frame.3, &line);
            Some((line, other))
        });
        for ((member, band), strongest) in group.members.iter().zip(&of_members).zip(seen) {
            let Some((line, other)) = strongest else { continue };
            let sighting = sighting(&line, level, band, map);
            let other = other
                .filter(|other| sighting.seen == Seen::Found && other.amplitude >= FOUND * level)
                .map(|other| other.offset);
            all.planned[*member] = Sighting { other, ..sighting };
        }
        if group.detail.is_none() {
            all.extra.extend(extra_lines(&group, &empty, level, map));
        }
    }
    give_strokes_to_the_grid(planned, &bands, &mut all.planned);
    doubt_what_may_be_its_neighbour(planned, &mut all.planned);
    all
}

/// What is seen in each band; `going_on` is asked before each.
fn in_each<T: Send>(
    bands: &[Band],
    going_on: &(dyn Fn() -> bool + Sync),
    look: impl Fn(&Band) -> Option<T> + Sync,
) -> Vec<Option<T>> {
    bands.par_iter().map(|band| going_on().then(|| look(band)).flatten()).collect()
}

/// The strongest line of a band, and the strip that it was looked for in.
fn strongest_in(luma: &Luma, map: &CanvasMap, band: &Band) -> Option<(Strongest, Strip)> {
    let strip = Strip::along(luma, map, band.frame, &band.reach);
    let found = strongest(&strip, band.frame.3)?;
    // What threads answer over fewer sections is stronger by chance.
    let left = strip.shares.len() as f64 / strip::sections(band.frame.3) as f64;
    Some((Strongest { amplitude: found.amplitude * left.sqrt(), ..found }, strip))
}

/// The strength that most empty bands stay below; `None` when there are too few.
fn level(empty: &[Option<Strongest>]) -> Option<f64> {
    let mut amplitudes: Vec<f64> = empty.iter().flatten().map(|line| line.amplitude).collect();
    if amplitudes.len() < FEWEST_BANDS {
        return None;
    }
    amplitudes.sort_by(f64::total_cmp);
    let level = amplitudes[((amplitudes.len() - 1) as f64 * LEVEL_SHARE).round() as usize];
    (level > 0.0).then_some(level)
}

fn sighting(line: &Strongest, level: f64, band: &Band, map: &CanvasMap) -> Sighting {
    let strength = line.amplitude / level;
    let at_rim = line.offset.abs() > band.reach.range - RIM || line.leans_most;
    let seen = match strength {
        _ if strength >= FOUND && !at_rim => Seen::Found,
        _ if strength >= UNSURE => Seen::Unsure,
        _ => Seen::NotSeen,
    };
    let (origin, along, across, length) = band.frame;
    let on_canvas: Vec<Vector2<f64>> = line
        .places
        .iter()
        .map(|(share, offset)| origin + along * (share * length) + across * *offset)
        .collect();
    let points = on_canvas.iter().map(|place| map.pixel(*place)).collect();
    Sighting { seen, strength, bright: line.bright, points, offset: line.offset, other: None, on_canvas }
}

fn groups(planned: &[PlannedLine], bands: &[Band], outline: &Quad) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (at, line) in planned.iter().enumerate() {
        let same = |group: &&mut Group| group.direction == line.direction && group.detail == line.detail;
        match groups.iter_mut().find(same) {
            Some(group) => group.members.push(at),
            None => groups.push(Group {
                direction: line.direction,
                detail: line.detail,
                members: vec![at],
                empty: Vec::new(),
            }),
        }
    }
    for group in &mut groups {
        group.empty = match group.direction {
            Direction::Vertical | Direction::Horizontal => bands_between(group, planned, bands, outline),
            Direction::Down | Direction::Up => bands_beside(&planned[group.members[0]], outline),
        };
    }
    groups
}

/// Bands parallel to vertical or horizontal lines that hold no planned line, as long as the group's lines.
fn bands_between(group: &Group, planned: &[PlannedLine], bands: &[Band], outline: &Quad) -> Vec<Band> {
    let upright = group.direction == Direction::Vertical;
    let member = &planned[group.members[0]];
    let middle = (millimetres(member.from) + millimetres(member.to)) / 2.0;
    // Lines and sides of a canvas out of square lean: all count by where they cross the level of the group's middle.
    let crossing = |from: CanvasPoint, to: CanvasPoint| {
        let (from, to) = (millimetres(from), millimetres(to));
        let [from, to, level] = if upright { [from, to, middle] } else { [from.yx(), to.yx(), middle.yx()] };
        from.x + (to.x - from.x) * (level.y - from.y) / (to.y - from.y)
    };
    let (first, last) = if upright { (Side::Left, Side::Right) } else { (Side::Top, Side::Bottom) };
    let side = |side: Side| {
        let (from, to) = outline.side(side);
        crossing(from, to)
    };
    let (start, end) = (side(first), side(last));
    let mut taken: Vec<(f64, f64)> = planned
        .iter()
        .zip(bands)
        .filter(|(line, _)| line.direction == group.direction)
        .map(|(line, band)| {
            let at = crossing(line.from, line.to);
            (at - band.reach.range, at + band.reach.range)
        })
        .collect();
    taken.sort_by(|a, b| a.0.total_cmp(&b.0));
    taken.push((end - EDGE_MARGIN, f64::INFINITY));
    let mut free = Vec::new();
    let mut from = start + EDGE_MARGIN;
    for (begins, ends) in taken {
        if begins - from >= NARROWEST {
            let count = ((begins - from) / (2.0 * RANGE)).ceil();
            let half = (begins - from) / count / 2.0;
            free.extend((0..count as usize).map(|at| (from + half * (2 * at + 1) as f64, half)));
        }
        from = from.max(ends);
    }
    free.into_iter()
        .map(|(at, range)| {
            let share = (at - start) / (end - start);
            let (from, to) = match (group.detail, upright) {
                (None, true) => (outline.along(Side::Top, share), outline.along(Side::Bottom, share)),
                (None, false) => (outline.along(Side::Left, share), outline.along(Side::Right, share)),
                (Some(_), true) => {
                    (CanvasPoint::mm(at, member.from.y.to_mm()), CanvasPoint::mm(at, member.to.y.to_mm()))
                }
                (Some(_), false) => {
                    (CanvasPoint::mm(member.from.x.to_mm(), at), CanvasPoint::mm(member.to.x.to_mm(), at))
                }
            };
            Band {
                frame: crate::edges::line_frame(millimetres(from), millimetres(to), upright),
                reach: Reach::of(range),
            }
        })
        .collect()
}

/// Bands beside a diagonal and parallel to it, as long as the canvas lets them be.
fn bands_beside(line: &PlannedLine, outline: &Quad) -> Vec<Band> {
    const BESIDE: i32 = 8;
    let (origin, along, across, length) = line.frame();
    let inner = outline.inner_rect();
    let low = Vector2::new(inner.origin.x.to_mm() + EDGE_MARGIN, inner.origin.y.to_mm() + EDGE_MARGIN);
    let high = Vector2::new(inner.right().to_mm() - EDGE_MARGIN, inner.bottom().to_mm() - EDGE_MARGIN);
    (-BESIDE..=BESIDE)
        .filter(|step| *step != 0)
        .filter_map(|step| {
            let start = origin + across * (f64::from(step) * 2.0 * RANGE);
            let (mut first, mut last) = (0.0_f64, length);
            for axis in 0..2 {
                let (a, b) =
                    ((low[axis] - start[axis]) / along[axis], (high[axis] - start[axis]) / along[axis]);
                (first, last) = (first.max(a.min(b)), last.min(a.max(b)));
            }
            let frame = (start + along * first, along, across, last - first);
            (last - first > 0.5 * length).then_some(Band { frame, reach: Reach::of(RANGE * 0.9) })
        })
        .collect()
}

/// The lines among the empty bands that nobody planned, strongest first and each once.
fn extra_lines(group: &Group, empty: &[Option<Strongest>], level: f64, map: &CanvasMap) -> Vec<Extra> {
    let mut found: Vec<(f64, Extra)> = group
        .empty
        .iter()
        .zip(empty)
        .filter_map(|(band, line)| {
            let line = line.as_ref()?;
            let sighting = sighting(line, level, band, map);
            let (origin, along, across, _) = band.frame;
            let fine = sighting.strength >= EXTRA.0 && sighting.seen == Seen::Found;
            let enough = line.places.len() as f64 >= EXTRA.1 * strip::sections(band.frame.3) as f64;
            let at = (origin + along * (band.frame.3 / 2.0)).dot(&across) + line.offset;
            (fine && enough)
                .then_some((at, Extra { direction: group.direction, frame: band.frame, sighting }))
        })
        .collect();
    found.sort_by(|a, b| b.1.sighting.strength.total_cmp(&a.1.sighting.strength));
    let mut places: Vec<f64> = Vec::new();
    found.retain(|(at, _)| {
        let new = places.iter().all(|place| (place - at).abs() > 2.0);
        if new {
            places.push(*at);
        }
        new
    });
    found.into_iter().map(|(_, extra)| extra).collect()
}
