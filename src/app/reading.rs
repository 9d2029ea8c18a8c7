//! From the bytes that came in to a transcription that has been judged, with every place
//! traced back to those bytes.

use super::arguments::Alphabet;
use crate::accent::Accent;
use crate::diagnostic::{Code, Diagnostic, Severity};
use crate::notation::{self, Converted, Notation, Transcription, arpabet, x_sampa};
use crate::report::Fault;
use crate::text::Span;

/// From how many bytes on a text is a long one: what it needs is not kept for the next.
pub const LONG: usize = 64 * 1024;

/// How many bytes of a text are judged: more than a year of speech on one line. What one of
/// this length needs is some forty times as much.
pub const LONGEST: usize = 16 * 1024 * 1024;

/// How many bytes are shown of a text that is longer.
const BEGINNING: usize = 1024;

/// How texts are read: the notation they are typed in, the accent they are judged by.
#[derive(Clone, Debug)]
pub struct Manner {
    /// The notation.
    pub alphabet: Alphabet,
    /// The accent, if any.
    pub accent: Option<Accent>,
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
    /// The notation where a text does not bring its own.
    usual: Alphabet,
    /// The text as it is shown: what was given, ill-formed bytes replaced.
    shown: String,
    /// Where bytes were replaced: the place in the text shown, the place in what was given.
    replaced: Vec<Piece>,
    /// Stretches of the parsed text and what they were typed as; empty where the input is
    /// in the alphabet already.
    typed: Vec<Piece>,
    /// What was found by others than the parser, by its place in the text shown.
    extra: Vec<(Span, Home, Diagnostic)>,
    /// Where a conversion could not read, in the text shown, in order.
    unread: Vec<Span>,
    transcription: Transcription,
    /// Whether only the beginning was read.
    cut: bool,
}

impl Reading {
    /// A reader of texts typed in one manner.
    #[must_use]
    pub fn new(manner: Manner) -> Self {
        Self {
            usual: manner.alphabet,
            manner,
            shown: String::new(),
            replaced: Vec::new(),
            typed: Vec::new(),
            extra: Vec::new(),
            unread: Vec::new(),
            transcription: Transcription::default(),
            cut: false,
        }
    }

    /// Reads and judges the next text, in the notation its document names, if any.
    pub fn read_as(&mut self, given: &[u8], alphabet: Option<Alphabet>) {
        self.manner.alphabet = alphabet.unwrap_or(self.usual);
        self.read(given);
    }

    /// Reads and judges the next text.
    pub fn read(&mut self, given: &[u8]) {
        self.extra.clear();
        self.typed.clear();
        self.unread.clear();
        self.decode(given.get(..Self::kept(given)).unwrap_or_default());
        match self.manner.alphabet {
            Alphabet::Ipa => self.transcription.reparse(&self.shown),
            Alphabet::XSampa => self.take(x_sampa::to_ipa(&self.shown)),
            Alphabet::Arpabet => self.take(arpabet::to_ipa(&self.shown)),
        }
        self.judge_by_accent();
        self.cut = given.len() > LONGEST;
        if self.cut {
            // What an end cut off by us makes of the beginning is nobody's fault.
            self.extra.clear();
            let whole = Span::new(0, self.shown.len());
            self.extra.push((whole, Home::Shown, too_long()));
        }
        self.extra.sort_by_key(|(shown, ..)| *shown);
    }

    /// How much of a text is judged: all of it, or the beginning of one that is too long.
    fn kept(given: &[u8]) -> usize {
        if given.len() <= LONGEST {
            return given.len();
        }
        let begins = |at: &usize| given.get(*at).is_some_and(|byte| byte & 0xC0 != 0x80);
        (BEGINNING - 3..=BEGINNING)
            .rev()
            .find(begins)
            .unwrap_or(BEGINNING)
    }

    /// Adds what the accent finds in a broad transcription that has a reading.
    fn judge_by_accent(&mut self) {
        let Some(accent) = &self.manner.accent else {
            return;
        };
        // ARPABET writes phonemes and has no brackets to say so.
        let broad = self.transcription.notation() == Notation::Broad
            || self.manner.alphabet == Alphabet::Arpabet;
        if !broad || !self.is_valid() {
            return;
        }
        for diagnostic in accent.judge(&self.transcription) {
            let shown = self.shown_at(diagnostic.span);
            self.extra.push((shown, Home::Parsed, diagnostic));
        }
    }

