//! A scene: everything that decides how the photo looks, and the ways to choose it.

use glam::{DVec2, DVec3};

use crate::camera::{Camera, View};
use crate::canvas::Canvas;
use crate::drawn::DrawnLine;
use crate::paint::{Bitmap, Paint, Portrait};
use crate::random::Chance;
use crate::render;
use crate::shot::Shot;
use crate::surroundings::Background;

/// How the canvas is lit and how the camera takes that light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Light {
    /// Exposure: linear light of a white surface at the canvas's middle; above 1 it is burnt out.
    pub exposure: f64,
    /// How much brighter the canvas is on one side than on the other, 0 to 1.
    pub slope: f64,
    /// The direction in which it gets brighter, degrees clockwise from the canvas's x axis.
    pub towards: f64,
    /// Darkening at the photo's corners, 0 to 1.
    pub corners: f64,
    /// A soft shadow's edge lies across the canvas (an easel's bar, the painter): its depth, 0 to 1.
    pub shadow: f64,
    /// Standard deviation of the lens's and the hand's blur, pixels.
    pub blur: f64,
    /// How much the phone sharpens what it took: 0 not at all, 0.5 a good deal.
    pub sharpening: f64,
    /// Noise in white light, as a share of it.
    pub noise: f64,
    /// JPEG quality, 1 to 100.
    pub quality: u8,
}

/// A photo that could be taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// Width and height of the canvas's nominal rectangle, mm.
    pub size: [f64; 2],
    /// The canvas.
    pub canvas: Canvas,
    /// What is drawn on it.
    pub lines: Vec<DrawnLine>,
    /// What is painted on it.
    pub paint: Paint,
    /// What is around it.
    pub background: Background,
    /// How it is lit.
    pub light: Light,
    /// How it is seen.
    pub camera: Camera,
    /// Chance of everything that has no parameter: threads, roughness, things on the wall, noise.
    pub seed: u64,
}

/// The truth of a photo.
#[derive(Clone, Debug)]
pub struct Truth {
    view: View,
    corners: [[f64; 2]; 4],
    /// The lines, canvas frame, mm.
    pub lines: Vec<DrawnLine>,
}

impl Truth {
    /// Where a point of the canvas's front plane (canvas frame, mm) falls in the photo (pixels from its top left corner,
    /// pixel edges on whole numbers).
    pub fn px_of(&self, mm: [f64; 2]) -> [f64; 2] {
        self.view.project(DVec3::new(mm[0], mm[1], 0.0)).into()
    }

    /// The point of the canvas's front plane seen at a point of the photo, canvas frame, mm.
    pub fn mm_of(&self, px: [f64; 2]) -> [f64; 2] {
        self.view.on_canvas(DVec2::from(px)).into()
    }

    /// The corners in the photo from the top left clockwise, pixels.
    pub fn corners_px(&self) -> [[f64; 2]; 4] {
        self.corners.map(|corner| self.px_of(corner))
    }

    /// Focal length, pixels.
    pub fn focal_px(&self) -> f64 {
        self.view.focal_px()
    }

    /// Principal point, pixels.
    pub fn principal_px(&self) -> [f64; 2] {
        self.view.principal_px().into()
    }

    /// Size of a photo pixel at the canvas's middle, mm.
    pub fn pixel_mm(&self) -> f64 {
        self.view.pixel_mm()
    }
}

/// A kind of scene that the finder of outlines is measured on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A bare canvas before a plain wall.
    Plain,
    /// A bare canvas on an easel before a cluttered wall.
    Cluttered,
    /// The same with loose strokes on the canvas.
    Strokes,
    /// The same with a painted portrait.
    Painted,
    /// A bare canvas on a wall of its own tone.
    OwnTone,
}

impl Scene {
    /// A bare canvas of this size (mm) before a plain mid-grey wall, 12 megapixels, a camera like a phone's main one held
    /// nearly square, everything ordinary. The photo is upright for upright canvases, else level.
    pub fn new(width: f64, height: f64, seed: u64) -> Self {
        let size = if width > height { [4032, 3024] } else { [3024, 4032] };
        let camera = Camera {
            size,
            focal_35mm: 26.0,
            focal_truth: 1.0,
            principal: [0.0, 0.0],
            k1: 0.0,
            k2: 0.0,
            tilt: 3.0,
            tilt_about: 20.0,
            roll: 0.5,
            distance: 1.0,
            aim: [0.0, 0.0],
        };
        let light = Light {
            exposure: 0.95,
            slope: 0.15,
            towards: 200.0,
            corners: 0.15,
            shadow: 0.0,
            blur: 0.8,
            sharpening: 0.0,
            noise: 0.012,
            quality: 92,
        };
        Self {
            size: [width, height],
            canvas: Canvas::new(width, height),
            lines: Vec::new(),
            paint: Paint::Bare,
            background: Background::Plain(0.25),
            light,
            camera,
            seed,
        }
        .filling(0.85)
    }

