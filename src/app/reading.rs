//! From the bytes that came in to a transcription that has been judged, with every place
//! traced back to those bytes.

use super::arguments::Alphabet;
use crate::accent::Accent;
use crate::diagnostic::{Code, Diagnostic, Severity};
use crate::notation::Transcription;
use crate::notation::{Converted, arpabet, x_sampa};
use crate::report::{Fault, Label};
use crate::text::Span;

/// How texts are read: the notation they are typed in, the accent they are judged by.
#[derive(Clone, Copy, Debug)]
pub struct Manner {
    /// The notation.
    pub alphabet: Alphabet,
    /// The accent, if any.
    pub accent: Option<&'static Accent>,
}

/// A stretch of one text and the stretch of another that it stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Piece {
    here: Span,
    there: Span,
}

/// Which text the span of a diagnostic is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Home {
    /// The text as it is shown.
    Shown,
    /// The text that was parsed.
    Parsed,
}

/// A text as it was typed, read and judged. Its buffers are used again by the next one.
#[derive(Debug)]
pub struct Reading {
    manner: Manner,
    /// The text as it is shown: what was given, ill-formed bytes replaced.
    shown: String,
    /// Where bytes were replaced: the place in the text shown, the place in what was given.
    replaced: Vec<Piece>,
    /// Stretches of the parsed text and what they were typed as; empty where the input is
    /// in the alphabet already.
    typed: Vec<Piece>,
    /// What was found by others than the parser, by its place in the text shown.
    extra: Vec<(Span, Home, Diagnostic)>,
    transcription: Transcription,
}

impl Reading {
    /// A reader of texts typed in one manner.
    #[must_use]
    pub fn new(manner: Manner) -> Self {
        Self {
            manner,
            shown: String::new(),
            replaced: Vec::new(),
            typed: Vec::new(),
            extra: Vec::new(),
            transcription: Transcription::default(),
        }
    }

    /// Reads and judges the next text.
    pub fn read(&mut self, given: &[u8]) {
        self.extra.clear();
        self.typed.clear();
        self.decode(given);
        match self.manner.alphabet {
            Alphabet::Ipa => self.transcription.reparse(&self.shown),
            Alphabet::XSampa => self.take(x_sampa::to_ipa(&self.shown)),
            Alphabet::Arpabet => self.take(arpabet::to_ipa(&self.shown)),
        }
        if let Some(accent) = self.manner.accent {
            for diagnostic in accent.judge(&self.transcription) {
                let shown = traced(&self.typed, diagnostic.span);
                self.extra.push((shown, Home::Parsed, diagnostic));
            }
        }
        self.extra.sort_by_key(|(shown, ..)| *shown);
    }

    /// Makes text of bytes; ill-formed ones become replacement characters and a fault a run.
    fn decode(&mut self, given: &[u8]) {
        self.shown.clear();
        self.replaced.clear();
        let mut at = 0;
        for chunk in given.utf8_chunks() {
            self.shown.push_str(chunk.valid());
            at += chunk.valid().len();
            let bad = chunk.invalid();
            if bad.is_empty() {
                continue;
            }
            let here = self.shown.len();
            self.shown.push(char::REPLACEMENT_CHARACTER);
            let here = Span::new(here, self.shown.len());
            let there = Span::new(at, at + bad.len());
            at += bad.len();
            match self.replaced.last_mut() {
                Some(last) if last.here.end == here.start => {
                    last.here.end = here.end;
                    last.there.end = there.end;
                }
                _ => self.replaced.push(Piece { here, there }),
            }
        }
        let utf_16 = given.starts_with(&[0xFF, 0xFE]) || given.starts_with(&[0xFE, 0xFF]);
        for piece in &self.replaced {
            let bytes = given
                .get(piece.there.start..piece.there.end)
                .unwrap_or_default();
            let diagnostic = ill_formed(bytes, piece.here, utf_16);
            self.extra.push((piece.here, Home::Shown, diagnostic));
        }
    }

