//! A photo that stays open while it is worked with.

use std::sync::{Arc, Mutex};

use painting::PhotoId;
use photo::Photo;

use crate::answer::Trouble;
use crate::lock::locked;

/// The photo that is at hand: the one brought in or asked for last. One, because it is some megabytes, and a painter works from
/// one reference and looks at one check at a time.
#[derive(Default)]
pub(crate) struct PhotoAtHand(Mutex<Option<(PhotoId, Arc<Photo>)>>);

impl PhotoAtHand {
    /// Takes a photo that was brought in, and names it.
    pub(crate) fn bring_in(&self, bytes: Vec<u8>, name: String) -> Result<(PhotoId, Arc<Photo>), Trouble> {
        let id = PhotoId::of(&bytes);
        let photo = Arc::new(Photo::from_bytes(bytes, name)?);
        *locked(&self.0) = Some((id, Arc::clone(&photo)));
        Ok((id, photo))
    }

    /// The photo with this id, opened from what `bytes` gives if it is not at hand; messages call it `name`. It is held while it is
    /// opened, so that two requests do not open it twice.
    pub(crate) fn take(
        &self,
        id: PhotoId,
        name: &str,
        bytes: impl FnOnce() -> Result<Vec<u8>, Trouble>,
    ) -> Result<Arc<Photo>, Trouble> {
        let mut at_hand = locked(&self.0);
        if let Some((known, photo)) = &*at_hand
            && *known == id
        {
            return Ok(Arc::clone(photo));
        }
        let photo = Arc::new(Photo::from_bytes(bytes()?, name)?);
        *at_hand = Some((id, Arc::clone(&photo)));
        Ok(photo)
    }
}

/// What messages call the photo of the canvas.
pub(crate) const CANVAS_PHOTO: &str = "The photo of the canvas";
