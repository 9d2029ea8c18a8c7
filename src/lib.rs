//! Apical reads IPA, says what each segment is, and sets a production against its target.
//!
//! Features: `app`, the terminal program (default); `lexicon`, the word lists compiled in,
//! some 3 MB, and `pictures`, mouths and charts as SVG and in dots (both part of `app`). The
//! library builds without any. `c`, the C interface of a shared library.

pub mod accent;
pub mod alignment;
#[cfg(feature = "app")]
pub mod app;
pub mod articulation;
#[cfg(feature = "c")]
pub mod c;
pub mod diagnostic;
pub mod distance;
pub mod feature;
pub mod finding;
pub mod inventory;
#[cfg(feature = "lexicon")]
pub mod lexicon;
#[cfg(feature = "lexicon")]
pub mod material;
pub mod notation;
pub mod posture;
pub mod practice;
pub mod record;
pub mod report;
pub mod syllable;
pub mod text;
