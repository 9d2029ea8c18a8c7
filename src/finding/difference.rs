//! In what two sounds differ, feature by feature, and how a coach says it.

use crate::feature::{
    Airstream, Class, FeatureBundle, Glide, Height, Length, Manner, Phonation, Place,
    Places, Posture, TongueRoot, Voicing,
};
use crate::posture;

/// A feature that two sounds may differ in, in the order in which differences are reported.
///
/// Voicing to secondary and jaw to contact are those of the JSON contract; what stands
/// between them is further detail that it allows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[repr(u8)]
pub enum Feature {
    /// Whether the vocal folds vibrate.
    Voicing,
    /// How they vibrate.
    Phonation,
    /// Where the sound is made.
    Place,
    /// How the passage is narrowed.
    Manner,
    /// Over the sides or the middle of the tongue.
    Lateral,
    /// Whether air passes through the nose too.
    Nasalized,
    /// What moves the air.
    Airstream,
    /// How it begins and ends.
    Release,
    /// How high the tongue is.
    Height,
    /// How far forward the tongue is.
    Backness,
    /// Whether the lips are rounded.
    Rounded,
    /// Whether it is r-coloured.
    Rhotic,
    /// Whether it is the peak of a syllable.
    Syllabic,
    /// How long it lasts.
    Length,
    /// Lesser narrowings.
    Secondary,
    /// Consonant, vowel, tone or pause.
    Class,
    /// The vowel a diphthong moves to.
    Glide,
    /// Where the root of the tongue is.
    TongueRoot,
    /// How far marks moved it off its letter.
    Position,
    /// Everything else a mark says.
    Detail,
    /// Pitch.
    Tone,
    /// How far the jaw is let down.
    Jaw,
    /// What the lips do.
    Lips,
    /// Which parts of the tongue work.
    Tongue,
    /// What is touched or approached.
    Contact,
}

impl Feature {
    /// Every feature, in the order of reports.
    pub const ALL: &'static [Self] = &[
        Self::Voicing,
        Self::Phonation,
        Self::Place,
        Self::Manner,
        Self::Lateral,
        Self::Nasalized,
        Self::Airstream,
        Self::Release,
        Self::Height,
        Self::Backness,
        Self::Rounded,
        Self::Rhotic,
        Self::Syllabic,
        Self::Length,
        Self::Secondary,
        Self::Class,
        Self::Glide,
        Self::TongueRoot,
        Self::Position,
        Self::Detail,
        Self::Tone,
        Self::Jaw,
        Self::Lips,
        Self::Tongue,
        Self::Contact,
    ];

    /// Its name in the JSON contract.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Voicing => "voicing",
            Self::Phonation => "phonation",
            Self::Place => "place",
            Self::Manner => "manner",
            Self::Lateral => "lateral",
            Self::Nasalized => "nasalized",
            Self::Airstream => "airstream",
            Self::Release => "release",
            Self::Height => "height",
            Self::Backness => "backness",
            Self::Rounded => "rounded",
            Self::Rhotic => "rhotic",
            Self::Syllabic => "syllabic",
            Self::Length => "length",
            Self::Secondary => "secondary",
            Self::Class => "class",
            Self::Glide => "glide",
            Self::TongueRoot => "tongue_root",
            Self::Position => "position",
            Self::Detail => "detail",
            Self::Tone => "tone",
            Self::Jaw => "jaw",
            Self::Lips => "lips",
            Self::Tongue => "tongue",
            Self::Contact => "contact",
        }
    }

    /// Whether it is a matter of posture: what a client can feel.
    #[must_use]
    pub const fn is_posture(self) -> bool {
        matches!(self, Self::Jaw | Self::Lips | Self::Tongue | Self::Contact)
    }
}

/// All differences between a target's sound and the one produced.
///
/// Holds both sounds and a set of features; the words are made when asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Differences {
    target: FeatureBundle,
    production: FeatureBundle,
    postures: [Posture; 2],
    set: u32,
}

