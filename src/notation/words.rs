//! The words of a diagnostic: what is wrong, and what to type instead.

use std::borrow::Cow;
use std::fmt::{self, Display, Formatter, Write as _};

use unicode_properties::{GeneralCategory as G, UnicodeGeneralCategory as _};

use crate::diagnostic::{Code, Diagnostic, Subject};
use crate::inventory::{self, EntryKind, Status};

impl Diagnostic {
    /// What is wrong: lower case, no full stop, symbols quoted with code point and name.
    ///
    /// `text` is the text that was parsed.
    #[must_use]
    pub fn message(&self, text: &str) -> String {
        if let Subject::Words(words) = &self.subject {
            return words.0.clone();
        }
        if let Subject::Lookalike(id) = self.subject {
            let row = inventory::lookalike(id);
            let typed = quoted(row.input);
            return format!("{typed}: {}", row.reason);
        }
        let typed = quoted(self.span.of(text));
        match (&self.code, &self.subject) {
            (Code::DiacriticUnattached, Subject::Mark(id)) => {
                format!("the {} has no letter to sit on", mark(*id))
            }
            (Code::ModifierUnattached, Subject::Mark(id)) => {
                format!("the {} has no letter to belong to", mark(*id))
            }
            (
                Code::DiacriticUnattached | Code::DiacriticUnknown,
                Subject::Character(c),
            ) => {
                format!("{} is no diacritic of the IPA or extIPA", character(*c))
            }
            (Code::DiacriticOnModifier, Subject::Marks(a, b)) => {
                format!(
                    "the {} sits on the {}, not on the letter",
                    mark(*a),
                    mark(*b)
                )
            }
            (Code::DiacriticMisfit, Subject::MarkOn(a, letter)) => format!(
                "the {} does not fit {}, {}",
                mark(*a),
                letter_of(*letter),
                article(inventory::symbol(*letter).name)
            ),
            (Code::DiacriticRedundant, Subject::MarkOn(a, letter)) => format!(
                "the {} adds nothing: {} is {} already",
                mark(*a),
                letter_of(*letter),
                article(inventory::symbol(*letter).name)
            ),
            (Code::DiacriticDoubled, Subject::Marks(a, b)) if a == b => {
                format!("the {} stands here twice", mark(*a))
            }
            (Code::DiacriticDoubled, Subject::Marks(a, b)) => {
                format!("the {} and the {} say the same", mark(*a), mark(*b))
            }
            (Code::DiacriticsContradict, Subject::Marks(a, b)) => {
                format!("the {} contradicts the {}", mark(*b), mark(*a))
            }
            (Code::DiacriticsOdd, Subject::Marks(a, b)) => {
                format!("the {} hardly goes with the {}", mark(*b), mark(*a))
            }
            (Code::ToneMarksStacked, Subject::Marks(a, b)) => {
                format!("the {} is stacked on the {}", mark(*b), mark(*a))
            }
            (Code::DiacriticRetired, Subject::MarkOn(a, _)) => format!(
                "the mark {} ({}) is not on the current charts",
                shown(inventory::mark(*a).text),
                points(inventory::mark(*a).text)
            ),
            (Code::DiacriticStack, Subject::Count(n)) => {
                format!("{n} marks are piled on one letter")
            }
            (Code::LengthStack, Subject::Count(n)) => {
                format!("{n} length marks in a row")
            }
            (Code::LengthDoubled, _) => "two length marks: overlong".to_owned(),
            (Code::AirstreamsContradict, Subject::MarkOn(_, letter)) => format!(
                "the ejective mark contradicts {}, {}",
                letter_of(*letter),
                article(inventory::symbol(*letter).name)
            ),
            (Code::ArticulationImpossible, Subject::MarkOn(a, letter)) => {
                let why = inventory::shaded(*letter, inventory::mark(*a).kind)
                    .unwrap_or_default();
                format!("{} with the {} is {why}", letter_of(*letter), mark(*a))
            }
            (Code::DetailInBroad, Subject::MarkOn(a, _)) => {
                format!(
                    "the {} is a detail that a broad transcription does not carry",
                    mark(*a)
                )
            }
            (Code::TieUnattached, _) => format!("the tie {typed} joins nothing"),
            (Code::TieInterrupted, _) => {
                "something stands between the tie and the letter it should join"
                    .to_owned()
            }
            (Code::TieDoubled, Subject::Count(n)) => format!("{n} ties in one gap"),
            (Code::TieLookalike, _) => format!("{typed} is not a tie bar"),
            (Code::TieAfterModifier, Subject::Mark(id)) => {
                format!("the tie sits on the {}, not on the letter", mark(*id))
            }
            (Code::TieChain, Subject::Count(n)) => {
                format!("{n} letters are chained by ties")
            }
            (Code::StressUnattached, _) => {
                "the stress mark has no syllable after it".to_owned()
            }
            (Code::StressDoubled, _) => {
                "two stress marks stand before one syllable".to_owned()
            }
            (Code::StressRepeated, _) => "the stress mark is typed twice".to_owned(),
            (Code::StressBeforeVowel, _) => {
                "the stress mark stands before the vowel, not before the syllable"
                    .to_owned()
            }
            (Code::StressWithoutNucleus, _) => {
                "the stressed syllable has no vowel and no syllabic consonant".to_owned()
            }
            (Code::BracketUnclosed, Subject::Bracket(open)) => {
                let count = self.span.of(text).matches(open).count();
                if count > 1 && !open.is_empty() {
                    format!("`{open}` is opened {count} times and never closed")
                } else {
                    format!("`{open}` is never closed")
                }
            }
            (Code::BracketUnopened, Subject::Bracket(close)) => {
                format!("`{close}` was never opened")
            }
            (Code::BracketMismatched, Subject::Bracket(close)) => {
                format!("{typed} closes what needs `{close}`")
            }
            (Code::BracketEmpty, _) => format!("nothing stands between {typed}"),
            (Code::BracketNested, _) => {
                format!("{typed} opens a transcription inside another")
            }
            (Code::VoiceDegree, Subject::Character(c)) => {
                format!("`{c}` is no degree of a voice quality")
            }
            (Code::ToneUnattached, _) => "the tone letters have no syllable".to_owned(),
            (Code::ToneDetached, _) => {
                "a space stands between the syllable and its tone letters".to_owned()
            }
            (Code::ToneBeforeSyllable, _) => {
                "the tone letters stand before the word".to_owned()
            }
            (Code::ToneRunLong, Subject::Count(n)) => {
                format!("{n} tone letters in one run")
            }
            (Code::ToneOffChart, _) => {
                format!("{typed} is a tone notation outside the IPA")
            }
            (Code::StepUnattached, _) => "the step has no syllable after it".to_owned(),
            (Code::StepRepeated, _) => "the step mark is repeated".to_owned(),
            (Code::IntonationMisplaced, _) => {
                "the intonation sign ends its phrase".to_owned()
            }
            (Code::BreakTrailing, _) => {
                "no syllable follows the syllable break".to_owned()
            }
            (Code::BreakLeading, _) => {
                "no syllable stands before the syllable break".to_owned()
            }
            (Code::BreakUnattached, _) => {
                "a syllable break stands at a word boundary".to_owned()
            }
            (Code::BreakDoubled, _) => {
                "more than one syllable break in one gap".to_owned()
            }
            (Code::BreakRedundant, _) => {
                "the stress mark is a syllable break already".to_owned()
            }
            (Code::VoiceLabelMissing, _) => {
                "no label of voice or delivery stands inside the braces".to_owned()
            }
            (Code::FullStops, _) => format!("{typed} is a pause only as (...)"),
            (Code::LinkingUnattached, _) => "the linking mark links nothing".to_owned(),
            (Code::LinkingDoubled, _) => {
                "more than one linking mark in one gap".to_owned()
            }
            (Code::GroupAlone, _) => "there is nothing to group".to_owned(),
            (Code::SpaceAtEdge, _) => {
                "a space stands just inside the brackets".to_owned()
            }
            (Code::SpaceUnusual, _) => format!("{typed} is not the plain space"),
            (Code::PauseMalformed, Subject::Count(n)) => {
                format!("{n} full stops are no pause")
            }
            (Code::ReiterationUnattached, _) => {
                "the reiteration sign does not stand between two segments".to_owned()
            }
            (
                Code::LetterRetired
                | Code::LetterLigature
                | Code::LetterOffChart
                | Code::LetterWildcard,
                Subject::Symbol(id),
            ) => letter_message(*id),
            (Code::ClickOrGroup, _) => {
                format!("{typed} is a click, and stands where a group mark may be meant")
            }
            (Code::CompatibilityForm, Subject::Character(c)) => {
                format!(
                    "{} is a compatibility form of a plain letter",
                    character(*c)
                )
            }
            (Code::ControlCharacter, Subject::Character(c)) => {
                format!("a control character ({}) stands here", code_point(*c))
            }
            (Code::InvisibleCharacter, Subject::Character(c)) => {
                format!("an invisible character ({}) stands here", code_point(*c))
            }
            (Code::CharacterUnassigned, Subject::Character(c)) => {
                format!("{} is no assigned character", code_point(*c))
            }
            (Code::CharacterUnknown, Subject::Character(c)) => {
                format!("{} is no symbol of the IPA", character(*c))
            }
            (Code::DigitInText, _) => format!("{typed} are digits, not IPA letters"),
            (Code::Markup, _) => format!("{typed} is markup"),
            (Code::EscapeSequence, _) => format!("{typed} is an escape sequence"),
            (Code::Mojibake, _) => format!("{typed} was decoded with the wrong encoding"),
            (Code::VariantsListed, Subject::Character(c)) => {
                format!("`{c}` stands inside a transcription")
            }
            (Code::SpellingLike, _) => format!("{typed} looks like spelling"),
            (Code::TextLong, _) => {
                "a very long stretch without a space or a pause".to_owned()
            }
            (Code::TextEmpty, _) => "there is nothing to read".to_owned(),
            _ => format!("{typed}: {}", self.code.name().replace('-', " ")),
        }
    }

