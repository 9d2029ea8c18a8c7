//! Syllables: where in its word and its syllable every segment of a transcription stands.
//!
//! Boundaries are taken as typed (stress marks, dots, spaces); where none is typed, a
//! syllable begins with the longest onset that the shapes allow.

use core::ops::Range;

use crate::feature::{
    Backness, Class, Detail, FeatureBundle, Height, Manner, Place, Places, Voicing,
};
use crate::notation::{ItemKind, Transcription};

/// A part of a syllable.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Part {
    /// What comes before the peak.
    Onset,
    /// The peak: a vowel, a diphthong or a syllabic consonant.
    Nucleus,
    /// What comes after the peak.
    Coda,
}

impl Part {
    /// The word for it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Onset => "onset",
            Self::Nucleus => "nucleus",
            Self::Coda => "coda",
        }
    }
}

/// Where in its word a segment stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Position {
    /// Before the word's first nucleus, or in it where it opens the word.
    #[default]
    Initial,
    /// In between.
    Medial,
    /// After the word's last nucleus, or in it where it closes the word.
    Final,
}

impl Position {
    /// The word for it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Initial => "initial",
            Self::Medial => "medial",
            Self::Final => "final",
        }
    }
}

/// How a syllable is stressed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Stress {
    /// ˈ before it; or the only syllable of a word in a transcription without any stress
    /// mark, since such a word goes without one.
    Primary,
    /// ˌ before it.
    Secondary,
    /// No mark before it, in a word of several syllables where there are marks.
    None,
    /// It does not say: a word of several syllables where no stress is marked at all, or an
    /// unmarked word of one syllable where others are.
    #[default]
    Unmarked,
}

impl Stress {
    /// The word for it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Primary => "primary",
            Self::Secondary => "secondary",
            Self::None => "none",
            Self::Unmarked => "unmarked",
        }
    }

    /// Whether it is stressed at all; `None` where the transcription does not say.
    #[must_use]
    pub const fn is_stressed(self) -> Option<bool> {
        match self {
            Self::Primary | Self::Secondary => Some(true),
            Self::None => Some(false),
            Self::Unmarked => None,
        }
    }
}

/// Where one segment stands.
///
/// Numbers count from 0. The two halves of a diphthong or of an affricate typed without a
/// tie share a slot.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Site {
    /// The word in the transcription.
    pub word: u32,
    /// The syllable in the transcription.
    pub syllable: u32,
    /// The syllable in its word.
    pub syllable_in_word: u32,
    /// How many syllables the word has; 0 for a word without a nucleus.
    pub syllables: u32,
    /// The part of the syllable; `None` for tones, pauses and the sounds of a word without a
    /// nucleus.
    pub part: Option<Part>,
    /// Its place in the cluster that makes up the part.
    pub slot: u32,
    /// How many slots that cluster has; 1 for a sound alone.
    pub size: u32,
    /// Where in the word. A word's only vowel, with nothing around it, is initial.
    pub position: Position,
    /// The stress of its syllable.
    pub stress: Stress,
}

/// What syllables may look like: the longest legal onset decides where a syllable begins.
#[derive(Clone, Debug, Default)]
pub struct Shapes {
    /// Legal onsets of two slots or more, packed, sorted.
    onsets: Vec<u64>,
    /// Consonants that have a place in some onset, sorted.
    opening: Vec<u16>,
    /// Consonants of the accent, sorted; empty where none are listed.
    consonants: Vec<u16>,
    /// Pairs of segments that count as one, with what they count as.
    units: Vec<Unit>,
}

#[derive(Clone, Copy, Debug)]
struct Unit {
    first: FeatureBundle,
    second: FeatureBundle,
    key: u16,
}

/// Consonants that a packed onset has room for.
const LONGEST_ONSET: usize = 4;

