//! What the page sends: several edits as JSON, one on a line, each made on what the one before left.

#![no_main]

use libfuzzer_sys::fuzz_target;
use plan::{Canvas, Insets, Length, PhotoSize, Plan, PrinterCorrection, Reference, Unit};
use studio::edit::{Edit, edited};
use studio::view::View;

fuzz_target!(|bytes: &[u8]| {
    let mut plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(16.0)), Unit::Inch);
    plan.reference = Some(Reference::fitted(PhotoSize { width: 3000, height: 4000 }));
    // A printer that prints a little small across and a little large along the paper.
    let printer = PrinterCorrection::from_bars(Length::mm(99.0), Length::mm(100.5)).expect("a printer's bars");
    for line in bytes.split(|byte| *byte == b'\n') {
        let Ok(edit) = serde_json::from_slice::<Edit>(line) else { continue };
        if let Ok((changed, _)) = edited(&plan, &edit, printer) {
            changed.check().expect("an edit leaves a plan that can be carried out");
            plan = changed;
        }
    }
    let view = View::of(&plan, Insets::default(), printer);
    serde_json::to_vec(&view).expect("what is derived from the plan can be told");
});
