//! Byte automata that say of most flawless lines that they are (`automaton/line.rs`), and of
//! most that can be read that they can (`automaton/readable.rs`): minimised, each written
//! out as one table.
//!
//! The former knows letters with up to three marks that the judge has nothing to say about,
//! usual pairs under a tie, stress, breaks, spaces, links and tones, between brackets,
//! slashes or nothing. What it turns down is not thereby wrong: the parser reads it.

#[path = "automaton/line.rs"]
mod line;
#[path = "automaton/readable.rs"]
mod readable;
#[path = "automaton/table.rs"]
mod table;

use std::collections::BTreeMap;
use std::path::Path;

use crate::characters::{Entry, Misspelled, NONE};
use crate::feature::{Class, Manner};
use crate::letters::Letters;
use crate::read;

/// What a character is to the automaton.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Sign {
    /// A letter, by its number, and the marks composed with it.
    Letter(usize, Vec<usize>),
    Mark(usize),
    Tie,
    Stress,
    Break,
    Space,
    Link,
    Tone,
}

/// What the last letters amount to, for a stress mark that may follow.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Run {
    /// So many consonants since the last vowel.
    Since(u8),
    /// No vowel near: a stress mark might stand inside an onset.
    Far,
    /// Stressed, and no vowel yet.
    Pending,
}

/// What two letters under a tie must be.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Pair {
    None,
    Stop,
    Vowel,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum State {
    Start,
    /// After a space or a link; whether a space may follow.
    Gap(bool),
    Broken,
    Stressed,
    /// A letter: the sorts of mark that may follow, as bits, how many it has already, and
    /// what it ties to.
    Letter {
        vowel: bool,
        allowed: u128,
        marks: u8,
        pair: Pair,
        run: Run,
    },
    Tied(Pair, Run),
    /// A mark of a kind that waits for its consonant.
    Led(usize, Run),
    Tones(u8),
    /// A glottal catch inside a contour.
    Caught(u8),
}

struct Machine<'a> {
    letters: &'a Letters,
    care: &'a [u128],
    /// The sorts of mark that no rule tells apart: clashing kinds, kind, flags, leading.
    sorts: Vec<Sort>,
    /// What may follow each letter.
    follow: Vec<u128>,
    /// What may be a second mark, and a third.
    further: [u128; 2],
    /// The letters that alone between spaces may be boundaries.
    clicks: Vec<usize>,
}

/// The kinds of mark that the tables know, so that they stay small: the rest is left to the
/// parser.
const FIRST: &[&str] = &[
    "advanced",
    "aspirated",
    "breathy",
    "breathy-aspirated",
    "centralized",
    "compressed",
    "creaky",
    "dental",
    "ejective",
    "extra-short",
    "fricative-release",
    "glottalized",
    "half-long",
    "labialized",
    "lateral-release",
    "less-rounded",
    "long",
    "lowered",
    "mid-centralized",
    "more-rounded",
    "nasal-release",
    "nasalized",
    "non-syllabic",
    "palatalized",
    "pharyngealized",
    "plosive-onset",
    "raised",
    "retracted",
    "rhotic",
    "strong",
    "syllabic",
    "tone",
    "trill-release",
    "unreleased",
    "velarized",
    "voiced",
    "voiceless",
];

/// The kinds that they know after another mark.
const SECOND: &[&str] = &[
    "aspirated",
    "breathy",
    "breathy-aspirated",
    "compressed",
    "glottalized",
    "half-long",
    "labialized",
    "long",
    "lowered",
    "nasalized",
    "non-syllabic",
    "palatalized",
    "retracted",
    "syllabic",
    "tone",
    "unreleased",
    "voiceless",
];

/// The kinds that they know after two others.
const THIRD: &[&str] = &["half-long", "long"];

type Sort = (u128, usize, u8, u8);

