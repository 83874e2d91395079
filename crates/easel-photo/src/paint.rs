//! Paint on the canvas: loose strokes of a beginning, or a picture painted stroke by stroke.

use std::sync::Arc;

use glam::DVec2;
use photo::srgb::light_of;

use crate::random::{Chance, hashed, noise_along};

/// A picture to be painted: 8-bit sRGB rows from the top left.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bitmap {
    width: usize,
    height: usize,
    rgb: Vec<u8>,
}

impl Bitmap {
    /// A picture of these pixels; `None` unless `rgb` has exactly `3 × width × height` bytes and no side is 0.
    pub fn new(width: usize, height: usize, rgb: Vec<u8>) -> Option<Self> {
        let bytes = width.checked_mul(height)?.checked_mul(3)?;
        (bytes > 0 && bytes == rgb.len()).then_some(Self { width, height, rgb })
    }

    /// Width, height and pixels, as they were given.
    pub fn pixels(&self) -> (usize, usize, &[u8]) {
        (self.width, self.height, &self.rgb)
    }

    /// An invented head and shoulders of `width × height` pixels, enough for a finder of outlines to be misled by: bands
    /// behind the head, a dark coat, a painted border now and then.
    pub fn invented_portrait(width: usize, height: usize, seed: u64) -> Self {
        let mut chance = Chance::new(seed);
        let (w, h) = (width as f64, height as f64);
        let mut tone = |low: f64, high: f64| {
            let grey = chance.between(low, high);
            [0.0, 0.0, 0.0].map(|_: f64| (grey + chance.between(-25.0, 25.0)).clamp(8.0, 245.0))
        };
        let (behind, band, coat, hair, shirt) =
            (tone(60.0, 190.0), tone(40.0, 210.0), tone(25.0, 90.0), tone(30.0, 150.0), tone(150.0, 230.0));
        let skin = [205.0, 160.0, 130.0];
        let head = DVec2::new(w * chance.between(0.42, 0.58), h * chance.between(0.34, 0.44));
        let size = DVec2::new(w * 0.17, h * 0.18) * chance.between(0.85, 1.25);
        let bands = [chance.between(0.1, 0.9), chance.between(0.1, 0.9)];
        let border = if chance.happens(0.4) { chance.between(0.02, 0.06) * w } else { 0.0 };
        let mut rgb = Vec::with_capacity(3 * width * height);
        for at in 0..width * height {
            let p = DVec2::new((at % width) as f64 + 0.5, (at / width) as f64 + 0.5);
            let q = (p - head) / size;
            let face = q.length();
            let from_edge = p.x.min(w - p.x).min(p.y).min(h - p.y);
            let shoulders = (p.y - h * 0.62) / h - 0.55 * ((p.x - head.x) / w).powi(2);
            let colour = if from_edge < border {
                band
            } else if face < 1.0 {
                let lit = (0.86 - 0.3 * q.x - 0.12 * q.y).clamp(0.4, 1.15);
                let eye =
                    [-0.38, 0.36].iter().any(|x| DVec2::new(q.x - x, 1.8 * (q.y + 0.08)).length() < 0.14);
                let mouth = DVec2::new(q.x * 0.5, 2.4 * (q.y - 0.52)).length() < 0.14;
                skin.map(|light| {
                    light
                        * lit
                        * if eye {
                            0.35
                        } else if mouth {
                            0.6
                        } else {
                            1.0
                        }
                })
            } else if face < 1.28 && q.y < 0.35 {
                hair
            } else if shoulders > 0.0 {
                if (p.x - head.x).abs() < w * 0.06 - (p.y - h * 0.62) * 0.2 { shirt } else { coat }
            } else if p.x / w > bands[0] || p.y / h < bands[1] * 0.4 {
                band
            } else {
                behind
            };
            rgb.extend(colour.map(|light| light as u8));
        }
        Self { width, height, rgb }
    }

    /// Linear light at a point of the picture, pixels.
    fn at(&self, x: f64, y: f64) -> Option<[f32; 3]> {
        if x < 0.0 || y < 0.0 || x >= self.width as f64 || y >= self.height as f64 {
            return None;
        }
        let from = 3 * (y as usize * self.width + x as usize);
        Some(std::array::from_fn(|channel| light_of(f64::from(self.rgb[from + channel]) / 255.0) as f32))
    }
}

/// A part of a painting that was painted out of place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Misplaced {
    /// Where the part belongs, canvas frame, mm.
    pub at: [f64; 2],
    /// How far about it the painting is drawn along, mm.
    pub radius: f64,
    /// How far it was moved, mm to the right and down.
    pub by: [f64; 2],
}

