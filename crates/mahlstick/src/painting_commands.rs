//! Painting files on the command line: making them, looking at them, and taking them apart.

use std::path::Path;

use painting::{Contents, Document, IfExists, Painting};
use photo::Photo;
use plan::{Plan, PrinterCorrection};
use serde_json::json;
use studio::view::View;

use crate::args::{NewArguments, PlanArguments, ShowArguments};
use crate::packet_command::{open_photo, photo_size};
use crate::plan_options::plan_of;
use crate::{Failure, print};

/// A plan with its photo, wherever it came from.
pub(crate) struct Planned {
    /// The painting's title, if it has one.
    pub(crate) title: Option<String>,
    /// The plan, checked.
    pub(crate) plan: Plan,
    /// The photo, if there is one.
    pub(crate) photo: Option<Photo>,
}

/// The plan in a painting file or, without one, the plan that the options describe.
pub(crate) fn planned(arguments: &PlanArguments, painting: Option<&Path>) -> Result<Planned, Failure> {
    let Some(file) = painting else {
        let photo = arguments.photo.as_deref().map(open_photo).transpose()?;
        let plan = plan_of(arguments, photo.as_ref().map(photo_size)).map_err(Failure::usage)?;
        return Ok(Planned { title: None, plan, photo });
    };
    planned_file(file)
}

/// The plan in a painting file.
pub(crate) fn planned_file(file: &Path) -> Result<Planned, Failure> {
    let painting = Painting::open_read_only(file)?;
    let Document { title, photo, plan } = painting.present()?.document;
    let photo = photo.map(|id| painting.photo(id)).transpose()?;
    let photo = photo.map(|bytes| Photo::from_bytes(bytes, "The photo in this painting")).transpose()?;
    Ok(Planned { title: Some(title).filter(|title| !title.is_empty()), plan, photo })
}

/// Makes a painting file.
pub(crate) fn new(arguments: &NewArguments) -> Result<(), Failure> {
    let photo = arguments.plan.photo.as_deref().map(open_photo).transpose()?;
    let plan = plan_of(&arguments.plan, photo.as_ref().map(photo_size)).map_err(Failure::usage)?;
    let name = || arguments.painting.file_stem().map(|stem| stem.to_string_lossy().into_owned());
    let title = arguments.title.clone().or_else(name).unwrap_or_default();
    let bytes = photo.as_ref().map(Photo::file_bytes);
    let document = Document { title, photo: bytes.map(painting::PhotoId::of), plan };
    let photos: Vec<&[u8]> = bytes.into_iter().collect();
    let contents = Contents { document: &document, photos: &photos, checks: &[] };
    Painting::write_new(&arguments.painting, contents, IfExists::Refuse)?;
    let view = View::of(&document.plan, sheets::FURNITURE, PrinterCorrection::NONE);
    Ok(print(format!("{}: made\n{}", arguments.painting.display(), notebook(&view)).as_bytes())?)
}

/// Says how things stand with a painting.
pub(crate) fn show(arguments: &ShowArguments) -> Result<(), Failure> {
    let painting = Painting::open_read_only(&arguments.painting)?;
    let present = painting.present()?;
    let document = &present.document;
    let view = View::of(&document.plan, sheets::FURNITURE, PrinterCorrection::NONE)
        .with_last_check(painting.last_check()?.as_ref(), &document.plan);
    let text = if arguments.json {
        let all = json!({ "title": document.title, "revision": present.revision, "plan": document.plan, "view": view });
        serde_json::to_string_pretty(&all)? + "\n"
    } else {
        format!("{}\n{}", document.title, notebook(&view))
    };
    Ok(print(text.as_bytes())?)
}

/// Writes a painting's plan and photo as plain files.
pub(crate) fn export(file: &Path, folder: &Path) -> Result<(), Failure> {
    Painting::open_read_only(file)?.export(folder)?;
    Ok(print(format!("{}: written\n", folder.display()).as_bytes())?)
}

/// Makes a painting file of an exported folder.
pub(crate) fn import(folder: &Path, file: &Path) -> Result<(), Failure> {
    painting::import(folder, file, IfExists::Refuse)?;
    Ok(print(format!("{}: made\n", file.display()).as_bytes())?)
}

/// The notebook's lines: `1 Reference: 3000 x 4000 pixels`.
fn notebook(view: &View) -> String {
    let numbered = view
        .notebook
        .iter()
        .enumerate()
        .map(|(at, line)| format!("{} {}: {}\n", at + 1, line.title, line.sentence));
    numbered.collect()
}
