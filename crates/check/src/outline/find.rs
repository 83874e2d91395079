//! Proposes where the canvas lies in the photo.
//!
//! No edge score can tell a wrong outline from a right one: a shelf, a frame or a painted border can be as straight and as
//! clear as the canvas. So proposals are ranked, at most three are made, and each is to be confirmed by a person.

use std::fmt;

use plan::{CanvasPoint, GridLine, Size};
use rayon::prelude::*;

use super::Outline;
use super::edges::EdgePicture;
use super::expected::{likeness, lines_seen};
use super::quads::{Candidate, LEAST_OF_PAINTED, LEAST_SEEN, Tracks, centred, shape_seen};
use crate::camera::CanvasPhoto;
use crate::frame::ImagePoint;

/// The most outlines proposed: more are a puzzle.
pub const MOST_PROPOSALS: usize = 3;

/// The most candidates that are held against the reference, and of these against the planned lines, which takes longer.
const HELD_AGAINST_REFERENCE: usize = 240;
const HELD_AGAINST_LINES: usize = 60;

/// Likeness beyond this counts for no more: paint is no print.
const MOST_ALIKE: f64 = 0.98;

/// A candidate that is more like the reference than this is a painting, and need not show as much of its edges.
const PAINTED: f64 = 0.6;

/// Corners nearer than this share of the photo's diagonal are the same corner.
const SAME: f64 = 0.006;

/// What is known of the canvas before it is found.
#[derive(Clone, Copy)]
pub struct Expected<'a> {
    /// The canvas's size.
    pub size: Size,
    /// The lines planned on it: where they are seen, the outline is right. None are needed.
    pub lines: &'a [GridLine],
    /// The light that the painting should have at a point of the canvas, if it has a reference: linear, 0 to 1, averaged over
    /// about a thirtieth of the canvas.
    pub reference: Option<&'a (dyn Fn(CanvasPoint) -> Option<f64> + Sync)>,
}

/// Where the canvas may lie, the likeliest first, at most [`MOST_PROPOSALS`]. Empty when no four edges can be followed, as
/// when wall and canvas have the same tone.
///
/// Works on about a megapixel, so that corners are good to a few pixels of a 12 megapixel photo: enough to be refined from.
pub fn find_outlines(photo: &CanvasPhoto, expected: &Expected<'_>) -> Vec<Outline> {
    let picture = EdgePicture::of(photo.reduced(), photo.focal().pixels);
    let mut tracks = Tracks::of(&picture);
    let diagonal = (picture.width as f64).hypot(picture.height as f64);
    let focal = picture.focal();
    let shape = expected.size.width / expected.size.height;
    let least = if expected.reference.is_some() { LEAST_OF_PAINTED } else { LEAST_SEEN };
    let mut candidates = tracks.candidates(&picture, Some(shape), focal, least);
    candidates.extend(tracks.three_sided(&picture, shape, focal));
    candidates.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut candidates = distinct(candidates, SAME * diagonal, HELD_AGAINST_REFERENCE);
    if let Some(reference) = expected.reference {
        candidates = held_against(reference, candidates, &picture, &tracks, expected.size);
    }
    candidates.truncate(HELD_AGAINST_LINES);
    let mut judged: Vec<Candidate> = candidates
        .into_par_iter()
        .map(|candidate| {
            let lines = lines_seen(&picture, &tracks, &candidate, expected.size, expected.lines);
            // Paint hides lines, and has others of its own.
            let bare = 1.0 - candidate.alike;
            Candidate { score: candidate.score + 0.25 * lines * bare, ..candidate }
        })
        .collect();
    judged.sort_by(|a, b| b.score.total_cmp(&a.score));
    outermost_first(&mut judged);
    judged
        .iter()
        .take(MOST_PROPOSALS)
        .map(|candidate| {
            Outline::automatic(candidate.corners.map(|corner| ImagePoint::from(picture.to_photo(corner))))
        })
        .collect()
}

/// Where a canvas that is not square may lie on its side in the photo: both ways in which it can, its top at the photo's right
/// first. Empty for a square one, and when no four edges can be followed. To be asked where [`find_outlines`] finds nothing.
pub fn find_lying_outlines(photo: &CanvasPhoto, Size { width, height }: Size) -> Vec<Outline> {
    if width == height {
        return Vec::new();
    }
    let lying = Expected { size: Size { width: height, height: width }, lines: &[], reference: None };
    let Some(found) = find_outlines(photo, &lying).into_iter().next() else { return Vec::new() };
    let [a, b, c, d] = found.corners;
    [[b, c, d, a], [d, a, b, c]].map(|corners| Outline { corners, ..found }).to_vec()
}

