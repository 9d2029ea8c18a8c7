//! Lines at the speed of the machine: blocks of them are judged on as many cores as there
//! are, and what is said of them is written in the order in which they stand.
//!
//! Every worker takes the next block and judges it. Whoever has the turn writes, and writes
//! too what others have left who were done before theirs. Memory holds a few blocks: what
//! there is to say beyond [`HELD`] bytes of one, or of a long line, waits for the turn.

use std::collections::BTreeMap;
use std::io::{self, Read, Write};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, available_parallelism};

use memchr::{memchr, memchr_iter, memrchr};

use super::sieve::Sieve;
use super::{Judge, Sink};
use crate::app::files::place::Place;
use crate::app::files::{Record, Source, is_blank};
use crate::app::output::Page;
use crate::app::reading::{LONG, LONGEST};
use crate::app::{Origin, Stop};

/// How many bytes are asked for at a time.
const BLOCK: usize = 64 * 1024;

/// How many bytes of output are handed on at a time.
const PIECE: usize = 64 * 1024;

/// How many bytes of a block's output may wait for their turn.
const HELD: usize = 4 * 1024 * 1024;

/// How many blocks may be judged before the turn of the first of them.
const AHEAD: u64 = 4;

/// Reads and judges a source.
pub(super) fn read(
    source: &Source,
    origin: &Origin<'_>,
    judge: &mut Judge<'_>,
    sink: &mut Sink,
) -> Result<(), Stop> {
    let cores = match judge.arguments.jobs {
        Some(jobs) => usize::from(jobs),
        None => available_parallelism().map_or(1, usize::from),
    };
    let shared = Shared {
        origin,
        source,
        alone: cores == 1,
        feed: Mutex::new(Feed::new(source.bytes()?, cores > 1)),
        turn: Mutex::new(Turn {
            number: 0,
            sink,
            waiting: BTreeMap::new(),
            stopped: None,
        }),
        passed: Condvar::new(),
    };
    let mut twins: Vec<Judge<'_>> = (1..cores).map(|_| judge.twin()).collect();
    thread::scope(|scope| {
        // A short input is judged before another thread would have begun.
        let mut idle = Some(&mut twins);
        shared.work(judge, &mut |bytes| {
            if let Some(twins) = idle.take_if(|_| bytes >= BLOCK / 2) {
                for twin in twins {
                    scope.spawn(|| shared.work(twin, &mut |_| ()));
                }
            }
        });
    });
    for twin in &twins {
        judge.tally.add(twin.tally);
    }
    let turn = shared.turn.into_inner();
    let turn = turn.unwrap_or_else(PoisonError::into_inner);
    turn.stopped.map_or(Ok(()), Err)
}

/// What the workers share.
struct Shared<'a> {
    origin: &'a Origin<'a>,
    source: &'a Source,
    /// Whether one worker does it all.
    alone: bool,
    feed: Mutex<Feed>,
    turn: Mutex<Turn<'a>>,
    passed: Condvar,
}

/// Who may write.
struct Turn<'a> {
    /// The block whose turn it is.
    number: u64,
    sink: &'a mut Sink,
    /// What is to be said of blocks that were judged before their turn.
    waiting: BTreeMap<u64, Vec<u8>>,
    /// Why nobody goes on.
    stopped: Option<Stop>,
}

impl Turn<'_> {
    /// Goes on to the first block that has not been judged, writing what waits before it.
    fn go_on(&mut self, origin: &Origin<'_>) -> io::Result<()> {
        self.number += 1;
        while let Some(said) = self.waiting.remove(&self.number) {
            self.sink.put(origin, &said)?;
            self.number += 1;
        }
        self.sink.answers.flush()
    }
}

/// Takes a lock; no worker leaves anything half done behind it.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl<'a> Shared<'a> {
    /// Judges blocks until there are no more; tells `begun` how long each is.
    fn work(&self, judge: &mut Judge<'_>, begun: &mut dyn FnMut(usize)) {
        let mut block = Block::default();
        let mut sieve = Sieve::default();
        let mut room = Vec::new();
        loop {
            let mut feed = lock(&self.feed);
            let filled = feed.fill(&mut block);
            let number = feed.number;
            feed.number += 1;
            drop(feed);
            if matches!(filled, Ok(false)) {
                return;
            }
            begun(block.filled);
            let ordered = Ordered {
                shared: self,
                number,
                held: Vec::new(),
                turn: None,
            };
            let mut outlet = Page::new(ordered, std::mem::take(&mut room), PIECE);
            let judged = match filled {
                Ok(_) => block.judge(judge, self.origin, &mut sieve, &mut outlet),
                Err(error) => Err(Stop::Source(self.source.failure(&error))),
            };
            let judged = judged.map(|line| {
                if self.alone {
                    lock(&self.feed).line = line;
                }
            });
            let (mut outlet, said) = outlet.into_parts();
            let added = outlet.add(said).map_err(Stop::from);
            if !outlet.pass_on(judged.and(added), &mut room) {
                lock(&self.feed).ended = true;
                return;
            }
        }
    }

    /// Waits until blocks up to a number have been written, or the work has stopped.
    fn wait<'s>(&'s self, number: u64) -> MutexGuard<'s, Turn<'a>> {
        let waiting =
            |turn: &mut Turn<'_>| turn.number < number && turn.stopped.is_none();
        let turn = self.passed.wait_while(lock(&self.turn), waiting);
        turn.unwrap_or_else(PoisonError::into_inner)
    }
}

