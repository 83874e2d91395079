//! Locks that outlive a panic.

use std::sync::{Mutex, MutexGuard, PoisonError};

/// A lock whose holder panicked still holds sound data: every change of it is whole or not made at all.
pub(crate) fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
