//! The plan of one painting: the plain value from which everything else follows.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::camera::{CameraError, check_focal};
use crate::canvas::{Canvas, CanvasError};
use crate::detail::{DetailBox, DetailError, MAX_DETAILS};
use crate::frame::PhotoSize;
use crate::grid::{Grid, GridError, GridLine};
use crate::head::Head;
use crate::landmarks::{Landmark, LandmarkError};
use crate::length::Unit;
use crate::measures::Measure;
use crate::outline::Polygon;
use crate::placing::{Placing, PlacingError};
use crate::printing::{Printing, PrintingError};
use crate::reference::Reference;
use crate::ruler::Ruler;
use crate::square_up::SquareUpError;

/// The plan of one painting.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// The unit in which the painter states lengths.
    pub unit: Unit,
    /// The ruler the marks are read on.
    pub ruler: Ruler,
    /// What is painted on.
    pub canvas: Canvas,
    /// The photo painted from, once there is one.
    pub reference: Option<Reference>,
    /// The grid over the whole canvas.
    pub grid: Grid,
    /// Boxes with finer grids.
    pub details: Vec<DetailBox>,
    /// How the sheets are printed.
    #[serde(default)]
    pub printing: Printing,
    /// The landmarks that the painter placed on the reference; crown and chin are the reference's own once both are
    /// marked. See [`Plan::all_landmarks`].
    #[serde(default)]
    pub landmarks: Vec<Landmark>,
    /// The measures that the painter took on the reference.
    #[serde(default)]
    pub measures: Vec<Measure>,
    /// The name of the measure in terms of which the others are told.
    #[serde(default)]
    pub unit_measure: Option<String>,
}

