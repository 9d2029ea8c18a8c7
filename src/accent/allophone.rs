//! What a phoneme may sound like where it stands: the accent's rules A → B / C _ D.

use core::ops::Range;
use std::collections::BTreeMap;

use super::reading::Sounded;
use super::{Accent, bares, bundles, single};
use crate::feature::{Details, FeatureBundle, Releases, Secondaries};
use crate::inventory::{AllophoneRow, Where};
use crate::notation::Transcription;
use crate::syllable::{Part, Position, Site, Stress};

/// What was heard: the segments of a production that answer a target's phoneme.
#[derive(Clone, Copy, Debug)]
pub struct Heard<'h> {
    /// Their features.
    pub bundles: &'h [FeatureBundle],
    /// What their letters alone say, without the marks: [`super::bare`].
    pub bare: &'h [FeatureBundle],
}

/// Why a sound is right for a phoneme where it stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Explanation {
    /// The rules that allow what differs from the phoneme itself; none where nothing does.
    pub rules: Vec<&'static AllophoneRow>,
    /// Whether a rule gave the sound another letter, or took it away.
    pub replaced: bool,
}

/// A rule made ready.
#[derive(Clone, Debug)]
pub(super) struct Rule {
    row: &'static AllophoneRow,
    /// Whether it holds; one that was switched off still says whose a sound is.
    on: bool,
    left: Context,
    not_left: Context,
    right: Context,
    not_right: Context,
    cases: Vec<Case>,
}

/// What a rule makes of one phoneme, or of a run of them.
#[derive(Clone, Debug)]
struct Case {
    sounds: Vec<u16>,
    forms: Vec<Form>,
}

#[derive(Clone, Debug)]
enum Form {
    /// The sound with marks: what the marks change, as before and after.
    Marked([FeatureBundle; 2]),
    /// Other letters: their features, and those without marks.
    Replaced([Vec<FeatureBundle>; 2]),
}

/// The rules by the phonemes that they are about.
#[derive(Clone, Debug, Default)]
pub(super) struct Cases {
    /// For each run of phonemes the rules about it, in their order, with what they make of it.
    by_sounds: BTreeMap<Vec<u16>, Vec<(usize, usize)>>,
    /// The phonemes that have a letter as an allophone somewhere, in order.
    owners: BTreeMap<FeatureBundle, Vec<u16>>,
}

/// What a phoneme may be said as, and the rule that makes it that, if one does.
type Outcome<'a> = (&'a [FeatureBundle], Option<&'static AllophoneRow>);

/// Runs of neighbours, each place with the phonemes that may stand there.
type Context = Vec<Vec<Vec<u16>>>;

/// The number that stands for the edge of a word among neighbours.
const EDGE: u16 = u16::MAX;

impl Rule {
    /// The rules of an accent that its options allow, and those switched off.
    pub(super) fn all(accent: &Accent, reader: &mut Transcription) -> Vec<Self> {
        let rows = accent.table.allophones.iter();
        let usual = |name: &str| {
            let option = accent.options().iter().find(|option| option.name == name);
            option.is_none_or(|option| option.default)
        };
        rows.filter(|row| usual(row.option) || accent.is_on(row.option))
            .map(|row| Self::new(row, accent, reader))
            .collect()
    }

    fn new(
        row: &'static AllophoneRow,
        accent: &Accent,
        reader: &mut Transcription,
    ) -> Self {
        let number = |text: &&str| {
            if *text == "#" {
                return Some(EDGE);
            }
            let known = accent.phonemes.iter().find(|it| it.text == *text);
            known.map(|phoneme| phoneme.number)
        };
        let context = |runs: &[&[&[&str]]]| -> Context {
            runs.iter()
                .map(|run| {
                    let place = |it: &&[&str]| it.iter().filter_map(number).collect();
                    run.iter().map(place).collect()
                })
                .collect()
        };
        let mut cases = Vec::new();
        for run in row.sounds {
            let sounds: Vec<u16> = run.iter().filter_map(number).collect();
            if sounds.len() == run.len() {
                let text = run.concat();
                let forms = row.becomes.iter();
                let forms = forms.filter_map(|form| Form::new(form, &text, reader));
                cases.push(Case {
                    sounds,
                    forms: forms.collect(),
                });
            }
        }
        Self {
            row,
            on: row.option.is_empty() || accent.is_on(row.option),
            left: context(row.left),
            not_left: context(row.not_left),
            right: context(row.right),
            not_right: context(row.not_right),
            cases,
        }
    }

