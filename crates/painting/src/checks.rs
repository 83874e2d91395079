//! Checks of the canvas: each a photo of it with what was measured in it, kept beside the history. Undo leaves them.

use std::time::SystemTime;

use rusqlite::Connection;

use crate::error::Fault;
use crate::history::{now, time};
use crate::photos::{self, PhotoId};

/// The most checks kept in one painting: one a day for three years. Their list is read whole.
pub const MAX_CHECKS: i64 = 1_000;

/// The most bytes of one result: several times that of the finest grid with every detail box it may have.
pub const MAX_RESULT_BYTES: usize = 1024 * 1024;

/// A check that was kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptCheck {
    /// The photo of the canvas.
    pub photo: PhotoId,
    /// When it was kept, by this computer's clock.
    pub made_at: SystemTime,
    /// What was measured, as JSON, as it was given.
    pub result: String,
}

/// Puts a check in, with its photo.
pub(crate) fn keep(connection: &Connection, photo: &[u8], result: &str) -> Result<PhotoId, Fault> {
    if result.len() > MAX_RESULT_BYTES {
        return Err(Fault::CheckTooLarge);
    }
    let count: i64 = connection.query_row("SELECT count(*) FROM canvas_check", [], |row| row.get(0))?;
    if count >= MAX_CHECKS {
        return Err(Fault::ChecksFull);
    }
    let photo = photos::put(connection, photo)?;
    connection.execute(
        "INSERT INTO canvas_check (photo, made_at, result) VALUES (?1, ?2, ?3)",
        (photo, now(), result),
    )?;
    Ok(photo)
}

/// All checks, the oldest first. A file of the first form, opened to be looked at, has no place for any.
pub(crate) fn all(connection: &Connection) -> Result<Vec<KeptCheck>, Fault> {
    if !has_place(connection)? {
        return Ok(Vec::new());
    }
    let mut query = connection.prepare(
        "SELECT photo, made_at, iif(octet_length(result) <= ?1, result, NULL) FROM canvas_check
         ORDER BY number LIMIT ?2",
    )?;
    let rows = query.query_map((MAX_RESULT_BYTES, MAX_CHECKS), |row| {
        Ok(KeptCheck { photo: row.get(0)?, made_at: time(row.get(1)?), result: row.get(2)? })
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

fn has_place(connection: &Connection) -> Result<bool, Fault> {
    Ok(connection.table_exists(None, "canvas_check")?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::portrait::Studio;

    #[test]
    fn checks_are_kept_with_their_photos_in_their_order_and_undo_leaves_them() {
        let studio = Studio::new();
        let mut painting = studio.open();
        let before = painting.present().unwrap();
        let first = painting.keep_check(b"a photo of the canvas", "{\"lines\":[]}").unwrap();
        painting.keep_check(b"another", "{\"lines\":[1]}").unwrap();
        assert_eq!(painting.present().unwrap(), before);
        drop(painting);
        let painting = studio.open();
        let kept = painting.checks().unwrap();
        assert_eq!(
            kept.iter().map(|check| check.result.as_str()).collect::<Vec<_>>(),
            ["{\"lines\":[]}", "{\"lines\":[1]}"]
        );
        assert_eq!(kept[0].photo, first);
        assert_eq!(painting.photo(first).unwrap(), b"a photo of the canvas");
        assert!(kept[0].made_at <= kept[1].made_at && kept[1].made_at <= SystemTime::now());
    }

    #[test]
    fn a_result_that_is_too_large_is_refused_and_its_photo_with_it() {
        let studio = Studio::new();
        let mut painting = studio.open();
        let fault = painting.keep_check(b"canvas", &"9".repeat(MAX_RESULT_BYTES + 1)).unwrap_err().fault;
        assert_eq!(fault, Fault::CheckTooLarge);
        assert_eq!(painting.photo(PhotoId::of(b"canvas")).unwrap_err().fault, Fault::NoSuchPhoto);
        assert!(painting.checks().unwrap().is_empty());
    }

    #[test]
    fn no_more_checks_are_kept_than_can_be_listed() {
        let connection = Connection::open_in_memory().unwrap();
        connection.execute_batch(include_str!("form/version_1.sql")).unwrap();
        connection.execute_batch(include_str!("form/version_2.sql")).unwrap();
        for _ in 0..MAX_CHECKS {
            keep(&connection, b"canvas", "{}").unwrap();
        }
        assert_eq!(keep(&connection, b"canvas", "{}"), Err(Fault::ChecksFull));
        assert_eq!(all(&connection).unwrap().len(), MAX_CHECKS as usize);
    }
}
