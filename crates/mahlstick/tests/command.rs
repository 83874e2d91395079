//! The command as a painter runs it: what it prints, what it writes, and what it says when something is wrong.

#![expect(clippy::unwrap_used, reason = "a helper that cannot go on fails its test")]

use std::fmt::Write as _;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

fn mahlstick(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_mahlstick")).args(arguments).output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn complained(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn demo_photo() -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/harbour-pilot.jpg").display().to_string()
}

#[test]
fn the_marks_are_told_as_a_table() {
    let output =
        mahlstick(&["marks", "--canvas", "16x20in", "--divide", "3x2", "--detail", "2,3 1/2,8x6in:2"]);
    insta::assert_snapshot!(said(&output));
}

#[test]
fn the_marks_of_a_measured_canvas_are_told_in_metric() {
    let output = mahlstick(&[
        "marks",
        "--canvas",
        "30x40cm",
        "--measured",
        "301,400,299,402,500,501.5mm",
        "--square",
        "10",
        "--square-from",
        "centre",
    ]);
    insta::assert_snapshot!(said(&output));
}

#[test]
fn the_marks_as_json_hold_what_was_promised() {
    let output = mahlstick(&["marks", "--canvas", "12x12in", "--detail", "2,2,8x8in:4", "--json"]);
    let marks: Value = serde_json::from_str(&said(&output)).unwrap();
    assert_eq!(marks["canvas"]["width_mm"], 304.8);
    assert_eq!(marks["canvas"]["measured"], Value::Null);
    let first = &marks["sides"]["top"][0];
    assert_eq!(
        (&first["mm"], &first["reading"], &first["rounded_mm"]),
        (&76.2.into(), &"3 in".into(), &76.2.into())
    );
    assert_eq!(
        (&first["from_other_end_mm"], &first["from_other_end_reading"]),
        (&228.6.into(), &"9 in".into())
    );
    assert_eq!(marks["details"][0]["across"][1]["reading"], "4 in");
}

#[test]
fn measurements_that_contradict_each_other_are_told() {
    // The right side is read 1/4 in too long; the diagonals, read as 17 in, hide a little of it.
    // The right side is read 1/4 in too long; the diagonals, read as 17 in, hide a little of it.
    let output = mahlstick(&["marks", "--canvas", "12x12in", "--measured", "12,12 1/4,12,12,17,17"]);
    assert!(output.status.success());
    assert!(
        said(&output)
            .contains("The six measurements contradict each other: a side is misread by about 3/16 in")
    );
}

#[test]
fn a_packet_is_written_whole_and_what_it_holds_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("study.pdf");
    let output = mahlstick(&[
        "packet",
        "--photo",
        &demo_photo(),
        "--canvas",
        "16x20in",
        "--crown",
        "1370,680",
        "--chin",
        "1160,2300",
        "--head",
        "10 1/2in",
        "-o",
        path.to_str().unwrap(),
    ]);
    assert!(output.status.success(), "{}", complained(&output));
    let report = said(&output).replace(path.to_str().unwrap(), "study.pdf");
    insta::assert_snapshot!(report);
    assert!(std::fs::read(&path).unwrap().starts_with(b"%PDF-1.7"));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn every_kind_of_sheet_can_be_had_alone_on_every_paper() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("one.pdf");
    for paper in ["letter", "legal", "tabloid", "a4", "a3"] {
        for kind in ["plan", "marks", "strips", "reference", "details", "film", "plots", "measures", "bars"] {
            let output = mahlstick(&[
                "packet",
                "--photo",
                &demo_photo(),
                "--canvas",
                "30x40cm",
                "--detail",
                "10,10,8x8cm",
                "--landmark",
                "mole=1300,1800",
                "--measure",
                "eye=990,1496,1100,1500",
                "--paper",
                paper,
                "--only",
                kind,
                "-o",
                path.to_str().unwrap(),
            ]);
            assert!(output.status.success(), "{kind} on {paper}: {}", complained(&output));
            assert!(said(&output).contains(&format!(" {kind})")), "{}", said(&output));
        }
    }
}

/// A painting of the demo's photo with landmarks and a measure.
fn likeness(folder: &Path) -> String {
    let file = folder.join("pilot.mahlstick").display().to_string();
    let output = mahlstick(&[
        "new",
        &file,
        "--photo",
        &demo_photo(),
        "--canvas",
        "12x16in",
        "--crown",
        "1382,692",
        "--chin",
        "1192,2296",
        "--head",
        "8in",
        "--detail",
        "3,5,5x5in",
        "--landmark",
        "right eye, pupil=990,1496",
        "--landmark",
        "left pupil=1404,1470",
        "--landmark",
        "mole=1300,1800",
        "--measure",
        "eye to eye=990,1496,1404,1470",
        "--measure",
        "head=1382,692,1192,2296",
        "--unit",
        "eye to eye",
    ]);
    assert!(output.status.success(), "{}", complained(&output));
    file
}

