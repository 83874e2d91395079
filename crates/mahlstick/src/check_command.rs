//! `mahlstick check`: a photo of the canvas measured against the plan.

mod landmarks;
mod table;

use std::io::{IsTerminal, Write, stderr};
use std::ops::ControlFlow;
use std::path::Path;

use anyhow::{Context, Result, anyhow, bail};
use check::{
    COMPARED_SIDE, CanvasPhoto, GridCheckWishes, ImagePoint, KnownLens, LensCard, Outline, Painted, Report,
    VALUES_SIDE, find_lying_outlines, find_other_shape, overlay, rectified, refuse_painting,
};
use painting::Painting;
use photo::{Photo, Picture};
use plan::{Length, Paper, Plan};
use sheets::{PacketOptions, PhotoStream, check_packet, reference_picture};

use crate::Failure;
use crate::args::{CheckArguments, CheckOptions};
use crate::output::write_whole;
use crate::packet_command::{open_photo, today};
use crate::painting_commands::{Planned, planned_file};
use crate::plan_options::{canvas_plan, length};
use table::table;

/// Pixels of the squared-up photo to an inch, within which a canvas and a printer make sense.
const PPI: std::ops::RangeInclusive<f64> = 10.0..=1200.0;

/// Pixels to an inch of the picture with the lines over it: 5 to a millimetre show half a pencil line's width.
const OVERLAY_PPI: f64 = 127.0;

/// JPEG quality of the pictures written.
const QUALITY: u8 = 92;

/// Measures the photo, says what was found, and writes what was asked for.
pub(crate) fn run(arguments: &CheckArguments) -> Result<(), Failure> {
    let options = &arguments.check;
    if arguments.painting.is_none() && (options.save || options.landmarks.is_some()) {
        return Err(Failure::usage(anyhow!(
            "--save and --landmarks need a painting file. Name it before the options."
        )));
    }
    let planned = if let Some(file) = &arguments.painting {
        planned_file(file)?
    } else {
        let plan = canvas_plan(&arguments.canvas).map_err(Failure::usage)?;
        Planned { title: None, plan, photo: None }
    };
    let plan = &planned.plan;
    let tolerance = tolerance(options, plan).map_err(Failure::usage)?;
    let four = |text: &Option<String>, option| {
        text.as_deref().map(|text| corners(text, option)).transpose().map_err(Failure::usage)
    };
    let corners = four(&options.corners, "--corners")?;
    let card_corners = four(&options.card_corners, "--card-corners")?;
    let landmarks = options
        .landmarks
        .as_deref()
        .map(|text| landmarks::read(text, plan))
        .transpose()
        .map_err(Failure::usage)?;

    let progress = ProgressLine;
    progress.show("Reading the photo");
    let file = open_photo(&options.photo)?;
    let (picture, canvas_photo) = CanvasPhoto::decoded(&file)?;
    let outline = if let Some(corners) = corners {
        Outline::given(corners)
    } else {
        progress.show("Looking for the canvas");
        found_outline(&canvas_photo, file.name(), &planned)?
    };
    let card = options.card.as_deref().zip(card_corners);
    let lens = card.map(|(card, corners)| lens_of(card, corners, &progress)).transpose()?;
    let wishes = GridCheckWishes { tolerance, lens: lens.as_ref() };
    let measuring = |share: f64| {
        progress.show(&format!("Measuring, {:.0} %", 100.0 * share));
        true
    };
    let small = reduced_reference(&planned, VALUES_SIDE)?;
    let mut report =
        Report::measured((&picture, &canvas_photo), &outline, (plan, small.as_ref()), wishes, &measuring)?;
    if let Some(landmarks) = landmarks {
        take_landmarks(&mut report, landmarks, plan)?;
        // With landmarks on it, it is a painting even where its grid is seen.
        if let Some(small) = &small {
            refuse_painting(&picture, &report.map, small, plan)?;
        }
    }
    write_pictures(options, &picture, &report, &progress)?;
    if let Some(path) = &options.sheet {
        progress.show("Drawing the check sheet");
        write_sheet(path, options.paper, &picture, &report, &planned)?;
    }
    progress.clear();

    let json = serde_json::to_string_pretty(&report)? + "\n";
    if options.save
        && let Some(painting) = &arguments.painting
    {
        Painting::open(painting)?.keep_check(file.file_bytes(), &json)?;
    }
    let text = if options.json { json } else { table(&report, plan) };
    Ok(crate::print(text.as_bytes())?)
}

/// The lens as a photo of the lens card tells it.
fn lens_of(card: &Path, corners: [ImagePoint; 4], progress: &ProgressLine) -> Result<KnownLens, Failure> {
    progress.show("Measuring the lens");
    let photo = open_photo(card)?;
    let (_, seen) = CanvasPhoto::decoded(&photo)?;
    Ok(KnownLens::from_card(&seen, &LensCard::printed(), corners)?)
}

