//! What the studio keeps in mind while it runs: the paintings that are open, and who wants to hear of their changes.

use std::collections::HashMap;
#[cfg(unix)]
use std::os::unix::fs::MetadataExt as _;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, TryLockError};

use axum::body::Bytes;
use check::Report;
use painting::{Document, Fault, KeptCheck, Moment, Painting, PaintingError, Present, Revision};
use photo::Photo;
use plan::{CameraDistance, Plan, SitterHead};
use serde::Serialize;
use tokio::sync::{broadcast, watch};
use utoipa::ToSchema;

use crate::answer::Trouble;
use crate::folder::{Folder, file_name};
use crate::photo_at_hand::{CANVAS_PHOTO, PhotoAtHand};
use crate::pictures::Pictures;
use crate::second_screen::SecondScreen;
use crate::tones::{self, Tones};
use crate::view::View;

/// The most paintings kept open at once; a painter works on a few. Beyond it all are closed that no one is using.
const MAX_OPEN: usize = 12;

/// News that a slow tab may be behind by before it is told to look afresh.
const NEWS_KEPT: usize = 16;

/// The studio's memory.
pub(crate) struct Studio {
    folder: Folder,
    port: u16,
    open: Mutex<HashMap<String, Arc<Slot>>>,
    closing: watch::Sender<bool>,
    second_screen: SecondScreen,
}

/// Where a painting is once it is open. Whoever opens it holds this lock and no other, so that a painting that is slow to open
/// keeps none of the others waiting.
#[derive(Default)]
struct Slot(Mutex<Option<Arc<Open>>>);

impl Slot {
    /// Whether someone uses the painting, or opens it right now.
    fn is_in_use(self: &Arc<Self>) -> bool {
        let used = |slot: MutexGuard<'_, Option<Arc<Open>>>| {
            slot.as_ref().is_some_and(|open| Arc::strong_count(open) > 1)
        };
        Arc::strong_count(self) > 1 || self.0.try_lock().map_or(true, used)
    }
}

/// What messages call the reference's photo.
const REFERENCE_PHOTO: &str = "The photo in this painting";

/// A painting that is open.
pub(crate) struct Open {
    id: String,
    /// The file that was opened.
    file: PathBuf,
    /// Which one it was.
    identity: Option<Identity>,
    painting: Mutex<Painting>,
    pub(crate) pictures: Pictures,
    /// The reference's photo.
    photo: PhotoAtHand,
    pub(crate) canvas_photo: PhotoAtHand,
    pub(crate) tones: Tones,
    news: broadcast::Sender<News>,
    /// Its state as it was last sent, and when that was so.
    sent: Mutex<Option<(Moment, Bytes)>>,
    /// Held by the one who does heavy work on this painting.
    at_work: Mutex<()>,
}

/// Tells a file from another that was put in its place: device and number of the file, where the system has them. The file is not
/// opened for it: closing it again would take away the locks of the database.
type Identity = (u64, u64);

/// The identity of the file of this name; `None` if there is none.
fn identity(file: &Path) -> Option<Identity> {
    let metadata = std::fs::metadata(file).ok()?;
    #[cfg(unix)]
    return Some((metadata.dev(), metadata.ino()));
    // Elsewhere a file that is open cannot be put away.
    #[cfg(not(unix))]
    return Some((0, u64::from(metadata.is_file())));
}

/// What the pages that show a painting are told.
#[derive(Clone, Debug)]
pub(crate) enum News {
    /// It was changed.
    Changed(Revision),
    /// Something beside its plan was chosen.
    Chosen,
    /// Work that takes a while has come to this, in words.
    Working(String),
}

/// Everything the page shows of a painting.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PaintingState {
    /// By which the page asks for it.
    id: String,
    /// Its title; blank for one that has none yet.
    title: String,
    /// The name of its file, which stays when the title is changed.
    file: String,
    /// Counts its changes: an edit says from which it starts.
    #[schema(value_type = i64)]
    revision: Revision,
    /// What would be undone, in words.
    undo: Option<String>,
    /// What would be done again, in words.
    redo: Option<String>,
    /// The photo, if there is one.
    photo: Option<PhotoFacts>,
    /// Why the photo cannot be shown, if there is one that cannot.
    photo_trouble: Option<String>,
    /// Everything that follows from its plan.
    view: View,
}

/// What is known of a photo.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PhotoFacts {
    /// By which one photo is told from another.
    id: String,
    /// The kind of file.
    format: String,
    /// Width and height of the upright photo.
    pixels: String,
    /// Its colours.
    colour: String,
    /// What the painter should know of them.
    colour_note: Option<String>,
    /// When it was taken.
    taken: Option<String>,
    /// The lens it was taken with.
    lens: Option<String>,
    /// How far the camera stood, or why that is not known, in sentences.
    camera: String,
    /// Whether it stood so near that near features are enlarged.
    too_near: bool,
    /// Where the picture on the canvas is to be had.
    picture: String,
    /// Where the same is to be had finer, for the easel screen.
    easel: String,
    /// Where the photo before squaring up is to be had.
    original: String,
    /// Where the picture on the canvas in another tone is to be had, once `&tone=` and the tone stand behind it: `grey`,
    /// `values:5`, `squint:4mm`.
    toned: String,
}

