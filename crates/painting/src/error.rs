//! What can go wrong with a painting file, in the painter's words.

use std::fmt;
use std::io;
use std::path::PathBuf;

use rusqlite::ErrorCode;
use rusqlite::ffi::{SQLITE_READONLY_DBMOVED, SQLITE_READONLY_ROLLBACK};

use crate::checks::MAX_CHECKS;
use crate::document::DocumentError;
use crate::history::{MAX_EDITS, Revision};
use crate::painting::EXTENSION;
use crate::photos::MAX_PHOTO_BYTES;

/// Something went wrong with a painting file, or with a folder that a painting is written to or read from.
#[derive(Clone, Debug, PartialEq)]
pub struct PaintingError {
    /// The file or folder.
    pub file: PathBuf,
    /// What went wrong.
    pub fault: Fault,
}

/// What went wrong. In every case the file is as it was before.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// There is no such file or folder.
    NotFound,
    /// There is no folder to put a new file or folder in.
    NoFolder,
    /// The file is of another kind.
    NotAPainting,
    /// A newer Mahlstick wrote the file.
    Newer,
    /// Parts of the file are missing or do not read as they were written. The text is for a log.
    Damaged(String),
    /// The file holds tables, rules or settings that Mahlstick does not write. The text is for a log.
    Altered(String),
    /// The painting in the file is one that cannot be.
    Absurd(DocumentError),
    /// Checking the file took longer than a file of any use does.
    TooSlow,
    /// The last change was cut short and cannot be taken back here, because the file cannot be written.
    Unfinished,
    /// The file can be read but not written.
    ReadOnly,
    /// The file may not be read or written by this user.
    NotAllowed,
    /// Another program kept the file to itself for too long.
    InUse,
    /// The file was renamed, moved or deleted while it was open.
    Moved,
    /// The disk is full.
    Full,
    /// The disk or the network failed. The text is for a log.
    Unreachable(String),
    /// Another program, or another window, changed the painting in the meantime.
    ChangedElsewhere {
        /// The revision the painting is at now.
        now: Revision,
    },
    /// The change makes a painting that cannot be.
    Refused(DocumentError),
    /// There is no edit to take back.
    NothingToUndo,
    /// There is no edit to bring back.
    NothingToRedo,
    /// The history is as long as it may be.
    HistoryFull,
    /// The result of a check has too many bytes.
    CheckTooLarge,
    /// A text to be kept beside the plan has more than [`MAX_BESIDE_BYTES`](crate::MAX_BESIDE_BYTES).
    BesideTooLarge,
    /// As many checks are kept as may be.
    ChecksFull,
    /// A check is not in the painting.
    NoSuchCheck,
    /// A photo has too many bytes.
    PhotoTooLarge,
    /// A photo is not in the painting.
    NoSuchPhoto,
    /// A photo's bytes are not those that were put in.
    PhotoDamaged,
    /// There is already a file of this name.
    Exists,
    /// The unfinished change of a painting that was taken away lies where a new one is to be written.
    Leftover,
    /// A folder to export to is not empty.
    FolderNotEmpty,
    /// An exported plan does not read. The text says where.
    PlainPlan(String),
    /// An exported plan names a photo that is no file beside it.
    PlainPhoto(String),
}

impl std::error::Error for PaintingError {}

