//! The screens that are let in, kept in the shelf's folder from one start of the studio to the next.

use std::path::Path;
use std::sync::Mutex;

use jiff::SignedDuration;
use serde::{Deserialize, Serialize};

use crate::answer::Trouble;
use crate::kept_list;
use crate::lock::locked;
use crate::state::Studio;

/// The file in the shelf's folder that keeps them.
const SCREENS_FILE: &str = "screens.json";

/// How long a screen is known after it was let in: as long as a large commission takes. One that was given away is forgotten then.
pub(crate) const KNOWN_FOR: SignedDuration = SignedDuration::from_hours(180 * 24);

/// A screen that is let in when it comes again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct KnownScreen {
    /// Its number; no other that is known has it.
    pub(crate) number: u64,
    /// When it was let in first (RFC 3339).
    pub(crate) since: String,
    /// The paintings it may see, by their ids.
    pub(crate) paintings: Vec<String>,
    /// The SHA-256 of the token that it shows, in hexadecimal.
    pub(crate) token: String,
}

/// The screens known in this folder; none if there is no such list or it cannot be read.
pub(crate) fn read(folder: &Path) -> Vec<KnownScreen> {
    kept_list::read(folder, SCREENS_FILE)
}

/// One after another, so that what is kept last is what holds.
static KEEPING: Mutex<()> = Mutex::new(());

/// Keeps who is let in now; `what` names what has changed in the message if it cannot be kept.
pub(crate) fn keep(studio: &Studio, what: &str) -> Result<(), Trouble> {
    let _one_at_a_time = locked(&KEEPING);
    let known = studio.second_screen().pairing().known();
    kept_list::write(studio.folder().path(), SCREENS_FILE, &known, what)
}
