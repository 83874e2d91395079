//! The notebook: one line for each part of the work, with a sentence that says how things stand.

use check::{PlanChange, Report, Verdict};
use plan::{Division, Length, Plan, Resolution, Side};
use serde::Serialize;
use utoipa::ToSchema;

use super::canvas::other_unit;
use super::sheet_plan::SheetPlanView;

/// One line of the notebook.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct NotebookLine {
    /// A short name for it, for addresses and styles.
    pub key: StepKey,
    /// Its title.
    pub title: &'static str,
    /// How things stand.
    pub sentence: String,
    /// Whether it is done.
    pub state: LineState,
}

/// A step of the work, by a short name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StepKey {
    /// The photo.
    Reference,
    /// The canvas.
    Canvas,
    /// How the photo lies on the canvas.
    Placing,
    /// The grid.
    Grid,
    /// What to mark on the canvas.
    MarkUp,
    /// What is measured on the sitter.
    Likeness,
    /// The packet.
    Print,
    /// What photos of the canvas tell.
    Check,
}

/// Whether a line's work is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum LineState {
    /// Done as far as can be told.
    Done,
    /// Something is missing that the next steps need.
    Needed,
    /// Done, but something ought to be looked at.
    Look,
}

/// The notebook of a plan, in the order of the work.
pub(super) fn lines(plan: &Plan, sheets: Option<&SheetPlanView>) -> Vec<NotebookLine> {
    vec![
        reference(plan),
        canvas(plan),
        placing(plan),
        grid(plan),
        mark_up(plan),
        likeness(plan),
        print(plan, sheets),
        check(None, plan),
    ]
}

fn reference(plan: &Plan) -> NotebookLine {
    let (sentence, state) = match (&plan.reference, plan.placing()) {
        (Some(reference), Some(placing)) => {
            let size = reference.size();
            let turn = placing.turn().to_degrees();
            let mut parts = vec![format!("{} x {} pixels", size.width, size.height)];
            if reference.square_up.is_some() {
                parts.push("squared up".to_owned());
            }
            if turn.abs() >= 0.05 {
                let way = if turn > 0.0 { "clockwise" } else { "anticlockwise" };
                parts.push(format!("turned {:.1}° {way}", turn.abs()));
            }
            if reference.mirror {
                parts.push("mirrored".to_owned());
            }
            let resolution = placing.resolution();
            if resolution < Resolution::LEAST_AT_ARMS_LENGTH {
                parts.push(format!("only {}; the print will look coarse", resolution.in_words(plan.unit)));
                (parts.join(", "), LineState::Look)
            } else {
                (parts.join(", "), LineState::Done)
            }
        }
        _ => ("Bring in the photo.".to_owned(), LineState::Needed),
    };
    NotebookLine { key: StepKey::Reference, title: "Reference", sentence, state }
}

/// The line of a reference whose photo is damaged.
pub(super) fn reference_that_does_not_open() -> NotebookLine {
    let sentence = "The photo does not open. Bring it in again.".to_owned();
    NotebookLine { key: StepKey::Reference, title: "Reference", sentence, state: LineState::Look }
}

fn canvas(plan: &Plan) -> NotebookLine {
    let nominal = plan.canvas.nominal;
    let size = nominal.in_unit(plan.unit);
    let (sentence, state) = if let Some(contradiction) = plan.canvas.contradiction(plan.ruler) {
        let off = plan.ruler.read(contradiction.side_off);
        (format!("{size}; the measurements contradict each other by about {off}"), LineState::Look)
    } else if let Some(solved) = plan.canvas.solved() {
        let [down, up] = solved.outline.diagonals();
        let difference = plan.ruler.read((down - up).abs());
        let square = if difference.rounded() == Length::ZERO {
            "square".to_owned()
        } else {
            format!("diagonals differ by {difference}")
        };
        (format!("{size}, measured; {square}"), LineState::Done)
    } else {
        (format!("{size} ({}), not measured", nominal.about_in_unit(other_unit(plan.unit))), LineState::Done)
    };
    NotebookLine { key: StepKey::Canvas, title: "Canvas", sentence, state }
}