impl fmt::Display for PaintingError {
    #[expect(clippy::too_many_lines, reason = "one sentence for each fault, to be read side by side")]
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let file = self.file.display();
        match &self.fault {
            Fault::NotFound => write!(
                f,
                "There is no “{file}”. Check the name and the folder, or whether the disk it is on is connected."
            ),
            Fault::NoFolder => write!(
                f,
                "There is no folder to put “{file}” in. Make the folder first, or choose another one."
            ),
            Fault::NotAPainting
                if self.file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case(EXTENSION)) =>
            {
                write!(
                    f,
                    "“{file}” is not a painting file, though it is named like one. Choose another file."
                )
            }
            Fault::NotAPainting => {
                write!(f, "“{file}” is not a painting file. Choose a file whose name ends in .mahlstick.")
            }
            Fault::Newer => write!(
                f,
                "“{file}” was made by a newer Mahlstick. Bring this one up to date to open it; the file was left as it is."
            ),
            Fault::Damaged(_) => write!(
                f,
                "“{file}” is damaged and was left as it is. Put a sound copy in its place: one that you kept elsewhere, or from whoever sent it."
            ),
            Fault::Altered(_) => write!(
                f,
                "“{file}” holds things that Mahlstick does not put into a painting, and was not opened. It was left as it is. \
                 Ask whoever sent it for a new one, or for an exported folder."
            ),
            Fault::Absurd(error) => write!(
                f,
                "The painting in “{file}” cannot be, and was left as it is. {error} Open a copy from a backup, or ask \
                 whoever sent it to send it again."
            ),
            Fault::TooSlow => write!(
                f,
                "Looking through “{file}” takes too long. If it is on a network or a slow disk, copy it to this computer \
                 and open the copy."
            ),
            Fault::Unfinished => write!(
                f,
                "The last change to “{file}” was cut short, and it cannot be put in order where it is because nothing can \
                 be written there. Copy it, with the “-journal” file beside it, to a folder of your own and open it there."
            ),
            Fault::ReadOnly => write!(
                f,
                "“{file}” lies where nothing can be changed, and so it cannot be opened for work. Copy it to a folder of your own and open the copy."
            ),
            Fault::NotAllowed => write!(
                f,
                "You may not read or write “{file}”. Ask its owner, or choose a folder of your own."
            ),
            Fault::InUse => write!(
                f,
                "Another program is busy with “{file}”. Nothing was changed. Wait a moment and try again."
            ),
            Fault::Moved => write!(
                f,
                "“{file}” was renamed, moved or deleted while it was open, so this change was not saved. Open it again where \
                 it is now."
            ),
            Fault::Full => write!(
                f,
                "The disk that holds “{file}” is full, so nothing was saved. Make room and try again; what was saved before \
                 is as it was."
            ),
            Fault::Unreachable(_) => write!(
                f,
                "“{file}” could not be read or written: its disk or network folder does not answer as it should. Check the \
                 connection, or copy the file to this computer and open the copy."
            ),
            Fault::ChangedElsewhere { .. } => write!(
                f,
                "“{file}” was changed elsewhere in the meantime, so this change was not saved. Look at the painting as it \
                 is now and make the change again."
            ),
            Fault::Refused(error) => write!(f, "This change to “{file}” was not saved. {error}"),
            Fault::NothingToUndo => write!(f, "“{file}” is as it began; there is nothing to undo."),
            Fault::NothingToRedo => {
                write!(
                    f,
                    "Nothing of “{file}” has been undone since its last change. There is nothing to redo."
                )
            }
            Fault::HistoryFull => write!(
                f,
                "“{file}” has been changed {MAX_EDITS} times, and its history can grow no longer. Make a new painting from \
                 it and go on with that; this one keeps all its steps."
            ),
            Fault::CheckTooLarge => {
                write!(
                    f,
                    "The check has too many lines to be kept in “{file}”. Take detail boxes away, \
                     or divide them into fewer parts, and check again."
                )
            }
            Fault::BesideTooLarge => {
                write!(f, "What was to be kept with “{file}” is too long. Make it shorter.")
            }
            Fault::ChecksFull => write!(
                f,
                "“{file}” holds {MAX_CHECKS} checks of the canvas and can keep no more. In the studio, under “Check”, take old ones away."
            ),
            Fault::NoSuchCheck => {
                write!(f, "That check is not in “{file}” any more. Look at the list of checks again.")
            }
            Fault::PhotoTooLarge => write!(
                f,
                "The photo is larger than {} MB and was not put into “{file}”. Save it as a JPEG and bring that in.",
                MAX_PHOTO_BYTES / 1_000_000
            ),
            Fault::NoSuchPhoto => {
                write!(f, "The photo is not in “{file}”. Bring it in again.")
            }
            Fault::PhotoDamaged => write!(
                f,
                "The photo in “{file}” is damaged and was left as it is. Bring the photo in again, or open a copy from a \
                 backup."
            ),
            Fault::Exists => {
                write!(f, "There is already a “{file}”, and it was left as it is. Choose another name.")
            }
            Fault::Leftover => write!(
                f,
                "Beside “{file}” lies the unfinished change of an earlier painting of that name, in a file whose name ends \
                 in “-journal”. Open that painting once, or put that file where the painting is now; or choose another name."
            ),
            Fault::FolderNotEmpty => {
                write!(f, "The folder “{file}” is not empty, and was left as it is. Choose a new folder.")
            }
            Fault::PlainPlan(place) => {
                write!(
                    f,
                    "“{file}” does not read as a plan ({place}). Correct it there, or export the painting again."
                )
            }
            Fault::PlainPhoto(name) => write!(
                f,
                "“{file}” names the photo “{name}”, which is not a file beside it. Put the photo there, or correct its name."
            ),
        }
    }
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Self {
        let log = error.to_string();
        let rusqlite::Error::SqliteFailure(failure, _) = error else {
            // Every other error tells that a value is not what was written there.
            return Self::Damaged(log);
        };
        match (failure.extended_code, failure.code) {
            (SQLITE_READONLY_DBMOVED, _) => Self::Moved,
            (SQLITE_READONLY_ROLLBACK, _) => Self::Unfinished,
            (_, ErrorCode::ReadOnly) => Self::ReadOnly,
            (_, ErrorCode::PermissionDenied | ErrorCode::CannotOpen) => Self::NotAllowed,
            (_, ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::InUse,
            (_, ErrorCode::DiskFull) => Self::Full,
            (_, ErrorCode::OperationInterrupted) => Self::TooSlow,
            (_, ErrorCode::NotADatabase) => Self::NotAPainting,
            (
                _,
                ErrorCode::SystemIoFailure | ErrorCode::OutOfMemory | ErrorCode::FileLockingProtocolFailed,
            ) => Self::Unreachable(log),
            _ => Self::Damaged(log),
        }
    }
}

