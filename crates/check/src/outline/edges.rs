//! A small picture of the photo in which edges stand out: how steeply the light changes, and in which direction.

use rayon::prelude::*;

use super::reduced::{Reduced, Tone};
use super::straighten::Straight;

/// Standard deviation of the blur, pixels of the small picture.
const BLUR: f32 = 1.3;

/// The weakest change of the light's logarithm over a pixel that counts as an edge.
const FAINTEST: f32 = 0.009;

/// A place where the light changes most steeply.
#[derive(Clone, Copy, Debug)]
pub(super) struct EdgePoint {
    pub(super) x: f32,
    pub(super) y: f32,
    /// The direction of change, pointing down or, where it is level, to the right: of length 1.
    pub(super) across: [f32; 2],
    /// Change of the light's logarithm over a pixel.
    pub(super) strength: f32,
}

/// The small picture, the lens's bend taken out of it.
pub(super) struct EdgePicture {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Size of its pixels in pixels of the photo.
    scale: f64,
    straight: Straight,
    plane: Plane,
    pub(super) points: Vec<EdgePoint>,
}

impl EdgePicture {
    /// The small picture of a photo taken with this focal length, in its pixels.
    pub(super) fn of(reduced: &Reduced, focal: f64) -> Self {
        let (width, height, scale) = (reduced.width, reduced.height, reduced.scale as f64);
        let tones = blurred(&reduced.tones, width, height);
        let bent = Plane { width, height, tones };
        let straight = Straight::by_votes(&bent.steepest(|_, _| true), width, height, focal / scale);
        let plane = bent.straightened(straight);
        // Beyond the photo's rim there is nothing but its rim drawn out.
        let shown = |x: f64, y: f64| {
            let [x, y] = straight.to_picture([x, y]);
            x > 2.0 && y > 2.0 && x < width as f64 - 2.0 && y < height as f64 - 2.0
        };
        let points = plane.steepest(shown);
        Self { width, height, scale, straight, plane, points }
    }

    /// Focal length, pixels of the small picture.
    pub(super) const fn focal(&self) -> f64 {
        self.straight.focal
    }

    /// A point of the small picture in the photo, pixels.
    pub(super) fn to_photo(&self, point: [f64; 2]) -> [f64; 2] {
        self.straight.to_picture(point).map(|at| at * self.scale)
    }

    /// Light and colour at a point, bilinear; outside that of the nearest edge.
    pub(super) fn at(&self, x: f64, y: f64) -> Tone {
        self.plane.at(x, y)
    }

    /// Logarithm of the light at a point, in the same way.
    pub(super) fn light_at(&self, x: f64, y: f64) -> f32 {
        self.plane.at(x, y)[0]
    }
}

/// Light and colour, blurred, row after row.
struct Plane {
    width: usize,
    height: usize,
    tones: Vec<Tone>,
}

impl Plane {
    fn straightened(&self, straight: Straight) -> Self {
        let mut tones = vec![Tone::default(); self.tones.len()];
        tones.par_chunks_exact_mut(self.width).enumerate().for_each(|(row, line)| {
            for (column, tone) in line.iter_mut().enumerate() {
                let [x, y] = straight.to_picture([column as f64 + 0.5, row as f64 + 0.5]);
                *tone = self.at(x, y);
            }
        });
        Self { tones, ..*self }
    }

    fn at(&self, x: f64, y: f64) -> Tone {
        let x = (x - 0.5).clamp(0.0, self.width as f64 - 1.001) as f32;
        let y = (y - 0.5).clamp(0.0, self.height as f64 - 1.001) as f32;
        let (column, row) = (x as usize, y as usize);
        let (across, down) = (x - column as f32, y - row as f32);
        let at = row * self.width + column;
        let (right, below) =
            (usize::from(column + 1 < self.width), if row + 1 < self.height { self.width } else { 0 });
        let [a, b, c, d] = [at, at + right, at + below, at + below + right].map(|at| &self.tones[at]);
        std::array::from_fn(|part| {
            let upper = a[part] * (1.0 - across) + b[part] * across;
            let lower = c[part] * (1.0 - across) + d[part] * across;
            upper * (1.0 - down) + lower * down
        })
    }

