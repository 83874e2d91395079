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
mod tests;
