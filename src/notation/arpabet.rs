//! ARPABET, the notation of English pronouncing dictionaries: to IPA and back.

use unicode_properties::{GeneralCategory, UnicodeGeneralCategory};

use super::converted::{Builder, Converted, Decomposed, exactly, keys, shown};
use crate::inventory::{ARPABET, ARPABET_FROM_IPA, CORE_ONSETS};
use crate::text::Span;

/// No onset of English is longer, in sounds.
const LONGEST_ONSET: usize = 3;

/// Puts an ARPABET text into IPA.
///
/// Phones stand a space apart, in capitals; `#` stands between words, `|` between groups,
/// `.` or `-` between syllables. Square brackets and slashes pass through. The digit on a
/// vowel, 1 or 2, becomes a stress mark before its syllable: the syllable begins with as
/// many consonants as an English word can begin with. `AH0` is ə and `ER0` is ɚ. What is
/// no phone stays as it is, with a fault.
///
/// # Examples
///
/// ```
/// use apical::notation::arpabet;
///
/// assert_eq!(arpabet::to_ipa("EH0 K S T R IY1 M").text, "ɛkˈstɹim");
/// let odd = arpabet::to_ipa("K QQ T");
/// assert_eq!(odd.text, "kQQt");
/// assert_eq!(odd.faults.len(), 1);
/// ```
///
/// # Source
/// The phone set of the CMU Pronouncing Dictionary and the original ARPABET, as tabled in
/// `grammar/arpabet.tsv`; onsets in `grammar/accents/en-US/onsets.tsv`.
#[must_use]
pub fn to_ipa(text: &str) -> Converted {
    let mut builder = Builder::default();
    let mut word = Vec::new();
    for (span, sort) in tokens(text) {
        match sort {
            Sort::Space => word.push(Token::nothing(span)),
            Sort::Layout => {
                speak(&mut builder, &mut word);
                builder.push(span, span.of(text));
            }
            Sort::Chunk => match phone(span.of(text), span) {
                Ok(Phone {
                    kind: "boundary",
                    ipa,
                    ..
                }) => {
                    speak(&mut builder, &mut word);
                    let result = if ipa == " " {
                        ipa.to_owned()
                    } else {
                        format!(" {ipa} ")
                    };
                    builder.push(span, result);
                }
                Ok(phone) => word.push(Token::phone(phone)),
                Err((reason, help)) => {
                    builder.fault(span, reason, help);
                    word.push(Token::unknown(span, span.of(text)));
                }
            },
        }
    }
    speak(&mut builder, &mut word);
    builder.finish()
}

/// Puts an IPA text into ARPABET.
///
/// Affricates and diphthongs are read tied or not, ə˞ as ɚ, r as ɹ. The vowel of a
/// stressed syllable gets the digit 1 or 2, the others of its word 0; a word without
/// stress marks gets no digits but those that tell ə from ʌ and ɚ from ɝ, for nothing is
/// known about its stress. Where in the word the mark stood is not kept: ARPABET has no
/// place for it. A symbol without a phone stays as it is, with a fault.
///
/// # Examples
///
/// ```
/// use apical::notation::arpabet;
///
/// assert_eq!(arpabet::from_ipa("əˈbaʊt").text, "AH0 B AW1 T");
/// let odd = arpabet::from_ipa("bʏt");
/// assert_eq!(odd.text, "B ʏ T");
/// assert_eq!(odd.faults.len(), 1);
/// ```
///
/// # Source
/// As for [`to_ipa`].
#[must_use]
pub fn from_ipa(text: &str) -> Converted {
    let typed = Decomposed::new(text);
    let mut spelling = Spelling::default();
    let mut at = 0;
    while let Some(next) = typed.rest(at).chars().next() {
        let rest = typed.rest(at);
        let blank = rest.len() - rest.trim_start().len();
        let found = keys(ARPABET_FROM_IPA, rest).next().filter(|_| blank == 0);
        let length = found.map_or(blank.max(next.len_utf8()), |(ipa, _)| ipa.len());
        let source = typed.source(at, at + length);
        let this = rest.get(..length).unwrap_or("");
        if let Some((_, (code, unstressed))) = found {
            spelling.code(source, code, unstressed);
        } else if blank > 0 {
            spelling.blank(source, this, rest.get(length..).unwrap_or(""));
        } else if let Some(digit) = digit_of(next) {
            spelling.stress(source, this, digit);
        } else {
            spelling.unknown(source, this);
        }
        at += length;
    }
    spelling.end_word();
    spelling.builder.finish()
}