/// The differences between two sounds, with the postures that follow from the chart.
///
/// Cost: constant.
///
/// # Examples
///
/// ```
/// use apical::articulation::bundle;
/// use apical::finding::difference::between;
/// use apical::notation::Transcription;
///
/// let sounds = Transcription::parse("zs");
/// let [z, s] = sounds.segments().map(|it| bundle(&it)).collect::<Vec<_>>()[..] else {
///     panic!("two segments")
/// };
/// let differences = between(&z, &s);
/// let [voicing] = differences.iter().collect::<Vec<_>>()[..] else { panic!("one") };
/// assert_eq!(voicing.feature.name(), "voicing");
/// assert_eq!((voicing.target().as_str(), voicing.production().as_str()), ("voiced", "voiceless"));
/// assert_eq!(voicing.advice(), "voicing: voiceless, should be voiced: let the folds hum");
/// assert!(between(&z, &z).is_empty());
/// ```
#[must_use]
pub fn between(target: &FeatureBundle, production: &FeatureBundle) -> Differences {
    if target == production {
        let rest = posture::of(&FeatureBundle::PAUSE);
        return Differences {
            target: *target,
            production: *production,
            postures: [rest; 2],
            set: 0,
        };
    }
    between_postures(
        (target, posture::of(target)),
        (production, posture::of(production)),
    )
}

/// The same with given postures: those of an accent, where it overrules the chart.
#[must_use]
pub fn between_postures(
    (target, target_posture): (&FeatureBundle, Posture),
    (production, production_posture): (&FeatureBundle, Posture),
) -> Differences {
    let (one, other) = (target, production);
    let (here, there) = (&target_posture, &production_posture);
    let mut set = 0;
    let mut mark = |differs: bool, feature: Feature| {
        set |= u32::from(differs) << feature as u32;
    };
    mark(one.voicing != other.voicing, Feature::Voicing);
    mark(one.phonation != other.phonation, Feature::Phonation);
    mark(one.place != other.place, Feature::Place);
    mark(one.manner != other.manner, Feature::Manner);
    mark(one.lateral != other.lateral, Feature::Lateral);
    mark(one.nasalized != other.nasalized, Feature::Nasalized);
    mark(one.airstream != other.airstream, Feature::Airstream);
    mark(one.release != other.release, Feature::Release);
    mark(one.height != other.height, Feature::Height);
    mark(one.backness != other.backness, Feature::Backness);
    mark(one.rounded != other.rounded, Feature::Rounded);
    mark(one.rhotic != other.rhotic, Feature::Rhotic);
    mark(one.syllabic != other.syllabic, Feature::Syllabic);
    mark(one.length != other.length, Feature::Length);
    mark(one.secondary != other.secondary, Feature::Secondary);
    mark(one.class != other.class, Feature::Class);
    mark(one.glide != other.glide, Feature::Glide);
    mark(one.tongue_root != other.tongue_root, Feature::TongueRoot);
    mark(one.shift != other.shift, Feature::Position);
    mark(one.detail != other.detail, Feature::Detail);
    mark(one.tone != other.tone, Feature::Tone);
    mark(here.jaw != there.jaw, Feature::Jaw);
    mark(here.lips != there.lips, Feature::Lips);
    mark(here.tongue != there.tongue, Feature::Tongue);
    mark(here.contact != there.contact, Feature::Contact);
    Differences {
        target: *target,
        production: *production,
        postures: [target_posture, production_posture],
        set,
    }
}

