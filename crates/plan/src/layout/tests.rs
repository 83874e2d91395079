//! Laws of the sheet layout, against brute force where that is possible.

use super::*;
use proptest::prelude::*;

fn rect(x: f64, y: f64, width: f64, height: f64) -> CanvasRect {
    CanvasRect::new(CanvasPoint::mm(x, y), Length::mm(width), Length::mm(height))
}

fn stock(paper: Paper, margin: f64) -> Stock {
    let furniture = Insets { bottom: Length::mm(12.0), left: Length::mm(8.0), ..Insets::default() };
    Stock { paper, margins: Insets::all(Length::mm(margin)), furniture, correction: PrinterCorrection::NONE }
}

fn lay(region: CanvasRect, stock: &Stock, lap: f64, points: &[CanvasPoint]) -> SheetLayout {
    SheetLayout::new(region, region, stock, Length::mm(lap), points).unwrap()
}

/// 16 x 20 in on A4 with 10 mm margins and 10 mm lap takes 3 x 2 sheets by the tile formula ceil((W - o)/(u - o)).
#[test]
fn sixteen_by_twenty_inches_takes_six_sheets_of_a4() {
    let plain = Stock { furniture: Insets::default(), ..stock(Paper::A4, 10.0) };
    assert_eq!(lay(rect(0.0, 0.0, 406.4, 508.0), &plain, 10.0, &[]).sheets.len(), 6);
}

#[test]
fn what_fits_on_one_sheet_takes_one() {
    let layout = lay(rect(20.0, 30.0, 150.0, 200.0), &stock(Paper::Letter, 6.35), 10.0, &[]);
    assert_eq!((layout.columns, layout.rows), (1, 1));
    assert_eq!(layout.sheets[0].name(), "A1");
    assert!(layout.clearance(&[CanvasPoint::ORIGIN]).is_none());
}

#[test]
fn seams_stay_off_a_face_that_a_sheet_can_hold() {
    let head = crate::Head { crown: CanvasPoint::mm(203.0, 60.0), chin: CanvasPoint::mm(203.0, 250.0) };
    let layout = lay(rect(0.0, 0.0, 406.4, 508.0), &stock(Paper::A3, 6.35), 10.0, &head.face_points());
    assert_eq!(layout.sheets.len(), 4, "{layout:?}");
    let level_gap =
        layout.level_seams.iter().map(|seam| (seam.to_mm() - 155.0).abs()).fold(f64::INFINITY, f64::min);
    assert!(level_gap > 95.0, "the level seam runs below the chin: {layout:?}");
}

#[test]
fn a_seam_between_the_face_points_is_no_distance_kept_from_the_face() {
    // The head is taller than a sheet of A4 is long, so some seam has to cross it.
    let head = crate::Head { crown: CanvasPoint::mm(200.0, 20.0), chin: CanvasPoint::mm(200.0, 380.0) };
    let crossed = lay(rect(0.0, 0.0, 400.0, 400.0), &stock(Paper::A4, 6.35), 10.0, &head.face_points());
    assert!(crossed.crosses(head.bounds()) && crossed.clearance(&head.face_points()).is_some());
    assert_eq!(crossed.clearance_of_face(&head), None);
    let small = crate::Head { crown: CanvasPoint::mm(80.0, 40.0), chin: CanvasPoint::mm(80.0, 120.0) };
    let clear = lay(rect(0.0, 0.0, 400.0, 400.0), &stock(Paper::A3, 6.35), 10.0, &small.face_points());
    assert!(!clear.crosses(small.bounds()));
    assert_eq!(clear.clearance_of_face(&small), clear.clearance(&small.face_points()));
}

#[test]
fn a_head_that_a_sheet_can_hold_is_kept_whole_at_the_price_of_sheets() {
    let region = rect(0.0, 0.0, 406.4, 508.0);
    let (stock, lap) = (stock(Paper::Letter, 6.35), Length::mm(10.0));
    let head = crate::Head { crown: CanvasPoint::mm(203.0, 152.0), chin: CanvasPoint::mm(203.0, 355.0) };
    let points = head.face_points();
    let fewest = SheetLayout::new(region, region, &stock, lap, &points).unwrap();
    let whole = SheetLayout::keeping_whole(region, region, &stock, lap, &points, &[head.bounds()]).unwrap();
    assert!(fewest.crosses(head.bounds()) && !whole.crosses(head.bounds()));
    assert!(whole.sheets.iter().any(|sheet| {
        CanvasRect::corners(head.bounds()).into_iter().all(|corner| sheet.window.contains(corner))
    }));
    assert!((fewest.sheets.len() + 1..=fewest.sheets.len() + 8).contains(&whole.sheets.len()), "{whole:?}");
    // What no sheet holds is cut as if nothing had been asked.
    let vast = rect(20.0, 20.0, 360.0, 450.0);
    assert_eq!(SheetLayout::keeping_whole(region, region, &stock, lap, &points, &[vast]).unwrap(), fewest);
}

