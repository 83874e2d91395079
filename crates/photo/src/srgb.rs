//! The curve and the luminance of sRGB (IEC 61966-2-1:1999, whose primaries are those of ITU-R BT.709-6).

/// How much red, green and blue light of the same amount make of luminance; together 1.
pub const LUMINANCE: [f64; 3] = [0.2126, 0.7152, 0.0722];

/// The light that a number of sRGB stands for, both from 0 to 1.
pub fn light_of(number: f64) -> f64 {
    if number <= 0.040_45 { number / 12.92 } else { ((number + 0.055) / 1.055).powf(2.4) }
}

/// The number of sRGB that stands for an amount of light, both from 0 to 1.
pub fn number_of(light: f64) -> f64 {
    if light <= 0.003_130_8 { light * 12.92 } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_two_ways_undo_each_other_and_meet_at_the_bend() {
        for number in 0..=255 {
            let number = f64::from(number) / 255.0;
            assert!((number_of(light_of(number)) - number).abs() < 1e-9, "{number}");
        }
        // The standard's own rounding of the bend leaves a step of no more than this.
        assert!((light_of(0.040_45) - 0.003_130_8).abs() < 1e-7);
        assert!((LUMINANCE.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    }
}
