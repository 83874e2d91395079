//! `mahlstick proportions`: the sitter's proportions beside the canon and what was measured on people, and how far the
//! camera stood.

use std::fmt::Write as _;

use anyhow::Context;
use plan::{CameraDistance, CameraError, Plan, Proportion, ProportionUnit, SitterHead, proportions};
use serde_json::{Value, json};

use crate::args::ProportionsArguments;
use crate::at_the_command::no_distance;
use crate::painting_commands::{Planned, planned_file};
use crate::plan_options::length;
use crate::plot_command::rounded;
use crate::{Failure, print};

/// Prints the proportions of a painting's sitter.
pub(crate) fn run(arguments: &ProportionsArguments) -> Result<(), Failure> {
    let Planned { mut plan, photo, .. } = planned_file(&arguments.painting)?;
    if let (Some(reference), Some(focal)) = (&mut plan.reference, arguments.focal) {
        reference.focal_35mm = Some(focal);
    }
    let sitter =
        arguments.sitter_head.as_deref().map(|text| length(text, plan.unit).context("--sitter-head"));
    let sitter =
        sitter.transpose().map_err(Failure::usage)?.map_or(SitterHead::GROWN_UP, SitterHead::measured);
    let from_photo = photo.as_ref().and_then(|photo| photo.camera().focal_length_35mm);
    let camera = plan.camera_distance(from_photo, sitter);
    if let Err(error @ (CameraError::Focal { .. } | CameraError::Head { .. })) = camera {
        return Err(Failure::usage(error));
    }
    let text = if arguments.json {
        serde_json::to_string_pretty(&as_json(&plan, &camera))? + "\n"
    } else {
        in_words(&plan, &camera)
    };
    Ok(print(text.as_bytes())?)
}

fn in_words(plan: &Plan, camera: &Result<CameraDistance, CameraError>) -> String {
    let mut text = String::new();
    let found = proportions(plan);
    if found.is_empty() {
        text.push_str("No proportions can be told yet. Place landmarks in the studio, or name them with --landmark when the painting is made (`mahlstick new`).\n");
    } else {
        text.push_str("For information, not as a verdict: canons are starting guesses, people differ, and a turned head is foreshortened. ±: two thirds of people lie within it.\n");
    }
    for proportion in &found {
        let kind = proportion.kind;
        let canon = kind.canon().map(|canon| format!("; canon: {}", canon.rule));
        let measured: Vec<String> = kind.population().iter().map(ToString::to_string).collect();
        let measured =
            if measured.is_empty() { String::new() } else { format!("; measured: {}", measured.join(", ")) };
        let _ = writeln!(
            text,
            "{:<46}{}{}{measured}",
            kind.words(),
            proportion.told(),
            canon.unwrap_or_default()
        );
        if !kind.note().is_empty() {
            let _ = writeln!(text, "  {}", kind.note());
        }
    }
    let camera = match camera {
        Ok(distance) => distance.sentence(plan.unit),
        Err(error) => no_distance(error),
    };
    text + "\n" + &camera + "\n"
}

fn as_json(plan: &Plan, camera: &Result<CameraDistance, CameraError>) -> Value {
    let proportions: Vec<Value> = proportions(plan)
        .iter()
        .map(|Proportion { kind, value }| {
            let unit = match kind.unit() {
                ProportionUnit::Share => "share",
                ProportionUnit::Times => "times",
                ProportionUnit::Degrees => "degrees",
            };
            let population: Vec<Value> = kind
                .population()
                .iter()
                .map(|people| json!({ "who": people.who, "mean": people.mean, "sd": people.sd }))
                .collect();
            json!({
                "what": kind.words(),
                "value": rounded(*value),
                "unit": unit,
                "canon": kind.canon().map(|canon| json!({ "value": rounded(canon.value), "rule": canon.rule })),
                "population": population,
                "note": kind.note(),
            })
        })
        .collect();
    let camera = match camera {
        Ok(distance) => json!({
            "distance_mm": rounded(distance.distance.to_mm()),
            "range_95_mm": [rounded(distance.range.0.to_mm()), rounded(distance.range.1.to_mm())],
            "nose_against_ears": rounded(distance.nose_against_ears()),
            "nose_against_usual": rounded(distance.nose_against_usual()),
            "too_near": distance.is_too_near(),
            "says": distance.sentence(plan.unit),
        }),
        Err(error) => json!({ "unknown": error.to_string() }),
    };
    json!({ "proportions": proportions, "camera": camera })
}
