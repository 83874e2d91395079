//! What a painting is at one moment of its history, and how it is written.

use plan::{Plan, PlanError};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::error::Fault;
use crate::photos::PhotoId;

/// The schema of the written document. Whoever adds a field to [`Document`] or to anything in it gives it a
/// `#[serde(default)]` and raises this number: an older Mahlstick would drop the field with its next edit, so it has to
/// know that it must not touch the file.
const SCHEMA: u32 = 1;

/// The most bytes of one written document: several times a plan with every detail box it may have.
pub const MAX_DOCUMENT_BYTES: usize = 256 * 1024;

/// The most characters of a title: two lines on the plan sheet.
pub const MAX_TITLE_CHARS: usize = 200;

/// What a painting is at one moment: all that the painter decided, and nothing that follows from it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Document {
    /// The painting's title; may be empty.
    pub title: String,
    /// The photo painted from, once there is one, as the painter brought it.
    #[serde(default)]
    pub photo: Option<PhotoId>,
    /// Canvas, placing and grid.
    pub plan: Plan,
}

/// Why a painting cannot be.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum DocumentError {
    /// The plan cannot be carried out.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The title is too long.
    #[error("The title has more than {MAX_TITLE_CHARS} characters. Choose a shorter one.")]
    TitleTooLong,
    /// The title is more than one line, or has signs that cannot be shown.
    #[error("The title has a line break or a sign that cannot be shown. Write it in one line.")]
    TitleNotALine,
    /// The whole is too large to be written.
    #[error("The plan holds too much text. Shorten the names of its detail boxes.")]
    TooLarge,
}

impl Document {
    /// Checks that the painting can be.
    ///
    /// # Errors
    /// The first thing that cannot be, as a sentence for the painter.
    pub fn check(&self) -> Result<(), DocumentError> {
        if self.title.chars().count() > MAX_TITLE_CHARS {
            return Err(DocumentError::TitleTooLong);
        }
        if self.title.chars().any(char::is_control) {
            return Err(DocumentError::TitleNotALine);
        }
        self.plan.check()?;
        Ok(())
    }

    /// The document as text with its schema's number, checked.
    pub(crate) fn write(&self) -> Result<String, Fault> {
        self.check().map_err(Fault::Refused)?;
        let text = serde_json::to_string(&Written { schema: SCHEMA, document: self })
            .map_err(|error| Fault::Unreachable(error.to_string()))?;
        if text.len() > MAX_DOCUMENT_BYTES {
            return Err(Fault::Refused(DocumentError::TooLarge));
        }
        Ok(text)
    }

    /// Reads what [`Document::write`] wrote, now or years ago.
    pub(crate) fn read(text: &str) -> Result<Self, Fault> {
        let damaged = |error: serde_json::Error| Fault::Damaged(error.to_string());
        let Schema { schema } = serde_json::from_str(text).map_err(damaged)?;
        if schema > SCHEMA {
            return Err(Fault::Newer);
        }
        let document: Self = serde_json::from_str(text).map_err(damaged)?;
        document.check().map_err(Fault::Absurd)?;
        Ok(document)
    }
}

#[derive(Serialize)]
struct Written<'a> {
    schema: u32,
    #[serde(flatten)]
    document: &'a Document,
}

#[derive(Deserialize)]
struct Schema {
    schema: u32,
}