fn placing(plan: &Plan) -> NotebookLine {
    let (sentence, state) = match (plan.head(), plan.placing()) {
        (Some(head), _) => {
            let height = plan.ruler.read(head.height());
            let above =
                plan.ruler.read(plan.canvas.outline().distance_from_side(Side::Top, head.edge(Side::Top)));
            if let Some(off) = head.off_canvas_in_words(&plan.canvas.outline()) {
                let sentence = off.trim_end_matches('.').to_owned();
                return NotebookLine {
                    key: StepKey::Placing,
                    title: "Placing",
                    sentence,
                    state: LineState::Look,
                };
            }
            let larger = if head.is_larger_than_life() { ", larger than life" } else { "" };
            let beyond = above.rounded() < Length::ZERO;
            let place = if beyond {
                format!("{} beyond the top edge", plan.ruler.read(above.rounded().abs()))
            } else {
                format!("{above} below the top edge")
            };
            let look = beyond || head.is_larger_than_life();
            let state = if look { LineState::Look } else { LineState::Done };
            (format!("Head {height}{larger}, {place}"), state)
        }
        (None, Some(_)) => {
            (format!("{} Set crown and chin to size the head.", plan.covers_in_words()), LineState::Needed)
        }
        _ => ("Waits for the photo.".to_owned(), LineState::Needed),
    };
    NotebookLine { key: StepKey::Placing, title: "Placing", sentence, state }
}

fn grid(plan: &Plan) -> NotebookLine {
    let division = match plan.grid.division {
        Division::Parts { columns, rows } if columns == rows => match columns {
            1 => "No lines".to_owned(),
            2 => "Halves".to_owned(),
            4 => "Quarters".to_owned(),
            8 => "Eighths".to_owned(),
            parts => format!("{parts} parts each way"),
        },
        Division::Parts { columns, rows } => {
            format!("{}, {}", counted(columns as usize, "column"), counted(rows as usize, "row"))
        }
        Division::Squares { side, .. } => format!("Squares of {}", plan.ruler.told(side)),
    };
    let diagonals = if plan.grid.diagonals { ", diagonals" } else { "" };
    let details = match plan.details.len() {
        0 => String::new(),
        1 => ", one detail box".to_owned(),
        count => format!(", {count} detail boxes"),
    };
    let sentence = format!("{division}{diagonals}{details}");
    NotebookLine { key: StepKey::Grid, title: "Grid", sentence, state: LineState::Done }
}

fn mark_up(plan: &Plan) -> NotebookLine {
    let marks = plan::marks(plan);
    let count = counted(marks.count_on_sides() + marks.count_of_details(), "mark");
    let of_boxes = marks.count_of_details();
    let boxes = match plan.details.len() {
        0 => String::new(),
        1 => format!(", {of_boxes} of them for the detail box"),
        _ => format!(", {of_boxes} of them for the detail boxes"),
    };
    let first = marks.sides[0].marks.first();
    let first =
        first.map_or_else(String::new, |first| format!("; along the top the first at {}", first.from_start));
    let sentence = capitalised(&format!("{count}{boxes}{first}"));
    if plan.canvas.contradiction(plan.ruler).is_some() {
        let sentence = format!("{sentence}; measure the canvas again first");
        return NotebookLine { key: StepKey::MarkUp, title: "Mark-up", sentence, state: LineState::Look };
    }
    NotebookLine { key: StepKey::MarkUp, title: "Mark-up", sentence, state: LineState::Done }
}

/// So many things: `no measures`, `1 measure`, `2 measures`.
fn counted(count: usize, one: &str) -> String {
    match count {
        0 => format!("no {one}s"),
        1 => format!("1 {one}"),
        count => format!("{count} {one}s"),
    }
}

fn likeness(plan: &Plan) -> NotebookLine {
    let (landmarks, measures) =
        (counted(plan.all_landmarks().len(), "landmark"), counted(plan.measures.len(), "measure"));
    let (sentence, state) = match &plan.reference {
        Some(_) => (format!("{landmarks}, {measures}"), LineState::Done),
        None => ("Waits for the photo.".to_owned(), LineState::Needed),
    };
    NotebookLine { key: StepKey::Likeness, title: "Likeness", sentence: capitalised(&sentence), state }
}

/// A sentence that begins with a count: `No measures`.
fn capitalised(sentence: &str) -> String {
    sentence.strip_prefix("no ").map_or_else(|| sentence.to_owned(), |rest| format!("No {rest}"))
}

