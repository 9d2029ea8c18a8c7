//! Apical reads IPA, says what each segment is, and sets a production against its target.
//!
//! Features: `app`, the terminal program (default); `lexicon`, the word lists compiled in,
//! some 3 MB (part of `app`). The library builds without either.

pub mod text;
pub mod diagnostic;
pub mod feature;
pub mod inventory;
pub mod notation;
pub mod articulation;
pub mod accent;
pub mod posture;
#[cfg(feature = "lexicon")]
pub mod lexicon;
pub mod distance;
pub mod alignment;
pub mod finding;
pub mod report;
#[cfg(feature = "app")]
pub mod app;
