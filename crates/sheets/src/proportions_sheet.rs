//! The sheet of proportions: the sitter's beside what schools teach and what was measured on people, each with its source,
//! and how far the camera stood.

use plan::{Insets, Length, Orientation, Plan, SitterHead, Stock, proportions};
use serde::Serialize;

use crate::paper::PaperRect;

/// White kept inside the printable area.
const WHITE: Length = Length::mm(8.0);

/// How to take it.
const INTRODUCTION: &str = "For information, not as a verdict: canons are starting guesses, people differ, and a turned \
    head is foreshortened. ± tells how people differ: two thirds of them lie within it.";

/// The sheet of proportions.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct ProportionsSheet {
    content: PaperRect,
    introduction: &'static str,
    rows: Vec<ProportionRow>,
    /// How far the camera stood, or why that is not known.
    camera: String,
}

#[derive(Clone, Debug, Serialize)]
struct ProportionRow {
    what: &'static str,
    told: String,
    canon: Option<&'static str>,
    measured: Vec<String>,
    /// What else is known, with its source.
    note: &'static str,
}

/// The sheet; `None` while the landmarks tell no proportion. `focal_35mm` is the focal length that the photo tells.
pub(crate) fn proportions_sheet(
    plan: &Plan,
    focal_35mm: Option<f64>,
    stock: &Stock,
) -> Option<ProportionsSheet> {
    let rows: Vec<ProportionRow> = proportions(plan)
        .iter()
        .map(|proportion| ProportionRow {
            what: proportion.kind.words(),
            told: proportion.told(),
            canon: proportion.kind.canon().map(|canon| canon.rule),
            measured: proportion.kind.population().iter().map(ToString::to_string).collect(),
            note: proportion.kind.note(),
        })
        .collect();
    if rows.is_empty() {
        return None;
    }
    let orientation = Orientation::Portrait;
    let printable = PaperRect::sheet(stock.paper, orientation).inside(stock.margins(orientation));
    let camera = plan
        .camera_distance(focal_35mm, SitterHead::GROWN_UP)
        .map_or_else(|error| error.to_string(), |distance| distance.sentence(plan.unit));
    Some(ProportionsSheet {
        content: printable.inside(Insets::all(WHITE)),
        introduction: INTRODUCTION,
        rows,
        camera,
    })
}
