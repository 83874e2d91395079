//! Checks of the canvas: each a photo of it with what was measured in it, kept beside the history. Undo leaves them.

use std::time::SystemTime;

use rusqlite::{Connection, OptionalExtension};

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
    /// Its number, by which it is asked for. That of one which was taken out is not given again.
    pub number: i64,
    /// The photo of the canvas.
    pub photo: PhotoId,
    /// When it was kept, by this computer's clock.
    pub made_at: SystemTime,
    /// What was measured, as JSON, as it was given.
    pub result: String,
}

/// Puts a check in, with its photo, and gives its number.
pub(crate) fn keep(connection: &Connection, photo: &[u8], result: &str) -> Result<i64, Fault> {
    require_small(result)?;
    let count: i64 = connection.query_row("SELECT count(*) FROM canvas_check", [], |row| row.get(0))?;
    if count >= MAX_CHECKS {
        return Err(Fault::ChecksFull);
    }
    let photo = photos::put(connection, photo)?;
    connection.execute(
        "INSERT INTO canvas_check (photo, made_at, result) VALUES (?1, ?2, ?3)",
        (photo, now(), result),
    )?;
    Ok(connection.last_insert_rowid())
}

/// Puts another result in the place of a check's own; its photo and its time stay.
pub(crate) fn replace(connection: &Connection, number: i64, result: &str) -> Result<(), Fault> {
    require_small(result)?;
    let changed =
        connection.execute("UPDATE canvas_check SET result = ?2 WHERE number = ?1", (number, result))?;
    if changed == 1 { Ok(()) } else { Err(Fault::NoSuchCheck) }
}

/// Takes a check out, and its photo with it unless something else needs it: another check, or an edit that undo may reach.
pub(crate) fn remove(connection: &Connection, number: i64) -> Result<(), Fault> {
    let photo: Option<PhotoId> = connection
        .query_row("DELETE FROM canvas_check WHERE number = ?1 RETURNING photo", [number], |row| row.get(0))
        .optional()?;
    let photo = photo.ok_or(Fault::NoSuchCheck)?;
    connection.execute(
        "DELETE FROM photo WHERE id = ?1
         AND NOT EXISTS (SELECT 1 FROM canvas_check WHERE photo = ?1)
         AND NOT EXISTS (SELECT 1 FROM edit WHERE instr(document, ?1) > 0)",
        [photo],
    )?;
    Ok(())
}

const fn require_small(result: &str) -> Result<(), Fault> {
    if result.len() > MAX_RESULT_BYTES { Err(Fault::CheckTooLarge) } else { Ok(()) }
}

/// One check.
pub(crate) fn one(connection: &Connection, number: i64) -> Result<KeptCheck, Fault> {
    some(connection, "WHERE number = ?3", Some(number))?.pop().ok_or(Fault::NoSuchCheck)
}

/// The check that was kept last, if there is any.
pub(crate) fn last(connection: &Connection) -> Result<Option<KeptCheck>, Fault> {
    Ok(some(connection, "WHERE ?3 IS NULL AND number = (SELECT max(number) FROM canvas_check)", None)?.pop())
}

/// All checks, the oldest first.
pub(crate) fn all(connection: &Connection) -> Result<Vec<KeptCheck>, Fault> {
    some(connection, "WHERE ?3 IS NULL ORDER BY number", None)
}

