//! The canvas's four edges in the photo, to a fraction of a pixel, from corners that are a few pixels off.
//!
//! First a coarse search over the lens's bend and the corners' slack, so that a bent edge is followed and not its
//! neighbour; then profiles square to each edge, whose steepest place is the edge.

mod bend;
mod profile;

use nalgebra::Vector2;
use plan::{Quad, Side};
use rayon::prelude::*;

use crate::frame::ImagePoint;
use crate::luma::Luma;
use crate::outline::Standing;
use crate::pose::{CanvasMap, View, millimetres};
use crate::robust::Parabola;
use profile::Profile;

/// Places along an edge at which it is measured.
const STATIONS: usize = 200;

/// The share of an edge at either end that is left out: corners are rounded and folded.
const CORNER_SHARE: f64 = 0.03;

/// Half the range searched across an edge after the coarse search and again around the parabola, in pixels of a
/// 12-megapixel photo: more than the bow of stretcher bars, less than the depth of their turned side.
const RANGES: [f64; 2] = [14.0, 7.0];

/// The diagonal in pixels of a photo of 12 megapixels (4032 x 3024), to which pixel distances here are stated.
pub(crate) const USUAL_DIAGONAL: f64 = 5040.0;

/// A step must keep at least this share of the edge's usual steepness to count as the same edge.
const WEAKEST_SHARE: f64 = 0.3;

/// A step with the sign that the rest of the edge does not have must be steeper: the shade of the canvas's fold has both.
const CLEAR_TURNED_SHARE: f64 = 0.5;

/// A point of an edge this far from the edge's parabola belongs to something else, in spreads.
const FAR_OFF: f64 = 4.0;

/// One edge as it was seen.
#[derive(Clone, Debug)]
pub(crate) struct SeenEdge {
    /// Which.
    pub(crate) side: Side,
    /// Where it was seen, in the order of the side's marks.
    pub(crate) points: Vec<Vector2<f64>>,
    /// The share of its length over which it was seen.
    pub(crate) seen_share: f64,
    /// The usual height of the step: the natural logarithm of the ratio of light.
    pub(crate) contrast: f64,
    /// The usual width of the step in pixels: the standard deviation of the blur.
    pub(crate) blur: f64,
}

/// Looks for the four edges near the corners given. The map that goes with them is the start for the estimate.
pub(crate) fn follow(
    luma: &Luma,
    view: View,
    corners: [ImagePoint; 4],
    standing: Standing,
    canvas: &Quad,
) -> Option<(CanvasMap, [SeenEdge; 4])> {
    let scale = pixel_scale(luma);
    let coarse = bend::coarse_map(luma, view, corners, standing, canvas, scale)?;
    let edges: Vec<SeenEdge> = Side::ALL
        .par_iter()
        .zip(coarse.signs)
        .map(|(&side, sign)| follow_edge(luma, &coarse.map, canvas, side, sign, scale))
        .collect();
    Some((coarse.map, edges.try_into().ok()?))
}

/// How many pixels of this photo go to one of a usual photo.
pub(crate) fn pixel_scale(luma: &Luma) -> f64 {
    (luma.width() as f64).hypot(luma.height() as f64) / USUAL_DIAGONAL
}

/// A side on the canvas: start, direction, the direction square to it that leads right or down, and length, in mm.
pub(crate) fn side_frame(canvas: &Quad, side: Side) -> (Vector2<f64>, Vector2<f64>, Vector2<f64>, f64) {
    let (from, to) = canvas.side(side);
    line_frame(millimetres(from), millimetres(to), !side.is_level())
}

/// The same for any line; `upright` when it runs downwards rather than across.
pub(crate) fn line_frame(
    from: Vector2<f64>,
    to: Vector2<f64>,
    upright: bool,
) -> (Vector2<f64>, Vector2<f64>, Vector2<f64>, f64) {
    let length = (to - from).norm();
    let along = (to - from) / length;
    let across = if upright { Vector2::new(along.y, -along.x) } else { Vector2::new(-along.y, along.x) };
    (from, along, across, length)
}

/// One place along an edge: where the edge is expected, and the directions along and across in the photo.
#[derive(Clone, Copy)]
struct Station {
    share: f64,
    at: Vector2<f64>,
    along: Vector2<f64>,
    across: Vector2<f64>,
}

fn stations(map: &CanvasMap, canvas: &Quad, side: Side) -> Vec<Station> {
    let (origin, along, across, length) = side_frame(canvas, side);
    (0..STATIONS)
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
        .collect()
}

