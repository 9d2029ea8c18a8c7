//! Reads pattern files and the notation of their rules.

use super::feature;
use super::segmental::{Neighbour, Segmental};
use super::sound::{Choice, Letter, Sound};
use super::syllabic::{Asked, Beat, Syllabic};
use super::{Example, Pattern, Rule};
use crate::alignment;
use crate::articulation;
use crate::notation::Transcription;

/// What is wrong with a pattern file, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The file and the line.
    pub place: String,
    /// What is wrong.
    pub reason: String,
    /// What to do about it.
    pub remedy: String,
}

const FIELDS: &str =
    "name, catches, class, rule, spelling, languages, source, allowed, match, differ";

/// Reads the patterns of a file; `file` is what to call it in a fault.
///
/// # Errors
///
/// All faults, in the order of the lines: an unknown field, a rule or an example that
/// cannot be read, a pattern without a name or a rule.
///
/// # Examples
///
/// ```
/// use apical::finding::pattern::parse;
///
/// let text = "name: th as t\nrule: θ → t / # _\nmatch: think | θɪŋk | tɪŋk\n";
/// let patterns = parse("mine.txt", text).unwrap();
/// assert_eq!(patterns[0].rules().collect::<Vec<_>>(), ["θ → t / # _"]);
///
/// let faults = parse("mine.txt", "name: x\nrule: θ → [+vocie]\n").unwrap_err();
/// assert_eq!(faults[0].place, "mine.txt:2");
/// assert!(faults[0].reason.contains("vocie"));
/// ```
pub fn parse(file: &str, text: &str) -> Result<Vec<Pattern>, Vec<Fault>> {
    let mut patterns: Vec<Pattern> = Vec::new();
    let mut faults = Vec::new();
    for (line, number) in text.trim_start_matches('\u{FEFF}').lines().zip(1..) {
        let place = format!("{file}:{number}");
        let line = line.trim();
        if line.is_empty() || line.starts_with('%') {
            continue;
        }
        let mut fault = |reason: String, remedy: &str| {
            faults.push(Fault {
                place: place.clone(),
                reason,
                remedy: remedy.to_owned(),
            });
        };
        let Some((field, value)) = line.split_once(':') else {
            fault(
                format!("a line without a field: “{line}”"),
                "write the name of a field, a colon and its value",
            );
            continue;
        };
        let (field, value) = (field.trim(), value.trim());
        if field == "name" {
            patterns.push(Pattern::new(value, &place));
            if value.is_empty() {
                fault(
                    "the name is empty".to_owned(),
                    "say what the pattern is called",
                );
            }
            continue;
        }
        let Some(pattern) = patterns.last_mut() else {
            fault(
                format!("`{field}` before any name"),
                "begin with a line `name: …`",
            );
            continue;
        };
        match field {
            "catches" => value.clone_into(&mut pattern.catches),
            "class" => value.clone_into(&mut pattern.class),
            "source" => value.clone_into(&mut pattern.source),
            "allowed" => pattern.counts_allowed = value == "yes",
            "languages" => pattern.languages = list(value, ','),
            "spelling" => {
                let endings = list(value, ' ');
                let bare = endings.iter().map(|it| it.trim_start_matches('-'));
                pattern.spelling = bare.map(str::to_owned).collect();
            }
            "rule" => match rule(value) {
                Ok(rule) => pattern.rules.push((value.to_owned(), rule)),
                Err((reason, remedy)) => fault(reason, &remedy),
            },
            "match" | "differ" => match example(value, &place) {
                Ok(example) if field == "match" => pattern.matches.push(example),
                Ok(example) => pattern.differs.push(example),
                Err(reason) => {
                    fault(reason, "write word | target | production");
                }
            },
            _ => fault(
                format!("unknown field `{field}`"),
                &format!("the fields are {FIELDS}"),
            ),
        }
    }
    for pattern in &patterns {
        let refused = faults.iter().any(|fault| fault.reason.starts_with("rule"));
        if pattern.rules.is_empty() && !refused {
            faults.push(Fault {
                place: pattern.place.clone(),
                reason: format!("the pattern “{}” has no rule", pattern.name),
                remedy: "add a line such as `rule: θ → t / # _`".to_owned(),
            });
        }
    }
    if faults.is_empty() {
        Ok(patterns)
    } else {
        Err(faults)
    }
}