impl<'a> Machine<'a> {
    fn new(letters: &'a Letters, care: &'a [u128], faults: &mut Vec<String>) -> Self {
        let mut sorts: Vec<Sort> = (0..letters.briefs.len())
            .filter_map(|mark| sort_of(letters, mark))
            .filter(|(.., flags, _)| flags & 1 == 0)
            .collect();
        sorts.sort_unstable();
        sorts.dedup();
        if sorts.len() > 128 {
            faults.push(format!("automaton: {} sorts of mark", sorts.len()));
            sorts.truncate(128);
        }
        for name in FIRST.iter().chain(SECOND).chain(THIRD) {
            if !letters.kind_names.iter().any(|known| known == name) {
                faults.push(format!("automaton: no kind of mark `{name}`"));
            }
        }
        let mut machine = Self {
            letters,
            care,
            sorts,
            follow: Vec::new(),
            further: [0; 2],
            clicks: ["ǀ", "ǁ"]
                .iter()
                .filter_map(|text| letters.symbols.get(*text).copied())
                .collect(),
        };
        machine.follow = (0..care.len())
            .map(|letter| machine.follows(letter))
            .collect();
        machine.further = [SECOND, THIRD]
            .map(|names| machine.those(|(_, kind, ..)| machine.is_kind(*kind, names)));
        machine
    }

    /// The sorts of mark that may follow a letter.
    fn follows(&self, letter: usize) -> u128 {
        let care = self.care.get(letter).copied().unwrap_or(u128::MAX);
        let bundle = self.letters.bundles.get(letter);
        let vowel = bundle.is_some_and(|bundle| bundle.class == Class::Vowel);
        self.those(|(_, kind, _, leads)| {
            care & 1 << kind == 0 && self.is_kind(*kind, FIRST) && !(vowel && *leads == 1)
        })
    }

    fn is_kind(&self, kind: usize, names: &[&str]) -> bool {
        let name = self.letters.kind_names.get(kind);
        name.is_some_and(|name| names.contains(&name.as_str()))
    }

    /// The sorts that a test holds for, as bits.
    fn those(&self, test: impl Fn(&Sort) -> bool) -> u128 {
        let sorts = self.sorts.iter().enumerate();
        sorts
            .filter(|(_, sort)| test(sort))
            .fold(0, |bits, (at, _)| bits | 1 << at)
    }

    /// Whether a transcription may end in a state.
    const fn ends(state: State) -> bool {
        match state {
            State::Letter { run, .. } => !matches!(run, Run::Pending),
            State::Tones(_) => true,
            _ => false,
        }
    }

    /// Whether a broad transcription may have a sign: no mark that is too fine a detail.
    fn is_broad(&self, sign: &Sign) -> bool {
        let marks = match sign {
            Sign::Letter(_, marks) => marks.as_slice(),
            Sign::Mark(mark) => std::slice::from_ref(mark),
            _ => &[],
        };
        let narrow = |mark: &usize| {
            let brief = self.letters.briefs.get(*mark);
            brief.is_none_or(|(.., flags)| flags & 2 != 0)
        };
        !marks.iter().any(narrow)
    }

    fn step(&self, state: State, sign: &Sign) -> Option<State> {
        let ends = Self::ends(state);
        Some(match sign {
            Sign::Letter(letter, marks) => {
                return self.letter(state, *letter, marks);
            }
            Sign::Mark(mark) => {
                let led = || self.lead(state, *mark);
                let caught = || self.caught(state, *mark);
                return self.mark(state, *mark).or_else(led).or_else(caught);
            }
            Sign::Tie => match state {
                State::Letter { pair, run, .. } if pair != Pair::None => {
                    State::Tied(pair, run)
                }
                _ => return None,
            },
            Sign::Stress => match state {
                State::Letter {
                    run: Run::Since(_), ..
                }
                | State::Start
                | State::Gap(_)
                | State::Tones(_) => State::Stressed,
                _ => return None,
            },
            Sign::Break if ends => State::Broken,
            Sign::Space if ends || state == State::Gap(true) => State::Gap(true),
            Sign::Link if ends => State::Gap(false),
            Sign::Tone => match state {
                State::Tones(count) | State::Caught(count) if count < 4 => {
                    State::Tones(count + 1)
                }
                State::Letter { .. } if ends => State::Tones(1),
                _ => return None,
            },
            _ => return None,
        })
    }

