//! From the features of a sound to the poses it is made with.
//!
//! No sound has a picture or a rule of its own: places, manners and marks each say what the
//! organs do, and what they say is added up.

mod aim;
mod lips;
mod vowel;

use aim::{Aim, aim_at, solve};
use lips::{coached_lips, lip_places, lips_of_consonant, lips_of_marks};
use vowel::vowel;
pub use vowel::vowel_spot;

use super::geometry::Point;
use super::pose::Pose;
use super::wall::Wall;
use crate::feature::{
    Airstream, Class, Contact, Detail, FeatureBundle, Jaw, Manner, Phonation, Place,
    Places, Posture, Release, Secondary, TonguePart, TongueRoot, Voicing,
};
use crate::inventory::{MouthOrgan, MouthPlace, mouth};

/// What an accent teaches for a sound: its posture, and for a diphthong the one it moves to.
pub type Coaching = Option<(Posture, Option<Posture>)>;

/// The vocal folds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Folds {
    /// Apart: breath.
    Apart,
    /// Humming.
    Humming,
    /// Humming with breath running along.
    Breathy,
    /// Crackling.
    Creaky,
    /// Near each other: the friction of `[h]`.
    Narrowed,
    /// Shut.
    Shut,
}

/// How far the passage is narrowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stricture {
    /// Shut.
    Closure,
    /// Touched once.
    Touch,
    /// Fluttering.
    Flutter,
    /// Narrow enough to hiss.
    Friction,
    /// Free.
    Open,
}

/// Which way the air goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Air {
    /// Out through the mouth.
    Mouth,
    /// Out through the mouth, over the sides of the tongue.
    Sides,
    /// Out through the nose.
    Nose,
    /// Out through both.
    Both,
    /// Nowhere: it is held.
    Held,
    /// Into the mouth.
    Inward,
}

/// One moment of a sound: where the organs are and what the air does.
#[derive(Clone, Debug, PartialEq)]
pub struct Gesture {
    /// Where the organs are.
    pub pose: Pose,
    /// The vocal folds.
    pub folds: Folds,
    /// How far the passage is narrowed where it is narrowest.
    pub stricture: Stricture,
    /// Which way the air goes.
    pub air: Air,
    /// Where the narrowing is, front first: the place and the spot on the wall; none for
    /// vowels, and none on the wall for sounds of the lips and the larynx.
    pub spots: Vec<(Place, Option<Point>)>,
    /// What moment it is, in a word: "closure", "release"; empty for a sound of one moment.
    pub moment: &'static str,
}

/// The moments of a sound, in order; none for a tone or a pause.
///
/// Most sounds have one. An affricate has two, and so have a diphthong and a sound that
/// begins or ends through the nose or over the sides.
///
/// # Examples
///
/// ```
/// use apical::articulation::bundle;
/// use apical::notation::Transcription;
/// use apical::posture::gesture::{Air, of};
///
/// let read = Transcription::parse("nt͡ʃ");
/// let moments: Vec<_> = read.segments().map(|it| of(&bundle(&it), None)).collect();
/// assert_eq!(moments[0][0].air, Air::Nose);
/// assert_eq!(moments[1].len(), 2);
/// ```
#[must_use]
pub fn of(bundle: &FeatureBundle, coaching: Coaching) -> Vec<Gesture> {
    let (first, last) =
        coaching.map_or((None, None), |(from, to)| (Some(from), to.or(Some(from))));
    match bundle.class {
        Class::Tone | Class::Pause => Vec::new(),
        Class::Vowel => {
            let mut gestures = vec![vowel(bundle, first)];
            if let Some(glide) = bundle.glide {
                let end = FeatureBundle {
                    glide: None,
                    height: Some(glide.height),
                    backness: Some(glide.backness),
                    rounded: Some(glide.rounded),
                    rhotic: glide.rhotic,
                    ..*bundle
                };
                gestures.push(vowel(&end, last));
                name(&mut gestures, ["start", "end"]);
            }
            gestures
        }
        Class::Consonant => consonants(bundle, first),
    }
}