#[test]
fn of_a_head_that_no_sheet_can_hold_the_features_are_kept_whole() {
    let (canvas, stock) = (rect(0.0, 0.0, 304.8, 406.4), stock(Paper::A4, 12.7));
    for height in [200.0, 220.0, 240.0] {
        let (crown, chin) = (CanvasPoint::mm(150.0, 60.0), CanvasPoint::mm(150.0, 60.0 + height));
        let head = Head { crown, chin };
        let lap = Length::mm(12.0);
        let points = head.face_points();
        let layout =
            SheetLayout::keeping_whole(canvas, canvas, &stock, lap, &points, &head.kept_whole()).unwrap();
        assert_ne!(layout.through(&head), Some(SeamThrough::Features), "{height}: {:?}", layout.level_seams);
    }
}

#[test]
fn two_faces_are_kept_whole_and_the_first_before_the_second() {
    let region = rect(0.0, 0.0, 1200.0, 900.0);
    let (stock, lap) = (stock(Paper::A4, 6.35), Length::mm(10.0));
    let (one, other) = (rect(250.0, 220.0, 150.0, 200.0), rect(780.0, 240.0, 150.0, 200.0));
    let points = [one.centre()];
    let cut = |whole: &[CanvasRect]| {
        SheetLayout::keeping_whole(region, region, &stock, lap, &points, whole).unwrap()
    };
    assert!(cut(&[one]).crosses(other), "what this is about");
    let both = cut(&[one, other]);
    assert!(!both.crosses(one) && !both.crosses(other));
    // What cannot be kept whole takes nothing away from what can.
    let vast = rect(100.0, 100.0, 700.0, 700.0);
    assert_eq!(cut(&[one, vast, other]), both);
    // Of a face so much lower that no level seam is left between both, the sides at least are kept.
    let lower = rect(780.0, 350.0, 150.0, 200.0);
    let staggered = cut(&[one, lower]);
    assert!(!staggered.crosses(one) && staggered.crosses(lower));
    let through = |seam: &Length| (lower.origin.x..=lower.right()).contains(seam);
    assert!(!staggered.upright_seams.iter().any(through));
}

proptest! {
    #[test]
    fn a_seam_moved_by_hand_leaves_sheets_that_hold_their_parts(
        size in (100.0..900.0f64, 100.0..900.0f64),
        moves in proptest::collection::vec((any::<bool>(), 0usize..5, -200.0..1100.0f64), 1..6),
    ) {
        let region = rect(30.0, 40.0, size.0, size.1);
        let (stock, lap) = (stock(Paper::A4, 6.35), Length::mm(10.0));
        let mut layout = lay(region, &stock, 10.0, &[]);
        for (upright, at, to) in moves {
            let way = if upright { SeamDirection::Upright } else { SeamDirection::Level };
            let Some(seams) = layout.moved_seam(region, &stock, way, at, Length::mm(to)) else { continue };
            let moved = SheetLayout::at_seams(region, region, &stock, lap, &seams).unwrap();
            prop_assert_eq!(moved.sheets.len(), layout.sheets.len());
            let room = stock.room(moved.orientation);
            for sheet in &moved.sheets {
                prop_assert!(sheet.window.width <= room.0 + Length::mm(1e-6));
                prop_assert!(sheet.window.height <= room.1 + Length::mm(1e-6));
            }
            layout = moved;
        }
    }
}

/// On a region that uses the paper up, seams that run by themselves lie nearer to the paper's end than the reserve allows.
#[test]
fn a_seam_that_has_used_up_the_reserve_stays_or_goes_where_it_is_pushed() {
    let (stock, lap) = (stock(Paper::A4, 6.35), Length::mm(10.0));
    let room = stock.room(Orientation::Portrait).0;
    let region = rect(0.0, 0.0, 2.0 * room.to_mm() - lap.to_mm() - 0.5, 200.0);
    let layout = lay(region, &stock, 10.0, &[]);
    let [seam] = layout.upright_seams[..] else { panic!("{layout:?}") };
    for by in [-1.0, -0.2, 0.0, 0.2, 1.0] {
        let to = seam + Length::mm(by);
        let moved = layout.moved_seam(region, &stock, SeamDirection::Upright, 0, to).unwrap().upright[0];
        assert!(
            (moved - seam).to_mm() * by >= 0.0 && (moved - seam).abs() <= (to - seam).abs(),
            "{by}: {moved:?}"
        );
    }
}

