//! `apical pairs`: minimal pairs and sets.

use super::arguments::{Format, Pairs};
use super::material;
use super::output::Answers;
use super::{Failure, Status, Stop};
use crate::finding::pattern::contrasts;
use crate::material::{
    self as choice, Question, Slot, Sounds, Stock, minimal_sets, near_pairs, pairs,
};
use crate::report::json::material as json;
use crate::report::text::counted;
use crate::report::text::line::visible;
use crate::report::text::material as drawn;

/// Runs the command.
pub(super) fn run(arguments: &Pairs) -> Result<Status, Stop> {
    let (accent, lexicon) = material::words_of(&arguments.material)?;
    let stock = Stock::new(&lexicon, &accent);
    material::free(&[&arguments.sheet])?;
    let question = question(arguments, &stock.sounds)?;
    let mut answers = Answers::new(&arguments.output.output());
    if arguments.set {
        return sets(arguments, &stock, &question, &mut answers);
    }
    let mut minimal = pairs(&stock, &question);
    let matching = minimal.found.len();
    minimal.found.truncate(arguments.count);
    let mut near = choice::Pairs::default();
    let mut near_matching = 0;
    if arguments.near {
        near = near_pairs(&stock, &question);
        near_matching = near.found.len();
        near.found.truncate(arguments.count);
    }
    if minimal.found.is_empty() && near.found.is_empty() {
        return Err(Stop::Run(refused(arguments, &stock, &question, &minimal)));
    }
    let found: Vec<&choice::Found> = minimal.found.iter().chain(&near.found).collect();
    let rows: Vec<material::Row> = found
        .iter()
        .zip(1..)
        .flat_map(|(pair, number)| {
            let both = [&pair.a, &pair.b];
            both.map(|it| material::row(&it.candidate, Some(number)))
        })
        .collect();
    let to = arguments.sheet.as_deref();
    if material::handed_over(&rows, to, arguments.output.format)? {
        return Ok(Status::Good);
    }
    if answers.format == Format::Json {
        for pair in found {
            answers.object(&json::Pair::new(pair, &stock.sounds))?;
        }
        return Ok(Status::Good);
    }
    let page = drawn::PairsPage {
        contrasts: named(&question.contrasts, &stock.sounds),
        place: drawn::place(question.position, question.part, question.stressed),
        accent: accent.called(),
        minimal: &minimal,
        matching,
        near: arguments.near.then_some((&near, near_matching)),
        sheet: arguments
            .sheet
            .as_ref()
            .map(|it| visible(&it.display().to_string())),
    };
    material::answered(&mut answers, |columns| {
        drawn::pairs_page(&page, &stock.sounds, columns)
    })
}

/// Minimal sets.
fn sets(
    arguments: &Pairs,
    stock: &Stock<'_>,
    question: &Question,
    answers: &mut Answers,
) -> Result<Status, Stop> {
    let phonemes = phonemes(&arguments.sounds, &stock.sounds)?;
    if phonemes.len() < 3 {
        return Err(Stop::Run(Failure::new(
            "pairs --set",
            "a set is of three sounds or more",
            "name more, as in: apical pairs --set i ɪ ɛ æ; of two sounds there are pairs",
        )));
    }
    let (mut found, left_out) = minimal_sets(stock, &phonemes, question);
    let texts: Vec<String> = phonemes.iter().map(|it| stock.sounds.text(*it)).collect();
    if found.is_empty() {
        return Err(Stop::Run(no_set(arguments, stock, question, &phonemes)));
    }
    let matching = found.len();
    found.truncate(arguments.count);
    let rows: Vec<material::Row> = found
        .iter()
        .zip(1..)
        .flat_map(|(set, number)| {
            let row = move |it: &Slot| material::row(&it.candidate, Some(number));
            set.iter().map(row)
        })
        .collect();
    let to = arguments.sheet.as_deref();
    if material::handed_over(&rows, to, arguments.output.format)? {
        return Ok(Status::Good);
    }
    if answers.format == Format::Json {
        for set in &found {
            answers.object(&json::Set::new(set, &stock.sounds))?;
        }
        return Ok(Status::Good);
    }
    let page = drawn::SetsPage {
        sounds: texts.join(" "),
        place: drawn::place(question.position, question.part, question.stressed),
        accent: stock.sounds.accent().called(),
        sets: &found,
        matching,
        left_out,
        sheet: arguments
            .sheet
            .as_ref()
            .map(|it| visible(&it.display().to_string())),
    };
    material::answered(answers, |columns| drawn::sets_page(&page, columns))
}

