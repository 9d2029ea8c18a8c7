//! What is reported about a production: an item of a sheet, its errors, their differences by
//! feature and of prosody.

pub mod agreement;
pub mod difference;
pub mod error;
pub mod item;
pub mod measure;
pub mod production;
pub mod prosody;
