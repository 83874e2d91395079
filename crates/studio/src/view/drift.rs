//! Drift of a painting as the page shows it: the whole in words and numbers, and each landmark's own error as an arrow.

use check::{Drift, OwnDrift, WholeDrift, at_most, distance_in_both};
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
}

/// One number of the whole drift.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WholeDriftView {
    /// What it is.
    pub what: &'static str,
    /// How much, in words.
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
    /// In words: `1/8 in low, 1/16 in toward the nose`.
    pub words: String,
    /// Its own error three times enlarged, from where it is painted.
    pub arrow: LineMm,
    /// Whether it is off by more than what is let pass and more than chance explains.
    pub stands_out: bool,
    /// Whether it was set aside when the whole was judged.
    pub set_aside: bool,
}

impl DriftView {
    pub(super) fn of(drift: &Drift, nose: Option<CanvasPoint>, ruler: Ruler) -> Self {
        let own = drift.own.iter().map(|own| OwnDriftView::of(own, drift, nose, ruler));
        Self { sentence: drift.whole.in_words(ruler), whole: whole(&drift.whole, ruler), own: own.collect() }
    }
}

fn whole(whole: &WholeDrift, ruler: Ruler) -> Vec<WholeDriftView> {
    let length = |mm: f64| distance_in_both(Length::mm(mm), ruler);
    let sure = |mm: f64| at_most(Length::mm(mm), ruler);
    let of = |what, value: f64, half: f64, told: String, give_or_take: String| WholeDriftView {
        what,
        told,
        give_or_take,
        surely: value.abs() > half,
    };
    let side =
        |value: f64, less: &str, more: &str| if value < 0.0 { less.to_owned() } else { more.to_owned() };
    vec![
        of(
            "across",
            whole.right_mm,
            whole.right_95_mm,
            format!("{} {}", length(whole.right_mm), side(whole.right_mm, "to the left", "to the right")),
            sure(whole.right_95_mm),
        ),
        of(
            "up and down",
            whole.down_mm,
            whole.down_95_mm,
            format!("{} {}", length(whole.down_mm), side(whole.down_mm, "high", "low")),
            sure(whole.down_95_mm),
        ),
        of(
            "size",
            whole.size_percent,
            whole.size_95_percent,
            size_of(whole),
            format!("{:.1} %", whole.size_95_percent),
        ),
        of(
            "turn",
            whole.turn_deg,
            whole.turn_95_deg,
            format!("{:.1}° {}", whole.turn_deg.abs(), side(whole.turn_deg, "anticlockwise", "clockwise")),
            format!("{:.1}°", whole.turn_95_deg),
        ),
    ]
}

pub(super) fn size_of(whole: &WholeDrift) -> String {
    let word = if whole.size_percent < 0.0 { "small" } else { "large" };
    format!("{:.1} % too {word}", whole.size_percent.abs())
}

impl OwnDriftView {
    fn of(own: &OwnDrift, drift: &Drift, nose: Option<CanvasPoint>, ruler: Ruler) -> Self {
        let words = own.in_words(ruler, nose);
        let end = own
            .painted
            .moved(Length::mm(OWN_ENLARGED * own.right_mm), Length::mm(OWN_ENLARGED * own.down_mm));
        Self {
            words: words.strip_prefix(&own.name).unwrap_or(&words).trim().to_owned(),
            arrow: line_mm(own.painted, end),
            stands_out: own.stands_out,
            set_aside: drift.set_aside.contains(&own.name),
            name: own.name.clone(),
        }
    }
}
