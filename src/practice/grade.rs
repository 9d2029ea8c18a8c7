//! Marking an answer: what is right, in which feature it is not, and whether the ear or the
//! hand slipped.

use core::ops::Range;

use super::name;
use super::outcome::{ALMOST, Grade, Outcome, Place};
use super::read::{Read, bracketed, usize_range};
use super::set::{Exercise, Kind};
use super::slip::{self, Slip};
use crate::accent::{Accent, UnknownOption};
use crate::alignment::Kind as Change;
use crate::alignment::{Aligner, Column, Setting};
use crate::distance;
use crate::feature::{Class, FeatureBundle, Posture};
use crate::finding::difference;
use crate::finding::item::Pairing;
use crate::finding::production::{Finding, Judge};
use crate::finding::prosody;
#[cfg(feature = "lexicon")]
use crate::inventory::AllophoneRow;
use crate::inventory::OptionRow;
use crate::notation::ItemKind;
use crate::posture;
use crate::syllable::{Part, Site, Syllabifier};

/// What a main stress on another syllable counts, in thousandths of a feature.
const STRESS: u32 = 500;
/// How good an answer must be before an option is looked for that makes it right.
const NEAR: u32 = 600;

/// Marks answers by one accent, keeping its memory.
///
/// # Examples
///
/// ```
/// use apical::practice::{Grader, Outcome, Set};
///
/// let text = "title: One\naccent: en-US\n\nid\tkind\tword\tkey\tpoint\n1\tbroad\tzoo\t/zu/\tz\n";
/// let set = Set::read("one", text).unwrap();
/// let mut grader = Grader::for_set(&set).unwrap();
/// assert_eq!(grader.grade(&set.exercises[0], "zu").outcome, Outcome::Right);
/// let grade = grader.grade(&set.exercises[0], "/su/");
/// assert_eq!(grade.features().iter().map(|it| it.name()).collect::<Vec<_>>(), ["voicing"]);
/// assert!(grade.credit > 500);
/// ```
#[derive(Clone, Debug)]
pub struct Grader {
    pub(super) accent: Accent,
    aligner: Aligner,
    pub(super) judge: Judge,
    syllabifier: Syllabifier,
    /// Makes the items in which patterns are looked for.
    pub(super) pairing: Pairing,
    /// Graders with one more option declared each, made when they are first wanted.
    optional: Option<Vec<(&'static OptionRow, Self)>>,
}

/// Why no grader can be made for a set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoGrader {
    /// No accent has the name.
    Accent(String),
    /// The accent has no such option.
    Option(UnknownOption),
}

impl Grader {
    /// A grader that goes by an accent.
    #[must_use]
    pub fn new(accent: &Accent) -> Self {
        Self {
            aligner: Aligner::new(Setting::for_accent(accent)),
            judge: Judge::new(Some(accent)),
            syllabifier: Syllabifier::new(accent.shapes()),
            pairing: Pairing::new(accent),
            optional: None,
            accent: accent.clone(),
        }
    }

    /// A grader that goes by the accent of a set and what the set declares of it.
    ///
    /// # Errors
    ///
    /// An accent or an option that there is not.
    pub fn for_set(set: &super::Set) -> Result<Self, NoGrader> {
        let accent = Accent::named(&set.accent)
            .ok_or_else(|| NoGrader::Accent(set.accent.clone()))?;
        let options = set.options.iter().map(String::as_str);
        let accent = accent.declared(options).map_err(NoGrader::Option)?;
        Ok(Self::new(&accent))
    }

    /// The accent it goes by.
    #[must_use]
    pub const fn accent(&self) -> &Accent {
        &self.accent
    }