impl Pattern {
    fn new(name: &str, place: &str) -> Self {
        Self {
            name: name.to_owned(),
            catches: String::new(),
            class: String::new(),
            languages: Vec::new(),
            source: String::new(),
            matches: Vec::new(),
            differs: Vec::new(),
            place: place.to_owned(),
            rules: Vec::new(),
            spelling: Vec::new(),
            counts_allowed: false,
        }
    }
}

fn list(value: &str, separator: char) -> Vec<String> {
    let items = value.split(separator).map(str::trim);
    items
        .filter(|it| !it.is_empty())
        .map(str::to_owned)
        .collect()
}

fn example(value: &str, place: &str) -> Result<Example, String> {
    // A pause in a transcription is a bar too: the first two bars part the cells.
    let mut cells = value.splitn(3, '|').map(str::trim);
    let (Some(word), Some(target), Some(production)) =
        (cells.next(), cells.next(), cells.next())
    else {
        return Err("an example has three parts".to_owned());
    };
    for text in [target, production] {
        let read = Transcription::parse(text);
        if !read.is_valid() || read.segments().next().is_none() {
            return Err(format!("the transcription “{text}” cannot be read"));
        }
    }
    Ok(Example {
        word: word.to_owned(),
        target: target.to_owned(),
        production: production.to_owned(),
        place: place.to_owned(),
    })
}

/// Why a rule cannot be read, and what to do about it.
pub(super) type Refusal = (String, String);

fn refused<T>(reason: &str, remedy: impl Into<String>) -> Result<T, Refusal> {
    Err((format!("rule: {reason}"), remedy.into()))
}

fn rule(text: &str) -> Result<Rule, Refusal> {
    const FORM: &str = "write A → B, or A → B / C _ D";
    let Some((from, rest)) = text.split_once('→').or_else(|| text.split_once("->"))
    else {
        return refused("there is no arrow", FORM);
    };
    let (to, context) = match rest.split_once('/') {
        Some((to, context)) => (to, Some(context)),
        None => (rest, None),
    };
    let (left, right) = match context {
        None => ("", ""),
        Some(context) => match context.split_once('_') {
            Some(sides) => sides,
            None => return refused("the context has no gap `_`", FORM),
        },
    };
    if right.contains('_') {
        return refused("the context has two gaps `_`", FORM);
    }
    for (side, name) in [(from, "before"), (to, "after")] {
        if side.trim().is_empty() {
            return refused(
                &format!("nothing stands {name} the arrow"),
                "write ∅ for nothing",
            );
        }
    }
    let [from, to, left, right] = [from, to, left, right].map(Tokens::of);
    let (from, to, mut left, right) = (from?, to?, left?, right?);
    left.reverse();
    let sides = [&from, &to, &left, &right];
    if sides.iter().any(|side| side.iter().any(Token::is_syllable)) {
        let [from, to, left, right] = sides.map(|side| beats(side));
        return Ok(Rule::Syllabic(Syllabic {
            from: from?,
            to: to?,
            left: left?,
            right: right?,
        }));
    }
    let from = choices(from)?;
    let to = choices(to)?;
    if from.is_empty() && to.is_empty() {
        return refused("nothing becomes nothing", FORM);
    }
    if let ([Choice::Set(one)], [Choice::Set(other)]) = (&from[..], &to[..])
        && one.len() > 1
        && one.len() != other.len()
    {
        return refused(
            &format!("{} sounds answer {}", other.len(), one.len()),
            "give both sets the same number of members, or write several rules",
        );
    }
    Ok(Rule::Segmental(Segmental {
        from,
        to,
        left: neighbours(left),
        right: neighbours(right),
    }))
}

/// One sound or class alone.
pub(super) fn one(text: &str) -> Result<Choice, Refusal> {
    const FORM: &str =
        "write one sound in IPA, a class such as C[+fricative], or several as {p, t, k}";
    let mut choices = choices(Tokens::of(text).map_err(unruled)?).map_err(unruled)?;
    match (choices.pop(), choices.is_empty()) {
        (Some(choice @ (Choice::Sound(_) | Choice::Set(_))), true) => Ok(choice),
        _ => Err((
            format!("`{text}` is not one sound or class"),
            FORM.to_owned(),
        )),
    }
}

