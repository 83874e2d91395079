//! The folder with the paintings: the shelf, as files.
//!
//! A painting is known to the page by an id that is derived from its file's name. Ids from the network are only ever
//! compared with those of files that are there; no path is made from them.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::{Duration, SystemTime};

use painting::{Contents, Document, EXTENSION, IfExists, MAX_TITLE_CHARS, Painting, PaintingError};

use tempfile::TempPath;

use crate::answer::Trouble;
use crate::choices;
use crate::fingerprint::fingerprint;
use crate::lock::locked;

/// Paintings taken off the shelf go here, inside the folder.
const TAKEN_DOWN: &str = "Taken down";

/// The most paintings shown on one shelf; each is opened to be shown, which takes some milliseconds.
const MAX_SHOWN: usize = 500;

/// The most characters of a file name made from a title: as many as can be read at a glance.
const MAX_NAME_CHARS: usize = 60;

/// The most bytes of it. File systems take 255, and number, ending and the `-journal` beside it want room.
const MAX_NAME_BYTES: usize = 200;

/// Names that Windows takes for devices, whatever stands behind their dot (Microsoft, "Naming Files, Paths, and Namespaces").
const NAMES_OF_DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// What a file is called while it arrives.
pub(crate) const ARRIVING: &str = ".arriving-";

/// A file that has been arriving for so long does so no longer: the studio was stopped meanwhile.
const LONGEST_ARRIVAL: Duration = Duration::from_hours(1);

/// Copies of one painting are numbered up to this; nobody tells more of them apart by number.
const MAX_COPIES: u32 = 99;

/// A painting to put on a shelf that is empty.
#[derive(Clone, Debug)]
pub struct Demo {
    /// The painting.
    pub document: Document,
    /// Its photo's bytes.
    pub photo: Vec<u8>,
    /// The checks of its canvas, the first made first.
    pub checks: Vec<DemoCheck>,
}

/// A check of the demo's canvas.
#[derive(Clone, Copy, Debug)]
pub struct DemoCheck {
    /// The photo of the canvas.
    pub photo: &'static [u8],
    /// What was measured in it: a [`check::Report`] as JSON.
    pub report: &'static str,
}

/// The folder with the paintings.
#[derive(Debug)]
pub(crate) struct Folder {
    path: PathBuf,
    /// Held from choosing a name for a file until the file bears it.
    naming: Mutex<()>,
}

/// A painting file in the folder.
#[derive(Clone, Debug)]
pub(crate) struct Entry {
    pub(crate) id: String,
    pub(crate) file: PathBuf,
    pub(crate) changed: SystemTime,
}

impl Folder {
    /// Opens the folder; one that is not there yet is made. The demo hangs in it if it holds nothing at all: a painter
    /// who took the demo down has it among what was taken down.
    pub(crate) fn open(path: &Path, demo: Option<&Demo>) -> Result<Self, String> {
        let told = |error: io::Error| error.to_string();
        if path.is_file() {
            return Err("it is a file, not a folder".to_owned());
        }
        fs::create_dir_all(path).map_err(told)?;
        let folder = Self { path: path.canonicalize().map_err(told)?, naming: Mutex::default() };
        folder.sweep();
        let is_bare = fs::read_dir(&folder.path).map_err(told)?.next().is_none();
        if let (true, Some(demo)) = (is_bare, demo) {
            folder.hang(demo).map_err(|error| error.to_string())?;
        }
        Ok(folder)
    }

    fn hang(&self, demo: &Demo) -> Result<(), PaintingError> {
        let checks: Vec<_> = demo.checks.iter().map(|check| (check.photo, check.report)).collect();
        let contents = Contents { document: &demo.document, photos: &[&demo.photo], checks: &checks };
        self.write_new(contents).map(drop)
    }

    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// # Errors
    /// When the folder itself is gone, in words that say where the paintings are then.
    pub(crate) fn check(&self) -> Result<(), Trouble> {
        if self.path.is_dir() {
            return Ok(());
        }
        Err(Trouble::refused(gone(&self.path)))
    }

    /// The painting files, newest first.
    pub(crate) fn entries(&self) -> Vec<Entry> {
        newest_first(&self.path)
    }

    /// The painting files that were taken down, newest first.
    pub(crate) fn taken_down(&self) -> Vec<Entry> {
        newest_first(&self.path.join(TAKEN_DOWN))
    }

    /// The file of a painting on the shelf.
    pub(crate) fn find(&self, id: &str) -> Option<PathBuf> {
        entries_in(&self.path).into_iter().find(|entry| entry.id == id).map(|entry| entry.file)
    }

