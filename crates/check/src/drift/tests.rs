//! Drift against landmarks whose truth is known.

use plan::{CanvasRect, PhotoPoint, Quad, Ruler, fit_similarity};
use proptest::prelude::*;

use super::*;
use crate::pose::{Lens, View};

const RULER: &str = "1/16";

/// A map of 6 pixels to the mm, square on, without uncertainty of its own.
fn map() -> CanvasMap {
    let canvas: Quad = CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(400.0), Length::mm(500.0)).into();
    let corners = canvas.corners.map(|corner| pixel(millimetres(corner)));
    let view = View { middle: Vector2::new(1512.0, 2016.0), focal: 3000.0 };
    CanvasMap::through_corners(view, corners, &canvas, Lens::default()).unwrap()
}

fn pixel(place: Vector2<f64>) -> ImagePoint {
    ImagePoint::new(300.0 + 6.0 * place.x, 400.0 + 6.0 * place.y)
}

/// Ten places of a face, about the middle of the canvas.
fn face() -> Vec<Vector2<f64>> {
    [
        (0.0, -110.0),
        (-32.0, -12.0),
        (32.0, -12.0),
        (-50.0, -8.0),
        (50.0, -8.0),
        (0.0, 35.0),
        (-22.0, 62.0),
        (22.0, 62.0),
        (0.0, 105.0),
        (-68.0, 20.0),
    ]
    .map(|(x, y)| Vector2::new(200.0 + x, 240.0 + y))
    .to_vec()
}

fn landmarks(
    places: &[Vector2<f64>],
    painted: impl Fn(usize, Vector2<f64>) -> Vector2<f64>,
) -> Vec<PaintedLandmark> {
    places
        .iter()
        .enumerate()
        .map(|(at, place)| PaintedLandmark {
            name: format!("landmark {at}"),
            planned: CanvasPoint::mm(place.x, place.y),
            painted: PaintedAt::Photo { point: pixel(painted(at, *place)), sd: 1.5 },
        })
        .collect()
}

fn similar(place: Vector2<f64>, shift: Vector2<f64>, scale: f64, turn: f64) -> Vector2<f64> {
    let middle = face().iter().sum::<Vector2<f64>>() / 10.0;
    middle + shift + nalgebra::Rotation2::new(turn) * (place - middle) * scale
}

proptest! {
    #[test]
    fn a_whole_drift_is_told_as_it_is(x in -8.0..8.0_f64, y in -8.0..8.0_f64, size in 0.9..1.1_f64, turn in -0.1..0.1_f64) {
        let marks = landmarks(&face(), |_, place| similar(place, Vector2::new(x, y), size, turn));
        let drift = Drift::of(&map(), &marks, Length::mm(0.8)).unwrap();
        let whole = drift.whole;
        prop_assert!((whole.right_mm - x).abs() < 1e-6 && (whole.down_mm - y).abs() < 1e-6);
        prop_assert!((whole.size_percent - 100.0 * (size - 1.0)).abs() < 1e-6);
        prop_assert!((whole.turn_deg - turn.to_degrees()).abs() < 1e-6);
        prop_assert!(drift.own.iter().all(|own| own.size_mm() < 1e-6 && !own.stands_out));
        prop_assert!(drift.set_aside.is_empty());
    }

    #[test]
    fn the_fit_is_the_plans_own(x in -8.0..8.0_f64, jitter in proptest::array::uniform20(-2.0..2.0_f64)) {
        let planned = face();
        let painted: Vec<_> = planned.iter().enumerate()
            .map(|(at, place)| place + Vector2::new(x + jitter[2 * at], jitter[2 * at + 1])).collect();
        let all: Vec<usize> = (0..10).collect();
        let ours = Similarity::least_squares(&planned, &painted, &all);
        let pairs: Vec<_> = planned.iter().zip(&painted)
            .map(|(p, q)| (PhotoPoint::new(p.x, p.y), CanvasPoint::mm(q.x, q.y))).collect();
        let plans = fit_similarity(&pairs, false).unwrap().placing;
        for place in &planned {
            let moved = ours.moved(*place);
            let theirs = plans.to_canvas(PhotoPoint::new(place.x, place.y));
            prop_assert!(theirs.distance_to(CanvasPoint::mm(moved.x, moved.y)) < Length::mm(1e-9));
        }
    }
}