/// The sink, when the block's turn has come; what is written before waits.
struct Ordered<'s, 'a> {
    shared: &'s Shared<'a>,
    number: u64,
    held: Vec<u8>,
    turn: Option<MutexGuard<'s, Turn<'a>>>,
}

impl<'s, 'a> Ordered<'s, 'a> {
    /// Waits for the turn and writes what waited; gives nothing once the work has stopped.
    fn turn(&mut self) -> io::Result<Option<&mut MutexGuard<'s, Turn<'a>>>> {
        let turn = self.turn.take();
        let turn = turn.unwrap_or_else(|| self.shared.wait(self.number));
        let turn = self.turn.insert(turn);
        if turn.stopped.is_some() {
            return Ok(None);
        }
        turn.sink.put(self.shared.origin, &self.held)?;
        self.held.clear();
        Ok(Some(turn))
    }

    /// The last that is to be said.
    fn add(&mut self, said: Vec<u8>) -> io::Result<()> {
        if self.turn.is_some() || !self.held.is_empty() {
            return self.write_all(&said);
        }
        self.held = said;
        Ok(())
    }

    /// Ends the turn, or leaves what is to be said to whoever has it; says whether the work
    /// goes on. Gives room back that is not needed any more.
    fn pass_on(mut self, judged: Result<(), Stop>, room: &mut Vec<u8>) -> bool {
        if judged.is_ok() && self.turn.is_none() {
            let mut turn = lock(&self.shared.turn);
            if turn.number < self.number {
                turn.waiting.insert(self.number, self.held);
                drop(turn);
                let turn = self.shared.wait(self.number.saturating_sub(AHEAD));
                return turn.stopped.is_none();
            }
            self.turn = Some(turn);
        }
        let written = self.turn().map(|_| ());
        let outcome = judged.and(written.map_err(Stop::from));
        let Some(mut turn) = self.turn else {
            return false;
        };
        let go_on = |()| turn.go_on(self.shared.origin).map_err(Stop::from);
        let outcome = outcome.and_then(go_on);
        if let Err(stop) = outcome {
            turn.stopped.get_or_insert(stop);
        }
        let goes_on = turn.stopped.is_none();
        drop(turn);
        self.shared.passed.notify_all();
        *room = self.held;
        goes_on
    }
}

impl Write for Ordered<'_, '_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.turn.is_none() && self.held.len() < HELD {
            self.held.extend_from_slice(bytes);
        } else {
            let origin = self.shared.origin;
            match self.turn()? {
                Some(turn) => turn.sink.put(origin, bytes)?,
                None => return Err(io::Error::other("the work has stopped")),
            }
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Some lines of the source.
#[derive(Default)]
struct Block {
    /// The lines, and room.
    bytes: Vec<u8>,
    /// How many bytes are lines.
    filled: usize,
    /// The number of the first line, from 1.
    line: u64,
    /// Where the first line begins, from 0.
    start: u64,
}

impl Block {
    /// Judges the lines one after another; gives the number of the line after them.
    fn judge(
        &self,
        judge: &mut Judge<'_>,
        origin: &Origin<'_>,
        sieve: &mut Sieve,
        out: &mut Page<Ordered<'_, '_>>,
    ) -> Result<u64, Stop> {
        let lines = self.bytes.get(..self.filled).unwrap_or_default();
        let mut walk = Walk {
            origin,
            lines,
            at: 0,
            line: self.line,
            start: self.start,
            record: Record {
                texts: vec![Vec::new()],
                places: vec![Place {
                    column: 1,
                    ..Place::default()
                }],
                ..Record::default()
            },
        };
        if judge.passes_flawless() {
            for end in sieve.doubtful(lines) {
                let begin =
                    memrchr(b'\n', lines.get(walk.at..end - 1).unwrap_or_default());
                let begin = begin.map_or(walk.at, |at| walk.at + at + 1);
                walk.pass(begin, judge);
                walk.judge(end, judge, out)?;
            }
            walk.pass(lines.len(), judge);
        } else {
            for at in memchr_iter(b'\n', lines) {
                walk.judge(at + 1, judge, out)?;
            }
            if walk.at < lines.len() {
                walk.judge(lines.len(), judge, out)?;
            }
        }
        Ok(walk.line)
    }
}

/// Goes through the lines of a block.
struct Walk<'a> {
    origin: &'a Origin<'a>,
    lines: &'a [u8],
    /// Where the next line begins in the block.
    at: usize,
    /// Its number, from 1.
    line: u64,
    /// Where the block begins in the source.
    start: u64,
    record: Record,
}

