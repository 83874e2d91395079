//! The points of head and figure that painters measure from, with the trade's names.

use std::collections::HashMap;
use std::fmt;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

/// A point of the head or figure that has a name in the trade. “Right” and “left” are the sitter's own: in a photo that
/// is not mirrored, the sitter's right eye is seen at the left.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BodyPoint {
    /// The top of the head, hair and hat as the painter sees fit.
    Crown,
    /// Where the hair begins above the middle of the forehead.
    Hairline,
    /// The ridge of the brow in the middle, above the root of the nose.
    Brow,
    /// The height of the right brow, above the pupil.
    RightBrow,
    /// The height of the left brow, above the pupil.
    LeftBrow,
    /// Where the lids of the right eye meet, at the temple.
    RightEyeOuter,
    /// The middle of the right pupil.
    RightPupil,
    /// Where the lids of the right eye meet, at the nose.
    RightEyeInner,
    /// Where the lids of the left eye meet, at the nose.
    LeftEyeInner,
    /// The middle of the left pupil.
    LeftPupil,
    /// Where the lids of the left eye meet, at the temple.
    LeftEyeOuter,
    /// The highest point of the right ear.
    RightEarTop,
    /// The lowest point of the right ear.
    RightEarLobe,
    /// The highest point of the left ear.
    LeftEarTop,
    /// The lowest point of the left ear.
    LeftEarLobe,
    /// The tip of the nose.
    NoseTip,
    /// The right side of the nose, where its wing is widest.
    RightNoseWing,
    /// The left side of the nose, where its wing is widest.
    LeftNoseWing,
    /// The base of the nose, where it meets the upper lip.
    NoseBase,
    /// The right corner of the mouth.
    RightMouthCorner,
    /// The parting of the mouth, in its middle.
    MouthParting,
    /// The left corner of the mouth.
    LeftMouthCorner,
    /// The right angle of the jaw, below the ear.
    RightJawAngle,
    /// The left angle of the jaw, below the ear.
    LeftJawAngle,
    /// The bottom of the chin.
    Chin,
    /// The pit of the neck, between the collar bones.
    NeckPit,
    /// The point of the right shoulder.
    RightShoulder,
    /// The point of the left shoulder.
    LeftShoulder,
    /// The right elbow.
    RightElbow,
    /// The left elbow.
    LeftElbow,
    /// The right wrist.
    RightWrist,
    /// The left wrist.
    LeftWrist,
    /// The navel.
    Navel,
    /// The right hip, where the thigh bone stands out.
    RightHip,
    /// The left hip, where the thigh bone stands out.
    LeftHip,
    /// The right kneecap.
    RightKnee,
    /// The left kneecap.
    LeftKnee,
    /// The right ankle.
    RightAnkle,
    /// The left ankle.
    LeftAnkle,
    /// The sole of the right foot.
    RightSole,
    /// The sole of the left foot.
    LeftSole,
}

use BodyPoint as B;

impl BodyPoint {
    /// The head set, from the crown down.
    pub const HEAD: [Self; 25] = [
        B::Crown,
        B::Hairline,
        B::Brow,
        B::RightBrow,
        B::LeftBrow,
        B::RightEyeOuter,
        B::RightPupil,
        B::RightEyeInner,
        B::LeftEyeInner,
        B::LeftPupil,
        B::LeftEyeOuter,
        B::RightEarTop,
        B::RightEarLobe,
        B::LeftEarTop,
        B::LeftEarLobe,
        B::NoseTip,
        B::RightNoseWing,
        B::LeftNoseWing,
        B::NoseBase,
        B::RightMouthCorner,
        B::MouthParting,
        B::LeftMouthCorner,
        B::RightJawAngle,
        B::LeftJawAngle,
        B::Chin,
    ];

    /// The figure set, from the pit of the neck down.
    pub const FIGURE: [Self; 16] = [
        B::NeckPit,
        B::RightShoulder,
        B::LeftShoulder,
        B::RightElbow,
        B::LeftElbow,
        B::RightWrist,
        B::LeftWrist,
        B::Navel,
        B::RightHip,
        B::LeftHip,
        B::RightKnee,
        B::LeftKnee,
        B::RightAnkle,
        B::LeftAnkle,
        B::RightSole,
        B::LeftSole,
    ];

    /// Both sets, the head's first.
    pub fn all() -> impl Iterator<Item = Self> {
        Self::HEAD.into_iter().chain(Self::FIGURE)
    }

