//! `mahlstick packet`: one PDF with everything to be printed for a painting.

use std::cell::Cell;
use std::io::{IsTerminal, Write, stderr};
use std::ops::ControlFlow;
use std::path::Path;

use anyhow::Context;
use photo::Photo;
use plan::{
    Insets, Length, PhotoSize, Plan, PrinterCorrection, Ratio, Ruler, Seams, SheetLayout, Stock, Unit,
    parse_pair,
};
use sheets::{Date, Packet, PacketOptions, PhotoStream, SheetKind, SheetsError, Stage};

use crate::Failure;
use crate::args::{PacketArguments, PrintArguments};
use crate::output::write_whole;
use crate::painting_commands::{Planned, planned};
use crate::plan_options::{cautions, length};

/// Makes the packet that the options or the painting file describe and says what was written.
pub(crate) fn run(arguments: &PacketArguments) -> Result<(), Failure> {
    let Planned { title, mut plan, photo } = planned(&arguments.plan, arguments.painting.as_deref())?;
    if arguments.print.whole_head {
        plan.printing.seams = Seams::BesideHead;
    } else if arguments.print.fewest_sheets {
        plan.printing.seams = Seams::Fewest;
    }
    let name =
        || arguments.output.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let title = arguments.print.title.clone().or(title).unwrap_or_else(name);
    let mut options = packet_options(&arguments.print, &plan, title).map_err(Failure::usage)?;
    options.focal_35mm = photo.as_ref().and_then(|photo| photo.camera().focal_length_35mm);
    let dividers =
        arguments.print.dividers.as_deref().map(|text| length(text, plan.unit).context("--dividers"));
    let dividers = dividers.transpose().map_err(Failure::usage)?;
    write_packet(&plan, photo.as_ref(), &options, &arguments.output)?;
    if let Some(length) = dividers {
        crate::print(pivot(plan.ruler, options.ratio, length).as_bytes())?;
    }
    Ok(())
}

/// Where the pivot of proportional dividers of this length sits for a ratio.
fn pivot(ruler: Ruler, ratio: Ratio, length: Length) -> String {
    let (wide, narrow) = ratio.pivot(length);
    format!(
        "Dividers of {} for {ratio}: the pivot sits {} from the wide points and {} from the narrow ones\n",
        ruler.read(length),
        ruler.read(wide),
        ruler.read(narrow)
    )
}

/// Opens a photo of which only the header is read yet.
pub(crate) fn open_photo(path: &Path) -> Result<Photo, Failure> {
    Ok(Photo::open(path)?)
}

/// The size of the upright photo.
pub(crate) fn photo_size(photo: &Photo) -> PhotoSize {
    let photo::PhotoSize { width, height } = photo.size();
    PhotoSize { width, height }
}

/// Makes a packet, writes it and says what was written.
pub(crate) fn write_packet(
    plan: &Plan,
    photo: Option<&Photo>,
    options: &PacketOptions,
    path: &Path,
) -> Result<(), Failure> {
    let stream =
        photo.zip(plan.reference.as_ref()).zip(plan.placing()).map(|((photo, reference), placing)| {
            PhotoStream::shown(photo, reference, options.show.tone, placing.pixel())
        });
    let stream = stream.transpose()?;
    let progress = ProgressLine::default();
    let packet = sheets::packet(plan, stream.as_ref(), options, &|stage| progress.show(stage));
    progress.clear();
    let packet = packet.map_err(|error| match error {
        SheetsError::Plan(_) | SheetsError::Layout(_) | SheetsError::Nothing => Failure::usage(error),
        _ => error.into(),
    })?;
    write_whole(path, &packet.pdf)?;
    crate::print(report(plan, options, &packet, path).as_bytes())?;
    Ok(())
}

fn packet_options(arguments: &PrintArguments, plan: &Plan, title: String) -> anyhow::Result<PacketOptions> {
    let mut options = PacketOptions::of_plan(title, plan);
    if let Some(paper) = arguments.paper {
        options.paper = paper;
    }
    options.date = Some(today());
    if let Some(text) = &arguments.margin {
        options.margins = Insets::all(length(text, plan.unit).context("--margin")?);
    }
    if let Some(text) = &arguments.lap {
        options.lap = length(text, plan.unit).context("--lap")?;
    }
    if let Some(text) = &arguments.bars {
        options.correction = correction(text).context("--bars")?;
    }
    if !arguments.only.is_empty() {
        options.kinds.clone_from(&arguments.only);
    }
    options.lines &= !arguments.no_lines;
    options.likeness_only = arguments.likeness_only;
    options.landmarks = arguments.mark_landmarks;
    (options.show, options.ratio) = (arguments.show, arguments.ratio);
    Ok(options)
}

/// Today where the painter is.
pub(crate) fn today() -> Date {
    let date = jiff::Zoned::now().date();
    Date { year: date.year().into(), month: date.month().unsigned_abs(), day: date.day().unsigned_abs() }
}

