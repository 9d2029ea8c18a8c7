//! The client's page: plain words, pictures first; no letter of the alphabet of sounds
//! without the sound explained, no figure without what it means.

use std::collections::BTreeMap;

use super::cue::{cues, felt};
use super::explained::{explained, with_letters, words as words_of};
use super::{Case, Line, Paper, Run, counts, given, of, strong, text};
use crate::alignment::Kind;
use crate::articulation::bundle;
use crate::feature::FeatureBundle;
use crate::finding::error::Error;
use crate::finding::item::Item;
use crate::notation::Transcription;
use crate::record::Hat;
use crate::report::picture::{self, Sound, change_in_words, charts};

/// How many sounds are worked on at a time.
const AT_A_TIME: usize = 3;
/// How many sounds that are right, and how many words, are named.
const NAMED: usize = 8;
/// How often a sound was wanted before it is called secure.
const SECURE: u32 = 3;

/// A sound to work on: what was wanted, what was said, how often.
struct Focus {
    target: String,
    wanted: FeatureBundle,
    said: String,
    produced: FeatureBundle,
    times: u32,
}

/// The client's page.
#[must_use]
pub fn paper(case: &Case<'_>) -> Paper {
    let mut paper = Paper {
        title: match case.hat {
            Hat::Elective => "Your sounds: what works, and what comes next".to_owned(),
            Hat::Clinical => {
                "Your speech sounds: what works, and what comes next".to_owned()
            }
        },
        under: under(case),
        cautions: cautions(case),
        ..Paper::default()
    };
    let focus = focus(case);
    if !focus.is_empty() {
        paper.title(if focus.len() == 1 {
            "The sound to work on"
        } else {
            "The sounds to work on"
        });
    }
    for (it, number) in focus.iter().zip(1..) {
        one(&mut paper, case, it, number);
    }
    if !focus.is_empty() {
        paper.heading(3, vec![text("How to read the pictures")]);
        paper.paragraph(vec![text(
            "Each shows a head from the side, cut in half, the lips at the left. The two \
             frames below show the lips from the front, and the roof of the mouth from \
             below: what the tongue touches is dark. The disc in the throat is the voice: \
             a zigzag is a hum, a wedge is breath alone.",
        )]);
    }
    missing(&mut paper, case);
    secure(&mut paper, case);
    score(&mut paper, case);
    way(&mut paper, case);
    paper
}

fn under(case: &Case<'_>) -> Line {
    let mut line = vec![text(format!("Aim: {}", case.accent.called()))];
    if !case.code.is_empty() {
        line.extend([text(" · for "), given(case.code)]);
    }
    if !case.list.is_empty() {
        line.extend([text(" · words: "), given(case.list)]);
    }
    if !case.day.is_empty() {
        line.extend([text(" · "), text(case.day)]);
    }
    line
}

fn cautions(case: &Case<'_>) -> Vec<String> {
    vec![
        case.hat.wording().caution.to_owned(),
        "The pictures are schematic, computed from how a sound is described; they are no \
         scan of a speaker, and mouths differ. If something hurts or strains, stop and tell \
         your coach."
            .to_owned(),
    ]
}

/// What to work on, by what is found to come first, else by how often it came.
fn focus(case: &Case<'_>) -> Vec<Focus> {
    let mut counted: BTreeMap<(String, String), Focus> = BTreeMap::new();
    for (item, errors) in case.items.iter().zip(case.errors) {
        for error in errors {
            let Some(column) = item.columns.get(error.column) else {
                continue;
            };
            let wanted = item.target.whole(&column.target);
            let produced = item.production.whole(&column.production);
            let substituted = matches!(error.kind, Kind::Substitution | Kind::Distortion);
            if let (Some(wanted), Some(produced), true, Some(target), Some(said)) = (
                wanted,
                produced,
                substituted,
                &error.target,
                &error.production,
            ) {
                let key = (target.clone(), said.clone());
                let focus = counted.entry(key).or_insert(Focus {
                    target: target.clone(),
                    wanted,
                    said: said.clone(),
                    produced,
                    times: 0,
                });
                focus.times += 1;
            }
        }
    }
    let contrasts = counts::contrasts(case);
    let rank = |it: &Focus| {
        let same = |letters: &str, bundle: &FeatureBundle| {
            let read = Transcription::parse(letters);
            read.segments().next().is_some_and(|segment| {
                crate::distance::between(&self::bundle(&segment), bundle) == 0
            })
        };
        contrasts
            .iter()
            .position(|[target, said]| {
                same(target, &it.wanted) && same(said, &it.produced)
            })
            .unwrap_or(usize::MAX)
    };
    let mut all: Vec<(usize, Focus)> =
        counted.into_values().map(|it| (rank(&it), it)).collect();
    all.sort_by_key(|(rank, it)| (*rank, core::cmp::Reverse(it.times)));
    // One picture a target: the commonest way of missing it.
    let mut focus: Vec<Focus> = Vec::new();
    for (_, it) in all {
        if focus.len() < AT_A_TIME && focus.iter().all(|known| known.wanted != it.wanted)
        {
            focus.push(it);
        }
    }
    focus
}

