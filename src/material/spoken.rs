//! Words as the accent says them: every sound with its place.

use crate::accent::{Accent, Merger};
use crate::feature::FeatureBundle;
use crate::finding::item::Side;
use crate::inventory::PhonemeKind;
use crate::lexicon::{Lexicon, Mark, Phoneme};
use crate::syllable::{Part, Position, Site, Stress};

/// A sound of a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Placed {
    /// The phoneme's number in the accent.
    pub number: u16,
    /// For a vowel before the r of its own syllable: the r-coloured vowel that the two are.
    /// Such a vowel counts as that and not as the plain vowel; its r counts as r too.
    pub coloured: Option<u16>,
    /// Where it stands.
    pub site: Site,
}

impl Placed {
    /// The phoneme it counts as.
    #[must_use]
    pub fn counts_as(&self) -> u16 {
        self.coloured.unwrap_or(self.number)
    }
}

/// A pronunciation.
pub type Spoken = Vec<Placed>;

/// An accent as drill material wants it: its phonemes by number, what its options merge, and
/// its r-coloured vowels as the word list writes them, a vowel and an r.
#[derive(Clone, Debug)]
pub struct Sounds {
    accent: Accent,
    /// The accent's numbers of the word list's phonemes.
    numbers: Vec<u16>,
    /// Features by the accent's numbers.
    bundles: Vec<Option<FeatureBundle>>,
    /// Vowel, r, and what they make.
    coloured: Vec<[u16; 3]>,
    /// Syllabic consonants, each with the vowel and the consonant that the list writes.
    syllabic: Vec<[u16; 3]>,
    mergers: Vec<Merger>,
    /// What options merge that are not declared.
    undeclared: Vec<Merger>,
}

impl Sounds {
    /// The sounds of an accent for the words of a list.
    #[must_use]
    pub fn new(accent: &Accent, lexicon: &Lexicon) -> Self {
        let phonemes = accent.phonemes();
        let untied = |text: &str| text.replace('\u{361}', "");
        let numbers = lexicon
            .phonemes()
            .map(|phoneme| {
                let known = phonemes
                    .iter()
                    .find(|it| untied(it.text) == untied(phoneme.text()));
                known.map_or(u16::MAX, |it| it.number)
            })
            .collect();
        let most = phonemes.iter().map(|it| usize::from(it.number) + 1).max();
        let mut bundles = vec![None; most.unwrap_or(0)];
        for phoneme in phonemes {
            if let Some(slot) = bundles.get_mut(usize::from(phoneme.number)) {
                slot.get_or_insert(phoneme.bundle);
            }
        }
        let schwa = phonemes.iter().find(|it| {
            let row = accent.row(it.number);
            it.kind == PhonemeKind::Monophthong && row.is_some_and(|row| row.reduced)
        });
        let (mut coloured, mut syllabic) = (Vec::new(), Vec::new());
        for phoneme in phonemes {
            let same = |it: &&[u16; 3]| it[2] == phoneme.number;
            match (phoneme.kind, phoneme.parts.as_slice()) {
                // Not another spelling, in two letters, of a vowel that the list writes in one.
                (PhonemeKind::RColoured, [vowel, r])
                    if phoneme.text.contains('\u{361}')
                        && coloured.iter().all(|it| !same(&it)) =>
                {
                    let parts = [vowel, r].map(|part| accent.phoneme_of(&[*part]));
                    if let [Some(vowel), Some(r)] = parts {
                        coloured.push([vowel.number, r.number, phoneme.number]);
                    }
                }
                (PhonemeKind::Syllabic, _) => {
                    let plain = FeatureBundle {
                        syllabic: false,
                        ..phoneme.bundle
                    };
                    let plain = accent.phoneme_of(&[plain]);
                    if let (Some(schwa), Some(plain)) = (schwa, plain) {
                        syllabic.push([schwa.number, plain.number, phoneme.number]);
                    }
                }
                _ => {}
            }
        }
        let names = accent.options().iter().map(|option| option.name);
        let everything = accent.declared(names).map(|it| it.mergers());
        let mergers = accent.mergers();
        let mut undeclared = everything.unwrap_or_default();
        undeclared.retain(|it| !mergers.contains(it));
        Self {
            accent: accent.clone(),
            numbers,
            bundles,
            coloured,
            syllabic,
            mergers,
            undeclared,
        }
    }

