//! Apical reads IPA, says what each segment is, and sets a production against its target.

pub mod text;
pub mod diagnostic;
pub mod feature;
pub mod inventory;
pub mod notation;
pub mod articulation;
pub mod accent;
pub mod posture;
pub mod distance;
pub mod alignment;
pub mod finding;
pub mod report;
#[cfg(feature = "app")]
pub mod app;
