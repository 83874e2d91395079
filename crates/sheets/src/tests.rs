//! The packet as a whole, read back from the PDF: what its pages say, and where in millimetres their lines run.

mod checking;
mod left_out;

use std::ops::ControlFlow;

use lopdf::content::Content;
use lopdf::{Document, Object};
use plan::{
    Canvas, CanvasPoint, CanvasRect, DetailBox, Grid, HeadMarks, Insets, Landmark, Length, LineLook,
    LineTone, Measure, Measured, Paper, PhotoPoint, PhotoSize, Place, Plan, PrinterCorrection, Reference,
    Unit, marks,
};

use crate::photo_stream::PhotoStream;
use crate::{Date, Packet, PacketOptions, SheetKind, SheetsError, Stage, packet};

const PHOTO: PhotoSize = PhotoSize { width: 300, height: 400 };

/// A 12 x 12 in canvas in quarters, the head 8 in high, with a detail box around it.
fn portrait() -> Plan {
    let mut plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(12.0)), Unit::Inch);
    let mut reference = Reference::fitted(PHOTO);
    reference.head =
        Some(HeadMarks { crown: PhotoPoint::new(150.0, 50.0), chin: PhotoPoint::new(150.0, 250.0) });
    reference.place = Place::Head { height: Length::inches(8.0), middle: None };
    plan.reference = Some(reference);
    let two = Length::inches(2.0);
    let rect = CanvasRect::new(CanvasPoint::new(two, two), Length::inches(7.0), Length::inches(7.0));
    plan.details.push(DetailBox::new("Head".to_owned(), rect, Grid::default()));
    plan
}

fn photo(is_grey: bool) -> PhotoStream {
    use jpeg_encoder::{ColorType, Encoder};
    let (channels, colours) = if is_grey { (1, ColorType::Luma) } else { (3, ColorType::Rgb) };
    let pixels = vec![90; PHOTO.width as usize * PHOTO.height as usize * channels];
    let mut jpeg = Vec::new();
    Encoder::new(&mut jpeg, 90).encode(&pixels, PHOTO.width as u16, PHOTO.height as u16, colours).unwrap();
    PhotoStream::of(&photo::Photo::from_bytes(jpeg, "photo.jpg").unwrap()).unwrap()
}

fn options(paper: Paper, kinds: &[SheetKind]) -> PacketOptions {
    let mut options = PacketOptions::of_plan("The harbour pilot", &portrait());
    options.paper = paper;
    options.date = Some(Date { year: 2026, month: 11, day: 25 });
    options.kinds = kinds.to_vec();
    options
}

fn made(plan: &Plan, options: &PacketOptions) -> Packet {
    packet(plan, Some(&photo(false)), options, &|_| ControlFlow::Continue(())).unwrap()
}

/// What each page says, line by line, under its label.
fn said(packet: &Packet) -> String {
    let document = Document::load_mem(&packet.pdf).unwrap();
    let pages = packet.sheets.iter().zip(1..);
    let page = |number: u32| {
        let text = document.extract_text(&[number]).unwrap();
        text.lines().map(str::trim_end).collect::<Vec<_>>().join("\n")
    };
    let texts =
        pages.map(|(sheet, number)| format!("=== {} ({})\n{}\n", sheet.label, sheet.kind, page(number)));
    texts.collect::<Vec<_>>().concat()
}

