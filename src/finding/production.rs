//! What a production makes of its target's sounds: right, off in detail, or another sound,
//! and where in the word.

use core::ops::Range;

use crate::accent::{Accent, Heard, Sounded, bare};
use crate::alignment::{self, Column, Kind};
use crate::feature::FeatureBundle;
use crate::inventory::{AllophoneRow, WeakFormRow};
use crate::notation::{ItemKind, Notation, Transcription};
use crate::syllable::{Shapes, Site, Stress, Syllabifier};

/// What is found in one column of an alignment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// What became of the target's sound, the accent having had its say.
    pub kind: Kind,
    /// Where it stands: in the target, or for an addition in the production. `None` for a
    /// column of tones or pauses alone.
    pub site: Option<Site>,
    /// The accent's rules that allow what differs.
    pub allophones: Vec<&'static AllophoneRow>,
    /// The accent's rules that the sound ought to have followed and did not.
    pub lacking: Vec<&'static AllophoneRow>,
    /// The word's weak form, where that is what was said.
    pub weak_form: Option<&'static WeakFormRow>,
}

/// One side of a comparison.
#[derive(Clone, Copy, Debug)]
pub struct Side<'s> {
    /// The transcription.
    pub transcription: &'s Transcription,
    /// The features of its segments.
    pub bundles: &'s [FeatureBundle],
}

/// Judges pair after pair.
///
/// Without an accent it only tells where every sound stands. With one it tells a sound that
/// the accent allows there ([`Kind::Allophone`]) from one that is off in detail
/// ([`Kind::Distortion`]) and from another sound ([`Kind::Substitution`]):
///
/// - Allowed is the phoneme itself, with the detail that the accent's rules give it where it
///   stands, and what those rules put in its place. The rules are read on the target.
/// - Detail that a rule calls obligatory, such as the puff of air of \[pʰ\] at the start of a
///   stressed syllable, is asked for in a narrow production `[…]` alone: there, a mark that
///   is absent says that the detail was. A broad production `/…/`, or one without brackets,
///   carries no such detail and lacks none. Optional detail is never asked for.
/// - Everything else is a distortion if its letter is the target's, if the accent has it
///   somewhere as an allophone of the target's phoneme, or if, being no sound of the accent,
///   it is nearer to that phoneme than to any other; and else a substitution.
/// - In a phrase, a word without primary stress may have its weak form.
///
/// # Examples
///
/// ```
/// use apical::accent::Accent;
/// use apical::alignment::{Aligner, Kind, Setting};
/// use apical::articulation::bundle;
/// use apical::finding::production::{Judge, Side};
/// use apical::notation::Transcription;
///
/// let accent = Accent::named("en-US").unwrap();
/// let mut aligner = Aligner::new(Setting::for_accent(&accent));
/// let mut judge = Judge::new(Some(&accent));
/// let mut first = |production: &str| {
///     let sides = ["/pɪn/", production].map(Transcription::parse);
///     let bundles = [0, 1].map(|at: usize| -> Vec<_> {
///         sides[at].segments().map(|it| bundle(&it)).collect()
///     });
///     let columns = aligner.align(&bundles[0], &bundles[1]);
///     let side = |at: usize| Side { transcription: &sides[at], bundles: &bundles[at] };
///     judge.judge(side(0), side(1), columns)[0].kind
/// };
/// assert_eq!(first("[pʰɪ̃n]"), Kind::Allophone);
/// assert_eq!(first("[pɪn]"), Kind::Distortion);
/// assert_eq!(first("/pɪn/"), Kind::Match);
/// assert_eq!(first("[bɪn]"), Kind::Substitution);
/// ```
#[derive(Clone, Debug)]
pub struct Judge {
    accent: Option<Accent>,
    target: Syllabifier,
    production: Syllabifier,
    /// The last target, which often comes again: a line is judged key by key, a word item by
    /// item.
    known: Known,
}

/// A target and what stands where in it.
#[derive(Clone, Debug, Default)]
struct Known {
    text: String,
    bundles: Vec<FeatureBundle>,
    phonemes: Vec<Sounded>,
}