/// Those of the checks that `which` says. A file of the first form, opened to be looked at, has no place for any.
fn some(connection: &Connection, which: &str, number: Option<i64>) -> Result<Vec<KeptCheck>, Fault> {
    if !has_place(connection)? {
        return Ok(Vec::new());
    }
    let mut query = connection.prepare(&format!(
        "SELECT photo, made_at, iif(octet_length(result) <= ?1, result, ''), number FROM canvas_check {which} LIMIT ?2"
    ))?;
    let rows = query.query_map((MAX_RESULT_BYTES, MAX_CHECKS, number), |row| {
        Ok(KeptCheck {
            photo: row.get(0)?,
            made_at: time(row.get(1)?),
            result: row.get(2)?,
            number: row.get(3)?,
        })
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
        let photo = PhotoId::of(b"a photo of the canvas");
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
        assert_eq!((kept[0].number, kept[0].photo), (first, photo));
        assert_eq!(painting.photo(photo).unwrap(), b"a photo of the canvas");
        assert_eq!(painting.last_check().unwrap().as_ref(), kept.last());
        assert_eq!(painting.check(first).unwrap(), kept[0]);
        assert!(kept[0].made_at <= kept[1].made_at && kept[1].made_at <= SystemTime::now());
    }

    #[test]
    fn a_check_is_gone_on_with_and_taken_out_with_its_photo_unless_that_is_needed() {
        let studio = Studio::new();
        let mut painting = studio.open();
        let canvas = PhotoId::of(b"canvas");
        let [first, second] = ["1", "2"].map(|result| painting.keep_check(b"canvas", result).unwrap());
        painting.replace_check(first, "3").unwrap();
        assert_eq!(painting.check(first).unwrap().result, "3");
        painting.remove_check(first).unwrap();
        assert!(painting.photo(canvas).is_ok(), "the second check needs it");
        painting.remove_check(second).unwrap();
        assert_eq!(painting.photo(canvas).unwrap_err().fault, Fault::NoSuchPhoto);
        for gone in [
            painting.remove_check(second).unwrap_err(),
            painting.replace_check(second, "").unwrap_err(),
            painting.check(second).unwrap_err(),
        ] {
            assert_eq!(gone.fault, Fault::NoSuchCheck);
        }
        assert_eq!(painting.last_check().unwrap(), None);
        // A page that still shows the second must not change another.
        assert!(painting.keep_check(b"canvas", "4").unwrap() > second);
    }

    #[test]
    fn a_photo_that_an_edit_names_outlives_its_check() {
        let studio = Studio::new();
        let mut painting = studio.open();
        let reference = painting.present().unwrap().document.photo.unwrap();
        let bytes = painting.photo(reference).unwrap();
        let check = painting.keep_check(&bytes, "{}").unwrap();
        painting.remove_check(check).unwrap();
        assert_eq!(painting.photo(reference).unwrap(), bytes);
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
    fn checks_of_the_form_before_keep_their_numbers_and_those_that_follow_have_others() {
        let connection = Connection::open_in_memory().unwrap();
        connection.execute_batch(include_str!("form/version_1.sql")).unwrap();
        connection.execute_batch(include_str!("form/version_2.sql")).unwrap();
        let numbers = [b"first".as_slice(), b"second", b"third"]
            .map(|photo| keep(&connection, photo, "{\"lines\":[]}").unwrap());
        remove(&connection, numbers[0]).unwrap();
        let before = all(&connection).unwrap();
        connection.execute_batch(include_str!("form/version_3.sql")).unwrap();
        assert_eq!(all(&connection).unwrap(), before);
        assert_eq!(before.len(), 2);
        remove(&connection, numbers[2]).unwrap();
        assert!(keep(&connection, b"fourth", "{}").unwrap() > numbers[2]);
    }

    #[test]
    fn no_more_checks_are_kept_than_can_be_listed() {
        let connection = Connection::open_in_memory().unwrap();
        connection.execute_batch(include_str!("form/version_1.sql")).unwrap();
        connection.execute_batch(include_str!("form/version_2.sql")).unwrap();
        connection.execute_batch(include_str!("form/version_3.sql")).unwrap();
        for _ in 0..MAX_CHECKS {
            keep(&connection, b"canvas", "{}").unwrap();
        }
        assert_eq!(keep(&connection, b"canvas", "{}"), Err(Fault::ChecksFull));
        assert_eq!(all(&connection).unwrap().len(), MAX_CHECKS as usize);
    }
}
