//! How the packet is printed, and how the reference comes out on paper: where the seams run and how many sheets it takes.

use plan::{Length, LineTone, Paper, Plan, SeamThrough, Seams, Stock};
use serde::Serialize;
use utoipa::ToSchema;

use super::rect_mm;
use crate::shape::RectMm;

/// How the packet is printed.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PrintingView {
    /// The paper.
    pub paper: Paper,
    /// The margin as text.
    pub margin: String,
    /// The lap as text.
    pub lap: String,
    /// Whether the grid is drawn over the photo.
    pub lines: bool,
    /// How strong its lines are drawn, on screens and sheets: a multiple of the finest.
    pub line_strength: f64,
    /// Their tone.
    pub line_tone: LineTone,
    /// What the seams go by.
    pub seams: SeamsBy,
}

/// What the seams of the reference go by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SeamsBy {
    /// The fewest sheets.
    Fewest,
    /// Beside the head.
    BesideHead,
    /// The painter put them where they are.
    Hand,
}

/// The sheets that the reference takes.
#[derive(Clone, Debug, Default, Serialize, ToSchema)]
pub struct SheetPlanView {
    /// Each sheet.
    pub windows: Vec<WindowView>,
    /// Upright seams, in mm from the canvas's left.
    pub upright_seams: Vec<f64>,
    /// Level seams, in mm from the canvas's top.
    pub level_seams: Vec<f64>,
    /// How far the seams stay from the face, as text, if there are seams and none of them crosses the head.
    pub clearance: Option<String>,
    /// What of the head a seam runs through, in words, if one does: `the face`.
    pub seam_through_head: Option<&'static str>,
    /// A narrower lap with which none does, as text, if one helps.
    pub lap_beside_head: Option<String>,
    /// The detail boxes elsewhere that a seam runs through, by name: a second sitter's face, perhaps.
    pub seam_through: Vec<String>,
    /// Set when the reference cannot be cut over this paper.
    pub problem: Option<String>,
}

/// One sheet of the reference.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WindowView {
    /// Its name: the column's letter and the row's number.
    pub name: String,
    /// The part of the canvas on it.
    pub rect: RectMm,
}

impl PrintingView {
    pub(super) fn of(plan: &Plan) -> Self {
        let printing = &plan.printing;
        Self {
            paper: printing.paper,
            margin: plan.ruler.told(printing.margin),
            lap: plan.ruler.told(printing.lap),
            lines: printing.lines,
            line_strength: printing.line_look.strength,
            line_tone: printing.line_look.tone,
            seams: match printing.seams {
                Seams::Fewest => SeamsBy::Fewest,
                Seams::BesideHead => SeamsBy::BesideHead,
                Seams::ByHand(_) => SeamsBy::Hand,
            },
        }
    }
}

impl SheetPlanView {
    /// The sheets of a plan's reference; `None` without one.
    pub(super) fn of(plan: &Plan, stock: &Stock) -> Option<Self> {
        plan.reference.as_ref()?;
        let layout = match plan.sheet_layout(stock, plan.printing.lap) {
            Ok(layout) => layout,
            Err(error) => return Some(Self { problem: Some(error.to_string()), ..Self::default() }),
        };
        let seam_through_head = plan.head().and_then(|head| layout.through(&head)).map(SeamThrough::in_words);
        let lap_beside_head = seam_through_head.and_then(|_| plan.lap_beside_head(stock));
        let mm = |seams: &[Length]| seams.iter().map(|seam| seam.to_mm()).collect();
        let windows = layout.sheets.iter();
        Some(Self {
            windows: windows
                .map(|sheet| WindowView { name: sheet.name(), rect: rect_mm(sheet.window) })
                .collect(),
            upright_seams: mm(&layout.upright_seams),
            level_seams: mm(&layout.level_seams),
            clearance: plan
                .head()
                .and_then(|head| layout.clearance_of_face(&head))
                .map(|clearance| plan.ruler.read(clearance).to_string()),
            seam_through_head,
            lap_beside_head: lap_beside_head.map(|lap| plan.ruler.told(lap)),
            seam_through: plan.boxes_cut_by(&layout).map(|detail| detail.name.clone()).collect(),
            problem: None,
        })
    }
}