#[test]
fn plots_and_proportions_are_told_in_words_and_as_json() {
    let folder = tempfile::tempdir().unwrap();
    let file = likeness(folder.path());
    insta::assert_snapshot!(said(&mahlstick(&["plot", &file])));
    insta::assert_snapshot!(said(&mahlstick(&["proportions", &file])));
    let plots: Value = serde_json::from_str(&said(&mahlstick(&["plot", &file, "--json"]))).unwrap();
    assert_eq!(plots["landmarks"][1]["name"], "right pupil");
    assert_eq!(plots["landmarks"][1]["plot"]["across"]["beside"], "left of");
    let told: Value =
        serde_json::from_str(&said(&mahlstick(&["proportions", &file, "--json", "--focal", "26"]))).unwrap();
    assert_eq!(told["camera"]["too_near"], true);
    assert_eq!(mahlstick(&["proportions", &file, "--focal", "5"]).status.code(), Some(2));
}

#[test]
fn a_value_map_is_written_and_spots_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("map.png").display().to_string();
    let output =
        mahlstick(&["values", "--photo", &demo_photo(), "--steps", "3", "--at", "1390,1000", "-o", &path]);
    assert!(output.status.success(), "{}", complained(&output));
    insta::assert_snapshot!(said(&output).replace(&path, "map.png"));
    assert!(std::fs::read(&path).unwrap().starts_with(b"\x89PNG"));
    for wrong in [
        &["--steps", "1", "-o", "x.png"][..],
        &["-o", "x.gif"],
        &["--at", "9999,0"],
        &["--smooth", "9in", "-o", "x.png"],
    ] {
        let photo = demo_photo();
        let arguments = [&["values", "--photo", photo.as_str()], wrong].concat();
        assert_eq!(mahlstick(&arguments).status.code(), Some(2), "{wrong:?}");
    }
}

#[test]
fn the_reference_is_shown_as_asked() {
    let folder = tempfile::tempdir().unwrap();
    let (file, pdf) = (likeness(folder.path()), folder.path().join("shown.pdf").display().to_string());
    for show in ["values:5,mirror", "squint:4mm,upside-down"] {
        let output =
            mahlstick(&["packet", &file, "--show", show, "--ratio", "1:2", "--dividers", "10in", "-o", &pdf]);
        assert!(output.status.success(), "{show}: {}", complained(&output));
        let told = said(&output);
        assert!(
            told.contains("1:2, not true size") && told.contains("6 11/16 in from the wide points"),
            "{told}"
        );
        assert!(told.contains("plots") && told.contains("measures"), "{told}");
    }
    for wrong in [["--show", "sepia"], ["--ratio", "1:0"], ["--dividers", "long"]] {
        let arguments = [&["packet", file.as_str(), "-o", pdf.as_str()], &wrong[..]].concat();
        assert_eq!(mahlstick(&arguments).status.code(), Some(2), "{wrong:?}");
    }
}

/// Each wrong command line, and what is said of it.
#[test]
fn what_is_wrong_is_said_in_one_message_with_status_2() {
    let cases: [&[&str]; 17] = [
        &["marks", "--canvas", "12"],
        &["marks", "--canvas", "12x12"],
        &["marks", "--canvas", "0x12in"],
        &["marks", "--canvas", "12x12in", "--divide", "0"],
        &["marks", "--canvas", "12x12in", "--divide", "four"],
        &["marks", "--canvas", "12x12in", "--square", "13in"],
        &["marks", "--canvas", "12x12in", "--measured", "12,12,12,12"],
        &["marks", "--canvas", "12x12in", "--measured", "12,12,12,12,5,5"],
        &["marks", "--canvas", "12x16in", "--measured", "16,12,16,12,20,20"],
        &["marks", "--canvas", "12x12in", "--detail", "8,8,8x8in"],
        &["marks", "--canvas", "12x12in", "--detail", "8,8"],
        &["packet", "--canvas", "12x12in", "--bars", "94x94mm", "-o", "x.pdf"],
        &["packet", "--canvas", "12x12in", "--margin", "-1in", "-o", "x.pdf"],
        &[
            "packet", "--photo", "PHOTO", "--canvas", "12x12in", "--crown", "-5,0", "--chin", "10,10",
            "--head", "8in", "-o", "x.pdf",
        ],
        &["marks", "--photo", "PHOTO", "--canvas", "12x12in", "--landmark", "1,2"],
        &["marks", "--photo", "PHOTO", "--canvas", "12x12in", "--landmark", "mole=1,9999"],
        &["marks", "--photo", "PHOTO", "--canvas", "12x12in", "--measure", "eye=1,1,1,1"],
    ];
    let mut told = String::new();
    for case in cases {
        let arguments: Vec<String> =
            case.iter().map(|argument| argument.replace("PHOTO", &demo_photo())).collect();
        let output = mahlstick(&arguments.iter().map(String::as_str).collect::<Vec<_>>());
        assert_eq!(
            (output.status.code(), said(&output).as_str()),
            (Some(2), ""),
            "{case:?}: {}",
            complained(&output)
        );
        write!(told, "{}\n  {}", case.join(" "), complained(&output)).unwrap();
    }
    insta::assert_snapshot!(told);
}

