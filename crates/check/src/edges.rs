//! The canvas's four edges in the photo, to a fraction of a pixel, from corners that are a few pixels off.
//!
//! First a coarse search over the lens's bend and the corners' slack, so that a bent edge is followed and not its
//! neighbour; then profiles square to each edge, whose steepest place is the edge.

mod bend;
mod fold;
mod follow;
mod profile;

use nalgebra::Vector2;
use plan::{Quad, Side};
use rayon::prelude::*;

use crate::frame::ImagePoint;
use crate::luma::Luma;
use crate::outline::Standing;
use crate::pose::{CanvasMap, View, millimetres};
use follow::Follower;

/// The diagonal in pixels of a photo of 12 megapixels (4032 x 3024), to which pixel distances here are stated.
pub(crate) const USUAL_DIAGONAL: f64 = 5040.0;

/// An edge of which a smaller share was seen may be another than the canvas's: a frame or a ledge behind it, or its fold's shade.
pub(crate) const WELL_SEEN: f64 = 0.7;

/// One edge as it was seen.
#[derive(Clone, Debug)]
pub(crate) struct SeenEdge {
    /// Which.
    pub(crate) side: Side,
    /// Where it was seen, in the order of the side's marks.
    pub(crate) points: Vec<Vector2<f64>>,
    /// The share of its length over which it was seen.
    pub(crate) seen_share: f64,
    /// The usual height of the step, as a share of the canvas's light.
    pub(crate) contrast: f64,
    /// The usual width of the step in pixels: the standard deviation of the blur.
    pub(crate) blur: f64,
    /// Whether the shade of the canvas's fold was taken out of what was seen.
    pub(crate) unfolded: bool,
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
        .map(|(&side, sign)| Follower::new(luma, &coarse.map, canvas, side, scale).follow(sign))
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

    /// A step of light from 0 to 1 at 0, blurred by about a pixel.
    fn blurred_step(x: f64) -> f64 {
        1.0 / (1.0 + (-1.702 * x).exp())
    }

    /// An edge of the canvas of [`before_two_walls`] in a photo twice as large, of the light given for each point; the lower right
    /// corner was set `aside` too far to the right.
    fn followed(side: Side, aside: f64, light: impl Fn(f64, f64) -> f64) -> SeenEdge {
        let (width, height) = (2400_usize, 3200);
        let light = (0..width * height)
            .map(|pixel| light((pixel % width) as f64 + 0.5, (pixel / width) as f64 + 0.5) as f32)
            .collect();
        let luma = Luma::from_light(width, height, light).unwrap();
        let (_, view, corners, canvas) = before_two_walls();
        let view = View { middle: view.middle * 2.0, focal: view.focal * 2.0 };
        let mut corners = corners.map(|corner| ImagePoint::new(2.0 * corner.x, 2.0 * corner.y));
        corners[2].x += aside;
        let (_, edges) = follow(&luma, view, corners, Standing::Given, &canvas).unwrap();
        edges.into_iter().find(|edge| edge.side == side).unwrap()
    }

    /// How far the furthest point of an upright edge lies from where it is.
    fn furthest_from(x: f64, edge: &SeenEdge) -> f64 {
        edge.points.iter().map(|point| (point.x - x).abs()).fold(0.0, f64::max)
    }

    /// A canvas whose left side is folded: a tenth darker at its very edge, over 0.8 mm, before a wall a twentieth darker than it.
    #[test]
    fn the_shade_of_a_fold_does_not_draw_the_edge_inwards() {
        let (left, per_mm) = (400.4, 20.0 / 3.0);
        let edge = followed(Side::Left, 0.0, |x, y| {
            if !(600.0..2600.0).contains(&y) || x > 2000.0 {
                return 0.2;
            }
            let shade = 0.1 * (-((x - left).max(0.0) / (0.8 * per_mm)).powi(2)).exp();
            let canvas = 0.6 * (1.0 - shade);
            0.57 + (canvas - 0.57) * blurred_step(x - left)
        });
        let furthest = furthest_from(left, &edge);
        assert!(edge.unfolded && edge.seen_share > 0.9 && furthest < 0.5, "{furthest} {}", edge.seen_share);
    }

    /// Behind the lower half of the right side stands a picture of nearly the canvas's tone, whose dark frame runs on beside the
    /// canvas: steeper than the canvas's own edge there, and 14 pixels further out at the bottom.
    #[test]
    fn a_frame_behind_the_canvas_is_not_taken_for_its_edge() {
        let edge = followed(Side::Right, 10.0, |x, y| {
            let frame = 2008.0 + 6.0 * (y - 1500.0) / 1100.0;
            let beside = if y > 1500.0 { 0.57 + (0.2 - 0.57) * blurred_step(x - frame) } else { 0.2 };
            if !(600.0..2600.0).contains(&y) || x < 400.0 {
                return 0.2;
            }
            0.6 + (beside - 0.6) * blurred_step(x - 2000.0)
        });
        let furthest = furthest_from(2000.0, &edge);
        assert!(edge.seen_share > 0.45 && furthest < 0.5, "{furthest} {}", edge.seen_share);
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