impl Shapes {
    /// The shapes of no accent: an onset is one consonant, or an obstruent and a liquid or
    /// glide, or \[s\] before those or before a plosive. A vowel before \[ɪ\] or \[ʊ\]
    /// makes a diphthong with it.
    #[must_use]
    pub const fn general() -> Self {
        Self {
            onsets: Vec::new(),
            opening: Vec::new(),
            consonants: Vec::new(),
            units: Vec::new(),
        }
    }

    /// The shapes of an accent, from its `consonants`, its legal `onsets` (each a run of
    /// consonants, single ones among them, at most four) and its `units`: the two halves of
    /// its diphthongs and affricates, each pair with the one sound that it counts as.
    ///
    /// Sounds are compared by place, manner and, in obstruents, voicing, so that aspiration,
    /// devoicing, dental and dark variants change nothing. A consonant that the accent does
    /// not have may open a syllable alone, and in clusters by the general rule.
    #[must_use]
    pub fn new<'o>(
        consonants: impl IntoIterator<Item = &'o FeatureBundle>,
        onsets: impl IntoIterator<Item = &'o [FeatureBundle]>,
        units: impl IntoIterator<Item = ([FeatureBundle; 2], FeatureBundle)>,
    ) -> Self {
        let mut shapes = Self::general();
        shapes.consonants.extend(consonants.into_iter().map(key));
        for onset in onsets {
            if let [one] = onset {
                shapes.opening.push(key(one));
            }
            shapes.onsets.extend(pack(onset.iter().map(key)));
        }
        for list in [&mut shapes.consonants, &mut shapes.opening] {
            list.sort_unstable();
            list.dedup();
        }
        shapes.onsets.sort_unstable();
        shapes.onsets.dedup();
        shapes
            .units
            .extend(units.into_iter().map(|(halves, whole)| {
                let [first, second] = halves;
                Unit {
                    first,
                    second,
                    key: key(&whole),
                }
            }));
        shapes
    }

    /// Whether a run of consonants may open a syllable.
    #[must_use]
    pub fn allows(&self, onset: &[FeatureBundle]) -> bool {
        let keys: Vec<u16> = onset.iter().map(key).collect();
        self.opens(&keys)
    }

    fn opens(&self, onset: &[u16]) -> bool {
        let known = |key: &u16| self.consonants.binary_search(key).is_ok();
        match onset {
            [] => true,
            [one] => !known(one) || self.opening.binary_search(one).is_ok(),
            _ if !self.consonants.is_empty() && onset.iter().all(known) => {
                pack(onset.iter().copied())
                    .is_some_and(|packed| self.onsets.binary_search(&packed).is_ok())
            }
            _ => rises(onset),
        }
    }

    /// What two neighbouring segments count as, if they count as one.
    fn unit(&self, first: &FeatureBundle, second: &FeatureBundle) -> Option<u16> {
        let listed = self.units.iter().find(|unit| {
            alike(&unit.first, first) && alike(&unit.second, second) && {
                // An aspirated plosive before a fricative is over before the fricative.
                first.class == Class::Vowel || first.release.is_empty()
            }
        });
        listed
            .map(|unit| unit.key)
            .or_else(|| is_diphthong(first, second).then_some(0))
    }
}

/// Tells where the segments of transcription after transcription stand, keeping its memory.
///
/// # Examples
///
/// ```
/// use apical::articulation::bundle;
/// use apical::feature::FeatureBundle;
/// use apical::notation::Transcription;
/// use apical::syllable::{Part, Position, Shapes, Stress, Syllabifier};
///
/// let word = Transcription::parse("/ˈæstɹoʊ/");
/// let bundles: Vec<FeatureBundle> = word.segments().map(|it| bundle(&it)).collect();
/// let mut syllabifier = Syllabifier::new(Shapes::general());
/// let sites = syllabifier.sites(&word, &bundles);
/// let t = sites[2];
/// assert_eq!((t.syllable, t.part, t.slot, t.size), (1, Some(Part::Onset), 1, 3));
/// assert_eq!((t.position, t.stress), (Position::Medial, Stress::None));
/// assert_eq!(sites[5].part, Some(Part::Nucleus));
/// ```
///
/// # Source
///
/// Maximal onset: D. Kahn, Syllable-based Generalizations in English Phonology (1976);
/// initial and final clusters counted with the word's edge: common clinical practice.
#[derive(Clone, Debug, Default)]
pub struct Syllabifier {
    shapes: Shapes,
    slots: Vec<Slot>,
    sites: Vec<Site>,
}