impl Differences {
    /// Whether there are none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.set == 0
    }

    /// The target's sound.
    #[must_use]
    pub const fn target(&self) -> &FeatureBundle {
        &self.target
    }

    /// The production's sound.
    #[must_use]
    pub const fn production(&self) -> &FeatureBundle {
        &self.production
    }

    /// Whether both sounds are vowels.
    #[must_use]
    pub fn is_of_vowels(&self) -> bool {
        [self.target.class, self.production.class] == [Class::Vowel; 2]
    }

    /// How many features differ.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.set.count_ones() as usize
    }

    /// Whether the feature is among them.
    #[must_use]
    pub const fn contains(&self, feature: Feature) -> bool {
        self.set & 1 << feature as u32 != 0
    }

    /// The differences in the order of reports.
    pub fn iter(&self) -> impl Iterator<Item = Difference<'_>> {
        Feature::ALL
            .iter()
            .filter(|&&feature| self.contains(feature))
            .map(|&feature| Difference { feature, of: self })
    }
}

/// One difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Difference<'a> {
    /// The feature.
    pub feature: Feature,
    of: &'a Differences,
}

impl Difference<'_> {
    /// The target's value, as the JSON contract writes it; `none` where it has none.
    #[must_use]
    pub fn target(&self) -> String {
        value(self.feature, &self.of.target, self.of.postures[0])
    }

    /// The production's value.
    #[must_use]
    pub fn production(&self) -> String {
        value(self.feature, &self.of.production, self.of.postures[1])
    }

    /// The difference in plain words for a coach, on one line: for a feature what it is,
    /// what it should be and how to get there; for a posture the change to make, from what
    /// was done to what is wanted.
    #[must_use]
    pub fn advice(&self) -> String {
        let (name, is, wanted) = (self.plain_name(), self.production(), self.target());
        if self.feature.is_posture() {
            return format!("{name}: {is} → {wanted}");
        }
        let how = self.remedy();
        let colon = if how.is_empty() { "" } else { ": " };
        format!("{name}: {is}, should be {wanted}{colon}{how}")
    }

    /// The same in a few words, for a line that is read at a glance: what is off, and how to
    /// get it right, or what it was where that needs no saying.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::articulation::bundle;
    /// use apical::finding::difference::between;
    /// use apical::notation::Transcription;
    ///
    /// let sounds = Transcription::parse("dt");
    /// let [d, t] = sounds.segments().map(|it| bundle(&it)).collect::<Vec<_>>()[..] else {
    ///     panic!("two segments")
    /// };
    /// let words: Vec<_> = between(&d, &t).iter().map(|it| it.in_short()).collect();
    /// assert_eq!(words, ["voicing: let the folds hum"]);
    /// ```
    #[must_use]
    pub fn in_short(&self) -> String {
        let name = self.plain_name();
        let (is, wanted) = (self.production(), self.target());
        match (self.remedy(), is.as_str(), wanted.as_str()) {
            ("", is, "none") => format!("{name}: no {is}"),
            ("", "none", wanted) => format!("{name}: {wanted} wanted"),
            ("", is, wanted) => format!("{name}: {is}, not {wanted}"),
            (how, ..) => format!("{name}: {how}"),
        }
    }

    fn plain_name(&self) -> &'static str {
        match self.feature {
            Feature::Lateral => "air over the sides",
            Feature::Nasalized => "air through the nose",
            Feature::Rounded => "rounded lips",
            Feature::Rhotic => "r-colour",
            Feature::Syllabic => "syllable of its own",
            Feature::Secondary => "second narrowing",
            Feature::TongueRoot => "tongue root",
            Feature::Glide => "end of the glide",
            feature => feature.name(),
        }
    }

    /// How to get from what was produced to what is wanted, for a coach to say; empty where
    /// there is nothing simple to say.
    #[must_use]
    pub fn remedy(&self) -> &'static str {
        let (target, production) = (&self.of.target, &self.of.production);
        match self.feature {
            Feature::Voicing => match target.voicing {
                Voicing::Voiceless => "let the folds rest",
                Voicing::Voiced => "let the folds hum",
            },
            Feature::Phonation => match target.phonation {
                Phonation::Modal => "an easy, steady voice",
                Phonation::Breathy => "let breath run along with the voice",
                Phonation::Creaky => "let the voice sink and crackle",
            },
            Feature::Place => target.place.first.map_or("", at),
            Feature::Manner => target.manner.map_or("", how),
            Feature::Lateral if target.lateral => {
                "tip up, let the air out past the sides"
            }
            Feature::Lateral => "sides up, let the air out over the middle",
            Feature::Nasalized if target.nasalized => "let some air out through the nose",
            Feature::Nasalized => "close off the nose",
            Feature::Airstream => match target.airstream {
                Airstream::Pulmonic => "push with the breath alone",
                Airstream::Ejective => "close the throat and push up",
                Airstream::Implosive => "let the throat drop and draw in",
                Airstream::Click => "suck the tongue off the roof",
            },
            Feature::Release if target.release.is_empty() => {
                "nothing before it, nothing after"
            }
            Feature::Height => height(target.height, production.height),
            Feature::Backness => match (target.backness, production.backness) {
                (Some(wanted), Some(is)) if wanted < is => "bring the tongue forward",
                (Some(_), Some(_)) => "draw the tongue back",
                _ => "",
            },
            Feature::Rounded => match target.rounded {
                Some(true) => "draw the lips into a circle",
                Some(false) => "let the lips go flat",
                None => "",
            },
            Feature::Rhotic if target.rhotic => {
                "bunch or curl the tongue while it sounds"
            }
            Feature::Rhotic => "leave the tongue down and still",
            Feature::Syllabic if target.syllabic => {
                "give it a beat, with no vowel before it"
            }
            Feature::Syllabic => "give it no beat of its own",
            Feature::Length if target.length > production.length => "hold it longer",
            Feature::Length => "let go of it sooner",
            Feature::Secondary if target.secondary.is_empty() => {
                "nothing but the sound itself"
            }
            Feature::Class => match target.class {
                Class::Vowel => "open up, nothing in the way",
                Class::Consonant => "put something in the way of the air",
                Class::Tone | Class::Pause => "",
            },
            Feature::Glide if target.glide.is_some() => "keep moving until the end",
            Feature::Glide => "hold still to the end",
            Feature::TongueRoot => match target.tongue_root {
                Some(TongueRoot::Advanced) => "widen the throat",
                Some(TongueRoot::Retracted) => "narrow the throat",
                None => "leave the throat as it is",
            },
            _ => "",
        }
    }
}

