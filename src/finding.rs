//! What is reported about a production: differences by feature.

pub mod difference;