    /// Puts a new painting into the folder, named after its title, and gives its id.
    pub(crate) fn create(&self, document: &Document, photos: &[&[u8]]) -> Result<String, PaintingError> {
        self.write_new(Contents { document, photos, checks: &[] }).map(|file| id_of(&file))
    }

    fn write_new(&self, contents: Contents<'_>) -> Result<PathBuf, PaintingError> {
        let _one_at_a_time = locked(&self.naming);
        let file = self.free_name(&contents.document.title);
        Painting::write_new(&file, contents, IfExists::Refuse)?;
        choices::forget(&self.path, &id_of(&file));
        Ok(file)
    }

    /// Puts a painting file that came from elsewhere into the folder; it has been looked through already.
    pub(crate) fn adopt(&self, draft: TempPath, title: &str) -> io::Result<String> {
        let _one_at_a_time = locked(&self.naming);
        let file = self.free_name(title);
        draft.persist_noclobber(&file).map_err(|error| error.error)?;
        let id = id_of(&file);
        choices::forget(&self.path, &id);
        Ok(id)
    }

    /// Clears away what was arriving when the studio was stopped. What cannot be cleared away does no harm.
    fn sweep(&self) {
        let Ok(files) = fs::read_dir(&self.path) else { return };
        for file in files.filter_map(Result::ok) {
            let arriving = file.file_name().as_encoded_bytes().starts_with(ARRIVING.as_bytes());
            let since = |metadata: fs::Metadata| metadata.modified().ok()?.elapsed().ok();
            let long = file.metadata().ok().and_then(since).is_some_and(|time| time > LONGEST_ARRIVAL);
            if arriving && long {
                let _ = fs::remove_file(file.path());
            }
        }
    }

    /// Throws away a painting in which nothing was done yet; gives whether there was one.
    pub(crate) fn discard_unbegun(&self, id: &str) -> io::Result<bool> {
        let Some(file) = self.find(id) else { return Ok(false) };
        let is_unbegun = Painting::open_read_only(&file).and_then(|painting| {
            let present = painting.present()?;
            Ok(present.document.photo.is_none()
                && present.undo.is_none()
                && present.redo.is_none()
                && painting.checks()?.is_empty())
        });
        if is_unbegun.is_ok_and(|unbegun| unbegun) { fs::remove_file(file).map(|()| true) } else { Ok(false) }
    }

    /// Takes a painting off the shelf. It is kept, and can be hung again.
    pub(crate) fn take_down(&self, id: &str) -> io::Result<bool> {
        let store = self.path.join(TAKEN_DOWN);
        let Some(file) = self.find(id) else { return Ok(false) };
        fs::create_dir_all(&store)?;
        let _one_at_a_time = locked(&self.naming);
        move_to(&file, &store)
    }

    /// Hangs a painting that was taken down.
    pub(crate) fn hang_again(&self, id: &str) -> io::Result<bool> {
        let _one_at_a_time = locked(&self.naming);
        let taken_down = entries_in(&self.path.join(TAKEN_DOWN)).into_iter().find(|entry| entry.id == id);
        taken_down.map_or(Ok(false), |entry| move_to(&entry.file, &self.path))
    }

    /// The title of a painting's copy: `The harbour pilot, copy`, then `The harbour pilot, copy 2`; a copy of a copy is one more.
    pub(crate) fn title_of_copy(&self, title: &str) -> String {
        let title = if title.is_empty() { "Untitled" } else { title };
        let original = match title.rsplit_once(", copy") {
            Some((original, number)) if number.trim_start().chars().all(|c| c.is_ascii_digit()) => original,
            _ => title,
        };
        // So that a title as long as may be has room for the rest.
        let original: String = original.chars().take(MAX_TITLE_CHARS - ", copy 99".len()).collect();
        let numbered = |number: u32| match number {
            1 => format!("{original}, copy"),
            _ => format!("{original}, copy {number}"),
        };
        let is_free = |title: &String| self.is_free(&format!("{}.{EXTENSION}", plain_name(title)));
        (1..=MAX_COPIES).map(numbered).find(is_free).unwrap_or_else(|| numbered(1))
    }

    /// A file name from a title that no painting bears: `harbour-pilot.mahlstick`, `harbour-pilot-2.mahlstick`.
    fn free_name(&self, title: &str) -> PathBuf {
        let name = plain_name(title);
        let numbered = |number: u32| match number {
            1 => format!("{name}.{EXTENSION}"),
            _ => format!("{name}-{number}.{EXTENSION}"),
        };
        let free = (1..=u32::MAX).map(numbered).find(|name| self.is_free(name));
        self.path.join(free.unwrap_or_else(|| numbered(1)))
    }