fn at(place: Place) -> &'static str {
    match place {
        Place::Bilabial => "bring the lips together",
        Place::Labiodental => "lower lip to the upper teeth",
        Place::Linguolabial => "tongue to the upper lip",
        Place::Dental => "tip to the upper teeth",
        Place::Alveolar => "tip to the ridge behind the teeth",
        Place::Postalveolar => "just behind the ridge",
        Place::Retroflex => "curl the tip up and back",
        Place::AlveoloPalatal => "blade behind the ridge, middle up",
        Place::Palatal => "middle of the tongue to the hard roof",
        Place::Velar => "back of the tongue to the soft roof",
        Place::Uvular => "back of the tongue as far back as it goes",
        Place::Pharyngeal => "draw the root of the tongue back",
        Place::Epiglottal => "tighten deep in the throat",
        Place::Glottal => "in the throat, the tongue at rest",
    }
}

fn how(manner: Manner) -> &'static str {
    match manner {
        Manner::Plosive => "stop the air, then let it go",
        Manner::Nasal => "stop the mouth and hum through the nose",
        Manner::Trill => "hold it loose and let it flutter",
        Manner::Tap => "one quick touch",
        Manner::Fricative => "leave a narrow gap, keep the air moving",
        Manner::Affricate => "stop the air, then let it hiss out",
        Manner::Approximant => "come near and touch nothing",
    }
}

