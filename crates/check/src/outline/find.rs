//! Proposes where the canvas lies in the photo.
//!
//! No edge score can tell a wrong outline from a right one: a shelf, a frame or a painted border can be as straight and as
//! clear as the canvas. So proposals are ranked, at most three are made, and each is to be confirmed by a person.

use plan::{CanvasPoint, GridLine, Size};
use rayon::prelude::*;

use super::Outline;
use super::edges::EdgePicture;
use super::expected::{likeness, lines_seen};
use super::quads::{Candidate, Tracks};
use crate::frame::ImagePoint;
use crate::luma::Luma;

/// The most outlines proposed: more are a puzzle.
pub const MOST_PROPOSALS: usize = 3;

/// The most candidates that are held against the plan.
const HELD_AGAINST_PLAN: usize = 60;

/// Corners nearer than this share of the photo's diagonal are the same corner.
const SAME: f64 = 0.006;

/// Focal length in photo diagonals of a phone's main camera, 26 mm by the 35 mm equivalent, when the file tells none.
const USUAL_FOCAL: f64 = 26.0 / 43.27;

/// What is known of the canvas before it is found.
#[derive(Clone, Copy)]
pub struct Expected<'a> {
    /// The canvas's size.
    pub size: Size,
    /// The lines planned on it: where they are seen, the outline is right. None are needed.
    pub lines: &'a [GridLine],
    /// Focal length of the photo in its pixels, if the file tells it.
    pub focal_px: Option<f64>,
    /// The light that the painting should have at a point of the canvas, if it has a reference: linear, 0 to 1, averaged over
    /// about a thirtieth of the canvas.
    pub reference: Option<&'a (dyn Fn(CanvasPoint) -> Option<f64> + Sync)>,
}

/// Where the canvas may lie, the likeliest first, at most [`MOST_PROPOSALS`]. Empty when no four edges can be followed, as
/// when wall and canvas have the same tone.
///
/// Works on about a megapixel, so that corners are good to a few pixels of a 12 megapixel photo: enough to be refined from.
pub fn find_outlines(luma: &Luma, expected: &Expected<'_>) -> Vec<Outline> {
    let picture = EdgePicture::of(luma);
    let tracks = Tracks::of(&picture);
    let diagonal = (picture.width as f64).hypot(picture.height as f64);
    let focal = expected.focal_px.map_or(USUAL_FOCAL * diagonal, |focal| focal / picture.scale);
    let shape = expected.size.width / expected.size.height;
    let candidates = distinct(tracks.candidates(&picture, shape, focal), SAME * diagonal, HELD_AGAINST_PLAN);
    let mut judged: Vec<Candidate> = candidates
        .into_par_iter()
        .map(|candidate| {
            let lines = lines_seen(&picture, &tracks, &candidate, expected.size, expected.lines);
            let alike = expected
                .reference
                .map_or(0.0, |reference| likeness(&picture, &tracks, &candidate, expected.size, reference));
            // Seen lines and likeness say more than any edge does, but neither need be there.
            Candidate { score: candidate.score + 0.25 * lines + 0.3 * alike, ..candidate }
        })
        .collect();
    judged.sort_by(|a, b| b.score.total_cmp(&a.score));
    outermost_first(&mut judged);
    judged
        .iter()
        .take(MOST_PROPOSALS)
        .map(|candidate| {
            Outline::automatic(
                candidate.corners.map(|[x, y]| ImagePoint::new(x * picture.scale, y * picture.scale)),
            )
        })
        .collect()
}

/// The first of each group of candidates that share their corners.
fn distinct(candidates: Vec<Candidate>, same: f64, most: usize) -> Vec<Candidate> {
    let mut kept: Vec<Candidate> = Vec::new();
    for candidate in candidates {
        let known = kept.iter().any(|other| farthest(other, &candidate) < same);
        if !known {
            kept.push(candidate);
        }
        if kept.len() == most {
            break;
        }
    }
    kept
}

fn farthest(a: &Candidate, b: &Candidate) -> f64 {
    a.corners.iter().zip(b.corners).map(|(p, q)| (p[0] - q[0]).hypot(p[1] - q[1])).fold(0.0, f64::max)
}

/// Scores nearer than this are equal: then the larger outline goes first, because a painting has edges within its own.
const NEARLY_EQUAL: f64 = 0.008;

fn outermost_first(judged: &mut [Candidate]) {
    let Some(best) = judged.first().map(|candidate| candidate.score) else { return };
    let equal = judged.iter().take_while(|candidate| candidate.score > best - NEARLY_EQUAL).count();
    judged[..equal].sort_by(|a, b| b.area.total_cmp(&a.area));
}