    /// In how many places of a narrow transcription a rule of the accent shows, if the
    /// accent explains the whole of it as what the target may be.
    #[cfg(feature = "lexicon")]
    pub(super) fn shows_rule(
        &mut self,
        target: &str,
        narrow: &str,
        rule: &AllophoneRow,
    ) -> Option<usize> {
        let target = Read::new(&bracketed(target, false));
        let narrow = Read::new(&bracketed(narrow, true));
        if !narrow.text.diagnostics().is_empty() {
            return None;
        }
        let findings = self.findings(&target, &narrow);
        let allowed = findings.iter().all(|(_, finding)| {
            matches!(finding.kind, Change::Match | Change::Allophone)
                || !finding.lacking.is_empty()
        });
        let shown = findings
            .iter()
            .filter(|(_, finding)| finding.allophones.contains(&rule));
        allowed.then(|| shown.count())
    }

    /// Marks an answer.
    ///
    /// A transcription may come with or without its brackets. It is right if it is the key
    /// or another answer of the exercise, or differs from it only in what the accent's rules
    /// allow where it stands; a reduced vowel under stress is not. A narrow answer must also
    /// show the allophones that are asked for. The consonants of a clinical answer, whose
    /// marks it is about, must be those of the key. Main stress counts in words of several syllables, second stress never.
    ///
    /// An answer that cannot be right as it stands, and that is nearer once lookalikes, ASCII
    /// stand-ins and a forgotten Shift are mended, is marked as mended and called a typing
    /// slip.
    pub fn grade(&mut self, exercise: &Exercise, answer: &str) -> Grade {
        let answer = answer.trim();
        if answer.is_empty() {
            return Grade::new(Outcome::Blank, &exercise.key, answer);
        }
        match exercise.kind {
            Kind::Features => name::sound(exercise, answer),
            Kind::Pattern => self.pattern(exercise, answer),
            _ => self.transcription(exercise, answer),
        }
    }

    fn transcription(&mut self, exercise: &Exercise, answer: &str) -> Grade {
        let typed = self.best(exercise, answer);
        if typed.is_right() {
            return typed;
        }
        let mended = slip::mended(answer).into_iter().map(|text| {
            let grade = self.best(exercise, &text);
            (text, grade)
        });
        let mended = mended.filter(|(_, grade)| grade.outcome != Outcome::Unread);
        let mended = mended.max_by_key(|(_, grade)| grade.credit);
        let Some((text, mut better)) = mended.filter(|(_, it)| it.credit > typed.credit)
        else {
            let mut grade = self.with_key_slip(typed);
            self.name_option(exercise, answer, &mut grade);
            return grade;
        };
        better.slip = Slip::between(answer, &text);
        if better.outcome == Outcome::Right {
            better.outcome = Outcome::Typing;
            better.credit = ALMOST;
        }
        answer.clone_into(&mut better.answer);
        better
    }

    /// Says where an answer would be right if one more option were declared.
    fn name_option(&mut self, exercise: &Exercise, answer: &str, grade: &mut Grade) {
        let of_words = matches!(exercise.kind, Kind::Broad | Kind::Stress | Kind::Listen);
        if !of_words || grade.credit < NEAR {
            return;
        }
        let accent = &self.accent;
        let optional = self.optional.get_or_insert_with(|| {
            let off = accent.options().iter().filter(|it| !accent.is_on(it.name));
            off.filter_map(|option| {
                let declared = accent.declared([option.name]).ok()?;
                Some((option, Self::new(&declared)))
            })
            .collect()
        });
        for (option, grader) in optional {
            if grader.best(exercise, answer).outcome == Outcome::Right {
                let (name, means) = (option.name, option.means);
                grade
                    .remarks
                    .push(format!("right under the option {name}: {means}"));
            }
        }
    }

    /// Names the key that the hand may have missed, where one sound is wrong and the letter
    /// typed is no sound of the accent but shares a key with the right one.
    fn with_key_slip(&self, mut grade: Grade) -> Grade {
        let mut wrong = grade.places.iter().filter(|place| !place.right);
        if let (Some(place), None) = (wrong.next(), wrong.next()) {
            if let (Some(key), Some(answer)) = (&place.key, &place.answer) {
                let sound = Read::new(answer).bundles;
                let known = self
                    .accent
                    .phonemes()
                    .iter()
                    .any(|it| [it.bundle] == *sound);
                if !known {
                    grade.slip = slip::same_key(answer, key);
                }
            }
        }
        grade
    }