    /// Whether no painting has this file name, on the shelf or taken down.
    fn is_free(&self, name: &str) -> bool {
        !self.path.join(name).exists() && !self.path.join(TAKEN_DOWN).join(name).exists()
    }
}

/// A title as a file name without its ending: letters and figures, joined by hyphens.
fn plain_name(title: &str) -> String {
    let words: String =
        title.chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).take(MAX_NAME_CHARS).collect();
    let mut name = words.split_whitespace().collect::<Vec<_>>().join("-").to_lowercase();
    name.truncate(name.floor_char_boundary(MAX_NAME_BYTES));
    let numbered_device = |port: &str| {
        name.strip_prefix(port)
            .is_some_and(|rest| rest.chars().count() == 1 && rest.chars().all(char::is_numeric))
    };
    if name.is_empty() {
        "painting".to_owned()
    } else if NAMES_OF_DEVICES.contains(&name.as_str()) || ["com", "lpt"].into_iter().any(numbered_device) {
        format!("{name}-painting")
    } else {
        name
    }
}

/// Moves a file into a folder under its own name, unless there is one of that name already.
fn move_to(file: &Path, folder: &Path) -> io::Result<bool> {
    let Some(name) = file.file_name() else { return Ok(false) };
    let target = folder.join(name);
    if target.exists() {
        return Err(io::Error::from(io::ErrorKind::AlreadyExists));
    }
    fs::rename(file, target)?;
    Ok(true)
}

