//! The derived view: everything the page shows of a painting, computed afresh from its plan in one go.
//!
//! Geometry is in millimetres of the canvas frame, ready for an SVG whose unit is the millimetre; every measurement that
//! is read is text in the painter's unit. The page computes nothing of this itself.

mod canvas;
mod checked;
mod drift;
mod likeness;
mod notebook;
mod reference;
mod sheet_plan;

use check::Report;
use painting::KeptCheck;
use plan::{GridLine, Guide, Length, Plan, PrinterCorrection, Size, SquaresFrom};
use serde::Serialize;
use utoipa::ToSchema;

use crate::shape::{LineMm, RectMm, Xy};

pub use canvas::{BoxMarksView, CanvasView, CornerView, DistanceView, MarkView, SideView};
pub(crate) use checked::Kept;
pub use checked::{
    BoxValuesView, CanvasPhotoView, CheckLine, CheckView, ChecksView, LandmarkCheckView, LineView,
    ProportionCheckView, ValueCheckView, VerdictView,
};
pub use drift::{DriftView, OwnDriftView, WholeDriftView};
pub use likeness::{
    DetailPlotView, LandmarkView, LikenessView, MeasureView, PlotView, ProportionView, SuggestionView,
};
pub use notebook::{LineState, NotebookLine, StepKey};
pub use reference::{HeadView, PlacedBy, ReferenceView};
pub use sheet_plan::{PrintingView, SeamsBy, SheetPlanView, WindowView};

/// All that the page shows of one painting's plan.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct View {
    /// The notebook's lines, in the order of the work.
    pub notebook: Vec<NotebookLine>,
    /// The unit in which lengths are stated: `inch`, `centimetre` or `millimetre`.
    pub unit: plan::Unit,
    /// The ruler that is read, as written on it: `1/16 in`.
    pub ruler: String,
    /// The canvas and its marks.
    pub canvas: CanvasView,
    /// The reference, if there is one.
    pub reference: Option<ReferenceView>,
    /// The main grid.
    pub grid: GridView,
    /// The detail boxes.
    pub details: Vec<DetailView>,
    /// Guide lines for composing.
    pub guides: Vec<GuideView>,
    /// What is measured on the sitter.
    pub likeness: LikenessView,
    /// How the packet is printed.
    pub printing: PrintingView,
    /// How the reference comes out on paper, if there is one.
    pub sheets: Option<SheetPlanView>,
}

/// The main grid, or the grid of a detail box.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct GridView {
    /// Columns and rows, if it divides in parts.
    #[schema(min_items = 2, max_items = 2)]
    pub parts: Option<[u32; 2]>,
    /// The side of a square as text, if it divides in squares.
    pub square: Option<String>,
    /// Where the squares are counted from.
    pub from: Option<SquaresFrom>,
    /// Whether the diagonals are ruled.
    pub diagonals: bool,
    /// Its lines.
    pub lines: Vec<LineMm>,
}

/// A detail box.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DetailView {
    /// What is in it.
    pub name: String,
    /// Left, top, width and height in mm.
    pub rect: RectMm,
    /// From the canvas's left, as text.
    pub left: String,
    /// From the canvas's top, as text.
    pub top: String,
    /// Width and height, as text.
    pub size: String,
    /// Its grid.
    pub grid: GridView,
    /// Whether it lies on the photo, and goes along when that is placed.
    pub on_photo: bool,
    /// What would go on one sheet, where it is a little too large for one.
    pub one_sheet: Option<String>,
    /// What is measured to mark it on the canvas.
    pub marks: BoxMarksView,
}

/// A set of guide lines.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct GuideView {
    /// Which set, for the page to keep in mind.
    pub guide: Guide,
    /// Its name.
    pub name: &'static str,
    /// Its lines.
    pub lines: Vec<LineMm>,
}

