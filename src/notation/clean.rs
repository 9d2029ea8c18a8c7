//! Yes or no, at the speed of one table look-up a byte.

use super::Transcription;
use super::judge::LONG_STRETCH;
use crate::inventory;

/// Whether a text is a transcription about which there is nothing to say: no fault, no
/// warning, no remark. True only where [`Transcription::parse`] finds nothing; false is no
/// verdict, but means that the text has to be parsed to know.
///
/// Takes bytes, so that ill-formed UTF-8 may be handed in: it is never clean. One table
/// look-up a byte; allocates nothing.
///
/// # Examples
///
/// ```
/// use apical::notation;
///
/// assert!(notation::is_clean("[ˈt͡ʃʰiːz]".as_bytes()));
/// assert!(!notation::is_clean("/bed:/".as_bytes()));
/// ```
#[must_use]
pub fn is_clean(text: &[u8]) -> bool {
    text.len() < LONG_STRETCH && inventory::takes(text)
}

/// Whether a text has a reading: the same answer as [`Transcription::is_valid`], found
/// without parsing where it can be. `buffer` is used for what has to be parsed.
///
/// # Examples
///
/// ```
/// use apical::notation::{Transcription, is_valid};
///
/// let mut buffer = Transcription::default();
/// assert!(is_valid("tʰiː", &mut buffer));
/// assert!(!is_valid("bed:", &mut buffer));
/// ```
#[inline]
#[must_use]
pub fn is_valid(text: &str, buffer: &mut Transcription) -> bool {
    let reads = match text.as_bytes() {
        [b'[', inside @ .., b']'] => inventory::reads(inside),
        // A slash after a sign between variants opens again.
        [b'/', inside @ .., b'/'] => {
            inventory::reads(inside) && !text.contains(inventory::VARIANTS)
        }
        text => inventory::reads(text),
    };
    reads || parsed_is_valid(text, buffer)
}

#[cold]
fn parsed_is_valid(text: &str, buffer: &mut Transcription) -> bool {
    buffer.reparse(text);
    buffer.is_valid()
}
