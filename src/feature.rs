//! The features of a segment: plain values that import nothing.
//!
//! The build script reads this file too (`inventory/build.rs`), so that a table cell and
//! the code mean the same thing by the same word.

/// Declares an enum whose every value has the name the trade gives it.
macro_rules! named {
    ($(#[$meta:meta])* $name:ident { $($(#[$inner:meta])* $variant:ident = $text:literal),+ $(,)? }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[repr(u8)]
        pub enum $name { $($(#[$inner])* $variant),+ }

        impl $name {
            /// Every value, in chart order.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The value's name, as the tables and the JSON write it.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $text),+ }
            }

            /// The value of that name.
            #[must_use]
            pub fn from_name(name: &str) -> Option<Self> {
                match name { $($text => Some(Self::$variant),)+ _ => None }
            }
        }

        impl core::fmt::Display for $name {
            fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
                formatter.write_str(self.name())
            }
        }
    };
}

/// Declares a set over a named enum, kept as bits.
macro_rules! named_set {
    ($(#[$meta:meta])* $name:ident of $item:ident as $bits:ty) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub struct $name(pub $bits);

        impl $name {
            /// The empty set.
            pub const NONE: Self = Self(0);

            /// The set that holds one item.
            #[must_use]
            pub const fn one(item: $item) -> Self {
                Self(1 << item as u8)
            }

            /// This set and one more item.
            #[must_use]
            pub const fn with(self, item: $item) -> Self {
                Self(self.0 | 1 << item as u8)
            }

            /// This set less one item.
            #[must_use]
            pub const fn without(self, item: $item) -> Self {
                Self(self.0 & !(1 << item as u8))
            }

            /// Whether the item is in the set.
            #[must_use]
            pub const fn contains(self, item: $item) -> bool {
                self.0 & (1 << item as u8) != 0
            }

            /// Whether the set is empty.
            #[must_use]
            pub const fn is_empty(self) -> bool {
                self.0 == 0
            }

            /// The items in the order of their enum.
            pub fn iter(self) -> impl Iterator<Item = $item> {
                $item::ALL.iter().copied().filter(move |item| self.contains(*item))
            }
        }
    };
}

named! {
    /// What kind of segment this is.
    Class {
        /// A sound with an obstacle in its way.
        Consonant = "consonant",
        /// A sound with a free passage.
        Vowel = "vowel",
        /// A run of tone letters, or of superscript tone digits.
        Tone = "tone",
        /// A silence that was written down.
        Pause = "pause",
    }
}

named! {
    /// Whether the vocal folds vibrate.
    Voicing {
        /// They do not.
        Voiceless = "voiceless",
        /// They do.
        Voiced = "voiced",
    }
}

named! {
    /// How the vocal folds vibrate.
    Phonation {
        /// The plain way.
        Modal = "modal",
        /// With air escaping.
        Breathy = "breathy",
        /// Slow and irregular.
        Creaky = "creaky",
    }
}

named! {
    /// Where the sound is made: the chart's columns, front to back.
    Place {
        /// Both lips.
        Bilabial = "bilabial",
        /// Lower lip and upper teeth.
        Labiodental = "labiodental",
        /// Tongue tip or blade and upper lip.
        Linguolabial = "linguolabial",
        /// Tongue and upper teeth.
        Dental = "dental",
        /// Tongue and alveolar ridge.
        Alveolar = "alveolar",
        /// Just behind the ridge.
        Postalveolar = "postalveolar",
        /// Tip curled back.
        Retroflex = "retroflex",
        /// Blade behind the ridge, body raised to the hard palate.
        AlveoloPalatal = "alveolo-palatal",
        /// Middle of the tongue and hard palate.
        Palatal = "palatal",
        /// Back of the tongue and soft palate.
        Velar = "velar",
        /// Back of the tongue and uvula.
        Uvular = "uvular",
        /// Root of the tongue and throat wall.
        Pharyngeal = "pharyngeal",
        /// The epiglottis.
        Epiglottal = "epiglottal",
        /// The vocal folds.
        Glottal = "glottal",
    }
}

named! {
    /// How the passage is narrowed.
    Manner {
        /// Closed, then released.
        Plosive = "plosive",
        /// Closed in the mouth, open through the nose.
        Nasal = "nasal",
        /// Vibrating against the passive articulator.
        Trill = "trill",
        /// One short touch.
        Tap = "tap",
        /// Narrow enough for friction.
        Fricative = "fricative",
        /// Closed, then released into friction.
        Affricate = "affricate",
        /// Too wide for friction.
        Approximant = "approximant",
    }
}

named! {
    /// What moves the air.
    Airstream {
        /// The lungs.
        Pulmonic = "pulmonic",
        /// The closed larynx, outward.
        Ejective = "ejective",
        /// The larynx, inward.
        Implosive = "implosive",
        /// The tongue against the roof, inward.
        Click = "click",
    }
}

named! {
    /// How high the tongue is in a vowel: the chart's rows.
    Height {
        /// As `[i]`.
        Close = "close",
        /// As `[ɪ]`.
        NearClose = "near-close",
        /// As `[e]`.
        CloseMid = "close-mid",
        /// As `[ə]`.
        Mid = "mid",
        /// As `[ɛ]`.
        OpenMid = "open-mid",
        /// As `[æ]`.
        NearOpen = "near-open",
        /// As `[a]`.
        Open = "open",
    }
}

named! {
    /// How far forward the tongue is in a vowel: the chart's columns.
    Backness {
        /// As `[i]`.
        Front = "front",
        /// As `[ɪ]`.
        NearFront = "near-front",
        /// As `[ə]`.
        Central = "central",
        /// As `[ʊ]`.
        NearBack = "near-back",
        /// As `[u]`.
        Back = "back",
    }
}

named! {
    /// How long the segment lasts.
    Length {
        /// Shorter than short.
        ExtraShort = "extra-short",
        /// Unmarked.
        Normal = "normal",
        /// Between short and long.
        HalfLong = "half-long",
        /// Long.
        Long = "long",
        /// Longer than long.
        Overlong = "overlong",
    }
}

named! {
    /// How a consonant begins or ends, beyond its own manner.
    Release {
        /// A puff of air before the voice starts.
        Aspirated = "aspirated",
        /// The puff comes before the closure.
        Preaspirated = "preaspirated",
        /// A breathy puff.
        BreathyAspirated = "breathy-voiced aspirated",
        /// Explicitly no puff.
        Unaspirated = "unaspirated",
        /// The closure is held.
        Unreleased = "unreleased",
        /// Released through the nose.
        Nasal = "nasally released",
        /// Released over the sides.
        Lateral = "laterally released",
        /// Released into friction at another place.
        Fricative = "fricative-released",
        /// Released into a trill.
        Trilled = "trill-released",
        /// Released into a weak vowel.
        Vocalic = "vowel-released",
        /// Nasal airflow leads in.
        Prenasalized = "prenasalized",
        /// Glottal closure comes before.
        Preglottalized = "preglottalized",
        /// Glottal closure goes with it or after.
        Glottalized = "glottalized",
        /// A stop leads in or goes with it.
        PlosiveOnset = "with a plosive onset",
    }
}
named_set!(
    /// The ways a segment begins and ends.
    Releases of Release as u16
);

named! {
    /// A second, lesser narrowing.
    Secondary {
        /// Lips rounded.
        Labialized = "labialized",
        /// Lips compressed.
        Compressed = "labially compressed",
        /// Middle of the tongue raised.
        Palatalized = "palatalized",
        /// Both of the last but one.
        LabioPalatalized = "labio-palatalized",
        /// Back of the tongue raised.
        Velarized = "velarized",
        /// Back of the tongue to the uvula.
        Uvularized = "uvularized",
        /// Root of the tongue drawn back.
        Pharyngealized = "pharyngealized",
        /// The overlay tilde: velarized or pharyngealized, not said which.
        VelarizedOrPharyngealized = "velarized or pharyngealized",
        /// Lower lip to upper teeth.
        Labiodentalized = "labiodentalized",
    }
}
named_set!(
    /// The lesser narrowings of a segment.
    Secondaries of Secondary as u16
);

named! {
    /// Where the root of the tongue is.
    TongueRoot {
        /// Forward.
        Advanced = "advanced",
        /// Back.
        Retracted = "retracted",
    }
}

named! {
    /// Further detail that a mark adds and no other feature holds.
    Detail {
        /// With the tip.
        Apical = "apical",
        /// With the blade.
        Laminal = "laminal",
        /// The vowel is not the peak of a syllable.
        NonSyllabic = "non-syllabic",
        /// Made with force.
        Strong = "strong",
        /// Made weakly.
        Weak = "weak",
        /// Lips spread.
        LipSpread = "labially spread",
        /// Whistled.
        Whistled = "whistled",
        /// Nose blocked.
        Denasal = "denasal",
        /// Air escapes audibly through the nose.
        NasalEscape = "with audible nasal escape",
        /// Friction at the velopharyngeal port.
        Velopharyngeal = "with velopharyngeal friction",
        /// Breathed in.
        Ingressive = "ingressive",
        /// Breathed out, said so.
        Egressive = "egressive",
        /// Partly devoiced or voiced.
        Partial = "partial",
        /// Partly, at the beginning.
        InitialPartial = "initially partial",
        /// Partly, at the end.
        FinalPartial = "finally partial",
        /// The voice starts before the segment.
        Prevoiced = "pre-voiced",
        /// The voice goes on after the segment.
        Postvoiced = "post-voiced",
        /// Slides from one place to another.
        Sliding = "sliding",
        /// The identification is uncertain.
        Uncertain = "uncertain",
        /// Articulated without sound.
        Silent = "silent",
        /// Air over the side and the middle.
        LateralAndMedian = "lateral and median",
        /// A strike without airstream.
        Percussive = "percussive",
        /// Between the teeth.
        Interdental = "interdental",
        /// Upper lip and lower teeth.
        Dentolabial = "dentolabial",
        /// The exact sound is not known.
        Indeterminate = "indeterminate",
        /// Repeated.
        Reiterated = "reiterated",
        /// Double friction, narrow and hissing: `[s]`, `[ʃ]` and their like.
        Sibilant = "sibilant",
        /// Upper pharynx.
        UpperPharyngeal = "upper pharyngeal",
        /// Tongue back against the velum's nasal side.
        Velodorsal = "velodorsal",
        /// With added friction.
        Frictionalized = "with friction",
        /// With a trill of the uvula.
        Trilled = "with trill",
    }
}
named_set!(
    /// Details of a segment.
    Details of Detail as u32
);

/// One or two places; two for a double articulation, front one first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Places {
    /// The place, or the one further forward; `None` where the sound has no place of its own.
    pub first: Option<Place>,
    /// The second place of a double articulation.
    pub second: Option<Place>,
}

impl Places {
    /// No place: a vowel, a tone, a pause, or a consonant not further identified.
    pub const NONE: Self = Self {
        first: None,
        second: None,
    };

    /// A single place.
    #[must_use]
    pub const fn one(place: Place) -> Self {
        Self {
            first: Some(place),
            second: None,
        }
    }

    /// Two places at once.
    #[must_use]
    pub const fn two(first: Place, second: Place) -> Self {
        Self {
            first: Some(first),
            second: Some(second),
        }
    }

    /// The places in order, none, one or two of them.
    pub fn iter(self) -> impl Iterator<Item = Place> {
        self.first.into_iter().chain(self.second)
    }

    /// Whether the place is one of them.
    #[must_use]
    pub fn contains(self, place: Place) -> bool {
        self.first == Some(place) || self.second == Some(place)
    }
}

/// How far marks have moved a segment off its letter, in half steps of the chart.
///
/// `raising`: positive is raised, negative lowered. `advancing`: positive is advanced,
/// negative retracted. `centralizing`: 0 none, 1 mid-centralized, 2 centralized.
/// `rounding`: positive is more rounded, negative less.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Shift {
    /// Up (+) or down (−), in half steps between labelled rows.
    pub raising: i8,
    /// Forward (+) or back (−), in half steps between columns.
    pub advancing: i8,
    /// Towards the centre: 0 no, 1 mid-centralized, 2 centralized.
    pub centralizing: i8,
    /// More (+) or less (−) rounded.
    pub rounding: i8,
}

impl Shift {
    /// Not moved.
    pub const NONE: Self = Self {
        raising: 0,
        advancing: 0,
        centralizing: 0,
        rounding: 0,
    };
}

/// The vowel a diphthong ends on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Glide {
    /// Its height.
    pub height: Height,
    /// Its backness.
    pub backness: Backness,
    /// Whether its lips are rounded.
    pub rounded: bool,
    /// Whether it is r-coloured.
    pub rhotic: bool,
}

