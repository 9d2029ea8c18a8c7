//! The questions that published sources answer differently, as switches.

/// What the scoring rules are called in reports, with their version.
pub const RULE_SET: &str = "Apical scoring rules 1";

/// How the open questions are answered.
#[derive(Clone, Debug, PartialEq, Eq)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each is a question of its own that is answered yes or no"
)]
pub struct Rules {
    /// An added consonant makes the consonant it is attached to wrong. Default: yes
    /// (Shriberg & Kwiatkowski 1982, from memory); never before a vowel.
    pub added_consonant_counts: bool,
    /// An added vowel makes the consonant it breaks away wrong. Default: no; no published
    /// ruling was found.
    pub added_vowel_counts: bool,
    /// An \[h\] left out of an unstressed syllable is an error. Default: no (Shriberg &
    /// Kwiatkowski 1982, from memory).
    pub unstressed_h_counts: bool,
    /// \[n\] for \[ŋ\] in an unstressed syllable is an error. Default: no, as above.
    pub unstressed_ng_counts: bool,
    /// A voiceless consonant for its voiced mate counts at the end of a word. Default: yes
    /// (Shriberg & Kwiatkowski 1982, from memory); some scoring forms score voicing at the
    /// beginning of words alone.
    pub final_devoicing_counts: bool,
    /// Every repetition of a word in a row counts. Default: no, see
    /// [`Sample::of`](super::Sample::of).
    pub every_repetition: bool,
    /// Segments beyond the target's earn points in PMLU and PWP. Default: no (Ingram 2002).
    pub added_segments_earn: bool,
    /// \[h\] is a fricative for the word complexity. Default: yes; not settled by what could
    /// be read.
    pub h_is_fricative: bool,
    /// In how many different words a sound must be heard to stand in the phonetic inventory.
    /// Default: 2, Bleile's criterion for speech that is understood, as taught; 3 for speech
    /// that is not.
    pub inventory_words: usize,
}

impl Default for Rules {
    fn default() -> Self {
        Self {
            added_consonant_counts: true,
            added_vowel_counts: false,
            unstressed_h_counts: false,
            unstressed_ng_counts: false,
            final_devoicing_counts: true,
            every_repetition: false,
            added_segments_earn: false,
            h_is_fricative: true,
            inventory_words: 2,
        }
    }
}

/// The switches by their names, in the order of reports, each with what it decides.
pub const SWITCHES: &[(&str, &str)] = &[
    (
        "added-consonant-counts",
        "an added consonant makes the one it is attached to wrong",
    ),
    (
        "added-vowel-counts",
        "an added vowel makes the consonant it breaks away wrong",
    ),
    (
        "unstressed-h-counts",
        "h left out of an unstressed syllable is an error",
    ),
    (
        "unstressed-ng-counts",
        "n for ŋ in an unstressed syllable is an error",
    ),
    (
        "final-devoicing-counts",
        "a devoiced consonant at a word's end is an error",
    ),
    (
        "every-repetition",
        "every repetition of a word in a row counts",
    ),
    (
        "added-segments-earn",
        "segments beyond the target's earn points in PMLU and PWP",
    ),
    ("h-is-fricative", "h is a fricative for the word complexity"),
];

/// The rule that has a number for its value.
pub const INVENTORY_WORDS: (&str, &str) = (
    "inventory-words",
    "in how many different words a sound must be heard to stand in the inventory",
);

/// A name that no switch has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownSwitch(pub String);

/// Why a rule could not be set as it was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unset {
    /// No rule has the name.
    Name(String),
    /// The rule has the name, and cannot have the value.
    Value {
        /// The rule.
        name: &'static str,
        /// What was typed for its value; `None` where there was no `=`.
        value: Option<String>,
        /// What it may be.
        may_be: &'static str,
    },
}

/// What a switch may be.
const YES_OR_NO: &str = "yes or no";
/// What the number of words may be.
const A_NUMBER: &str = "a whole number from 1 to 99";

