//! A painting as a plain folder, for those who want no painting file: `plan.json`, and the photo beside it.

use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Component, Path};

use serde_json::Value;

use crate::document::{Document, MAX_DOCUMENT_BYTES};
use crate::error::{Fault, PaintingError};
use crate::new_file::{IfExists, draft_folder, flush_folder, folder_of};
use crate::painting::{Painting, at};
use crate::photos::{MAX_PHOTO_BYTES, PhotoId};

/// The plan's name in the folder.
const PLAN: &str = "plan.json";

/// The photo's name in the folder, before its ending.
const PHOTO: &str = "reference";

/// A plan written by hand, or spread over lines, is longer than the same plan in a painting file, but not by more.
const MAX_PLAN_BYTES: usize = 4 * MAX_DOCUMENT_BYTES;

impl Painting {
    /// Writes the painting as it stands, without its history, to a new or empty folder, whole or not at all:
    /// `plan.json`, and the photo under the name that `plan.json` gives it.
    ///
    /// # Errors
    /// When the folder is not empty or cannot be written, or the painting cannot be read.
    pub fn export(&self, folder: &Path) -> Result<(), PaintingError> {
        let document = self.present()?.document;
        let photo = document.photo.map(|id| self.photo(id)).transpose()?;
        write_folder(folder, &document, photo.as_deref()).map_err(|fault| at(folder, fault))
    }
}

/// Makes a painting file from a folder that [`Painting::export`] wrote, perhaps changed by hand since.
///
/// # Errors
/// When the folder's plan or photo cannot be read or makes no painting, and as in [`Painting::create`].
pub fn import(folder: &Path, file: &Path, if_exists: IfExists) -> Result<Painting, PaintingError> {
    let plan = folder.join(PLAN);
    let (document, photo) = read_folder(folder, &plan).map_err(|fault| at(&plan, fault))?;
    Painting::create(file, &document, photo.as_deref().as_slice(), if_exists)
}

fn write_folder(folder: &Path, document: &Document, photo: Option<&[u8]>) -> Result<(), Fault> {
    let there = match fs::read_dir(folder) {
        Ok(mut entries) => match entries.next() {
            Some(_) => return Err(Fault::FolderNotEmpty),
            None => true,
        },
        Err(error) if error.kind() == io::ErrorKind::NotFound => false,
        Err(error) if error.kind() == io::ErrorKind::NotADirectory => return Err(Fault::Exists),
        Err(error) => return Err(error.into()),
    };
    let draft = draft_folder(folder_of(folder))?;
    // The draft folder is this user's alone; the folder within it is as others are.
    let path = draft.path().join("draft");
    fs::create_dir(&path)?;
    let mut plain: Value = serde_json::from_str(&document.write()?).map_err(|error| not_a_plan(&error))?;
    if let Some(photo) = photo {
        let name = format!("{PHOTO}{}", ending(photo));
        write_file(&path.join(&name), photo)?;
        plain["photo"] = name.into();
    }
    write_file(&path.join(PLAN), format!("{plain:#}\n").as_bytes())?;
    flush_folder(&path)?;
    if there {
        fs::remove_dir(folder)?;
    }
    fs::rename(&path, folder)?;
    flush_folder(folder_of(folder))?;
    Ok(())
}

fn write_file(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// What the names of pictures of this kind end in, from the signature each kind begins with (JPEG: ISO/IEC 10918-1
/// B.1.1.3; PNG: ISO/IEC 15948 5.2; TIFF 6.0 section 2; WebP: RFC 9649 2.4).
fn ending(photo: &[u8]) -> &'static str {
    match photo {
        [0xff, 0xd8, 0xff, ..] => ".jpg",
        [0x89, b'P', b'N', b'G', ..] => ".png",
        [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..] => ".tif",
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => ".webp",
        _ => "",
    }
}

