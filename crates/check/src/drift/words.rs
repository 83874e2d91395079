//! Drift in a painter's words.

use plan::{CanvasPoint, Length, Reading, Ruler};

use super::{Drift, OwnDrift, WholeDrift};
use crate::report::distance;

/// A feature nearer to the face's middle line than this, mm, has no side to be off towards.
const ON_THE_MIDDLE: f64 = 3.0;

impl WholeDrift {
    /// The whole in a sentence, leaving out what is less than its uncertainty or than the ruler shows:
    /// `As a whole 1/8 in low, 1/16 in to the right, 3.0 % too large, turned 0.5° clockwise.`
    pub fn in_words(&self, ruler: Ruler) -> String {
        let mut parts = Vec::new();
        if self.down_mm.abs() > self.down_95_mm {
            let word = if self.down_mm < 0.0 { "high" } else { "low" };
            parts.extend(distance(self.down_mm, ruler).map(|told| format!("{told} {word}")));
        }
        if self.right_mm.abs() > self.right_95_mm {
            let side = if self.right_mm < 0.0 { "to the left" } else { "to the right" };
            parts.extend(distance(self.right_mm, ruler).map(|told| format!("{told} {side}")));
        }
        if self.size_percent.abs() > self.size_95_percent {
            let word = if self.size_percent < 0.0 { "small" } else { "large" };
            parts.push(format!("{:.1} % too {word}", self.size_percent.abs()));
        }
        if self.turn_deg.abs() > self.turn_95_deg {
            let way = if self.turn_deg < 0.0 { "anticlockwise" } else { "clockwise" };
            parts.push(format!("turned {:.1}° {way}", self.turn_deg.abs()));
        }
        if parts.is_empty() {
            "As a whole in its place, as far as this photo tells.".to_owned()
        } else {
            format!("As a whole {}.", parts.join(", "))
        }
    }
}

impl OwnDrift {
    /// The landmark's own error: `right pupil 1/8 in low, 1/16 in toward the nose`. With the planned place of the nose,
    /// sideways is told towards it or away from it, except of what lies on the face's middle line.
    pub fn in_words(&self, ruler: Ruler, nose: Option<CanvasPoint>) -> String {
        let sideways = read(self.right_mm, ruler).map(|reading| {
            let from_nose =
                nose.map(|nose| (self.planned.x - nose.x).to_mm()).filter(|off| off.abs() > ON_THE_MIDDLE);
            match from_nose {
                Some(off) if off * self.right_mm < 0.0 => format!("{reading} toward the nose"),
                Some(_) => format!("{reading} away from the nose"),
                None if self.right_mm < 0.0 => format!("{reading} to the left"),
                None => format!("{reading} to the right"),
            }
        });
        let parts: Vec<String> = up_or_down(self.down_mm, ruler).into_iter().chain(sideways).collect();
        if parts.is_empty() {
            format!("{} in its place", self.name)
        } else {
            format!("{} {}", self.name, parts.join(", "))
        }
    }
}

impl Drift {
    /// Which landmarks were set aside when the whole was judged, in a sentence; nothing if none was.
    pub fn not_counted(&self) -> Option<String> {
        let alone = match self.set_aside.len() {
            0 => return None,
            1 => "itself",
            _ => "themselves",
        };
        Some(format!(
            "Not counted for the whole, being too far off by {alone}: {}.",
            self.set_aside.join(", ")
        ))
    }

    /// The landmarks that stand out, in words.
    pub fn standing_out(&self, ruler: Ruler, nose: Option<CanvasPoint>) -> Vec<String> {
        self.own.iter().filter(|own| own.stands_out).map(|own| own.in_words(ruler, nose)).collect()
    }
}

fn up_or_down(mm: f64, ruler: Ruler) -> Option<String> {
    let word = if mm < 0.0 { "high" } else { "low" };
    read(mm, ruler).map(|reading| format!("{reading} {word}"))
}

/// The size of an error on the ruler; `None` when it reads zero.
fn read(mm: f64, ruler: Ruler) -> Option<Reading> {
    let reading = ruler.read(Length::mm(mm.abs()));
    (reading.rounded() > Length::ZERO).then_some(reading)
}
