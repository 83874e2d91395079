//! Codes, screens and paintings: who is let in, for how long, and to see what.

use jiff::SignedDuration;

use super::*;

fn painting(id: &str) -> ShownPainting {
    ShownPainting { id: id.to_owned(), title: format!("Painting {id}") }
}

fn begun() -> (Pairing, String, Instant) {
    let (mut pairing, now) = (Pairing::default(), Instant::now());
    let code = pairing.offer(painting("a"), now).unwrap().0;
    (pairing, code, now)
}

#[test]
fn the_code_lets_one_screen_in_once() {
    let (mut pairing, code, now) = begun();
    let admission = pairing.admit(&code, None, now).unwrap();
    assert_eq!(admission.painting, "a");
    assert!(pairing.let_in(&admission.token).is_some());
    assert_eq!(pairing.admit(&code, None, now).unwrap_err(), Refused::NotTheCode);
    assert_eq!(pairing.screens().len(), 1);
}

#[test]
fn a_screen_sees_the_paintings_it_has_codes_for_and_no_others() {
    let (mut pairing, code, now) = begun();
    let first = pairing.admit(&code, None, now).unwrap();
    let code = pairing.offer(painting("b"), now).unwrap().0;
    assert!(pairing.may_see(&first.token, "a") && !pairing.may_see(&first.token, "b"));
    let second = pairing.admit(&code, Some(&first.token), now).unwrap();
    assert_eq!((&second.token, second.number), (&first.token, 1));
    assert!(pairing.may_see(&first.token, "a") && pairing.may_see(&first.token, "b"));
    assert_eq!(pairing.paintings_for(&first.token), ["a", "b"].map(painting));
    assert_eq!(pairing.screens().len(), 1);
    // A token that is none is as no token.
    let code = pairing.offer(painting("c"), now).unwrap().0;
    assert_eq!(pairing.admit(&code, Some("none"), now).unwrap().number, 2);
    assert!(!pairing.may_see(&first.token, "c"));
}

#[test]
fn a_code_is_read_in_any_case_and_with_dashes() {
    let (mut pairing, code, now) = begun();
    let typed = format!(" {}-{} ", code[..4].to_lowercase(), &code[4..]);
    assert!(pairing.admit(&typed, None, now).is_ok());
}

#[test]
fn a_code_holds_for_two_minutes_and_no_longer() {
    let (mut pairing, code, now) = begun();
    assert_eq!(pairing.admit(&code, None, now + CODE_HOLDS).unwrap_err(), Refused::NotTheCode);
    let code = pairing.offer(painting("a"), now).unwrap().0;
    assert!(
        pairing.admit(&code, None, now + CODE_HOLDS.checked_sub(Duration::from_secs(1)).unwrap()).is_ok()
    );
}

#[test]
fn a_new_code_ends_the_one_before() {
    let (mut pairing, old, now) = begun();
    pairing.offer(painting("a"), now).unwrap();
    assert_eq!(pairing.admit(&old, None, now).unwrap_err(), Refused::NotTheCode);
}

#[test]
fn too_many_wrong_guesses_shut_the_door_even_to_the_right_one() {
    let (mut pairing, code, now) = begun();
    for _ in 0..MAX_WRONG {
        assert_eq!(pairing.admit("WRONG", None, now).unwrap_err(), Refused::NotTheCode);
    }
    assert_eq!(pairing.admit(&code, None, now).unwrap_err(), Refused::TooManyGuesses);
    // A minute later the door is open again, but the code that was guessed at is gone.
    let later = now + GUESSES_FORGOTTEN;
    assert_eq!(pairing.admit(&code, None, later).unwrap_err(), Refused::NotTheCode);
    let fresh = pairing.offer(painting("a"), later).unwrap().0;
    assert!(pairing.admit(&fresh, None, later).is_ok());
}

#[test]
fn a_new_code_does_not_forgive_wrong_guesses() {
    let (mut pairing, _, now) = begun();
    for _ in 0..MAX_WRONG {
        pairing.admit("WRONG", None, now).unwrap_err();
    }
    let fresh = pairing.offer(painting("a"), now).unwrap().0;
    assert_eq!(pairing.admit(&fresh, None, now).unwrap_err(), Refused::TooManyGuesses);
}

#[test]
fn a_screen_that_is_sent_away_is_told_and_not_let_in_again() {
    let (mut pairing, code, now) = begun();
    let token = pairing.admit(&code, None, now).unwrap().token;
    let told = pairing.let_in(&token).unwrap();
    assert!(pairing.send_away(1));
    assert!(*told.borrow());
    assert!(pairing.let_in(&token).is_none());
    assert!(!pairing.send_away(1));
}

