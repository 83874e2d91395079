//! The form of the painting file: its tables, and how files of earlier forms are brought to the present one.

use rusqlite::{Connection, Transaction};

use crate::error::Fault;

/// Marks an `SQLite` file as a painting: `Mahl` in ASCII.
pub(crate) const APPLICATION_ID: i32 = i32::from_be_bytes(*b"Mahl");

/// The steps by which the form has grown: the first makes an empty file version 1, and each further one makes the
/// version before it into the next. A step that has been released is never changed.
pub(crate) const STEPS: &[&str] = &[
    include_str!("form/version_1.sql"),
    include_str!("form/version_2.sql"),
    include_str!("form/version_3.sql"),
];

/// Brings a file from version `from` to the version that `steps` lead to.
pub(crate) fn advance(transaction: &Transaction<'_>, from: usize, steps: &[&str]) -> Result<(), Fault> {
    for step in steps.iter().skip(from) {
        transaction.execute_batch(step)?;
    }
    transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
    transaction.pragma_update(None, "user_version", steps.len())?;
    Ok(())
}

/// The version of a file's form.
///
/// # Errors
/// When the file is no painting, or of a newer form than `steps` lead to.
pub(crate) fn version(connection: &Connection, steps: &[&str]) -> Result<usize, Fault> {
    let pragma = |name| connection.pragma_query_value(None, name, |row| row.get::<_, i32>(0));
    if pragma("application_id")? != APPLICATION_ID {
        return Err(Fault::NotAPainting);
    }
    match usize::try_from(pragma("user_version")?) {
        Ok(version) if version > steps.len() => Err(Fault::Newer),
        Ok(version) if version > 0 => Ok(version),
        _ => Err(Fault::Altered("no version".to_owned())),
    }
}

/// Checks that a file holds exactly the tables and indexes that Mahlstick made, word for word, and so no trigger, view
/// or rule of anyone else's.
pub(crate) fn require_own_tables(connection: &Connection, steps: &[&str]) -> Result<(), Fault> {
    let mut fresh = Connection::open_in_memory()?;
    let transaction = fresh.transaction()?;
    advance(&transaction, 0, steps)?;
    if tables(connection)? == tables(&transaction)? {
        Ok(())
    } else {
        Err(Fault::Altered("tables differ from those Mahlstick makes".to_owned()))
    }
}

/// A row of the table of tables: kind, name, the table it belongs to, and its definition.
type Definition = (String, String, String, Option<String>);

fn tables(connection: &Connection) -> Result<Vec<Definition>, Fault> {
    let mut query =
        connection.prepare("SELECT type, name, tbl_name, sql FROM sqlite_schema ORDER BY name, type")?;
    let rows = query.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}
