//! By how much one picture is lighter or darker than another, as a grey.

use photo::Picture;
use rayon::prelude::*;

use crate::light::{light, pixel, same_size};
use crate::munsell::{luminance_of, values};

/// The value of the grey where both are alike.
pub const ALIKE: f64 = 5.0;

/// How many greys a step of value is told in.
const GREYS: usize = 50;

/// A grey for each pixel of `picture`: of value [`ALIKE`] where it is as light as that of `than`, and by as many steps of value
/// lighter or darker as it is itself. `picture` is first made brighter by `stops`. Both ought to be equally large: the result is
/// as large as `than`.
pub fn difference(picture: &Picture, than: &Picture, stops: f64) -> Picture {
    let (light, values, brighter) = (light(), values(), stops.exp2() as f32);
    let greys: Vec<u8> =
        (0..=10 * GREYS).map(|at| light.encode(luminance_of(at as f64 / GREYS as f64) as f32)).collect();
    let code = |value: f64| greys[(value.clamp(0.0, 10.0) * GREYS as f64).round() as usize];
    let luminance = |pixels: &[u8]| light.luminance(pixel(pixels, 0));
    let mut rgb = vec![code(ALIKE); than.rgb().len()];
    rgb.par_chunks_exact_mut(3)
        .zip(picture.rgb().par_chunks_exact(3).zip(than.rgb().par_chunks_exact(3)))
        .with_min_len(1 << 12)
        .for_each(|(grey, (here, other))| {
            let [here, other] = [luminance(here) * brighter, luminance(other)];
            grey.fill(code(ALIKE + f64::from(values.of(here.min(1.0)) - values.of(other))));
        });
    same_size(than, rgb)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ASTM D1535 and IEC 61966-2-1: the numbers of the greys of values 2, 3, 5, 7 and 8.
    #[test]
    fn two_steps_too_light_is_two_steps_above_the_middle() {
        let row = |codes: [u8; 3]| {
            Picture::from_rgb(3, 1, codes.iter().flat_map(|code| [*code; 3]).collect()).unwrap()
        };
        let told = difference(&row([72, 121, 121]), &row([121, 121, 72]), 0.0);
        let near = |at: usize, code: u8| told.rgb()[3 * at].abs_diff(code) <= 1;
        assert!(near(0, 72) && near(1, 121) && near(2, 173), "{:?}", told.rgb());
        // One stop brighter, value 5 (Y 19.3 %) becomes value 6.8.
        let brighter = difference(&row([121; 3]), &row([121; 3]), 1.0);
        assert!((165..=170).contains(&brighter.rgb()[0]), "{:?}", brighter.rgb());
    }

    #[test]
    fn a_picture_of_another_size_is_no_fault() {
        let small = Picture::from_rgb(1, 1, vec![9; 3]).unwrap();
        let large = Picture::from_rgb(2, 2, vec![200; 12]).unwrap();
        assert_eq!(difference(&small, &large, 0.0).rgb().len(), 12);
        assert_eq!(difference(&large, &small, 0.0).rgb().len(), 3);
    }
}
