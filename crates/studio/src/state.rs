//! What the studio keeps in mind while it runs: its folder, its doors, and the paintings that are open.

use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard};

use jiff::Timestamp;
use tokio::sync::watch;

use crate::answer::Trouble;
use crate::folder::Folder;
use crate::known_screens;
use crate::lock::locked;
use crate::open_painting::Open;
use crate::second_screen::SecondScreen;

/// The most paintings kept open at once; a painter works on a few. Beyond it all are closed that no one is using.
const MAX_OPEN: usize = 12;

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

impl Studio {
    /// Screens that were let in before are let in again once the door is open.
    pub(crate) fn new(folder: Folder, port: u16, second_screen: SecondScreen) -> Self {
        second_screen.pairing().let_in_again(known_screens::read(folder.path()), Timestamp::now());
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
        let file = self.file_of(id)?;
        let painting = Arc::new(Open::of(id, file, self.folder.path())?);
        *kept = Some(Arc::clone(&painting));
        Ok(painting)
    }

    /// Lets the screens that may see a painting know it by this title.
    pub(crate) fn titled(&self, id: &str, title: &str) {
        if self.second_screen.pairing().rename(id, title) {
            known_screens::keep(self);
        }
    }

    /// The slot of a painting that is open or on the shelf.
    fn slot(&self, id: &str) -> Result<Arc<Slot>, Trouble> {
        if let Some(slot) = locked(&self.open).get(id) {
            return Ok(Arc::clone(slot));
        }
        // An id that no painting bears takes no room.
        self.file_of(id)?;
        let mut open = locked(&self.open);
        if open.len() >= MAX_OPEN {
            open.retain(|_, slot| slot.is_in_use());
        }
        Ok(Arc::clone(open.entry(id.to_owned()).or_default()))
    }

    fn file_of(&self, id: &str) -> Result<PathBuf, Trouble> {
        let file = self.folder.find(id);
        if file.is_none() {
            self.folder.check()?;
        }
        file.ok_or_else(Trouble::not_found)
    }

    /// The paintings that are open.
    pub(crate) fn opened(&self) -> Vec<Arc<Open>> {
        let slots: Vec<Arc<Slot>> = locked(&self.open).values().cloned().collect();
        slots.iter().filter_map(|slot| locked(&slot.0).clone()).collect()
    }

    /// Closes a painting whose file is to be moved.
    pub(crate) fn forget(&self, id: &str) {
        locked(&self.open).remove(id);
    }
}
