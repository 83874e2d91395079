//! What only the plan knows: where lines should be, and what the painting should look like.

use plan::{CanvasPoint, GridLine, Size};

use super::edges::EdgePicture;
use super::quads::{Candidate, Tracks};

/// Places looked at along a planned line, and how far to either side, in half pixels of the small picture.
const PLACES: usize = 160;
const REACH: usize = 18;

/// Places across and down at which the painting is compared with its reference.
const COMPARED: usize = 28;

/// Share of the planned lines that are seen where a candidate puts them; one alone may be there by chance.
pub(super) fn lines_seen(
    picture: &EdgePicture,
    tracks: &Tracks,
    candidate: &Candidate,
    size: Size,
    lines: &[GridLine],
) -> f64 {
    let seen = lines.iter().filter(|line| seen(picture, tracks, candidate, size, line)).count();
    seen.saturating_sub(1) as f64 / lines.len().saturating_sub(1).max(1) as f64
}

fn seen(picture: &EdgePicture, tracks: &Tracks, candidate: &Candidate, size: Size, line: &GridLine) -> bool {
    let place = |point: CanvasPoint| tracks.inside(candidate, point.x / size.width, point.y / size.height);
    let mut profile = [0.0f64; 2 * REACH + 1];
    let mut counted = 0.0;
    for at in 0..PLACES {
        let share = 0.04 + 0.92 * (at as f64 + 0.5) / PLACES as f64;
        let ([x, y], [u, v]) =
            (place(line.from.towards(line.to, share)), place(line.from.towards(line.to, share + 0.01)));
        let length = (u - x).hypot(v - y);
        if length < 1e-6 {
            return false;
        }
        let across = [-(v - y) / length, (u - x) / length];
        let mut values = [0.0f64; 2 * REACH + 1];
        for (step, value) in values.iter_mut().enumerate() {
            let off = (step as f64 - REACH as f64) / 2.0;
            *value = f64::from(picture.light_at(x + across[0] * off, y + across[1] * off));
        }
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        // A stroke or a shadow counts no more than a hard line does.
        for (sum, value) in profile.iter_mut().zip(values) {
            *sum += (value - mean).clamp(-0.15, 0.15);
        }
        counted += 1.0;
    }
    let ridge: Vec<f64> = (4..profile.len() - 4)
        .map(|at| (profile[at] - profile[at - 4].midpoint(profile[at + 4])) / counted)
        .collect();
    let middle = ridge.len() / 2;
    let near = |at: &usize| at.abs_diff(middle) <= 4;
    let peak = (0..ridge.len()).filter(near).map(|at| ridge[at].abs()).fold(0.0, f64::max);
    let others: Vec<f64> = (0..ridge.len())
        .filter(|at| !near(at) && at.abs_diff(middle) > 7)
        .map(|at| ridge[at].abs())
        .collect();
    let usual = (others.iter().map(|value| value * value).sum::<f64>() / others.len().max(1) as f64).sqrt();
    peak > 3.0 * usual.max(0.0015)
}

/// How much the canvas within a candidate looks like its reference: the correlation of their values, 0 to 1; 0 where the
/// reference is not laid, or where the canvas is still bare.
pub(super) fn likeness(
    picture: &EdgePicture,
    tracks: &Tracks,
    candidate: &Candidate,
    size: Size,
    reference: &(dyn Fn(CanvasPoint) -> Option<f64> + Sync),
) -> f64 {
    let mut pairs = Vec::new();
    for row in 0..COMPARED {
        for column in 0..COMPARED {
            let (across, down) =
                ((column as f64 + 0.5) / COMPARED as f64, (row as f64 + 0.5) / COMPARED as f64);
            let Some(planned) = reference(CanvasPoint::new(size.width * across, size.height * down)) else {
                continue;
            };
            let [x, y] = tracks.inside(candidate, across, down);
            pairs.push((f64::from(picture.light_at(x, y)), (planned.max(0.0) + 0.02).ln()));
        }
    }
    if pairs.len() < COMPARED * COMPARED / 8 {
        return 0.0;
    }
    correlation(&pairs).max(0.0)
}

fn correlation(pairs: &[(f64, f64)]) -> f64 {
    let count = pairs.len() as f64;
    let (mean_a, mean_b) = (
        pairs.iter().map(|pair| pair.0).sum::<f64>() / count,
        pairs.iter().map(|pair| pair.1).sum::<f64>() / count,
    );
    let (mut both, mut a2, mut b2) = (0.0, 0.0, 0.0);
    for (a, b) in pairs {
        both += (a - mean_a) * (b - mean_b);
        a2 += (a - mean_a).powi(2);
        b2 += (b - mean_b).powi(2);
    }
    if a2 < 1e-9 || b2 < 1e-9 { 0.0 } else { both / (a2 * b2).sqrt() }
}
