//! JSON on one line, written as fast as it can be read.
//!
//! No reader finds an end of line in it, and no terminal a command: what some programs take
//! for a line end (U+0085, U+2028, U+2029), C1 controls and controls of direction are
//! escaped. Otherwise it is byte for byte what `serde_json` writes, which looks at every
//! byte of every name and value for what has to be escaped: here names are known to be
//! harmless, and values are looked at sixteen bytes at a time.

#![allow(
    clippy::inline_always,
    reason = "the length of a name is known where it is written, and only there"
)]
#![allow(
    clippy::needless_bitwise_bool,
    reason = "many bytes are looked at together only where nothing branches"
)]

use std::fmt::Display;
use std::io::{self, Write};

use serde::Serialize;
use serde::ser::{self, Error as _};

use super::page::Page;

/// Writes a value.
///
/// # Errors
/// Whatever the writing stops with.
pub(super) fn write(
    out: &mut Page<impl Write>,
    value: &impl Serialize,
) -> io::Result<()> {
    match value.serialize(Value { out }) {
        Ok(()) => Ok(()),
        Err(error) => Err(error.0),
    }
}

/// Why a value was not written.
#[derive(Debug)]
struct Error(io::Error);

impl Display for Error {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(formatter)
    }
}

impl std::error::Error for Error {}

impl ser::Error for Error {
    fn custom<T: Display>(message: T) -> Self {
        Self(io::Error::other(message.to_string()))
    }
}

impl From<io::Error> for Error {
    fn from(error: io::Error) -> Self {
        Self(error)
    }
}

/// How `serde_json` says that a text is JSON already.
const RAW: &str = "$serde_json::private::RawValue";

/// Writes a value, or the name of one.
struct Writer<'a, W: Write, const NAME: bool> {
    out: &'a mut Page<W>,
}

type Value<'a, W> = Writer<'a, W, false>;
type Name<'a, W> = Writer<'a, W, true>;

impl<'a, W: Write, const NAME: bool> Writer<'a, W, NAME> {
    /// A number or a word; as a name it is a text.
    #[inline]
    fn put(self, text: &str) -> Result<(), Error> {
        if NAME {
            return self.string(text);
        }
        Ok(self.out.put(text.as_bytes())?)
    }

    fn string(self, text: &str) -> Result<(), Error> {
        string(self.out, text)
    }

    /// Begins what is written between these.
    #[inline]
    fn open(
        self,
        open: &'static str,
        close: &'static str,
    ) -> Result<Parts<'a, W>, Error> {
        if NAME {
            return Err(Error::custom("the name of a field is a text"));
        }
        self.out.put(open.as_bytes())?;
        Ok(Parts {
            out: self.out,
            first: true,
            raw: false,
            close,
        })
    }
}

fn string<W: Write>(out: &mut Page<W>, text: &str) -> Result<(), Error> {
    out.put(b"\"")?;
    escaped(out, text, false)?;
    Ok(out.put(b"\"")?)
}

/// Writes a text with what has to be escaped escaped; of one that is JSON already, only what
/// no reader should meet.
#[inline]
fn escaped<W: Write>(out: &mut Page<W>, text: &str, json: bool) -> io::Result<()> {
    if !may_need_escapes(text.as_bytes()) || !json && needs_no_escapes(text.as_bytes()) {
        return out.put(text.as_bytes());
    }
    escaped_one_by_one(out, text, json)
}

