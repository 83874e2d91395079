//! What a check found, whole: as it is kept in the painting file, written for programs, and told on page and sheet.

mod judged_again;
mod words;

pub use judged_again::PlanChange;
pub(crate) use words::distance;
pub use words::{at_most, distance_in_both, small_length};

use photo::Picture;
use plan::{BodyPoint, CanvasPoint, Direction, Length, Plan, Quad};
use serde::{Deserialize, Serialize};

use crate::camera::CanvasPhoto;
use crate::drift::{Drift, PaintedAt, PaintedLandmark};
use crate::frame::ImagePoint;
use crate::grid_check::{GridCheck, GridCheckWishes, LineCheck, UnplannedLine, Verdict};
use crate::lines::{Seen, found_of_grid};
use crate::other_way::refuse_painting;
use crate::outline::{Outline, Standing};
use crate::pose::CanvasMap;
use crate::proportion_check::ProportionCheck;
use crate::shape::CanvasShape;
use crate::unfit::Unfit;
use crate::value_check::ValueCheck;
use crate::warning::few_seen;

/// What a check found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Report {
    /// The corners as refined: from the top left clockwise.
    pub outline_px: [ImagePoint; 4],
    /// The middles of the edges, where they were clicked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub middles_px: Option<[ImagePoint; 4]>,
    /// Who says where the outline is.
    pub outline: Standing,
    /// The canvas's outline on the canvas itself, as the plan had it.
    pub canvas: Quad,
    /// The lens as estimated.
    pub lens: LensFound,
    /// How far the points measured lie off the map, root mean square in pixels.
    pub rms_px: f64,
    /// What was let pass, mm.
    pub tolerance_mm: f64,
    /// The planned lines: the main grid's, then the detail boxes'.
    pub lines: Vec<LineReport>,
    /// Lines that nobody planned.
    pub unplanned: Vec<UnplannedLine>,
    /// What is told of the canvas's own shape.
    pub shape: CanvasShape,
    /// Where landmarks are painted, as far as they were set.
    #[serde(default)]
    pub painted: Vec<Painted>,
    /// How far they have drifted; `None` while too few are set.
    pub drift: Option<Drift>,
    /// Proportions of reference and painting, as far as the landmarks set tell them.
    #[serde(default)]
    pub proportions: Vec<ProportionCheck>,
    /// Values of painting and reference by grid box, where there is a reference. They say something once the canvas
    /// [shows paint](Report::shows_paint).
    #[serde(default)]
    pub values: Option<ValueCheck>,
    /// What to know about these numbers.
    pub warnings: Vec<String>,
    /// The map from photo to canvas.
    pub map: CanvasMap,
    /// What of the plan was changed since the check was made, if [`Report::held_against`] found something.
    #[serde(skip)]
    pub plan_changed: Option<PlanChange>,
}

/// The lens as estimated.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct LensFound {
    /// k₁ after Brown, in units of the focal length.
    pub k1: f64,
    /// Its standard deviation.
    pub k1_sd: f64,
}

/// One planned line. Offsets are in mm, positive to the right or downwards, and `None` where it was not seen; those that end in
/// `95` are half the width of the 95 % interval.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LineReport {
    /// What the painter calls it.
    pub name: String,
    /// Whether it belongs to a detail box.
    #[serde(default)]
    pub in_detail: bool,
    /// Its direction.
    pub direction: Direction,
    /// Where its middle should lie: from the canvas's left side, or from the top for a line that is not vertical.
    pub planned_mm: f64,
    /// Whether it was found.
    pub found: bool,
    /// The same with what lies between.
    pub seen: Seen,
    /// How far it is off at its top or left end.
    pub start_mm: Option<f64>,
    /// How sure that is.
    pub start_95_mm: Option<f64>,
    /// How far it is off at its other end.
    pub end_mm: Option<f64>,
    /// How sure that is.
    pub end_95_mm: Option<f64>,
    /// How far its middle is off.
    pub offset_mm: Option<f64>,
    /// How sure that is.
    pub offset_95_mm: Option<f64>,
    /// By how much it is turned, degrees clockwise.
    pub tilt_deg: Option<f64>,
    /// About how far off another line beside it is that is as strong, mm, where there is one.
    #[serde(default)]
    pub other_mm: Option<f64>,
    /// What is to be thought of it.
    pub verdict: Verdict,
    /// Its planned end at the top or left.
    pub from: CanvasPoint,
    /// Its planned other end.
    pub to: CanvasPoint,
}

/// Where a landmark is painted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Painted {
    /// Its name.
    pub name: String,
    /// Where the plan had it.
    pub planned: CanvasPoint,
    /// Where it is painted, in the photo of the canvas.
    pub at_px: ImagePoint,
    /// How far that may be off: the standard deviation of each coordinate, pixels.
    pub sd_px: f64,
}