fn read_folder(folder: &Path, plan: &Path) -> Result<(Document, Option<Vec<u8>>), Fault> {
    let too_long = || Fault::PlainPlan("it is too long".to_owned());
    let text = read_file(plan, MAX_PLAN_BYTES)?.ok_or_else(too_long)?;
    let mut plain: Value = serde_json::from_slice(&text).map_err(|error| not_a_plan(&error))?;
    let photo = match plain.get("photo") {
        Some(Value::String(name)) => Some(read_photo(folder, name)?),
        _ => None,
    };
    if let Some(photo) = &photo {
        plain["photo"] = PhotoId::of(photo).to_string().into();
    }
    let document = Document::read(&plain.to_string()).map_err(|fault| match fault {
        Fault::Damaged(place) => Fault::PlainPlan(place),
        other => other,
    })?;
    Ok((document, photo))
}

fn read_photo(folder: &Path, name: &str) -> Result<Vec<u8>, Fault> {
    let no_file = || Fault::PlainPhoto(name.chars().take(100).collect());
    // A plan from a stranger must not name a file elsewhere.
    let mut parts = Path::new(name).components();
    if !matches!((parts.next(), parts.next()), (Some(Component::Normal(_)), None)) {
        return Err(no_file());
    }
    match read_file(&folder.join(name), MAX_PHOTO_BYTES) {
        Ok(photo) => photo.ok_or(Fault::PhotoTooLarge),
        Err(Fault::NotFound) => Err(no_file()),
        Err(fault) => Err(fault),
    }
}

/// A file's bytes, if it is a file and not a way to another one; `None` if they are more than `most`.
fn read_file(path: &Path, most: usize) -> Result<Option<Vec<u8>>, Fault> {
    if !path.symlink_metadata()?.is_file() {
        return Err(Fault::NotFound);
    }
    let mut bytes = Vec::new();
    File::open(path)?.take(most as u64 + 1).read_to_end(&mut bytes)?;
    Ok((bytes.len() <= most).then_some(bytes))
}

