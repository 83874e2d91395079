//! Editing, undoing and redoing, in one window and in two.

use std::fs;

use plan::Length;
use proptest::prelude::*;

use super::*;
use crate::history::StepState;
use crate::portrait::{PHOTO, Studio, portrait};
use crate::{MAX_EDITS, MAX_LABEL_CHARS, MAX_PHOTO_BYTES};

/// Applies a new title to whatever the painting is at.
fn retitle(painting: &mut Painting, title: &str) -> Revision {
    let revision = painting.revision().unwrap();
    painting.apply(revision, title, None, &portrait(title)).unwrap()
}

fn title(painting: &Painting) -> String {
    painting.present().unwrap().document.title
}

fn line(painting: &Painting) -> Vec<(String, StepState)> {
    painting.history().unwrap().into_iter().map(|step| (step.label, step.state)).collect()
}

#[test]
fn a_new_painting_has_its_document_and_photo_and_nothing_to_undo() {
    let studio = Studio::new();
    let mut painting = studio.open();
    let present = painting.present().unwrap();
    assert_eq!(present.document, portrait("Begun"));
    assert_eq!((present.undo, present.redo), (None, None));
    assert_eq!(painting.photo(PhotoId::of(PHOTO)).unwrap(), PHOTO);
    assert_eq!(painting.undo(present.revision).unwrap_err().fault, Fault::NothingToUndo);
    assert_eq!(painting.redo(present.revision).unwrap_err().fault, Fault::NothingToRedo);
    assert_eq!(painting.revision().unwrap(), present.revision);
    assert_eq!(studio.names(), ["pilot.mahlstick"]);
}

#[test]
fn a_moment_lasts_until_anything_is_changed_by_whomever() {
    let studio = Studio::new();
    let (mut here, mut elsewhere) = (studio.open(), studio.open());
    let check = here.keep_check(b"canvas", "{}").unwrap();
    let mut last = here.moment().unwrap();
    let mut changed = |painting: &Painting| {
        let now = painting.moment().unwrap();
        std::mem::replace(&mut last, now) != now
    };
    here.present().unwrap();
    here.photo(PhotoId::of(PHOTO)).unwrap();
    assert!(!changed(&here), "to look changes nothing");
    retitle(&mut here, "Here");
    assert!(changed(&here));
    retitle(&mut elsewhere, "Elsewhere");
    assert!(changed(&here));
    elsewhere.replace_check(check, "[]").unwrap();
    assert!(changed(&here));
    here.replace_check(check, "{}").unwrap();
    assert!(changed(&here));
    here.remove_check(check).unwrap();
    assert!(changed(&here) && !changed(&here));
}

#[test]
fn undo_and_redo_survive_a_restart() {
    let studio = Studio::new();
    let mut painting = studio.open();
    for title in ["One", "Two", "Three"] {
        retitle(&mut painting, title);
    }
    let revision = painting.revision().unwrap();
    painting.undo(revision).unwrap();
    drop(painting);

    let mut painting = studio.open();
    let present = painting.present().unwrap();
    assert_eq!(present.document, portrait("Two"));
    assert_eq!((present.undo.as_deref(), present.redo.as_deref()), (Some("Two"), Some("Three")));
    painting.redo(present.revision).unwrap();
    assert_eq!(title(&painting), "Three");
}

#[test]
fn an_edit_after_an_undo_takes_over_redo_and_the_undone_edits_stay_in_the_file() {
    let studio = Studio::new();
    let mut painting = studio.open();
    for title in ["One", "Two"] {
        let revision = retitle(&mut painting, title);
        painting.undo(revision).unwrap();
    }
    let revision = painting.revision().unwrap();
    painting.redo(revision).unwrap();
    assert_eq!(
        line(&painting),
        [("Begun".to_owned(), StepState::Past), ("Two".to_owned(), StepState::Present)]
    );
    let rows: i64 = painting.connection.query_row("SELECT count(*) FROM edit", [], |row| row.get(0)).unwrap();
    assert_eq!(rows, 3);
}

