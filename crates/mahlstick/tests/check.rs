//! `mahlstick check` as a painter runs it, on invented photos of a canvas whose truth is known.

#![expect(clippy::unwrap_used, reason = "a helper that cannot go on fails its test")]

use std::path::PathBuf;
use std::process::{Command, Output};
use std::sync::OnceLock;

use easel_photo::{Background, Kind, Scene, Shot};
use serde_json::Value;
use tempfile::TempDir;

const SIDE: f64 = 304.8;

/// A folder with a photo in it.
struct Photographed {
    folder: TempDir,
    corners: String,
}

impl Photographed {
    fn new(shot: &Shot) -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("canvas.jpg"), shot.jpeg().unwrap()).unwrap();
        let corners = shot.truth.corners_px().map(|[x, y]| format!("{x:.1},{y:.1}")).join(",");
        Self { folder, corners }
    }

    fn of_pixels(width: u32, height: u32, code: impl Fn(u32, u32) -> u8) -> Self {
        let pixels = (0..height).flat_map(|y| (0..width).map(move |x| (x, y)));
        let rgb = pixels.flat_map(|(x, y)| [code(x, y); 3]).collect();
        let folder = tempfile::tempdir().unwrap();
        let jpeg = photo::Picture::from_rgb(width, height, rgb).unwrap().to_jpeg(92).unwrap();
        std::fs::write(folder.path().join("canvas.jpg"), jpeg).unwrap();
        Self { folder, corners: String::new() }
    }

    fn path(&self, name: &str) -> String {
        self.folder.path().join(name).display().to_string()
    }

    fn check(&self, more: &[&str]) -> Output {
        let photo = self.path("canvas.jpg");
        let mut arguments = vec!["check", "--photo", &photo];
        arguments.extend(more);
        mahlstick(&arguments)
    }

    /// What is said of this photo of a 12 in canvas, quartered, when nothing can be measured.
    fn refused(&self, more: &[&str]) -> String {
        let output = self.check(&[&["--canvas", "12x12in"], more].concat());
        assert_eq!(output.status.code(), Some(1), "{}", said(&output));
        assert!(output.stdout.is_empty());
        complained(&output)
    }
}

fn mahlstick(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_mahlstick")).args(arguments).output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap() + &complained(output)
}

fn complained(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// A 12 in canvas before a dark wall, quartered, the middle vertical line 2 mm too far to the right.
fn ruled() -> Scene {
    let scene = Scene { background: Background::Plain(0.2), ..Scene::random(SIDE, SIDE, Kind::Plain, 12) };
    let quarter = |at: u32| f64::from(at) * SIDE / 4.0;
    let mut lines: Vec<_> = (1..4).map(|at| scene.vertical(quarter(at), 0.25)).collect();
    lines[1] = lines[1].moved(2.0, 0.0);
    lines.extend((1..4).map(|at| scene.horizontal(quarter(at), 0.25)));
    scene.with_lines(lines).sized(1350, 1800)
}

/// Its photo, taken once for all tests.
fn shot() -> &'static Shot {
    static SHOT: OnceLock<Shot> = OnceLock::new();
    SHOT.get_or_init(|| ruled().shoot())
}

#[test]
fn a_line_drawn_wrong_is_called_off_and_the_others_true() {
    let photographed = Photographed::new(shot());
    let output = photographed.check(&["--canvas", "12x12in", "--corners", &photographed.corners, "--json"]);
    assert!(output.status.success(), "{}", said(&output));
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    let has = |value: &Value, keys: &str| {
        let missing: Vec<&str> = keys.split(' ').filter(|key| value.get(key).is_none()).collect();
        assert!(missing.is_empty(), "{missing:?}");
    };
    has(
        &report,
        "drift lens lines map outline outline_px rms_px shape tolerance_mm unplanned values warnings",
    );
    has(&report["lens"], "k1 k1_sd");
    has(
        &report["lines"][0],
        "direction end_mm found name offset_95_mm offset_mm planned_mm seen start_mm tilt_deg verdict",
    );
    // The photo was taken at a slant, so that it does not tell whether the canvas is square; a ruled canvas shows no values.
    assert!(report["shape"]["wider_95_mm"].as_f64().unwrap() > 0.0);
    assert_eq!(report["values"], Value::Null);
    assert_eq!((&report["outline"], &report["drift"]), (&"given".into(), &Value::Null));
    let lines = report["lines"].as_array().unwrap();
    assert_eq!(lines.len(), 6);
    for line in lines {
        let wrong = line["direction"] == "vertical" && line["planned_mm"] == SIDE / 2.0;
        assert_eq!(line["verdict"], if wrong { "off" } else { "true" }, "{line}");
        let drawn = if wrong { 2.0 } else { 0.0 };
        assert!((line["offset_mm"].as_f64().unwrap() - drawn).abs() < 0.4, "{line}");
    }
}

