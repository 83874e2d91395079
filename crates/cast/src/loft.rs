//! A form stretched over horizontal contours, as a sculptor builds a head over templates sawn from board.
//!
//! Each contour is half an outline, from the middle of the front round to the middle of the back; the other half is its
//! mirror image. Between contours the radius about the upright axis is interpolated by cubic splines, so the
//! surface has no visible joints.

use glam::DVec3;

use crate::sdf::{catmull_rom, catmull_rom_slope};

/// One template: its height, mm, and points `(x, z)` of its outline, mm, x to the side, z to the front.
pub(crate) struct Contour {
    pub(crate) y: f64,
    pub(crate) outline: &'static [(f64, f64)],
}

/// Degrees between two columns of the table of radii.
const STEP_DEGREES: usize = 3;
/// Columns over the half turn, both ends included.
const COLUMNS: usize = 180 / STEP_DEGREES + 1;
/// Millimetres between two rows of the table.
const ROW_MM: f64 = 2.0;

/// The form, as a table of radii by angle from the front and by height.
#[derive(Debug, Clone)]
pub(crate) struct Loft {
    radii: Vec<[f64; COLUMNS]>,
    lowest: f64,
}

impl Loft {
    /// Stretches a form over `contours`, given from the highest to the lowest.
    pub(crate) fn new(contours: &[Contour]) -> Self {
        let mut heights = Vec::new();
        let mut columns = vec![Vec::new(); COLUMNS];
        for contour in contours.iter().rev() {
            let polar: Vec<_> =
                contour.outline.iter().map(|&(x, z)| (f64::atan2(x, z).to_degrees(), x.hypot(z))).collect();
            let (angles, radii): (Vec<_>, Vec<_>) = polar.into_iter().unzip();
            let outline = Spline::level_ends(&angles, &radii);
            heights.push(contour.y);
            for (column, values) in columns.iter_mut().enumerate() {
                values.push(outline.at((column * STEP_DEGREES) as f64));
            }
        }
        let (lowest, highest) = (heights[0], heights[heights.len() - 1]);
        let rows = ((highest - lowest) / ROW_MM) as usize + 1;
        let mut radii = vec![[0.0; COLUMNS]; rows];
        for (column, values) in columns.iter().enumerate() {
            let upright = Spline::free_ends(&heights, values);
            for (row, line) in radii.iter_mut().enumerate() {
                line[column] = upright.at(lowest + row as f64 * ROW_MM);
            }
        }
        Self { radii, lowest }
    }

    /// Distance from `p` to the form, mm; first-order exact near the surface.
    pub(crate) fn distance(&self, p: DVec3) -> f64 {
        let across = p.x.hypot(p.z).max(1e-9);
        let angle = f64::atan2(p.x.abs(), p.z).to_degrees() / STEP_DEGREES as f64;
        let top = self.radii.len() as f64 - 1.0;
        let height = (p.y - self.lowest) / ROW_MM;
        let inside = (0.0..=top).contains(&height);
        let height = height.clamp(0.0, top);
        let (row, column) = (height.floor(), angle.floor());
        let (wy, wa) = (catmull_rom(height - row), catmull_rom(angle - column));
        let (sy, sa) = (catmull_rom_slope(height - row), catmull_rom_slope(angle - column));
        let (mut radius, mut by_height, mut by_angle) = (0.0, 0.0, 0.0);
        for i in 0..4 {
            let line = &self.radii[(row as usize + i).saturating_sub(1).min(self.radii.len() - 1)];
            for j in 0..4 {
                let value = line[mirrored((column as usize + j).abs_diff(1))];
                radius += wy[i] * wa[j] * value;
                by_height += sy[i] * wa[j] * value;
                by_angle += wy[i] * sa[j] * value;
            }
        }
        let by_height = if inside { by_height / ROW_MM } else { 0.0 };
        let by_angle = by_angle / (STEP_DEGREES as f64).to_radians();
        (across - radius) / (1.0 + by_height * by_height + (by_angle / radius).powi(2)).sqrt()
    }
}