/// The check sheet as PDF.
fn write_sheet(
    path: &Path,
    paper: Option<Paper>,
    picture: &Picture,
    report: &Report,
    planned: &Planned,
) -> Result<()> {
    let squared_up = rectified(picture, &report.map, &report.canvas, OVERLAY_PPI)?;
    let jpeg = squared_up.to_jpeg(QUALITY)?;
    let stream = PhotoStream::of(&Photo::from_bytes(jpeg, "the squared-up photo")?)?;
    let plan = &planned.plan;
    let mut options = PacketOptions::of_plan(planned.title.clone().unwrap_or_default(), plan);
    options.paper = paper.unwrap_or(plan.printing.paper);
    options.date = Some(today());
    let packet = check_packet(report, plan, Some(&stream), &options, &|_| ControlFlow::Continue(()))?;
    write_whole(path, &packet.pdf)
}

fn take_landmarks(report: &mut Report, landmarks: Vec<Painted>, plan: &Plan) -> Result<()> {
    match report.take_painted(landmarks, plan)? {
        Some(not_yet) => bail!(not_yet),
        None => Ok(()),
    }
}

/// The picture that lies on the canvas, reduced; `None` without one.
fn reduced_reference(planned: &Planned, longest_side: u32) -> Result<Option<Picture>> {
    let both = planned.photo.as_ref().zip(planned.plan.reference.as_ref());
    Ok(both.map(|(photo, reference)| reference_picture(photo, reference, Some(longest_side))).transpose()?)
}

fn tolerance(options: &CheckOptions, plan: &Plan) -> Result<Length> {
    let tolerance = length(&options.tolerance, plan.unit).context("--tolerance")?;
    let most = plan.canvas.nominal.width.min(plan.canvas.nominal.height) / 10.0;
    if !(tolerance > Length::ZERO && tolerance < most) {
        bail!(
            "--tolerance: Choose more than nothing and less than a tenth of the canvas, such as 1/32in or 1mm."
        );
    }
    if !PPI.contains(&options.ppi) {
        bail!("--ppi: Choose from {:.0} to {:.0} pixels to an inch.", PPI.start(), PPI.end());
    }
    Ok(tolerance)
}

fn corners(text: &str, option: &str) -> Result<[ImagePoint; 4]> {
    let wrong = || {
        anyhow!(
            "{option}: “{text}” is not four corners. Write eight numbers in pixels: top left, top right, bottom right, \
             bottom left, for example 310,220,2710,260,2680,3760,290,3700."
        )
    };
    let numbers: Option<Vec<f64>> = text.split(',').map(|number| number.trim().parse().ok()).collect();
    let numbers =
        numbers.filter(|numbers| numbers.iter().all(|number: &f64| number.is_finite())).ok_or_else(wrong)?;
    let [a, b, c, d, e, f, g, h] = numbers[..] else { return Err(wrong()) };
    Ok([[a, b], [c, d], [e, f], [g, h]].map(ImagePoint::from))
}

fn found_outline(photo: &CanvasPhoto, name: &str, planned: &Planned) -> Result<Outline> {
    let plan = &planned.plan;
    let small = reduced_reference(planned, COMPARED_SIDE)?;
    if let Some(outline) = Outline::found(photo, plan, small.as_ref()).first() {
        return Ok(*outline);
    }
    if let [right, left] = &find_lying_outlines(photo, plan.canvas.nominal)[..] {
        bail!(
            "The canvas seems to lie on its side in “{name}”. Say which way: --corners {} if its top is at the photo's right, \
             --corners {} if it is at the left.",
            written(right.corners),
            written(left.corners)
        );
    }
    if let Some(other) = find_other_shape(photo, plan.canvas.nominal) {
        bail!(
            "“{name}”: {other} Check that this is the canvas of the plan; if it is, give its corners with --corners."
        );
    }
    bail!(
        "The canvas's four edges cannot be found in “{name}”. Put it before a wall of another tone with all edges in the \
         picture, or give its corners with --corners."
    )
}

/// Corners as `--corners` takes them.
fn written(corners: [ImagePoint; 4]) -> String {
    corners.map(|corner| format!("{:.0},{:.0}", corner.x, corner.y)).join(",")
}

fn write_pictures(
    options: &CheckOptions,
    picture: &Picture,
    report: &Report,
    progress: &ProgressLine,
) -> Result<()> {
    if let Some(path) = &options.overlay {
        progress.show("Drawing the lines over the photo");
        write_picture(path, &overlay(picture, report, OVERLAY_PPI)?)?;
    }
    if let Some(path) = &options.rectify {
        progress.show("Squaring up the photo");
        write_picture(path, &rectified(picture, &report.map, &report.canvas, options.ppi)?)?;
    }
    Ok(())
}

fn write_picture(path: &Path, picture: &Picture) -> Result<()> {
    write_whole(path, &picture.to_jpeg(QUALITY)?)
}

/// What is being done, on a terminal alone.
#[derive(Default)]
struct ProgressLine;

impl ProgressLine {
    #[expect(clippy::unused_self, reason = "the line is shown while this is held")]
    fn show(&self, doing: &str) {
        if stderr().is_terminal() {
            let _ = write!(stderr(), "\r\x1b[K{doing} …");
        }
    }

    #[expect(clippy::unused_self, reason = "the line is shown while this is held")]
    fn clear(&self) {
        if stderr().is_terminal() {
            let _ = write!(stderr(), "\r\x1b[K");
        }
    }
}

impl Drop for ProgressLine {
    fn drop(&mut self) {
        self.clear();
    }
}