#[test]
fn the_edits_of_one_gesture_are_one_step_and_undo_goes_back_before_it() {
    let studio = Studio::new();
    let mut painting = studio.open();
    let mut revision = painting.revision().unwrap();
    for title in ["a", "ab", "abc"] {
        revision = painting.apply(revision, "Drag", Some("drag 1"), &portrait(title)).unwrap();
    }
    for title in ["abcd", "abcde"] {
        revision = painting.apply(revision, "Drag again", Some("drag 2"), &portrait(title)).unwrap();
    }
    revision = painting.undo(revision).unwrap();
    assert_eq!(title(&painting), "abc");
    revision = painting.undo(revision).unwrap();
    assert_eq!(title(&painting), "Begun");
    revision = painting.redo(revision).unwrap();
    // The gesture is over: what comes under its key now is a step of its own.
    painting.apply(revision, "Drag", Some("drag 2"), &portrait("new")).unwrap();
    assert_eq!(line(&painting).len(), 3);
}

#[test]
fn a_gesture_ends_where_another_window_changes_the_painting() {
    let studio = Studio::new();
    let (mut here, mut there) = (studio.open(), studio.open());
    let revision = here.revision().unwrap();
    let revision = here.apply(revision, "Drag", Some("drag"), &portrait("here")).unwrap();
    let revision = there.apply(revision, "Edit", None, &portrait("there")).unwrap();
    here.apply(revision, "Drag", Some("drag"), &portrait("here again")).unwrap();
    assert_eq!(line(&here).len(), 4);
}

#[test]
fn an_edit_that_changes_nothing_is_no_step() {
    let studio = Studio::new();
    let mut painting = studio.open();
    let revision = painting.revision().unwrap();
    assert_eq!(painting.apply(revision, "Nothing", None, &portrait("Begun")).unwrap(), revision);
    assert_eq!(painting.history().unwrap().len(), 1);
}

#[test]
fn the_later_of_two_windows_is_told_and_overwrites_nothing() {
    let studio = Studio::new();
    let (mut here, mut there) = (studio.open(), studio.open());
    let seen = there.revision().unwrap();
    let now = retitle(&mut here, "Here");
    let changed = Fault::ChangedElsewhere { now };
    assert_eq!(there.apply(seen, "There", None, &portrait("There")).unwrap_err().fault, changed);
    assert_eq!(there.undo(seen).unwrap_err().fault, changed);
    assert_eq!(there.redo(seen).unwrap_err().fault, changed);
    assert_eq!(title(&there), "Here");
    there.apply(now, "There", None, &portrait("There")).unwrap();
    assert_eq!(title(&here), "There");
}

#[test]
fn a_photo_is_kept_once_and_an_edit_can_only_name_one_that_is_there() {
    let studio = Studio::new();
    let mut painting = studio.open();
    assert_eq!(painting.add_photo(PHOTO).unwrap(), PhotoId::of(PHOTO));
    let other = painting.add_photo(b"another").unwrap();
    assert_eq!(painting.photo(other).unwrap(), b"another");
    let rows: i64 =
        painting.connection.query_row("SELECT count(*) FROM photo", [], |row| row.get(0)).unwrap();
    assert_eq!(rows, 2);

    let missing = PhotoId::of(b"never brought in");
    assert_eq!(painting.photo(missing).unwrap_err().fault, Fault::NoSuchPhoto);
    let document = Document { photo: Some(missing), ..portrait("Begun") };
    let revision = painting.revision().unwrap();
    assert_eq!(painting.apply(revision, "Photo", None, &document).unwrap_err().fault, Fault::NoSuchPhoto);
    let file = studio.path("other.mahlstick");
    let error = Painting::create(&file, &document, &[PHOTO], IfExists::Refuse).unwrap_err();
    assert_eq!(error.fault, Fault::NoSuchPhoto);
    assert_eq!(studio.names(), ["pilot.mahlstick"]);
}

