//! Judges a broad transcription by an accent: its phonemes, the shapes of its syllables, its
//! stress.

use core::ops::Range;

use super::reading::Sounded;
use super::{Accent, Phoneme};
use crate::articulation;
use crate::diagnostic::{Code, Diagnostic};
use crate::feature::FeatureBundle;
use crate::inventory::CodaRow;
use crate::notation::{Item, ItemKind, Transcription};
use crate::syllable::{Part, Position, Stress, Syllabifier};
use crate::text::Span;

/// The legal clusters of an accent as phoneme numbers.
#[derive(Clone, Debug, Default)]
pub(super) struct Clusters {
    /// Sorted.
    onsets: Vec<Vec<u16>>,
    /// Sorted.
    codas: Vec<Vec<u16>>,
    /// Endings and what they may follow.
    endings: Vec<[Vec<u16>; 2]>,
}

impl Clusters {
    pub(super) fn of(accent: &Accent) -> Self {
        let number = |text: &&str| {
            let known = accent.phonemes.iter().find(|it| it.text == *text);
            known.map(|phoneme| phoneme.number)
        };
        let numbers =
            |texts: &[&str]| -> Option<Vec<u16>> { texts.iter().map(number).collect() };
        let mut onsets: Vec<Vec<u16>> = accent
            .onsets()
            .iter()
            .filter_map(|onset| numbers(&onset.split(' ').collect::<Vec<_>>()))
            .collect();
        let rows: &[CodaRow] = accent.table.codas;
        let on = |row: &&CodaRow| row.option.is_empty() || accent.is_on(row.option);
        let core = rows.iter().filter(on).filter(|row| row.after.is_empty());
        let mut codas: Vec<Vec<u16>> = core.filter_map(|row| numbers(row.coda)).collect();
        let endings = rows.iter().filter(on).filter(|row| !row.after.is_empty());
        let endings = endings.filter_map(|row| {
            let after = row.after.iter().filter_map(number).collect();
            Some([numbers(row.coda)?, after])
        });
        let endings = endings.collect();
        onsets.sort_unstable();
        codas.sort_unstable();
        Self {
            onsets,
            codas,
            endings,
        }
    }

    fn has_onset(&self, onset: &[u16]) -> bool {
        onset.is_empty() || self.onsets.binary_search_by(|it| it[..].cmp(onset)).is_ok()
    }

    fn has_coda(&self, coda: &[u16]) -> bool {
        if coda.is_empty() || self.codas.binary_search_by(|it| it[..].cmp(coda)).is_ok() {
            return true;
        }
        self.endings.iter().any(|[ending, after]| {
            let rest = coda.strip_suffix(ending.as_slice());
            rest.is_some_and(|rest| {
                rest.last().is_some_and(|last| after.contains(last))
                    && self.has_coda(rest)
            })
        })
    }

    /// Whether a phoneme stands in no onset at all.
    fn never_opens(&self, phoneme: u16) -> bool {
        !self.onsets.iter().any(|onset| onset.contains(&phoneme))
    }

    /// Whether a phoneme stands in no coda at all.
    fn never_closes(&self, phoneme: u16) -> bool {
        !self.codas.iter().any(|coda| coda.contains(&phoneme))
    }
}

/// A transcription while it is judged.
struct Case<'a> {
    accent: &'a Accent,
    text: &'a str,
    spans: Vec<Span>,
    bundles: &'a [FeatureBundle],
    sounded: Vec<Sounded>,
    found: Vec<Diagnostic>,
}

