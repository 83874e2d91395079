//! The grid check: is every planned line where the plan has it?

use nalgebra::Vector2;
use plan::{CanvasPoint, Direction, Length, Plan};
use serde::{Deserialize, Serialize};

use crate::NORMAL_95;
use crate::camera::CanvasPhoto;
use crate::edges::pixel_scale;
use crate::lines::{Extra, PlannedLine, Seen, Sighting, look, planned_lines};
use crate::other_way::refuse_lines;
use crate::outline::{Outline, Standing};
use crate::pose::{CanvasMap, Estimate, Evidence, KnownLens, Lens, Pose, line_curve, settle};
use crate::shape::CanvasShape;
use crate::unfit::Unfit;
use crate::warning::Warning;

/// What a painter lets pass unless she says otherwise: 1/32 in.
pub const USUAL_TOLERANCE: Length = Length::inches(1.0 / 32.0);

/// About the share of the work that is done when the canvas's place is known, and when its lines have been looked for.
const POSED: f64 = 0.25;
const LOOKED: f64 = 0.85;

/// What a grid check is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GridCheckWishes<'a> {
    /// How far off a line may be, at any place of it, and still be called true.
    pub tolerance: Length,
    /// The lens, if it was measured before.
    pub lens: Option<&'a KnownLens>,
}

impl Default for GridCheckWishes<'_> {
    fn default() -> Self {
        Self { tolerance: USUAL_TOLERANCE, lens: None }
    }
}

/// What a photo of the ruled canvas tells.
#[derive(Clone, Debug, Serialize)]
pub struct GridCheck {
    /// The corners as refined: from the top left clockwise.
    pub outline_px: [crate::ImagePoint; 4],
    /// Who says so.
    pub outline: Standing,
    /// The lens as estimated.
    pub lens: LensReport,
    /// How far the points measured lie off the map, root mean square in pixels.
    pub rms_px: f64,
    /// The tolerance the verdicts are held against, mm.
    pub tolerance_mm: f64,
    /// The planned lines: the main grid's, then the detail boxes'.
    pub lines: Vec<LineCheck>,
    /// Lines that are there but not planned.
    pub unplanned: Vec<UnplannedLine>,
    /// What is told of the canvas's own shape.
    pub shape: CanvasShape,
    /// What to know about these numbers.
    pub warnings: Vec<Warning>,
    /// The map from photo to canvas.
    #[serde(skip)]
    pub map: CanvasMap,
}

/// The lens as estimated from this photo.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LensReport {
    /// k₁ after Brown, in units of the focal length.
    pub k1: f64,
    /// Its standard deviation.
    pub k1_sd: f64,
    /// k₂.
    pub k2: f64,
}

/// What is to be thought of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Verdict {
    /// Within the tolerance all along, surely.
    #[serde(rename = "true")]
    True,
    /// Beyond the tolerance somewhere, surely.
    #[serde(rename = "off")]
    Off,
    /// The photo does not tell.
    #[serde(rename = "cannot tell")]
    CannotTell,
}

/// One planned line. Offsets are positive to the right or downwards.
#[derive(Clone, Debug, Serialize)]
pub struct LineCheck {
    /// What the painter calls it.
    pub name: String,
    /// Whether it belongs to a detail box.
    pub in_detail: bool,
    /// Its direction.
    pub direction: Direction,
    /// Where its middle should lie: mm from the canvas's left side, or from the top for a line that is not vertical.
    pub planned_mm: f64,
    /// Whether it was found.
    pub found: bool,
    /// The same with what lies between.
    pub seen: Seen,
    /// True when it is lighter than its surroundings, as chalk is.
    pub bright: bool,
    /// How far off another line beside it is that is as strong, mm: about, and only where there is one.
    pub other_mm: Option<f64>,
    /// Its place, if it was seen.
    #[serde(flatten)]
    pub place: Option<LinePlace>,
    /// What is to be thought of it.
    pub verdict: Verdict,
    /// Its planned end at the top or left.
    pub from: CanvasPoint,
    /// Its planned other end.
    pub to: CanvasPoint,
}

/// Where a line was seen.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LinePlace {
    /// How far it is off at its top or left end, mm.
    pub start_mm: f64,
    /// Half the width of the 95 % interval of that.
    pub start_95_mm: f64,
    /// How far it is off at its other end, mm.
    pub end_mm: f64,
    /// Half the width of the 95 % interval of that.
    pub end_95_mm: f64,
    /// How far its middle is off, mm.
    pub offset_mm: f64,
    /// Half the width of the 95 % interval of that.
    pub offset_95_mm: f64,
    /// By how much it is turned, degrees clockwise.
    pub tilt_deg: f64,
    /// Half the width of the 95 % interval of that.
    pub tilt_95_deg: f64,
}