    /// Takes over what came of a conversion.
    fn take(&mut self, converted: Converted) {
        self.typed = converted
            .pieces
            .iter()
            .map(|piece| Piece {
                here: piece.to,
                there: piece.from,
            })
            .collect();
        for diagnostic in converted.faults {
            if !self.is_replaced(diagnostic.span) {
                self.extra.push((diagnostic.span, Home::Shown, diagnostic));
            }
        }
        self.transcription.reparse(&converted.text);
    }

    /// The text as it is shown.
    #[must_use]
    pub fn shown(&self) -> &str {
        &self.shown
    }

    /// The text in the alphabet, where it was typed in another notation.
    #[must_use]
    pub fn ipa(&self) -> Option<&str> {
        (self.manner.alphabet != Alphabet::Ipa).then(|| self.transcription.text())
    }

    /// What the text says.
    #[must_use]
    pub fn transcription(&self) -> &Transcription {
        &self.transcription
    }

    /// The place in what was given of a place in the transcription's text.
    #[must_use]
    pub fn given(&self, parsed: Span) -> Span {
        traced(&self.replaced, traced(&self.typed, parsed))
    }

    /// Whether a place in the text shown is nothing but replaced bytes.
    fn is_replaced(&self, shown: Span) -> bool {
        self.replaced
            .iter()
            .any(|piece| piece.here.start <= shown.start && shown.end <= piece.here.end)
    }

    /// Everything that was found, in the order of the text shown.
    fn found(&self) -> impl Iterator<Item = (Span, Home, &Diagnostic)> {
        let mut parsed = self
            .transcription
            .diagnostics()
            .iter()
            .map(|diagnostic| {
                (
                    traced(&self.typed, diagnostic.span),
                    Home::Parsed,
                    diagnostic,
                )
            })
            .filter(|(shown, ..)| !self.is_replaced(*shown))
            .peekable();
        let mut extra = self
            .extra
            .iter()
            .map(|(shown, home, diagnostic)| (*shown, *home, diagnostic))
            .peekable();
        std::iter::from_fn(move || match (parsed.peek(), extra.peek()) {
            (Some((first, ..)), Some((second, ..))) if first.start <= second.start => {
                parsed.next()
            }
            (_, Some(_)) => extra.next(),
            (_, None) => parsed.next(),
        })
    }

    /// Everything wrong, in text order, put into words one at a time.
    pub fn faults(&self) -> impl Iterator<Item = Fault> {
        self.found()
            .map(|(shown, home, diagnostic)| self.worded(shown, home, diagnostic))
    }

    fn worded(&self, shown: Span, home: Home, diagnostic: &Diagnostic) -> Fault {
        let text = match home {
            Home::Shown => self.shown.as_str(),
            Home::Parsed => self.transcription.text(),
        };
        let related = diagnostic.related.map(|span| {
            let shown = match home {
                Home::Shown => span,
                Home::Parsed => traced(&self.typed, span),
            };
            Label {
                span: shown,
                given: traced(&self.replaced, shown),
                message: "goes with".to_owned(),
            }
        });
        let replacement = diagnostic.replacement();
        Fault {
            code: diagnostic.code.name(),
            severity: diagnostic.severity,
            span: shown,
            given: traced(&self.replaced, shown),
            message: diagnostic.message(text),
            help: diagnostic.help(text),
            replacement: match home {
                Home::Shown => replacement.map(str::to_owned),
                Home::Parsed => replacement.and_then(|text| self.as_typed(text)),
            },
            labels: related.into_iter().collect(),
        }
    }

    /// A piece of the alphabet in the notation that is being typed, where it has one.
    fn as_typed(&self, ipa: &str) -> Option<String> {
        let converted = match self.manner.alphabet {
            Alphabet::Ipa => return Some(ipa.to_owned()),
            Alphabet::XSampa => x_sampa::from_ipa(ipa),
            Alphabet::Arpabet => arpabet::from_ipa(ipa),
        };
        converted.faults.is_empty().then_some(converted.text)
    }

