//! Checks of the canvas as the page shows them: lines with their verdicts, proportions, values, and the list of checks.

use std::collections::HashMap;

use check::{
    ENLARGED, ImagePoint, LineReport, MOST_PROPOSALS, OtherShape, Outline, Report, Verdict, small_length,
};
use plan::{Plan, Ruler};
use serde::Serialize;
use utoipa::ToSchema;

use super::drift::DriftView;
use super::{line_mm, notebook, point_mm, rect_mm};
use crate::shape::{LineMm, RectMm, Xy};

/// A photo of the canvas that was brought in, and where the canvas may lie in it.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CanvasPhotoView {
    /// Its name, to be given with its outline.
    pub photo: String,
    /// Width and height in pixels of the upright photo.
    #[schema(min_items = 2, max_items = 2)]
    pub size: [u32; 2],
    /// Where its picture is to be had.
    pub picture: String,
    /// Where the canvas may lie, the likeliest first; none where its edges cannot be followed. Corners from the top left
    /// clockwise, in pixels.
    pub outlines: Vec<[Xy; 4]>,
    /// What to do where none was found.
    pub remark: Option<String>,
}

/// The checks that were kept.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ChecksView {
    /// The oldest first.
    pub checks: Vec<CheckLine>,
}

/// A check in the list of checks.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CheckLine {
    /// By which it is asked for.
    pub number: i64,
    /// When it was made (RFC 3339).
    pub made: String,
    /// How it came out.
    pub sentence: String,
    /// How far the painted landmarks lie from their places, root mean square in mm.
    pub off_mm: Option<f64>,
    /// The same as text.
    pub off: Option<String>,
    /// The size of the whole against the plan, as text.
    pub size: Option<String>,
}

/// One check, whole.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CheckView {
    /// By which it is asked for.
    pub number: i64,
    /// When it was made (RFC 3339).
    pub made: String,
    /// How it came out.
    pub sentence: String,
    /// The photo's name.
    pub photo: String,
    /// Width and height in pixels of the upright photo.
    #[schema(min_items = 2, max_items = 2)]
    pub photo_size: [u32; 2],
    /// Where the photo's picture is to be had.
    pub photo_picture: String,
    /// Where the squared-up picture is to be had: the canvas alone, straight on.
    pub picture: String,
    /// What that picture shows: left, top, width and height in mm of the canvas.
    pub bounds: RectMm,
    /// The corners in the photo, in pixels, from the top left clockwise.
    #[schema(min_items = 4, max_items = 4)]
    pub corners: [Xy; 4],
    /// The middles of the edges in the photo, where they were clicked.
    #[schema(min_items = 4, max_items = 4)]
    pub middles: Option<[Xy; 4]>,
    /// What is let pass, as text.
    pub tolerance: String,
    /// That most lines were not seen, and what to do, if so: to be read before what is said of single lines.
    pub few_seen: Option<String>,
    /// That the plan was changed since, if it was; among the warnings too.
    pub plan_changed: Option<String>,
    /// That the outline may be wrong, where the canvas looks to be of another shape.
    pub doubt: Option<String>,
    /// The planned lines, the worst first.
    pub lines: Vec<LineView>,
    /// Lines that nobody planned.
    pub unplanned: Vec<LineMm>,
    /// How many times larger than life the lines' errors are drawn.
    pub enlarged: f64,
    /// What to know about these numbers, and what one photo cannot tell.
    pub warnings: Vec<String>,
    /// What is told of the canvas's own shape.
    pub shape: String,
    /// The plan's landmarks.
    pub landmarks: Vec<LandmarkCheckView>,
    /// Drift, as soon as enough landmarks are set.
    pub drift: Option<DriftView>,
    /// Proportions of both.
    pub proportions: Vec<ProportionCheckView>,
    /// Values of both.
    pub values: Option<ValueCheckView>,
    /// Where the picture of the difference of values is to be had, if there is a reference.
    pub difference: Option<String>,
}

/// What is to be thought of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum VerdictView {
    /// Within what is let pass.
    True,
    /// Beyond it.
    Off,
    /// The photo does not tell.
    CannotTell,
}

