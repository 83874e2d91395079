//! Proportions of the sitter's head and figure, beside the schoolbook canon and what has been measured on people.
//!
//! They are information and no verdict: canons are starting guesses, people differ, and a head that is turned or tipped
//! is foreshortened.

use std::fmt;

use crate::frame::{CanvasPoint, PhotoPoint};
use crate::landmarks::{BodyPoint, LandmarkName};
use crate::painting_plan::Plan;

use BodyPoint as B;

/// What a proportion compares.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ProportionKind {
    /// The eye line's distance from the crown, as a share of the head's height.
    EyeLine,
    /// The base of the nose between eye line and chin, as a share from the eye line.
    NoseBaseBelowEyes,
    /// The parting of the mouth between base of the nose and chin, as a share from the nose.
    MouthBelowNose,
    /// Hairline to brow, as a share of hairline to chin.
    UpperThird,
    /// Brow to base of the nose, as a share of hairline to chin.
    MiddleThird,
    /// Base of the nose to chin, as a share of hairline to chin.
    LowerThird,
    /// The head's breadth from ear to ear, in eye-widths.
    HeadInEyes,
    /// The gap between the eyes, in eye-widths.
    GapInEyes,
    /// The nose's width over its wings, in gaps between the eyes.
    NoseInGaps,
    /// The mouth's width, in eye-widths.
    MouthInEyes,
    /// The figure from crown to soles, in head heights.
    FigureInHeads,
    /// The lean of the line through the eyes, in degrees off the level on the canvas, positive where its right end is
    /// the lower.
    EyeTilt,
    /// The same for the mouth.
    MouthTilt,
}

/// In what a proportion is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ProportionUnit {
    /// A share of a whole, 0 to 1.
    Share,
    /// A multiple of something.
    Times,
    /// Degrees, positive clockwise.
    Degrees,
}

/// What schoolbooks say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Canon {
    /// The figure.
    pub value: f64,
    /// The rule in words.
    pub rule: &'static str,
}

/// What was measured on people.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Population {
    /// Who was measured.
    pub who: &'static str,
    /// The mean.
    pub mean: f64,
    /// The standard deviation: two thirds of people lie within it of the mean.
    pub sd: f64,
}

/// One proportion of the sitter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Proportion {
    /// What it compares.
    pub kind: ProportionKind,
    /// The sitter's own figure; see [`ProportionKind::unit`].
    pub value: f64,
}

impl ProportionKind {
    /// All, in the order in which they are told.
    pub const ALL: [Self; 13] = [
        Self::EyeLine,
        Self::NoseBaseBelowEyes,
        Self::MouthBelowNose,
        Self::UpperThird,
        Self::MiddleThird,
        Self::LowerThird,
        Self::HeadInEyes,
        Self::GapInEyes,
        Self::NoseInGaps,
        Self::MouthInEyes,
        Self::FigureInHeads,
        Self::EyeTilt,
        Self::MouthTilt,
    ];