    /// Whether the rule is about the place where the phonemes `at` stand.
    fn holds(&self, word: &[Sounded], at: &Range<usize>) -> bool {
        // A sound that is put in stands where what follows it does, or what it follows.
        let here = word.get(at.start).or_else(|| word.last());
        self.on
            && here.is_some_and(|it| stands(self.row.places, &it.site))
            && self.fits(word, at)
    }

    fn fits(&self, word: &[Sounded], at: &Range<usize>) -> bool {
        let before = |context: &Context| {
            context.iter().any(|run| {
                let mut place = at.start;
                run.iter().rev().all(|allowed| {
                    let neighbour = place.checked_sub(1).and_then(|it| word.get(it));
                    let edge = is_edge(neighbour, word.get(place.max(at.start)));
                    place = place.saturating_sub(1);
                    admits(allowed, neighbour, edge)
                })
            })
        };
        let after = |context: &Context| {
            context.iter().any(|run| {
                let mut place = at.end;
                run.iter().all(|allowed| {
                    let own = place.checked_sub(1).and_then(|it| word.get(it));
                    let neighbour = word.get(place);
                    place += 1;
                    admits(allowed, neighbour, is_edge(neighbour, own))
                })
            })
        };
        (self.left.is_empty() || before(&self.left))
            && !before(&self.not_left)
            && (self.right.is_empty() || after(&self.right))
            && !after(&self.not_right)
    }
}

impl Cases {
    pub(super) fn of(rules: &[Rule]) -> Self {
        let mut all = Self::default();
        for (number, rule) in rules.iter().enumerate() {
            for (at, case) in rule.cases.iter().enumerate() {
                let about = all.by_sounds.entry(case.sounds.clone()).or_default();
                // Of what a rule says of the same phonemes twice, the first counts.
                if about.last().is_none_or(|(last, _)| *last != number) {
                    about.push((number, at));
                }
                let [owner] = case.sounds[..] else {
                    continue;
                };
                for form in &case.forms {
                    if let Form::Replaced([_, letters]) = form
                        && let [letter] = letters[..]
                    {
                        all.owners.entry(letter).or_default().push(owner);
                    }
                }
            }
        }
        for owners in all.owners.values_mut() {
            owners.sort_unstable();
            owners.dedup();
        }
        all
    }

    /// The rules about the phonemes `at` of a word, in their order.
    fn about(&self, word: &[Sounded], at: &Range<usize>) -> &[(usize, usize)] {
        let number = |it: &Sounded| it.number;
        let found = match word.get(at.clone()) {
            Some([]) => self.by_sounds.get([].as_slice()),
            Some([one]) => {
                number(one).and_then(|one| self.by_sounds.get([one].as_slice()))
            }
            Some([one, other]) => {
                let pair = number(one).zip(number(other));
                pair.and_then(|(one, other)| self.by_sounds.get([one, other].as_slice()))
            }
            Some(several) => {
                let numbers: Option<Vec<u16>> = several.iter().map(number).collect();
                numbers.and_then(|numbers| self.by_sounds.get(&numbers))
            }
            None => None,
        };
        found.map(Vec::as_slice).unwrap_or_default()
    }
}

/// Whether between two neighbours lies the edge of a word.
fn is_edge(neighbour: Option<&Sounded>, own: Option<&Sounded>) -> bool {
    match (neighbour, own) {
        (Some(neighbour), Some(own)) => neighbour.site.word != own.site.word,
        _ => true,
    }
}