/// A planned line.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LineView {
    /// What the painter calls it.
    pub name: String,
    /// What is to be thought of it.
    pub verdict: VerdictView,
    /// The same in words, with how far it is off.
    pub words: String,
    /// Where it is planned.
    pub planned: LineMm,
    /// Where it was seen.
    pub seen: Option<LineMm>,
    /// The same with its error enlarged, where that can be told.
    pub enlarged: Option<LineMm>,
}

/// A landmark of the plan, and where it is painted.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LandmarkCheckView {
    /// Its name.
    pub name: String,
    /// Where the plan has it, in mm.
    pub planned: Xy,
    /// Where it is painted, as far as that was set.
    pub painted: Option<Xy>,
}

/// A proportion of both.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ProportionCheckView {
    /// What it is.
    pub what: String,
    /// The reference's.
    pub reference: String,
    /// The painting's.
    pub painting: String,
    /// Whether the two are told differently.
    pub differs: bool,
}

/// Values of both, for orientation only.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ValueCheckView {
    /// What was done to the photo's exposure.
    pub exposure: String,
    /// Each box.
    pub boxes: Vec<BoxValuesView>,
}

/// The values of one grid box, on the Munsell scale.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct BoxValuesView {
    /// The box by its column's letter and its row's number.
    pub name: String,
    /// Its bounds.
    pub rect: RectMm,
    /// Of the reference.
    pub reference: f64,
    /// Of the painting.
    pub painting: f64,
}

/// What the view of a check is asked for beside the report.
pub(crate) struct Kept<'a> {
    pub(crate) painting: &'a str,
    pub(crate) number: i64,
    pub(crate) made: String,
    pub(crate) photo: String,
    pub(crate) photo_size: [u32; 2],
    /// Short names of what the squared-up picture and the picture of differences are made of.
    pub(crate) versions: [String; 2],
}

impl CanvasPhotoView {
    pub(crate) fn of(
        painting: &str,
        photo: &str,
        size: [u32; 2],
        upright: &[Outline],
        lying: &[Outline],
        other: Option<OtherShape>,
    ) -> Self {
        let remark = match (upright, lying, other) {
            ([], [], Some(other)) => Some(format!(
                "{other} Take a photo of this painting’s canvas; or, if it is this one, set the corners and the middles of the edges yourself."
            )),
            ([], [], None) => Some(
                "The canvas’s edges cannot be found. If this is a photo of the whole canvas with a little wall around it, set the \
                 corners and the middles of the edges yourself; if not, take one. A wall of another tone would show the edges."
                    .to_owned(),
            ),
            ([], _, _) => Some(
                "The canvas seems to lie on its side in this photo. Look whether its own top lies where “Top” stands, and say below if it does not."
                    .to_owned(),
            ),
            _ => None,
        };
        Self {
            photo: photo.to_owned(),
            size,
            picture: photo_address(painting, photo),
            outlines: upright
                .iter()
                .chain(lying)
                .take(MOST_PROPOSALS)
                .map(|outline| outline.corners.map(point))
                .collect(),
            remark,
        }
    }
}

fn photo_address(painting: &str, photo: &str) -> String {
    format!("/api/paintings/{painting}/canvas-photo.jpg?photo={photo}")
}

impl CheckLine {
    /// A check in the list; one that cannot be read says so.
    pub(crate) fn of(number: i64, made: String, report: Option<&Report>, plan: &Plan) -> Self {
        let sentence = report.map_or_else(
            || "Made by another Mahlstick; cannot be opened here".to_owned(),
            |report| notebook::check(Some(report), plan).sentence,
        );
        let off_mm = report.and_then(Report::off_mm);
        let drift = report.and_then(|report| report.drift.as_ref());
        Self {
            number,
            made,
            sentence,
            off_mm,
            off: off_mm.map(|mm| small_length(plan::Length::mm(mm), plan.ruler)),
            size: drift.map(|drift| drift.whole.size_in_words()),
        }
    }
}

