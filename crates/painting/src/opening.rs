//! Opening a painting file as if a stranger had sent it: nothing in it is trusted, and nothing about it is changed,
//! before it has shown that it is a painting.

use std::fmt::Write as _;
use std::path::Path;
use std::time::{Duration, Instant};

use rusqlite::config::DbConfig;
use rusqlite::limits::Limit;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};

use crate::error::Fault;
use crate::form;
use crate::history;
use crate::photos::MAX_PHOTO_BYTES;

/// How long to wait for another program to finish with the file: an edit takes milliseconds, so this is a stuck disk.
pub(crate) const BUSY_TIME: Duration = Duration::from_secs(5);

/// How long looking through a file may take: a gigabyte from a slow disk.
const CHECK_TIME: Duration = Duration::from_mins(1);

/// Between two looks at the clock, in steps of `SQLite`'s machine, or in pages of 4 KiB where it looks for damage.
const STEPS_BETWEEN_LOOKS: i32 = 1_000;

/// The most bytes of one row: a photo and what stands beside it.
#[expect(clippy::cast_possible_wrap, reason = "far below 2^31")]
const MAX_ROW_BYTES: i32 = MAX_PHOTO_BYTES as i32 + 1024;

/// The most bytes of one statement, and so of a table's definition: several times the longest of ours.
const MAX_STATEMENT_BYTES: i32 = 16 * 1024;

/// What the painting is opened for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum For {
    /// To be looked at.
    Reading,
    /// To be changed.
    Editing,
}

/// Opens a painting file.
pub(crate) fn open(file: &Path, purpose: For, steps: &[&str]) -> Result<Connection, Fault> {
    let metadata = std::fs::metadata(file)?;
    if !metadata.is_file() || metadata.len() == 0 {
        return Err(Fault::NotAPainting);
    }
    // An absolute path, because SQLite reads a meaning into names such as “:memory:” and “file:…”.
    let file = std::path::absolute(file)?;
    glance(&file)?;

    // SQLite falls back to reading where the file cannot be written. Also a painting that is only to be looked at is
    // opened for writing where possible: after a crash, SQLite first takes back the edit that was cut short.
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut connection = Connection::open_with_flags(&file, flags)?;
    let version = within(CHECK_TIME, &mut connection, |connection| {
        harden(connection)?;
        connection.pragma_update(None, "query_only", true)?;
        look_through(connection, purpose, steps)
    })?;
    if purpose == For::Editing {
        if connection.is_readonly("main")? {
            return Err(Fault::ReadOnly);
        }
        connection.pragma_update(None, "query_only", false)?;
    }
    // To be looked at, a file of an earlier form is left as it is: what reads them knows what earlier forms lack.
    if purpose == For::Editing && version < steps.len() {
        bring_up_to_date(&mut connection, steps)?;
    }
    Ok(connection)
}

/// Settings for a connection to any file, before anything is read from it.
pub(crate) fn harden(connection: &Connection) -> Result<(), Fault> {
    connection.busy_timeout(BUSY_TIME)?;
    connection.set_limit(Limit::SQLITE_LIMIT_LENGTH, MAX_ROW_BYTES)?;
    connection.set_limit(Limit::SQLITE_LIMIT_SQL_LENGTH, MAX_STATEMENT_BYTES)?;
    connection.set_limit(Limit::SQLITE_LIMIT_ATTACHED, 0)?;
    for (setting, on) in [
        (DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true),
        (DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false),
        (DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, false),
        (DbConfig::SQLITE_DBCONFIG_ENABLE_VIEW, false),
        (DbConfig::SQLITE_DBCONFIG_ENABLE_FKEY, true),
        // Should what shows a file to be in write-ahead form slip through, closing it must not write either.
        (DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true),
    ] {
        connection.set_db_config(setting, on)?;
    }
    connection.pragma_update(None, "cell_size_check", true)?;
    connection.pragma_update(None, "temp_store", "memory")?;
    // An edit is on the disk before it counts as made: EXTRA is FULL, and also flushes the folder once the journal is
    // gone, so that a power cut cannot bring the journal back and with it undo an edit that was acknowledged.
    connection.pragma_update(None, "synchronous", "extra")?;
    // On macOS a plain flush leaves the bytes in the disk's own memory.
    connection.pragma_update(None, "fullfsync", true)?;
    Ok(())
}

