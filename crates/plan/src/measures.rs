//! Measures: two points of the reference, and what lies between them on the canvas. Also plumb and level lines.

use serde::{Deserialize, Serialize};

use crate::frame::{Angle, CanvasPoint, PhotoPoint};
use crate::landmarks::{LandmarkError, LandmarkName, check_name};
use crate::length::Length;
use crate::outline::Quad;
use crate::painting_plan::Plan;
use crate::ruler::Reading;

/// The most measures in one plan: what fits on a few sheets and can still be found in a list.
pub const MAX_MEASURES: usize = 100;

/// The ends of a measure are at least so many pixels apart: closer, and its lean would hang on a slip of the hand.
const LEAST_PIXELS: f64 = 1.0;

/// A named distance on the reference.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Measure {
    /// What it is called.
    pub name: String,
    /// One end, in the picture that lies on the canvas. Where it is on a landmark, where that was when it was taken there.
    pub from: PhotoPoint,
    /// The other end.
    pub to: PhotoPoint,
    /// The landmark that the one end is on and follows.
    #[serde(default)]
    pub from_landmark: Option<LandmarkName>,
    /// The landmark that the other end is on and follows.
    #[serde(default)]
    pub to_landmark: Option<LandmarkName>,
}

impl Measure {
    /// A measure between two points of the photo.
    pub fn new(name: impl Into<String>, from: PhotoPoint, to: PhotoPoint) -> Self {
        Self { name: name.into(), from, to, from_landmark: None, to_landmark: None }
    }
}

/// What a measure comes to on the canvas.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasureReading {
    /// The measure's name.
    pub name: String,
    /// Its first end on the canvas.
    pub from: CanvasPoint,
    /// Its second end on the canvas.
    pub to: CanvasPoint,
    /// The landmark that its first end is on.
    pub from_landmark: Option<LandmarkName>,
    /// The landmark that its second end is on.
    pub to_landmark: Option<LandmarkName>,
    /// Its length.
    pub length: Reading,
    /// How far its ends lie apart along the level, never negative.
    pub run: Reading,
    /// How far its ends lie apart along the plumb line, never negative.
    pub rise: Reading,
    /// The lean of its line off the level, over −90 and up to 90 degrees, positive where the right end is the lower.
    pub off_level: Angle,
    /// The lean of its line off the plumb, over −90 and up to 90 degrees, positive where the top leans to the right.
    pub off_plumb: Angle,
    /// How many times the unit measure goes into it; `None` without a unit.
    pub in_units: Option<f64>,
    /// Whether it is the unit itself.
    pub is_unit: bool,
}

/// All measures of a plan in the order in which they were taken, read on the plan's ruler. Empty without a photo.
pub fn measures(plan: &Plan) -> Vec<MeasureReading> {
    let Some(placing) = plan.placing() else { return Vec::new() };
    let ends = |measure: &Measure| {
        let (from, to) = plan.measure_ends(measure);
        (placing.to_canvas(from), placing.to_canvas(to))
    };
    let length = |measure: &Measure| {
        let (from, to) = ends(measure);
        from.distance_to(to)
    };
    let unit = plan.measures.iter().find(|measure| plan.unit_measure.as_ref() == Some(&measure.name));
    let unit_length = unit.map(length);
    let read = |measure: &Measure| {
        let (from, to) = ends(measure);
        let (right, down) = (to.x - from.x, to.y - from.y);
        let off_level = half_turn(down.to_mm().atan2(right.to_mm()).to_degrees());
        MeasureReading {
            name: measure.name.clone(),
            from,
            to,
            from_landmark: measure.from_landmark.clone(),
            to_landmark: measure.to_landmark.clone(),
            length: plan.ruler.read(from.distance_to(to)),
            run: plan.ruler.read(right.abs()),
            rise: plan.ruler.read(down.abs()),
            off_level: Angle::degrees(off_level),
            off_plumb: Angle::degrees(half_turn(off_level + 90.0)),
            in_units: unit_length.map(|unit| length(measure) / unit),
            is_unit: unit.is_some_and(|unit| unit.name == measure.name),
        }
    };
    plan.measures.iter().map(read).collect()
}

