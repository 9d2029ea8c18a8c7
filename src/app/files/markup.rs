//! Readers of XML and HTML: transcriptions in elements and attributes, with their places.
//!
//! Nothing is fetched and nothing expanded: a document type is passed over, and of the
//! entities only characters by number and those that the standard itself names are read.
//! One that a document declares is refused where it stands in a transcription, so that no
//! chain of entities can grow.
//!
//! # Source
//! W3C Pronunciation Lexicon Specification 1.0 (2008), 4.1, 4.6; W3C Speech Synthesis
//! Markup Language 1.1 (2010), 3.1.10; XML 1.0 (fifth edition), 2.11, 3.3.3, 4.1, 4.6.

use std::borrow::Cow;
use std::io::{BufRead, Read};
use std::ops::Range;

use quick_xml::Reader;
use quick_xml::escape::{resolve_html5_entity, resolve_predefined_entity};
use quick_xml::events::{BytesStart, Event};

use super::place::{Cursor, Escape, Piece, Place};
use super::{Id, Pick, Record, Source};
use crate::app::arguments::{Alphabet, Form};
use crate::app::{Failure, Stop};

/// The largest document that is read, in bytes.
const LARGEST: u64 = 1 << 30;

/// Reads every transcription of a document; `marked` bytes of a byte order mark came first.
pub(super) fn read(
    source: &Source,
    mut reader: Box<dyn BufRead>,
    marked: u64,
    form: Form,
    pick: &Pick,
    each: &mut dyn FnMut(&Record) -> Result<(), Stop>,
) -> Result<(), Stop> {
    let mut bytes = Vec::new();
    (&mut reader)
        .take(LARGEST + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| source.failure(&error))?;
    if bytes.len() as u64 > LARGEST {
        let remedy = "split it, or convert it to lines or a table";
        return Err(Failure::new(
            source.name(),
            "the document is larger than 1 GiB",
            remedy,
        )
        .into());
    }
    let utf_16 = bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]);
    if utf_16 || bytes.starts_with(b"<\0") || bytes.starts_with(b"\0<") {
        let reason = "the document is in UTF-16, which is not read";
        return Err(Failure::new(source.name(), reason, "save it as UTF-8").into());
    }
    // The tags are found in a text of the same length, each ill-formed byte replaced by
    // one control character; what is read is taken from the bytes.
    let shadow: String = bytes
        .utf8_chunks()
        .flat_map(|chunk| {
            let valid = chunk.valid().chars();
            valid.chain(chunk.invalid().iter().map(|_| '\u{1A}'))
        })
        .collect();
    let form = match (form, pick.element.is_none() && pick.attribute.is_none()) {
        (Form::Xml, true) if pick.class.is_none() => root_form(&shadow, source)?,
        (Form::Html, true) if pick.class.is_none() => {
            return Err(unpicked(source, "HTML").into());
        }
        (form, _) => form,
    };
    Document {
        source,
        bytes: &bytes,
        shadow: &shadow,
        marked,
        form,
        pick,
        cursor: Cursor::START,
        open: Vec::new(),
        usual: None,
        capture: None,
        record: Record {
            texts: vec![Vec::new()],
            places: vec![Place::default()],
            ..Record::default()
        },
        skipped: Vec::new(),
        each,
    }
    .walk()
}

fn unpicked(source: &Source, what: &str) -> Failure {
    Failure::new(
        source.name(),
        format!("nothing says where in this {what} the transcriptions stand"),
        "name an element with --element, an attribute with --attribute, or both",
    )
}

/// What the root element of an XML document says it is.
fn root_form(shadow: &str, source: &Source) -> Result<Form, Failure> {
    let mut reader = Reader::from_str(shadow);
    loop {
        match reader.read_event() {
            Ok(Event::Start(tag) | Event::Empty(tag)) => {
                return match tag.local_name().as_ref() {
                    "lexicon" => Ok(Form::Pls),
                    "speak" => Ok(Form::Ssml),
                    _ => Err(unpicked(source, "XML")),
                };
            }
            // Whoever reads the document says what is wrong with it, and where.
            Ok(Event::Eof) | Err(_) => return Ok(Form::Xml),
            Ok(_) => {}
        }
    }
}