/// A segment, or two that count as one.
#[derive(Clone, Copy, Debug)]
struct Slot {
    segments: u32,
    key: u16,
    role: Role,
    /// A word begins here.
    word: bool,
    /// A syllable is typed to begin here.
    typed: bool,
    stress: Stress,
    /// A syllable begins here.
    starts: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Role {
    Peak,
    Margin,
    /// A tone or a pause.
    Apart,
}

/// What was typed before a segment.
#[derive(Clone, Copy, Debug, Default)]
struct Before {
    word: bool,
    typed: bool,
    stress: Option<Stress>,
}

impl Syllabifier {
    /// One that goes by these shapes.
    #[must_use]
    pub fn new(shapes: Shapes) -> Self {
        Self {
            shapes,
            ..Self::default()
        }
    }

    /// The shapes it goes by.
    #[must_use]
    pub const fn shapes(&self) -> &Shapes {
        &self.shapes
    }

    /// Where each segment stands, as many sites as segments. `bundles` are the features of
    /// the transcription's segments. The sites stand until the next call.
    ///
    /// Words are parted by spaces, pauses, group and linking marks; any other sign is passed
    /// over. A stress mark without a nucleus before the next boundary counts for the
    /// syllable it runs on into. Cost: linear; nothing is allocated once the buffers have
    /// grown.
    pub fn sites(
        &mut self,
        transcription: &Transcription,
        bundles: &[FeatureBundle],
    ) -> &[Site] {
        let marked = self.lay_slots(transcription, bundles);
        self.sites.clear();
        let Self {
            shapes,
            slots,
            sites,
        } = self;
        let (mut word, mut syllable) = (0, 0);
        let mut rest = slots.as_mut_slice();
        while !rest.is_empty() {
            let length = rest
                .iter()
                .skip(1)
                .position(|slot| slot.word)
                .map_or(rest.len(), |at| at + 1);
            let (these, others) = rest.split_at_mut(length);
            break_up(these, shapes);
            syllable += place(these, marked, word, syllable, sites);
            word += 1;
            rest = others;
        }
        &self.sites
    }

    /// The sites of the last transcription.
    #[must_use]
    pub fn last(&self) -> &[Site] {
        &self.sites
    }

