//! Sheets at true size: a window of the canvas with the photo and the grid. Reference sheets, detail sheets and film
//! sheets differ only in which part of the canvas they show and what they draw of it.

use plan::{
    CanvasPoint, CanvasRect, Direction, GridBox, GridLine, Length, LineLook, Quad, Reading, Ruler,
    SheetLayout, SheetWindow, Side, Stock,
};
use serde::Serialize;
use values::ValueSteps;

use crate::figures::{Figure, Line, line};
use crate::furniture::{FURNITURE, Furniture};
use crate::joins::{Seam, seams};
use crate::paper::{Drawing, LaidPhoto, PaperPoint, PaperRect};
use crate::photo_stream::Stored;
use crate::ruled_lines::RuledLines;
use crate::scene::Scene;
use crate::value_strip::{Swatch, below_upright_bar, value_strip};

/// Readings of neighbouring lines stand at least this far apart, in mm; lines between go without.
const LEAST_LABEL_SPACING: f64 = 14.0;

/// What a set of true-size sheets shows.
pub(crate) struct Subject {
    /// The outline drawn: the canvas, or a detail box.
    pub(crate) outline: Quad,
    /// The grid lines, none if they are switched off.
    pub(crate) lines: Vec<GridLine>,
    /// Whether the boxes between them are those by which plots are told, and so have their names beside them.
    pub(crate) names_boxes: bool,
    /// How the lines are drawn.
    pub(crate) look: LineLook,
    /// The photo, if it is to be seen.
    pub(crate) photo: Option<Stored>,
    /// Said on each sheet, below its title.
    pub(crate) notes: Vec<String>,
    /// Said plainly over a corner of the picture: that it is not the canvas as it is.
    pub(crate) mark: Option<String>,
    /// The steps of a value map.
    pub(crate) steps: Option<ValueSteps>,
    /// What the names of its sheets begin with, where those of the reference could be taken for them.
    pub(crate) family: Option<String>,
    /// The landmarks that are marked.
    pub(crate) landmarks: Vec<CanvasPoint>,
}

impl Subject {
    /// The name of a sheet of this layout: by its row and column or, of the only one of its family, the family's.
    pub(crate) fn sheet_name(&self, layout: &SheetLayout, sheet: &SheetWindow) -> String {
        match &self.family {
            None => sheet.name(),
            Some(family) if layout.sheets.len() == 1 => family.clone(),
            Some(family) => format!("{family} {}", sheet.name()),
        }
    }
}

/// A window of the canvas on one sheet.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct TrueSizeSheet {
    furniture: Furniture,
    window: PaperRect,
    photo: Option<LaidPhoto>,
    /// What covers the photo outside a canvas that is out of square: everything but this outline.
    uncover: Option<Vec<PaperPoint>>,
    outline: Vec<PaperPoint>,
    photo_edge: Vec<PaperPoint>,
    lines: RuledLines,
    /// The strokes of the landmarks' marks.
    landmarks: Vec<[PaperPoint; 2]>,
    labels: Vec<LineLabel>,
    boxes: Vec<BoxLabel>,
    seams: Vec<Seam>,
    mark: Option<String>,
    /// Where the mark stands beside the picture; `None` where there is no room but over it.
    mark_at: Option<PaperRect>,
    /// How far a mark over the picture keeps from the window's left and bottom, in mm: clear of the seams.
    mark_inset: f64,
    value_strip: Vec<Swatch>,
    /// How far the picture's top and left lie from the canvas's, where these are not on the sheet.
    whereabouts: Vec<Line>,
    whereabouts_at: PaperRect,
}

/// The reading of a grid line where it enters the sheet.
#[derive(Clone, Debug, Serialize)]
struct LineLabel {
    at: PaperPoint,
    reading: Figure,
    /// True at the left, where the reading is turned to read upwards.
    turned: bool,
}

/// The letter of a column or the number of a row of grid boxes, beside the part of it that the sheet shows.
#[derive(Clone, Debug, Serialize)]
struct BoxLabel {
    at: PaperPoint,
    name: String,
}

