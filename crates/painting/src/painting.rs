//! A painting file that is open: looking at it, changing it, undoing and redoing.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, Transaction, TransactionBehavior};

use crate::beside;
use crate::checks::{self, KeptCheck};
use crate::document::Document;
use crate::error::{Fault, PaintingError};
use crate::form::STEPS;
use crate::history::{self, Present, Revision, Standing, Step};
use crate::new_file::{self, Contents, IfExists};
use crate::opening::{self, BUSY_TIME, For};
use crate::photos::{self, PhotoId};

/// What the names of painting files end in.
pub const EXTENSION: &str = "mahlstick";

/// An open painting file.
///
/// Every method that changes it waits up to five seconds for another program, and is on the disk when it returns `Ok`.
/// When it returns an error, the file is as it was.
#[derive(Debug)]
pub struct Painting {
    file: PathBuf,
    connection: Connection,
    gesture: Option<Gesture>,
}

/// The gesture that the last edit belonged to, while nothing else has changed the painting.
#[derive(Debug)]
struct Gesture {
    key: String,
    reached: Revision,
}

/// Tells what an open painting held at one time from what it holds at another, see [`Painting::moment`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moment {
    /// What other programs, or others in this one, have written so far.
    elsewhere: i64,
    /// What was written through this painting.
    here: u64,
}

impl Painting {
    /// Makes a new painting file, whole or not at all, and opens it.
    ///
    /// `photos` are the bytes of pictures to put in, among them the one that `document` names.
    ///
    /// # Errors
    /// When the painting cannot be, when there is a file of this name and it is not to be replaced, or when the disk is
    /// full or cannot be written.
    pub fn create(
        file: &Path,
        document: &Document,
        photos: &[&[u8]],
        if_exists: IfExists,
    ) -> Result<Self, PaintingError> {
        Self::write_new(file, Contents { document, photos, checks: &[] }, if_exists)?;
        Self::open(file)
    }

    /// Makes a new painting file as [`Painting::create`] does, and leaves it closed.
    ///
    /// # Errors
    /// As in [`Painting::create`].
    pub fn write_new(file: &Path, contents: Contents<'_>, if_exists: IfExists) -> Result<(), PaintingError> {
        new_file::write(file, contents, if_exists).map_err(|fault| at(file, fault))
    }

    /// Opens a painting to be changed, after looking through all of it. A file of an earlier form is brought to the
    /// present one.
    ///
    /// # Errors
    /// When the file is not a painting, damaged, altered, too new, or cannot be written. It is left as it is.
    pub fn open(file: &Path) -> Result<Self, PaintingError> {
        Self::open_for(file, For::Editing)
    }

    /// Opens a painting to be looked at, also from a place that cannot be written. Photos and history are not looked
    /// through until they are asked for, so that this takes a few milliseconds whatever the file's size.
    ///
    /// # Errors
    /// When the file is not a painting, damaged, altered or too new. It is left as it is.
    pub fn open_read_only(file: &Path) -> Result<Self, PaintingError> {
        Self::open_for(file, For::Reading)
    }

    fn open_for(file: &Path, purpose: For) -> Result<Self, PaintingError> {
        let connection = opening::open(file, purpose, STEPS).map_err(|fault| at(file, fault))?;
        Ok(Self { file: file.to_owned(), connection, gesture: None })
    }

    /// The file, as it was named when it was opened.
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// The painting as it stands, all of it at one moment.
    ///
    /// # Errors
    /// When the file cannot be read or was damaged meanwhile.
    pub fn present(&self) -> Result<Present, PaintingError> {
        self.named(history::standing(&self.connection).map(|standing| standing.present))
    }

    /// The revision the painting is at: a cheap way to see whether another program has changed it.
    ///
    /// # Errors
    /// When the file cannot be read or was damaged meanwhile.
    pub fn revision(&self) -> Result<Revision, PaintingError> {
        self.named(history::revision(&self.connection))
    }

    /// The same, without waiting for another program that holds the file.
    ///
    /// # Errors
    /// When the file is held, cannot be read or was damaged meanwhile.
    pub fn revision_at_once(&self) -> Result<Revision, PaintingError> {
        let waiting = |time| self.named(self.connection.busy_timeout(time).map_err(Fault::from));
        waiting(Duration::ZERO)?;
        let revision = self.revision();
        waiting(BUSY_TIME)?;
        revision
    }

