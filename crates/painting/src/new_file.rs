//! Writing new files and folders so that they appear whole or not at all.

use std::ffi::OsString;
use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};

use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};
use tempfile::{TempDir, TempPath};

use crate::checks;
use crate::document::Document;
use crate::error::Fault;
use crate::form::{self, STEPS};
use crate::history;
use crate::opening;
use crate::photos;

/// What to do with a file that is already there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum IfExists {
    /// Leave it as it is and fail.
    Refuse,
    /// Put the new one in its place, once the new one is whole.
    Replace,
}

/// What a new painting file holds.
#[derive(Clone, Copy, Debug)]
pub struct Contents<'a> {
    /// The painting as it is begun.
    pub document: &'a Document,
    /// The bytes of pictures, among them the photo that the document names.
    pub photos: &'a [&'a [u8]],
    /// Checks of the canvas, the first made first: the photo of each and what was measured in it, as JSON.
    pub checks: &'a [(&'a [u8], &'a str)],
}

/// Writes a new painting file.
pub(crate) fn write(file: &Path, contents: Contents<'_>, if_exists: IfExists) -> Result<(), Fault> {
    let Contents { document, photos, checks } = contents;
    write_with(file, if_exists, |connection| {
        let transaction = connection.transaction()?;
        form::advance(&transaction, 0, STEPS)?;
        for photo in photos {
            photos::put(&transaction, photo)?;
        }
        if let Some(photo) = document.photo {
            photos::require(&transaction, photo)?;
        }
        history::begin(&transaction, document)?;
        for (photo, result) in checks {
            checks::keep(&transaction, photo, result)?;
        }
        Ok(transaction.commit()?)
    })
}

/// Writes a new painting file that holds all that an open one holds.
pub(crate) fn write_copy(file: &Path, of: &Connection, if_exists: IfExists) -> Result<(), Fault> {
    write_with(file, if_exists, |connection| match Backup::new(of, connection)?.step(ALL_PAGES)? {
        StepResult::Done => Ok(()),
        _ => Err(Fault::InUse),
    })
}

/// Asks `SQLite`'s backup for all pages in one step, and so as they are at one moment.
const ALL_PAGES: i32 = -1;

fn write_with(
    file: &Path,
    if_exists: IfExists,
    fill: impl FnOnce(&mut Connection) -> Result<(), Fault>,
) -> Result<(), Fault> {
    if if_exists == IfExists::Refuse && file.symlink_metadata().is_ok() {
        return Err(Fault::Exists);
    }
    // SQLite would take this journal for the new file's, and play an old painting's pages into it.
    if beside(file, "-journal").symlink_metadata().is_ok() {
        return Err(Fault::Leftover);
    }
    // An absolute path, for the reason given where a file is opened.
    let file = &std::path::absolute(file)?;
    let folder = folder_of(file);
    // The draft lies in a folder of its own, so that a crash leaves neither a half file nor a journal beside the others.
    let draft = draft_folder(folder)?;
    let path = draft.path().join("draft");
    let mut connection = Connection::open(&path)?;
    opening::harden(&connection)?;
    // A draft is thrown away when anything goes wrong, so that its steps need no guard of their own: it is flushed once, when it is whole.
    connection.pragma_update(None, "journal_mode", "MEMORY")?;
    connection.pragma_update(None, "synchronous", "OFF")?;
    fill(&mut connection)?;
    connection.close().map_err(|(_, error)| error)?;
    File::options().write(true).open(&path)?.sync_all()?;
    let path = TempPath::try_from_path(path)?;
    match if_exists {
        IfExists::Refuse => path.persist_noclobber(file),
        IfExists::Replace => path.persist(file),
    }
    .map_err(|error| error.error)?;
    flush_folder(folder)?;
    Ok(())
}

/// A hidden folder for what is not yet whole, in `folder` so that what is in it can be moved out in one step. It is
/// taken away when dropped.
pub(crate) fn draft_folder(folder: &Path) -> Result<TempDir, Fault> {
    let draft = tempfile::Builder::new().prefix(".mahlstick-").tempdir_in(folder);
    draft.map_err(|error| match error.kind() {
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => Fault::NoFolder,
        _ => error.into(),
    })
}

/// The folder that a file or folder is in.
pub(crate) fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// Makes what was moved into or out of a folder survive a power cut, where folders can be flushed: Windows and some
/// network folders cannot.
pub(crate) fn flush_folder(folder: &Path) -> io::Result<()> {
    if cfg!(not(unix)) {
        return Ok(());
    }
    match File::open(folder)?.sync_all() {
        Err(error) if matches!(error.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => {
            Ok(())
        }
        flushed => flushed,
    }
}

fn beside(file: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(file);
    name.push(ending);
    name.into()
}
