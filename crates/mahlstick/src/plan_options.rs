//! From what was written on the command line to a checked plan.

use anyhow::{Context, Result, anyhow, bail};
use plan::{
    Angle, Canvas, CanvasPoint, CanvasRect, DetailBox, Division, Grid, HeadMarks, Landmark, Length, Measure,
    Measured, PhotoPoint, PhotoSize, Place, Plan, Reference, Ruler, SquareUp, SquaresFrom, Unit, parse_list,
    parse_pair, turn_to_level, turn_to_plumb,
};

use crate::args::{CanvasArguments, PlaceChoice, PlanArguments, SquaresStart};

/// The plan that the options describe, checked. `photo` is the upright photo's size, if there is a photo.
pub(crate) fn plan_of(arguments: &PlanArguments, photo: Option<PhotoSize>) -> Result<Plan> {
    let mut plan = bare_plan(&arguments.canvas)?;
    plan.reference = photo.map(|size| reference(arguments, size, plan.unit)).transpose()?;
    mark(arguments, &mut plan)?;
    plan.check()?;
    Ok(plan)
}

/// The plan of the canvas and its grids alone, checked.
pub(crate) fn canvas_plan(arguments: &CanvasArguments) -> Result<Plan> {
    let plan = bare_plan(arguments)?;
    plan.check()?;
    Ok(plan)
}

fn bare_plan(arguments: &CanvasArguments) -> Result<Plan> {
    let Some(canvas) = &arguments.canvas else {
        bail!("Say how large the canvas is, for example --canvas 12x16in, or name a painting file.");
    };
    let (width, height) = parse_pair(canvas, None).context("--canvas")?;
    let unit = width.unit;
    let mut plan = Plan::new(Canvas::nominal(width.length, height.length), unit);
    if let Some(ruler) = arguments.ruler {
        plan.ruler = ruler.numbered_in(plan.unit);
    }
    if let Some(text) = &arguments.measured {
        plan.canvas.measured = Some(measured(text, unit).context("--measured")?);
    }
    plan.grid = grid(arguments, unit)?;
    for (at, text) in arguments.details.iter().enumerate() {
        plan.details.push(detail(text, at + 1, unit).with_context(|| format!("--detail {text}"))?);
    }
    Ok(plan)
}

/// Reads one length; a bare number takes the canvas's unit.
pub(crate) fn length(text: &str, unit: Unit) -> Result<Length> {
    Ok(Length::parse(text, Some(unit))?.length)
}

/// What the painter should know about a plan although it can be carried out.
pub(crate) fn cautions(plan: &Plan) -> Vec<String> {
    let mut cautions = Vec::new();
    let tape = plan.ruler;
    if let Some(contradiction) = plan.canvas.contradiction(tape) {
        cautions.push(contradiction.sentence(tape));
    }
    if let Some(head) = plan.head().filter(plan::Head::is_larger_than_life) {
        let height = tape.read(head.height());
        cautions.push(format!("The head is {height} from crown to chin: larger than life."));
    }
    let off = plan.head().and_then(|head| head.off_canvas_in_words(&plan.canvas.outline()));
    cautions.extend(off.map(|off| format!("{off} Check --head-centre.")));
    if let Some(coarse) = plan.placing().and_then(|placing| placing.resolution().coarse_in_words(plan.unit)) {
        cautions.push(format!("{coarse} A larger photo, or a smaller head, would be sharper."));
    }
    cautions
}

fn measured(text: &str, unit: Unit) -> Result<Measured> {
    let lengths: Vec<Length> = parse_list(text, Some(unit))?.iter().map(|stated| stated.length).collect();
    let [top, right, bottom, left, down, up] = lengths[..] else {
        bail!(
            "Six lengths are needed (top, right, bottom, left and both diagonals), but there are {}.",
            lengths.len()
        );
    };
    Ok(Measured { top, right, bottom, left, down, up })
}

fn grid(arguments: &CanvasArguments, unit: Unit) -> Result<Grid> {
    let mut grid = Grid::default();
    if let Some(text) = &arguments.divide {
        grid.division = parts(text).context("--divide")?;
    }
    if let Some(text) = &arguments.square {
        let side = length(text, unit).context("--square")?;
        grid.division = Division::Squares { side, from: arguments.square_from.into() };
    }
    grid.diagonals = arguments.diagonals;
    Ok(grid)
}

