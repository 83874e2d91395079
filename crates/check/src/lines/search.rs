//! The straight line that answers most strongly in a strip.

use super::strip::{STEP, Strip};
use crate::edges::median;
use crate::robust::{SD_PER_MAD, biweight};

/// Answers beyond this many standard deviations of the strip count for little more: a blot is no line.
const CLIP: f32 = 4.0;

/// How much a line's offset may grow from end to end, as a share of its length: the tangent of 1.4 degrees.
const STEEPEST: f64 = 0.025;

/// Steps of that growth, mm.
const GROWTH_STEP: f64 = 0.2;

/// A section's peak is looked for within this of the line, mm.
const NEAR: f64 = 0.45;

/// A line must lie within the strip over this share of its sections.
const LEAST_SHARE: f64 = 0.7;

/// What lies within this of a line is its own answer, mm.
const ITSELF: f64 = 1.2;

/// Another line at least so strong, as a share of the strongest, may be the one that is meant.
const AS_STRONG: f64 = 0.7;

/// The finest spread of a line's sections believed, mm.
const FINEST: f64 = 0.02;

/// The strongest line of a strip.
#[derive(Clone, Debug)]
pub(super) struct Strongest {
    /// The median drop of the logarithm of light along it: its contrast, without sign.
    pub(super) amplitude: f64,
    /// True when it is brighter than its surroundings.
    pub(super) bright: bool,
    /// Its offset in the middle, mm.
    pub(super) offset: f64,
    /// Where it was seen: share of the length and offset in mm.
    pub(super) places: Vec<(f64, f64)>,
    /// Whether it leans as much as a line may: one that leans more may have been cut across.
    pub(super) leans_most: bool,
}

/// A trial: width and sign of the line, middle offset and growth in steps.
#[derive(Clone, Copy)]
struct Trial {
    score: f32,
    width: usize,
    sign: f32,
    middle: f64,
    growth: f64,
}

/// Finds it; `None` when the strip does not lie in the photo. `length` is the line's, in mm.
pub(super) fn strongest(strip: &Strip, length: f64) -> Option<Strongest> {
    let most =
        (STEEPEST * length / GROWTH_STEP).floor().min(2.0 * strip.half as f64 * STEP / GROWTH_STEP) as i32;
    let mut best: Option<Trial> = None;
    for (width, sections) in strip.answers.iter().enumerate() {
        let clipped = clipped(sections)?;
        for step in -most..=most {
            let growth = f64::from(step) * GROWTH_STEP / STEP;
            for middle in 0..=2 * strip.half {
                let Some(score) = score(strip, &clipped, middle as f64, growth) else { continue };
                if best.is_none_or(|best| score.abs() > best.score) {
                    best = Some(Trial {
                        score: score.abs(),
                        width,
                        sign: score.signum(),
                        middle: middle as f64,
                        growth,
                    });
                }
            }
        }
    }
    let best = best?;
    let found = refined(strip, best)?;
    // A line is found by the width that answers most to it, but placed by the one that stands out most from its own noise, which is
    // about the line's: threads beside a chalk line draw a narrower one aside.
    let placed = strip.answers.iter().enumerate().filter_map(|(width, sections)| {
        let line = refined(strip, Trial { width, ..best })?;
        Some((line.amplitude / usual_size(sections)?, line))
    });
    let (_, placed) = placed.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let leans_most = best.growth.abs() * STEP > f64::from(most - 1) * GROWTH_STEP;
    Some(Strongest { amplitude: found.amplitude, leans_most, ..placed })
}

