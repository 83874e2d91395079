//! The sculpture is a man's head: its measures against published ones, its landmarks on its surface and in order.
//!
//! Measures: ANSUR II, US Army 2012, men, n = 4082: Gordon et al. 2014, NATICK/TR-15/007. Means and standard deviations
//! computed from the public records; head height (menton to top) is derived there from eye-to-top and menton-sellion.

use cast::{Camera, Landmark, Light, Sculpture, landmarks, render};
use glam::DVec3;

fn named<'a>(all: &'a [Landmark], name: &str) -> Option<&'a Landmark> {
    all.iter().find(|l| l.name == name)
}

/// How far from the head frame's origin plane the bare head reaches along `towards`, over lines `from` given, mm.
fn reach(sculpture: &Sculpture, towards: DVec3, lines: impl Iterator<Item = DVec3>) -> f64 {
    lines
        .filter_map(|line| {
            let mut t = 200.0;
            while t > 0.0 {
                let d = sculpture.bare_head(line + towards * t);
                if d < 1e-4 {
                    return Some(t);
                }
                t -= d * 0.6;
            }
            None
        })
        .fold(f64::NEG_INFINITY, f64::max)
}

fn grid(a: (i32, i32), b: (i32, i32), point: impl Fn(f64, f64) -> DVec3) -> Vec<DVec3> {
    let span = |(low, high): (i32, i32)| (low..=high).step_by(4).map(f64::from);
    span(a).flat_map(|u| span(b).map(move |v| (u, v))).map(|(u, v)| point(u, v)).collect()
}

#[track_caller]
fn within_two_deviations(what: &str, value: f64, mean: f64, deviation: f64) {
    assert!((value - mean).abs() < 2.0 * deviation, "{what} {value:.1} mm, published {mean} ± {deviation}");
}

