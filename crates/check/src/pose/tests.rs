//! The estimate against cameras that are known exactly: geometry alone, no pixels.

use nalgebra::{Matrix3, Rotation3, Vector2, Vector3};
use plan::{CanvasPoint, CanvasRect, Length, Quad};

use super::*;
use crate::edges::{line_frame, side_frame};
use crate::frame::ImagePoint;

/// Deterministic noise (Knuth's MMIX generator).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// Normal with standard deviation 1, by the sum of twelve.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}

/// A camera before a canvas.
struct Scene {
    canvas: Quad,
    projection: Matrix3<f64>,
    axis: Vector2<f64>,
    focal: f64,
    lens: Lens,
    bows: [f64; 4],
}

impl Scene {
    fn random(dice: &mut Dice, width: f64, height: f64, bow: f64) -> Self {
        let tilt = dice.between(5.0_f64.to_radians(), 20.0_f64.to_radians());
        let towards = dice.between(0.0, std::f64::consts::TAU);
        let tilted = Rotation3::from_axis_angle(
            &nalgebra::Unit::new_normalize(Vector3::new(towards.cos(), towards.sin(), 0.0)),
            tilt,
        );
        let roll = Rotation3::from_axis_angle(&Vector3::z_axis(), dice.between(-0.07, 0.07));
        let rotation = (roll * tilted).into_inner();
        let focal = 3000.0 * (1.0 + 0.02 * dice.normal());
        let fill = dice.between(0.75, 0.88);
        let distance = focal * (width / 3024.0).max(height / 4032.0) / fill * 1.1;
        let (u, v) = (rotation.column(0).into_owned(), rotation.column(1).into_owned());
        let origin = Vector3::new(0.0, 0.0, distance) - u * (width / 2.0) - v * (height / 2.0);
        let corner = |x: f64, y: f64| CanvasPoint::mm(x, y);
        Self {
            canvas: CanvasRect::new(corner(0.0, 0.0), Length::mm(width), Length::mm(height)).into(),
            projection: Matrix3::from_columns(&[u, v, origin]),
            axis: Vector2::new(1512.0 + 15.0 * dice.normal(), 2016.0 + 15.0 * dice.normal()),
            focal,
            lens: Lens { k1: dice.between(-0.08, 0.08), k2: dice.between(-0.02, 0.02) },
            bows: [0; 4].map(|_| bow * dice.normal()),
        }
    }

    fn pixel(&self, place: Vector2<f64>) -> Vector2<f64> {
        let ray = self.projection * Vector3::new(place.x, place.y, 1.0);
        self.axis + self.lens.bent(ray.xy() / ray.z) * self.focal
    }

    fn corners(&self, dice: &mut Dice, slip: f64) -> [ImagePoint; 4] {
        self.canvas.corners.map(|corner| {
            let at = self.pixel(millimetres(corner));
            ImagePoint::new(at.x + slip * dice.normal(), at.y + slip * dice.normal())
        })
    }

    /// Points along the edges with white noise in pixels and roughness in mm that neighbours share.
    fn edges(&self, dice: &mut Dice, roughness: f64) -> Vec<Curve> {
        plan::Side::ALL
            .into_iter()
            .zip(self.bows)
            .map(|(side, bow)| {
                let (origin, along, across, length) = side_frame(&self.canvas, side);
                let mut rough = dice.normal();
                let points = (0..200)
                    .map(|at| {
                        let share = 0.03 + 0.94 * f64::from(at) / 199.0;
                        let alike = (-length * 0.94 / 199.0 / 3.0).exp();
                        rough = rough * alike + dice.normal() * (1.0 - alike * alike).sqrt();
                        let off = 4.0 * bow * share * (1.0 - share) + roughness * rough;
                        let place = origin + along * (share * length) + across * off;
                        self.pixel(place) + Vector2::new(dice.normal(), dice.normal()) * 0.3
                    })
                    .collect();
                Curve {
                    origin,
                    along,
                    across,
                    length,
                    own: Own::Edge { bow: BOW_SD, place: PLACE_SD },
                    points,
                    spread: 0.5,
                    sd: 1.0,
                }
            })
            .collect()
    }

    fn lines(&self, dice: &mut Dice) -> Vec<Curve> {
        let [_, _, far, _] = self.canvas.corners.map(millimetres);
        [0.25, 0.5, 0.75]
            .into_iter()
            .flat_map(|share| {
                [
                    (Vector2::new(far.x * share, 0.0), Vector2::new(far.x * share, far.y), true),
                    (Vector2::new(0.0, far.y * share), Vector2::new(far.x, far.y * share), false),
                ]
            })
            .map(|(from, to, upright)| {
                let frame = line_frame(from, to, upright);
                let (start, growth) = (dice.normal() * 0.7, dice.normal() * 0.7);
                let points = (0..36)
                    .map(|at| {
                        let share = (f64::from(at) + 0.5) / 36.0;
                        let off = start + growth * share + 0.05 * dice.normal();
                        self.pixel(frame.0 + frame.1 * (frame.3 * share) + frame.2 * off)
                    })
                    .collect();
                line_curve(frame, points, 1.0)
            })
            .collect()
    }

    fn start(&self, dice: &mut Dice) -> CanvasMap {
        let view = View { middle: Vector2::new(1512.0, 2016.0), focal: 3000.0 };
        CanvasMap::through_corners(view, self.corners(dice, 4.0), &self.canvas, Lens::default()).unwrap()
    }

