//! How the reference is shown on reference and detail sheets: its tone, and whether it is seen in a mirror or upside down.

use std::fmt;
use std::str::FromStr;

use values::{Tone, ToneError};

/// How the reference is shown. Mirror and upside down may be joined with each other and with any tone.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Show {
    /// Photo, grey, values or squint.
    pub tone: Tone,
    /// The whole canvas is seen in a mirror, left and right exchanged.
    pub mirror: bool,
    /// The whole canvas is turned on its head.
    pub upside_down: bool,
}

impl Show {
    /// Whether left and right, or top and bottom, lie otherwise than on the canvas.
    pub(crate) const fn is_turned(self) -> bool {
        self.mirror || self.upside_down
    }

    /// In what tone the photo is shown, to follow what the sheet is; nothing where it is as it is.
    pub(crate) fn tone_words(self) -> Option<String> {
        match self.tone {
            Tone::Photo => None,
            Tone::Grey => Some("in greys".to_owned()),
            Tone::Values { steps, .. } => Some(format!("value map in {} steps", steps.count())),
            Tone::Squint { .. } => Some("blurred as in a squint".to_owned()),
        }
    }

    /// What is unlike the photo as it lies on the canvas, as a sentence for the sheet; nothing where all is alike.
    pub(crate) fn turned_words(self) -> Option<&'static str> {
        match (self.mirror, self.upside_down) {
            (false, false) => None,
            (true, false) => Some("Seen in a mirror."),
            (false, true) => Some("Upside down."),
            (true, true) => Some("Seen in a mirror and upside down."),
        }
    }
}

/// Reads tones, `mirror` and `upside-down` joined by commas: `values:5,mirror`.
impl FromStr for Show {
    type Err = ToneError;

    fn from_str(text: &str) -> Result<Self, ToneError> {
        let mut show = Self::default();
        for part in text.split(',').map(str::trim) {
            match part.to_lowercase().as_str() {
                "mirror" => show.mirror = true,
                "upside-down" | "upside down" => show.upside_down = true,
                _ => show.tone = part.parse()?,
            }
        }
        Ok(show)
    }
}

/// Written as it is read.
impl fmt::Display for Show {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.tone)?;
        if self.mirror {
            f.write_str(",mirror")?;
        }
        if self.upside_down {
            f.write_str(",upside-down")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mirror_and_upside_down_join_any_tone() {
        for text in ["photo", "grey,mirror", "values:7,mirror,upside-down", "squint:4mm,upside-down"] {
            assert_eq!(text.parse::<Show>().unwrap().to_string(), text);
        }
        assert_eq!("mirror".parse::<Show>().unwrap().to_string(), "photo,mirror");
        assert!("mirror,sepia".parse::<Show>().unwrap_err().to_string().contains("sepia"));
    }
}
