//! A portrait for the tests, in files of its own.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use plan::{Canvas, HeadMarks, Length, PhotoPoint, PhotoSize, Place, Plan, Reference, Unit};

use crate::{Document, IfExists, Painting, PhotoId};

/// A photo's bytes, as far as this crate cares.
pub(crate) const PHOTO: &[u8] = b"\xff\xd8\xff\xe0 a photo of the harbour pilot";

/// A 12 in square canvas with an 8 in head and [`PHOTO`].
pub(crate) fn portrait(title: &str) -> Document {
    let mut plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(12.0)), Unit::Inch);
    let mut reference = Reference::fitted(PhotoSize { width: 3000, height: 4000 });
    reference.head =
        Some(HeadMarks { crown: PhotoPoint::new(1500.0, 500.0), chin: PhotoPoint::new(1500.0, 2500.0) });
    reference.place = Place::Head { height: Length::inches(8.0), middle: None };
    plan.reference = Some(reference);
    Document { title: title.to_owned(), photo: Some(PhotoId::of(PHOTO)), plan }
}

/// A folder for one test, and a painting in it.
pub(crate) struct Studio {
    pub(crate) folder: tempfile::TempDir,
    pub(crate) file: PathBuf,
}

impl Studio {
    /// A folder with `pilot.mahlstick`, titled `Begun`.
    pub(crate) fn new() -> Self {
        static BEGUN: OnceLock<Vec<u8>> = OnceLock::new();
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("pilot.mahlstick");
        // Made once and copied, for each new file waits for the disk.
        let begun = BEGUN.get_or_init(|| {
            Painting::create(&file, &portrait("Begun"), &[PHOTO], IfExists::Replace).unwrap();
            fs::read(&file).unwrap()
        });
        fs::write(&file, begun).unwrap();
        Self { folder, file }
    }

    pub(crate) fn open(&self) -> Painting {
        Painting::open(&self.file).unwrap()
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The names of all files in the folder, in order.
    pub(crate) fn names(&self) -> Vec<String> {
        names(self.folder.path())
    }
}

/// The names of all files in a folder, in order.
pub(crate) fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}