#[test]
fn a_photo_may_be_as_large_as_the_limit_and_no_larger() {
    let studio = Studio::new();
    let mut painting = studio.open();
    let mut photo = vec![7; MAX_PHOTO_BYTES];
    let id = painting.add_photo(&photo).unwrap();
    assert!(painting.photo(id).unwrap() == photo);
    photo.push(7);
    assert_eq!(painting.add_photo(&photo).unwrap_err().fault, Fault::PhotoTooLarge);
}

#[test]
fn a_painting_that_cannot_be_is_not_saved() {
    let studio = Studio::new();
    let mut painting = studio.open();
    let revision = painting.revision().unwrap();
    let before = fs::read(&studio.file).unwrap();
    let mut absurd = portrait("Begun");
    absurd.plan.canvas.nominal.width = Length::mm(f64::NAN);
    for document in [absurd, portrait("two\nlines"), portrait(&"x".repeat(201))] {
        let error = painting.apply(revision, "Absurd", None, &document).unwrap_err();
        assert!(matches!(error.fault, Fault::Refused(_)), "{error}");
    }
    assert_eq!(fs::read(&studio.file).unwrap(), before);
}

#[test]
fn a_history_that_is_full_says_so_and_loses_nothing() {
    let studio = Studio::new();
    let mut painting = studio.open();
    let full = format!("UPDATE edit SET number = {MAX_EDITS}; UPDATE present SET edit = {MAX_EDITS}");
    painting.connection.execute_batch(&format!("PRAGMA foreign_keys = OFF; {full}")).unwrap();
    let revision = painting.revision().unwrap();
    let error = painting.apply(revision, "More", None, &portrait("More")).unwrap_err();
    assert_eq!(error.fault, Fault::HistoryFull);
    assert_eq!(title(&painting), "Begun");
}

#[test]
fn a_long_label_is_cut() {
    let studio = Studio::new();
    let mut painting = studio.open();
    let revision = painting.revision().unwrap();
    painting.apply(revision, &"ü".repeat(500), None, &portrait("One")).unwrap();
    let label = painting.present().unwrap().undo.unwrap();
    assert_eq!(label.chars().count(), MAX_LABEL_CHARS);
}

#[test]
fn an_edit_is_flushed_to_the_disk_with_its_folder_before_it_counts() {
    let studio = Studio::new();
    let painting = studio.open();
    let ask = |pragma| painting.connection.pragma_query_value(None, pragma, |row| row.get::<_, String>(0));
    assert_eq!(ask("journal_mode").unwrap(), "delete");
    let synchronous: i64 =
        painting.connection.pragma_query_value(None, "synchronous", |row| row.get(0)).unwrap();
    assert_eq!(synchronous, 3, "3 is EXTRA");
}

#[test]
fn on_a_full_disk_nothing_is_saved_and_all_goes_on_once_there_is_room() {
    let studio = Studio::new();
    let mut painting = studio.open();
    let room = |painting: &Painting, pages: i64| {
        painting.connection.pragma_update(None, "max_page_count", pages).unwrap();
    };
    let pages: i64 = painting.connection.pragma_query_value(None, "page_count", |row| row.get(0)).unwrap();
    room(&painting, pages);

    let mut saved = "Begun".to_owned();
    let mut edits = 0;
    let error = loop {
        let next = format!("{edits}");
        let revision = painting.revision().unwrap();
        match painting.apply(revision, "Edit", None, &portrait(&next)) {
            Ok(_) => saved = next,
            Err(error) => break error,
        }
        edits += 1;
        assert!(edits < 100, "the disk never got full");
    };
    assert_eq!(error.fault, Fault::Full);
    assert_eq!(painting.add_photo(&vec![1; 100_000]).unwrap_err().fault, Fault::Full);
    assert_eq!(title(&painting), saved);
    assert_eq!(title(&studio.open()), saved);
    assert_eq!(studio.names(), ["pilot.mahlstick"]);

    room(&painting, 1_000_000);
    retitle(&mut painting, "Room again");
    assert_eq!(title(&studio.open()), "Room again");
}