/// A picture and how it is painted.
#[derive(Clone, Debug, PartialEq)]
pub struct Portrait {
    /// What is painted.
    pub picture: Arc<Bitmap>,
    /// The picture's top left corner, canvas frame, mm.
    pub origin: [f64; 2],
    /// Size of one of the picture's pixels on the canvas, mm.
    pub pixel: f64,
    /// Turn clockwise about the picture's corner, degrees.
    pub turn: f64,
    /// Parts that are not where the rest would have them.
    pub misplaced: Vec<Misplaced>,
    /// Strip along the edges left bare, mm; below 0 the paint runs over the edges.
    pub bare_border: f64,
    /// Share of the canvas that is covered, from the middle outwards: 1 is all of it.
    pub covered: f64,
    /// Width of the finest strokes, mm.
    pub brush: f64,
}

impl Portrait {
    /// The whole canvas of `width × height` mm covered by the picture, which is enlarged until nothing stays bare.
    pub fn covering(picture: Arc<Bitmap>, width: f64, height: f64) -> Self {
        let pixel = (width / picture.width as f64).max(height / picture.height as f64);
        let origin =
            [(width - pixel * picture.width as f64) / 2.0, (height - pixel * picture.height as f64) / 2.0];
        Self {
            picture,
            origin,
            pixel,
            turn: 0.0,
            misplaced: Vec::new(),
            bare_border: -4.0,
            covered: 1.0,
            brush: 3.0,
        }
    }

    /// Where a pixel of the picture lies on the canvas as painted, mm.
    pub fn painted_at(&self, px: [f64; 2]) -> [f64; 2] {
        let planned = self.unmoved(px);
        let mut moved = planned;
        // `source` is its exact opposite: a few steps of the same field find it.
        for _ in 0..30 {
            moved = planned + self.displacement(moved);
        }
        moved.into()
    }

    fn unmoved(&self, px: [f64; 2]) -> DVec2 {
        DVec2::from(self.origin)
            + DVec2::from_angle(self.turn.to_radians()).rotate(self.pixel * DVec2::from(px))
    }

    fn displacement(&self, at: DVec2) -> DVec2 {
        self.misplaced
            .iter()
            .map(|part| {
                let by = DVec2::from(part.by);
                let share = (at - DVec2::from(part.at) - by).length() / part.radius;
                if share < 1.0 { by * (1.0 - share * share).powi(2) } else { DVec2::ZERO }
            })
            .sum()
    }

    /// The point of the picture seen at a point of the canvas, pixels.
    fn source(&self, at: DVec2) -> DVec2 {
        let from = at - self.displacement(at) - DVec2::from(self.origin);
        DVec2::from_angle(-self.turn.to_radians()).rotate(from) / self.pixel
    }
}

/// What is on the canvas beside its lines.
#[derive(Clone, Debug, PartialEq)]
pub enum Paint {
    /// Nothing.
    Bare,
    /// Loose strokes of a beginning over this share of the canvas.
    Strokes {
        /// Share of the canvas, 0 to 1.
        covered: f64,
    },
    /// A picture.
    Portrait(Box<Portrait>),
}

/// The layer of paint: opacity and linear light, at so many places per millimetre.
pub(crate) struct Layer {
    low: DVec2,
    per_mm: f64,
    columns: usize,
    rows: usize,
    places: Vec<[f32; 4]>,
}

impl Layer {
    /// The layer for a canvas whose outline lies between `low` and `high`; `None` when it is bare.
    pub(crate) fn new(
        paint: &Paint,
        (low, high): (DVec2, DVec2),
        pixel_mm: f64,
        chance: &mut Chance,
    ) -> Option<Self> {
        if matches!(paint, Paint::Bare) {
            return None;
        }
        let per_mm = (1.0 / pixel_mm).clamp(0.5, 2.5);
        let size = (high - low) * per_mm;
        let (columns, rows) = (size.x.ceil() as usize + 1, size.y.ceil() as usize + 1);
        let mut layer = Self { low, per_mm, columns, rows, places: vec![[0.0; 4]; columns * rows] };
        match paint {
            Paint::Bare => {}
            Paint::Strokes { covered } => layer.loosely(*covered, low, high, chance),
            Paint::Portrait(portrait) => layer.portrait(portrait, low, high, chance),
        }
        Some(layer)
    }

    /// Opacity and light at a point.
    pub(crate) fn at(&self, point: DVec2) -> [f32; 4] {
        let place = (point - self.low) * self.per_mm;
        let x = place.x.clamp(0.0, (self.columns - 2) as f64);
        let y = place.y.clamp(0.0, (self.rows - 2) as f64);
        let (column, row) = (x as usize, y as usize);
        let (across, down) = ((x - column as f64) as f32, (y - row as f64) as f32);
        let at = row * self.columns + column;
        std::array::from_fn(|channel| {
            let upper = self.places[at][channel] * (1.0 - across) + self.places[at + 1][channel] * across;
            let below = at + self.columns;
            let lower =
                self.places[below][channel] * (1.0 - across) + self.places[below + 1][channel] * across;
            upper * (1.0 - down) + lower * down
        })
    }

