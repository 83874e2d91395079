//! Drift in a painter's words.

use plan::{CanvasPoint, Length, Ruler};

use super::similarity::FEWEST_TO_JUDGE;
use super::{Drift, OwnDrift, WholeDrift};
use crate::NORMAL_95;
use crate::report::{at_most, distance, distance_in_both, small_length};

/// A feature nearer to the face's middle line than this, mm, has no side to be off towards.
const ON_THE_MIDDLE: f64 = 3.0;

/// The four numbers of the whole are judged together, as the landmarks are: shared out after Bonferroni, the bound is the
/// normal distribution's quantile at 1 − 0.05 / 8.
const NORMAL_95_OF_FOUR: f64 = 2.497_705;

/// What is said of a number of the whole that may be chance.
const NOTHING_SURE: &str = "nothing that one photo can tell";

/// One number of the whole drift in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WholeNumber {
    /// What it is.
    pub what: &'static str,
    /// How much: `1/8 in (3.2 mm) low`; that nothing can be told when it may be chance.
    pub told: String,
    /// Give or take so much.
    pub give_or_take: String,
    /// Whether it is more than chance.
    pub surely: bool,
}

impl WholeDrift {
    /// The four numbers: across, up and down, size and turn.
    pub fn numbers(&self, ruler: Ruler) -> [WholeNumber; 4] {
        let of = |what, number: f64, half_95, told, give_or_take| {
            let surely = Self::is_beyond_chance(number, half_95);
            WholeNumber {
                what,
                told: if surely { told } else { NOTHING_SURE.to_owned() },
                give_or_take,
                surely,
            }
        };
        let length = |mm: f64, way: &str| format!("{} {way}", distance_in_both(Length::mm(mm), ruler));
        let give = |mm: f64| at_most(Length::mm(mm), ruler);
        [
            of(
                "across",
                self.right_mm,
                self.right_95_mm,
                length(self.right_mm, sideways(self.right_mm)),
                give(self.right_95_mm),
            ),
            of(
                "up and down",
                self.down_mm,
                self.down_95_mm,
                length(self.down_mm, upright(self.down_mm)),
                give(self.down_95_mm),
            ),
            of(
                "size",
                self.size_percent,
                self.size_95_percent,
                self.size_in_words(),
                format!("{:.1} %", self.size_95_percent),
            ),
            of(
                "turn",
                self.turn_deg,
                self.turn_95_deg,
                self.turn_in_words(),
                format!("{:.1}°", self.turn_95_deg),
            ),
        ]
    }

    /// `3.0 % too large`.
    pub fn size_in_words(&self) -> String {
        let word = if self.size_percent < 0.0 { "small" } else { "large" };
        format!("{:.1} % too {word}", self.size_percent.abs())
    }

    fn turn_in_words(&self) -> String {
        let way = if self.turn_deg < 0.0 { "anticlockwise" } else { "clockwise" };
        format!("{:.1}° {way}", self.turn_deg.abs())
    }

    /// True when a number of the whole is larger than one of the four would be by chance in a twentieth of checks. `half_95` is
    /// half the width of its own 95 % interval.
    pub fn is_beyond_chance(number: f64, half_95: f64) -> bool {
        number.abs() > half_95 * (NORMAL_95_OF_FOUR / NORMAL_95)
    }

    /// Whether any of the four numbers is more than chance.
    pub(super) fn is_surely_off(&self) -> bool {
        [
            (self.right_mm, self.right_95_mm),
            (self.down_mm, self.down_95_mm),
            (self.size_percent, self.size_95_percent),
            (self.turn_deg, self.turn_95_deg),
        ]
        .into_iter()
        .any(|(number, half)| Self::is_beyond_chance(number, half))
    }

    /// The whole in a sentence, leaving out what may be chance and what the ruler does not show:
    /// `As a whole 1/8 in low, 1/16 in to the right, 3.0 % too large, turned 0.5° clockwise.`
    pub fn in_words(&self, ruler: Ruler) -> String {
        let surely = Self::is_beyond_chance;
        let shows = |number: f64| number.abs() >= 0.05;
        let mut parts = Vec::new();
        if surely(self.down_mm, self.down_95_mm) {
            parts.extend(told_upright(self.down_mm, ruler));
        }
        if surely(self.right_mm, self.right_95_mm) {
            parts.extend(told_sideways(self.right_mm, ruler));
        }
        if surely(self.size_percent, self.size_95_percent) && shows(self.size_percent) {
            parts.push(self.size_in_words());
        }
        if surely(self.turn_deg, self.turn_95_deg) && shows(self.turn_deg) {
            parts.push(format!("turned {}", self.turn_in_words()));
        }
        if parts.is_empty() {
            let shift = at_most(Length::mm(self.right_95_mm.max(self.down_95_mm)), ruler);
            format!(
                "As a whole in its place, to within {shift}, {:.1} % of its size and {:.1}°.",
                self.size_95_percent, self.turn_95_deg
            )
        } else {
            format!("As a whole {}.", parts.join(", "))
        }
    }
}

impl OwnDrift {
    /// The landmark's own error, without its name: `1/8 in low, 1/16 in toward the nose, give or take 1/64 in (0.4 mm)`. With the
    /// planned place of the nose, sideways is told towards it or away from it, except of what lies on the face's middle line.
    pub fn in_words(&self, ruler: Ruler, nose: Option<CanvasPoint>) -> String {
        let parts = self.told_parts(ruler, nose);
        let off = match parts.as_slice() {
            [] if self.stands_out => format!("off by {}", small_length(Length::mm(self.size_mm()), ruler)),
            parts => parts.join(", "),
        };
        if self.stands_out {
            let give = self.right_95_mm.max(self.down_95_mm);
            format!("{off}, give or take {}", at_most(Length::mm(give), ruler))
        } else if parts.is_empty() {
            "in its place, as far as can be told".to_owned()
        } else {
            format!("{off}, within what is let pass or can be told")
        }
    }

