//! What the painter chose or did for one painting that is no part of its plan, and that undo knows nothing of: which marks are
//! ticked off, for which printer and with which sheets it is printed. Kept in the painting's file, so that it goes where
//! that goes, and every browser and the tablet beside the canvas know of it.

use std::fs;
use std::path::{Path, PathBuf};

use painting::{Painting, PaintingError};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::answer::Trouble;

/// The name under which they are kept in the painting's file.
const KEPT_AS: &str = "choices";

/// The folder inside the shelf's where earlier versions kept them, a file for each painting.
const FORMER_FOLDER: &str = "Choices";

/// Where what is kept under that name and not understood goes before something else takes its place.
const NOT_UNDERSTOOD: &str = "choices, not understood";

/// The most marks ticked off: twice those of the finest grid with the most detail boxes.
const MAX_TICKED: usize = 4000;

/// The most kinds of sheet named.
const MAX_KINDS: usize = 32;

/// The most characters of a mark's or a printer's name.
const MAX_NAME_CHARS: usize = 120;

/// What was chosen for one painting.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(default)]
pub(crate) struct Chosen {
    /// The marks ticked off, as the page names them: by side and reading.
    ticked: Vec<String>,
    /// The printer's name; blank for one that prints true.
    printer: String,
    /// The kinds of sheet that are printed; `None` until the painter chooses.
    kinds: Option<Vec<String>>,
}

impl Chosen {
    /// The printer's name; blank for one that prints true.
    pub(crate) fn printer(&self) -> &str {
        &self.printer
    }
}

/// What is chosen anew.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
pub(crate) struct ChosenChange {
    /// Marks that are ticked off now. They join those that were ticked elsewhere meanwhile.
    tick: Option<Vec<String>>,
    /// Marks that are ticked off no longer.
    untick: Option<Vec<String>>,
    /// The printer's name; blank for one that prints true.
    printer: Option<String>,
    /// The kinds of sheet that are printed.
    kinds: Option<Vec<String>>,
}

/// Where earlier versions kept them for a painting of this shelf.
fn former(shelf: &Path, painting: &str) -> PathBuf {
    shelf.join(FORMER_FOLDER).join(format!("{painting}.json"))
}

/// What was chosen for a painting.
pub(crate) fn of(painting: &Painting) -> Result<Chosen, PaintingError> {
    // What another version wrote and this one does not understand is no reason not to open the painting.
    Ok(painting.beside(KEPT_AS)?.and_then(|text| understood(&text)).unwrap_or_default())
}

fn understood(text: &str) -> Option<Chosen> {
    serde_json::from_str(text).ok()
}

/// Takes over what an earlier version kept outside the painting's file, if there is anything and the file has nothing yet.
pub(crate) fn take_over(shelf: &Path, id: &str, painting: &mut Painting) -> Result<(), PaintingError> {
    // What cannot be read or understood now is left where it lies.
    let Ok(text) = fs::read_to_string(former(shelf, id)) else { return Ok(()) };
    if painting.beside(KEPT_AS)?.is_none()
        && let Some(chosen) = understood(&text)
    {
        keep(painting, &chosen)?;
        forget(shelf, id);
    }
    Ok(())
}

/// Forgets what an earlier version kept for a painting that is no more, whose name another one bears now.
pub(crate) fn forget(shelf: &Path, id: &str) {
    // Usually there is nothing to forget.
    let _ = fs::remove_file(former(shelf, id));
}

fn keep(painting: &mut Painting, chosen: &Chosen) -> Result<(), PaintingError> {
    let text = serde_json::to_string(chosen).unwrap_or_default();
    painting.keep_beside(KEPT_AS, &text)
}

/// Keeps what is chosen anew; gives all that is chosen then.
pub(crate) fn change(painting: &mut Painting, change: ChosenChange) -> Result<Chosen, Trouble> {
    let long = |names: &[String], most: usize| {
        names.len() > most || names.iter().any(|name| name.chars().count() > MAX_NAME_CHARS)
    };
    if long(change.tick.as_deref().unwrap_or_default(), MAX_TICKED)
        || long(change.untick.as_deref().unwrap_or_default(), MAX_TICKED)
        || long(change.kinds.as_deref().unwrap_or_default(), MAX_KINDS)
        || long(change.printer.as_slice(), 1)
    {
        return Err(Trouble::refused("So much cannot be kept beside a painting."));
    }
    let kept = painting.beside(KEPT_AS)?;
    let mut choices = match kept.as_deref().map(|text| (text, understood(text))) {
        Some((_, Some(choices))) => choices,
        Some((text, None)) => {
            painting.keep_beside(NOT_UNDERSTOOD, text)?;
            Chosen::default()
        }
        None => Chosen::default(),
    };
    let (tick, untick) = (change.tick.unwrap_or_default(), change.untick.unwrap_or_default());
    choices.ticked.retain(|mark| !untick.contains(mark) && !tick.contains(mark));
    choices.ticked.extend(tick);
    if choices.ticked.len() > MAX_TICKED {
        // Marks of a plan that has long changed go first.
        choices.ticked.drain(..choices.ticked.len() - MAX_TICKED);
    }
    if let Some(printer) = change.printer {
        choices.printer = printer;
    }
    if change.kinds.is_some() {
        choices.kinds = change.kinds;
    }
    keep(painting, &choices)?;
    Ok(choices)
}