    /// Whether it belongs to the head.
    pub fn is_of_head(self) -> bool {
        self <= Self::Chin
    }

    /// Its name in running text: `right pupil`.
    pub const fn name(self) -> &'static str {
        match self {
            B::Crown => "crown",
            B::Hairline => "hairline",
            B::Brow => "brow",
            B::RightBrow => "right brow",
            B::LeftBrow => "left brow",
            B::RightEyeOuter => "outer corner of the right eye",
            B::RightPupil => "right pupil",
            B::RightEyeInner => "inner corner of the right eye",
            B::LeftEyeInner => "inner corner of the left eye",
            B::LeftPupil => "left pupil",
            B::LeftEyeOuter => "outer corner of the left eye",
            B::RightEarTop => "top of the right ear",
            B::RightEarLobe => "lobe of the right ear",
            B::LeftEarTop => "top of the left ear",
            B::LeftEarLobe => "lobe of the left ear",
            B::NoseTip => "tip of the nose",
            B::RightNoseWing => "right wing of the nose",
            B::LeftNoseWing => "left wing of the nose",
            B::NoseBase => "base of the nose",
            B::RightMouthCorner => "right corner of the mouth",
            B::MouthParting => "parting of the mouth",
            B::LeftMouthCorner => "left corner of the mouth",
            B::RightJawAngle => "right angle of the jaw",
            B::LeftJawAngle => "left angle of the jaw",
            B::Chin => "chin",
            B::NeckPit => "pit of the neck",
            B::RightShoulder => "right shoulder",
            B::LeftShoulder => "left shoulder",
            B::RightElbow => "right elbow",
            B::LeftElbow => "left elbow",
            B::RightWrist => "right wrist",
            B::LeftWrist => "left wrist",
            B::Navel => "navel",
            B::RightHip => "right hip",
            B::LeftHip => "left hip",
            B::RightKnee => "right knee",
            B::LeftKnee => "left knee",
            B::RightAnkle => "right ankle",
            B::LeftAnkle => "left ankle",
            B::RightSole => "sole of the right foot",
            B::LeftSole => "sole of the left foot",
        }
    }

    /// The point that a painter's words name: the same words in any order, with or without “of the”, so that
    /// `right eye, pupil` is the right pupil and `nose base` the base of the nose.
    pub fn named(text: &str) -> Option<Self> {
        BY_WORDS.get(&telling_words(text)).copied()
    }
}

/// The points by the words that tell them: a plan of many landmarks asks for each of them whenever it is read.
static BY_WORDS: LazyLock<HashMap<Vec<String>, BodyPoint>> =
    LazyLock::new(|| BodyPoint::all().map(|point| (telling_words(point.name()), point)).collect());

/// The words that tell one point from another, in alphabetical order.
fn telling_words(text: &str) -> Vec<String> {
    let lowered = text.to_lowercase();
    let mut words: Vec<String> = lowered
        .split(|character: char| !character.is_alphanumeric())
        .filter(|word| !matches!(*word, "" | "of" | "the"))
        .map(str::to_owned)
        .collect();
    // Only eyes have pupils and only feet have soles.
    if words.iter().any(|word| word == "pupil" || word == "sole") {
        words.retain(|word| word != "eye" && word != "foot");
    }
    words.sort();
    words
}

impl fmt::Display for BodyPoint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_point_is_found_by_its_name_and_no_two_share_one() {
        for point in BodyPoint::all() {
            assert_eq!(BodyPoint::named(point.name()), Some(point));
        }
    }

    #[test]
    fn words_may_stand_in_any_order() {
        for (text, point) in [
            ("Right eye, pupil", B::RightPupil),
            ("left eye, outer corner", B::LeftEyeOuter),
            ("nose base", B::NoseBase),
            ("right ear, lobe", B::RightEarLobe),
            ("left sole", B::LeftSole),
        ] {
            assert_eq!(BodyPoint::named(text), Some(point), "{text}");
        }
        assert_eq!(BodyPoint::named("right eye"), None);
        assert_eq!(BodyPoint::named(""), None);
    }

    #[test]
    fn the_sets_hold_every_point_in_order() {
        let all: Vec<_> = BodyPoint::all().collect();
        assert!(all.is_sorted());
        assert!(BodyPoint::HEAD.into_iter().all(BodyPoint::is_of_head));
        assert!(!BodyPoint::FIGURE.into_iter().any(BodyPoint::is_of_head));
    }
}
