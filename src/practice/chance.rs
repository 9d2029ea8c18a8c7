//! Numbers drawn from a seed: the same seed gives the same exercises on every machine.

/// A source of numbers.
///
/// # Source
///
/// SplitMix64: Steele, Lea and Flood (2014), Fast Splittable Pseudorandom Number Generators.
/// Chosen over a crate because a course must come out the same in years, whatever a crate's
/// next version does.
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// A source with a seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::practice::Chance;
    ///
    /// // The first numbers that the published algorithm gives for this seed.
    /// let mut chance = Chance::new(1_234_567);
    /// assert_eq!(chance.next(), 6_457_827_717_110_365_317);
    /// assert_eq!(chance.next(), 3_203_168_211_198_807_973);
    /// ```
    #[allow(
        clippy::should_implement_trait,
        reason = "numbers without end are no sequence to walk through"
    )]
    pub const fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// A number below a bound; 0 where the bound is.
    pub fn below(&mut self, bound: usize) -> usize {
        let wide = u128::from(self.next()) * bound as u128;
        usize::try_from(wide >> 64).unwrap_or(0)
    }

    /// Puts a list in another order, each order as likely as the others.
    ///
    /// # Source
    ///
    /// Durstenfeld (1964), Algorithm 235.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for at in (1..list.len()).rev() {
            let other = self.below(at + 1);
            list.swap(at, other);
        }
    }
}
