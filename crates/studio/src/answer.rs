//! Answers that say in a painter's words what went wrong.

use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use painting::{Fault, PaintingError};
use serde::Serialize;
use utoipa::{IntoResponses, ToSchema};

use crate::edit::EditError;
use crate::painting_state::PaintingState;

/// What went wrong with a request: a status and a sentence.
#[derive(Debug)]
pub(crate) struct Trouble {
    status: StatusCode,
    told: Box<TroubleTold>,
}

/// What the page is told when something cannot be.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Trouble)]
pub(crate) struct TroubleTold {
    /// A sentence for the painter.
    message: String,
    /// The painting as it stands, where the page has to take it over.
    state: Option<PaintingState>,
}

/// The troubles that any request can meet, for the OpenAPI document.
#[derive(IntoResponses)]
#[expect(dead_code, reason = "describes the answers; they are made from `Trouble`")]
pub(crate) enum Troubles {
    /// The request cannot be read.
    #[response(status = 400)]
    Unreadable(TroubleTold),
    /// The painting's file may not be written to.
    #[response(status = 403)]
    NotAllowed(TroubleTold),
    /// There is no such painting.
    #[response(status = 404)]
    NotFound(TroubleTold),
    /// The painting was changed elsewhere in the meantime; `state` is how it stands.
    #[response(status = 409)]
    ChangedElsewhere(TroubleTold),
    /// The file is larger than may be.
    #[response(status = 413)]
    TooLarge(TroubleTold),
    /// The request is of another kind than is read here.
    #[response(status = 415)]
    OtherKind(TroubleTold),
    /// What was asked cannot be.
    #[response(status = 422)]
    Refused(TroubleTold),
    /// Another program holds the painting.
    #[response(status = 503)]
    InUse(TroubleTold),
    /// The disk is full, or the painting's history is as long as it may be.
    #[response(status = 507)]
    Full(TroubleTold),
}

impl Trouble {
    pub(crate) fn new(status: StatusCode, message: impl Into<String>) -> Self {
        Self { status, told: Box::new(TroubleTold { message: message.into(), state: None }) }
    }

    /// The sentence for the painter.
    pub(crate) fn message(&self) -> &str {
        &self.told.message
    }

    /// There is no such painting, or no such page.
    pub(crate) fn not_found() -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            "That painting is not on the shelf. It may have been taken down, moved or renamed.",
        )
    }

    /// What was asked cannot be.
    #[expect(clippy::needless_pass_by_value, reason = "handed to `map_err` as it is")]
    pub(crate) fn refused(error: impl ToString) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, error.to_string())
    }

    /// The program itself failed.
    #[expect(clippy::needless_pass_by_value, reason = "handed to `map_err` as it is")]
    pub(crate) fn own_fault(what: impl ToString) -> Self {
        let what = what.to_string();
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            format!("Something failed that should not ({what}). Nothing was changed. Please report it."),
        )
    }

    /// Changes that start from a revision that is no longer the present one.
    pub(crate) fn of_change(error: PaintingError) -> Self {
        match error.fault {
            Fault::NothingToUndo | Fault::NothingToRedo => Self::refused(error),
            _ => error.into(),
        }
    }

    /// The painting was changed elsewhere in the meantime; `state` is how it stands.
    pub(crate) fn changed_elsewhere(state: PaintingState) -> Self {
        let message =
            "The painting was changed in another window. Here is how it stands now; make your change again.";
        let told = TroubleTold { message: message.to_owned(), state: Some(state) };
        Self { status: StatusCode::CONFLICT, told: Box::new(told) }
    }

    pub(crate) fn is_conflict(&self) -> bool {
        self.status == StatusCode::CONFLICT
    }
}

impl IntoResponse for Trouble {
    fn into_response(self) -> Response {
        (self.status, Json(self.told)).into_response()
    }
}

impl From<EditError> for Trouble {
    fn from(error: EditError) -> Self {
        Self::refused(error)
    }
}

impl From<PaintingError> for Trouble {
    fn from(error: PaintingError) -> Self {
        let status = match &error.fault {
            Fault::NotFound | Fault::Moved | Fault::NoSuchCheck => StatusCode::NOT_FOUND,
            Fault::ChangedElsewhere { .. } => StatusCode::CONFLICT,
            Fault::ReadOnly | Fault::NotAllowed => StatusCode::FORBIDDEN,
            Fault::InUse => StatusCode::SERVICE_UNAVAILABLE,
            Fault::Full | Fault::HistoryFull => StatusCode::INSUFFICIENT_STORAGE,
            Fault::Unreachable(_) => StatusCode::INTERNAL_SERVER_ERROR,
            _ => StatusCode::UNPROCESSABLE_ENTITY,
        };
        // The painter is before this painting: only elsewhere need its file be named.
        let message = match &error.fault {
            Fault::NothingToUndo => "There is nothing to undo.".to_owned(),
            Fault::NothingToRedo => "There is nothing to redo.".to_owned(),
            _ => error.to_string(),
        };
        Self::new(status, message)
    }
}

impl From<check::CanvasPhotoError> for Trouble {
    fn from(error: check::CanvasPhotoError) -> Self {
        Self::refused(error)
    }
}

impl From<photo::PhotoError> for Trouble {
    fn from(error: photo::PhotoError) -> Self {
        Self::refused(error)
    }
}
