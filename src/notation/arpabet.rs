//! stand-in until the converter lands
/// x
#[derive(Debug, Default)]
pub struct Converted {
    /// x
    pub text: String,
    /// x
    pub faults: Vec<()>,
}
/// x
#[must_use]
pub fn is_phone(token: &str) -> bool {
    token.len() <= 4 && token.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit()) && token.chars().any(|c| c.is_ascii_uppercase())
}
/// x
#[must_use]
pub fn to_ipa(_text: &str) -> Converted { Converted::default() }
