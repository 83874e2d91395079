//! What a picture's numbers stand for: its colour profile, or what is assumed without one.
//!
//! Without a profile, RGB and grey are taken for sRGB, as the web does. CMYK without a profile is taken for web offset printing by
//! CGATS TR 001 (SWOP), which is what most programs have assumed for decades; the profile of it is a free one that Typst ships.
//! The painter is told that such colours are approximate.

use moxcms::{CicpProfile, ColorDateTime, ColorProfile, DataColorSpace, ProfileText};

use crate::conversion::Conversion;
use crate::error::Fault;
use crate::format::Format;
use crate::limits::MAX_PROFILE_BYTES;
use crate::picture::{Channels, Raster};

/// Which colours a photo's numbers stand for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColourFacts {
    /// The colour space in plain words: "Display P3", "Adobe RGB (1998)", "taken for sRGB, the usual one: the photo does not say".
    pub name: String,
    /// What the painter should know about the colours, as a sentence or two; most photos have none.
    pub note: Option<String>,
}

/// What a file says about its colours.
#[derive(Debug, Clone, Default)]
pub(crate) enum ColourClaim {
    /// Nothing.
    #[default]
    Untagged,
    /// sRGB, in words of its own.
    Srgb,
    /// Adobe RGB (1998), in words of its own.
    AdobeRgb,
    /// An ICC profile.
    Icc(Vec<u8>),
    /// Code points of ITU-T H.273, as in a PNG's `cICP` chunk.
    Cicp(CicpProfile),
}

/// A photo's colours, with what it takes to convert them.
pub(crate) struct Colour {
    pub(crate) facts: ColourFacts,
    /// The profile that a copy of the pixels must carry to be shown alike; none for sRGB that is only assumed.
    pub(crate) profile: Option<Vec<u8>>,
    /// Whether the file claims a profile that cannot be used with its pixels.
    pub(crate) mismatched: bool,
    conversion: Conversion,
}

impl Colour {
    /// Settles what the claim means for pixels of these channels and this depth.
    pub(crate) fn settle(claim: ColourClaim, channels: Channels, sixteen: bool) -> Self {
        match claim {
            ColourClaim::Icc(icc) => Self::from_icc(icc, channels, sixteen),
            ColourClaim::AdobeRgb if channels == Channels::Rgb => {
                Self::from_profile(ColorProfile::new_adobe_rgb(), "Adobe RGB (1998)", sixteen)
            }
            ColourClaim::Cicp(code_points) if channels == Channels::Rgb => {
                let profile = ColorProfile::new_from_cicp(code_points);
                let name =
                    profile_name(&profile).unwrap_or_else(|| "given by numbers, without a name".to_owned());
                Self::from_profile(profile, &name, sixteen)
            }
            ColourClaim::Srgb if channels != Channels::Cmyk => {
                Self::plain("sRGB, as most cameras and screens", None)
            }
            _ => Self::assumed(channels, sixteen, None),
        }
    }

    fn from_icc(icc: Vec<u8>, channels: Channels, sixteen: bool) -> Self {
        const DAMAGED: &str =
            "The photo's colour profile is damaged and left aside, so its colours may be slightly off.";
        const OTHER_KIND: &str = "The photo's colour profile belongs to another kind of picture and is left aside, so its \
                                  colours may be slightly off.";
        let parsed = (icc.len() <= MAX_PROFILE_BYTES).then(|| ColorProfile::new_from_slice(&icc));
        let Some(Ok(profile)) = parsed else {
            return Self::assumed(channels, sixteen, Some(DAMAGED));
        };
        let fits = match channels {
            Channels::Grey => profile.color_space == DataColorSpace::Gray,
            Channels::Rgb => profile.color_space == DataColorSpace::Rgb,
            Channels::Cmyk => profile.color_space == DataColorSpace::Cmyk,
        };
        if !fits {
            return Self { mismatched: true, ..Self::assumed(channels, sixteen, Some(OTHER_KIND)) };
        }
        match Conversion::by(&profile, channels, sixteen) {
            Some(conversion) => Self {
                facts: ColourFacts {
                    name: profile_name(&profile).unwrap_or_else(|| "its own, without a name".to_owned()),
                    note: None,
                },
                profile: Some(icc),
                mismatched: false,
                conversion,
            },
            None => Self::assumed(channels, sixteen, Some(DAMAGED)),
        }
    }

