//! The packet: which sheets a plan needs, in order, and the PDF that holds them.

use std::ops::ControlFlow;

use plan::{
    GridLine, Insets, LandmarkName, LayoutError, Length, Orientation, Paper, Plan, PlanError,
    PrinterCorrection, Printing, Quad, Ratio, SheetLayout, Stock, marks,
};
use serde::Serialize;
use thiserror::Error;

use crate::bars_sheet::{BarsSheet, bars_sheet};
use crate::card_sheet::{CardSheet, card_sheet};
use crate::check_sheet::{self, CheckSheet};
use crate::date::Date;
use crate::edge_strips::{StripSheet, strip_sheets};
use crate::furniture::FURNITURE;
use crate::kind::SheetKind;
use crate::likeness_sheets::{TableSheet, measure_sheets, plot_sheets};
use crate::mark_up::{MarkUpSheet, mark_up_sheets};
use crate::paper::PaperRect;
use crate::photo_stream::{PhotoStream, Stored};
use crate::plan_sheet::{PlanSheet, plan_sheet};
use crate::scene::Scene;
use crate::show::Show;
use crate::true_size::{Subject, TrueSizeSheet, true_size_sheet};
use crate::typeset::typeset;
use crate::world::can_set;

/// What a painter may choose about a packet, beyond the plan itself.
#[derive(Clone, Debug, PartialEq)]
pub struct PacketOptions {
    /// The painting's title, as it stands on every sheet.
    pub title: String,
    /// The day on the sheets and in the file; without one the sheets bear none.
    pub date: Option<Date>,
    /// The paper.
    pub paper: Paper,
    /// What the printer leaves blank, with the paper held upright.
    pub margins: Insets,
    /// How much of the picture two neighbouring sheets both show.
    pub lap: Length,
    /// The printer's error, if the painter measured it.
    pub correction: PrinterCorrection,
    /// Whether the grid is drawn over the photo.
    pub lines: bool,
    /// How the reference is shown on reference and detail sheets. The photo handed over has this tone already, see
    /// [`PhotoStream::shown`].
    pub show: Show,
    /// The size of reference and detail sheets to the canvas's, for a canvas too large to print.
    pub ratio: Ratio,
    /// The kinds of sheets to make, in any order.
    pub kinds: Vec<SheetKind>,
}

impl PacketOptions {
    /// All usual sheets on this paper, with usual margins and lap, for a printer that prints true.
    pub fn new(title: impl Into<String>, paper: Paper) -> Self {
        Self {
            title: title.into(),
            date: None,
            paper,
            margins: Insets::all(Printing::USUAL_MARGIN),
            lap: Printing::USUAL_LAP,
            correction: PrinterCorrection::NONE,
            lines: true,
            show: Show::default(),
            ratio: Ratio::TRUE_SIZE,
            kinds: SheetKind::ALL.into_iter().filter(|kind| kind.is_usual()).collect(),
        }
    }

    /// All usual sheets as a plan says they are printed, for a printer that prints true.
    pub fn of_plan(title: impl Into<String>, plan: &Plan) -> Self {
        let Printing { paper, margin, lap, lines, .. } = plan.printing;
        Self { margins: Insets::all(margin), lap, lines, ..Self::new(title, paper) }
    }

    pub(crate) fn prints(&self, kind: SheetKind) -> bool {
        self.kinds.contains(&kind)
    }
}

/// A finished packet.
#[derive(Clone, Debug)]
pub struct Packet {
    /// The PDF file.
    pub pdf: Vec<u8>,
    /// Its pages in order.
    pub sheets: Vec<SheetSummary>,
    /// How the reference sheets are laid over the canvas, if there are any.
    pub reference: Option<SheetLayout>,
}

/// One page of a packet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetSummary {
    /// What it is.
    pub kind: SheetKind,
    /// Its name among the pages, such as `B2`; it is the page's label in a viewer.
    pub label: String,
}

/// What is being done, for a line of progress.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// The sheets are being laid out.
    LayingOut,
    /// So many sheets are being drawn and set.
    Drawing {
        /// The number of sheets.
        sheets: usize,
    },
}