#[test]
fn an_outline_that_nobody_confirmed_is_said_to_be_one_and_pictures_are_written() {
    let photographed = Photographed::new(shot());
    let (overlay, squared) = (photographed.path("overlay.jpg"), photographed.path("squared.jpg"));
    let output = photographed.check(&[
        "--canvas",
        "12x12in",
        "--overlay",
        &overlay,
        "--rectify",
        &squared,
        "--ppi",
        "100",
    ]);
    let text = said(&output);
    assert!(output.status.success(), "{text}");
    assert!(text.contains("nobody has confirmed it") && text.contains("redraw"), "{text}");
    let squared = photo::Photo::open(&PathBuf::from(squared)).unwrap();
    assert_eq!((squared.size().width, squared.size().height), (1200, 1200));
    assert!(photo::Photo::open(&PathBuf::from(overlay)).unwrap().upright().is_ok());
}

#[test]
fn a_check_is_kept_in_the_painting_file_with_drift() {
    let photographed = Photographed::new(shot());
    let painting = photographed.path("study.mahlstick");
    let reference = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/harbour-pilot.jpg");
    let made = mahlstick(&[
        "new",
        &painting,
        "--photo",
        reference.to_str().unwrap(),
        "--canvas",
        "12x12in",
        "--crown",
        "1370,680",
        "--chin",
        "1160,2300",
        "--head",
        "8in",
    ]);
    assert!(made.status.success(), "{}", said(&made));
    let landmarks = "crown=684,630; chin=675,1170; pupil:990,1496=630,910; mouth:1190,2000=684,1070";
    let arguments =
        [painting.as_str(), "--corners", &photographed.corners, "--landmarks", landmarks, "--save", "--json"];
    let output = photographed.check(&arguments);
    assert!(output.status.success(), "{}", said(&output));
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(report["drift"]["own"].as_array().unwrap().len(), 4);
    assert_eq!(report["values"]["boxes"].as_array().unwrap().len(), 16);
    let kept = painting::Painting::open_read_only(painting.as_ref()).unwrap().checks().unwrap();
    assert_eq!(kept.len(), 1);
    assert_eq!(kept[0].result.as_bytes(), output.stdout);
    // From now on the painting's line tells how the check came out.
    let line = |said: &str| said.lines().find(|line| line.starts_with("8 Check: ")).unwrap().to_owned();
    let shown = line(&said(&mahlstick(&["show", &painting])));
    assert_ne!(shown, line(&said(&made)));
}

#[test]
fn the_check_sheet_is_written_whole_or_not_at_all() {
    let photographed = Photographed::new(shot());
    let sheet = photographed.path("check.pdf");
    let arguments = ["--canvas", "12x12in", "--corners", &photographed.corners, "--sheet", &sheet];
    let output = photographed.check(&arguments);
    assert!(output.status.success(), "{}", said(&output));
    assert!(std::fs::read(&sheet).unwrap().starts_with(b"%PDF"));
    std::fs::remove_file(&sheet).unwrap();
    let wrong = ["--canvas", "12x12in", "--corners", "1,2,3,4,5,6,7,8", "--sheet", &sheet];
    assert!(!photographed.check(&wrong).status.success());
    assert!(!std::path::Path::new(&sheet).exists());
}

/// The card from straight on, 7 pixels to the millimetre: crosses 28 mm apart, 0.6 mm wide, with arms of 6 mm.
#[test]
fn a_photo_of_the_lens_card_makes_the_lens_better_known() {
    let per_mm = 7.0;
    let near = |px: f64| {
        let mm = px / per_mm - 24.0;
        (mm - 28.0 * (mm / 28.0).round()).abs()
    };
    let card = Photographed::of_pixels(1512, 1905, |x, y| {
        let (x, y) = (near(f64::from(x) + 0.5), near(f64::from(y) + 0.5));
        if (x < 0.3 && y < 6.0) || (y < 0.3 && x < 6.0) { 30 } else { 225 }
    });
    let photographed = Photographed::new(shot());
    let k1_sd = |more: &[&str]| {
        let usual = ["--canvas", "12x12in", "--corners", &photographed.corners, "--json"];
        let output = photographed.check(&[&usual[..], more].concat());
        assert!(output.status.success(), "{}", said(&output));
        serde_json::from_slice::<Value>(&output.stdout).unwrap()["lens"]["k1_sd"].as_f64().unwrap()
    };
    let path = card.path("canvas.jpg");
    let with_card = k1_sd(&["--card", &path, "--card-corners", "169,167,1343,169,1344,1737,167,1736"]);
    assert!(with_card < k1_sd(&[]), "{with_card}");
    let no_card =
        ["--card", &photographed.path("canvas.jpg"), "--card-corners", "100,100,1200,100,1200,1700,100,1700"];
    let refused = photographed.check(&[&["--canvas", "12x12in"][..], &no_card].concat());
    assert!(complained(&refused).contains("crosses of the lens card"), "{}", said(&refused));
}