fn name(gestures: &mut [Gesture], names: [&'static str; 2]) {
    for (gesture, name) in gestures.iter_mut().zip(names) {
        gesture.moment = name;
    }
}

/// The moments of a consonant.
fn consonants(bundle: &FeatureBundle, coaching: Option<Posture>) -> Vec<Gesture> {
    let with = |manner: Manner| FeatureBundle {
        manner: Some(manner),
        ..*bundle
    };
    let nasal = |it: FeatureBundle| FeatureBundle {
        manner: Some(Manner::Nasal),
        voicing: Voicing::Voiced,
        airstream: Airstream::Pulmonic,
        lateral: false,
        ..it
    };
    let mut parts = Vec::new();
    if bundle.manner == Some(Manner::Affricate) {
        // The closure is the affricate's, over the middle too where the release is lateral.
        let closure = FeatureBundle {
            lateral: false,
            ..with(Manner::Plosive)
        };
        parts.push((closure, "closure"));
        parts.push((with(Manner::Fricative), "release"));
    } else {
        parts.push((*bundle, ""));
    }
    let oral = bundle.manner != Some(Manner::Nasal);
    let release = bundle.release;
    if release.contains(Release::Prenasalized) && oral {
        parts.insert(0, (nasal(*bundle), "lead-in"));
    }
    if release.contains(Release::PlosiveOnset) {
        parts.insert(0, (with(Manner::Plosive), "lead-in"));
    }
    if release.contains(Release::Nasal) && oral {
        parts.push((nasal(*bundle), "release"));
    }
    if release.contains(Release::Lateral) && !bundle.lateral {
        let lateral = FeatureBundle {
            lateral: true,
            ..with(Manner::Approximant)
        };
        parts.push((lateral, "release"));
    }
    if release.contains(Release::Fricative) && bundle.manner == Some(Manner::Plosive) {
        parts.push((with(Manner::Fricative), "release"));
    }
    if parts.len() > 1
        && let Some(first) = parts.iter_mut().find(|(_, moment)| moment.is_empty())
    {
        first.1 = "hold";
    }
    parts
        .into_iter()
        .map(|(part, moment)| Gesture {
            moment,
            ..consonant(&part, coaching)
        })
        .collect()
}

fn row_of(place: Place) -> &'static MouthPlace {
    mouth::PLACES
        .get(place as usize)
        .unwrap_or(&mouth::PLACES[0])
}

fn consonant(bundle: &FeatureBundle, coaching: Option<Posture>) -> Gesture {
    let (stricture, air) = manner(bundle);
    let click = bundle.airstream == Airstream::Click;
    let places = if click
        && !bundle
            .place
            .iter()
            .any(|it| row_of(it).organ == MouthOrgan::Body && it != Place::Palatal)
    {
        // A click has a second closure at the back.
        Places {
            first: bundle.place.first,
            second: Some(Place::Velar),
        }
    } else {
        bundle.place
    };
    let mut pose = Pose::rest();
    pose.velum = nose(bundle);
    let bunched = bunches(bundle, coaching);
    let main = places
        .iter()
        .find(|it| !matches!(row_of(*it).organ, MouthOrgan::Lips | MouthOrgan::None))
        .or(places.first);
    if let Some(place) = main {
        start(&mut pose, place, bundle);
    }
    if places.first == Some(Place::Bilabial) {
        // The lips meet or nearly meet, whatever the tongue does behind them.
        pose.jaw = pose.jaw.min(mouth::JAW_CLOSED_MOST - 0.2);
    }
    if pose.velum > 0.3 {
        // The velum hangs down where a back body would be.
        pose.body.x = pose.body.x.min(38.0);
    }
    secondary_body(bundle, &mut pose);
    root_of_marks(bundle, &mut pose);
    if bunched {
        pose.body = Point::new(mouth::BUNCHED_X, mouth::BUNCHED_Y);
        pose.root += mouth::BUNCHED_ROOT;
    } else if rhotic(bundle) {
        pose.root += mouth::CURLED_ROOT;
    }
    coached_jaw(&mut pose, coaching);
    lips_of_consonant(&mut pose, bundle);
    coached_lips(&mut pose, coaching, false, 0.3);
    lips_of_marks(bundle, &mut pose);
    lip_places(&mut pose, bundle, stricture);
    seal(&mut pose, bundle, stricture);
    pose.larynx = match bundle.airstream {
        Airstream::Ejective => 1.0,
        Airstream::Implosive => -1.0,
        Airstream::Pulmonic | Airstream::Click => 0.0,
    };
    let wall = Wall::of(&pose);
    let mut aims: Vec<Aim> = Vec::new();
    let mut spots = Vec::new();
    for place in places.iter() {
        let closing = if click { Stricture::Closure } else { stricture };
        let aim = if bunched {
            let (anchor, normal) = wall.anchor(Point::new(25.0, 21.2), 0.0);
            Some(Aim {
                organ: MouthOrgan::Body,
                anchor,
                normal,
                gap: mouth::GAP_APPROXIMANT,
                reach: mouth::GAP_APPROXIMANT,
            })
        } else {
            aim_at(place, bundle, closing, &wall, click)
        };
        spots.push((place, aim.as_ref().map(|aim| aim.anchor)));
        let taken = |organ: MouthOrgan| {
            let front = |it| matches!(it, MouthOrgan::Tip | MouthOrgan::Blade);
            aims.iter()
                .any(|known| known.organ == organ || front(known.organ) && front(organ))
        };
        if let Some(aim) = aim.filter(|aim| !taken(aim.organ)) {
            aims.push(aim);
        }
    }
    if !aims
        .iter()
        .any(|aim| matches!(aim.organ, MouthOrgan::Tip | MouthOrgan::Blade))
    {
        pose.rest_tip();
        if bunched {
            pose.tip = pose.tip + Point::new(2.5, 1.0);
        }
    }
    solve(&mut pose, &mut aims, &wall);
    Gesture {
        pose,
        folds: folds(bundle),
        stricture,
        air,
        spots,
        moment: "",
    }
}