fn admits(allowed: &[u16], neighbour: Option<&Sounded>, edge: bool) -> bool {
    edge && allowed.contains(&EDGE)
        || neighbour
            .and_then(|it| it.number)
            .is_some_and(|number| allowed.contains(&number))
}

/// Whether a site is one of a rule's places. A word that does not say how it is stressed is
/// given the benefit of the doubt.
fn stands(places: u16, site: &Site) -> bool {
    let holds = |place: Where| match place {
        Where::Onset => site.part == Some(Part::Onset),
        Where::Nucleus => site.part == Some(Part::Nucleus),
        Where::Coda => site.part == Some(Part::Coda),
        Where::First => site.slot == 0,
        Where::Last => site.slot + 1 == site.size,
        Where::Alone => site.size == 1,
        Where::Initial => site.position == Position::Initial,
        Where::Medial => site.position == Position::Medial,
        Where::Final => site.position == Position::Final,
        Where::Stressed => site.stress.is_stressed() != Some(false),
        Where::Unstressed => site.stress.is_stressed() != Some(true),
        Where::Weak => site.stress == Stress::None,
    };
    PLACES
        .iter()
        .filter(|place| places & 1 << **place as u16 != 0)
        .all(|place| holds(*place))
}

/// Every place, in the order of their bits.
const PLACES: [Where; 12] = [
    Where::Onset,
    Where::Nucleus,
    Where::Coda,
    Where::First,
    Where::Last,
    Where::Alone,
    Where::Initial,
    Where::Medial,
    Where::Final,
    Where::Stressed,
    Where::Unstressed,
    Where::Weak,
];

impl Form {
    fn new(form: &str, text: &str, reader: &mut Transcription) -> Option<Self> {
        if form == "∅" {
            return Some(Self::Replaced([Vec::new(), Vec::new()]));
        }
        if !form.contains('◌') {
            return Some(Self::Replaced([bundles(reader, form), bares(reader, form)]));
        }
        // The marks of a diphthong's first letter change the same features of both halves.
        let sound = if single(reader, text)?.glide.is_some() {
            text.split('\u{361}').next()?
        } else {
            text
        };
        let before = single(reader, sound)?;
        let after = single(reader, &form.replace('◌', sound))?;
        Some(Self::Marked([before, after]))
    }
}