impl Report {
    /// Measures a photo of the canvas: its lines, its shape and, where `reference` is given, its values beside those of the picture that lies on
    /// the canvas, reduced to about [`VALUES_SIDE`](crate::VALUES_SIDE). `picture` and `photo` are the two that
    /// [`CanvasPhoto::decoded`] gives. `going_on` is told the share done and stops the work by answering false.
    ///
    /// # Errors
    /// When the photo cannot answer, or shows a painting that hides its grid another way round; see [`Unfit`]. Of one whose grid is seen it is not
    /// known yet that it is a painting: that is for whoever sets landmarks on it, with [`refuse_painting`].
    pub fn measured(
        (picture, photo): (&Picture, &CanvasPhoto),
        outline: &Outline,
        (plan, reference): (&Plan, Option<&Picture>),
        wishes: GridCheckWishes<'_>,
        going_on: &(dyn Fn(f64) -> bool + Sync),
    ) -> Result<Self, Unfit> {
        let check = GridCheck::of(photo, plan, outline, wishes, going_on)?;
        let mut report = Self::of(&check, outline, plan);
        if let Some(reference) = reference {
            if report.shows_paint() {
                refuse_painting(picture, &report.map, reference, plan)?;
            }
            report.values = ValueCheck::of(picture, &report.map, reference, plan);
        }
        Ok(report)
    }

    /// The report of a grid check that was made with this outline.
    pub fn of(check: &GridCheck, outline: &Outline, plan: &Plan) -> Self {
        let mut warnings: Vec<String> = check.warnings.iter().map(ToString::to_string).collect();
        warnings.extend(check.unplanned.iter().map(|line| line.in_words(plan.ruler)));
        Self {
            outline_px: check.outline_px,
            middles_px: outline.middles,
            outline: check.outline,
            canvas: plan.canvas.outline(),
            lens: LensFound { k1: check.lens.k1, k1_sd: check.lens.k1_sd },
            rms_px: check.rms_px,
            tolerance_mm: check.tolerance_mm,
            lines: check.lines.iter().map(LineReport::of).collect(),
            unplanned: check.unplanned.clone(),
            shape: check.shape,
            painted: Vec::new(),
            drift: None,
            proportions: Vec::new(),
            values: None,
            warnings,
            map: check.map.clone(),
            plan_changed: None,
        }
    }

    /// What is let pass.
    pub fn tolerance(&self) -> Length {
        Length::mm(self.tolerance_mm)
    }

    /// Whether this seems to be a painting rather than a ruled canvas: landmarks were set on it, or it hides most of its lines.
    pub fn shows_paint(&self) -> bool {
        !self.painted.is_empty() || self.few_seen().is_some()
    }

    /// That most of the grid's planned lines were not seen, if so: `Only 1 of the grid’s 6 lines was seen`. The warning about it
    /// begins with these words.
    pub fn few_seen(&self) -> Option<String> {
        let (found, planned) = found_of_grid(self.lines.iter().map(|line| (line.in_detail, line.found)));
        (2 * found < planned).then(|| few_seen(found, planned))
    }

    /// The warning that most of the planned lines were not seen, if there is one, and all else to know. It belongs before the numbers of
    /// the lines.
    pub fn parted_warnings(&self) -> (Option<&str>, Vec<&str>) {
        let few = self.few_seen();
        let is_few = |warning: &&str| few.as_ref().is_some_and(|few| warning.starts_with(few.as_str()));
        let (of_few, others): (Vec<&str>, Vec<&str>) = self
            .warnings
            .iter()
            .map(String::as_str)
            .chain(self.plan_changed.map(PlanChange::in_words))
            .partition(is_few);
        (of_few.first().copied(), others)
    }

    /// How far the painted landmarks lie from their places, root mean square in mm; `None` without drift.
    pub fn off_mm(&self) -> Option<f64> {
        let own = &self.drift.as_ref()?.own;
        let squares: f64 = own.iter().map(|one| one.planned.distance_to(one.painted).to_mm().powi(2)).sum();
        Some((squares / own.len().max(1) as f64).sqrt())
    }

    /// Where the plan has the nose: towards it or away from it is how features are off sideways. Its base, or else its tip.
    pub fn nose(&self) -> Option<CanvasPoint> {
        let planned = |point: BodyPoint| {
            let named = |landmark: &&Painted| BodyPoint::named(&landmark.name) == Some(point);
            self.painted.iter().find(named).map(|landmark| landmark.planned)
        };
        planned(BodyPoint::NoseBase).or_else(|| planned(BodyPoint::NoseTip))
    }

    /// The lines in the order in which a painter wants to know of them: the worst that are off first, then those that cannot be
    /// told, those that are true, and those not seen.
    pub fn worst_first(&self) -> Vec<&LineReport> {
        let mut lines: Vec<&LineReport> = self.lines.iter().collect();
        let rank = |line: &LineReport| match line.verdict {
            Verdict::Off => 0,
            Verdict::CannotTell if line.offset_mm.is_some() => 1,
            Verdict::True => 2,
            Verdict::CannotTell => 3,
        };
        lines.sort_by(|a, b| rank(a).cmp(&rank(b)).then(b.worst_mm().total_cmp(&a.worst_mm())));
        lines
    }
}

