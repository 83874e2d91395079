//! The sheets of a packet in order, as the plain data that the templates read.

use plan::{
    CanvasPoint, GridLine, LandmarkName, LineLook, LineTone, Orientation, Plan, Quad, Ratio, Seams,
    SheetLayout, SheetWindow, Stock, marks,
};
use serde::Serialize;

use super::{PacketOptions, SheetSummary, SheetsError};
use crate::bars_sheet::{BarsSheet, bars_sheet};
use crate::card_sheet::{CardSheet, card_sheet};
use crate::check_sheet::CheckSheet;
use crate::edge_strips::{StripSheet, strip_sheets};
use crate::kind::SheetKind;
use crate::likeness_sheets::{TableSheet, measure_sheets, plot_sheets};
use crate::mark_up::{MarkUpSheet, mark_up_sheets};
use crate::photo_stream::Stored;
use crate::plan_sheet::{PlanSheet, plan_sheet};
use crate::proportions_sheet::{ProportionsSheet, proportions_sheet};
use crate::scene::Scene;
use crate::true_size::{Subject, TrueSizeSheet, true_size_sheet};
use crate::world::can_set;

/// The sheets of a packet as plain data, not yet set.
pub(crate) struct LaidOut {
    /// What the templates read.
    pub(crate) data: PacketData,
    /// The pages in order.
    pub(crate) summaries: Vec<SheetSummary>,
    pub(super) reference: Option<SheetLayout>,
}

/// Lays out every sheet asked for.
pub(crate) fn lay_out(
    plan: &Plan,
    photo: Option<Stored>,
    options: &PacketOptions,
) -> Result<LaidOut, SheetsError> {
    let plan = &with_settable_names(plan);
    let mut builder = Builder::new(plan, photo, options, options.stock()?);
    for kind in SheetKind::ALL {
        if options.prints(kind) {
            builder.add(kind)?;
        }
    }
    builder.laid_out()
}

/// The sheets of a check: the one with its picture, and the pages of its table.
pub(crate) fn laid_out_check(
    plan: &Plan,
    options: &PacketOptions,
    lay: impl FnOnce(&Stock) -> (CheckSheet, Vec<TableSheet>),
) -> Result<LaidOut, SheetsError> {
    let stock = options.stock()?;
    let (sheet, table) = lay(&stock);
    let mut builder = Builder::new(plan, None, options, stock);
    let kind = SheetKind::Check;
    builder.push(kind, Orientation::Portrait, "Check".to_owned(), None, Body::Check(sheet));
    builder.push_numbered(kind, Orientation::Portrait, "List", table, Body::Table);
    builder.laid_out()
}

/// Stands for a title that is blank: an accessible PDF must have one.
const UNTITLED: &str = "Untitled";

/// The data that the templates read.
#[derive(Serialize)]
pub(crate) struct PacketData {
    /// The title as given, for the file's own title.
    title: String,
    /// The title as far as the font can set it.
    set_title: String,
    date: Option<String>,
    sheets: Vec<Sheet>,
}

#[derive(Serialize)]
struct Sheet {
    width: f64,
    height: f64,
    /// What sheets of its kind are called together: the upper bookmark.
    group: String,
    /// True on the first sheet of a kind.
    opens_group: bool,
    /// Which of its kind it is, where there are several: the lower bookmark.
    name: Option<String>,
    #[serde(flatten)]
    body: Body,
}

#[derive(Serialize)]
#[serde(tag = "kind", content = "body", rename_all = "kebab-case")]
#[expect(clippy::large_enum_variant, reason = "a packet has some dozens of them at most")]
enum Body {
    Plan(PlanSheet),
    MarkUp(MarkUpSheet),
    Strips(StripSheet),
    TrueSize(TrueSizeSheet),
    Table(TableSheet),
    Proportions(ProportionsSheet),
    Bars(BarsSheet),
    Card(CardSheet),
    Check(CheckSheet),
}

