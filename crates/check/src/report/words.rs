//! The report in a painter's words.

use plan::{Direction, InchDivision, Length, Ruler};

use super::LineReport;
use crate::grid_check::{UnplannedLine, Verdict};
use crate::lines::Seen;

impl LineReport {
    /// What is to be thought of the line: `off by 1/8 in (3.2 mm) to the right, give or take 1/64 in (0.2 mm); redraw it`.
    pub fn in_words(&self, ruler: Ruler) -> String {
        let (Some(start), Some(end), Some(offset)) = (self.start_mm, self.end_mm, self.offset_mm) else {
            return "not seen in this photo; it may be there all the same".to_owned();
        };
        let give = self.give_or_take();
        match self.verdict {
            Verdict::True => {
                format!("true, to within {}", at_most(Length::mm(self.worst_mm() + give), ruler))
            }
            Verdict::Off => {
                let (near_off, far_off) = (self.told(start, ruler), self.told(end, ruler));
                let off = |told: &Option<String>, place: &str| match told {
                    Some(told) => format!("off by {told} at the {place}"),
                    None => format!("in its place at the {place}"),
                };
                let [near, far] = self.ends();
                let told = match (&near_off, &far_off) {
                    (Some(near_off), Some(far_off)) if near_off == far_off || self.is_parallel() => {
                        format!("off by {}", self.told(offset, ruler).as_ref().unwrap_or(near_off))
                    }
                    _ => format!("{}, {}", off(&near_off, near), off(&far_off, far)),
                };
                format!("{told}, give or take {}; redraw it", at_most(Length::mm(give), ruler))
            }
            Verdict::CannotTell if self.seen == Seen::Unsure => {
                "cannot tell: something is there that a thread, or another line, could also be".to_owned()
            }
            Verdict::CannotTell if self.other_mm.is_some() => {
                let of = |mm: f64| {
                    self.told(mm, ruler)
                        .map_or_else(|| "in its place".to_owned(), |told| format!("off by {told}"))
                };
                let (one, other) = (of(offset), of(self.other_mm.unwrap_or(0.0)));
                format!("cannot tell: two lines run here, one {one}, another {other}; rub out the wrong one")
            }
            Verdict::CannotTell => {
                let off = small_length(Length::mm(self.worst_mm()), ruler);
                format!("cannot tell: off by {off}, give or take {}", at_most(Length::mm(give), ruler))
            }
        }
    }

    /// The widest of the half-widths of the line's three places, mm.
    fn give_or_take(&self) -> f64 {
        [self.start_95_mm, self.offset_95_mm, self.end_95_mm].into_iter().flatten().fold(0.0, f64::max)
    }

    /// True when its ends are off alike, as far as the photo tells.
    fn is_parallel(&self) -> bool {
        let (start, end) = (self.start_mm.unwrap_or(0.0), self.end_mm.unwrap_or(0.0));
        let sure = self.start_95_mm.unwrap_or(0.0) + self.end_95_mm.unwrap_or(0.0);
        (start - end).abs() <= sure
    }

    /// An offset with its direction; `None` where the ruler reads nothing.
    fn told(&self, mm: f64, ruler: Ruler) -> Option<String> {
        let towards = match (self.direction, mm < 0.0) {
            (Direction::Vertical, false) => "to the right",
            (Direction::Vertical, true) => "to the left",
            (_, false) => "too low",
            (_, true) => "too high",
        };
        distance(mm, ruler).map(|told| format!("{told}{} {towards}", metric_too(mm, ruler)))
    }

    const fn ends(&self) -> [&'static str; 2] {
        match self.direction {
            Direction::Vertical => ["top", "bottom"],
            Direction::Horizontal | Direction::Down | Direction::Up => ["left", "right"],
        }
    }
}

impl UnplannedLine {
    /// Where it runs, in a sentence.
    pub fn in_words(&self, ruler: Ruler) -> String {
        let middle = self.from.towards(self.to, 0.5);
        match self.direction {
            Direction::Vertical => {
                format!(
                    "A line that is not planned runs down the canvas, {} from the left.",
                    ruler.read(middle.x)
                )
            }
            _ => format!(
                "A line that is not planned runs across the canvas, {} from the top.",
                ruler.read(middle.y)
            ),
        }
    }
}

/// The division of an inch that errors are read to: at least as fine as what is let pass.
const fn fine(division: InchDivision) -> InchDivision {
    match division {
        InchDivision::Eighth | InchDivision::Sixteenth => InchDivision::ThirtySecond,
        finer => finer,
    }
}

/// A distance between what was planned and what is there, to a fine division of an inch or a tenth of a millimetre; `None` where that
/// reads nothing.
pub(crate) fn distance(mm: f64, ruler: Ruler) -> Option<String> {
    match ruler {
        Ruler::Inch(division) => {
            let reading = Ruler::Inch(fine(division)).read(Length::mm(mm.abs()));
            (reading.rounded() > Length::ZERO).then(|| reading.to_string())
        }
        Ruler::Metric(..) => (mm.abs() >= 0.05).then(|| format!("{:.1} mm", mm.abs())),
    }
}

/// The same with millimetres beside inches, and never nothing.
pub fn distance_in_both(length: Length, ruler: Ruler) -> String {
    let mm = length.to_mm();
    distance(mm, ruler)
        .map_or_else(|| small_length(length.abs(), ruler), |told| format!("{told}{}", metric_too(mm, ruler)))
}

/// A small length as it is told to the painter: the nearest division of the finest ruler, with millimetres beside inches.
pub fn small_length(length: Length, ruler: Ruler) -> String {
    told(length.to_mm(), ruler, f64::round)
}

/// How far off something may be at most, in the same way but rounded up, so that it claims no more than is known.
pub fn at_most(length: Length, ruler: Ruler) -> String {
    told(length.to_mm(), ruler, |divisions| (divisions - 1e-9).ceil())
}

/// At least one division: a length that is told is not nothing.
fn told(mm: f64, ruler: Ruler, rounded: fn(f64) -> f64) -> String {
    let tenths = rounded(mm * 10.0).max(1.0) / 10.0;
    match ruler {
        Ruler::Inch(_) => {
            let finest = Ruler::Inch(InchDivision::SixtyFourth);
            let divisions = rounded(mm / finest.division().to_mm()).max(1.0);
            format!("{} ({tenths:.1} mm)", finest.read(finest.division() * divisions))
        }
        Ruler::Metric(..) => format!("{tenths:.1} mm"),
    }
}

/// The millimetres that go with a reading in inches.
fn metric_too(mm: f64, ruler: Ruler) -> String {
    match ruler {
        Ruler::Inch(_) => format!(" ({:.1} mm)", mm.abs()),
        Ruler::Metric(..) => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use plan::Unit;

    use super::*;

    #[test]
    fn a_distance_is_told_alike_alone_and_beside_millimetres() {
        for (mm, unit, alone, both) in [
            (0.8, Unit::Inch, Some("1/32 in"), "1/32 in (0.8 mm)"),
            (-1.2, Unit::Inch, Some("1/16 in"), "1/16 in (1.2 mm)"),
            (0.3, Unit::Inch, None, "1/64 in (0.3 mm)"),
            (-1.24, Unit::Centimetre, Some("1.2 mm"), "1.2 mm"),
            (0.01, Unit::Millimetre, None, "0.1 mm"),
        ] {
            let ruler = Ruler::usual(unit);
            assert_eq!(distance(mm, ruler).as_deref(), alone);
            assert_eq!(distance_in_both(Length::mm(mm), ruler), both);
        }
    }
}