    /// How far it lies from its place in the plan, where nothing is known of the whole: `1/8 in low, 1/16 in to the left of its place in the
    /// plan`.
    pub fn from_plan_in_words(&self, ruler: Ruler) -> String {
        let off = |from: Length, to: Length| (to - from).to_mm();
        let upright = told_upright(off(self.planned.y, self.painted.y), ruler);
        let sideways = told_sideways(off(self.planned.x, self.painted.x), ruler);
        let parts: Vec<String> = upright.into_iter().chain(sideways).collect();
        if parts.is_empty() {
            "at its place in the plan".to_owned()
        } else {
            format!("{} of its place in the plan", parts.join(", "))
        }
    }

    /// Whether nothing is told of it but that it is in its place, as far as can be told.
    pub fn is_in_place(&self, ruler: Ruler) -> bool {
        !self.stands_out && self.told_parts(ruler, None).is_empty()
    }

    /// Its errors up or down and sideways, as far as there is something to tell.
    fn told_parts(&self, ruler: Ruler, nose: Option<CanvasPoint>) -> Vec<String> {
        let sideways = self.sideways(ruler, nose).filter(|_| self.tells(self.right_mm, self.right_95_mm));
        let upright = told_upright(self.down_mm, ruler).filter(|_| self.tells(self.down_mm, self.down_95_mm));
        upright.into_iter().chain(sideways).collect()
    }

    /// Whether the error along one axis is more than its own uncertainty; the larger of the two is told in any case.
    fn tells(&self, mm: f64, half_95_mm: f64) -> bool {
        mm.abs() > half_95_mm || (self.stands_out && mm.abs() >= self.right_mm.abs().max(self.down_mm.abs()))
    }

    /// Sideways, towards the nose or away from it where it lies to a side of it.
    fn sideways(&self, ruler: Ruler, nose: Option<CanvasPoint>) -> Option<String> {
        let from_nose =
            nose.map(|nose| (self.planned.x - nose.x).to_mm()).filter(|off| off.abs() > ON_THE_MIDDLE);
        let Some(from_nose) = from_nose else { return told_sideways(self.right_mm, ruler) };
        let way = if from_nose * self.right_mm < 0.0 { "toward the nose" } else { "away from the nose" };
        distance(self.right_mm, ruler).map(|told| format!("{told} {way}"))
    }
}

impl Drift {
    /// The whole in a sentence; that nothing is told where the landmarks do not agree.
    pub fn whole_in_words(&self, ruler: Ruler) -> String {
        if self.disagree {
            "As a whole nothing can be told, since the landmarks do not agree.".to_owned()
        } else {
            self.whole.in_words(ruler)
        }
    }

    /// The four numbers of the whole; none of them sure where the landmarks do not agree.
    pub fn whole_numbers(&self, ruler: Ruler) -> [WholeNumber; 4] {
        let unsure = |number| WholeNumber { told: NOTHING_SURE.to_owned(), surely: false, ..number };
        let numbers = self.whole.numbers(ruler);
        if self.disagree { numbers.map(unsure) } else { numbers }
    }

    /// What to know about the landmarks themselves: that they do not agree, and which seem to be exchanged.
    pub fn remarks(&self) -> Vec<String> {
        let apart = (self.disagree && self.exchanged.is_empty()).then(|| {
            if self.own.len() < FEWEST_TO_JUDGE {
                format!(
                    "One of the {} landmarks is out of its place or was set wrongly, and of so few it cannot be told which. Compare them with \
                     the reference one by one, or set more: of {FEWEST_TO_JUDGE} or more the odd one is found.",
                    self.own.len()
                )
            } else {
                "More than a third of the landmarks lie apart from the others, and which of them are right cannot be told. Compare them with the \
                 reference one by one."
                    .to_owned()
            }
        });
        let exchanged = self.exchanged.iter().map(|[one, other]| {
            format!("{one} and {other} each lie where the other belongs: were they set the wrong way round?")
        });
        apart.into_iter().chain(exchanged).collect()
    }

    /// Which landmarks were set aside when the whole was judged, in a sentence; nothing if all were counted.
    pub fn not_counted(&self) -> Option<String> {
        let aside = self.set_aside.join(", ");
        (!aside.is_empty())
            .then(|| format!("Not counted for the whole, lying further off it than the others: {aside}."))
    }

    /// The landmarks that stand out, in words.
    pub fn standing_out(&self, ruler: Ruler, nose: Option<CanvasPoint>) -> Vec<String> {
        let told = |own: &OwnDrift| format!("{} {}", own.name, own.in_words(ruler, nose));
        self.own.iter().filter(|own| own.stands_out).map(told).collect()
    }
}

const fn upright(mm: f64) -> &'static str {
    if mm < 0.0 { "high" } else { "low" }
}

const fn sideways(mm: f64) -> &'static str {
    if mm < 0.0 { "to the left" } else { "to the right" }
}

/// `None` where the ruler reads nothing, as with the next.
fn told_upright(mm: f64, ruler: Ruler) -> Option<String> {
    distance(mm, ruler).map(|told| format!("{told} {}", upright(mm)))
}

fn told_sideways(mm: f64, ruler: Ruler) -> Option<String> {
    distance(mm, ruler).map(|told| format!("{told} {}", sideways(mm)))
}