/// Whether nothing in a text has to be escaped, though some of it begins like what has to:
/// of U+2000 to U+207F, to which signs of the IPA belong, those that [`is_unsafe`] names.
fn needs_no_escapes(bytes: &[u8]) -> bool {
    let seconds = bytes.get(1..).unwrap_or_default();
    let thirds = bytes.get(2..).unwrap_or_default();
    // The last two bytes are no beginning of three.
    let last = bytes.get(thirds.len()..).unwrap_or_default();
    let any = bytes.iter().zip(seconds).zip(thirds).fold(
        false,
        |any, ((first, second), third)| {
            let early = (*third & 0xFE == 0x8E) | ((*third >= 0xA8) & (*third <= 0xAE));
            let late = (*third >= 0xA6) & (*third <= 0xA9);
            let group = (*second == 0x80) & early | (*second == 0x81) & late;
            any | (*first == 0xE2) & group | first_alone(*first)
        },
    );
    !last.iter().fold(any, |any, byte| any | first_alone(*byte))
}

fn escaped_one_by_one<W: Write>(
    out: &mut Page<W>,
    text: &str,
    json: bool,
) -> io::Result<()> {
    let mut done = 0;
    for (at, character) in text.char_indices() {
        let escapes = match character {
            '\0'..='\u{1F}' | '"' | '\\' => !json,
            other => is_unsafe(other),
        };
        if !escapes {
            continue;
        }
        out.put(text.get(done..at).unwrap_or_default().as_bytes())?;
        match character {
            '"' => out.put(b"\\\"")?,
            '\\' => out.put(b"\\\\")?,
            '\u{8}' => out.put(b"\\b")?,
            '\u{C}' => out.put(b"\\f")?,
            '\n' => out.put(b"\\n")?,
            '\r' => out.put(b"\\r")?,
            '\t' => out.put(b"\\t")?,
            other => write!(out, "\\u{:04x}", u32::from(other))?,
        }
        done = at + character.len_utf8();
    }
    out.put(text.get(done..).unwrap_or_default().as_bytes())
}

/// Whether a character could end a line, reorder what is shown or command a terminal.
const fn is_unsafe(character: char) -> bool {
    matches!(
        character,
        '\u{7F}'..='\u{9F}'
            | '\u{61C}'
            | '\u{200E}'
            | '\u{200F}'
            | '\u{2028}'..='\u{202E}'
            | '\u{2066}'..='\u{2069}'
            | '\u{FEFF}'
    )
}

/// Whether something in a text may have to be escaped.
#[inline]
fn may_need_escapes(bytes: &[u8]) -> bool {
    let Some(last) = bytes.last_chunk::<LOOK>() else {
        return bytes.iter().fold(false, |any, byte| any | is_first(*byte));
    };
    // The last block overlaps the one before it.
    let mut any = last.map(first);
    for block in bytes.as_chunks::<LOOK>().0 {
        for (any, byte) in any.iter_mut().zip(block) {
            *any |= first(*byte);
        }
    }
    any != [false; LOOK]
}

/// How many bytes are looked at a time.
const LOOK: usize = 16;

/// Whether what has to be escaped begins with this byte: without a branch, so that a block
/// of them is looked at together.
#[inline]
const fn first(byte: u8) -> bool {
    first_alone(byte) | (byte == 0xE2)
}

/// The same but for a byte that begins many signs of the IPA too.
#[inline]
const fn first_alone(byte: u8) -> bool {
    (byte < b' ')
        | (byte == b'"')
        | (byte == b'\\')
        | (byte == 0x7F)
        | (byte == 0xC2)
        | (byte == 0xD8)
        | (byte == 0xEF)
}

/// The same of one byte alone.
#[inline]
fn is_first(byte: u8) -> bool {
    #[allow(
        clippy::indexing_slicing,
        clippy::cast_possible_truncation,
        reason = "below 256"
    )]
    static FIRST: [bool; 256] = {
        let mut table = [false; 256];
        let mut byte = 0;
        while byte < table.len() {
            table[byte] = first(byte as u8);
            byte += 1;
        }
        table
    };
    FIRST.get(usize::from(byte)).copied().unwrap_or(true)
}

/// The parts of a list or an object.
struct Parts<'a, W: Write> {
    out: &'a mut Page<W>,
    first: bool,
    /// Whether the only part is a text that is JSON already.
    raw: bool,
    close: &'static str,
}

