//! The canvas as the page shows it: its outline, its measurements and the marks on its sides.

use plan::{Angle, DetailBox, DetailMarks, Mark, Marks, Plan, Quad, Side, SideMarks};
use serde::Serialize;
use utoipa::ToSchema;

use super::point_mm;
use crate::shape::Xy;

/// The canvas and everything to mark on it.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CanvasView {
    /// The corners in mm: top left, top right, bottom right, bottom left.
    #[schema(min_items = 4, max_items = 4)]
    pub outline: [Xy; 4],
    /// Nominal width and height as text: `12 x 16 in`.
    pub size: String,
    /// About the same in the other unit, as far as a ruler shows it.
    pub size_other_unit: String,
    /// The standard size it is, if it is one.
    pub standard: Option<String>,
    /// The six measurements as text, if there are any: top, right, bottom, left, down, up.
    #[schema(min_items = 6, max_items = 6)]
    pub measured: Option<[String; 6]>,
    /// What the measurements imply, in sentences.
    pub implies: Vec<String>,
    /// Set when the measurements contradict each other.
    pub contradiction: Option<String>,
    /// The four sides with their marks, clockwise from the top.
    pub sides: Vec<SideView>,
    /// The diagonals as text: down from the top left, up from the bottom left.
    #[schema(min_items = 2, max_items = 2)]
    pub diagonals: [String; 2],
    /// How many marks there are to make, with those of the detail boxes.
    pub mark_count: usize,
}

/// One side with its marks.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SideView {
    /// Which side.
    pub side: Side,
    /// Its whole length as text.
    pub total: String,
    /// The marks in order from left to right or top to bottom.
    pub marks: Vec<MarkView>,
}

/// One mark.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct MarkView {
    /// Where it lies on the canvas in mm.
    pub at: Xy,
    /// From the left or top end, as text.
    pub from_start: String,
    /// From the right or bottom end, as text.
    pub from_end: String,
}

/// What is measured to mark a detail box on the canvas.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct BoxMarksView {
    /// Its corners, clockwise from the top left.
    pub corners: Vec<CornerView>,
    /// Its diagonal as text; both are equal when it is true.
    pub diagonal: String,
    /// The marks along its own top and left side.
    pub inner: Vec<SideView>,
}

/// A corner of a detail box, by its distances from the canvas's nearest sides.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CornerView {
    /// Which corner: `top left`, …
    pub name: &'static str,
    /// From the nearer of the canvas's left and right.
    pub across: DistanceView,
    /// From the nearer of the canvas's top and bottom.
    pub down: DistanceView,
}

/// A distance from a side of the canvas.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DistanceView {
    /// Which side.
    pub from: Side,
    /// How far, as text.
    pub reading: String,
}

impl BoxMarksView {
    pub(super) fn of(detail: &DetailBox, marks: &DetailMarks) -> Self {
        let outline = detail.rect.into();
        let corners = CORNERS.into_iter().zip(marks.from_nearest_sides()).map(|(name, distances)| {
            let [across, down] =
                distances.map(|(from, reading)| DistanceView { from, reading: reading.to_string() });
            CornerView { name, across, down }
        });
        Self {
            corners: corners.collect(),
            diagonal: marks.diagonal.to_string(),
            inner: marks.inner.iter().map(|side| SideView::of(side, &outline)).collect(),
        }
    }
}

/// The corners of a canvas or box, clockwise from the top left.
const CORNERS: [&str; 4] = ["top left", "top right", "bottom right", "bottom left"];

impl CanvasView {
    pub(super) fn of(plan: &Plan, marks: &Marks) -> Self {
        let (canvas, outline) = (&plan.canvas, plan.canvas.outline());
        let standard = plan::standard_sizes().into_iter().find(|standard| {
            let (size, own) = (standard.size, canvas.nominal);
            (size.width, size.height) == (own.width, own.height)
                || (size.height, size.width) == (own.width, own.height)
        });
        Self {
            outline: outline.corners.map(point_mm),
            size: plan.canvas.nominal.in_unit(plan.unit),
            size_other_unit: plan.canvas.nominal.about_in_unit(other_unit(plan.unit)),
            standard: standard.map(|standard| standard.name),
            measured: canvas
                .measured
                .map(|measured| measured.lengths().map(|length| plan.ruler.read(length).to_string())),
            implies: implies(plan),
            contradiction: canvas
                .contradiction(plan.ruler)
                .map(|contradiction| contradiction.sentence(plan.ruler)),
            sides: marks.sides.iter().map(|side| SideView::of(side, &outline)).collect(),
            diagonals: marks.diagonals.each_ref().map(ToString::to_string),
            mark_count: marks.count_on_sides() + marks.count_of_details(),
        }
    }
}

impl SideView {
    fn of(side: &SideMarks, outline: &Quad) -> Self {
        let one = |mark: &Mark| {
            let share = mark.from_start.exact() / side.total.exact();
            MarkView {
                at: point_mm(outline.along(side.side, share)),
                from_start: mark.from_start.to_string(),
                from_end: mark.from_end.to_string(),
            }
        };
        Self { side: side.side, total: side.total.to_string(), marks: side.marks.iter().map(one).collect() }
    }
}

/// How far a measured canvas is out of square, corner by corner.
fn implies(plan: &Plan) -> Vec<String> {
    let Some(solved) = plan.canvas.solved() else { return Vec::new() };
    let off = solved.outline.corner_angles().map(|angle| angle.to_degrees() - 90.0);
    let widest = CORNERS.into_iter().zip(off).max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    let [down, up] = solved.outline.diagonals();
    let mut sentences = Vec::new();
    if let Some((corner, off)) = widest.filter(|(_, off)| off.abs() >= 0.05) {
        let way = if off > 0.0 { "wide" } else { "narrow" };
        sentences.push(format!(
            "The {corner} corner is {:.1}° too {way}.",
            Angle::degrees(off).to_degrees().abs()
        ));
    }
    let difference = plan.ruler.read((down - up).abs());
    sentences.push(if difference.rounded() == plan::Length::ZERO {
        "The diagonals are equal: the canvas is square.".to_owned()
    } else {
        format!("The diagonals differ by {difference}.")
    });
    sentences
}

pub(super) const fn other_unit(unit: plan::Unit) -> plan::Unit {
    match unit {
        plan::Unit::Inch => plan::Unit::Centimetre,
        plan::Unit::Centimetre | plan::Unit::Millimetre => plan::Unit::Inch,
    }
}