    /// Marks an answer against every right one and keeps the best.
    fn best(&mut self, exercise: &Exercise, answer: &str) -> Grade {
        let mut best: Option<Grade> = None;
        for key in exercise.answers() {
            let grade = self.against(exercise, key, answer);
            if best.as_ref().is_none_or(|best| grade.credit > best.credit) {
                best = Some(grade);
            }
        }
        best.unwrap_or_else(|| Grade::new(Outcome::Wrong, &exercise.key, answer))
    }

    fn against(&mut self, exercise: &Exercise, key: &str, answer: &str) -> Grade {
        let narrow = key.trim_start().starts_with('[');
        let wanted = Read::new(&bracketed(key, narrow));
        let said = Read::new(&bracketed(answer, narrow));
        let broad = (exercise.kind == Kind::Narrow).then(|| Read::new(&exercise.given));
        let target = broad.as_ref().unwrap_or(&wanted);
        let columns = self.aligner.align(&wanted.bundles, &said.bundles).to_vec();
        let check = Check {
            exercise,
            wanted: &wanted,
            said: &said,
            own: self.own_sounds(&wanted),
            halves: self.halves(&wanted),
            asked: self.asked(exercise, target, &wanted),
            from_target: self.findings(target, &said),
            to_key: self
                .aligner
                .align(&target.bundles, &wanted.bundles)
                .to_vec(),
            accent: &self.accent,
            narrow,
        };
        let sites = self
            .syllabifier
            .sites(&wanted.text, &wanted.bundles)
            .to_vec();
        let said_sites = self.syllabifier.sites(&said.text, &said.bundles).to_vec();
        let mut grade = Grade::new(Outcome::Right, key, answer);
        let mut lost = 0;
        for column in &columns {
            let site = site_of(column, &sites, &said_sites);
            let place = check.place(column, site);
            if !place.right {
                lost += loss(column, &wanted, &said);
            }
            grade.places.push(place);
        }
        let differences = prosody::differences(&wanted.text, &said.text, &columns);
        let main = differences
            .iter()
            .find(|it| it.feature == prosody::Feature::PrimaryStress);
        if let Some(stress) = main {
            lost += STRESS;
            let syllable = |at: Option<usize>| {
                let site = site_of(columns.get(at?)?, &sites, &said_sites)?;
                Some(site.syllable_in_word as usize + 1)
            };
            grade.stress = Some((syllable(stress.target), syllable(stress.production)));
        }
        let all: u32 = wanted.bundles.iter().map(distance::alone).sum();
        grade.settle(lost, all);
        if !said.text.is_valid() || said.bundles.is_empty() {
            let mut items = said.text.items().iter();
            let lost = items.any(|item| item.kind() == ItemKind::Unreadable);
            if lost || said.bundles.is_empty() {
                grade.outcome = Outcome::Unread;
            } else if grade.outcome == Outcome::Right {
                // Every letter could be read as the one it was typed for.
                grade.outcome = Outcome::Typing;
                grade.slip =
                    Slip::between(&bracketed(answer, narrow), &bracketed(key, narrow));
            }
            grade.credit = grade.credit.min(ALMOST);
            for fault in said.text.diagnostics() {
                let words = fault.message(said.text.text());
                if fault.severity == crate::diagnostic::Severity::Error {
                    grade.remarks.push(words);
                }
            }
        }
        grade
    }

    /// Which segments of a key are sounds of the accent, with no mark that is not its own.
    fn own_sounds(&mut self, key: &Read) -> Vec<bool> {
        let sites = self.syllabifier.sites(&key.text, &key.bundles).to_vec();
        let sounded = self.accent.phonemes_in(&key.bundles, &sites);
        let mut own = vec![false; key.bundles.len()];
        for sound in &sounded {
            let range = sound.first..sound.first + sound.length;
            let these = key.bundles.get(range.clone()).unwrap_or_default();
            let number = sound.number;
            let spelled = self.accent.phonemes().iter().any(|it| {
                Some(it.number) == number && ([it.bundle] == *these || it.parts == these)
            });
            for own in own.get_mut(range).unwrap_or_default() {
                *own = spelled;
            }
        }
        own
    }

