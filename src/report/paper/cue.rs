//! Cues: what to do, in a sentence each, from what a sound asks of the mouth.

use crate::feature::{
    Class, Contact, FeatureBundle, Jaw, Lips, Manner, Posture, TonguePart, Voicing,
};

/// What to say for what, one a line: key, cue, source.
const TABLE: &str = include_str!("../../../grammar/handouts/cues.tsv");

/// Every cue: what it is for, and what it says.
#[cfg(test)]
pub(super) fn all() -> impl Iterator<Item = (&'static str, &'static str)> {
    rows()
}

fn rows() -> impl Iterator<Item = (&'static str, &'static str)> {
    TABLE.lines().skip(1).filter_map(|line| {
        let mut cells = line.split('\t');
        Some((cells.next()?, cells.next()?))
    })
}

fn cue(key: &str) -> Option<&'static str> {
    rows().find(|(known, _)| *known == key).map(|(_, cue)| cue)
}

/// The cues for a sound, in the order in which one sets the mouth: contact, sides, lips, jaw,
/// air, voice; for a sound that moves, where it moves to.
pub(super) fn cues(bundle: &FeatureBundle, postures: &[Posture]) -> Vec<&'static str> {
    let mut keys: Vec<String> = Vec::new();
    if let Some(posture) = postures.first() {
        keys.extend(place(posture));
        if posture.tongue.contains(TonguePart::Sides) && !bundle.lateral {
            keys.push("sides".to_owned());
        }
        keys.push(format!("lips-{}", lips(posture.lips)));
        keys.push(format!("jaw-{}", jaw(posture.jaw)));
    }
    if let Some(last) = postures.get(1) {
        keys.push("moves".to_owned());
        keys.push(format!("then-lips-{}", lips(last.lips)));
        keys.push(format!("then-jaw-{}", jaw(last.jaw)));
    }
    keys.extend(air(bundle).map(str::to_owned));
    if bundle.class == Class::Consonant {
        keys.push(
            match bundle.voicing {
                Voicing::Voiced => "voice-on",
                Voicing::Voiceless => "voice-off",
            }
            .to_owned(),
        );
    }
    keys.iter().filter_map(|key| cue(key)).collect()
}

/// Where the mouth closes or comes near.
fn place(posture: &Posture) -> Option<String> {
    let place = match posture.contact? {
        Contact::Lips => "lips",
        Contact::Teeth if posture.tongue.contains(TonguePart::Tip) => "tongue-teeth",
        Contact::Teeth => "lip-teeth",
        Contact::AlveolarRidge => "ridge",
        Contact::HardPalate => "hard-palate",
        Contact::SoftPalate => "soft-palate",
        Contact::Throat => "throat",
    };
    let how = if posture.touches { "touch" } else { "near" };
    Some(format!("{place}-{how}"))
}

fn air(bundle: &FeatureBundle) -> Option<&'static str> {
    if bundle.lateral {
        return Some("air-sides");
    }
    match bundle.manner? {
        Manner::Plosive => Some("air-stop"),
        Manner::Nasal => Some("air-nose"),
        Manner::Fricative => Some("air-friction"),
        Manner::Affricate => Some("air-affricate"),
        Manner::Approximant => Some("air-glide"),
        Manner::Tap => Some("air-tap"),
        Manner::Trill => Some("air-trill"),
    }
}

const fn lips(lips: Lips) -> &'static str {
    match lips {
        Lips::Neutral => "neutral",
        Lips::Spread => "spread",
        Lips::Rounded => "rounded",
        Lips::Protruded => "protruded",
    }
}

const fn jaw(jaw: Jaw) -> &'static str {
    match jaw {
        Jaw::Closed => "closed",
        Jaw::SlightlyOpen => "slightly-open",
        Jaw::Open => "open",
    }
}

#[cfg(test)]
mod tests {
    use super::{all, cue};

    #[test]
    fn every_key_has_one_cue() {
        let mut keys: Vec<&str> = all().map(|(key, _)| key).collect();
        keys.sort_unstable();
        let before = keys.len();
        keys.dedup();
        assert_eq!(keys.len(), before);
        for key in [
            "tongue-teeth-touch",
            "ridge-near",
            "air-sides",
            "then-jaw-closed",
        ] {
            assert!(cue(key).is_some_and(|it| it.ends_with('.')), "{key}");
        }
    }
}
