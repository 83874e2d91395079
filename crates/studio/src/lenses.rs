//! The lenses of the painter's phones, measured once each on a photo of the lens card.

use std::path::Path;
use std::sync::Mutex;

use check::KnownLens;
use serde::{Deserialize, Serialize};

use crate::answer::Trouble;
use crate::kept_list;
use crate::lock::locked;

/// The file in the shelf's folder that keeps the lenses.
const LENSES_FILE: &str = "lenses.json";

/// The most lenses kept; no painter has more phones.
const MAX_LENSES: usize = 16;

/// The most characters of a phone's name.
const MAX_NAME_CHARS: usize = 60;

/// A phone and its lens.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct PhoneLens {
    /// What the painter calls the phone.
    pub(crate) name: String,
    /// Its lens.
    pub(crate) lens: KnownLens,
}

/// The lenses kept in a folder; none if there is no such file or it cannot be read.
pub(crate) fn lenses(folder: &Path) -> Vec<PhoneLens> {
    kept_list::read(folder, LENSES_FILE)
}

/// One change after another: each is made on what the one before it kept.
static CHANGING: Mutex<()> = Mutex::new(());

/// Keeps a lens, in place of one of the same name.
pub(crate) fn keep(folder: &Path, name: &str, lens: KnownLens) -> Result<(), Trouble> {
    let name = name.trim();
    if name.is_empty() || name.chars().count() > MAX_NAME_CHARS {
        return Err(Trouble::refused(format!("A phone's name has from 1 to {MAX_NAME_CHARS} characters.")));
    }
    let _one_at_a_time = locked(&CHANGING);
    let mut all = lenses(folder);
    all.retain(|kept| kept.name != name);
    if all.len() >= MAX_LENSES {
        return Err(Trouble::refused(format!("At most {MAX_LENSES} lenses are kept. Forget one first.")));
    }
    all.push(PhoneLens { name: name.to_owned(), lens });
    write(folder, &all)
}

/// Forgets a lens; one that is not kept is forgotten already.
pub(crate) fn forget(folder: &Path, name: &str) -> Result<(), Trouble> {
    let _one_at_a_time = locked(&CHANGING);
    let mut all = lenses(folder);
    all.retain(|kept| kept.name != name);
    write(folder, &all)
}

fn write(folder: &Path, lenses: &[PhoneLens]) -> Result<(), Trouble> {
    kept_list::write(folder, LENSES_FILE, lenses, "The lens")
}

#[cfg(test)]
mod tests {
    use super::*;
    use check::Lens;

    #[test]
    fn a_lens_is_kept_by_its_name_and_forgotten() {
        let folder = tempfile::tempdir().unwrap();
        let lens =
            |k1: f64| KnownLens { lens: Lens { k1, k2: 0.0 }, k1_sd: 0.001, k2_sd: 0.001, focal: None };
        keep(folder.path(), "Mine", lens(0.01)).unwrap();
        keep(folder.path(), " Mine ", lens(0.02)).unwrap();
        keep(folder.path(), "Hers", lens(0.03)).unwrap();
        let names: Vec<_> =
            lenses(folder.path()).into_iter().map(|kept| (kept.name, kept.lens.lens.k1)).collect();
        assert_eq!(names, [("Mine".to_owned(), 0.02), ("Hers".to_owned(), 0.03)]);
        forget(folder.path(), "Mine").unwrap();
        assert_eq!(lenses(folder.path()).len(), 1);
        assert!(keep(folder.path(), "  ", lens(0.0)).is_err());
        std::fs::write(folder.path().join(LENSES_FILE), "nonsense").unwrap();
        assert!(lenses(folder.path()).is_empty());
    }
}
