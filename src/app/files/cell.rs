//! Where the cells of a table stand in its rows.

use std::ops::Range;

use super::place::{Escape, Piece};
use crate::app::arguments::Form;

/// Where in a cell of CSV a byte stands (RFC 4180).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum State {
    Start,
    Plain,
    Quoted,
    QuoteInQuoted,
}

impl State {
    pub(super) const fn after(self, byte: u8) -> Self {
        match (self, byte) {
            (Self::Quoted, b'"') => Self::QuoteInQuoted,
            (Self::Start | Self::QuoteInQuoted, b'"') | (Self::Quoted, _) => Self::Quoted,
            (_, b',') => Self::Start,
            _ => Self::Plain,
        }
    }
}

/// A cell: its bytes in the row, and how its text comes of them.
#[derive(Clone, Debug)]
pub(super) struct Cell {
    pub(super) raw: Range<usize>,
    pub(super) pieces: Vec<Piece>,
    pub(super) escape: Escape,
}

/// The cell of a number in a row, from 0.
pub(super) fn find(row: &[u8], form: Form, number: usize) -> Option<Cell> {
    let ending = row.iter().rev();
    let ending = ending
        .take_while(|byte| matches!(byte, b'\r' | b'\n'))
        .count();
    let row = row.get(..row.len() - ending)?;
    if form == Form::Tsv {
        let mut start = 0;
        for _ in 0..number {
            start += row.get(start..)?.iter().position(|byte| *byte == b'\t')? + 1;
        }
        let rest = row.get(start..)?;
        let length = rest.iter().position(|byte| *byte == b'\t');
        let end = start + length.unwrap_or(rest.len());
        return Some(Cell {
            raw: start..end,
            pieces: whole(end - start),
            escape: Escape::None,
        });
    }
    let (mut state, mut cells, mut start) = (State::Start, 0, 0);
    let mut end = row.len();
    for (at, byte) in row.iter().enumerate() {
        if *byte == b',' && state != State::Quoted {
            if cells == number {
                end = at;
                break;
            }
            cells += 1;
            start = at + 1;
        }
        state = state.after(*byte);
    }
    if cells != number {
        return None;
    }
    let raw = row.get(start..end)?;
    if raw.first() != Some(&b'"') {
        return Some(Cell {
            raw: start..end,
            pieces: whole(end - start),
            escape: Escape::CsvPlain,
        });
    }
    let mut pieces = Vec::new();
    let (mut state, mut text, mut from) = (State::Start, 0, 1);
    let mut run = |from: usize, to: usize, text: &mut usize| {
        if from < to {
            pieces.push(Piece {
                text: *text..*text + (to - from),
                raw: from..to,
            });
            *text += to - from;
        }
    };
    let mut doubled = Vec::new();
    for (at, byte) in raw.iter().enumerate() {
        let next = state.after(*byte);
        match (state, next) {
            (State::Quoted, State::QuoteInQuoted) => {
                run(from, at, &mut text);
                from = at + 1;
            }
            (State::QuoteInQuoted, State::Quoted) => {
                doubled.push(Piece {
                    text: text..text + 1,
                    raw: at - 1..at + 1,
                });
                text += 1;
                from = at + 1;
            }
            _ => {}
        }
        state = next;
    }
    run(from, raw.len(), &mut text);
    pieces.extend(doubled);
    pieces.sort_by_key(|piece| piece.text.start);
    // An empty cell between marks still has a place between them.
    if pieces.is_empty() {
        pieces.push(Piece {
            text: 0..0,
            raw: 1..1,
        });
    }
    Some(Cell {
        raw: start..end,
        pieces,
        escape: Escape::CsvQuoted,
    })
}

fn whole(length: usize) -> Vec<Piece> {
    vec![Piece {
        text: 0..length,
        raw: 0..length,
    }]
}