/// Everything known about one segment.
///
/// Equal bundles are the same sound. A feature that does not apply is `None` (a vowel has
/// no manner, a consonant no height).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FeatureBundle {
    /// Consonant, vowel, tone or pause.
    pub class: Class,
    /// Voiced or voiceless, after the marks have had their say.
    pub voicing: Voicing,
    /// Modal, breathy or creaky.
    pub phonation: Phonation,
    /// One place, or two for a double articulation.
    pub place: Places,
    /// `None` for vowels, tones, pauses and unidentified consonants.
    pub manner: Option<Manner>,
    /// Whether the air passes over the sides of the tongue.
    pub lateral: bool,
    /// What moves the air.
    pub airstream: Airstream,
    /// Whether a nasalization mark is on it (a nasal consonant is a manner, not this).
    pub nasalized: bool,
    /// A vowel's height.
    pub height: Option<Height>,
    /// A vowel's backness.
    pub backness: Option<Backness>,
    /// Whether a vowel's lips are rounded.
    pub rounded: Option<bool>,
    /// Whether it is r-coloured.
    pub rhotic: bool,
    /// Whether a mark makes it the peak of a syllable.
    pub syllabic: bool,
    /// How long it lasts.
    pub length: Length,
    /// How it begins and ends.
    pub release: Releases,
    /// Lesser narrowings.
    pub secondary: Secondaries,
    /// Where the tongue root is.
    pub tongue_root: Option<TongueRoot>,
    /// How far marks moved it off its letter.
    pub shift: Shift,
    /// Everything else a mark said.
    pub detail: Details,
    /// For a tied diphthong, the vowel it ends on.
    pub glide: Option<Glide>,
    /// Pitch: level 1 (extra low) to 5 (extra high) in each nibble, first level lowest; 0 none.
    /// On a tone, the run of its letters (at most eight are kept); on a vowel or a syllabic
    /// consonant, its tone mark.
    pub tone: u32,
}