/// What is most like a canvas in the photo, where it has another shape than the canvas of the plan. To be asked where nothing of that
/// shape is found either way up, so that the painter can be told that this may be another canvas.
pub fn find_other_shape(photo: &CanvasPhoto, Size { width, height }: Size) -> Option<OtherShape> {
    let picture = EdgePicture::of(photo.reduced(), photo.focal().pixels);
    let mut candidates = Tracks::of(&picture).candidates(&picture, None, picture.focal(), LEAST_SEEN);
    outermost_first(&mut candidates);
    let best = candidates.first()?;
    let size = [picture.width as f64, picture.height as f64];
    let (seen, _) = shape_seen(centred(best.corners, size, picture.focal()))?;
    let planned = width / height;
    let is_other = |shape: f64| (seen / shape).ln().abs() > OTHER;
    (is_other(planned) && is_other(1.0 / planned)).then_some(OtherShape { seen, planned })
}

/// Shapes whose proportions differ by more than this share are not told apart by chance: perspective blurs them by a few hundredths.
const OTHER: f64 = 0.1;

/// Something like a canvas, of another shape than the plan's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OtherShape {
    /// Width divided by height as seen.
    pub seen: f64,
    /// Width divided by height as planned.
    pub planned: f64,
}

impl fmt::Display for OtherShape {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "What looks like a canvas in this photo has another shape: its width is about {:.2} times its height, that of this painting's canvas \
             {:.2} times.",
            self.seen, self.planned
        )
    }
}

/// The candidates held against the reference, best first: those that show too little of their edges remain only where they are
/// like it.
fn held_against(
    reference: &(dyn Fn(CanvasPoint) -> Option<f64> + Sync),
    candidates: Vec<Candidate>,
    picture: &EdgePicture,
    tracks: &Tracks,
    size: Size,
) -> Vec<Candidate> {
    let mut held: Vec<Candidate> = candidates
        .into_par_iter()
        .map(|candidate| {
            let alike = likeness(picture, tracks, &candidate, size, reference);
            // Fisher's transformation: near 1, where the outline is nearly right, a little more likeness says much.
            let score = candidate.score + 0.3 * alike.min(MOST_ALIKE).atanh();
            Candidate { alike, score, ..candidate }
        })
        .filter(|candidate| candidate.clear || candidate.alike > PAINTED)
        .collect();
    held.sort_by(|a, b| b.score.total_cmp(&a.score));
    held
}

/// The first of each group of candidates that share their corners.
fn distinct(candidates: Vec<Candidate>, same: f64, most: usize) -> Vec<Candidate> {
    let mut kept: Vec<Candidate> = Vec::new();
    for candidate in candidates {
        let known = kept.iter().any(|other| farthest(other, &candidate) < same);
        if !known {
            kept.push(candidate);
        }
        if kept.len() == most {
            break;
        }
    }
    kept
}

fn farthest(a: &Candidate, b: &Candidate) -> f64 {
    a.corners.iter().zip(b.corners).map(|(p, q)| (p[0] - q[0]).hypot(p[1] - q[1])).fold(0.0, f64::max)
}

/// Scores nearer than this are equal: then the larger outline goes first, because a painting has edges within its own.
const NEARLY_EQUAL: f64 = 0.008;

fn outermost_first(judged: &mut [Candidate]) {
    let Some(best) = judged.first().map(|candidate| candidate.score) else { return };
    let equal = judged.iter().take_while(|candidate| candidate.score > best - NEARLY_EQUAL).count();
    judged[..equal].sort_by(|a, b| b.area.total_cmp(&a.area));
}

#[cfg(test)]
mod tests {
    use super::*;
    use photo::{CameraFacts, Picture};
    use plan::{Canvas, Grid, Length};

    const WIDTH: u32 = 900;
    const HEIGHT: u32 = 1100;
    /// Where the canvas of [`scene`] is: left, top, right, bottom.
    const CANVAS: [f64; 4] = [180.0, 150.0, 730.0, 950.0];
    const WALL: f64 = 70.0;