/// The straight lines drawn on a page, from and to in millimetres from its top left corner.
fn lines_drawn(packet: &Packet, page: u32) -> Vec<[[f64; 2]; 2]> {
    let document = Document::load_mem(&packet.pdf).unwrap();
    let page = document.get_pages()[&page];
    let mm = |number: &Object| f64::from(number.as_float().unwrap()) * 25.4 / 72.0;
    let media_box =
        document.get_dictionary(page).unwrap().get(b"MediaBox").unwrap().as_array().unwrap().clone();
    let height = mm(&media_box[3]);
    let content = Content::decode(&document.get_page_content(page)).unwrap();
    let mut shifts = vec![[0.0, 0.0]];
    let (mut at, mut lines) = ([0.0, 0.0], Vec::new());
    for operation in content.operations {
        let operands = &operation.operands;
        let here = *shifts.last().unwrap();
        let point = || [here[0] + mm(&operands[0]), height - here[1] - mm(&operands[1])];
        match operation.operator.as_str() {
            "q" => shifts.push(here),
            "Q" => drop(shifts.pop()),
            "cm" => {
                let top = shifts.last_mut().unwrap();
                *top = [here[0] + mm(&operands[4]), here[1] + mm(&operands[5])];
            }
            "m" => at = point(),
            "l" => {
                lines.push([at, point()]);
                at = point();
            }
            _ => {}
        }
    }
    lines
}

#[test]
fn the_sheets_say_what_the_painter_needs() {
    let mut plan = portrait();
    insta::assert_snapshot!("inches", said(&made(&plan, &options(Paper::Letter, &SheetKind::ALL))));
    plan.canvas = Canvas::nominal(Length::cm(30.5), Length::cm(40.6));
    plan.canvas.measured = Some(Measured {
        top: Length::cm(30.5),
        right: Length::cm(40.7),
        bottom: Length::cm(30.4),
        left: Length::cm(40.6),
        down: Length::cm(50.9),
        up: Length::cm(50.6),
    });
    (plan.unit, plan.ruler) = (Unit::Centimetre, plan::Ruler::usual(Unit::Centimetre));
    plan.details.clear();
    let mut options =
        options(Paper::A4, &[SheetKind::Plan, SheetKind::Marks, SheetKind::Strips, SheetKind::Bars]);
    options.correction = PrinterCorrection::from_bars(Length::mm(99.4), Length::mm(100.6)).unwrap();
    insta::assert_snapshot!("centimetres", said(&made(&plan, &options)));
}

#[test]
fn plots_and_measures_are_told_in_tables() {
    let mut plan = portrait();
    let at = PhotoPoint::new;
    for (name, x, y) in [("right pupil", 120.0, 150.0), ("left pupil", 181.5, 149.0), ("mole", 200.0, 260.0)]
    {
        plan.place_landmark(Landmark { name: name.into(), at: at(x, y) }).unwrap();
    }
    for (name, from, to) in
        [("eye", at(110.0, 150.0), at(130.0, 152.0)), ("nose", at(150.0, 150.0), at(152.0, 200.0))]
    {
        plan.keep_measure(Measure::new(name, from, to)).unwrap();
    }
    plan.unit_measure = Some("eye".to_owned());
    let options = options(Paper::Letter, &[SheetKind::Plots, SheetKind::Measures]);
    insta::assert_snapshot!("likeness", said(&made(&plan, &options)));
}

#[test]
fn proportions_are_told_beside_canon_and_people_with_the_camera_at_the_foot() {
    let mut plan = portrait();
    let all = options(Paper::Letter, &[SheetKind::Proportions]);
    let go_on = |_: Stage| ControlFlow::Continue(());
    assert!(matches!(packet(&plan, None, &all, &go_on), Err(SheetsError::Nothing)), "nothing is known yet");
    for (name, x, y) in [
        ("right pupil", 120.0, 150.0),
        ("left pupil", 181.5, 149.0),
        ("base of the nose", 151.0, 195.0),
        ("hairline", 150.0, 85.0),
        ("brow", 150.0, 133.0),
    ] {
        plan.place_landmark(Landmark { name: name.into(), at: PhotoPoint::new(x, y) }).unwrap();
    }
    let told = PacketOptions { focal_35mm: Some(50.0), ..all };
    insta::assert_snapshot!("proportions", said(&made(&plan, &told)));
}