impl Studio {
    pub(crate) fn new(folder: Folder, port: u16, second_screen: SecondScreen) -> Self {
        Self { folder, port, open: Mutex::default(), closing: watch::Sender::new(false), second_screen }
    }

    pub(crate) const fn port(&self) -> u16 {
        self.port
    }

    pub(crate) const fn folder(&self) -> &Folder {
        &self.folder
    }

    pub(crate) const fn second_screen(&self) -> &SecondScreen {
        &self.second_screen
    }

    /// Ends every stream of news, so that the server can stop.
    pub(crate) fn close(&self) {
        self.closing.send_replace(true);
    }

    pub(crate) fn closing(&self) -> watch::Receiver<bool> {
        self.closing.subscribe()
    }

    /// The painting with this id, opened if it is not open yet.
    pub(crate) fn open(&self, id: &str) -> Result<Arc<Open>, Trouble> {
        let slot = self.slot(id)?;
        let mut kept = locked(&slot.0);
        if let Some(painting) = kept.as_ref().filter(|painting| painting.is_there()) {
            return Ok(Arc::clone(painting));
        }
        *kept = None;
        let file = self.folder.find(id).ok_or_else(Trouble::not_found)?;
        let painting = Arc::new(Open {
            id: id.to_owned(),
            identity: identity(&file),
            painting: Mutex::new(Painting::open(&file)?),
            file,
            pictures: Pictures::default(),
            photo: PhotoAtHand::default(),
            canvas_photo: PhotoAtHand::default(),
            tones: Tones::default(),
            news: broadcast::Sender::new(NEWS_KEPT),
            sent: Mutex::default(),
            at_work: Mutex::default(),
        });
        *kept = Some(Arc::clone(&painting));
        Ok(painting)
    }

    /// The slot of a painting that is open or on the shelf.
    fn slot(&self, id: &str) -> Result<Arc<Slot>, Trouble> {
        if let Some(slot) = locked(&self.open).get(id) {
            return Ok(Arc::clone(slot));
        }
        // An id that no painting bears takes no room.
        self.folder.find(id).ok_or_else(Trouble::not_found)?;
        let mut open = locked(&self.open);
        if open.len() >= MAX_OPEN {
            open.retain(|_, slot| slot.is_in_use());
        }
        Ok(Arc::clone(open.entry(id.to_owned()).or_default()))
    }

    /// Closes a painting whose file is to be moved.
    pub(crate) fn forget(&self, id: &str) {
        locked(&self.open).remove(id);
    }
}

impl Open {
    /// The painting as it stands.
    pub(crate) fn present(&self) -> Result<Present, PaintingError> {
        locked(&self.painting).present()
    }

    /// The revision it has now, without waiting: `None` while the painting is worked on or another program holds its file.
    pub(crate) fn revision_at_once(&self) -> Option<Revision> {
        let painting = match self.painting.try_lock() {
            Ok(painting) => painting,
            Err(TryLockError::Poisoned(poisoned)) => poisoned.into_inner(),
            Err(TryLockError::WouldBlock) => return None,
        };
        painting.revision_at_once().ok()
    }

    /// Whether the file that was opened is still in its place, and no other.
    pub(crate) fn is_there(&self) -> bool {
        let now = identity(&self.file);
        now.is_some() && now == self.identity
    }

    pub(crate) fn news(&self) -> broadcast::Receiver<News> {
        self.news.subscribe()
    }

    /// Tells the pages that show this painting.
    pub(crate) fn tell(&self, news: News) {
        // No one listening is no failure.
        let _ = self.news.send(news);
    }

