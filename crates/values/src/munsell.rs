//! Munsell value and luminance.

use std::sync::LazyLock;

/// The luminance of a grey of Munsell value `value`, from 0 for none to 1 for a perfect diffuser; values are held to 0
/// to 10.
///
/// ASTM D1535-08: Y = 1.1914 V − 0.22533 V² + 0.23352 V³ − 0.020484 V⁴ + 0.00081939 V⁵ in per cent. Tables that give 19.77
/// for V = 5 are of the older scale whose white is magnesium oxide.
pub fn luminance_of(value: f64) -> f64 {
    let v = value.clamp(0.0, 10.0);
    v * (1.1914 + v * (-0.225_33 + v * (0.233_52 + v * (-0.020_484 + v * 0.000_819_39)))) / 100.0
}

/// The Munsell value, 0 to 10, of a luminance from 0 for none to 1 for a perfect diffuser; what is brighter is 10.
///
/// [`luminance_of`] inverted by bisection: it rises everywhere between 0 and 10.
pub fn value_of(luminance: f64) -> f64 {
    if luminance >= 1.0 {
        return 10.0;
    }
    let (mut low, mut high) = (0.0, 10.0);
    // Each step halves the interval; fifty of them leave less than 1e-14 of ten.
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if luminance_of(middle) < luminance { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

/// As many luminances as the [`Values`] table holds: fine enough to err by under 0.001 of value.
const TABLE: usize = 8192;

/// The Munsell values of luminances, quick to look up.
pub(crate) struct Values {
    /// By the square root of luminance, in even steps.
    table: Vec<f32>,
}

static VALUES: LazyLock<Values> = LazyLock::new(Values::new);

/// The table, made once.
pub(crate) fn values() -> &'static Values {
    &VALUES
}

impl Values {
    fn new() -> Self {
        let last = (TABLE - 1) as f64;
        Self { table: (0..TABLE).map(|at| value_of((at as f64 / last).powi(2)) as f32).collect() }
    }

    /// The value of a luminance from 0 to 1.
    pub(crate) fn of(&self, luminance: f32) -> f32 {
        let at = (luminance.clamp(0.0, 1.0).sqrt() * (TABLE - 1) as f32 + 0.5) as usize;
        self.table[at]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// ASTM D1535: the luminance factors of the even values, in per cent, to the digits of the table.
    #[test]
    fn the_even_values_have_the_luminance_of_the_standard() {
        let table = [1.18, 3.05, 6.39, 11.70, 19.27, 29.30, 41.99, 57.62, 76.70, 100.0];
        for (value, percent) in (1..).zip(table) {
            assert!((luminance_of(f64::from(value)) * 100.0 - percent).abs() < 0.006, "{value}");
        }
        assert_eq!((value_of(0.0).round(), value_of(2.0), value_of(f64::NAN).is_nan()), (0.0, 10.0, false));
    }

    proptest! {
        #[test]
        fn value_and_luminance_undo_each_other(value in 0.0..=10.0_f64) {
            prop_assert!((value_of(luminance_of(value)) - value).abs() < 1e-9);
        }

        #[test]
        fn the_table_errs_by_less_than_a_five_hundredth(luminance in 0.0..=1.0_f64) {
            let value = f64::from(values().of(luminance as f32));
            prop_assert!((value - value_of(luminance)).abs() < 0.002);
        }
    }
}