    fn loosely(&mut self, covered: f64, low: DVec2, high: DVec2, chance: &mut Chance) {
        let area = (high.x - low.x) * (high.y - low.y);
        let centre = (low + high) / 2.0;
        let mut laid = 0.0;
        while laid < covered * area {
            let length = chance.between(25.0, 110.0);
            let width = chance.between(6.0, 22.0);
            let spread = (high - low) * 0.24;
            let at = centre + DVec2::new(chance.normal(spread.x), chance.normal(spread.y));
            let grey = chance.between(0.05, 0.5);
            let colour = [1.2, 0.95, 0.75].map(|tint| (grey * tint * chance.between(0.8, 1.2)) as f32);
            let opacity = chance.between(0.5, 0.95) as f32;
            let turn = chance.between(0.0, std::f64::consts::PI);
            self.stroke(at, turn, length, width, colour, opacity, chance.seed());
            laid += length * width;
        }
    }

    fn portrait(&mut self, portrait: &Portrait, low: DVec2, high: DVec2, chance: &mut Chance) {
        let centre = (low + high) / 2.0;
        let edge_seed = chance.seed();
        for (width, opacity) in
            [(portrait.brush * 4.0, 0.9), (portrait.brush * 2.0, 0.85), (portrait.brush, 0.8)]
        {
            let step = width * 0.8;
            let (columns, rows) =
                (((high.x - low.x) / step) as usize + 1, ((high.y - low.y) / step) as usize + 1);
            for number in 0..columns * rows {
                let jitter = DVec2::new(chance.normal(0.3 * step), chance.normal(0.3 * step));
                let at =
                    low + step * DVec2::new((number % columns) as f64, (number / columns) as f64) + jitter;
                let turn = chance.normal(0.5) + 0.9;
                let seed = chance.seed();
                let from_edge = (at - low).min(high - at).min_element() - EDGE_MARGIN;
                let q = (at - centre) / (high - low) * 2.0;
                let reach = 1.45 * portrait.covered.sqrt()
                    + 0.12 * f64::from(noise_along(q.to_angle() as f32 * 4.0, edge_seed));
                if from_edge < portrait.bare_border + width * 0.6
                    || (portrait.covered < 1.0 && q.length() > reach)
                {
                    continue;
                }
                let source = portrait.source(at);
                if let Some(colour) = portrait.picture.at(source.x, source.y) {
                    let colour = colour.map(|light| light * (1.0 + 0.06 * (hashed(0, 3, seed) - 0.5)));
                    self.stroke(at, turn, width * 2.2, width, colour, opacity, seed);
                }
            }
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn stroke(
        &mut self,
        at: DVec2,
        turn: f64,
        length: f64,
        width: f64,
        colour: [f32; 3],
        opacity: f32,
        seed: u32,
    ) {
        let along = DVec2::from_angle(turn);
        let reach = (along.abs() * length + along.perp().abs() * width) * 0.5;
        let from = ((at - reach - self.low) * self.per_mm).max(DVec2::ZERO);
        let to = (at + reach - self.low) * self.per_mm;
        let (right, bottom) =
            ((to.x.max(0.0) as usize).min(self.columns - 1), (to.y.max(0.0) as usize).min(self.rows - 1));
        for row in from.y as usize..=bottom {
            for column in from.x as usize..=right {
                let point = self.low + DVec2::new(column as f64, row as f64) / self.per_mm - at;
                let (u, v) = (point.dot(along) / length * 2.0, point.dot(along.perp()) / width * 2.0);
                let bristle = noise_along((v * width * 0.9) as f32, seed);
                let ends = 1.0 - (u.abs() - 0.15 * f64::from(bristle)).max(0.0).powi(4) - v.abs().powi(4);
                if ends <= 0.0 {
                    continue;
                }
                let cover = opacity * (ends as f32 * 3.0).min(1.0);
                let place = &mut self.places[row * self.columns + column];
                for (channel, light) in colour.iter().enumerate() {
                    let target = light * (1.0 + 0.10 * bristle);
                    // Colours are kept multiplied by the opacity, so that two coats mix as coats do.
                    place[channel + 1] = place[channel + 1] * (1.0 - cover) + target * cover;
                }
                place[0] = place[0] * (1.0 - cover) + cover;
            }
        }
    }
}

/// How far the layer reaches beyond the outline, mm: strokes run over the edge.
pub(crate) const EDGE_MARGIN: f64 = 6.0;