/// A file's own name, without its folder, to be shown.
pub(crate) fn file_name(file: &Path) -> String {
    file.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

fn newest_first(folder: &Path) -> Vec<Entry> {
    let mut entries = entries_in(folder);
    entries.sort_by(|a, b| b.changed.cmp(&a.changed).then_with(|| a.file.cmp(&b.file)));
    entries.truncate(MAX_SHOWN);
    entries
}

/// What to say when the folder itself is not there.
pub(crate) fn gone(folder: &Path) -> String {
    format!(
        "The folder with your paintings, {}, is not there. It may have been renamed or moved, or lie on a disk that is not connected; nothing \
         in it was changed. Give it back its name and place and load this page again, or start the studio with the folder where it is now.",
        folder.display()
    )
}

fn entries_in(folder: &Path) -> Vec<Entry> {
    let Ok(files) = fs::read_dir(folder) else { return Vec::new() };
    let entry = |file: fs::DirEntry| {
        let path = file.path();
        let is_painting = path.extension().is_some_and(|extension| extension == EXTENSION);
        let metadata = file.metadata().ok().filter(fs::Metadata::is_file)?;
        let changed = metadata.modified().unwrap_or(SystemTime::UNIX_EPOCH);
        is_painting.then(|| Entry { id: id_of(&path), file: path, changed })
    };
    files.filter_map(Result::ok).filter_map(entry).collect()
}

/// An id for a file name: its fingerprint. Two names on one shelf meet with a
/// chance of one in a hundred million million even with five hundred paintings.
fn id_of(file: &Path) -> String {
    let name = file.file_name().unwrap_or_default().as_encoded_bytes();
    fingerprint(name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use plan::{Canvas, Length, Plan, Unit};

    fn document(title: &str) -> Document {
        let plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(16.0)), Unit::Inch);
        Document { title: title.to_owned(), photo: None, plan }
    }

    fn demo() -> Demo {
        let checks = vec![DemoCheck { photo: b"nor this", report: "{}" }];
        Demo { document: document("Pilot"), photo: b"not looked at here".to_vec(), checks }
    }

    #[test]
    fn the_demo_hangs_on_a_new_shelf_and_is_not_hung_again_once_taken_down() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("Paintings");
        let demo = demo();
        let folder = Folder::open(&path, Some(&demo)).unwrap();
        let Entry { id, file, .. } = folder.entries().remove(0);
        assert_eq!(Painting::open_read_only(&file).unwrap().checks().unwrap().len(), 1);
        assert!(folder.take_down(&id).unwrap());
        assert!(Folder::open(&path, Some(&demo)).unwrap().entries().is_empty());
        assert_eq!(folder.taken_down()[0].id, id);
        assert!(folder.hang_again(&id).unwrap());
        assert_eq!(folder.entries()[0].id, id);
        assert!(folder.taken_down().is_empty());
    }

    #[test]
    fn each_copy_has_a_title_of_its_own() {
        let home = tempfile::tempdir().unwrap();
        let folder = Folder::open(home.path(), None).unwrap();
        let copy = |title: &str| {
            let title = folder.title_of_copy(title);
            folder.create(&document(&title), &[]).unwrap();
            title
        };
        let copies = ["Pilot", "Pilot", "Pilot, copy", "Pilot, copy 2"].map(copy);
        assert_eq!(copies, ["Pilot, copy", "Pilot, copy 2", "Pilot, copy 3", "Pilot, copy 4"]);
        assert_eq!(["", "A, copy of hers"].map(copy), ["Untitled, copy", "A, copy of hers, copy"]);
        // A file's name ends before so long a title does.
        let long = "Head ".repeat(MAX_TITLE_CHARS / 5);
        assert_eq!(copy(&long), copy(&long));
    }

    #[test]
    fn only_a_painting_in_which_nothing_was_done_is_thrown_away() {
        let home = tempfile::tempdir().unwrap();
        let folder = Folder::open(home.path(), None).unwrap();
        let ids = ["Bare", "Edited"].map(|title| folder.create(&document(title), &[]).unwrap());
        let mut painting = Painting::open(&folder.find(&ids[1]).unwrap()).unwrap();
        let revision = painting.revision().unwrap();
        let revision = painting.apply(revision, "Rename", None, &document("Other")).unwrap();
        painting.undo(revision).unwrap();
        drop(painting);
        assert_eq!(ids.map(|id| folder.discard_unbegun(&id).unwrap()), [true, false]);
        assert_eq!(folder.entries().len(), 1);
        assert!(folder.taken_down().is_empty() && !folder.discard_unbegun("no such").unwrap());
    }

    #[test]
    fn the_demo_hangs_in_a_folder_that_holds_nothing_and_in_no_other() {
        let home = tempfile::tempdir().unwrap();
        let demo = demo();
        let shown = |path: &Path| Folder::open(path, Some(&demo)).unwrap().entries().len();
        assert_eq!(shown(home.path()), 1);
        let used = tempfile::tempdir().unwrap();
        fs::write(used.path().join("sketch.txt"), "not a painting").unwrap();
        assert_eq!(shown(used.path()), 0);
    }

    #[test]
    fn two_paintings_of_one_title_get_names_of_their_own() {
        let home = tempfile::tempdir().unwrap();
        let folder = Folder::open(home.path(), None).unwrap();
        let ids = [(); 3].map(|()| folder.create(&document("../Señora: a study / 2"), &[]).unwrap());
        assert_eq!(folder.entries().len(), 3);
        assert!(ids[0] != ids[1] && ids[1] != ids[2]);
        assert!(folder.find(&ids[2]).unwrap().ends_with("señora-a-study-2-3.mahlstick"));
    }

    #[test]
    fn an_id_that_is_a_path_finds_nothing() {
        let home = tempfile::tempdir().unwrap();
        let folder = Folder::open(home.path(), None).unwrap();
        folder.create(&document("Study"), &[]).unwrap();
        for id in ["", ".", "..", "../study", "study", "study.mahlstick", "%2e%2e"] {
            assert!(folder.find(id).is_none(), "{id}");
        }
    }

    #[test]
    fn names_are_ones_that_every_system_takes() {
        for (title, name) in [("CON", "con-painting"), ("lpt1", "lpt1-painting"), ("Aux", "aux-painting")] {
            assert_eq!(plain_name(title), name);
        }
        assert_eq!((plain_name("Console"), plain_name("com12")), ("console".to_owned(), "com12".to_owned()));
        // Letters of four bytes each.
        let long = plain_name(&"𐐷".repeat(MAX_TITLE_CHARS));
        assert!(!long.is_empty() && long.len() <= MAX_NAME_BYTES, "{}", long.len());
    }

    #[test]
    fn what_was_arriving_long_ago_is_cleared_away_and_a_new_painting_has_no_ticks() {
        let home = tempfile::tempdir().unwrap();
        let folder = Folder::open(home.path(), None).unwrap();
        let arriving = |name: &str, age: Duration| {
            let path = home.path().join(format!("{ARRIVING}{name}"));
            fs::File::create(&path).unwrap().set_modified(SystemTime::now() - age).unwrap();
            path
        };
        let (old, young) = (arriving("old", LONGEST_ARRIVAL * 2), arriving("young", Duration::ZERO));
        folder.sweep();
        assert_eq!((old.exists(), young.exists()), (false, true));
        let id = folder.create(&document("Ticks"), &[]).unwrap();
        // As an earlier version kept them.
        let kept = home.path().join("Choices").join(format!("{id}.json"));
        fs::create_dir_all(kept.parent().unwrap()).unwrap();
        fs::write(&kept, r#"{"ticked": ["top 3 in"]}"#).unwrap();
        fs::remove_file(folder.find(&id).unwrap()).unwrap();
        assert_eq!(folder.create(&document("Ticks"), &[]).unwrap(), id);
        assert!(!kept.exists());
    }
}