impl<W: Write> Parts<'_, W> {
    #[inline(always)]
    fn part(&mut self) -> Result<Value<'_, W>, Error> {
        if !self.first {
            self.out.put(b",")?;
        }
        self.first = false;
        Ok(Value { out: self.out })
    }

    /// A field of this name, which has nothing to be escaped.
    #[inline(always)]
    fn field(
        &mut self,
        name: &'static str,
        value: &(impl Serialize + ?Sized),
    ) -> Result<(), Error> {
        if self.raw {
            return self.raw(value);
        }
        let writer = self.part()?;
        writer.out.put(b"\"")?;
        writer.out.put(name.as_bytes())?;
        writer.out.put(b"\":")?;
        value.serialize(writer)
    }

    /// A text that is JSON already; outside its strings nothing is unsafe.
    #[cold]
    fn raw(&mut self, value: &(impl Serialize + ?Sized)) -> Result<(), Error> {
        let text = serde_json::to_value(value).map_err(Error::custom)?;
        let text = text.as_str().unwrap_or_default();
        Ok(escaped(self.out, text, true)?)
    }

    #[inline]
    fn close(self) -> Result<(), Error> {
        Ok(self.out.put(self.close.as_bytes())?)
    }
}

/// Whole numbers.
macro_rules! numbers {
    ($($name:ident: $type:ty,)+) => {
        $(
            #[inline]
            fn $name(self, value: $type) -> Result<(), Error> {
                // Most are columns and lengths.
                if !NAME && let Ok(digit @ 0..10) = u8::try_from(value) {
                    return Ok(self.out.put(&[b'0' + digit])?);
                }
                self.put(itoa::Buffer::new().format(value))
            }
        )+
    };
}

impl<'a, W: Write, const NAME: bool> ser::Serializer for Writer<'a, W, NAME> {
    type Ok = ();
    type Error = Error;
    type SerializeSeq = Parts<'a, W>;
    type SerializeTuple = Parts<'a, W>;
    type SerializeTupleStruct = Parts<'a, W>;
    type SerializeTupleVariant = Parts<'a, W>;
    type SerializeMap = Parts<'a, W>;
    type SerializeStruct = Parts<'a, W>;
    type SerializeStructVariant = Parts<'a, W>;

    numbers! {
        serialize_i8: i8,
        serialize_i16: i16,
        serialize_i32: i32,
        serialize_i64: i64,
        serialize_u8: u8,
        serialize_u16: u16,
        serialize_u32: u32,
        serialize_u64: u64,
    }

    fn serialize_bool(self, value: bool) -> Result<(), Error> {
        self.put(if value { "true" } else { "false" })
    }

    fn serialize_f32(self, value: f32) -> Result<(), Error> {
        serde_json::to_writer(self.out, &value).map_err(|error| Error(error.into()))
    }

    fn serialize_f64(self, value: f64) -> Result<(), Error> {
        serde_json::to_writer(self.out, &value).map_err(|error| Error(error.into()))
    }

    fn serialize_char(self, value: char) -> Result<(), Error> {
        self.string(value.encode_utf8(&mut [0; 4]))
    }

    fn serialize_str(self, value: &str) -> Result<(), Error> {
        self.string(value)
    }

    fn serialize_bytes(self, value: &[u8]) -> Result<(), Error> {
        self.collect_seq(value)
    }

    fn serialize_none(self) -> Result<(), Error> {
        self.put("null")
    }

    #[inline]
    fn serialize_some<T: ?Sized + Serialize>(self, value: &T) -> Result<(), Error> {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Result<(), Error> {
        self.put("null")
    }

    fn serialize_unit_struct(self, _: &'static str) -> Result<(), Error> {
        self.put("null")
    }

    fn serialize_unit_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
    ) -> Result<(), Error> {
        // As the names of fields, it has nothing to be escaped.
        self.out.put(b"\"")?;
        self.out.put(variant.as_bytes())?;
        Ok(self.out.put(b"\"")?)
    }

