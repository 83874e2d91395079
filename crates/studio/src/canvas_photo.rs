//! The photo of the canvas: brought in for a check, and at hand while the check is looked at.

use std::sync::{Arc, Mutex};

use painting::PhotoId;
use photo::Photo;

use crate::answer::Trouble;
use crate::state::locked;

/// The photo that is at hand: the one brought in last, or that of the check looked at last. One, because it is some megabytes
/// and a painter looks at one check at a time.
#[derive(Default)]
pub(crate) struct CanvasPhotoAtHand(Mutex<Option<(PhotoId, Arc<Photo>)>>);

impl CanvasPhotoAtHand {
    /// Takes a photo that was brought in, and names it.
    pub(crate) fn bring_in(&self, bytes: Vec<u8>, name: String) -> Result<(PhotoId, Arc<Photo>), Trouble> {
        let id = PhotoId::of(&bytes);
        let photo = Arc::new(Photo::from_bytes(bytes, name)?);
        *locked(&self.0) = Some((id, Arc::clone(&photo)));
        Ok((id, photo))
    }

    /// The photo of this name; `otherwise` finds the bytes of one that is not at hand.
    pub(crate) fn take(
        &self,
        id: PhotoId,
        otherwise: impl FnOnce() -> Result<Vec<u8>, Trouble>,
    ) -> Result<Arc<Photo>, Trouble> {
        let at_hand = locked(&self.0).clone();
        if let Some((_, photo)) = at_hand.filter(|(at_hand, _)| *at_hand == id) {
            return Ok(photo);
        }
        let photo = Arc::new(Photo::from_bytes(otherwise()?, "The photo of the canvas")?);
        *locked(&self.0) = Some((id, Arc::clone(&photo)));
        Ok(photo)
    }
}
