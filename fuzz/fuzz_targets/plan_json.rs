//! A plan as plain JSON, of any bytes: read as `import` reads it, and everything derived from it if it is accepted.

#![no_main]

use libfuzzer_sys::fuzz_target;
use painting::Document;
use plan::{Insets, PrinterCorrection, marks};
use studio::view::View;

fuzz_target!(|bytes: &[u8]| {
    let Ok(document) = serde_json::from_slice::<Document>(bytes) else { return };
    if document.check().is_err() {
        return;
    }
    let plan = &document.plan;
    let _ = (marks(plan), plan.head(), plan.placing(), plan.open_share());
    let view = View::of(plan, Insets::default(), PrinterCorrection::NONE);
    serde_json::to_vec(&view).expect("what is derived from an accepted plan can be told");
    let kept = serde_json::to_vec(&document).expect("an accepted plan can be kept");
    let again: Document = serde_json::from_slice(&kept).expect("and read again");
    assert_eq!(again, document);
});
