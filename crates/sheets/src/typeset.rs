//! From plain data to a PDF: Typst sets the sheets and writes an accessible PDF/A-2b, then the photo is put in.

use serde::Serialize;
use typst::diag::{SourceDiagnostic, Warned};
use typst::foundations::{Datetime, Smart};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use crate::amend::Amendments;
use crate::date::Date;
use crate::packet::SheetsError;
use crate::photo_stream::PhotoStream;
use crate::world::SheetWorld;

/// The templates; the first is the main file.
const TEMPLATES: &[(&str, &str)] = &[
    ("packet.typ", include_str!("../templates/packet.typ")),
    ("sheet.typ", include_str!("../templates/sheet.typ")),
    ("plan-sheet.typ", include_str!("../templates/plan-sheet.typ")),
    ("mark-up-sheet.typ", include_str!("../templates/mark-up-sheet.typ")),
    ("edge-strips.typ", include_str!("../templates/edge-strips.typ")),
    ("true-size-sheet.typ", include_str!("../templates/true-size-sheet.typ")),
    ("proportions-sheet.typ", include_str!("../templates/proportions-sheet.typ")),
    ("table-sheet.typ", include_str!("../templates/table-sheet.typ")),
    ("scale-bars.typ", include_str!("../templates/scale-bars.typ")),
    ("lens-card.typ", include_str!("../templates/lens-card.typ")),
    ("check-sheet.typ", include_str!("../templates/check-sheet.typ")),
];

/// Sets `data` with the templates. `labels` are the sheets' names for the viewer, one for each page.
pub(crate) fn typeset(
    data: &impl Serialize,
    photo: Option<&PhotoStream>,
    labels: &[String],
    date: Option<Date>,
) -> Result<Vec<u8>, SheetsError> {
    let stand_in = photo.map(PhotoStream::stand_in).transpose()?;
    let document = set(data, stand_in)?;
    let pdf = typst_pdf::pdf(&document, &pdf_options(date)?).map_err(told)?;
    Amendments { labels, photo }.apply(&pdf)
}

/// Sets `data` with the templates, `photo` being the picture file on the sheets.
pub(crate) fn set(data: &impl Serialize, photo: Option<Vec<u8>>) -> Result<PagedDocument, SheetsError> {
    let data = serde_json::to_vec(data).map_err(|error| SheetsError::Setting(error.to_string()))?;
    let files = [("packet.json", data)].into_iter().chain(photo.map(|photo| (PHOTO_FILE, photo)));
    let world = SheetWorld::new(TEMPLATES, files).map_err(|error| SheetsError::Setting(error.to_string()))?;
    let Warned { output, warnings } = typst::compile::<PagedDocument>(&world);
    // A warning is a fault in a template, such as a font that is not there; the tests let none pass.
    if cfg!(test) && !warnings.is_empty() {
        return Err(told(warnings));
    }
    typst::comemo::evict(PACKETS_REMEMBERED);
    output.map_err(told)
}

/// Typst remembers what it laid out, which makes the next packet of the same painting quicker. What no packet has used for
/// so many is forgotten, so that a program that runs for weeks does not grow.
const PACKETS_REMEMBERED: usize = 4;

const PHOTO_FILE: &str = "photo.jpg";

/// PDF/A-2b so that the packet prints alike in years to come; PDF/UA-1 so that a screen reader can read it and the
/// viewer shows its title.
fn pdf_options(date: Option<Date>) -> Result<PdfOptions, SheetsError> {
    let standards = PdfStandards::new(&[PdfStandard::A_2b, PdfStandard::Ua_1])
        .map_err(|error| SheetsError::Setting(error.message().to_string()))?;
    let timestamp = date
        .and_then(|date| Datetime::from_ymd_hms(date.year, date.month, date.day, 0, 0, 0))
        .map(Timestamp::new_utc);
    Ok(PdfOptions {
        standards,
        timestamp,
        creator: Smart::Custom(Some(concat!("Mahlstick ", env!("CARGO_PKG_VERSION")).to_owned())),
        ..PdfOptions::default()
    })
}

fn told(errors: impl IntoIterator<Item = SourceDiagnostic>) -> SheetsError {
    let messages: Vec<String> = errors.into_iter().map(|error| error.message.to_string()).collect();
    SheetsError::Setting(messages.join("; "))
}
