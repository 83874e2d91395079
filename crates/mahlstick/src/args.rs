//! The command line: what may be written, and the help, manual page and completions that follow from it.

mod plan;

use std::path::PathBuf;

use ::plan::{Paper, Ratio};
use clap::{Args, Parser, Subcommand};
use sheets::{SheetKind, Show};
use studio::Lan;
use values::ValueSteps;

pub(crate) use self::plan::{CanvasArguments, PlaceChoice, PlanArguments, SquaresStart};

/// Get a likeness onto a canvas of known size, and hold it: the same grid on canvas and reference.
#[derive(Debug, Parser)]
#[command(name = "mahlstick", version, max_term_width = 100, after_help = AFTER_HELP)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
}

const AFTER_HELP: &str = "\
Lengths are written as 12in, 12 1/2 in, 12-1/2\", 30.5cm or 305mm. A bare number takes the canvas's unit, but is
in millimetres with --bars, with --show and with `values`, and in inches with `values --height`.

A canvas 12 in square, the head 8 in from crown to chin, sheets of Letter paper:
  mahlstick packet --photo sitter.jpg --canvas 12x12in --crown 1510,620 --chin 1495,2480 --head 8in -o sitter.pdf";

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Open the studio in the browser: the whole work from photo to packet; also what `mahlstick` alone does
    Studio(StudioArguments),
    /// Make a painting file
    New(NewArguments),
    /// Say how things stand with a painting
    Show(ShowArguments),
    /// Write a painting's plan and photo as plain files
    Export {
        /// The painting file
        #[arg(value_name = "FILE")]
        painting: PathBuf,
        /// The folder to write to; made if it is not there
        #[arg(value_name = "DIR")]
        folder: PathBuf,
    },
    /// Make a painting file of an exported folder
    Import {
        /// The folder
        #[arg(value_name = "DIR")]
        folder: PathBuf,
        /// The painting file to make
        #[arg(value_name = "FILE")]
        painting: PathBuf,
    },
    /// Make the packet: one PDF with the plan, the marks, edge strips and the reference at true size
    Packet(PacketArguments),
    /// Say where to mark the canvas's sides
    Marks(MarksArguments),
    /// Say where each landmark lies within its grid box
    Plot(PlotArguments),
    /// Say the proportions of the sitter's head and figure, and how far the camera stood
    Proportions(ProportionsArguments),
    /// Make a value map of a reference, or say the value at a spot
    Values(ValuesArguments),
    /// Measure a photo of the canvas against the plan: which line is off, which feature has drifted, and by how much
    Check(CheckArguments),
    /// Make the packet of the demo painting, a plaster cast of a harbour pilot's head
    Demo(DemoArguments),
    /// Print the completions for a shell
    Completions {
        /// The shell to complete for
        shell: clap_complete::Shell,
    },
    /// Print the manual page
    Man,
}

#[derive(Debug, Default, Args)]
pub(crate) struct StudioArguments {
    /// The folder with the paintings [default: “Mahlstick paintings” in your documents]
    #[arg(long, value_name = "DIR")]
    pub(crate) folder: Option<PathBuf>,
    /// The port to listen on, on this computer alone [default: 7448, or a free one if that is taken]
    #[arg(long, value_name = "N")]
    pub(crate) port: Option<u16>,
    /// Do not open a browser
    #[arg(long)]
    pub(crate) no_open: bool,
    /// Let screens in the same house show the easel page once they have brought a code; at every home-network address of
    /// this computer, or only at the one given. For a trusted home network only: what is sent is not encrypted
    #[arg(long, value_name = "ADDRESS", num_args = 0..=1, require_equals = true, default_missing_value = HOME, value_parser = lan)]
    pub(crate) lan: Option<Lan>,
}

#[derive(Debug, Args)]
pub(crate) struct NewArguments {
    /// The painting file to make; its name ends in .mahlstick
    #[arg(value_name = "FILE")]
    pub(crate) painting: PathBuf,
    /// The name of the painting [default: the file's name]
    #[arg(long, value_name = "TEXT")]
    pub(crate) title: Option<String>,
    #[command(flatten)]
    pub(crate) plan: PlanArguments,
}

#[derive(Debug, Args)]
pub(crate) struct ShowArguments {
    /// The painting file
    #[arg(value_name = "FILE")]
    pub(crate) painting: PathBuf,
    /// Print everything as JSON instead
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct PacketArguments {
    /// A painting file, in place of the options for the plan
    #[arg(value_name = "FILE", conflicts_with_all = ["PlanArguments", "CanvasArguments"])]
    pub(crate) painting: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) plan: PlanArguments,
    #[command(flatten)]
    pub(crate) print: PrintArguments,
    /// Where to write the packet
    #[arg(short, long, value_name = "PDF")]
    pub(crate) output: PathBuf,
}