#[test]
fn strong_lines_are_drawn_wider_and_light_ones_white_on_the_photo_alone() {
    let drawn = |strength: f64, tone: LineTone| {
        let mut plan = portrait();
        plan.details.clear();
        plan.printing.line_look = LineLook { strength, tone };
        let mut options = PacketOptions::of_plan("Lines", &plan);
        (options.paper, options.kinds) = (Paper::A3, vec![SheetKind::Reference]);
        options.date = Some(Date { year: 2026, month: 11, day: 25 });
        let packet = made(&plan, &options);
        let document = Document::load_mem(&packet.pdf).unwrap();
        let page = document.get_pages()[&1];
        let content = Content::decode(&document.get_page_content(page)).unwrap();
        let widths = content.operations.iter().filter(|operation| operation.operator == "w");
        let mm = |number: &Object| f64::from(number.as_float().unwrap()) * 25.4 / 72.0;
        widths.map(|operation| (mm(&operation.operands[0]) * 1000.0).round() as i64).collect::<Vec<_>>()
    };
    for (strength, tone, there, not_there) in [
        (3.0, LineTone::Both, vec![390, 360], vec![]),
        (3.0, LineTone::Dark, vec![390], vec![360]),
        (2.0, LineTone::Light, vec![260, 240], vec![]),
    ] {
        let widths = drawn(strength, tone);
        assert!(there.iter().all(|width| widths.contains(width)), "{tone:?}: {widths:?}");
        assert!(!not_there.iter().any(|width| widths.contains(width)), "{tone:?}: {widths:?}");
    }
}

/// The upright lines longer than 50 mm that run through the picture, by their distance from the left of the first.
fn upright_lines(packet: &Packet) -> Vec<f64> {
    let mut places: Vec<f64> = lines_drawn(packet, 1)
        .iter()
        .filter(|[from, to]| (from[0] - to[0]).abs() < 1e-6 && (from[1] - to[1]).abs() > 50.0)
        .map(|[from, _]| from[0])
        .collect();
    places.sort_by(f64::total_cmp);
    places
}

