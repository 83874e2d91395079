//! Pairing: how a screen elsewhere in the house is let in by a code that the painter reads off this computer, once and for
//! a short while, and how it is sent away again.
//!
//! Only hashes are kept, of the code and of the token that a paired screen shows from then on. Those of the screens outlast the
//! studio (`known_screens`): a tablet beside the canvas is let in once, not every morning. The time by which codes run out is given
//! by the caller, so that nothing here waits for a clock.

use std::collections::VecDeque;
use std::time::{Duration, Instant};

use jiff::Timestamp;
use sha2::{Digest, Sha256};
use subtle::ConstantTimeEq;
use thiserror::Error;
use tokio::sync::watch;

use crate::fingerprint::hex;
use crate::known_screens::{KNOWN_FOR, KnownScreen, ShownPainting};

/// How long a code holds: time to walk to the easel and point the tablet at it.
pub(crate) const CODE_HOLDS: Duration = Duration::from_mins(2);

/// The letters of a code: 40 bits, of which the few guesses that are allowed find none.
const CODE_LETTERS: usize = 8;

/// 32 digits and letters, so that a letter is five random bits; I, O, 0 and 1 are read for one another.
const ALPHABET: &[u8; 32] = b"23456789ABCDEFGHJKLMNPQRSTUVWXYZ";

/// Bytes of a paired screen's token: 256 bits, twice what is held to be beyond guessing.
const TOKEN_BYTES: usize = 32;

/// The most wrong guesses within [`GUESSES_FORGOTTEN`]; a painter who misreads needs two or three.
pub(crate) const MAX_WRONG: usize = 5;

/// After so long a wrong guess no longer counts.
pub(crate) const GUESSES_FORGOTTEN: Duration = Duration::from_mins(1);

/// The most screens that are let in at once; a house has fewer.
const MAX_SCREENS: usize = 8;

/// The longest text that is looked at as a guess, in bytes: a code with room for spaces and dashes.
const MAX_GUESS_BYTES: usize = 64;

/// Why a screen is not let in.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub(crate) enum Refused {
    /// The code is wrong, was used, or no longer holds: which of them is not told.
    #[error(
        "This is not the code, or it no longer holds: it is good once, for two minutes. Look whether it is typed as it stands on the computer, or make a new one there."
    )]
    NotTheCode,
    /// Too many wrong guesses.
    #[error("There were too many wrong codes. Wait a minute and make a new one on the computer.")]
    TooManyGuesses,
    /// Too many screens.
    #[error("{MAX_SCREENS} screens are let in already. Send one of them away on the computer.")]
    TooManyScreens,
    /// The system gives no random numbers.
    #[error("The computer cannot make a safe code just now. Try again.")]
    NoChance,
}

/// A screen that was let in.
#[derive(Debug)]
pub(crate) struct PairedScreen {
    /// Its number, from 1 to [`MAX_SCREENS`]; no other that is let in has it.
    pub(crate) number: usize,
    /// When it brought a code last.
    pub(crate) since: Timestamp,
    /// The paintings that its codes were made for, the last one at the end: it sees no others.
    pub(crate) paintings: Vec<ShownPainting>,
    /// The number of the code that it brought last since the studio was started.
    pub(crate) by_code: Option<u64>,
    token: Secret,
    sent_away: watch::Sender<bool>,
}

/// What a screen gets when it is let in.
#[derive(Debug)]
pub(crate) struct Admission {
    /// What it shows from then on.
    pub(crate) token: String,
    /// The painting that the code was made for.
    pub(crate) painting: String,
    /// The screen's number.
    pub(crate) number: usize,
}

/// The code that holds, and the screens that are let in.
#[derive(Debug, Default)]
pub(crate) struct Pairing {
    code: Option<Code>,
    /// How many codes were made.
    codes: u64,
    wrong: VecDeque<Instant>,
    screens: Vec<PairedScreen>,
}

#[derive(Debug)]
struct Code {
    number: u64,
    secret: Secret,
    painting: ShownPainting,
    until: Instant,
}

/// The hash of something secret, compared in the same time whatever it is compared with.
#[derive(Debug)]
struct Secret([u8; 32]);