    /// A scene of the study of feasibility, all its parameters by chance: |k1| up to 0.08, |k2| up to 0.02, tilt 5 to 20
    /// degrees, roll 4, the canvas filling 75 to 92 % of the frame, focal length told 2 % wrong, principal point 15 px off.
    pub fn random(width: f64, height: f64, kind: Kind, seed: u64) -> Self {
        let mut chance = Chance::new(seed ^ 0x6561_7365_6c00);
        let mut scene = Self::new(width, height, seed);
        let camera = &mut scene.camera;
        camera.k1 = chance.between(-0.08, 0.08);
        camera.k2 = chance.between(-0.02, 0.02);
        camera.tilt = chance.between(5.0, 20.0);
        camera.tilt_about = chance.between(0.0, 360.0);
        camera.roll = chance.between(-4.0, 4.0);
        camera.focal_truth = 1.0 + chance.normal(0.02).clamp(-0.05, 0.05);
        camera.principal = [chance.normal(0.003), chance.normal(0.003)];
        camera.aim = [chance.normal(0.006), chance.normal(0.006)];
        let light = &mut scene.light;
        light.slope = chance.between(0.0, 0.35);
        light.towards = chance.between(0.0, 360.0);
        light.corners = chance.between(0.0, 0.3);
        light.exposure = chance.between(0.75, 1.05);
        light.blur = chance.between(0.6, 1.2);
        light.noise = chance.between(0.006, 0.02);
        light.quality = chance.between(85.0, 96.0) as u8;
        scene.canvas.weave = chance.between(0.03, 0.06);
        scene.canvas.thread = chance.between(0.5, 0.8);
        scene.canvas.fold = [0.0; 4].map(|_| chance.between(-0.08, 0.14));
        let dark = chance.happens(0.75);
        let wall = if dark { chance.between(0.08, 0.48) } else { chance.between(0.92, 0.97) };
        let cluttered = Background::Cluttered { wall: chance.between(0.08, 0.5), clamp: chance.happens(0.5) };
        scene.background = match kind {
            Kind::Plain => Background::Plain(wall),
            Kind::Cluttered | Kind::Strokes | Kind::Painted => cluttered,
            Kind::OwnTone => Background::OwnTone(chance.between(-0.02, 0.02)),
        };
        if kind != Kind::Plain && kind != Kind::OwnTone && chance.happens(0.5) {
            scene.light.shadow = chance.between(0.1, 0.35);
        }
        if kind == Kind::Strokes {
            scene.paint = Paint::Strokes { covered: chance.between(0.1, 0.6) };
        }
        if kind == Kind::Painted {
            let picture = Bitmap::invented_portrait(480, (480.0 * height / width) as usize, seed);
            let mut portrait = Portrait::covering(picture.into(), width, height);
            portrait.bare_border = if chance.happens(0.4) { chance.between(2.0, 25.0) } else { -4.0 };
            scene.paint = Paint::Portrait(Box::new(portrait));
        }
        let fill = chance.between(0.75, 0.92);
        scene.filling(fill)
    }

    /// The camera at the distance from which the canvas fills this share of the frame's tighter side, 0.1 to 1, where the
    /// lens, the tilt and the aim leave it wholly in the frame; else a little farther.
    pub fn filling(mut self, share: f64) -> Self {
        let frame = self.camera.size.map(f64::from);
        let spans = [0, 1].map(|axis| self.size[axis] / frame[axis]);
        self.camera.distance = self.camera.focal_px() * spans[0].max(spans[1]) / share.clamp(0.1, 1.0);
        for _ in 0..40 {
            let margin = frame[0].min(frame[1]) * 0.012;
            let whole = self.truth().corners_px().iter().all(|corner| {
                [0, 1].iter().all(|&axis| corner[axis] > margin && corner[axis] < frame[axis] - margin)
            });
            if whole {
                break;
            }
            self.camera.distance *= 1.01;
        }
        self
    }

