//! `apical words`: words to drill.

use super::arguments::{Format, Words};
use super::material;
use super::output::Answers;
use super::{Failure, Status, Stop};
use crate::material::{
    Cluster, Condition, Draw, Refusal, SoundWish, Sounds, Stock, Wish, choose,
};
use crate::report::json::material as json;
use crate::report::text::line::visible;
use crate::report::text::material as drawn;
use crate::syllable::Stress;

/// Runs the command.
pub(super) fn run(arguments: &Words) -> Result<Status, Stop> {
    let (accent, lexicon) = material::words_of(&arguments.material)?;
    let stock = Stock::new(&lexicon, &accent);
    let wish = wish(arguments, &stock.sounds)?;
    material::free(&[&arguments.sheet, &arguments.probes])?;
    let is_table = !matches!(
        arguments.output.format,
        super::arguments::Marks::Text | super::arguments::Marks::Json
    );
    if is_table && arguments.hold_back.is_some() && arguments.probes.is_none() {
        return Err(Stop::Run(Failure::new(
            "--hold-back",
            "a table on the screen has no place for the words held back",
            "name a sheet for them: --probes probes.tsv",
        )));
    }
    let draw = Draw {
        count: arguments.count,
        hold_back: arguments.hold_back.unwrap_or(0),
        seed: arguments.seed,
        all_forms: arguments.all_forms,
        except: material::excepted(&arguments.except)?,
        every_kind: arguments.material.names_too,
    };
    let chosen = choose(&stock, &wish, &draw)
        .map_err(|refusal| Stop::Run(refused(arguments, &wish, &stock, &refusal)))?;
    if chosen.drill.is_empty() {
        let (place, reason, remedy) = if chosen.matching == 0 {
            (
                "--except",
                format!(
                    "all {} that fit are words of the sheets left out, or forms of them",
                    drawn::words(chosen.excepted)
                ),
                "ask for rarer words too, as with --at-least 0, or for another place",
            )
        } else {
            (
                "--hold-back",
                format!(
                    "only {} fit: none is left to drill",
                    drawn::words(chosen.matching)
                ),
                "hold fewer back, or ask for rarer words too, as with --at-least 0",
            )
        };
        return Err(Stop::Run(Failure::new(place, reason, remedy)));
    }
    let rows = |list: &[crate::material::Candidate]| -> Vec<material::Row> {
        list.iter().map(|it| material::row(it, None)).collect()
    };
    let drill = rows(&chosen.drill);
    if let Some(path) = &arguments.probes {
        material::write(path, &rows(&chosen.probes))?;
    }
    let to = arguments.sheet.as_deref();
    if material::handed_over(&drill, to, arguments.output.format)? {
        return Ok(Status::Good);
    }
    let mut answers = Answers::new(&arguments.output.output());
    if answers.format == Format::Json {
        for (list, words) in [("drill", &chosen.drill), ("probe", &chosen.probes)] {
            for word in words {
                answers.object(&json::Word::new(word, list, &wish, &stock))?;
            }
        }
        return Ok(Status::Good);
    }
    let name = |path: &std::path::PathBuf| visible(&path.display().to_string());
    let page = drawn::WordsPage {
        asked: &asked(arguments, &wish),
        accent: accent.called(),
        chosen: &chosen,
        seeded: arguments.seed.is_some(),
        sheet: arguments.sheet.as_ref().map(name),
        probes: arguments.probes.as_ref().map(name),
        remark: remark(&wish, &stock),
    };
    material::answered(&mut answers, |columns| drawn::words_page(&page, columns))
}

/// What is wished for.
fn wish(arguments: &Words, sounds: &Sounds) -> Result<Wish, Stop> {
    let asked = material::wishes(&arguments.sounds, "words", sounds)?;
    let without = material::ruled_out(&arguments.material, sounds)?;
    material::no_contradiction(&asked, &without, &arguments.standing, sounds)?;
    let cluster = match &arguments.cluster {
        Some(text) => Some(Cluster::Exactly(cluster(text, &asked, sounds)?)),
        None => arguments.in_cluster.then_some(Cluster::Any),
    };
    let stress = arguments.stress.as_deref().map(stress).transpose()?;
    let wish = Wish {
        position: material::position(&arguments.standing),
        part: material::part(&arguments.standing),
        stressed: material::stressed(&arguments.standing),
        cluster,
        syllables: arguments.material.syllables,
        stress,
        no_clusters: arguments.no_clusters,
        without,
        least: arguments.material.at_least,
        sounds: asked,
    };
    let placed =
        wish.position.is_some() || wish.part.is_some() || wish.stressed.is_some();
    if placed && !wish.asks_for_a_sound() {
        return Err(Stop::Run(Failure::new(
            "words",
            "a place is named, but no sound that is to stand there",
            "name it: apical words θ --initial",
        )));
    }
    if let (Some((least, most)), Some(pattern)) = (wish.syllables, &wish.stress) {
        let count = u32::try_from(pattern.len()).unwrap_or(u32::MAX);
        if !(least..=most).contains(&count) {
            let digits = arguments.stress.as_deref().unwrap_or_default();
            return Err(Stop::Run(Failure::new(
                format!("--stress {}", visible(digits)),
                format!("these are {count} syllables, and --syllables asks for others"),
                "leave one of the two away",
            )));
        }
    }
    Ok(wish)
}