impl Pairing {
    /// Lets the screens in that were let in when the studio was closed, but for those that brought their last code too long ago and what is
    /// not as this studio writes it.
    pub(crate) fn let_in_again(&mut self, known: Vec<KnownScreen>, now: Timestamp) {
        for KnownScreen { number, since, paintings, token } in known {
            let (Some(token), Ok(since)) = (Secret::from_hex(&token), since.parse::<Timestamp>()) else {
                continue;
            };
            // By a clock that was wrong then it may have been let in tomorrow.
            let is_known = now.duration_since(since).abs() < KNOWN_FOR;
            if is_known && self.free_numbers().any(|free| free == number) {
                let sent_away = watch::Sender::new(false);
                self.screens.push(PairedScreen { number, since, paintings, by_code: None, token, sent_away });
            }
        }
    }

    /// The numbers that no screen has.
    fn free_numbers(&self) -> impl Iterator<Item = usize> {
        (1..=MAX_SCREENS).filter(|number| self.screens.iter().all(|screen| screen.number != *number))
    }

    /// The screens that are let in, to be let in again.
    pub(crate) fn known(&self) -> Vec<KnownScreen> {
        let known = |screen: &PairedScreen| KnownScreen {
            number: screen.number,
            since: screen.since.to_string(),
            paintings: screen.paintings.clone(),
            token: hex(&screen.token.0),
        };
        self.screens.iter().map(known).collect()
    }

    /// Makes a code for a painting's easel screen; the one before it no longer holds.
    ///
    /// Gives the code and its number; none is given twice.
    ///
    /// # Errors
    /// When the system gives no random numbers.
    pub(crate) fn offer(&mut self, painting: ShownPainting, now: Instant) -> Result<(String, u64), Refused> {
        let code: String = random::<CODE_LETTERS>()?
            .iter()
            .map(|byte| char::from(ALPHABET[usize::from(byte % 32)]))
            .collect();
        self.codes += 1;
        let (number, secret) = (self.codes, Secret::of(&code));
        self.code = Some(Code { number, secret, painting, until: now + CODE_HOLDS });
        Ok((code, number))
    }

    /// Lets a screen in that knows the code, to see the painting that the code was made for. One that shows the token it has already
    /// sees that painting too. The code is used up by it, and by too many wrong guesses.
    ///
    /// # Errors
    /// When the code is not right, or too many wrong ones came, or too many screens are let in.
    pub(crate) fn admit(
        &mut self,
        guess: &str,
        shown: Option<&str>,
        now: Instant,
    ) -> Result<Admission, Refused> {
        while self.wrong.front().is_some_and(|&at| now.duration_since(at) >= GUESSES_FORGOTTEN) {
            self.wrong.pop_front();
        }
        if self.wrong.len() >= MAX_WRONG {
            return Err(Refused::TooManyGuesses);
        }
        let guess = Secret::of(&as_code(guess));
        let right = self.code.as_ref().is_some_and(|code| code.secret.is(&guess) && now < code.until);
        if !right {
            self.wrong.push_back(now);
            if self.wrong.len() >= MAX_WRONG {
                self.code = None;
            }
            return Err(Refused::NotTheCode);
        }
        if let Some((token, at)) = shown.and_then(|token| Some((token, self.place(token)?))) {
            let Some(code) = self.code.take() else { return Err(Refused::NotTheCode) };
            let screen = &mut self.screens[at];
            (screen.since, screen.by_code) = (Timestamp::now(), Some(code.number));
            screen.paintings.retain(|known| known.id != code.painting.id);
            let painting = code.painting.id.clone();
            screen.paintings.push(code.painting);
            return Ok(Admission { token: token.to_owned(), painting, number: screen.number });
        }
        let Some(number) = self.free_numbers().next() else { return Err(Refused::TooManyScreens) };
        let token = hex(&random::<TOKEN_BYTES>()?);
        let Some(code) = self.code.take() else { return Err(Refused::NotTheCode) };
        let painting = code.painting.id.clone();
        self.screens.push(PairedScreen {
            number,
            since: Timestamp::now(),
            paintings: vec![code.painting],
            by_code: Some(code.number),
            token: Secret::of(&token),
            sent_away: watch::Sender::new(false),
        });
        Ok(Admission { token, painting, number })
    }

