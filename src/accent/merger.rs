//! Phonemes that an accent, with the options declared, does not keep apart.

use super::Accent;
use crate::inventory::{AllophoneRow, Where};

/// A phoneme that is another one where an option says so: *caught* with the vowel of *cot*.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Merger {
    /// The phoneme that disappears, by its number.
    pub from: u16,
    /// What it is said as.
    pub into: u16,
    /// The phoneme that must follow, or, with `false`, must not; `None` where nothing is asked.
    pub before: Option<(u16, bool)>,
    /// The rule that says so.
    pub row: &'static AllophoneRow,
}

impl Accent {
    /// The vowels that the options declared make one, so that a word list can be read as those
    /// who speak so hear it. Of a rule that works both ways the first direction counts.
    ///
    /// Only rules of options about single vowels and at most the sound that follows: what is
    /// more than that, or open to every speaker, [`Accent::alike`] tells word by word.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::accent::Accent;
    ///
    /// let accent = Accent::named("en-US").unwrap();
    /// let declared = accent.declared(["cot-caught"]).unwrap();
    /// let number = |text: &str| {
    ///     declared.phonemes().iter().find(|it| it.text == text).unwrap().number
    /// };
    /// let merger = *declared.mergers().iter().find(|it| it.from == number("ɔ")).unwrap();
    /// assert_eq!(merger.into, number("ɑ"));
    /// assert_eq!(merger.before, Some((number("ɹ"), false)));
    /// ```
    ///
    /// # Source
    ///
    /// The rules and their sources: `allophones.tsv` of the accent.
    #[must_use]
    pub fn mergers(&self) -> Vec<Merger> {
        let mut mergers: Vec<Merger> = Vec::new();
        let number = |text: &str| {
            let known = self.phonemes.iter().find(|it| it.text == text);
            known.map(|it| it.number)
        };
        let nucleus = 1 << Where::Nucleus as u16;
        for row in self.allophones() {
            let plain = row.left.is_empty() && row.not_left.is_empty();
            let single = |runs: &[&[&[&str]]]| runs.iter().all(|run| run.len() == 1);
            if row.option.is_empty()
                || !plain
                || row.places != nucleus
                || !single(row.right)
                || !single(row.not_right)
            {
                continue;
            }
            let Some(into) = row.becomes.first().and_then(|text| number(text)) else {
                continue;
            };
            let neighbours = |runs: &[&[&[&str]]], follows: bool| -> Vec<(u16, bool)> {
                let members = runs.iter().flat_map(|run| run.iter()).flat_map(|it| *it);
                let members = members.filter_map(|text| number(text));
                members.map(|it| (it, follows)).collect()
            };
            let mut contexts: Vec<Option<(u16, bool)>> =
                neighbours(row.right, true).into_iter().map(Some).collect();
            match neighbours(row.not_right, false).as_slice() {
                [] => {}
                [one] if contexts.is_empty() => contexts.push(Some(*one)),
                _ => continue,
            }
            if contexts.is_empty() && row.right.is_empty() {
                contexts.push(None);
            }
            for sound in row.sounds {
                let [text] = sound else { continue };
                let Some(from) = number(text) else { continue };
                for before in &contexts {
                    let reverse = mergers.iter().any(|it| {
                        it.from == into && it.into == from && it.before == *before
                    });
                    if !reverse && from != into {
                        mergers.push(Merger {
                            from,
                            into,
                            before: *before,
                            row,
                        });
                    }
                }
            }
        }
        mergers
    }
}
