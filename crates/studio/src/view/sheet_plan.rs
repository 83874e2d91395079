//! How the reference comes out on paper: where the seams run and how many sheets it takes.

use plan::{Insets, Length, Plan, PrinterCorrection};
use serde::Serialize;

/// The sheets that the reference takes.
#[derive(Clone, Debug, Serialize)]
pub struct SheetPlanView {
    /// The paper's name.
    pub paper: String,
    /// The margin as text.
    pub margin: String,
    /// The lap as text.
    pub lap: String,
    /// Whether the grid is drawn over the photo.
    pub lines: bool,
    /// How many sheets.
    pub count: usize,
    /// Each sheet: its name and its window on the canvas in mm: left, top, width, height.
    pub windows: Vec<(String, [f64; 4])>,
    /// Upright seams, in mm from the canvas's left.
    pub upright_seams: Vec<f64>,
    /// Level seams, in mm from the canvas's top.
    pub level_seams: Vec<f64>,
    /// How far the seams stay from the face, as text, if there are seams and none of them crosses the head.
    pub clearance: Option<String>,
    /// Whether a seam runs through the head.
    pub seam_through_head: bool,
    /// Set when the reference cannot be cut over this paper.
    pub problem: Option<String>,
}

impl SheetPlanView {
    pub(super) fn of(plan: &Plan, furniture: Insets) -> Option<Self> {
        plan.reference.as_ref()?;
        let stock = plan.printing.stock(furniture, PrinterCorrection::NONE);
        let paper = stock.paper.to_string();
        let (margin, lap) = (
            plan.ruler.read(plan.printing.margin).to_string(),
            plan.ruler.read(plan.printing.lap).to_string(),
        );
        let lines = plan.printing.lines;
        let layout = match plan.sheet_layout(&stock, plan.printing.lap) {
            Ok(layout) => layout,
            Err(error) => {
                return Some(Self {
                    paper,
                    margin,
                    lap,
                    lines,
                    count: 0,
                    windows: Vec::new(),
                    upright_seams: Vec::new(),
                    level_seams: Vec::new(),
                    clearance: None,
                    seam_through_head: false,
                    problem: Some(error.to_string()),
                });
            }
        };
        let mm = |seams: &[Length]| seams.iter().map(|seam| seam.to_mm()).collect();
        Some(Self {
            paper,
            margin,
            lap,
            lines,
            count: layout.sheets.len(),
            windows: layout
                .sheets
                .iter()
                .map(|sheet| {
                    let plan::CanvasRect { origin, width, height } = sheet.window;
                    (sheet.name(), [origin.x, origin.y, width, height].map(Length::to_mm))
                })
                .collect(),
            upright_seams: mm(&layout.upright_seams),
            level_seams: mm(&layout.level_seams),
            clearance: plan
                .head()
                .and_then(|head| layout.clearance_of_face(&head))
                .map(|clearance| plan.ruler.read(clearance).to_string()),
            seam_through_head: plan.head().is_some_and(|head| layout.crosses(head.bounds())),
            problem: None,
        })
    }
}