    /// RGB pixels of a colour space that the file only names.
    fn from_profile(profile: ColorProfile, name: &str, sixteen: bool) -> Self {
        match (Conversion::by(&profile, Channels::Rgb, sixteen), encoded(profile)) {
            (Some(conversion), Some(icc)) => Self {
                facts: ColourFacts { name: name.to_owned(), note: None },
                profile: Some(icc),
                mismatched: false,
                conversion,
            },
            _ => Self::assumed(Channels::Rgb, sixteen, None),
        }
    }

    /// What is assumed when nothing usable is said.
    fn assumed(channels: Channels, sixteen: bool, note: Option<&str>) -> Self {
        match channels {
            Channels::Grey => {
                Self::plain("grey, taken for sRGB, the usual one: the photo does not say", note)
            }
            Channels::Rgb => Self::plain("taken for sRGB, the usual one: the photo does not say", note),
            Channels::Cmyk => Self::assumed_press(sixteen),
        }
    }

    fn assumed_press(sixteen: bool) -> Self {
        const NOTE: &str = "The photo is in printing inks (CMYK) and does not say of which press, so its colours are only \
                            approximate. For true colours open the original photo.";
        let press = ColorProfile::new_from_slice(typst_assets::icc::CMYK_TO_XYZ).ok();
        let conversion = press.and_then(|press| Conversion::by(&press, Channels::Cmyk, sixteen));
        Self {
            // The profile is a constant, and a test sees to it that it can be used.
            conversion: conversion.unwrap_or(Conversion::Plain),
            ..Self::plain("CMYK, taken for SWOP: the photo does not say", Some(NOTE))
        }
    }

    fn plain(name: &str, note: Option<&str>) -> Self {
        let facts = ColourFacts { name: name.to_owned(), note: note.map(str::to_owned) };
        Self { facts, profile: None, mismatched: false, conversion: Conversion::Plain }
    }

    /// Converts stored samples to 8-bit sRGB, three bytes a pixel.
    pub(crate) fn to_srgb(&self, raster: Raster, format: Format) -> Result<Vec<u8>, Fault> {
        self.conversion.apply(raster).map_err(|error| Fault::damaged(format, error.to_string()))
    }
}

/// The profile of sRGB, for pictures that we write.
pub(crate) const SRGB_PROFILE: &[u8] = typst_assets::icc::S_RGB_V4;

/// A profile of our own making as a file. The library dates it now; a fixed date keeps what we write the same every time.
fn encoded(mut profile: ColorProfile) -> Option<Vec<u8>> {
    /// Midnight of 1 January 2000, as an ICC date: six 16-bit numbers.
    const DATE: [u8; 12] = [0x07, 0xD0, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0];
    profile.creation_date_time = ColorDateTime::new_from_slice(&DATE).ok()?;
    profile.encode().ok()
}

/// The profile's own name for itself, shortened and without control characters, since anyone may have written it.
fn profile_name(profile: &ColorProfile) -> Option<String> {
    const LONGEST: usize = 60;
    let text = match profile.description.as_ref()? {
        ProfileText::PlainString(text) => text,
        ProfileText::Localizable(list) => &list.iter().find(|l| l.language == "en").or(list.first())?.value,
        ProfileText::Description(description) => &description.ascii_string,
    };
    let name: String = text.chars().filter(|c| !c.is_control()).take(LONGEST).collect();
    let name = name.trim();
    (!name.is_empty()).then(|| name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_assumed_press_can_be_used() {
        for sixteen in [false, true] {
            let inks = Colour::settle(ColourClaim::Untagged, Channels::Cmyk, sixteen);
            assert!(!matches!(inks.conversion, Conversion::Plain));
        }
    }
}