impl FeatureBundle {
    /// A voiceless pulmonic consonant about which nothing more is known.
    pub const CONSONANT: Self = Self {
        class: Class::Consonant,
        voicing: Voicing::Voiceless,
        phonation: Phonation::Modal,
        place: Places::NONE,
        manner: None,
        lateral: false,
        airstream: Airstream::Pulmonic,
        nasalized: false,
        height: None,
        backness: None,
        rounded: None,
        rhotic: false,
        syllabic: false,
        length: Length::Normal,
        release: Releases::NONE,
        secondary: Secondaries::NONE,
        tongue_root: None,
        shift: Shift::NONE,
        detail: Details::NONE,
        glide: None,
        tone: 0,
    };

    /// A voiced vowel about which nothing more is known.
    pub const VOWEL: Self = Self {
        class: Class::Vowel,
        voicing: Voicing::Voiced,
        ..Self::CONSONANT
    };

    /// A tone without its levels.
    pub const TONE: Self = Self {
        class: Class::Tone,
        voicing: Voicing::Voiced,
        ..Self::CONSONANT
    };

    /// A pause.
    pub const PAUSE: Self = Self {
        class: Class::Pause,
        ..Self::CONSONANT
    };

    /// The levels of its tone, 1 to 5, in order of time.
    pub fn tone_levels(&self) -> impl Iterator<Item = u8> {
        let tone = self.tone;
        (0..8)
            .map(move |at| (tone >> (4 * at) & 0xF) as u8)
            .take_while(|level| *level != 0)
    }
}

