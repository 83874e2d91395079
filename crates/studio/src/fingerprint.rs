//! Short names for things that are told apart by their content.

use std::fmt::Write as _;

use sha2::{Digest, Sha256};

/// The first eight bytes of the SHA-256 of some bytes, in hexadecimal.
pub(crate) fn fingerprint(bytes: impl AsRef<[u8]>) -> String {
    hex(&Sha256::digest(bytes)[..8])
}

/// Bytes in hexadecimal.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}
