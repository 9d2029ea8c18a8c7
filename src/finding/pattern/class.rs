//! Classes of sounds in the notation of rules, for whoever chooses sounds by their features.

use super::notation;
use super::sound::{Choice, Letter};
use crate::feature::FeatureBundle;
use crate::syllable::Site;

/// A sound or a class of them, as rules write it: `θ`, `C[-son, +voice]`, `{p, t, k}`.
#[derive(Clone, Debug)]
pub struct SoundClass {
    choice: Choice,
}

impl SoundClass {
    /// Reads a class.
    ///
    /// # Errors
    ///
    /// Why it cannot be read, and what to do about it.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::finding::pattern::SoundClass;
    /// use apical::inventory;
    /// use apical::syllable::Site;
    ///
    /// let class = SoundClass::parse("C[+fricative, -voice]").unwrap();
    /// let has = |letter: &str| {
    ///     let symbols = inventory::symbols();
    ///     let symbol = symbols.iter().find(|it| it.text == letter).unwrap();
    ///     class.holds(&symbol.bundle, &Site::default())
    /// };
    /// assert!(has("s") && has("θ") && !has("z") && !has("t"));
    /// assert!(SoundClass::parse("[+loud]").unwrap_err().0.contains("loud"));
    /// ```
    pub fn parse(text: &str) -> Result<Self, (String, String)> {
        let choice = notation::one(text)?;
        Ok(Self { choice })
    }

    /// Whether a sound at a place is one of these.
    #[must_use]
    pub fn holds(&self, bundle: &FeatureBundle, site: &Site) -> bool {
        holds(&self.choice, bundle, site)
    }
}

fn holds(choice: &Choice, bundle: &FeatureBundle, site: &Site) -> bool {
    match choice {
        Choice::Sound(sound) => sound.is(bundle, site),
        Choice::Set(all) => all.iter().any(|it| holds(it, bundle, site)),
        _ => false,
    }
}

/// The contrasts of sounds that a rule A → B loses, as places in `sounds`: every sound that
/// the rule is about with the one it becomes. Context is not asked for here.
///
/// # Errors
///
/// Why the rule cannot be read, and what to do about it.
///
/// # Examples
///
/// ```
/// use apical::accent::Accent;
/// use apical::finding::pattern::contrasts;
///
/// let accent = Accent::named("en-US").unwrap();
/// let sounds: Vec<_> = accent.phonemes().iter().map(|it| it.bundle).collect();
/// let lost = contrasts("C[+fricative, +voice] → [-voice]", &sounds).unwrap();
/// let text = |at: usize| accent.phonemes()[at].text;
/// assert!(lost.iter().any(|(a, b)| (text(*a), text(*b)) == ("z", "s")));
/// assert!(!lost.iter().any(|(a, b)| (text(*a), text(*b)) == ("z", "f")));
/// ```
pub fn contrasts(
    rule: &str,
    sounds: &[FeatureBundle],
) -> Result<Vec<(usize, usize)>, (String, String)> {
    let (from, to) = notation::change(rule)?;
    let site = Site::default();
    let becomes = |one: &FeatureBundle, other: &FeatureBundle| match (&from, &to) {
        // Two sets of one size answer each other member by member.
        (Choice::Set(from), Choice::Set(to)) if from.len() == to.len() => from
            .iter()
            .zip(to)
            .any(|(from, to)| holds(from, one, &site) && holds(to, other, &site)),
        (from, Choice::Sound(to)) if matches!(to.letter, Letter::Any) => {
            holds(from, one, &site) && to.changes(one, (other, &site))
        }
        (from, to) => holds(from, one, &site) && holds(to, other, &site),
    };
    let mut found = Vec::new();
    for (at, one) in sounds.iter().enumerate() {
        for (to, other) in sounds.iter().enumerate() {
            if one != other && becomes(one, other) {
                found.push((at, to));
            }
        }
    }
    Ok(found)
}
