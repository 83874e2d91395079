//! Estimating until the noise assumed is the noise left over.

use nalgebra::Vector2;
use plan::{CanvasPoint, Quad};
use serde::{Deserialize, Serialize};

use super::canvas_map::{AT_AXIS, AT_K1, CanvasMap, Numbers};
use super::estimate::{Beforehand, Curve, Estimate, Evidence, Own, estimate};
use super::lens::Lens;
use super::noise::Noise;
use crate::camera::CanvasPhoto;
use crate::edges::{SeenEdge, side_frame};

/// Spread of k₁ among main cameras of telephones before anything is measured.
const K1_SD: f64 = 0.06;

/// Spread of k₂ among them.
const K2_SD: f64 = 0.02;

/// How far the optical axis lies from the photo's middle, standard deviation in units of the focal length: 15 pixels of
/// 3000, which the shifting lens of a stabiliser explains.
const AXIS_SD: f64 = 0.005;

/// The noise of an edge's points before any was seen, in pixels of a 12-megapixel photo.
const FIRST_SPREAD: f64 = 0.5;

/// By how much neighbours' like errors widen it, before any was seen.
const FIRST_WIDENING: f64 = 2.0;

/// No photo's points are finer than this, in pixels of a 12-megapixel photo.
const FINEST: f64 = 0.05;

/// Rounds of estimating and judging the noise.
const ROUNDS: usize = 3;

/// The bow of stretcher bars between their corners, standard deviation in mm: of bars between good and poor.
pub(crate) const BOW_SD: f64 = 0.25;

/// How far the edge seen lies beside the edge that a ruler is held to, standard deviation in mm: it is a fold of cloth, a
/// millimetre round (common practice, no source).
pub(crate) const PLACE_SD: f64 = 0.04;

/// How far the shade of its fold draws an edge aside, standard deviation in mm times the height of its step as a share of the
/// canvas's light: the lower the step, the more of what is seen is the fold. Of rendered edges with a fold a tenth darker, whose step
/// was 0.13 high, 0.06 mm; of such with 0.03, 0.3 mm.
const FOLD_PULL: f64 = 0.008;

/// What is left of that where the shade was found and taken out.
const UNFOLDED_PULL: f64 = 0.004;

/// How far an edge whose step is softer than the sharpest of the four may be drawn aside, standard deviation in units of that
/// softness (the standard deviation of the further blur): what looks like one step is the canvas's and a shadow's beside it.
const SOFT_PULL: f64 = 0.5;

/// A line drawn along a ruler wobbles by this much, standard deviation in mm (common practice, no source),
pub(crate) const WOBBLE: f64 = 0.05;

/// over about this length, mm.
const WOBBLE_LENGTH: f64 = 40.0;

/// For how many edges' worth of experience that stands: what four edges show moves it, once lines let it be seen.
const BOW_EXPERIENCE: f64 = 1.0;

/// A lens that was measured before.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct KnownLens {
    /// Its distortion.
    pub lens: Lens,
    /// Standard deviation of k₁.
    pub k1_sd: f64,
    /// Standard deviation of k₂.
    pub k2_sd: f64,
    /// The focal length in units of which the distortion is; those kept by earlier versions do not say.
    #[serde(default)]
    pub focal: Option<LensFocal>,
}

/// The focal length that a photo was measured with.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct LensFocal {
    /// As a share of the photo's longer side: sending a photo by message makes that smaller, and a wide picture is cut from a sensor's
    /// whole length, but neither changes this share of one camera.
    pub per_side: f64,
    /// Whether the photo told it. If not, the usual one was assumed.
    pub is_told: bool,
}

/// A photo whose focal length differs from that of the lens measured by more than this share was taken with another camera. A wide picture cut
/// from the same sensor says the same number, by its shorter diagonal: 8 % for one of 16 by 9.
const SAME_LENS: f64 = 0.12;

impl LensFocal {
    /// That of a photo.
    pub(crate) fn of(photo: &CanvasPhoto) -> Self {
        let focal = photo.focal();
        Self { per_side: focal.pixels / photo.longer_side(), is_told: focal.is_told }
    }
}

