//! From where the canvas was photographed: the steps from four corners to a map that knows how far it may be trusted.

use nalgebra::{Vector2, Vector3};
use plan::{Angle, Length, Quad, Side};

use super::canvas_map::{CanvasMap, millimetres};
use super::estimate::{Estimate, Evidence, Spot, estimate};
use super::lens::Lens;
use super::settle::{BOW_SD, KnownLens, PLACE_SD, edge_curves, settle};
use super::{Beforehand, Curve};
use crate::camera::CanvasPhoto;
use crate::edges::{SeenEdge, WELL_SEEN, follow, median, pixel_scale};
use crate::frame::ImagePoint;
use crate::outline::{Outline, Standing};
use crate::unfit::Unfit;

/// The slant beyond which a photo does not tell enough, in degrees.
pub const STEEPEST_TILT: Angle = Angle::degrees(30.0);

/// How much wider than the tilt allowed one may look before the lens is known, in degrees.
const TILT_SLACK: f64 = 4.0;

/// The share of an edge that must be seen: a clamp and a hand may cover some of it, and what is behind have its tone along some.
const LEAST_SEEN: f64 = 0.35;

/// The least height of a step that is an edge, as a share of the canvas's light. A wall within a few per cent of the canvas's
/// tone draws edges aside by their fold's shade.
const LEAST_CONTRAST: f64 = 0.06;

/// The same of an edge that is seen over less than [`WELL_SEEN`] of its length: it may be the shade alone.
const LEAST_PARTLY_SEEN: f64 = 0.12;

/// The same where that shade was found and taken out: what is left must stand out from the weave.
const LEAST_UNFOLDED: f64 = 0.03;

/// The spread of an edge's points beyond which it is not one edge, mm.
const WILDEST_EDGE: f64 = 0.6;

/// The blur, standard deviation in mm, in which a pencil line drowns.
const WIDEST_BLUR: f64 = 0.9;

/// The canvas's shorter side in the photo, in pixels, below which it is too small.
const LEAST_SPAN: f64 = 350.0;

/// By what share the shape seen may differ from the planned one before another canvas or another corner is suspected: the
/// focal length and the slant leave a few per cent open.
const OTHER_SHAPE: f64 = 0.15;

/// How far a click under a loupe may be off, standard deviation in pixels of a 12-megapixel photo.
const CLICK_SD: f64 = 1.5;

/// How far beside both of its corners an edge may run that a person set them on, in pixels of a 12-megapixel photo and in mm: they are set to
/// within a few pixels, and seen on a screen a dozen is some three; less than the millimetres is a careless hand.
const BESIDE_GIVEN: (f64, f64) = (12.0, 2.0);

/// The sine of a corner's turn below which three corners lie in a line. The sharpest corner of a canvas seen within the
/// slant allowed has one of about a half.
const STRAIGHT: f64 = 0.2;

/// The pose, and what it was made from.
#[derive(Clone, Debug)]
pub struct Pose {
    /// The map from photo to canvas.
    pub map: CanvasMap,
    /// How far the points it was made from lie off it, root mean square in pixels.
    pub rms_px: f64,
    /// What the outline says: the edges that were followed, or the clicks.
    pub(crate) outline: Evidence,
}

impl Pose {
    /// Finds the pose from the outline: along the canvas's edges or, where the middles of the edges were clicked too, from the
    /// eight clicks alone.
    ///
    /// # Errors
    /// As [`Pose::from_edges`] and [`Pose::from_clicks`].
    pub fn of(
        photo: &CanvasPhoto,
        canvas: &Quad,
        outline: &Outline,
        lens: Option<&KnownLens>,
    ) -> Result<Self, Unfit> {
        match outline.middles {
            Some(middles) => {
                let click_sd = CLICK_SD * pixel_scale(photo.luma()).max(1.0);
                Self::from_clicks(photo, canvas, outline.corners, middles, click_sd, lens)
            }
            None => Self::from_edges(photo, canvas, outline, lens),
        }
    }