/// The two sides of a rule A → B without context.
pub(super) fn change(text: &str) -> Result<(Choice, Choice), Refusal> {
    let sides = text.split_once('→').or_else(|| text.split_once("->"));
    let Some((from, to)) = sides else {
        return Err(("there is no arrow".to_owned(), "write A → B".to_owned()));
    };
    Ok((one(from)?, one(to)?))
}

/// A refusal of what is no rule.
fn unruled((reason, remedy): Refusal) -> Refusal {
    let bare = reason.strip_prefix("rule: ").map(str::to_owned);
    (bare.unwrap_or(reason), remedy)
}

/// A piece of a rule.
#[derive(Clone, Debug)]
enum Token {
    Choice(Choice),
    Optional(Choice),
    Far,
    Syllable(Asked, Option<u8>),
}

impl Token {
    const fn is_syllable(&self) -> bool {
        matches!(self, Self::Syllable(..))
    }
}

fn choices(tokens: Vec<Token>) -> Result<Vec<Choice>, Refusal> {
    let mut choices = Vec::new();
    for token in tokens {
        match token {
            Token::Choice(Choice::Nothing) => {}
            Token::Choice(Choice::WordEdge | Choice::SyllableEdge) => {
                return refused("an edge cannot change", "put # and . into the context");
            }
            Token::Choice(choice) => choices.push(choice),
            Token::Optional(_) | Token::Far | Token::Syllable(..) => {
                return refused(
                    "`(…)` and `…` stand in contexts only",
                    "write several rules",
                );
            }
        }
    }
    Ok(choices)
}

fn neighbours(tokens: Vec<Token>) -> Vec<Neighbour> {
    let one = |token| match token {
        Token::Choice(choice) => Neighbour::One(choice),
        Token::Optional(choice) => Neighbour::Optional(choice),
        Token::Far | Token::Syllable(..) => Neighbour::Far,
    };
    tokens.into_iter().map(one).collect()
}

fn beats(tokens: &[Token]) -> Result<Vec<Beat>, Refusal> {
    let mut beats = Vec::new();
    for token in tokens {
        match token {
            Token::Syllable(asked, number) => beats.push(Beat::Syllable(*asked, *number)),
            Token::Choice(Choice::WordEdge) => beats.push(Beat::WordEdge),
            Token::Choice(Choice::Nothing) => {}
            _ => {
                return refused(
                    "syllables and sounds in one rule",
                    "write σ throughout, or sounds throughout",
                );
            }
        }
    }
    Ok(beats)
}

/// Reads the pieces of one side of a rule.
struct Tokens<'t> {
    rest: &'t str,
}

/// What cannot be part of a sound.
const SIGNS: &[char] = &[
    ' ', '\t', '{', '}', '[', ']', '(', ')', ',', '#', '.', '…', '∅', '|', 'σ', 'ˈ', 'ˌ',
    '~',
];

impl<'t> Tokens<'t> {
    fn of(text: &'t str) -> Result<Vec<Token>, Refusal> {
        let mut tokens = Self { rest: text };
        let mut all = Vec::new();
        while let Some(token) = tokens.next()? {
            all.push(token);
        }
        Ok(all)
    }

    fn skip(&mut self) {
        self.rest = self.rest.trim_start();
    }

    fn take(&mut self, sign: char) -> bool {
        let rest = self.rest.strip_prefix(sign);
        self.rest = rest.unwrap_or(self.rest);
        rest.is_some()
    }

    fn next(&mut self) -> Result<Option<Token>, Refusal> {
        self.skip();
        if self.rest.is_empty() {
            return Ok(None);
        }
        if self.take('…') {
            return Ok(Some(Token::Far));
        }
        if self.take('(') {
            let choice = self.choice()?;
            self.skip();
            if !self.take(')') {
                return refused("`(` is never closed", "close it with )");
            }
            return Ok(Some(Token::Optional(choice)));
        }
        let asked = if self.rest.starts_with("ˈσ") {
            Some((Asked::Primary, "ˈσ"))
        } else if self.rest.starts_with("ˌσ") {
            Some((Asked::Secondary, "ˌσ"))
        } else if self.rest.starts_with("σ[-stress]") {
            Some((Asked::Unstressed, "σ[-stress]"))
        } else if self.rest.starts_with('σ') {
            Some((Asked::NotPrimary, "σ"))
        } else {
            None
        };
        if let Some((asked, text)) = asked {
            self.rest = self.rest.strip_prefix(text).unwrap_or_default();
            return Ok(Some(Token::Syllable(asked, self.number())));
        }
        Ok(Some(Token::Choice(self.choice()?)))
    }

