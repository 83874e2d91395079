//! Measures: two points of the reference, and what lies between them on the canvas. Also plumb and level lines.

use serde::{Deserialize, Serialize};

use crate::frame::{Angle, CanvasPoint, PhotoPoint};
use crate::landmarks::{LandmarkError, check_name};
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
    /// One end, in the picture that lies on the canvas.
    pub from: PhotoPoint,
    /// The other end.
    pub to: PhotoPoint,
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
    let ends = |measure: &Measure| (placing.to_canvas(measure.from), placing.to_canvas(measure.to));
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
            self.check_in_photo(&measure.name, measure.from)?;
            self.check_in_photo(&measure.name, measure.to)?;
            if measure.from.distance_to(measure.to) < LEAST_PIXELS {
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
            (level, "level", "the right end lower", "the right end higher")
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
        Measure { name: name.to_owned(), from: PhotoPoint::new(x, y), to: PhotoPoint::new(to_x, to_y) }
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