#[derive(Debug, Args)]
pub(crate) struct MarksArguments {
    /// A painting file, in place of the options for the plan
    #[arg(value_name = "FILE", conflicts_with_all = ["PlanArguments", "CanvasArguments"])]
    pub(crate) painting: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) plan: PlanArguments,
    /// Print the marks as JSON instead of as a table
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct PlotArguments {
    /// A painting file, in place of the options for the plan
    #[arg(value_name = "FILE", conflicts_with = "PlanArguments")]
    pub(crate) painting: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) plan: PlanArguments,
    /// Print the plots as JSON instead of as a table
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct ProportionsArguments {
    /// The painting file
    #[arg(value_name = "FILE")]
    pub(crate) painting: PathBuf,
    /// The lens's focal length as on 35 mm film, if the photo does not tell it
    #[arg(long, value_name = "MM")]
    pub(crate) focal: Option<f64>,
    /// The sitter's own head from crown to chin, if you measured it: the camera's distance is then surer
    #[arg(long, value_name = "LENGTH")]
    pub(crate) sitter_head: Option<String>,
    /// Print everything as JSON instead
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct ValuesArguments {
    /// The painting file whose reference to look at
    #[arg(value_name = "FILE", conflicts_with = "photo", required_unless_present = "photo")]
    pub(crate) painting: Option<PathBuf>,
    /// A photo, in place of a painting file
    #[arg(long, value_name = "FILE")]
    pub(crate) photo: Option<PathBuf>,
    /// How high the photo will be on the canvas
    #[arg(long, value_name = "LENGTH", default_value = "16in", conflicts_with = "painting")]
    pub(crate) height: String,
    /// How many steps, from 2 to 9
    #[arg(long, value_name = "N", default_value = "5", value_parser = value_steps)]
    pub(crate) steps: ValueSteps,
    /// The smallest mass to keep, on the canvas [default: 2 mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub(crate) smooth: Option<String>,
    /// A spot of the upright photo, in pixels from its top left corner: its value is told; may be given again
    #[arg(long, value_name = "X,Y")]
    pub(crate) at: Vec<String>,
    /// How wide a spot is, on the canvas
    #[arg(long, value_name = "LENGTH", default_value = "3mm", allow_hyphen_values = true)]
    pub(crate) spot: String,
    /// Where to write the value map: a name that ends in .png or .jpg
    #[arg(short, long, value_name = "PICTURE", required_unless_present = "at")]
    pub(crate) output: Option<PathBuf>,
}

fn value_steps(text: &str) -> Result<ValueSteps, String> {
    let count =
        text.parse().map_err(|_| format!("“{text}” is not a number of steps. Choose from 2 to 9."))?;
    ValueSteps::new(count).map_err(|error| error.to_string())
}

#[derive(Debug, Args)]
pub(crate) struct CheckArguments {
    /// A painting file, in place of the options for the plan
    #[arg(value_name = "FILE", conflicts_with = "CanvasArguments")]
    pub(crate) painting: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) canvas: CanvasArguments,
    #[command(flatten)]
    pub(crate) check: CheckOptions,
}

/// The photo of the canvas, and what is to be made of it.
#[derive(Debug, Args)]
#[command(next_help_heading = "The check")]
pub(crate) struct CheckOptions {
    /// The photo of the canvas: all four edges in it, taken square-on with the phone's main camera, without zoom
    #[arg(long, value_name = "FILE")]
    pub(crate) photo: PathBuf,
    /// The canvas's corners in the upright photo, in pixels: top left, top right, bottom right, bottom left. Without them
    /// the outline is looked for, and the result is marked as unconfirmed
    #[arg(long, value_name = "X,Y,X,Y,X,Y,X,Y", allow_hyphen_values = true)]
    pub(crate) corners: Option<String>,
    /// Where landmarks are painted, in pixels of the upright photo of the canvas: those of the painting by their names, any
    /// other with its place in the reference before it, in pixels of the upright reference
    #[arg(long, value_name = "NAME[:X,Y]=X,Y;…")]
    pub(crate) landmarks: Option<String>,
    /// How far off is let pass
    #[arg(long, value_name = "LENGTH", default_value = "1/32in", allow_hyphen_values = true)]
    pub(crate) tolerance: String,
    /// Print the result as JSON instead of as a table
    #[arg(long)]
    pub(crate) json: bool,
    /// Write the squared-up photo as a JPEG with each line in the style of its verdict and its error ten times enlarged
    #[arg(long, value_name = "FILE")]
    pub(crate) overlay: Option<PathBuf>,
    /// Write the photo squared up as a JPEG: the canvas alone, straight on
    #[arg(long, value_name = "FILE")]
    pub(crate) rectify: Option<PathBuf>,
    /// Pixels to an inch of canvas in the squared-up photo, 10 to 1200
    #[arg(long, value_name = "N", default_value_t = 300.0, requires = "rectify")]
    pub(crate) ppi: f64,
    /// Write the check sheet: the squared-up photo with its lines, the list of lines, and drift in words
    #[arg(long, value_name = "PDF")]
    pub(crate) sheet: Option<PathBuf>,
    /// The paper of the check sheet [default: the painting's]
    #[arg(long, requires = "sheet")]
    pub(crate) paper: Option<Paper>,
    /// A photo of the lens card (`mahlstick packet --only card`), taken with the same phone: it makes every number surer
    #[arg(long, value_name = "FILE", requires = "card_corners")]
    pub(crate) card: Option<PathBuf>,
    /// The card's crosses 1 to 4 in its upright photo, in pixels, to within a few
    #[arg(long, value_name = "X,Y,X,Y,X,Y,X,Y", requires = "card")]
    pub(crate) card_corners: Option<String>,
    /// Keep the photo and the result in the painting file
    #[arg(long)]
    pub(crate) save: bool,
}

