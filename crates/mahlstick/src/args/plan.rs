//! What the command line says of a plan: the canvas, what is ruled on it, and how the photo lies there.

use std::path::PathBuf;

use ::plan::Ruler;
use clap::{Args, ValueEnum};

/// The plan of the painting.
#[derive(Debug, Args)]
#[command(next_help_heading = "The plan")]
pub(crate) struct PlanArguments {
    /// The photo to paint from: JPEG, PNG, WebP or TIFF
    #[arg(long, value_name = "FILE")]
    pub(crate) photo: Option<PathBuf>,
    /// The corners of a print, if the photo was taken of one, clockwise from the top left in pixels of the upright photo,
    /// and the print's size if it is known: the photo is squared up
    #[arg(long, value_name = "X,Y,X,Y,X,Y,X,Y[:WxH]", requires = "photo")]
    pub(crate) square_up: Option<String>,
    /// Two points of a line in the photo that ought to be level: the photo is turned so that it is
    #[arg(long, value_name = "X,Y,X,Y", requires = "photo", conflicts_with_all = ["plumb", "turn"])]
    pub(crate) level: Option<String>,
    /// Two points of a line in the photo that ought to be plumb: the photo is turned so that it is
    #[arg(long, value_name = "X,Y,X,Y", requires = "photo", conflicts_with = "turn")]
    pub(crate) plumb: Option<String>,
    #[command(flatten)]
    pub(crate) canvas: CanvasArguments,
    /// Lay the photo on the canvas: whole, or covering it [default: fit]
    #[arg(long, value_name = "HOW", conflicts_with = "head")]
    pub(crate) place: Option<PlaceChoice>,
    /// The top of the head in the upright photo, in pixels from its top left corner
    #[arg(long, value_name = "X,Y", requires = "chin", allow_hyphen_values = true)]
    pub(crate) crown: Option<String>,
    /// The bottom of the chin in the upright photo, in pixels from its top left corner
    #[arg(long, value_name = "X,Y", requires = "crown", allow_hyphen_values = true)]
    pub(crate) chin: Option<String>,
    /// The head's height on the canvas, from crown to chin
    #[arg(long, value_name = "LENGTH", requires = "crown", allow_hyphen_values = true)]
    pub(crate) head: Option<String>,
    /// Where the middle of the head goes, from the canvas's top left corner [default: the middle of the canvas]
    #[arg(long, value_name = "X,Y", requires = "head", allow_hyphen_values = true)]
    pub(crate) head_centre: Option<String>,
    /// Turn the photo on the canvas, in degrees clockwise
    #[arg(long, value_name = "DEGREES", default_value_t = 0.0, allow_negative_numbers = true)]
    pub(crate) turn: f64,
    /// Exchange left and right of the photo
    #[arg(long)]
    pub(crate) mirror: bool,
    /// A landmark in the upright photo, in pixels from its top left corner: a name such as “right pupil”, “base of the
    /// nose”, “left shoulder” or one of your own; may be given again
    #[arg(long = "landmark", value_name = "NAME=X,Y", requires = "photo")]
    pub(crate) landmarks: Vec<String>,
    /// A measure to keep: its name and its two ends in the upright photo, in pixels; may be given again
    #[arg(long = "measure", value_name = "NAME=X,Y,X,Y", requires = "photo")]
    pub(crate) measures: Vec<String>,
    /// The measure in terms of which the others are told
    #[arg(long, value_name = "NAME", requires = "measures")]
    pub(crate) unit: Option<String>,
    /// The lens's focal length as on 35 mm film, if the photo does not tell it
    #[arg(long, value_name = "MM", requires = "photo")]
    pub(crate) focal: Option<f64>,
}

/// The canvas and what is ruled on it.
#[derive(Debug, Args)]
#[command(next_help_heading = "The plan")]
pub(crate) struct CanvasArguments {
    /// The canvas's width and height
    #[arg(long, value_name = "WxH")]
    pub(crate) canvas: Option<String>,
    /// The canvas as measured: four sides, the diagonal down from the top left, the one up from the bottom left
    #[arg(long, value_name = "TOP,RIGHT,BOTTOM,LEFT,DOWN,UP")]
    pub(crate) measured: Option<String>,
    /// Divide the canvas into N parts each way, or into columns and rows [default: 4]
    #[arg(long, value_name = "N|CxR", conflicts_with = "square")]
    pub(crate) divide: Option<String>,
    /// Divide the canvas into squares of this side
    #[arg(long, value_name = "LENGTH")]
    pub(crate) square: Option<String>,
    /// Where the squares are counted from
    #[arg(long, value_name = "WHERE", default_value = "top-left", requires = "square")]
    pub(crate) square_from: SquaresStart,
    /// Rule the two diagonals as well
    #[arg(long)]
    pub(crate) diagonals: bool,
    /// A detail box with a grid of its own: its top left corner, its size, and how it is divided [default: 4];
    /// may be given again
    #[arg(long = "detail", value_name = "X,Y,WxH[:N]", allow_hyphen_values = true)]
    pub(crate) details: Vec<String>,
    /// The ruler to read: 1/8, 1/16, 1/32 or 1/64 for inches, mm or 0.5mm for metric
    /// [default: 1/16 for a canvas in inches, else mm]
    #[arg(long, value_name = "DIVISION")]
    pub(crate) ruler: Option<Ruler>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum PlaceChoice {
    /// The whole photo as large as the canvas holds
    Fit,
    /// The photo as small as covers the canvas
    Fill,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum SquaresStart {
    /// The top left corner
    TopLeft,
    /// The top right corner
    TopRight,
    /// The bottom left corner
    BottomLeft,
    /// The bottom right corner
    BottomRight,
    /// The middle of the canvas
    Centre,
}
