//! A posture in plain words.

use crate::feature::{Contact, Posture, TonguePart};

/// The posture in plain words: jaw, lips, then what the tongue does and where.
#[must_use]
pub fn posture_words(posture: &Posture) -> String {
    let tongue = if posture.tongue.is_empty() {
        ""
    } else {
        "tongue "
    };
    format!(
        "jaw {}, lips {}, {tongue}{}",
        posture.jaw,
        posture.lips,
        contact_words(posture)
    )
}

/// What works on what, in plain words; where the tongue works, beginning with its part.
#[must_use]
pub fn contact_words(posture: &Posture) -> String {
    let parts: Vec<&str> = posture.tongue.iter().map(TonguePart::name).collect();
    let tongue = match parts.as_slice() {
        [] => None,
        [one] => Some((*one).to_owned()),
        [first @ .., last] => Some(format!("{} and {last}", first.join(", "))),
    };
    let (verb, lips) = if posture.touches {
        ("touching", "lips together")
    } else {
        ("near", "lips close together")
    };
    match (tongue, posture.contact) {
        (None, None) => "nothing touching".to_owned(),
        (None, Some(Contact::Lips)) => lips.to_owned(),
        (None, Some(Contact::Teeth)) => format!("lower lip {verb} the teeth"),
        (None, Some(Contact::Throat)) if posture.touches => "throat closed".to_owned(),
        (None, Some(Contact::Throat)) => "throat open".to_owned(),
        (None, Some(place)) => format!("{verb} the {place}"),
        (Some(tongue), None) => format!("{tongue}, touching nothing"),
        // The tip can reach the lips; with any other part, the lips work beside the tongue.
        (Some(tongue), Some(Contact::Lips))
            if !posture.tongue.contains(TonguePart::Tip) =>
        {
            format!("{tongue} raised, {lips}")
        }
        (Some(tongue), Some(place)) => format!("{tongue} {verb} the {place}"),
    }
}
