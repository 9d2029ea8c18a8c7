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
        let at = place(posture);
        let lips_do_it = at.as_deref().is_some_and(|it| it.starts_with("lips"));
        keys.extend(at.or_else(|| lies(bundle, posture)));
        if posture.tongue.contains(TonguePart::Sides) && !bundle.lateral {
            keys.push("sides".to_owned());
        }
        if !lips_do_it {
            keys.push(format!("lips-{}", lips(posture.lips)));
        }
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

/// A change from one mouth to another as it is said to a client: without millimetres, which
/// nobody feels.
pub(super) fn felt(change: &str) -> String {
    for (told, felt) in [
        ("on: the folds hum", "on, a hum in your throat"),
        ("off: the folds rest apart", "off, breath alone"),
        ("off: breath rubs between the folds", "off, breath alone"),
        ("off: the folds are shut", "off, the throat shut"),
    ] {
        if let Some(before) = change.strip_suffix(told) {
            return format!("{before}{felt}");
        }
    }
    let Some((way, length)) = change.rsplit_once(" by ") else {
        return change.to_owned();
    };
    let length = length
        .strip_suffix(" mm")
        .and_then(|it| it.parse::<u32>().ok());
    match length {
        Some(..=3) => format!("{way}, a little"),
        Some(4..=9) => format!("{way}, clearly"),
        Some(_) => format!("{way}, a long way"),
        None => change.to_owned(),
    }
}

/// Where the body of the tongue lies for a vowel that comes near nothing.
fn lies(bundle: &FeatureBundle, posture: &Posture) -> Option<String> {
    use crate::feature::{Backness, Height};
    let (height, backness) = (bundle.height?, bundle.backness?);
    let high = match height {
        Height::Close | Height::NearClose => return None,
        Height::CloseMid | Height::Mid | Height::OpenMid => "mid",
        Height::NearOpen | Height::Open => "low",
    };
    let taught_middle = !posture.tongue.contains(TonguePart::Back);
    let back = match backness {
        Backness::Front | Backness::NearFront => "front",
        Backness::Back | Backness::NearBack if !taught_middle => "back",
        Backness::Back | Backness::NearBack | Backness::Central => "central",
    };
    Some(format!("tongue-{high}-{back}"))
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
    fn a_client_reads_no_millimetres() {
        for (change, felt) in [
            ("jaw: open by 2 mm", "jaw: open, a little"),
            (
                "tip of the tongue: back by 9 mm",
                "tip of the tongue: back, clearly",
            ),
            (
                "body of the tongue: up by 14 mm",
                "body of the tongue: up, a long way",
            ),
            ("lips: further apart", "lips: further apart"),
        ] {
            assert_eq!(super::felt(change), felt);
        }
    }

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
            "tongue-low-front",
            "tongue-mid-back",
        ] {
            assert!(cue(key).is_some_and(|it| it.ends_with('.')), "{key}");
        }
    }
}