fn not_a_plan(error: &serde_json::Error) -> Fault {
    Fault::PlainPlan(error.to_string())
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use super::*;
    use crate::portrait::{PHOTO, Studio, names, portrait};

    /// A studio with its painting exported to a folder.
    fn exported() -> (Studio, PathBuf) {
        let studio = Studio::new();
        let folder = studio.path("plain");
        studio.open().export(&folder).unwrap();
        (studio, folder)
    }

    fn import_to(studio: &Studio, folder: &Path) -> Result<Painting, PaintingError> {
        import(folder, &studio.path("imported.mahlstick"), IfExists::Refuse)
    }

    #[test]
    fn an_exported_painting_is_the_same_when_it_is_imported() {
        let (studio, folder) = exported();
        assert_eq!(names(&folder), ["plan.json", "reference.jpg"]);
        assert_eq!(fs::read(folder.join("reference.jpg")).unwrap(), PHOTO);
        let painting = import_to(&studio, &folder).unwrap();
        assert_eq!(painting.present().unwrap().document, portrait("Begun"));
        assert_eq!(painting.photo(PhotoId::of(PHOTO)).unwrap(), PHOTO);
        assert_eq!(studio.names(), ["imported.mahlstick", "pilot.mahlstick", "plain"]);
    }

    #[test]
    fn a_painting_without_a_photo_is_a_plan_alone() {
        let studio = Studio::new();
        let (file, folder) = (studio.path("bare.mahlstick"), studio.path("empty"));
        let document = Document { photo: None, ..portrait("Bare") };
        fs::create_dir(&folder).unwrap();
        Painting::create(&file, &document, &[], IfExists::Refuse).unwrap().export(&folder).unwrap();
        assert_eq!(names(&folder), ["plan.json"]);
        assert_eq!(import_to(&studio, &folder).unwrap().present().unwrap().document, document);
    }

    #[test]
    fn what_was_changed_by_hand_is_imported() {
        let (studio, folder) = exported();
        let plan = fs::read_to_string(folder.join(PLAN)).unwrap();
        fs::write(folder.join(PLAN), plan.replace("Begun", "By hand").replace("reference.jpg", "new.png"))
            .unwrap();
        fs::write(folder.join("new.png"), b"another photo").unwrap();
        let document = import_to(&studio, &folder).unwrap().present().unwrap().document;
        assert_eq!(document, Document { photo: Some(PhotoId::of(b"another photo")), ..portrait("By hand") });
    }

    #[test]
    fn an_export_writes_over_nothing() {
        let (studio, folder) = exported();
        let fault = studio.open().export(&folder).unwrap_err().fault;
        assert_eq!(fault, Fault::FolderNotEmpty);
        let fault = studio.open().export(&studio.file).unwrap_err().fault;
        assert_eq!(fault, Fault::Exists);
        assert_eq!(studio.names(), ["pilot.mahlstick", "plain"]);
    }

    #[test]
    fn an_import_writes_over_nothing() {
        let (studio, folder) = exported();
        let error = import(&folder, &studio.file, IfExists::Refuse).unwrap_err();
        assert_eq!(error, PaintingError { file: studio.file.clone(), fault: Fault::Exists });
    }

    #[test]
    fn a_plan_that_does_not_read_is_told_with_its_place() {
        let (studio, folder) = exported();
        let plan = fs::read_to_string(folder.join(PLAN)).unwrap();
        let deep = "[".repeat(100_000);
        let long = format!("{plan}{}", " ".repeat(MAX_PLAN_BYTES));
        for (changed, place) in [
            ("{\n  \"title\": oops", "line 2 column 12"),
            ("", "line 1 column 0"),
            ("7", "expected struct"),
            (&deep, "recursion limit"),
            (&plan.replace("\"title\"", "\"name\""), "missing field `title`"),
            (&plan.replace("\"reference.jpg\"", "12"), "expected a string"),
            (&long, "too long"),
        ] {
            fs::write(folder.join(PLAN), changed).unwrap();
            let error = import_to(&studio, &folder).unwrap_err();
            assert_eq!(error.file, folder.join(PLAN));
            assert!(matches!(&error.fault, Fault::PlainPlan(found) if found.contains(place)), "{error}");
        }
        fs::remove_file(folder.join(PLAN)).unwrap();
        assert_eq!(import_to(&studio, &folder).unwrap_err().fault, Fault::NotFound);
        assert_eq!(studio.names(), ["pilot.mahlstick", "plain"]);
    }

    #[test]
    fn a_plan_takes_no_photo_from_elsewhere() {
        let (studio, folder) = exported();
        let plan = fs::read_to_string(folder.join(PLAN)).unwrap();
        fs::create_dir(folder.join("folder")).unwrap();
        #[cfg(unix)]
        std::os::unix::fs::symlink(&studio.file, folder.join("link.jpg")).unwrap();
        for name in [
            "../pilot.mahlstick",
            "/etc/hostname",
            "folder",
            "folder/a.jpg",
            "..",
            ".",
            "",
            "link.jpg",
            "gone.jpg",
        ] {
            fs::write(folder.join(PLAN), plan.replace("reference.jpg", name)).unwrap();
            let fault = import_to(&studio, &folder).unwrap_err().fault;
            assert_eq!(fault, Fault::PlainPhoto(name.to_owned()));
        }
    }

    #[test]
    fn a_photo_is_named_after_its_kind() {
        for (photo, name) in [
            (b"\x89PNG\r\n\x1a\n".as_slice(), ".png"),
            (b"II*\0....", ".tif"),
            (b"MM\0*....", ".tif"),
            (b"RIFF....WEBPVP8 ", ".webp"),
            (b"RIFF....WAVE", ""),
            (b"", ""),
        ] {
            assert_eq!(ending(photo), name);
        }
    }
}
