//! What words are wished for, and which condition a word fails.

use super::{Candidate, Placed, Sounds, Spoken, Stock};
use crate::finding::pattern::SoundClass;
use crate::syllable::{Part, Position, Stress};

/// A sound, or a class of sounds, that is wished for or ruled out.
#[derive(Clone, Debug)]
pub struct SoundWish {
    /// As it was typed.
    pub text: String,
    kind: Kind,
}

#[derive(Clone, Debug)]
enum Kind {
    Phoneme(u16),
    Class(SoundClass),
}

impl SoundWish {
    /// Reads a phoneme of the accent, with or without brackets, or a class in the notation of
    /// rules.
    ///
    /// # Errors
    ///
    /// Why it is neither, and what to do about it.
    pub fn parse(text: &str, sounds: &Sounds) -> Result<Self, (String, String)> {
        let bare = text.trim().trim_matches(['/', '[', ']', ' ']);
        if let Some(number) = sounds.named(bare) {
            return Ok(Self {
                text: sounds.text(number),
                kind: Kind::Phoneme(number),
            });
        }
        let looks_like_class = text.contains(['[', '{']) && text.contains([']', '}'])
            || matches!(bare, "C" | "V" | "N");
        if looks_like_class {
            let class = SoundClass::parse(text.trim())?;
            return Ok(Self {
                text: text.trim().to_owned(),
                kind: Kind::Class(class),
            });
        }
        Err((
            format!("it is no sound of {}", sounds.accent().called()),
            other_sounds(bare, sounds),
        ))
    }

    /// The phoneme, if it is one.
    #[must_use]
    pub fn phoneme(&self) -> Option<u16> {
        match self.kind {
            Kind::Phoneme(number) => Some(number),
            Kind::Class(_) => None,
        }
    }

    /// Whether a sound of a word is it.
    #[must_use]
    pub fn holds(&self, placed: &Placed, sounds: &Sounds) -> bool {
        match &self.kind {
            Kind::Phoneme(number) => placed.counts_as() == *number,
            Kind::Class(class) => sounds
                .bundle(placed.counts_as())
                .is_some_and(|bundle| class.holds(bundle, &placed.site)),
        }
    }
}

/// What could have been meant: the nearest phonemes where it is a sound, else all of them.
fn other_sounds(text: &str, sounds: &Sounds) -> String {
    use crate::articulation;
    use crate::notation::Transcription;
    let accent = sounds.accent();
    let named =
        |number: u16, keyword: &str| format!("{} ({keyword})", sounds.text(number));
    let read = Transcription::parse(text);
    let mut segments = read.segments();
    let is_ascii = text.is_ascii();
    if let (Some(segment), None, true) =
        (segments.next(), segments.next(), read.is_valid())
        && !is_ascii
    {
        let near = accent.nearest(&articulation::bundle(&segment));
        let near: Vec<String> = near
            .iter()
            .take(3)
            .map(|(_, it)| named(it.number, it.keyword))
            .collect();
        return format!("the nearest of its sounds: {}", near.join(", "));
    }
    let all = sounds.inventory();
    let all: Vec<String> = all
        .iter()
        .filter_map(|it| Some(named(*it, accent.row(*it)?.keyword)))
        .collect();
    format!(
        "type a sound in IPA, or a class such as C[+fricative]; the sounds: {}",
        all.join(", ")
    )
}

/// What cluster a sound is to stand in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cluster {
    /// In any: an onset or a coda of two consonants or more.
    Any,
    /// In this one, and no longer one.
    Exactly(Vec<u16>),
}

/// What is wished for.
#[derive(Clone, Debug, Default)]
pub struct Wish {
    /// The word has one of these; every word does where none is named.
    pub sounds: Vec<SoundWish>,
    /// Where in the word the sound stands.
    pub position: Option<Position>,
    /// In what part of its syllable.
    pub part: Option<Part>,
    /// In what cluster.
    pub cluster: Option<Cluster>,
    /// Whether its syllable is stressed.
    pub stressed: Option<bool>,
    /// How many syllables the word has, at least and at most.
    pub syllables: Option<(u32, u32)>,
    /// The stress of each of its syllables.
    pub stress: Option<Vec<Stress>>,
    /// Whether the word is to have no cluster at all.
    pub no_clusters: bool,
    /// Sounds that no variant of the word has.
    pub without: Vec<SoundWish>,
    /// How often in a million words it occurs at least.
    pub least: f64,
}

/// One condition of a wish.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[repr(u8)]
pub enum Condition {
    /// The place in the word.
    Position,
    /// The part of the syllable.
    Part,
    /// The cluster.
    Cluster,
    /// The stress on the sound.
    Stressed,
    /// The number of syllables.
    Syllables,
    /// The stress of the word.
    Stress,
    /// No clusters.
    NoClusters,
    /// Sounds ruled out.
    Without,
    /// The frequency.
    Frequency,
}

impl Condition {
    /// Every condition.
    pub const ALL: [Self; 9] = [
        Self::Position,
        Self::Part,
        Self::Cluster,
        Self::Stressed,
        Self::Syllables,
        Self::Stress,
        Self::NoClusters,
        Self::Without,
        Self::Frequency,
    ];

    const fn bit(self) -> u16 {
        1 << self as u16
    }
}