/// Why there is no packet.
#[derive(Debug, Error)]
pub enum SheetsError {
    /// The plan cannot be carried out.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The canvas cannot be cut over this paper.
    #[error(transparent)]
    Layout(#[from] LayoutError),
    /// The photo is not the one that was planned with.
    #[error(
        "The photo is {} x {} pixels, but the plan was made with one of {} x {}. Plan again with this photo.",
        .given.0, .given.1, .planned.0, .planned.1
    )]
    OtherPhoto {
        /// Width and height of the photo given.
        given: (u32, u32),
        /// Width and height of the photo in the plan.
        planned: (u32, u32),
    },
    /// None of the kinds asked for has a sheet.
    #[error(
        "None of the sheets asked for can be made from this plan. Detail sheets need a detail box, reference sheets a photo, plots landmarks and measures measures."
    )]
    Nothing,
    /// The painter stopped it.
    #[error("Stopped. Nothing was written.")]
    Stopped,
    /// The sheets could not be set: a fault of this program.
    #[error("The sheets could not be set ({0}). This is a fault in Mahlstick: please report it.")]
    Setting(String),
}

/// Makes the packet of a plan. Without a photo there are no reference sheets, and detail sheets show their grid alone.
/// `progress` is told what is being done and may stop it.
///
/// The same input gives the same bytes.
///
/// # Errors
/// See [`SheetsError`].
pub fn packet(
    plan: &Plan,
    photo: Option<&PhotoStream>,
    options: &PacketOptions,
    progress: &dyn Fn(Stage) -> ControlFlow<()>,
) -> Result<Packet, SheetsError> {
    plan.check()?;
    if let (Some(photo), Some(reference)) = (photo, &plan.reference) {
        let (given, planned) = (photo.stored().upright_size(), reference.size());
        if given != planned {
            let (given, planned) = ((given.width, given.height), (planned.width, planned.height));
            return Err(SheetsError::OtherPhoto { given, planned });
        }
    }
    go_on(progress(Stage::LayingOut))?;
    let laid_out = lay_out(plan, photo.map(PhotoStream::stored), options)?;
    finished(laid_out, photo, options, progress)
}

/// The sheets of a packet as plain data, not yet set.
pub(crate) struct LaidOut {
    /// What the templates read.
    pub(crate) data: PacketData,
    /// The pages in order.
    pub(crate) summaries: Vec<SheetSummary>,
    reference: Option<SheetLayout>,
}

/// Lays out every sheet asked for.
pub(crate) fn lay_out(
    plan: &Plan,
    photo: Option<Stored>,
    options: &PacketOptions,
) -> Result<LaidOut, SheetsError> {
    let plan = &with_settable_names(plan);
    let mut builder = Builder::new(plan, photo, options, stock(options)?);
    for kind in SheetKind::ALL {
        if options.prints(kind) {
            builder.add(kind)?;
        }
    }
    builder.laid_out()
}

/// The sheets of a check: `lay` lays out the sheet with its picture, and the pages of its table.
pub(crate) fn of_check(
    plan: &Plan,
    options: &PacketOptions,
    picture: Option<&PhotoStream>,
    lay: impl FnOnce(&Stock) -> (CheckSheet, Vec<TableSheet>),
    progress: &dyn Fn(Stage) -> ControlFlow<()>,
) -> Result<Packet, SheetsError> {
    let stock = stock(options)?;
    let (sheet, table) = lay(&stock);
    let mut builder = Builder::new(plan, None, options, stock);
    let kind = check_sheet::KIND;
    builder.push(kind, Orientation::Portrait, "Check".to_owned(), None, Body::Check(sheet));
    builder.push_numbered(kind, Orientation::Portrait, "Lines", table, Body::Table);
    let laid_out = builder.laid_out()?;
    finished(laid_out, picture, options, progress)
}

fn finished(
    LaidOut { data, summaries, reference }: LaidOut,
    photo: Option<&PhotoStream>,
    options: &PacketOptions,
    progress: &dyn Fn(Stage) -> ControlFlow<()>,
) -> Result<Packet, SheetsError> {
    go_on(progress(Stage::Drawing { sheets: summaries.len() }))?;
    let labels: Vec<String> = summaries.iter().map(|sheet| sheet.label.clone()).collect();
    let pdf = typeset(&data, photo, &labels, options.date)?;
    Ok(Packet { pdf, sheets: summaries, reference })
}

/// The least width and height that the margins must leave of the paper held upright, in mm: room for the level scale bar
/// with what stands beside it, and for the upright one.
const LEAST_PRINTABLE: (f64, f64) = (175.0, 190.0);