#[test]
fn a_photo_in_which_nothing_can_be_measured_is_refused_with_what_to_do() {
    let black = Photographed::of_pixels(900, 900, |_, _| 3);
    assert!(black.refused(&[]).contains("too dark"));
    let white = Photographed::of_pixels(900, 900, |_, _| 255);
    assert!(white.refused(&[]).contains("burnt out"));
    let small = Photographed::of_pixels(200, 200, |x, y| (x ^ y) as u8);
    assert!(small.refused(&[]).contains("too few to measure"));
    let no_canvas = Photographed::of_pixels(900, 900, |x, y| (120 + (x * 7919 + y * 104_729) % 31) as u8);
    assert!(no_canvas.refused(&[]).contains("cannot be found"));
}

#[test]
fn corners_that_cannot_be_are_told() {
    let photographed = Photographed::new(shot());
    let at: Vec<&str> = photographed.corners.split(',').collect();
    let order = |corners: [usize; 4]| {
        corners.map(|corner| format!("{},{}", at[2 * corner], at[2 * corner + 1])).join(",")
    };
    let refused = |corners: &str| photographed.refused(&["--corners", corners]);
    assert!(refused(&order([1, 0, 3, 2])).contains("mirrored"));
    assert!(refused(&order([0, 2, 1, 3])).contains("cross"));
    assert!(refused("100,100,700,700,1300,1300,100,1300").contains("three of them lie in a line"));
    assert!(refused("-40,100,1300,100,1300,1300,100,1300").contains("outside the photo"));
}

#[test]
fn a_canvas_on_its_side_is_told_with_the_corners_for_both_ways() {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/ruled-canvas.jpg");
    let lying = mahlstick(&["check", "--photo", demo, "--canvas", "16x12in"]);
    assert_eq!(lying.status.code(), Some(1), "{}", said(&lying));
    let told = complained(&lying);
    assert!(told.contains("lie on its side"), "{told}");
    let corners = told.split("--corners ").nth(1).unwrap().split(' ').next().unwrap();
    let checked = mahlstick(&["check", "--photo", demo, "--canvas", "16x12in", "--corners", corners]);
    assert!(checked.status.success(), "{}", said(&checked));
}

#[test]
fn a_canvas_that_is_cut_off_gives_no_result() {
    let mut scene = ruled();
    scene.camera.distance *= 0.7;
    let photographed = Photographed::new(&scene.shoot());
    let told = photographed.refused(&[]);
    assert!(told.contains("cannot be found") || told.contains("outside the photo"), "{told}");
}

#[test]
fn a_canvas_of_another_shape_or_with_another_grid_is_not_measured_as_this_one() {
    let photographed = Photographed::new(shot());
    let shape = photographed.check(&["--canvas", "12x16in", "--corners", &photographed.corners]);
    assert_eq!(shape.status.code(), Some(1));
    assert!(complained(&shape).contains("shape of this canvas"));
    let grid = ["--divide", "3", "--corners", photographed.corners.as_str()];
    let told = photographed.refused(&grid);
    assert!(told.contains("Check that this is the canvas of the plan"), "{told}");
}

#[test]
fn a_command_line_that_cannot_be_is_told_with_status_2() {
    let photographed = Photographed::of_pixels(900, 900, |_, _| 120);
    for (more, told) in [
        (&["--canvas", "12x12in", "--corners", "1,2,3"][..], "is not four corners"),
        (&["--canvas", "12x12in", "--corners", "1,2,3,4,5,6,7,x"], "is not four corners"),
        (&["--canvas", "12x12in", "--tolerance", "0in"], "more than nothing"),
        (&["--canvas", "12x12in", "--rectify", "x.jpg", "--ppi", "3"], "pixels to an inch"),
        (&["--canvas", "12x12in", "--save"], "need a painting file"),
        (&[], "Say how large the canvas is"),
    ] {
        let output = photographed.check(more);
        assert_eq!(output.status.code(), Some(2), "{more:?}: {}", said(&output));
        assert!(complained(&output).contains(told), "{more:?}: {}", said(&output));
    }
}
