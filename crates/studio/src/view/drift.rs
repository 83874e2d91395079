//! Drift of a painting as the page shows it: the whole in words and numbers, and each landmark's own error as an arrow.

use check::{Drift, OwnDrift, WholeNumber};
use plan::{CanvasPoint, Length, Ruler};
use serde::Serialize;
use utoipa::ToSchema;

use super::line_mm;
use crate::shape::LineMm;

/// How many times larger than life a landmark's own error is drawn.
const OWN_ENLARGED: f64 = 3.0;

/// Drift.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DriftView {
    /// The whole in a sentence.
    pub sentence: String,
    /// The whole in numbers, each with its uncertainty.
    pub whole: Vec<WholeDriftView>,
    /// What is left of each landmark, the largest first.
    pub own: Vec<OwnDriftView>,
    /// What to know about the landmarks themselves: that they do not agree, which seem to be exchanged.
    pub remarks: Vec<String>,
}

/// One number of the whole drift.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WholeDriftView {
    /// What it is.
    pub what: &'static str,
    /// How much, in words; that nothing can be told when it may be chance.
    pub told: String,
    /// Give or take so much.
    pub give_or_take: String,
    /// Whether it is more than chance.
    pub surely: bool,
}

/// What is left of one landmark's error.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct OwnDriftView {
    /// The landmark.
    pub name: String,
    /// In words: `1/8 in low, 1/16 in toward the nose, give or take 1/64 in (0.4 mm)`.
    pub words: String,
    /// Its own error three times enlarged, from where it is painted.
    pub arrow: LineMm,
    /// Whether it is off by more than what is let pass and more than chance explains.
    pub stands_out: bool,
    /// Whether it was set aside when the whole was judged.
    pub set_aside: bool,
    /// Whether nothing else is told of it but that it is in its place.
    pub in_place: bool,
}

impl DriftView {
    pub(super) fn of(drift: &Drift, nose: Option<CanvasPoint>, ruler: Ruler) -> Self {
        let own = drift.own.iter().map(|own| OwnDriftView::of(own, drift, nose, ruler));
        Self {
            sentence: drift.whole_in_words(ruler),
            remarks: drift.remarks(),
            whole: drift.whole_numbers(ruler).map(WholeDriftView::of).into(),
            own: own.collect(),
        }
    }
}

impl WholeDriftView {
    fn of(number: WholeNumber) -> Self {
        let WholeNumber { what, told, give_or_take, surely } = number;
        Self { what, told, give_or_take, surely }
    }
}

impl OwnDriftView {
    fn of(own: &OwnDrift, drift: &Drift, nose: Option<CanvasPoint>, ruler: Ruler) -> Self {
        let end = own
            .painted
            .moved(Length::mm(OWN_ENLARGED * own.right_mm), Length::mm(OWN_ENLARGED * own.down_mm));
        let set_aside = drift.set_aside.contains(&own.name);
        Self {
            words: if drift.disagree { own.from_plan_in_words(ruler) } else { own.in_words(ruler, nose) },
            arrow: line_mm(own.painted, end),
            stands_out: own.stands_out,
            set_aside,
            in_place: !set_aside && !drift.disagree && own.is_in_place(ruler),
            name: own.name.clone(),
        }
    }
}
