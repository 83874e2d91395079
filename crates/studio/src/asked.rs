//! What a request asks, read from its body, address or path; what cannot be read is told in a sentence.

use axum::extract::rejection::{JsonRejection, PathRejection, QueryRejection};
use axum::extract::{FromRequest, FromRequestParts, Path, Query, Request};
use axum::http::request::Parts;
use axum::{Json, RequestPartsExt as _};
use serde::de::DeserializeOwned;

use crate::answer::Trouble;

/// A request's body, as JSON.
pub(crate) struct Body<T>(pub(crate) T);

/// What stands after the question mark of a request's address.
pub(crate) struct Wishes<T>(pub(crate) T);

/// The painting that a request is about, by its id in the path.
pub(crate) struct PaintingId(pub(crate) String);

/// A check of a painting that a request is about, by their ids in the path.
pub(crate) struct CheckNumber {
    /// The painting's id.
    pub(crate) painting: String,
    /// The check's number.
    pub(crate) number: i64,
}

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Body<T> {
    type Rejection = Trouble;

    async fn from_request(request: Request, state: &S) -> Result<Self, Trouble> {
        let Json(asked) = Json::from_request(request, state)
            .await
            .map_err(|error: JsonRejection| Trouble::new(error.status(), unreadable(&error.body_text())))?;
        Ok(Self(asked))
    }
}

impl<S: Send + Sync, T: DeserializeOwned> FromRequestParts<S> for Wishes<T> {
    type Rejection = Trouble;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Trouble> {
        let Query(asked) = Query::try_from_uri(&parts.uri)
            .map_err(|error: QueryRejection| Trouble::new(error.status(), unreadable(&error.body_text())))?;
        Ok(Self(asked))
    }
}

impl<S: Send + Sync> FromRequestParts<S> for PaintingId {
    type Rejection = Trouble;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Trouble> {
        let Path(id) = parts
            .extract()
            .await
            .map_err(|error: PathRejection| Trouble::new(error.status(), unreadable(&error.body_text())))?;
        Ok(Self(id))
    }
}

impl<S: Send + Sync> FromRequestParts<S> for CheckNumber {
    type Rejection = Trouble;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Trouble> {
        let Path((painting, number)) = parts
            .extract()
            .await
            .map_err(|error: PathRejection| Trouble::new(error.status(), unreadable(&error.body_text())))?;
        Ok(Self { painting, number })
    }
}

/// The page sends what can be read; whoever else asks is told what was wrong.
fn unreadable(what: &str) -> String {
    format!("The studio cannot read this request: {what}.")
}