/// The consonants of a cluster.
fn cluster(text: &str, asked: &[SoundWish], sounds: &Sounds) -> Result<Vec<u16>, Stop> {
    let failure = |reason: String, remedy: String| {
        Stop::Run(Failure::new(
            format!("--cluster {}", visible(text)),
            reason,
            remedy,
        ))
    };
    let bare = text.trim_matches(['/', '[', ']']);
    let run = sounds.run(bare).map_err(|rest| {
        let begins: String = rest.chars().take(1).collect();
        failure(
            format!(
                "{} is no sound of {}",
                visible(&begins),
                sounds.accent().called()
            ),
            "write the consonants in IPA, as in: --cluster stɹ".to_owned(),
        )
    })?;
    if let Some(vowel) = run.iter().find(|it| sounds.is_vowel(**it)) {
        return Err(failure(
            format!("{} is a vowel", sounds.text(*vowel)),
            "a cluster is of consonants, as in: --cluster st".to_owned(),
        ));
    }
    if run.len() < 2 {
        return Err(failure(
            "one consonant is no cluster".to_owned(),
            "write two or more, or ask for it in any: --in-cluster".to_owned(),
        ));
    }
    let phonemes: Option<Vec<u16>> = asked.iter().map(SoundWish::phoneme).collect();
    if let Some(phonemes) = phonemes.filter(|it| !it.is_empty())
        && !phonemes.iter().any(|it| run.contains(it))
    {
        let named: Vec<String> = phonemes.iter().map(|it| sounds.text(*it)).collect();
        return Err(failure(
            format!("{} is not in it", named.join(" or ")),
            "name a sound of the cluster, or the cluster alone".to_owned(),
        ));
    }
    Ok(run)
}

/// A pattern of stress.
fn stress(digits: &str) -> Result<Vec<Stress>, Stop> {
    let one = |digit: char| match digit {
        '0' => Some(Stress::None),
        '1' => Some(Stress::Primary),
        '2' => Some(Stress::Secondary),
        _ => None,
    };
    let pattern: Option<Vec<Stress>> = digits.chars().map(one).collect();
    let primaries = digits.chars().filter(|it| *it == '1').count();
    let failure = |reason: &str| {
        Stop::Run(Failure::new(
            format!("--stress {}", visible(digits)),
            reason,
            "a digit a syllable: 1 primary, 2 secondary, 0 none, as in 010 for banana",
        ))
    };
    match pattern {
        None => Err(failure("it has something else than 0, 1 and 2 in it")),
        Some(_) if primaries != 1 => Err(failure("a word has one primary stress")),
        Some(pattern) => Ok(pattern),
    }
}

/// What was asked for, in words.
fn asked(arguments: &Words, wish: &Wish) -> String {
    let mut asked: Vec<String> = Vec::new();
    let texts: Vec<String> = wish.sounds.iter().map(|it| visible(&it.text)).collect();
    let mut sound: Vec<String> = Vec::new();
    if !texts.is_empty() {
        sound.push(texts.join(" or "));
    }
    match &wish.cluster {
        Some(Cluster::Any) => sound.push("in a cluster".to_owned()),
        Some(Cluster::Exactly(_)) => {
            let text = visible(arguments.cluster.as_deref().unwrap_or_default());
            let lead = if texts.is_empty() { "" } else { "in " };
            sound.push(format!("{lead}the cluster {text}"));
        }
        None => {}
    }
    sound.extend(drawn::place(wish.position, wish.part, wish.stressed));
    if !sound.is_empty() {
        asked.push(sound.join(" "));
    }
    if let Some((least, most)) = wish.syllables {
        let count = if least == most {
            least.to_string()
        } else {
            format!("{least}–{most}")
        };
        let noun = if most == 1 { "syllable" } else { "syllables" };
        asked.push(format!("{count} {noun}"));
    }
    if let Some(digits) = &arguments.stress {
        asked.push(format!("stress {digits}"));
    }
    if wish.no_clusters {
        asked.push("no cluster".to_owned());
    }
    if !wish.without.is_empty() {
        let without: Vec<String> =
            wish.without.iter().map(|it| visible(&it.text)).collect();
        asked.push(format!("without {}", without.join(" ")));
    }
    if asked.is_empty() {
        "any sounds".to_owned()
    } else {
        asked.join(", ")
    }
}