    /// Groups the segments into slots; says whether any stress is marked.
    fn lay_slots(
        &mut self,
        transcription: &Transcription,
        bundles: &[FeatureBundle],
    ) -> bool {
        let Self { shapes, slots, .. } = self;
        slots.clear();
        let mut marked = false;
        let mut before = Before::default();
        let mut last: Option<&FeatureBundle> = None;
        let mut bundles = bundles.iter();
        for item in transcription.items() {
            match item.kind() {
                ItemKind::Segment | ItemKind::Tone | ItemKind::Pause => {
                    let Some(bundle) = bundles.next() else { break };
                    let loose = !before.typed && !before.word;
                    let unit = last
                        .filter(|_| loose)
                        .and_then(|last| shapes.unit(last, bundle));
                    if let (Some(unit), Some(slot)) = (unit, slots.last_mut()) {
                        slot.segments += 1;
                        slot.key = unit;
                        if role(bundle) == Role::Peak {
                            slot.role = Role::Peak;
                        }
                        last = None;
                        continue;
                    }
                    last = Some(bundle);
                    let role = role(bundle);
                    before.word |= bundle.class == Class::Pause;
                    slots.push(Slot {
                        segments: 1,
                        key: key(bundle),
                        role,
                        word: before.word,
                        typed: before.typed,
                        stress: before.stress.unwrap_or(Stress::None),
                        starts: false,
                    });
                    before = Before {
                        word: bundle.class == Class::Pause,
                        ..Before::default()
                    };
                }
                ItemKind::PrimaryStress => {
                    marked = true;
                    before.typed = true;
                    before.stress = Some(Stress::Primary);
                }
                ItemKind::SecondaryStress => {
                    marked = true;
                    before.typed = true;
                    before.stress = before.stress.or(Some(Stress::Secondary));
                }
                ItemKind::SyllableBreak => before.typed = true,
                ItemKind::Space
                | ItemKind::MinorGroup
                | ItemKind::MajorGroup
                | ItemKind::Linking
                | ItemKind::Separator
                | ItemKind::Reiteration
                | ItemKind::Obscured => before.word = true,
                _ => {}
            }
        }
        marked
    }
}

/// Marks where the syllables of a word begin.
fn break_up(word: &mut [Slot], shapes: &Shapes) {
    let mut last_peak = None;
    for at in 0..word.len() {
        if word.get(at).is_none_or(|slot| slot.role != Role::Peak) {
            continue;
        }
        let start = match last_peak {
            None => 0,
            Some(peak) => start(word, peak + 1, at, shapes),
        };
        let stress = word.get(start..=at).unwrap_or_default().iter();
        let stress = stress.map(|slot| slot.stress).min().unwrap_or_default();
        if let Some(first) = word.get_mut(start) {
            first.starts = true;
            first.stress = stress;
        }
        last_peak = Some(at);
    }
}

/// Where the syllable of the peak at `peak` begins, given the first place after the peak
/// before it.
fn start(word: &[Slot], after: usize, peak: usize, shapes: &Shapes) -> usize {
    let between = word.get(after..=peak).unwrap_or_default();
    if let Some(typed) = between.iter().position(|slot| slot.typed) {
        return after + typed;
    }
    let toneless = between
        .iter()
        .rposition(|slot| slot.role == Role::Apart)
        .map_or(0, |at| at + 1);
    let mut keys = [0; LONGEST_ONSET];
    let mut found = peak;
    for length in 1..=LONGEST_ONSET.min(between.len() - 1 - toneless) {
        let first = peak - length;
        let run = word.get(first..peak).unwrap_or_default();
        for (key, slot) in keys.iter_mut().zip(run) {
            *key = slot.key;
        }
        if shapes.opens(keys.get(..length).unwrap_or_default()) {
            found = first;
        }
    }
    found
}

/// Writes the sites of a word; says how many syllables it had, a word without any counting
/// as one.
fn place(
    slots: &[Slot],
    marked: bool,
    word: u32,
    first_syllable: u32,
    sites: &mut Vec<Site>,
) -> u32 {
    let peaks = slots.iter().filter(|slot| slot.role == Role::Peak).count();
    let peaks = u32::try_from(peaks).unwrap_or(u32::MAX);
    let first_peak = slots.iter().position(|slot| slot.role == Role::Peak);
    let last_peak = slots.iter().rposition(|slot| slot.role == Role::Peak);
    let last_sound = slots.iter().rposition(|slot| slot.role != Role::Apart);
    let mut in_word = 0;
    let mut stress = Stress::None;
    let mut seen_peak = false;
    let mut run_start = sites.len();
    let mut run_slots = 0;
    let mut run_part = None;
    for (at, slot) in slots.iter().enumerate() {
        if slot.starts {
            in_word += u32::from(at > 0);
            stress = slot.stress;
            seen_peak = false;
        }
        let part = match slot.role {
            Role::Apart => None,
            _ if peaks == 0 => None,
            Role::Peak => Some(Part::Nucleus),
            Role::Margin if seen_peak => Some(Part::Coda),
            Role::Margin => Some(Part::Onset),
        };
        seen_peak |= slot.role == Role::Peak;
        if slot.starts || part != run_part {
            close(sites, run_start, run_slots);
            (run_start, run_slots, run_part) = (sites.len(), 0, part);
        }
        let position = if first_peak.is_none_or(|first| at < first) || at == 0 {
            Position::Initial
        } else if last_peak.is_some_and(|last| at > last) || Some(at) == last_sound {
            Position::Final
        } else {
            Position::Medial
        };
        let site = Site {
            word,
            syllable: first_syllable + in_word,
            syllable_in_word: in_word,
            syllables: peaks,
            part,
            slot: run_slots,
            size: 1,
            position,
            stress: match (marked, peaks) {
                // A word of one syllable has no mark to lose.
                (true, 1) if stress == Stress::None => Stress::Unmarked,
                (true, _) => stress,
                (false, 1) => Stress::Primary,
                (false, _) => Stress::Unmarked,
            },
        };
        sites.extend((0..slot.segments).map(|_| site));
        run_slots += 1;
    }
    close(sites, run_start, run_slots);
    in_word + 1
}

/// Tells the sites of a cluster how large it is.
fn close(sites: &mut [Site], start: usize, slots: u32) {
    for site in sites.get_mut(start..).unwrap_or_default() {
        site.size = slots.max(1);
    }
}

/// A syllable as ranges of segments, empty where it has no such part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Syllable {
    /// The word it belongs to.
    pub word: u32,
    /// How it is stressed.
    pub stress: Stress,
    /// The segments before the peak.
    pub onset: Range<usize>,
    /// The peak.
    pub nucleus: Range<usize>,
    /// The segments after it.
    pub coda: Range<usize>,
}

