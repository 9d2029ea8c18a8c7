//! Byte automata that say of most flawless transcriptions that they are, and of most that
//! can be read that they can (`automaton/readable.rs`): minimised, each written out as one
//! table.
//!
//! Those of flawless ones know letters with up to two marks that the judge has nothing to
//! say about, usual pairs under a tie, stress, breaks, spaces, links and tones; brackets are
//! taken off before. What they turn down is not thereby wrong: the parser reads it. One
//! knows what is usual; what that turns down goes to three that step side by side, each
//! with a part of the rules.

#[path = "automaton/readable.rs"]
mod readable;
#[path = "automaton/table.rs"]
mod table;

use std::collections::BTreeMap;
use std::path::Path;

use self::table::Rules;
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
    /// A letter: the sorts of mark that may follow, as bits, whether it has one already,
    /// and what it ties to.
    Letter {
        allowed: u128,
        marked: bool,
        pair: Pair,
        run: Run,
    },
    Tied(Pair, Run),
    Tones(u8),
}

/// Which part of the rules a machine keeps: run side by side, small machines take what one
/// machine of ten times their size would.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Part {
    /// Marks on their letters, and pairs under a tie.
    Marks,
    /// Stress with its nucleus, and what stands between words.
    Frame,
    /// No mark that is too fine a detail for a broad transcription.
    Broad,
    /// All rules, with few kinds of mark and few letters: nine words in ten need no more.
    Usual,
}

impl Part {
    /// The state without what the other parts keep.
    fn of(self, state: State) -> State {
        match (self, state) {
            (Self::Broad, _) => State::Broken,
            (Self::Usual, state) => state,
            (
                Self::Marks,
                State::Letter {
                    allowed,
                    marked,
                    pair,
                    ..
                },
            ) => State::Letter {
                allowed,
                marked,
                pair,
                run: Run::Since(0),
            },
            (Self::Marks, State::Tied(pair, _)) => State::Tied(pair, Run::Since(0)),
            (Self::Marks, _) => State::Broken,
            (Self::Frame, State::Letter { run, .. }) => State::Letter {
                allowed: 0,
                marked: false,
                pair: Pair::Vowel,
                run,
            },
            (Self::Frame, State::Tied(_, run)) => State::Tied(Pair::None, run),
            (Self::Frame, state) => state,
        }
    }

    const fn name(self) -> &'static str {
        match self {
            Self::Marks => "CLEAN_MARKS",
            Self::Frame => "CLEAN_FRAME",
            Self::Broad => "CLEAN_BROAD",
            Self::Usual => "CLEAN_USUAL",
        }
    }
}

struct Machine<'a> {
    part: Part,
    letters: &'a Letters,
    care: &'a [u128],
    /// The sorts of mark that no rule tells apart: clashing kinds, kind, flags, leading.
    sorts: Vec<Sort>,
    /// What may follow each letter.
    follow: Vec<u128>,
    /// What may be a second mark.
    second: u128,
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
    "tone",
    "unreleased",
    "voiceless",
];

/// The kinds that the automaton of usual words knows.
const USUAL: &[&str] = &[
    "aspirated",
    "dental",
    "half-long",
    "long",
    "lowered",
    "nasalized",
    "non-syllabic",
    "retracted",
    "syllabic",
    "unreleased",
    "voiceless",
];

/// The letters and signs that it knows, by the first byte of their UTF-8; and ASCII.
const USUAL_BYTES: &[u8] = &[0xC3, 0xC5, 0xC9, 0xCA, 0xCB, 0xCC, 0xCD, 0xCE, 0xCF];

type Sort = (u128, usize, u8, u8);

impl<'a> Machine<'a> {
    fn new(
        part: Part,
        letters: &'a Letters,
        care: &'a [u128],
        faults: &mut Vec<String>,
    ) -> Self {
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
        for name in FIRST.iter().chain(SECOND).chain(USUAL) {
            if !letters.kind_names.iter().any(|known| known == name) {
                faults.push(format!("automaton: no kind of mark `{name}`"));
            }
        }
        let mut machine = Self {
            part,
            letters,
            care,
            sorts,
            follow: Vec::new(),
            second: 0,
        };
        machine.follow = (0..care.len())
            .map(|letter| machine.follows(letter))
            .collect();
        let second = if part == Part::Usual { &[] } else { SECOND };
        machine.second = machine.those(|(_, kind, ..)| machine.is_kind(*kind, second));
        machine
    }

