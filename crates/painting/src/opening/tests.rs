//! Files from strangers: refused in plain words, without a panic, and left as they are.

use std::fs;
use std::mem::discriminant;
use std::path::Path;

use proptest::prelude::*;

use super::*;
use crate::form::STEPS;
use crate::portrait::{PHOTO, Studio, names, portrait};
use crate::{MAX_DOCUMENT_BYTES, Painting, PhotoId};

/// All files of a folder with their bytes.
fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    names(folder)
        .into_iter()
        .map(|name| {
            let path = folder.join(&name);
            let bytes = if path.is_file() { fs::read(path).unwrap() } else { Vec::new() };
            (name, bytes)
        })
        .collect()
}

/// Lets `meddle` do something to a painting, and returns why it can then not be opened; checks that the attempt changed
/// neither the file nor anything beside it.
fn refused_to(purpose: For, meddle: impl FnOnce(&Path)) -> Fault {
    let studio = Studio::new();
    meddle(&studio.file);
    let before = contents(studio.folder.path());
    let opened = open(&studio.file, purpose, STEPS);
    assert!(contents(studio.folder.path()) == before, "opening the file changed something");
    opened.map(drop).unwrap_err()
}

/// As [`refused_to`], for reading and for editing alike.
fn refused(meddle: impl Fn(&Path)) -> Fault {
    let fault = refused_to(For::Reading, &meddle);
    let when_editing = refused_to(For::Editing, &meddle);
    assert_eq!(discriminant(&fault), discriminant(&when_editing), "{fault:?}, but {when_editing:?}");
    fault
}

/// Meddles with a painting through `SQLite`, with all its protections off.
fn sql(statements: &str) -> impl Fn(&Path) {
    move |file| {
        let connection = Connection::open(file).unwrap();
        let free = "PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON;";
        connection.execute_batch(&format!("{free} {statements}")).expect(statements);
    }
}

fn with_bytes(bytes: &[u8]) -> impl Fn(&Path) {
    move |file| fs::write(file, bytes).unwrap()
}

#[test]
fn files_of_another_kind_are_no_paintings() {
    let picture = [PHOTO, &[0; 5000]].concat();
    let nearly = [b"SQLite format 3\0".as_slice(), &[0xff; 8000]].concat();
    for bytes in [b"".as_slice(), b"A letter to the painter.", &picture, &nearly, &[0; 4096]] {
        assert_eq!(refused(with_bytes(bytes)), Fault::NotAPainting);
    }
    let folder = |file: &Path| {
        fs::remove_file(file).unwrap();
        fs::create_dir(file).unwrap();
    };
    assert_eq!(refused(folder), Fault::NotAPainting);
    assert_eq!(refused(sql("PRAGMA application_id = 252006673")), Fault::NotAPainting);
    assert_eq!(refused(|file| fs::remove_file(file).unwrap()), Fault::NotFound);
}

#[test]
fn names_that_mean_something_to_sqlite_are_only_names() {
    let studio = Studio::new();
    for name in
        [":memory:", "file:a.mahlstick", "50% grey?mode=memory#1.mahlstick", "portrait of 木\\.mahlstick"]
    {
        let file = studio.path(name);
        let painting = Painting::create(&file, &portrait(name), &[PHOTO], crate::IfExists::Refuse).unwrap();
        assert!(file.is_file(), "{name}");
        assert_eq!(painting.present().unwrap().document.title, name);
    }
    assert_eq!(open(Path::new(":memory:"), For::Editing, STEPS).unwrap_err(), Fault::NotFound);
    assert_eq!(open(Path::new(""), For::Editing, STEPS).unwrap_err(), Fault::NotFound);
}

#[test]
fn a_newer_file_is_refused() {
    assert_eq!(refused(sql("PRAGMA user_version = 4")), Fault::Newer);
    assert_eq!(refused(sql("PRAGMA user_version = 2147483647")), Fault::Newer);
    assert_eq!(refused(sql("UPDATE edit SET document = json_set(document, '$.schema', 4)")), Fault::Newer);
}