/// What the coach may have overlooked: r is ruled out, and r-coloured vowels are not.
fn remark(wish: &Wish, stock: &Stock<'_>) -> Option<String> {
    let sounds = &stock.sounds;
    let coloured = sounds.coloured();
    let r = coloured.first().map(|it| it[1])?;
    let ruled = |number: u16| wish.without.iter().any(|it| it.phoneme() == Some(number));
    let rhotic = |number: &u16| {
        sounds.bundle(*number).is_some_and(|it| it.rhotic)
            && sounds.is_vowel(*number)
            && !coloured.iter().any(|it| it[2] == *number)
    };
    let left: Vec<String> = sounds
        .inventory()
        .into_iter()
        .filter(|it| rhotic(it) && !ruled(*it))
        .map(|it| sounds.text(it))
        .collect();
    let only_phonemes = wish.without.iter().all(|it| it.phoneme().is_some());
    (ruled(r) && only_phonemes && !left.is_empty()).then(|| {
        format!(
            "words with {} are still in: --without {},{} leaves them out too",
            left.join(" and "),
            sounds.text(r),
            left.join(",")
        )
    })
}

/// Why nothing was found, and which condition to loosen.
fn refused(
    arguments: &Words,
    wish: &Wish,
    stock: &Stock<'_>,
    refusal: &Refusal,
) -> Failure {
    let place = format!("words {}", asked(arguments, wish));
    let accent = stock.sounds.accent().called();
    if refusal.with_the_sound == 0 {
        let merged = merged(wish, &stock.sounds);
        let reason = format!("no word of {accent} has it");
        return Failure::new(
            place,
            reason,
            merged
                .unwrap_or_else(|| "ask for another sound, or take names too".to_owned()),
        );
    }
    let name = |condition: Condition| named(condition, arguments);
    let (many, remedy) = match refusal.without_one.as_slice() {
        [] => {
            let two: Vec<String> = refusal
                .without_two
                .iter()
                .take(3)
                .map(|(one, other, count)| {
                    format!(
                        "without {} and {} {}",
                        name(*one),
                        name(*other),
                        drawn::words(*count)
                    )
                })
                .collect();
            let two = if two.is_empty() {
                "ask for less".to_owned()
            } else {
                format!("loosen two of them: {}", two.join("; "))
            };
            ("no one of the conditions alone is to blame", two)
        }
        ones => {
            let ones: Vec<String> = ones
                .iter()
                .map(|(condition, count)| {
                    format!("without {} {}", name(*condition), drawn::words(*count))
                })
                .collect();
            ("", format!("loosen one of them: {}", ones.join("; ")))
        }
    };
    let sound = drawn::words(refusal.with_the_sound);
    let mut reason =
        format!("no word of {accent} is all of this; {sound} have the sound");
    if wish.sounds.is_empty() {
        reason = format!("no word of {accent} is all of this");
    }
    if !many.is_empty() {
        reason = format!("{reason}; {many}");
    }
    Failure::new(place, reason, remedy)
}

/// That an option makes the sound another one.
fn merged(wish: &Wish, sounds: &Sounds) -> Option<String> {
    let wanted: Vec<u16> = wish.sounds.iter().filter_map(SoundWish::phoneme).collect();
    let merger = sounds
        .mergers()
        .iter()
        .find(|it| wanted.contains(&it.from))?;
    Some(format!(
        "{} counts {} as {}: ask for {}, or take it back with --accent-option no-{}",
        merger.row.option,
        sounds.text(merger.from),
        sounds.text(merger.into),
        sounds.text(merger.into),
        merger.row.option
    ))
}

/// A condition as it was typed.
fn named(condition: Condition, arguments: &Words) -> String {
    let standing = &arguments.standing;
    match condition {
        Condition::Position => {
            let position = material::position(standing).unwrap_or_default();
            format!("--{}", position.name())
        }
        Condition::Part => {
            format!("--{}", material::part(standing).map_or("", |it| it.name()))
        }
        Condition::Cluster => match &arguments.cluster {
            Some(cluster) => format!("--cluster {}", visible(cluster)),
            None => "--in-cluster".to_owned(),
        },
        Condition::Stressed if standing.stressed => "--stressed".to_owned(),
        Condition::Stressed => "--unstressed".to_owned(),
        Condition::Syllables => "--syllables".to_owned(),
        Condition::Stress => "--stress".to_owned(),
        Condition::NoClusters => "--no-clusters".to_owned(),
        Condition::Without => "--without".to_owned(),
        Condition::Frequency => {
            format!("--at-least {}", arguments.material.at_least)
        }
    }
}