    /// Finds the pose from the canvas's four edges in the photo, near the corners given. `canvas` is its true outline as far
    /// as it is known; `lens` one that was measured before, with the same camera.
    ///
    /// # Errors
    /// When the corners make no outline or not this canvas's, the slant or the blur is too much, or an edge cannot be followed.
    pub fn from_edges(
        photo: &CanvasPhoto,
        canvas: &Quad,
        given: &Outline,
        lens: Option<&KnownLens>,
    ) -> Result<Self, Unfit> {
        check_corners(photo, given.corners)?;
        let scale = pixel_scale(photo.luma());
        let rough = CanvasMap::through_corners(photo.view(), given.corners, canvas, Lens::default())
            .ok_or(Unfit::NoOutline)?;
        check_tilt(&rough, canvas, STEEPEST_TILT.to_degrees() + TILT_SLACK)?;
        check_shape(&rough, canvas)?;
        let (start, edges) =
            follow(photo.luma(), photo.view(), given.corners, given.standing, canvas).ok_or(Unfit::NoMap)?;
        check_edges(&start, canvas, &edges)?;
        let curves = edge_curves(&edges, &start, canvas, scale);
        let outline = Evidence { curves, spots: Vec::new(), beforehand: Beforehand::of(lens) };
        let mut evidence = outline.clone();
        let settled = settle(&start, &mut evidence, scale).ok_or(Unfit::NoMap)?;
        if given.standing != Standing::Automatic {
            check_near_given(&settled.map, given.corners, canvas, scale)?;
        }
        check_settled(&settled, &evidence, canvas, &edges)?;
        check_tilt(&settled.map, canvas, STEEPEST_TILT.to_degrees())?;
        Ok(Self { rms_px: settled.rms(&evidence), map: settled.map, outline })
    }

    /// The pose from eight clicks, without looking at the photo: the corners from the top left clockwise, and the middles
    /// (halfway between the corners on the canvas, measured or judged along the edge) of the top, right, bottom and left
    /// edges. Only that a middle lies *on* its edge is used, so it need not be halfway. `click_sd` is how far a click may be
    /// off, standard deviation in pixels.
    ///
    /// # Errors
    /// When the corners make no outline or not this canvas's.
    pub fn from_clicks(
        photo: &CanvasPhoto,
        canvas: &Quad,
        corners: [ImagePoint; 4],
        middles: [ImagePoint; 4],
        click_sd: f64,
        lens: Option<&KnownLens>,
    ) -> Result<Self, Unfit> {
        check_corners(photo, corners)?;
        if !middles.iter().all(|middle| photo.holds(*middle)) {
            return Err(Unfit::CornerOutside);
        }
        let rough = CanvasMap::through_corners(photo.view(), corners, canvas, Lens::default())
            .ok_or(Unfit::NoOutline)?;
        check_shape(&rough, canvas)?;
        let outline = clicked(canvas, corners, middles, click_sd, lens);
        let settled = estimate(&rough, &outline).ok_or(Unfit::NoMap)?;
        check_tilt(&settled.map, canvas, STEEPEST_TILT.to_degrees())?;
        Ok(Self { rms_px: settled.spots_rms, map: settled.map, outline })
    }

    /// The slant: between the line of sight to the canvas's middle and the line square to the canvas.
    pub fn tilt(&self, canvas: &Quad) -> Angle {
        tilt(&self.map, canvas)
    }
}

/// What eight clicks say.
pub(super) fn clicked(
    canvas: &Quad,
    corners: [ImagePoint; 4],
    middles: [ImagePoint; 4],
    click_sd: f64,
    lens: Option<&KnownLens>,
) -> Evidence {
    let spots = corners.iter().zip(canvas.corners).map(|(click, corner)| Spot {
        pixel: Vector2::new(click.x, click.y),
        place: millimetres(corner),
        sd: click_sd,
    });
    let curves = clicked_edges(canvas, middles, click_sd);
    Evidence { curves, spots: spots.collect(), beforehand: Beforehand::of(lens) }
}

/// The middles of the edges as curves of one point.
fn clicked_edges(canvas: &Quad, middles: [ImagePoint; 4], click_sd: f64) -> Vec<Curve> {
    Side::ALL
        .into_iter()
        .zip(middles)
        .map(|(side, click)| {
            let (origin, along, across, length) = crate::edges::side_frame(canvas, side);
            let points = vec![Vector2::new(click.x, click.y)];
            // A single click has no neighbours to be judged by: it keeps its say.
            let spread = 10.0 * click_sd;
            Curve {
                origin,
                along,
                across,
                length,
                own: super::Own::Edge { bow: BOW_SD, place: PLACE_SD },
                points,
                spread,
                sd: click_sd,
            }
        })
        .collect()
}

pub(crate) fn check_corners(photo: &CanvasPhoto, corners: [ImagePoint; 4]) -> Result<(), Unfit> {
    if !corners.iter().all(|corner| photo.holds(*corner)) {
        return Err(Unfit::CornerOutside);
    }
    // A corner that lies outside is set as near to it as the photo goes.
    if !corners.iter().all(|corner| photo.shows_around(*corner)) {
        return Err(Unfit::CutOff);
    }
    let at = |corner: usize| corners[corner % 4];
    let spans = (0..4).map(|corner| at(corner).distance_to(at(corner + 1)));
    let shortest = spans.fold(f64::INFINITY, f64::min);
    let turns: Vec<f64> = (0..4)
        .map(|corner| {
            let (a, b, c) = (at(corner), at(corner + 1), at(corner + 2));
            let sides = a.distance_to(b) * b.distance_to(c);
            ((b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x)) / sides.max(f64::MIN_POSITIVE)
        })
        .collect();
    if turns.iter().all(|turn| *turn < -STRAIGHT) {
        return Err(Unfit::Mirrored);
    }
    if !turns.iter().all(|turn| *turn > STRAIGHT) {
        return Err(Unfit::NoOutline);
    }
    if shortest < LEAST_SPAN { Err(Unfit::CanvasTooSmall) } else { Ok(()) }
}