/// Whether a chunk between spaces is a phone, with or without its stress digit.
#[must_use]
pub fn is_phone(chunk: &str) -> bool {
    phone(chunk, Span::default())
        .is_ok_and(|phone| matches!(phone.kind, "vowel" | "syllabic" | "consonant"))
}

/// The stress digit of a stress mark.
const fn digit_of(mark: char) -> Option<char> {
    match mark {
        'ˈ' => Some('1'),
        'ˌ' => Some('2'),
        _ => None,
    }
}

/// The stress mark of a stress digit; 0 has none.
const fn mark_of(digit: char) -> Option<&'static str> {
    match digit {
        '1' => Some("ˈ"),
        '2' => Some("ˌ"),
        _ => None,
    }
}

/// What a stretch of an ARPABET text is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sort {
    /// What white space keeps apart.
    Chunk,
    /// White space between chunks.
    Space,
    /// Brackets, line breaks, and white space beside them or at an end of the text.
    Layout,
}

/// Cuts an ARPABET text.
fn tokens(text: &str) -> Vec<(Span, Sort)> {
    let sort_of = |c: char| match c {
        '[' | ']' | '/' | '\n' | '\r' => Sort::Layout,
        c if c.is_whitespace() => Sort::Space,
        _ => Sort::Chunk,
    };
    let mut all: Vec<(Span, Sort)> = Vec::new();
    for (at, c) in text.char_indices() {
        let (span, sort) = (Span::new(at, at + c.len_utf8()), sort_of(c));
        match all.last_mut() {
            Some((last, same)) if *same == sort && sort != Sort::Layout => {
                last.end = span.end;
            }
            _ => all.push((span, sort)),
        }
    }
    let edges: Vec<bool> = (0..all.len())
        .map(|at| {
            let beside = |at: Option<usize>| {
                at.and_then(|at| all.get(at))
                    .is_none_or(|(_, sort)| *sort == Sort::Layout)
            };
            beside(at.checked_sub(1)) || beside(at.checked_add(1))
        })
        .collect();
    for ((_, sort), edge) in all.iter_mut().zip(edges) {
        if edge && *sort == Sort::Space {
            *sort = Sort::Layout;
        }
    }
    all
}

/// A chunk that is in the table.
#[derive(Clone, Copy, Debug)]
struct Phone {
    code: Span,
    ipa: &'static str,
    kind: &'static str,
    /// The stress mark its digit asks for, and the digit.
    stress: Option<(Span, &'static str)>,
}

/// Looks a chunk up, with its digit and without; else what is wrong and what to type.
fn phone(chunk: &str, span: Span) -> Result<Phone, (String, &'static str)> {
    if let Some((_, (ipa, kind))) = exactly(ARPABET, chunk) {
        return Ok(Phone {
            code: span,
            ipa,
            kind,
            stress: None,
        });
    }
    let mut shorter = chunk.chars();
    let digit = shorter
        .next_back()
        .filter(|digit| matches!(digit, '0'..='2'));
    let known =
        digit.and_then(|digit| Some((digit, exactly(ARPABET, shorter.as_str())?)));
    match known {
        Some((digit, (code, (ipa, kind @ ("vowel" | "syllabic"))))) => {
            let end = span.start + code.len();
            let mark = mark_of(digit);
            Ok(Phone {
                code: Span::new(span.start, if mark.is_some() { end } else { span.end }),
                ipa,
                kind,
                stress: mark.map(|mark| (Span::new(end, span.end), mark)),
            })
        }
        Some((_, (code, _))) => Err((
            format!("`{code}` is a consonant and bears no stress"),
            "put the digit on the vowel",
        )),
        None => Err((
            format!("{} is no ARPABET phone", shown(chunk)),
            "write the phones in capitals, a space apart",
        )),
    }
}

/// One part of a word on its way to IPA.
#[derive(Clone, Copy, Debug)]
struct Token<'t> {
    source: Span,
    result: &'t str,
    role: Role,
    stress: Option<(Span, &'static str)>,
}

/// What a part of a word does in a syllable.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Role {
    Nucleus,
    Consonant,
    /// A syllable starts after it.
    Break,
    /// Belongs to what stands before it, or writes nothing.
    Attached,
    /// Not a phone.
    Unknown,
}