    /// The same photo at another size; everything that a lens decides stays in proportion, the blur in pixels stays.
    pub fn sized(mut self, width: u32, height: u32) -> Self {
        self.camera.size = [width, height];
        self
    }

    /// The scene with these lines on the canvas.
    pub fn with_lines(mut self, lines: impl IntoIterator<Item = DrawnLine>) -> Self {
        self.lines.extend(lines);
        self
    }

    /// A pencil line of the canvas's whole height, `mm` from the left side.
    pub fn vertical(&self, mm: f64, contrast: f64) -> DrawnLine {
        DrawnLine::pencil([mm, 0.0], [mm, self.size[1]], contrast)
    }

    /// A pencil line of the canvas's whole width, `mm` from the top side.
    pub fn horizontal(&self, mm: f64, contrast: f64) -> DrawnLine {
        DrawnLine::pencil([0.0, mm], [self.size[0], mm], contrast)
    }

    /// The truth of the photo, without taking it.
    pub fn truth(&self) -> Truth {
        Truth {
            view: View::new(self.camera, self.canvas.middle()),
            corners: self.canvas.corners,
            lines: self.lines.clone(),
        }
    }

    /// Takes the photo.
    pub fn shoot(&self) -> Shot {
        let truth = self.truth();
        let rgb = render::photo(self, &truth.view);
        let [width, height] = self.camera.size;
        Shot { width, height, rgb, truth, focal_35mm: self.camera.focal_35mm, quality: self.light.quality }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn small() -> Scene {
        Scene::random(305.0, 305.0, Kind::Cluttered, 5).sized(360, 480)
    }

    #[test]
    fn the_same_scene_gives_the_same_photo_and_another_seed_another() {
        let shot = small().shoot();
        assert_eq!(shot.rgb, small().shoot().rgb);
        assert_ne!(shot.rgb, Scene { seed: 6, ..small() }.shoot().rgb);
    }

    #[test]
    fn a_line_is_dark_where_the_truth_says_it_lies() {
        let mut scene = Scene::new(300.0, 300.0, 1).sized(900, 900).filling(0.9);
        scene.canvas.weave = 0.01;
        let line = DrawnLine { width: 2.0, wobble: 0.0, ..scene.vertical(100.0, 0.4) };
        let shot = scene.with_lines([line]).shoot();
        let light_at = |mm: [f64; 2]| {
            let [x, y] = shot.truth.px_of(mm);
            shot.rgb[3 * (y as usize * 900 + x as usize)]
        };
        for y in [30.0, 150.0, 270.0] {
            assert!(light_at([100.0, y]) + 20 < light_at([106.0, y]).min(light_at([94.0, y])), "{y}");
        }
    }

    #[test]
    fn the_edge_of_the_canvas_lies_where_the_truth_says() {
        let shot = Scene::new(300.0, 300.0, 2).sized(900, 900).shoot();
        let light_at = |mm: [f64; 2]| {
            let [x, y] = shot.truth.px_of(mm);
            shot.rgb[3 * (y as usize * 900 + x as usize)]
        };
        for at in [40.0, 150.0, 260.0] {
            for (inside, outside) in [([at, 2.0], [at, -2.0]), ([298.0, at], [302.0, at])] {
                assert!(light_at(inside) > light_at(outside) + 40);
            }
        }
    }

    #[test]
    fn the_canvas_lies_wholly_in_the_frame() {
        for seed in 0..50 {
            for (width, height) in [(305.0, 305.0), (406.4, 508.0), (600.0, 400.0)] {
                let scene = Scene::random(width, height, Kind::Plain, seed);
                let frame = scene.camera.size.map(f64::from);
                let corners = scene.truth().corners_px();
                assert!(
                    corners.iter().all(|c| c[0] > 0.0 && c[1] > 0.0 && c[0] < frame[0] && c[1] < frame[1])
                );
            }
        }
    }

    #[test]
    fn a_misplaced_part_is_told_where_it_was_painted() {
        let mut portrait = Portrait::covering(Bitmap::invented_portrait(300, 300, 1).into(), 300.0, 300.0);
        portrait.misplaced.push(crate::Misplaced { at: [120.0, 100.0], radius: 30.0, by: [0.0, 4.0] });
        assert_eq!(portrait.painted_at([250.0, 250.0]), [250.0, 250.0]);
        let [x, y] = portrait.painted_at([120.0, 100.0]);
        assert!((x - 120.0).abs() < 1e-6 && (y - 104.0).abs() < 1e-6, "{x} {y}");
    }
}
