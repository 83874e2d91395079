//! The shade of the canvas's fold, which draws an edge inwards.
//!
//! A canvas is folded over its bars, and the last millimetre of its front catches more or less light than the rest. Before a wall
//! of nearly its own tone that shade is the stronger step of the two, and it lies within the edge. What tells them apart: the
//! shade is soft and alike all along a side, while an edge is as sharp as the photo, and what stands behind it changes.

use super::median;
use super::profile::{Profile, SMOOTHING, STEP};

/// Pieces of a side that are looked at each by itself: the profiles of a piece, averaged, no longer show the weave.
const PIECES: usize = 6;

/// A piece of fewer profiles tells nothing.
const FEWEST: usize = 8;

/// Reaches of the shade that are tried, mm: a fold is about a millimetre round (common practice, no source).
const REACHES: [f64; 3] = [0.5, 0.8, 1.2];

/// Blurs of the photo that are tried: standard deviations in pixels of a 12-megapixel photo.
const BLURS: [f64; 4] = [0.7, 1.1, 1.6, 2.3];

/// How far within the edge as first seen the true one is looked for, and how far without, in pixels of a 12-megapixel photo:
/// without, because a shade draws it inwards.
const WITHIN: f64 = 4.0;
const WITHOUT: f64 = 7.0;

/// How far out a profile is compared, in pixels of a 12-megapixel photo: beyond lie things of their own.
const OUTERMOST: f64 = 9.0;

/// Steps of the place, pixels.
const PLACE_STEP: f64 = 0.25;

/// A place this near to either end of the search, in pixels of a 12-megapixel photo, was not found.
const AT_END: f64 = 0.5;

/// The shade must explain this share of what an edge without shade leaves over.
const EXPLAINS: f64 = 0.25;

/// No fold is lighter or darker than the canvas beside it by more than this share.
const MOST_SHADE: f64 = 0.25;

/// A side's edge with the shade of its fold.
#[derive(Clone, Debug)]
pub(super) struct Fold {
    /// The light at the very edge, less that of the canvas, as a share of it.
    height: f64,
    template: Template,
    /// 1 when the canvas lies at the profiles' end, -1 when at their start.
    inside: f64,
    /// Share along the side, and how far the edge lies off the line along which the profiles were taken, pixels.
    places: Vec<(f64, f64)>,
}

impl Fold {
    /// The fold of a side, from profiles at shares of its length, each taken across the edge as first seen; `None` where no shade
    /// shows. `per_mm` are pixels, `scale` is that of [`pixel_scale`](super::pixel_scale).
    pub(super) fn of(profiles: &[(f64, &Profile)], per_mm: f64, scale: f64) -> Option<Self> {
        let pieces = pieces(profiles);
        let inside = f64::from(profiles.first()?.1.inside());
        let mut best: Option<(f64, Self)> = None;
        let mut without = f64::INFINITY;
        for blur in BLURS {
            let blur = (blur * scale).hypot(SMOOTHING);
            for reach in REACHES {
                let template = Template::new(reach * per_mm, blur);
                let searches: Vec<Search> =
                    pieces.iter().map(|piece| Search::of(piece, &template, inside, scale)).collect();
                let fits =
                    |height: f64| searches.iter().map(|search| search.best(Some(height))).collect::<Vec<_>>();
                let over = |fits: &[Fit]| fits.iter().map(|fit| fit.left).sum::<f64>();
                without = without.min(over(&fits(0.0)));
                let height = median(searches.iter().map(|search| search.best(None).height))?;
                let shaded = fits(height);
                let over = over(&shaded);
                if best.as_ref().is_none_or(|best| over < best.0) {
                    let places =
                        pieces.iter().zip(shaded).map(|(piece, fit)| (piece.share, fit.place)).collect();
                    best = Some((over, Self { height, template, inside, places }));
                }
            }
        }
        let (over, fold) = best?;
        let shows = over < (1.0 - EXPLAINS) * without && fold.height.abs() < MOST_SHADE;
        (shows && fold.is_found(scale)).then_some(fold)
    }

    /// Whether the places are found ones and not the ends of the search, where what lies beyond would fit better still.
    fn is_found(&self, scale: f64) -> bool {
        let at_end = |depth: f64| depth > (WITHIN - AT_END) * scale || depth < (AT_END - WITHOUT) * scale;
        let ends = self.places.iter().filter(|place| at_end(place.1 * self.inside)).count();
        3 * ends < self.places.len()
    }

    /// How far the edge lies off the profiles' line at a share of the side, pixels.
    pub(super) fn place(&self, share: f64) -> f64 {
        let after = self.places.partition_point(|place| place.0 < share);
        match (after.checked_sub(1).and_then(|before| self.places.get(before)), self.places.get(after)) {
            (Some((a, x)), Some((b, y))) => x + (y - x) * (share - a) / (b - a),
            (Some((_, only)), None) | (None, Some((_, only))) => *only,
            (None, None) => 0.0,
        }
    }

    /// The slope of the shade at a place of a profile whose edge is at `edge`.
    pub(super) fn slope(&self, place: f64, edge: f64) -> f64 {
        self.height * self.inside * self.template.shade(self.inside * (place - edge))
    }
}

/// The mean of neighbouring profiles.
struct Piece {
    share: f64,
    slopes: Vec<f64>,
    range: f64,
}