/// The same lean between −90 (not reached) and 90 degrees: a line has no direction.
fn half_turn(degrees: f64) -> f64 {
    let within = degrees.rem_euclid(180.0);
    if within > 90.0 { within - 180.0 } else { within }
}

impl Plan {
    /// Keeps a measure, in place of one of the same name if there is one.
    ///
    /// # Errors
    /// When there is no photo, an end lies outside it, the ends coincide, the name cannot be, or there are too many; the
    /// plan is then as it was.
    pub fn keep_measure(&mut self, measure: Measure) -> Result<(), LandmarkError> {
        let mut changed = self.clone();
        match changed.measures.iter_mut().find(|kept| kept.name == measure.name) {
            Some(kept) => *kept = measure,
            None => changed.measures.push(measure),
        }
        changed.check_measures()?;
        *self = changed;
        Ok(())
    }

    /// Where the ends of a measure are in the photo: on their landmarks, as these lie now, or where they were put.
    pub fn measure_ends(&self, measure: &Measure) -> (PhotoPoint, PhotoPoint) {
        let end = |landmark: &Option<LandmarkName>, put: PhotoPoint| {
            landmark.as_ref().and_then(|name| self.landmark(name)).unwrap_or(put)
        };
        (end(&measure.from_landmark, measure.from), end(&measure.to_landmark, measure.to))
    }

    /// Gives a measure another name; it stays where it is in the list, and the unit if it was. True if it was there.
    ///
    /// # Errors
    /// When the name cannot be, or is another measure's; the plan is then as it was.
    pub fn rename_measure(&mut self, name: &str, to: &str) -> Result<bool, LandmarkError> {
        let mut changed = self.clone();
        let Some(measure) = changed.measures.iter_mut().find(|measure| measure.name == name) else {
            return Ok(false);
        };
        to.clone_into(&mut measure.name);
        if let Some(unit) = changed.unit_measure.as_mut().filter(|unit| unit.as_str() == name) {
            to.clone_into(unit);
        }
        changed.check_measures()?;
        *self = changed;
        Ok(true)
    }

    /// Leaves the ends of measures where they are that are on a landmark which is about to go.
    pub(crate) fn let_go_of(&mut self, landmark: &LandmarkName) {
        let Some(at) = self.landmark(landmark) else { return };
        for Measure { from, to, from_landmark, to_landmark, .. } in &mut self.measures {
            for (end, on) in [(from, from_landmark), (to, to_landmark)] {
                if on.take_if(|name| *name == *landmark).is_some() {
                    *end = at;
                }
            }
        }
    }

    /// Forgets a measure; true if it was there. If it was the unit there is none any more.
    pub fn remove_measure(&mut self, name: &str) -> bool {
        let before = self.measures.len();
        self.measures.retain(|measure| measure.name != name);
        self.unit_measure.take_if(|unit| unit == name);
        self.measures.len() < before
    }

    pub(crate) fn check_measures(&self) -> Result<(), LandmarkError> {
        let count = self.measures.len();
        if count > MAX_MEASURES {
            return Err(LandmarkError::TooMany { what: "measures", count, most: MAX_MEASURES });
        }
        for (at, measure) in self.measures.iter().enumerate() {
            check_name(&measure.name)?;
            let name = || measure.name.clone();
            if self.measures[..at].iter().any(|other| other.name == measure.name) {
                return Err(LandmarkError::Twice { name: name() });
            }
            for end in [measure.from, measure.to] {
                self.check_in_photo(&measure.name, end)?;
            }
            for landmark in [&measure.from_landmark, &measure.to_landmark].into_iter().flatten() {
                check_name(landmark.as_str())?;
            }
            let (from, to) = self.measure_ends(measure);
            if from.distance_to(to) < LEAST_PIXELS {
                return Err(LandmarkError::NoLength { name: name() });
            }
        }
        match &self.unit_measure {
            Some(unit) if self.measures.iter().all(|measure| measure.name != *unit) => {
                Err(LandmarkError::NoSuchUnit { name: unit.clone() })
            }
            _ => Ok(()),
        }
    }
}

