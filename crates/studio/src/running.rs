//! Tells a second start of the studio that the first one still has the folder open: a painter who starts the program twice wants to see
//! her paintings, not a second studio at another address.

use std::fs::{self, File, TryLockError};
use std::path::Path;

/// This file in the shelf's folder is locked while a studio has it open. The system unlocks it when the program ends, however it ends.
const LOCK_FILE: &str = ".studio-open";

/// Where that studio is. A file of its own, since some systems let nobody read one that is locked.
const ADDRESS_FILE: &str = ".studio-address";

/// A folder is told to be open until this is dropped.
pub(crate) struct Told {
    _lock: File,
}

/// The address of a studio that has the folder open.
pub(crate) fn elsewhere(folder: &Path) -> Option<String> {
    let lock = File::open(folder.join(LOCK_FILE)).ok()?;
    match lock.try_lock() {
        Err(TryLockError::WouldBlock) => fs::read_to_string(folder.join(ADDRESS_FILE)).ok(),
        Ok(()) | Err(TryLockError::Error(_)) => None,
    }
}

/// Tells that the folder is open at an address; not where the folder cannot be written to or another studio has it open too.
pub(crate) fn tell(folder: &Path, address: &str) -> Option<Told> {
    let lock = File::create(folder.join(LOCK_FILE)).ok()?;
    lock.try_lock().ok()?;
    fs::write(folder.join(ADDRESS_FILE), address).ok()?;
    Some(Told { _lock: lock })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_is_open_elsewhere_for_as_long_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(elsewhere(folder.path()), None);
        let told = tell(folder.path(), "http://127.0.0.1:7448/").unwrap();
        assert_eq!(elsewhere(folder.path()).as_deref(), Some("http://127.0.0.1:7448/"));
        assert!(tell(folder.path(), "http://127.0.0.1:9/").is_none());
        assert_eq!(elsewhere(folder.path()).as_deref(), Some("http://127.0.0.1:7448/"));
        drop(told);
        assert_eq!(elsewhere(folder.path()), None);
    }
}
