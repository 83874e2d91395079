//! What a check found, as a table for the painter.

use std::fmt::Write as _;

use check::Report;
use plan::Plan;

/// Values that differ by less than this many steps are no news; it stands in words where none does.
const TOLD_STEPS: f64 = 0.5;

/// The most boxes whose values are told.
const MOST_BOXES: usize = 6;

/// The table that a painter reads.
pub(super) fn table(report: &Report, plan: &Plan) -> String {
    let (few_seen, others) = report.parted_warnings();
    let mut text = few_seen.map_or_else(String::new, |few| format!("{few}\n\n"));
    // Writing to a String does not fail.
    let _ = writeln!(text, "Let pass: {}", check::small_length(report.tolerance(), plan.ruler));
    let names = report.lines.iter().map(|line| line.name.chars().count()).max().unwrap_or_default();
    for line in &report.lines {
        let _ = writeln!(text, "{:<names$}  {}", line.name, line.in_words(plan.ruler));
    }
    let _ = writeln!(text, "\n{}", report.shape.in_words(plan.ruler));
    for sentence in drift(report, plan) {
        let _ = writeln!(text, "{sentence}");
    }
    for sentence in values(report) {
        let _ = writeln!(text, "{sentence}");
    }
    if !others.is_empty() {
        text.push('\n');
    }
    for warning in others {
        let _ = writeln!(text, "{warning}");
    }
    text
}

fn drift(report: &Report, plan: &Plan) -> Vec<String> {
    let Some(drift) = &report.drift else { return Vec::new() };
    let mut told = vec![format!("\n{}", drift.whole_in_words(plan.ruler))];
    told.extend(drift.standing_out(plan.ruler, report.nose()));
    told.extend(drift.not_counted());
    told.extend(drift.remarks());
    let differing = report.proportions.iter().filter(|proportion| proportion.differs);
    told.extend(differing.map(|proportion| {
        format!(
            "{}: {} in the reference, {} painted",
            proportion.what, proportion.reference, proportion.painting
        )
    }));
    told
}

/// Values that differ, as an indication.
fn values(report: &Report) -> Vec<String> {
    let Some(values) = report.values.as_ref().filter(|_| report.shows_paint()) else { return Vec::new() };
    let differing = values.differing(TOLD_STEPS);
    if differing.is_empty() {
        return vec!["\nValues, for orientation only: no box differs by half a value or more.".to_owned()];
    }
    let boxes: Vec<String> = differing
        .iter()
        .take(MOST_BOXES)
        .map(|one| {
            let way = if one.too_light() > 0.0 { "lighter" } else { "darker" };
            format!(
                "{} {:.1} {way} ({:.1}, reference {:.1})",
                one.name,
                one.too_light().abs(),
                one.painting,
                one.reference
            )
        })
        .collect();
    let more = differing.len().saturating_sub(MOST_BOXES);
    let more = match more {
        0 => String::new(),
        1 => " and 1 more box".to_owned(),
        more => format!(" and {more} more boxes"),
    };
    vec![format!("\nValues on the Munsell scale, for orientation only: {}{more}.", boxes.join("; "))]
}
