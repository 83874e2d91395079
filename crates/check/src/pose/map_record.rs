//! The map as it is written down, so that a check that was kept can be gone on with.

use nalgebra::{Matrix3, Vector2};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::canvas_map::{CanvasMap, Covariance, NUMBERS, Numbers, View};

/// The map in bare numbers.
#[derive(Serialize, Deserialize)]
pub(super) struct MapRecord {
    /// The photo's middle, in pixels.
    middle_px: [f64; 2],
    /// The focal length assumed, in pixels.
    focal_px: f64,
    /// The canvas's middle, mm.
    middle_mm: [f64; 2],
    /// The length in which the homography counts, mm.
    unit_mm: f64,
    /// Eight numbers of the homography, k₁, k₂, and the optical axis's place.
    numbers: [f64; NUMBERS],
    /// Their covariance: the lower triangle, row after row.
    covariance: Vec<f64>,
}

/// The numbers make no map.
#[derive(Debug, Error)]
#[error("The map of this check cannot be read.")]
pub(super) struct NoMap;

impl From<CanvasMap> for MapRecord {
    fn from(map: CanvasMap) -> Self {
        let CanvasMap { view, middle, unit, numbers, covariance, .. } = map;
        let triangle = (0..NUMBERS).flat_map(|row| (0..=row).map(move |column| (row, column)));
        Self {
            middle_px: view.middle.into(),
            focal_px: view.focal,
            middle_mm: middle.into(),
            unit_mm: unit,
            numbers: numbers.into(),
            covariance: triangle.map(|at| covariance[at]).collect(),
        }
    }
}

impl TryFrom<MapRecord> for CanvasMap {
    type Error = NoMap;

    fn try_from(record: MapRecord) -> Result<Self, NoMap> {
        let MapRecord { middle_px, focal_px, middle_mm, unit_mm, numbers, covariance } = record;
        let finite = |numbers: &[f64]| numbers.iter().all(|number| number.is_finite());
        let sound = focal_px > 0.0
            && unit_mm > 0.0
            && finite(&[focal_px, unit_mm])
            && finite(&[middle_px, middle_mm].concat())
            && finite(&covariance)
            && covariance.len() == NUMBERS * (NUMBERS + 1) / 2;
        if !sound {
            return Err(NoMap);
        }
        let whole = Covariance::from_fn(|row, column| {
            let (row, column) = (row.max(column), row.min(column));
            covariance[row * (row + 1) / 2 + column]
        });
        let numbers = Numbers::from(numbers);
        let bare = Self {
            view: View { middle: Vector2::from(middle_px), focal: focal_px },
            middle: Vector2::from(middle_mm),
            unit: unit_mm,
            numbers,
            to_rays: Matrix3::identity(),
            covariance: whole,
        };
        bare.with(numbers, &whole).ok_or(NoMap)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::ImagePoint;
    use crate::pose::Lens;
    use plan::{CanvasPoint, CanvasRect, Length, Quad};

    #[test]
    fn a_map_that_was_written_down_is_the_same_map_and_nonsense_is_none() {
        let canvas: Quad = CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(300.0), Length::mm(400.0)).into();
        let corners = [(300.0, 400.0), (2700.0, 450.0), (2650.0, 3600.0), (330.0, 3550.0)]
            .map(|(x, y)| ImagePoint::new(x, y));
        let view = View { middle: Vector2::new(1512.0, 2016.0), focal: 3000.0 };
        let map = CanvasMap::through_corners(view, corners, &canvas, Lens { k1: -0.05, k2: 0.01 }).unwrap();
        let covariance = Covariance::from_fn(|row, column| 1e-9 * ((row + 1) * (column + 1)) as f64);
        let map = map.with(*map.numbers(), &covariance).unwrap();
        let written = serde_json::to_string(&map).unwrap();
        let read: CanvasMap = serde_json::from_str(&written).unwrap();
        for (x, y) in [(400.0, 500.0), (1500.0, 2000.0), (2600.0, 3500.0)] {
            let point = ImagePoint::new(x, y);
            let (there, here) = (read.to_canvas(point).unwrap(), map.to_canvas(point).unwrap());
            assert!(there.distance_to(here) < Length::mm(1e-9));
            assert!(
                (read.covariance_at(point).unwrap()[0][1] / map.covariance_at(point).unwrap()[0][1] - 1.0)
                    .abs()
                    < 1e-9
            );
        }
        for (from, to) in
            [("\"focal_px\":3000.0", "\"focal_px\":0.0"), ("\"covariance\":[", "\"covariance\":[1.0,")]
        {
            assert!(written.contains(from));
            assert!(serde_json::from_str::<CanvasMap>(&written.replace(from, to)).is_err(), "{to}");
        }
    }
}