impl Quad {
    /// The plumb line through `point` from the outline's top to its bottom; `None` where it misses the outline.
    pub fn plumb_through(&self, point: CanvasPoint) -> Option<(CanvasPoint, CanvasPoint)> {
        let ends = self.crossings(|corner| (corner.x - point.x).to_mm());
        let (top, bottom) = ends?;
        Some(if top.y <= bottom.y { (top, bottom) } else { (bottom, top) })
    }

    /// The level line through `point` from the outline's left to its right; `None` where it misses the outline.
    pub fn level_through(&self, point: CanvasPoint) -> Option<(CanvasPoint, CanvasPoint)> {
        let ends = self.crossings(|corner| (corner.y - point.y).to_mm());
        let (left, right) = ends?;
        Some(if left.x <= right.x { (left, right) } else { (right, left) })
    }

    /// The two points of a convex outline where `side` changes its sign.
    fn crossings(&self, side: impl Fn(CanvasPoint) -> f64) -> Option<(CanvasPoint, CanvasPoint)> {
        let mut found = (0..4).filter_map(|at| {
            let (from, to) = (self.corners[at], self.corners[(at + 1) % 4]);
            let (before, after) = (side(from), side(to));
            // Each side has its first end and not its last, so that a line through a corner is met once there.
            ((before <= 0.0) != (after <= 0.0)).then(|| from.towards(to, before / (before - after)))
        });
        found.next().zip(found.next())
    }
}

impl MeasureReading {
    /// The lean as a painter says it: `2.5° off plumb, the top to the right`. Told off whichever of plumb and level is
    /// nearer.
    pub fn lean(&self) -> String {
        let (level, plumb) = (self.off_level.to_degrees(), self.off_plumb.to_degrees());
        let (off, name, positive, negative) = if level.abs() <= plumb.abs() {
            (level, "level", "lower at the picture’s right", "higher at the picture’s right")
        } else {
            (plumb, "plumb", "the top to the right", "the top to the left")
        };
        if off.abs() < LEAST_LEAN {
            return name.to_owned();
        }
        format!("{:.1}° off {name}, {}", off.abs(), if off > 0.0 { positive } else { negative })
    }

    /// The exact length.
    pub fn exact(&self) -> Length {
        self.length.exact()
    }
}