    /// What to type instead, or how to mend it.
    ///
    /// `text` is the text that was parsed.
    #[must_use]
    pub fn help(&self, text: &str) -> Option<Cow<'static, str>> {
        match (&self.code, &self.subject) {
            (_, Subject::Words(words)) => return words.1.clone().map(Cow::Owned),
            (_, Subject::Lookalike(id)) => return Some(lookalike_help(*id)),
            (Code::LetterWildcard, _) => {
                return Some(
                    "circle it (Ⓒ, Ⓥ) if the sound was heard but not identified".into(),
                );
            }
            (Code::DiacriticRetired, Subject::MarkOn(id, _)) => {
                return Some(inventory::mark(*id).source.into());
            }
            (Code::StressRepeated, _) => {
                return Some(
                    "type it once; extra strong stress is not on the chart".into(),
                );
            }
            (Code::BracketUnclosed, Subject::Bracket(open)) => {
                let close = inventory::brackets()
                    .iter()
                    .find(|bracket| bracket.open == *open)?;
                return Some(format!("close it with `{}`", close.close).into());
            }
            _ => {}
        }
        if let Some(replacement) = self.replacement() {
            return Some(if replacement.is_empty() {
                "leave it out".into()
            } else if replacement == " " {
                "type a plain space".into()
            } else {
                let points = points(replacement);
                if replacement.chars().count() <= 3 {
                    format!("type `{}` ({points})", shown(replacement)).into()
                } else {
                    format!("type `{}`", shown(replacement)).into()
                }
            });
        }
        let help = match self.code {
            Code::DiacriticUnattached => "type the letter first, then its diacritic",
            Code::ModifierUnattached => {
                "type the letter first, then the modifier or length mark"
            }
            Code::DiacriticMisfit => {
                "check the letter and the mark: one of them is not meant"
            }
            Code::DiacriticDoubled => "type it once",
            Code::DiacriticsContradict => "keep the one you heard",
            Code::DiacriticsOdd => "keep one of them unless both are really meant",
            Code::ToneMarksStacked => {
                "type one contour mark, or tone letters after the syllable"
            }
            Code::DiacriticUnknown => "see the chart for the marks that exist",
            Code::DiacriticStack => "keep the few marks that are meant",
            Code::LengthStack => "type ː once, or twice for overlong",
            Code::LengthDoubled => "one ː is enough for long",
            Code::AirstreamsContradict => "a sound is either ejective or implosive",
            Code::ArticulationImpossible => "write what was heard with another letter",
            Code::DetailInBroad => "write it in square brackets, or leave the detail out",
            Code::TieUnattached => "type the tie between the two letters it joins",
            Code::TieInterrupted => "type the tie directly before the letter it joins",
            Code::TieLookalike => "type U+0361 between the letters",
            Code::TieChain => "tie two letters, or three at most",
            Code::StressUnattached => "type ˈ or ˌ directly before the stressed syllable",
            Code::StressDoubled => "keep ˈ for primary or ˌ for secondary stress",
            Code::StressWithoutNucleus => "check where the stressed syllable begins",
            Code::BracketUnopened => "open it, or leave it out",
            Code::BracketEmpty => "type the transcription between them",
            Code::BracketNested => "use one pair; ⟦…⟧ for a very narrow transcription",
            Code::VoiceLabelMissing => "type a label after { and again before }",
            Code::VoiceDegree => "use 1 for slight, 2 for moderate, 3 for extreme",
            Code::ToneUnattached => "type the syllable first, then its tone",
            Code::ToneBeforeSyllable => "type the tone letters after their syllable",
            Code::ToneRunLong => "check that this is one syllable's tone",
            Code::ToneOffChart => {
                "write tone letters ˥ ˦ ˧ ˨ ˩; which end of a digit scale is high depends on the tradition"
            }
            Code::StepUnattached => "type it before the syllable that it moves",
            Code::StepRepeated => "type it once",
            Code::IntonationMisplaced => "type ↗ or ↘ before the phrase",
            Code::GroupAlone => "type the groups it separates",
            Code::FullStops => "type (...) for a long pause",
            Code::PauseMalformed => "type (.), (..), (...) or a time such as (2.3 s)",
            Code::ReiterationUnattached => "type it between the repeats: p\\p\\p",
            Code::CharacterUnknown | Code::CharacterUnassigned => {
                "type the IPA symbol that was meant"
            }
            Code::ClickOrGroup => {
                "type | (U+007C) or ‖ (U+2016) if a group mark is meant"
            }
            Code::DigitInText => "tone is written with tone letters ˥ ˦ ˧ ˨ ˩",
            Code::EscapeSequence => "type the character itself",
            Code::VariantsListed => {
                "use | or ‖ for groups, (.) for a pause; give each variant its own brackets"
            }
            Code::SpellingLike => {
                "type the sounds: [k] or [s] for c, [j] for y, [ks] for x"
            }
            Code::TextLong => "put spaces between words",
            Code::TextEmpty => "type a transcription",
            _ => return None,
        };
        let _ = text;
        Some(help.into())
    }
}

