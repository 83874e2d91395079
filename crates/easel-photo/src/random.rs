//! Chance that is the same every time: a generator for parameters, and hashed noise for surfaces.

/// A small generator of even quality (`SplitMix64`: Steele, Lea, Flood, "Fast splittable pseudorandom number generators",
/// OOPSLA 2014). The same seed gives the same numbers on every machine.
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// Numbers that follow from `seed`.
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly from `low` up to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// True in `share` of all cases.
    pub fn happens(&mut self, share: f64) -> bool {
        self.between(0.0, 1.0) < share
    }

    /// Normally distributed about 0 with this standard deviation (Box and Muller, 1958).
    pub fn normal(&mut self, deviation: f64) -> f64 {
        let radius = (-2.0 * self.between(f64::EPSILON, 1.0).ln()).sqrt();
        deviation * radius * (std::f64::consts::TAU * self.between(0.0, 1.0)).cos()
    }

    /// A seed for something else.
    pub(crate) fn seed(&mut self) -> u32 {
        (self.next() >> 32) as u32
    }
}

/// A number in 0..1 that belongs to a place.
pub(crate) fn hashed(x: i32, y: i32, seed: u32) -> f32 {
    let mut h = seed ^ (x as u32).wrapping_mul(0x9e37_79b1) ^ (y as u32).wrapping_mul(0x85eb_ca77);
    h = (h ^ (h >> 15)).wrapping_mul(0x2c1b_3c6d);
    h = (h ^ (h >> 12)).wrapping_mul(0x297a_2d39);
    (h ^ (h >> 15)) as f32 / 4_294_967_296.0
}

/// Smooth noise along a line, -1 to 1, changing over a length of about 1.
pub(crate) fn noise_along(x: f32, seed: u32) -> f32 {
    let cell = floor(x);
    let share = ease(x - cell as f32);
    let (a, b) = (hashed(cell, 0, seed), hashed(cell + 1, 0, seed));
    2.0 * (a + (b - a) * share) - 1.0
}

/// Smooth noise over a plane, -1 to 1, changing over a length of about 1.
pub(crate) fn noise_over(x: f32, y: f32, seed: u32) -> f32 {
    let (i, j) = (floor(x), floor(y));
    let (across, down) = (ease(x - i as f32), ease(y - j as f32));
    let (a, b) = (hashed(i, j, seed), hashed(i + 1, j, seed));
    let (c, d) = (hashed(i, j + 1, seed), hashed(i + 1, j + 1, seed));
    let (upper, lower) = (a + (b - a) * across, c + (d - c) * across);
    2.0 * (upper + (lower - upper) * down) - 1.0
}

/// The whole number not above `x`; much faster than the standard library's on a processor assumed to be old.
pub(crate) fn floor(x: f32) -> i32 {
    let whole = x as i32;
    whole - i32::from(x < whole as f32)
}

fn ease(t: f32) -> f32 {
    t * t * (3.0 - 2.0 * t)
}
