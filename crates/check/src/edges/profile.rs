//! The light along a short line square to an edge, and its steepest place.

use nalgebra::Vector2;

use crate::luma::Luma;

/// Steps along the profile, in pixels of the photo: half a pixel, so that a steepest place is found between them.
pub(super) const STEP: f64 = 0.5;

/// Half the stretch of edge over which a profile is averaged, in pixels of a 12-megapixel photo.
const STRETCH: f64 = 6.0;

/// Samples along that stretch.
const SAMPLES: i32 = 7;

/// Standard deviation of the smoothing before the slope is taken, in pixels.
pub(super) const SMOOTHING: f64 = 1.2;

/// A step is clear when it is this share as steep as the steepest of the profile,
const CLEAR_SHARE: f32 = 0.15;

/// and this many times as steep as the weave beside it.
const CLEAR_OF_WEAVE: f32 = 4.0;

/// A step less than this many times as steep as the weave is one of its threads: beside something of the canvas's own tone
/// there is no step, and a thread that was taken for it would draw the edge inwards.
const STEP_OF_WEAVE: f32 = 3.0;

/// What is this many times as steep as the weave further in is the edge itself, or a line.
const EDGE_OF_WEAVE: f32 = 10.0;

/// The canvas's light and, where need be, its weave are judged by what lies up to this share of the range further in: within
/// the range may be the edge itself, or its fold's shade.
const FURTHER_IN: f64 = 0.5;

/// A canvas darker than this share of white is taken to be as light: its light is divided by.
const DARKEST: f32 = 2e-3;

/// A profile of light across an edge, in shares of the canvas's light beside it. Not of the logarithm of light: a lens blurs
/// light, and the steepest place of the logarithm of a blurred step lies on its darker side.
pub(super) struct Profile {
    slopes: Vec<f32>,
    /// How steep the weave is on the canvas, root mean square: over the innermost quarter or, where that holds the edge, over what
    /// lies further in.
    weave: f32,
    range: f64,
    /// 1 when the canvas lies at its end, -1 when it lies at its start.
    inside: i32,
}

/// A step in a profile.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    /// Its distance from the profile's middle in pixels, positive in the profile's direction.
    pub(super) offset: f64,
    /// The slope there, per pixel.
    pub(super) steepness: f64,
    /// The step's height.
    pub(super) height: f64,
    /// The standard deviation of its blur in pixels, smoothing taken out.
    pub(super) width: f64,
}

impl Profile {
    /// The profile through `centre` from `-range` to `range` pixels in the direction `across`; `None` where it leaves the
    /// photo. `inside` is 1 when the canvas lies at its end, -1 when it lies at its start.
    pub(super) fn across(
        luma: &Luma,
        centre: Vector2<f64>,
        along: Vector2<f64>,
        across: Vector2<f64>,
        range: f64,
        scale: f64,
        inside: i32,
    ) -> Option<Self> {
        let half = (range / STEP).ceil() as i32;
        let reach = (3.0 * SMOOTHING / STEP).ceil() as i32;
        let further = (FURTHER_IN * range / STEP).ceil() as i32;
        let (first, last) = if inside > 0 { (-half, half + further) } else { (-half - further, half) };
        for end in [first, last] {
            let end = centre + across * (f64::from(end) * STEP);
            if !luma.holds(end.x, end.y, 1.0) {
                return None;
            }
        }
        let light: Vec<f32> = (first - reach..=last + reach)
            .map(|at| {
                let middle = centre + across * (f64::from(at) * STEP);
                let sum: f32 = (0..SAMPLES)
                    .map(|sample| {
                        let aside =
                            STRETCH * scale * (2.0 * f64::from(sample) / f64::from(SAMPLES - 1) - 1.0);
                        let place = middle + along * aside;
                        luma.at(place.x, place.y)
                    })
                    .sum();
                sum / SAMPLES as f32
            })
            .collect();
        let (further, beyond) = (further as usize, (further + reach) as usize);
        let canvas = if inside > 0 { &light[light.len() - beyond..] } else { &light[..beyond] };
        let level = (canvas.iter().sum::<f32>() / canvas.len() as f32).max(DARKEST);
        let kernel = slope_kernel(reach);
        let mut slopes: Vec<f32> = light
            .windows(kernel.len())
            .map(|window| window.iter().zip(&kernel).map(|(light, weight)| light / level * weight).sum())
            .collect();
        let beyond = if inside > 0 {
            slopes.split_off(slopes.len() - further)
        } else {
            slopes.drain(..further).collect()
        };
        let quarter = slopes.len() / 4;
        let within = if inside > 0 { &slopes[slopes.len() - quarter..] } else { &slopes[..quarter] };
        let steepest = within.iter().fold(0.0_f32, |most, slope| most.max(slope.abs()));
        let weave = root_mean_square(&beyond);
        let weave = if steepest > EDGE_OF_WEAVE * weave { weave } else { root_mean_square(within) };
        Some(Self { slopes, weave, range: f64::from(half) * STEP, inside })
    }

    /// The edge: the innermost clear step where the light changes with the given sign in the profile's direction. Innermost,
    /// because what lies behind a canvas has edges of its own that can be steeper, and the front of a canvas hardly has any along
    /// its edge.
    pub(super) fn edge(&self, sign: f32) -> Option<Step> {
        let last = self.slopes.len() - 1;
        let peaks = (1..last).filter(|&at| {
            let here = self.slopes[at] * sign;
            here > 0.0 && here >= self.slopes[at - 1] * sign && here > self.slopes[at + 1] * sign
        });
        let steepest = peaks.clone().map(|at| self.slopes[at] * sign).fold(0.0, f32::max);
        if steepest < STEP_OF_WEAVE * self.weave {
            return None;
        }
        let clear = (CLEAR_SHARE * steepest).max(CLEAR_OF_WEAVE * self.weave);
        let clear = peaks.clone().filter(|at| self.slopes[*at] * sign >= clear.min(steepest));
        let top = if self.inside > 0 { clear.max()? } else { clear.min()? };
        let [before, here, after] = [top - 1, top, top + 1].map(|at| f64::from(self.slopes[at] * sign));
        Some(self.step_at(top, [before, here, after]))
    }

