//! The C interface: validate, find faults, describe.
//!
//! Six functions that change only by addition; [`apical_abi_version`] counts those that
//! would break a caller. Texts come in as bytes with their length and need no end mark;
//! answers go out as JSON with one, in the objects of [`crate::report::json`], and belong
//! to the caller until [`apical_free`]. Nothing is kept between calls, so any thread may
//! call at any time. No panic crosses the border.
//!
//! `src/apical.h` is made from this file; a test compares.

#![allow(
    unsafe_code,
    reason = "the one place where pointers come from outside; each use says why it is sound"
)]

use std::ffi::{CStr, CString, c_char};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::ptr;

use serde::Serialize;

use crate::articulation;
use crate::diagnostic::{Code, Diagnostic};
use crate::feature::Class;
use crate::notation::{self, Segment, Transcription};
use crate::posture;
use crate::report::{Fault, json};
use crate::text::Span;

/// The version of this interface: it grows when a caller built against an older one would
/// break.
pub const APICAL_ABI_VERSION: u32 = 1;

/// The version of the interface that the library was built with; compare it with
/// `APICAL_ABI_VERSION` of the header.
#[unsafe(no_mangle)]
pub extern "C" fn apical_abi_version() -> u32 {
    APICAL_ABI_VERSION
}

/// The version of the library, such as `0.1.0`. Never freed.
#[unsafe(no_mangle)]
pub extern "C" fn apical_version() -> *const c_char {
    const VERSION: &str = concat!(env!("CARGO_PKG_VERSION"), "\0");
    const WHOLE: &CStr = match CStr::from_bytes_with_nul(VERSION.as_bytes()) {
        Ok(version) => version,
        Err(_) => c"",
    };
    WHOLE.as_ptr()
}

/// Whether `length` bytes at `text` are a transcription with a reading: 1 yes, 0 no, -1 if
/// `text` is null. Bytes that are not UTF-8 have no reading.
///
/// # Safety
///
/// `text` is null, or `length` bytes can be read there until the call returns.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn apical_is_valid(text: *const c_char, length: usize) -> i32 {
    // SAFETY: the caller promises what `bytes` asks for.
    let Some(bytes) = (unsafe { bytes(text, length) }) else {
        return -1;
    };
    guarded(-1, || {
        let valid = str::from_utf8(bytes)
            .is_ok_and(|text| notation::is_valid(text, &mut Transcription::default()));
        i32::from(valid)
    })
}

/// What is wrong with `length` bytes at `text`: the object that `apical check --format json`
/// writes. Null if `text` is null. To be given to `apical_free`.
///
/// # Safety
///
/// `text` is null, or `length` bytes can be read there until the call returns.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn apical_check(text: *const c_char, length: usize) -> *mut c_char {
    // SAFETY: the caller promises what `bytes` asks for.
    answer(unsafe { bytes(text, length) }, |read| {
        let origin = origin();
        written(&json::Check {
            version: origin.version,
            id: origin.id,
            line: origin.line,
            file: origin.file,
            place: origin.place,
            text: read.transcription.text(),
            was: None,
            ipa: None,
            valid: read.ill_formed.is_none() && read.transcription.is_valid(),
            notation: read.transcription.notation().name(),
            diagnostics: json::Lazy(|| read.diagnostics()),
        })
    })
}

/// What each segment of `length` bytes at `text` is: the object that `apical describe
/// --format json` writes. Null if `text` is null. To be given to `apical_free`.
///
/// # Safety
///
/// `text` is null, or `length` bytes can be read there until the call returns.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn apical_describe(
    text: *const c_char,
    length: usize,
) -> *mut c_char {
    // SAFETY: the caller promises what `bytes` asks for.
    answer(unsafe { bytes(text, length) }, |read| {
        written(&json::Description {
            origin: origin(),
            text: read.transcription.text(),
            ipa: None,
            diagnostics: json::Lazy(|| read.diagnostics()),
            segments: json::Lazy(|| {
                let segments = read.transcription.segments();
                let whole = read.ill_formed.is_none();
                segments.filter(move |_| whole).map(|one| segment(&one))
            }),
        })
    })
}