    /// What it is in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::EyeLine => "eye line, from crown to chin",
            Self::NoseBaseBelowEyes => "base of the nose, from eye line to chin",
            Self::MouthBelowNose => "parting of the mouth, from nose to chin",
            Self::UpperThird => "upper third, hairline to brow",
            Self::MiddleThird => "middle third, brow to base of the nose",
            Self::LowerThird => "lower third, base of the nose to chin",
            Self::HeadInEyes => "head from ear to ear, in eye-widths",
            Self::GapInEyes => "gap between the eyes, in eye-widths",
            Self::NoseInGaps => "width of the nose, in gaps between the eyes",
            Self::MouthInEyes => "width of the mouth, in eye-widths",
            Self::FigureInHeads => "figure from crown to soles, in heads",
            Self::EyeTilt => "tilt of the eye line",
            Self::MouthTilt => "tilt of the mouth",
        }
    }

    /// In what it is told.
    pub const fn unit(self) -> ProportionUnit {
        match self {
            Self::EyeLine
            | Self::NoseBaseBelowEyes
            | Self::MouthBelowNose
            | Self::UpperThird
            | Self::MiddleThird
            | Self::LowerThird => ProportionUnit::Share,
            Self::HeadInEyes
            | Self::GapInEyes
            | Self::NoseInGaps
            | Self::MouthInEyes
            | Self::FigureInHeads => ProportionUnit::Times,
            Self::EyeTilt | Self::MouthTilt => ProportionUnit::Degrees,
        }
    }

    /// The schoolbook canon (common practice, no source), if there is one.
    pub const fn canon(self) -> Option<Canon> {
        let (value, rule) = match self {
            Self::EyeLine => (0.5, "halfway"),
            Self::NoseBaseBelowEyes => (0.5, "halfway from eyes to chin"),
            Self::MouthBelowNose => (1.0 / 3.0, "a third of the way from nose to chin"),
            Self::UpperThird | Self::MiddleThird | Self::LowerThird => (1.0 / 3.0, "three equal thirds"),
            Self::HeadInEyes => (5.0, "five eyes wide"),
            Self::GapInEyes => (1.0, "one eye between the eyes"),
            Self::NoseInGaps => (1.0, "as wide as the gap between the eyes"),
            Self::FigureInHeads => (7.5, "seven and a half heads; eight in an ideal figure"),
            Self::MouthInEyes | Self::EyeTilt | Self::MouthTilt => return None,
        };
        Some(Canon { value, rule })
    }

    /// Means and spreads measured on people; empty where none was found.
    ///
    /// Both are derived from the public records of ANSUR II (US Army 2012, 4082 men and 1986 women; Gordon et al. 2014,
    /// NATICK/TR-15/007). The survey has no head height; it is taken as sitting height less eye height, plus face
    /// length, less 4 mm for the root of the nose above the eye line.
    pub const fn population(self) -> &'static [Population] {
        match self {
            Self::EyeLine => &[
                Population { who: "men", mean: 0.49, sd: 0.023 },
                Population { who: "women", mean: 0.50, sd: 0.022 },
            ],
            Self::FigureInHeads => &[
                Population { who: "men", mean: 7.57, sd: 0.39 },
                Population { who: "women", mean: 7.48, sd: 0.36 },
            ],
            _ => &[],
        }
    }

    /// What else is known, with its source; empty where nothing is.
    pub const fn note(self) -> &'static str {
        match self {
            Self::EyeLine => {
                "Measured without hair: hair and hat move it down (ANSUR II, a survey of 6068 soldiers, Gordon et al. 2014)."
            }
            Self::FigureInHeads => {
                "Measured barefoot and without hair (ANSUR II, a survey of 6068 soldiers, Gordon et al. 2014)."
            }
            Self::MiddleThird | Self::LowerThird => {
                "The lower third was the longer in 91 % of 168 men and 88 % of women measured (Head & Face Medicine 2015, 11:4)."
            }
            Self::HeadInEyes => {
                "Over the cheek bones, which are narrower, 3.9 eye-widths were measured (Maxillofacial Plastic and Reconstructive Surgery 2019)."
            }
            Self::GapInEyes => {
                "Mean gaps of 31 to 39 mm were measured in different peoples, and mean eyes of 25 to 34 mm."
            }
            Self::NoseInGaps => {
                "True of 40 % of 153 people measured; few of the canons hold for more (Farkas et al. 1985, Plastic and Reconstructive Surgery)."
            }
            _ => "",
        }
    }
}

impl Proportion {
    /// The sitter's figure as it is told: `0.49`, `4.8`, `2.5°, higher at the picture’s right`.
    pub fn told(&self) -> String {
        told(self.kind.unit(), self.value)
    }
}

/// A figure in the unit of its kind.
pub(crate) fn told(unit: ProportionUnit, value: f64) -> String {
    let text = match unit {
        ProportionUnit::Share | ProportionUnit::Times => format!("{value:.2}"),
        ProportionUnit::Degrees if value.abs() < 0.05 => "level".to_owned(),
        ProportionUnit::Degrees => {
            let higher = if value > 0.0 { "left" } else { "right" };
            format!("{:.1}°, higher at the picture’s {higher}", value.abs())
        }
    };
    text.replace('-', "−")
}

impl fmt::Display for Population {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {:.2} ± {:.2}", self.who, self.mean, self.sd)
    }
}

/// The proportions that can be told from the landmarks placed, in the order of [`ProportionKind::ALL`].
///
/// Heights are taken along the line from crown to chin, widths from point to point, tilts on the canvas.
pub fn proportions(plan: &Plan) -> Vec<Proportion> {
    let sitter = Sitter::of(plan);
    ProportionKind::ALL
        .into_iter()
        .filter_map(|kind| {
            let value = sitter.proportion(kind)?;
            value.is_finite().then_some(Proportion { kind, value })
        })
        .collect()
}

