//! Texts that go along with the work and are no edits, such as which marks are ticked off. Undo leaves them.

use rusqlite::{Connection, OptionalExtension};

use crate::error::Fault;

/// The most bytes of one of them: that of every mark which the finest grid can have, ticked off, and a thick notebook.
pub const MAX_BESIDE_BYTES: usize = 1024 * 1024;

/// The text kept under this name, if there is one. A file of an earlier form, opened to be looked at, has no place for any.
pub(crate) fn get(connection: &Connection, what: &str) -> Result<Option<String>, Fault> {
    if !connection.table_exists(None, "beside")? {
        return Ok(None);
    }
    let mut query =
        connection.prepare("SELECT content FROM beside WHERE what = ?1 AND octet_length(content) <= ?2")?;
    Ok(query.query_row((what, MAX_BESIDE_BYTES), |row| row.get(0)).optional()?)
}

/// Keeps a text under this name in place of the one before.
pub(crate) fn keep(connection: &Connection, what: &str, content: &str) -> Result<(), Fault> {
    if content.len() > MAX_BESIDE_BYTES {
        return Err(Fault::BesideTooLarge);
    }
    connection.execute(
        "INSERT INTO beside (what, content) VALUES (?1, ?2) ON CONFLICT (what) DO UPDATE SET content = ?2",
        (what, content),
    )?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::portrait::Studio;

    #[test]
    fn what_is_kept_beside_the_plan_goes_with_the_file_and_undo_leaves_it() {
        let studio = Studio::new();
        let mut painting = studio.open();
        let before = painting.present().unwrap();
        assert_eq!(painting.beside("ticks").unwrap(), None);
        painting.keep_beside("ticks", "one").unwrap();
        painting.keep_beside("ticks", "two").unwrap();
        assert_eq!(painting.present().unwrap(), before);
        let moved = studio.folder.path().join("moved.mahlstick");
        painting.copy_to(&moved, crate::IfExists::Refuse).unwrap();
        drop(painting);
        assert_eq!(studio.open().beside("ticks").unwrap().as_deref(), Some("two"));
        assert_eq!(crate::Painting::open(&moved).unwrap().beside("ticks").unwrap().as_deref(), Some("two"));
    }

    #[test]
    fn a_text_that_is_too_long_is_refused_and_the_one_before_stays() {
        let studio = Studio::new();
        let mut painting = studio.open();
        painting.keep_beside("notes", "the left eye").unwrap();
        let long = "9".repeat(MAX_BESIDE_BYTES + 1);
        assert_eq!(painting.keep_beside("notes", &long).unwrap_err().fault, Fault::BesideTooLarge);
        assert_eq!(painting.beside("notes").unwrap().as_deref(), Some("the left eye"));
    }
}
