//! The painting's own file, to be kept elsewhere: on a stick, in the mail.

use std::fs::File;
use std::io::{self, Read};
use std::sync::Arc;

use axum::body::Body;
use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_LENGTH, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use painting::{EXTENSION, IfExists};
use tempfile::TempDir;

use super::paper::disposition;
use super::work;
use crate::answer::{Trouble, Troubles};
use crate::asked::PaintingId;
use crate::state::Studio;

/// How much of the file is held in memory at once, bytes.
const PIECE: usize = 256 * 1024;

/// The painting's file as it stands, with all that is in it, named after the painting and the day.
#[utoipa::path(get, path = "/api/paintings/{id}/file", params(("id" = String, Path)),
    responses((status = 200, body = Vec<u8>, content_type = "application/octet-stream"), Troubles))]
pub(super) async fn own_file(
    State(studio): State<Arc<Studio>>,
    PaintingId(id): PaintingId,
) -> Result<Response, Trouble> {
    let (title, copy, length) = work(move || {
        let open = studio.open(&id)?;
        let folder = tempfile::tempdir().map_err(Trouble::own_fault)?;
        let path = folder.path().join("copy");
        open.with_painting(|painting| painting.copy_to(&path, IfExists::Refuse))?;
        let file = File::open(&path).map_err(Trouble::own_fault)?;
        let length = file.metadata().map_err(Trouble::own_fault)?.len();
        Ok((open.present()?.document.title, Copy { file, _folder: folder }, length))
    })
    .await?;
    let day = jiff::Zoned::now().date().to_string();
    let headers = [
        (CONTENT_DISPOSITION, disposition(&title, &day, EXTENSION)),
        (CONTENT_TYPE, "application/octet-stream".to_owned()),
        (CONTENT_LENGTH, length.to_string()),
    ];
    Ok((headers, Body::from_stream(tokio_stream::iter(copy))).into_response())
}

/// A copy that is gone when it was sent.
struct Copy {
    file: File,
    _folder: TempDir,
}

impl Iterator for Copy {
    type Item = io::Result<Vec<u8>>;

    fn next(&mut self) -> Option<Self::Item> {
        let mut piece = Vec::with_capacity(PIECE);
        match self.file.by_ref().take(PIECE as u64).read_to_end(&mut piece) {
            Ok(0) => None,
            Ok(_) => Some(Ok(piece)),
            Err(error) => Some(Err(error)),
        }
    }
}
