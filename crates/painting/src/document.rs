//! What a painting is at one moment of its history, and how it is written.

use plan::{Plan, PlanError};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::error::Fault;
use crate::photos::PhotoId;

/// The schema of the written document. Whoever adds a field to [`Document`] or to anything in it gives it a
/// `#[serde(default)]` and raises this number: an older Mahlstick would drop the field with its next edit, so it has to
/// know that it must not touch the file.
const SCHEMA: u32 = 3;

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
    #[error("The plan holds too much text. Shorten the names of detail boxes, landmarks and measures.")]
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

#[cfg(test)]
mod tests {
    use plan::{
        Canvas, CanvasPoint, CanvasRect, DetailBox, Grid, Landmark, Length, Measure, Measured, PhotoPoint,
        SquareUp,
    };
    use proptest::prelude::*;
    use serde_json::{Value, json};

    use super::*;
    use crate::portrait::portrait;

    /// A document with something in every field.
    fn full() -> Document {
        let mut document = portrait("Harbour pilot");
        let side = Length::inches(12.0);
        document.plan.canvas =
            Canvas { measured: Some(Measured::rectangle(side, side)), ..Canvas::nominal(side, side) };
        let corners = [(100.0, 120.0), (2900.0, 80.0), (2950.0, 3900.0), (60.0, 3950.0)];
        if let Some(reference) = &mut document.plan.reference {
            reference.square_up =
                Some(SquareUp { corners: corners.map(|(x, y)| PhotoPoint::new(x, y)), shape: Some(0.75) });
            reference.focal_35mm = Some(50.0);
        }
        let at = |x, y| PhotoPoint::new(x, y);
        document.plan.landmarks = vec![
            Landmark { name: "right pupil".into(), at: at(1300.0, 1480.0) },
            Landmark { name: "scar".into(), at: at(1700.5, 1900.25) },
        ];
        document.plan.measures = vec![Measure {
            to_landmark: Some("scar".into()),
            ..Measure::new("eye", at(1200.0, 1480.0), at(1400.0, 1482.0))
        }];
        document.plan.unit_measure = Some("eye".to_owned());
        let rect = CanvasRect::new(CanvasPoint::mm(50.8, 50.8), Length::inches(8.0), Length::inches(8.0));
        document.plan.details = vec![DetailBox::new("Head".to_owned(), rect, Grid::parts(8, 8))];
        document
    }

    /// When this changes, paintings of earlier versions still have to open, and [`SCHEMA`] has to be raised.
    #[test]
    fn the_written_document_of_this_schema_is_known() {
        let document = full();
        let written = Written { schema: SCHEMA, document: &document };
        insta::assert_snapshot!(serde_json::to_string_pretty(&written).unwrap());
    }

    #[test]
    fn a_field_of_a_newer_schema_is_not_dropped_but_refused() {
        let mut document: Value = serde_json::from_str(&full().write().unwrap()).unwrap();
        document["schema"] = json!(SCHEMA + 1);
        document["plan"]["lightFrom"] = json!("left");
        assert_eq!(Document::read(&document.to_string()), Err(Fault::Newer));
    }

    /// Schema 2 had neither the look of lines nor landmarks under the ends of measures.
    #[test]
    fn a_document_of_schema_2_is_read_as_it_was_meant() {
        let expected = full();
        let mut written: Value = serde_json::from_str(&expected.write().unwrap()).unwrap();
        written["schema"] = json!(2);
        written["plan"]["printing"].as_object_mut().unwrap().remove("line_look").unwrap();
        for end in ["from_landmark", "to_landmark"] {
            written["plan"]["measures"][0].as_object_mut().unwrap().remove(end).unwrap();
        }
        let mut plan = expected.plan.clone();
        plan.measures[0].to_landmark = None;
        assert_eq!(Document::read(&written.to_string()), Ok(Document { plan, ..expected }));
    }

    /// Replaces the value at every place of a document, one at a time.
    fn with_each_place(document: &Value, value: &Value, look: &mut impl FnMut(&Value)) {
        fn places(at: &Value, path: &str, found: &mut Vec<String>) {
            found.push(path.to_owned());
            match at {
                Value::Object(fields) => {
                    fields.iter().for_each(|(name, field)| places(field, &format!("{path}/{name}"), found));
                }
                Value::Array(items) => {
                    items
                        .iter()
                        .enumerate()
                        .for_each(|(at, item)| places(item, &format!("{path}/{at}"), found));
                }
                _ => {}
            }
        }
        let mut found = Vec::new();
        places(document, "", &mut found);
        for place in found {
            let mut changed = document.clone();
            *changed.pointer_mut(&place).unwrap() = value.clone();
            look(&changed);
        }
    }

    #[test]
    fn any_value_anywhere_is_read_as_a_painting_that_can_be_or_refused() {
        let document: Value = serde_json::from_str(&full().write().unwrap()).unwrap();
        let mut refused = 0;
        for value in [
            json!(null),
            json!(true),
            json!(0),
            json!(-1),
            json!(0.001),
            json!(1e308),
            json!(-1e308),
            json!(5e-324),
            json!(4_294_967_295_u32),
            json!(i64::MIN),
            json!(u64::MAX),
            json!(""),
            json!("inch"),
            json!([]),
            json!({}),
        ] {
            with_each_place(&document, &value, &mut |changed| match Document::read(&changed.to_string()) {
                Ok(read) => {
                    assert_eq!(Document::read(&read.write().unwrap()), Ok(read), "{changed}");
                }
                Err(Fault::Damaged(_) | Fault::Absurd(_) | Fault::Newer) => refused += 1,
                Err(other) => panic!("{changed}: {other:?}"),
            });
        }
        assert!(refused > 500, "only {refused} were refused");
    }

    proptest! {
        #[test]
        fn a_measurement_keeps_its_last_digit(width in 10.0..5000.0_f64, height in 10.0..5000.0_f64) {
            let mut document = full();
            document.plan = Plan::new(Canvas::nominal(Length::mm(width), Length::mm(height)), plan::Unit::Inch);
            prop_assert_eq!(Document::read(&document.write().unwrap()).unwrap(), document);
        }
    }
}
