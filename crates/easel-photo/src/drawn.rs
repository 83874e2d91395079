//! Lines drawn on the canvas: pencil, thick pencil, chalk.

use glam::DVec2;

use crate::canvas::Edges;
use crate::random::{Chance, noise_along, noise_over};

/// A line drawn along a ruler.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrawnLine {
    /// Where it begins, canvas frame, mm.
    pub from: [f64; 2],
    /// Where it ends, canvas frame, mm.
    pub to: [f64; 2],
    /// Width, mm.
    pub width: f64,
    /// How much darker than the ground it is, 0 to 1; below 0 it is brighter, as chalk is.
    pub contrast: f64,
    /// Standard deviation of the hand's wobble across the line, mm; it changes over about 40 mm.
    pub wobble: f64,
    /// How far its sides fade, mm: a pencil's 0.1, a chalk's 0.6.
    pub softness: f64,
}

impl DrawnLine {
    /// A pencil line half a millimetre wide.
    pub const fn pencil(from: [f64; 2], to: [f64; 2], contrast: f64) -> Self {
        Self { from, to, width: 0.5, contrast, wobble: 0.05, softness: 0.1 }
    }

    /// A line of a blunt, thick pencil.
    pub const fn thick_pencil(from: [f64; 2], to: [f64; 2], contrast: f64) -> Self {
        Self { from, to, width: 1.1, contrast, wobble: 0.07, softness: 0.25 }
    }

    /// A chalk line, brighter than its ground by `contrast` (above 0).
    pub const fn chalk(from: [f64; 2], to: [f64; 2], contrast: f64) -> Self {
        Self { from, to, width: 1.5, contrast: -contrast, wobble: 0.1, softness: 0.6 }
    }

    /// The same line moved to the right and down, mm.
    pub const fn moved(self, right: f64, down: f64) -> Self {
        Self {
            from: [self.from[0] + right, self.from[1] + down],
            to: [self.to[0] + right, self.to[1] + down],
            ..self
        }
    }
}

/// Side of a square of the index, mm.
const CELL: f64 = 8.0;

/// The lines, ready to be asked.
pub(crate) struct Lines {
    drawn: Vec<Line>,
    /// Which lines come near each square of the canvas.
    near: Vec<Vec<u16>>,
    origin: DVec2,
    columns: usize,
    rows: usize,
}

struct Line {
    drawn: DrawnLine,
    from: DVec2,
    along: DVec2,
    length: f64,
    seed: u32,
}

impl Lines {
    pub(crate) fn new(drawn: &[DrawnLine], edges: &Edges, chance: &mut Chance) -> Self {
        let lines: Vec<Line> = drawn
            .iter()
            .map(|&drawn| {
                let (from, to) = (DVec2::from(drawn.from), DVec2::from(drawn.to));
                Line {
                    drawn,
                    from,
                    along: (to - from).normalize_or_zero(),
                    length: from.distance(to),
                    seed: chance.seed(),
                }
            })
            .collect();
        let (low, high) = edges.bounds(CELL);
        let columns = ((high.x - low.x) / CELL).ceil() as usize;
        let rows = ((high.y - low.y) / CELL).ceil() as usize;
        let mut near = vec![Vec::new(); columns * rows];
        for (at, square) in near.iter_mut().enumerate() {
            let middle = low + CELL * DVec2::new((at % columns) as f64 + 0.5, (at / columns) as f64 + 0.5);
            for (number, line) in lines.iter().enumerate() {
                let off = middle - line.from;
                let reach = CELL * 0.71 + line.drawn.width + 3.0 * line.drawn.wobble + line.drawn.softness;
                let along = off.dot(line.along);
                if off.dot(line.along.perp()).abs() < reach && along > -reach && along < line.length + reach {
                    square.push(number as u16);
                }
            }
        }
        Self { drawn: lines, near, origin: low, columns, rows }
    }

    /// The share of light that the lines leave at a point; `height` is that of the weave there.
    pub(crate) fn light(&self, point: DVec2, height: f32, pixel_mm: f64) -> f64 {
        let square = (point - self.origin) / CELL;
        if square.x < 0.0 || square.y < 0.0 {
            return 1.0;
        }
        let (column, row) = (square.x as usize, square.y as usize);
        if column >= self.columns || row >= self.rows {
            return 1.0;
        }
        let near = &self.near[row * self.columns + column];
        near.iter().fold(1.0, |light, &number| {
            light * self.drawn[usize::from(number)].light(point, height, pixel_mm)
        })
    }
}

impl Line {
    fn light(&self, point: DVec2, height: f32, pixel_mm: f64) -> f64 {
        let off = point - self.from;
        let along = off.dot(self.along);
        if along < 0.0 || along > self.length {
            return 1.0;
        }
        let wobble = f64::from(noise_along((along / 40.0) as f32, self.seed)) * self.drawn.wobble * 2.1;
        let off = off.dot(self.along.perp()) - wobble;
        // Share of a strip as wide as the softness (or a pixel) that the line covers.
        let strip = self.drawn.softness.max(pixel_mm);
        let half = self.drawn.width / 2.0;
        let covered = ((off + strip / 2.0).min(half) - (off - strip / 2.0).max(-half)).max(0.0) / strip;
        if covered == 0.0 {
            return 1.0;
        }
        let pressure = 1.0
            + 0.2 * f64::from(noise_along((along / 25.0) as f32, self.seed ^ 7))
            + 0.45 * f64::from(height)
            + 0.25 * f64::from(noise_over((along / 0.9) as f32, (off / 0.5) as f32, self.seed ^ 9));
        1.0 - self.drawn.contrast * covered * pressure.max(0.0)
    }
}
