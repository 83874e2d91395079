//! Photos in the painting file: the bytes the painter brought, each once, named by their content.

use std::fmt;
use std::str::FromStr;

use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSql, ToSqlOutput, ValueRef};
use rusqlite::{Connection, OptionalExtension};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use thiserror::Error;

use crate::error::Fault;

/// The most bytes of one photo: 40 megapixels at 16 bits a colour without compression, and any JPEG. A photo is held
/// in memory whole while it is put in or taken out.
pub const MAX_PHOTO_BYTES: usize = 256_000_000;

/// Names a photo by its content: the SHA-256 (FIPS 180-4) of its bytes, written as 64 hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct PhotoId([u8; 32]);

/// The text names no photo.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("A photo's mark has 64 digits from 0 to f.")]
pub struct PhotoIdError;

impl PhotoId {
    /// Names these bytes.
    pub fn of(photo: &[u8]) -> Self {
        Self(Sha256::digest(photo).into())
    }
}

impl fmt::Display for PhotoId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for PhotoId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "PhotoId({self})")
    }
}

impl FromStr for PhotoId {
    type Err = PhotoIdError;

    fn from_str(text: &str) -> Result<Self, PhotoIdError> {
        let digits = text.as_bytes();
        if digits.len() != 64 {
            return Err(PhotoIdError);
        }
        let mut bytes = [0; 32];
        for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
            *byte = hex_digit(pair[0])? * 16 + hex_digit(pair[1])?;
        }
        Ok(Self(bytes))
    }
}

/// Only the digits that [`PhotoId`] is written with, so that a photo has one name.
fn hex_digit(digit: u8) -> Result<u8, PhotoIdError> {
    match digit {
        b'0'..=b'9' => Ok(digit - b'0'),
        b'a'..=b'f' => Ok(digit - b'a' + 10),
        _ => Err(PhotoIdError),
    }
}

impl From<PhotoId> for String {
    fn from(id: PhotoId) -> Self {
        id.to_string()
    }
}

impl TryFrom<String> for PhotoId {
    type Error = PhotoIdError;

    fn try_from(text: String) -> Result<Self, PhotoIdError> {
        text.parse()
    }
}

impl ToSql for PhotoId {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(self.to_string().into())
    }
}

impl FromSql for PhotoId {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        value.as_str()?.parse().map_err(FromSqlError::other)
    }
}

/// Puts a photo in, unless it is there.
pub(crate) fn put(connection: &Connection, photo: &[u8]) -> Result<PhotoId, Fault> {
    if photo.len() > MAX_PHOTO_BYTES {
        return Err(Fault::PhotoTooLarge);
    }
    let id = PhotoId::of(photo);
    connection
        .execute("INSERT INTO photo (id, bytes) VALUES (?1, ?2) ON CONFLICT (id) DO NOTHING", (id, photo))?;
    Ok(id)
}

/// Checks that a photo is there.
pub(crate) fn require(connection: &Connection, id: PhotoId) -> Result<(), Fault> {
    let found = connection.query_row("SELECT 1 FROM photo WHERE id = ?1", [id], |_| Ok(())).optional()?;
    found.ok_or(Fault::NoSuchPhoto)
}

/// Takes a photo's bytes out, and checks that they are those that were put in.
pub(crate) fn get(connection: &Connection, id: PhotoId) -> Result<Vec<u8>, Fault> {
    let bytes: Option<Vec<u8>> =
        connection.query_row("SELECT bytes FROM photo WHERE id = ?1", [id], |row| row.get(0)).optional()?;
    let bytes = bytes.ok_or(Fault::NoSuchPhoto)?;
    if PhotoId::of(&bytes) == id { Ok(bytes) } else { Err(Fault::PhotoDamaged) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;
    use crate::portrait::Studio;

    #[test]
    fn a_photo_is_named_by_its_sha_256() {
        // FIPS 180-4's example for SHA-256, as published by NIST in "SHA256.pdf" of its example values: the message "abc".
        let name = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(PhotoId::of(b"abc").to_string(), name);
        assert_eq!(name.parse(), Ok(PhotoId::of(b"abc")));
    }

    #[test]
    fn a_photo_that_is_brought_in_too_late_leaves_nothing_behind() {
        let studio = Studio::new();
        let mut painting = studio.open();
        let first = painting.revision().unwrap();
        let lay = |mut document: Document, photo| {
            document.photo = Some(photo);
            document
        };
        let reached = painting.bring_in(first, "Bring in a photo", b"the first", lay).unwrap();
        assert_eq!(painting.present().unwrap().document.photo, Some(PhotoId::of(b"the first")));
        let fault = painting.bring_in(first, "Bring in a photo", b"too late", lay).unwrap_err().fault;
        assert_eq!(fault, Fault::ChangedElsewhere { now: reached });
        assert_eq!(painting.photo(PhotoId::of(b"too late")).unwrap_err().fault, Fault::NoSuchPhoto);
        painting.undo(reached).unwrap();
        assert_ne!(painting.present().unwrap().document.photo, Some(PhotoId::of(b"the first")));
    }

    #[test]
    fn a_photo_has_one_name_only() {
        let name = PhotoId::of(b"abc").to_string();
        for other in
            [name.to_uppercase(), format!("{name}0"), name[1..].to_owned(), "é".repeat(32), String::new()]
        {
            assert_eq!(other.parse::<PhotoId>(), Err(PhotoIdError), "{other}");
        }
    }
}