/// Why there is no set, and which sound to leave away.
fn no_set(
    arguments: &Pairs,
    stock: &Stock<'_>,
    question: &Question,
    phonemes: &[u16],
) -> Failure {
    let mut helps: Vec<(usize, String)> = Vec::new();
    if phonemes.len() > 3 {
        for (at, left) in phonemes.iter().enumerate() {
            let mut fewer = phonemes.to_vec();
            fewer.remove(at);
            let count = minimal_sets(stock, &fewer, question).0.len();
            helps.push((count, format!("without {}", stock.sounds.text(*left))));
        }
    }
    for (name, looser) in looser(arguments, question) {
        let count = minimal_sets(stock, phonemes, &looser).0.len();
        helps.push((count, format!("without {name}")));
    }
    helps.retain(|it| it.0 > 0);
    helps.sort_by_key(|it| core::cmp::Reverse(it.0));
    let helps: Vec<String> = helps
        .iter()
        .map(|(count, what)| format!("{what} {}", counted(*count, "set", "sets")))
        .collect();
    let remedy = if helps.is_empty() {
        "ask for fewer sounds, or for pairs of two".to_owned()
    } else {
        helps.join("; ")
    };
    let texts: Vec<String> = phonemes.iter().map(|it| stock.sounds.text(*it)).collect();
    Failure::new(
        format!("pairs --set {}", texts.join(" ")),
        "no words differ by these sounds in one place only",
        remedy,
    )
}

/// What is asked for.
fn question(arguments: &Pairs, sounds: &Sounds) -> Result<Question, Stop> {
    let without = material::ruled_out(&arguments.material, sounds)?;
    let contrasts = if arguments.set {
        Vec::new()
    } else {
        asked(&arguments.sounds, sounds)?
    };
    for contrast in &contrasts {
        let ruled = without
            .iter()
            .find(|it| it.phoneme().is_some_and(|it| contrast.contains(&it)));
        if let Some(ruled) = ruled {
            return Err(Stop::Run(Failure::new(
                format!("--without {}", visible(&ruled.text)),
                format!("{} is asked for and ruled out", visible(&ruled.text)),
                "leave one of the two away",
            )));
        }
    }
    Ok(Question {
        contrasts,
        position: material::position(&arguments.standing),
        part: material::part(&arguments.standing),
        stressed: material::stressed(&arguments.standing),
        syllables: arguments.material.syllables,
        without,
        least: arguments.material.at_least,
        every_kind: arguments.material.names_too,
        except: material::excepted(&arguments.except)?,
    })
}

/// A sound as it was typed.
fn phoneme(text: &str, sounds: &Sounds) -> Result<u16, Stop> {
    let wish = material::wishes(&[text.to_owned()], "pairs", sounds)?;
    let number = wish.first().and_then(crate::material::SoundWish::phoneme);
    number.ok_or_else(|| {
        Stop::Run(Failure::new(
            format!("pairs {}", visible(text)),
            "a class is no sound",
            "name two sounds, or a rule such as 'C[+fricative, +voice] → [-voice]'",
        ))
    })
}

/// Different sounds as they were typed.
fn phonemes(texts: &[String], sounds: &Sounds) -> Result<Vec<u16>, Stop> {
    let mut numbers = Vec::new();
    for text in texts {
        let number = phoneme(text, sounds)?;
        if numbers.contains(&number) {
            return Err(Stop::Run(Failure::new(
                format!("pairs {}", visible(text)),
                "it is named twice",
                "name different sounds",
            )));
        }
        numbers.push(number);
    }
    Ok(numbers)
}

/// The contrasts as they were typed: two sounds, several times two with a hyphen, or a rule.
fn asked(texts: &[String], sounds: &Sounds) -> Result<Vec<[u16; 2]>, Stop> {
    let whole = texts.join(" ");
    if whole.contains('→') || whole.contains("->") {
        return by_rule(&whole, sounds);
    }
    let parted = |text: &String| text.contains(['-', '–', ':']);
    if !texts.iter().any(parted) {
        return match phonemes(texts, sounds)?.as_slice() {
            [a, b] => Ok(vec![[*a, *b]]),
            several => Err(Stop::Run(Failure::new(
                format!("pairs {}", visible(&whole)),
                match several.len() {
                    1 => "a contrast is of two sounds".to_owned(),
                    count => format!("these are {count} sounds"),
                },
                "name two, as in: apical pairs i ɪ; several contrasts, as in: apical pairs \
                 θ-s ð-z; or ask for sets: --set",
            ))),
        };
    }
    texts
        .iter()
        .map(|text| {
            let sides: Vec<String> =
                text.split(['-', '–', ':']).map(str::to_owned).collect();
            match phonemes(&sides, sounds)?.as_slice() {
                [a, b] => Ok([*a, *b]),
                _ => Err(Stop::Run(Failure::new(
                    format!("pairs {}", visible(text)),
                    "a contrast is of two sounds",
                    "write each with one hyphen, as in: θ-s ð-z",
                ))),
            }
        })
        .collect()
}

