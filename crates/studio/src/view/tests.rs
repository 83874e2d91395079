//! What the page is told about a plan.

use super::*;
use crate::shape::Matrix;
use plan::{Canvas, HeadMarks, Insets, Length, PhotoPoint, PhotoSize, Place, Reference, Unit};

fn furniture() -> Insets {
    Insets { bottom: Length::mm(12.0), left: Length::mm(8.0), ..Insets::default() }
}

fn portrait() -> Plan {
    let mut plan = Plan::new(Canvas::nominal(Length::inches(16.0), Length::inches(20.0)), Unit::Inch);
    let mut reference = Reference::fitted(PhotoSize { width: 3000, height: 4000 });
    reference.head =
        Some(HeadMarks { crown: PhotoPoint::new(1500.0, 500.0), chin: PhotoPoint::new(1500.0, 2500.0) });
    reference.place = Place::Head { height: Length::inches(8.0), middle: None };
    plan.reference = Some(reference);
    plan
}

fn sentences(plan: &Plan) -> Vec<String> {
    View::of(plan, furniture(), PrinterCorrection::NONE)
        .notebook
        .into_iter()
        .map(|line| line.sentence)
        .collect()
}

#[test]
fn the_notebook_read_down_is_the_plan_of_the_painting() {
    assert_eq!(
        sentences(&portrait()),
        [
            "3000 x 4000 pixels",
            "16 x 20 in (40.6 x 50.8 cm), not measured",
            "Head 8 in, 6 in below the top edge",
            "Quarters",
            "12 marks; along the top the first at 4 in",
            "2 landmarks, no measures",
            "9 reference sheets of Letter at true size, no seam within 5/8 in of the face",
            "Photograph the canvas to see what is off",
        ]
    );
}

#[test]
fn a_painting_without_a_photo_says_what_it_needs() {
    let mut plan = portrait();
    plan.reference = None;
    let view = View::of(&plan, furniture(), PrinterCorrection::NONE);
    assert!(view.reference.is_none() && view.sheets.is_none());
    let needed: Vec<_> =
        view.notebook.iter().filter(|line| line.state == LineState::Needed).map(|line| line.key).collect();
    assert_eq!(needed, [StepKey::Reference, StepKey::Placing, StepKey::Likeness, StepKey::Print]);
}

#[test]
fn the_matrix_lays_the_photo_where_the_plan_says() {
    let plan = portrait();
    let Matrix([a, b, c, d, e, f]) =
        View::of(&plan, furniture(), PrinterCorrection::NONE).reference.unwrap().matrix;
    let crown = plan.head().unwrap().crown;
    let (x, y) = (a * 1500.0 + c * 500.0 + e, b * 1500.0 + d * 500.0 + f);
    assert!((x - crown.x.to_mm()).abs() < 1e-9 && (y - crown.y.to_mm()).abs() < 1e-9);
}

#[test]
fn the_whole_view_can_be_sent() {
    let text = serde_json::to_string(&View::of(&portrait(), furniture(), PrinterCorrection::NONE)).unwrap();
    assert!(text.contains("\"golden-section\"") && !text.contains("null,null"));
}