#[test]
fn whatever_mahlstick_does_not_write_is_refused() {
    for statements in [
        "PRAGMA user_version = 0",
        "PRAGMA user_version = -1",
        "CREATE TABLE extra (a)",
        "CREATE VIEW extra AS SELECT 1",
        "CREATE TRIGGER extra AFTER UPDATE ON present BEGIN DELETE FROM edit; END",
        "CREATE INDEX extra ON edit (label)",
        // Written by a program that has the module; this one's SQLite has not.
        "PRAGMA writable_schema = ON; INSERT INTO sqlite_schema VALUES \
         ('table', 'extra', 'extra', 0, 'CREATE VIRTUAL TABLE extra USING fts5 (a)')",
        "ALTER TABLE edit ADD COLUMN extra BLOB AS (zeroblob(1000000000))",
        "DROP INDEX edit_follows",
        "DROP TABLE photo; CREATE VIEW photo AS SELECT '' AS id, zeroblob(1000000000) AS bytes",
        "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = replace(sql, 'BLOB NOT NULL', 'BLOB NOT NULL DEFAULT (randomblob(9))')",
        "ANALYZE",
    ] {
        let fault = refused(sql(statements));
        assert!(matches!(fault, Fault::Altered(_)), "{statements}: {fault:?}");
    }
    let long = format!("CREATE TABLE extra (a CHECK (a IN ({}1)))", "1,".repeat(20_000));
    let fault = refused(sql(&long));
    assert!(matches!(fault, Fault::Damaged(_)), "{fault:?}");
}

#[test]
fn a_file_in_write_ahead_form_is_refused_and_nothing_appears_beside_it() {
    let fault = refused(sql("PRAGMA journal_mode = WAL; UPDATE present SET revision = 7"));
    assert!(matches!(fault, Fault::Altered(_)), "{fault:?}");
}

#[test]
fn a_truncated_file_is_damaged_wherever_it_breaks_off() {
    let whole = fs::metadata(Studio::new().file).unwrap().len();
    for length in (100..whole).step_by(509) {
        let cut = |file: &Path| fs::File::options().write(true).open(file).unwrap().set_len(length).unwrap();
        let fault = refused(cut);
        assert!(matches!(fault, Fault::Damaged(_)), "{length}: {fault:?}");
    }
}

#[test]
fn a_painting_that_is_not_one_is_damaged() {
    for statements in [
        "DELETE FROM present",
        "DELETE FROM edit",
        "UPDATE present SET edit = 99",
        "UPDATE edit SET document = ''",
        "UPDATE edit SET document = 'null'",
        "UPDATE edit SET document = '{\"schema\":1}'",
        "UPDATE edit SET document = '{\"schema\":-1}'",
        "UPDATE edit SET document = json_set(document, '$.photo', 'no mark')",
        "UPDATE edit SET document = json_set(document, '$.plan.canvas', 12)",
        "UPDATE edit SET document = cast(x'ff00ff' AS TEXT)",
        "UPDATE edit SET document = replace(hex(zeroblob(100000)), '00', '[')",
    ] {
        let fault = refused(sql(statements));
        assert!(matches!(fault, Fault::Damaged(_)), "{statements}: {fault:?}");
    }
    let long = format!("UPDATE edit SET document = document || hex(zeroblob({MAX_DOCUMENT_BYTES}))");
    assert!(matches!(refused(sql(&long)), Fault::Damaged(_)));
}

#[test]
fn rows_that_contradict_each_other_are_found_before_the_file_is_edited() {
    for statements in [
        "UPDATE edit SET follows = 1",
        "UPDATE present SET revision = -1",
        "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET rootpage = (SELECT rootpage FROM sqlite_schema WHERE name = 'photo') WHERE name = 'present'",
    ] {
        let fault = refused_to(For::Editing, sql(statements));
        assert!(matches!(fault, Fault::Damaged(_)), "{statements}: {fault:?}");
    }
}

#[test]
fn a_painting_that_cannot_be_is_refused() {
    for (place, value) in [
        ("$.plan.canvas.nominal.width", "-1"),
        ("$.plan.canvas.nominal.height", "1e308"),
        ("$.plan.reference.photo.width", "0"),
        ("$.plan.reference.head.crown.x", "-1e300"),
        ("$.plan.grid.division.parts.columns", "4294967295"),
        ("$.title", "'two' || char(10) || 'lines'"),
    ] {
        let statement = format!("UPDATE edit SET document = json_set(document, '{place}', {value})");
        let fault = refused(sql(&statement));
        assert!(matches!(fault, Fault::Absurd(_)), "{place}: {fault:?}");
    }
}

