//! The painting file, `name.mahlstick`: a painting's plan, its whole history and its photos in one file.
//!
//! # What is in it
//!
//! * the [`Document`] after every edit, as a row of history: nothing is ever taken out, undone edits included;
//! * which of these rows is the present one, and a [`Revision`] that grows with every change of it;
//! * the photos, as the very bytes the painter brought, each once;
//! * checks of the canvas, and texts kept beside the plan, which undo leaves.
//!
//! Nothing that follows from these is stored. The file is an `SQLite` database, its form is in `form.rs`.
//!
//! # What it promises
//!
//! * An edit is on the disk before [`Painting::apply`] returns, and survives a crash and a power cut.
//! * Two programs may have one file open. Each change says which revision it starts from; the later one is refused
//!   with [`Fault::ChangedElsewhere`], never merged and never lost silently.
//! * A file that is not a painting, is damaged, or holds what this program never writes is refused and left as it is,
//!   byte for byte.
//! * A new file or folder appears whole or not at all.
//!
//! # Why a rollback journal and not a write-ahead log
//!
//! A painting is one thing to mail, to copy or to keep on a network folder. Between edits a rollback journal leaves
//! nothing beside the file, works without shared memory (which network folders lack), and lets a file be read on
//! media that cannot be written. A write-ahead log would keep acknowledged edits in a second file that is forgotten
//! when the first one is mailed. The price is a few more disk flushes an edit, a few milliseconds at a painter's pace.

mod beside;
mod checks;
mod document;
mod error;
mod form;
mod history;
mod new_file;
mod opening;
mod painting;
mod photos;
mod plain;
#[cfg(test)]
mod portrait;

pub use beside::MAX_BESIDE_BYTES;
pub use checks::{KeptCheck, MAX_CHECKS, MAX_RESULT_BYTES};
pub use document::{Document, DocumentError, MAX_DOCUMENT_BYTES, MAX_TITLE_CHARS};
pub use error::{Fault, PaintingError};
pub use history::{MAX_EDITS, MAX_LABEL_CHARS, Present, Revision, Step, StepState};
pub use new_file::{Contents, IfExists};
pub use painting::{EXTENSION, Moment, Painting};
pub use photos::{MAX_PHOTO_BYTES, PhotoId};
pub use plain::import;