/// Lays out one sheet of `layout`, of whose sheets those of `printed` are printed.
pub(crate) fn true_size_sheet(
    scene: &Scene,
    ruler: Ruler,
    subject: &Subject,
    stock: &Stock,
    (layout, printed): (&SheetLayout, &[&SheetWindow]),
    sheet: &SheetWindow,
) -> TrueSizeSheet {
    let orientation = layout.orientation;
    let printable = PaperRect::sheet(stock.paper, orientation).inside(stock.margins(orientation));
    let room = printable.inside(FURNITURE);
    let drawn = stock.correction.drawn(orientation);
    let size = Drawing::new(sheet.window.origin, PaperPoint::new(0.0, 0.0), drawn).rect(sheet.window);
    let at = PaperPoint::new(room.x + (room.width - size.width) / 2.0, room.y);
    let drawing = in_step_with_dots(Drawing::new(sheet.window.origin, at, drawn), scene);
    let window = drawing.rect(sheet.window);

    let canvas = scene.outline;
    let name = subject.sheet_name(layout, sheet);
    let photo = subject.photo.zip(scene.placing).map(|(stored, placing)| drawing.photo(&placing, &stored));
    let is_square = is_square(&canvas);
    let value_strip = subject.steps.map_or_else(Vec::new, |steps| value_strip(steps, printable, drawn.1));
    let whereabouts_at = below_upright_bar(printable, drawn.1, &value_strip);
    let boxes = if subject.names_boxes {
        box_labels(scene, subject, sheet.window, &drawing, room)
    } else {
        Vec::new()
    };
    let is_below = boxes.iter().any(|label| label.at.y > window.bottom());
    let names_below = if is_below { LEAST_NAMED_ALONE } else { 0.0 };
    TrueSizeSheet {
        furniture: Furniture::new(name, printable, drawn, layout, sheet, &canvas, subject.notes.clone()),
        window,
        photo,
        uncover: (photo.is_some() && !is_square).then(|| drawing.points(&canvas.corners)),
        outline: drawing.points(&subject.outline.corners),
        photo_edge: if photo.is_some() { drawing.points(&scene.covered.corners) } else { Vec::new() },
        lines: RuledLines::new(
            &subject.lines,
            subject.look,
            photo.is_some().then_some(&scene.covered),
            &drawing,
        ),
        landmarks: subject
            .landmarks
            .iter()
            .filter(|landmark| sheet.window.contains(**landmark))
            .flat_map(|landmark| landmark_mark(drawing.point(*landmark)))
            .collect(),
        labels: line_labels(subject, sheet.window, &drawing, |side, share| {
            ruler.read(scene.on_canvas(subject.outline.side_length(side) * share))
        }),
        boxes,
        seams: seams(layout, sheet, &drawing, &|neighbour| {
            let same = |one: &&SheetWindow| (one.row, one.column) == (neighbour.row, neighbour.column);
            printed.iter().any(same).then(|| subject.sheet_name(layout, neighbour))
        }),
        mark: subject.mark.clone(),
        mark_at: beside(PaperRect { height: window.height + names_below, ..window }, room),
        mark_inset: layout.lap.to_mm() + MARK_GAP,
        whereabouts: if whereabouts_at.height >= LEAST_FOR_WHEREABOUTS {
            whereabouts(scene, ruler, picture_corner(scene, sheet.window, photo.is_some()))
        } else {
            Vec::new()
        },
        whereabouts_at,
        value_strip,
    }
}

/// From a landmark to where the strokes of its mark begin and end, in mm: the spot itself stays free.
const LANDMARK_STROKE: (f64, f64) = (0.5, 2.0);

/// A cross whose middle is open.
fn landmark_mark(at: PaperPoint) -> [[PaperPoint; 2]; 4] {
    let (near, far) = LANDMARK_STROKE;
    [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)]
        .map(|(x, y)| [at.moved(x * near, y * near), at.moved(x * far, y * far)])
}

/// The whereabouts are left out where the strip for them is shorter than this, in mm: beside a value map on a sheet on its
/// side the values go first. The small map and the lines' readings are there too.
const LEAST_FOR_WHEREABOUTS: f64 = 66.0;

/// The top left corner of what is drawn in a window: of the photo, where it begins within it.
fn picture_corner(scene: &Scene, window: CanvasRect, has_photo: bool) -> CanvasPoint {
    let photo = scene.covered.bounds().filter(|_| has_photo).map_or(window.origin, |bounds| bounds.origin);
    CanvasPoint::new(window.origin.x.max(photo.x), window.origin.y.max(photo.y))
}

/// Where a picture lies that does not begin at the canvas's edges, in lines of their own: `Top of this picture: 9 5/16 in from
/// the canvas’s top`. In a mirror or upside down the distances are from the sides that are seen there. On a canvas out of square they
/// are those of the picture's top left corner square to the sides, as on the mark-up sheet.
fn whereabouts(scene: &Scene, ruler: Ruler, picture: CanvasPoint) -> Vec<Line> {
    let from = |side| scene.outline.distance_from_side(side, picture).abs();
    let (left, top) = scene.figures_from;
    [("Top", from(Side::Top), top), ("Left", from(Side::Left), left)]
        .into_iter()
        .map(|(edge, distance, side)| (edge, ruler.read(scene.on_canvas(distance)), side))
        .filter(|(_, reading, _)| reading.rounded() > Length::ZERO)
        .map(|(edge, reading, side)| {
            line![format!("{edge} of this picture: "), reading, format!(" from the canvas’s {side}")]
        })
        .collect()
}