/// An element whose text is being collected.
struct Capture {
    /// How many elements are open around it.
    depth: usize,
    /// Elements of the same name open in it; HTML leaves others unclosed.
    nested: usize,
    name: String,
    /// The first raw byte after its tag.
    start: usize,
    text: Vec<u8>,
    pieces: Vec<Piece>,
    verbatim: bool,
    /// Whether it holds the word instead of its transcription.
    word: bool,
    alphabet: Option<Alphabet>,
}

struct Document<'a> {
    source: &'a Source,
    bytes: &'a [u8],
    shadow: &'a str,
    marked: u64,
    form: Form,
    pick: &'a Pick,
    cursor: Cursor,
    /// The elements that are open, and where.
    open: Vec<Range<usize>>,
    /// The alphabet of a lexicon.
    usual: Option<String>,
    capture: Option<Capture>,
    record: Record,
    /// Alphabets that are not known, and how often they were met.
    skipped: Vec<(String, usize)>,
    each: &'a mut dyn FnMut(&Record) -> Result<(), Stop>,
}

impl Document<'_> {
    fn html(&self) -> bool {
        self.form == Form::Html
    }

    fn walk(mut self) -> Result<(), Stop> {
        let shadow = self.shadow;
        let mut base = 0;
        let mut reader = self.reader(shadow);
        loop {
            let from = base + position(reader.buffer_position());
            let event = reader.read_event();
            let to = base + position(reader.buffer_position());
            match event {
                Ok(Event::Start(tag)) => {
                    self.tag(&tag, from..to, false)?;
                    if let Some(end) = self.raw_text_end(&tag, to) {
                        base = end;
                        reader = self.reader(shadow.get(end..).unwrap_or_default());
                    }
                }
                Ok(Event::Empty(tag)) => self.tag(&tag, from..to, true)?,
                Ok(Event::End(tag)) => self.close(tag.local_name().as_ref(), from)?,
                Ok(Event::Text(_)) => self.text(from..to),
                Ok(Event::CData(_)) => {
                    if let Some(capture) = &mut self.capture {
                        capture.verbatim = true;
                    }
                    self.text(from + 9..to.saturating_sub(3));
                }
                Ok(Event::GeneralRef(_)) => self.reference(from..to)?,
                Ok(Event::Decl(declaration)) => {
                    self.declaration(declaration.encoding(), from)?;
                }
                Ok(Event::Comment(_) | Event::PI(_) | Event::DocType(_)) => {}
                Ok(Event::Eof) => break,
                Err(error) => {
                    let at = base + position(reader.error_position());
                    let reason = format!("the markup is not well-formed: {error}");
                    return Err(self.failure(at, reason, "mend the markup there").into());
                }
            }
        }
        self.finish()
    }

    fn reader<'s>(&self, text: &'s str) -> Reader<&'s [u8]> {
        let mut reader = Reader::from_str(text);
        let html = self.html();
        let config = reader.config_mut();
        config.check_end_names = !html;
        config.allow_unmatched_ends = html;
        config.allow_dangling_amp = true;
        reader
    }

    fn finish(mut self) -> Result<(), Stop> {
        if let Some(open) = self.open.last().filter(|_| !self.html()) {
            let at = open.start;
            let tag = String::from_utf8_lossy(self.raw(open.clone())).into_owned();
            let reason = format!("{tag} is never closed");
            return Err(self
                .failure(at, reason, "close it, or restore the end")
                .into());
        }
        if self.capture.is_some() {
            self.emit(self.bytes.len())?;
        }
        for (alphabet, count) in &self.skipped {
            let remedy = "the alphabets read here are ipa, x-sampa and x-arpabet";
            super::super::complain(&Failure::new(
                self.source.name(),
                format!("left out {count} in the alphabet \u{201C}{alphabet}\u{201D}"),
                remedy,
            ));
        }
        Ok(())
    }

    fn raw(&self, range: Range<usize>) -> &[u8] {
        self.bytes.get(range).unwrap_or_default()
    }

    fn failure(&self, at: usize, reason: String, remedy: &str) -> Failure {
        let mut cursor = Cursor::START;
        cursor.advance(self.bytes, at);
        let place = format!("{}:{}:{}", self.source.name(), cursor.line, cursor.column);
        Failure::new(place, reason, remedy)
    }

    /// Where the text of a script ends: to HTML it holds no tags.
    fn raw_text_end(&self, tag: &BytesStart<'_>, to: usize) -> Option<usize> {
        let name = tag.local_name();
        let name = name.as_ref();
        let raw = ["script", "style", "textarea", "title"];
        if !self.html() || !raw.iter().any(|raw| name.eq_ignore_ascii_case(raw)) {
            return None;
        }
        let rest = self.bytes.get(to..)?;
        let end = (0..rest.len()).find(|at| {
            let Some(after) = rest.get(*at..).and_then(|rest| rest.strip_prefix(b"</"))
            else {
                return false;
            };
            let found = after.get(..name.len());
            found.is_some_and(|found| found.eq_ignore_ascii_case(name.as_bytes()))
        });
        Some(to + end.unwrap_or(rest.len()))
    }

    fn declaration(
        &self,
        encoding: Option<Result<Cow<'_, str>, impl std::error::Error>>,
        at: usize,
    ) -> Result<(), Failure> {
        let Some(Ok(encoding)) = encoding else {
            return Ok(());
        };
        let is = |name: &&str| encoding.eq_ignore_ascii_case(name);
        if ["utf-8", "utf8", "us-ascii", "ascii"].iter().any(is) {
            return Ok(());
        }
        let reason = format!("the document says that it is in {encoding}");
        Err(self.failure(at, reason, "save it as UTF-8, and say so in its first line"))
    }

    fn is(&self, name: &str, wanted: &str) -> bool {
        if self.html() {
            name.eq_ignore_ascii_case(wanted)
        } else {
            name == wanted
        }
    }

    /// The values of a tag's attributes and their places.
    fn attributes(
        &self,
        tag: &BytesStart<'_>,
        place: &Range<usize>,
    ) -> Result<Vec<(String, Range<usize>)>, Failure> {
        let mut attributes = if self.html() {
            tag.html_attributes()
        } else {
            tag.attributes()
        };
        attributes.with_checks(!self.html());
        let mut found = Vec::new();
        for attribute in attributes {
            match attribute {
                Ok(attribute) => {
                    let name = attribute.key.as_ref();
                    let name = match self.form {
                        Form::Html => name,
                        _ => name.rsplit_once(':').map_or(name, |(_, local)| local),
                    };
                    let start = (attribute.value.as_ptr() as usize)
                        .wrapping_sub(self.shadow.as_ptr() as usize);
                    let range = start..start.saturating_add(attribute.value.len());
                    if range.start >= place.start && range.end <= place.end {
                        found.push((name.to_owned(), range));
                    }
                }
                Err(_) if self.html() => {}
                Err(error) => {
                    let reason = format!("an attribute is not well-formed: {error}");
                    return Err(self.failure(place.start, reason, "mend the tag"));
                }
            }
        }
        Ok(found)
    }

    fn tag(
        &mut self,
        tag: &BytesStart<'_>,
        place: Range<usize>,
        empty: bool,
    ) -> Result<(), Stop> {
        let name = tag.local_name();
        let name = name.as_ref();
        let attributes = self.attributes(tag, &place)?;
        let value = |wanted: &str| {
            let found = attributes.iter().find(|(name, _)| self.is(name, wanted));
            found.map(|(_, range)| range.clone())
        };
        let words = |range: Range<usize>| {
            String::from_utf8_lossy(self.raw(range)).trim().to_owned()
        };
        let mut wanted = None;
        let mut text = false;
        let mut alphabet = None;
        let mut word = false;
        match self.form {
            Form::Pls => match name {
                "lexicon" => self.usual = value("alphabet").map(words),
                "lexeme" => {
                    self.record.id = value("id").map(words).map_or(Id::None, Id::Cell);
                    self.record.word = None;
                }
                "grapheme" => (text, word) = (true, true),
                "phoneme" => {
                    let said = value("alphabet").map(words);
                    alphabet = said.or_else(|| self.usual.clone());
                    text = true;
                }
                _ => {}
            },
            Form::Ssml if name == "phoneme" => {
                alphabet = value("alphabet").map(words);
                wanted = value("ph");
            }
            Form::Ssml => {}
            _ => {
                let element = self.pick.element.as_deref();
                let class = self.pick.class.as_deref();
                let classed = class.is_none_or(|class| {
                    let classes = value("class").map(words).unwrap_or_default();
                    classes.split_whitespace().any(|one| one == class)
                });
                if element.is_none_or(|element| self.is(name, element)) && classed {
                    match &self.pick.attribute {
                        Some(attribute) => wanted = value(attribute),
                        None => text = true,
                    }
                }
            }
        }
        let known = match &alphabet {
            None => Some(None),
            Some(said) => known(said).map(Some),
        };
        if let (None, Some(said)) = (known, alphabet.clone()) {
            match self.skipped.iter_mut().find(|(name, _)| *name == said) {
                Some((_, count)) => *count += 1,
                None => self.skipped.push((said, 1)),
            }
        }
        if !empty {
            let void = self.html();
            if !void {
                self.open.push(place.clone());
            }
            if let Some(capture) = &mut self.capture {
                if capture.name.eq_ignore_ascii_case(name) {
                    capture.nested += 1;
                }
            } else if let (true, Some(alphabet)) = (text, known) {
                self.capture = Some(Capture {
                    depth: self.open.len(),
                    nested: 0,
                    name: name.to_owned(),
                    start: place.end,
                    text: Vec::new(),
                    pieces: Vec::new(),
                    verbatim: false,
                    word,
                    alphabet,
                });
            }
        }
        if let (Some(range), Some(alphabet)) = (wanted, known) {
            self.attribute(range, alphabet)?;
        }
        Ok(())
    }

    fn close(&mut self, name: &str, at: usize) -> Result<(), Stop> {
        let depth = self.open.len();
        self.open.pop();
        let html = self.html();
        let Some(capture) = &mut self.capture else {
            return Ok(());
        };
        if html && capture.name.eq_ignore_ascii_case(name) {
            if capture.nested > 0 {
                capture.nested -= 1;
                return Ok(());
            }
            return self.emit(at);
        }
        if !html && capture.depth == depth {
            return self.emit(at);
        }
        Ok(())
    }

    /// Text between tags, line ends made one character.
    fn text(&mut self, range: Range<usize>) {
        let Some(capture) = &mut self.capture else {
            return;
        };
        let bytes = self.bytes.get(range.clone()).unwrap_or_default();
        let mut at = 0;
        while at < bytes.len() {
            let rest = bytes.get(at..).unwrap_or_default();
            let run = rest.iter().position(|byte| *byte == b'\r');
            let run = run.unwrap_or(rest.len());
            let text = capture.text.len();
            let raw = range.start - capture.start + at;
            if run == 0 {
                let length = if rest.starts_with(b"\r\n") { 2 } else { 1 };
                capture.text.push(b'\n');
                capture.pieces.push(Piece {
                    text: text..text + 1,
                    raw: raw..raw + length,
                });
                at += length;
            } else {
                capture.text.extend(rest.iter().take(run));
                capture.pieces.push(Piece {
                    text: text..text + run,
                    raw: raw..raw + run,
                });
                at += run;
            }
        }
    }

    fn reference(&mut self, range: Range<usize>) -> Result<(), Stop> {
        if self.capture.is_none() {
            return Ok(());
        }
        let raw = self.shadow.get(range.clone()).unwrap_or_default();
        let Some(text) = self.resolve(raw, range.start)? else {
            self.text(range);
            return Ok(());
        };
        if let Some(capture) = &mut self.capture {
            let at = capture.text.len();
            capture.text.extend_from_slice(text.as_bytes());
            capture.pieces.push(Piece {
                text: at..capture.text.len(),
                raw: range.start - capture.start..range.end - capture.start,
            });
        }
        Ok(())
    }

    /// The characters that `&name;` stands for; none where HTML takes it as it is.
    fn resolve(&self, raw: &str, at: usize) -> Result<Option<String>, Failure> {
        let name = raw.strip_prefix('&').and_then(|raw| raw.strip_suffix(';'));
        let named = name.and_then(|name| match name.strip_prefix('#') {
            Some(number) => character(number, self.html()),
            None if self.html() => resolve_html5_entity(name).map(str::to_owned),
            None => resolve_predefined_entity(name).map(str::to_owned),
        });
        if named.is_some() || self.html() {
            return Ok(named);
        }
        let shown: String = raw.chars().take(40).collect();
        let (reason, remedy) = match name {
            None => (
                format!("`{shown}` begins with & and is no character"),
                "write &amp; for the sign itself",
            ),
            Some(name) if name.starts_with('#') => (
                format!("{shown} stands for no character"),
                "write the character itself",
            ),
            Some(_) => (
                format!(
                    "{shown} is not an entity of XML, and declared ones are not expanded"
                ),
                "write the character itself",
            ),
        };
        Err(self.failure(at, reason, remedy))
    }

    fn attribute(
        &mut self,
        range: Range<usize>,
        alphabet: Option<Alphabet>,
    ) -> Result<(), Stop> {
        let bytes = self.raw(range.clone()).to_vec();
        let (mut text, mut pieces) = (Vec::new(), Vec::new());
        let mut at = 0;
        while at < bytes.len() {
            let rest = bytes.get(at..).unwrap_or_default();
            let special = |byte: &u8| matches!(byte, b'&' | b'\t' | b'\n' | b'\r');
            let mut run = rest.iter().position(special).unwrap_or(rest.len());
            let from = text.len();
            let mut resolved = None;
            if run == 0 && rest.first() == Some(&b'&') {
                let place = range.start + at;
                let end = rest.iter().position(|byte| *byte == b';');
                let end = end.map_or(rest.len().min(32), |end| end + 1);
                let raw = self.shadow.get(place..place + end);
                resolved = self.resolve(raw.unwrap_or_default(), place)?;
                run = if resolved.is_some() { end } else { 1 };
            } else if run == 0 {
                run = if rest.starts_with(b"\r\n") { 2 } else { 1 };
                resolved = Some(" ".to_owned());
            }
            match resolved {
                Some(resolved) => text.extend_from_slice(resolved.as_bytes()),
                None => text.extend(rest.iter().take(run)),
            }
            pieces.push(Piece {
                text: from..text.len(),
                raw: at..at + run,
            });
            at += run;
        }
        let before = range.start.checked_sub(1);
        let mark = before.and_then(|at| self.bytes.get(at)).copied();
        let escape = Escape::Attribute(mark.unwrap_or_default());
        self.hand(range.start, bytes, text, pieces, escape, alphabet)
    }

    /// The element that is collected ends before byte `end`.
    fn emit(&mut self, end: usize) -> Result<(), Stop> {
        let Some(capture) = self.capture.take() else {
            return Ok(());
        };
        let Capture {
            start,
            text,
            pieces,
            ..
        } = capture;
        if capture.word {
            let word = String::from_utf8_lossy(&text);
            self.record.word =
                Some(word.split_whitespace().collect::<Vec<_>>().join(" "));
            return Ok(());
        }
        let blank = |byte: &u8| matches!(byte, b' ' | b'\t' | b'\r' | b'\n');
        let from = text.iter().position(|byte| !blank(byte));
        let from = from.unwrap_or(text.len());
        let to = text.iter().rposition(|byte| !blank(byte));
        let to = to.map_or(from, |last| last + 1);
        let kept: Vec<Piece> = pieces
            .into_iter()
            .filter_map(|piece| cut(piece, from..to))
            .collect();
        let raw_from = kept.first().map_or(0, |piece| piece.raw.start);
        let raw_to = kept.last().map_or(raw_from, |piece| piece.raw.end);
        let shifted = kept
            .into_iter()
            .map(|piece| Piece {
                text: piece.text.start - from..piece.text.end - from,
                raw: piece.raw.start - raw_from..piece.raw.end - raw_from,
            })
            .collect();
        let raw = start + raw_from..(start + raw_to).min(end);
        let text = text.get(from..to).unwrap_or_default().to_vec();
        let escape = if capture.verbatim {
            Escape::Verbatim
        } else {
            Escape::Markup
        };
        let bytes = self.raw(raw.clone()).to_vec();
        self.hand(raw.start, bytes, text, shifted, escape, capture.alphabet)
    }

    fn hand(
        &mut self,
        start: usize,
        raw: Vec<u8>,
        text: Vec<u8>,
        pieces: Vec<Piece>,
        escape: Escape,
        alphabet: Option<Alphabet>,
    ) -> Result<(), Stop> {
        // Elements inside one that is collected may have attributes further back.
        if start < self.cursor.at {
            self.cursor = Cursor::START;
        }
        self.cursor.advance(self.bytes, start);
        self.record.line = self.cursor.line;
        self.record.alphabet = alphabet;
        self.record.places = vec![Place {
            start: self.marked + start as u64,
            line: self.cursor.line,
            column: self.cursor.column,
            raw,
            pieces,
            escape,
            untraced: false,
        }];
        self.record.texts = vec![text];
        (self.each)(&self.record)
    }
}

