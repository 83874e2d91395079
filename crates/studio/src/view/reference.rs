//! The reference as the page shows it: where it lies, how large the head is, what to know about it.

use plan::{Placing, Plan, Reading, Side};
use serde::Serialize;
use utoipa::ToSchema;

use super::point_mm;
use crate::shape::{Matrix, Xy};

/// The reference on the canvas.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ReferenceView {
    /// Width and height in pixels of the picture on the canvas.
    #[schema(min_items = 2, max_items = 2)]
    pub size: [u32; 2],
    /// Width and height in pixels of the upright photo, before any squaring up.
    #[schema(min_items = 2, max_items = 2)]
    pub photo: [u32; 2],
    /// The corners of the print in the photo, if it is squared up, in pixels clockwise from the top left.
    #[schema(min_items = 4, max_items = 4)]
    pub square_up: Option<[Xy; 4]>,
    /// The map from the picture's pixels to the canvas's millimetres, as an SVG `matrix(a b c d e f)`.
    pub matrix: Matrix,
    /// Degrees clockwise, between -180 and 180.
    pub turn: f64,
    /// Whether it is mirrored.
    pub mirror: bool,
    /// How it was placed.
    pub place: PlacedBy,
    /// Its resolution on the canvas in words, such as `254 pixels of the photo to an inch of canvas`.
    pub resolution: String,
    /// Set when pixels will show.
    pub coarse: Option<String>,
    /// How much of the canvas it covers, in a sentence.
    pub covers: String,
    /// The head, if crown and chin are marked.
    pub head: Option<HeadView>,
    /// Spaces between the photo's edges and the canvas's sides as text, if no head is marked: top, right, bottom, left.
    #[schema(min_items = 4, max_items = 4)]
    pub spaces: [String; 4],
}

/// How a photo was placed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum PlacedBy {
    /// It lies on the canvas whole.
    Fit,
    /// It covers the canvas.
    Fill,
    /// The head has a height.
    Head,
    /// It was moved there.
    At,
}

/// The head on the canvas.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct HeadView {
    /// The crown in mm.
    pub crown: Xy,
    /// The chin in mm.
    pub chin: Xy,
    /// Its height as text.
    pub height: String,
    /// Spaces as text: crown to the top, middle to the right, chin to the bottom, middle to the left.
    #[schema(min_items = 4, max_items = 4)]
    pub spaces: [String; 4],
    /// Set when it is larger than life.
    pub larger_than_life: Option<String>,
    /// Set when most or all of it lies off the canvas.
    pub off_canvas: Option<&'static str>,
}

impl ReferenceView {
    /// The reference of a plan, if it has one that can be placed.
    pub fn of(plan: &Plan) -> Option<Self> {
        let (reference, placing) = (plan.reference.as_ref()?, plan.placing()?);
        let size = reference.size();
        let outline = plan.canvas.outline();
        let corners = plan.covered().bounds().map(plan::CanvasRect::corners).unwrap_or_default();
        let space = |side| {
            let corner = if matches!(side, Side::Top | Side::Left) { corners[0] } else { corners[2] };
            plan.ruler.read(outline.distance_from_side(side, corner)).to_string()
        };
        Some(Self {
            size: [size.width, size.height],
            photo: [reference.photo.width, reference.photo.height],
            square_up: reference
                .square_up
                .map(|square_up| square_up.corners.map(|corner| Xy([corner.x, corner.y]))),
            matrix: matrix(&placing),
            turn: placing.turn().to_degrees(),
            mirror: placing.mirror(),
            place: match reference.place {
                plan::Place::Fit => PlacedBy::Fit,
                plan::Place::Fill => PlacedBy::Fill,
                plan::Place::Head { .. } => PlacedBy::Head,
                plan::Place::At { .. } => PlacedBy::At,
            },
            resolution: placing.resolution().in_words(plan.unit),
            coarse: placing.resolution().coarse_in_words(plan.unit),
            covers: plan.covers_in_words(),
            head: HeadView::of(plan),
            spaces: Side::ALL.map(space),
        })
    }
}

impl HeadView {
    fn of(plan: &Plan) -> Option<Self> {
        let head = plan.head()?;
        let outline = plan.canvas.outline();
        let read = |length| -> Reading { plan.ruler.read(length) };
        let height = read(head.height());
        Some(Self {
            off_canvas: head.off_canvas_in_words(&outline),
            crown: point_mm(head.crown),
            chin: point_mm(head.chin),
            height: height.to_string(),
            spaces: Side::ALL.map(|side| read(outline.distance_from_side(side, head.edge(side))).to_string()),
            larger_than_life: head
                .is_larger_than_life()
                .then(|| format!("A head of {height} is larger than life.")),
        })
    }
}

/// The placing as the six numbers of an SVG matrix: where the pixel axes and the pixel origin go.
fn matrix(placing: &Placing) -> Matrix {
    let at = |x, y| point_mm(placing.to_canvas(plan::PhotoPoint::new(x, y))).0;
    let ([e, f], [ax, ay], [bx, by]) = (at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0));
    Matrix([ax - e, ay - f, bx - e, by - f, e, f])
}