impl Accent {
    /// What the accent finds wrong with a broad transcription: sounds that are no phonemes,
    /// onsets and codas that it does not have, stress out of place; in text order.
    ///
    /// Cost: linear but for the nearest phonemes of sounds that are none.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::accent::Accent;
    /// use apical::notation::Transcription;
    ///
    /// let accent = Accent::named("en-US").unwrap();
    /// let codes = |text: &str| -> Vec<&'static str> {
    ///     let read = Transcription::parse(text);
    ///     accent.judge(&read).iter().map(|found| found.code.name()).collect()
    /// };
    /// assert!(codes("/ˈkæt.nɪp/").is_empty());
    /// assert_eq!(codes("/ŋæt/"), ["sound-never-opens"]);
    /// assert_eq!(codes("/kyt/"), ["phoneme-unknown"]);
    /// ```
    #[must_use]
    pub fn judge(&self, transcription: &Transcription) -> Vec<Diagnostic> {
        let bundles: Vec<FeatureBundle> = transcription
            .segments()
            .map(|segment| articulation::bundle(&segment))
            .collect();
        let mut syllabifier = Syllabifier::new(self.shapes());
        let sites = syllabifier.sites(transcription, &bundles);
        let mut case = Case {
            accent: self,
            text: transcription.text(),
            spans: transcription.segments().map(|it| it.span()).collect(),
            bundles: &bundles,
            sounded: self.phonemes_in(&bundles, sites),
            found: Vec::new(),
        };
        case.phonemes();
        case.words(transcription);
        case.found.sort_by_key(|diagnostic| diagnostic.span);
        case.found
    }
}