/// The part of a piece that lies in a range of the text.
fn cut(piece: Piece, range: Range<usize>) -> Option<Piece> {
    let start = piece.text.start.max(range.start);
    let end = piece.text.end.min(range.end);
    if start >= end {
        return None;
    }
    if piece.text.len() != piece.raw.len() {
        return Some(piece);
    }
    let raw = piece.raw.start + (start - piece.text.start);
    Some(Piece {
        text: start..end,
        raw: raw..raw + (end - start),
    })
}

/// The alphabet of a name in a lexicon or a document of speech synthesis.
fn known(name: &str) -> Option<Alphabet> {
    let is = |wanted: &str| name.eq_ignore_ascii_case(wanted);
    match () {
        () if is("ipa") => Some(Alphabet::Ipa),
        () if is("x-sampa") || is("xsampa") => Some(Alphabet::XSampa),
        () if is("x-arpabet") || is("arpabet") => Some(Alphabet::Arpabet),
        () => None,
    }
}

/// The character of a number in a reference, without its `#`.
fn character(number: &str, html: bool) -> Option<String> {
    let hexadecimal = number.strip_prefix('x');
    let hexadecimal = hexadecimal.or_else(|| number.strip_prefix('X').filter(|_| html));
    let code = match hexadecimal {
        Some(digits) => u32::from_str_radix(digits, 16),
        None => number.parse(),
    };
    let digits = hexadecimal.unwrap_or(number);
    let plain = digits.bytes().all(|byte| byte.is_ascii_hexdigit());
    code.ok()
        .filter(|code| *code != 0 && plain)
        .and_then(char::from_u32)
        .map(String::from)
}

fn position(at: u64) -> usize {
    usize::try_from(at).unwrap_or(usize::MAX)
}