/// What to type instead of a lookalike: the one reading, or all of them to choose from.
fn lookalike_help(id: u16) -> Cow<'static, str> {
    let row = inventory::lookalike(id);
    match row.readings {
        [] => "type the IPA symbol that was meant".into(),
        [""] => "leave it out".into(),
        [" "] => "type a plain space".into(),
        [one] => format!("type {}{}", quoted(one), named(one)).into(),
        several => {
            let choices: Vec<String> = several
                .iter()
                .map(|reading| format!("{}{}", quoted(reading), named(reading)))
                .collect();
            format!("type what is meant: {}", choices.join(" or ")).into()
        }
    }
}

/// The name of a single letter, in front of which a comma goes.
fn named(text: &str) -> String {
    let symbol = inventory::symbols()
        .iter()
        .find(|symbol| symbol.text == text);
    symbol.map_or_else(String::new, |symbol| format!(", {}", symbol.name))
}

fn letter_message(id: u16) -> String {
    let symbol = inventory::symbol(id);
    let letter = letter_of(id);
    match symbol.status {
        Status::Ligature => format!("{letter} is a withdrawn ligature ({})", symbol.name),
        Status::OffChart => {
            format!(
                "{letter} is on no chart of the IPA ({}; {})",
                symbol.name, symbol.source
            )
        }
        Status::Wildcard => format!("{letter} is a wildcard for {}", symbol.name),
        _ => format!("{letter} was withdrawn ({})", symbol.name),
    }
}

