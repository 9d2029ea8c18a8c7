//! What a rule does to a sound.

use super::constant::Constants;
use super::sound::{NOTHING, Set, Sounds, Trait, Traits, bit};
use crate::feature::{Class, Height};

/// A change, as a table from sound to sound.
#[derive(Clone, Debug)]
pub(super) struct Change {
    pub(super) kind: Kind,
    pub(super) bits: f64,
    /// What each sound becomes; itself where the change says nothing of it.
    pub(super) table: [u8; 128],
    /// The sounds of which it says something.
    pub(super) applies: Set,
    /// What may come of it where that is left open, else nothing.
    pub(super) open: Set,
}

/// What kind of change.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    /// This sound is put between two others.
    Insertion(u8),
    /// These traits are set as in this sound.
    Features(Vec<Trait>, u8),
    /// It becomes this sound.
    Sound(u8),
    /// It becomes some vowel that is not reduced.
    FullVowel,
    /// It is left out.
    Deletion,
    /// Each of these sounds becomes the other of its pair: a known pattern's.
    Listed(Vec<(u8, u8)>),
}

impl Change {
    /// In which order rules of its kind work.
    pub(super) fn phase(&self) -> u8 {
        match &self.kind {
            Kind::Insertion(_) => 0,
            Kind::Deletion => 2,
            Kind::Listed(_) if self.is_insertion() => 0,
            Kind::Listed(pairs) if pairs.iter().all(|it| it.1 == NOTHING) => 2,
            _ => 1,
        }
    }

    pub(super) fn is_insertion(&self) -> bool {
        self.applies == bit(NOTHING)
    }

    /// What it makes of a sound, if anything.
    pub(super) fn of(&self, sound: u8) -> Option<u8> {
        (self.applies & bit(sound) != 0)
            .then(|| self.table.get(usize::from(sound)).copied())
            .flatten()
    }

    /// What it makes of some sounds.
    pub(super) fn results(&self, sounds: Set) -> Set {
        let mut rest = sounds & self.applies;
        let mut results = 0;
        while rest != 0 {
            let sound = first(rest);
            results |= self.of(sound).map_or(0, bit);
            rest &= rest - 1;
        }
        results
    }

    /// The chance that what it makes of a sound is this, once it works.
    pub(super) fn gives(&self, sound: u8, outcome: u8) -> f64 {
        if self.open != 0 {
            let options = f64::from(self.open.count_ones());
            return if self.open & bit(outcome) != 0 {
                1.0 / options
            } else {
                0.0
            };
        }
        f64::from(u8::from(self.of(sound) == Some(outcome)))
    }

    /// The change of that kind over these sounds.
    pub(super) fn new(kind: Kind, sounds: &Sounds, constants: &Constants) -> Self {
        let mut table = [NOTHING; 128];
        let mut applies = 0;
        let mut open = 0;
        let traits: Vec<Option<Traits>> = sounds
            .numbers()
            .map(|it| sounds.bundle(it).map(Traits::of))
            .collect();
        let traits_of = |number: u8| traits.get(usize::from(number)).copied().flatten();
        let mut set = |number: u8, result: u8| {
            if result != number {
                applies |= bit(number);
                if let Some(slot) = table.get_mut(usize::from(number)) {
                    *slot = result;
                }
            }
        };
        let bits = match &kind {
            Kind::Insertion(sound) => {
                set(NOTHING, *sound);
                constants.insertion
            }
            Kind::Deletion => {
                sounds.numbers().for_each(|it| set(it, NOTHING));
                constants.deletion
            }
            Kind::Sound(sound) => {
                sounds.numbers().for_each(|it| set(it, *sound));
                constants.constant_change
            }
            Kind::FullVowel => {
                open = sounds.set(|it| {
                    it.class == Class::Vowel
                        && it.height != Some(Height::Mid)
                        && !it.rhotic
                });
                let reduced = sounds.set(|it| {
                    it.class == Class::Vowel
                        && it.height == Some(Height::Mid)
                        && !it.rhotic
                });
                for number in sounds.numbers().filter(|it| reduced & bit(*it) != 0) {
                    // Any vowel stands for all: who asks further goes by `gives`.
                    set(number, first(open));
                }
                constants.constant_change
            }
            Kind::Listed(pairs) => {
                for (from, to) in pairs {
                    set(*from, *to);
                }
                0.0
            }
            Kind::Features(features, model) => {
                if let Some(model) = traits_of(*model) {
                    for number in sounds.numbers() {
                        let Some(here) = traits_of(number) else {
                            continue;
                        };
                        if here.class != model.class {
                            continue;
                        }
                        let wanted = here.with(features, &model);
                        let result =
                            sounds.numbers().find(|it| traits_of(*it) == Some(wanted));
                        if let Some(result) = result {
                            set(number, result);
                        }
                    }
                }
                #[allow(clippy::cast_precision_loss, reason = "three at most")]
                let values = features.len() as f64;
                constants.feature_change + constants.feature_value * values
            }
        };
        Self {
            kind,
            bits,
            table,
            applies,
            open,
        }
    }

    /// Every change that one sound becoming another could be a case of.
    pub(super) fn kinds_of(sounds: &Sounds, target: u8, outcome: u8) -> Vec<Kind> {
        if target == NOTHING {
            return vec![Kind::Insertion(outcome)];
        }
        if outcome == NOTHING {
            return vec![Kind::Deletion];
        }
        let mut kinds = vec![Kind::Sound(outcome)];
        let (Some(from), Some(to)) = (sounds.bundle(target), sounds.bundle(outcome))
        else {
            return kinds;
        };
        let difference = Traits::of(from).difference(&Traits::of(to));
        if let Some(features) = difference.filter(|it| (1..=3).contains(&it.len())) {
            kinds.push(Kind::Features(features, outcome));
        }
        let reduced = |height| height == Some(Height::Mid);
        if from.class == Class::Vowel
            && to.class == Class::Vowel
            && reduced(from.height)
            && !reduced(to.height)
            && !from.rhotic
        {
            kinds.push(Kind::FullVowel);
        }
        kinds
    }
}

fn first(set: Set) -> u8 {
    u8::try_from(set.trailing_zeros()).unwrap_or(NOTHING)
}
