//! What a check found, as a table for the painter and as JSON for programs.

use std::fmt::Write as _;

use check::{Drift, GridCheck, ImagePoint, LineCheck, Seen, Standing, UnplannedLine, Verdict};
use plan::{Direction, InchDivision, Length, MetricDivision, Plan, Ruler, Unit};
use serde::Serialize;

use crate::plan_options::other_unit;

/// What a check found.
#[derive(Serialize)]
pub(super) struct CheckReport {
    outline_px: [ImagePoint; 4],
    outline: Standing,
    lens: LensJson,
    rms_px: f64,
    lines: Vec<LineJson>,
    drift: Option<Drift>,
    warnings: Vec<String>,
    #[serde(skip)]
    tolerance: Length,
}

#[derive(Serialize)]
struct LensJson {
    k1: f64,
    k1_sd: f64,
}

#[derive(Serialize)]
struct LineJson {
    name: String,
    direction: Direction,
    planned_mm: f64,
    found: bool,
    seen: Seen,
    start_mm: Option<f64>,
    end_mm: Option<f64>,
    offset_mm: Option<f64>,
    offset_95_mm: Option<f64>,
    tilt_deg: Option<f64>,
    verdict: Verdict,
}

impl CheckReport {
    pub(super) fn of(check: &GridCheck, drift: Option<Drift>) -> Self {
        let mut warnings: Vec<String> = check.warnings.iter().map(ToString::to_string).collect();
        warnings.extend(check.unplanned.iter().map(unplanned));
        Self {
            outline_px: check.outline_px,
            outline: check.outline,
            lens: LensJson { k1: check.lens.k1, k1_sd: check.lens.k1_sd },
            rms_px: check.rms_px,
            lines: check.lines.iter().map(LineJson::of).collect(),
            drift,
            warnings,
            tolerance: Length::mm(check.tolerance_mm),
        }
    }

    /// The table that a painter reads.
    pub(super) fn table(&self, plan: &Plan) -> String {
        let ruler = fine(plan.ruler);
        let mut text = String::new();
        // Writing to a String does not fail.
        let _ = writeln!(text, "Let pass: {}", both(self.tolerance, ruler));
        let names = self.lines.iter().map(|line| line.name.chars().count()).max().unwrap_or_default();
        for line in &self.lines {
            let _ = writeln!(text, "{:<names$}  {}", line.name, line.sentence(ruler));
        }
        if let Some(drift) = &self.drift {
            let _ = writeln!(text, "\n{}", drift.whole.in_words(ruler));
            for words in drift.standing_out(ruler, None) {
                let _ = writeln!(text, "{words}");
            }
            if !drift.set_aside.is_empty() {
                let _ = writeln!(text, "Set aside for the whole: {}.", drift.set_aside.join(", "));
            }
        }
        if !self.warnings.is_empty() {
            text.push('\n');
        }
        for warning in &self.warnings {
            let _ = writeln!(text, "{warning}");
        }
        text
    }
}

impl LineJson {
    fn of(line: &LineCheck) -> Self {
        let place = line.place;
        Self {
            name: line.name.clone(),
            direction: line.direction,
            planned_mm: line.planned_mm,
            found: line.found,
            seen: line.seen,
            start_mm: place.map(|place| place.start_mm),
            end_mm: place.map(|place| place.end_mm),
            offset_mm: place.map(|place| place.offset_mm),
            offset_95_mm: place.map(|place| place.offset_95_mm),
            tilt_deg: place.map(|place| place.tilt_deg),
            verdict: line.verdict,
        }
    }

    fn sentence(&self, ruler: Ruler) -> String {
        let (Some(start), Some(end), Some(offset), Some(sure)) =
            (self.start_mm, self.end_mm, self.offset_mm, self.offset_95_mm)
        else {
            return "not seen in this photo; it may be there all the same".to_owned();
        };
        match self.verdict {
            Verdict::True => format!("true (off by {:.1} ± {sure:.1} mm)", offset.abs()),
            Verdict::Off => {
                let [near, far] = self.ends();
                let (near_off, far_off) = (self.told(start, ruler), self.told(end, ruler));
                if near_off == far_off {
                    format!("off by {near_off} (± {sure:.1} mm), redraw")
                } else {
                    format!(
                        "off by {near_off} at the {near}, {far_off} at the {far} (± {sure:.1} mm), redraw"
                    )
                }
            }
            Verdict::CannotTell => {
                let seen = if self.seen == Seen::Unsure { "perhaps a line, " } else { "" };
                format!("cannot tell: {seen}off by {:.1} ± {sure:.1} mm", offset.abs())
            }
        }
    }

    fn told(&self, mm: f64, ruler: Ruler) -> String {
        let towards = match (self.direction, mm < 0.0) {
            (Direction::Vertical, false) => "to the right",
            (Direction::Vertical, true) => "to the left",
            (_, false) => "down",
            (_, true) => "up",
        };
        let length = Length::mm(mm.abs());
        if ruler.read(length).rounded() == Length::ZERO {
            return "less than the ruler shows".to_owned();
        }
        format!("{} {towards}", both(length, ruler))
    }

    const fn ends(&self) -> [&'static str; 2] {
        match self.direction {
            Direction::Vertical => ["top", "bottom"],
            Direction::Horizontal | Direction::Down | Direction::Up => ["left", "right"],
        }
    }
}

/// The ruler that errors are read on: at least as fine as what is let pass.
const fn fine(ruler: Ruler) -> Ruler {
    match ruler {
        Ruler::Inch(InchDivision::Eighth | InchDivision::Sixteenth) => {
            Ruler::Inch(InchDivision::ThirtySecond)
        }
        Ruler::Metric(MetricDivision::Millimetre) => Ruler::Metric(MetricDivision::HalfMillimetre),
        finer => finer,
    }
}

/// A length as the ruler shows it, and in the other unit.
fn both(length: Length, ruler: Ruler) -> String {
    let other = match other_unit(ruler) {
        Unit::Inch => format!("{:.2} in", length.to_inches()),
        _ => format!("{:.1} mm", length.to_mm()),
    };
    format!("{} ({other})", ruler.read(length))
}

fn unplanned(line: &UnplannedLine) -> String {
    let middle = line.from.towards(line.to, 0.5);
    match line.direction {
        Direction::Vertical => {
            format!(
                "A line that is not planned runs down the canvas, {:.0} mm from the left.",
                middle.x.to_mm()
            )
        }
        _ => format!(
            "A line that is not planned runs across the canvas, {:.0} mm from the top.",
            middle.y.to_mm()
        ),
    }
}