/// "voiceless mark ◌̥ (U+0325)".
fn mark(id: u16) -> String {
    let mark = inventory::mark(id);
    let kind = mark.name;
    let noun = if kind.ends_with("tone") { "" } else { " mark" };
    format!("{kind}{noun} {} ({})", shown(mark.text), points(mark.text))
}

fn letter_of(id: u16) -> String {
    let text = inventory::symbol(id).text;
    format!("`{text}` ({})", points(text))
}

/// A name with its article.
fn article(name: &str) -> String {
    let vowel = name.starts_with(['a', 'e', 'i', 'o', 'u']);
    format!("{} {name}", if vowel { "an" } else { "a" })
}

/// A text in quotation marks with its code points, cut if long. Written only where a
/// message has it.
#[derive(Clone, Copy)]
struct Quoted<'a>(&'a str);

const fn quoted(text: &str) -> Quoted<'_> {
    Quoted(text)
}

impl Display for Quoted<'_> {
    fn fmt(&self, out: &mut Formatter<'_>) -> fmt::Result {
        let text = self.0;
        let count = text.chars().count();
        if count == 0 {
            return out.write_str("this");
        }
        let cut = text.char_indices().nth(20).filter(|_| count > 24);
        let kept = cut.map_or(text, |(end, _)| text.get(..end).unwrap_or_default());
        out.write_str("`")?;
        shown(kept).fmt(out)?;
        out.write_str(if cut.is_some() { "…`" } else { "`" })?;
        if count <= 3 && !text.is_ascii() || count == 1 {
            out.write_str(" (")?;
            points(text).fmt(out)?;
            out.write_str(")")?;
        }
        Ok(())
    }
}

