//! A report judged again: with other landmarks, another tolerance, or by the plan as it stands now.

use std::collections::HashMap;

use plan::{CanvasPoint, LandmarkName, Length, PhotoPoint, Plan};

use super::{LineReport, Painted, Report};
use crate::drift::{Drift, PaintedLandmark};
use crate::grid_check::Verdict;
use crate::lines::{PlannedLine, planned_lines};
use crate::proportion_check::ProportionCheck;
use crate::unfit::Unfit;

/// What the plan has within this of where it was is taken to be there still: less cannot be drawn.
const PLAN_MOVED: Length = Length::mm(0.05);

/// What of the plan was changed since a check was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlanChange {
    /// The canvas: nothing of the check tells of the one that is planned now.
    Canvas,
    /// The grid or a detail box: its lines are told as they were planned then.
    Grid,
    /// Landmarks, which are told by the plan as it stands now.
    Landmarks,
}

impl PlanChange {
    /// What to tell the painter of it.
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::Canvas => {
                "The canvas was given another size or shape since this check was made: it tells of the canvas as it was then. Check it anew."
            }
            Self::Grid => {
                "The grid or a detail box was changed since this check was made: lines and values are told as they were planned then, landmarks by \
                 the plan as it stands now. Check the canvas anew."
            }
            Self::Landmarks => {
                "The plan was changed since this check was made: landmarks are told by the plan as it stands now, lines and values as they were \
                 found then."
            }
        }
    }
}

impl Report {
    /// Takes over where landmarks are painted, and judges drift and proportions anew. What is given back says why drift cannot be told yet,
    /// such as of too few of them.
    ///
    /// # Errors
    /// When a landmark lies where the map does not reach; nothing is changed then.
    pub fn take_painted(&mut self, painted: Vec<Painted>, plan: &Plan) -> Result<Option<Unfit>, Unfit> {
        let landmarks: Vec<PaintedLandmark> = painted.iter().map(Painted::landmark).collect();
        let (drift, not_yet) = match Drift::of(&self.map, &landmarks, self.tolerance()) {
            Ok(drift) => (Some(drift), None),
            // Others will follow.
            Err(unfit @ (Unfit::TooFewLandmarks { .. } | Unfit::LandmarksInOnePlace { .. })) => {
                (None, Some(unfit))
            }
            Err(unfit) => return Err(unfit),
        };
        let on_canvas: Option<Vec<(&str, CanvasPoint)>> = painted
            .iter()
            .map(|landmark| Some((landmark.name.as_str(), self.map.to_canvas(landmark.at_px)?)))
            .collect();
        self.proportions = ProportionCheck::of(plan, &on_canvas.ok_or(Unfit::CornerOutside)?);
        (self.painted, self.drift) = (painted, drift);
        Ok(not_yet)
    }

    /// The report told by the plan as it stands now, and in `plan_changed` what of that is another than when the check was made. Where the
    /// head or a landmark was moved or taken away, drift and proportions are judged anew. Lines and values stay as they were; on another
    /// canvas everything does.
    #[must_use]
    pub fn held_against(mut self, plan: &Plan) -> Self {
        if self.is_of_another_canvas(plan) {
            self.plan_changed = Some(PlanChange::Canvas);
            return self;
        }
        let landmarks_moved = self.take_landmarks_of(plan);
        self.plan_changed = if self.is_of_another_grid(plan) {
            Some(PlanChange::Grid)
        } else {
            landmarks_moved.then_some(PlanChange::Landmarks)
        };
        self
    }

    /// Whether the plan has another canvas by now than the one that was checked: then nothing of it can be gone on with.
    pub fn is_of_another_canvas(&self, plan: &Plan) -> bool {
        let now = plan.canvas.outline();
        self.canvas.corners.iter().zip(now.corners).any(|(was, is)| was.distance_to(is) > PLAN_MOVED)
    }

    fn is_of_another_grid(&self, plan: &Plan) -> bool {
        let now = planned_lines(plan);
        let lies_there = |(was, is): (&LineReport, &PlannedLine)| {
            was.from.distance_to(is.from) <= PLAN_MOVED && was.to.distance_to(is.to) <= PLAN_MOVED
        };
        self.lines.len() != now.len() || !self.lines.iter().zip(&now).all(lies_there)
    }

    /// Takes over where the plan has the landmarks now, if it has moved or lost one; true then.
    fn take_landmarks_of(&mut self, plan: &Plan) -> bool {
        let Some(placing) = plan.placing() else { return false };
        let mut is_moved = false;
        let marked: HashMap<LandmarkName, PhotoPoint> =
            plan.all_landmarks().into_iter().map(|landmark| (landmark.name, landmark.at)).collect();
        let painted = self.painted.iter().filter_map(|painted| {
            let marked = marked.get(&LandmarkName::from(painted.name.as_str()));
            let planned = marked.map(|marked| placing.to_canvas(*marked));
            is_moved |= planned.is_none_or(|planned| planned.distance_to(painted.planned) > PLAN_MOVED);
            Some(Painted { planned: planned?, ..painted.clone() })
        });
        let painted = painted.collect();
        is_moved && self.take_painted(painted, plan).is_ok()
    }

    /// Holds everything against another tolerance.
    ///
    /// # Errors
    /// When a landmark lies where the map does not reach; nothing is changed then.
    pub fn set_tolerance(&mut self, tolerance: Length, plan: &Plan) -> Result<(), Unfit> {
        let mut changed = self.clone();
        changed.tolerance_mm = tolerance.to_mm();
        for line in &mut changed.lines {
            line.verdict = line.judged(tolerance);
        }
        changed.take_painted(self.painted.clone(), plan)?;
        *self = changed;
        Ok(())
    }
}

impl LineReport {
    /// What is to be thought of it with this tolerance.
    fn judged(&self, tolerance: Length) -> Verdict {
        let place = |off: Option<f64>, half: Option<f64>| Some((off?, half?));
        let places = [
            place(self.start_mm, self.start_95_mm),
            place(self.offset_mm, self.offset_95_mm),
            place(self.end_mm, self.end_95_mm),
        ];
        let places = match places {
            [Some(start), Some(middle), Some(end)] if self.found => Some([start, middle, end]),
            _ => None,
        };
        Verdict::of(places, self.other_mm.is_some(), tolerance)
    }
}