impl Accent {
    /// The rules that hold for the phonemes `at` of a word where they stand, with what they
    /// make of them.
    fn cases<'a>(
        &'a self,
        word: &[Sounded],
        at: Range<usize>,
    ) -> impl Iterator<Item = (&'a Rule, &'a Case)> {
        let about = self.cases.about(word, &at).iter();
        about.filter_map(move |(rule, case)| {
            let rule = self.rules.get(*rule).filter(|it| it.holds(word, &at))?;
            Some((rule, rule.cases.get(*case)?))
        })
    }

    /// Why what was heard is right for the phonemes `at` of a target where they stand: it is
    /// the phoneme itself, or a rule of the accent, or several together, make it that. `None`
    /// where they do not. An empty range asks for a sound put in before its start.
    ///
    /// `word` is the whole target, as [`Accent::phonemes_in`] reads it.
    ///
    /// # Source
    ///
    /// The rules and their sources: `allophones.tsv` of the accent.
    #[must_use]
    pub fn explain(
        &self,
        word: &[Sounded],
        at: &Range<usize>,
        heard: Heard<'_>,
    ) -> Option<Explanation> {
        let own = word.get(at.clone()).and_then(|here| match here {
            [one] => one.number,
            _ => None,
        });
        // Most sounds are the phoneme itself: no rule need be asked.
        let usual = self
            .phonemes
            .iter()
            .find(|it| Some(it.number) == own && !it.broad_only);
        if usual
            .is_some_and(|it| [it.bundle] == *heard.bundles || it.parts == heard.bundles)
        {
            return Some(Explanation::default());
        }
        let active: Vec<(&Rule, &Case)> = self.cases(word, at.clone()).collect();
        let itself = own.and_then(|number| {
            self.phonemes
                .iter()
                .filter(|it| it.number == number && !it.broad_only)
                .find_map(|it| {
                    let whole = core::slice::from_ref(&it.bundle);
                    let [bare, bare_parts] = &it.bare;
                    explained(whole, bare, heard, &active)
                        .or_else(|| explained(&it.parts, bare_parts, heard, &active))
                })
        });
        itself
            .map(|rules| Explanation {
                rules,
                replaced: false,
            })
            .or_else(|| {
                active.iter().find_map(|(rule, case)| {
                    case.forms.iter().find_map(|form| {
                        let Form::Replaced([bundles, bare]) = form else {
                            return None;
                        };
                        let mut rules = explained(bundles, bare, heard, &active)?;
                        rules.insert(0, rule.row);
                        Some(Explanation {
                            rules,
                            replaced: true,
                        })
                    })
                })
            })
    }

    /// Whether two words may sound alike in one place, given as the word and the place: one
    /// phoneme may be said as the other, or both as a third sound, as t and d are between
    /// vowels. Gives the rules that make them alike, one for each of the two that changes.
    ///
    /// Letters are compared, not marks: a devoiced \[z̥\] is no \[s\].
    #[must_use]
    pub fn alike(
        &self,
        one: (&[Sounded], usize),
        other: (&[Sounded], usize),
    ) -> Option<Vec<&'static AllophoneRow>> {
        let [mine, theirs] = [one, other].map(|(word, at)| self.outcomes(word, at));
        let mut found: Option<Vec<&'static AllophoneRow>> = None;
        for (sound, rule) in &mine {
            for (_, other) in theirs.iter().filter(|(same, _)| same == sound) {
                let mut rules: Vec<_> = rule.iter().chain(other).copied().collect();
                rules.dedup_by_key(|row| row.name);
                // What an option of this speaker says is firmer than what anybody may do.
                let firm = |rules: &[&AllophoneRow]| {
                    rules.iter().all(|row| !row.option.is_empty())
                };
                let firmer = found.as_ref().is_none_or(|it| firm(&rules) && !firm(it));
                if firmer {
                    found = Some(rules);
                }
            }
        }
        found
    }

    /// What letters the phoneme `at` of a word may be said as, each with the rule behind it.
    fn outcomes(&self, word: &[Sounded], at: usize) -> Vec<Outcome<'_>> {
        let own = word.get(at).and_then(|it| it.number);
        let spelled = self.phonemes.iter().filter(|it| Some(it.number) == own);
        let mut outcomes: Vec<Outcome<'_>> = spelled
            .filter(|it| !it.broad_only)
            .flat_map(|it| [core::slice::from_ref(&it.bundle), it.parts.as_slice()])
            .map(|bundles| (bundles, None))
            .collect();
        for (rule, case) in self.cases(word, at..at + 1) {
            for form in &case.forms {
                if let Form::Replaced([bundles, _]) = form
                    && !bundles.is_empty()
                {
                    outcomes.push((bundles, Some(rule.row)));
                }
            }
        }
        outcomes
    }

    /// The obligatory allophones of the phoneme `at` of a target that what was heard for it
    /// lacks.
    #[must_use]
    pub fn lacking(
        &self,
        word: &[Sounded],
        at: usize,
        heard: &[FeatureBundle],
    ) -> Vec<&'static AllophoneRow> {
        let said = word.get(at).map(|it| it.site.stress.is_stressed());
        self.cases(word, at..at + 1)
            .filter(|(rule, _)| rule.row.obligatory)
            .filter(|(rule, _)| {
                // Where the target does not say how it is stressed, nothing is asked for.
                let about_stress = rule.row.places
                    & (1 << Where::Stressed as u16 | 1 << Where::Unstressed as u16);
                about_stress == 0 || said.flatten().is_some()
            })
            .filter(|(_, case)| {
                !case.forms.iter().any(|form| match form {
                    Form::Marked([before, after]) => heard
                        .iter()
                        .any(|sound| matched(before, after, sound, &mut sound.clone())),
                    Form::Replaced([bundles, _]) => bundles == heard,
                })
            })
            .map(|(rule, _)| rule.row)
            .collect()
    }

    /// The phonemes that have a letter as an allophone somewhere, in order.
    #[must_use]
    pub fn owners(&self, bare: &FeatureBundle) -> Vec<u16> {
        self.cases.owners.get(bare).cloned().unwrap_or_default()
    }

    /// The phonemes that a sound is heard as, wherever it stands: that of its letter, those
    /// that have it as an allophone somewhere, or the nearest one.
    #[must_use]
    pub fn heard_as(&self, bundle: &FeatureBundle, bare: &FeatureBundle) -> Vec<u16> {
        let spelled = || self.phonemes.iter().filter(|phoneme| !phoneme.broad_only);
        let letter = spelled()
            .find(|phoneme| phoneme.bare[0] == [*bare])
            .or_else(|| spelled().find(|phoneme| phoneme.bundle == *bundle));
        if let Some(phoneme) = letter {
            return vec![phoneme.number];
        }
        let mut owners = self.owners(bare);
        if owners.is_empty() {
            let near = self.nearest(bundle);
            let least = near.first().map_or(0, |(far, _)| *far);
            owners = near
                .iter()
                .take_while(|(far, _)| *far == least)
                .map(|(_, phoneme)| phoneme.number)
                .collect();
        }
        owners
    }
}

