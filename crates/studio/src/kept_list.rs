//! Short lists and the like that are kept in the shelf's folder beside the paintings: printers, the lenses of phones, what was chosen
//! for a painting.

use std::fs;
use std::io::{self, Write};
use std::path::Path;

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::answer::Trouble;

/// What helps where a file in the shelf's folder cannot be written.
pub(crate) const LOOK_AT_THE_FOLDER: &str =
    "Look whether the paintings' folder can be written to and the disk has room.";

/// The largest file that is read: many times what the longest list takes.
const MAX_BYTES: u64 = 1024 * 1024;

/// What a file that cannot be understood is called from then on, behind its name.
const NOT_UNDERSTOOD: &str = "not-understood";

/// The most files of one name that are put aside: more than anyone looks through.
const MOST_ASIDE: u32 = 20;

/// What the file of this name keeps in a folder; nothing if there is no such file, it cannot be read at the moment, or it cannot be
/// understood. Then it is put aside under another name, so that what is kept next does not take its place.
pub(crate) fn read<T: DeserializeOwned + Default>(folder: &Path, file: &str) -> T {
    let path = folder.join(file);
    let Ok(metadata) = fs::metadata(&path) else { return T::default() };
    let understood = if metadata.len() <= MAX_BYTES {
        let Ok(text) = fs::read(&path) else { return T::default() };
        serde_json::from_slice(&text).ok()
    } else {
        None
    };
    understood.unwrap_or_else(|| {
        put_aside(folder, file);
        T::default()
    })
}

fn put_aside(folder: &Path, file: &str) {
    let numbered = |number: u32| match number {
        1 => folder.join(format!("{file}.{NOT_UNDERSTOOD}")),
        _ => folder.join(format!("{file}.{NOT_UNDERSTOOD}-{number}")),
    };
    // Those that were put aside before are ones that the painter may want back.
    if let Some(free) = (1..=MOST_ASIDE).map(numbered).find(|aside| !aside.exists()) {
        let _ = fs::rename(folder.join(file), free);
    }
}

/// Keeps it, whole or not at all; `what` names it in the message if it cannot be kept.
pub(crate) fn write<T: Serialize + ?Sized>(
    folder: &Path,
    file: &str,
    kept: &T,
    what: &str,
) -> Result<(), Trouble> {
    let text = serde_json::to_vec_pretty(kept).map_err(Trouble::own_fault)?;
    let write = || -> io::Result<()> {
        let mut new = tempfile::NamedTempFile::new_in(folder)?;
        new.write_all(&text)?;
        new.as_file().sync_all()?;
        new.persist(folder.join(file))?;
        Ok(())
    };
    write()
        .map_err(|error| Trouble::refused(format!("{what} could not be kept: {error}. {LOOK_AT_THE_FOLDER}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_that_cannot_be_understood_is_put_aside_before_another_takes_its_place() {
        let folder = tempfile::tempdir().unwrap();
        let broken = "[\"the good printer\",]";
        fs::write(folder.path().join("printers.json"), broken).unwrap();
        assert_eq!(read::<Vec<String>>(folder.path(), "printers.json"), Vec::<String>::new());
        write(folder.path(), "printers.json", &["another"], "The printer").unwrap();
        assert_eq!(read::<Vec<String>>(folder.path(), "printers.json"), ["another"]);
        let aside = folder.path().join("printers.json.not-understood");
        assert_eq!(fs::read_to_string(aside).unwrap(), broken);
        fs::write(folder.path().join("printers.json"), "{").unwrap();
        assert_eq!(read::<Vec<String>>(folder.path(), "printers.json"), Vec::<String>::new());
        let second = folder.path().join("printers.json.not-understood-2");
        assert_eq!(fs::read_to_string(second).unwrap(), "{");
    }
}
