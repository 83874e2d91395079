//! What was reached, and the table of it.

use crate::conditions::Condition;

/// What one kind of photo showed.
#[derive(Default)]
pub(crate) struct Tally {
    pub(crate) photos: usize,
    pub(crate) refused: Vec<String>,
    pub(crate) point_mm: Vec<f64>,
    pub(crate) points_covered: Covered,
    pub(crate) offset_mm: Vec<f64>,
    pub(crate) offsets_covered: Covered,
    pub(crate) drawn: usize,
    pub(crate) found: usize,
    pub(crate) empty: usize,
    pub(crate) false_finds: usize,
    pub(crate) unplanned: usize,
    pub(crate) doubted: usize,
    pub(crate) wrong: usize,
    pub(crate) wrong_called_off: usize,
    pub(crate) fine: usize,
    pub(crate) fine_called_true: usize,
    pub(crate) fine_called_off: usize,
    pub(crate) landmark_mm: Vec<f64>,
    pub(crate) shift_mm: Vec<f64>,
    pub(crate) size_percent: Vec<f64>,
    pub(crate) turn_deg: Vec<f64>,
    pub(crate) whole_covered: Covered,
    pub(crate) clicked_mm: Vec<f64>,
    pub(crate) clicked_covered: Covered,
    pub(crate) seconds: Vec<f64>,
    /// Of the check started from the finder's own proposal.
    pub(crate) proposed_right: usize,
    pub(crate) proposed_mm: Vec<f64>,
    pub(crate) proposed_offset_mm: Vec<f64>,
}

#[derive(Default)]
pub(crate) struct Covered {
    pub(crate) inside: usize,
    pub(crate) all: usize,
}

impl Covered {
    pub(crate) fn add(&mut self, off: f64, half_width: f64) {
        self.all += 1;
        self.inside += usize::from(off.abs() <= half_width);
    }

    pub(crate) fn percent(&self) -> f64 {
        100.0 * self.inside as f64 / self.all.max(1) as f64
    }
}

fn percentile(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(((sorted.len().max(1) - 1) as f64 * share).round() as usize).copied().unwrap_or(f64::NAN)
}

pub(crate) fn report(tally: &Tally, condition: &Condition) {
    let share = |part: usize, whole: usize| 100.0 * part as f64 / whole.max(1) as f64;
    println!("{}: {} photos, {} refused", condition.what, tally.photos, tally.refused.len());
    for refused in &tally.refused {
        println!("  {refused}");
    }
    let p95 = |values: &[f64]| percentile(values, 0.95);
    let bowed = condition.bow > 0.0;
    let rows = [
        ("any point, p95 mm", if bowed { "0.3" } else { "0.2" }, p95(&tally.point_mm)),
        ("any point, median mm", "", percentile(&tally.point_mm, 0.5)),
        ("intervals of points cover, %", "92 to 98", tally.points_covered.percent()),
        ("line's offset, p95 mm", if bowed { "0.2" } else { "0.15" }, p95(&tally.offset_mm)),
        ("line's offset, largest mm", "", percentile(&tally.offset_mm, 1.0)),
        ("intervals of offsets cover, %", "92 to 98", tally.offsets_covered.percent()),
        ("drawn lines found, %", "99", share(tally.found, tally.drawn)),
        ("false finds on empty bands, %", "1", share(tally.false_finds, tally.empty)),
        ("2 mm off called off, %", "99", share(tally.wrong_called_off, tally.wrong)),
        ("true called true, %", "98", share(tally.fine_called_true, tally.fine)),
        ("true called off, %", "", share(tally.fine_called_off, tally.fine)),
        ("unplanned lines told, none there", "", tally.unplanned as f64),
        ("outlines doubted that are right", "0", tally.doubted as f64),
        ("landmark, p95 mm", "0.7", p95(&tally.landmark_mm)),
        ("drift: shift, p95 mm", "0.25", p95(&tally.shift_mm)),
        ("drift: size, p95 %", "0.26", p95(&tally.size_percent)),
        ("drift: turn, p95 degrees", "0.15", p95(&tally.turn_deg)),
        ("intervals of drift cover, %", "92 to 98", tally.whole_covered.percent()),
        ("eight clicks, 406 x 508, p95 mm", if bowed { "" } else { "0.52" }, p95(&tally.clicked_mm)),
        ("intervals of eight clicks cover, %", "92 to 98", tally.clicked_covered.percent()),
        ("finder's proposal right, %", "95", share(tally.proposed_right, tally.photos)),
        ("from it: any point, p95 mm", if bowed { "0.3" } else { "0.2" }, p95(&tally.proposed_mm)),
        (
            "from it: line's offset, p95 mm",
            if bowed { "0.2" } else { "0.15" },
            p95(&tally.proposed_offset_mm),
        ),
        ("seconds, median", "2", percentile(&tally.seconds, 0.5)),
    ];
    println!("  {:<36} {:>9} {:>9}", "what", "aim", "reached");
    for (what, aim, reached) in rows.into_iter().filter(|row| row.2.is_finite()) {
        println!("  {what:<36} {aim:>9} {reached:>9.3}");
    }
    println!("  lines drawn {}, empty bands {}, lines 2 mm off {}", tally.drawn, tally.empty, tally.wrong);
}