    fn serialize_newtype_struct<T: ?Sized + Serialize>(
        self,
        _: &'static str,
        value: &T,
    ) -> Result<(), Error> {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: ?Sized + Serialize>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Result<(), Error> {
        let mut parts = self.open("{", "}")?;
        parts.field(variant, value)?;
        parts.close()
    }

    #[inline]
    fn serialize_seq(self, _: Option<usize>) -> Result<Parts<'a, W>, Error> {
        self.open("[", "]")
    }

    fn serialize_tuple(self, _: usize) -> Result<Parts<'a, W>, Error> {
        self.open("[", "]")
    }

    fn serialize_tuple_struct(
        self,
        _: &'static str,
        _: usize,
    ) -> Result<Parts<'a, W>, Error> {
        self.open("[", "]")
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Parts<'a, W>, Error> {
        let parts = self.open("{", "]}")?;
        string(parts.out, variant)?;
        parts.out.put(b":[")?;
        Ok(parts)
    }

    #[inline]
    fn serialize_map(self, _: Option<usize>) -> Result<Parts<'a, W>, Error> {
        self.open("{", "}")
    }

    #[inline]
    fn serialize_struct(
        self,
        name: &'static str,
        _: usize,
    ) -> Result<Parts<'a, W>, Error> {
        if name == RAW {
            return Ok(Parts {
                raw: true,
                ..self.open("", "")?
            });
        }
        self.open("{", "}")
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Parts<'a, W>, Error> {
        let parts = self.open("{", "}}")?;
        string(parts.out, variant)?;
        parts.out.put(b":{")?;
        Ok(parts)
    }

    fn collect_str<T: ?Sized + Display>(self, value: &T) -> Result<(), Error> {
        self.string(&value.to_string())
    }
}

/// What has parts without names.
macro_rules! lists {
    ($($trait:ident: $method:ident,)+) => {
        $(
            impl<W: Write> ser::$trait for Parts<'_, W> {
                type Ok = ();
                type Error = Error;

                #[inline]
                fn $method<T: ?Sized + Serialize>(&mut self, value: &T) -> Result<(), Error> {
                    value.serialize(self.part()?)
                }

                #[inline]
                fn end(self) -> Result<(), Error> {
                    self.close()
                }
            }
        )+
    };
}

lists! {
    SerializeSeq: serialize_element,
    SerializeTuple: serialize_element,
    SerializeTupleStruct: serialize_field,
    SerializeTupleVariant: serialize_field,
}

impl<W: Write> ser::SerializeMap for Parts<'_, W> {
    type Ok = ();
    type Error = Error;

    #[inline]
    fn serialize_key<T: ?Sized + Serialize>(&mut self, key: &T) -> Result<(), Error> {
        let Value { out } = self.part()?;
        key.serialize(Name { out })
    }

    #[inline]
    fn serialize_value<T: ?Sized + Serialize>(&mut self, value: &T) -> Result<(), Error> {
        self.out.put(b":")?;
        value.serialize(Value { out: self.out })
    }

    #[inline]
    fn end(self) -> Result<(), Error> {
        self.close()
    }
}

/// What has named parts.
macro_rules! objects {
    ($($trait:ident,)+) => {
        $(
            impl<W: Write> ser::$trait for Parts<'_, W> {
                type Ok = ();
                type Error = Error;

                #[inline(always)]
                fn serialize_field<T: ?Sized + Serialize>(
                    &mut self,
                    name: &'static str,
                    value: &T,
                ) -> Result<(), Error> {
                    self.field(name, value)
                }

                #[inline]
                fn end(self) -> Result<(), Error> {
                    self.close()
                }
            }
        )+
    };
}

objects! {
    SerializeStruct,
    SerializeStructVariant,
}