impl KnownLens {
    /// The lens in units of the focal length that is taken for this photo's; `None` if it was taken with another camera, as far as both
    /// photos tell. What is bent is pixels: in units of a focal length assumed otherwise the same bend is another number.
    pub(crate) fn for_photo(&self, photo: &CanvasPhoto) -> Option<Self> {
        let (Some(known), here) = (self.focal, LensFocal::of(photo)) else { return Some(*self) };
        let share = here.per_side / known.per_side;
        if known.is_told && here.is_told && (share - 1.0).abs() > SAME_LENS {
            return None;
        }
        let squared = share * share;
        let Lens { k1, k2 } = self.lens;
        Some(Self {
            lens: Lens { k1: k1 * squared, k2: k2 * squared * squared },
            k1_sd: self.k1_sd * squared,
            k2_sd: self.k2_sd * squared * squared,
            focal: Some(here),
        })
    }
}

/// A lens changes by as much from photo to photo, since it breathes with the focus.
const LENS_CHANGES: f64 = 0.002;

impl Beforehand {
    /// What is known of the camera.
    pub(crate) fn of(lens: Option<&KnownLens>) -> Self {
        let mut known = Self::of_a_telephone();
        if let Some(measured) = lens {
            (known.mean[AT_K1], known.mean[AT_K1 + 1]) = (measured.lens.k1, measured.lens.k2);
            known.sd[AT_K1] = measured.k1_sd.hypot(LENS_CHANGES);
            known.sd[AT_K1 + 1] = measured.k2_sd.hypot(LENS_CHANGES);
        }
        known
    }

    /// What is known of a telephone's main camera that has not been measured.
    pub(crate) fn of_a_telephone() -> Self {
        let mut sd = Numbers::repeat(f64::INFINITY);
        (sd[AT_K1], sd[AT_K1 + 1]) = (K1_SD, K2_SD);
        (sd[AT_AXIS], sd[AT_AXIS + 1]) = (AXIS_SD, AXIS_SD);
        Self { mean: Numbers::zeros(), sd }
    }
}

/// The edges as evidence: each ends at the canvas's corners, and may bow.
pub(crate) fn edge_curves(edges: &[SeenEdge; 4], start: &CanvasMap, canvas: &Quad, scale: f64) -> Vec<Curve> {
    let sharpest = edges.iter().map(|edge| edge.blur).fold(f64::INFINITY, f64::min);
    edges
        .iter()
        .map(|edge| {
            let (origin, along, across, length) = side_frame(canvas, edge.side);
            let pull = if edge.unfolded { UNFOLDED_PULL } else { FOLD_PULL } / edge.contrast.abs().max(1e-3);
            let middle = origin + along * (length / 2.0);
            let per_mm = start.pixels_per_mm(CanvasPoint::mm(middle.x, middle.y));
            let softer = (edge.blur * edge.blur - sharpest * sharpest).max(0.0).sqrt();
            Curve {
                origin,
                along,
                across,
                length,
                own: Own::Edge {
                    bow: BOW_SD,
                    place: PLACE_SD.hypot(pull).hypot(SOFT_PULL * softer / per_mm),
                },
                points: edge.points.clone(),
                spread: FIRST_SPREAD * scale,
                sd: FIRST_SPREAD * FIRST_WIDENING * scale,
            }
        })
        .collect()
}

/// A ruled line as evidence: it is straight, wherever it lies.
pub(crate) fn line_curve(
    (origin, along, across, length): (Vector2<f64>, Vector2<f64>, Vector2<f64>, f64),
    points: Vec<Vector2<f64>>,
    scale: f64,
) -> Curve {
    let (spread, sd) = (FIRST_SPREAD * scale, FIRST_SPREAD * FIRST_WIDENING * scale);
    Curve { origin, along, across, length, own: Own::Lies, points, spread, sd }
}