    /// The accent.
    #[must_use]
    pub fn accent(&self) -> &Accent {
        &self.accent
    }

    /// The r-coloured vowels that are two sounds of the word list: vowel, r, the whole.
    #[must_use]
    pub fn coloured(&self) -> &[[u16; 3]] {
        &self.coloured
    }

    /// What the options declared merge.
    #[must_use]
    pub fn mergers(&self) -> &[Merger] {
        &self.mergers
    }

    /// The phonemes that words have, by number: those of the word list and the r-coloured
    /// vowels, without what options merge everywhere.
    #[must_use]
    pub fn inventory(&self) -> Vec<u16> {
        let gone = |number: &u16| {
            let mut all = self.mergers.iter();
            all.any(|it| it.from == *number && it.before.is_none())
        };
        let mut all: Vec<u16> = self.numbers.clone();
        all.extend(self.coloured.iter().map(|it| it[2]));
        all.retain(|number| *number != u16::MAX && !gone(number));
        all.sort_unstable();
        all.dedup();
        all
    }

    /// How a phoneme is written: as the word list does, diphthongs untied.
    #[must_use]
    pub fn text(&self, number: u16) -> String {
        let Some(row) = self.accent.row(number) else {
            return String::new();
        };
        match row.kind {
            PhonemeKind::Affricate => row.text.to_owned(),
            _ => row.text.replace('\u{361}', ""),
        }
    }

    /// The features of a phoneme.
    #[must_use]
    pub fn bundle(&self, number: u16) -> Option<&FeatureBundle> {
        self.bundles.get(usize::from(number))?.as_ref()
    }

    /// Whether a phoneme can be the peak of a syllable.
    #[must_use]
    pub fn is_vowel(&self, number: u16) -> bool {
        self.accent.row(number).is_some_and(|row| {
            !matches!(row.kind, PhonemeKind::Consonant | PhonemeKind::Affricate)
        })
    }

    /// The phoneme that is written so, tied or not.
    #[must_use]
    pub fn named(&self, text: &str) -> Option<u16> {
        let untied = |text: &str| text.replace('\u{361}', "");
        let rows = self.accent.inventory();
        let row = rows.into_iter().find(|row| {
            let also = row.also.iter().chain(row.broad).copied();
            let mut all = std::iter::once(row.text).chain(also);
            all.any(|known| untied(known) == untied(text))
        })?;
        let phonemes = self.accent.phonemes();
        let number = phonemes.iter().find(|it| it.text == row.text)?.number;
        Some(number)
    }