impl CheckView {
    /// The whole of a check.
    pub(crate) fn of(kept: Kept<'_>, report: &Report, plan: &Plan) -> Self {
        let Kept { painting, number, made, photo, photo_size, versions: [squared_up, difference] } = kept;
        let at = |name: &str, version: &str| {
            format!("/api/paintings/{painting}/checks/{number}/{name}.jpg?v={version}")
        };
        let (few_seen, others) = report.parted_warnings();
        let doubt = report.shape.warning().map(|warning| warning.to_string());
        let others: Vec<&str> = others.into_iter().filter(|other| Some(*other) != doubt.as_deref()).collect();
        let twisted = "A canvas that is twisted or bulges is off by more than any number here; press it flat and look along it.";
        Self {
            number,
            made,
            sentence: notebook::check(Some(report), plan).sentence,
            photo_picture: photo_address(painting, &photo),
            photo,
            photo_size,
            picture: at("squared-up", &squared_up),
            bounds: rect_mm(report.canvas.bounds()),
            corners: report.outline_px.map(point),
            middles: report.middles_px.map(|middles| middles.map(point)),
            tolerance: tolerance_text(report, plan),
            few_seen: few_seen.map(str::to_owned),
            doubt,
            plan_changed: report.plan_changed.map(|change| change.in_words().to_owned()),
            lines: report.worst_first().into_iter().map(|line| LineView::of(line, plan.ruler)).collect(),
            unplanned: report.unplanned.iter().map(|line| line_mm(line.from, line.to)).collect(),
            enlarged: ENLARGED,
            warnings: others.into_iter().chain([twisted]).map(str::to_owned).collect(),
            shape: report.shape.in_words(plan.ruler),
            landmarks: landmarks(report, plan),
            drift: report.drift.as_ref().map(|drift| DriftView::of(drift, report.nose(), plan.ruler)),
            proportions: report
                .proportions
                .iter()
                .map(|one| ProportionCheckView {
                    what: one.what.clone(),
                    reference: one.reference.clone(),
                    painting: one.painting.clone(),
                    differs: one.differs,
                })
                .collect(),
            values: report.values.as_ref().map(ValueCheckView::of),
            difference: report.values.is_some().then(|| at("difference", &difference)),
        }
    }
}

/// What is let pass, in the painter's unit: a fraction of an inch where it is one, or tenths of a millimetre.
fn tolerance_text(report: &Report, plan: &Plan) -> String {
    match plan.ruler {
        Ruler::Inch(_) => report.tolerance().in_unit(plan::Unit::Inch),
        Ruler::Metric(..) => format!("{:.1} mm", report.tolerance_mm),
    }
}

fn point(point: ImagePoint) -> Xy {
    Xy([point.x, point.y])
}

/// The plan's landmarks with where they are painted.
fn landmarks(report: &Report, plan: &Plan) -> Vec<LandmarkCheckView> {
    let Some(placing) = plan.placing() else { return Vec::new() };
    let painted: HashMap<&str, ImagePoint> =
        report.painted.iter().map(|painted| (painted.name.as_str(), painted.at_px)).collect();
    let painted = |name: &str| report.map.to_canvas(*painted.get(name)?).map(point_mm);
    let planned = plan.all_landmarks().into_iter().map(|landmark| {
        let name = landmark.name.to_string();
        LandmarkCheckView { planned: point_mm(placing.to_canvas(landmark.at)), painted: painted(&name), name }
    });
    planned.collect()
}

impl LineView {
    fn of(line: &LineReport, ruler: Ruler) -> Self {
        let drawn = |times: f64| line.drawn(times).map(|[from, to]| line_mm(from, to));
        Self {
            name: line.name.clone(),
            verdict: match line.verdict {
                Verdict::True => VerdictView::True,
                Verdict::Off => VerdictView::Off,
                Verdict::CannotTell => VerdictView::CannotTell,
            },
            words: line.in_words(ruler),
            planned: line_mm(line.from, line.to),
            seen: drawn(1.0),
            enlarged: line.drawn_enlarged().map(|[from, to]| line_mm(from, to)),
        }
    }
}

impl ValueCheckView {
    fn of(values: &check::ValueCheck) -> Self {
        let stops = values.exposure_stops;
        let exposure = if stops.abs() < 0.05 {
            "The photo’s exposure was left as it is.".to_owned()
        } else {
            let way = if stops > 0.0 { "lighter" } else { "darker" };
            let much = if stops.abs() < 0.5 { "a little" } else { "a good deal" };
            format!(
                "The photo was made {much} {way} first, to match the reference over most boxes. Bare canvas counts as light."
            )
        };
        let boxes = values.boxes.iter().map(|one| BoxValuesView {
            name: one.name.clone(),
            rect: rect_mm(one.rect),
            reference: one.reference,
            painting: one.painting,
        });
        Self { exposure, boxes: boxes.collect() }
    }
}