fn stock(options: &PacketOptions) -> Result<Stock, LayoutError> {
    let PacketOptions { paper, margins, correction, .. } = *options;
    let insets = [margins.top, margins.right, margins.bottom, margins.left];
    if !insets.iter().all(|inset| inset.is_finite() && *inset >= Length::ZERO) {
        return Err(LayoutError::NegativeInset);
    }
    let printable = PaperRect::sheet(paper, Orientation::Portrait).inside(margins);
    if printable.width < LEAST_PRINTABLE.0 || printable.height < LEAST_PRINTABLE.1 {
        return Err(LayoutError::NoRoom { paper });
    }
    Ok(Stock { paper, margins, furniture: FURNITURE, correction })
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
                let sheet = plan_sheet(plan, self.photo, layout.as_ref(), self.options, &stock);
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
                for detail in &shown.details {
                    let points = [detail.rect.centre()];
                    let layout =
                        SheetLayout::new(detail.rect, detail.rect, &stock, self.options.lap, &points)?;
                    let subject = self.subject(&shown, detail.rect.into(), &detail.lines, "box");
                    self.push_true_size(kind, &format!("{} ", detail.name), &shown, &subject, &layout);
                }
            }
            SheetKind::Film => {
                let scene = Scene::of(plan);
                let layout = self.layout(&scene)?;
                let subject = Subject {
                    outline: scene.outline,
                    lines: scene.lines.clone(),
                    photo: None,
                    notes: self.notes(true, "canvas", scene.figures_from),
                    mark: None,
                    steps: None,
                };
                self.push_true_size(kind, "Film ", &scene, &subject, &layout);
            }
            // Crown and chin alone are told by the plan sheet.
            SheetKind::Plots if plan.landmarks.is_empty() => {}
            SheetKind::Plots => {
                let sheets = plot_sheets(plan, &stock);
                self.push_numbered(kind, Orientation::Portrait, "Plots", sheets, Body::Table);
            }
            SheetKind::Measures => {
                let sheets = measure_sheets(plan, &stock);
                self.push_numbered(kind, Orientation::Portrait, "Measures", sheets, Body::Table);
            }
            SheetKind::Bars => {
                let sheet = bars_sheet(plan, &stock);
                self.push(kind, Orientation::Portrait, "Bars".to_owned(), None, Body::Bars(sheet));
            }
            SheetKind::Card => {
                let sheet = card_sheet(&stock);
                self.push(kind, Orientation::Portrait, "Card".to_owned(), None, Body::Card(sheet));
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
            photo: self.photo,
            notes: self.notes(self.options.lines, whole, scene.figures_from),
            mark: (!words.is_empty()).then(|| words.join(" ")),
            steps: self.photo.and(show.tone.steps()),
        }
    }

    /// What every sheet of a scene says; with a grid, that its figures count from `whole`'s corner.
    fn notes(&self, lines: bool, whole: &str, (left, top): (&str, &str)) -> Vec<String> {
        let (across, along) = self.options.correction.bars();
        let size = if self.options.correction.is_none() {
            "Print at actual size, then measure the bars.".to_owned()
        } else {
            format!("Actual size, corrected for bars of {:.1} × {:.1} mm.", across.to_mm(), along.to_mm())
        };
        let figures = format!("Figures at the edge: from the {whole}’s {left} and {top}.");
        if lines { vec![size, figures] } else { vec![size] }
    }

    fn push_true_size(
        &mut self,
        kind: SheetKind,
        prefix: &str,
        scene: &Scene,
        subject: &Subject,
        layout: &SheetLayout,
    ) {
        let count = layout.sheets.len();
        for (number, window) in layout.sheets.iter().enumerate() {
            let sheet = true_size_sheet(scene, self.plan.ruler, subject, &self.stock, layout, window);
            let label = format!("{prefix}{}", window.name());
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
        let group = match kind {
            SheetKind::Reference | SheetKind::Details if !self.options.ratio.is_true_size() => {
                format!("{} at {}", kind.title(), self.options.ratio)
            }
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

pub(crate) fn go_on(flow: ControlFlow<()>) -> Result<(), SheetsError> {
    if flow.is_break() { Err(SheetsError::Stopped) } else { Ok(()) }
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