    /// Whether there is a step of either sign within `near` pixels of the middle that is more than a thread of the weave.
    pub(super) fn has_step(&self, near: f64) -> bool {
        let least = f64::from(STEP_OF_WEAVE * self.weave);
        let step = |sign| self.steepest_near(sign, 0.0, near, |_| 0.0);
        [1.0, -1.0].into_iter().filter_map(step).any(|step| step.steepness > least)
    }

    /// 1 when the canvas lies at the profile's end, -1 when it lies at its start.
    pub(super) const fn inside(&self) -> i32 {
        self.inside
    }

    /// The slopes in steps of [`STEP`], from `-range` to `range`.
    pub(super) fn slopes(&self) -> &[f32] {
        &self.slopes
    }

    /// Half the profile's length, pixels.
    pub(super) const fn range(&self) -> f64 {
        self.range
    }

    /// The steepest place with this sign within `near` pixels of `expected`, what `known` explains taken out.
    pub(super) fn steepest_near(
        &self,
        sign: f64,
        expected: f64,
        near: f64,
        known: impl Fn(f64) -> f64,
    ) -> Option<Step> {
        let slope = |at: usize| {
            let place = at as f64 * STEP - self.range;
            (f64::from(self.slopes[at]) - known(place)) * sign
        };
        let index = |place: f64| (place + self.range) / STEP;
        let first = index(expected - near).ceil().max(1.0) as usize;
        let last =
            (index(expected + near).floor().max(0.0) as usize).min(self.slopes.len().saturating_sub(2));
        let top = (first..=last).max_by(|a, b| slope(*a).total_cmp(&slope(*b)))?;
        let [before, here, after] = [top - 1, top, top + 1].map(slope);
        (here > 0.0 && here >= before && here >= after).then(|| self.step_at(top, [before, here, after]))
    }

    fn step_at(&self, top: usize, [before, here, after]: [f64; 3]) -> Step {
        let curvature = before - 2.0 * here + after;
        let aside = if curvature < 0.0 { 0.5 * (before - after) / curvature } else { 0.0 };
        let steepness = here - 0.25 * (before - after) * aside;
        let full_width = (-here / curvature).max(0.0).sqrt() * STEP;
        Step {
            offset: (top as f64 + aside) * STEP - self.range,
            steepness,
            height: steepness * full_width * (2.0 * std::f64::consts::PI).sqrt(),
            width: (full_width * full_width - SMOOTHING * SMOOTHING).max(0.0).sqrt(),
        }
    }
}

/// Of any numbers; 0 of none.
fn root_mean_square(numbers: &[f32]) -> f32 {
    (numbers.iter().map(|number| number * number).sum::<f32>() / numbers.len().max(1) as f32).sqrt()
}

/// Derivative of a Gaussian, per pixel.
fn slope_kernel(reach: i32) -> Vec<f32> {
    let weight = |at: i32| {
        let off = f64::from(at) * STEP;
        off * (-0.5 * (off / SMOOTHING).powi(2)).exp()
    };
    let norm: f64 = (-reach..=reach).map(|at| weight(at) * f64::from(at) * STEP).sum();
    (-reach..=reach).map(|at| (weight(at) / norm) as f32).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A step of light from a quarter of the canvas's 0.8 at x = 30.3, blurred by a linear ramp over four pixels: its logarithm
    /// would be steepest a pixel further left.
    #[test]
    fn a_step_is_found_to_a_twentieth_of_a_pixel() {
        let at = 30.3;
        let light = (0..60 * 40)
            .map(|pixel| {
                let x = f64::from(pixel % 60) + 0.5;
                let share = ((x - at) / 4.0 + 0.5).clamp(0.0, 1.0);
                (0.2 + 0.6 * share) as f32
            })
            .collect();
        let luma = Luma::from_light(60, 40, light).unwrap();
        let (along, across) = (Vector2::new(0.0, 1.0), Vector2::new(1.0, 0.0));
        let profile = Profile::across(&luma, Vector2::new(29.0, 20.0), along, across, 10.0, 1.0, 1).unwrap();
        let step = profile.edge(1.0).unwrap();
        assert!((step.offset - 1.3).abs() < 0.05, "{step:?}");
        assert!((step.height - 0.75).abs() < 0.1, "{step:?}");
        assert!(profile.edge(-1.0).is_none_or(|step| step.steepness < 1e-3));
    }

    /// Threads five pixels apart, and nothing behind the canvas that differs from it.
    #[test]
    fn threads_alone_are_no_edge() {
        let light =
            (0..60 * 40).map(|pixel| 0.5 + 0.03 * (f64::from(pixel % 60) * 1.26).sin() as f32).collect();
        let luma = Luma::from_light(60, 40, light).unwrap();
        let (along, across) = (Vector2::new(0.0, 1.0), Vector2::new(1.0, 0.0));
        for (sign, inside) in [(1.0, 1), (-1.0, -1)] {
            let centre = Vector2::new(30.0, 20.0);
            let profile = Profile::across(&luma, centre, along, across, 10.0, 1.0, inside).unwrap();
            assert!(profile.edge(sign).is_none());
        }
    }
}