/// The syllables that sites tell of, in order; tones and pauses are in none of the ranges.
///
/// Cost: linear in the sites.
pub fn syllables(sites: &[Site]) -> impl Iterator<Item = Syllable> + '_ {
    let mut at = 0;
    core::iter::from_fn(move || {
        let first = *sites.get(at)?;
        let start = at;
        at = sites
            .iter()
            .skip(start)
            .position(|site| site.syllable != first.syllable)
            .map_or(sites.len(), |length| start + length);
        let range = |part: Part, empty: usize| {
            let these = sites.get(start..at).unwrap_or_default();
            let from = these.iter().position(|site| site.part == Some(part));
            let to = these.iter().rposition(|site| site.part == Some(part));
            match (from, to) {
                (Some(from), Some(to)) => start + from..start + to + 1,
                _ => empty..empty,
            }
        };
        let nucleus = range(Part::Nucleus, start);
        Some(Syllable {
            word: first.word,
            stress: first.stress,
            onset: range(Part::Onset, nucleus.start),
            coda: range(Part::Coda, nucleus.end),
            nucleus,
        })
    })
}

/// What a segment is to its syllable.
fn role(bundle: &FeatureBundle) -> Role {
    match bundle.class {
        Class::Tone | Class::Pause => Role::Apart,
        Class::Vowel if bundle.detail.contains(Detail::NonSyllabic) => Role::Margin,
        Class::Vowel => Role::Peak,
        Class::Consonant if bundle.syllabic => Role::Peak,
        Class::Consonant => Role::Margin,
    }
}

/// Whether a second vowel is the end of a diphthong that the first one begins: marked so, or
/// one of the lax close vowels after a vowel that is not close.
fn is_diphthong(first: &FeatureBundle, second: &FeatureBundle) -> bool {
    if first.class != Class::Vowel
        || second.class != Class::Vowel
        || first.glide.is_some()
        || second.glide.is_some()
    {
        return false;
    }
    let lax = second.height == Some(Height::NearClose)
        && matches!(
            second.backness,
            Some(Backness::NearFront | Backness::NearBack)
        );
    let lower = !matches!(first.height, Some(Height::Close | Height::NearClose));
    [first, second]
        .into_iter()
        .any(|it| it.detail.contains(Detail::NonSyllabic))
        || lax && lower && !first.rhotic && !second.rhotic
}

