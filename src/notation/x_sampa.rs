//! X-SAMPA, the ASCII notation: to IPA and back.

use unicode_normalization::char::canonical_combining_class;

use super::converted::{Builder, Converted, Decomposed, exactly, keys, shown};
use crate::inventory::{self, X_SAMPA, X_SAMPA_FROM_IPA, X_SAMPA_GAPS};
use crate::text::Span;

/// The code that ties two letters; also how every mark code begins.
const TIE: &str = "_";
/// The code that keeps two codes apart and writes nothing.
const SEPARATOR: &str = "-";
/// The code that makes an implosive of the letter before it.
const IMPLOSIVE: &str = "_<";
/// How many marks after a letter a later combining mark passes to get to it.
const MARKS_PASSED: usize = 8;
/// How many codes back a new code may change the reading of: the most that the longest
/// code could take in.
const CODES_BACK: usize = 5;

/// Puts an X-SAMPA text into IPA.
///
/// The longest code wins, with three rules where that is not enough:
/// - `_` with what follows is a mark where a mark has that code, and a tie only elsewhere;
/// - but a mark code does not take the letter away from a backslash: `t_r\` is t͡ɹ;
/// - a combining mark typed after a raised one or a length mark moves up to its letter, as
///   a font needs it: `t_h_d` is t̪ʰ. The separator `-` keeps it where it is.
///
/// Square brackets, slashes, round brackets and white space pass through. What is no code
/// stays as it is, with a fault.
///
/// # Examples
///
/// ```
/// use apical::notation::x_sampa;
///
/// assert_eq!(x_sampa::to_ipa("\"b{t@`").text, "ˈbætɚ");
/// let odd = x_sampa::to_ipa("k;t");
/// assert_eq!(odd.text, "k;t");
/// assert_eq!(odd.faults[0].span.start, 1);
/// ```
///
/// # Source
/// Wells 1995, as tabled in `grammar/x_sampa.tsv`.
#[must_use]
pub fn to_ipa(text: &str) -> Converted {
    let mut builder = Builder::default();
    // Raised marks and length marks since the letter: what a combining mark moves past.
    let mut passed = 0;
    let mut at = 0;
    while let Some(next) = text.get(at..).and_then(|rest| rest.chars().next()) {
        let rest = text.get(at..).unwrap_or("");
        let Some((code, (ipa, on_letter))) = code_at(rest) else {
            let span = Span::new(at, at + next.len_utf8());
            builder.push(span, span.of(text));
            if !next.is_whitespace() {
                let (reason, help) = no_code(span.of(text));
                builder.fault(span, reason, help);
            }
            passed = 0;
            at = span.end;
            continue;
        };
        let span = Span::new(at, at + code.len());
        let combining = ipa
            .chars()
            .next()
            .is_some_and(|c| canonical_combining_class(c) != 0);
        if code == IMPLOSIVE {
            builder.push(span, code);
            builder.fault(
                span,
                "`_<` makes an implosive only of the plosive right before it".to_owned(),
                "put it right after its letter, before other marks",
            );
            passed = 0;
        } else if on_letter && combining {
            builder.insert(passed, span, ipa);
        } else {
            builder.push(span, ipa);
            passed = if on_letter && passed < MARKS_PASSED {
                passed + 1
            } else {
                0
            };
        }
        at = span.end;
    }
    builder.finish()
}

/// Puts an IPA text into X-SAMPA.
///
/// The result reads back as the same text up to canonical equivalence: where two codes
/// would run together, the separator `-` stands between them. A symbol without a code
/// stays as it is, with a fault that says what to write instead; so does a tie before a
/// letter that would make a mark of it, as `_m` is laminal.
///
/// # Examples
///
/// ```
/// use apical::notation::x_sampa;
///
/// assert_eq!(x_sampa::from_ipa("[ˈt͡ʃɜːt͡ʃ]").text, "[\"t_S3:t_S]");
/// let gap = x_sampa::from_ipa("ⱱa");
/// assert_eq!(gap.text, "ⱱa");
/// assert_eq!(gap.faults.len(), 1);
/// ```
///
/// # Source
/// Wells 1995, as tabled in `grammar/x_sampa.tsv`.
#[must_use]
pub fn from_ipa(text: &str) -> Converted {
    let typed = Decomposed::new(text);
    let mut writer = Writer::default();
    let mut at = 0;
    while let Some(next) = typed.rest(at).chars().next() {
        let rest = typed.rest(at);
        let found = keys(X_SAMPA_FROM_IPA, rest).next();
        let end = at + found.map_or(next.len_utf8(), |(ipa, _)| ipa.len());
        let source = typed.source(at, end);
        if let Some((ipa, code)) = found {
            writer.code(source, code, ipa);
        } else {
            let symbol = rest.get(..next.len_utf8()).unwrap_or("");
            writer.verbatim(source, symbol);
            if !next.is_whitespace() {
                let help = exactly(X_SAMPA_GAPS, symbol)
                    .map_or("X-SAMPA cannot write it: keep to IPA here", |(_, help)| {
                        help
                    });
                writer.builder.fault(
                    source,
                    format!("{} has no X-SAMPA code", shown(symbol)),
                    help,
                );
            }
        }
        at = end;
    }
    writer.builder.finish()
}

