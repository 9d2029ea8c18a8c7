//! Exercises that describe: a posture of the mouth to be written as its symbol, a production
//! with one odd sound to be written with its mark.

use super::{Maker, Source};
use crate::accent::Phoneme;
use crate::feature::{Class, FeatureBundle, Manner};
use crate::notation::Transcription;
use crate::posture::{self, posture_words};
use crate::practice::read::{Read, bracketed};
use crate::practice::{Exercise, Kind, Set};

/// The marks that are asked for, what is said of a sound that has one, and on which sounds
/// that leaves no doubt.
const ASKED: &str = include_str!("../../../grammar/exercises/asked-marks.tsv");

impl Maker {
    /// The sounds of the accent.
    pub(super) fn postures(&mut self) -> Vec<(u32, Source)> {
        let accent = self.grader.accent().clone();
        let mut found: Vec<(u32, Source)> = Vec::new();
        let mut seen = Vec::new();
        for phoneme in accent.phonemes() {
            if !seen.contains(&phoneme.number) {
                seen.push(phoneme.number);
                let score = self.scale.measure(phoneme.text).score();
                found.push((score, Source::Letter(phoneme.text)));
            }
        }
        found
    }

    /// The sound that is made so; every sound of the accent with the same posture is right.
    pub(super) fn posture(&mut self, text: &str) -> Option<Exercise> {
        let accent = self.grader.accent().clone();
        let described = |phoneme: &Phoneme| self.described(&phoneme.bundle);
        let wanted = accent
            .phonemes()
            .iter()
            .find(|phoneme| phoneme.text == text)?;
        let given = described(wanted);
        let mut also: Vec<String> = accent
            .phonemes()
            .iter()
            .filter(|other| other.number != wanted.number && described(other) == given)
            .map(|other| format!("[{}]", other.text))
            .collect();
        also.dedup();
        Some(Exercise {
            id: format!("posture {text}"),
            kind: Kind::Posture,
            word: String::new(),
            given,
            key: format!("[{text}]"),
            also,
            rules: Vec::new(),
            point: format!("as in {}", wanted.keyword),
            line: 0,
        })
    }

    fn described(&self, sound: &FeatureBundle) -> String {
        let taught = self.grader.accent().posture(sound);
        let (from, to) =
            taught.unwrap_or_else(|| (posture::of(sound), posture::glide_of(sound)));
        let kind = match (sound.class, sound.manner) {
            (Class::Vowel, _) if to.is_some() => "a vowel that moves".to_owned(),
            (Class::Vowel, _) if sound.rhotic => "a vowel with r in it".to_owned(),
            (Class::Vowel, _) => "a vowel".to_owned(),
            (_, Some(Manner::Tap)) => {
                format!("a consonant, {}, one quick touch", sound.voicing)
            }
            (_, manner) => {
                let nasal = sound.nasalized || manner == Some(Manner::Nasal);
                let way = if nasal { "nose" } else { "mouth" };
                format!("a consonant, {}, through the {way}", sound.voicing)
            }
        };
        let then = to.map(|to| format!("; then {}", posture_words(&to)));
        format!(
            "{kind}: {}{}",
            posture_words(&from),
            then.unwrap_or_default()
        )
    }

    /// One sound of a short word's first target with a mark on it.
    pub(super) fn marked(&mut self, word: &str, targets: &[String]) -> Option<Exercise> {
        let target = targets.first()?;
        let key = Read::new(&bracketed(target, true));
        let vowels = key.bundles.iter().filter(|one| one.class == Class::Vowel);
        if vowels.count() != 1 {
            return None;
        }
        let mut rows: Vec<[&str; 3]> =
            ASKED.lines().skip(1).filter_map(columns).collect();
        self.chance.shuffle(&mut rows);
        let mut places: Vec<usize> = (0..key.bundles.len()).collect();
        self.chance.shuffle(&mut places);
        for [mark, said, letters] in rows {
            for place in &places {
                let segment = key.text.segments().nth(*place)?;
                if !letters.split(' ').any(|letter| letter == segment.text()) {
                    continue;
                }
                let which = match key.bundles.get(*place)?.class {
                    Class::Vowel => "the vowel",
                    _ if *place == 0 => "the first sound",
                    _ if *place + 1 == key.bundles.len() => "the last sound",
                    _ => continue,
                };
                let end = segment.span().end;
                let mut narrow = key.text.text().to_owned();
                narrow.insert_str(end, mark.trim_start_matches('◌'));
                if !Transcription::parse(&narrow).diagnostics().is_empty() {
                    continue;
                }
                let exercise = Exercise {
                    id: format!("{word}: {which} {said}"),
                    kind: Kind::Clinical,
                    word: word.to_owned(),
                    given: format!("{which} {said}"),
                    key: narrow,
                    also: Vec::new(),
                    rules: Vec::new(),
                    point: format!("{mark}: {said}"),
                    line: 0,
                };
                let set = Set {
                    accent: self.grader.accent().name().to_owned(),
                    exercises: vec![exercise.clone()],
                    ..Set::default()
                };
                if self.grader.faults(&set).is_empty() {
                    return Some(exercise);
                }
            }
        }
        None
    }
}

fn columns(line: &str) -> Option<[&str; 3]> {
    let mut cells = line.split('\t');
    Some([cells.next()?, cells.next()?, cells.next()?])
}
