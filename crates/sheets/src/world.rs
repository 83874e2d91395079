//! The small closed world in which Typst sets the sheets: our templates, one file of plain data and a stand-in for
//! the photo. It reads no disk, no network and no system fonts, so the same packet is set alike on every machine.

use std::collections::HashMap;
use std::sync::LazyLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

/// The family in which everything is set.
pub(crate) const FONT_FAMILY: &str = "Libertinus Serif";

static LIBRARY: LazyLock<LazyHash<Library>> = LazyLock::new(|| LazyHash::new(Library::default()));

/// The regular, bold and italic faces come first among Typst's fonts; reading the others would take longer than setting
/// a packet.
const FACES: usize = 3;

static FONTS: LazyLock<Vec<Font>> = LazyLock::new(|| {
    typst_assets::fonts()
        .take(FACES)
        .flat_map(|data| Font::iter(Bytes::new(data)))
        .filter(|font| font.info().family == FONT_FAMILY)
        .collect()
});

static BOOK: LazyLock<LazyHash<FontBook>> = LazyLock::new(|| LazyHash::new(FontBook::from_fonts(&*FONTS)));

/// The files Typst may read, by name.
pub(crate) struct SheetWorld {
    main: FileId,
    sources: HashMap<FileId, Source>,
    files: HashMap<FileId, Bytes>,
}

impl SheetWorld {
    /// A world whose first source is its main file.
    pub(crate) fn new(
        sources: &[(&str, &'static str)],
        files: impl IntoIterator<Item = (&'static str, Vec<u8>)>,
    ) -> Result<Self, FileError> {
        let mut ids = Vec::new();
        let mut by_id = HashMap::new();
        for (name, text) in sources {
            let id = file_id(name)?;
            ids.push(id);
            by_id.insert(id, Source::new(id, (*text).to_owned()));
        }
        let files = files
            .into_iter()
            .map(|(name, data)| Ok((file_id(name)?, Bytes::new(data))))
            .collect::<Result<_, FileError>>()?;
        Ok(Self { main: *ids.first().ok_or(FileError::NotSource)?, sources: by_id, files })
    }
}

/// Whether the sheets' font has a glyph for this character.
pub(crate) fn can_set(character: char) -> bool {
    FONTS.first().is_some_and(|font| font.info().coverage.contains(u32::from(character)))
}

fn file_id(name: &str) -> Result<FileId, FileError> {
    let path = VirtualPath::new(name).map_err(|_| FileError::NotFound(name.into()))?;
    Ok(RootedPath::new(VirtualRoot::Project, path).intern())
}

impl World for SheetWorld {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &BOOK
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        self.sources.get(&id).cloned().ok_or(FileError::NotSource)
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.files.get(&id).cloned().ok_or_else(|| FileError::NotFound(id.vpath().get_with_slash().into()))
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.get(index).cloned()
    }

    /// The sheets carry the date they are given, never the machine's.
    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