    fn letter(&self, state: State, letter: usize, marks: &[usize]) -> Option<State> {
        let bundle = self.letters.bundles.get(letter)?;
        let vowel = bundle.class == Class::Vowel;
        if matches!(state, State::Gap(_)) && self.clicks.contains(&letter) {
            return None;
        }
        let (before, tied) = match state {
            State::Led(kind, run) => {
                let care = self.care.get(letter).copied().unwrap_or(u128::MAX);
                if vowel || care & 1 << kind != 0 {
                    return None;
                }
                (run, false)
            }
            State::Tied(first, run) => {
                let usual = match first {
                    Pair::Stop => bundle.class == Class::Consonant,
                    Pair::Vowel => vowel,
                    Pair::None => false,
                };
                if !usual {
                    return None;
                }
                (run, true)
            }
            _ => (run_before(state), false),
        };
        let run = match before {
            _ if vowel => Run::Since(0),
            Run::Since(count) if count < 2 => Run::Since(count + 1),
            Run::Since(_) => Run::Far,
            other => other,
        };
        let pair = match bundle.manner {
            _ if tied => Pair::None,
            _ if vowel => Pair::Vowel,
            Some(Manner::Plosive | Manner::Affricate | Manner::Nasal) => Pair::Stop,
            _ => Pair::None,
        };
        let bare = State::Letter {
            vowel,
            allowed: *self.follow.get(letter)?,
            marks: 0,
            pair,
            run,
        };
        let mut marks = marks.iter();
        marks.try_fold(bare, |state, mark| self.mark(state, *mark))
    }

    /// A mark that stands before its consonant.
    fn lead(&self, state: State, mark: usize) -> Option<State> {
        let open = match state {
            State::Letter { vowel, .. } => vowel,
            State::Start | State::Gap(_) | State::Broken | State::Stressed => true,
            _ => false,
        };
        let (_, kind, flags, leads) = sort_of(self.letters, mark)?;
        let leads = leads == 1 && flags & 1 == 0 && self.is_kind(kind, FIRST);
        (open && leads).then(|| State::Led(kind, run_before(state)))
    }

    /// A glottal catch inside a contour of tone letters.
    fn caught(&self, state: State, mark: usize) -> Option<State> {
        let State::Tones(count) = state else {
            return None;
        };
        let (_, kind, flags, leads) = sort_of(self.letters, mark)?;
        let catch = leads != 0 && flags & 1 == 0 && self.is_kind(kind, &["glottalized"]);
        catch.then_some(State::Caught(count))
    }

    fn mark(&self, state: State, mark: usize) -> Option<State> {
        let State::Letter {
            vowel,
            allowed,
            marks,
            pair,
            run,
        } = state
        else {
            return None;
        };
        let sort = sort_of(self.letters, mark)?;
        let (_, kind, flags, _) = sort;
        let syllabic = self.is_kind(kind, &["syllabic"]);
        let run = if syllabic { Run::Since(0) } else { run };
        let at = self.sorts.binary_search(&sort).ok()?;
        if allowed & 1 << at == 0 {
            return None;
        }
        let after = flags & 4 != 0;
        let further = self.further.get(usize::from(marks));
        let left = allowed
            & further.copied().unwrap_or(0)
            & self.those(|(clash, _, flags, _)| {
                clash & 1 << kind == 0 && (!after || flags & 4 != 0)
            });
        Some(State::Letter {
            vowel,
            allowed: left,
            marks: marks + 1,
            pair: if after { Pair::None } else { pair },
            run,
        })
    }
}

/// What the letters before amount to.
const fn run_before(state: State) -> Run {
    match state {
        State::Letter { run, .. } => run,
        State::Stressed => Run::Pending,
        _ => Run::Far,
    }
}