/// Collects the sheets of a packet in order.
struct Builder<'a> {
    plan: &'a Plan,
    /// The canvas as reference and detail sheets show it.
    shown: Scene,
    photo: Option<Stored>,
    options: &'a PacketOptions,
    stock: Stock,
    sheets: Vec<Sheet>,
    summaries: Vec<SheetSummary>,
    reference: Option<SheetLayout>,
}

impl<'a> Builder<'a> {
    fn new(plan: &'a Plan, photo: Option<Stored>, options: &'a PacketOptions, stock: Stock) -> Self {
        let (shown, reference) = (Scene::seen(plan, options.show, options.ratio), None);
        Self { plan, shown, photo, options, stock, sheets: Vec::new(), summaries: Vec::new(), reference }
    }

    fn add(&mut self, kind: SheetKind) -> Result<(), SheetsError> {
        let (plan, stock) = (self.plan, self.stock);
        match kind {
            SheetKind::Plan => {
                let layout = self.reference_layout()?;
                let printed = layout
                    .as_ref()
                    .map_or(0, |layout| self.printed(SheetKind::Reference, &self.shown, layout).len());
                let layout = layout.as_ref().map(|layout| (layout, printed));
                let sheet = plan_sheet(plan, self.photo, layout, self.options, &stock);
                self.push(kind, Orientation::Portrait, "Plan".to_owned(), None, Body::Plan(sheet));
            }
            SheetKind::Marks => {
                let sheets = mark_up_sheets(plan, &marks(plan), &stock);
                self.push_numbered(kind, Orientation::Portrait, "Marks", sheets, Body::MarkUp);
            }
            SheetKind::Strips => {
                let sheets = strip_sheets(plan, &marks(plan).sides, &stock);
                self.push_numbered(kind, Orientation::Landscape, "Strips", sheets, Body::Strips);
            }
            SheetKind::Reference => {
                if let Some(layout) = self.reference_layout()? {
                    let subject = self.subject(&self.shown, self.shown.outline, &self.shown.lines, "canvas");
                    self.push_true_size(kind, "", &self.shown.clone(), &subject, &layout);
                    self.reference = Some(layout);
                }
            }
            SheetKind::Details => {
                let shown = self.shown.clone();
                for (at, detail) in shown.details.iter().enumerate() {
                    let points = [detail.rect.centre()];
                    let layout =
                        SheetLayout::new(detail.rect, detail.rect, &stock, self.options.lap, &points)?;
                    let subject = self.subject(&shown, detail.rect.into(), &detail.lines, "box");
                    let prefix = format!("{}: ", detail.name);
                    let subject = Subject { family: Some(format!("Box {}", at + 1)), ..subject };
                    self.push_true_size(kind, &prefix, &shown, &subject, &layout);
                }
            }
            SheetKind::Film => {
                let mut scene = Scene::of(plan);
                // The whole grid, also where the photo leaves the canvas open.
                let whole = scene.outline.bounds();
                // Seams put by hand are those of the photo's sheets; and no face is on the film for a seam to run through.
                if scene.seams == Seams::BesideHead || scene.region != whole {
                    scene.seams = Seams::Fewest;
                }
                scene.region = whole;
                let layout = self.layout(&scene)?;
                let subject = Subject {
                    outline: scene.outline,
                    lines: scene.lines.clone(),
                    names_boxes: true,
                    // On clear film nothing is white.
                    look: LineLook { tone: LineTone::Dark, ..self.options.line_look },
                    photo: None,
                    notes: self.notes(true, "canvas", scene.figures_from),
                    mark: None,
                    steps: None,
                    family: Some("Film".to_owned()),
                    landmarks: self.landmarks(&scene),
                };
                self.push_true_size(kind, "", &scene, &subject, &layout);
            }
            // Crown and chin alone are told by the plan sheet.
            SheetKind::Plots if plan.landmarks.is_empty() => {}
            SheetKind::Plots => {
                let sheets = plot_sheets(plan, self.options.show, &stock);
                self.push_numbered(kind, Orientation::Portrait, "Plots", sheets, Body::Table);
            }
            SheetKind::Measures => {
                let sheets = measure_sheets(plan, &stock);
                self.push_numbered(kind, Orientation::Portrait, "Measures", sheets, Body::Table);
            }
            SheetKind::Proportions => {
                if let Some(sheet) = proportions_sheet(plan, self.options.focal_35mm, &stock) {
                    let label = "Proportions".to_owned();
                    self.push(kind, Orientation::Portrait, label, None, Body::Proportions(sheet));
                }
            }
            SheetKind::Bars => {
                let sheet = bars_sheet(plan, &stock);
                self.push(kind, Orientation::Portrait, "Scale bars".to_owned(), None, Body::Bars(sheet));
            }
            SheetKind::Card => {
                let sheet = card_sheet(&stock);
                self.push(kind, Orientation::Portrait, "Lens card".to_owned(), None, Body::Card(sheet));
            }
            // Made from a check, not from the plan alone.
            SheetKind::Check => {}
        }
        Ok(())
    }

