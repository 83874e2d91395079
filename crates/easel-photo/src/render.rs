//! One ray for each pixel, then blur, sharpening, noise and code.

#![expect(clippy::cast_possible_wrap, reason = "a picture has far fewer than 2^31 pixels a side")]

use glam::{DVec2, DVec3};
use rayon::prelude::*;

use crate::camera::View;
use crate::canvas::{Edges, Weave};
use crate::drawn::Lines;
use crate::paint::{EDGE_MARGIN, Layer};
use crate::random::{Chance, hashed};
use crate::scene::{Light, Scene};
use crate::surroundings::{Surroundings, hit};

/// Everything a ray may meet.
struct World<'a> {
    scene: &'a Scene,
    view: &'a View,
    edges: Edges,
    weave: Weave,
    lines: Lines,
    paint: Option<Layer>,
    around: Surroundings,
    eye: DVec3,
    middle: DVec2,
    brighter: DVec2,
    shadow: (DVec2, f64),
}

/// The photo's pixels, red, green, blue in sRGB.
pub(crate) fn photo(scene: &Scene, view: &View) -> Vec<u8> {
    let world = World::new(scene, view);
    let [width, height] = scene.camera.size.map(|side| side as usize);
    let mut light = vec![[0.0f32; 3]; width * height];
    light.par_chunks_exact_mut(width).enumerate().for_each(|(row, line)| {
        for (column, pixel) in line.iter_mut().enumerate() {
            *pixel = world.seen(DVec2::new(column as f64 + 0.5, row as f64 + 0.5));
        }
    });
    let mut soft = blurred(&light, width, scene.light.blur);
    if scene.light.sharpening > 0.0 {
        let softer = blurred(&soft, width, 1.5 * scene.light.blur.max(0.6));
        let amount = scene.light.sharpening as f32;
        soft.par_iter_mut().zip(&softer).for_each(|(pixel, wide)| {
            for (value, mean) in pixel.iter_mut().zip(wide) {
                *value = (*value + amount * (*value - mean)).max(0.0);
            }
        });
    }
    coded(&soft, width, &scene.light, scene.seed as u32)
}

impl<'a> World<'a> {
    fn new(scene: &'a Scene, view: &'a View) -> Self {
        let mut chance = Chance::new(scene.seed ^ 0x0070_686f_746f);
        let edges = Edges::new(&scene.canvas, &mut chance);
        let pixel = view.pixel_mm();
        let weave = Weave::new(&scene.canvas, pixel, &mut chance);
        let lines = Lines::new(&scene.lines, &edges, &mut chance);
        let paint = Layer::new(&scene.paint, edges.bounds(EDGE_MARGIN), pixel, &mut chance);
        let around = Surroundings::new(scene.background, &scene.canvas, &mut chance);
        let across = DVec2::from_angle(chance.between(-0.6, 0.6));
        let offset = chance.between(-0.3, 0.3) * scene.size[0];
        Self {
            scene,
            view,
            edges,
            weave,
            lines,
            paint,
            around,
            eye: view.eye(),
            middle: scene.canvas.middle(),
            brighter: DVec2::from_angle(scene.light.towards.to_radians()) * scene.light.slope
                / DVec2::from(scene.size).length(),
            shadow: (across, offset),
        }
    }

    /// Linear light at a point of the photo.
    fn seen(&self, px: DVec2) -> [f32; 3] {
        let ray = self.view.ray(px);
        let pixel = self.view.pixel_mm();
        let (mut seen, mut passed) = self.around.before(self.eye, ray, pixel);
        let front = hit(self.eye, ray, 0.0);
        if passed > 0.0 {
            let (inside, fold) = self.edges.inside(front);
            let cover = (inside / pixel + 0.5).clamp(0.0, 1.0) as f32;
            if cover > 0.0 {
                let surface = self.surface(front, fold);
                add(&mut seen, surface, passed * cover);
                passed *= 1.0 - cover;
            }
            if passed > 0.0 {
                // Past the front's edge the ray may still meet the side of the stretcher.
                let depth = self.scene.canvas.depth;
                let back = hit(self.eye, ray, depth);
                let (inside, _) = self.edges.inside(back);
                let cover = (inside / pixel + 0.5).clamp(0.0, 1.0) as f32;
                if cover > 0.0 {
                    let dim = side_light(back - front);
                    let tone = self.scene.canvas.tone.map(|tone| tone as f32 * dim);
                    add(&mut seen, tone, passed * cover);
                    passed *= 1.0 - cover;
                }
                if passed > 0.0 {
                    add(&mut seen, self.around.behind(self.eye, ray, pixel), passed);
                }
            }
        }
        let lit = self.lit(front) * self.falloff(px);
        seen.map(|light| light * lit)
    }

