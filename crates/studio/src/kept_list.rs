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

/// What the file of this name keeps in a folder; nothing if there is no such file or it cannot be read.
pub(crate) fn read<T: DeserializeOwned + Default>(folder: &Path, file: &str) -> T {
    let path = folder.join(file);
    let small = fs::metadata(&path).is_ok_and(|metadata| metadata.len() <= MAX_BYTES);
    let text = small.then(|| fs::read(&path).ok()).flatten();
    text.and_then(|text| serde_json::from_slice(&text).ok()).unwrap_or_default()
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