fn follow_edge(luma: &Luma, map: &CanvasMap, canvas: &Quad, side: Side, sign: f32, scale: f64) -> SeenEdge {
    let stations = stations(map, canvas, side);
    let inside = if matches!(side, Side::Top | Side::Left) { 1 } else { -1 };
    let mut parabola = Parabola::default();
    let look = |parabola: &Parabola, range: f64, sign: f32| -> Vec<(Station, profile::Step)> {
        let step = |station: &Station| {
            let off = parabola.at(station.share);
            let centre = station.at + station.across * off;
            let mut step =
                Profile::across(luma, centre, station.along, station.across, range * scale, scale)?
                    .edge(sign, inside)?;
            step.offset += off;
            Some((*station, step))
        };
        stations.iter().filter_map(step).collect()
    };
    let mut found = Vec::new();
    for (turn, range) in RANGES.into_iter().enumerate() {
        found = look(&parabola, range, sign);
        let Some(usual) = median(found.iter().map(|(_, step)| step.steepness)) else { break };
        found.retain(|(_, step)| step.steepness > WEAKEST_SHARE * usual);
        if turn > 0 {
            // Where what lies behind the canvas changes from darker to lighter, the edge goes on with the other sign.
            let seen: Vec<f64> = found.iter().map(|(station, _)| station.share).collect();
            let mut turned = look(&parabola, range, -sign);
            turned.retain(|(station, step)| {
                step.steepness > CLEAR_TURNED_SHARE * usual && !seen.contains(&station.share)
            });
            found.extend(turned);
            found.sort_by(|(a, _), (b, _)| a.share.total_cmp(&b.share));
        }
        let offsets: Vec<(f64, f64)> =
            found.iter().map(|(station, step)| (station.share, step.offset)).collect();
        let Some((fitted, spread)) = Parabola::fit(&offsets, scale) else { break };
        found.retain(|(station, step)| (step.offset - fitted.at(station.share)).abs() < FAR_OFF * spread);
        parabola = fitted;
    }
    SeenEdge {
        side,
        points: found.iter().map(|(station, step)| station.at + station.across * step.offset).collect(),
        seen_share: found.len() as f64 / STATIONS as f64,
        contrast: median(found.iter().map(|(_, step)| step.height)).unwrap_or(0.0),
        blur: median(found.iter().map(|(_, step)| step.width)).unwrap_or(0.0),
    }
}

/// The middle value; `None` of none.
pub(crate) fn median(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut values: Vec<f64> = values.collect();
    if values.is_empty() {
        return None;
    }
    let middle = values.len() / 2;
    Some(*values.select_nth_unstable_by(middle, f64::total_cmp).1)
}

#[cfg(test)]
mod tests {
    use plan::{CanvasPoint, CanvasRect, Length};

    use super::*;

    /// A canvas of middle tone, square to the camera, before a wall that is dark on the left and light on the right.
    fn before_two_walls() -> (Luma, View, [ImagePoint; 4], Quad) {
        let (width, height) = (1200, 1600);
        let light = (0..width * height)
            .map(|pixel| match (pixel % width, pixel / width) {
                (200..1000, 300..1300) => 0.5,
                (..600, _) => 0.2,
                _ => 0.9,
            })
            .collect();
        let luma = Luma::from_light(width, height, light).unwrap();
        let view = View { middle: Vector2::new(600.0, 800.0), focal: 1500.0 };
        let corners = [(200.0, 300.0), (1000.0, 300.0), (1000.0, 1300.0), (200.0, 1300.0)];
        let canvas = CanvasRect::new(CanvasPoint::mm(0.0, 0.0), Length::mm(240.0), Length::mm(300.0)).into();
        (luma, view, corners.map(|(x, y)| ImagePoint::new(x + 2.0, y - 1.0)), canvas)
    }

    #[test]
    fn an_edge_is_followed_where_what_is_behind_turns_from_darker_to_lighter() {
        let (luma, view, corners, canvas) = before_two_walls();
        let (_, edges) = follow(&luma, view, corners, Standing::Given, &canvas).unwrap();
        for edge in &edges {
            assert!(edge.seen_share > 0.9, "{:?} {}", edge.side, edge.seen_share);
            let off = |point: &Vector2<f64>| match edge.side {
                Side::Top => point.y - 300.0,
                Side::Right => point.x - 1000.0,
                Side::Bottom => point.y - 1300.0,
                Side::Left => point.x - 200.0,
            };
            let furthest = edge.points.iter().map(|point| off(point).abs()).fold(0.0, f64::max);
            assert!(furthest < 0.5, "{:?} {furthest}", edge.side);
        }
    }
}