/// The rules that make what was heard out of a form, if they do.
fn explained(
    form: &[FeatureBundle],
    bare: &[FeatureBundle],
    heard: Heard<'_>,
    active: &[(&Rule, &Case)],
) -> Option<Vec<&'static AllophoneRow>> {
    if form.len() != heard.bundles.len() {
        return None;
    }
    if form == heard.bundles {
        return Some(Vec::new());
    }
    if bare != heard.bare {
        return None;
    }
    let mut rules: Vec<&'static AllophoneRow> = Vec::new();
    for (from, to) in form.iter().zip(heard.bundles) {
        let mut reached = *from;
        for (rule, case) in active {
            for marks in &case.forms {
                let Form::Marked([before, after]) = marks else {
                    continue;
                };
                let was = reached;
                if matched(before, after, to, &mut reached)
                    && was != reached
                    && !rules.contains(&rule.row)
                {
                    rules.push(rule.row);
                }
            }
        }
        if reached != *to {
            return None;
        }
    }
    Some(rules)
}

/// Whether a sound has all that marks change from `before` to `after`; moves `reached` there.
fn matched(
    before: &FeatureBundle,
    after: &FeatureBundle,
    sound: &FeatureBundle,
    reached: &mut FeatureBundle,
) -> bool {
    let mut goal = *reached;
    let mut all = true;
    macro_rules! field {
        ($($name:ident),+) => {
            $(if before.$name != after.$name {
                all &= sound.$name == after.$name;
                goal.$name = after.$name;
            })+
        };
    }
    field!(
        voicing,
        phonation,
        place,
        manner,
        lateral,
        airstream,
        nasalized,
        height,
        backness,
        rounded,
        rhotic,
        syllabic,
        length,
        tongue_root,
        shift
    );
    let release = after.release.0 & !before.release.0;
    let secondary = after.secondary.0 & !before.secondary.0;
    let detail = after.detail.0 & !before.detail.0;
    all &= sound.release.0 & release == release
        && sound.secondary.0 & secondary == secondary
        && sound.detail.0 & detail == detail;
    goal.release = Releases(goal.release.0 | release);
    goal.secondary = Secondaries(goal.secondary.0 | secondary);
    goal.detail = Details(goal.detail.0 | detail);
    if all {
        *reached = goal;
    }
    all
}