/// How far the passage is narrowed and where the air goes.
fn manner(bundle: &FeatureBundle) -> (Stricture, Air) {
    let out = if bundle.lateral {
        Air::Sides
    } else if bundle.nasalized {
        Air::Both
    } else {
        Air::Mouth
    };
    let out = if bundle.detail.contains(Detail::Ingressive) {
        Air::Inward
    } else {
        out
    };
    if bundle.airstream == Airstream::Click {
        return (Stricture::Closure, Air::Inward);
    }
    match bundle.manner {
        Some(Manner::Plosive | Manner::Affricate) => (
            Stricture::Closure,
            if bundle.nasalized {
                Air::Nose
            } else {
                Air::Held
            },
        ),
        Some(Manner::Nasal) => (Stricture::Closure, Air::Nose),
        Some(Manner::Trill) => (Stricture::Flutter, out),
        Some(Manner::Tap) => (Stricture::Touch, out),
        Some(Manner::Fricative) => (Stricture::Friction, out),
        Some(Manner::Approximant) | None => (Stricture::Open, out),
    }
}

fn folds(bundle: &FeatureBundle) -> Folds {
    let glottal = bundle.place.first == Some(Place::Glottal);
    match (bundle.airstream, bundle.voicing, bundle.phonation) {
        (Airstream::Ejective, ..) => Folds::Shut,
        _ if glottal && bundle.manner == Some(Manner::Plosive) => Folds::Shut,
        (_, Voicing::Voiced, Phonation::Modal)
            if glottal && bundle.manner == Some(Manner::Fricative) =>
        {
            Folds::Breathy
        }
        (_, Voicing::Voiceless, _)
            if glottal && bundle.manner == Some(Manner::Fricative) =>
        {
            Folds::Narrowed
        }
        (_, _, Phonation::Breathy) => Folds::Breathy,
        (_, _, Phonation::Creaky) => Folds::Creaky,
        (_, Voicing::Voiced, Phonation::Modal) => Folds::Humming,
        (_, Voicing::Voiceless, Phonation::Modal) => Folds::Apart,
    }
}

/// How far the nose is open.
fn nose(bundle: &FeatureBundle) -> f64 {
    if bundle.manner == Some(Manner::Nasal) {
        if bundle.detail.contains(Detail::Denasal) {
            0.0
        } else {
            mouth::VELUM_NASAL
        }
    } else if bundle.nasalized || bundle.detail.contains(Detail::NasalEscape) {
        mouth::VELUM_NASALIZED
    } else {
        0.0
    }
}

/// An r-like sound: an approximant made with the tip, over the middle.
fn rhotic(bundle: &FeatureBundle) -> bool {
    bundle.manner == Some(Manner::Approximant)
        && !bundle.lateral
        && matches!(
            bundle.place.first,
            Some(Place::Alveolar | Place::Postalveolar | Place::Retroflex)
        )
        && bundle.place.second.is_none()
}

/// Whether an r is taught with the middle of the tongue and a low tip.
fn bunches(bundle: &FeatureBundle, coaching: Option<Posture>) -> bool {
    rhotic(bundle)
        && coaching.is_some_and(|taught| {
            taught.contact == Some(Contact::HardPalate)
                && taught.tongue.contains(TonguePart::Middle)
                && !taught.tongue.contains(TonguePart::Tip)
        })
}