    /// For a grid of points: how far the map is off, mm, and its half-widths.
    fn errors(&self, map: &CanvasMap) -> Vec<(Vector2<f64>, [[f64; 2]; 2])> {
        let far = millimetres(self.canvas.corners[2]);
        (0..225)
            .map(|at| {
                let place =
                    Vector2::new(f64::from(at % 15) / 14.0 * far.x, f64::from(at / 15) / 14.0 * far.y);
                let pixel = self.pixel(place);
                let covariance = map.covariance_at(ImagePoint::new(pixel.x, pixel.y)).unwrap();
                (map.place(pixel).unwrap() - place, covariance)
            })
            .collect()
    }
}

fn percentile(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    values[((values.len() - 1) as f64 * share).round() as usize]
}

/// p95 of the map's error in mm, and the share of coordinates within their 95 % interval.
fn trial(seed: u64, photos: usize, (width, height): (f64, f64), bow: f64, with_lines: bool) -> (f64, f64) {
    let (mut off, mut covered, mut count) = (Vec::new(), 0, 0);
    for photo in 0..photos {
        let mut dice = Dice(seed + photo as u64 * 7919);
        let scene = Scene::random(&mut dice, width, height, bow);
        let mut curves = scene.edges(&mut dice, 0.1);
        if with_lines {
            curves.extend(scene.lines(&mut dice));
        }
        let mut evidence = Evidence { curves, spots: Vec::new(), beforehand: Beforehand::of_a_telephone() };
        let fit = settle(&scene.start(&mut dice), &mut evidence, 1.0).unwrap();
        for (error, covariance) in scene.errors(&fit.map) {
            off.push(error.norm());
            for axis in 0..2 {
                count += 1;
                covered += usize::from(error[axis].abs() < 1.96 * covariance[axis][axis].sqrt());
            }
        }
    }
    (percentile(&mut off, 0.95), covered as f64 / f64::from(count))
}

/// What geometry alone must reach, so that pixels have room for theirs: the aims are 0.2 and 0.3 mm.
#[test]
fn straight_edges_alone_place_every_point_within_a_fifth_of_a_millimetre() {
    for size in [(305.0, 305.0), (406.0, 508.0)] {
        let (p95, covered) = trial(1, 10, size, 0.0, false);
        assert!(p95 < 0.2 && covered > 0.92, "{size:?}: {p95} mm, {covered}");
    }
}

#[test]
fn with_straight_lines_drawn_bowed_edges_do_no_harm() {
    for size in [(305.0, 305.0), (406.0, 508.0)] {
        let (p95, covered) = trial(2, 12, size, 0.4, true);
        assert!(p95 < 0.25 && covered > 0.88, "{size:?}: {p95} mm, {covered}");
    }
}

/// The same scene with fresh noise each time: the scatter of a point's place is what the covariance says.
#[test]
fn the_covariance_is_the_scatter_of_many_trials() {
    let mut dice = Dice(5);
    let scene = Scene::random(&mut dice, 406.0, 508.0, 0.0);
    let start = scene.start(&mut dice);
    let pixel = scene.pixel(Vector2::new(60.0, 400.0));
    let (mut places, mut stated) = (Vec::new(), [0.0; 2]);
    let trials = 150;
    for _ in 0..trials {
        let mut curves = scene.edges(&mut dice, 0.0);
        for curve in &mut curves {
            // The noise is thrown in both directions, and counts in the one across.
            (curve.spread, curve.sd, curve.own) = (0.3, 0.3, Own::Edge { bow: 1e-6, place: 1e-6 });
        }
        let evidence = Evidence { curves, spots: Vec::new(), beforehand: Beforehand::of_a_telephone() };
        let fit = estimate(&start, &evidence).unwrap();
        let covariance = fit.map.covariance_at(ImagePoint::new(pixel.x, pixel.y)).unwrap();
        stated = [covariance[0][0].sqrt(), covariance[1][1].sqrt()];
        places.push(fit.map.place(pixel).unwrap());
    }
    let mean = places.iter().sum::<Vector2<f64>>() / f64::from(trials);
    for axis in 0..2 {
        let scatter = places.iter().map(|place| (place[axis] - mean[axis]).powi(2)).sum::<f64>()
            / f64::from(trials - 1);
        let ratio = stated[axis] / scatter.sqrt();
        // Of 150 trials the scatter itself is known to 6 %; what is known of the axis beforehand is stated and not thrown.
        assert!((0.82..1.35).contains(&ratio), "{ratio}");
    }
}

/// The study of this way gave 0.52 mm on 406 x 508 mm for clicks of 1.5 px.
#[test]
fn eight_clicks_place_every_point_to_half_a_millimetre() {
    let (mut off, mut covered, mut count) = (Vec::new(), 0, 0);
    for seed in 0..40 {
        let mut dice = Dice(seed * 31 + 1);
        let scene = Scene::random(&mut dice, 406.0, 508.0, 0.0);
        let corners = scene.corners(&mut dice, 1.5);
        let middles = plan::Side::ALL.map(|side| {
            let (origin, along, _, length) = side_frame(&scene.canvas, side);
            let at = scene.pixel(origin + along * (length * dice.between(0.45, 0.55)));
            ImagePoint::new(at.x + 1.5 * dice.normal(), at.y + 1.5 * dice.normal())
        });
        let view = View { middle: Vector2::new(1512.0, 2016.0), focal: 3000.0 };
        let start = CanvasMap::through_corners(view, corners, &scene.canvas, Lens::default()).unwrap();
        let fit = estimate(&start, &clicked(&scene.canvas, corners, middles, 1.5, None)).unwrap();
        for (error, covariance) in scene.errors(&fit.map) {
            off.push(error.norm());
            for axis in 0..2 {
                count += 1;
                covered += usize::from(error[axis].abs() < 1.96 * covariance[axis][axis].sqrt());
            }
        }
    }
    let (p95, covered) = (percentile(&mut off, 0.95), covered as f64 / f64::from(count));
    assert!(p95 < 0.56 && covered > 0.92, "{p95} mm, {covered}");
}