#[test]
fn when_the_door_is_shut_no_code_holds_and_screens_stay_known() {
    let (mut pairing, code, now) = begun();
    let token = pairing.admit(&code, None, now).unwrap().token;
    let fresh = pairing.offer(painting("a"), now).unwrap().0;
    let told = pairing.let_in(&token).unwrap();
    pairing.shut();
    assert!(*told.borrow());
    assert_eq!(pairing.admit(&fresh, None, now).unwrap_err(), Refused::NotTheCode);
    assert!(!*pairing.let_in(&token).unwrap().borrow());
}

#[test]
fn a_screen_is_let_in_again_when_the_studio_starts_anew_for_as_long_as_it_is_known() {
    let (mut pairing, code, now) = begun();
    let gone = pairing.admit(&code, None, now).unwrap();
    let code = pairing.offer(painting("a"), now).unwrap().0;
    let token = pairing.admit(&code, None, now).unwrap().token;
    pairing.send_away(gone.number);
    let known = pairing.known();
    assert!(!serde_json::to_string(&known).unwrap().contains(&token), "a token itself is never kept");

    let today = Timestamp::now();
    let mut anew = Pairing::default();
    anew.let_in_again(known.clone(), today);
    assert!(anew.may_see(&token, "a") && !anew.may_see(&token, "b"));
    assert!(anew.let_in(&gone.token).is_none());
    let code = anew.offer(painting("b"), now).unwrap().0;
    assert_eq!(anew.admit(&code, None, now).unwrap().number, 1, "the number of one that is gone");

    let late = |by: SignedDuration| {
        let mut late = Pairing::default();
        late.let_in_again(known.clone(), today + by);
        late.let_in(&token).is_some()
    };
    assert!(late(KNOWN_FOR - SignedDuration::from_hours(1)));
    assert!(!late(KNOWN_FOR));
    // By a clock that was wrong.
    assert!(!late(-KNOWN_FOR - SignedDuration::from_hours(1)));
}

#[test]
fn what_someone_wrote_among_the_known_screens_lets_nobody_in_twice_or_by_a_made_up_token() {
    let (mut pairing, code, now) = begun();
    let token = pairing.admit(&code, None, now).unwrap().token;
    let [known] = &pairing.known()[..] else { panic!("one screen is known") };
    let today = Timestamp::now();
    let with = |change: &dyn Fn(&mut KnownScreen)| {
        let mut spoiled = known.clone();
        change(&mut spoiled);
        spoiled
    };
    let spoiled = vec![
        with(&|screen| screen.token.truncate(63)),
        with(&|screen| screen.token.replace_range(..2, "zz")),
        with(&|screen| screen.token.replace_range(..2, "\u{ff}")),
        with(&|screen| screen.since = "lately".to_owned()),
        with(&|screen| screen.number = 0),
        with(&|screen| screen.number = MAX_SCREENS + 1),
        with(&|screen| screen.number = usize::MAX),
    ];
    let mut anew = Pairing::default();
    anew.let_in_again(spoiled, today);
    assert!(anew.screens().is_empty());
    anew.let_in_again(vec![known.clone(); 3], today);
    assert_eq!(anew.screens().len(), 1);
    assert!(anew.send_away(1) && anew.let_in(&token).is_none());
}

#[test]
fn a_painting_that_is_gone_is_forgotten_by_all_screens() {
    let (mut pairing, code, now) = begun();
    let token = pairing.admit(&code, None, now).unwrap().token;
    assert!(!pairing.forget_painting("b"));
    assert!(pairing.rename("a", "Another"));
    assert!(!pairing.rename("a", "Another") && !pairing.rename("b", "Another"));
    assert_eq!(pairing.paintings_for(&token)[0].title, "Another");
    pairing.offer(painting("a"), now).unwrap();
    assert!(pairing.forget_painting("a") && !pairing.may_see(&token, "a"));
    assert!(pairing.let_in(&token).is_some() && pairing.code_that_holds(now).is_none());
}

#[test]
fn a_code_that_is_new_and_not_used_holds() {
    let (mut pairing, code, now) = begun();
    assert_eq!(pairing.code_that_holds(now), Some(1));
    assert_eq!(pairing.code_that_holds(now + CODE_HOLDS), None);
    pairing.admit(&code, None, now).unwrap();
    assert_eq!((pairing.code_that_holds(now), pairing.screens()[0].by_code), (None, Some(1)));
    pairing.offer(painting("a"), now).unwrap();
    assert_eq!(pairing.code_that_holds(now), Some(2));
}

#[test]
fn no_two_codes_or_tokens_are_alike_and_no_other_text_is_a_token() {
    let (mut pairing, code, now) = begun();
    let first = pairing.admit(&code, None, now).unwrap().token;
    let code = pairing.offer(painting("a"), now).unwrap().0;
    let second = pairing.admit(&code, None, now).unwrap().token;
    assert_ne!(first, second);
    assert_eq!(first.len(), 2 * TOKEN_BYTES);
    for token in ["", &first[1..], &first.to_uppercase(), &code] {
        assert!(pairing.let_in(token).is_none(), "{token}");
    }
}