/// A text that can be shown: a combining mark on a dotted circle, controls as their code
/// points.
struct Shown<'a>(&'a str);

const fn shown(text: &str) -> Shown<'_> {
    Shown(text)
}

impl Display for Shown<'_> {
    fn fmt(&self, out: &mut Formatter<'_>) -> fmt::Result {
        if self.0.chars().all(is_plain) {
            return out.write_str(self.0);
        }
        for (at, c) in self.0.chars().enumerate() {
            let category = c.general_category();
            if is_hidden(category) || category == G::SpaceSeparator && c != ' ' {
                write!(out, "⟨{}⟩", code_point(c))?;
                continue;
            }
            let mark = matches!(
                category,
                G::NonspacingMark | G::SpacingMark | G::EnclosingMark
            );
            if at == 0 && mark {
                out.write_char('◌')?;
            }
            out.write_char(c)?;
        }
        Ok(())
    }
}

/// Whether it is known without a look into the tables of Unicode that a character is shown
/// as it is.
fn is_plain(c: char) -> bool {
    use EntryKind as K;
    matches!(c, ' '..='~')
        || matches!(
            inventory::entry(c).kind,
            K::Letter
                | K::PrimaryStress
                | K::SecondaryStress
                | K::ToneLetter
                | K::ToneDigit
        )
}

const fn is_hidden(category: G) -> bool {
    matches!(
        category,
        G::Control
            | G::Format
            | G::LineSeparator
            | G::ParagraphSeparator
            | G::Unassigned
            | G::PrivateUse
    )
}

/// The code points of a text.
struct Points<'a>(&'a str);

const fn points(text: &str) -> Points<'_> {
    Points(text)
}

impl Display for Points<'_> {
    fn fmt(&self, out: &mut Formatter<'_>) -> fmt::Result {
        for (at, c) in self.0.chars().enumerate() {
            if at > 0 {
                out.write_str(" ")?;
            }
            code_point(c).fmt(out)?;
        }
        Ok(())
    }
}

struct CodePoint(char);

const fn code_point(c: char) -> CodePoint {
    CodePoint(c)
}

impl Display for CodePoint {
    fn fmt(&self, out: &mut Formatter<'_>) -> fmt::Result {
        write!(out, "U+{:04X}", u32::from(self.0))
    }
}

fn character(c: char) -> String {
    let mut room = [0; 4];
    let text = &*c.encode_utf8(&mut room);
    format!("`{}` ({})", shown(text), points(text))
}