/// The strongest line in the same strip that is not this one, if it is of the same kind and nearly as strong: two lines ruled beside each
/// other, of which none can say which is meant.
pub(super) fn another(mut strip: Strip, length: f64, line: &Strongest) -> Option<Strongest> {
    let half = strip.half as f64;
    for sections in &mut strip.answers {
        for (share, answers) in strip.shares.iter().zip(sections) {
            let Some((_, offset)) = nearest_place(line, *share) else { continue };
            let from = ((offset - ITSELF) / STEP + half).ceil().max(0.0) as usize;
            let to = ((offset + ITSELF) / STEP + half).floor().max(0.0) as usize;
            for answer in answers.iter_mut().take(to + 1).skip(from) {
                *answer = f32::NAN;
            }
        }
    }
    let other = strongest(&strip, length)?;
    (other.bright == line.bright && other.amplitude >= AS_STRONG * line.amplitude).then_some(other)
}

/// Where a line was seen that is nearest along it.
fn nearest_place(line: &Strongest, share: f64) -> Option<(f64, f64)> {
    let apart = |place: &&(f64, f64)| (place.0 - share).abs();
    line.places.iter().min_by(|a, b| apart(a).total_cmp(&apart(b))).copied()
}

/// The median size of the answers.
fn usual_size(sections: &[Vec<f32>]) -> Option<f64> {
    let finite = sections.iter().flatten().filter(|answer| answer.is_finite());
    median(finite.map(|answer| f64::from(answer.abs()).max(f64::MIN_POSITIVE)))
}

/// The answers with what is beyond [`CLIP`] counted by its logarithm: a blot gains little, and yet the top of a strong line
/// stays its top.
fn clipped(sections: &[Vec<f32>]) -> Option<Vec<Vec<f32>>> {
    let mut sizes: Vec<f32> =
        sections.iter().flatten().filter(|answer| answer.is_finite()).map(|answer| answer.abs()).collect();
    if sizes.is_empty() {
        return None;
    }
    let middle = sizes.len() / 2;
    let most = CLIP * SD_PER_MAD as f32 * *sizes.select_nth_unstable_by(middle, f32::total_cmp).1;
    let clip = |answer: f32| {
        if answer.abs() <= most {
            answer
        } else {
            (most * (1.0 + (answer.abs() / most).ln())).copysign(answer)
        }
    };
    Some(sections.iter().map(|answers| answers.iter().map(|answer| clip(*answer)).collect()).collect())
}

fn score(strip: &Strip, clipped: &[Vec<f32>], middle: f64, growth: f64) -> Option<f32> {
    let (mut sum, mut count) = (0.0, 0_usize);
    for (share, answers) in strip.shares.iter().zip(clipped) {
        let place = (middle + growth * (share - 0.5)).round();
        if place < 0.0 {
            continue;
        }
        let Some(answer) = answers.get(place as usize).filter(|answer| answer.is_finite()) else { continue };
        sum += answer;
        count += 1;
    }
    (count as f64 >= LEAST_SHARE * clipped.len() as f64).then(|| sum / count as f32)
}

/// The line through the peaks of its sections.
fn refined(strip: &Strip, trial: Trial) -> Option<Strongest> {
    let sections = &strip.answers[trial.width];
    let near = (NEAR / STEP).round();
    let mut peaks: Vec<(f64, f64)> = Vec::new();
    for (share, answers) in strip.shares.iter().zip(sections) {
        let expected = trial.middle + trial.growth * (share - 0.5);
        if let Some(peak) = peak(answers, trial.sign, expected, near) {
            peaks.push((*share, strip.offset(peak)));
        }
    }
    let (offset, growth) = robust_line(&peaks).unwrap_or((strip.offset(trial.middle), trial.growth * STEP));
    let at = |share: f64| offset + growth * (share - 0.5);
    let amplitude = median(strip.shares.iter().zip(sections).filter_map(|(share, answers)| {
        let place = at(*share) / STEP + strip.half as f64;
        interpolated(answers, place).map(|answer| f64::from(answer * trial.sign))
    }))?;
    peaks.retain(|(share, peak)| (peak - at(*share)).abs() < NEAR);
    Some(Strongest { amplitude, bright: trial.sign < 0.0, offset, places: peaks, leans_most: false })
}

