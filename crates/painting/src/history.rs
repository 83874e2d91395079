//! The history of a painting: every edit a row, and which row is the present.
//!
//! Edits form a tree, since an edit made after an undo leaves the undone ones where they were. Undo goes to the edit
//! that the present one follows; redo goes to the latest of those that follow the present one, which is the line the
//! painter was on last: an older line could only be reached again through a redo that the later edit has taken over.

use std::time::{Duration, SystemTime, UNIX_EPOCH};

use rusqlite::{Connection, OptionalExtension, Row};
use serde::{Deserialize, Serialize};

use crate::document::{Document, MAX_DOCUMENT_BYTES};
use crate::error::Fault;

/// The most edits in one file: one every ten seconds, eight hours a day, for a month. The list of them is read whole,
/// which at this length takes a quarter of a second. Nothing is ever taken out to stay below.
pub const MAX_EDITS: i64 = 100_000;

/// A label is cut to this many characters: it is one line in a list.
pub const MAX_LABEL_CHARS: usize = 100;

/// A longer label is not one of ours: a character of UTF-8 has at most four bytes.
const MAX_LABEL_BYTES: usize = 4 * MAX_LABEL_CHARS;

/// Counts the changes of a painting: every edit, undo and redo raises it by one. Whoever changes a painting says which
/// revision the change starts from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Revision(pub(crate) i64);

/// A painting as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Present {
    /// The revision that the next change has to start from.
    pub revision: Revision,
    /// The painting.
    pub document: Document,
    /// The label of the edit that undo would take back.
    pub undo: Option<String>,
    /// The label of the edit that redo would bring back.
    pub redo: Option<String>,
}

/// One edit on the line from the beginning of a painting to the last edit that redo reaches.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What was done.
    pub label: String,
    /// When, by this computer's clock.
    pub made_at: SystemTime,
    /// Where it stands.
    pub state: StepState,
}

/// Where an edit stands in the line of edits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum StepState {
    /// Before the present.
    Past,
    /// The edit that led to the present.
    Present,
    /// Undone, and within reach of redo.
    Undone,
}

/// The painting as it stands, with the rows around it.
pub(crate) struct Standing {
    pub(crate) present: Present,
    pub(crate) edit: i64,
    pub(crate) follows: Option<i64>,
    pub(crate) next: Option<i64>,
}

/// Reads how the painting stands, in one statement and so at one moment.
pub(crate) fn standing(connection: &Connection) -> Result<Standing, Fault> {
    let mut query = connection.prepare(
        "SELECT present.revision, edit.number, edit.follows, next.number,
                iif(octet_length(edit.label) <= :label, edit.label, NULL),
                iif(octet_length(next.label) <= :label, next.label, NULL),
                iif(octet_length(edit.document) <= :document, edit.document, NULL)
         FROM present
         JOIN edit ON edit.number = present.edit
         LEFT JOIN edit AS next ON next.number = (SELECT max(number) FROM edit WHERE follows = present.edit)",
    )?;
    let limits = rusqlite::named_params! { ":label": MAX_LABEL_BYTES, ":document": MAX_DOCUMENT_BYTES };
    query.query_row(limits, |row| Ok(read_standing(row)))?
}

fn read_standing(row: &Row<'_>) -> Result<Standing, Fault> {
    let follows: Option<i64> = row.get(2)?;
    let undo = if follows.is_some() { Some(row.get(4)?) } else { None };
    let next: Option<i64> = row.get(3)?;
    let redo = if next.is_some() { Some(row.get(5)?) } else { None };
    let document = Document::read(&row.get::<_, String>(6)?)?;
    let present = Present { revision: Revision(row.get(0)?), document, undo, redo };
    Ok(Standing { present, edit: row.get(1)?, follows, next })
}

/// The revision alone: cheap enough to ask often.
pub(crate) fn revision(connection: &Connection) -> Result<Revision, Fault> {
    Ok(Revision(connection.query_row("SELECT revision FROM present", [], |row| row.get(0))?))
}

/// Writes the first edit of a new file.
pub(crate) fn begin(connection: &Connection, document: &Document) -> Result<(), Fault> {
    let edit = add(connection, None, "Begun", document)?;
    connection.execute("INSERT INTO present (only_row, revision, edit) VALUES (1, 1, ?1)", [edit])?;
    Ok(())
}

