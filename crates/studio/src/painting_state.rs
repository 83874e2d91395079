//! What the page shows of a painting: its state, and what is known of its photo.

use painting::{Document, Revision};
use photo::Photo;
use plan::{CameraDistance, SitterHead};
use serde::Serialize;
use utoipa::ToSchema;

use crate::tones;
use crate::view::View;

/// Everything the page shows of a painting.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PaintingState {
    /// By which the page asks for it.
    pub(crate) id: String,
    /// Its title; blank for one that has none yet.
    pub(crate) title: String,
    /// The name of its file, which stays when the title is changed.
    pub(crate) file: String,
    /// Counts its changes: an edit says from which it starts.
    #[schema(value_type = i64)]
    pub(crate) revision: Revision,
    /// What would be undone, in words.
    pub(crate) undo: Option<String>,
    /// What would be done again, in words.
    pub(crate) redo: Option<String>,
    /// The photo, if there is one.
    pub(crate) photo: Option<PhotoFacts>,
    /// Why the photo cannot be shown, if there is one that cannot.
    pub(crate) photo_trouble: Option<String>,
    /// Everything that follows from its plan.
    pub(crate) view: View,
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

impl PhotoFacts {
    /// What is known of the photo of the painting with this id.
    pub(crate) fn of(id: &str, photo: &Photo, document: &Document) -> Self {
        let (size, camera) = (photo.size(), photo.camera());
        let version = crate::pictures::version(document);
        let lens = camera.focal_length_35mm.map(|mm| format!("{mm:.0} mm (as on 35 mm film)"));
        let distance = document.plan.camera_distance(camera.focal_length_35mm, SitterHead::GROWN_UP);
        Self {
            too_near: distance.as_ref().is_ok_and(CameraDistance::is_too_near),
            camera: distance.map_or_else(|error| error.to_string(), |far| far.sentence(document.plan.unit)),
            id: document.photo.map_or_else(String::new, |id| id.to_string()),
            format: photo.format().to_string(),
            pixels: format!("{} x {}", size.width, size.height),
            colour: photo.colour().name.clone(),
            colour_note: photo.colour().note.clone(),
            taken: camera.taken.map(|taken| taken.to_string()),
            lens,
            picture: format!("/api/paintings/{id}/picture.jpg?v={version}"),
            easel: format!("/api/paintings/{id}/easel.jpg?v={version}"),
            original: format!("/api/paintings/{id}/original.jpg?v={version}"),
            toned: format!("/api/paintings/{}/toned.jpg?v={}", id, tones::version(document)),
        }
    }
}