    /// Waits until no other heavy work on this painting is under way; it ends when what is given is dropped.
    pub(crate) fn heavy_work(&self) -> MutexGuard<'_, ()> {
        locked(&self.at_work)
    }

    /// The reference's photo, opened; `None` without one.
    pub(crate) fn photo(&self, document: &Document) -> Result<Option<Arc<Photo>>, Trouble> {
        let bytes = |id| move || Ok(locked(&self.painting).photo(id)?);
        document.photo.map(|id| self.photo.take(id, REFERENCE_PHOTO, bytes(id))).transpose()
    }

    /// The reference's photo as it was brought in; `None` without one.
    pub(crate) fn photo_bytes(&self, document: &Document) -> Result<Option<Vec<u8>>, PaintingError> {
        document.photo.map(|id| locked(&self.painting).photo(id)).transpose()
    }

    /// Changes the painting from the revision that the page has seen, tells everyone, and gives the new state. Where it
    /// was changed elsewhere in the meantime, the trouble carries the state as it stands.
    pub(crate) fn change(
        &self,
        make: impl FnOnce(&mut Painting) -> Result<Revision, Trouble>,
    ) -> Result<PaintingState, Trouble> {
        let changed = make(&mut locked(&self.painting));
        match changed {
            Ok(revision) => {
                self.tell(News::Changed(revision));
                self.state()
            }
            Err(trouble) if trouble.is_conflict() => Err(Trouble::changed_elsewhere(self.state()?)),
            Err(trouble) => Err(trouble),
        }
    }

    /// Everything the page shows of the painting.
    pub(crate) fn state(&self) -> Result<PaintingState, Trouble> {
        let Present { revision, document, undo, redo } = self.present()?;
        let file = file_name(&self.file);
        // A photo that cannot be opened is told, and another can be brought in its place.
        let (photo, photo_trouble) = match self.photo(&document) {
            Ok(photo) => (photo.map(|photo| self.photo_facts(&photo, &document)), None),
            Err(trouble) => (None, Some(trouble.message().to_owned())),
        };
        let view = self.view(&document.plan)?;
        Ok(PaintingState {
            id: self.id.clone(),
            title: document.title,
            file,
            revision,
            undo,
            redo,
            photo,
            photo_trouble,
            view,
        })
    }

    /// The same as JSON. Every screen that shows the painting asks for it at every change, all at once: it is made once.
    pub(crate) fn state_as_sent(&self) -> Result<Bytes, Trouble> {
        let mut sent = locked(&self.sent);
        let moment = locked(&self.painting).moment()?;
        if let Some((made, json)) = &*sent
            && *made == moment
        {
            return Ok(json.clone());
        }
        let json = Bytes::from(serde_json::to_vec(&self.state()?).map_err(Trouble::own_fault)?);
        *sent = Some((moment, json.clone()));
        Ok(json)
    }

    /// The view of a plan of this painting: the present one or one that is tried.
    pub(crate) fn view(&self, plan: &Plan) -> Result<View, Trouble> {
        let last = locked(&self.painting).last_check()?;
        let report = last.and_then(|check| serde_json::from_str::<Report>(&check.result).ok());
        let view = View::of(plan, sheets::FURNITURE);
        Ok(match report {
            Some(report) => view.with_check(&report.held_against(plan), plan),
            None => view,
        })
    }

    /// Does something with the painting's checks.
    pub(crate) fn with_checks<T>(
        &self,
        act: impl FnOnce(&mut Painting) -> Result<T, PaintingError>,
    ) -> Result<T, PaintingError> {
        act(&mut locked(&self.painting))
    }

    /// Goes on with a check: what `act` makes of it is kept, and nothing else of this studio is written to the painting meanwhile.
    pub(crate) fn go_on_with_check<T>(
        &self,
        number: i64,
        act: impl FnOnce(&KeptCheck) -> Result<(String, T), Trouble>,
    ) -> Result<(KeptCheck, T), Trouble> {
        let mut painting = locked(&self.painting);
        let kept = painting.check(number)?;
        let (result, made) = act(&kept)?;
        painting.replace_check(number, &result)?;
        Ok((kept, made))
    }

    /// The photo of a check.
    pub(crate) fn photo_of_check(&self, check: &KeptCheck) -> Result<Arc<Photo>, Trouble> {
        self.canvas_photo.take(check.photo, CANVAS_PHOTO, || Ok(locked(&self.painting).photo(check.photo)?))
    }

    fn photo_facts(&self, photo: &Photo, document: &Document) -> PhotoFacts {
        let (size, camera) = (photo.size(), photo.camera());
        let version = crate::pictures::version(document);
        let lens = camera.focal_length_35mm.map(|mm| format!("{mm:.0} mm (as on 35 mm film)"));
        let distance = document.plan.camera_distance(camera.focal_length_35mm, SitterHead::GROWN_UP);
        PhotoFacts {
            too_near: distance.as_ref().is_ok_and(CameraDistance::is_too_near),
            camera: distance.map_or_else(|error| error.to_string(), |far| far.sentence(document.plan.unit)),
            id: document.photo.map_or_else(String::new, |id| id.to_string()),
            format: photo.format().to_string(),
            pixels: format!("{} x {}", size.width, size.height),
            colour: photo.colour().name.clone(),
            colour_note: photo.colour().note.clone(),
            taken: camera.taken.map(|taken| taken.to_string()),
            lens,
            picture: format!("/api/paintings/{}/picture.jpg?v={version}", self.id),
            easel: format!("/api/paintings/{}/easel.jpg?v={version}", self.id),
            original: format!("/api/paintings/{}/original.jpg?v={version}", self.id),
            toned: format!("/api/paintings/{}/toned.jpg?v={}", self.id, tones::version(document)),
        }
    }
}

impl Trouble {
    /// Changes that start from a revision that is no longer the present one.
    pub(crate) fn of_change(error: PaintingError) -> Self {
        match error.fault {
            Fault::NothingToUndo | Fault::NothingToRedo => Self::refused(error),
            _ => error.into(),
        }
    }
}

/// A lock whose holder panicked still holds sound data: every change of it is whole or not made at all.
pub(crate) fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