#[derive(Debug, Args)]
pub(crate) struct DemoArguments {
    /// The paper to print on
    #[arg(long, default_value = "letter")]
    pub(crate) paper: Paper,
    /// Where to write the packet
    #[arg(short, long, value_name = "PDF", default_value = "harbour-pilot.pdf")]
    pub(crate) output: PathBuf,
}

/// How the packet is printed.
#[derive(Debug, Args)]
#[command(next_help_heading = "The sheets")]
#[expect(clippy::struct_excessive_bools, reason = "each is a switch of its own on the command line")]
pub(crate) struct PrintArguments {
    /// The name of the painting, as it stands on every sheet [default: the packet's file name]
    #[arg(long, value_name = "TEXT")]
    pub(crate) title: Option<String>,
    /// The paper: letter, legal, tabloid, a4 or a3 [default: letter for a canvas in inches, else a4]
    #[arg(long)]
    pub(crate) paper: Option<Paper>,
    /// What the printer leaves blank along every edge [default: 1/4 in]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub(crate) margin: Option<String>,
    /// How much of the picture two neighbouring sheets both show [default: 10 mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub(crate) lap: Option<String>,
    /// Let no seam run through the head, even if that takes more sheets [usual, unless the painting says otherwise]
    #[arg(long)]
    pub(crate) whole_head: bool,
    /// Take the fewest sheets, even if a seam then runs through the head
    #[arg(long, conflicts_with = "whole_head")]
    pub(crate) fewest_sheets: bool,
    /// The printed scale bars as you measured them: across the paper held upright, and along it. In inches for the
    /// 4 in bars, metric for the 100 mm bars
    #[arg(long, value_name = "HxV")]
    pub(crate) bars: Option<String>,
    /// Which sheets to make: plan, marks, strips, reference, details, film, plots, measures,
    /// proportions, bars, card (the lens card)
    /// [default: all but film and card]
    #[arg(long, value_name = "KIND,…", value_delimiter = ',')]
    pub(crate) only: Vec<SheetKind>,
    /// Mark the landmarks on reference, detail and film sheets
    #[arg(long)]
    pub(crate) mark_landmarks: bool,
    /// Leave out reference sheets that show background alone: neither the head nor a detail box nor a landmark
    #[arg(long)]
    pub(crate) likeness_only: bool,
    /// How reference and detail sheets show the photo: photo, grey, values:5 (2 to 9 steps), squint:4mm; with these or
    /// alone: mirror, upside-down
    #[arg(long, value_name = "HOW,…", default_value_t)]
    pub(crate) show: Show,
    /// Reference and detail sheets at a ratio to the canvas, such as 1:2, for a canvas too large to print
    #[arg(long, value_name = "SHEET:CANVAS", default_value = "1:1")]
    pub(crate) ratio: Ratio,
    /// The length of your proportional dividers, closed: where their pivot sits for the ratio is then told
    #[arg(long, value_name = "LENGTH")]
    pub(crate) dividers: Option<String>,
    /// Leave the grid lines off the reference and detail sheets
    #[arg(long)]
    pub(crate) no_lines: bool,
}

/// What stands for every private address of this computer.
const HOME: &str = "home";

/// Reads where screens in the house may come in.
fn lan(text: &str) -> Result<Lan, &'static str> {
    if text == HOME {
        return Ok(Lan::Home);
    }
    text.parse()
        .map(Lan::At)
        .map_err(|_| "write this computer's address on the home network, such as 192.168.1.20")
}