/// A line that nobody planned.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct UnplannedLine {
    /// Its direction, nearly.
    pub direction: Direction,
    /// Its end at the top or left.
    pub from: CanvasPoint,
    /// Its other end.
    pub to: CanvasPoint,
    /// Half the width of the 95 % interval of its middle's place, mm; `None` where too little of it was seen.
    pub place_95_mm: Option<f64>,
}

impl GridCheck {
    /// Checks the grid of a plan on a photo of the canvas. `going_on` is told the share done, 0 to 1, now and then; when it
    /// answers false the check stops.
    ///
    /// # Errors
    /// When the photo cannot answer; see [`Unfit`].
    pub fn of(
        photo: &CanvasPhoto,
        plan: &Plan,
        outline: &Outline,
        wishes: GridCheckWishes<'_>,
        going_on: &(dyn Fn(f64) -> bool + Sync),
    ) -> Result<Self, Unfit> {
        let stop = |share: f64| if going_on(share) { Ok(()) } else { Err(Unfit::Stopped) };
        stop(0.0)?;
        let canvas = plan.canvas.outline();
        let lens = wishes.lens.map(|known| known.for_photo(photo));
        let other_lens = lens.is_some_and(|known| known.is_none());
        let lens = lens.flatten();
        let pose = Pose::of(photo, &canvas, outline, lens.as_ref())?;
        stop(POSED)?;
        let planned = planned_lines(plan);
        let looking = |share: f64| going_on(POSED + (LOOKED - POSED) * share);
        let sightings = look(photo.luma(), &pose.map, &canvas, &planned, &looking);
        refuse_lines(&planned, &sightings.planned, canvas.bounds(), |lines| {
            look(photo.luma(), &pose.map, &canvas, lines, &|_| going_on(LOOKED)).planned
        })?;
        stop(LOOKED)?;
        let refit = Refit::of(photo, &pose, &planned, &sightings.planned, &sightings.extra)?;
        let lines: Vec<LineCheck> = planned
            .iter()
            .zip(&sightings.planned)
            .zip(&refit.of_planned)
            .map(|((line, sighting), curve)| refit.line_check(line, sighting, *curve, wishes.tolerance))
            .collect();
        let unplanned: Vec<UnplannedLine> = sightings
            .extra
            .iter()
            .zip(&refit.of_extra)
            .map(|(extra, curve)| refit.unplanned(extra, *curve))
            .collect();
        refuse_another_grid(&lines, &unplanned)?;
        let map = refit.settled.map.clone();
        let mut warnings = Warning::of_outline(outline.standing);
        if other_lens {
            warnings.push(Warning::OtherLens);
        }
        if lens.is_none() {
            warnings.extend(photo.wide().map(|focal| Warning::WideLens { focal }));
        }
        let shape = CanvasShape::of(photo, &pose, &canvas, plan.canvas.measured.is_some());
        warnings.extend(shape.warning());
        warnings.extend(Warning::of_lines(&lines));
        stop(1.0)?;
        Ok(Self {
            outline_px: canvas.corners.map(|corner| map.to_image(corner)),
            outline: outline.standing,
            lens: LensReport::of(&map),
            rms_px: refit.settled.rms(&refit.evidence),
            tolerance_mm: wishes.tolerance.to_mm(),
            lines,
            unplanned,
            shape,
            warnings,
            map,
        })
    }
}

/// So many lines where none are planned, and none where they are: another canvas.
fn refuse_another_grid(lines: &[LineCheck], unplanned: &[UnplannedLine]) -> Result<(), Unfit> {
    if lines.len() >= 3 && unplanned.len() >= 3 && lines.iter().all(|line| !line.found) {
        return Err(Unfit::OtherGrid { planned: lines.len(), others: unplanned.len() });
    }
    Ok(())
}

impl LensReport {
    pub(crate) fn of(map: &CanvasMap) -> Self {
        let Lens { k1, k2 } = map.lens();
        Self { k1, k1_sd: map.k1_sd(), k2 }
    }
}

/// The second estimate: edges that may bow, and the lines seen, used for their straightness only.
struct Refit {
    settled: Estimate,
    evidence: Evidence,
    /// Where each planned line and each extra one stands among the curves.
    of_planned: Vec<Option<usize>>,
    of_extra: Vec<Option<usize>>,
}