/// The landmarks of one sitter.
struct Sitter<'a> {
    plan: &'a Plan,
    placed: Vec<(BodyPoint, PhotoPoint)>,
}

impl<'a> Sitter<'a> {
    fn of(plan: &'a Plan) -> Self {
        let body = plan.all_landmarks().into_iter().filter_map(|landmark| match landmark.name {
            LandmarkName::Body(point) => Some((point, landmark.at)),
            LandmarkName::Own(_) => None,
        });
        Self { plan, placed: body.collect() }
    }

    fn at(&self, point: BodyPoint) -> Option<PhotoPoint> {
        self.placed.iter().find(|(placed, _)| *placed == point).map(|(_, at)| *at)
    }

    fn proportion(&self, kind: ProportionKind) -> Option<f64> {
        let at = |point| self.at(point);
        let down = |point: PhotoPoint| self.down_the_head(point);
        let between = |low: f64, here: f64, high: f64| (here - low) / (high - low);
        Some(match kind {
            ProportionKind::EyeLine => down(self.eye_line()?)?,
            ProportionKind::NoseBaseBelowEyes => {
                between(down(self.eye_line()?)?, down(at(B::NoseBase)?)?, 1.0)
            }
            ProportionKind::MouthBelowNose => {
                between(down(at(B::NoseBase)?)?, down(at(B::MouthParting)?)?, 1.0)
            }
            ProportionKind::UpperThird | ProportionKind::MiddleThird | ProportionKind::LowerThird => {
                let [hairline, brow, nose] =
                    [B::Hairline, B::Brow, B::NoseBase].map(|point| at(point).and_then(down));
                let (hairline, brow, nose) = (hairline?, brow?, nose?);
                let (from, to) = match kind {
                    ProportionKind::UpperThird => (hairline, brow),
                    ProportionKind::MiddleThird => (brow, nose),
                    _ => (nose, 1.0),
                };
                (to - from) / (1.0 - hairline)
            }
            ProportionKind::HeadInEyes => self.between(B::RightEarTop, B::LeftEarTop)? / self.eye_width()?,
            ProportionKind::GapInEyes => {
                self.between(B::RightEyeInner, B::LeftEyeInner)? / self.eye_width()?
            }
            ProportionKind::NoseInGaps => {
                self.between(B::RightNoseWing, B::LeftNoseWing)?
                    / self.between(B::RightEyeInner, B::LeftEyeInner)?
            }
            ProportionKind::MouthInEyes => {
                self.between(B::RightMouthCorner, B::LeftMouthCorner)? / self.eye_width()?
            }
            ProportionKind::FigureInHeads => {
                let soles = [B::RightSole, B::LeftSole].into_iter().filter_map(at);
                let crown = at(B::Crown)?;
                let height = soles.map(|sole| crown.distance_to(sole)).reduce(f64::max)?;
                height / crown.distance_to(at(B::Chin)?)
            }
            ProportionKind::EyeTilt => {
                let outer = at(B::RightEyeOuter).zip(at(B::LeftEyeOuter));
                self.tilt(outer.or(at(B::RightPupil).zip(at(B::LeftPupil)))?)?
            }
            ProportionKind::MouthTilt => self.tilt((at(B::RightMouthCorner)?, at(B::LeftMouthCorner)?))?,
        })
    }

    /// The middle of the line through both pupils or, without them, through the eyes' corners.
    fn eye_line(&self) -> Option<PhotoPoint> {
        let middle = |pair: [BodyPoint; 2]| Some(self.at(pair[0])?.midpoint(self.at(pair[1])?));
        middle([B::RightPupil, B::LeftPupil])
            .or_else(|| middle([B::RightEyeOuter, B::LeftEyeOuter]))
            .or_else(|| middle([B::RightEyeInner, B::LeftEyeInner]))
    }

    /// The mean width of the eyes whose corners are both placed.
    fn eye_width(&self) -> Option<f64> {
        let eyes = [(B::RightEyeOuter, B::RightEyeInner), (B::LeftEyeInner, B::LeftEyeOuter)];
        let widths: Vec<f64> = eyes.iter().filter_map(|(from, to)| self.between(*from, *to)).collect();
        (!widths.is_empty()).then(|| widths.iter().sum::<f64>() / widths.len() as f64)
    }