/// Gives an answer back. Null is let pass.
///
/// # Safety
///
/// `answer` is null or came from a function of this library, and is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn apical_free(answer: *mut c_char) {
    if !answer.is_null() {
        // SAFETY: it was made by `CString::into_raw`, and the caller gives it up.
        drop(unsafe { CString::from_raw(answer) });
    }
}

/// The caller's bytes; none at a null pointer, or where there are more than a slice can
/// hold.
///
/// # Safety
///
/// `text` is null, or `length` bytes can be read there for as long as the slice is used.
unsafe fn bytes<'a>(text: *const c_char, length: usize) -> Option<&'a [u8]> {
    if text.is_null() || isize::try_from(length).is_err() {
        return None;
    }
    // SAFETY: not null, no longer than a slice may be, readable by the caller's promise;
    // any byte is a `u8`, which needs no alignment.
    Some(unsafe { std::slice::from_raw_parts(text.cast::<u8>(), length) })
}

/// Does the work; gives `otherwise` if it panics, which no input is known to bring about.
fn guarded<T>(otherwise: T, work: impl FnOnce() -> T) -> T {
    // What the work changes is dropped with it.
    catch_unwind(AssertUnwindSafe(work)).unwrap_or(otherwise)
}

/// A text that was read, or as much of it as is text.
struct Read {
    transcription: Transcription,
    ill_formed: Option<Diagnostic>,
}

impl Read {
    fn new(bytes: &[u8]) -> Self {
        let text = String::from_utf8_lossy(bytes);
        let ill_formed = str::from_utf8(bytes).err().map(|error| {
            let start = error.valid_up_to();
            let end = error
                .error_len()
                .map_or(bytes.len(), |length| start + length);
            Diagnostic::in_words(
                Code::Utf8IllFormed,
                Span::new(start, end),
                format!("from byte {start} on, this is not well-formed UTF-8"),
                Some("hand in UTF-8".to_owned()),
            )
        });
        Self {
            transcription: Transcription::parse(&text),
            ill_formed,
        }
    }

    fn diagnostics(&self) -> impl Iterator<Item = json::Diagnostic> {
        let own = match self.ill_formed {
            Some(_) => &[],
            None => self.transcription.diagnostics(),
        };
        let text = self.transcription.text();
        let all = self.ill_formed.iter().chain(own);
        all.map(move |found| Fault::new(found, text).into())
    }
}

fn answer(bytes: Option<&[u8]>, write: impl FnOnce(&Read) -> *mut c_char) -> *mut c_char {
    bytes.map_or(ptr::null_mut(), |bytes| {
        guarded(ptr::null_mut(), || write(&Read::new(bytes)))
    })
}

fn written(object: &impl Serialize) -> *mut c_char {
    let text = serde_json::to_vec(object).ok();
    // JSON has no NUL in it.
    text.and_then(|text| CString::new(text).ok())
        .map_or(ptr::null_mut(), CString::into_raw)
}

const fn origin() -> json::Origin<'static, ()> {
    json::Origin {
        version: json::VERSION,
        id: (),
        line: 1,
        file: None,
        place: None,
    }
}

fn segment<'t>(segment: &Segment<'t>) -> json::Segment<'t> {
    let bundle = articulation::bundle(segment);
    let sound = !matches!(bundle.class, Class::Tone | Class::Pause);
    let span = segment.span();
    let words = json::Written {
        text: segment.text(),
        start: span.start,
        end: span.end,
        base: segment.base(),
        marks: segment.mark_names(),
        name: articulation::name(&bundle),
    };
    let posture = sound.then(|| posture::of(&bundle));
    let glide = sound.then(|| posture::glide_of(&bundle)).flatten();
    json::Segment::new(words, &bundle, posture.as_ref(), glide.as_ref())
}