impl<'t> Token<'t> {
    fn nothing(source: Span) -> Self {
        Self {
            source,
            result: "",
            role: Role::Attached,
            stress: None,
        }
    }

    fn phone(phone: Phone) -> Self {
        let role = match phone.kind {
            "vowel" | "syllabic" => Role::Nucleus,
            "consonant" => Role::Consonant,
            _ => Role::Break,
        };
        Self {
            source: phone.code,
            result: phone.ipa,
            role,
            stress: phone.stress,
        }
    }

    fn unknown(source: Span, result: &'t str) -> Self {
        let mark = result.chars().all(|c| {
            !c.is_ascii()
                && matches!(
                    c.general_category(),
                    GeneralCategory::ModifierLetter
                        | GeneralCategory::ModifierSymbol
                        | GeneralCategory::NonspacingMark
                )
        });
        let role = if mark { Role::Attached } else { Role::Unknown };
        Self {
            source,
            result,
            role,
            stress: None,
        }
    }
}

/// Writes a word in IPA, each stress mark before the onset of its syllable.
fn speak<'t>(builder: &mut Builder<'t>, word: &mut Vec<Token<'t>>) {
    let mut marks: Vec<(usize, (Span, &'static str))> = word
        .iter()
        .enumerate()
        .filter_map(|(at, token)| Some((syllable_start(word, at), token.stress?)))
        .collect();
    marks.reverse();
    for (at, token) in word.drain(..).enumerate() {
        while marks.last().is_some_and(|(before, _)| *before <= at) {
            if let Some((_, (digit, mark))) = marks.pop() {
                builder.push(digit, mark);
            }
        }
        builder.push(token.source, token.result);
    }
}

/// Where the syllable of a nucleus begins: after a break, at the start of the word, or
/// else as many consonants back as can begin an English word.
fn syllable_start(word: &[Token<'_>], nucleus: usize) -> usize {
    let mut onset = Vec::new();
    let mut free = true;
    for (at, token) in word.iter().enumerate().take(nucleus).rev() {
        match token.role {
            Role::Consonant => onset.push((at, token.result)),
            Role::Attached => {}
            Role::Break => break,
            Role::Nucleus | Role::Unknown => {
                free = false;
                break;
            }
        }
    }
    if free {
        return onset.last().map_or(nucleus, |(at, _)| *at);
    }
    (1..=LONGEST_ONSET.min(onset.len()))
        .rev()
        .filter_map(|length| onset.get(..length))
        .find(|sounds| {
            let sounds: Vec<&str> =
                sounds.iter().rev().map(|(_, sound)| *sound).collect();
            CORE_ONSETS
                .binary_search(&sounds.join(" ").as_str())
                .is_ok()
        })
        .and_then(<[_]>::last)
        .map_or(nucleus, |(at, _)| *at)
}

/// One part of a word on its way to ARPABET.
#[derive(Debug)]
enum Sound {
    /// A code, its code when unstressed, and the stress put on it.
    Code(
        Span,
        &'static str,
        Option<&'static str>,
        Option<(Span, char)>,
    ),
    /// Written as it is.
    Plain(Span, String),
    /// A stress mark whose digit stands on its vowel.
    Moved,
}

/// Spells word after word.
#[derive(Debug, Default)]
struct Spelling {
    builder: Builder<'static>,
    word: Vec<Sound>,
    /// A stress mark whose vowel has not come yet: its place in the word and its digit.
    pending: Option<(usize, char)>,
    stressed: bool,
    /// Whether the next code needs a space before it.
    apart: bool,
    /// Whether a group mark was just written.
    after_group: bool,
}

impl Spelling {
    fn code(
        &mut self,
        source: Span,
        code: &'static str,
        unstressed: Option<&'static str>,
    ) {
        let kind = exactly(ARPABET, code).map_or("", |(_, (_, kind))| kind);
        match kind {
            "boundary" => {
                self.end_word();
                self.write(source, code);
                self.after_group = true;
                return;
            }
            "bracket" => {
                self.end_word();
                self.apart = false;
                self.write(source, code);
                self.apart = false;
            }
            "vowel" | "syllabic" => {
                let stress = self.pending.take().and_then(|(at, digit)| {
                    match std::mem::replace(self.word.get_mut(at)?, Sound::Moved) {
                        Sound::Plain(mark, _) => Some((mark, digit)),
                        _ => None,
                    }
                });
                self.stressed |= stress.is_some();
                self.word
                    .push(Sound::Code(source, code, unstressed, stress));
            }
            _ => self.word.push(Sound::Code(source, code, unstressed, None)),
        }
        self.after_group = false;
    }

    /// White space: `#` between words, nothing beside a group mark, itself beside brackets.
    fn blank(&mut self, source: Span, text: &str, rest: &str) {
        let edge = !self.apart && self.word.is_empty();
        self.end_word();
        if rest.starts_with('|') || self.after_group {
            self.builder.push(source, "");
        } else if edge
            || rest.is_empty()
            || rest.starts_with(['[', ']', '/'])
            || text.contains('\n')
        {
            self.builder.push(source, text.to_owned());
            self.apart = false;
        } else {
            self.write(source, "#");
        }
    }

    fn stress(&mut self, source: Span, mark: &str, digit: char) {
        self.drop_pending();
        self.pending = Some((self.word.len(), digit));
        self.word.push(Sound::Plain(source, mark.to_owned()));
        self.after_group = false;
    }

    fn unknown(&mut self, source: Span, symbol: &str) {
        self.builder.fault(
            source,
            format!("{} has no ARPABET phone", shown(symbol)),
            "write the nearest English phone, or keep to IPA here",
        );
        self.word.push(Sound::Plain(source, symbol.to_owned()));
        self.after_group = false;
    }

    /// A stress mark that no vowel followed.
    fn drop_pending(&mut self) {
        let lost = self.pending.take().and_then(|(at, _)| self.word.get(at));
        if let Some(Sound::Plain(mark, text)) = lost {
            let reason =
                format!("{} has no vowel after it to bear the stress", shown(text));
            self.builder
                .fault(*mark, reason, "put it before a syllable");
        }
    }

    fn end_word(&mut self) {
        self.drop_pending();
        let mut sounds = std::mem::take(&mut self.word).into_iter().peekable();
        while let Some(sound) = sounds.next() {
            match sound {
                Sound::Moved => {}
                Sound::Plain(source, text) => self.write(source, &text),
                Sound::Code(source, code, _, Some((mark, digit))) => {
                    let precomposed = matches!(
                        sounds.peek(),
                        Some(Sound::Plain(next, _)) if next.start < source.end
                    );
                    if precomposed {
                        // Its own mark follows and must join it: the digit cannot part them.
                        self.builder.push(mark, "");
                        self.write(source, &format!("{code}{digit}"));
                    } else {
                        self.write(source, code);
                        self.builder.push(mark, digit.to_string());
                    }
                }
                Sound::Code(source, code, unstressed, None) => {
                    let code = unstressed
                        .map_or_else(|| self.without_stress(code), str::to_owned);
                    self.write(source, &code);
                }
            }
        }
        self.stressed = false;
    }

    /// A vowel without a stress mark: digit 0 where another vowel of the word has one,
    /// unless the digit would make another sound of it, as it makes ə of `AH`.
    fn without_stress(&self, code: &str) -> String {
        let vowel = exactly(ARPABET, code).is_some_and(|(_, (_, kind))| kind == "vowel");
        let zero = format!("{code}0");
        if vowel && self.stressed && exactly(ARPABET, &zero).is_none() {
            zero
        } else {
            code.to_owned()
        }
    }

    fn write(&mut self, source: Span, code: &str) {
        let space = if self.apart { " " } else { "" };
        self.builder.push(source, format!("{space}{code}"));
        self.apart = true;
    }
}