    fn between(&self, from: BodyPoint, to: BodyPoint) -> Option<f64> {
        Some(self.at(from)?.distance_to(self.at(to)?))
    }

    /// How far down the line from crown to chin a point lies: 0 at the crown, 1 at the chin.
    fn down_the_head(&self, point: PhotoPoint) -> Option<f64> {
        let (crown, chin) = (self.at(B::Crown)?, self.at(B::Chin)?);
        let (right, down) = (chin.x - crown.x, chin.y - crown.y);
        Some(((point.x - crown.x) * right + (point.y - crown.y) * down) / (right * right + down * down))
    }

    /// The lean of a line on the canvas, in degrees, positive where its right end is the lower.
    fn tilt(&self, (one, other): (PhotoPoint, PhotoPoint)) -> Option<f64> {
        let placing = self.plan.placing()?;
        let (one, other): (CanvasPoint, CanvasPoint) = (placing.to_canvas(one), placing.to_canvas(other));
        let (left, right) = if one.x <= other.x { (one, other) } else { (other, one) };
        Some((right.y - left.y).to_mm().atan2((right.x - left.x).to_mm()).to_degrees())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::Canvas;
    use crate::frame::{Angle, PhotoSize};
    use crate::landmarks::Landmark;
    use crate::length::{Length, Unit};
    use crate::reference::Reference;

    /// A head of 240 px whose proportions are the canon's.
    fn canonical() -> Plan {
        let mut plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(16.0)), Unit::Inch);
        plan.reference = Some(Reference::fitted(PhotoSize { width: 600, height: 2000 }));
        for (point, x, y) in [
            (B::Crown, 300.0, 10.0),
            (B::Chin, 300.0, 250.0),
            (B::RightPupil, 268.0, 130.0),
            (B::LeftPupil, 332.0, 130.0),
            (B::RightEyeOuter, 252.0, 130.0),
            (B::RightEyeInner, 284.0, 130.0),
            (B::LeftEyeInner, 316.0, 130.0),
            (B::LeftEyeOuter, 348.0, 130.0),
            (B::RightEarTop, 220.0, 120.0),
            (B::LeftEarTop, 380.0, 120.0),
            (B::NoseBase, 300.0, 190.0),
            (B::MouthParting, 300.0, 210.0),
            (B::Hairline, 300.0, 70.0),
            (B::Brow, 300.0, 130.0),
            (B::RightNoseWing, 284.0, 185.0),
            (B::LeftNoseWing, 316.0, 185.0),
            (B::LeftSole, 300.0, 1810.0),
        ] {
            plan.place_landmark(Landmark { name: point.into(), at: PhotoPoint::new(x, y) }).unwrap();
        }
        plan
    }

    fn value(plan: &Plan, kind: ProportionKind) -> Option<f64> {
        proportions(plan).into_iter().find(|proportion| proportion.kind == kind).map(|found| found.value)
    }

    #[test]
    fn a_head_drawn_by_the_canon_has_the_canon_s_figures_however_it_is_turned() {
        for degrees in [0.0, 30.0, 180.0] {
            let mut plan = canonical();
            if let Some(reference) = &mut plan.reference {
                reference.turn = Angle::degrees(degrees);
            }
            for proportion in proportions(&plan) {
                if let Some(canon) = proportion.kind.canon() {
                    assert!((proportion.value - canon.value).abs() < 1e-9, "{proportion:?}");
                }
            }
            assert_eq!(proportions(&plan).len(), 11);
        }
    }

    #[test]
    fn the_tilt_is_that_on_the_canvas() {
        let mut plan = canonical();
        for (degrees, mirror, expected) in
            [(0.0, false, 0.0), (7.0, false, 7.0), (7.0, true, 7.0), (-80.0, false, -80.0)]
        {
            if let Some(reference) = &mut plan.reference {
                (reference.turn, reference.mirror) = (Angle::degrees(degrees), mirror);
            }
            assert!((value(&plan, ProportionKind::EyeTilt).unwrap() - expected).abs() < 1e-9);
        }
    }

    #[test]
    fn what_is_not_placed_is_not_told() {
        let mut plan = canonical();
        plan.remove_landmark(&B::Chin.into());
        assert_eq!(value(&plan, ProportionKind::EyeLine), None);
        assert!((value(&plan, ProportionKind::GapInEyes).unwrap() - 1.0).abs() < 1e-9);
        plan.landmarks.clear();
        assert!(proportions(&plan).is_empty());
    }
}