    /// The same as long as nothing that the painting holds is changed, checks and photos neither, by whomever: a cheap way to see
    /// whether what was made of it still holds. It means nothing to another painting, or once this one is closed.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn moment(&self) -> Result<Moment, PaintingError> {
        let elsewhere = self.connection.pragma_query_value(None, "data_version", |row| row.get(0));
        let elsewhere = self.named(elsewhere.map_err(Fault::from))?;
        Ok(Moment { elsewhere, here: self.connection.total_changes() })
    }

    /// The line of edits from the first to the last that redo reaches, with the present one in it.
    ///
    /// # Errors
    /// When the file cannot be read or was damaged meanwhile.
    pub fn history(&self) -> Result<Vec<Step>, PaintingError> {
        self.named(history::line(&self.connection))
    }

    /// Makes `document` the present. `label` says in the painter's words what was done; it is cut to
    /// [`MAX_LABEL_CHARS`](crate::MAX_LABEL_CHARS) characters.
    ///
    /// Edits of one gesture, such as the many places a mark passes through while it is dragged, are one step of the
    /// history: give them all the same `gesture`, and every gesture a key of its own. The step ends with the first
    /// change that is not of the gesture, and when the file is closed.
    ///
    /// A document equal to the present one is no edit: nothing changes, the revision neither.
    ///
    /// # Errors
    /// [`Fault::ChangedElsewhere`] when the painting is no longer at `expected`; [`Fault::Refused`] when the painting
    /// cannot be; [`Fault::NoSuchPhoto`] when its photo is not in the file; [`Fault::Full`] and others when it cannot be
    /// written.
    pub fn apply(
        &mut self,
        expected: Revision,
        label: &str,
        gesture: Option<&str>,
        document: &Document,
    ) -> Result<Revision, PaintingError> {
        let goes_on = |last: &Gesture| gesture == Some(&last.key) && last.reached == expected;
        let going_on = self.gesture.as_ref().is_some_and(goes_on);
        let applied = self.change(expected, |change, standing| {
            if standing.present.document == *document {
                return Ok(expected);
            }
            if let Some(photo) = document.photo {
                photos::require(change, photo)?;
            }
            let edit = if going_on {
                history::rewrite(change, standing.edit, label, document)?;
                standing.edit
            } else {
                history::add(change, Some(standing.edit), label, document)?
            };
            history::stand_at(change, edit, expected)
        });
        if let Ok(reached) = applied
            && reached != expected
        {
            self.gesture = gesture.map(|key| Gesture { key: key.to_owned(), reached });
        }
        self.named(applied)
    }

    /// Takes the last edit back.
    ///
    /// # Errors
    /// [`Fault::ChangedElsewhere`] when the painting is no longer at `expected`; [`Fault::NothingToUndo`] at the
    /// beginning; others when it cannot be written.
    pub fn undo(&mut self, expected: Revision) -> Result<Revision, PaintingError> {
        self.go(expected, |standing| standing.follows.ok_or(Fault::NothingToUndo))
    }

    /// Brings the edit back that was undone last, unless another was made since.
    ///
    /// # Errors
    /// [`Fault::ChangedElsewhere`] when the painting is no longer at `expected`; [`Fault::NothingToRedo`] when nothing
    /// is undone; others when it cannot be written.
    pub fn redo(&mut self, expected: Revision) -> Result<Revision, PaintingError> {
        self.go(expected, |standing| standing.next.ok_or(Fault::NothingToRedo))
    }

    fn go(
        &mut self,
        expected: Revision,
        to: impl FnOnce(&Standing) -> Result<i64, Fault>,
    ) -> Result<Revision, PaintingError> {
        let gone = self.change(expected, |change, standing| {
            let edit = to(&standing)?;
            history::require_readable(change, edit)?;
            history::stand_at(change, edit, expected)
        });
        self.named(gone)
    }

    /// Puts a photo in and makes the document that `make` makes of the present one and the photo the present, or does neither.
    ///
    /// # Errors
    /// As [`Painting::add_photo`] and [`Painting::apply`].
    pub fn bring_in(
        &mut self,
        expected: Revision,
        label: &str,
        bytes: &[u8],
        make: impl FnOnce(Document, PhotoId) -> Document,
    ) -> Result<Revision, PaintingError> {
        let brought = self.change(expected, |change, standing| {
            let photo = photos::put(change, bytes)?;
            let present = standing.present.document;
            let document = make(present.clone(), photo);
            if document == present {
                return Ok(expected);
            }
            let edit = history::add(change, Some(standing.edit), label, &document)?;
            history::stand_at(change, edit, expected)
        });
        self.named(brought)
    }

    /// Puts a photo's bytes in, unless they are there. The painting is the same until an edit names the photo.
    ///
    /// # Errors
    /// When the photo has more than [`MAX_PHOTO_BYTES`](crate::MAX_PHOTO_BYTES), or cannot be written.
    pub fn add_photo(&mut self, bytes: &[u8]) -> Result<PhotoId, PaintingError> {
        let added = self.write(|change| photos::put(change, bytes));
        self.named(added)
    }

    /// A photo's bytes, as they were put in.
    ///
    /// # Errors
    /// When it is not in the file, or no longer what was put in.
    pub fn photo(&self, id: PhotoId) -> Result<Vec<u8>, PaintingError> {
        self.named(photos::get(&self.connection, id))
    }

    /// Keeps a check of the canvas: its photo and what was measured in it, as JSON. It is no edit: the revision stays, and undo
    /// leaves it. Gives its number.
    ///
    /// # Errors
    /// When photo or result are too large, when the painting holds [`MAX_CHECKS`](crate::MAX_CHECKS) already, or when it cannot
    /// be written.
    pub fn keep_check(&mut self, photo: &[u8], result: &str) -> Result<i64, PaintingError> {
        let kept = self.write(|change| checks::keep(change, photo, result));
        self.named(kept)
    }

    /// Puts another result in the place of a check's own, because it was gone on with.
    ///
    /// # Errors
    /// When there is no such check, the result is too large, or it cannot be written.
    pub fn replace_check(&mut self, number: i64, result: &str) -> Result<(), PaintingError> {
        let replaced = self.write(|change| checks::replace(change, number, result));
        self.named(replaced)
    }

    /// Takes a check out, and its photo with it unless another check or any edit names it. There is no undo.
    ///
    /// # Errors
    /// When there is no such check, or it cannot be written.
    pub fn remove_check(&mut self, number: i64) -> Result<(), PaintingError> {
        let removed = self.write(|change| checks::remove(change, number));
        self.named(removed)
    }

    /// A check by its number.
    ///
    /// # Errors
    /// When there is no such check, or the file cannot be read.
    pub fn check(&self, number: i64) -> Result<KeptCheck, PaintingError> {
        self.named(checks::one(&self.connection, number))
    }

    /// The check that was kept last, if there is any.
    ///
    /// # Errors
    /// When the file cannot be read or was damaged meanwhile.
    pub fn last_check(&self) -> Result<Option<KeptCheck>, PaintingError> {
        self.named(checks::last(&self.connection))
    }

    /// The checks of the canvas that were kept, the oldest first.
    ///
    /// # Errors
    /// When the file cannot be read or was damaged meanwhile.
    pub fn checks(&self) -> Result<Vec<KeptCheck>, PaintingError> {
        self.named(checks::all(&self.connection))
    }

    /// The text kept under this name beside the plan, if there is one.
    ///
    /// # Errors
    /// When the file cannot be read or was damaged meanwhile.
    pub fn beside(&self, what: &str) -> Result<Option<String>, PaintingError> {
        self.named(beside::get(&self.connection, what))
    }

    /// Keeps a text under this name beside the plan, in place of the one before. It is no edit: the revision stays, and undo leaves it.
    ///
    /// # Errors
    /// When it has more than [`MAX_BESIDE_BYTES`](crate::MAX_BESIDE_BYTES), or cannot be written.
    pub fn keep_beside(&mut self, what: &str, content: &str) -> Result<(), PaintingError> {
        let kept = self.write(|change| beside::keep(change, what, content));
        self.named(kept)
    }

    /// Writes a copy of the painting with all its history and photos to a new file, whole or not at all.
    ///
    /// This is the way to copy, send or back up a painting that is open: a program that opens and closes the file by
    /// other means takes this painting's locks away with it (POSIX drops a process's locks on a file with any close).
    ///
    /// # Errors
    /// When the painting cannot be read, and as in [`Painting::create`].
    pub fn copy_to(&self, file: &Path, if_exists: IfExists) -> Result<(), PaintingError> {
        new_file::write_copy(file, &self.connection, if_exists).map_err(|fault| at(file, fault))
    }

    /// Changes the painting from one revision to the next.
    fn change(
        &mut self,
        expected: Revision,
        make: impl FnOnce(&Transaction<'_>, Standing) -> Result<Revision, Fault>,
    ) -> Result<Revision, Fault> {
        self.write(|change| {
            let standing = history::standing(change)?;
            if standing.present.revision != expected {
                return Err(Fault::ChangedElsewhere { now: standing.present.revision });
            }
            make(change, standing)
        })
    }

    /// Writes all that `make` writes or, when it fails, nothing. Other programs are locked out from the first look on,
    /// so that what was seen is still so when it is written.
    fn write<T>(&mut self, make: impl FnOnce(&Transaction<'_>) -> Result<T, Fault>) -> Result<T, Fault> {
        let change = self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let made = make(&change)?;
        change.commit()?;
        Ok(made)
    }

    fn named<T>(&self, outcome: Result<T, Fault>) -> Result<T, PaintingError> {
        outcome.map_err(|fault| at(&self.file, fault))
    }
}

pub(crate) fn at(file: &Path, fault: Fault) -> PaintingError {
    PaintingError { file: file.to_owned(), fault }
}

#[cfg(test)]
mod tests;
