//! A painting that is open: its file, its pictures, and who wants to hear of its changes.

#[cfg(unix)]
use std::os::unix::fs::MetadataExt as _;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, TryLockError};

use axum::body::Bytes;
use painting::{Document, KeptCheck, Moment, Painting, PaintingError, Present, Revision};
use photo::Photo;
use plan::{Plan, PrinterCorrection};
use tokio::sync::broadcast;

use crate::answer::Trouble;
use crate::choices;
use crate::folder::file_name;
use crate::lock::locked;
use crate::painting_state::{PaintingState, PhotoFacts};
use crate::paper;
use crate::photo_at_hand::{CANVAS_PHOTO, PhotoAtHand};
use crate::pictures::Pictures;
use crate::tones::Tones;
use crate::view::View;

/// News that a slow tab may be behind by before it is told to look afresh.
const NEWS_KEPT: usize = 16;

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
    /// The error of the printer that is chosen for it: sheets are laid out by it.
    correction: Mutex<PrinterCorrection>,
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
    /// Something beside its plan was chosen, or a check was made or gone on with.
    Chosen,
    /// Work that takes a while has come to this, in words.
    Working(String),
}

impl Open {
    /// The painting of this id, opened from its file in the shelf's folder.
    pub(crate) fn of(id: &str, file: PathBuf, shelf: &Path) -> Result<Self, PaintingError> {
        // Before it is opened: it is the file of this moment that is looked through.
        let identity = identity(&file);
        let mut painting = Painting::open(&file)?;
        choices::take_over(shelf, id, &mut painting)?;
        Ok(Self {
            correction: Mutex::new(paper::correction_of(shelf, &choices::of(&painting)?)),
            id: id.to_owned(),
            identity,
            painting: Mutex::new(painting),
            file,
            pictures: Pictures::default(),
            photo: PhotoAtHand::default(),
            canvas_photo: PhotoAtHand::default(),
            tones: Tones::default(),
            news: broadcast::Sender::new(NEWS_KEPT),
            sent: Mutex::default(),
            at_work: Mutex::default(),
        })
    }

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

    /// The error of the printer that is chosen for it.
    pub(crate) fn correction(&self) -> PrinterCorrection {
        *locked(&self.correction)
    }

    /// Looks anew which printer is chosen, and what is known of its error.
    pub(crate) fn look_at_printer(&self, shelf: &Path) -> Result<(), PaintingError> {
        let chosen = choices::of(&locked(&self.painting))?;
        *locked(&self.correction) = paper::correction_of(shelf, &chosen);
        *locked(&self.sent) = None;
        Ok(())
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
            Ok(photo) => (photo.map(|photo| PhotoFacts::of(&self.id, &photo, &document)), None),
            Err(trouble) => (None, Some(trouble.message().to_owned())),
        };
        let view = self.view(&document.plan)?;
        let view = if photo_trouble.is_some() { view.without_its_photo() } else { view };
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
        Ok(View::of(plan, sheets::FURNITURE, self.correction()).with_last_check(last.as_ref(), plan))
    }

    /// Does something with what the painting keeps beside its plan: its checks, what was chosen for it.
    pub(crate) fn with_painting<T, E>(
        &self,
        act: impl FnOnce(&mut Painting) -> Result<T, E>,
    ) -> Result<T, E> {
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
}