fn height(wanted: Option<Height>, is: Option<Height>) -> &'static str {
    match (wanted, is) {
        (Some(wanted), Some(is)) if wanted < is => {
            "raise the tongue, close the jaw a little"
        }
        (Some(_), Some(_)) => "lower the tongue, open the jaw a little",
        _ => "",
    }
}

/// One feature's value in words.
fn value(feature: Feature, sound: &FeatureBundle, posture: Posture) -> String {
    let yes = |yes: bool| if yes { "yes" } else { "no" }.to_owned();
    match feature {
        Feature::Voicing => sound.voicing.name().to_owned(),
        Feature::Phonation => sound.phonation.name().to_owned(),
        Feature::Place => places(sound.place),
        Feature::Manner => name_of(sound.manner.map(Manner::name)),
        Feature::Lateral => yes(sound.lateral),
        Feature::Nasalized => yes(sound.nasalized),
        Feature::Airstream => sound.airstream.name().to_owned(),
        Feature::Release => list(sound.release.iter().map(crate::feature::Release::name)),
        Feature::Height => name_of(sound.height.map(Height::name)),
        Feature::Backness => name_of(sound.backness.map(crate::feature::Backness::name)),
        Feature::Rounded => sound.rounded.map_or_else(|| name_of(None), yes),
        Feature::Rhotic => yes(sound.rhotic),
        Feature::Syllabic => yes(sound.syllabic),
        Feature::Length => Length::name(sound.length).to_owned(),
        Feature::Secondary => {
            list(sound.secondary.iter().map(crate::feature::Secondary::name))
        }
        Feature::Class => sound.class.name().to_owned(),
        Feature::Glide => sound.glide.map_or_else(|| name_of(None), glide),
        Feature::TongueRoot => name_of(sound.tongue_root.map(TongueRoot::name)),
        Feature::Position => position(sound),
        Feature::Detail => list(sound.detail.iter().map(crate::feature::Detail::name)),
        Feature::Tone => list(sound.tone_levels().map(level)),
        Feature::Jaw => posture.jaw.name().to_owned(),
        Feature::Lips => posture.lips.name().to_owned(),
        Feature::Tongue => {
            list(posture.tongue.iter().map(crate::feature::TonguePart::name))
        }
        Feature::Contact => name_of(posture.contact.map(crate::feature::Contact::name)),
    }
}

fn name_of(name: Option<&str>) -> String {
    name.unwrap_or("none").to_owned()
}

fn list<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.collect();
    if names.is_empty() {
        name_of(None)
    } else {
        names.join(", ")
    }
}

fn places(places: Places) -> String {
    list(places.iter().map(Place::name))
}

fn glide(end: Glide) -> String {
    let lips = if end.rounded { "rounded" } else { "unrounded" };
    let colour = if end.rhotic { "r-coloured " } else { "" };
    format!(
        "{colour}{} {} {lips}",
        end.height.name(),
        end.backness.name()
    )
}

fn level(level: u8) -> &'static str {
    match level {
        1 => "extra low",
        2 => "low",
        3 => "mid",
        4 => "high",
        5 => "extra high",
        _ => "beyond the scale",
    }
}

/// How far off its letter, in words.
fn position(sound: &FeatureBundle) -> String {
    let shift = sound.shift;
    let directions = [
        (shift.raising, "raised", "lowered"),
        (shift.advancing, "advanced", "retracted"),
        (shift.centralizing, "centralized", "decentralized"),
        (shift.rounding, "more rounded", "less rounded"),
    ];
    let mut words: Vec<String> = Vec::new();
    for (steps, up, down) in directions {
        let word = if steps > 0 { up } else { down };
        match steps.unsigned_abs() {
            0 => {}
            1 => words.push(word.to_owned()),
            steps => words.push(format!("{word} {steps} half steps")),
        }
    }
    if words.is_empty() {
        "as its letter".to_owned()
    } else {
        words.join(", ")
    }
}
