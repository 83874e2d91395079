//! `mahlstick check`: a photo of the canvas measured against the plan.

mod landmarks;
mod report;

use std::io::{IsTerminal, Write, stderr};
use std::path::Path;

use anyhow::{Context, Result, anyhow, bail};
use check::{
    CanvasPhoto, Drift, Expected, GridCheck, GridCheckWishes, ImagePoint, Luma, Outline, find_outlines,
    overlay, rectified,
};
use painting::Painting;
use photo::{Photo, Picture};
use plan::{CanvasPoint, Length, Plan};
use sheets::reference_picture;

use crate::Failure;
use crate::args::{CheckArguments, CheckOptions};
use crate::output::write_whole;
use crate::packet_command::open_photo;
use crate::painting_commands::{Planned, planned_file};
use crate::plan_options::{canvas_plan, length};
use report::CheckReport;

/// Pixels of the squared-up photo to an inch, within which a canvas and a printer make sense.
const PPI: std::ops::RangeInclusive<f64> = 10.0..=1200.0;

/// Pixels to an inch of the picture with the lines over it: 5 to a millimetre show half a pencil line's width.
const OVERLAY_PPI: f64 = 127.0;

/// JPEG quality of the pictures written.
const QUALITY: u8 = 92;

/// Diagonal of the 36 x 24 mm frame, mm, by which focal lengths are compared (CIPA DCG-001).
const DIAGONAL_35MM: f64 = 43.27;

/// The longer side, pixels, to which the reference is reduced to be compared with the painting.
const COMPARED_SIDE: u32 = 64;

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
    let wishes = wishes(options, plan).map_err(Failure::usage)?;
    let corners = options.corners.as_deref().map(corners).transpose().map_err(Failure::usage)?;
    let landmarks = options
        .landmarks
        .as_deref()
        .map(|text| landmarks::read(text, plan))
        .transpose()
        .map_err(Failure::usage)?;

    let progress = ProgressLine;
    progress.show("Reading the photo");
    let file = open_photo(&options.photo)?;
    let picture = file.upright()?;
    let canvas_photo = CanvasPhoto::new(&picture, file.camera())?;
    let outline = if let Some(corners) = corners {
        Outline::given(corners)
    } else {
        progress.show("Looking for the canvas");
        found_outline(&file, canvas_photo.luma(), &planned)?
    };
    let measuring = |share: f64| {
        progress.show(&format!("Measuring, {:.0} %", 100.0 * share));
        true
    };
    let check = GridCheck::of(&canvas_photo, plan, &outline, wishes, &measuring)?;
    refuse_another_grid(&check)?;
    let drift = landmarks.map(|landmarks| Drift::of(&check.map, &landmarks, wishes.tolerance)).transpose()?;
    write_pictures(options, plan, &picture, &check, &progress)?;
    progress.clear();

    let report = CheckReport::of(&check, drift);
    let json = serde_json::to_string_pretty(&report)? + "\n";
    if options.save
        && let Some(painting) = &arguments.painting
    {
        Painting::open(painting)?.keep_check(file.file_bytes(), &json)?;
    }
    let text = if options.json { json } else { report.table(plan) };
    Ok(crate::print(text.as_bytes())?)
}

fn wishes(options: &CheckOptions, plan: &Plan) -> Result<GridCheckWishes<'static>> {
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
    Ok(GridCheckWishes { tolerance, lens: None })
}

fn corners(text: &str) -> Result<[ImagePoint; 4]> {
    let wrong = || {
        anyhow!(
            "--corners: “{text}” is not four corners. Write eight numbers in pixels: top left, top right, bottom right, \
             bottom left, for example 310,220,2710,260,2680,3760,290,3700."
        )
    };
    let numbers: Option<Vec<f64>> = text.split(',').map(|number| number.trim().parse().ok()).collect();
    let numbers =
        numbers.filter(|numbers| numbers.iter().all(|number: &f64| number.is_finite())).ok_or_else(wrong)?;
    let [a, b, c, d, e, f, g, h] = numbers[..] else { return Err(wrong()) };
    Ok([[a, b], [c, d], [e, f], [g, h]].map(ImagePoint::from))
}

fn found_outline(file: &Photo, luma: &Luma, planned: &Planned) -> Result<Outline> {
    let plan = &planned.plan;
    let diagonal = (luma.width() as f64).hypot(luma.height() as f64);
    let reference = reference_light(planned)?;
    let expected = Expected {
        size: plan.canvas.nominal,
        lines: &plan.grid_lines(),
        focal_px: file.camera().focal_length_35mm.map(|focal| focal / DIAGONAL_35MM * diagonal),
        reference: reference.as_ref().map(|reference| reference as _),
    };
    find_outlines(luma, &expected).first().copied().ok_or_else(|| {
        anyhow!(
            "The canvas's four edges cannot be found in “{}”. Put it before a wall of another tone with all edges in the \
             picture, or give its corners with --corners.",
            file.name()
        )
    })
}

/// The light that the painting should have at a point of the canvas, if it has a reference that is laid on it.
fn reference_light(planned: &Planned) -> Result<Option<impl Fn(CanvasPoint) -> Option<f64> + Sync + use<>>> {
    let plan = &planned.plan;
    let (Some(photo), Some(reference), Some(placing)) = (&planned.photo, &plan.reference, plan.placing())
    else {
        return Ok(None);
    };
    let small = reference_picture(photo, reference, Some(COMPARED_SIDE))?;
    let scale = f64::from(small.width()) / f64::from(reference.size().width);
    let luma = Luma::of(&small);
    Ok(Some(move |point: CanvasPoint| {
        let at = placing.to_photo(point);
        let (x, y) = (at.x * scale, at.y * scale);
        luma.holds(x, y, 0.0).then(|| f64::from(luma.at(x, y)))
    }))
}

/// So many lines where none are planned, and none where they are: another canvas.
fn refuse_another_grid(check: &GridCheck) -> Result<()> {
    let found = check.lines.iter().filter(|line| line.found).count();
    if check.lines.len() >= 3 && found == 0 && check.unplanned.len() >= 3 {
        bail!(
            "None of the {} planned lines is on this canvas, but {} others are. Check that this is the canvas of the plan and \
             that the corners begin at its top left.",
            check.lines.len(),
            check.unplanned.len()
        );
    }
    Ok(())
}

fn write_pictures(
    options: &CheckOptions,
    plan: &Plan,
    picture: &Picture,
    check: &GridCheck,
    progress: &ProgressLine,
) -> Result<()> {
    let outline = plan.canvas.outline();
    if let Some(path) = &options.overlay {
        progress.show("Drawing the lines over the photo");
        write_picture(path, &overlay(picture, check, &outline, OVERLAY_PPI)?)?;
    }
    if let Some(path) = &options.rectify {
        progress.show("Squaring up the photo");
        write_picture(path, &rectified(picture, &check.map, &outline, options.ppi)?)?;
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