/// Whether two sounds are the same to the shapes.
fn alike(one: &FeatureBundle, other: &FeatureBundle) -> bool {
    one.class == other.class
        && if one.class == Class::Vowel {
            (one.height, one.backness, one.rounded, one.rhotic)
                == (other.height, other.backness, other.rounded, other.rhotic)
        } else {
            !other.syllabic && key(one) == key(other)
        }
}

/// A consonant's place, manner and, in obstruents, voicing as a number; 0 for anything else.
///
/// Dental and postalveolar stand for alveolar where the chart has one letter for the three;
/// retroflex approximants are r-sounds like the alveolar one.
fn key(bundle: &FeatureBundle) -> u16 {
    if bundle.class != Class::Consonant {
        return 0;
    }
    let friction = matches!(bundle.manner, Some(Manner::Fricative | Manner::Affricate));
    let obstruent = friction || bundle.manner == Some(Manner::Plosive);
    let rhotic = bundle.manner == Some(Manner::Approximant) && !bundle.lateral;
    let place = match bundle.place {
        Places {
            first: Some(Place::Dental | Place::Postalveolar),
            second: None,
        } if !friction => Some(Place::Alveolar),
        Places {
            first: Some(Place::Retroflex),
            second: None,
        } if rhotic => Some(Place::Alveolar),
        places => places.first,
    };
    let place = place.map_or(0, |place| place as u16 + 1);
    let second = u16::from(bundle.place.second.is_some());
    let manner = bundle.manner.map_or(0, |manner| manner as u16 + 1);
    let voiced = u16::from(obstruent && bundle.voicing == Voicing::Voiced);
    let lateral = u16::from(bundle.lateral);
    // A dental sibilant is a fronted [s], a dental fricative without hiss is not.
    let place = if place == Place::Dental as u16 + 1
        && bundle.detail.contains(Detail::Sibilant)
    {
        Place::Alveolar as u16 + 1
    } else {
        place
    };
    1 << 15 | place << 8 | manner << 3 | second << 2 | voiced << 1 | lateral
}

/// An onset as one number; `None` where it is too long.
fn pack(onset: impl Iterator<Item = u16>) -> Option<u64> {
    let mut packed = 0;
    for (at, key) in onset.enumerate() {
        if at == LONGEST_ONSET {
            return None;
        }
        packed = packed << 16 | u64::from(key);
    }
    Some(packed)
}

/// Whether an onset rises from an obstruent to a liquid or glide, perhaps after a sibilant.
fn rises(onset: &[u16]) -> bool {
    let manner = |key: u16| key >> 3 & 0x1F;
    let is = |key: u16, which: Manner| manner(key) == which as u16 + 1;
    let obstruent = |key: u16| is(key, Manner::Plosive) || is(key, Manner::Fricative);
    let liquid = |key: u16| {
        is(key, Manner::Approximant) || is(key, Manner::Tap) || is(key, Manner::Trill)
    };
    let hiss = |key: u16| {
        let place = key >> 8 & 0x7F;
        is(key, Manner::Fricative)
            && key >> 1 & 1 == 0
            && (place == Place::Alveolar as u16 + 1
                || place == Place::Postalveolar as u16 + 1)
    };
    match *onset {
        [first, second] => {
            obstruent(first) && liquid(second)
                || hiss(first)
                    && (is(second, Manner::Plosive) || is(second, Manner::Nasal))
        }
        [first, second, third] => {
            hiss(first) && is(second, Manner::Plosive) && liquid(third)
        }
        _ => false,
    }
}