#[test]
fn a_file_that_was_moved_while_open_takes_no_more_edits() {
    let studio = Studio::new();
    let mut painting = studio.open();
    fs::rename(&studio.file, studio.path("moved.mahlstick")).unwrap();
    let revision = painting.revision().unwrap();
    let error = painting.apply(revision, "Edit", None, &portrait("Lost?")).unwrap_err();
    assert_eq!(error.fault, Fault::Moved);
    assert_eq!(title(&Painting::open(&studio.path("moved.mahlstick")).unwrap()), "Begun");
}

#[test]
fn a_new_file_replaces_an_old_one_only_when_asked() {
    let studio = Studio::new();
    let new = |if_exists| Painting::create(&studio.file, &portrait("New"), &[PHOTO], if_exists);
    assert_eq!(new(IfExists::Refuse).unwrap_err().fault, Fault::Exists);
    assert_eq!(title(&studio.open()), "Begun");

    let mut old = studio.open();
    let revision = old.revision().unwrap();
    assert_eq!(title(&new(IfExists::Replace).unwrap()), "New");
    // Who has the old one open does not write into the new one.
    assert_eq!(old.apply(revision, "Edit", None, &portrait("Old")).unwrap_err().fault, Fault::Moved);
    assert_eq!(title(&studio.open()), "New");
    assert_eq!(studio.names(), ["pilot.mahlstick"]);
}

#[test]
fn a_new_file_does_not_inherit_the_journal_of_an_old_one() {
    let studio = Studio::new();
    fs::write(studio.path("next.mahlstick-journal"), b"left by a painting that was taken away").unwrap();
    let file = studio.path("next.mahlstick");
    let error = Painting::create(&file, &portrait("Next"), &[PHOTO], IfExists::Replace).unwrap_err();
    assert_eq!(error.fault, Fault::Leftover);
    assert!(!file.exists());
}

#[test]
fn a_copy_has_the_whole_history_and_goes_its_own_way() {
    let studio = Studio::new();
    let mut painting = studio.open();
    retitle(&mut painting, "One");
    let file = studio.path("copy.mahlstick");
    painting.copy_to(&file, IfExists::Refuse).unwrap();
    let mut copy = Painting::open(&file).unwrap();
    assert_eq!(copy.present().unwrap(), painting.present().unwrap());
    assert_eq!(copy.history().unwrap(), painting.history().unwrap());
    assert_eq!(copy.photo(PhotoId::of(PHOTO)).unwrap(), PHOTO);
    retitle(&mut copy, "Copy");
    assert_eq!(title(&painting), "One");
    assert_eq!(painting.copy_to(&file, IfExists::Refuse).unwrap_err().fault, Fault::Exists);
    assert_eq!(studio.names(), ["copy.mahlstick", "pilot.mahlstick"]);
}

#[test]
fn a_file_that_another_program_keeps_to_itself_is_told_to_be_in_use() {
    let studio = Studio::new();
    let mut painting = studio.open();
    let revision = painting.revision().unwrap();
    painting.connection.busy_timeout(std::time::Duration::from_millis(10)).unwrap();
    let other = Connection::open(&studio.file).unwrap();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    let error = painting.apply(revision, "Edit", None, &portrait("Edit")).unwrap_err();
    assert_eq!(error.fault, Fault::InUse);
    assert_eq!(painting.present().unwrap_err().fault, Fault::InUse);
    let copy = studio.path("copy.mahlstick");
    assert_eq!(painting.copy_to(&copy, IfExists::Refuse).unwrap_err().fault, Fault::InUse);
    assert!(!copy.exists());
    other.execute_batch("ROLLBACK").unwrap();
    painting.apply(revision, "Edit", None, &portrait("Edit")).unwrap();
}

#[test]
fn a_new_file_needs_a_folder() {
    let studio = Studio::new();
    for folder in ["nowhere", "pilot.mahlstick"] {
        let file = studio.path(folder).join("new.mahlstick");
        let error = Painting::create(&file, &portrait("New"), &[PHOTO], IfExists::Refuse).unwrap_err();
        assert_eq!(error.fault, Fault::NoFolder);
    }
}