/// Estimates, judges the noise by what is left over, and estimates again with it.
pub(crate) fn settle(start: &CanvasMap, evidence: &mut Evidence, scale: f64) -> Option<Estimate> {
    let mut settled = estimate(start, evidence)?;
    for _ in 0..ROUNDS {
        for edges in [true, false] {
            let of_this_kind = |curve: &Curve| matches!(curve.own, Own::Edge { .. }) == edges;
            let residuals = evidence
                .curves
                .iter()
                .zip(&settled.residuals)
                .filter(|(curve, _)| of_this_kind(curve))
                .map(|(_, residuals)| &residuals[..]);
            let Some(noise) = Noise::of(residuals) else { continue };
            for curve in evidence.curves.iter_mut().filter(|curve| of_this_kind(curve)) {
                curve.spread = noise.sd.max(FINEST * scale);
                curve.sd = noise.effective_sd().max(FINEST * scale).max(least_sd(curve, &settled.map));
            }
        }
        learn_bow(&settled, evidence);
        settled = estimate(&settled.map, evidence)?;
    }
    Some(settled)
}

/// The hand's wobble along a ruler as the standard deviation that one point of a line must count for, in pixels; 0 for an
/// edge. What is left over along one line is too little to judge it by.
fn least_sd(curve: &Curve, map: &CanvasMap) -> f64 {
    if curve.own != Own::Lies || curve.points.is_empty() {
        return 0.0;
    }
    let middle = curve.origin + curve.along * (curve.length / 2.0);
    let alike = (WOBBLE_LENGTH * curve.points.len() as f64 / curve.length).max(1.0);
    WOBBLE * map.pixels_per_mm(CanvasPoint::mm(middle.x, middle.y)) * alike.sqrt()
}

/// Brings the spread of the bows assumed nearer to what the edges show (one step of expectation and maximisation, with an
/// inverse-gamma prior), so that neither a canvas with straight edges nor one with poor bars is held to the common run.
fn learn_bow(settled: &Estimate, evidence: &mut Evidence) {
    let (mut sum, mut count) = (BOW_EXPERIENCE * BOW_SD * BOW_SD, BOW_EXPERIENCE);
    for (at, curve) in evidence.curves.iter().enumerate() {
        if matches!(curve.own, Own::Edge { .. }) {
            let ([bow, _], [[variance, _], _]) = settled.own(at);
            sum += bow * bow + variance;
            count += 1.0;
        }
    }
    for curve in &mut evidence.curves {
        if let Own::Edge { bow, .. } = &mut curve.own {
            *bow = (sum / count).sqrt();
        }
    }
}

#[cfg(test)]
mod tests {
    use photo::{CameraFacts, Picture};

    use super::*;

    fn taken(width: u32, height: u32, focal_length_35mm: Option<f64>) -> CanvasPhoto {
        let picture = Picture::from_rgb(width, height, vec![120; (3 * width * height) as usize]).unwrap();
        CanvasPhoto::new(&picture, &CameraFacts { focal_length_35mm, ..CameraFacts::default() }).unwrap()
    }

    /// How far the lens bends a point this far from the photo's middle, as a share of the photo's longer side.
    fn bends(known: &KnownLens, photo: &CanvasPhoto, far: f64) -> f64 {
        let radius = far * photo.longer_side() / photo.focal().pixels;
        let Lens { k1, k2 } = known.lens;
        far * (k1 * radius.powi(2) + k2 * radius.powi(4))
    }

    #[test]
    fn a_lens_bends_pixels_alike_whatever_focal_length_is_taken_for_it() {
        let card = taken(1200, 900, Some(23.0));
        let lens = Lens { k1: -0.08, k2: 0.01 };
        let known = KnownLens { lens, k1_sd: 0.001, k2_sd: 0.002, focal: Some(LensFocal::of(&card)) };
        let bent = bends(&known, &card, 0.4);
        // Sent by message, without its focal length and smaller; and cut to 16 by 9 from the sensor's whole length.
        for photo in [taken(1200, 900, None), taken(1024, 768, None), taken(1600, 900, Some(23.0))] {
            let here = known.for_photo(&photo).unwrap();
            assert!((bends(&here, &photo, 0.4) - bent).abs() < 1e-12, "{here:?}");
            assert!((here.k1_sd / here.lens.k1 - known.k1_sd / known.lens.k1).abs() < 1e-12);
        }
        assert_eq!(
            known.for_photo(&taken(1200, 900, Some(13.0))),
            None,
            "another camera of the same telephone"
        );
        let earlier = KnownLens { focal: None, ..known };
        assert_eq!(earlier.for_photo(&taken(1200, 900, Some(13.0))), Some(earlier));
    }
}