/// Whether an outline fills its bounds, but for what the arithmetic leaves open.
fn is_square(outline: &Quad) -> bool {
    let corners = outline.bounds().corners().into_iter().zip(outline.corners);
    corners.into_iter().all(|(bound, corner)| bound.distance_to(corner) < Length::mm(1e-9))
}

/// Dots to the inch of the printers whose dots the photo is kept in step with; finer printers have a multiple of it.
const DOTS_PER_INCH: f64 = 600.0;

/// Where in a dot the photo's top left corner lies: off the dot's edges, so that rounding cannot put it into another.
const PLACE_IN_DOT: f64 = 0.25;

/// Moves the drawing right and down by less than a dot. Printers draw a picture from whole dot to whole dot; where its
/// corner lies at the same place in a dot on every sheet, it is rounded alike on all, and neighbours fit to the dot.
fn in_step_with_dots(drawing: Drawing, scene: &Scene) -> Drawing {
    let outline = scene.photo.zip(scene.placing);
    let bounds = outline.and_then(|(photo, placing)| placing.photo_outline(photo).bounds());
    let Some(corner) = bounds.map(|bounds| drawing.point(bounds.origin)) else { return drawing };
    let dot = Length::inches(1.0 / DOTS_PER_INCH).to_mm();
    let forward = |place: f64| (PLACE_IN_DOT - place / dot).rem_euclid(1.0) * dot;
    drawing.moved(forward(corner.x), forward(corner.y))
}

/// The readings of upright lines along the window's top and of level lines along its left, wherever a line enters
/// there, as far as they have room.
fn line_labels(
    subject: &Subject,
    window: CanvasRect,
    drawing: &Drawing,
    reading: impl Fn(Side, f64) -> Reading,
) -> Vec<LineLabel> {
    let mut labels: Vec<LineLabel> = Vec::new();
    for line in &subject.lines {
        let (side, crossing) = match line.direction {
            Direction::Vertical => (Side::Top, at_level(line, window.origin.y)),
            Direction::Horizontal => (Side::Left, at_upright(line, window.origin.x)),
            Direction::Down | Direction::Up => continue,
        };
        let Some(crossing) = crossing.filter(|&point| window.contains(point)) else { continue };
        let turned = line.direction == Direction::Horizontal;
        let edge = drawing.point(crossing);
        let gap = LABEL_GAP;
        let at = if turned { edge.moved(-gap, 0.0) } else { edge.moved(0.0, -gap) };
        let crowded = labels.last().is_some_and(|last| {
            last.turned == turned && (last.at.x - at.x).hypot(last.at.y - at.y) < LEAST_LABEL_SPACING
        });
        if !crowded {
            let reading = reading(side, line.share).into();
            labels.push(LineLabel { at, reading, turned });
        }
    }
    labels
}

/// Names of boxes stand beside parts that are at least so long, in mm, where readings of lines leave them room.
const LEAST_NAMED: f64 = 2.0 * LEAST_LABEL_SPACING;

/// The same where no readings stand, in mm: a letter and its air.
const LEAST_NAMED_ALONE: f64 = 4.0;

/// The columns' letters along the window's top and the rows' numbers along its left, each at the middle of what the window shows; of boxes too
/// small for that below it and at its right, if the paper has room there. Boxes keep their names in a mirror and upside down: there letters
/// run from the right, numbers from below.
fn box_labels(
    scene: &Scene,
    subject: &Subject,
    window: CanvasRect,
    drawing: &Drawing,
    room: PaperRect,
) -> Vec<BoxLabel> {
    let (top, left) = (window.origin.y, window.origin.x);
    let [top_left, top_right, _, bottom_left] = subject.outline.corners;
    let across = subject.lines.iter().filter(|line| line.direction == Direction::Vertical);
    let across = across.filter_map(|line| Some(at_level(line, top)?.x)).chain([top_left.x, top_right.x]);
    let down = subject.lines.iter().filter(|line| line.direction == Direction::Horizontal);
    let down = down.filter_map(|line| Some(at_upright(line, left)?.y)).chain([top_left.y, bottom_left.y]);
    let on_paper = drawing.rect(window);
    let columns = middles(across.collect(), left, window.right(), scene.turned.0);
    let below = room.bottom() - on_paper.bottom() >= LEAST_NAMED_ALONE;
    let columns = named(columns, below).into_iter().map(|(number, middle, is_beyond)| {
        let above = drawing.point(CanvasPoint::new(middle, top)).moved(0.0, -LABEL_GAP);
        let at = if is_beyond { PaperPoint { y: on_paper.bottom() + LABEL_GAP, ..above } } else { above };
        BoxLabel { at, name: GridBox { column: number, row: 0 }.column_letters() }
    });
    let rows = middles(down.collect(), top, window.bottom(), scene.turned.1);
    let aside = room.right() - on_paper.right() >= LEAST_NAMED_ALONE;
    let rows = named(rows, aside).into_iter().map(|(number, middle, is_beyond)| {
        let before = drawing.point(CanvasPoint::new(left, middle)).moved(-LABEL_GAP, 0.0);
        let at = if is_beyond { PaperPoint { x: on_paper.right() + LABEL_GAP, ..before } } else { before };
        BoxLabel { at, name: GridBox { column: 0, row: number }.row_number() }
    });
    columns.chain(rows).collect()
}