    /// The text in another notation, and what of it could not be carried over.
    #[must_use]
    pub fn put_into(&self, alphabet: Alphabet) -> (String, Vec<Fault>) {
        let text = self.transcription.text();
        let converted = match alphabet {
            _ if alphabet == self.manner.alphabet => None,
            Alphabet::Ipa => None,
            Alphabet::XSampa => Some(x_sampa::from_ipa(text)),
            Alphabet::Arpabet => Some(arpabet::from_ipa(text)),
        };
        let mut faults: Vec<Fault> = self
            .extra
            .iter()
            .map(|(shown, home, diagnostic)| self.worded(*shown, *home, diagnostic))
            .collect();
        let Some(converted) = converted else {
            let same = alphabet == self.manner.alphabet;
            return (if same { &self.shown } else { text }.to_owned(), faults);
        };
        faults.extend(converted.faults.iter().filter_map(|diagnostic| {
            let shown = traced(&self.typed, diagnostic.span);
            let known = self.is_replaced(shown);
            (!known).then(|| self.worded(shown, Home::Parsed, diagnostic))
        }));
        faults.sort_by_key(|fault| fault.span);
        (converted.text, faults)
    }

    /// How many things were found.
    #[must_use]
    pub fn count(&self) -> usize {
        if self.extra.is_empty() {
            self.transcription.diagnostics().len()
        } else {
            self.found().count()
        }
    }

    /// The worst thing that was found.
    #[must_use]
    pub fn worst(&self) -> Option<Severity> {
        self.found()
            .map(|(.., diagnostic)| diagnostic.severity)
            .min()
    }

    /// Whether the text has a reading.
    #[must_use]
    pub fn is_valid(&self) -> bool {
        self.worst() != Some(Severity::Error)
    }
}

/// The fault of bytes that are no characters.
fn ill_formed(bytes: &[u8], shown: Span, utf_16: bool) -> Diagnostic {
    const SHOWN: usize = 8;
    let mut listed: Vec<String> = bytes
        .iter()
        .take(SHOWN)
        .map(|byte| format!("{byte:02X}"))
        .collect();
    if bytes.len() > SHOWN {
        listed.push("…".to_owned());
    }
    let (noun, verb) = if bytes.len() == 1 {
        ("byte", "is")
    } else {
        ("bytes", "are")
    };
    let help = if utf_16 {
        "the text looks like UTF-16: save it as UTF-8"
    } else {
        "save the text as UTF-8; a file from an older program may be in Windows-1252 or Latin-1"
    };
    Diagnostic::in_words(
        Code::Utf8IllFormed,
        shown,
        format!(
            "the {noun} {} {verb} not well-formed UTF-8",
            listed.join(" ")
        ),
        Some(help.to_owned()),
    )
}

/// Finds the place that a span of one text has in another, given how the two correspond;
/// a place between two pieces lies at the end of the first.
fn traced(pieces: &[Piece], span: Span) -> Span {
    let before =
        |count: usize| count.checked_sub(1).and_then(|number| pieces.get(number));
    let start =
        match before(pieces.partition_point(|piece| piece.here.start <= span.start)) {
            None => span.start,
            Some(piece) if span.start < piece.here.end => piece.there.start,
            Some(piece) => piece.there.end + (span.start - piece.here.end),
        };
    if span.is_empty() {
        return Span::new(start, start);
    }
    let end = match before(pieces.partition_point(|piece| piece.here.start < span.end)) {
        None => span.end,
        Some(piece) if span.end < piece.here.end => piece.there.end,
        Some(piece) => piece.there.end + (span.end - piece.here.end),
    };
    Span::new(start, end.max(start))
}
