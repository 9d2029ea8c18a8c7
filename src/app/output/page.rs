//! Room for what is about to be written.

#![allow(
    clippy::inline_always,
    reason = "the length of a piece is known where it is put down, and only there"
)]

use std::io::{self, Write};

/// A page before a writer. Unlike the standard library's, it is made for pieces of a few
/// bytes, of which an answer has a hundred: they are put down without a call.
#[derive(Debug)]
pub struct Page<W: Write> {
    out: W,
    room: Vec<u8>,
    /// How many bytes of the room are written on.
    filled: usize,
}

impl<W: Write> Page<W> {
    /// An empty page of some bytes; `room` is used again.
    pub fn new(out: W, mut room: Vec<u8>, bytes: usize) -> Self {
        room.resize(bytes, 0);
        Self {
            out,
            room,
            filled: 0,
        }
    }

    /// The writer behind it.
    pub const fn out(&mut self) -> &mut W {
        &mut self.out
    }

    /// The writer, and what it has not been given yet.
    pub fn into_parts(mut self) -> (W, Vec<u8>) {
        self.room.truncate(self.filled);
        (self.out, self.room)
    }

    /// Puts bytes down.
    ///
    /// # Errors
    /// Whatever the writing stops with.
    #[inline(always)]
    pub fn put(&mut self, bytes: &[u8]) -> io::Result<()> {
        let end = self.filled + bytes.len();
        match self.room.get_mut(self.filled..end) {
            Some(slot) => {
                copy(slot, bytes);
                self.filled = end;
                Ok(())
            }
            None => self.turn_over(bytes),
        }
    }

    /// Hands a page on that bytes no longer fit on.
    #[cold]
    fn turn_over(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.hand_on()?;
        if bytes.len() > self.room.len() {
            return self.out.write_all(bytes);
        }
        self.put(bytes)
    }

    fn hand_on(&mut self) -> io::Result<()> {
        let filled = std::mem::take(&mut self.filled);
        self.out
            .write_all(self.room.get(..filled).unwrap_or_default())
    }
}

impl<W: Write> Write for Page<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.put(bytes)?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.hand_on()?;
        self.out.flush()
    }
}

/// Copies bytes to a slot of the same length: few of them as a beginning and an end that
/// overlap.
#[inline(always)]
fn copy(slot: &mut [u8], bytes: &[u8]) {
    if bytes.len() > 32 {
        slot.copy_from_slice(bytes);
    } else if !(ends::<16>(slot, bytes)
        || ends::<8>(slot, bytes)
        || ends::<4>(slot, bytes))
    {
        for (to, byte) in slot.iter_mut().zip(bytes) {
            *to = *byte;
        }
    }
}

/// Copies the first and the last `N` bytes; false where there are not as many.
#[inline(always)]
fn ends<const N: usize>(slot: &mut [u8], bytes: &[u8]) -> bool {
    let (Some(first), Some(last)) = (bytes.first_chunk::<N>(), bytes.last_chunk::<N>())
    else {
        return false;
    };
    if let Some(to) = slot.first_chunk_mut::<N>() {
        *to = *first;
    }
    if let Some(to) = slot.last_chunk_mut::<N>() {
        *to = *last;
    }
    true
}