impl Wish {
    /// Whether it asks for a sound in some place, be it by a cluster.
    #[must_use]
    pub fn asks_for_a_sound(&self) -> bool {
        !self.sounds.is_empty() || self.cluster.is_some()
    }

    /// The places of a word that are what is wished for; empty for a word that is not. A wish
    /// without a sound gives the first place of a word.
    #[must_use]
    pub fn places(&self, candidate: &Candidate, stock: &Stock<'_>) -> Vec<usize> {
        if self.failed_by_word(candidate, stock, false) != 0 {
            return Vec::new();
        }
        if !self.asks_for_a_sound() {
            return vec![0];
        }
        let spoken = &candidate.spoken;
        let at =
            (0..spoken.len()).filter(|at| self.failed_at(spoken, *at, stock) == Some(0));
        at.collect()
    }

    /// Which conditions a word fails, as sets of which one has to be given up altogether:
    /// for each place of the sound one. Empty where the word has not the sound at all.
    pub(super) fn failures(&self, candidate: &Candidate, stock: &Stock<'_>) -> Vec<u16> {
        let whole = self.failed_by_word(candidate, stock, true);
        if !self.asks_for_a_sound() {
            return vec![whole];
        }
        let spoken = &candidate.spoken;
        let mut all: Vec<u16> = (0..spoken.len())
            .filter_map(|at| Some(self.failed_at(spoken, at, stock)? | whole))
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The conditions that a place fails; `None` where the sound is not there.
    fn failed_at(&self, spoken: &Spoken, at: usize, stock: &Stock<'_>) -> Option<u16> {
        let placed = spoken.get(at)?;
        let site = &placed.site;
        let sounds = &stock.sounds;
        let named = self.sounds.iter().any(|it| it.holds(placed, sounds));
        let by_cluster = self.sounds.is_empty() && site.size > 1 && site.slot == 0;
        if !named && !by_cluster {
            return None;
        }
        let mut failed = 0;
        let mut ask = |condition: Condition, holds: bool| {
            if !holds {
                failed |= condition.bit();
            }
        };
        ask(
            Condition::Position,
            self.position.is_none_or(|it| it == site.position),
        );
        ask(
            Condition::Part,
            self.part.is_none_or(|it| Some(it) == site.part),
        );
        ask(
            Condition::Stressed,
            self.stressed
                .is_none_or(|it| site.stress.is_stressed() == Some(it)),
        );
        let in_cluster = match &self.cluster {
            None => true,
            Some(Cluster::Any) => is_cluster(site.part, site.size),
            Some(Cluster::Exactly(wanted)) => {
                let cluster = cluster_at(spoken, at);
                cluster
                    .iter()
                    .map(|it| it.number)
                    .eq(wanted.iter().copied())
            }
        };
        ask(Condition::Cluster, in_cluster);
        Some(failed)
    }

    fn failed_by_word(&self, candidate: &Candidate, stock: &Stock<'_>, all: bool) -> u16 {
        let spoken = &candidate.spoken;
        let mut failed = 0;
        let syllables = spoken.first().map_or(0, |it| it.site.syllables);
        if candidate.frequency() < self.least {
            failed |= Condition::Frequency.bit();
        }
        if let Some((least, most)) = self.syllables
            && !(least..=most).contains(&syllables)
        {
            failed |= Condition::Syllables.bit();
        }
        if let Some(pattern) = &self.stress
            && stresses(spoken) != *pattern
        {
            failed |= Condition::Stress.bit();
        }
        if self.no_clusters
            && spoken
                .iter()
                .any(|it| is_cluster(it.site.part, it.site.size))
        {
            failed |= Condition::NoClusters.bit();
        }
        if (failed == 0 || all) && self.is_ruled_out(candidate, stock) {
            failed |= Condition::Without.bit();
        }
        failed
    }

    /// Whether a variant of the word has a sound that is ruled out.
    fn is_ruled_out(&self, candidate: &Candidate, stock: &Stock<'_>) -> bool {
        if self.without.is_empty() {
            return false;
        }
        let has = |spoken: &Spoken| {
            spoken.iter().any(|placed| {
                self.without
                    .iter()
                    .any(|it| it.holds(placed, &stock.sounds))
            })
        };
        has(&candidate.spoken) || stock.variants(&candidate.entry).iter().any(has)
    }
}

/// Whether a part of a syllable of this size is a cluster.
fn is_cluster(part: Option<Part>, size: u32) -> bool {
    size > 1 && matches!(part, Some(Part::Onset | Part::Coda))
}

/// The cluster, or the single sound, that a place belongs to.
#[must_use]
pub(super) fn cluster_at(spoken: &Spoken, at: usize) -> &[Placed] {
    let Some(placed) = spoken.get(at) else {
        return &[];
    };
    let slot = placed.site.slot as usize;
    let size = placed.site.size as usize;
    let start = at.saturating_sub(slot);
    spoken.get(start..start + size).unwrap_or_default()
}

/// The stress of each syllable; that of a word of one syllable is primary.
#[must_use]
pub(super) fn stresses(spoken: &Spoken) -> Vec<Stress> {
    let peaks = spoken
        .iter()
        .filter(|it| it.site.part == Some(Part::Nucleus));
    peaks
        .map(|it| match it.site.stress {
            Stress::Unmarked => Stress::None,
            stress => stress,
        })
        .collect()
}