    /// Which segments of a key are the second halves of its diphthongs and affricates.
    fn halves(&mut self, key: &Read) -> Vec<bool> {
        let sites = self.syllabifier.sites(&key.text, &key.bundles).to_vec();
        let mut halves = vec![false; key.bundles.len()];
        for sound in self.accent.phonemes_in(&key.bundles, &sites) {
            let rest = sound.first + 1..sound.first + sound.length;
            for half in halves.get_mut(rest).unwrap_or_default() {
                *half = true;
            }
        }
        halves
    }

    fn findings(&mut self, target: &Read, said: &Read) -> Vec<(Column, Finding)> {
        let columns = self.aligner.align(&target.bundles, &said.bundles).to_vec();
        let findings = self.judge.judge(target.side(), said.side(), &columns);
        columns.into_iter().zip(findings).collect()
    }

    /// For each segment of the key the rules that are asked for there.
    fn asked(
        &mut self,
        exercise: &Exercise,
        target: &Read,
        key: &Read,
    ) -> Vec<Vec<&'static str>> {
        let mut asked = vec![Vec::new(); key.bundles.len()];
        if exercise.kind != Kind::Narrow {
            return asked;
        }
        for (column, finding) in self.findings(target, key) {
            for rule in &finding.allophones {
                let wanted = exercise.rules.iter().any(|name| name == rule.name);
                if !wanted && !exercise.rules.is_empty() {
                    continue;
                }
                let range = usize_range(&column.production);
                for asked in asked.get_mut(range).unwrap_or_default() {
                    asked.push(rule.name);
                }
            }
        }
        asked
    }
}

/// What is known when the places of an answer are looked at.
struct Check<'c> {
    exercise: &'c Exercise,
    wanted: &'c Read,
    said: &'c Read,
    /// Which of the key's segments are plain sounds of the accent.
    own: Vec<bool>,
    /// Which of them are second halves.
    halves: Vec<bool>,
    /// The rules asked for at each of the key's segments.
    asked: Vec<Vec<&'static str>>,
    /// What the accent makes of the answer.
    from_target: Vec<(Column, Finding)>,
    /// The target's segments beside the key's.
    to_key: Vec<Column>,
    accent: &'c Accent,
    narrow: bool,
}

