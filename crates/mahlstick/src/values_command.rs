//! `mahlstick values`: a value map of a reference as a picture, and the value at a spot.

use std::fmt::Write as _;

use anyhow::{Context, anyhow};
use photo::Picture;
use plan::{Length, PhotoPoint, Unit};
use sheets::reference_picture;
use values::{SMOOTHINGS, USUAL_SMOOTHING, ValueMap, value_at};

use crate::args::ValuesArguments;
use crate::output::{PictureKind, write_whole};
use crate::packet_command::open_photo;
use crate::painting_commands::{Planned, planned_file};
use crate::plan_options::{length, pixel as photo_point};
use crate::{Failure, print};

/// Writes the value map and tells the values of the spots.
pub(crate) fn run(arguments: &ValuesArguments) -> Result<(), Failure> {
    let millimetres = |text: &str| length(text, Unit::Millimetre);
    let smoothing = arguments.smooth.as_deref().map_or(Ok(USUAL_SMOOTHING), millimetres);
    let smoothing = smoothing.context("--smooth").map_err(Failure::usage)?;
    if !SMOOTHINGS.contains(&smoothing) {
        return Err(Failure::usage(anyhow!(
            "--smooth: the smallest mass is from 0 to 50 mm (2 in) on the canvas."
        )));
    }
    let spot = millimetres(&arguments.spot).context("--spot").map_err(Failure::usage)?;
    let spots: Vec<PhotoPoint> = arguments
        .at
        .iter()
        .map(|text| photo_point(text))
        .collect::<Result<_, _>>()
        .context("--at")
        .map_err(Failure::usage)?;
    let output = arguments.output.as_deref().map(|path| Ok((path, PictureKind::of(path)?)));
    let output = output.transpose().map_err(|error: anyhow::Error| Failure::usage(error))?;
    let (picture, pixel) = picture(arguments)?;
    let mut told = String::new();
    for (at, text) in spots.into_iter().zip(&arguments.at) {
        let value = value_at(&picture, at, pixel, spot).ok_or_else(|| {
            let (width, height) = (picture.width(), picture.height());
            Failure::usage(anyhow!("--at: {text} lies outside the photo of {width} x {height} pixels."))
        })?;
        let (step, of) = (arguments.steps.of(value), arguments.steps.count());
        let _ = writeln!(
            told,
            "{text}: value {value:.1}, step {} of {of} (value {:.1})",
            step.number, step.value
        );
    }
    if let Some((path, kind)) = output {
        let map = ValueMap::of(&picture, pixel, arguments.steps, smoothing);
        write_whole(path, &kind.coded(map.picture())?)?;
        let _ = writeln!(told, "{}: {} steps, the darkest first", path.display(), arguments.steps.count());
        for (step, share) in arguments.steps.all().zip(map.shares()) {
            let _ = writeln!(
                told,
                "  {}  value {:.1}, for {:.1} to {:.1}: {:.0} % of the picture",
                step.number,
                step.value,
                step.from,
                step.to,
                share * 100.0
            );
        }
    }
    Ok(print(told.as_bytes())?)
}

/// The reference, and the size of its pixels on the canvas.
fn picture(arguments: &ValuesArguments) -> Result<(Picture, Length), Failure> {
    if let Some(path) = &arguments.photo {
        let height = length(&arguments.height, Unit::Inch).context("--height").map_err(Failure::usage)?;
        if height <= Length::ZERO {
            return Err(Failure::usage(anyhow!("--height: a photo on a canvas is higher than nothing.")));
        }
        let picture = open_photo(path)?.upright()?;
        let pixel = height / f64::from(picture.height());
        return Ok((picture, pixel));
    }
    let file = arguments
        .painting
        .as_deref()
        .ok_or_else(|| Failure::usage(anyhow!("Name a painting file or a photo.")))?;
    let Planned { plan, photo, .. } = planned_file(file)?;
    match (photo, &plan.reference, plan.placing()) {
        (Some(photo), Some(reference), Some(placing)) => {
            Ok((reference_picture(&photo, reference, None)?, placing.pixel()))
        }
        _ => Err(Failure::usage(anyhow!("This painting has no photo yet. Choose one in the studio."))),
    }
}
