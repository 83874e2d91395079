//! The lens: how far its picture is bent from that of a pinhole.

use nalgebra::{Matrix2, Vector2};
use serde::{Deserialize, Serialize};

/// Steps of Newton's method on the radius: from the bent radius, any lens of a telephone is solved in four or five.
const NEWTON_STEPS: usize = 8;

/// Where the bent radius grows by less than this share of the straight one, the lens model folds back on itself.
const FOLD: f64 = 0.2;

/// Radial distortion as D. C. Brown writes it ("Close-range camera calibration", Photogrammetric Engineering 37, 1971):
/// a ray at the distance r from the optical axis, in units of the focal length, is seen at r (1 + k₁r² + k₂r⁴).
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Lens {
    /// k₁: positive for pincushion, negative for barrel. A telephone's main camera stays within ±0.1.
    pub k1: f64,
    /// k₂.
    pub k2: f64,
}

/// A straightened place and how it changes.
pub(crate) struct Straightened {
    /// The place that a pinhole would have shown, in units of the focal length from the optical axis.
    pub(crate) at: Vector2<f64>,
    /// Its change with the bent place.
    pub(crate) by_place: Matrix2<f64>,
    /// Its change with k₁ and with k₂.
    pub(super) by_lens: [Vector2<f64>; 2],
}

impl Lens {
    /// Where a ray is seen that a pinhole would have shown at `straight`, both in units of the focal length.
    pub(crate) fn bent(self, straight: Vector2<f64>) -> Vector2<f64> {
        let r2 = straight.norm_squared();
        straight * (1.0 + r2 * (self.k1 + r2 * self.k2))
    }

    /// The place that a pinhole would have shown of what is seen at `bent`; `None` where the lens model folds back.
    pub(crate) fn straightened(self, bent: Vector2<f64>) -> Option<Straightened> {
        let bent_radius = bent.norm();
        let mut radius = bent_radius;
        for _ in 0..NEWTON_STEPS {
            let growth = self.growth(radius);
            if growth < FOLD {
                return None;
            }
            let r2 = radius * radius;
            radius -= (radius * (1.0 + r2 * (self.k1 + r2 * self.k2)) - bent_radius) / growth;
        }
        if !radius.is_finite() || radius < 0.0 || self.growth(radius) < FOLD {
            return None;
        }
        let r2 = radius * radius;
        let at = bent / (1.0 + r2 * (self.k1 + r2 * self.k2));
        let across = 1.0 + r2 * (self.k1 + r2 * self.k2);
        let slopes =
            Matrix2::identity() * across + at * at.transpose() * (2.0 * self.k1 + 4.0 * self.k2 * r2);
        let by_place = slopes.try_inverse()?;
        let shift = by_place * at * -r2;
        Some(Straightened { at, by_place, by_lens: [shift, shift * r2] })
    }

    /// How fast the bent radius grows with the straight one.
    fn growth(self, radius: f64) -> f64 {
        let r2 = radius * radius;
        1.0 + r2 * (3.0 * self.k1 + 5.0 * self.k2 * r2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn straightening_undoes_bending(x in -0.6..0.6_f64, y in -0.8..0.8_f64, k1 in -0.1..0.1_f64, k2 in -0.03..0.03_f64) {
            let lens = Lens { k1, k2 };
            let back = lens.straightened(lens.bent(Vector2::new(x, y))).unwrap();
            prop_assert!((back.at - Vector2::new(x, y)).norm() < 1e-12);
        }

        #[test]
        fn the_slopes_are_those_of_small_steps(x in -0.6..0.6_f64, y in -0.8..0.8_f64, k1 in -0.1..0.1_f64, k2 in -0.03..0.03_f64) {
            let step = 1e-5;
            let at = |[x, y, k1, k2]: [f64; 4]| Lens { k1, k2 }.straightened(Vector2::new(x, y)).unwrap().at;
            let bent = Lens { k1, k2 }.bent(Vector2::new(x, y));
            let here = [bent.x, bent.y, k1, k2];
            let slopes = Lens { k1, k2 }.straightened(bent).unwrap();
            let columns = [slopes.by_place.column(0).into_owned(), slopes.by_place.column(1).into_owned()];
            for (number, slope) in columns.into_iter().chain(slopes.by_lens).enumerate() {
                // To both sides: a step to one side alone is off by the curve.
                let moved = |by: f64| at(std::array::from_fn(|at| here[at] + if at == number { by } else { 0.0 }));
                prop_assert!(((moved(step) - moved(-step)) / (2.0 * step) - slope).norm() < 1e-6);
            }
        }
    }

    #[test]
    fn a_lens_that_folds_back_is_not_followed() {
        assert!(Lens { k1: -0.9, k2: 0.0 }.straightened(Vector2::new(0.7, 0.5)).is_none());
    }
}