/// The code at the start of a text, what it stands for, and whether it is a mark on the
/// letter before it.
fn code_at(text: &str) -> Option<(&'static str, (&'static str, bool))> {
    keys(X_SAMPA, text).find(|(code, _)| !takes_letter_away(code, text))
}

/// Whether a mark code ends in the first half of a letter code, as `_r` does in `t_r\`.
fn takes_letter_away(code: &str, text: &str) -> bool {
    let mut ends = code.chars().rev();
    let (last, before) = (ends.next(), ends.next());
    let letter = last
        .zip(before)
        .filter(|(_, before)| *before == '_')
        .map(|(last, _)| last);
    letter.is_some_and(|letter| {
        text.get(code.len()..)
            .is_some_and(|rest| rest.starts_with('\\'))
            && exactly(X_SAMPA, &format!("{letter}\\")).is_some()
    })
}

/// What to say about something that is no X-SAMPA code.
fn no_code(text: &str) -> (String, String) {
    let help = match keys(X_SAMPA_FROM_IPA, text).next() {
        Some((_, code)) if !text.is_ascii() => format!("its code is `{code}`"),
        _ => "take it out, or write the code of the symbol meant".to_owned(),
    };
    (format!("{} is no X-SAMPA code", shown(text)), help)
}

/// What a mark is called on the chart, or the mark itself.
fn called(mark: &str) -> String {
    inventory::marks()
        .iter()
        .find(|known| known.text == mark)
        .map_or_else(
            || shown(mark),
            |known| format!("the mark for {}", known.name),
        )
}

/// A code that was written, as long as what follows may still change its reading.
#[derive(Debug)]
struct Written {
    text: String,
    /// The IPA it was written for.
    ipa: String,
    source: Span,
    /// Whether it is a code, and not a symbol that has none.
    code: bool,
    /// Whether it is a mark that stands after its letter.
    raised: bool,
}

/// Writes code after code so that each reads back as itself.
#[derive(Debug, Default)]
struct Writer {
    builder: Builder<'static>,
    last: Vec<Written>,
}

impl Writer {
    fn code(&mut self, source: Span, code: &'static str, ipa: &str) {
        // As the code reads, which need not be the form typed: ˕ is written as ◌̞ is.
        let (read, on_letter) =
            exactly(X_SAMPA, code).map_or((ipa, false), |(_, found)| found);
        let combining = read
            .chars()
            .next()
            .is_some_and(|c| canonical_combining_class(c) != 0);
        let after_raised = self.last.last().is_some_and(|last| last.raised);
        self.untie(code);
        if self.clashes(code) || (on_letter && combining && after_raised) {
            self.builder.push(source, format!("{SEPARATOR}{code}"));
            self.remember(Written {
                text: SEPARATOR.to_owned(),
                ipa: String::new(),
                source,
                code: true,
                raised: false,
            });
        } else {
            self.builder.push(source, code);
        }
        self.remember(Written {
            text: code.to_owned(),
            ipa: ipa.to_owned(),
            source,
            code: true,
            raised: on_letter && !combining,
        });
    }

    fn verbatim(&mut self, source: Span, symbol: &str) {
        self.untie(symbol);
        let separator = if self.clashes(symbol) { SEPARATOR } else { "" };
        self.builder.push(source, format!("{separator}{symbol}"));
        self.remember(Written {
            text: symbol.to_owned(),
            ipa: symbol.to_owned(),
            source,
            code: false,
            raised: false,
        });
    }

    /// Puts the tie back as typed where the code after it would make a mark of it.
    fn untie(&mut self, code: &str) {
        let Some(last) = self.last.last_mut() else {
            return;
        };
        if !last.code || last.text != TIE {
            return;
        }
        let both = format!("{TIE}{code}");
        let Some((mark, (ipa, _))) = code_at(&both).filter(|(mark, _)| *mark != TIE)
        else {
            return;
        };
        last.text.clone_from(&last.ipa);
        last.code = false;
        self.builder.replace(last.ipa.clone());
        self.builder.fault(
            last.source,
            format!(
                "the tie cannot be written before `{code}`: `{mark}` is {}",
                called(ipa)
            ),
            "leave the tie out, or keep to IPA here",
        );
    }

    /// Whether the next code would change how the ones before it read.
    fn clashes(&self, next: &str) -> bool {
        (0..self.last.len()).any(|first| {
            let tail = self.last.get(first..).unwrap_or(&[]);
            let text: String = tail
                .iter()
                .map(|last| last.text.as_str())
                .chain([next])
                .collect();
            tail.first().is_some_and(|written| {
                written.code
                    && code_at(&text)
                        .is_none_or(|(code, _)| code.len() != written.text.len())
            })
        })
    }

    fn remember(&mut self, written: Written) {
        if self.last.len() == CODES_BACK {
            self.last.remove(0);
        }
        self.last.push(written);
    }
}