impl Judge {
    /// One that goes by an accent, or by none.
    #[must_use]
    pub fn new(accent: Option<&Accent>) -> Self {
        let shapes = accent.map_or_else(Shapes::general, Accent::shapes);
        Self {
            accent: accent.cloned(),
            target: Syllabifier::new(shapes.clone()),
            production: Syllabifier::new(shapes),
            known: Known::default(),
        }
    }

    /// Takes a target in, unless it is the last one.
    fn learn(&mut self, target: Side<'_>) {
        let text = target.transcription.text();
        let known = &mut self.known;
        if known.text == text && known.bundles == target.bundles {
            return;
        }
        text.clone_into(&mut known.text);
        known.bundles.clear();
        known.bundles.extend_from_slice(target.bundles);
        let sites = self.target.sites(target.transcription, target.bundles);
        known.phonemes = match &self.accent {
            Some(accent) => accent.phonemes_in(target.bundles, sites),
            None => Vec::new(),
        };
    }

    /// What is found in each column of an alignment of the two sides.
    ///
    /// Cost: linear in the columns, but for the rules tried on each sound that differs, and
    /// in a narrow production on every sound.
    pub fn judge(
        &mut self,
        target: Side<'_>,
        production: Side<'_>,
        columns: &[Column],
    ) -> Vec<Finding> {
        self.learn(target);
        let wanted = self.target.last();
        let said = self
            .production
            .sites(production.transcription, production.bundles);
        let site = |column: &Column| {
            let own = wanted.get(column.target.start as usize);
            let own = own.filter(|_| !column.target.is_empty());
            let added = said.get(column.production.start as usize);
            let added = added.filter(|_| !column.production.is_empty());
            own.or(added).copied()
        };
        let mut findings: Vec<Finding> = columns
            .iter()
            .map(|column| Finding {
                kind: column.kind,
                site: site(column).filter(|it| it.part.is_some()),
                allophones: Vec::new(),
                lacking: Vec::new(),
                weak_form: None,
            })
            .collect();
        if let Some(accent) = &self.accent {
            let letters = production.transcription.segments();
            let pair = Pair {
                accent,
                wanted: target.bundles,
                phonemes: &self.known.phonemes,
                said: production.bundles,
                said_sites: said,
                bare: letters.map(|segment| bare(&segment)).collect(),
                narrow: production.transcription.notation() == Notation::Narrow,
                marks_stress: target
                    .transcription
                    .items()
                    .iter()
                    .any(|item| item.kind() == ItemKind::PrimaryStress),
                columns,
            };
            pair.judge(&mut findings);
        }
        findings
    }
}

/// Two sides that are judged by an accent.
struct Pair<'p> {
    accent: &'p Accent,
    wanted: &'p [FeatureBundle],
    phonemes: &'p [Sounded],
    said: &'p [FeatureBundle],
    said_sites: &'p [Site],
    bare: Vec<FeatureBundle>,
    narrow: bool,
    /// Whether the target has any stress mark.
    marks_stress: bool,
    columns: &'p [Column],
}

