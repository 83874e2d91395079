//! The reference in other tones: grey, a value map, a squint; and the value at a spot. Made by the server, so that every
//! screen shows the same, and kept while the photo and its size on the canvas stay.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex};

use painting::Document;
use photo::{Photo, Picture, Stop};
use plan::{CanvasPoint, HeadMarks, Length, PhotoPoint, Placing, Reference};
use sheets::reference_picture;
use values::{Exposure, Tone, value_at};

use crate::answer::Trouble;
use crate::fingerprint::fingerprint;
use crate::lock::locked;
use crate::pictures::{DISPLAY_QUALITY, DISPLAY_SIDE, EASEL_SIDE, SHEETS_SIDE, version as photo_version};

/// The most finished pictures kept for one painting: the maps of all numbers of steps, a grey, and some squints.
const MAX_KEPT: usize = 12;

/// The scale of the photo on the canvas is told apart in steps of so much, so that not every slight change of it makes
/// every map anew: a smoothing of 2 mm is then true to 0.02 mm.
const SCALE_STEP: f64 = 0.01;

/// What a picture in a tone is for, which says how fine it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Use {
    /// A screen.
    Screen,
    /// Pictures of the sheets.
    Sheets,
}

/// The pictures of one painting's reference in other tones, made when first asked for.
#[derive(Default)]
pub(crate) struct Tones {
    /// The picture that maps and squints for screens are made from, and the version of the photo it shows.
    source: Mutex<Option<(String, Arc<Picture>)>>,
    /// Finished pictures by their name, the one that was asked for last at the end.
    finished: Mutex<VecDeque<(String, Arc<Vec<u8>>)>>,
    /// Held while a picture is made, so that two requests neither make the same one nor crowd each other out.
    making: Mutex<()>,
}

impl Tones {
    /// The reference in a tone as a JPEG. The work ends between its stages, and while the photo is
    /// read, once `stop` is told to stop.
    ///
    /// # Errors
    /// When there is no photo, it cannot be read, or the work was given up.
    pub(crate) fn jpeg(
        &self,
        photo: &Photo,
        document: &Document,
        tone: Tone,
        what_for: Use,
        stop: &Stop,
    ) -> Result<Arc<Vec<u8>>, Trouble> {
        let name = format!("{} {tone} {what_for:?}", version(document));
        if let Some(picture) = self.known(&name) {
            return Ok(picture);
        }
        let _one_at_a_time = locked(&self.making);
        if let Some(picture) = self.known(&name) {
            return Ok(picture);
        }
        let photo = &photo.stopped_by(stop);
        let go_on = || if stop.is_stopped() { Err(Trouble::refused("Stopped.")) } else { Ok(()) };
        go_on()?;
        let picture = match (what_for, tone) {
            (Use::Sheets, _) => picture_of(photo, document, SHEETS_SIDE)?,
            // A grey is as sharp as the photo beside which it is looked at.
            (Use::Screen, Tone::Photo | Tone::Grey) => picture_of(photo, document, EASEL_SIDE)?,
            (Use::Screen, _) => self.source(photo, document)?.as_ref().clone(),
        };
        go_on()?;
        let pixel = laid(document)?.pixel_of(&picture);
        let toned = tone.of(picture, pixel);
        go_on()?;
        let jpeg = Arc::new(toned.to_jpeg(DISPLAY_QUALITY)?);
        let mut finished = locked(&self.finished);
        finished.push_back((name, Arc::clone(&jpeg)));
        if finished.len() > MAX_KEPT {
            finished.pop_front();
        }
        Ok(jpeg)
    }

