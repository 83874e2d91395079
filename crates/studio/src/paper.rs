//! Paper: the packet as the studio prints it, and the printers whose error the painter has measured.

use std::ops::ControlFlow;
use std::path::Path;

use check::Report;
use painting::Document;
use photo::Photo;
use plan::{Length, PrinterCorrection, Ratio, Unit};
use serde::{Deserialize, Serialize};
use sheets::{Date, Packet, PacketOptions, PhotoStream, SheetKind, SheetPicture, Show, Stage};
use utoipa::{IntoParams, ToSchema};

use crate::answer::Trouble;
use crate::choices::Chosen;
use crate::kept_list;

/// The file in the shelf's folder that keeps the printers.
const PRINTERS_FILE: &str = "printers.json";

/// The most printers kept; no studio has more.
const MAX_PRINTERS: usize = 32;

/// The most characters of a printer's name.
const MAX_NAME_CHARS: usize = 60;

/// A printer, with the two 100 mm bars as they were measured on its prints.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub(crate) struct Printer {
    /// What the painter calls it.
    pub(crate) name: String,
    /// The bar across the paper held upright, as typed.
    pub(crate) across: String,
    /// The bar along it, as typed.
    pub(crate) along: String,
}

impl Printer {
    fn correction(&self) -> Result<PrinterCorrection, Trouble> {
        let read = |text: &str| -> Result<Length, Trouble> {
            let stated = Length::parse(text, Some(Unit::Millimetre)).map_err(Trouble::refused)?;
            Ok(PrinterCorrection::bar_as_metric(stated))
        };
        PrinterCorrection::from_bars(read(&self.across)?, read(&self.along)?).map_err(Trouble::refused)
    }
}

/// The printers kept in a folder; none if there is no such file or it cannot be read.
pub(crate) fn printers(folder: &Path) -> Vec<Printer> {
    kept_list::read(folder, PRINTERS_FILE)
}

/// The error of the printer that is chosen; none where it is one that prints true, or is no longer known.
pub(crate) fn correction_of(folder: &Path, chosen: &Chosen) -> PrinterCorrection {
    let printers = printers(folder);
    let printer = called(&printers, chosen.printer());
    printer.and_then(|printer| printer.correction().ok()).unwrap_or_default()
}

/// The printer of that name.
pub(crate) fn called<'all>(printers: &'all [Printer], name: &str) -> Option<&'all Printer> {
    printers.iter().find(|printer| printer.name == name)
}

/// Keeps the printers, after checking that their bars are those of a printer.
pub(crate) fn keep_printers(folder: &Path, printers: &[Printer]) -> Result<(), Trouble> {
    if printers.len() > MAX_PRINTERS {
        return Err(Trouble::refused(format!("At most {MAX_PRINTERS} printers are kept. Forget one first.")));
    }
    for printer in printers {
        if printer.name.trim().is_empty() || printer.name.chars().count() > MAX_NAME_CHARS {
            return Err(Trouble::refused(format!(
                "A printer's name has from 1 to {MAX_NAME_CHARS} characters."
            )));
        }
        printer.correction()?;
    }
    kept_list::write(folder, PRINTERS_FILE, printers, "The printers")
}

/// What of the packet is asked for.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct Wish {
    /// The kinds of sheets, separated by commas; all of them if not said.
    pub(crate) kinds: Option<String>,
    /// The printer's name; one that prints true if not said.
    pub(crate) printer: Option<String>,
    /// How reference and detail sheets show the photo, as the command's `--show`: `values:5,mirror`; as it is if not said.
    pub(crate) show: Option<String>,
    /// The size of reference and detail sheets to the canvas's, as the command's `--ratio`: `1:2`; true size if not said.
    pub(crate) ratio: Option<String>,
    /// Whether the landmarks are marked on reference, detail and film sheets; not if not said.
    pub(crate) landmarks: Option<bool>,
    /// Whether reference sheets that show background alone are left out; not if not said.
    pub(crate) likeness_only: Option<bool>,
}

