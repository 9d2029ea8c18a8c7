//! What is reported about a production: an item of a sheet, its errors, their differences by
//! feature and of prosody.

pub mod difference;
pub mod error;
pub mod item;
pub mod production;
pub mod prosody;
