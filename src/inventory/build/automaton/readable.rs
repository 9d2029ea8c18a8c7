//! The automaton of what can be read, whether or not there is something to say about it.
//!
//! Only errors count here, so it remembers less than those of flawless transcriptions, and
//! its states fit a byte. It knows letters with up to three marks, leading ones, ties,
//! stress, breaks, spaces, links, tone letters, tone digits, and the signs between
//! variants, which may not stand between slashes: those have to be looked for.

use std::collections::{BTreeMap, BTreeSet};

use super::table::{self, Rules};
use crate::characters::{Entry, Misspelled, NONE};
use crate::feature::{Airstream, Class};
use crate::letters::Letters;
use crate::line;

/// Kinds of mark that are left to the parser, because others contradict them.
const NEVER: &[&str] = &[
    "denasal",
    "egressive",
    "ingressive",
    "unaspirated",
    "voiced",
    "weak",
];

/// Kinds of mark of which a letter may have one: some contradict each other.
const ONCE: &[&str] = &[
    "advanced",
    "advanced-root",
    "less-rounded",
    "lowered",
    "more-rounded",
    "non-syllabic",
    "raised",
    "retracted",
    "retracted-root",
    "syllabic",
];

/// The signs between variants.
const VARIANTS: [char; 3] = [',', '~', '、'];

/// Kinds of mark that may stand before a vowel too.
const BEFORE_VOWELS: &[&str] = &["vowel-release", "voice-timing"];

/// How many marks a letter may have: with more, only length marks may be an error.
const MARKS: u8 = 3;

/// What a mark does to the rest of its letter.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Sort {
    /// Nothing.
    Plain,
    /// One of [`ONCE`].
    Once,
    /// The ejective mark, which contradicts an implosive.
    Ejective,
    /// A mark that with some consonants is typed for another letter.
    Spelling,
}

/// A mark before its letter.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Lead {
    No,
    Consonant,
    Any,
    /// A glottal catch: it may stand before any, and inside a contour of tone letters.
    Catch,
}

/// What a character is to the automaton.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Sign {
    /// The letter's state without marks but those composed with it, and whether it is a
    /// vowel.
    Letter(State, bool),
    Mark(Sort, Lead),
    Tie,
    Stress,
    Break,
    Space,
    Link,
    /// A tone letter or digit; whether a glottal catch may stand before it in a contour.
    Tone(bool),
    Variant,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum State {
    Start,
    /// After a space or a link; whether a space may follow.
    Gap(bool),
    Broken,
    Stressed,
    /// Tones before the first syllable.
    Loose,
    /// A mark that waits for its letter, and whether that may be a vowel.
    Led(bool),
    /// A glottal catch after a tone.
    Caught,
    Tied,
    Letter {
        /// Whether it is a pulmonic or other egressive consonant.
        stops: bool,
        moved: bool,
        marks: u8,
    },
    Tones,
}

fn step(state: State, sign: &Sign) -> Option<State> {
    let ends = matches!(state, State::Letter { .. } | State::Tones);
    Some(match (sign, state) {
        (Sign::Letter(_, true), State::Led(false)) => return None,
        (Sign::Letter(letter, _), _) => *letter,
        (Sign::Mark(_, Lead::Catch), State::Tones) => State::Caught,
        (Sign::Mark(sort, _), State::Letter { .. }) => return mark(state, *sort),
        (
            Sign::Mark(_, lead),
            State::Start | State::Stressed | State::Tones | State::Gap(_) | State::Broken,
        ) if *lead != Lead::No => State::Led(matches!(lead, Lead::Any | Lead::Catch)),
        (Sign::Tie, State::Letter { .. }) => State::Tied,
        (Sign::Stress, State::Start | State::Gap(_) | State::Broken | State::Loose) => {
            State::Stressed
        }
        (Sign::Stress, _) if ends => State::Stressed,
        (Sign::Break, _) if ends => State::Broken,
        (Sign::Space, State::Gap(true)) => state,
        (Sign::Space, _) if ends => State::Gap(true),
        (Sign::Link, _) if ends => State::Gap(false),
        (Sign::Variant, _) if ends => State::Gap(true),
        (Sign::Tone(_), State::Start | State::Loose) => State::Loose,
        (Sign::Tone(true), State::Caught) => State::Tones,
        (Sign::Tone(_), _) if ends => State::Tones,
        _ => return None,
    })
}

fn mark(state: State, sort: Sort) -> Option<State> {
    let State::Letter {
        stops,
        moved,
        marks,
    } = state
    else {
        return None;
    };
    let fits = match sort {
        Sort::Plain => true,
        Sort::Once => !moved,
        Sort::Ejective => stops,
        Sort::Spelling => !stops,
    };
    // Nothing is told apart where no mark may follow.
    let full = marks + 1 == MARKS;
    (fits && marks < MARKS).then_some(State::Letter {
        stops: stops || full,
        moved: moved || full || sort == Sort::Once,
        marks: marks + 1,
    })
}

