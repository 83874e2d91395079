//! A small picture of the photo in which edges stand out: how steeply the light changes, and in which direction.

use rayon::prelude::*;

use super::straighten::Straight;
use crate::luma::Luma;

/// The photo is halved until it has no more pixels than this: the canvas's edges are long, and noise and weave fade.
const MOST_PIXELS: usize = 1_300_000;

/// Added to light before its logarithm is taken, so that darkness does not turn noise into edges.
const DARK: f32 = 0.02;

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
    pub(super) fn of(luma: &Luma, focal: f64) -> Self {
        let mut scale = 1.0;
        let mut halved = None;
        while halved.as_ref().unwrap_or(luma).light().len() > MOST_PIXELS {
            halved = Some(halved.as_ref().unwrap_or(luma).halved());
            scale *= 2.0;
        }
        let small = halved.as_ref().unwrap_or(luma);
        let (width, height) = (small.width(), small.height());
        let log: Vec<f32> = small.light().par_iter().map(|light| (light.max(0.0) + DARK).ln()).collect();
        let log = blurred(&log, width, height);
        let bent = Plane { width, height, log };
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

    /// Logarithm of the light at a point, bilinear; outside that of the nearest edge.
    pub(super) fn at(&self, x: f64, y: f64) -> f32 {
        self.plane.at(x, y)
    }
}

/// The blurred logarithm of light, row after row.
struct Plane {
    width: usize,
    height: usize,
    log: Vec<f32>,
}

impl Plane {
    fn straightened(&self, straight: Straight) -> Self {
        let mut log = vec![0.0; self.log.len()];
        log.par_chunks_exact_mut(self.width).enumerate().for_each(|(row, line)| {
            for (column, light) in line.iter_mut().enumerate() {
                let [x, y] = straight.to_picture([column as f64 + 0.5, row as f64 + 0.5]);
                *light = self.at(x, y);
            }
        });
        Self { log, ..*self }
    }

    fn at(&self, x: f64, y: f64) -> f32 {
        let x = (x - 0.5).clamp(0.0, self.width as f64 - 1.001) as f32;
        let y = (y - 0.5).clamp(0.0, self.height as f64 - 1.001) as f32;
        let (column, row) = (x as usize, y as usize);
        let (across, down) = (x - column as f32, y - row as f32);
        let at = row * self.width + column;
        let (right, below) =
            (usize::from(column + 1 < self.width), if row + 1 < self.height { self.width } else { 0 });
        let upper = self.log[at] * (1.0 - across) + self.log[at + right] * across;
        let lower = self.log[at + below] * (1.0 - across) + self.log[at + below + right] * across;
        upper * (1.0 - down) + lower * down
    }

    /// The points shown whose change is the greatest along its own direction (Canny's thinning, 1986).
    fn steepest(&self, shown: impl Fn(f64, f64) -> bool + Sync) -> Vec<EdgePoint> {
        let (width, height) = (self.width, self.height);
        if width < 5 || height < 5 {
            return Vec::new();
        }
        let slope = |at: usize| {
            [(self.log[at + 1] - self.log[at - 1]) / 2.0, (self.log[at + width] - self.log[at - width]) / 2.0]
        };
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

fn blurred(from: &[f32], width: usize, height: usize) -> Vec<f32> {
    let reach = (3.0 * BLUR).ceil() as usize;
    let mut weights: Vec<f32> = (0..=reach).map(|off| (-0.5 * (off as f32 / BLUR).powi(2)).exp()).collect();
    let sum = weights[0] + 2.0 * weights[1..].iter().sum::<f32>();
    for weight in &mut weights {
        *weight /= sum;
    }
    let mut across = vec![0.0; from.len()];
    across.par_chunks_exact_mut(width).zip(from.par_chunks_exact(width)).for_each(|(to, line)| {
        for (column, value) in to.iter_mut().enumerate() {
            *value = (0..=reach).fold(0.0, |sum, off| {
                let (left, right) = (line[column.saturating_sub(off)], line[(column + off).min(width - 1)]);
                sum + weights[off] * if off == 0 { left } else { left + right }
            });
        }
    });
    let mut down = vec![0.0; from.len()];
    down.par_chunks_exact_mut(width).enumerate().for_each(|(row, to)| {
        for (off, weight) in weights.iter().enumerate() {
            let above = row.saturating_sub(off) * width;
            let below = (row + off).min(height - 1) * width;
            for (column, value) in to.iter_mut().enumerate() {
                let upper = across[above + column];
                *value += weight * if off == 0 { upper } else { upper + across[below + column] };
            }
        }
    });
    down
}