impl From<io::Error> for Fault {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::NotFound => Self::NotFound,
            io::ErrorKind::AlreadyExists => Self::Exists,
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => Self::NotAllowed,
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::Full,
            _ => Self::Unreachable(error.to_string()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::portrait::portrait;

    fn all() -> Vec<Fault> {
        let mut absurd = portrait("");
        absurd.plan.canvas.nominal.width = plan::Length::mm(-1.0);
        let impossible = absurd.check().unwrap_err();
        let log = || "database disk image is malformed".to_owned();
        vec![
            Fault::NotFound,
            Fault::NoFolder,
            Fault::NotAPainting,
            Fault::Newer,
            Fault::Damaged(log()),
            Fault::Altered(log()),
            Fault::Absurd(impossible),
            Fault::TooSlow,
            Fault::Unfinished,
            Fault::ReadOnly,
            Fault::NotAllowed,
            Fault::InUse,
            Fault::Moved,
            Fault::Full,
            Fault::Unreachable(log()),
            Fault::ChangedElsewhere { now: Revision(7) },
            Fault::Refused(DocumentError::TitleTooLong),
            Fault::Refused(DocumentError::TitleNotALine),
            Fault::Refused(DocumentError::TooLarge),
            Fault::NothingToUndo,
            Fault::NothingToRedo,
            Fault::HistoryFull,
            Fault::CheckTooLarge,
            Fault::BesideTooLarge,
            Fault::ChecksFull,
            Fault::PhotoTooLarge,
            Fault::NoSuchPhoto,
            Fault::PhotoDamaged,
            Fault::Exists,
            Fault::Leftover,
            Fault::FolderNotEmpty,
            Fault::PlainPlan("missing field `title`".to_owned()),
            Fault::PlainPhoto("reference.jpg".to_owned()),
        ]
    }

    fn message(fault: Fault) -> String {
        PaintingError { file: PathBuf::from("pilot.mahlstick"), fault }.to_string()
    }

    #[test]
    fn every_fault_is_told_in_the_painters_words() {
        insta::assert_snapshot!(all().into_iter().map(message).collect::<Vec<_>>().join("\n\n"));
    }

    #[test]
    fn no_message_speaks_of_how_the_file_is_made() {
        for message in all().into_iter().map(message) {
            assert!(message.contains("“pilot.mahlstick”"), "{message}");
            assert!(message.ends_with('.'), "{message}");
            let lower = message.to_lowercase();
            for word in
                ["database", "sqlite", "json", "schema", "byte", "transaction", "revision", "lock", "!"]
            {
                assert!(!lower.contains(word), "“{word}” in: {message}");
            }
        }
    }
}