/// Which of the boxes have room for their names, and whether beyond the window, where no readings of lines stand.
fn named(boxes: Vec<ShownBox>, has_room_beyond: bool) -> Vec<(usize, Length, bool)> {
    let is_crowded = boxes.iter().any(|shown| shown.whole.to_mm() < LEAST_NAMED);
    let beyond = is_crowded && has_room_beyond;
    let least = if beyond { LEAST_NAMED_ALONE } else { LEAST_NAMED };
    boxes
        .into_iter()
        .filter(|shown| shown.part.to_mm() >= least)
        .map(|shown| (shown.number, shown.middle, beyond))
        .collect()
}

/// A column or row of boxes as far as a window shows it.
struct ShownBox {
    number: usize,
    /// The middle of the part that is shown.
    middle: Length,
    /// How long that part is.
    part: Length,
    /// How long the box is.
    whole: Length,
}

/// The columns or rows between these edges, counted from the other end where they are turned, that lie between `low` and `high`.
fn middles(mut edges: Vec<Length>, low: Length, high: Length, turned: bool) -> Vec<ShownBox> {
    edges.sort_by(|a, b| a.to_mm().total_cmp(&b.to_mm()));
    let boxes = edges.windows(2).enumerate().map(|(at, ends)| {
        let (from, to) = (ends[0].max(low), ends[1].min(high));
        let number = if turned { edges.len() - 2 - at } else { at };
        ShownBox { number, middle: from + (to - from) / 2.0, part: to - from, whole: ends[1] - ends[0] }
    });
    boxes.filter(|shown| shown.part > Length::ZERO).collect()
}

/// Between a seam's lap or the picture and the mark, in mm.
const MARK_GAP: f64 = 2.0;

/// The least room that a mark takes: below the picture its height, to the right of it its width, in mm.
const MARK_ROOM: (f64, f64) = (14.0, 40.0);

/// Where a mark has room below the picture, or else to the right of it.
fn beside(window: PaperRect, room: PaperRect) -> Option<PaperRect> {
    let below = PaperRect {
        y: window.bottom() + MARK_GAP,
        height: room.bottom() - window.bottom() - MARK_GAP,
        ..room
    };
    let x = window.x + window.width + MARK_GAP;
    let aside = PaperRect { x, width: room.x + room.width - x, ..window };
    [(below, below.height >= MARK_ROOM.0), (aside, aside.width >= MARK_ROOM.1)]
        .into_iter()
        .find_map(|(place, has_room)| has_room.then_some(place))
}

/// From the window's edge to the middle of a reading, in mm.
const LABEL_GAP: f64 = 1.8;

/// Where an upright grid line crosses the level `y`; `None` beyond its ends.
fn at_level(line: &GridLine, y: Length) -> Option<CanvasPoint> {
    let share = (y - line.from.y) / (line.to.y - line.from.y);
    on_line(line, share)
}

/// Where a level grid line crosses the upright `x`; `None` beyond its ends.
fn at_upright(line: &GridLine, x: Length) -> Option<CanvasPoint> {
    let share = (x - line.from.x) / (line.to.x - line.from.x);
    on_line(line, share)
}

/// A line that ends this share short of the window's edge counts as entering there: a canvas out of square does not
/// reach its bounds everywhere.
const SHORT_OF_EDGE: f64 = 0.02;

fn on_line(line: &GridLine, share: f64) -> Option<CanvasPoint> {
    (-SHORT_OF_EDGE..=1.0 + SHORT_OF_EDGE).contains(&share).then(|| line.from.towards(line.to, share))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_stands_beside_a_small_picture_and_over_one_that_fills_the_sheet() {
        let rect = |x, y, width, height| PaperRect { x, y, width, height };
        let room = rect(20.0, 10.0, 180.0, 250.0);
        let small = beside(rect(90.0, 10.0, 40.0, 30.0), room).unwrap();
        assert_eq!((small.x, small.y, small.bottom()), (20.0, 42.0, room.bottom()));
        let tall = beside(rect(80.0, 10.0, 60.0, 250.0), room).unwrap();
        assert_eq!((tall.x, tall.y, tall.x + tall.width), (142.0, 10.0, 200.0));
        assert!(beside(rect(20.0, 10.0, 180.0, 240.0), room).is_none());
    }
}
