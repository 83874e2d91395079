//! Tells a second start of the studio that the first one still has the folder open: a painter who starts the program twice wants to see
//! her paintings, not a second studio at another address.

use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};
use std::time::Duration;

use tokio::time::sleep;

/// This file in the shelf's folder is locked while a studio has it open. The system unlocks it when the program ends, however it ends.
const LOCK_FILE: &str = ".studio-open";

/// Where that studio is. A file of its own, since some systems let nobody read one that is locked.
const ADDRESS_FILE: &str = ".studio-address";

/// How often, and how many times, a studio that has just been started is asked for its address: it is known in some hundredths of a second.
const ASKED_EVERY: Duration = Duration::from_millis(50);
const ASKED_TIMES: u32 = 60;

/// The folder is this studio's until this is dropped.
pub(crate) struct Claim {
    _lock: File,
    address: PathBuf,
}

/// Who has the folder.
pub(crate) enum Holder {
    /// This studio, from now on.
    Mine(Claim),
    /// A studio at this address.
    Elsewhere(String),
    /// Nobody knows: the folder cannot be written to, or who has it does not say where it is.
    Unknown,
}

/// Takes the folder for this studio, unless another has it. Of two that are started at the same moment one gets it, and the other is told
/// its address as soon as that is known.
pub(crate) async fn claim(folder: &Path) -> Holder {
    let address = folder.join(ADDRESS_FILE);
    let Ok(lock) = File::create(folder.join(LOCK_FILE)) else { return Holder::Unknown };
    match lock.try_lock() {
        Ok(()) => {
            // That of a studio that has ended is not to be taken for this one's. There may be none.
            let _ = fs::remove_file(&address);
            Holder::Mine(Claim { _lock: lock, address })
        }
        Err(TryLockError::WouldBlock) => {
            for _ in 0..ASKED_TIMES {
                match fs::read_to_string(&address) {
                    Ok(address) if !address.is_empty() => return Holder::Elsewhere(address),
                    _ => sleep(ASKED_EVERY).await,
                }
            }
            Holder::Unknown
        }
        Err(TryLockError::Error(_)) => Holder::Unknown,
    }
}

impl Claim {
    /// Tells where this studio is.
    pub(crate) fn tell(&self, address: &str) {
        // Where it cannot be told, a second start opens a studio of its own, as it would without a claim.
        let _ = fs::write(&self.address, address);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn a_folder_is_open_elsewhere_for_as_long_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        let folder = folder.path();
        fs::write(folder.join(ADDRESS_FILE), "http://127.0.0.1:9/").unwrap();
        let Holder::Mine(claim) = claim(folder).await else { panic!("nobody has it") };
        // The second is started before the first knows its address, and is not sent to where an earlier one was.
        let second = tokio::spawn({
            let folder = folder.to_owned();
            async move { super::claim(&folder).await }
        });
        sleep(ASKED_EVERY).await;
        claim.tell("http://127.0.0.1:7448/");
        let Holder::Elsewhere(address) = second.await.unwrap() else { panic!("the first has it") };
        assert_eq!(address, "http://127.0.0.1:7448/");
        drop(claim);
        assert!(matches!(super::claim(folder).await, Holder::Mine(_)));
    }
}
