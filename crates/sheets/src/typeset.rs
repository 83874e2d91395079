//! From plain data to a PDF: Typst sets the sheets and writes an accessible PDF/A-2b, then the photo is put in.

use serde::Serialize;
use typst::diag::SourceDiagnostic;
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
    ("scale-bars.typ", include_str!("../templates/scale-bars.typ")),
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
    typst::compile::<PagedDocument>(&world).output.map_err(told)
}

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
