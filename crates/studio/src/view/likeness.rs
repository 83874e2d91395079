//! What is measured on the sitter: landmarks with their plots, measures, and proportions.

use plan::{BodyPoint, BoxPlot, FromLine, MeasureReading, Plan, Plot, Proportion};
use serde::Serialize;
use utoipa::ToSchema;

use super::{line_mm, point_mm};
use crate::shape::{LineMm, Xy};

/// What is measured on the sitter.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LikenessView {
    /// The landmarks that are placed.
    pub landmarks: Vec<LandmarkView>,
    /// Those that are not yet, with where proportion expects them; the next one first.
    pub suggested: Vec<SuggestionView>,
    /// Names of the head's landmarks.
    pub head: Vec<&'static str>,
    /// Names of the figure's landmarks.
    pub figure: Vec<&'static str>,
    /// The measures that were taken.
    pub measures: Vec<MeasureView>,
    /// Proportions that the landmarks tell.
    pub proportions: Vec<ProportionView>,
    /// The lens that the painter stated where the photo tells none: its focal length in mm, as on 35 mm film.
    pub lens_35mm: Option<f64>,
}

/// A landmark that is placed.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LandmarkView {
    /// Its name.
    pub name: String,
    /// Where it is on the canvas.
    pub at: Xy,
    /// Where it lies in the canvas's grid; nowhere beyond the canvas's edge.
    pub plot: Option<PlotView>,
    /// Where it lies in the grids of the detail boxes that hold it.
    pub details: Vec<DetailPlotView>,
    /// The plumb line through it.
    pub plumb: Option<LineMm>,
    /// The level line through it.
    pub level: Option<LineMm>,
}

/// Where a landmark lies in a grid.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PlotView {
    /// The box: the column's letter and the row's number.
    pub grid_box: String,
    /// From the nearest upright line, in words.
    pub across: String,
    /// From the nearest level line, in words.
    pub down: String,
}

/// Where a landmark lies in a detail box.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DetailPlotView {
    /// The box's name.
    pub detail: String,
    /// Where in its grid.
    pub plot: PlotView,
}

/// A landmark that is not placed yet.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SuggestionView {
    /// Its name.
    pub name: String,
    /// Where it is expected.
    pub at: Xy,
}

/// A measure, as text.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct MeasureView {
    /// What it is called.
    pub name: String,
    /// One end.
    pub from: Xy,
    /// The other end.
    pub to: Xy,
    /// The landmark that the one end is on and follows.
    pub from_landmark: Option<String>,
    /// The landmark that the other end is on and follows.
    pub to_landmark: Option<String>,
    /// Its length on the canvas.
    pub length: String,
    /// The same in millimetres.
    pub length_mm: f64,
    /// How far to the right or left the other end is.
    pub run: String,
    /// How far up or down.
    pub rise: String,
    /// How it leans.
    pub lean: String,
    /// How many times the unit it is.
    pub in_units: Option<f64>,
    /// Whether it is the unit.
    pub is_unit: bool,
}

/// A proportion of the sitter, for information.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ProportionView {
    /// What it is.
    pub what: &'static str,
    /// The sitter's.
    pub told: String,
    /// What schools teach.
    pub canon: Option<&'static str>,
    /// What was measured on people.
    pub measured: Vec<String>,
    /// What to know about it.
    pub note: &'static str,
}

impl LikenessView {
    pub(super) fn of(plan: &Plan) -> Self {
        let names = |set: &[BodyPoint]| set.iter().map(|point| point.name()).collect();
        let placing = plan.placing();
        let suggested = plan.suggested_landmarks().into_iter().filter_map(|landmark| {
            let at = point_mm(placing.as_ref()?.to_canvas(landmark.at));
            Some(SuggestionView { name: landmark.name.to_string(), at })
        });
        Self {
            landmarks: plan::plots(plan).iter().map(|plot| LandmarkView::of(plot, plan)).collect(),
            suggested: suggested.collect(),
            head: names(&BodyPoint::HEAD),
            figure: names(&BodyPoint::FIGURE),
            measures: plan::measures(plan).iter().map(MeasureView::of).collect(),
            proportions: plan::proportions(plan).iter().map(ProportionView::of).collect(),
            lens_35mm: plan.reference.and_then(|reference| reference.focal_35mm),
        }
    }
}

impl LandmarkView {
    fn of(plot: &Plot, plan: &Plan) -> Self {
        let outline = plan.canvas.outline();
        let details = plot
            .details
            .iter()
            .map(|inside| DetailPlotView { detail: inside.detail.clone(), plot: PlotView::of(&inside.plot) });
        Self {
            name: plot.name.to_string(),
            at: point_mm(plot.at),
            plot: plot.plot.as_ref().map(PlotView::of),
            details: details.collect(),
            plumb: outline.plumb_through(plot.at).map(|(from, to)| line_mm(from, to)),
            level: outline.level_through(plot.at).map(|(from, to)| line_mm(from, to)),
        }
    }
}

impl PlotView {
    fn of(plot: &BoxPlot) -> Self {
        let words = |from: &FromLine| {
            if from.is_on_line() {
                format!("on line {}", from.line)
            } else {
                format!("{} {} line {}", from.distance, from.beside(), from.line)
            }
        };
        Self { grid_box: plot.grid_box.to_string(), across: words(&plot.across), down: words(&plot.down) }
    }
}

impl MeasureView {
    fn of(measure: &MeasureReading) -> Self {
        Self {
            name: measure.name.clone(),
            from: point_mm(measure.from),
            to: point_mm(measure.to),
            from_landmark: measure.from_landmark.as_ref().map(ToString::to_string),
            to_landmark: measure.to_landmark.as_ref().map(ToString::to_string),
            length: measure.length.to_string(),
            length_mm: measure.exact().to_mm(),
            run: measure.run.to_string(),
            rise: measure.rise.to_string(),
            lean: measure.lean(),
            in_units: measure.in_units,
            is_unit: measure.is_unit,
        }
    }
}

impl ProportionView {
    fn of(proportion: &Proportion) -> Self {
        let kind = proportion.kind;
        Self {
            what: kind.words(),
            told: proportion.told(),
            canon: kind.canon().map(|canon| canon.rule),
            measured: kind.population().iter().map(ToString::to_string).collect(),
            note: kind.note(),
        }
    }
}
