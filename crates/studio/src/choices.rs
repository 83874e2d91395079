//! What the painter chose or did for one painting that is no part of its plan, and that undo knows nothing of: which marks are ticked
//! off, for which printer and with which sheets it is printed. Kept in the shelf's folder, so that every browser and the tablet
//! beside the canvas know of it.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::answer::Trouble;
use crate::kept_list::{self, LOOK_AT_THE_FOLDER};

/// The folder inside the shelf's that keeps them, a file for each painting.
const CHOICES_FOLDER: &str = "Choices";

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

/// One change after another: each is made on what the one before it kept.
static CHANGING: Mutex<()> = Mutex::new(());

fn place(shelf: &Path, painting: &str) -> (PathBuf, String) {
    (shelf.join(CHOICES_FOLDER), format!("{painting}.json"))
}

/// What was chosen for a painting of this shelf.
pub(crate) fn of(shelf: &Path, painting: &str) -> Chosen {
    let (folder, file) = place(shelf, painting);
    kept_list::read(&folder, &file)
}

/// Forgets what was chosen for a painting that is no more, whose name another one bears now.
pub(crate) fn forget(shelf: &Path, painting: &str) {
    let (folder, file) = place(shelf, painting);
    // Usually there is nothing to forget.
    let _ = fs::remove_file(folder.join(file));
}

/// Keeps what is chosen anew; gives all that is chosen then.
pub(crate) fn change(shelf: &Path, painting: &str, change: ChosenChange) -> Result<Chosen, Trouble> {
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
    let _one_at_a_time = CHANGING.lock().unwrap_or_else(PoisonError::into_inner);
    let (folder, file) = place(shelf, painting);
    let mut choices: Chosen = kept_list::read(&folder, &file);
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
    fs::create_dir_all(&folder).map_err(|error| {
        Trouble::refused(format!("This could not be kept: {error}. {LOOK_AT_THE_FOLDER}"))
    })?;
    kept_list::write(&folder, &file, &choices, "What you chose")?;
    Ok(choices)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_chosen_is_kept_part_by_part() {
        let shelf = tempfile::tempdir().unwrap();
        assert_eq!(of(shelf.path(), "a"), Chosen::default());
        let marks = |names: &[&str]| Some(names.iter().map(|&name| name.to_owned()).collect());
        let ticked = ChosenChange { tick: marks(&["top 3 in", "top 6 in"]), ..ChosenChange::default() };
        change(shelf.path(), "a", ticked).unwrap();
        let elsewhere = ChosenChange {
            tick: marks(&["left 4 in", "top 3 in"]),
            untick: marks(&["top 6 in"]),
            ..ChosenChange::default()
        };
        assert_eq!(change(shelf.path(), "a", elsewhere).unwrap().ticked, ["left 4 in", "top 3 in"]);
        let printer = ChosenChange { printer: Some("Inkjet".to_owned()), ..ChosenChange::default() };
        let both = change(shelf.path(), "a", printer).unwrap();
        assert_eq!((both.ticked.len(), both.printer.as_str(), &both.kinds), (2, "Inkjet", &None));
        assert_eq!(of(shelf.path(), "a"), both);
        assert_eq!(of(shelf.path(), "b"), Chosen::default());
        let long = ChosenChange { printer: Some("x".repeat(MAX_NAME_CHARS + 1)), ..ChosenChange::default() };
        assert!(change(shelf.path(), "a", long).is_err());
        assert_eq!(of(shelf.path(), "a"), both);
    }
}