fn print(plan: &Plan, sheets: Option<&SheetPlanView>) -> NotebookLine {
    let (sentence, state) = match sheets {
        None => ("Waits for the photo.".to_owned(), LineState::Needed),
        Some(SheetPlanView { problem: Some(problem), .. }) => (problem.clone(), LineState::Look),
        Some(sheets) => {
            let count = counted(sheets.windows.len(), "reference sheet");
            let clear = match &sheets.clearance {
                Some(space) => format!(", no seam within {space} of the face"),
                None => sheets
                    .seam_through_head
                    .map_or_else(String::new, |part| format!(", a seam runs through {part}")),
            };
            let through = match &sheets.seam_through[..] {
                [] => String::new(),
                names => format!(", a seam through {}", names.join(" and ")),
            };
            let state = if sheets.seam_through_head.is_some() { LineState::Look } else { LineState::Done };
            (format!("{count} of {} at true size{clear}{through}", plan.printing.paper), state)
        }
    };
    NotebookLine { key: StepKey::Print, title: "Print", sentence, state }
}

/// How the last check of the canvas came out, if there is one.
pub(super) fn check(report: Option<&Report>, plan: &Plan) -> NotebookLine {
    let (sentence, state) = match report {
        None => ("Photograph the canvas to see what is off".to_owned(), LineState::Done),
        Some(report) if report.plan_changed == Some(PlanChange::Canvas) => {
            ("The canvas has another size or shape since; check it anew".to_owned(), LineState::Look)
        }
        Some(report) => match &report.drift {
            Some(drift) => {
                let out = drift.own.iter().filter(|own| own.stands_out).count();
                let whole = drift.whole_in_words(plan.ruler);
                let whole = whole.trim_end_matches('.');
                let features = match out {
                    0 => String::new(),
                    1 => "; one feature out of its place".to_owned(),
                    count => format!("; {count} features out of their places"),
                };
                let far =
                    drift.own.iter().any(|own| own.planned.distance_to(own.painted) > report.tolerance());
                let surely = drift.whole_numbers(plan.ruler).iter().any(|number| number.surely);
                let look = drift.disagree || out > 0 || (surely && far);
                (format!("{whole}{features}"), if look { LineState::Look } else { LineState::Done })
            }
            None if report.plan_changed == Some(PlanChange::Grid) => {
                ("The grid was changed since; check the canvas anew".to_owned(), LineState::Look)
            }
            None => ruled_lines(report),
        },
    };
    NotebookLine { key: StepKey::Check, title: "Check", sentence, state }
}

fn ruled_lines(report: &Report) -> (String, LineState) {
    let count = |verdict| report.lines.iter().filter(|line| line.verdict == verdict).count();
    let (off, fine, all) = (count(Verdict::Off), count(Verdict::True), report.lines.len());
    let unseen = report.lines.iter().filter(|line| line.offset_mm.is_none()).count();
    let told = |count: usize, how: &str| match (count, all) {
        (1, 1) => format!("The one line is {how}"),
        (1, _) => format!("1 of {all} lines is {how}"),
        _ => format!("{count} of {all} lines are {how}"),
    };
    let not_seen = format!("{unseen} {} not seen", if unseen == 1 { "was" } else { "were" });
    if off > 0 {
        let others = if unseen > 0 { format!("; {not_seen}") } else { String::new() };
        (format!("{}{others}", told(off, "off")), LineState::Look)
    } else if let Some(few) = report.few_seen() {
        // It may be another canvas, or none: nothing is said to be well.
        (format!("{few}; where paint hides them, set landmarks to see what has drifted"), LineState::Look)
    } else if report.shows_paint() {
        ("Paint hides the lines; set landmarks to see what has drifted".to_owned(), LineState::Done)
    } else if unseen > 0 && fine + unseen == all {
        (format!("{}, {not_seen}", told(fine, "true")), LineState::Done)
    } else if fine == all {
        let told = match all {
            0 => "The plan has no lines to check".to_owned(),
            1 => told(1, "true"),
            all => format!("All {all} lines are true"),
        };
        (told, LineState::Done)
    } else {
        (format!("{}, the others not told", told(fine, "true")), LineState::Done)
    }
}
