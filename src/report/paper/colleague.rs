//! The report for a colleague: transcriptions, counts, rules, measures with their rule sets,
//! reliability.

use super::client::capital;
use super::{Case, Line, Paper, counts, day, given, of, small, sound, text};
use crate::finding::agreement::transcribers::{DENOMINATOR, Share};
use crate::finding::progress::{Comparison, Count, Part, Series};
use crate::finding::rule::Confidence;
use crate::record::Hat;
use crate::report::json::rules::Rule;
use crate::report::picture::{self, Sound, charts};

/// How many patterns and sounds are followed from session to session.
const FOLLOWED: usize = 12;
/// How many of the sounds that a pattern shows in are pictured.
const PICTURED: usize = 3;

/// The report.
#[must_use]
pub fn paper(case: &Case<'_>) -> Paper {
    let wording = case.hat.wording();
    let mut paper = Paper {
        title: match case.hat {
            Hat::Elective => "Pronunciation summary (accent modification)".to_owned(),
            Hat::Clinical => "Speech sound summary".to_owned(),
        },
        cautions: vec![
            wording.caution.to_owned(),
            "Transcribed by ear by one listener unless the section on reliability says \
             otherwise. Pictures and places on charts follow from features; nothing is \
             measured from sound."
                .to_owned(),
        ],
        ..Paper::default()
    };
    about(&mut paper, case);
    rules(&mut paper, case);
    priorities(&mut paper, case);
    patterns(&mut paper, case);
    charts_of(&mut paper, case);
    measures(&mut paper, case);
    reliability(&mut paper, case);
    if let Some(way) = case.way {
        progress(&mut paper, wording.practised, &way.practised);
        progress(&mut paper, wording.probes, &way.probes);
        drills(&mut paper, case);
    }
    transcripts(&mut paper, case);
    paper
}

fn about(paper: &mut Paper, case: &Case<'_>) {
    let mut rows: Vec<Vec<Line>> = Vec::new();
    let mut row = |name: &str, line: Line| rows.push(vec![vec![text(name)], line]);
    if !case.code.is_empty() {
        row("Client", vec![given(case.code)]);
    }
    row("Work", vec![text(case.hat.wording().work)]);
    if !case.first_language.is_empty() {
        row("First language", vec![given(case.first_language)]);
    }
    let accent = format!("{} ({})", case.accent.called(), case.accent.name());
    row("Target accent", vec![text(accent)]);
    if !case.list.is_empty() {
        row("List", vec![given(case.list)]);
    }
    if !case.day.is_empty() {
        row("Day", vec![text(case.day)]);
    }
    let (right, all) = counts::words(case);
    row(
        "Words",
        vec![text(format!(
            "{} {} throughout (sounds and stress)",
            of(right, all),
            case.hat.wording().right
        ))],
    );
    let errors: usize = case.errors.iter().map(Vec::len).sum();
    row("Errors in sounds", vec![text(errors.to_string())]);
    if !case.analysis.left_out.is_empty() {
        let mut causes: Vec<(&str, usize)> = Vec::new();
        for it in &case.analysis.left_out {
            match causes.iter_mut().find(|(cause, _)| *cause == it.cause) {
                Some((_, count)) => *count += 1,
                None => causes.push((it.cause, 1)),
            }
        }
        let causes: Vec<String> = causes
            .iter()
            .map(|(cause, count)| format!("{count} {cause}"))
            .collect();
        row("Left out", vec![text(causes.join(", "))]);
    }
    if !case.note.is_empty() {
        row("Note", vec![given(case.note)]);
    }
    paper.table("What this is about", &["", ""], rows);
}

fn rules(paper: &mut Paper, case: &Case<'_>) {
    let found = &case.analysis.rules;
    if found.rules.is_empty() && found.unexplained == 0 {
        return;
    }
    paper.title("Rules behind the errors");
    let rows = found.rules.iter().map(|rule| {
        vec![
            vec![text(capital(rule.plain))],
            vec![text(rule.rule)],
            vec![text(rule.pattern.unwrap_or(""))],
            vec![text(of(rule.covers, rule.chances))],
            vec![text(sure(rule))],
            vec![text(rule.rivals.join("; "))],
        ]
    });
    paper.table(
        "Rules found, those that explain most first",
        &["In words", "Rule", "Known as", "Held", "Sure", "Or else"],
        rows.collect(),
    );
    paper.paragraph(vec![text(format!(
        "{} of the errors follow no rule that the sheet supports. Chances count every place \
         where the rule could have worked.",
        found.unexplained
    ))]);
}

