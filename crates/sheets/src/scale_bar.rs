//! Scale bars: lines of known length that the painter measures to learn what her printer does. Each carries
//! millimetres on one side and inches on the other, from one common zero.

use plan::{Length, Unit};
use serde::Serialize;

use crate::paper::PaperPoint;

/// A scale bar on a sheet. All but its zero is told from the zero, so that a bar is drawn once for all sheets.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct ScaleBar {
    zero: PaperPoint,
    /// The line the ticks stand on, from zero to the longer end.
    line: [PaperPoint; 2],
    /// Ticks across the line.
    ticks: Vec<[PaperPoint; 2]>,
    /// Numbers at the ticks.
    labels: Vec<Label>,
    /// True for a bar that runs down the sheet, whose labels are turned to read upwards.
    upright: bool,
}

/// A number at a tick, centred on a point.
#[derive(Clone, Debug, Serialize)]
struct Label {
    at: PaperPoint,
    text: String,
}

/// How far a bar reaches in each unit: whole decimetres and the inches nearest to them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Reach {
    mm: u32,
    inches: u32,
}

impl Reach {
    /// On every true-size sheet.
    pub(crate) const SHORT: Self = Self { mm: 100, inches: 4 };
    /// On the scale bars' own sheet, in this order where the paper has room.
    pub(crate) const LONG: [Self; 3] =
        [Self { mm: 200, inches: 8 }, Self { mm: 150, inches: 6 }, Self::SHORT];

    /// The longer of the two, in mm.
    pub(crate) fn longer(self) -> f64 {
        f64::from(self.mm).max(Length::inches(f64::from(self.inches)).to_mm())
    }
}

/// Lengths of ticks on each side of the line, in mm: at every division, at the middle, and at the ends.
const TICKS: [f64; 3] = [1.1, 1.7, 2.6];
/// From the line to the middle of a number, in mm.
const LABEL_DISTANCE: f64 = 4.0;

/// A bar that is not yet laid on a sheet.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bar {
    reach: Reach,
    drawn: f64,
    upright: bool,
}

impl ScaleBar {
    /// A bar across the sheet, drawn `drawn` times as long as it shall come out.
    pub(crate) const fn level(drawn: f64) -> Bar {
        Bar { reach: Reach::SHORT, drawn, upright: false }
    }

    /// A bar down the sheet, drawn `drawn` times as long as it shall come out.
    pub(crate) const fn upright(drawn: f64) -> Bar {
        Bar { reach: Reach::SHORT, drawn, upright: true }
    }
}

impl Bar {
    /// The same bar with another reach.
    pub(crate) const fn reaching(self, reach: Reach) -> Self {
        Self { reach, ..self }
    }

    /// How long it is on the sheet, in mm.
    pub(crate) fn length(self) -> f64 {
        self.reach.longer() * self.drawn
    }

    /// Lays the bar with its zero at `zero`. Millimetres stand above a level bar and left of an upright one.
    pub(crate) fn at(self, zero: PaperPoint) -> ScaleBar {
        let point = |along: f64, across: f64| {
            let along = along * self.drawn;
            if self.upright { PaperPoint::new(across, along) } else { PaperPoint::new(along, across) }
        };
        let mut ticks = Vec::new();
        let mut labels = Vec::new();
        let mut side = |step: f64, steps: u32, per_label: u32, sign: f64, number: &dyn Fn(u32) -> String| {
            for at in 0..=steps {
                let along = f64::from(at) * step;
                let is_end = at == 0 || at == steps;
                let tick = TICKS[if is_end { 2 } else { usize::from(at % per_label == 0) }];
                ticks.push([point(along, 0.0), point(along, sign * tick)]);
                if is_end || at % per_label == 0 {
                    labels.push(Label { at: point(along, sign * LABEL_DISTANCE), text: number(at) });
                }
            }
        };
        let Reach { mm, inches } = self.reach;
        let named = |number: u32, end: u32, unit| {
            if number == end { format!("{number} {unit}") } else { number.to_string() }
        };
        side(10.0, mm / 10, 5, -1.0, &|at| named(at * 10, mm, Unit::Millimetre));
        side(Length::inches(0.5).to_mm(), inches * 2, 2, 1.0, &|at| named(at / 2, inches, Unit::Inch));
        let line = [point(0.0, 0.0), point(self.reach.longer(), 0.0)];
        ScaleBar { zero, line, ticks, labels, upright: self.upright }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_ends_at_a_hundred_millimetres_and_at_four_inches() {
        let bar = ScaleBar::level(1.0).at(PaperPoint::new(50.0, 250.0));
        let ends: Vec<f64> = bar
            .ticks
            .iter()
            .filter(|tick| (tick[1].y - tick[0].y).abs() > 2.0)
            .map(|tick| tick[0].x)
            .collect();
        assert_eq!(ends, [0.0, 100.0, 0.0, 101.6]);
    }

    #[test]
    fn a_corrected_bar_is_drawn_as_much_longer_as_the_printer_shrinks() {
        let bar = ScaleBar::upright(1.0 / 0.994).at(PaperPoint::new(10.0, 20.0));
        let end = bar.ticks.iter().map(|tick| tick[0].y).fold(0.0, f64::max);
        assert!((end - 101.6 / 0.994).abs() < 1e-9);
    }
}
