//! The steps of a value map: from two to nine greys, evenly spaced on the Munsell scale.

use photo::srgb::number_of;
use plan::Length;
use thiserror::Error;

use crate::munsell::luminance_of;

/// The darkest and the lightest step: Munsell values 1 and 9, about what black and white oil paint reach, and the ends
/// of a scale of nine steps (Denman Ross, “A Theory of Pure Design”, 1907, from memory).
const ENDS: (f64, f64) = (1.0, 9.0);

/// How many steps a value map has: 2 to 9, evenly spaced from value 1 to value 9. Nine steps are the whole values; five
/// are every other of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ValueSteps(u8);

/// A number of steps that no map has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error("A value map has from 2 to 9 steps, not {count}.")]
pub struct StepsError {
    /// The number asked for.
    pub count: u32,
}

/// One step of a value map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Its number, 1 for the darkest.
    pub number: u8,
    /// Its Munsell value.
    pub value: f64,
    /// The Munsell values it stands for: from here …
    pub from: f64,
    /// … up to here.
    pub to: f64,
    /// Its grey as a number of sRGB, the same for red, green and blue.
    pub grey: u8,
}

impl ValueSteps {
    /// Five steps: few enough to see masses, enough to model a head.
    pub const FIVE: Self = Self(5);

    /// So many steps.
    ///
    /// # Errors
    /// When there are fewer than 2 or more than 9.
    pub fn new(count: u32) -> Result<Self, StepsError> {
        match u8::try_from(count) {
            Ok(few @ 2..=9) => Ok(Self(few)),
            _ => Err(StepsError { count }),
        }
    }

    /// Every number of steps that a map can have, the fewest first.
    pub fn every() -> impl Iterator<Item = Self> {
        (2..=9).map(Self)
    }

    /// How many steps there are.
    pub const fn count(self) -> u8 {
        self.0
    }

    /// All steps, the darkest first: the strip that is printed beside a value map.
    pub fn all(self) -> impl Iterator<Item = Step> {
        (1..=self.0).map(move |number| self.step(number))
    }

    /// The step that a Munsell value belongs to.
    pub fn of(self, value: f64) -> Step {
        let at = ((value - ENDS.0) / self.spacing()).round().clamp(0.0, f64::from(self.0 - 1));
        self.step(at as u8 + 1)
    }

    fn step(self, number: u8) -> Step {
        let spacing = self.spacing();
        let value = ENDS.0 + f64::from(number - 1) * spacing;
        Step {
            number,
            value,
            from: if number == 1 { 0.0 } else { value - spacing / 2.0 },
            to: if number == self.0 { 10.0 } else { value + spacing / 2.0 },
            grey: (number_of(luminance_of(value)) * 255.0).round() as u8,
        }
    }

    fn spacing(self) -> f64 {
        (ENDS.1 - ENDS.0) / f64::from(self.0 - 1)
    }
}

/// How many pixels a length of canvas is, for pixels of this size on it; at least 0.
pub(crate) fn in_pixels(length: Length, pixel: Length) -> f64 {
    let pixels = length / pixel;
    if pixels.is_finite() { pixels.max(0.0) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nine_steps_are_the_whole_values_and_five_every_other() {
        let values = |count| ValueSteps::new(count).unwrap().all().map(|step| step.value).collect::<Vec<_>>();
        assert_eq!(values(9), [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0]);
        assert_eq!(values(5), [1.0, 3.0, 5.0, 7.0, 9.0]);
        assert_eq!(values(2), [1.0, 9.0]);
        // ASTM D1535 and IEC 61966-2-1: the greys of the odd values.
        let greys: Vec<_> = ValueSteps::FIVE.all().map(|step| step.grey).collect();
        assert_eq!(greys, [28, 72, 121, 173, 227]);
        for count in [0, 1, 10, 300] {
            assert_eq!(ValueSteps::new(count), Err(StepsError { count }));
        }
        assert!(ValueSteps::every().map(Ok).eq((2..=9).map(ValueSteps::new)));
    }

    proptest! {
        #[test]
        fn every_value_belongs_to_the_step_whose_band_holds_it(value in 0.0..=10.0_f64, count in 2..=9_u32) {
            let step = ValueSteps::new(count).unwrap().of(value);
            prop_assert!(step.from <= value + 1e-12 && value <= step.to + 1e-12);
        }

        #[test]
        fn the_bands_follow_on_each_other_from_black_to_white(count in 2..=9_u32) {
            let steps: Vec<_> = ValueSteps::new(count).unwrap().all().collect();
            prop_assert_eq!((steps[0].from, steps[steps.len() - 1].to), (0.0, 10.0));
            for pair in steps.windows(2) {
                prop_assert!((pair[0].to - pair[1].from).abs() < 1e-12 && pair[0].grey < pair[1].grey);
            }
        }
    }
}