#[test]
fn landmarks_that_do_not_agree_are_all_counted_and_that_is_said() {
    let told = |apart: usize| {
        // As many as that lie 12 mm to the right on their own, wherever they are.
        let marks =
            landmarks(&face(), |at, place| place + Vector2::new(if at < apart { 12.0 } else { 0.0 }, 0.0));
        Drift::of(&map(), &marks, Length::mm(0.8)).unwrap()
    };
    let three = told(3);
    assert_eq!((three.disagree, three.set_aside.len()), (false, 3));
    assert!(three.whole.right_mm.abs() < 1e-6);
    // Six of ten agree as closely as landmarks can be set.
    let four = told(4);
    assert_eq!((four.disagree, four.set_aside.len()), (false, 4));
    assert!(four.whole.right_mm.abs() < 1e-6);
    // Six of ten that agree no better than a hand paints are no majority to go by.
    let loose = landmarks(&face(), |at, place| {
        let (turn, off) = (2.4 * at as f64, if at < 4 { 12.0 } else { 1.6 });
        place + off * Vector2::new(turn.cos(), turn.sin())
    });
    let loose = Drift::of(&map(), &loose, Length::mm(0.8)).unwrap();
    assert!(loose.disagree && loose.set_aside.is_empty(), "{loose:?}");
    assert!(loose.remarks()[0].starts_with("More than a third of the landmarks lie apart"));
    let ruler: Ruler = RULER.parse().unwrap();
    assert_eq!(
        loose.whole_in_words(ruler),
        "As a whole nothing can be told, since the landmarks do not agree."
    );
    assert!(loose.whole_numbers(ruler).iter().all(|number| !number.surely));
}

#[test]
fn of_three_and_four_landmarks_one_that_is_wrong_is_told_to_be_there_but_not_which() {
    let few = |count: usize, off: f64| {
        let marks = landmarks(&face()[..count], |at, place| {
            place + Vector2::new(0.0, if at == count - 1 { off } else { 0.0 })
        });
        Drift::of(&map(), &marks, Length::mm(0.8)).unwrap()
    };
    for count in [3, 4] {
        let ruler: Ruler = RULER.parse().unwrap();
        let right = few(count, 0.0);
        assert!(!right.disagree && right.remarks().is_empty(), "{count}");
        assert!(right.whole_in_words(ruler).starts_with("As a whole in its place, to within "), "{count}");
        for off in [5.0, 30.0] {
            let wrong = few(count, off);
            let told = wrong.remarks();
            assert!(wrong.disagree, "{count}, {off}: {wrong:?}");
            assert!(
                told[0].starts_with(&format!("One of the {count} landmarks is out of its place")),
                "{told:?}"
            );
        }
    }
    assert!(few(5, 5.0).remarks().is_empty() && few(5, 5.0).set_aside.len() == 1);
    // What a hand paints amiss is no disagreement, and what is sure all the same is told.
    for (shift, scatter, told) in
        [(0.0, 0.5, "As a whole in its place"), (20.0, 1.2, "As a whole 13/16 in to the right")]
    {
        let marks = landmarks(&face()[..4], |at, place| {
            let turn = 2.4 * at as f64;
            place + Vector2::new(shift + scatter * turn.cos(), scatter * turn.sin())
        });
        let drift = Drift::of(&map(), &marks, Length::mm(0.8)).unwrap();
        let words = drift.whole_in_words(RULER.parse().unwrap());
        assert!(!drift.disagree && words.starts_with(told), "{words} {drift:?}");
    }
}