    fn laid_out(self) -> Result<LaidOut, SheetsError> {
        let Self { options, sheets, summaries, reference, .. } = self;
        if sheets.is_empty() {
            return Err(SheetsError::Nothing);
        }
        let title = if options.title.trim().is_empty() { UNTITLED } else { &options.title };
        let data = PacketData {
            title: title.to_owned(),
            set_title: settable(title),
            date: options.date.map(|date| date.to_string()),
            sheets,
        };
        Ok(LaidOut { data, summaries, reference })
    }

    fn reference_layout(&self) -> Result<Option<SheetLayout>, SheetsError> {
        let covers = self.photo.is_some() && !self.plan.covered().corners.is_empty();
        covers.then(|| self.layout(&self.shown)).transpose()
    }

    /// Cuts what lies on the canvas, as it is shown, over sheets.
    fn layout(&self, scene: &Scene) -> Result<SheetLayout, SheetsError> {
        Ok(scene.layout(&self.stock, self.options.lap)?)
    }

    /// The photo with the grid of the canvas or of a detail box.
    fn subject(&self, scene: &Scene, outline: Quad, lines: &[GridLine], whole: &str) -> Subject {
        let PacketOptions { show, ratio, .. } = *self.options;
        let of_ratio = (!ratio.is_true_size()).then(|| {
            let setting = format!("{:.3}", ratio.setting());
            let setting = setting.trim_end_matches('0').trim_end_matches('.');
            let wide = if ratio < Ratio::TRUE_SIZE { "canvas" } else { "sheet" };
            format!("Not true size: {ratio}. Proportional dividers at {setting} to 1, the wide points on the {wide}.")
        });
        let words: Vec<String> = of_ratio.into_iter().chain(show.turned_words().map(str::to_owned)).collect();
        Subject {
            outline,
            lines: if self.options.lines { lines.to_vec() } else { Vec::new() },
            names_boxes: self.options.lines,
            look: self.options.line_look,
            photo: self.photo,
            notes: self.notes(self.options.lines, whole, scene.figures_from),
            mark: (!words.is_empty()).then(|| words.join(" ")),
            steps: self.photo.and(show.tone.steps()),
            family: None,
            landmarks: self.landmarks(scene),
        }
    }

    /// The landmarks that are marked on the sheets.
    fn landmarks(&self, scene: &Scene) -> Vec<CanvasPoint> {
        if self.options.landmarks { scene.landmarks.clone() } else { Vec::new() }
    }

    /// What every sheet of a scene says; with a grid, that its figures count from `whole`'s corner.
    fn notes(&self, lines: bool, whole: &str, (left, top): (&str, &str)) -> Vec<String> {
        let canvas = size_in_words(self.plan);
        let size = if self.options.correction.is_none() {
            format!("{canvas}. Print at actual size, measure the bars.")
        } else {
            let [across, along] = self.options.correction.bars_in_words(self.plan.unit);
            format!("{canvas}. Actual size, corrected for bars of {across} by {along}.")
        };
        let figures = format!("Figures at the edge: from the {whole}’s {left} and {top}.");
        if lines { vec![size, figures] } else { vec![size] }
    }

