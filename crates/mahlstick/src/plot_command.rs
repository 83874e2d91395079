//! `mahlstick plot`: where each landmark lies within its grid box, as a table to work from or as JSON.

use std::fmt::Write as _;

use plan::{BoxPlot, FromLine, MeasureReading, Plan, Plot, Reading, measures, plots};
use serde::Serialize;

use crate::args::PlotArguments;
use crate::painting_commands::planned;
use crate::{Failure, print};

/// Prints the plots and measures of a plan.
pub(crate) fn run(arguments: &PlotArguments) -> Result<(), Failure> {
    let plan = planned(&arguments.plan, arguments.painting.as_deref())?.plan;
    let text = if arguments.json { json(&plan)? + "\n" } else { table(&plan) };
    Ok(print(text.as_bytes())?)
}

fn table(plan: &Plan) -> String {
    let plots = plots(plan);
    let mut text = String::new();
    if plots.is_empty() {
        text.push_str("No landmarks are placed. Place them in the studio, or name them with --landmark when the painting is made (`mahlstick new`).\n");
    }
    for plot in &plots {
        match &plot.plot {
            Some(boxed) => line(&mut text, plot.name.as_str(), boxed),
            None => {
                let _ = writeln!(text, "{:<32}beyond the canvas’s edge", plot.name.as_str());
            }
        }
    }
    for detail in &plan.details {
        let held: Vec<(&Plot, &BoxPlot)> = plots
            .iter()
            .filter_map(|plot| {
                let found = plot.details.iter().find(|inside| inside.detail == detail.name)?;
                Some((plot, &found.plot))
            })
            .collect();
        if !held.is_empty() {
            let _ = writeln!(text, "\n{}, by its own grid", detail.name);
            for (plot, boxed) in held {
                line(&mut text, plot.name.as_str(), boxed);
            }
        }
    }
    let measures = measures(plan);
    if !measures.is_empty() {
        let _ = writeln!(text, "\nMeasures");
        for measure in &measures {
            measure_line(&mut text, measure, plan.unit_measure.as_deref());
        }
    }
    text
}

fn line(text: &mut String, name: &str, BoxPlot { grid_box, across, down }: &BoxPlot) {
    let words = |from: &FromLine| {
        let line = format!("line {} ({})", from.line, from.mark);
        if from.is_on_line() {
            format!("on {line}")
        } else {
            format!("{} {} {line}", from.distance, from.beside())
        }
    };
    let _ = writeln!(text, "{name:<32}{:<6}{:<38}{}", grid_box.to_string(), words(across), words(down));
}

fn measure_line(text: &mut String, measure: &MeasureReading, unit: Option<&str>) {
    let units = match (measure.in_units, unit) {
        (Some(units), Some(unit)) if !measure.is_unit => format!(", {units:.2} times {unit}"),
        _ => String::new(),
    };
    let _ = writeln!(
        text,
        "{:<32}{:<14}run {}, rise {}, {}{units}",
        measure.name,
        measure.length.to_string(),
        measure.run,
        measure.rise,
        measure.lean()
    );
}

fn json(plan: &Plan) -> serde_json::Result<String> {
    let told = Told {
        landmarks: plots(plan).iter().map(PlotJson::of).collect(),
        measures: measures(plan).iter().map(MeasureJson::of).collect(),
        unit_measure: plan.unit_measure.as_deref(),
    };
    serde_json::to_string_pretty(&told)
}

#[derive(Serialize)]
struct Told<'a> {
    landmarks: Vec<PlotJson>,
    measures: Vec<MeasureJson>,
    unit_measure: Option<&'a str>,
}

#[derive(Serialize)]
struct PlotJson {
    name: String,
    x_mm: f64,
    y_mm: f64,
    plot: Option<BoxJson>,
    details: Vec<DetailJson>,
}

#[derive(Serialize)]
struct DetailJson {
    detail: String,
    #[serde(flatten)]
    plot: BoxJson,
}

#[derive(Serialize)]
struct BoxJson {
    grid_box: String,
    across: FromLineJson,
    down: FromLineJson,
}

/// `beside` is one of right of, left of, above, below; lines are counted from the left or top side, which is 0.
#[derive(Serialize)]
struct FromLineJson {
    line: usize,
    line_at: LengthJson,
    beside: &'static str,
    distance: LengthJson,
}

#[derive(Serialize)]
struct LengthJson {
    mm: f64,
    reading: String,
}

#[derive(Serialize)]
struct MeasureJson {
    name: String,
    length: LengthJson,
    run: LengthJson,
    rise: LengthJson,
    off_level_degrees: f64,
    off_plumb_degrees: f64,
    in_units: Option<f64>,
}

impl PlotJson {
    fn of(plot: &Plot) -> Self {
        let details = plot
            .details
            .iter()
            .map(|inside| DetailJson { detail: inside.detail.clone(), plot: BoxJson::of(&inside.plot) });
        Self {
            name: plot.name.to_string(),
            x_mm: rounded(plot.at.x.to_mm()),
            y_mm: rounded(plot.at.y.to_mm()),
            plot: plot.plot.as_ref().map(BoxJson::of),
            details: details.collect(),
        }
    }
}

impl BoxJson {
    fn of(BoxPlot { grid_box, across, down }: &BoxPlot) -> Self {
        let from = |from: &FromLine| FromLineJson {
            line: from.line,
            line_at: LengthJson::of(from.mark),
            beside: from.beside(),
            distance: LengthJson::of(from.distance),
        };
        Self { grid_box: grid_box.to_string(), across: from(across), down: from(down) }
    }
}

impl LengthJson {
    fn of(reading: Reading) -> Self {
        Self { mm: rounded(reading.exact().to_mm()), reading: reading.to_string() }
    }
}

impl MeasureJson {
    fn of(measure: &MeasureReading) -> Self {
        Self {
            name: measure.name.clone(),
            length: LengthJson::of(measure.length),
            run: LengthJson::of(measure.run),
            rise: LengthJson::of(measure.rise),
            off_level_degrees: rounded(measure.off_level.to_degrees()),
            off_plumb_degrees: rounded(measure.off_plumb.to_degrees()),
            in_units: measure.in_units.map(rounded),
        }
    }
}

/// To a millionth: what lies beyond is the noise of the arithmetic.
pub(crate) fn rounded(number: f64) -> f64 {
    (number * 1e6).round() / 1e6
}
