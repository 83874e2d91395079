//! Lengths as typed: one, a pair, a list.

#![no_main]

use libfuzzer_sys::fuzz_target;
use plan::{Length, Ruler, Unit, parse_list, parse_pair};

fuzz_target!(|text: &str| {
    for bare in [None, Some(Unit::Inch), Some(Unit::Centimetre), Some(Unit::Millimetre)] {
        if let Ok(stated) = Length::parse(text, bare) {
            assert!(stated.length.is_finite());
            let written = stated.length.in_unit(stated.unit);
            let again = Length::parse(&written, None).expect("what is written is read back").length;
            // Three decimals of an inch are written at most.
            assert!((again - stated.length).abs() <= Length::inches(0.000_51), "{text} {written}");
        }
        let _ = parse_pair(text, bare);
        let _ = parse_list(text, bare);
    }
    let _ = text.parse::<Ruler>();
});