/// The column that stands for `column` beyond the back: its mirror image.
fn mirrored(column: usize) -> usize {
    column.min(2 * (COLUMNS - 1) - column)
}

/// A cubic spline through given points (second derivatives by the usual tridiagonal system).
struct Spline<'a> {
    xs: &'a [f64],
    ys: &'a [f64],
    bends: Vec<f64>,
}

impl<'a> Spline<'a> {
    /// Level at both ends, as an outline is where it crosses the middle plane.
    fn level_ends(xs: &'a [f64], ys: &'a [f64]) -> Self {
        Self::new(xs, ys, true)
    }

    /// Straight at both ends.
    fn free_ends(xs: &'a [f64], ys: &'a [f64]) -> Self {
        Self::new(xs, ys, false)
    }

    fn new(xs: &'a [f64], ys: &'a [f64], level: bool) -> Self {
        let n = xs.len();
        let (mut diagonal, mut right) = (vec![1.0; n], vec![0.0; n]);
        let (mut upper, mut lower) = (vec![0.0; n], vec![0.0; n]);
        let slope = |i: usize| (ys[i + 1] - ys[i]) / (xs[i + 1] - xs[i]);
        for i in 1..n - 1 {
            lower[i] = xs[i] - xs[i - 1];
            upper[i] = xs[i + 1] - xs[i];
            diagonal[i] = 2.0 * (lower[i] + upper[i]);
            right[i] = 6.0 * (slope(i) - slope(i - 1));
        }
        if level {
            let (first, last) = (xs[1] - xs[0], xs[n - 1] - xs[n - 2]);
            (diagonal[0], upper[0], right[0]) = (2.0 * first, first, 6.0 * slope(0));
            (diagonal[n - 1], lower[n - 1], right[n - 1]) = (2.0 * last, last, -6.0 * slope(n - 2));
        }
        for i in 1..n {
            let w = lower[i] / diagonal[i - 1];
            diagonal[i] -= w * upper[i - 1];
            right[i] -= w * right[i - 1];
        }
        let mut bends = vec![0.0; n];
        for i in (0..n).rev() {
            let next = if i + 1 < n { upper[i] * bends[i + 1] } else { 0.0 };
            bends[i] = (right[i] - next) / diagonal[i];
        }
        Self { xs, ys, bends }
    }

    fn at(&self, x: f64) -> f64 {
        let i = self.xs.partition_point(|&knot| knot <= x).clamp(1, self.xs.len() - 1);
        let (x0, x1) = (self.xs[i - 1], self.xs[i]);
        let h = x1 - x0;
        let (a, b) = ((x1 - x) / h, (x - x0) / h);
        a * self.ys[i - 1]
            + b * self.ys[i]
            + ((a * a * a - a) * self.bends[i - 1] + (b * b * b - b) * self.bends[i]) * h * h / 6.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_over_circles_is_a_cylinder() {
        const CIRCLE: &[(f64, f64)] = &[(0.0, 50.0), (30.0, 40.0), (50.0, 0.0), (40.0, -30.0), (0.0, -50.0)];
        let loft = Loft::new(&[Contour { y: 20.0, outline: CIRCLE }, Contour { y: -20.0, outline: CIRCLE }]);
        for (x, z) in [(60.0, 0.0), (0.0, 55.0), (-20.0, -45.0), (33.0, 44.0)] {
            assert!((loft.distance(DVec3::new(x, 3.0, z)) - (f64::hypot(x, z) - 50.0)).abs() < 1e-9);
        }
    }

    #[test]
    fn a_spline_reproduces_a_cubic_with_level_ends() {
        let cubic = |x: f64| 3.0 * x * x - 2.0 * x * x * x;
        let xs = [0.0, 0.25, 0.6, 1.0];
        let ys = xs.map(cubic);
        let spline = Spline::level_ends(&xs, &ys);
        for i in 0..=20 {
            let x = f64::from(i) / 20.0;
            assert!((spline.at(x) - cubic(x)).abs() < 1e-12);
        }
    }
}