#[test]
fn at_a_ratio_the_grid_is_smaller_by_it_and_the_sheet_says_so() {
    let mut plan = portrait();
    plan.details.clear();
    // Two lines, at 3 in and at 6 in, stand on the first sheet at either size.
    plan.grid = Grid::parts(4, 1);
    let spacing = |ratio: &str| {
        let mut options = options(Paper::A3, &[SheetKind::Reference]);
        options.ratio = ratio.parse().unwrap();
        let packet = made(&plan, &options);
        let lines = upright_lines(&packet);
        let gaps: Vec<f64> =
            lines.windows(2).map(|pair| pair[1] - pair[0]).filter(|gap| *gap > 5.0).collect();
        (gaps, said(&packet))
    };
    for (ratio, expected) in [("1:1", 76.2), ("1:2", 38.1), ("2:3", 50.8)] {
        let (gaps, said) = spacing(ratio);
        let near = |gap: &&f64| (**gap - expected).abs() < 0.3;
        assert!(gaps.iter().filter(near).count() >= 2, "{ratio}: {gaps:?}");
        assert_eq!(said.contains("Not true size"), ratio != "1:1");
    }
    assert!(spacing("1:2").1.contains("Proportional dividers at 2 to 1"));
    // Nor does the plan sheet call it true.
    let steps = |ratio: &str| {
        let mut options = options(Paper::A3, &[SheetKind::Plan, SheetKind::Reference]);
        options.ratio = ratio.parse().unwrap();
        said(&made(&plan, &options)).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let (at_half, true_size) = (steps("1:2"), steps("1:1"));
    assert!(at_half.contains("of A3 at 1:2") && at_half.contains("not at true size"), "{at_half}");
    assert!(!at_half.contains("one to one") && true_size.contains("one to one"), "{true_size}");
}

#[test]
fn a_mirrored_sheet_says_so_and_counts_from_the_canvas_s_right() {
    let mut options = options(Paper::A3, &[SheetKind::Reference]);
    options.show = "values:5,mirror".parse().unwrap();
    let said = said(&made(&portrait(), &options));
    assert!(said.contains("Seen in a mirror.") && said.contains("from the canvas’s right and top"), "{said}");
    // Boxes keep the names by which plots are told.
    let columns: Vec<&str> = said.lines().filter(|line| ["B", "C", "D"].contains(line)).collect();
    assert_eq!(columns[columns.len() - 3..], ["D", "C", "B"], "{said}");
}

#[test]
fn the_plan_sheet_tells_of_seams_only_where_they_lie_on_the_canvas_so() {
    let tells = |show: &str| {
        let mut options = options(Paper::A3, &[SheetKind::Plan, SheetKind::Reference]);
        options.show = show.parse().unwrap();
        let mut plan = portrait();
        plan.canvas = Canvas::nominal(Length::cm(60.0), Length::cm(80.0));
        said(&made(&plan, &options)).contains("no seam within")
    };
    assert!(tells("photo") && !tells("mirror"));
}

#[test]
fn strips_bear_each_mark_at_its_exact_millimetre() {
    let plan = portrait();
    for bars in [100.0, 99.4] {
        let mut options = options(Paper::A3, &[SheetKind::Strips]);
        options.correction = PrinterCorrection::from_bars(Length::mm(100.0), Length::mm(bars)).unwrap();
        let lines = lines_drawn(&made(&plan, &options), 1);
        let ticks: Vec<f64> = lines
            .iter()
            .filter(|[from, to]| from[0] == to[0] && ((from[1] - to[1]).abs() - 5.0).abs() < 1e-3)
            .map(|[from, _]| from[0])
            .collect();
        let marks: Vec<f64> = marks(&plan)
            .sides
            .iter()
            .flat_map(|side| &side.marks)
            .map(|mark| mark.from_start.exact().to_mm())
            .collect();
        assert_eq!(ticks.len(), marks.len());
        for (tick, mark) in ticks.iter().zip(marks) {
            // Each strip begins 4 mm inside the margin of 6.35 mm; a bar that comes out short is drawn longer.
            assert!((tick - (6.35 + 4.0) - mark * 100.0 / bars).abs() < 1e-3, "{tick} {mark}");
        }
    }
}

#[test]
fn the_photo_s_stream_is_in_the_file_once_and_as_it_is() {
    for is_grey in [false, true] {
        let photo = photo(is_grey);
        let options = options(Paper::Letter, &SheetKind::ALL);
        let packet = packet(&portrait(), Some(&photo), &options, &|_| ControlFlow::Continue(())).unwrap();
        let document = Document::load_mem(&packet.pdf).unwrap();
        let streams: Vec<_> =
            document.objects.values().filter_map(|object| object.as_stream().ok()).collect();
        let pictures: Vec<_> = streams
            .iter()
            .filter(|s| s.dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|n| n == b"Image"))
            .collect();
        assert_eq!(pictures.len(), 1);
        assert_eq!(pictures[0].content, photo.jpeg());
        assert_eq!(pictures[0].dict.get(b"Width").unwrap().as_i64().unwrap(), i64::from(PHOTO.width));
        assert_eq!(pictures[0].dict.get(b"Height").unwrap().as_i64().unwrap(), i64::from(PHOTO.height));
    }
}

#[test]
fn without_a_photo_there_are_no_reference_sheets() {
    let mut plan = portrait();
    plan.reference = None;
    let options = options(Paper::A4, &SheetKind::ALL);
    let packet = packet(&plan, None, &options, &|_| ControlFlow::Continue(())).unwrap();
    assert!(packet.sheets.iter().all(|sheet| sheet.kind != SheetKind::Reference));
    assert!(packet.sheets.iter().any(|sheet| sheet.kind == SheetKind::Film));
    assert!(packet.reference.is_none());
}

