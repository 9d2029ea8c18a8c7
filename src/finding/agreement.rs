//! How far two or more transcribers agree, in numbers: pairs of labels in, coefficients out, and over
//! two transcriptions of one sample.
//!
//! Nothing here says how much agreement is enough: cut-offs in use are convention.

pub mod alpha;
pub mod kappa;
pub mod transcribers;
