//! Why a photo cannot answer, and what the painter can do about it.

use plan::{Angle, InchDivision, Length, Ruler, Side};
use thiserror::Error;

use crate::other_way::OtherWay;
use crate::report::small_length;

/// The ruler beside which a length is told in inches and millimetres, for whoever it may be.
pub(crate) const BOTH_UNITS: Ruler = Ruler::Inch(InchDivision::SixtyFourth);

/// Why nothing can be measured. Each is a sentence on what is wrong and one on what to do.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Unfit {
    /// Too few pixels.
    #[error(
        "The photo of the canvas has {width} x {height} pixels, too few to measure in. Take it with the phone's main camera and send it at full size."
    )]
    TooSmall {
        /// Its width in pixels.
        width: u32,
        /// Its height in pixels.
        height: u32,
    },
    /// More pixels than any sensor gives true ones.
    #[error(
        "The photo of the canvas has {:.0} megapixels, more than can be measured in: cameras make up the finest of them. Set the camera to 12 to 50 megapixels and take it again.",
        f64::from(*width) * f64::from(*height) / 1e6
    )]
    TooLarge {
        /// Its width in pixels.
        width: u32,
        /// Its height in pixels.
        height: u32,
    },
    /// Black, or nearly.
    #[error(
        "The photo of the canvas is too dark to measure in. Take it again in daylight or with more lamps on."
    )]
    TooDark,
    /// White, or nearly.
    #[error(
        "The photo of the canvas is burnt out to white. Take it again with less light on the canvas, or less exposure."
    )]
    TooBright,
    /// Enlarged by the camera from a part of its sensor.
    #[error(
        "The photo of the canvas was taken with {factor:.1} times digital zoom, which hides the lens. Take it again without zoom, from a little nearer."
    )]
    DigitalZoom {
        /// The zoom that the camera states.
        factor: f64,
    },
    /// Stitched from several.
    #[error("The photo of the canvas is a panorama, put together from several. Take one plain photo.")]
    Panorama,
    /// A corner outside the photo.
    #[error(
        "A corner of the canvas lies outside the photo. All four edges must be in the picture, with a little of the wall around them; step back and take it again."
    )]
    CornerOutside,
    /// A corner at the very edge of the photo.
    #[error(
        "A corner of the canvas lies at the very edge of the photo, so that the canvas seems to be cut off there. Nothing could be told for sure: step back and take it again with a little of the wall around all four edges."
    )]
    CutOff,
    /// Corners too close together.
    #[error(
        "The canvas fills too little of the photo. Go nearer, until it fills most of the picture, and take it again."
    )]
    CanvasTooSmall,
    /// Crossed, or three in a line.
    #[error(
        "The four corners make no canvas: they cross, or three of them lie in a line. Give them in this order: top left, top right, bottom right, bottom left."
    )]
    NoOutline,
    /// The other way round.
    #[error(
        "The four corners go round the canvas the wrong way. Give them in this order: top left, top right, bottom right, bottom left; if they are, the photo is mirrored: take it with the main camera, not in a mirror."
    )]
    Mirrored,
    /// Turned over, by what is on the canvas.
    #[error(
        "The canvas seems to be {way} in the photo. Say where the canvas's own top lies. If that is right already, the photo is mirrored: take it with the main camera, not in a mirror."
    )]
    OtherWayRound {
        /// How.
        way: OtherWay,
    },
    /// An outline that a canvas of this shape cannot have.
    #[error(
        "The outline in the photo has not the shape of this canvas: its width seems {seen:.2} times its height, the plan says {planned:.2}. Check that the corners begin at the canvas's own top left, also where it lies on its side in the photo, and that this is the canvas of the plan."
    )]
    OtherShape {
        /// Width divided by height as seen.
        seen: f64,
        /// Width divided by height as planned.
        planned: f64,
    },
    /// Too much at a slant.
    #[error(
        "The photo was taken at a slant of {:.0} degrees, too much to measure well. Hold the camera square before the middle of the canvas and take it again.",
        tilt.to_degrees()
    )]
    Tilted {
        /// Between the line of sight and the line square to the canvas.
        tilt: Angle,
    },
    /// An edge that cannot be followed.
    #[error(
        "The {} edge of the canvas cannot be followed in the photo. See that both its corners lie on those of the canvas. Clear what covers it, or put the canvas before a wall of another tone; or, in the studio, tick that the edges cannot be followed and set their middles.",
        side.name()
    )]
    EdgeNotSeen {
        /// Which edge.
        side: Side,
    },
    /// An edge that stands out elsewhere than between the corners that a person set.
    #[error(
        "The {} edge that is seen runs about {} beside the corners that you set. If it is the canvas’s own, set them on it. If something covers the canvas there, such as the ledge of an easel, clear it and take the photo again; or, in the studio, tick that the edges cannot be followed and set their middles.",
        side.name(),
        small_length(*off, BOTH_UNITS)
    )]
    EdgeElsewhere {
        /// Which edge.
        side: Side,
        /// How far from both corners the other edge runs.
        off: Length,
    },
    /// Out of focus, or shaken.
    #[error(
        "The photo is blurred over {} of the canvas, too much to see a pencil line. Hold still, tap on the canvas to focus, and take it again.",
        small_length(Length::mm(*width_mm), BOTH_UNITS)
    )]
    Blurred {
        /// Standard deviation of the blur on the canvas, mm.
        width_mm: f64,
    },
    /// No map explains what was seen.
    #[error(
        "The outline in the photo cannot be brought together with this canvas. Set the four corners anew."
    )]
    NoMap,
    /// Lines, but not the planned ones.
    #[error(
        "{}, but {}. Check that this is the canvas of the plan and that the corners begin at its top left.",
        none_of(*planned),
        others_are(*others)
    )]
    OtherGrid {
        /// How many are planned.
        planned: usize,
        /// How many others are there.
        others: usize,
    },
    /// Too few landmarks.
    #[error(
        "Drift needs at least {needed} landmarks that are painted already; there {} {count}. Set some more.",
        if *count == 1 { "is" } else { "are" }
    )]
    TooFewLandmarks {
        /// How many there are.
        count: usize,
        /// How many are needed.
        needed: usize,
    },
    /// Landmarks without extent.
    #[error(
        "The landmarks lie almost in one place {}, so neither size nor turn can be told of them. Set some that lie farther apart, such as crown, chin and ears.",
        if *painted { "in the painting" } else { "in the plan" }
    )]
    LandmarksInOnePlace {
        /// Whether in the painting, as they were set; else in the plan.
        painted: bool,
    },
    /// The card's crosses are not there.
    #[error(
        "Of the crosses of the lens card only {seen} {} seen; at least {needed} are needed. Photograph the whole card, flat and sharp, so that it fills the picture.",
        if *seen == 1 { "was" } else { "were" }
    )]
    CrossesNotSeen {
        /// How many were seen.
        seen: usize,
        /// How many are needed.
        needed: usize,
    },
    /// Asked to stop.
    #[error("The check was stopped.")]
    Stopped,
}

fn none_of(planned: usize) -> String {
    match planned {
        1 => "The one planned line is not on this canvas".to_owned(),
        planned => format!("None of the {planned} planned lines is on this canvas"),
    }
}

fn others_are(others: usize) -> String {
    match others {
        1 => "another one is".to_owned(),
        others => format!("{others} others are"),
    }
}
