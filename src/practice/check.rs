//! Whether the keys of a set hold.

use super::grade::Grader;
use super::name;
use super::outcome::Outcome;
use super::read::{Read, bracketed};
use super::set::{Exercise, Fault, Kind, Set};
use super::term;
use crate::diagnostic::Severity;

impl Grader {
    /// What is wrong with a set's exercises: a key or another answer that cannot be read or
    /// is not marked right, a fault to be mended that is none, a rule that the accent does
    /// not have or that the key does not show, a name of a sound that is not its name.
    #[must_use]
    pub fn faults(&mut self, set: &Set) -> Vec<Fault> {
        let mut faults = Vec::new();
        for exercise in &set.exercises {
            for answer in exercise.answers() {
                self.answer(exercise, answer, &mut faults);
            }
            self.given(exercise, &mut faults);
            for name in &exercise.rules {
                if !self.accent.allophones().any(|rule| rule.name == name) {
                    faults.push(Fault::new(
                        exercise.line,
                        format!("the accent has no rule called “{name}”"),
                        "`apical accents` with its name lists the rules",
                    ));
                }
            }
        }
        faults
    }

    fn answer(&mut self, exercise: &Exercise, answer: &str, faults: &mut Vec<Fault>) {
        let line = exercise.line;
        if exercise.kind.is_transcription() {
            let read = Read::new(answer);
            let worst = read.text.diagnostics().iter();
            let error = worst.into_iter().find(|it| it.severity == Severity::Error);
            if let Some(error) = error {
                let words = error.message(read.text.text());
                let reason = format!("the key {answer} cannot be read: {words}");
                faults.push(Fault::new(line, reason, "write it as it should be"));
                return;
            }
        } else if exercise.kind == Kind::Features {
            let unknown = term::read(answer).1;
            if let Some(word) = unknown.first() {
                let reason = format!("“{word}” in the key is no name of a feature");
                faults.push(Fault::new(line, reason, "use the terms of the chart"));
            }
        }
        if self.grade(exercise, answer).outcome != Outcome::Right {
            let reason = format!("the key {answer} would not be marked right");
            let remedy = "look whether it is what the exercise asks for";
            faults.push(Fault::new(line, reason, remedy));
        }
    }

    fn given(&mut self, exercise: &Exercise, faults: &mut Vec<Fault>) {
        let line = exercise.line;
        match exercise.kind {
            Kind::Mend if self.grade(exercise, &exercise.given).is_right() => {
                let reason = format!("{} has no fault to mend", exercise.given);
                faults.push(Fault::new(line, reason, "put a fault into it"));
            }
            Kind::Narrow if !self.follows(exercise) => {
                let reason = format!(
                    "the accent's rules do not make {} of {}",
                    exercise.key, exercise.given
                );
                faults.push(Fault::new(line, reason, "look at the rules and at both"));
            }
            Kind::Features => {
                let sound = Read::new(&exercise.given);
                let terms = sound.bundles.first().map(term::of).unwrap_or_default();
                let named = term::read(&exercise.key).0;
                let same = terms.len() == named.len()
                    && terms.iter().all(|term| named.contains(term));
                if !same {
                    let words: Vec<&str> = terms.iter().map(|it| it.1.as_str()).collect();
                    let remedy = format!("its name is {}", words.join(" "));
                    let reason = format!("{} is not named so", exercise.given);
                    faults.push(Fault::new(line, reason, remedy));
                }
            }
            Kind::Pattern => self.shown(exercise, faults),
            _ => {}
        }
    }

    /// Whether the pattern that is to be named shows; a name of the trainer's own is taken
    /// at its word.
    fn shown(&mut self, exercise: &Exercise, faults: &mut Vec<Fault>) {
        let line = exercise.line;
        let Some(item) = self.shown_item(exercise) else {
            let reason = format!("{} is no target and production", exercise.given);
            let remedy = "write both with an arrow between, as in: /θɪn/ → [tɪn]";
            faults.push(Fault::new(line, reason, remedy));
            return;
        };
        if let Some(pattern) = name::pattern_named(&exercise.key) {
            if !name::shows(pattern, &item) {
                let reason = format!("{} does not show {}", exercise.given, exercise.key);
                let remedy = format!("it is: {}", pattern.catches);
                faults.push(Fault::new(line, reason, remedy));
            }
        }
    }

    /// Whether the accent's rules make the key of what is given, with all that is asked for.
    fn follows(&mut self, exercise: &Exercise) -> bool {
        let given = bracketed(&exercise.given, false);
        let plain = self.grade(exercise, &given);
        let shown = plain.outcome != Outcome::Right;
        let open = Exercise {
            key: given,
            also: Vec::new(),
            kind: Kind::Listen,
            ..exercise.clone()
        };
        let key = exercise.key.trim_matches(['[', ']']);
        shown && self.grade(&open, key).outcome == Outcome::Right
    }
}