/// A sound to work on: pictures, what to change, cues, how often, the words.
fn one(paper: &mut Paper, case: &Case<'_>, it: &Focus, number: usize) {
    let lexicon = case.lexicon.as_ref();
    let name = |letters: &str, bundle: &FeatureBundle| {
        with_letters(letters, bundle, case.accent, lexicon)
    };
    let mut heading = name(&it.target, &it.wanted);
    if let Some(Run::Text(first)) = heading.first_mut() {
        *first = format!("{number}. {}", capital(first));
    }
    paper.heading(3, heading);
    // Named without terms.
    let draw = |letters: &str, bundle: &FeatureBundle| Sound {
        name: words_of(&explained(bundle, case.accent, lexicon)),
        ..Sound::new(letters, bundle, case.accent.posture(bundle))
    };
    let (wanted, produced) = (draw(&it.target, &it.wanted), draw(&it.said, &it.produced));
    let mut caption = vec![text("Solid line: ")];
    caption.extend(name(&it.target, &it.wanted));
    caption.push(text(". Dashed line: what was said, "));
    caption.extend(name(&it.said, &it.produced));
    caption.push(text(". The arrows show the way to go."));
    let change: Vec<String> = change_in_words(&wanted, &produced)
        .iter()
        .map(|it| felt(it))
        .collect();
    let svg = picture::difference_told(&wanted, &produced, &change);
    paper.picture_beside(svg, caption);
    if !change.is_empty() {
        paper.paragraph(vec![strong("What to change")]);
        paper.list(change.iter().map(|it| vec![text(capital(it))]).collect());
    }
    paper.paragraph(vec![strong("How to make it")]);
    let cues = cues(&it.wanted, &wanted.postures);
    paper.list(cues.iter().map(|it| vec![text(*it)]).collect());
    let counted = counts::targets(case);
    let counted = counted.iter().find(|(letters, ..)| *letters == it.target);
    if let Some((_, _, right, all)) = counted {
        let (low, high) = charts::interval(*right, *all);
        paper.paragraph(vec![
            strong("How often: "),
            text(format!(
                "it was {} {} times. With so few words that says only that it is \
                 somewhere between {:.0} and {:.0} in a hundred.",
                case.hat.wording().right,
                of(right, all),
                100.0 * low,
                100.0 * high
            )),
        ]);
    }
    let has = |item: &Item| {
        let columns = item.columns.iter();
        let mut texts = columns.map(|it| item.target.text_of(&it.target));
        texts.any(|text| text == it.target)
    };
    let missed = |errors: &[Error]| {
        let mut targets = errors.iter().map(|error| error.target.as_deref());
        targets.any(|target| target == Some(&it.target))
    };
    let mut words: Vec<(bool, &str)> = case
        .items
        .iter()
        .zip(case.errors)
        .filter(|(item, _)| has(item) && !item.word.is_empty())
        .map(|(item, errors)| (!missed(errors), item.word.as_str()))
        .collect();
    // Those in which it was missed first.
    words.sort_by_key(|(right, _)| *right);
    let mut seen: Vec<&str> = Vec::new();
    words.retain(|(_, word)| {
        let new = !seen.contains(word);
        seen.push(word);
        new
    });
    let mut words: Vec<&str> = words.into_iter().map(|(_, word)| word).collect();
    words.truncate(NAMED);
    if !words.is_empty() {
        let mut line = vec![strong("Words to say again: ")];
        line.extend(listed(&words));
        paper.paragraph(line);
    }
}

fn listed(words: &[&str]) -> Line {
    let mut line = Vec::new();
    for (at, word) in words.iter().enumerate() {
        if at > 0 {
            line.push(text(", "));
        }
        line.push(given(*word));
    }
    line
}