fn check_tilt(map: &CanvasMap, canvas: &Quad, most: f64) -> Result<(), Unfit> {
    let tilt = tilt(map, canvas);
    if tilt.to_degrees() <= most { Ok(()) } else { Err(Unfit::Tilted { tilt }) }
}

fn tilt(map: &CanvasMap, canvas: &Quad) -> Angle {
    let [across, down] = map.axes();
    let normal = across.cross(&down).normalize();
    let middle = canvas.corners.iter().map(|corner| millimetres(*corner)).sum::<Vector2<f64>>() / 4.0;
    let sight: Vector3<f64> = map.ray(middle).normalize();
    Angle::radians(normal.dot(&sight).abs().min(1.0).acos())
}

/// The canvas's width divided by its height, as the pose and the focal length have it.
fn check_shape(map: &CanvasMap, canvas: &Quad) -> Result<(), Unfit> {
    let [across, down] = map.axes();
    let stretched = across.norm() / down.norm();
    let bounds = canvas.bounds();
    let planned = bounds.width / bounds.height;
    if (stretched.ln()).abs() > OTHER_SHAPE {
        return Err(Unfit::OtherShape { seen: planned * stretched, planned });
    }
    Ok(())
}

fn check_edges(start: &CanvasMap, canvas: &Quad, edges: &[SeenEdge; 4]) -> Result<(), Unfit> {
    for edge in edges {
        let least = match edge {
            SeenEdge { unfolded: true, .. } => LEAST_UNFOLDED,
            SeenEdge { seen_share: WELL_SEEN.., .. } => LEAST_CONTRAST,
            _ => LEAST_PARTLY_SEEN,
        };
        if edge.seen_share < LEAST_SEEN || edge.contrast.abs() < least {
            return Err(Unfit::EdgeNotSeen { side: edge.side });
        }
    }
    let middle = canvas.corners[0].towards(canvas.corners[2], 0.5);
    let blur = median(edges.iter().map(|edge| edge.blur)).unwrap_or(0.0) / start.pixels_per_mm(middle);
    if blur > WIDEST_BLUR { Err(Unfit::Blurred { width_mm: blur }) } else { Ok(()) }
}

/// An edge that runs beside both of its corners, to the same side, is another than the one that a person set them on. One corner alone may
/// have been set carelessly, and all four when all edges lie within what was set, or all without.
fn check_near_given(map: &CanvasMap, given: [ImagePoint; 4], canvas: &Quad, scale: f64) -> Result<(), Unfit> {
    let beside = Side::ALL.map(|side| {
        let at = side as usize;
        let ends = [at, (at + 1) % 4];
        let [from, to] = ends.map(|end| Vector2::new(given[end].x, given[end].y));
        let along = (to - from).normalize();
        let off =
            |end: usize, set: Vector2<f64>| along.perp(&(map.pixel(millimetres(canvas.corners[end])) - set));
        (off(ends[0], from), off(ends[1], to))
    });
    let all_within = beside.iter().all(|(first, second)| *first > 0.0 && *second > 0.0);
    let all_without = beside.iter().all(|(first, second)| *first < 0.0 && *second < 0.0);
    if all_within || all_without {
        return Ok(());
    }
    for (side, (first, second)) in Side::ALL.into_iter().zip(beside) {
        let pixels = first.abs().min(second.abs());
        let (from, to) = canvas.side(side);
        let off = pixels / map.pixels_per_mm(from.towards(to, 0.5));
        if first * second > 0.0 && pixels > BESIDE_GIVEN.0 * scale && off > BESIDE_GIVEN.1 {
            return Err(Unfit::EdgeElsewhere { side, off: Length::mm(off) });
        }
    }
    Ok(())
}

fn check_settled(
    settled: &Estimate,
    evidence: &Evidence,
    canvas: &Quad,
    edges: &[SeenEdge; 4],
) -> Result<(), Unfit> {
    for (at, edge) in edges.iter().enumerate() {
        let middle =
            evidence.curves[at].origin + evidence.curves[at].along * (evidence.curves[at].length / 2.0);
        let per_mm = settled.map.pixels_per_mm(plan::CanvasPoint::mm(middle.x, middle.y));
        let off = median(settled.residuals[at].iter().filter(|r| r.is_finite()).map(|r| r.abs()));
        if off.is_none_or(|off| off / per_mm > WILDEST_EDGE) {
            return Err(Unfit::EdgeNotSeen { side: edge.side });
        }
    }
    check_shape(&settled.map, canvas)
}