/// Reads the measured bars: in inches they are the 4 in bars, in centimetres or millimetres the 100 mm bars.
fn correction(text: &str) -> anyhow::Result<PrinterCorrection> {
    let (across, along) = parse_pair(text, Some(Unit::Millimetre))?;
    Ok(PrinterCorrection::from_bars(
        PrinterCorrection::bar_as_metric(across),
        PrinterCorrection::bar_as_metric(along),
    )?)
}

/// What was written, how good it will be, and the one thing to remember.
fn report(plan: &Plan, options: &PacketOptions, packet: &Packet, path: &Path) -> String {
    let mut lines =
        vec![format!("{}: {} on {} paper", path.display(), sheets_in_words(packet), options.paper)];
    if let (Some(placing), Some(layout)) = (plan.placing(), &packet.reference) {
        let clearance = plan
            .head()
            .filter(|_| options.shows_canvas_as_it_is())
            .and_then(|head| layout.clearance_of_face(&head))
            .map_or(String::new(), |clearance| {
                format!(", no seam within {} of the face", plan.ruler.read(clearance))
            });
        let printed = packet.sheets.iter().filter(|sheet| sheet.kind == SheetKind::Reference).count();
        let left_out = match layout.sheets.len() - printed {
            0 => String::new(),
            background => format!(", {background} of background alone left out"),
        };
        lines.push(format!(
            "Reference at {}, {} x {} sheets{left_out}{clearance}; {}",
            if options.ratio.is_true_size() {
                "true size, 1:1".to_owned()
            } else {
                format!("{}, not true size", options.ratio)
            },
            layout.columns,
            layout.rows,
            placing.resolution().in_words(plan.unit)
        ));
    }
    if let Some(head) = plan.head() {
        lines.push(format!("Head {} from crown to chin", plan.ruler.read(head.height())));
    }
    if options.shows_canvas_as_it_is()
        && let Some(layout) = &packet.reference
    {
        lines.extend(seam_through_head(plan, options, layout));
        let through = plan.boxes_cut_by(layout);
        lines.extend(through.map(|detail| format!("A seam runs through the detail box “{}”.", detail.name)));
    }
    lines.extend(cautions(plan));
    lines.push("Print at actual size, then measure the scale bars: 100 mm and 4 in.".to_owned());
    lines.join("\n") + "\n"
}

/// The fewest sheets may have a seam through the head; it is told, with what would help.
fn seam_through_head(plan: &Plan, options: &PacketOptions, layout: &SheetLayout) -> Option<String> {
    let head = plan.head()?;
    let through = layout.through(&head)?;
    let mut beside = plan.clone();
    beside.printing.seams = Seams::BesideHead;
    beside.printing.lap = options.lap;
    let PacketOptions { paper, margins, lap, correction, .. } = *options;
    let stock = Stock { paper, margins, furniture: sheets::FURNITURE, correction };
    let help = match beside.sheet_layout(&stock, lap) {
        Ok(kept) if kept.through(&head).is_none() => {
            format!("With --whole-head none does, and the reference takes {} sheets.", kept.sheets.len())
        }
        _ if let Some(lap) = beside.lap_beside_head(&stock) => {
            let lap = plan.ruler.told(lap);
            format!("With --whole-head --lap \"{lap}\" none does.")
        }
        _ => format!("The head does not fit on one sheet of {paper} paper: a larger one would hold it."),
    };
    Some(format!("A seam runs through {}. {help}", through.in_words()))
}

/// How many sheets of each kind: `9 sheets (1 plan, 4 reference, …)`.
fn sheets_in_words(packet: &Packet) -> String {
    let total = packet.sheets.len();
    let kinds = SheetKind::ALL.into_iter().filter_map(|kind| {
        let count = packet.sheets.iter().filter(|sheet| sheet.kind == kind).count();
        (count > 0).then(|| format!("{count} {kind}"))
    });
    let noun = if total == 1 { "sheet" } else { "sheets" };
    format!("{total} {noun} ({})", kinds.collect::<Vec<_>>().join(", "))
}

/// A line on the terminal that says what is being done; nothing where no one looks.
#[derive(Default)]
struct ProgressLine {
    shown: Cell<bool>,
}

impl ProgressLine {
    fn show(&self, stage: Stage) -> ControlFlow<()> {
        if stderr().is_terminal() {
            let doing = match stage {
                Stage::LayingOut => "Laying out the sheets".to_owned(),
                Stage::Drawing { sheets: 1 } => "Drawing the sheet".to_owned(),
                Stage::Drawing { sheets } => format!("Drawing {sheets} sheets"),
            };
            let _ = write!(stderr(), "\r\x1b[K{doing} …");
            self.shown.set(true);
        }
        ControlFlow::Continue(())
    }

    fn clear(&self) {
        if self.shown.get() {
            let _ = write!(stderr(), "\r\x1b[K");
        }
    }
}