    /// The sorts of mark that may follow a letter.
    fn follows(&self, letter: usize) -> u128 {
        let care = self.care.get(letter).copied().unwrap_or(u128::MAX);
        let bundle = self.letters.bundles.get(letter);
        let vowel = bundle.is_some_and(|bundle| bundle.class == Class::Vowel);
        let first = if self.part == Part::Usual {
            USUAL
        } else {
            FIRST
        };
        self.those(|(_, kind, _, leads)| {
            care & 1 << kind == 0 && self.is_kind(*kind, first) && !(vowel && *leads == 1)
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

    fn step(&self, state: State, sign: &Sign) -> Option<State> {
        let sounds = matches!(sign, Sign::Letter(..) | Sign::Mark(_) | Sign::Tie);
        let next = match self.part {
            Part::Marks if !sounds => {
                // A tie still waits for its letter.
                (!matches!(state, State::Tied(..))).then_some(State::Broken)
            }
            Part::Marks | Part::Frame | Part::Usual => self.whole_step(state, sign),
            Part::Broad => {
                let marks = match sign {
                    Sign::Letter(_, marks) => marks.as_slice(),
                    Sign::Mark(mark) => std::slice::from_ref(mark),
                    _ => &[],
                };
                let narrow = |mark: &usize| {
                    let brief = self.letters.briefs.get(*mark);
                    brief.is_none_or(|(.., flags)| flags & 2 != 0)
                };
                (!marks.iter().any(narrow)).then_some(State::Broken)
            }
        };
        next.map(|state| self.part.of(state))
    }

    fn whole_step(&self, state: State, sign: &Sign) -> Option<State> {
        let ends = match state {
            State::Letter { run, .. } => run != Run::Pending,
            State::Tones(_) => true,
            _ => false,
        };
        Some(match sign {
            Sign::Letter(letter, marks) => {
                return self.letter(state, *letter, marks);
            }
            Sign::Mark(mark) => return self.mark(state, *mark),
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
                State::Tones(count) if count < 4 => State::Tones(count + 1),
                State::Letter { .. } if ends => State::Tones(1),
                _ => return None,
            },
            _ => return None,
        })
    }

    fn letter(&self, state: State, letter: usize, marks: &[usize]) -> Option<State> {
        let bundle = self.letters.bundles.get(letter)?;
        let vowel = bundle.class == Class::Vowel;
        let (before, tied) = match state {
            State::Letter { run, .. } => (run, false),
            State::Stressed => (Run::Pending, false),
            State::Tied(first, run) => {
                let usual = match first {
                    Pair::Stop => bundle.class == Class::Consonant,
                    Pair::Vowel => vowel,
                    Pair::None => false,
                };
                if !usual && self.part != Part::Frame {
                    return None;
                }
                (run, true)
            }
            _ => (Run::Far, false),
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
            allowed: *self.follow.get(letter)?,
            marked: false,
            pair,
            run,
        };
        let mut marks = marks.iter();
        marks.try_fold(bare, |state, mark| self.mark(state, *mark))
    }

    fn mark(&self, state: State, mark: usize) -> Option<State> {
        let State::Letter {
            allowed,
            marked,
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
        if self.part == Part::Frame {
            return Some(State::Letter {
                allowed,
                marked,
                pair,
                run,
            });
        }
        let at = self.sorts.binary_search(&sort).ok()?;
        if allowed & 1 << at == 0 {
            return None;
        }
        let after = flags & 4 != 0;
        let left = allowed
            & self.second
            & self.those(|(clash, _, flags, _)| {
                clash & 1 << kind == 0 && (!after || flags & 4 != 0)
            });
        Some(State::Letter {
            allowed: if marked { 0 } else { left },
            marked: true,
            pair: if after { Pair::None } else { pair },
            run,
        })
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
    // Two clicks may be boundaries, and the placeholder may be a vowel: left to the judge.
    let doubtful: Vec<usize> = ["ǀ", "ǁ", "◯"]
        .iter()
        .filter_map(|text| letters.symbols.get(*text).copied())
        .collect();
    let sign = |entry: &Entry| {
        let id = usize::from(entry.id);
        Some(match entry.kind {
            "Letter" | "Precomposed" if entry.value != 0 || doubtful.contains(&id) => {
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
    for part in [Part::Marks, Part::Frame, Part::Broad, Part::Usual] {
        let machine = Machine::new(part, letters, care, faults);
        compile(&machine, &signs, out, faults);
    }
}

/// Makes a machine's table.
fn compile(
    machine: &Machine<'_>,
    signs: &BTreeMap<char, Sign>,
    out: &mut String,
    faults: &mut Vec<String>,
) {
    let letters = machine.letters;
    // Letters that no state tells apart share a column.
    let mut columns: BTreeMap<Vec<Option<State>>, usize> = BTreeMap::new();
    let mut kinds: Vec<Sign> = Vec::new();
    let mut column_of: BTreeMap<char, usize> = BTreeMap::new();
    let probes = [
        State::Start,
        State::Stressed,
        State::Tied(Pair::Vowel, Run::Far),
        State::Tied(Pair::Stop, Run::Far),
    ];
    for (c, sign) in signs {
        let first = c.to_string().bytes().next();
        let known = first.is_some_and(|byte| byte < 0x80 || USUAL_BYTES.contains(&byte));
        if machine.part == Part::Usual && !known {
            continue;
        }
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
    let rules = Rules {
        start: machine.part.of(State::Start),
        kinds: &kinds,
        step: &|state, sign| machine.step(state, sign),
        ends: &|state| match state {
            State::Tied(..) => false,
            _ if matches!(machine.part, Part::Marks | Part::Broad) => true,
            State::Letter { run, .. } => run != Run::Pending,
            State::Tones(_) => true,
            _ => false,
        },
    };
    let table = table::machine(&rules, &column_of);
    let name = machine.part.name();
    match machine.part {
        Part::Marks => table.wide(name, out, faults),
        Part::Frame | Part::Broad | Part::Usual => table.dense(name, out, faults),
    }
}