impl Pair<'_> {
    fn judge(&self, findings: &mut [Finding]) {
        let mut at = 0;
        while at < self.phonemes.len() {
            // A rule about two sounds in a row says more than one about each.
            if self.differs(at..at + 2, findings) && self.explain(at..at + 2, findings) {
                at += 2;
                continue;
            }
            // What is the same can only lack detail, and that is asked for in a narrow
            // production alone.
            if !self.narrow && self.is_same(at..at + 1, findings) {
                at += 1;
                continue;
            }
            if !self.explain(at..at + 1, findings) {
                self.classify(at, findings);
            }
            at += 1;
        }
        self.additions(findings);
        self.weak_forms(findings);
    }

    /// Whether anything differs in the columns that some of the target's phonemes fill.
    fn differs(&self, phonemes: Range<usize>, findings: &[Finding]) -> bool {
        let columns = self.columns_of(&phonemes);
        let findings = columns.and_then(|columns| findings.get(columns));
        let mut findings = findings.unwrap_or_default().iter();
        findings.any(|finding| finding.kind != Kind::Match)
    }

    /// Whether nothing differs in the columns that some of the target's phonemes fill.
    fn is_same(&self, phonemes: Range<usize>, findings: &[Finding]) -> bool {
        let columns = self.columns_of(&phonemes);
        let findings = columns.and_then(|columns| findings.get(columns));
        findings.is_some_and(|it| it.iter().all(|finding| finding.kind == Kind::Match))
    }

    /// The columns that some of the target's phonemes fill, if they fill them.
    fn columns_of(&self, phonemes: &Range<usize>) -> Option<Range<usize>> {
        let these = self.phonemes.get(phonemes.clone())?;
        let start = these.first()?.first;
        let end = these.last().map(|last| last.first + last.length)?;
        // The columns stand in the order of the target; additions have its next place.
        let from = self
            .columns
            .partition_point(|it| (it.target.end as usize) <= start);
        let to = self
            .columns
            .partition_point(|it| (it.target.end as usize) < end);
        let is_there = |at: usize, place: fn(&Column) -> u32, wanted: usize| {
            let column = self.columns.get(at).filter(|it| !it.target.is_empty());
            column.is_some_and(|it| place(it) as usize == wanted)
        };
        let whole = is_there(from, |it| it.target.start, start)
            && is_there(to, |it| it.target.end, end);
        if !whole {
            return None;
        }
        let columns = self.columns.get(from..=to)?;
        let moved = columns.iter().any(|it| it.kind == Kind::Transposition);
        (!moved).then_some(from..to + 1)
    }

    fn heard(&self, columns: &Range<usize>) -> Option<(Range<usize>, Heard<'_>)> {
        let first = self.columns.get(columns.start)?;
        let last = self.columns.get(columns.end.checked_sub(1)?)?;
        let range = first.production.start as usize..last.production.end as usize;
        let heard = Heard {
            bundles: self.said.get(range.clone())?,
            bare: self.bare.get(range.clone())?,
        };
        Some((range, heard))
    }

    /// Looks whether the accent allows what was heard for some phonemes, and says so.
    fn explain(&self, phonemes: Range<usize>, findings: &mut [Finding]) -> bool {
        let Some(columns) = self.columns_of(&phonemes) else {
            return false;
        };
        let Some((_, heard)) = self.heard(&columns) else {
            return false;
        };
        let explanation = self.accent.explain(self.phonemes, &phonemes, heard);
        let typed_alike = explanation.is_none() && self.is_as_typed(&phonemes, heard);
        if explanation.is_none() && !typed_alike {
            return false;
        }
        let explanation = explanation.unwrap_or_default();
        let lacking = if self.narrow && !explanation.replaced && phonemes.len() == 1 {
            self.accent
                .lacking(self.phonemes, phonemes.start, heard.bundles)
        } else {
            Vec::new()
        };
        let kind = match (lacking.is_empty(), explanation.rules.is_empty()) {
            (false, _) => Kind::Distortion,
            (true, false) => Kind::Allophone,
            (true, true) => Kind::Match,
        };
        for at in columns {
            let Some(finding) = findings.get_mut(at) else {
                continue;
            };
            let same = finding.kind == Kind::Match && kind == Kind::Allophone;
            if !same {
                finding.kind = kind;
                finding.allophones.clone_from(&explanation.rules);
            }
            finding.lacking.clone_from(&lacking);
        }
        true
    }

    /// Whether what was heard is the target as it was typed, phoneme of the accent or not.
    fn is_as_typed(&self, phonemes: &Range<usize>, heard: Heard<'_>) -> bool {
        let [one] = self.phonemes.get(phonemes.clone()).unwrap_or_default() else {
            return false;
        };
        self.wanted.get(one.first..one.first + one.length) == Some(heard.bundles)
    }

    /// Distortion or substitution, for a phoneme that the accent does not allow to be said
    /// like this.
    fn classify(&self, at: usize, findings: &mut [Finding]) {
        let Some(phoneme) = self.phonemes.get(at) else {
            return;
        };
        let (start, end) = (phoneme.first, phoneme.first + phoneme.length);
        for (column, finding) in self.columns.iter().zip(findings) {
            let target = column.target.start as usize..column.target.end as usize;
            let inside = target.start >= start && target.end <= end && !target.is_empty();
            let production =
                column.production.start as usize..column.production.end as usize;
            if !inside
                || production.is_empty()
                || !matches!(finding.kind, Kind::Distortion | Kind::Substitution)
            {
                continue;
            }
            let whole = target.len() == phoneme.length;
            finding.kind = if self.is_same_phoneme(phoneme, &target, &production, whole) {
                Kind::Distortion
            } else {
                Kind::Substitution
            };
            if self.narrow && whole && finding.kind == Kind::Distortion {
                let said = self.said.get(production).unwrap_or_default();
                finding.lacking = self.accent.lacking(self.phonemes, at, said);
            }
        }
    }

    fn is_same_phoneme(
        &self,
        phoneme: &Sounded,
        target: &Range<usize>,
        production: &Range<usize>,
        whole: bool,
    ) -> bool {
        let wanted = self.wanted.get(target.clone()).unwrap_or_default();
        let said = self.said.get(production.clone()).unwrap_or_default();
        let bare = self.bare.get(production.clone()).unwrap_or_default();
        match (wanted, said, bare) {
            ([one], [other], [letter]) if !whole => {
                alignment::same_phoneme(one, other) || one == letter
            }
            (_, [other], [letter]) => {
                let heard = self.accent.heard_as(other, letter);
                phoneme.number.is_some_and(|number| heard.contains(&number))
                    || phoneme.number.is_none()
                        && wanted.first().is_some_and(|one| {
                            alignment::same_phoneme(one, other) || one == letter
                        })
            }
            _ => match (alignment::whole(wanted), alignment::whole(said)) {
                (Some(one), Some(other)) => alignment::same_phoneme(&one, &other),
                _ => false,
            },
        }
    }

    /// Sounds that the accent lets be put in.
    fn additions(&self, findings: &mut [Finding]) {
        for (column, finding) in self.columns.iter().zip(findings) {
            if finding.kind != Kind::Addition {
                continue;
            }
            // The phoneme that the sound stands before.
            let before = self
                .phonemes
                .iter()
                .position(|it| it.first >= column.target.start as usize)
                .unwrap_or(self.phonemes.len());
            let range = column.production.start as usize..column.production.end as usize;
            let heard = Heard {
                bundles: self.said.get(range.clone()).unwrap_or_default(),
                bare: self.bare.get(range).unwrap_or_default(),
            };
            let allowed = self.accent.explain(self.phonemes, &(before..before), heard);
            if let Some(explanation) = allowed {
                finding.kind = Kind::Allophone;
                finding.allophones = explanation.rules;
            }
        }
    }

    /// Words of a phrase that were said in their weak form.
    fn weak_forms(&self, findings: &mut [Finding]) {
        let words: Vec<&[Sounded]> = self
            .phonemes
            .chunk_by(|a, b| a.site.word == b.site.word)
            .collect();
        if words.len() < 2 {
            return;
        }
        for word in words {
            let said_to_be = self.marks_stress
                && word.iter().any(|it| it.site.stress == Stress::Primary);
            if !said_to_be || word.iter().any(|it| it.site.syllables > 1) {
                self.weak_form(word, findings);
            }
        }
    }

    fn weak_form(&self, word: &[Sounded], findings: &mut [Finding]) {
        let (Some(first), Some(last)) = (word.first(), word.last()) else {
            return;
        };
        let inside = |column: &Column| {
            !column.target.is_empty()
                && column.target.start as usize >= first.first
                && (column.target.end as usize) <= last.first + last.length
        };
        let from = self.columns.iter().position(inside);
        let to = self.columns.iter().rposition(inside);
        let (Some(from), Some(to)) = (from, to) else {
            return;
        };
        let Some((said, _)) = self.heard(&(from..to + 1)) else {
            return;
        };
        let numbers = |sounded: &[Sounded]| -> Vec<Option<u16>> {
            sounded.iter().map(|it| it.number).collect()
        };
        let heard: Vec<Sounded> = self
            .accent
            .phonemes_in(self.said, self.said_sites)
            .into_iter()
            .filter(|it| said.contains(&it.first))
            .collect();
        let Some(row) = self.accent.weak_form(&numbers(word), &numbers(&heard)) else {
            return;
        };
        for finding in findings.get_mut(from..=to).unwrap_or_default() {
            if finding.kind != Kind::Match {
                finding.kind = Kind::Allophone;
                finding.lacking.clear();
            }
            finding.weak_form = Some(row);
        }
    }
}