impl Check<'_> {
    fn place(&self, column: &Column, site: Option<Site>) -> Place {
        let same = !column.target.is_empty()
            && self.wanted.sounds(&column.target) == self.said.sounds(&column.production);
        let missed = if same {
            Vec::new()
        } else {
            self.missed(column)
        };
        let right = same || missed.is_empty() && self.allowed(column, site);
        let whole = (
            self.wanted.whole(&column.target),
            self.said.whole(&column.production),
        );
        let differences = match whole {
            (Some(one), Some(other)) => Some(difference::between_postures(
                (&one, self.posture(&one)),
                (&other, self.posture(&other)),
            )),
            _ => None,
        };
        let site = site.unwrap_or_default();
        Place {
            key: self.wanted.written(&column.target),
            answer: self.said.written(&column.production),
            right,
            half: !column.target.is_empty()
                && self.halves.get(column.target.start as usize) == Some(&true),
            change: column.kind,
            differences: differences.filter(|it| !it.is_empty()),
            missed: if right { Vec::new() } else { missed },
            position: site.position,
            part: site.part,
        }
    }

    /// What the accent's coaches have the mouth do for a sound, else what the chart says.
    fn posture(&self, sound: &FeatureBundle) -> Posture {
        let taught = self.accent.posture(sound);
        taught.map_or_else(|| posture::of(sound), |(taught, _)| taught)
    }

    /// The columns of the accent's judgement that a place of the answer is in.
    fn judged(&self, column: &Column) -> Vec<&(Column, Finding)> {
        if !column.production.is_empty() {
            let judged = self.from_target.iter();
            return judged
                .filter(|it| meet(&it.0.production, &column.production))
                .collect();
        }
        // A sound of the key that the answer lacks: what became of the target's.
        let targets = self
            .to_key
            .iter()
            .filter(|it| meet(&it.production, &column.target));
        let targets: Vec<&Range<u32>> = targets.map(|it| &it.target).collect();
        let judged = self.from_target.iter();
        judged
            .filter(|it| targets.iter().any(|target| meet(&it.0.target, target)))
            .collect()
    }

    /// The rules asked for at a place that the answer does not show.
    fn missed(&self, column: &Column) -> Vec<&'static str> {
        let asked = self
            .asked
            .get(usize_range(&column.target))
            .unwrap_or_default();
        let mut asked: Vec<&'static str> = asked.iter().flatten().copied().collect();
        asked.dedup();
        let judged = self.judged(column);
        asked.retain(|name| {
            !judged
                .iter()
                .any(|it| it.1.allophones.iter().any(|rule| rule.name == *name))
        });
        asked
    }

    /// Whether the accent allows what was answered where it stands.
    fn allowed(&self, column: &Column, site: Option<Site>) -> bool {
        if matches!(self.exercise.kind, Kind::Symbol | Kind::Posture) {
            return false;
        }
        // A description says how a consonant was said: the usual allophone is another answer.
        let bundles = self.wanted.sounds(&column.target).iter();
        let mut bundles = bundles.chain(self.said.sounds(&column.production));
        if self.exercise.kind == Kind::Clinical
            && bundles.any(|bundle| bundle.class == Class::Consonant)
        {
            return false;
        }
        let target = usize_range(&column.target);
        let own = self.own.get(target).unwrap_or_default();
        let fixed = self.exercise.kind != Kind::Narrow && own.contains(&false);
        if fixed || !self.narrow && self.is_reduced_under_stress(column, site) {
            return false;
        }
        let judged = self.judged(column);
        if judged.is_empty() {
            // A sound that the accent may put in and that is not asked for.
            let of_key = self.to_key.iter();
            let mut added = of_key.filter(|it| meet(&it.production, &column.target));
            return self.exercise.kind == Kind::Narrow
                && added.next().is_some_and(|it| it.target.is_empty());
        }
        judged.iter().all(|(_, finding)| {
            let only_lacks =
                !finding.lacking.is_empty() && self.exercise.kind != Kind::Narrow;
            matches!(finding.kind, Change::Match | Change::Allophone) || only_lacks
        })
    }

    fn is_reduced_under_stress(&self, column: &Column, site: Option<Site>) -> bool {
        let said = self.said.sounds(&column.production);
        let stressed = site.is_some_and(|site| {
            site.stress.is_stressed() == Some(true) || site.syllables == 1
        });
        let reduced = self
            .accent
            .phoneme_of(said)
            .and_then(|it| self.accent.row(it.number));
        let wanted = self.wanted.sounds(&column.target);
        let meant = self
            .accent
            .phoneme_of(wanted)
            .and_then(|it| self.accent.row(it.number));
        let nucleus = site.is_some_and(|site| site.part == Some(Part::Nucleus));
        stressed
            && nucleus
            && reduced.is_some_and(|row| row.reduced && !row.full.is_empty())
            && meant.is_none_or(|row| !row.reduced)
    }
}

/// What a place that is wrong counts.
fn loss(column: &Column, wanted: &Read, said: &Read) -> u32 {
    match (wanted.whole(&column.target), said.whole(&column.production)) {
        (Some(one), Some(other)) => distance::between(&one, &other),
        (Some(one), None) | (None, Some(one)) => distance::alone(&one),
        (None, None) => {
            let sounds = wanted.sounds(&column.target).iter();
            let sounds = sounds.chain(said.sounds(&column.production));
            sounds.map(distance::alone).sum()
        }
    }
}

fn site_of(column: &Column, wanted: &[Site], said: &[Site]) -> Option<Site> {
    let own = wanted.get(column.target.start as usize);
    let own = own.filter(|_| !column.target.is_empty());
    own.or_else(|| said.get(column.production.start as usize))
        .copied()
}

fn meet(one: &Range<u32>, other: &Range<u32>) -> bool {
    one.start < other.end && other.start < one.end
}