#[cfg(test)]
mod tests {
    use super::*;
    use painting::{Document, IfExists};
    use plan::{Canvas, Length, Plan, Unit};

    /// A painting on a shelf of its own, and the shelf.
    fn shelf() -> (tempfile::TempDir, Painting) {
        let shelf = tempfile::tempdir().unwrap();
        let plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(16.0)), Unit::Inch);
        let document = Document { title: "Ticks".to_owned(), photo: None, plan };
        let file = shelf.path().join("ticks.mahlstick");
        let painting = Painting::create(&file, &document, &[], IfExists::Refuse).unwrap();
        (shelf, painting)
    }

    #[test]
    fn what_is_chosen_is_kept_part_by_part() {
        let (_shelf, mut painting) = shelf();
        assert_eq!(of(&painting).unwrap(), Chosen::default());
        let marks = |names: &[&str]| Some(names.iter().map(|&name| name.to_owned()).collect());
        let ticked = ChosenChange { tick: marks(&["top 3 in", "top 6 in"]), ..ChosenChange::default() };
        change(&mut painting, ticked).unwrap();
        let elsewhere = ChosenChange {
            tick: marks(&["left 4 in", "top 3 in"]),
            untick: marks(&["top 6 in"]),
            ..ChosenChange::default()
        };
        assert_eq!(change(&mut painting, elsewhere).unwrap().ticked, ["left 4 in", "top 3 in"]);
        let printer = ChosenChange { printer: Some("Inkjet".to_owned()), ..ChosenChange::default() };
        let all = change(&mut painting, printer).unwrap();
        assert_eq!((all.ticked.len(), all.printer.as_str(), &all.kinds), (2, "Inkjet", &None));
        let long = ChosenChange { printer: Some("x".repeat(MAX_NAME_CHARS + 1)), ..ChosenChange::default() };
        assert!(change(&mut painting, long).is_err());
        assert_eq!(of(&painting).unwrap(), all);
    }

    #[test]
    fn what_another_version_kept_and_this_one_does_not_understand_is_put_aside() {
        let (_shelf, mut painting) = shelf();
        painting.keep_beside(KEPT_AS, r#"{"ticked": {"top": 3}}"#).unwrap();
        let printer = ChosenChange { printer: Some("Inkjet".to_owned()), ..ChosenChange::default() };
        assert_eq!(change(&mut painting, printer).unwrap().printer, "Inkjet");
        assert_eq!(painting.beside(NOT_UNDERSTOOD).unwrap().as_deref(), Some(r#"{"ticked": {"top": 3}}"#));
    }

    #[test]
    fn what_an_earlier_version_kept_beside_the_file_is_taken_into_it_once() {
        let (shelf, mut painting) = shelf();
        let former = former(shelf.path(), "one");
        fs::create_dir_all(former.parent().unwrap()).unwrap();
        fs::write(&former, "{").unwrap();
        take_over(shelf.path(), "one", &mut painting).unwrap();
        assert!(former.exists(), "what is not understood stays");
        assert_eq!(of(&painting).unwrap(), Chosen::default());
        fs::write(&former, r#"{"ticked": ["top 3 in"], "printer": "", "kinds": null}"#).unwrap();
        take_over(shelf.path(), "one", &mut painting).unwrap();
        assert_eq!(of(&painting).unwrap().ticked, ["top 3 in"]);
        assert!(!former.exists());
        // What the file has itself is not given up for what lies about.
        fs::write(&former, r#"{"ticked": ["left 1 in"]}"#).unwrap();
        take_over(shelf.path(), "one", &mut painting).unwrap();
        assert_eq!(of(&painting).unwrap().ticked, ["top 3 in"]);
    }
}