fn pieces(profiles: &[(f64, &Profile)]) -> Vec<Piece> {
    let piece_of = |share: f64| ((share * PIECES as f64) as usize).min(PIECES - 1);
    profiles
        .chunk_by(|(a, _), (b, _)| piece_of(*a) == piece_of(*b))
        .filter(|piece| piece.len() >= FEWEST)
        .map(|piece| {
            let count = piece.len() as f64;
            let mut slopes = vec![0.0; piece[0].1.slopes().len()];
            for (_, profile) in piece {
                for (sum, slope) in slopes.iter_mut().zip(profile.slopes()) {
                    *sum += f64::from(*slope) / count;
                }
            }
            let share = piece.iter().map(|(share, _)| share).sum::<f64>() / count;
            Piece { share, slopes, range: piece[0].1.range() }
        })
        .collect()
}

/// The slopes that an edge and a shade leave in a blurred profile.
#[derive(Clone, Debug)]
struct Template {
    blur: f64,
    /// The slope of a shade of height 1, from [`EXTENT`] pixels without the edge to as many within.
    shade: Vec<f64>,
}

/// Half the length of a template, and its steps, pixels.
const EXTENT: f64 = 24.0;
const FINE: f64 = 0.125;

impl Template {
    /// The shade falls off within the edge as a Gaussian of this `reach` (pixels, to 1/e) does; `blur` is a standard deviation.
    fn new(reach: f64, blur: f64) -> Self {
        let of_depth = |depth: f64| {
            let within = (0..(3.0 * reach / FINE) as usize).map(|step| (step as f64 + 0.5) * FINE);
            within
                .map(|within| {
                    let slope = -2.0 * within / (reach * reach) * (-(within / reach).powi(2)).exp();
                    slope * normal(depth - within, blur) * FINE
                })
                .sum()
        };
        let count = (2.0 * EXTENT / FINE) as usize + 1;
        Self { blur, shade: (0..count).map(|at| of_depth(at as f64 * FINE - EXTENT)).collect() }
    }

    /// The slope of the shade so many pixels within the edge.
    fn shade(&self, depth: f64) -> f64 {
        let place = (depth + EXTENT) / FINE;
        let at = place.max(0.0) as usize;
        match self.shade.get(at..at + 2) {
            Some([before, after]) if place >= 0.0 => before + (after - before) * place.fract(),
            _ => 0.0,
        }
    }

    /// The slope of a step of height 1 so many pixels off it.
    fn edge(&self, off: f64) -> f64 {
        normal(off, self.blur)
    }
}

fn normal(off: f64, sd: f64) -> f64 {
    (-0.5 * (off / sd).powi(2)).exp() / (sd * (2.0 * std::f64::consts::PI).sqrt())
}

/// The places tried for the edge of a piece.
struct Search {
    tried: Vec<Trial>,
}

/// A trial of the edge at `at` pixels, with the sums of products of the slopes there: of the edge's, the shade's and those seen.
struct Trial {
    at: f64,
    ee: f64,
    es: f64,
    ss: f64,
    ey: f64,
    sy: f64,
    yy: f64,
}

/// What fits a piece best: the sum of squares left over, the edge's place in pixels, and the height of the shade.
#[derive(Clone, Copy)]
struct Fit {
    left: f64,
    place: f64,
    height: f64,
}

impl Search {
    fn of(piece: &Piece, template: &Template, inside: f64, scale: f64) -> Self {
        let steps = ((WITHIN + WITHOUT) * scale / PLACE_STEP) as i32;
        let depths = (0..=steps).map(|step| WITHIN * scale - f64::from(step) * PLACE_STEP);
        Self { tried: depths.map(|depth| Trial::of(piece, template, inside, scale, depth)).collect() }
    }

    /// The best place, the step there being free, and the height of the shade given or free.
    fn best(&self, height: Option<f64>) -> Fit {
        self.tried
            .iter()
            .filter_map(|trial| trial.fit(height))
            .min_by(|a, b| a.left.total_cmp(&b.left))
            .unwrap_or(Fit { left: f64::INFINITY, place: 0.0, height: 0.0 })
    }
}

impl Trial {
    /// The edge `depth` pixels within the line along which the profiles were taken.
    fn of(piece: &Piece, template: &Template, inside: f64, scale: f64, depth: f64) -> Self {
        let place = inside * depth;
        let mut sums = Self { at: place, ee: 0.0, es: 0.0, ss: 0.0, ey: 0.0, sy: 0.0, yy: 0.0 };
        for (index, slope) in piece.slopes.iter().enumerate() {
            let at = index as f64 * STEP - piece.range;
            if inside * at < -OUTERMOST * scale {
                continue;
            }
            let edge = template.edge(at - place);
            let shade = inside * template.shade(inside * (at - place));
            sums.ee += edge * edge;
            sums.es += edge * shade;
            sums.ss += shade * shade;
            sums.ey += edge * slope;
            sums.sy += shade * slope;
            sums.yy += slope * slope;
        }
        sums
    }

    /// Least squares for the step, and for the shade if it is free.
    fn fit(&self, height: Option<f64>) -> Option<Fit> {
        let &Self { at: place, ee, es, ss, ey, sy, yy } = self;
        let (step, height) = if let Some(height) = height {
            ((ey - height * es) / ee, height)
        } else {
            let determinant = ee * ss - es * es;
            if determinant < 1e-12 {
                return None;
            }
            ((ss * ey - es * sy) / determinant, (ee * sy - es * ey) / determinant)
        };
        let explained = 2.0 * (step * ey + height * sy);
        let left = yy - explained + step * step * ee + 2.0 * step * height * es + height * height * ss;
        Some(Fit { left, place, height })
    }
}