    /// A small number.
    fn number(&mut self) -> Option<u8> {
        let digit = self.rest.chars().next()?;
        let number = match digit {
            '₁' => 1,
            '₂' => 2,
            '₃' => 3,
            _ => return None,
        };
        self.rest = self.rest.strip_prefix(digit)?;
        Some(number)
    }

    fn choice(&mut self) -> Result<Choice, Refusal> {
        self.skip();
        for (sign, choice) in [
            ('#', Choice::WordEdge),
            ('.', Choice::SyllableEdge),
            ('∅', Choice::Nothing),
            ('|', Choice::Pause),
        ] {
            if self.take(sign) {
                return Ok(choice);
            }
        }
        if self.take('{') {
            let mut all = Vec::new();
            loop {
                all.push(self.choice()?);
                self.skip();
                if self.take('}') {
                    return Ok(Choice::Set(all));
                }
                if !self.take(',') {
                    return refused(
                        "`{` is never closed",
                        "put the members between { and }, parted by commas",
                    );
                }
            }
        }
        let end = self.rest.find(|c| SIGNS.contains(&c));
        let end = end.unwrap_or(self.rest.len());
        let (text, rest) = self.rest.split_at_checked(end).unwrap_or((self.rest, ""));
        if text.is_empty() && !rest.starts_with('[') {
            let sign: String = rest.chars().take(1).collect();
            return refused(&format!("`{sign}` is out of place"), "leave it out");
        }
        self.rest = rest;
        let (letter, number) = letter(text)?;
        let mut sound = Sound {
            letter,
            matrix: Vec::new(),
            number,
            alpha: false,
        };
        if self.take('[') {
            self.matrix(&mut sound)?;
            sound.number = sound.number.or_else(|| self.number());
        }
        Ok(Choice::Sound(sound))
    }

    /// The features up to the closing bracket.
    fn matrix(&mut self, sound: &mut Sound) -> Result<(), Refusal> {
        let Some((inside, rest)) = self.rest.split_once(']') else {
            return refused("`[` is never closed", "close it with ]");
        };
        self.rest = rest;
        for one in inside.split(',').map(str::trim) {
            if one == "αplace" {
                sound.alpha = true;
                continue;
            }
            let minus = one.strip_prefix(['-', '−']);
            let name = minus.unwrap_or_else(|| one.strip_prefix('+').unwrap_or(one));
            let Some(feature) = feature::named(name.trim()) else {
                let all: Vec<&str> = feature::names().collect();
                return refused(
                    &format!("unknown feature `{name}`"),
                    format!("the features are {}", all.join(", ")),
                );
            };
            sound.matrix.push((minus.is_none(), feature));
        }
        Ok(())
    }
}

/// A class, or a sound of the alphabet, with the small number behind it.
fn letter(text: &str) -> Result<(Letter, Option<u8>), Refusal> {
    if text.is_empty() {
        return Ok((Letter::Any, None));
    }
    let mut tail = Tokens { rest: text };
    let class = [
        ('C', Letter::Consonant),
        ('V', Letter::Vowel),
        ('N', Letter::Nasal),
        ('T', Letter::Tone),
    ];
    for (sign, letter) in class {
        if tail.take(sign) {
            let number = tail.number();
            if tail.rest.is_empty() {
                return Ok((letter, number));
            }
            break;
        }
    }
    let bare = text.trim_end_matches(['₁', '₂', '₃']);
    let number = Tokens {
        rest: text.strip_prefix(bare).unwrap_or_default(),
    }
    .number();
    let read = Transcription::parse(bare);
    let bundles: Vec<_> = read
        .segments()
        .map(|it| articulation::bundle(&it))
        .collect();
    match alignment::whole(&bundles) {
        Some(bundle) if read.is_valid() => Ok((Letter::Sound(bundle), number)),
        _ => refused(
            &format!("`{text}` is no sound and no class"),
            "write one sound in IPA, or C, V, N, T; part sounds by blanks",
        ),
    }
}
