//! The similarity that best takes points of the photo to points of the canvas.

use thiserror::Error;

use crate::frame::{Angle, CanvasPoint, PhotoPoint};
use crate::length::Length;
use crate::placing::Placing;

/// The fitted scale below this share of the largest that the points allow means that they turn the other way round.
const COLLAPSED: f64 = 1e-6;

/// A fitted similarity and how well it fits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SimilarityFit {
    /// The similarity of least squared distance on the canvas.
    pub placing: Placing,
    /// Root mean square distance on the canvas between where the points fall and where they should.
    pub residual: Length,
}

/// Why no similarity can be fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum SimilarityError {
    /// Fewer than two points.
    #[error("At least two points are needed to place a photo by points.")]
    TooFewPoints,
    /// All points of the photo coincide.
    #[error("The points lie on top of each other in the photo. Choose points that are far apart.")]
    Coincident,
    /// The points go round the other way.
    #[error("The points only fit the photo seen in a mirror. Check their order, or mirror the photo.")]
    Mirrored,
    /// A coordinate is not a finite number.
    #[error("One of the points has no place.")]
    NotFinite,
}

/// Fits the similarity that takes each photo point to its canvas point with the least sum of squared distances on the
/// canvas. With `mirror`, left and right of the photo are exchanged first.
///
/// In two dimensions the least-squares problem of Umeyama (IEEE PAMI 13, 1991, doi 10.1109/34.88573) without
/// reflection has a closed form: with both sets about their centroids, the complex factor is Σ conj(p)·q / Σ |p|².
///
/// # Errors
/// See [`SimilarityError`].
pub fn fit_similarity(
    pairs: &[(PhotoPoint, CanvasPoint)],
    mirror: bool,
) -> Result<SimilarityFit, SimilarityError> {
    if pairs.len() < 2 {
        return Err(SimilarityError::TooFewPoints);
    }
    if !pairs.iter().all(|(photo, canvas)| photo.is_finite() && canvas.is_finite()) {
        return Err(SimilarityError::NotFinite);
    }
    let count = pairs.len() as f64;
    let flip = if mirror { -1.0 } else { 1.0 };
    let photo_mean = PhotoPoint::new(
        pairs.iter().map(|(photo, _)| photo.x).sum::<f64>() / count,
        pairs.iter().map(|(photo, _)| photo.y).sum::<f64>() / count,
    );
    let canvas_mean = CanvasPoint::mm(
        pairs.iter().map(|(_, canvas)| canvas.x.to_mm()).sum::<f64>() / count,
        pairs.iter().map(|(_, canvas)| canvas.y.to_mm()).sum::<f64>() / count,
    );
    let (mut dot, mut cross, mut photo_spread, mut canvas_spread) = (0.0, 0.0, 0.0, 0.0);
    for (photo, canvas) in pairs {
        let (px, py) = (flip * (photo.x - photo_mean.x), photo.y - photo_mean.y);
        let (qx, qy) = ((canvas.x - canvas_mean.x).to_mm(), (canvas.y - canvas_mean.y).to_mm());
        dot += px * qx + py * qy;
        cross += px * qy - py * qx;
        photo_spread += px * px + py * py;
        canvas_spread += qx * qx + qy * qy;
    }
    if photo_spread <= 0.0 {
        return Err(SimilarityError::Coincident);
    }
    let pixel = dot.hypot(cross) / photo_spread;
    if pixel <= COLLAPSED * (canvas_spread / photo_spread).sqrt() {
        return Err(SimilarityError::Mirrored);
    }
    let turn = Angle::radians(cross.atan2(dot));
    let placing = Placing::through(photo_mean, canvas_mean, Length::mm(pixel), turn, mirror);
    let squares: f64 = pairs
        .iter()
        .map(|(photo, canvas)| placing.to_canvas(*photo).distance_to(*canvas).to_mm().powi(2))
        .sum();
    Ok(SimilarityFit { placing, residual: Length::mm((squares / count).sqrt()) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    type Xy = (f64, f64);

    fn pairs(points: &[(Xy, Xy)]) -> Vec<(PhotoPoint, CanvasPoint)> {
        points.iter().map(|&((x, y), (u, v))| (PhotoPoint::new(x, y), CanvasPoint::mm(u, v))).collect()
    }

    /// The worked example of Umeyama 1991 (three points), without reflection.
    #[test]
    fn the_published_example_is_solved() {
        let points = pairs(&[((0.0, 0.0), (0.0, 0.0)), ((1.0, 0.0), (-1.0, 0.0)), ((0.0, 2.0), (0.0, 2.0))]);
        let fit = fit_similarity(&points, false).unwrap();
        assert!((fit.placing.pixel().to_mm() - 0.721_110_26).abs() < 1e-7);
        let moved = fit.placing.to_canvas(PhotoPoint::new(0.0, 0.0));
        assert!(moved.distance_to(CanvasPoint::mm(-0.8, 0.4)) < Length::mm(1e-9));
        assert!((fit.residual.to_mm().powi(2) - 0.533_333_3).abs() < 1e-6);
    }

    #[test]
    fn a_mirror_image_is_told_instead_of_shrunk_to_a_point() {
        let points = pairs(&[
            ((0.0, 0.0), (1.0, 1.0)),
            ((1.0, 0.0), (1.0, 2.0)),
            ((1.0, 1.0), (2.0, 2.0)),
            ((0.0, 1.0), (2.0, 1.0)),
        ]);
        assert_eq!(fit_similarity(&points, false), Err(SimilarityError::Mirrored));
        assert!(fit_similarity(&points, true).unwrap().residual < Length::mm(1e-9));
    }

    #[test]
    fn too_little_is_told() {
        assert_eq!(fit_similarity(&[], false), Err(SimilarityError::TooFewPoints));
        let same = pairs(&[((3.0, 3.0), (0.0, 0.0)), ((3.0, 3.0), (9.0, 0.0))]);
        assert_eq!(fit_similarity(&same, false), Err(SimilarityError::Coincident));
    }

    proptest! {
        #[test]
        fn a_true_similarity_is_found_again(
            x in -300.0..300.0_f64, y in -300.0..300.0_f64, pixel in 0.02..1.0_f64, turn in -179.0..179.0_f64, mirror: bool,
            photo in prop::collection::vec((0.0..3000.0_f64, 0.0..4000.0_f64), 3..12),
        ) {
            let placing = Placing::new(CanvasPoint::mm(x, y), Length::mm(pixel), Angle::degrees(turn), mirror);
            let points: Vec<_> = photo.iter().map(|&(x, y)| PhotoPoint::new(x, y)).map(|p| (p, placing.to_canvas(p))).collect();
            prop_assume!(points.iter().any(|(p, _)| p.distance_to(points[0].0) > 10.0));
            let fit = fit_similarity(&points, mirror).unwrap();
            prop_assert!(fit.residual < Length::mm(1e-6));
            prop_assert!((fit.placing.pixel() - placing.pixel()).abs() < Length::mm(1e-9));
        }
    }
}