#[test]
fn a_photo_that_is_none_is_a_failure_with_status_1() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("notes.jpg");
    std::fs::write(&path, "not a picture").unwrap();
    let output = mahlstick(&["marks", "--canvas", "12x12in", "--photo", path.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1));
    assert!(complained(&output).starts_with("mahlstick: "), "{}", complained(&output));
}

#[test]
fn nothing_is_written_where_the_packet_cannot_be() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("nowhere/study.pdf");
    let output =
        mahlstick(&["packet", "--canvas", "12x12in", "--only", "marks", "-o", path.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1));
    assert!(complained(&output).contains("could not be written"));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn the_demo_says_what_it_wrote() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.pdf");
    let output = mahlstick(&["demo", "-o", path.to_str().unwrap()]);
    assert!(output.status.success(), "{}", complained(&output));
    assert!(said(&output).contains("Head 8 in from crown to chin"));
}

#[test]
fn completions_and_manual_come_out_of_the_command() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        assert!(said(&mahlstick(&["completions", shell])).contains("head-centre"), "{shell}");
    }
    assert!(said(&mahlstick(&["man"])).contains(".TH mahlstick"));
}

#[test]
fn a_painting_file_is_made_shown_printed_taken_apart_and_made_again() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).display().to_string();
    let output = mahlstick(&[
        "new",
        &at("pilot.mahlstick"),
        "--photo",
        &demo_photo(),
        "--canvas",
        "12x16in",
        "--crown",
        "1370,680",
        "--chin",
        "1160,2300",
        "--head",
        "8in",
    ]);
    assert!(output.status.success(), "{}", complained(&output));
    insta::assert_snapshot!(said(&mahlstick(&["show", &at("pilot.mahlstick")])));
    let shown: Value =
        serde_json::from_str(&said(&mahlstick(&["show", &at("pilot.mahlstick"), "--json"]))).unwrap();
    assert_eq!(shown["view"]["reference"]["head"]["height"], "8 in");
    assert!(mahlstick(&["export", &at("pilot.mahlstick"), &at("plain")]).status.success());
    assert!(mahlstick(&["import", &at("plain"), &at("again.mahlstick")]).status.success());
    for (file, pdf) in [("pilot.mahlstick", "one.pdf"), ("again.mahlstick", "two.pdf")] {
        let output = mahlstick(&["packet", &at(file), "-o", &at(pdf)]);
        assert!(output.status.success(), "{}", complained(&output));
    }
    assert!(std::fs::read(at("one.pdf")).unwrap() == std::fs::read(at("two.pdf")).unwrap());
    let marks = |arguments: &[&str]| said(&mahlstick(arguments));
    assert_eq!(marks(&["marks", &at("pilot.mahlstick")]), marks(&["marks", "--canvas", "12x16in"]));
    assert_eq!(
        mahlstick(&["new", &at("pilot.mahlstick"), "--canvas", "12x16in"]).status.code(),
        Some(1),
        "it is not replaced"
    );
    assert_eq!(mahlstick(&["marks", &at("pilot.mahlstick"), "--divide", "3"]).status.code(), Some(2));
}

#[test]
fn a_mirrored_photo_is_straightened_by_the_same_line_the_other_way() {
    let folder = tempfile::tempdir().unwrap();
    let turn = |name: &str, more: &[&str]| {
        let file = folder.path().join(name).display().to_string();
        let line =
            ["new", &file, "--photo", &demo_photo(), "--canvas", "8x10in", "--level", "300,1000,2300,1200"];
        let output = mahlstick(&[&line, more].concat());
        assert!(output.status.success(), "{}", complained(&output));
        let shown: Value = serde_json::from_str(&said(&mahlstick(&["show", &file, "--json"]))).unwrap();
        shown["view"]["reference"]["turn"].as_f64().unwrap()
    };
    let (plain, mirrored) = (turn("plain.mahlstick", &[]), turn("mirrored.mahlstick", &["--mirror"]));
    // The line falls by one in ten: 5.71 degrees.
    assert!((plain + 5.710_593).abs() < 1e-4 && (plain + mirrored).abs() < 1e-9, "{plain} {mirrored}");
}

#[test]
fn a_photo_of_a_print_is_squared_up_and_straightened() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("print.mahlstick").display().to_string();
    let output = mahlstick(&[
        "new",
        &file,
        "--photo",
        &demo_photo(),
        "--canvas",
        "8x10in",
        "--square-up",
        "300,300,2700,400,2600,3700,350,3600:8x10in",
        "--plumb",
        "300,300,350,3600",
    ]);
    assert!(output.status.success(), "{}", complained(&output));
    let shown: Value = serde_json::from_str(&said(&mahlstick(&["show", &file, "--json"]))).unwrap();
    // The print's own left side is plumb once it is squared up, so nothing is left to turn.
    assert!(shown["view"]["reference"]["turn"].as_f64().unwrap().abs() < 1e-6);
    let size = &shown["view"]["reference"]["size"];
    assert!((size[0].as_f64().unwrap() / size[1].as_f64().unwrap() - 0.8).abs() < 0.001);
    let pdf = folder.path().join("print.pdf").display().to_string();
    assert!(mahlstick(&["packet", &file, "--only", "reference", "-o", &pdf]).status.success());
}