#[test]
fn an_edit_that_does_not_read_is_not_gone_to() {
    let studio = Studio::new();
    let mut painting = studio.open();
    let revision = painting.revision().unwrap();
    painting.apply(revision, "Edit", None, &portrait("Edit")).unwrap();
    sql("UPDATE edit SET document = 'x' WHERE number = 1")(&studio.file);
    let revision = painting.revision().unwrap();
    assert!(matches!(painting.undo(revision).unwrap_err().fault, Fault::Damaged(_)));
    assert_eq!(painting.present().unwrap().document.title, "Edit");
}

#[test]
fn a_revision_at_the_end_of_all_numbers_is_damaged_and_not_a_panic() {
    let studio = Studio::new();
    sql("UPDATE present SET revision = 9223372036854775807")(&studio.file);
    let mut painting = studio.open();
    let revision = painting.revision().unwrap();
    let error = painting.apply(revision, "Edit", None, &portrait("Edit")).unwrap_err();
    assert!(matches!(error.fault, Fault::Damaged(_)));
}

#[test]
fn times_and_labels_of_a_stranger_do_no_harm() {
    for statement in [
        "UPDATE edit SET made_at = -9223372036854775808",
        "UPDATE edit SET made_at = 9223372036854775807",
        "UPDATE edit SET follows = 1",
        "UPDATE edit SET label = hex(zeroblob(1000000))",
    ] {
        let studio = Studio::new();
        sql(statement)(&studio.file);
        let painting = Painting::open_read_only(&studio.file).unwrap();
        if let Ok(history) = painting.history() {
            assert_eq!(history.len(), 1, "{statement}");
        }
    }
}

#[test]
fn a_photo_that_is_not_what_was_put_in_is_damaged() {
    let studio = Studio::new();
    sql("UPDATE photo SET bytes = x'00'")(&studio.file);
    let fault = studio.open().photo(PhotoId::of(PHOTO)).unwrap_err().fault;
    assert_eq!(fault, Fault::PhotoDamaged);
}

#[test]
fn a_photo_beyond_the_limit_is_not_read() {
    let studio = Studio::new();
    sql("UPDATE photo SET bytes = zeroblob(300000000)")(&studio.file);
    let painting = Painting::open_read_only(&studio.file).unwrap();
    assert!(matches!(painting.photo(PhotoId::of(PHOTO)).unwrap_err().fault, Fault::Damaged(_)));
}

/// Copies a file as a crash in the middle of a change leaves it: with some of the change in it, and the journal that
/// takes it back beside it.
fn cut_short(file: &Path, copy: &Path) {
    let connection = Connection::open(file).unwrap();
    connection
        .execute_batch("PRAGMA cache_size = 1; PRAGMA cache_spill = 1; BEGIN; UPDATE edit SET label = 'Half'")
        .unwrap();
    for _ in 0..20 {
        connection
            .execute("INSERT INTO photo (id, bytes) VALUES (hex(randomblob(32)), randomblob(100000))", [])
            .unwrap();
    }
    for ending in ["", "-journal"] {
        let named = |path: &Path| format!("{}{ending}", path.display());
        fs::copy(named(file), named(copy)).unwrap();
    }
    connection.execute_batch("ROLLBACK").unwrap();
}

#[test]
fn a_change_that_was_cut_short_is_taken_back() {
    for purpose in [For::Reading, For::Editing] {
        let studio = Studio::new();
        let whole = fs::read(&studio.file).unwrap();
        let copy = studio.path("copy.mahlstick");
        cut_short(&studio.file, &copy);
        assert_ne!(fs::read(&copy).unwrap(), whole);
        let connection = open(&copy, purpose, STEPS).unwrap();
        assert_eq!(history::line(&connection).unwrap()[0].label, "Begun");
        assert_eq!(studio.names(), ["copy.mahlstick", "pilot.mahlstick"]);
        assert_eq!(fs::read(&copy).unwrap().len(), whole.len());
    }
}

#[test]
fn a_file_of_another_program_keeps_its_journal() {
    let studio = Studio::new();
    sql("PRAGMA application_id = 7")(&studio.file);
    let copy = studio.path("copy.mahlstick");
    cut_short(&studio.file, &copy);
    let before = contents(studio.folder.path());
    for purpose in [For::Reading, For::Editing] {
        assert_eq!(open(&copy, purpose, STEPS).unwrap_err(), Fault::NotAPainting);
    }
    assert!(contents(studio.folder.path()) == before);
}

