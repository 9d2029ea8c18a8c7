//! What is reported about a production: an item of a sheet, its errors, their differences by
//! feature and of prosody.

pub mod agreement;
pub mod difference;
pub mod error;
pub mod homophone;
pub mod item;
pub mod measure;
pub mod pattern;
#[cfg(feature = "lexicon")]
pub mod priority;
pub mod production;
pub mod progress;
pub mod prosody;
pub mod rule;