impl Refit {
    fn of(
        photo: &CanvasPhoto,
        pose: &Pose,
        planned: &[PlannedLine],
        sightings: &[Sighting],
        extra: &[Extra],
    ) -> Result<Self, Unfit> {
        let scale = pixel_scale(photo.luma());
        let mut evidence = pose.outline.clone();
        let mut add = |frame, sighting: &Sighting| {
            (sighting.seen != Seen::NotSeen && sighting.points.len() >= 4).then(|| {
                evidence.curves.push(line_curve(frame, sighting.points.clone(), scale));
                evidence.curves.len() - 1
            })
        };
        let of_planned =
            planned.iter().zip(sightings).map(|(line, sighting)| add(line.frame(), sighting)).collect();
        let of_extra = extra.iter().map(|extra| add(extra.frame, &extra.sighting)).collect();
        let settled = settle(&pose.map, &mut evidence, scale).ok_or(Unfit::NoMap)?;
        Ok(Self { settled, evidence, of_planned, of_extra })
    }

    /// Where the straight line lies that was drawn. The hand's wobble about it is in the covariance already: by it one point of a
    /// line counts for less.
    fn place(&self, curve: usize) -> LinePlace {
        let length = self.evidence.curves[curve].length;
        let ([middle, growth], [[mm, mg], [_, gg]]) = self.settled.own(curve);
        let at = |share: f64| {
            let off = share - 0.5;
            let variance = mm + 2.0 * off * mg + off * off * gg;
            (middle + off * growth, NORMAL_95 * variance.max(0.0).sqrt())
        };
        let ((start_mm, start_95_mm), (end_mm, end_95_mm)) = (at(0.0), at(1.0));
        let (offset_mm, offset_95_mm) = at(0.5);
        // A vertical line that grows to the right turns anticlockwise, a level one that grows downwards clockwise.
        let across_is_clockwise =
            self.evidence.curves[curve].along.perp(&self.evidence.curves[curve].across).signum();
        let tilt = |mm: f64| (mm / length).atan().to_degrees();
        LinePlace {
            start_mm,
            start_95_mm,
            end_mm,
            end_95_mm,
            offset_mm,
            offset_95_mm,
            tilt_deg: across_is_clockwise * tilt(growth),
            tilt_95_deg: tilt(NORMAL_95 * gg.max(0.0).sqrt()),
        }
    }

    fn line_check(
        &self,
        line: &PlannedLine,
        sighting: &Sighting,
        curve: Option<usize>,
        tolerance: Length,
    ) -> LineCheck {
        let place = curve.map(|curve| self.place(curve));
        let places = place.map(|place| {
            [
                (place.start_mm, place.start_95_mm),
                (place.offset_mm, place.offset_95_mm),
                (place.end_mm, place.end_95_mm),
            ]
        });
        let found = sighting.seen == Seen::Found;
        let verdict = Verdict::of(places.filter(|_| found), sighting.other.is_some(), tolerance);
        LineCheck {
            name: line.name.clone(),
            in_detail: line.detail.is_some(),
            direction: line.direction,
            planned_mm: line.planned().to_mm(),
            found,
            seen: if place.is_some() { sighting.seen } else { Seen::NotSeen },
            bright: sighting.bright,
            other_mm: sighting.other.filter(|_| place.is_some()),
            place,
            verdict,
            from: line.from,
            to: line.to,
        }
    }

    fn unplanned(&self, extra: &Extra, curve: Option<usize>) -> UnplannedLine {
        let (origin, along, across, length) = extra.frame;
        let place = curve.map(|curve| self.place(curve));
        let (start, end) = place.map_or((0.0, 0.0), |place| (place.start_mm, place.end_mm));
        let point = |at: Vector2<f64>| CanvasPoint::mm(at.x, at.y);
        UnplannedLine {
            direction: extra.direction,
            from: point(origin + across * start),
            to: point(origin + along * length + across * end),
            place_95_mm: place.map(|place| place.offset_95_mm),
        }
    }
}

impl Verdict {
    /// The verdict on a line, if it was found: its places are off by the first number and known to within the second, mm. Of two lines
    /// side by side none can say which is meant.
    pub(crate) fn of(places: Option<[(f64, f64); 3]>, is_one_of_two: bool, tolerance: Length) -> Self {
        let tolerance = tolerance.to_mm();
        match places {
            Some(places) if !is_one_of_two => {
                if places.iter().any(|(off, half)| off.abs() - half > tolerance) {
                    Self::Off
                } else if places.iter().all(|(off, half)| off.abs() + half <= tolerance) {
                    Self::True
                } else {
                    Self::CannotTell
                }
            }
            _ => Self::CannotTell,
        }
    }
}