#[test]
fn looking_through_a_file_ends() {
    let mut connection = Connection::open_in_memory().unwrap();
    let fault = within(Duration::from_millis(1), &mut connection, |connection| {
        let endless =
            "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT count(*) FROM n";
        Ok(connection.query_row(endless, [], |_| Ok(()))?)
    });
    assert_eq!(fault, Err(Fault::TooSlow));
}

/// The rows of a version to come, as a test's own step.
const A_STEP_TO_COME: &str = "CREATE TABLE tried (a INTEGER NOT NULL) STRICT";

#[test]
fn a_file_of_an_earlier_form_is_brought_up_to_date_with_all_that_is_in_it() {
    let studio = Studio::new();
    let steps = [STEPS, &[A_STEP_TO_COME]].concat();
    let connection = open(&studio.file, For::Editing, &steps).unwrap();
    assert_eq!(form::version(&connection, &steps).unwrap(), steps.len());
    assert_eq!(history::standing(&connection).unwrap().present.document, portrait("Begun"));
    drop(connection);
    // What was brought up to date is the newer form, whole: it opens as such, and no longer as the earlier one.
    open(&studio.file, For::Editing, &steps).unwrap();
    assert_eq!(open(&studio.file, For::Editing, STEPS).unwrap_err(), Fault::Newer);
}

#[test]
fn a_step_that_fails_leaves_the_earlier_form() {
    let fault = refused_to_step("CREATE TABLE tried (a); SELECT * FROM nowhere");
    assert!(matches!(fault, Fault::Damaged(_)), "{fault:?}");
}

fn refused_to_step(step: &str) -> Fault {
    let studio = Studio::new();
    let before = contents(studio.folder.path());
    let steps = [STEPS, &[step]].concat();
    let fault = open(&studio.file, For::Editing, &steps).unwrap_err();
    assert!(contents(studio.folder.path()) == before);
    fault
}

/// `tests/fixtures/version-N.mahlstick` was made by the Mahlstick that wrote version N: the portrait, then one edit of its
/// title.
#[test]
fn a_file_of_every_version_opens() {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    for version in 1..=STEPS.len() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("pilot.mahlstick");
        fs::copy(fixtures.join(format!("version-{version}.mahlstick")), &file).unwrap();
        let mut painting = Painting::open(&file).unwrap();
        let present = painting.present().unwrap();
        assert_eq!(present.document.title, "Harbour pilot", "version {version}");
        assert_eq!(painting.photo(present.document.photo.unwrap()).unwrap(), PHOTO);
        painting.undo(present.revision).unwrap();
        let mut begun = portrait("Begun");
        if version == 2 {
            // What was usual then. The first version kept nothing of printing.
            begun.plan.printing.seams = plan::Seams::Fewest;
            begun.plan.printing.lap = plan::Length::mm(10.0);
        }
        assert_eq!(painting.present().unwrap().document, begun);
    }
}

#[test]
fn a_file_of_every_version_can_be_looked_at_and_is_left_as_it_is() {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    for version in 1..=STEPS.len() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("pilot.mahlstick");
        fs::copy(fixtures.join(format!("version-{version}.mahlstick")), &file).unwrap();
        let before = fs::read(&file).unwrap();
        let painting = Painting::open_read_only(&file).unwrap();
        assert_eq!(painting.present().unwrap().document.title, "Harbour pilot", "version {version}");
        assert!(painting.checks().unwrap().is_empty());
        drop(painting);
        assert!(fs::read(&file).unwrap() == before);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn bytes_changed_at_random_never_panic_and_are_never_written_over_by_looking(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6)
    ) {
        let studio = Studio::new();
        let mut bytes = fs::read(&studio.file).unwrap();
        for (place, value) in changes {
            let place = place.index(bytes.len());
            bytes[place] = value;
        }
        fs::write(&studio.file, &bytes).unwrap();
        for purpose in [For::Reading, For::Editing] {
            if let Ok(connection) = open(&studio.file, purpose, STEPS) {
                let _ = history::line(&connection);
                let _ = crate::photos::get(&connection, PhotoId::of(PHOTO));
            }
            prop_assert!(fs::read(&studio.file).unwrap() == bytes);
            prop_assert_eq!(studio.names(), ["pilot.mahlstick"]);
        }
        if let Ok(mut painting) = Painting::open(&studio.file) {
            let revision = painting.revision().unwrap();
            let _ = painting.apply(revision, "Edit", None, &portrait("Edit"));
        }
    }
}