/// What marks are: none where one is left to the parser.
fn sorts(
    letters: &Letters,
    misspelled: &Misspelled,
    faults: &mut Vec<String>,
) -> Vec<Option<Sort>> {
    for name in NEVER.iter().chain(ONCE).chain(BEFORE_VOWELS) {
        if !letters.kind_names.iter().any(|known| known == name) {
            faults.push(format!("automaton: no kind of mark `{name}`"));
        }
    }
    let name = |kind: usize| letters.kind_names.get(kind).map_or("", String::as_str);
    // On a vowel it is a break in the off-glide, on a consonant a tie typed wrongly.
    let arch = letters.marks.get(&'\u{311}').copied();
    let sort = |(mark, kind): (usize, &usize)| {
        let kind = name(*kind);
        let spells = misspelled.iter().filter(|(_, spelled)| *spelled == mark);
        let on_others = spells.clone().any(|(letter, _)| !stops(letters, *letter));
        if Some(mark) == arch || on_others || NEVER.contains(&kind) {
            return None;
        }
        Some(match kind {
            "ejective" => Sort::Ejective,
            _ if spells.count() > 0 && ONCE.contains(&kind) => return None,
            _ if ONCE.contains(&kind) => Sort::Once,
            _ if misspelled.iter().any(|(_, spelled)| *spelled == mark) => Sort::Spelling,
            _ => Sort::Plain,
        })
    };
    let sorts: Vec<Option<Sort>> = letters.kinds.iter().enumerate().map(sort).collect();
    for (mark, sort) in sorts.iter().enumerate() {
        let Some(sort) = sort else { continue };
        let conflicts = letters.conflicts.get(mark).copied().unwrap_or(0);
        for (other, kind) in letters.kinds.iter().enumerate() {
            let both = *sort == Sort::Once && sorts.get(other) == Some(&Some(Sort::Once));
            let taken = sorts.get(other).is_some_and(Option::is_some);
            if taken && !both && conflicts & 1 << kind != 0 {
                faults.push(format!(
                    "automaton: a mark of kind `{}` contradicts one before it; put one of \
                     them into NEVER, or both into ONCE",
                    name(*kind)
                ));
            }
        }
    }
    sorts
}

/// Whether a letter is a consonant whose air goes out, or may.
fn stops(letters: &Letters, letter: usize) -> bool {
    letters.bundles.get(letter).is_none_or(|bundle| {
        bundle.class == Class::Consonant && bundle.airstream != Airstream::Implosive
    })
}

pub(super) fn generate(
    letters: &Letters,
    misspelled: &Misspelled,
    table: &BTreeMap<char, Entry>,
    out: &mut String,
    faults: &mut Vec<String>,
) {
    line(
        out,
        &format!(
            "pub const VARIANTS: [char; {}] = {VARIANTS:?};",
            VARIANTS.len()
        ),
    );
    let sorts = sorts(letters, misspelled, faults);
    let letter = |id: usize, marks: &[u16]| {
        if letters.unreadable.get(id) != Some(&false) {
            return None;
        }
        let bare = State::Letter {
            stops: stops(letters, id),
            moved: false,
            marks: 0,
        };
        let marks = marks.iter().filter(|mark| **mark != NONE);
        let mut marks =
            marks.map(|mark| sorts.get(usize::from(*mark)).copied().flatten());
        let state = marks.try_fold(bare, |state, sort| mark(state, sort?))?;
        let vowel = letters.bundles.get(id)?.class == Class::Vowel;
        Some(Sign::Letter(state, vowel))
    };
    let sign = |entry: &Entry| {
        let id = usize::from(entry.id);
        Some(match entry.kind {
            "Letter" => letter(id, &[])?,
            "Precomposed" if entry.value != 2 => letter(id, &entry.extra)?,
            "Mark" | "Modifier" => {
                let kind = letters.kinds.get(id)?;
                let kind = letters.kind_names.get(*kind)?;
                let leads = entry.kind == "Modifier" && entry.value != 0;
                let lead = match leads {
                    true if kind == "glottalized" => Lead::Catch,
                    true if BEFORE_VOWELS.contains(&kind.as_str()) => Lead::Any,
                    true => Lead::Consonant,
                    false => Lead::No,
                };
                Sign::Mark(sorts.get(id).copied().flatten()?, lead)
            }
            "Tie" => Sign::Tie,
            "PrimaryStress" | "SecondaryStress" => Sign::Stress,
            "SyllableBreak" => Sign::Break,
            "Space" => Sign::Space,
            "Linking" => Sign::Link,
            "ToneLetter" => Sign::Tone(true),
            "ToneDigit" => Sign::Tone(false),
            _ => return None,
        })
    };
    let signs: BTreeMap<char, Sign> = table
        .iter()
        .filter_map(|(c, entry)| sign(entry).map(|sign| (*c, sign)))
        .chain(VARIANTS.map(|c| (c, Sign::Variant)))
        .collect();
    let kinds: BTreeSet<&Sign> = signs.values().collect();
    let kinds: Vec<&Sign> = kinds.into_iter().collect();
    let columns: BTreeMap<char, usize> = signs
        .iter()
        .filter_map(|(c, sign)| Some((*c, kinds.binary_search(&sign).ok()?)))
        .collect();
    let rules = Rules {
        start: State::Start,
        kinds: &kinds,
        step: &|state, sign| step(state, sign),
        ends: &|state| {
            matches!(state, State::Letter { .. } | State::Tones | State::Broken)
        },
    };
    table::machine(&rules, &columns).dense("READABLE", out, faults);
}
