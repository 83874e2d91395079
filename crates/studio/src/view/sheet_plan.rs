//! How the reference comes out on paper: where the seams run and how many sheets it takes.

use plan::{Insets, Length, Paper, Plan, SheetLayout, Stock};
use serde::Serialize;

/// On what the packet is printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Printing {
    /// The paper, what the printer leaves blank, the room that labels take, and the printer's error.
    pub stock: Stock,
    /// How much two neighbouring sheets share.
    pub lap: Length,
}

/// The sheets that the reference takes.
#[derive(Clone, Debug, Serialize)]
pub struct SheetPlanView {
    /// The paper's name.
    pub paper: String,
    /// How many sheets.
    pub count: usize,
    /// Each sheet: its name and its window on the canvas in mm: left, top, width, height.
    pub windows: Vec<(String, [f64; 4])>,
    /// Upright seams, in mm from the canvas's left.
    pub upright_seams: Vec<f64>,
    /// Level seams, in mm from the canvas's top.
    pub level_seams: Vec<f64>,
    /// How far the seams stay from the face, as text, if there are seams and a head.
    pub clearance: Option<String>,
    /// Set when the reference cannot be cut over this paper.
    pub problem: Option<String>,
}

impl Printing {
    /// A paper with the margin and lap usual for it, for a printer that prints true.
    pub fn usual(paper: Paper, margin: Length, furniture: Insets, lap: Length) -> Self {
        let stock = Stock {
            paper,
            margins: Insets::all(margin),
            furniture,
            correction: plan::PrinterCorrection::NONE,
        };
        Self { stock, lap }
    }
}

impl SheetPlanView {
    pub(super) fn of(plan: &Plan, printing: &Printing) -> Option<Self> {
        plan.reference.as_ref()?;
        let (stock, limit) = (&printing.stock, plan.canvas.outline().bounds());
        let points = plan.seam_points();
        let paper = stock.paper.to_string();
        let layout = match SheetLayout::new(plan.sheet_region(), limit, stock, printing.lap, &points) {
            Ok(layout) => layout,
            Err(error) => {
                let nothing = Vec::new;
                return Some(Self {
                    paper,
                    count: 0,
                    windows: Vec::new(),
                    upright_seams: nothing(),
                    level_seams: nothing(),
                    clearance: None,
                    problem: Some(error.to_string()),
                });
            }
        };
        let mm = |seams: &[Length]| seams.iter().map(|seam| seam.to_mm()).collect();
        Some(Self {
            paper,
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
                .and_then(|_| layout.clearance(&points))
                .map(|clearance| plan.ruler.read(clearance).to_string()),
            problem: None,
        })
    }
}