    /// The sheets of a layout that are not left out.
    fn printed<'l>(&self, kind: SheetKind, scene: &Scene, layout: &'l SheetLayout) -> Vec<&'l SheetWindow> {
        let all: Vec<&SheetWindow> = layout.sheets.iter().collect();
        if kind != SheetKind::Reference || !self.options.likeness_only {
            return all;
        }
        let shown: Vec<&SheetWindow> =
            layout.sheets.iter().filter(|sheet| scene.shows_likeness(layout, sheet)).collect();
        // Where nothing tells where the likeness is, every sheet may show it.
        if shown.is_empty() { all } else { shown }
    }

    /// Pushes the sheets of a layout.
    fn push_true_size(
        &mut self,
        kind: SheetKind,
        prefix: &str,
        scene: &Scene,
        subject: &Subject,
        layout: &SheetLayout,
    ) {
        let sheets = self.printed(kind, scene, layout);
        let count = sheets.len();
        for (number, window) in sheets.iter().enumerate() {
            let label = format!("{prefix}{}", subject.sheet_name(layout, window));
            let sheet =
                true_size_sheet(scene, self.plan.ruler, subject, &self.stock, (layout, &sheets), window);
            let name = format!("{label}, {} of {count}", number + 1);
            self.push(kind, layout.orientation, label, Some(name), Body::TrueSize(sheet));
        }
    }

    fn push_numbered<T>(
        &mut self,
        kind: SheetKind,
        orientation: Orientation,
        name: &str,
        sheets: Vec<T>,
        body: impl Fn(T) -> Body,
    ) {
        let count = sheets.len();
        for (number, sheet) in sheets.into_iter().enumerate() {
            let number = number + 1;
            let title = (count > 1).then(|| format!("sheet {number} of {count}"));
            self.push(kind, orientation, format!("{name} {number}"), title, body(sheet));
        }
    }

    fn push(
        &mut self,
        kind: SheetKind,
        orientation: Orientation,
        label: String,
        name: Option<String>,
        body: Body,
    ) {
        let (width, height) = self.stock.paper.size(orientation);
        let PacketOptions { show, ratio, .. } = *self.options;
        let group = match kind {
            SheetKind::Reference | SheetKind::Details => {
                let size = if ratio.is_true_size() { "true size".to_owned() } else { ratio.to_string() };
                let tone = show.tone_words().map_or_else(String::new, |words| format!(", {words}"));
                format!("{} at {size}{tone}", kind.title())
            }
            SheetKind::Film => format!("{} at true size", kind.title()),
            _ => kind.title().to_owned(),
        };
        let opens_group = self.summaries.last().is_none_or(|last| last.kind != kind);
        self.sheets.push(Sheet {
            width: width.to_mm(),
            height: height.to_mm(),
            group,
            opens_group,
            name,
            body,
        });
        self.summaries.push(SheetSummary { kind, label });
    }
}

/// The canvas as it is called: `Canvas 12 × 16 in`.
pub(crate) fn size_in_words(plan: &Plan) -> String {
    format!("Canvas {}", plan.canvas.nominal.in_unit(plan.unit).replace(" x ", " × "))
}

fn with_settable_names(plan: &Plan) -> Plan {
    let mut plan = plan.clone();
    for detail in &mut plan.details {
        detail.name = settable(&detail.name);
    }
    for landmark in &mut plan.landmarks {
        if let LandmarkName::Own(name) = &mut landmark.name {
            *name = settable(name);
        }
    }
    for measure in &mut plan.measures {
        measure.name = settable(&measure.name);
        for landmark in [&mut measure.from_landmark, &mut measure.to_landmark].into_iter().flatten() {
            if let LandmarkName::Own(name) = landmark {
                *name = settable(name);
            }
        }
    }
    plan.unit_measure = plan.unit_measure.as_deref().map(settable);
    plan
}

/// The text with a box for every character that the sheets' font has no glyph for: a PDF/A file may not show one.
fn settable(text: &str) -> String {
    let set = |character: char| match character {
        _ if character.is_whitespace() => ' ',
        _ if can_set(character) => character,
        _ => '□',
    };
    text.chars().map(set).collect()
}
