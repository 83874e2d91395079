//! The screens that are let in, kept in the shelf's folder from one start of the studio to the next.

use std::path::Path;

use jiff::SignedDuration;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::kept_list;
use crate::state::Studio;

/// The file in the shelf's folder that keeps them.
const SCREENS_FILE: &str = "screens.json";

/// How long a screen is known after it brought a code: as long as a large commission takes. One that was given away is forgotten then.
pub(crate) const KNOWN_FOR: SignedDuration = SignedDuration::from_hours(180 * 24);

/// A screen that is let in when it comes again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct KnownScreen {
    /// Its number; no other that is known has it.
    pub(crate) number: usize,
    /// When it brought a code last (RFC 3339).
    pub(crate) since: String,
    /// The paintings it may see.
    pub(crate) paintings: Vec<ShownPainting>,
    /// The SHA-256 of the token that it shows, in hexadecimal.
    pub(crate) token: String,
}

/// A painting that a screen may see.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub(crate) struct ShownPainting {
    /// By which the page asks for it.
    pub(crate) id: String,
    /// Its title.
    pub(crate) title: String,
}

/// The screens known in this folder; none if there is no such list or it cannot be read.
pub(crate) fn read(folder: &Path) -> Vec<KnownScreen> {
    kept_list::read(folder, SCREENS_FILE)
}

/// Keeps who is let in now. Where it cannot be kept, whoever asks for the screens is told until it can.
pub(crate) fn keep(studio: &Studio) {
    let screens = studio.second_screen();
    // One after another, so that what is kept last is what holds.
    let mut not_kept = screens.not_kept();
    let known = screens.pairing().known();
    *not_kept =
        kept_list::write(studio.folder().path(), SCREENS_FILE, &known, "Which screens are let in").err();
}

/// Why it is not kept who is let in, if it is not; tries once more first.
pub(crate) fn why_not_kept(studio: &Studio) -> Option<String> {
    if studio.second_screen().not_kept().is_some() {
        keep(studio);
    }
    let not_kept = studio.second_screen().not_kept();
    not_kept.as_ref().map(|trouble| {
        format!(
            "{} Until then it holds only as long as the studio runs: one that was sent away may come in again after that.",
            trouble.message()
        )
    })
}