/// Reads `4` or `3x5`.
fn parts(text: &str) -> Result<Division> {
    let count = |part: &str| part.trim().parse::<u32>().ok();
    let parts = match text.split_once(['x', '×', 'X']) {
        Some((columns, rows)) => count(columns).zip(count(rows)),
        None => count(text).map(|both| (both, both)),
    };
    let (columns, rows) = parts.ok_or_else(|| {
        anyhow!("“{text}” is not a number of parts. Write for example 4, or 3x5 for 3 columns and 5 rows.")
    })?;
    Ok(Division::Parts { columns, rows })
}

fn detail(text: &str, number: usize, unit: Unit) -> Result<DetailBox> {
    let (place, division) = match text.rsplit_once(':') {
        Some((place, division)) => (place, parts(division)?),
        None => (text, Grid::default().division),
    };
    let [x, y, size] = place.split(',').collect::<Vec<_>>()[..] else {
        bail!("“{text}” is not a detail box. Write for example 2in,3in,8x8in:4.");
    };
    let (width, height) = parse_pair(size, Some(unit))?;
    let origin = CanvasPoint::new(length(x, width.unit)?, length(y, width.unit)?);
    let rect = CanvasRect::new(origin, width.length, height.length);
    Ok(DetailBox::new(format!("Detail {number}"), rect, Grid { division, diagonals: false }))
}

fn reference(arguments: &PlanArguments, size: PhotoSize, unit: Unit) -> Result<Reference> {
    let mut reference = Reference::fitted(size);
    if !arguments.turn.is_finite() {
        bail!("--turn: {} is not a number of degrees.", arguments.turn);
    }
    reference.turn = Angle::degrees(arguments.turn);
    reference.mirror = arguments.mirror;
    reference.focal_35mm = arguments.focal;
    if let Some(text) = &arguments.square_up {
        reference.square_up = Some(square_up(text, unit).context("--square-up")?);
        reference.check().context("--square-up")?;
    }
    if let Some(text) = &arguments.level {
        reference.turn = straightened(text, &reference, turn_to_level).context("--level")?;
    }
    if let Some(text) = &arguments.plumb {
        reference.turn = straightened(text, &reference, turn_to_plumb).context("--plumb")?;
    }
    if let (Some(crown), Some(chin)) = (&arguments.crown, &arguments.chin) {
        let seen = |text: &str| in_picture(pixel(text)?, &reference);
        let (crown, chin) = (seen(crown).context("--crown")?, seen(chin).context("--chin")?);
        reference.head = Some(HeadMarks { crown, chin });
    }
    reference.place = match (&arguments.head, arguments.place) {
        (Some(height), _) => Place::Head {
            height: length(height, unit).context("--head")?,
            middle: arguments
                .head_centre
                .as_deref()
                .map(|text| canvas_point(text, unit))
                .transpose()
                .context("--head-centre")?,
        },
        (None, Some(PlaceChoice::Fill)) => Place::Fill,
        (None, Some(PlaceChoice::Fit) | None) => Place::Fit,
    };
    Ok(reference)
}

/// Places the landmarks and keeps the measures.
fn mark(arguments: &PlanArguments, plan: &mut Plan) -> Result<()> {
    let Some(reference) = plan.reference else { return Ok(()) };
    for text in &arguments.landmarks {
        let read = || -> Result<Landmark> {
            let (name, at) = named(text, "right pupil=1510,620")?;
            Ok(Landmark { name: name.into(), at: in_picture(pixel(at)?, &reference)? })
        };
        let placed = read().and_then(|landmark| Ok(plan.place_landmark(landmark)?));
        placed.with_context(|| format!("--landmark {text}"))?;
    }
    for text in &arguments.measures {
        let read = || -> Result<Measure> {
            let (name, ends) = named(text, "eye=1400,620,1510,622")?;
            let [from, to] = line(ends, &reference)?;
            Ok(Measure::new(name, from, to))
        };
        let kept = read().and_then(|measure| Ok(plan.keep_measure(measure)?));
        kept.with_context(|| format!("--measure {text}"))?;
    }
    plan.unit_measure.clone_from(&arguments.unit);
    Ok(())
}