#[test]
fn seams_too_far_apart_for_the_paper_are_refused() {
    let region = rect(0.0, 0.0, 400.0, 200.0);
    let by_hand = |upright: &[f64]| SeamsByHand {
        orientation: Orientation::Portrait,
        upright: upright.iter().copied().map(Length::mm).collect(),
        level: Vec::new(),
    };
    let at = |upright: &[f64]| {
        SheetLayout::at_seams(region, region, &stock(Paper::A4, 6.35), Length::mm(10.0), &by_hand(upright))
    };
    assert!(at(&[120.0, 270.0]).is_ok());
    for seams in [&[200.0, 390.0][..], &[200.0], &[], &[120.0, 125.0, 270.0], &[-5.0, 120.0, 270.0]] {
        assert!(matches!(at(seams), Err(LayoutError::SeamsTooFarApart { .. })), "{seams:?}");
    }
}

#[test]
fn sheets_at_the_rim_show_what_lies_around_the_region() {
    let limit = rect(0.0, 0.0, 300.0, 300.0);
    let layout = SheetLayout::new(
        rect(60.0, 60.0, 100.0, 100.0),
        limit,
        &stock(Paper::A4, 5.0),
        Length::mm(10.0),
        &[],
    )
    .unwrap();
    let window = layout.sheets[0].window;
    assert!(window.width > Length::mm(180.0) && window.origin.x >= Length::ZERO);
    assert!(window.contains(CanvasPoint::mm(60.0, 60.0)) && window.contains(CanvasPoint::mm(160.0, 160.0)));
}

#[test]
fn columns_are_lettered_and_rows_numbered_as_those_of_the_grids_boxes() {
    let name = |column, row| SheetWindow { row, column, window: rect(0.0, 0.0, 1.0, 1.0) }.name();
    assert_eq!(
        (name(0, 0), name(1, 2), name(25, 0), name(26, 9)),
        ("A1".into(), "B3".into(), "Z1".into(), "AA10".into())
    );
}

#[test]
fn paper_without_room_and_too_many_sheets_are_told() {
    let region = rect(0.0, 0.0, 300.0, 300.0);
    let lay = |stock: &Stock, lap: f64, region| SheetLayout::new(region, region, stock, Length::mm(lap), &[]);
    assert!(matches!(lay(&stock(Paper::A4, 100.0), 10.0, region), Err(LayoutError::NoRoom { .. })));
    assert!(matches!(lay(&stock(Paper::A4, 5.0), 180.0, region), Err(LayoutError::NoRoom { .. })));
    assert_eq!(lay(&stock(Paper::A4, -5.0), 10.0, region), Err(LayoutError::NegativeInset));
    assert_eq!(lay(&stock(Paper::A4, 5.0), f64::NAN, region), Err(LayoutError::NegativeInset));
    let wall = rect(0.0, 0.0, 5000.0, 5000.0);
    assert!(matches!(lay(&stock(Paper::Letter, 20.0), 50.0, wall), Err(LayoutError::TooManySheets { .. })));
}

/// Tries every number of columns and rows, both ways round.
fn fewest_by_trial(region: CanvasRect, stock: &Stock, lap: f64) -> usize {
    let holds = |count: usize, room: f64, extent: f64| {
        count as f64 * room - (count as f64 - 1.0) * lap >= extent - 1e-6
    };
    let mut fewest = usize::MAX;
    for orientation in Orientation::BOTH {
        let (width, height) = stock.room(orientation);
        for columns in 1..40 {
            for rows in 1..40 {
                if holds(columns, width.to_mm(), region.width.to_mm())
                    && holds(rows, height.to_mm(), region.height.to_mm())
                {
                    fewest = fewest.min(columns * rows);
                }
            }
        }
    }
    fewest
}