#[test]
fn the_bare_head_has_the_measures_of_a_man() {
    let cast = Sculpture::new();
    let both = |towards: DVec3, lines: &[DVec3]| {
        reach(&cast, towards, lines.iter().copied()) + reach(&cast, -towards, lines.iter().copied())
    };
    let cranium = grid((30, 90), (-60, 40), |y, z| DVec3::new(0.0, y, z));
    within_two_deviations("head breadth", both(DVec3::X, &cranium), 154.3, 5.5);
    let middle = grid((-8, 8), (20, 60), |x, y| DVec3::new(x, y, 0.0));
    within_two_deviations("head length", both(DVec3::Z, &middle), 199.5, 7.0);
    let arches = grid((-20, 8), (16, 52), |y, z| DVec3::new(0.0, y, z));
    within_two_deviations("bizygomatic breadth", both(DVec3::X, &arches), 142.6, 6.2);
    let top = reach(&cast, DVec3::Y, grid((-8, 8), (-60, 40), |x, z| DVec3::new(x, 0.0, z)).into_iter());
    let all = landmarks(&cast, &Camera::demo());
    let head = |name: &str| cast.to_head(named(&all, name).unwrap().point);
    let menton = head("chin").y;
    within_two_deviations("head height", top - menton, 232.0, 12.0);
    // Sellion: the deepest point of the root of the nose.
    let deepest = (-6..=16)
        .map(|y| {
            let line = DVec3::new(0.0, f64::from(y), 0.0);
            (reach(&cast, DVec3::Z, std::iter::once(line)), f64::from(y))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|found| found.1)
        .unwrap();
    within_two_deviations("face length", deepest - menton, 122.6, 6.7);
    let pupils = head("left eye, pupil").x - head("right eye, pupil").x;
    within_two_deviations("interpupillary distance", pupils, 64.0, 3.4);
}

#[test]
fn every_landmark_lies_on_the_plaster_and_the_hidden_ones_at_least_on_the_head() {
    let cast = Sculpture::new();
    for l in landmarks(&cast, &Camera::demo()) {
        let off = cast.distance(l.point).abs();
        let off = if l.visible { off } else { off.min(cast.bare_head(cast.to_head(l.point)).abs()) };
        assert!(off < 0.02, "{} is {off} mm off the surface", l.name);
    }
}

#[test]
fn landmarks_fall_in_the_picture_in_the_order_of_a_head() {
    let camera = Camera::demo();
    let all = landmarks(&Sculpture::new(), &camera);
    for l in &all {
        assert!((0.0..3000.0).contains(&l.x) && (0.0..4000.0).contains(&l.y), "{}", l.name);
    }
    let downwards = [
        "crown",
        "brow",
        "left eye, pupil",
        "tip of the nose",
        "base of the nose",
        "parting of the mouth",
        "chin",
        "pit of the neck",
    ];
    for pair in downwards.windows(2) {
        assert!(named(&all, pair[0]).unwrap().y < named(&all, pair[1]).unwrap().y, "{pair:?}");
    }
    // The sitter's right is at the left of the picture.
    let across = [
        "right eye, outer corner",
        "right eye, pupil",
        "right eye, inner corner",
        "left eye, inner corner",
        "left eye, pupil",
        "left eye, outer corner",
        "left ear, lobe",
    ];
    for pair in across.windows(2) {
        assert!(named(&all, pair[0]).unwrap().x < named(&all, pair[1]).unwrap().x, "{pair:?}");
    }
    assert!(
        named(&all, "right corner of the mouth").unwrap().x
            < named(&all, "left corner of the mouth").unwrap().x
    );
    for seen in ["crown", "left eye, pupil", "right eye, pupil", "base of the nose", "chin", "left ear, lobe"]
    {
        assert!(named(&all, seen).unwrap().visible, "{seen}");
    }
}

#[test]
fn nothing_of_the_cast_shows_above_the_crown() {
    let (cast, camera) = (Sculpture::new(), Camera::demo());
    let crown = named(&landmarks(&cast, &camera), "crown").unwrap().clone();
    let meets = |x: f64, y: f64| {
        let (from, towards) = (camera.eye(), camera.ray(x, y));
        let mut t = camera.distance - 200.0;
        while t < camera.distance + 200.0 {
            let d = cast.distance(from + towards * t);
            if d < 1e-4 {
                return true;
            }
            t += d * 0.5;
        }
        false
    };
    for column in -60..=60 {
        assert!(!meets(crown.x + f64::from(column) * 5.0, crown.y - 0.2), "{column}");
    }
    assert!(meets(crown.x, crown.y + 0.2));
}

#[test]
fn a_nearer_camera_sees_the_face_larger_against_the_outline_of_the_head() {
    let cast = Sculpture::new();
    let face_in_heads = |distance: f64| {
        let all = landmarks(&cast, &Camera { distance, ..Camera::demo() });
        let at = |name: &str| named(&all, name).unwrap();
        (at("left eye, pupil").x - at("right eye, pupil").x) / (at("chin").y - at("crown").y)
    };
    let (near, far) = (face_in_heads(500.0), face_in_heads(3000.0));
    assert!(near > 1.03 * far, "{near} {far}");
}

#[test]
fn a_picture_has_lights_and_darks_and_comes_out_the_same_however_many_hands_render_it() {
    let (cast, camera) = (Sculpture::new(), Camera { size: (60, 80), ..Camera::demo() });
    let light = Light { rays: 3, ..Light::studio() };
    let picture = render(&cast, &camera, &light);
    let values: Vec<u8> = picture.rgb.chunks(3).map(|p| p[1]).collect();
    let share = |test: &dyn Fn(u8) -> bool| values.iter().filter(|&&v| test(v)).count() as f64 / 4800.0;
    assert!(share(&|v| v > 190) > 0.05, "lights {}", share(&|v| v > 190));
    assert!(share(&|v| v < 90) > 0.05, "darks {}", share(&|v| v < 90));
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    assert!(alone.install(|| render(&cast, &camera, &light)) == picture);
}