/// How sure a rule is; where there are too few chances, no share of certainty.
fn sure(rule: &Rule<'_>) -> String {
    if rule.confidence == Confidence::TooFew.name() {
        return rule.confidence.to_owned();
    }
    format!("{} ({:.0} %)", rule.confidence, 100.0 * rule.posterior)
}

fn priorities(paper: &mut Paper, case: &Case<'_>) {
    let goals = counts::goals(case);
    let rows = goals.iter().take(FOLLOWED).map(|it| {
        let mut contrasts: Line = Vec::new();
        for (at, [target, said]) in it.contrasts.iter().enumerate() {
            let before = if at == 0 { "" } else { ", " };
            contrasts.extend([text(before), sound(*target), text(" – "), sound(*said)]);
        }
        vec![
            vec![text(it.plain.map(capital).unwrap_or_default())],
            contrasts,
            vec![text(it.errors.to_string())],
            vec![text(format!("{:.2} %", 100.0 * it.functional_load))],
            vec![text(format!("{:.0} %", 100.0 * it.generalises))],
        ]
    });
    let rows: Vec<Vec<Line>> = rows.collect();
    if !rows.is_empty() {
        paper.title("What to work on first");
    }
    paper.table(
        "Rules and single contrasts by errors × functional load × reach",
        &["Rule", "Contrasts", "Errors", "Functional load", "Reach"],
        rows,
    );
    if !goals.is_empty() {
        paper.paragraph(vec![text(
            "Functional load: the share of what the sounds of words tell that is lost when \
             the two fall together, summed over a rule's contrasts. Reach: the share of all errors in sounds that the rule \
             behind it covers, or itself where no rule was found.",
        )]);
    }
    let homophones = case.analysis.rules.homophones.iter().take(FOLLOWED);
    let mut line: Line = Vec::new();
    for (at, it) in homophones.enumerate() {
        let before = if at == 0 { "Words made alike: " } else { "; " };
        line.extend([
            text(format!("{before}{} = {} ", it.a, it.b)),
            sound(it.r#as.as_str()),
        ]);
    }
    if !line.is_empty() {
        paper.paragraph(line);
    }
}

fn patterns(paper: &mut Paper, case: &Case<'_>) {
    let shown = case
        .analysis
        .patterns
        .iter()
        .filter(|it| it.occurrences > 0);
    let rows: Vec<Vec<Line>> = shown
        .map(|it| {
            let mut words: Line = Vec::new();
            for (at, word) in it.words.iter().take(6).enumerate() {
                if at > 0 {
                    words.push(text(", "));
                }
                words.push(given(*word));
            }
            let few = if it.too_few { " (too few chances)" } else { "" };
            vec![
                vec![text(it.name)],
                vec![text(it.rule.as_str())],
                vec![text(format!(
                    "{}{few}",
                    of(it.occurrences, it.opportunities)
                ))],
                words,
            ]
        })
        .collect();
    if !rows.is_empty() {
        paper.title("Patterns");
    }
    paper.table(
        "Named patterns that show, of their chances",
        &["Pattern", "Rule", "Shows", "In"],
        rows,
    );
}

fn charts_of(paper: &mut Paper, case: &Case<'_>) {
    paper.title("Charts");
    let none: Line = Vec::new();
    let consonants = counts::consonants(case);
    if !consonants.is_empty() {
        paper.picture(Some(charts::consonants(&consonants)), none.clone());
    }
    let vowels = counts::vowels(case);
    if !vowels.is_empty() {
        paper.picture(Some(charts::vowels(&vowels)), none.clone());
    }
    let confusions = counts::confusions(case);
    if !confusions.is_empty() {
        paper.picture(Some(charts::confusions(&confusions)), none.clone());
    }
    let places = counts::places(case);
    if !places.is_empty() {
        let chart = charts::shares("Errors by place", &places);
        paper.picture(Some(chart), none);
    }
    let contrasts = counts::contrasts(case);
    if !contrasts.is_empty() {
        paper.heading(3, vec![text("The mouth at the first of these contrasts")]);
    }
    for [target, said] in contrasts.into_iter().take(PICTURED) {
        let draw = |letters: &str| {
            let read = crate::notation::Transcription::parse(letters);
            let segment = read.segments().next()?;
            let bundle = crate::articulation::bundle(&segment);
            Some(Sound::new(letters, &bundle, case.accent.posture(&bundle)))
        };
        if let (Some(wanted), Some(produced)) = (draw(target), draw(said)) {
            let caption = vec![
                text("Target "),
                sound(target),
                text(" (solid), said "),
                sound(said),
                text(" (dashed)."),
            ];
            paper.picture_beside(picture::difference(&wanted, &produced), caption);
        }
    }
}

fn measures(paper: &mut Paper, case: &Case<'_>) {
    let measured = &case.analysis.measures;
    if measured.measures.is_empty() {
        return;
    }
    paper.title("Measures");
    let rows = measured.measures.iter().map(|it| {
        let value = it.value.map_or_else(
            || "–".to_owned(),
            |value| {
                let places = if it.unit == "%" { 1 } else { 2 };
                let sign = if it.unit == "%" { " %" } else { "" };
                format!("{value:.places$}{sign}")
            },
        );
        let mut rules = vec![text(it.rules)];
        if let Some(note) = it.note {
            rules.push(text(format!(" {note}")));
        }
        vec![
            vec![text(it.name)],
            vec![text(value)],
            vec![text(format!("{}/{}", it.numerator, it.denominator))],
            rules,
        ]
    });
    paper.table(
        "Measures, each with what it counts and by which rules",
        &["Measure", "Value", "Counts", "Rules"],
        rows.collect(),
    );
    let unusual: Vec<String> = measured
        .measured
        .switches
        .iter()
        .filter(|it| !it.usual)
        .map(|it| format!("{} = {} ({})", it.name, it.value, it.decides))
        .collect();
    let unusual = if unusual.is_empty() {
        "all switches as usual".to_owned()
    } else {
        format!("not as usual: {}", unusual.join("; "))
    };
    paper.paragraph(vec![text(format!(
        "Rule set {}; {} items counted; {unusual}. None of these figures has a norm here.",
        measured.measured.rule_set, measured.measured.items
    ))]);
}

fn reliability(paper: &mut Paper, case: &Case<'_>) {
    paper.title("Reliability");
    let Some((broad, narrow)) = case.passes else {
        paper.paragraph(vec![text(
            "No second transcription is at hand: how far another pass or another listener \
             would agree is not known.",
        )]);
        return;
    };
    let share = |it: Share| {
        let percent = it
            .percent()
            .map_or(String::new(), |it| format!(" ({it:.0} %)"));
        format!("{}{percent}", of(it.agreements, it.comparisons))
    };
    paper.paragraph(vec![text(format!(
        "The same listener's second pass, blind to the first, agrees point to point in {} \
         by the letters and in {} with their marks; {DENOMINATOR}. That is agreement with \
         oneself, not with another listener.",
        share(broad),
        share(narrow)
    ))]);
}

fn progress(paper: &mut Paper, title: &str, part: &Part) {
    if part.sessions.is_empty() {
        return;
    }
    paper.title(title);
    let sessions = counts::sessions(part);
    if sessions.len() > 1 {
        let chart = charts::progress(&format!("{title}: whole words"), &sessions);
        paper.picture(Some(chart), Vec::new());
    }
    let rows = part
        .sessions
        .iter()
        .zip(&part.words.counts)
        .map(|(session, count)| {
            vec![
                vec![text(day(&session.began))],
                vec![given(session.list.as_str())],
                vec![text(shown(*count))],
                vec![text(interval(*count))],
            ]
        });
    paper.table(
        "Whole words, session by session; first attempts without help",
        &["Day", "List", "Right", "95 % interval"],
        rows.collect(),
    );
    let followed = |paper: &mut Paper, caption: &str, series: &[Series], ipa: bool| {
        let rows = series.iter().take(FOLLOWED).map(|it| {
            let name = if ipa {
                sound(it.target.as_str())
            } else {
                text(it.target.as_str())
            };
            let latest = it.latest().map_or_else(|| "–".to_owned(), shown);
            vec![
                vec![name],
                vec![text(shown(it.whole()))],
                vec![text(latest)],
                vec![text(shown(it.whole_cued()))],
            ]
        });
        let head = ["", "All, alone", "Latest, alone", "After a cue"];
        paper.table(caption, &head, rows.collect());
    };
    followed(
        paper,
        "Target sounds, least secure first",
        &part.targets,
        true,
    );
    followed(
        paper,
        "Patterns: how often each stayed away, of its chances",
        &part.patterns,
        false,
    );
    if part.not_counted > 0 {
        paper.paragraph(vec![text(format!(
            "{} items are not counted: nothing said, skipped or unreadable.",
            part.not_counted
        ))]);
    }
    if part.practised_before > 0 {
        paper.paragraph(vec![text(format!(
            "{} items of probes are not counted: their words had been practised before.",
            part.practised_before
        ))]);
    }
    for comparison in part.comparisons.iter().take(FOLLOWED) {
        compared(paper, part, comparison);
    }
}

/// Before and after, on the same words.
fn compared(paper: &mut Paper, part: &Part, comparison: &Comparison) {
    let [(list, before), (other, after)] = comparison.sessions.map(|number| {
        let session = part.sessions.get(number);
        session.map_or(("", ""), |it| (it.list.as_str(), day(&it.began)))
    });
    let mut line = vec![text(format!(
        "The same words before and after ({} words, {before} and {after}; ",
        comparison.items
    ))];
    line.push(given(list));
    if !comparison.same_list {
        line.extend([text(" and "), given(other)]);
    }
    line.push(text(format!(
        "): {} that were not right became right, {} went the other way.",
        comparison.gained, comparison.lost
    )));
    paper.paragraph(line);
    let row = |name: Line, [before, after]: [Count; 2]| {
        vec![name, vec![text(shown(before))], vec![text(shown(after))]]
    };
    let mut rows = vec![row(vec![text("whole words")], comparison.words)];
    let changes = comparison.targets.iter().take(FOLLOWED);
    rows.extend(changes.map(|it| row(vec![sound(it.target.as_str())], it.counts)));
    let changes = comparison.patterns.iter().take(FOLLOWED);
    rows.extend(changes.map(|it| row(vec![text(it.target.as_str())], it.counts)));
    paper.table(
        "On the same words, first attempts without help",
        &["", "Before", "After"],
        rows,
    );
}

fn shown(count: Count) -> String {
    count.percent().map_or_else(
        || "–".to_owned(),
        |percent| format!("{} ({percent:.0} %)", of(count.right, count.of)),
    )
}

fn interval(count: Count) -> String {
    count.interval().map_or_else(
        || "–".to_owned(),
        |[low, high]| format!("{low:.0} to {high:.0} %"),
    )
}

fn drills(paper: &mut Paper, case: &Case<'_>) {
    let wording = case.hat.wording();
    let Some(way) = case.way else { return };
    let rows = way.drills.iter().flat_map(|(session, drills)| {
        drills.iter().map(|drill| {
            vec![
                vec![text(day(&session.began))],
                vec![given(drill.target.as_str())],
                vec![text(shown(drill.alone))],
                vec![text(shown(drill.with_cue))],
            ]
        })
    });
    let rows: Vec<Vec<Line>> = rows.collect();
    if !rows.is_empty() {
        paper.title(wording.drills);
    }
    let alone = capital(wording.alone);
    paper.table(
        "Trials, counted",
        &["Day", "Target", &alone, "With or without a cue"],
        rows,
    );
}

/// A target as broad transcriptions are written: one that was looked up stands bare.
fn bracketed(target: &str) -> String {
    if target.starts_with(['/', '[', '⟨', '{']) || target.is_empty() {
        target.to_owned()
    } else {
        format!("/{target}/")
    }
}

fn transcripts(paper: &mut Paper, case: &Case<'_>) {
    paper.title("Every word");
    let noted = case.notes.iter().any(|it| !it.is_empty());
    let rows = case.items.iter().zip(case.errors).enumerate();
    let rows = rows.map(|(at, (item, errors))| {
        let mut found: Line = Vec::new();
        for (number, error) in errors.iter().enumerate() {
            if number > 0 {
                found.push(text(", "));
            }
            found.push(sound(error.target.as_deref().unwrap_or("∅")));
            found.push(text(" → "));
            found.push(sound(error.production.as_deref().unwrap_or("∅")));
        }
        for difference in &item.prosody {
            if !found.is_empty() {
                found.push(text(", "));
            }
            found.push(text(difference.feature.name()));
        }
        let mut row = vec![
            vec![given(item.word.as_str())],
            vec![sound(bracketed(&item.target.text))],
            vec![sound(item.production.text.as_str())],
            found,
        ];
        if noted {
            row.push(vec![given(case.notes.get(at).cloned().unwrap_or_default())]);
        }
        row
    });
    let mut head = vec!["Word", "Target", "Said", "Differences"];
    if noted {
        head.push("Note");
    }
    let caption = format!("{} words", small(case.items.len()));
    paper.table(&caption, &head, rows.collect());
}
