//! stand-in
pub use super::x_sampa::*;
/// x
#[must_use]
pub fn is_phone(token: &str) -> bool {
    token.len() <= 4 && token.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit()) && token.chars().any(|c| c.is_ascii_uppercase())
}