/// Sounds that were left out or put in.
fn missing(paper: &mut Paper, case: &Case<'_>) {
    let mut lines: Vec<Line> = Vec::new();
    for (item, errors) in case.items.iter().zip(case.errors) {
        for error in errors {
            let Some(column) = item.columns.get(error.column) else {
                continue;
            };
            let (letters, bundle, what) = match error.kind {
                Kind::Omission => (
                    error.target.as_ref(),
                    item.target.whole(&column.target),
                    ": without ",
                ),
                Kind::Addition => (
                    error.production.as_ref(),
                    item.production.whole(&column.production),
                    ": said with a further sound, ",
                ),
                _ => continue,
            };
            let (Some(letters), Some(bundle)) = (letters, bundle) else {
                continue;
            };
            let mut line = vec![given(item.word.as_str()), text(what)];
            let lexicon = case.lexicon.as_ref();
            line.extend(with_letters(letters, &bundle, case.accent, lexicon));
            lines.push(line);
        }
    }
    if lines.is_empty() {
        return;
    }
    let more = lines.len().saturating_sub(NAMED);
    lines.truncate(NAMED);
    if more > 0 {
        lines.push(vec![text(format!("and {more} more"))]);
    }
    paper.title("Sounds left out or put in");
    paper.list(lines);
}

/// What was right every time.
fn secure(paper: &mut Paper, case: &Case<'_>) {
    let mut secure = counts::targets(case);
    secure.retain(|(_, _, right, of)| right == of && *of >= SECURE);
    secure.sort_by_key(|(.., of)| core::cmp::Reverse(*of));
    let lines: Vec<Line> = secure
        .iter()
        .take(NAMED)
        .map(|(letters, bundle, _, all)| {
            let lexicon = case.lexicon.as_ref();
            let mut line = with_letters(letters, bundle, case.accent, lexicon);
            line.push(text(format!(": {all} of {all} times")));
            line
        })
        .collect();
    if !lines.is_empty() {
        paper.title("What already works");
        paper.paragraph(vec![text(
            "Right every time it came up. Where that was only a few times, it may still \
             slip in other words.",
        )]);
        paper.list(lines);
    }
}

fn score(paper: &mut Paper, case: &Case<'_>) {
    let (right, all) = counts::words(case);
    paper.title("In figures");
    paper.paragraph(vec![text(format!(
        "{} words were {} throughout, with every sound and the stress. A word counts only \
         when all of it is, so this figure is always lower than that of single sounds. It \
         is a count of this list as one listener wrote it down: no grade, and nothing to \
         compare with anybody else.",
        capital(&of(right, all)),
        case.hat.wording().right
    ))]);
    let left = case.analysis.left_out.len();
    if left > 0 {
        paper.paragraph(vec![text(format!(
            "{left} more could not be counted: nothing was said, or it could not be \
             written down for certain."
        ))]);
    }
}

fn way(paper: &mut Paper, case: &Case<'_>) {
    let Some(way) = case.way else { return };
    let wording = case.hat.wording();
    for (title, part) in [
        (wording.practised, &way.practised),
        (wording.probes, &way.probes),
    ] {
        let sessions = counts::sessions(part);
        if sessions.len() < 2 {
            continue;
        }
        paper.title(&format!("From {} to {}", wording.session, wording.session));
        let svg = charts::progress(&format!("{title}: whole words"), &sessions);
        paper.picture(
            Some(svg),
            vec![text(
                "Each dot is one meeting: how many words were right throughout. The line \
                 through it shows how far chance alone could move it; where two lines \
                 overlap, the difference may be chance. n is the number of words.",
            )],
        );
        // Lists differ in difficulty: only the same words show a change.
        for it in part.comparisons.iter().take(AT_A_TIME) {
            let [before, after] = it.words;
            let days = it.sessions.map(|number| {
                part.sessions
                    .get(number)
                    .map_or("", |it| super::day(&it.began))
            });
            paper.paragraph(vec![text(format!(
                "The same {} words, said on {} and on {}: {} {} at first, {} the last \
                 time. {} were right only the last time, {} only at first.",
                it.items,
                days[0],
                days[1],
                before.right,
                case.hat.wording().right,
                after.right,
                it.gained,
                it.lost
            ))]);
        }
    }
}

/// With a capital letter at the beginning, where a word of English stands there: a sound's
/// letter stays as it is.
pub(super) fn capital(words: &str) -> String {
    let first = words.split(' ').next().unwrap_or_default();
    if !first.is_ascii() || first.len() < 3 && first != "a" {
        return words.to_owned();
    }
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_ascii_uppercase().to_string() + letters.as_str()
    })
}