#[test]
fn one_gross_slip_among_eight_is_set_aside_whichever_it_is() {
    let planned = &face()[..8];
    for wrong in 0..8 {
        for seed in 0..20_u32 {
            let marks = landmarks(planned, |at, place| {
                let noise = |salt: u32| {
                    f64::from((seed * 71 + at as u32 * 37 + salt) * 2_654_435 % 1000) / 1000.0 - 0.5
                };
                let slip = if at == wrong { 30.0 } else { 0.0 };
                place + Vector2::new(1.2 * noise(1) + slip, 1.2 * noise(2) - 0.6 * slip)
            });
            let drift = Drift::of(&map(), &marks, Length::mm(0.8)).unwrap();
            assert!(!drift.disagree, "{wrong} {seed}");
            assert!(drift.set_aside.contains(&format!("landmark {wrong}")), "{wrong} {seed}: {drift:?}");
        }
    }
}

#[test]
fn two_names_that_were_exchanged_are_asked_about() {
    let planned = face();
    let marks = landmarks(&planned, |at, place| match at {
        2 => planned[3],
        3 => planned[2],
        _ => place,
    });
    let drift = Drift::of(&map(), &marks, Length::mm(0.8)).unwrap();
    assert_eq!(drift.exchanged, [["landmark 2".to_owned(), "landmark 3".to_owned()]]);
    assert_eq!(
        drift.remarks(),
        ["landmark 2 and landmark 3 each lie where the other belongs: were they set the wrong way round?"]
    );
}

#[test]
fn two_names_that_were_exchanged_among_few_are_asked_about_and_no_others() {
    for count in [3, 4, 5] {
        let planned = &face()[..count];
        for seed in 0..30_u32 {
            let noise = |at: usize, salt: u32| {
                f64::from((seed * 71 + at as u32 * 37 + salt).wrapping_mul(2_654_435) % 1000) / 1000.0 - 0.5
            };
            let painted = |at: usize| {
                similar(planned[at], Vector2::new(2.0, -3.0), 1.02, 0.01)
                    + Vector2::new(noise(at, 1), noise(at, 2))
            };
            let (one, other) = (seed as usize % count, (seed as usize + 1) % count);
            let marks = landmarks(planned, |at, _| match at {
                at if at == one => painted(other),
                at if at == other => painted(one),
                _ => painted(at),
            });
            let drift = Drift::of(&map(), &marks, Length::mm(0.8)).unwrap();
            let expected = [one.min(other), one.max(other)].map(|at| format!("landmark {at}"));
            assert_eq!(drift.exchanged, [expected], "{count} {seed}");
            assert_eq!(drift.remarks().len(), 1, "{:?}", drift.remarks());
            // One that is far off is not taken for a pair.
            let marks = landmarks(planned, |at, _| {
                painted(at)
                    + if at == one { Vector2::new(30.0 * noise(9, 3), 25.0) } else { Vector2::zeros() }
            });
            let drift = Drift::of(&map(), &marks, Length::mm(0.8)).unwrap();
            assert!(drift.exchanged.is_empty(), "{count} {seed} {:?}", drift.exchanged);
        }
    }
}