/// The highest place within `near` steps of `expected`, between steps by a parabola; `None` when it is not a peak.
fn peak(answers: &[f32], sign: f32, expected: f64, near: f64) -> Option<f64> {
    let first = (expected - near).ceil().max(1.0) as usize;
    let last = ((expected + near).floor().max(0.0) as usize).min(answers.len().saturating_sub(2));
    let top = (first..=last).max_by(|a, b| (answers[*a] * sign).total_cmp(&(answers[*b] * sign)))?;
    let [before, here, after] = [top - 1, top, top + 1].map(|at| f64::from(answers[at] * sign));
    let curvature = before - 2.0 * here + after;
    let is_peak = here > 0.0 && here >= before && here >= after && curvature < 0.0;
    is_peak.then(|| top as f64 + 0.5 * (before - after) / curvature)
}

fn interpolated(answers: &[f32], place: f64) -> Option<f32> {
    if place < 0.0 {
        return None;
    }
    let (before, share) = (place.floor() as usize, place.fract() as f32);
    let value = answers.get(before)? * (1.0 - share) + answers.get(before + 1)? * share;
    value.is_finite().then_some(value)
}

/// Middle offset and growth of the straight line through most of the points, by biweight reweighting from the medians.
fn robust_line(points: &[(f64, f64)]) -> Option<(f64, f64)> {
    if points.len() < 4 {
        return None;
    }
    let third = (points.len() / 3).max(1);
    let early = median(points[..third].iter().map(|point| point.1))?;
    let late = median(points[points.len() - third..].iter().map(|point| point.1))?;
    let (from, to) = (
        median(points[..third].iter().map(|p| p.0))?,
        median(points[points.len() - third..].iter().map(|p| p.0))?,
    );
    let mut growth = (late - early) / (to - from).max(1e-9);
    let mut offset = median(points.iter().map(|point| point.1 - growth * (point.0 - 0.5)))?;
    for _ in 0..10 {
        let off = |point: &(f64, f64)| point.1 - offset - growth * (point.0 - 0.5);
        let spread = (SD_PER_MAD * median(points.iter().map(|point| off(point).abs()))?).max(FINEST);
        let (mut w, mut wx, mut wxx, mut wy, mut wxy) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for point in points {
            let weight = biweight(off(point), spread);
            let x = point.0 - 0.5;
            (w, wx, wxx) = (w + weight, wx + weight * x, wxx + weight * x * x);
            (wy, wxy) = (wy + weight * point.1, wxy + weight * x * point.1);
        }
        let determinant = w * wxx - wx * wx;
        if determinant <= 1e-12 {
            break;
        }
        offset = (wxx * wy - wx * wxy) / determinant;
        growth = (w * wxy - wx * wy) / determinant;
    }
    Some((offset, growth))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ten sections that answer `size` to a line at `offset` (mm) which is `breadth` (mm) broad, and some noise of `noise`.
    fn sections(size: f64, offset: f64, breadth: f64, noise: f64) -> Vec<Vec<f32>> {
        let answer = |section: i32, place: i32| {
            let off = f64::from(place - 40) * STEP - offset;
            let uneven = f64::from((section * 7 + place * 13) % 11 - 5) / 5.0;
            (size * (-0.5 * (off / breadth).powi(2)).exp() + noise * uneven) as f32
        };
        (0..10).map(|section| (0..=80).map(|place| answer(section, place)).collect()).collect()
    }

    /// The narrow width answers more, and is drawn aside by a thread.
    #[test]
    fn a_line_is_placed_by_the_width_that_stands_out_most() {
        let shares = (0..10).map(|section| (f64::from(section) + 0.5) / 10.0).collect();
        let answers = vec![sections(0.12, 0.3, 0.2, 0.02), sections(0.1, 0.0, 0.6, 0.002)];
        let strip = Strip { shares, half: 40, answers };
        let line = strongest(&strip, 300.0).unwrap();
        assert!(line.offset.abs() < 0.05, "{line:?}");
        assert!((line.amplitude - 0.12).abs() < 0.02, "{line:?}");
    }
}
