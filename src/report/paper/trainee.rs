//! The trainee's record: what was answered, and what is taken for what.

use super::{Line, Paper, of, sound, text};
use crate::practice::{Confusions, Mark, Outcome};
use crate::report::picture::charts;

/// How many confusions are listed.
const LISTED: usize = 20;

/// The trainee's paper, from the marks of their answers, oldest first, each with its day.
#[must_use]
pub fn paper(learner: &str, marks: &[(String, Mark)]) -> Paper {
    let mut paper = Paper {
        title: "Practice in transcription".to_owned(),
        under: if learner.is_empty() {
            Vec::new()
        } else {
            vec![text("Learner "), super::given(learner)]
        },
        cautions: vec![
            "Counts of your own answers to exercises: they show what to practise next. They \
             are no certificate, and they say nothing about how well you hear a client. Keep \
             this record to yourself unless you want to show it."
                .to_owned(),
        ],
        ..Paper::default()
    };
    if marks.is_empty() {
        paper.paragraph(vec![text("Nothing is recorded yet.")]);
        return paper;
    }
    let counted = Confusions::of(marks.iter().map(|(_, mark)| mark));
    days(&mut paper, marks);
    sets(&mut paper, marks);
    confused(&mut paper, &counted);
    features(&mut paper, &counted);
    paper
}

fn right(mark: &Mark) -> bool {
    mark.outcome == Outcome::Right
}

fn days(paper: &mut Paper, marks: &[(String, Mark)]) {
    let mut days: Vec<charts::Session> = Vec::new();
    for (day, mark) in marks {
        if days.last().is_none_or(|last| last.label != *day) {
            days.push(charts::Session {
                label: day.clone(),
                right: 0,
                of: 0,
            });
        }
        if let Some(last) = days.last_mut() {
            last.right += u32::from(right(mark));
            last.of += 1;
        }
    }
    let all = marks.iter().filter(|(_, mark)| right(mark)).count();
    paper.title("How it goes");
    paper.paragraph(vec![text(format!(
        "{} answers were right. An answer counts as right only when all of it is.",
        of(all, marks.len())
    ))]);
    if days.len() > 1 {
        let chart = charts::progress("Answers that were right, day by day", &days);
        paper.picture(Some(chart), Vec::new());
    }
}

fn sets(paper: &mut Paper, marks: &[(String, Mark)]) {
    let mut sets: Vec<(&str, usize, usize)> = Vec::new();
    for (_, mark) in marks {
        let at = sets.iter().position(|(name, ..)| *name == mark.set);
        let at = at.unwrap_or_else(|| {
            sets.push((&mark.set, 0, 0));
            sets.len() - 1
        });
        if let Some((_, good, all)) = sets.get_mut(at) {
            *good += usize::from(right(mark));
            *all += 1;
        }
    }
    let rows = sets.iter().map(|(name, good, all)| {
        vec![vec![super::given(*name)], vec![text(of(good, all))]]
    });
    paper.table("By set", &["Set", "Right"], rows.collect());
}

fn confused(paper: &mut Paper, counted: &Confusions) {
    let mut contrasts = counted.contrasts();
    contrasts.sort_by_key(|it| core::cmp::Reverse(it.wrong()));
    let rows: Vec<Vec<Line>> = contrasts
        .iter()
        .take(LISTED)
        .map(|it| {
            let features: Vec<&str> = it.features.iter().map(|it| it.name()).collect();
            vec![
                vec![
                    sound(it.one.as_str()),
                    text(" – "),
                    sound(it.other.as_str()),
                ],
                vec![text(of(it.one_as_other.wrong, it.one_as_other.of))],
                vec![text(of(it.other_as_one.wrong, it.other_as_one.of))],
                vec![text(features.join(", "))],
            ]
        })
        .collect();
    if rows.is_empty() {
        return;
    }
    paper.title("What you take for what");
    paper.table(
        "Pairs of sounds, most often confused first",
        &[
            "Pair",
            "First taken for second",
            "Second taken for first",
            "They differ in",
        ],
        rows,
    );
}

fn features(paper: &mut Paper, counted: &Confusions) {
    let shares: Vec<charts::Share> = counted
        .features
        .iter()
        .filter(|(_, share)| share.wrong > 0)
        .map(|(feature, share)| charts::Share {
            label: feature.name().to_owned(),
            count: super::small(share.wrong),
            of: super::small(share.of),
        })
        .collect();
    if !shares.is_empty() {
        let chart = charts::shares("Wrong by feature", &shares);
        paper.picture(Some(chart), Vec::new());
    }
}