#[test]
fn one_eye_far_too_low_is_set_aside_and_does_not_sway_the_whole() {
    let marks = landmarks(&face(), |at, place| {
        let own = if at == 2 { Vector2::new(-1.0, 6.0) } else { Vector2::zeros() };
        similar(place, Vector2::new(3.0, 0.0), 1.03, 0.0) + own
    });
    let drift = Drift::of(&map(), &marks, Length::mm(0.8)).unwrap();
    assert_eq!(drift.set_aside, ["landmark 2"]);
    assert_eq!(
        drift.not_counted().unwrap(),
        "Not counted for the whole, lying further off it than the others: landmark 2."
    );
    assert!((drift.own[0].down_mm - 6.0).abs() < 1e-6 && drift.own[0].stands_out);
    let pupil = drift.own[0].clone();
    let ruler: Ruler = RULER.parse().unwrap();
    let nose = CanvasPoint::mm(200.0, 275.0);
    let told = |pupil: &OwnDrift, nose| pupil.in_words(ruler, nose);
    assert_eq!(
        told(&pupil, Some(nose)),
        "1/4 in low, 1/32 in toward the nose, give or take 1/32 in (0.6 mm)"
    );
    // What is less than its own uncertainty is not told, but never nothing of what stands out.
    let unsure = OwnDrift { right_95_mm: 1.1, ..pupil.clone() };
    assert_eq!(told(&unsure, Some(nose)), "1/4 in low, give or take 3/64 in (1.1 mm)");
    let neither = OwnDrift { right_95_mm: 7.0, down_95_mm: 7.0, ..pupil.clone() };
    assert_eq!(told(&neither, None), "1/4 in low, give or take 9/32 in (7.0 mm)");
    let within = OwnDrift { stands_out: false, ..unsure };
    assert_eq!(told(&within, None), "1/4 in low, within what is let pass or can be told");
    let nothing = OwnDrift { down_mm: 0.1, ..within };
    assert_eq!(told(&nothing, None), "in its place, as far as can be told");
    // Half of the planned middle's places are set aside with the eye: the shift is told about the middle of the others.
    assert!((drift.whole.size_percent - 3.0).abs() < 1e-6);
    assert!(
        drift.whole.in_words(ruler).ends_with("to the right, 3.0 % too large."),
        "{}",
        drift.whole.in_words(ruler)
    );
}

#[test]
fn the_intervals_are_those_of_ten_thousand_trials() {
    let places = face();
    let mut dice = crate::pose::Dice(11);
    let (mut sums, mut stated) = ([0.0; 4], [0.0; 4]);
    let trials = 4000;
    for _ in 0..trials {
        let slips: Vec<Vector2<f64>> =
            (0..10).map(|_| Vector2::new(dice.normal(), dice.normal()) * 0.25).collect();
        let marks = landmarks(&places, |at, place| place + slips[at]);
        let drift = Drift::of(&map(), &marks, Length::mm(0.8)).unwrap();
        if !drift.set_aside.is_empty() {
            continue;
        }
        let w = drift.whole;
        for (sum, off) in sums.iter_mut().zip([w.right_mm, w.down_mm, w.size_percent, w.turn_deg]) {
            *sum += off * off;
        }
        stated = [w.right_95_mm, w.down_95_mm, w.size_95_percent, w.turn_95_deg];
    }
    for (sum, stated) in sums.iter().zip(stated) {
        // Some trials are left out with a landmark set aside, and the reference's own error is stated but not thrown.
        let ratio = stated / 1.96 / (sum / f64::from(trials)).sqrt();
        assert!((0.97..1.15).contains(&ratio), "{ratio}");
    }
}

/// Features that are drawn or set more loosely than is known make the whole less sure: what is told of a head 3 % too large is seldom
/// wrong, and no turn is made up.
#[test]
fn a_whole_read_off_few_landmarks_loosely_set_is_not_told_for_sure() {
    let places: Vec<Vector2<f64>> = [0, 1, 2, 5, 6, 7, 8].map(|at| face()[at]).to_vec();
    let mut dice = crate::pose::Dice(17);
    let checks = 2000;
    let (mut turned, mut small) = (0, 0);
    for _ in 0..checks {
        let slips: Vec<Vector2<f64>> =
            (0..7).map(|_| Vector2::new(dice.normal(), dice.normal()) * 1.2).collect();
        let marks = landmarks(&places, |at, place| similar(place, Vector2::zeros(), 1.03, 0.0) + slips[at]);
        let whole = Drift::of(&map(), &marks, Length::mm(0.8)).unwrap().whole;
        turned += usize::from(WholeDrift::is_beyond_chance(whole.turn_deg, whole.turn_95_deg));
        small += usize::from(
            WholeDrift::is_beyond_chance(whole.size_percent, whole.size_95_percent)
                && whole.size_percent < 0.0,
        );
    }
    let share = |count: usize| count as f64 / f64::from(checks);
    // More than the twentieth that is aimed at: whom to set aside is read off the same seven.
    assert!(share(turned) < 0.08, "{}", share(turned));
    assert!(share(small) < 0.002, "{}", share(small));
}