impl Rules {
    /// Sets the switch of that name.
    ///
    /// # Errors
    /// No switch has the name.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::finding::measure::rules::Rules;
    ///
    /// let mut rules = Rules::default();
    /// rules.set("added-vowel-counts", true).unwrap();
    /// assert!(rules.added_vowel_counts);
    /// assert!(rules.set("added-tone-counts", true).is_err());
    /// ```
    pub fn set(&mut self, name: &str, on: bool) -> Result<(), UnknownSwitch> {
        *self
            .switch(name)
            .ok_or_else(|| UnknownSwitch(name.to_owned()))? = on;
        Ok(())
    }

    /// Sets the rule that is typed as `NAME=VALUE`.
    ///
    /// # Errors
    /// No rule has the name, or it cannot have the value.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::finding::measure::rules::Rules;
    ///
    /// let mut rules = Rules::default();
    /// rules.set_typed("final-devoicing-counts=no").unwrap();
    /// rules.set_typed("inventory-words=3").unwrap();
    /// assert!(!rules.final_devoicing_counts && rules.inventory_words == 3);
    /// assert!(rules.set_typed("inventory-words=many").is_err());
    /// ```
    pub fn set_typed(&mut self, typed: &str) -> Result<(), Unset> {
        let (name, value) = match typed.split_once('=') {
            Some((name, value)) => (name.trim(), Some(value.trim())),
            None => (typed.trim(), None),
        };
        let unset = |name, may_be| Unset::Value {
            name,
            value: value.map(str::to_owned),
            may_be,
        };
        if name == INVENTORY_WORDS.0 {
            let number = value.and_then(|it| it.parse().ok());
            self.inventory_words = number
                .filter(|it| (1..100).contains(it))
                .ok_or_else(|| unset(INVENTORY_WORDS.0, A_NUMBER))?;
            return Ok(());
        }
        let known = SWITCHES.iter().find(|(known, _)| *known == name);
        let (known, _) = known.ok_or_else(|| Unset::Name(name.to_owned()))?;
        let on = match value {
            Some("yes") => true,
            Some("no") => false,
            _ => return Err(unset(known, YES_OR_NO)),
        };
        self.set(known, on)
            .map_err(|UnknownSwitch(name)| Unset::Name(name))
    }

    /// Every rule: its name, its value, whether that is the usual one, what it decides.
    #[must_use]
    pub fn all(&self) -> Vec<(&'static str, String, bool, &'static str)> {
        let (mut own, mut usual) = (self.clone(), Self::default());
        let mut all = Vec::new();
        for (name, decides) in SWITCHES {
            if let (Some(set), Some(default)) = (own.switch(name), usual.switch(name)) {
                let value = if *set { "yes" } else { "no" };
                all.push((*name, value.to_owned(), set == default, *decides));
            }
        }
        let words = self.inventory_words;
        let is_usual = words == Self::default().inventory_words;
        let (name, decides) = INVENTORY_WORDS;
        all.push((name, words.to_string(), is_usual, decides));
        all
    }

    fn switch(&mut self, name: &str) -> Option<&mut bool> {
        Some(match name {
            "added-consonant-counts" => &mut self.added_consonant_counts,
            "added-vowel-counts" => &mut self.added_vowel_counts,
            "unstressed-h-counts" => &mut self.unstressed_h_counts,
            "unstressed-ng-counts" => &mut self.unstressed_ng_counts,
            "final-devoicing-counts" => &mut self.final_devoicing_counts,
            "every-repetition" => &mut self.every_repetition,
            "added-segments-earn" => &mut self.added_segments_earn,
            "h-is-fricative" => &mut self.h_is_fricative,
            _ => return None,
        })
    }

    /// The rule set with the given definition and every switch that is not as usual.
    #[must_use]
    pub fn named(&self, definition: &str) -> String {
        let mut text = format!("{RULE_SET}: {definition}");
        for (name, value, is_usual, _) in self.all() {
            if !is_usual {
                text.push_str("; ");
                text.push_str(name);
                text.push('=');
                text.push_str(&value);
            }
        }
        text
    }
}