/// The best clearance of `count` seams on a grid of half millimetres, by dynamic programming.
fn clearance_by_trial(extent: f64, window: f64, lap: f64, count: usize, points: &[f64]) -> f64 {
    let places: Vec<f64> = (0..2000)
        .map(|at| lap / 2.0 + f64::from(at) * 0.5)
        .filter(|place| *place <= extent - lap / 2.0)
        .collect();
    let gap = |place: f64| points.iter().map(|point| (point - place).abs()).fold(f64::INFINITY, f64::min);
    let mut best: Vec<f64> = places
        .iter()
        .map(|&place| if place + lap / 2.0 <= window { gap(place) } else { f64::NEG_INFINITY })
        .collect();
    for _ in 1..count {
        best = places
            .iter()
            .map(|&place| {
                let before = places
                    .iter()
                    .zip(&best)
                    .filter(|(from, _)| (lap..=window - lap).contains(&(place - **from)));
                before.map(|(_, best)| best.min(gap(place))).fold(f64::NEG_INFINITY, f64::max)
            })
            .collect();
    }
    let ends = places.iter().zip(best).filter(|(place, _)| extent - **place + lap / 2.0 <= window);
    ends.map(|(_, best)| best).fold(f64::NEG_INFINITY, f64::max)
}

prop_compose! {
    fn any_job()(
        x in -20.0..200.0_f64, y in -20.0..200.0_f64, width in 30.0..1300.0_f64, height in 30.0..1300.0_f64,
        paper in 0..5_usize, margin in 3.0..20.0_f64, lap in 0.0..25.0_f64,
        points in prop::collection::vec((0.0..1.0_f64, 0.0..1.0_f64), 0..7),
    ) -> (CanvasRect, Stock, f64, Vec<CanvasPoint>) {
        let points = points.iter().map(|(right, down)| CanvasPoint::mm(x + right * width, y + down * height)).collect();
        (rect(x, y, width, height), stock(Paper::ALL[paper], margin), lap, points)
    }
}

proptest! {
    #[test]
    fn every_point_of_the_region_is_on_a_sheet((region, stock, lap, points) in any_job(), right in 0.0..=1.0_f64, down in 0.0..=1.0_f64) {
        let layout = lay(region, &stock, lap, &points);
        let point = region.origin.moved(region.width * right, region.height * down);
        let near = |low: Length, high: Length, place: Length| place >= low - Length::mm(1e-5) && place <= high + Length::mm(1e-5);
        let on_a_sheet = layout.sheets.iter().any(|sheet| {
            near(sheet.window.origin.x, sheet.window.right(), point.x) && near(sheet.window.origin.y, sheet.window.bottom(), point.y)
        });
        prop_assert!(on_a_sheet, "{point:?} is on none of {layout:?}");
    }

    #[test]
    fn no_sheet_prints_beyond_its_printable_area((region, stock, lap, points) in any_job()) {
        let limit = rect(-300.0, -300.0, 2500.0, 2500.0);
        let layout = SheetLayout::new(region, limit, &stock, Length::mm(lap), &points).unwrap();
        let (width, height) = stock.room(layout.orientation);
        for sheet in &layout.sheets {
            prop_assert!(sheet.window.width <= width + Length::mm(1e-5) && sheet.window.height <= height + Length::mm(1e-5));
        }
    }

    #[test]
    fn neighbours_share_exactly_the_lap((region, stock, lap, points) in any_job()) {
        let layout = lay(region, &stock, lap, &points);
        for sheet in &layout.sheets {
            if let Some(next) = layout.sheets.iter().find(|next| next.row == sheet.row && next.column == sheet.column + 1) {
                prop_assert!((sheet.window.right() - next.window.origin.x - Length::mm(lap)).abs() < Length::mm(1e-6));
                let seam = layout.upright_seams[sheet.column];
                prop_assert!((sheet.window.right() - seam - Length::mm(lap / 2.0)).abs() < Length::mm(1e-6));
            }
        }
    }

    #[test]
    fn there_are_as_few_sheets_as_trial_finds((region, stock, lap, points) in any_job()) {
        prop_assert_eq!(lay(region, &stock, lap, &points).sheets.len(), fewest_by_trial(region, &stock, lap));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn seams_are_as_far_from_the_points_as_trial_finds(
        extent in 150.0..700.0_f64, window in 110.0..200.0_f64, lap in 2.0..15.0_f64, points in prop::collection::vec(0.0..1.0_f64, 1..6),
    ) {
        let points: Vec<f64> = points.iter().map(|share| share * extent).collect();
        let axis = Axis::new((Length::ZERO, Length::mm(extent)), (Length::ZERO, Length::mm(extent)), Length::mm(window), Length::mm(lap));
        let count = fewest_windows(&axis) - 1;
        prop_assume!(count > 0);
        let lengths: Vec<Length> = points.iter().map(|point| Length::mm(*point)).collect();
        let found = axis.cut(&lengths).unwrap().clearance;
        let by_trial = clearance_by_trial(extent, window, lap, count, &points);
        prop_assert!(found >= by_trial - 1e-4, "found {found}, trial {by_trial}");
    }
}
