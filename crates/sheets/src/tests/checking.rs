//! The check sheet and the lens card, read back from their PDFs.

use check::{LensCard, Report};
use serde_json::json;

use super::*;
use crate::check_packet;

/// What a photo of the portrait's canvas told: one line off, one true, one not seen; the head too large, an eye low.
fn report() -> Report {
    let point = |x: f64, y: f64| json!({ "x": x, "y": y });
    let line = |name: &str, at: f64, off: Option<f64>, verdict: &str| {
        json!({
            "name": name, "direction": "vertical", "planned_mm": at, "found": off.is_some(),
            "seen": if off.is_some() { "found" } else { "not seen" },
            "start_mm": off, "start_95_mm": off.map(|_| 0.3), "end_mm": off, "end_95_mm": off.map(|_| 0.3),
            "offset_mm": off, "offset_95_mm": off.map(|_| 0.2), "tilt_deg": off.map(|_| 0.0), "verdict": verdict,
            "from": point(at, 0.0), "to": point(at, 304.8),
        })
    };
    let own = |name: &str, x: f64, y: f64, down: f64, out: bool| {
        json!({
            "name": name, "planned": point(x, y), "painted": point(x, y + down), "right_mm": 0.0, "right_95_mm": 0.5,
            "down_mm": down, "down_95_mm": 0.5, "stands_out": out,
        })
    };
    let of = json!({
        "outline_px": [[300, 400], [2700, 400], [2700, 2800], [300, 2800]],
        "outline": "confirmed",
        "canvas": { "corners": [point(0.0, 0.0), point(304.8, 0.0), point(304.8, 304.8), point(0.0, 304.8)] },
        "lens": { "k1": 0.01, "k1_sd": 0.002 },
        "rms_px": 0.2,
        "tolerance_mm": 0.79375,
        "lines": [
            line("vertical at 3 in", 76.2, Some(0.1), "true"),
            line("vertical at 6 in", 152.4, Some(3.2), "off"),
            line("vertical at 9 in", 228.6, None, "cannot tell"),
        ],
        "unplanned": [],
        "shape": { "tilt": 11.0, "wider_mm": 0.2, "wider_95_mm": 2.0, "leans_mm": 0.1, "leans_95_mm": 2.0, "told": false },
        "drift": {
            "whole": {
                "right_mm": 0.1, "right_95_mm": 0.3, "down_mm": 0.2, "down_95_mm": 0.3, "size_percent": 3.1,
                "size_95_percent": 0.4, "turn_deg": 0.0, "turn_95_deg": 0.2,
            },
            "own": [own("left pupil", 180.0, 140.0, 3.2, true), own("right pupil", 120.0, 140.0, 0.1, false)],
            "set_aside": ["left pupil"],
        },
        "warnings": ["Only 2 of 3 planned lines were found."],
        "map": {
            "middle_px": [1500, 1600], "focal_px": 3000, "middle_mm": [152.4, 152.4], "unit_mm": 215.5,
            "numbers": [1, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0], "covariance": vec![0.0; 78],
        },
    });
    serde_json::from_value(of).unwrap()
}

fn checked(picture: Option<&PhotoStream>) -> Packet {
    let options = options(Paper::Letter, &[]);
    check_packet(&report(), &portrait(), picture, &options, &|_| ControlFlow::Continue(())).unwrap()
}

#[test]
fn the_check_sheet_says_what_is_off_and_what_has_drifted() {
    insta::assert_snapshot!("check", said(&checked(Some(&photo(false)))));
}

#[test]
fn that_most_lines_were_not_seen_is_told_before_all_numbers() {
    let mut report = report();
    for line in &mut report.lines[..2] {
        (line.found, line.offset_mm) = (false, None);
    }
    let few = "None of the grid’s 3 lines was seen. Paint may hide lines.";
    report.warnings = vec!["The outline was found in the photo.".to_owned(), few.to_owned()];
    let options = options(Paper::Letter, &[]);
    let packet = check_packet(&report, &portrait(), None, &options, &|_| ControlFlow::Continue(())).unwrap();
    let said = said(&packet);
    let place = |words: &str| said.find(words).unwrap_or_else(|| panic!("{words} in {said}"));
    assert!(place("None of the") < place("too large") && place("too large") < place("The outline was found"));
    assert!(place("1 to 3") < place("not seen in this photo, and without a number"));
}

/// Two strokes for the line that is off, one for the one that is true, none for the one not seen; each under a wider white one.
#[test]
fn verdicts_are_told_by_the_number_of_strokes() {
    let packet = checked(None);
    let upright = |[[ax, ay], [bx, by]]: &[[f64; 2]; 2]| (ax - bx).abs() < 1e-3 && (ay - by).abs() > 100.0;
    let at: Vec<f64> =
        lines_drawn(&packet, 1).iter().filter(|line| upright(line)).map(|line| line[0][0]).collect();
    let mut places: Vec<i64> = at.iter().map(|x| (x * 100.0).round() as i64).collect();
    places.sort_unstable();
    places.dedup();
    // Three planned lines; three strokes, of which the true line's lies a millimetre (0.1 mm tenfold, to scale) beside its plan;
    // and the side of the canvas that its outline draws downwards.
    assert_eq!(places.len(), 7, "{places:?}");
}

#[test]
fn nothing_is_made_once_it_is_stopped() {
    let stopped =
        check_packet(&report(), &portrait(), None, &options(Paper::A4, &[]), &|_| ControlFlow::Break(()));
    assert!(matches!(stopped, Err(SheetsError::Stopped)));
}

/// The crosses stand to a hundredth of a millimetre where the check expects them, also on a printer that is corrected for.
#[test]
fn the_lens_card_s_crosses_stand_where_the_check_expects_them() {
    for (paper, bars) in [(Paper::Letter, None), (Paper::A4, Some((99.0, 101.0)))] {
        let mut options = options(paper, &[SheetKind::Card]);
        let (mut across, mut along) = (1.0, 1.0);
        if let Some((h, v)) = bars {
            options.correction = PrinterCorrection::from_bars(Length::mm(h), Length::mm(v)).unwrap();
            (across, along) = (100.0 / h, 100.0 / v);
        }
        let packet = made(&portrait(), &options);
        let lines = lines_drawn(&packet, 1);
        let card = LensCard::printed();
        assert_eq!(lines.len(), 2 * card.crosses.len());
        // The page is written upside down, so that these y run upwards from its top.
        let middle = |[[ax, ay], [bx, by]]: [[f64; 2]; 2]| [f64::midpoint(ax, bx), -f64::midpoint(ay, by)];
        let first = middle(lines[0]);
        for (cross, arms) in card.crosses.iter().zip(lines.chunks_exact(2)) {
            for arm in arms {
                let [x, y] = middle(*arm);
                assert!(
                    (x - first[0] - cross.x.to_mm() * across).abs() < 0.01,
                    "{paper:?} {cross:?} {arm:?}"
                );
                assert!((y - first[1] - cross.y.to_mm() * along).abs() < 0.01, "{paper:?} {cross:?} {arm:?}");
            }
        }
        let (width, height) = paper.size(plan::Orientation::Portrait);
        let inside = |[x, y]: &[f64; 2]| {
            (5.0..width.to_mm() - 5.0).contains(x) && (5.0..height.to_mm() - 25.0).contains(&-y)
        };
        assert!(lines.iter().flatten().all(inside), "{paper:?}");
    }
}