    /// The Munsell value of a spot of this diameter on the canvas, around a point of the canvas.
    ///
    /// # Errors
    /// When there is no photo, it cannot be read, or the spot lies beside it or beyond the canvas.
    pub(crate) fn value_at(
        &self,
        photo: &Photo,
        document: &Document,
        at: CanvasPoint,
        diameter: Length,
    ) -> Result<f64, Trouble> {
        let laid = laid(document)?;
        // The photo may reach farther, but is not seen there.
        if !document.plan.canvas.outline().bounds().contains(at) {
            return Err(Trouble::refused("That spot lies beyond the canvas. Pick one on it."));
        }
        let picture = self.source(photo, document)?;
        let at = laid.reduced(laid.placing.to_photo(at), &picture);
        value_at(&picture, at, laid.pixel_of(&picture), diameter)
            .ok_or_else(|| Trouble::refused("That spot lies beside the photo. Pick one on it."))
    }

    /// How light the head is, or the whole photo while no head is marked.
    ///
    /// # Errors
    /// When there is no photo, or it cannot be read.
    pub(crate) fn exposure(&self, photo: &Photo, document: &Document) -> Result<Exposure, Trouble> {
        let laid = laid(document)?;
        let picture = self.source(photo, document)?;
        let reduced = |at| laid.reduced(at, &picture);
        let head = laid.reference.head;
        let head =
            head.map(|HeadMarks { crown, chin }| HeadMarks { crown: reduced(crown), chin: reduced(chin) });
        Ok(Exposure::of(&picture, head))
    }

    fn known(&self, name: &str) -> Option<Arc<Vec<u8>>> {
        let mut finished = locked(&self.finished);
        let at = finished.iter().position(|(known, _)| known == name)?;
        let found = finished.remove(at)?;
        let picture = Arc::clone(&found.1);
        finished.push_back(found);
        Some(picture)
    }

    fn source(&self, photo: &Photo, document: &Document) -> Result<Arc<Picture>, Trouble> {
        let version = photo_version(document);
        let mut source = locked(&self.source);
        if let Some((known, picture)) = &*source
            && *known == version
        {
            return Ok(Arc::clone(picture));
        }
        let picture = Arc::new(picture_of(photo, document, DISPLAY_SIDE)?);
        *source = Some((version, Arc::clone(&picture)));
        Ok(picture)
    }
}

/// A short name for what pictures in tones are made of: it changes when the photo, its squaring up, or its size on the
/// canvas does.
pub(crate) fn version(document: &Document) -> String {
    let pixel = document.plan.placing().map_or(1.0, |placing| placing.pixel().to_mm());
    let scale = (pixel.ln() / SCALE_STEP).round();
    fingerprint(format!("{} {scale}", photo_version(document)))
}

/// A reference with how it lies on the canvas.
struct Laid<'a> {
    reference: &'a Reference,
    placing: Placing,
}

impl Laid<'_> {
    /// How many pixels of the reduced picture a pixel of the reference is.
    fn shrunk(&self, picture: &Picture) -> f64 {
        f64::from(picture.width()) / f64::from(self.reference.size().width)
    }

    /// A point of the reference in the reduced picture's pixels.
    fn reduced(&self, at: PhotoPoint, picture: &Picture) -> PhotoPoint {
        let shrunk = self.shrunk(picture);
        PhotoPoint::new(at.x * shrunk, at.y * shrunk)
    }

    /// The size on the canvas of a pixel of the reduced picture.
    fn pixel_of(&self, picture: &Picture) -> Length {
        self.placing.pixel() / self.shrunk(picture)
    }
}

fn laid(document: &Document) -> Result<Laid<'_>, Trouble> {
    let laid = document.plan.reference.as_ref().zip(document.plan.placing());
    let (reference, placing) = laid.ok_or_else(no_photo)?;
    Ok(Laid { reference, placing })
}

fn picture_of(photo: &Photo, document: &Document, longest_side: u32) -> Result<Picture, Trouble> {
    Ok(reference_picture(photo, laid(document)?.reference, Some(longest_side))?)
}

/// Said where a picture is asked for before there is a photo.
pub(crate) fn no_photo() -> Trouble {
    Trouble::refused("There is no photo in this painting yet.")
}
