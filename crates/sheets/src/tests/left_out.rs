//! Reference sheets that show background alone, left out where that is asked for, and landmarks marked on them.

use plan::{Canvas, CanvasPoint, HeadMarks, Landmark, LandmarkName, Length, Paper, PhotoPoint, Place};

use super::{lines_drawn, made, options, portrait, said};
use crate::{Packet, PacketOptions, SheetKind};

#[test]
fn sheets_of_background_alone_are_left_out_where_that_is_asked_for() {
    let mut plan = portrait();
    plan.details.clear();
    // A small head at the left of a canvas of some sheets each way.
    plan.canvas = Canvas::nominal(Length::inches(20.0), Length::inches(24.0));
    let reference = plan.reference.as_mut().unwrap();
    reference.head =
        Some(HeadMarks { crown: PhotoPoint::new(60.0, 50.0), chin: PhotoPoint::new(60.0, 110.0) });
    reference.place = Place::Fill;
    let kinds = [SheetKind::Plan, SheetKind::Reference];
    let all = made(&plan, &options(Paper::Letter, &kinds));
    let only = PacketOptions { likeness_only: true, ..options(Paper::Letter, &kinds) };
    let layout = all.reference.as_ref().unwrap();
    let head = plan.head().unwrap().bounds();
    // Of each sheet what lies on this side of its seams, told by hand: columns and rows that the head reaches into.
    let reached = |seams: &[Length], from: Length, to: Length| {
        let at = |place: Length| seams.iter().filter(|seam| **seam < place).count();
        at(from)..=at(to)
    };
    let columns = reached(&layout.upright_seams, head.origin.x, head.right());
    let rows = reached(&layout.level_seams, head.origin.y, head.bottom());
    let expected: Vec<String> = layout
        .sheets
        .iter()
        .filter(|sheet| columns.contains(&sheet.column) && rows.contains(&sheet.row))
        .map(plan::SheetWindow::name)
        .collect();
    let names = |packet: &Packet| -> Vec<String> {
        let of_reference = packet.sheets.iter().filter(|sheet| sheet.kind == SheetKind::Reference);
        of_reference.map(|sheet| sheet.label.clone()).collect()
    };
    let fewer = made(&plan, &only);
    assert_eq!(names(&fewer), expected);
    assert!(expected.len() < names(&all).len(), "{expected:?} of {:?}", names(&all));
    let left_out = format!("{} of them with background alone left out", names(&all).len() - expected.len());
    assert!(said(&fewer).replace('\n', " ").contains(&left_out), "{}", said(&fewer));

    // Of what lies over or under a sheet that is left out nothing is said.
    let gone: Vec<String> = names(&all).into_iter().filter(|name| !expected.contains(name)).collect();
    for name in &gone {
        let joins = [format!("lay over {name}"), format!("{name} lies over")];
        assert!(joins.iter().all(|join| !said(&fewer).contains(join)), "{name}: {}", said(&fewer));
    }

    // A landmark on what would be left out brings its sheet back; where nothing is marked all sheets stay.
    let corner = layout.sheets.last().unwrap().window;
    let at = plan
        .placing()
        .unwrap()
        .to_photo(CanvasPoint::new(corner.right() - Length::mm(5.0), corner.bottom() - Length::mm(5.0)));
    plan.landmarks = vec![Landmark { name: LandmarkName::Own("Cuff".to_owned()), at }];
    assert!(names(&made(&plan, &only)).contains(&layout.sheets.last().unwrap().name()));
    plan.landmarks.clear();
    plan.reference.as_mut().unwrap().head = None;
    let unmarked = made(&plan, &only);
    assert_eq!(names(&unmarked).len(), unmarked.reference.unwrap().sheets.len());
}

#[test]
fn landmarks_are_marked_where_they_lie_on_the_sheets_that_show_them() {
    let mut plan = portrait();
    let at = PhotoPoint::new(120.0, 140.0);
    plan.landmarks = vec![Landmark { name: LandmarkName::Own("Mole".to_owned()), at }];
    let kinds = [SheetKind::Reference];
    let (without, with) =
        (options(Paper::A3, &kinds), PacketOptions { landmarks: true, ..options(Paper::A3, &kinds) });
    let (plain, marked) = (made(&plan, &without), made(&plan, &with));
    let layout = marked.reference.as_ref().unwrap();
    let placing = plan.placing().unwrap();
    // Crown and chin are marked too.
    let spots: Vec<CanvasPoint> =
        plan.all_landmarks().into_iter().map(|landmark| placing.to_canvas(landmark.at)).collect();
    assert_eq!(spots.len(), 3);
    for (page, sheet) in (1..).zip(&layout.sheets) {
        let shown = spots.iter().filter(|spot| sheet.window.contains(**spot)).count();
        let more = lines_drawn(&marked, page).len() - lines_drawn(&plain, page).len();
        // Four strokes each, white and then black.
        assert_eq!(more, 8 * shown, "{}", sheet.name());
    }
    // Each stroke points at its landmark: those of the last stand around it, 1.5 mm long.
    let last = layout.sheets.iter().position(|sheet| sheet.window.contains(placing.to_canvas(at))).unwrap();
    let page = last as u32 + 1;
    let before = lines_drawn(&plain, page);
    let strokes: Vec<_> =
        lines_drawn(&marked, page).into_iter().filter(|line| !before.contains(line)).collect();
    for [from, to] in &strokes {
        assert!(((from[0] - to[0]).hypot(from[1] - to[1]) - 1.5).abs() < 0.02, "{from:?} {to:?}");
    }
}
