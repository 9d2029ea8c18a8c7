//! The automaton of flawless lines, one after another, brackets and line ends among them.

use std::collections::BTreeMap;
use std::path::Path;

use super::table::{self, Rules};
use super::{Machine, Sign, State, kinds};

/// What stands around a transcription.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Around {
    Nothing,
    Slashes,
    Brackets,
}

/// A sign of a line.
#[derive(Clone, Copy)]
enum Mark<'a> {
    /// One of the transcription, and whether broad ones have it, and whether it is one of
    /// the keyboard's letters that may be plain spelling.
    Sign(&'a Sign, bool, bool),
    Slash,
    Open,
    Close,
    Return,
    End,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Place {
    In(Around, State),
    Closed,
    Returned,
}

pub(super) fn generate(
    grammar: &Path,
    machine: &Machine<'_>,
    signs: &BTreeMap<char, Sign>,
    out: &mut String,
    faults: &mut Vec<String>,
) {
    let (kinds, columns) = kinds(machine, signs);
    let mut marks: Vec<Mark<'_>> = Vec::new();
    let mut column_of = BTreeMap::new();
    let mut known = BTreeMap::new();
    for (c, sign) in signs {
        let Some((column, kind)) =
            columns.get(c).and_then(|at| Some((*at, kinds.get(*at)?)))
        else {
            continue;
        };
        let coarse = machine.is_broad(sign);
        let spelled = matches!(c, 'c' | 'q' | 'x' | 'y');
        let at = *known.entry((column, coarse, spelled)).or_insert_with(|| {
            marks.push(Mark::Sign(kind, coarse, spelled));
            marks.len() - 1
        });
        column_of.insert(*c, at);
    }
    let frame = [
        ('/', Mark::Slash),
        ('[', Mark::Open),
        (']', Mark::Close),
        ('\r', Mark::Return),
        ('\n', Mark::End),
    ];
    for (c, mark) in frame {
        column_of.insert(c, marks.len());
        marks.push(mark);
    }
    let start = Place::In(Around::Nothing, State::Start);
    let step = |place, mark: &Mark<'_>| {
        let ends = |around| match place {
            Place::In(known, state) => known == around && Machine::ends(state),
            _ => false,
        };
        Some(match (place, mark) {
            (Place::In(around, state), Mark::Sign(sign, coarse, spelled)) => {
                let fits = match around {
                    Around::Nothing => true,
                    Around::Slashes => *coarse && !spelled,
                    Around::Brackets => !spelled,
                };
                Place::In(around, machine.step(state, sign).filter(|_| fits)?)
            }
            (_, Mark::Slash) if place == start => {
                Place::In(Around::Slashes, State::Start)
            }
            (_, Mark::Open) if place == start => {
                Place::In(Around::Brackets, State::Start)
            }
            (_, Mark::Slash) if ends(Around::Slashes) => Place::Closed,
            (_, Mark::Close) if ends(Around::Brackets) => Place::Closed,
            (Place::Closed, Mark::Return) => Place::Returned,
            (_, Mark::Return) if ends(Around::Nothing) => Place::Returned,
            (Place::Closed | Place::Returned, Mark::End) => start,
            (_, Mark::End) if ends(Around::Nothing) => start,
            _ => return None,
        })
    };
    let rules = Rules {
        start,
        kinds: &marks,
        step: &step,
        ends: &|place| match place {
            Place::In(Around::Nothing, state) => Machine::ends(state),
            Place::In(..) | Place::Returned => false,
            Place::Closed => true,
        },
    };
    table::machine(&rules, &column_of).lines("LINES", &sample(grammar), out, faults);
}

/// Transcriptions as they are met: some of the word list's.
fn sample(grammar: &Path) -> String {
    let words = std::fs::read_to_string(grammar.join("lexicon/en-US.tsv"));
    let words = words.unwrap_or_default();
    let targets = words.lines().filter_map(|line| line.split('\t').nth(2));
    targets.step_by(8).collect::<Vec<_>>().join("\n")
}