/// A lean of less than this, in degrees, is told as none: half of the last digit that is written.
const LEAST_LEAN: f64 = 0.05;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::Canvas;
    use crate::frame::{CanvasRect, PhotoSize};
    use crate::landmarks::Landmark;
    use crate::length::Unit;
    use crate::placing::Place;
    use crate::reference::Reference;
    use proptest::prelude::*;

    /// A canvas of 10 x 10 in whose photo has a hundred pixels to the inch.
    fn plan_of(measures: &[(&str, [f64; 4])]) -> Plan {
        let mut plan = Plan::new(Canvas::nominal(Length::inches(10.0), Length::inches(10.0)), Unit::Inch);
        let mut reference = Reference::fitted(PhotoSize { width: 1000, height: 1000 });
        let middle = CanvasPoint::new(Length::inches(5.0), Length::inches(5.0));
        reference.place = Place::At { pixel: Length::inches(0.01), middle };
        plan.reference = Some(reference);
        for (name, ends) in measures {
            plan.keep_measure(measure(name, *ends)).unwrap();
        }
        plan
    }

    fn measure(name: &str, [x, y, to_x, to_y]: [f64; 4]) -> Measure {
        Measure::new(name, PhotoPoint::new(x, y), PhotoPoint::new(to_x, to_y))
    }

    #[test]
    fn a_measure_tells_length_rise_run_lean_and_how_many_units_it_is() {
        let mut plan =
            plan_of(&[("eye", [100.0, 100.0, 200.0, 100.0]), ("head", [100.0, 100.0, 400.0, 500.0])]);
        plan.unit_measure = Some("eye".to_owned());
        let read = measures(&plan);
        let head = &read[1];
        assert_eq!(
            [head.length, head.run, head.rise].map(|reading| reading.to_string()),
            ["5 in", "3 in", "4 in"]
        );
        assert!((head.in_units.unwrap() - 5.0).abs() < 1e-12);
        assert!((head.off_level.to_degrees() - 53.130_102).abs() < 1e-5);
        assert!((head.off_plumb.to_degrees() + 36.869_898).abs() < 1e-5);
        assert_eq!(head.lean(), "36.9° off plumb, the top to the left");
        assert!(read[0].is_unit && read[0].lean() == "level");
    }

    #[test]
    fn what_cannot_be_measured_is_told_and_changes_nothing() {
        let mut plan = plan_of(&[("eye", [100.0, 100.0, 200.0, 100.0])]);
        let before = plan.clone();
        let mut refused = |ends| plan.keep_measure(measure("nose", ends)).unwrap_err();
        assert!(matches!(refused([1.0, 1.0, 1.5, 1.0]), LandmarkError::NoLength { .. }));
        assert!(matches!(refused([1.0, 1.0, 1001.0, 1.0]), LandmarkError::OutsidePhoto { .. }));
        assert!(matches!(refused([f64::NAN, 1.0, 1.0, 1.0]), LandmarkError::OutsidePhoto { .. }));
        assert_eq!(plan, before);
        plan.unit_measure = Some("nose".to_owned());
        assert!(matches!(plan.check_measures(), Err(LandmarkError::NoSuchUnit { .. })));
        plan.unit_measure = Some("eye".to_owned());
        assert!(plan.remove_measure("eye") && plan.unit_measure.is_none());
    }

    #[test]
    fn a_measure_between_landmarks_follows_them_and_stays_where_they_were_when_they_go() {
        let mut plan = plan_of(&[("any", [10.0, 10.0, 20.0, 10.0])]);
        let place = |plan: &mut Plan, name: &str, x: f64, y: f64| {
            plan.place_landmark(Landmark { name: name.into(), at: PhotoPoint::new(x, y) })
        };
        place(&mut plan, "crown", 300.0, 100.0).unwrap();
        place(&mut plan, "mole", 300.0, 400.0).unwrap();
        let mut face = measure("face", [1.0, 1.0, 2.0, 2.5]);
        (face.from_landmark, face.to_landmark) = (Some("crown".into()), Some("mole".into()));
        plan.keep_measure(face).unwrap();
        let length = |plan: &Plan| measures(plan)[1].length.to_string();
        assert_eq!(length(&plan), "3 in");
        place(&mut plan, "mole", 300.0, 600.0).unwrap();
        assert_eq!(length(&plan), "5 in");
        // Crown and chin become the head's own marks, and are followed all the same.
        place(&mut plan, "chin", 300.0, 800.0).unwrap();
        place(&mut plan, "crown", 300.0, 200.0).unwrap();
        assert_eq!(length(&plan), "4 in");
        let refused = place(&mut plan, "mole", 300.0, 200.0);
        assert!(refused.is_ok() && plan.check_measures().is_err(), "its ends coincide");
        place(&mut plan, "mole", 300.0, 600.0).unwrap();
        for gone in ["crown", "mole"] {
            assert!(plan.remove_landmark(&gone.into()));
            assert_eq!(length(&plan), "4 in");
        }
        assert_eq!((&plan.measures[1].from_landmark, &plan.measures[1].to_landmark), (&None, &None));
        place(&mut plan, "mole", 300.0, 900.0).unwrap();
        assert_eq!(length(&plan), "4 in");
        assert_eq!(plan.check_measures(), Ok(()));
    }

    #[test]
    fn a_measure_is_renamed_in_its_place_and_stays_the_unit() {
        let mut plan = plan_of(&[("eye", [10.0, 10.0, 20.0, 10.0]), ("nose", [10.0, 10.0, 10.0, 90.0])]);
        plan.unit_measure = Some("eye".to_owned());
        assert_eq!(plan.rename_measure("eye", "right eye"), Ok(true));
        assert_eq!(
            (plan.measures[0].name.as_str(), plan.unit_measure.as_deref()),
            ("right eye", Some("right eye"))
        );
        assert_eq!(plan.rename_measure("eye", "left eye"), Ok(false));
        for taken in ["nose", " ", "a\nb"] {
            assert!(plan.rename_measure("right eye", taken).is_err(), "{taken}");
        }
        assert_eq!(plan.measures[0].name, "right eye");
    }

    proptest! {
        #[test]
        fn rise_run_and_length_make_a_right_triangle_and_the_two_leans_a_right_angle(
            ends in prop::array::uniform4(0.0..1000.0_f64), turn in -180.0..180.0_f64, mirror: bool,
        ) {
            prop_assume!((ends[0] - ends[2]).hypot(ends[1] - ends[3]) > 2.0);
            let mut plan = plan_of(&[("any", ends)]);
            if let Some(reference) = &mut plan.reference {
                (reference.turn, reference.mirror) = (Angle::degrees(turn), mirror);
            }
            let read = measures(&plan).remove(0);
            let [length, run, rise] = [read.length, read.run, read.rise].map(|reading| reading.exact().to_mm());
            prop_assert!((length - run.hypot(rise)).abs() < 1e-9);
            let (level, plumb) = (read.off_level.to_degrees(), read.off_plumb.to_degrees());
            prop_assert!((((plumb - level).rem_euclid(180.0)) - 90.0).abs() < 1e-9);
            prop_assert!((level.to_radians().tan().abs() - rise / run).abs() < 1e-6 * (1.0 + rise / run).powi(2));
        }

        #[test]
        fn plumb_and_level_lines_end_on_the_outline(x in -5.0..310.0_f64, y in -5.0..410.0_f64, lean in prop::array::uniform8(-4.0..4.0_f64)) {
            let mut outline = Quad::from(CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(300.0), Length::mm(400.0)));
            for (corner, by) in outline.corners.iter_mut().zip(lean.chunks(2)) {
                *corner = corner.moved(Length::mm(by[0]), Length::mm(by[1]));
            }
            let point = CanvasPoint::mm(x, y);
            let on_outline = |p: CanvasPoint| (0..4).any(|at| {
                let (a, b) = (outline.corners[at], outline.corners[(at + 1) % 4]);
                (a.distance_to(p) + p.distance_to(b) - a.distance_to(b)).abs() < Length::mm(1e-6)
            });
            if let Some((top, bottom)) = outline.plumb_through(point) {
                prop_assert!(on_outline(top) && on_outline(bottom) && top.y <= bottom.y);
                prop_assert!((top.x.to_mm() - x).abs() < 1e-9 && (bottom.x.to_mm() - x).abs() < 1e-9);
            } else {
                prop_assert!(!(4.0..296.0).contains(&x));
            }
            if let Some((left, right)) = outline.level_through(point) {
                prop_assert!(on_outline(left) && on_outline(right) && left.x <= right.x);
                prop_assert!((left.y.to_mm() - y).abs() < 1e-9 && (right.y.to_mm() - y).abs() < 1e-9);
            } else {
                prop_assert!(!(4.0..396.0).contains(&y));
            }
        }
    }
}
