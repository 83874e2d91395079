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

/// What the file of this name keeps in a folder; nothing if there is no such file or it cannot be understood. Then it is put aside
/// under another name, so that what is kept next does not take its place.
pub(crate) fn read<T: DeserializeOwned + Default>(folder: &Path, file: &str) -> T {
    let path = folder.join(file);
    let Ok(metadata) = fs::metadata(&path) else { return T::default() };
    let text = (metadata.len() <= MAX_BYTES).then(|| fs::read(&path).ok()).flatten();
    let understood = text.and_then(|text| serde_json::from_slice(&text).ok());
    understood.unwrap_or_else(|| {
        let aside = folder.join(format!("{file}.{NOT_UNDERSTOOD}"));
        // The first that was put aside is the one that the painter may want back.
        if !aside.exists() {
            let _ = fs::rename(&path, aside);
        }
        T::default()
    })
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
    }
}