fn by_rule(text: &str, sounds: &Sounds) -> Result<Vec<[u16; 2]>, Stop> {
    let numbers = sounds.inventory();
    let bundles: Vec<_> = numbers
        .iter()
        .filter_map(|it| sounds.bundle(*it).copied())
        .collect();
    let failure = |reason: String, remedy: String| {
        Stop::Run(Failure::new(
            format!("pairs {}", visible(text)),
            reason,
            remedy,
        ))
    };
    let found =
        contrasts(text, &bundles).map_err(|(reason, remedy)| failure(reason, remedy))?;
    let number = |at: usize| numbers.get(at).copied();
    let mut found: Vec<[u16; 2]> = found
        .into_iter()
        .filter_map(|(a, b)| Some([number(a)?, number(b)?]))
        .collect();
    found.sort_unstable();
    found.dedup();
    // A contrast counts once, whichever way round.
    let mut once: Vec<[u16; 2]> = Vec::new();
    for [a, b] in found {
        if !once.contains(&[b, a]) {
            once.push([a, b]);
        }
    }
    if once.is_empty() {
        return Err(failure(
            "no sound of the accent becomes another one by this".to_owned(),
            "write it without context, as in: 'C[+fricative, +voice] → [-voice]'"
                .to_owned(),
        ));
    }
    Ok(once)
}

/// The contrasts in words.
fn named(contrasts: &[[u16; 2]], sounds: &Sounds) -> String {
    let named: Vec<String> = contrasts
        .iter()
        .map(|[a, b]| format!("{} – {}", sounds.text(*a), sounds.text(*b)))
        .collect();
    named.join(", ")
}

/// The question with one condition less, each as it was typed.
fn looser(arguments: &Pairs, question: &Question) -> Vec<(String, Question)> {
    let mut all = Vec::new();
    if let Some(position) = question.position {
        let looser = Question {
            position: None,
            ..question.clone()
        };
        all.push((format!("--{}", position.name()), looser));
    }
    if let Some(part) = question.part {
        let looser = Question {
            part: None,
            ..question.clone()
        };
        all.push((format!("--{}", part.name()), looser));
    }
    if let Some(stressed) = question.stressed {
        let name = if stressed {
            "--stressed"
        } else {
            "--unstressed"
        };
        let looser = Question {
            stressed: None,
            ..question.clone()
        };
        all.push((name.to_owned(), looser));
    }
    if question.syllables.is_some() {
        let looser = Question {
            syllables: None,
            ..question.clone()
        };
        all.push(("--syllables".to_owned(), looser));
    }
    if !question.without.is_empty() {
        let looser = Question {
            without: Vec::new(),
            ..question.clone()
        };
        all.push(("--without".to_owned(), looser));
    }
    if !question.except.is_empty() {
        let looser = Question {
            except: Vec::new(),
            ..question.clone()
        };
        all.push(("--except".to_owned(), looser));
    }
    if question.least > 0.0 {
        let looser = Question {
            least: 0.0,
            ..question.clone()
        };
        all.push((
            format!("--at-least {}", arguments.material.at_least),
            looser,
        ));
    }
    all
}

/// Why there is no pair, and what to loosen.
fn refused(
    arguments: &Pairs,
    stock: &Stock<'_>,
    question: &Question,
    minimal: &choice::Pairs,
) -> Failure {
    let sounds = &stock.sounds;
    let place = format!("pairs {}", named(&question.contrasts, sounds));
    let accent = sounds.accent().called();
    let merger = sounds.mergers().iter().find(|it| {
        let both = [it.from, it.into];
        question
            .contrasts
            .iter()
            .any(|pair| both.iter().all(|it| pair.contains(it)))
    });
    let mut remedies: Vec<String> = Vec::new();
    if let Some(merger) = merger {
        remedies.push(format!(
            "take {} back with --accent-option no-{}",
            merger.row.option, merger.row.option
        ));
    }
    let mut helps: Vec<(usize, String)> = looser(arguments, question)
        .into_iter()
        .map(|(name, looser)| (pairs(stock, &looser).found.len(), name))
        .filter(|it| it.0 > 0)
        .collect();
    helps.sort_by_key(|it| core::cmp::Reverse(it.0));
    remedies.extend(helps.iter().map(|(count, name)| {
        format!("without {name} {}", counted(*count, "pair", "pairs"))
    }));
    if !arguments.near {
        let count = near_pairs(stock, question).found.len();
        if count > 0 {
            let pairs = counted(count, "near-minimal pair", "near-minimal pairs");
            remedies.push(format!("with --near {pairs}"));
        }
    }
    let reason = match (merger, minimal.alike.len()) {
        (Some(merger), _) => format!(
            "{} makes {} and {} one sound",
            merger.row.option,
            sounds.text(merger.from),
            sounds.text(merger.into)
        ),
        (None, 0) => format!("no two words of {accent} differ by this alone"),
        (None, alike) => format!(
            "{} may be said alike in {accent}, so that none is left: {}",
            counted(alike, "pair", "pairs"),
            drawn::alike_examples(minimal)
        ),
    };
    let remedy = if remedies.is_empty() {
        "ask for another contrast".to_owned()
    } else {
        remedies.join("; ")
    };
    Failure::new(place, reason, remedy)
}