    fn surface(&self, at: DVec2, fold: f64) -> [f32; 3] {
        let weave = self.weave.at(at.x as f32, at.y as f32);
        let lines = self.lines.light(at, weave.height, self.view.pixel_mm()) as f32;
        let bare = self.scene.canvas.tone.map(|tone| tone as f32 * weave.light * lines);
        let mut colour = bare;
        if let Some(paint) = &self.paint {
            let [cover, paint @ ..] = paint.at(at);
            // Paint fills the hollows: the weave shows through it only faintly.
            let relief = 1.0 + 0.35 * (weave.light - 1.0);
            for ((channel, bare), paint) in colour.iter_mut().zip(bare).zip(paint) {
                *channel = bare * (1.0 - cover) + paint * relief;
            }
        }
        let mut light = fold as f32;
        if self.scene.light.shadow > 0.0 {
            let (across, offset) = self.shadow;
            let beyond = ((at - self.middle).dot(across) - offset) / 18.0;
            light *= 1.0 - (self.scene.light.shadow * (0.5 + 0.5 * beyond.clamp(-1.0, 1.0))) as f32;
        }
        colour.map(|channel| channel * light)
    }

    fn lit(&self, at: DVec2) -> f32 {
        ((1.0 + (at - self.middle).dot(self.brighter)).clamp(0.3, 1.7) * self.scene.light.exposure) as f32
    }

    fn falloff(&self, px: DVec2) -> f32 {
        let [width, height] = self.scene.camera.size.map(f64::from);
        let share = (px - DVec2::new(width, height) / 2.0).length() / (0.5 * width.hypot(height));
        (1.0 - self.scene.light.corners * share * share) as f32
    }
}

/// How the four sides of the stretcher take the light, by the direction in which one looks past them.
fn side_light(past: DVec2) -> f32 {
    let towards = if past.length() > 0.0 { past.normalize() } else { DVec2::X };
    (0.62 - 0.25 * towards.dot(DVec2::new(0.3, -0.95))) as f32
}

fn add(seen: &mut [f32; 3], light: [f32; 3], share: f32) {
    for (channel, light) in seen.iter_mut().zip(light) {
        *channel += share * light;
    }
}

/// A Gaussian blur, across and then down.
fn blurred(light: &[[f32; 3]], width: usize, deviation: f64) -> Vec<[f32; 3]> {
    let reach = (3.0 * deviation).ceil() as usize;
    if deviation <= 0.0 {
        return light.to_vec();
    }
    let mut weights: Vec<f32> =
        (0..=reach).map(|off| (-0.5 * (off as f64 / deviation).powi(2)).exp() as f32).collect();
    let sum: f32 = weights[0] + 2.0 * weights[1..].iter().sum::<f32>();
    for weight in &mut weights {
        *weight /= sum;
    }
    let height = light.len() / width;
    let pass =
        |from: &[[f32; 3]], step: usize, count: usize, place: &(dyn Fn(usize, usize) -> usize + Sync)| {
            let mut to = vec![[0.0f32; 3]; from.len()];
            to.par_chunks_exact_mut(width).enumerate().for_each(|(row, line)| {
                for (column, pixel) in line.iter_mut().enumerate() {
                    let (at, here) = (row * width + column, place(row, column));
                    let mut sum = from[at].map(|value| value * weights[0]);
                    for (off, weight) in weights.iter().enumerate().skip(1) {
                        let before = &from[at - step * off.min(here)];
                        let after = &from[at + step * off.min(count - 1 - here)];
                        for channel in 0..3 {
                            sum[channel] += weight * (before[channel] + after[channel]);
                        }
                    }
                    *pixel = sum;
                }
            });
            to
        };
    let across = pass(light, 1, width, &|_, column| column);
    pass(&across, width, height, &|row, _| row)
}

/// Steps of the table of codes: fine enough for the darkest code.
const STEPS: usize = 1 << 14;

/// Noise of photons and of reading, then the sRGB code (IEC 61966-2-1).
fn coded(light: &[[f32; 3]], width: usize, taken: &Light, seed: u32) -> Vec<u8> {
    let code: Vec<u8> = (0..=STEPS)
        .map(|step| {
            let linear = step as f64 / STEPS as f64;
            (255.0 * photo::srgb::number_of(linear)).round() as u8
        })
        .collect();
    let noise = taken.noise as f32;
    let mut rgb = vec![0; 3 * light.len()];
    rgb.par_chunks_exact_mut(3 * width).zip(light.par_chunks_exact(width)).enumerate().for_each(
        |(row, (codes, line))| {
            for (column, (code_of, pixel)) in codes.chunks_exact_mut(3).zip(line).enumerate() {
                for channel in 0..3 {
                    let chance = normal(column as i32 * 3 + channel as i32, row as i32, seed);
                    let value = pixel[channel];
                    let taken = value + chance * noise * (value.max(0.0) + 0.01).sqrt();
                    code_of[channel] = code[(taken.clamp(0.0, 1.0) * STEPS as f32) as usize];
                }
            }
        },
    );
    rgb
}

/// Nearly normal, standard deviation 1: the sum of the four bytes of a hash (Irwin and Hall).
fn normal(x: i32, y: i32, seed: u32) -> f32 {
    let bits = (hashed(x, y, seed) * 16_777_216.0) as u32;
    let other = (hashed(x, y, seed ^ 0x5bd1) * 16_777_216.0) as u32;
    let sum = (bits & 0xfff) + (bits >> 12) + (other & 0xfff) + (other >> 12);
    (sum as f32 / 4095.0 - 2.0) * 1.732
}