    /// A photo from straight on, each pixel the mean of four, as `code` gives them; a little unevenness, as every photo has.
    fn photo(code: impl Fn(f64, f64) -> f64) -> CanvasPhoto {
        coloured(|x, y| [code(x, y); 3])
    }

    /// The same in colour.
    fn coloured(code: impl Fn(f64, f64) -> [f64; 3]) -> CanvasPhoto {
        let rgb = (0..WIDTH * HEIGHT).flat_map(|at| {
            let (x, y) = (f64::from(at % WIDTH), f64::from(at / WIDTH));
            let four = [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)];
            let four = four.map(|(dx, dy)| code(x + dx, y + dy));
            let uneven = f64::from(at.wrapping_mul(2_654_435_761) >> 29) / 2.0;
            [0, 1, 2].map(|part| (four.iter().map(|code| code[part]).sum::<f64>() / 4.0 + uneven) as u8)
        });
        let picture = Picture::from_rgb(WIDTH, HEIGHT, rgb.collect()).unwrap();
        CanvasPhoto::new(&picture, &CameraFacts::default()).unwrap()
    }

    fn within([left, top, right, bottom]: [f64; 4], x: f64, y: f64) -> bool {
        (left..right).contains(&x) && (top..bottom).contains(&y)
    }

    /// 550 x 800 pixels, as a canvas of 275 x 400 mm.
    fn canvas() -> Canvas {
        Canvas::nominal(Length::mm(275.0), Length::mm(400.0))
    }

    /// How far the proposal's corners lie off a rectangle, pixels.
    fn off(outline: &Outline, [left, top, right, bottom]: [f64; 4]) -> f64 {
        let truth = [(left, top), (right, top), (right, bottom), (left, bottom)];
        let far =
            outline.corners.iter().zip(truth).map(|(corner, (x, y))| (corner.x - x).hypot(corner.y - y));
        far.fold(0.0, f64::max)
    }

    fn expected(lines: &[GridLine]) -> Expected<'_> {
        Expected { size: canvas().nominal, lines, reference: None }
    }

    #[test]
    fn a_light_canvas_on_a_dark_wall_is_found_and_its_corners_are_in_order() {
        let found =
            find_outlines(&photo(|x, y| if within(CANVAS, x, y) { 205.0 } else { WALL }), &expected(&[]));
        assert!((1..=MOST_PROPOSALS).contains(&found.len()));
        assert!(off(&found[0], CANVAS) < 4.0, "{:?}", found[0]);
        assert_eq!(found[0].standing, super::super::Standing::Automatic);
    }

    #[test]
    fn a_canvas_on_its_side_is_proposed_both_ways() {
        let seen = photo(|x, y| if within(CANVAS, x, y) { 205.0 } else { WALL });
        let Size { width, height } = canvas().nominal;
        let proposed = find_lying_outlines(&seen, Size { width: height, height: width });
        let [left, top, right, bottom] = CANVAS;
        let firsts: Vec<_> = proposed.iter().map(|outline| outline.corners[0]).collect();
        for (corner, truth) in firsts.into_iter().zip([(right, top), (left, bottom)]) {
            assert!((corner.x - truth.0).hypot(corner.y - truth.1) < 4.0, "{proposed:?}");
        }
        assert_eq!(proposed.len(), 2);
        assert!(find_lying_outlines(&seen, Size { width, height: width }).is_empty());
    }

    #[test]
    fn of_a_canvas_of_another_shape_its_shape_is_told() {
        let seen = photo(|x, y| if within(CANVAS, x, y) { 205.0 } else { WALL });
        let square = Expected {
            size: Size { width: Length::mm(300.0), height: Length::mm(300.0) },
            lines: &[],
            reference: None,
        };
        assert!(find_outlines(&seen, &square).is_empty());
        let other = find_other_shape(&seen, square.size).unwrap();
        assert!((other.seen - 550.0 / 800.0).abs() < 0.02, "{other}");
        assert_eq!(find_other_shape(&seen, canvas().nominal), None);
        assert_eq!(find_other_shape(&photo(|_, _| 150.0), square.size), None);
    }

    #[test]
    fn on_a_wall_of_its_own_tone_nothing_is_proposed() {
        assert!(find_outlines(&photo(|_, _| 150.0), &expected(&[])).is_empty());
    }

    /// The two have the same luminance: what tells them apart is colour alone.
    #[test]
    fn a_painted_canvas_as_light_as_the_wall_but_of_another_colour_is_found() {
        let found = find_outlines(
            &coloured(|x, y| if within(CANVAS, x, y) { [100.0, 135.7, 120.0] } else { [128.0; 3] }),
            &expected(&[]),
        );
        assert!(off(&found[0], CANVAS) < 4.0, "{found:?}");
    }

    /// Two thirds of the right side are painted in the wall's own tone, and a stripe within is as long as it.
    #[test]
    fn a_side_mostly_painted_in_the_walls_tone_is_known_by_the_reference() {
        let painted = |across: f64, down: f64| match () {
            () if across > 0.8 && down < 0.66 => WALL,
            () if (across - 0.45).hypot(down - 0.4) < 0.2 => 220.0,
            () => 140.0,
        };
        let [left, top, right, bottom] = CANVAS;
        let seen = photo(|x, y| {
            let inside = within(CANVAS, x, y);
            if inside { painted((x - left) / (right - left), (y - top) / (bottom - top)) } else { WALL }
        });
        let size = canvas().nominal;
        let light = |point: CanvasPoint| {
            Some((painted(point.x / size.width, point.y / size.height) / 255.0).powf(2.2))
        };
        let found = find_outlines(&seen, &Expected { reference: Some(&light), ..expected(&[]) });
        assert!(off(&found[0], CANVAS) < 4.0, "{found:?}");
        assert!(find_outlines(&seen, &expected(&[])).iter().all(|outline| off(outline, CANVAS) > 4.0));
    }

    /// A wall brighter than the canvas, in whose shadow it has the canvas's tone: beside the right edge, all along it.
    #[test]
    fn a_side_of_the_walls_own_tone_is_proposed_where_the_other_three_end() {
        let light = |x: f64, y: f64| match () {
            () if within(CANVAS, x, y) => 180.0,
            () if x > CANVAS[2] => 180.0 + (x - CANVAS[2]).min(50.0),
            () => 230.0,
        };
        let found = find_outlines(&photo(light), &expected(&[]));
        assert!(off(&found[0], CANVAS) < 8.0, "{found:?}");
    }

    /// A border painted within the edges has the canvas's proportions and is the clearer of the two.
    #[test]
    fn a_painted_border_is_not_taken_for_the_canvas_whose_lines_are_seen() {
        let inner = [235.0, 230.0, 675.0, 870.0];
        let canvas = canvas();
        let lines = Grid::parts(2, 2).lines(&canvas.outline(), canvas.nominal);
        let [left, top, right, bottom] = CANVAS;
        let on_line = |x: f64, y: f64| {
            (x - f64::midpoint(left, right)).abs() < 1.0 || (y - f64::midpoint(top, bottom)).abs() < 1.0
        };
        let seen = photo(|x, y| match () {
            () if !within(CANVAS, x, y) => WALL,
            () if on_line(x, y) => 120.0,
            () if within(inner, x, y) => 225.0,
            () => 150.0,
        });
        let found = find_outlines(&seen, &expected(&lines));
        assert!(off(&found[0], CANVAS) < 4.0, "{found:?}");
        assert!(
            found.iter().any(|outline| off(outline, inner) < 4.0),
            "the border is offered too: {found:?}"
        );
    }

    /// Two boards of the canvas's shape: the one that looks like the reference is the painting.
    #[test]
    fn of_two_boards_the_one_that_looks_like_the_reference_comes_first() {
        let boards = [[60.0, 300.0, 390.0, 780.0], [500.0, 300.0, 830.0, 780.0]];
        let painted =
            |across: f64, down: f64| if (across - 0.6).hypot(down - 0.4) < 0.22 { 60.0 } else { 200.0 };
        for (at, board) in boards.into_iter().enumerate() {
            let seen = photo(|x, y| {
                let [left, top, right, bottom] = boards[at];
                let share = ((x - left) / (right - left), (y - top) / (bottom - top));
                match boards.iter().position(|board| within(*board, x, y)) {
                    Some(here) if here == at => painted(share.0, share.1),
                    Some(_) => 200.0,
                    None => 110.0,
                }
            });
            let size = canvas().nominal;
            let light = |point: CanvasPoint| {
                Some((painted(point.x / size.width, point.y / size.height) / 255.0).powf(2.2))
            };
            let found = find_outlines(&seen, &Expected { reference: Some(&light), ..expected(&[]) });
            assert!(off(&found[0], board) < 4.0, "{at}: {found:?}");
        }
    }
}