impl LineReport {
    fn of(line: &LineCheck) -> Self {
        let place = line.place;
        Self {
            name: line.name.clone(),
            in_detail: line.in_detail,
            direction: line.direction,
            planned_mm: line.planned_mm,
            found: line.found,
            seen: line.seen,
            start_mm: place.map(|place| place.start_mm),
            start_95_mm: place.map(|place| place.start_95_mm),
            end_mm: place.map(|place| place.end_mm),
            end_95_mm: place.map(|place| place.end_95_mm),
            offset_mm: place.map(|place| place.offset_mm),
            offset_95_mm: place.map(|place| place.offset_95_mm),
            tilt_deg: place.map(|place| place.tilt_deg),
            other_mm: line.other_mm,
            verdict: line.verdict,
            from: line.from,
            to: line.to,
        }
    }

    /// How far it is off where it is off the most, mm; 0 for one that was not seen.
    pub fn worst_mm(&self) -> f64 {
        [self.start_mm, self.offset_mm, self.end_mm].into_iter().flatten().map(f64::abs).fold(0.0, f64::max)
    }

    /// Its ends as seen, with its error enlarged so many times; `None` where it was not seen.
    pub fn drawn(&self, enlarged: f64) -> Option<[CanvasPoint; 2]> {
        let (dx, dy) = ((self.to.x - self.from.x).to_mm(), (self.to.y - self.from.y).to_mm());
        let length = dx.hypot(dy).max(f64::MIN_POSITIVE);
        // Square to the line, and to the right or downwards, as offsets are counted.
        let (x, y) = (-dy / length, dx / length);
        let sign = if x + y < 0.0 { -enlarged } else { enlarged };
        let moved =
            |end: CanvasPoint, off: f64| end.moved(Length::mm(sign * x * off), Length::mm(sign * y * off));
        Some([moved(self.from, self.start_mm?), moved(self.to, self.end_mm?)])
    }
}

impl Painted {
    fn landmark(&self) -> PaintedLandmark {
        PaintedLandmark {
            name: self.name.clone(),
            planned: self.planned,
            painted: PaintedAt::Photo { point: self.at_px, sd: self.sd_px },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(from: (f64, f64), to: (f64, f64), off: (f64, f64)) -> LineReport {
        LineReport {
            name: "vertical at 6 in".to_owned(),
            in_detail: false,
            direction: Direction::Vertical,
            planned_mm: 152.4,
            found: true,
            seen: Seen::Found,
            start_mm: Some(off.0),
            start_95_mm: Some(0.2),
            end_mm: Some(off.1),
            end_95_mm: Some(0.2),
            offset_mm: Some(f64::midpoint(off.0, off.1)),
            offset_95_mm: Some(0.1),
            tilt_deg: Some(0.0),
            other_mm: None,
            verdict: Verdict::Off,
            from: CanvasPoint::mm(from.0, from.1),
            to: CanvasPoint::mm(to.0, to.1),
        }
    }

    #[test]
    fn a_line_is_drawn_to_the_right_or_below_where_its_error_is_positive() {
        let near = |[a, b]: [CanvasPoint; 2], wanted: [(f64, f64); 2]| {
            [(a, wanted[0]), (b, wanted[1])]
                .iter()
                .all(|(point, (x, y))| point.distance_to(CanvasPoint::mm(*x, *y)) < Length::mm(1e-9))
        };
        let upright = line((100.0, 0.0), (100.0, 400.0), (1.0, -0.5));
        assert!(near(upright.drawn(10.0).unwrap(), [(110.0, 0.0), (95.0, 400.0)]));
        let level = line((0.0, 50.0), (300.0, 50.0), (0.0, 2.0));
        assert!(near(level.drawn(1.0).unwrap(), [(0.0, 50.0), (300.0, 52.0)]));
        assert_eq!(LineReport { end_mm: None, ..level }.drawn(1.0), None);
    }

    #[test]
    fn a_line_is_told_as_a_ruler_reads_it() {
        let inches = "1/16".parse().unwrap();
        let told = |line: &LineReport| line.in_words(inches);
        let off = line((152.4, 0.0), (152.4, 400.0), (3.2, 3.1));
        assert_eq!(
            told(&off),
            "off by 1/8 in (3.2 mm) to the right, give or take 1/64 in (0.2 mm); redraw it"
        );
        let fan = line((152.4, 0.0), (152.4, 400.0), (0.1, -3.2));
        assert_eq!(
            told(&fan),
            "in its place at the top, off by 1/8 in (3.2 mm) to the left at the bottom, give or take 1/64 in (0.2 mm); redraw it"
        );
        let fine = LineReport { verdict: Verdict::True, ..line((152.4, 0.0), (152.4, 400.0), (0.1, 0.15)) };
        assert_eq!(told(&fine), "true, to within 1/64 in (0.4 mm)");
        assert_eq!(fine.in_words("mm".parse().unwrap()), "true, to within 0.4 mm");
        let unseen = LineReport {
            start_mm: None,
            end_mm: None,
            offset_mm: None,
            verdict: Verdict::CannotTell,
            ..fine
        };
        assert_eq!(told(&unseen), "not seen in this photo; it may be there all the same");
    }
}
