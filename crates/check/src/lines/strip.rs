//! A strip of canvas along a line, looked at through the map: how strongly a thin line answers at each place of it.

use rayon::prelude::*;

use super::neighbours::Reach;
use super::planned::LineFrame;
use crate::luma::Luma;
use crate::pose::CanvasMap;

/// Step across the strip, mm: finer than a pixel of a photo that will do.
pub(super) const STEP: f64 = 0.1;

/// Step along it, mm.
const STEP_ALONG: f64 = 0.5;

/// Most samples along one section: a mural's sections are long, and more would add nothing.
const MOST_ALONG: usize = 60;

/// The usual length of a section, mm: long enough to average threads, short enough to follow a bent line.
const SECTION: f64 = 12.0;

/// Fewest and most sections of a line.
const SECTIONS: (usize, usize) = (8, 64);

/// The share of a line at either end that is left out, where edges and other lines' ends disturb.
const END_SHARE: f64 = 0.015;

/// Widths of lines looked for, mm: sharp pencil, pencil, blunt pencil or chalk.
const WIDTHS: [f64; 3] = [0.3, 0.7, 1.4];

/// Standard deviation of the blur of a line on canvas in a photo, mm.
const BLUR: f64 = 0.15;

/// The surroundings that a line is compared with: standard deviation in mm at least, and in widths.
const SURROUNDINGS: (f64, f64) = (1.0, 1.2);

/// Reach of the filter either way, mm.
pub(super) const REACH: f64 = 3.5;

/// Light below this share of white is taken for it.
const DARKEST: f32 = 2e-3;

/// How strongly a line answers: the drop of the logarithm of light, for each section, offset and width.
pub(super) struct Strip {
    /// The middle of each section as a share of the line's length.
    pub(super) shares: Vec<f64>,
    /// Half the range of offsets, in steps.
    pub(super) half: usize,
    /// For each width, for each section, the answers at offsets from -half to half steps; NaN outside the photo.
    pub(super) answers: Vec<Vec<Vec<f32>>>,
}

impl Strip {
    /// Looks along a line as far to either side as `reach` says, but for the sections that it passes over.
    pub(super) fn along(luma: &Luma, map: &CanvasMap, frame: LineFrame, reach: &Reach) -> Self {
        let (_, _, _, length) = frame;
        let sections = sections(length);
        let half = (reach.range / STEP).round().max(1.0) as usize;
        let kernels: Vec<Vec<f32>> = WIDTHS.iter().map(|width| kernel(*width)).collect();
        let shares: Vec<f64> = (0..sections)
            .map(|section| END_SHARE + (1.0 - 2.0 * END_SHARE) * (section as f64 + 0.5) / sections as f64)
            .filter(|share| !reach.passed_over.iter().any(|part| part.contains(share)))
            .collect();
        let by_section: Vec<Vec<Vec<f32>>> = shares
            .par_iter()
            .map(|share| {
                let profile = profile(luma, map, frame, *share, 1.0 / sections as f64, half);
                kernels.iter().map(|kernel| answers(&profile, kernel)).collect()
            })
            .collect();
        let answers = (0..WIDTHS.len())
            .map(|width| by_section.iter().map(|section| section[width].clone()).collect())
            .collect();
        Self { shares, half, answers }
    }

    /// The offset in mm at a place in a section's answers.
    pub(super) fn offset(&self, place: f64) -> f64 {
        (place - self.half as f64) * STEP
    }
}

/// Into how many sections a line of `length` mm is divided.
pub(super) fn sections(length: f64) -> usize {
    ((length / SECTION).round() as usize).clamp(SECTIONS.0, SECTIONS.1)
}

/// The mean logarithm of light across one section, at offsets `half` steps and the filter's reach to either side.
fn profile(luma: &Luma, map: &CanvasMap, frame: LineFrame, share: f64, part: f64, half: usize) -> Vec<f32> {
    let (origin, along, across, length) = frame;
    let stretch = part * length;
    let samples = ((stretch / STEP_ALONG).round() as usize).clamp(6, MOST_ALONG);
    let reach = (REACH / STEP).round() as usize;
    let count = 2 * (half + reach) + 1;
    let mut sums = vec![0.0_f32; count];
    for sample in 0..samples {
        let at = share * length + stretch * ((sample as f64 + 0.5) / samples as f64 - 0.5);
        let start = origin + along * at;
        for (column, sum) in sums.iter_mut().enumerate() {
            let off = (column as f64 - (half + reach) as f64) * STEP;
            let pixel = map.pixel(start + across * off);
            *sum += if luma.holds(pixel.x, pixel.y, 0.0) {
                luma.at(pixel.x, pixel.y).max(DARKEST).ln()
            } else {
                f32::NAN
            };
        }
    }
    sums.iter().map(|sum| sum / samples as f32).collect()
}

/// Positive for a line darker than its surroundings, as the drop of the logarithm of light in a line of the filter's width.
fn answers(profile: &[f32], kernel: &[f32]) -> Vec<f32> {
    profile
        .windows(kernel.len())
        .map(|window| -window.iter().zip(kernel).map(|(a, b)| a * b).sum::<f32>())
        .collect()
}

/// A blurred line less its surroundings, of mean zero, scaled so that it answers 1 to a blurred line of height 1.
fn kernel(width: f64) -> Vec<f32> {
    let reach = (REACH / STEP).round() as i32;
    let places: Vec<f64> = (-reach..=reach).map(|at| f64::from(at) * STEP).collect();
    let line: Vec<f64> = places.iter().map(|off| blurred_line(*off, width)).collect();
    let wide = SURROUNDINGS.0.max(SURROUNDINGS.1 * width);
    let around: Vec<f64> = places.iter().map(|off| (-0.5 * (off / wide).powi(2)).exp()).collect();
    let (of_line, of_around) = (line.iter().sum::<f64>(), around.iter().sum::<f64>());
    let raw: Vec<f64> =
        line.iter().zip(&around).map(|(line, around)| line / of_line - around / of_around).collect();
    let gain: f64 = raw.iter().zip(&line).map(|(raw, line)| raw * line).sum();
    raw.iter().map(|raw| (raw / gain) as f32).collect()
}

/// A box of the given width, blurred, by the logistic approximation to the normal distribution.
fn blurred_line(off: f64, width: f64) -> f64 {
    let rise = |x: f64| 1.0 / (1.0 + (-1.702 * x / BLUR).exp());
    rise(off + width / 2.0) - rise(off - width / 2.0)
}