fn sort_of(letters: &Letters, mark: usize) -> Option<Sort> {
    let (clash, kind, flags) = *letters.briefs.get(mark)?;
    let modifier = flags & 4 != 0;
    let leads = if modifier {
        *letters.leads.get(mark)?
    } else {
        0
    };
    Some((clash, kind, flags & 7, leads))
}

/// The characters that the automaton knows.
fn signs(
    grammar: &Path,
    letters: &Letters,
    table: &BTreeMap<char, Entry>,
    faults: &mut Vec<String>,
) -> BTreeMap<char, Sign> {
    let file = grammar.join("suprasegmentals.tsv");
    let current: Vec<bool> = read(&file, &["status"], faults)
        .rows
        .iter()
        .map(|row| row.cell("status") == "current")
        .collect();
    let is_current = |id: u16| current.get(usize::from(id)) == Some(&true);
    // The placeholder may be a vowel: left to the judge.
    let doubtful = letters.symbols.get("◯").copied();
    let sign = |entry: &Entry| {
        let id = usize::from(entry.id);
        Some(match entry.kind {
            "Letter" | "Precomposed" if entry.value != 0 || doubtful == Some(id) => {
                return None;
            }
            "Letter" => Sign::Letter(id, Vec::new()),
            "Precomposed" => {
                let marks = entry.extra.iter().filter(|mark| **mark != NONE);
                Sign::Letter(id, marks.map(|mark| usize::from(*mark)).collect())
            }
            "Mark" | "Modifier" => Sign::Mark(id),
            "Tie" if id < 2 => Sign::Tie,
            "PrimaryStress" | "SecondaryStress" if is_current(entry.id) => Sign::Stress,
            "SyllableBreak" => Sign::Break,
            "Space" => Sign::Space,
            "Linking" => Sign::Link,
            "ToneLetter" if is_current(entry.id) => Sign::Tone,
            _ => return None,
        })
    };
    table
        .iter()
        .filter_map(|(c, entry)| sign(entry).map(|sign| (*c, sign)))
        .collect()
}

pub fn generate(
    grammar: &Path,
    letters: &Letters,
    care: &[u128],
    misspelled: &Misspelled,
    table: &BTreeMap<char, Entry>,
    out: &mut String,
    faults: &mut Vec<String>,
) {
    readable::generate(letters, misspelled, table, out, faults);
    let signs = signs(grammar, letters, table, faults);
    let machine = Machine::new(letters, care, faults);
    line::generate(grammar, &machine, &signs, out, faults);
}

/// The kinds of character that a machine tells apart, and which kind each character is.
fn kinds(
    machine: &Machine<'_>,
    signs: &BTreeMap<char, Sign>,
) -> (Vec<Sign>, BTreeMap<char, usize>) {
    let letters = machine.letters;
    // Letters that no state tells apart share a column.
    let mut columns: BTreeMap<Vec<Option<State>>, usize> = BTreeMap::new();
    let mut kinds: Vec<Sign> = Vec::new();
    let mut column_of: BTreeMap<char, usize> = BTreeMap::new();
    let mut probes = vec![
        State::Start,
        State::Gap(true),
        State::Stressed,
        State::Tied(Pair::Vowel, Run::Far),
        State::Tied(Pair::Stop, Run::Far),
    ];
    let leading = machine.sorts.iter().filter(|(.., leads)| *leads == 1);
    probes.extend(leading.map(|(_, kind, ..)| State::Led(*kind, Run::Far)));
    for (c, sign) in signs {
        let column = if let Sign::Letter(..) = sign {
            let key = probes.iter().map(|state| machine.step(*state, sign));
            *columns.entry(key.collect()).or_insert_with(|| {
                kinds.push(sign.clone());
                kinds.len() - 1
            })
        } else if let Some(known) = kinds.iter().position(|kind| match (kind, sign) {
            (Sign::Mark(a), Sign::Mark(b)) => {
                sort_of(letters, *a) == sort_of(letters, *b)
            }
            (kind, sign) => kind == sign,
        }) {
            known
        } else {
            kinds.push(sign.clone());
            kinds.len() - 1
        };
        column_of.insert(*c, column);
    }
    (kinds, column_of)
}