#[test]
fn bounds_of_chance_are_those_of_the_tables() {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2 and 1.3.6.7.4.
    for (freedom, t, chi) in
        [(2, 4.303, 5.991), (10, 2.228, 18.307), (30, 2.042, 43.773), (60, 2.000, 79.082)]
    {
        assert!((students_95(freedom) - t).abs() < 0.01, "{freedom}");
        assert!((chance_95(freedom) * freedom as f64 / chi - 1.0).abs() < 0.01, "{freedom}");
    }
}

/// Of checks of a painting without any drift one in twenty tells one, not one in five.
#[test]
fn a_painting_without_drift_is_told_to_be_in_its_place() {
    let places = face();
    let mut dice = crate::pose::Dice(5);
    let checks = 2000;
    let mut in_place = 0;
    for _ in 0..checks {
        let slips: Vec<Vector2<f64>> =
            (0..10).map(|_| Vector2::new(dice.normal(), dice.normal()) * 0.258).collect();
        let drift =
            Drift::of(&map(), &landmarks(&places, |at, place| place + slips[at]), Length::mm(0.8)).unwrap();
        in_place +=
            usize::from(drift.whole.in_words(Ruler::usual(plan::Unit::Millimetre)).contains("in its place"));
    }
    let share = in_place as f64 / f64::from(checks);
    assert!((0.94..0.98).contains(&share), "{share}");
}

#[test]
fn landmarks_in_one_place_tell_no_drift_rather_than_one_that_is_sure() {
    let planned =
        [CanvasPoint::mm(100.0, 100.0), CanvasPoint::mm(160.0, 100.0), CanvasPoint::mm(100.0, 160.0)];
    let told = |planned: [CanvasPoint; 3], painted: [CanvasPoint; 3]| {
        let marks: Vec<_> = planned
            .into_iter()
            .zip(painted)
            .map(|(planned, point)| PaintedLandmark {
                name: "one".to_owned(),
                planned,
                painted: PaintedAt::Canvas { point, sd: Length::mm(0.3) },
            })
            .collect();
        Drift::of(&map(), &marks, Length::ZERO)
    };
    assert_eq!(told(planned, [planned[0]; 3]).unwrap_err(), Unfit::LandmarksInOnePlace { painted: true });
    let hardly_apart = [0.0, 0.001, 0.002].map(|off| CanvasPoint::mm(100.0 + off, 100.0));
    assert_eq!(told(hardly_apart, planned).unwrap_err(), Unfit::LandmarksInOnePlace { painted: false });
    let no_place = [planned[0], planned[1], CanvasPoint::mm(f64::NAN, 0.0)];
    assert_eq!(told(planned, no_place).unwrap_err(), Unfit::CornerOutside);
    assert!(told(planned, planned).is_ok());
}

#[test]
fn two_landmarks_are_too_few_and_clicks_twice_tell_their_own_spread() {
    let marks = landmarks(&face()[..2], |_, place| place);
    assert!(matches!(Drift::of(&map(), &marks, Length::ZERO), Err(Unfit::TooFewLandmarks { count: 2, .. })));
    let mut dice = crate::pose::Dice(3);
    let mut click = || ImagePoint::new(1.5 * dice.normal(), 1.5 * dice.normal());
    let twice: Vec<_> = (0..500).map(|_| (click(), click())).collect();
    assert!((click_sd(&twice).unwrap() - 1.5).abs() < 0.1);
    assert!(click_sd(&[]).is_none());
}