/// Looks whether a file claims to be a painting, without locks and so without touching it or anything beside it: a file
/// of another program may have a journal that `SQLite` would play back, or be in write-ahead form, in which `SQLite` makes
/// two files beside it even to read it.
///
/// `SQLite` itself is asked because closing a file that this process has open elsewhere would drop its locks there.
fn glance(file: &Path) -> Result<(), Fault> {
    match application_id(file, "nolock=1") {
        // Its last change was cut short; look at it as it lies there.
        Err(Fault::Unfinished) => claim(application_id(file, "immutable=1")),
        outcome => claim(outcome),
    }
}

fn claim(application_id: Result<i32, Fault>) -> Result<(), Fault> {
    match application_id {
        // Perhaps it is not damaged, but another program is in the middle of an edit: a look under locks will tell.
        Ok(form::APPLICATION_ID) | Err(Fault::Damaged(_)) => Ok(()),
        Ok(_) => Err(Fault::NotAPainting),
        Err(fault) => Err(fault),
    }
}

fn application_id(file: &Path, how: &str) -> Result<i32, Fault> {
    let flags =
        OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(uri(file, how), flags)?;
    connection.pragma_query_value(None, "application_id", |row| row.get(0)).map_err(|error| {
        match Fault::from(error) {
            // The file itself was opened above: what cannot be is a write-ahead log, without locks.
            Fault::NotAllowed => Fault::Altered("write-ahead form".to_owned()),
            fault => fault,
        }
    })
}

/// The file's name as `SQLite` reads it with settings behind it.
fn uri(file: &Path, settings: &str) -> String {
    let mut uri = "file:".to_owned();
    let name = file.as_os_str().as_encoded_bytes();
    if !name.starts_with(b"/") {
        uri.push('/');
    }
    for byte in name {
        match byte {
            b'/' => uri.push('/'),
            b'\\' if cfg!(windows) => uri.push('/'),
            // Writing to a String does not fail.
            _ => drop(write!(uri, "%{byte:02X}")),
        }
    }
    uri.push('?');
    uri + settings
}

/// Runs `look`, and stops `SQLite` when `time` is over.
fn within<T>(
    time: Duration,
    connection: &mut Connection,
    look: impl FnOnce(&Connection) -> Result<T, Fault>,
) -> Result<T, Fault> {
    let end = Instant::now() + time;
    connection.progress_handler(STEPS_BETWEEN_LOOKS, Some(move || Instant::now() > end))?;
    let outcome = look(connection);
    connection.progress_handler(0, None::<fn() -> bool>)?;
    outcome
}

/// Checks all that is to be trusted later, at one moment; returns the version of the file's form.
fn look_through(connection: &Connection, purpose: For, steps: &[&str]) -> Result<usize, Fault> {
    let moment = connection.unchecked_transaction()?;
    let version = form::version(&moment, steps)?;
    form::require_own_tables(&moment, &steps[..version])?;
    // Every page is read, which takes a second for a gigabyte: before an edit, so that none is built on a damaged file,
    // but not for each look. What a look comes upon, it checks.
    if purpose == For::Editing {
        let verdict: String = moment.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
        if verdict != "ok" {
            return Err(Fault::Damaged(verdict));
        }
    }
    history::standing(&moment)?;
    require_whole(&moment)?;
    Ok(version)
}

/// Checks that the file goes to the end of its last page: `SQLite` fills up what is missing of one, and an empty table reads
/// well from it.
fn require_whole(connection: &Connection) -> Result<(), Fault> {
    let pragma = |name| connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let bytes = u64::try_from(pragma("page_count")?.saturating_mul(pragma("page_size")?)).unwrap_or(u64::MAX);
    match connection.path() {
        Some(file) if std::fs::metadata(file)?.len() < bytes => {
            Err(Fault::Damaged("it breaks off".to_owned()))
        }
        _ => Ok(()),
    }
}

/// Brings a file of an earlier form to the present one.
fn bring_up_to_date(connection: &mut Connection, steps: &[&str]) -> Result<(), Fault> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Asked again under the lock: another program may have done it in the meantime.
    let version = form::version(&transaction, steps)?;
    form::advance(&transaction, version, steps)?;
    history::standing(&transaction)?;
    transaction.commit()?;
    Ok(())
}

#[cfg(test)]
mod tests;