/// Adds an edit that follows another; it is not yet the present.
pub(crate) fn add(
    connection: &Connection,
    follows: Option<i64>,
    label: &str,
    document: &Document,
) -> Result<i64, Fault> {
    let last: i64 =
        connection.query_row("SELECT coalesce(max(number), 0) FROM edit", [], |row| row.get(0))?;
    if last >= MAX_EDITS {
        return Err(Fault::HistoryFull);
    }
    connection.execute(
        "INSERT INTO edit (number, follows, label, made_at, document) VALUES (?1, ?2, ?3, ?4, ?5)",
        (last + 1, follows, cut(label), now(), document.write()?),
    )?;
    Ok(last + 1)
}

/// Writes an edit anew: the same gesture, further on.
pub(crate) fn rewrite(
    connection: &Connection,
    edit: i64,
    label: &str,
    document: &Document,
) -> Result<(), Fault> {
    connection.execute(
        "UPDATE edit SET label = ?2, made_at = ?3, document = ?4 WHERE number = ?1",
        (edit, cut(label), now(), document.write()?),
    )?;
    Ok(())
}

/// Makes an edit the present, as the next revision.
pub(crate) fn stand_at(connection: &Connection, edit: i64, after: Revision) -> Result<Revision, Fault> {
    let next = after.0.checked_add(1).ok_or_else(|| Fault::Damaged("revision".to_owned()))?;
    connection.execute("UPDATE present SET revision = ?1, edit = ?2", (next, edit))?;
    Ok(Revision(next))
}

/// The line of edits through the present one, from the first to the last that redo reaches.
pub(crate) fn line(connection: &Connection) -> Result<Vec<Step>, Fault> {
    let mut query = connection.prepare(
        "WITH RECURSIVE
         past (number, follows) AS (
             SELECT number, follows FROM edit WHERE number = (SELECT edit FROM present)
             UNION ALL
             SELECT edit.number, edit.follows FROM past
             JOIN edit ON edit.number = past.follows AND edit.number < past.number),
         undone (number) AS (
             SELECT max(number) FROM edit WHERE follows = (SELECT edit FROM present)
             UNION ALL
             SELECT (SELECT max(number) FROM edit WHERE follows = undone.number AND number > undone.number)
             FROM undone WHERE undone.number IS NOT NULL)
         SELECT number, made_at, iif(octet_length(label) <= :label, label, NULL), (SELECT edit FROM present)
         FROM edit WHERE number IN (SELECT number FROM past UNION ALL SELECT number FROM undone)
         ORDER BY number",
    )?;
    let rows = query.query_map(rusqlite::named_params! { ":label": MAX_LABEL_BYTES }, |row| {
        let (number, present): (i64, i64) = (row.get(0)?, row.get(3)?);
        let state = match number.cmp(&present) {
            std::cmp::Ordering::Less => StepState::Past,
            std::cmp::Ordering::Equal => StepState::Present,
            std::cmp::Ordering::Greater => StepState::Undone,
        };
        Ok(Step { label: row.get(2)?, made_at: time(row.get(1)?), state })
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Checks that an edit can be gone to: that it is there and its document reads.
pub(crate) fn require_readable(connection: &Connection, edit: i64) -> Result<(), Fault> {
    let document: Option<String> = connection
        .query_row(
            "SELECT document FROM edit WHERE number = ?1 AND octet_length(document) <= ?2",
            (edit, MAX_DOCUMENT_BYTES),
            |row| row.get(0),
        )
        .optional()?;
    let document = document.ok_or_else(|| Fault::Damaged("an edit is missing or too large".to_owned()))?;
    Document::read(&document).map(drop)
}

fn cut(label: &str) -> String {
    label.chars().take(MAX_LABEL_CHARS).collect()
}

/// Milliseconds since 1970-01-01 00:00 UTC; 0 on a computer whose clock is set before that.
pub(crate) fn now() -> i64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    i64::try_from(since.as_millis()).unwrap_or(i64::MAX)
}

/// The time that [`now`] wrote; a time that no clock tells is taken as the beginning of time.
pub(crate) fn time(milliseconds: i64) -> SystemTime {
    let since = Duration::from_millis(u64::try_from(milliseconds).unwrap_or(0));
    UNIX_EPOCH.checked_add(since).unwrap_or(UNIX_EPOCH)
}
