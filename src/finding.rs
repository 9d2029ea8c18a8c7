//! What is reported about a production: differences by feature and of
//! prosody.

pub mod difference;
pub mod production;
pub mod prosody;
