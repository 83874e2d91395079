//! A painting whose program is killed, and a painting that two programs edit at once.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking, and so do its child processes")]

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::Duration;

use painting::{Document, Fault, IfExists, Painting, Present};
use plan::{Canvas, Length, Plan, Unit};

/// The edits of the whole test.
const EDITS: usize = 500;

/// Set in a child process: the painting it is to edit.
const FILE: &str = "MAHLSTICK_TEST_FILE";

/// Set in a child process: what its titles begin with.
const NAME: &str = "MAHLSTICK_TEST_NAME";

fn titled(title: &str) -> Document {
    let canvas = Canvas::nominal(Length::inches(12.0), Length::inches(16.0));
    Document { title: title.to_owned(), photo: None, plan: Plan::new(canvas, Unit::Inch) }
}

/// Runs one test of this program in a process of its own.
fn child(test: &str, file: &Path, name: &str) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", test, "--nocapture"])
        .env(FILE, file)
        .env(NAME, name)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap()
}

/// Says what is saved, to whoever started this process.
fn acknowledge(saved: usize) {
    let mut out = std::io::stdout().lock();
    writeln!(out, "saved {saved}").unwrap();
    out.flush().unwrap();
}

/// What a line of a child's output says is saved.
fn acknowledged(line: &str) -> Option<usize> {
    line.strip_prefix("saved ").and_then(|number| number.parse().ok())
}

/// The number in the title of the painting as it stands: that of the last edit.
fn last_edit(present: &Present) -> usize {
    present.document.title.parse().unwrap()
}

/// Makes edit after edit, each titled with its number, and says after each that it is saved.
fn edit_until_killed(file: &str) {
    let mut painting = Painting::open(Path::new(file)).unwrap();
    loop {
        let present = painting.present().unwrap();
        let next = last_edit(&present) + 1;
        let title = next.to_string();
        painting.apply(present.revision, &title, None, &titled(&title)).unwrap();
        acknowledge(next);
    }
}

/// Numbers that look random, from 0 to 1 (Numerical Recipes' 32-bit linear congruence).
struct Random(u32);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(self.0) / f64::from(u32::MAX)
    }
}

#[test]
fn a_program_killed_at_any_moment_of_500_edits_loses_none_that_it_said_was_saved() {
    if let Ok(file) = std::env::var(FILE) {
        edit_until_killed(&file);
    }
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("pilot.mahlstick");
    Painting::create(&file, &titled("0"), &[], IfExists::Refuse).unwrap();
    let seed = std::process::id();
    let mut random = Random(seed);
    let (mut reached, mut kills, mut cut_short) = (0, 0, 0);
    while reached < EDITS {
        let test = "a_program_killed_at_any_moment_of_500_edits_loses_none_that_it_said_was_saved";
        let mut child = child(test, &file, "");
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
        // Edits follow each other without a pause, so that a short random wait ends anywhere within one.
        let edits = 1 + (random.next() * 20.0) as usize;
        let mut saved = lines.by_ref().filter_map(|line| acknowledged(&line)).take(edits).last().unwrap();
        sleep(Duration::from_secs_f64(random.next() * 0.01));
        child.kill().unwrap();
        child.wait().unwrap();
        // What it said between the last line read and its end counts as well.
        saved = lines.filter_map(|line| acknowledged(&line)).last().unwrap_or(saved);
        kills += 1;
        cut_short += usize::from(folder.path().join("pilot.mahlstick-journal").exists());

        let present = Painting::open(&file).unwrap().present().unwrap();
        reached = last_edit(&present);
        assert!(
            reached == saved || reached == saved + 1,
            "seed {seed}, kill {kills}: edit {saved} was said to be saved, but the painting stands at {reached}"
        );
    }
    let labels: Vec<String> =
        Painting::open(&file).unwrap().history().unwrap().into_iter().map(|step| step.label).collect();
    let expected: Vec<String> =
        std::iter::once("Begun".to_owned()).chain((1..=reached).map(|edit| edit.to_string())).collect();
    assert_eq!(labels, expected);
    println!("{kills} kills over {reached} edits, {cut_short} of them in the middle of writing");
}

/// Edits of each of two programs.
const EDITS_EACH: usize = 60;

/// Adds its name to the title, again and again, on whatever the painting is at; says when it is ready, begins when told,
/// and says in the end how often it was refused.
fn edit_with_another(file: &str, name: &str) {
    let mut painting = Painting::open(Path::new(file)).unwrap();
    acknowledge(0);
    std::io::stdin().read_line(&mut String::new()).unwrap();
    let mut made = 0;
    let mut refused = 0;
    while made < EDITS_EACH {
        let present = painting.present().unwrap();
        // The painter thinks, for less time than it takes to write.
        sleep(Duration::from_millis(2));
        let title = format!("{}{name}", present.document.title);
        match painting.apply(present.revision, name, None, &titled(&title)) {
            Ok(_) => made += 1,
            Err(error) => {
                assert!(matches!(error.fault, Fault::ChangedElsewhere { now } if now > present.revision));
                refused += 1;
            }
        }
    }
    acknowledge(refused);
}

#[test]
fn two_programs_on_one_painting_overwrite_nothing_of_each_other() {
    if let (Ok(file), Ok(name)) = (std::env::var(FILE), std::env::var(NAME)) {
        return edit_with_another(&file, &name);
    }
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("pilot.mahlstick");
    Painting::create(&file, &titled(""), &[], IfExists::Refuse).unwrap();
    let test = "two_programs_on_one_painting_overwrite_nothing_of_each_other";
    let mut programs = ["a", "b"].map(|name| child(test, &file, name));
    let mut said = programs.each_mut().map(|program| {
        BufReader::new(program.stdout.take().unwrap()).lines().filter_map(|line| acknowledged(&line.unwrap()))
    });
    for said in &mut said {
        assert_eq!(said.next(), Some(0));
    }
    for program in &mut programs {
        program.stdin.take().unwrap().write_all(b"begin\n").unwrap();
    }
    let refused = said.map(|said| said.last().unwrap());
    for mut program in programs {
        assert!(program.wait().unwrap().success());
    }
    assert!(refused[0] + refused[1] > 0, "the programs never met");
    let title = Painting::open(&file).unwrap().present().unwrap().document.title;
    for name in ['a', 'b'] {
        assert_eq!(title.chars().filter(|letter| *letter == name).count(), EDITS_EACH, "{title}");
    }
    let labels: String = Painting::open(&file)
        .unwrap()
        .history()
        .unwrap()
        .into_iter()
        .skip(1)
        .map(|step| step.label)
        .collect();
    assert_eq!(labels, title, "the history is not the order in which the edits were made");
}