    /// The screen that shows this token, if it is let in: a receiver that changes when it is sent away.
    pub(crate) fn let_in(&self, token: &str) -> Option<watch::Receiver<bool>> {
        self.screen(token).map(|screen| screen.sent_away.subscribe())
    }

    /// The paintings that the screen may see that shows this token, the one it was let in for last at the end.
    pub(crate) fn paintings_for(&self, token: &str) -> Vec<ShownPainting> {
        self.screen(token).map_or_else(Vec::new, |screen| screen.paintings.clone())
    }

    /// The number of the code that holds now.
    pub(crate) fn code_that_holds(&self, now: Instant) -> Option<u64> {
        self.code.as_ref().filter(|code| now < code.until).map(|code| code.number)
    }

    /// Whether the screen that shows this token is let in to see this painting.
    pub(crate) fn may_see(&self, token: &str, painting: &str) -> bool {
        self.screen(token).is_some_and(|screen| screen.paintings.iter().any(|known| known.id == painting))
    }

    fn screen(&self, token: &str) -> Option<&PairedScreen> {
        self.place(token).map(|at| &self.screens[at])
    }

    fn place(&self, token: &str) -> Option<usize> {
        let shown = Secret::of(token);
        self.screens.iter().position(|screen| screen.token.is(&shown))
    }

    /// The screens that are let in, in the order they came.
    pub(crate) fn screens(&self) -> &[PairedScreen] {
        &self.screens
    }

    /// Sends a screen away; false if there is none of that number.
    pub(crate) fn send_away(&mut self, number: usize) -> bool {
        let Some(at) = self.screens.iter().position(|screen| screen.number == number) else { return false };
        self.screens.remove(at).sent_away.send_replace(true);
        true
    }

    /// Lets no screen see this painting any more, by a code neither; gives whether one could. A new painting may have the id of one that is gone.
    pub(crate) fn forget_painting(&mut self, id: &str) -> bool {
        self.code.take_if(|code| code.painting.id == id);
        let mut was_known = false;
        for screen in &mut self.screens {
            let before = screen.paintings.len();
            screen.paintings.retain(|known| known.id != id);
            was_known |= screen.paintings.len() < before;
        }
        was_known
    }

    /// A painting has this title now; gives whether a screen knew it by another.
    pub(crate) fn rename(&mut self, id: &str, title: &str) -> bool {
        let known = self.screens.iter_mut().flat_map(|screen| &mut screen.paintings);
        let mut was_other = false;
        for painting in known.filter(|known| known.id == id && known.title != title) {
            title.clone_into(&mut painting.title);
            was_other = true;
        }
        was_other
    }

    /// Shows the screens nothing more and lets the code no longer hold. The screens stay known.
    pub(crate) fn shut(&mut self) {
        self.code = None;
        for screen in &mut self.screens {
            std::mem::replace(&mut screen.sent_away, watch::Sender::new(false)).send_replace(true);
        }
    }
}

impl Secret {
    fn of(text: &str) -> Self {
        Self(Sha256::digest(text).into())
    }

    fn from_hex(digits: &str) -> Option<Self> {
        let mut bytes = [0; 32];
        if digits.len() != 2 * bytes.len() {
            return None;
        }
        for (at, byte) in bytes.iter_mut().enumerate() {
            *byte = u8::from_str_radix(digits.get(2 * at..2 * at + 2)?, 16).ok()?;
        }
        Some(Self(bytes))
    }

    fn is(&self, other: &Self) -> bool {
        self.0.ct_eq(&other.0).into()
    }
}

/// A guess as the code is written, whatever case, spaces and dashes it was typed with.
fn as_code(guess: &str) -> String {
    let typed = guess.get(..MAX_GUESS_BYTES.min(guess.len())).unwrap_or_default();
    typed.chars().filter(char::is_ascii_alphanumeric).map(|letter| letter.to_ascii_uppercase()).collect()
}

fn random<const N: usize>() -> Result<[u8; N], Refused> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|_| Refused::NoChance)?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
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
}