    /// Makes text of bytes; ill-formed ones become replacement characters and a fault a run.
    fn decode(&mut self, given: &[u8]) {
        self.shown.clear();
        self.replaced.clear();
        if let Ok(text) = std::str::from_utf8(given) {
            self.shown.push_str(text);
            return;
        }
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
                here: piece.result,
                there: piece.source,
            })
            .collect();
        for fault in converted.faults {
            if !self.is_replaced(fault.span) {
                self.extra
                    .push((fault.span, Home::Shown, unconverted(fault)));
            }
        }
        self.unread
            .extend(self.extra.iter().map(|(shown, ..)| *shown));
        self.unread.sort_unstable();
        self.transcription.reparse(&converted.text);
        for diagnostic in self.transcription.diagnostics() {
            let shown = typed_as(&self.typed, diagnostic.span);
            if !self.is_unread(shown) {
                self.extra.push((shown, Home::Parsed, diagnostic.clone()));
            }
        }
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

    /// The accent it is judged and described by.
    #[must_use]
    pub fn accent(&self) -> Option<&Accent> {
        self.manner.accent.as_ref()
    }

    /// What the text says.
    #[must_use]
    pub fn transcription(&self) -> &Transcription {
        &self.transcription
    }

    /// The place in what was given of a place in the transcription's text.
    #[must_use]
    pub fn given(&self, parsed: Span) -> Span {
        given_as(&self.replaced, self.shown_at(parsed))
    }

    /// The place in the text shown of a place in the transcription's text.
    fn shown_at(&self, parsed: Span) -> Span {
        if self.manner.alphabet == Alphabet::Ipa {
            parsed
        } else {
            typed_as(&self.typed, parsed)
        }
    }

    /// Whether a place in the text shown is nothing but replaced bytes.
    fn is_replaced(&self, shown: Span) -> bool {
        let at = self
            .replaced
            .partition_point(|piece| piece.here.end < shown.end);
        self.replaced
            .get(at)
            .is_some_and(|piece| piece.here.start <= shown.start && !shown.is_empty())
    }

    /// Whether a place in the text shown lies in one that a conversion left as it was: that
    /// it cannot be read afterwards either goes without saying.
    fn is_unread(&self, shown: Span) -> bool {
        let at = self.unread.partition_point(|span| span.end < shown.end);
        let around = self.unread.get(at);
        around.is_some_and(|span| span.start <= shown.start && !shown.is_empty())
    }

    /// Everything that was found, in the order of the text shown.
    fn found(&self) -> impl Iterator<Item = (Span, Home, &Diagnostic)> {
        let own: &[Diagnostic] = match self.manner.alphabet {
            Alphabet::Ipa if !self.cut => self.transcription.diagnostics(),
            // Conversion may have changed the order, so they are among the others, sorted.
            _ => &[],
        };
        let mut parsed = own
            .iter()
            .map(|diagnostic| (diagnostic.span, Home::Parsed, diagnostic))
            .filter(|(shown, ..)| !self.is_replaced(*shown))
            .peekable();
        let extra = self.extra.iter();
        let mut extra = extra
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
        let mut fault = Fault::new(diagnostic, text);
        fault.span = shown;
        fault.given = given_as(&self.replaced, shown);
        for label in &mut fault.labels {
            if home == Home::Parsed {
                label.span = self.shown_at(label.span);
            }
            label.given = given_as(&self.replaced, label.span);
        }
        if home == Home::Parsed {
            let written = fault.replacement.as_deref();
            fault.replacement = written.and_then(|text| self.as_typed(text));
        }
        fault
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
            .filter(|(_, home, _)| *home == Home::Shown)
            .map(|(shown, home, diagnostic)| self.worded(*shown, *home, diagnostic))
            .collect();
        let Some(converted) = converted else {
            let same = alphabet == self.manner.alphabet;
            return (if same { &self.shown } else { text }.to_owned(), faults);
        };
        faults.extend(converted.faults.into_iter().filter_map(|fault| {
            let diagnostic = &unconverted(fault);
            let shown = self.shown_at(diagnostic.span);
            let known = self.is_replaced(shown) || self.is_unread(shown);
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
        if self.extra.is_empty() && self.manner.alphabet == Alphabet::Ipa {
            let own = self.transcription.diagnostics().iter();
            return own.map(|diagnostic| diagnostic.severity).min();
        }
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

/// The diagnostic of a text that is too long to be judged.
fn too_long() -> Diagnostic {
    let mut found = Diagnostic::in_words(
        Code::TextLong,
        Span::new(0, 0),
        format!(
            "the text is longer than {LONGEST} bytes; only its beginning, which is shown, was read"
        ),
        Some("cut it into lines, an utterance each".to_owned()),
    );
    found.severity = Severity::Error;
    found
}

/// The diagnostic of a piece that has no counterpart in another notation.
fn unconverted(fault: notation::Fault) -> Diagnostic {
    Diagnostic::in_words(
        Code::ConversionFault,
        fault.span,
        fault.reason,
        Some(fault.help),
    )
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

/// Where a span of a converted text was typed: everything that any of it came from.
/// `pieces` cover the converted text from end to end.
fn typed_as(pieces: &[Piece], span: Span) -> Span {
    let from = pieces.partition_point(|piece| piece.here.end <= span.start);
    let touched = pieces
        .iter()
        .skip(from)
        .take_while(|piece| piece.here.start < span.end);
    let places = touched
        .filter(|piece| !piece.here.is_empty())
        .map(|piece| piece.there);
    places.reduce(Span::cover).unwrap_or_else(|| {
        // An empty span: it stands before what follows, or after everything.
        let end = pieces.last().map_or(0, |piece| piece.there.end);
        let place = pieces.get(from).map_or(end, |piece| piece.there.start);
        Span::new(place, place)
    })
}

/// Where a span of the text shown stands in what was given: the same place, moved by the
/// bytes that were replaced before it.
fn given_as(replaced: &[Piece], span: Span) -> Span {
    let place = |at: usize| {
        let passed = replaced.partition_point(|piece| piece.here.end <= at);
        match (
            passed.checked_sub(1).and_then(|last| replaced.get(last)),
            replaced.get(passed),
        ) {
            (_, Some(piece)) if piece.here.start < at => piece.there.end,
            (Some(last), _) => last.there.end + (at - last.here.end),
            (None, _) => at,
        }
    };
    Span::new(place(span.start), place(span.end))
}