impl Walk<'_> {
    /// Passes over lines that are flawless.
    fn pass(&mut self, to: usize, judge: &mut Judge<'_>) {
        let passed = self.lines.get(self.at..to).unwrap_or_default();
        let count = memchr_iter(b'\n', passed).count();
        judge.tally.pass(count);
        self.line += count as u64;
        self.at = to;
    }

    /// Judges the line that ends there.
    fn judge(
        &mut self,
        end: usize,
        judge: &mut Judge<'_>,
        out: &mut Page<Ordered<'_, '_>>,
    ) -> Result<(), Stop> {
        let text = self.lines.get(self.at..end).unwrap_or_default();
        let text = text.strip_suffix(b"\n").unwrap_or(text);
        let text = text.strip_suffix(b"\r").unwrap_or(text);
        // What the sieve has found is not flawless.
        let passes = !judge.passes_flawless() && judge.passes(text);
        if !passes && !is_blank(text) {
            if text.len() > LONG {
                out.out().turn()?;
            }
            if let Some(slot) = self.record.texts.first_mut() {
                slot.clear();
                slot.extend_from_slice(text);
            }
            if let Some(place) = self.record.places.first_mut() {
                place.line = self.line;
                place.start = self.start + self.at as u64;
            }
            self.record.line = self.line;
            judge.record(&self.record, self.origin, None, out)?;
        }
        self.line += 1;
        self.at = end;
        Ok(())
    }
}

/// The source, cut into blocks between lines.
struct Feed {
    reader: Box<dyn Read + Send>,
    /// What was read beyond the last block.
    carried: Vec<u8>,
    /// The number of the next block.
    number: u64,
    /// The number of its first line, from 1.
    line: u64,
    /// Whether the lines are counted before they are judged.
    counts: bool,
    /// Where that begins, from 0.
    start: u64,
    ended: bool,
}

impl Feed {
    const fn new(reader: Box<dyn Read + Send>, counts: bool) -> Self {
        Self {
            reader,
            carried: Vec::new(),
            number: 0,
            line: 1,
            counts,
            start: 0,
            ended: false,
        }
    }

    fn read(&mut self, room: &mut [u8]) -> io::Result<usize> {
        loop {
            match self.reader.read(room) {
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => {
                    self.ended = true;
                    return Err(error);
                }
                Ok(read) => {
                    self.ended |= read == 0;
                    return Ok(read);
                }
            }
        }
    }

    /// Fills a block with what there is, whole lines only; false at the end. A line too
    /// long to be judged is cut off where that can be told.
    fn fill(&mut self, block: &mut Block) -> io::Result<bool> {
        (block.line, block.start) = (self.line, self.start);
        block.filled = self.carried.len();
        if block.bytes.len() < block.filled {
            block.bytes.resize(block.filled, 0);
        }
        for (slot, byte) in block.bytes.iter_mut().zip(self.carried.drain(..)) {
            *slot = byte;
        }
        while !self.ended {
            let from = block.filled;
            if block.bytes.len() < from + BLOCK {
                block.bytes.resize(from + BLOCK, 0);
            }
            let room = block.bytes.get_mut(from..).unwrap_or_default();
            let read = self.read(room)?;
            let read = block.bytes.get(from..from + read).unwrap_or_default();
            let end = from + read.len();
            if let Some(last) = memrchr(b'\n', read) {
                let (lines, carried) = read.split_at(last + 1);
                self.carried.extend_from_slice(carried);
                block.filled = from + lines.len();
                if self.counts {
                    self.line += memchr_iter(b'\n', lines).count() as u64;
                }
                self.start += block.filled as u64;
                return Ok(self.without_mark(block));
            }
            block.filled = end;
            if end > LONGEST {
                self.start += self.skip_line()? + end as u64;
                self.line += u64::from(self.counts);
                block.filled = LONGEST + 1;
                return Ok(self.without_mark(block));
            }
        }
        self.start += block.filled as u64;
        Ok(block.filled > 0 && self.without_mark(block))
    }

    /// Takes a byte order mark off the first block; false where nothing else is in it.
    fn without_mark(&self, block: &mut Block) -> bool {
        const MARK: &[u8] = &[0xEF, 0xBB, 0xBF];
        let lines = block.bytes.get(..block.filled).unwrap_or_default();
        if block.start == 0 && lines.starts_with(MARK) {
            block.bytes.drain(..MARK.len());
            block.filled -= MARK.len();
            block.start = MARK.len() as u64;
        }
        block.filled > 0 || !self.ended
    }

    /// Passes over the rest of a line and says how many bytes that was.
    fn skip_line(&mut self) -> io::Result<u64> {
        let mut room = vec![0; BLOCK];
        let mut skipped = 0;
        while !self.ended {
            let read = self.read(&mut room)?;
            let read = room.get(..read).unwrap_or_default();
            if let Some(at) = memchr(b'\n', read) {
                let (line, carried) = read.split_at(at + 1);
                self.carried.extend_from_slice(carried);
                return Ok(skipped + line.len() as u64);
            }
            skipped += read.len() as u64;
        }
        Ok(skipped)
    }
}