/// Jaw, body and tip for a place, before anything is sent anywhere.
fn start(pose: &mut Pose, place: Place, bundle: &FeatureBundle) {
    let row = row_of(place);
    pose.jaw = row.jaw;
    if row.body.0 != 0.0 {
        pose.body = row.body.into();
    }
    if matches!(row.organ, MouthOrgan::Tip | MouthOrgan::Blade) {
        pose.tip_radius = row.tip_radius;
        pose.hollow = row.hollow;
    } else if row.organ == MouthOrgan::Root {
        pose.epiglottis = 1.0;
    }
    let sibilant = bundle.detail.contains(Detail::Sibilant);
    let friction = bundle.manner == Some(Manner::Fricative);
    if row.organ == MouthOrgan::Tip && sibilant {
        pose.jaw = mouth::JAW_HISSING + if place == Place::Retroflex { 1.0 } else { 0.0 };
        pose.body.x += if place == Place::Alveolar { 2.5 } else { 0.0 };
        if place == Place::Retroflex {
            pose.hollow *= 0.6;
        } else {
            pose.hollow = mouth::GROOVE_HOLLOW;
        }
    }
    if interdental(place, bundle, friction, sibilant) {
        pose.jaw = mouth::JAW_INTERDENTAL;
        pose.tip_radius = 1.8;
        pose.interdental = 1.0;
        pose.hollow = 0.0;
    }
    if row.organ == MouthOrgan::Tip {
        let loose = matches!(bundle.manner, Some(Manner::Approximant | Manner::Tap))
            && place != Place::Dental;
        if loose {
            pose.jaw = pose.jaw.max(mouth::JAW_LOOSE);
        }
        if bundle.lateral {
            pose.body = pose.body + Point::new(4.0, -2.0);
        } else if rhotic(bundle) {
            pose.body = pose.body + Point::new(6.0, -2.0);
            pose.body.x = pose.body.x.min(47.0);
            pose.hollow = pose.hollow.max(6.0);
        }
    }
    if bundle.detail.contains(Detail::Laminal) {
        pose.tip_radius += 1.2;
        pose.hollow *= 0.3;
        pose.body = pose.body + Point::new(-2.0, 1.5);
    } else if bundle.detail.contains(Detail::Apical) && row.organ == MouthOrgan::Tip {
        pose.tip_radius -= 0.5;
        pose.hollow += 1.5;
    }
    if bundle.airstream == Airstream::Click {
        pose.hollow = mouth::CLICK_HOLLOW;
        pose.radius = mouth::BALL_SMALLEST + 0.5;
    }
}

fn interdental(
    place: Place,
    bundle: &FeatureBundle,
    friction: bool,
    sibilant: bool,
) -> bool {
    place == Place::Dental
        && (friction && !sibilant || bundle.detail.contains(Detail::Interdental))
}

/// Bends the body towards a second narrowing.
fn secondary_body(bundle: &FeatureBundle, pose: &mut Pose) {
    let has = |secondary| bundle.secondary.contains(secondary);
    let ways = [
        (
            has(Secondary::Palatalized) || has(Secondary::LabioPalatalized),
            (mouth::PALATALIZED_X, mouth::PALATALIZED_Y),
        ),
        (
            has(Secondary::Velarized) || has(Secondary::VelarizedOrPharyngealized),
            (mouth::VELARIZED_X, mouth::VELARIZED_Y),
        ),
        (
            has(Secondary::Uvularized),
            (mouth::UVULARIZED_X, mouth::UVULARIZED_Y),
        ),
        (
            has(Secondary::Pharyngealized),
            (mouth::PHARYNGEALIZED_X, mouth::PHARYNGEALIZED_Y),
        ),
    ];
    for (has, to) in ways {
        if has {
            pose.body = pose.body.towards(to.into(), mouth::SECONDARY_SHARE);
        }
    }
    if has(Secondary::Pharyngealized) {
        pose.root += mouth::ROOT_MARK * 0.5;
    }
}

fn root_of_marks(bundle: &FeatureBundle, pose: &mut Pose) {
    pose.root += match bundle.tongue_root {
        Some(TongueRoot::Advanced) => -mouth::ROOT_MARK,
        Some(TongueRoot::Retracted) => mouth::ROOT_MARK,
        None => 0.0,
    };
}

/// The sides of the tongue against the roof.
fn seal(pose: &mut Pose, bundle: &FeatureBundle, stricture: Stricture) {
    if bundle.lateral {
        pose.lateral = 1.0;
    } else if stricture == Stricture::Closure || bundle.detail.contains(Detail::Sibilant)
    {
        pose.seal = 1.0;
    }
}

/// Brings the jaw where the accent teaches it.
fn coached_jaw(pose: &mut Pose, coaching: Option<Posture>) {
    let Some(taught) = coaching else { return };
    let (least, most) = match taught.jaw {
        Jaw::Closed => (0.0, mouth::JAW_CLOSED_MOST),
        Jaw::SlightlyOpen => (mouth::JAW_CLOSED_MOST + 0.8, mouth::JAW_SLIGHTLY_MOST),
        Jaw::Open => (mouth::JAW_SLIGHTLY_MOST + 0.8, mouth::JAW_MOST),
    };
    pose.jaw = pose.jaw.clamp(least, most);
}