/// Why a plan cannot be carried out.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PlanError {
    /// The canvas cannot be.
    #[error(transparent)]
    Canvas(#[from] CanvasError),
    /// The reference cannot lie so.
    #[error(transparent)]
    Placing(#[from] PlacingError),
    /// The photo of a print cannot be squared up so.
    #[error(transparent)]
    SquareUp(#[from] SquareUpError),
    /// The grid cannot be ruled.
    #[error(transparent)]
    Grid(#[from] GridError),
    /// A detail box cannot be.
    #[error(transparent)]
    Detail(#[from] DetailError),
    /// The sheets cannot be printed so.
    #[error(transparent)]
    Printing(#[from] PrintingError),
    /// A landmark or a measure cannot be.
    #[error(transparent)]
    Landmark(#[from] LandmarkError),
    /// The stated focal length cannot be.
    #[error(transparent)]
    Camera(#[from] CameraError),
    /// Too many detail boxes.
    #[error("There are {count} detail boxes. A canvas may have up to {MAX_DETAILS}.")]
    TooManyDetails {
        /// How many there are.
        count: usize,
    },
}

impl PlanError {
    /// The same, with lengths told in this unit first.
    fn told_in(self, unit: Unit) -> Self {
        match self {
            Self::Canvas(error) => Self::Canvas(error.told_in(unit)),
            Self::Placing(error) => Self::Placing(error.told_in(unit)),
            Self::Grid(error) => Self::Grid(error.told_in(unit)),
            Self::Detail(error) => Self::Detail(error.told_in(unit)),
            Self::Printing(error) => Self::Printing(error.told_in(unit)),
            Self::SquareUp(_) | Self::Landmark(_) | Self::Camera(_) | Self::TooManyDetails { .. } => self,
        }
    }
}

/// The least share of a canvas that is seen to be open: on one of 16 x 20 in, a strip of 0.05 mm along a side.
const LEAST_SEEN_OPEN: f64 = 1e-4;

impl Plan {
    /// A plan with this canvas, in quarters, without a photo yet.
    pub fn new(canvas: Canvas, unit: Unit) -> Self {
        Self {
            unit,
            ruler: Ruler::usual(unit),
            canvas,
            reference: None,
            grid: Grid::default(),
            details: Vec::new(),
            printing: Printing::usual(unit),
            landmarks: Vec::new(),
            measures: Vec::new(),
            unit_measure: None,
        }
    }

    /// Checks the whole plan: everything else in this crate may be asked of a plan that passes.
    ///
    /// # Errors
    /// The first thing that cannot be carried out, as a sentence for the painter, with lengths in her unit first.
    pub fn check(&self) -> Result<(), PlanError> {
        self.check_parts().map_err(|error| error.told_in(self.unit))
    }

    fn check_parts(&self) -> Result<(), PlanError> {
        self.canvas.check()?;
        self.grid.check(self.canvas.nominal)?;
        self.printing.check()?;
        if self.details.len() > MAX_DETAILS {
            return Err(PlanError::TooManyDetails { count: self.details.len() });
        }
        let outline = self.canvas.outline();
        for detail in &self.details {
            detail.check(&outline)?;
        }
        if let Some(reference) = &self.reference {
            reference.check()?;
            reference.placing(&outline)?;
            reference.focal_35mm.map_or(Ok(()), check_focal)?;
        }
        self.check_landmarks()?;
        self.check_measures()?;
        Ok(())
    }

    /// How the reference lies on the canvas; `None` without a reference, or with one that [`Plan::check`] refuses.
    pub fn placing(&self) -> Option<Placing> {
        self.reference.as_ref().and_then(|reference| reference.placing(&self.canvas.outline()).ok())
    }

    /// The part of the canvas that the photo covers; empty where it covers nothing.
    pub fn covered(&self) -> Polygon {
        match (&self.reference, self.placing()) {
            (Some(reference), Some(placing)) => {
                placing.photo_outline(reference.size()).clipped_to(&self.canvas.outline())
            }
            _ => Polygon::default(),
        }
    }

    /// The share of the canvas that the photo leaves open, from 0 to 1.
    pub fn open_share(&self) -> f64 {
        let canvas = Polygon::from(self.canvas.outline().corners).area_mm2();
        (1.0 - self.covered().area_mm2() / canvas).clamp(0.0, 1.0)
    }

    /// How much of the canvas the photo covers, in a sentence.
    pub fn covers_in_words(&self) -> String {
        match self.open_share() {
            1.0 => "The photo lies off the canvas.".to_owned(),
            open if open < LEAST_SEEN_OPEN => "The photo covers the canvas.".to_owned(),
            open if open < 0.01 => "The photo leaves a little of the canvas open.".to_owned(),
            open => format!("The photo leaves {:.0} % of the canvas open.", open * 100.0),
        }
    }

    /// The head on the canvas, if crown and chin are marked.
    pub fn head(&self) -> Option<Head> {
        let marks = self.reference.as_ref()?.head?;
        Some(Head::on_canvas(marks, &self.placing()?))
    }

    /// Whether a detail box goes where the photo goes: its middle lies on the photo, or would if there were room.
    pub fn goes_with_photo(&self, detail: &DetailBox) -> bool {
        let on_photo = || {
            let reference = self.reference.as_ref()?;
            let middle = self.placing()?.to_photo(detail.rect.centre());
            let PhotoSize { width, height } = reference.size();
            let within = |at: f64, side: u32| (0.0..=f64::from(side)).contains(&at);
            Some(within(middle.x, width) && within(middle.y, height))
        };
        detail.belongs.is_some() || on_photo().unwrap_or(false)
    }

    /// Takes the detail boxes that lay on the photo along to where it is now; `before` is the plan as it was.
    pub fn take_boxes_along(&mut self, before: &Self) {
        let (Some(from), Some(to)) = (before.placing(), self.placing()) else { return };
        if from == to {
            return;
        }
        let canvas = self.canvas.outline();
        for detail in self.details.iter_mut().filter(|detail| before.goes_with_photo(detail)) {
            *detail = detail.carried(&from, &to, &canvas);
        }
    }

    /// The lines of the main grid.
    pub fn grid_lines(&self) -> Vec<GridLine> {
        self.grid.lines(&self.canvas.outline(), self.canvas.nominal)
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::frame::{CanvasPoint, CanvasRect, PhotoPoint};
    use crate::head::HeadMarks;
    use crate::length::Length;
    use crate::placing::Place;

    /// A portrait that is fitted on a canvas of 12 x 12 in, its head marked.
    pub(crate) fn portrait() -> Plan {
        let mut plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(12.0)), Unit::Inch);
        let mut reference = Reference::fitted(PhotoSize { width: 3000, height: 4000 });
        reference.head =
            Some(HeadMarks { crown: PhotoPoint::new(1500.0, 500.0), chin: PhotoPoint::new(1500.0, 2500.0) });
        plan.reference = Some(reference);
        plan
    }

    /// Boxes an inch wide: on the head of that portrait, elsewhere on its photo, and where the canvas is bare.
    pub(crate) fn boxes_here_and_there() -> Vec<DetailBox> {
        let laid = |x: f64, y: f64| {
            let (corner, side) =
                (CanvasPoint::new(Length::inches(x), Length::inches(y)), Length::inches(1.0));
            DetailBox::new("Box".to_owned(), CanvasRect::new(corner, side, side), Grid::default())
        };
        vec![laid(5.0, 3.0), laid(9.0, 10.0), laid(0.0, 5.0)]
    }

    #[test]
    fn a_fitted_upright_photo_leaves_a_quarter_of_a_square_canvas_open() {
        let plan = portrait();
        assert_eq!(plan.check(), Ok(()));
        assert!((plan.open_share() - 0.25).abs() < 1e-9);
        assert_eq!(plan.covers_in_words(), "The photo leaves 25 % of the canvas open.");
    }

    #[test]
    fn a_corner_that_stays_bare_when_the_photo_is_turned_is_told() {
        let mut plan = portrait();
        let fill = |plan: &mut Plan, degrees, pixel| {
            if let Some(reference) = &mut plan.reference {
                reference.turn = crate::frame::Angle::degrees(degrees);
                reference.place =
                    Place::At { pixel, middle: CanvasPoint::new(Length::inches(6.0), Length::inches(6.0)) };
            }
            plan.covers_in_words()
        };
        let just = Length::inches(12.0 / 3000.0);
        assert_eq!(fill(&mut plan, 0.0, just), "The photo covers the canvas.");
        assert_eq!(fill(&mut plan, 0.3, just), "The photo leaves a little of the canvas open.");
    }

    #[test]
    fn the_head_is_found_on_the_canvas_however_the_photo_was_placed() {
        let mut plan = portrait();
        assert!((plan.head().unwrap().height() - Length::inches(6.0)).abs() < Length::mm(1e-9));
        if let Some(reference) = &mut plan.reference {
            reference.place = Place::Head { height: Length::inches(8.0), middle: None };
        }
        assert!((plan.head().unwrap().height() - Length::inches(8.0)).abs() < Length::mm(1e-9));
    }

    #[test]
    fn boxes_on_the_photo_go_along_with_it_and_one_on_bare_canvas_stays() {
        let mut plan = portrait();
        // The photo leaves an inch and a half bare at the left and the right.
        plan.details = boxes_here_and_there();
        let before = plan.clone();
        if let Some(reference) = &mut plan.reference {
            reference.place = Place::Head { height: Length::inches(5.0), middle: None };
        }
        plan.take_boxes_along(&before);
        let (from, to) = (before.placing().unwrap(), plan.placing().unwrap());
        for (was, is) in before.details[..2].iter().zip(&plan.details) {
            let moved = to.to_canvas(from.to_photo(was.rect.centre()));
            assert!(is.rect.centre().distance_to(moved) < Length::mm(1e-9));
            assert!((is.rect.width - was.rect.width * (5.0 / 6.0)).abs() < Length::mm(1e-9));
        }
        assert_eq!(plan.details[2], before.details[2]);
    }

    #[test]
    fn a_plan_survives_being_written_and_read() {
        let plan = portrait();
        let text = serde_json::to_string(&plan).unwrap();
        assert_eq!(serde_json::from_str::<Plan>(&text).unwrap(), plan);
    }

    #[test]
    fn absurd_values_are_refused_and_do_not_panic() {
        let mut plan = portrait();
        plan.canvas.nominal.width = Length::mm(-1.0);
        assert!(matches!(plan.check(), Err(PlanError::Canvas(_))));
        let mut plan = portrait();
        plan.details = vec![
            DetailBox::new(
                String::new(),
                CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(50.0), Length::mm(50.0)),
                Grid::default()
            );
            MAX_DETAILS + 1
        ];
        assert!(matches!(plan.check(), Err(PlanError::TooManyDetails { .. })));
    }
}