named! {
    /// How far the jaw is let down.
    Jaw {
        /// Teeth close together.
        Closed = "closed",
        /// About a finger's width or less.
        SlightlyOpen = "slightly open",
        /// Dropped.
        Open = "open",
    }
}

named! {
    /// What the lips do.
    Lips {
        /// At rest.
        Neutral = "neutral",
        /// Corners drawn apart.
        Spread = "spread",
        /// Drawn into a circle.
        Rounded = "rounded",
        /// Pushed forward, more loosely than rounded.
        Protruded = "protruded",
    }
}

named! {
    /// Which part of the tongue does the work.
    TonguePart {
        /// The very front.
        Tip = "tip",
        /// The body under the hard palate.
        Middle = "middle",
        /// The body under the soft palate.
        Back = "back",
        /// The edges.
        Sides = "sides",
    }
}
named_set!(
    /// The parts of the tongue that work.
    TongueParts of TonguePart as u8
);

named! {
    /// What is touched, or approached.
    Contact {
        /// The lips.
        Lips = "lips",
        /// The upper teeth.
        Teeth = "teeth",
        /// The ridge behind the upper teeth.
        AlveolarRidge = "alveolar ridge",
        /// The hard roof of the mouth.
        HardPalate = "hard palate",
        /// The soft roof at the back.
        SoftPalate = "soft palate",
        /// The throat, down to the vocal folds.
        Throat = "throat",
    }
}

/// What a client can feel while making a sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Posture {
    /// How far the jaw is let down.
    pub jaw: Jaw,
    /// What the lips do.
    pub lips: Lips,
    /// The working parts of the tongue; empty for a sound made without it.
    pub tongue: TongueParts,
    /// What is touched or approached; `None` where nothing is.
    pub contact: Option<Contact>,
    /// Whether it is touched (true) or only approached (false).
    pub touches: bool,
}