impl Case<'_> {
    /// The place of some phonemes.
    fn span(&self, phonemes: &[Sounded]) -> Span {
        let span = |at: usize| self.spans.get(at).copied();
        let first = phonemes.first().and_then(|it| span(it.first));
        let last = phonemes
            .last()
            .and_then(|it| span(it.first + it.length - 1));
        match (first, last) {
            (Some(first), Some(last)) => first.cover(last),
            _ => Span::new(0, 0),
        }
    }

    fn written(&self, phonemes: &[Sounded]) -> String {
        let span = |it: &Sounded| self.span(core::slice::from_ref(it)).of(self.text);
        phonemes.iter().map(span).collect()
    }

    /// The features of a sound, of both its halves as one.
    fn whole(&self, sound: &Sounded) -> Option<FeatureBundle> {
        let halves = sound.first..sound.first + sound.length;
        let texts: Vec<&str> = self
            .spans
            .get(halves)?
            .iter()
            .map(|span| span.of(self.text))
            .collect();
        let tied = texts.join("\u{361}");
        super::single(&mut Transcription::default(), &tied)
            .or_else(|| self.bundles.get(sound.first).copied())
    }

    fn find(&mut self, code: Code, span: Span, message: String, help: String) {
        self.found
            .push(Diagnostic::in_words(code, span, message, Some(help)));
    }

    /// Sounds that are no phonemes.
    fn phonemes(&mut self) {
        for at in 0..self.sounded.len() {
            let Some(sound) = self.sounded.get(at).copied() else {
                continue;
            };
            if sound.number.is_some() {
                continue;
            }
            let written = self.written(&[sound]);
            let Some(bundle) = self.whole(&sound) else {
                continue;
            };
            let bundle = &bundle;
            let called = self.accent.called();
            let message = format!(
                "{written}, {}, is no phoneme of {called}",
                articulation::name(bundle)
            );
            let option = self.accent.option_for(bundle);
            let near = self.accent.nearest(bundle);
            let near: Vec<&(u32, &Phoneme)> = near.iter().take(3).collect();
            let listed: Vec<String> = near
                .iter()
                .map(|(_, phoneme)| format!("{} ({})", phoneme.text, phoneme.keyword))
                .collect();
            let owners = self.accent.owners(bundle);
            let mut help = format!("nearest: {}", listed.join(", "));
            if !owners.is_empty() {
                let rows = owners.iter().filter_map(|number| self.accent.row(*number));
                let named: Vec<String> = rows
                    .map(|row| format!("{} ({})", row.text, row.keyword))
                    .collect();
                help = format!(
                    "it is how {} may sound; a broad transcription writes the phoneme",
                    named.join(" or ")
                );
            }
            if let Some(option) = option {
                help = format!(
                    "where the client keeps it, declare --accent-option {option}; {help}"
                );
            }
            let mut found = Diagnostic::in_words(
                Code::PhonemeUnknown,
                self.span(&[sound]),
                message,
                Some(help),
            );
            // An allophone of one phoneme alone can only be that phoneme.
            if let [only] = owners[..]
                && option.is_none()
                && let Some(row) = self.accent.row(only)
            {
                found = found.replaced_by(row.text);
            }
            self.found.push(found);
        }
    }

    fn words(&mut self, transcription: &Transcription) {
        let mut at = 0;
        while let Some(first) = self.sounded.get(at) {
            let word = first.site.word;
            let rest = self.sounded.iter().skip(at);
            let length = rest.take_while(|it| it.site.word == word).count();
            self.word(at..at + length);
            at += length;
        }
        self.stresses(transcription);
    }

    fn word(&mut self, word: Range<usize>) {
        let sounds: Vec<Sounded> = self.sounded.get(word).unwrap_or_default().to_vec();
        let syllables = sounds.chunk_by(|a, b| a.site.syllable == b.site.syllable);
        for syllable in syllables {
            let parts = syllable.chunk_by(|a, b| a.site.part == b.site.part);
            for part in parts {
                self.part(part, &sounds);
            }
        }
        // A sound alone is one that is talked about.
        if sounds.len() > 1
            && sounds.iter().all(|it| it.site.part.is_none())
            && sounds.iter().all(|it| it.number.is_some())
        {
            self.find(
                Code::SyllableWithoutNucleus,
                self.span(&sounds),
                format!(
                    "{} has no vowel and no syllabic consonant",
                    self.written(&sounds)
                ),
                "a word has at least one syllable; mark a syllabic consonant with U+0329"
                    .to_owned(),
            );
        }
    }

    fn part(&mut self, part: &[Sounded], word: &[Sounded]) {
        let Some(first) = part.first() else { return };
        let numbers: Option<Vec<u16>> = part.iter().map(|it| it.number).collect();
        let Some(numbers) = numbers else { return };
        let clusters = &self.accent.clusters;
        let written = self.written(part);
        let called = self.accent.called();
        match first.site.part {
            Some(Part::Onset) if !clusters.has_onset(&numbers) => {
                let never = part.iter().find(|it| {
                    it.number.is_some_and(|number| clusters.never_opens(number))
                });
                if let Some(never) = never.copied() {
                    let written = self.written(&[never]);
                    self.find(
                        Code::SoundNeverOpens,
                        self.span(&[never]),
                        format!("{written} stands in no onset of {called}"),
                        format!(
                            "{written} closes a syllable: put it before the dot or the stress mark, or write another phoneme"
                        ),
                    );
                } else {
                    self.find(
                        Code::OnsetIllegal,
                        self.span(part),
                        format!("{written} is no onset of {called}"),
                        if first.site.position == Position::Initial {
                            "names and loan words may have it; otherwise a sound is missing or too many".to_owned()
                        } else {
                            "move the dot or the stress mark, so that the first consonants close the syllable before".to_owned()
                        },
                    );
                }
            }
            Some(Part::Coda) if !clusters.has_coda(&numbers) => {
                let never = part.iter().find(|it| {
                    it.number
                        .is_some_and(|number| clusters.never_closes(number))
                });
                if let Some(never) = never.copied() {
                    let written = self.written(&[never]);
                    self.find(
                        Code::SoundNeverCloses,
                        self.span(&[never]),
                        format!("{written} stands in no coda of {called}"),
                        format!(
                            "{written} opens a syllable: put the dot or the stress mark before it, or leave it out"
                        ),
                    );
                } else if first.site.position == Position::Final {
                    self.find(
                        Code::CodaIllegal,
                        self.span(part),
                        format!("{written} is no coda of {called}"),
                        "names and loan words may have it; otherwise a sound is missing or too many, or one has the wrong voicing".to_owned(),
                    );
                }
            }
            Some(Part::Nucleus) => self.nucleus(first, word),
            _ => {}
        }
    }

    /// A vowel that needs a consonant after it, or that has no stress.
    fn nucleus(&mut self, vowel: &Sounded, word: &[Sounded]) {
        let Some(row) = vowel.number.and_then(|number| self.accent.row(number)) else {
            return;
        };
        let stress = vowel.site.stress;
        let marked = matches!(stress, Stress::Primary | Stress::Secondary);
        let next = word.iter().find(|it| it.first > vowel.first);
        let open = next.is_none_or(|next| next.site.part == Some(Part::Nucleus));
        if row.checked && open && marked {
            self.find(
                Code::VowelCheckedOpen,
                self.span(&[*vowel]),
                format!("the lax vowel {} ends a stressed syllable", row.text),
                "a stressed lax vowel has a consonant after it: write the tense vowel, or the consonant that is missing".to_owned(),
            );
        }
        if row.reduced && stress == Stress::Primary && vowel.site.syllables > 1 {
            let full = row.full;
            let help = if full.is_empty() {
                "move the stress to the syllable with a full vowel".to_owned()
            } else {
                format!("under stress it is {full}; or move the stress to a full vowel")
            };
            let span = self.span(&[*vowel]);
            let found = Diagnostic::in_words(
                Code::StressOnReduced,
                span,
                format!(
                    "{} has primary stress, and is a vowel without stress",
                    row.text
                ),
                Some(help),
            );
            self.found.push(if full.is_empty() {
                found
            } else {
                found.replaced_by(full)
            });
        }
    }

    /// One primary stress in a word of two syllables or more.
    fn stresses(&mut self, transcription: &Transcription) {
        let marks: Vec<Span> = transcription
            .items()
            .iter()
            .filter(|item| item.kind() == ItemKind::PrimaryStress)
            .map(Item::span)
            .collect();
        let words: Vec<Vec<Sounded>> = self
            .sounded
            .chunk_by(|a, b| a.site.word == b.site.word)
            .map(<[Sounded]>::to_vec)
            .collect();
        for word in words {
            let place = self.span(&word);
            let syllables = word.first().map_or(0, |it| it.site.syllables);
            let stressed: Vec<&[Sounded]> = word
                .chunk_by(|a, b| a.site.syllable == b.site.syllable)
                .filter(|syllable| {
                    syllable.iter().any(|it| it.site.stress == Stress::Primary)
                })
                .collect();
            if syllables < 2 {
                continue;
            }
            let mark = |syllable: &[Sounded]| {
                let start = self.span(syllable).start;
                marks.iter().rev().find(|mark| mark.start < start).copied()
            };
            match stressed[..] {
                [] => self.find(
                    Code::StressMissing,
                    place,
                    format!("{syllables} syllables and no primary stress"),
                    "put ˈ (U+02C8) before the syllable that stands out most".to_owned(),
                ),
                [first, second, ..] => {
                    if let (Some(first), Some(second)) = (mark(first), mark(second)) {
                        let found = Diagnostic::in_words(
                            Code::StressSeveral,
                            second,
                            "a second primary stress in one word".to_owned(),
                            Some(
                                "one stress is the strongest: write ˌ (U+02CC) for the other, or a space between two words"
                                    .to_owned(),
                            ),
                        );
                        self.found.push(found.with_related(first.start, first.end));
                    }
                }
                [_] => {}
            }
        }
    }
}

impl Accent {
    /// The option that would make a sound a phoneme, if there is one.
    fn option_for(&self, bundle: &FeatureBundle) -> Option<&'static str> {
        let mut reader = Transcription::default();
        self.table
            .phonemes
            .iter()
            .filter(|row| !row.option.is_empty() && !self.is_on(row.option))
            .find(|row| super::single(&mut reader, row.text).as_ref() == Some(bundle))
            .map(|row| row.option)
    }
}