impl View {
    /// The view of a plan that passes [`Plan::check`], printed on a printer with this error. `furniture` is the room that labels take on a
    /// true-size sheet.
    pub fn of(plan: &Plan, furniture: plan::Insets, correction: PrinterCorrection) -> Self {
        let stock = plan.printing.stock(furniture, correction);
        let sheets = SheetPlanView::of(plan, &stock);
        let marks = plan::marks(plan);
        let details = plan.details.iter().zip(&marks.details);
        Self {
            notebook: notebook::lines(plan, sheets.as_ref()),
            unit: plan.unit,
            ruler: plan.ruler.to_string(),
            canvas: CanvasView::of(plan, &marks),
            reference: ReferenceView::of(plan),
            grid: GridView::of(&plan.grid, &plan.grid_lines(), plan),
            details: details.map(|(detail, marks)| DetailView::of(detail, marks, plan, &stock)).collect(),
            guides: Guide::ALL.into_iter().map(|guide| GuideView::of(guide, plan)).collect(),
            likeness: LikenessView::of(plan),
            printing: PrintingView::of(plan),
            sheets,
        }
    }
}

impl View {
    /// The same with how the last check of the canvas came out in its notebook line. A check that another version kept, and that
    /// cannot be read, is passed over.
    #[must_use]
    pub fn with_last_check(mut self, last: Option<&KeptCheck>, plan: &Plan) -> Self {
        let Some(report) = last.and_then(|kept| serde_json::from_str::<Report>(&kept.result).ok()) else {
            return self;
        };
        self.put(notebook::check(Some(&report.held_against(plan)), plan));
        self
    }

    /// The same where the photo that is planned with cannot be opened.
    #[must_use]
    pub fn without_its_photo(mut self) -> Self {
        self.put(notebook::reference_that_does_not_open());
        self
    }

    /// Puts a line of the notebook in place of the one that stands.
    fn put(&mut self, line: NotebookLine) {
        if let Some(standing) = self.notebook.iter_mut().find(|standing| standing.key == line.key) {
            *standing = line;
        }
    }
}

impl GridView {
    fn of(grid: &plan::Grid, lines: &[GridLine], plan: &Plan) -> Self {
        let (parts, square, from) = match grid.division {
            plan::Division::Parts { columns, rows } => (Some([columns, rows]), None, None),
            plan::Division::Squares { side, from } => {
                (None, Some(side.in_unit(plan.ruler.unit())), Some(from))
            }
        };
        let lines = lines.iter().map(|line| line_mm(line.from, line.to)).collect();
        Self { parts, square, from, diagonals: grid.diagonals, lines }
    }
}

impl DetailView {
    fn of(detail: &plan::DetailBox, marks: &plan::DetailMarks, plan: &Plan, stock: &plan::Stock) -> Self {
        let plan::CanvasRect { origin, width, height } = detail.rect;
        let read = |length| plan.ruler.read(length).to_string();
        let one_sheet = detail.size_for_one_sheet(stock).map(|Size { width, height }| {
            // Rounded up it would not go on one.
            let at_most = |length: Length| {
                let division = plan.ruler.division();
                read(division * (length / division + 1e-9).floor())
            };
            format!(
                "A little too large for one sheet of {}: {} by {} would go on one.",
                plan.printing.paper,
                at_most(width),
                at_most(height)
            )
        });
        Self {
            name: detail.name.clone(),
            rect: rect_mm(detail.rect),
            left: read(origin.x),
            top: read(origin.y),
            size: format!("{} x {}", read(width), read(height)),
            grid: GridView::of(&detail.grid, &detail.lines(), plan),
            on_photo: plan.goes_with_photo(detail),
            one_sheet,
            marks: BoxMarksView::of(detail, marks),
        }
    }
}

impl GuideView {
    fn of(guide: Guide, plan: &Plan) -> Self {
        let name = match guide {
            Guide::CentreLines => "Centre lines",
            Guide::Thirds => "Thirds",
            Guide::Diagonals => "Diagonals",
            Guide::Rabatment => "Rabatment",
            Guide::GoldenSection => "Golden section",
        };
        let lines = guide.lines(plan.canvas.outline().bounds());
        Self { guide, name, lines: lines.into_iter().map(|(from, to)| line_mm(from, to)).collect() }
    }
}

fn line_mm(from: plan::CanvasPoint, to: plan::CanvasPoint) -> LineMm {
    LineMm([from.x, from.y, to.x, to.y].map(plan::Length::to_mm))
}

fn point_mm(point: plan::CanvasPoint) -> Xy {
    Xy([point.x.to_mm(), point.y.to_mm()])
}

fn rect_mm(rect: plan::CanvasRect) -> RectMm {
    let plan::CanvasRect { origin, width, height } = rect;
    RectMm([origin.x, origin.y, width, height].map(plan::Length::to_mm))
}

#[cfg(test)]
mod tests;