impl Wish {
    /// How the photo is shown.
    pub(crate) fn show(&self) -> Result<Show, Trouble> {
        self.show.as_deref().map_or(Ok(Show::default()), str::parse).map_err(Trouble::refused)
    }

    fn ratio(&self) -> Result<Ratio, Trouble> {
        self.ratio.as_deref().map_or(Ok(Ratio::TRUE_SIZE), str::parse).map_err(Trouble::refused)
    }
}

/// Makes the packet of a painting. `progress` is told what is being done and may stop it.
pub(crate) fn packet(
    document: &Document,
    photo: Option<&Photo>,
    printers: &[Printer],
    wish: &Wish,
    progress: &dyn Fn(Stage) -> ControlFlow<()>,
) -> Result<Packet, Trouble> {
    let mut options = options(document, printers, wish)?;
    options.focal_35mm = photo.and_then(|photo| photo.camera().focal_length_35mm);
    let reference = photo.zip(document.plan.reference.as_ref()).zip(document.plan.placing());
    let stream = reference.map(|((photo, reference), placing)| {
        PhotoStream::shown(photo, reference, options.show.tone, placing.pixel())
    });
    let stream = stream.transpose()?;
    sheets::packet(&document.plan, stream.as_ref(), &options, progress).map_err(Trouble::refused)
}

/// Pictures of the sheets that the packet would have. `small` is the picture on the canvas as a JPEG for the screen,
/// `focal_35mm` the focal length that the photo tells.
pub(crate) fn pictures(
    document: &Document,
    small: Option<Vec<u8>>,
    focal_35mm: Option<f64>,
    printers: &[Printer],
    wish: &Wish,
) -> Result<Vec<SheetPicture>, Trouble> {
    let options = PacketOptions { focal_35mm, ..options(document, printers, wish)? };
    sheets::sheet_pictures(&document.plan, small, &options).map_err(Trouble::refused)
}

/// Makes the check sheet: `picture` is the canvas as it was photographed, squared up, as a JPEG.
pub(crate) fn check_sheet(
    document: &Document,
    report: &Report,
    picture: Vec<u8>,
    printers: &[Printer],
    printer: Option<String>,
    progress: &dyn Fn(Stage) -> ControlFlow<()>,
) -> Result<Packet, Trouble> {
    let options = options(document, printers, &Wish { printer, ..Wish::default() })?;
    let stream = PhotoStream::of(&Photo::from_bytes(picture, "The squared-up photo")?)?;
    sheets::check_packet(report, &document.plan, Some(&stream), &options, progress).map_err(Trouble::refused)
}

fn options(document: &Document, printers: &[Printer], wish: &Wish) -> Result<PacketOptions, Trouble> {
    let mut options = PacketOptions::of_plan(document.title.clone(), &document.plan);
    let today = jiff::Zoned::now().date();
    options.date = Some(Date {
        year: today.year().into(),
        month: today.month().unsigned_abs(),
        day: today.day().unsigned_abs(),
    });
    (options.show, options.ratio) = (wish.show()?, wish.ratio()?);
    options.likeness_only = wish.likeness_only.unwrap_or(false);
    options.landmarks = wish.landmarks.unwrap_or(false);
    if let Some(kinds) = &wish.kinds {
        let kinds: Result<Vec<SheetKind>, _> =
            kinds.split(',').filter(|kind| !kind.is_empty()).map(str::parse).collect();
        options.kinds = kinds.map_err(Trouble::refused)?;
    }
    if let Some(name) = wish.printer.as_ref().filter(|name| !name.is_empty()) {
        let printer = called(printers, name)
            .ok_or_else(|| Trouble::refused(format!("There is no printer called “{name}” any more.")))?;
        options.correction = printer.correction()?;
    }
    Ok(options)
}