#[test]
fn a_painting_opened_to_be_looked_at_is_not_changed() {
    let studio = Studio::new();
    let before = fs::read(&studio.file).unwrap();
    let mut painting = Painting::open_read_only(&studio.file).unwrap();
    let revision = painting.revision().unwrap();
    assert_eq!(painting.apply(revision, "Edit", None, &portrait("Edit")).unwrap_err().fault, Fault::ReadOnly);
    assert_eq!(painting.photo(PhotoId::of(PHOTO)).unwrap(), PHOTO);
    assert_eq!(fs::read(&studio.file).unwrap(), before);
}

/// What the painter does.
#[derive(Clone, Debug)]
enum Act {
    Edit { title: u8, gesture: Option<u8> },
    Undo,
    Redo,
    Reopen,
    ByAnotherWindow(u8),
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        6 => (0..6_u8, prop::option::of(0..2_u8)).prop_map(|(title, gesture)| Act::Edit { title, gesture }),
        4 => Just(Act::Undo),
        3 => Just(Act::Redo),
        1 => Just(Act::Reopen),
        1 => (0..6_u8).prop_map(Act::ByAnotherWindow),
    ]
}

/// A list of titles with a place in it: what any painter expects of undo and redo.
struct Model {
    titles: Vec<String>,
    place: usize,
    gesture: Option<u8>,
}

impl Model {
    fn edit(&mut self, title: &str, gesture: Option<u8>) {
        if self.titles[self.place] == title {
            return;
        }
        self.titles.truncate(self.place + 1);
        if gesture.is_some() && self.gesture == gesture {
            self.titles.pop();
        }
        self.titles.push(title.to_owned());
        self.place = self.titles.len() - 1;
        self.gesture = gesture;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn any_sequence_of_edits_undos_and_redos_does_what_a_list_with_a_place_in_it_does(
        acts in prop::collection::vec(act(), 1..30)
    ) {
        let studio = Studio::new();
        let mut painting = studio.open();
        let mut model = Model { titles: vec!["Begun".to_owned()], place: 0, gesture: None };
        for act in acts {
            let (revision, moment) = (painting.revision().unwrap(), painting.moment().unwrap());
            match act {
                Act::Edit { title, gesture } => {
                    let (title, key) = (title.to_string(), gesture.map(|key| key.to_string()));
                    painting.apply(revision, &title, key.as_deref(), &portrait(&title)).unwrap();
                    model.edit(&title, gesture);
                }
                Act::Undo => {
                    let undone = painting.undo(revision);
                    prop_assert_eq!(undone.is_ok(), model.place > 0);
                    model.place = model.place.saturating_sub(1);
                    if undone.is_ok() { model.gesture = None; }
                }
                Act::Redo => {
                    let redone = painting.redo(revision);
                    prop_assert_eq!(redone.is_ok(), model.place + 1 < model.titles.len());
                    if redone.is_ok() {
                        model.place += 1;
                        model.gesture = None;
                    }
                }
                Act::Reopen => {
                    painting = studio.open();
                    model.gesture = None;
                }
                Act::ByAnotherWindow(title) => {
                    let title = title.to_string();
                    let other = studio.open().apply(revision, &title, None, &portrait(&title)).unwrap();
                    model.edit(&title, None);
                    if other != revision { model.gesture = None; }
                }
            }
            let present = painting.present().unwrap();
            prop_assert!(present.revision == revision || painting.moment().unwrap() != moment);
            prop_assert_eq!(&present.document.title, &model.titles[model.place]);
            prop_assert_eq!(present.undo.is_some(), model.place > 0);
            prop_assert_eq!(present.redo.is_some(), model.place + 1 < model.titles.len());
            let line = painting.history().unwrap();
            prop_assert_eq!(line.len(), model.titles.len());
            prop_assert_eq!(line.iter().position(|step| step.state == StepState::Present), Some(model.place));
        }
    }
}