    /// A run of phonemes written without gaps, as `stɹ`; at each place the longest spelling
    /// counts. Blanks are passed over; what is no phoneme is given back.
    ///
    /// # Errors
    ///
    /// What is left where no phoneme begins.
    pub fn run<'t>(&self, text: &'t str) -> Result<Vec<u16>, &'t str> {
        let mut rest = text.trim_start();
        let mut run = Vec::new();
        while !rest.is_empty() {
            let ends = rest.char_indices().map(|(at, c)| at + c.len_utf8());
            let found = ends
                .take(8)
                .filter_map(|end| {
                    let (head, tail) = rest.split_at_checked(end)?;
                    Some((self.named(head)?, tail))
                })
                .last();
            let Some((number, tail)) = found else {
                return Err(rest);
            };
            run.push(number);
            rest = tail.trim_start();
        }
        Ok(run)
    }

    /// A pronunciation of the word list.
    #[must_use]
    pub fn of_entry(&self, sounds: &[(Mark, Phoneme)]) -> Spoken {
        let number = |phoneme: &Phoneme| self.numbers.get(phoneme.index()).copied();
        let typed: Vec<(Mark, u16)> = sounds
            .iter()
            .filter_map(|(mark, phoneme)| Some((*mark, number(phoneme)?)))
            .collect();
        self.placed(&typed)
    }

    /// A typed target, by the accent's own reading; `Err` with the first segment that is no
    /// phoneme of the accent.
    ///
    /// # Errors
    ///
    /// The place of the segment in the side.
    pub fn of_side(&self, side: &Side) -> Result<Spoken, usize> {
        let mut spoken = Vec::new();
        for sounded in self.accent.phonemes_in(&side.bundles, &side.sites) {
            let number = sounded.number.ok_or(sounded.first)?;
            let mut site = sounded.site;
            site.stress = side.stress_at(&site);
            let split = self.coloured.iter().chain(&self.syllabic);
            match split.into_iter().find(|it| it[2] == number) {
                Some([vowel, consonant, _]) => {
                    let after = Site {
                        part: Some(Part::Coda),
                        slot: 0,
                        size: 1,
                        ..site
                    };
                    spoken.push((*vowel, site));
                    spoken.push((*consonant, after));
                }
                None => spoken.push((number, site)),
            }
        }
        Ok(self.coloured_and_merged(spoken))
    }

    /// Sounds with their places, where syllables begin as the marks say.
    fn placed(&self, typed: &[(Mark, u16)]) -> Spoken {
        let vowel = |at: usize| typed.get(at).is_some_and(|it| self.is_vowel(it.1));
        let peaks: Vec<usize> = (0..typed.len()).filter(|at| vowel(*at)).collect();
        let marked = typed
            .iter()
            .any(|(mark, _)| matches!(mark, Mark::Primary | Mark::Secondary));
        let mut starts: Vec<usize> = Vec::new();
        for (number, peak) in peaks.iter().enumerate() {
            let after = match number.checked_sub(1).and_then(|it| peaks.get(it)) {
                Some(last) => last + 1,
                None => 0,
            };
            let mark = |at: &usize| typed.get(*at).is_some_and(|it| it.0 != Mark::None);
            let start = (after..=*peak).find(mark);
            starts.push(if number == 0 {
                0
            } else {
                start.unwrap_or(*peak)
            });
        }
        let count = u32::try_from(peaks.len()).unwrap_or(u32::MAX);
        let last = typed.len().saturating_sub(1);
        let mut spoken = Vec::with_capacity(typed.len());
        for (at, (_, number)) in typed.iter().enumerate() {
            let syllable = starts.partition_point(|start| *start <= at).max(1) - 1;
            let peak = peaks.get(syllable).copied();
            let start = starts.get(syllable).copied().unwrap_or(0);
            let end = starts.get(syllable + 1).copied().unwrap_or(typed.len());
            let stress = match typed.get(start).map(|it| it.0) {
                Some(Mark::Primary) => Stress::Primary,
                Some(Mark::Secondary) => Stress::Secondary,
                _ if marked => Stress::None,
                _ if count == 1 => Stress::Primary,
                _ => Stress::Unmarked,
            };
            let (part, from, to) = match peak {
                None => (None, at, at + 1),
                Some(peak) if at < peak => (Some(Part::Onset), start, peak),
                Some(peak) if at == peak => (Some(Part::Nucleus), at, at + 1),
                Some(peak) => (Some(Part::Coda), peak + 1, end),
            };
            let [slot, size] = [at - from.min(at), to.saturating_sub(from)]
                .map(|it| u32::try_from(it).unwrap_or(u32::MAX));
            let syllable = u32::try_from(syllable).unwrap_or(u32::MAX);
            let position = if at == 0 || peaks.first().is_none_or(|it| at < *it) {
                Position::Initial
            } else if at == last || peaks.last().is_some_and(|it| at > *it) {
                Position::Final
            } else {
                Position::Medial
            };
            let site = Site {
                word: 0,
                syllable,
                syllable_in_word: syllable,
                syllables: count,
                part,
                slot,
                size,
                position,
                stress,
            };
            spoken.push((*number, site));
        }
        self.coloured_and_merged(spoken)
    }

    fn coloured_and_merged(&self, mut spoken: Vec<(u16, Site)>) -> Spoken {
        let next: Vec<Option<u16>> = spoken
            .iter()
            .skip(1)
            .map(|it| Some(it.0))
            .chain([None])
            .collect();
        for ((number, _), next) in spoken.iter_mut().zip(&next) {
            let merged = self.mergers.iter().find(|it| {
                let holds = it
                    .before
                    .is_none_or(|(wanted, follows)| (*next == Some(wanted)) == follows);
                it.from == *number && holds
            });
            if let Some(merger) = merged {
                *number = merger.into;
            }
        }
        let mut after = spoken.iter().skip(1);
        spoken
            .iter()
            .map(|(number, site)| {
                let coloured = after.next().and_then(|(r, next)| {
                    let together = site.part == Some(Part::Nucleus)
                        && next.part == Some(Part::Coda)
                        && next.syllable == site.syllable;
                    let made = |it: &&[u16; 3]| it[0] == *number && it[1] == *r;
                    let made = self.coloured.iter().find(made)?;
                    together.then_some(made[2])
                });
                Placed {
                    number: *number,
                    coloured,
                    site: *site,
                }
            })
            .collect()
    }

    /// The variants of a word that are this accent's own: not those that come of an earlier one
    /// by an option that is not declared, as *caught* with the vowel of *cot*.
    #[must_use]
    pub fn own(&self, variants: Vec<Spoken>) -> Vec<Spoken> {
        let mut own: Vec<Spoken> = Vec::new();
        for variant in variants {
            let foreign = own.iter().any(|earlier| {
                let undeclared = self.undeclared.iter();
                let mut options: Vec<&str> = undeclared.map(|it| it.row.option).collect();
                options.dedup();
                options
                    .iter()
                    .any(|option| self.is_by(option, earlier, &variant))
            });
            if !foreign {
                own.push(variant);
            }
        }
        own
    }

    /// Whether an option makes one variant the other.
    fn is_by(&self, option: &str, one: &[Placed], other: &[Placed]) -> bool {
        let mergers: Vec<Merger> = self
            .undeclared
            .iter()
            .filter(|it| it.row.option == option)
            .copied()
            .collect();
        let next = one.iter().skip(1).map(|it| Some(it.number)).chain([None]);
        let said = one.iter().zip(next).map(|(placed, next)| {
            merged(&mergers, placed.number, next).unwrap_or(placed.number)
        });
        one.len() == other.len() && said.eq(other.iter().map(|it| it.number))
    }

    /// A pronunciation as text for comparison: phonemes and stress, not where syllables
    /// begin. Words with one key are said alike.
    #[must_use]
    pub fn key(&self, spoken: &[Placed]) -> String {
        let mut key = String::from("~");
        for placed in spoken {
            let several = placed.site.syllables > 1;
            let stress = match placed.site.stress {
                Stress::Primary if several => "ˈ",
                Stress::Secondary if several => "ˌ",
                _ => "",
            };
            if placed.site.part == Some(Part::Nucleus) {
                key.push_str(stress);
            }
            key.push_str(&self.text(placed.number));
            key.push(' ');
        }
        key
    }
}

/// What a phoneme is said as before another, if a merger changes it.
fn merged(mergers: &[Merger], number: u16, next: Option<u16>) -> Option<u16> {
    let found = mergers.iter().find(|it| {
        let holds = it
            .before
            .is_none_or(|(wanted, follows)| (next == Some(wanted)) == follows);
        it.from == number && holds
    });
    found.map(|it| it.into)
}