/// Parts a name from what it names.
fn named<'a>(text: &'a str, example: &str) -> Result<(&'a str, &'a str)> {
    let (name, places) = text
        .rsplit_once('=')
        .ok_or_else(|| anyhow!("“{text}” has no name. Write for example “{example}”."))?;
    Ok((name.trim(), places))
}

/// Reads eight numbers and perhaps a size as the corners of a print.
fn square_up(text: &str, unit: Unit) -> Result<SquareUp> {
    let (corners, size) = text.split_once(':').map_or((text, None), |(corners, size)| (corners, Some(size)));
    let [top_left, top_right, bottom_right, bottom_left] = points(corners)?[..] else {
        bail!(
            "“{corners}” are not the four corners of a print. Write their pixels clockwise from the top left: x,y,x,y,x,y,x,y."
        );
    };
    let shape = size
        .map(|size| parse_pair(size, Some(unit)))
        .transpose()?
        .map(|(width, height)| width.length / height.length);
    Ok(SquareUp { corners: [top_left, top_right, bottom_right, bottom_left], shape })
}

/// Reads two points of the photo as a line in the picture that lies on the canvas.
/// The turn that straightens the photo by a line between two of its pixels, as `turn` tells of the line on the canvas.
fn straightened(
    text: &str,
    reference: &Reference,
    turn: impl Fn(CanvasPoint, CanvasPoint) -> Option<Angle>,
) -> Result<Angle> {
    // The photo is mirrored before it is turned. How large its pixels are there does not matter.
    let laid = |at: PhotoPoint| CanvasPoint::mm(if reference.mirror { -at.x } else { at.x }, at.y);
    let [from, to] = line(text, reference)?.map(laid);
    turn(from, to).context(NO_LENGTH)
}

/// Said of a line whose ends cannot be told apart.
const NO_LENGTH: &str = "The two ends of the line lie in one place. Choose them far apart.";

fn line(text: &str, reference: &Reference) -> Result<[PhotoPoint; 2]> {
    let [from, to] = points(text)?[..] else {
        bail!("“{text}” are not the two ends of a line. Write their pixels: x,y,x,y.");
    };
    if from.distance_to(to) < 1.0 {
        bail!(NO_LENGTH);
    }
    Ok([in_picture(from, reference)?, in_picture(to, reference)?])
}

fn points(text: &str) -> Result<Vec<PhotoPoint>> {
    let numbers: Vec<&str> = text.split(',').collect();
    numbers.chunks(2).map(|pair| pixel(&pair.join(","))).collect()
}

/// A point of the photo as a point of the picture that lies on the canvas: another one if the photo is squared up.
fn in_picture(point: PhotoPoint, reference: &Reference) -> Result<PhotoPoint> {
    let Some(square_up) = reference.square_up else { return Ok(point) };
    Ok(square_up.to_picture()?.apply(point))
}

/// Reads `1510,620` as a point of the photo.
pub(crate) fn pixel(text: &str) -> Result<PhotoPoint> {
    let number = |part: &str| part.trim().parse::<f64>().ok().filter(|number| number.is_finite());
    let point = text.split_once(',').and_then(|(x, y)| number(x).zip(number(y)));
    let (x, y) = point.ok_or_else(|| {
        anyhow!("“{text}” is not a point of the photo. Write its pixels from the left and from the top, for example 1510,620.")
    })?;
    Ok(PhotoPoint::new(x, y))
}

fn canvas_point(text: &str, unit: Unit) -> Result<CanvasPoint> {
    let [x, y] = parse_list(text, Some(unit))?[..] else {
        bail!(
            "“{text}” is not a place on the canvas. Write its distances from the left and from the top, for example 6in,5in."
        );
    };
    Ok(CanvasPoint::new(x.length, y.length))
}

impl From<SquaresStart> for SquaresFrom {
    fn from(start: SquaresStart) -> Self {
        match start {
            SquaresStart::TopLeft => Self::TopLeft,
            SquaresStart::TopRight => Self::TopRight,
            SquaresStart::BottomLeft => Self::BottomLeft,
            SquaresStart::BottomRight => Self::BottomRight,
            SquaresStart::Centre => Self::Centre,
        }
    }
}

/// The unit that is not the painter's, for saying a size in both.
pub(crate) const fn other_unit(ruler: Ruler) -> Unit {
    match ruler {
        Ruler::Inch(_) => Unit::Centimetre,
        Ruler::Metric(..) => Unit::Inch,
    }
}