#[test]
fn what_cannot_be_made_is_told() {
    let go_on = |_: Stage| ControlFlow::Continue(());
    let mut plan = portrait();
    plan.details.clear();
    let details = options(Paper::A4, &[SheetKind::Details]);
    assert!(matches!(packet(&plan, Some(&photo(false)), &details, &go_on), Err(SheetsError::Nothing)));

    let mut narrow = options(Paper::A4, &SheetKind::ALL);
    narrow.margins = Insets::all(Length::mm(95.0));
    assert!(matches!(packet(&plan, Some(&photo(false)), &narrow, &go_on), Err(SheetsError::Layout(_))));

    let all = options(Paper::A4, &SheetKind::ALL);
    let stop = |_: Stage| ControlFlow::Break(());
    assert!(matches!(packet(&plan, Some(&photo(false)), &all, &stop), Err(SheetsError::Stopped)));

    plan.reference = Some(Reference::fitted(PhotoSize { width: 400, height: 300 }));
    let error = packet(&plan, Some(&photo(false)), &all, &go_on).unwrap_err();
    assert!(error.to_string().contains("300 x 400"), "{error}");
}

#[test]
fn any_title_can_be_set() {
    let titles = [
        "",
        "   ",
        "#import \"x\"; $a$ <b> _c_ *d* \\ ` [e]",
        "肖像 🙂 Ω Ж",
        "line\nbreak\ttab\u{0}\u{7}",
        &"W".repeat(500),
    ];
    for title in titles {
        let mut options = options(Paper::Letter, &SheetKind::ALL);
        options.title = title.to_owned();
        let mut plan = portrait();
        plan.details[0].name = title.to_owned();
        assert!(!made(&plan, &options).pdf.is_empty());
    }
}

#[test]
fn dense_and_sparse_grids_and_small_and_large_canvases_can_be_set() {
    for (size, grid) in [
        ((1.0, 1.0), Grid::parts(1, 1)),
        ((1.5, 10.0), Grid::parts(4, 8)),
        ((30.0, 1.0), Grid::parts(8, 2)),
        ((500.0, 20.0), Grid::parts(64, 64)),
        ((100.0, 150.0), Grid { diagonals: true, ..Grid::parts(64, 2) }),
    ] {
        let mut plan = Plan::new(Canvas::nominal(Length::cm(size.0), Length::cm(size.1)), Unit::Centimetre);
        plan.reference = Some(Reference::fitted(PHOTO));
        plan.grid = grid;
        assert!(!made(&plan, &options(Paper::A3, &SheetKind::ALL)).pdf.is_empty());
    }
}

#[test]
fn the_foot_of_a_sheet_says_each_thing_on_a_line_of_its_own_however_much_there_is_to_say() {
    let mut plan = portrait();
    plan.canvas = Canvas::nominal(Length::cm(120.0), Length::cm(90.0));
    plan.details[0].rect.width = Length::cm(30.0);
    let mut options = options(Paper::A4, &[SheetKind::Reference, SheetKind::Details]);
    options.show.mirror = true;
    options.correction = PrinterCorrection::from_bars(Length::mm(98.6), Length::mm(99.4)).unwrap();
    let packet = made(&plan, &options);
    assert!(packet.sheets.iter().any(|sheet| sheet.label == "Head: Box 1 B1"), "{:?}", packet.sheets);
    for page in said(&packet).split("=== ").skip(1) {
        let from = if page.contains("(details)") { "box" } else { "canvas" };
        for line in [
            "Canvas 47.244 × 35.433 in. Actual size, corrected for bars of 3.944 in by 3.976 in.".to_owned(),
            format!("Figures at the edge: from the {from}’s right and top."),
        ] {
            assert!(page.lines().any(|said| said == line), "{line} in {page}");
        }
    }
}