    /// The points shown whose change is the greatest along its own direction (Canny's thinning, 1986).
    fn steepest(&self, shown: impl Fn(f64, f64) -> bool + Sync) -> Vec<EdgePoint> {
        let (width, height) = (self.width, self.height);
        if width < 5 || height < 5 {
            return Vec::new();
        }
        let slope = |at: usize| steepest_change(&self.tones, at, width);
        let steepness = |at: usize| {
            let [x, y] = slope(at);
            x.hypot(y)
        };
        let (slope, steepness, shown) = (&slope, &steepness, &shown);
        (2..height - 2)
            .into_par_iter()
            .flat_map_iter(|row| {
                (2..width - 2).filter_map(move |column| {
                    let at = row * width + column;
                    let [gx, gy] = slope(at);
                    let strength = gx.hypot(gy);
                    if strength < FAINTEST {
                        return None;
                    }
                    let step = if gx.abs() > gy.abs() { 1 } else { width };
                    if strength < steepness(at - step) || strength <= steepness(at + step) {
                        return None;
                    }
                    if !shown(column as f64 + 0.5, row as f64 + 0.5) {
                        return None;
                    }
                    let sign = if gy.abs() > gx.abs() { gy.signum() } else { gx.signum() };
                    Some(EdgePoint {
                        x: column as f32 + 0.5,
                        y: row as f32 + 0.5,
                        across: [sign * gx / strength, sign * gy / strength],
                        strength,
                    })
                })
            })
            .collect()
    }
}

/// The direction in which light and colour together change most at a place, as long as the change over a pixel (S. Di Zenzo, "A
/// note on the gradient of a multi-image", Computer Vision, Graphics, and Image Processing 33, 1986); of its two signs either.
fn steepest_change(tones: &[Tone], at: usize, width: usize) -> [f32; 2] {
    let half =
        |one: &Tone, other: &Tone| -> Tone { std::array::from_fn(|part| (one[part] - other[part]) / 2.0) };
    let across = half(&tones[at + 1], &tones[at - 1]);
    let down = half(&tones[at + width], &tones[at - width]);
    let product = |one: &Tone, other: &Tone| -> f32 { one.iter().zip(other).map(|(a, b)| a * b).sum() };
    let (xx, yy, xy) = (product(&across, &across), product(&down, &down), product(&across, &down));
    let spread = (xx - yy).hypot(2.0 * xy);
    let strength = (f32::midpoint(xx + yy, spread)).max(0.0).sqrt();
    // Twice the angle has these two for its legs.
    let (cos, sin) = if spread > 0.0 { ((xx - yy) / spread, 2.0 * xy / spread) } else { (1.0, 0.0) };
    let x = f32::midpoint(1.0, cos).max(0.0).sqrt();
    let y = f32::midpoint(1.0, -cos).max(0.0).sqrt().copysign(sin);
    [strength * x, strength * y]
}

fn blurred(from: &[Tone], width: usize, height: usize) -> Vec<Tone> {
    let reach = (3.0 * BLUR).ceil() as usize;
    let mut weights: Vec<f32> = (0..=reach).map(|off| (-0.5 * (off as f32 / BLUR).powi(2)).exp()).collect();
    let sum = weights[0] + 2.0 * weights[1..].iter().sum::<f32>();
    for weight in &mut weights {
        *weight /= sum;
    }
    let add = |to: &mut Tone, weight: f32, tone: &Tone| {
        for (to, part) in to.iter_mut().zip(tone) {
            *to += weight * part;
        }
    };
    let mut across = vec![Tone::default(); from.len()];
    across.par_chunks_exact_mut(width).zip(from.par_chunks_exact(width)).for_each(|(to, line)| {
        for (column, tone) in to.iter_mut().enumerate() {
            add(tone, weights[0], &line[column]);
            for (off, weight) in weights.iter().enumerate().skip(1) {
                add(tone, *weight, &line[column.saturating_sub(off)]);
                add(tone, *weight, &line[(column + off).min(width - 1)]);
            }
        }
    });
    let mut down = vec![Tone::default(); from.len()];
    down.par_chunks_exact_mut(width).enumerate().for_each(|(row, to)| {
        for (off, weight) in weights.iter().enumerate() {
            let above = row.saturating_sub(off) * width;
            let below = (row + off).min(height - 1) * width;
            for (column, tone) in to.iter_mut().enumerate() {
                add(tone, *weight, &across[above + column]);
                if off > 0 {
                    add(tone, *weight, &across[below + column]);
                }
            }
        }
    });
    down
}
