//! What the keys of the desk do.

use rustyline::config::EditMode;
use rustyline::history::History;
use rustyline::{
    Cmd, ConditionalEventHandler, Editor, Event, EventContext, EventHandler, InputMode,
    KeyCode, KeyEvent, Modifiers, RepeatCount,
};

use super::helper::{Desk, Shared};
use super::live::{Action, Leave, Live, Waiting};
use super::obey::clean;
use crate::notation::{Converted, arpabet, x_sampa};
use crate::record::TrialMark;
use crate::text::Span;

/// What a key is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Role {
    /// A character: itself, or what it stands for.
    Typed,
    Turn(isize),
    List,
    Left,
    Right,
    Home,
    End,
    LastMark,
    Segment,
    Mend,
    Enter,
    Leave(Leave),
    FromXSampa,
    FromArpabet,
}

/// The keys with what they are for.
const KEYS: &[(KeyEvent, Role)] = &[
    (KeyEvent(KeyCode::Tab, Modifiers::NONE), Role::Turn(1)),
    (KeyEvent(KeyCode::BackTab, Modifiers::NONE), Role::Turn(-1)),
    (KeyEvent(KeyCode::Char(']'), Modifiers::CTRL), Role::List),
    (KeyEvent(KeyCode::F(4), Modifiers::NONE), Role::List),
    (KeyEvent(KeyCode::Left, Modifiers::NONE), Role::Left),
    (KeyEvent(KeyCode::Right, Modifiers::NONE), Role::Right),
    (KeyEvent(KeyCode::Home, Modifiers::NONE), Role::Home),
    (KeyEvent(KeyCode::End, Modifiers::NONE), Role::End),
    (KeyEvent(KeyCode::Char('A'), Modifiers::CTRL), Role::Home),
    (KeyEvent(KeyCode::Char('E'), Modifiers::CTRL), Role::End),
    (KeyEvent(KeyCode::Char('B'), Modifiers::CTRL), Role::Left),
    (
        KeyEvent(KeyCode::Backspace, Modifiers::NONE),
        Role::LastMark,
    ),
    (KeyEvent(KeyCode::Char('W'), Modifiers::CTRL), Role::Segment),
    (KeyEvent(KeyCode::Backspace, Modifiers::ALT), Role::Segment),
    (KeyEvent(KeyCode::Char('F'), Modifiers::CTRL), Role::Mend),
    (KeyEvent(KeyCode::F(2), Modifiers::NONE), Role::Mend),
    (KeyEvent(KeyCode::Enter, Modifiers::NONE), Role::Enter),
    (KeyEvent(KeyCode::Char('J'), Modifiers::CTRL), Role::Enter),
    (
        KeyEvent(KeyCode::PageUp, Modifiers::NONE),
        Role::Leave(Leave::Back),
    ),
    (
        KeyEvent(KeyCode::PageDown, Modifiers::NONE),
        Role::Leave(Leave::Skip),
    ),
    (
        KeyEvent(KeyCode::Char('O'), Modifiers::CTRL),
        Role::Leave(Leave::NoResponse),
    ),
    (
        KeyEvent(KeyCode::Char('T'), Modifiers::CTRL),
        Role::Leave(Leave::Play),
    ),
    (
        KeyEvent(KeyCode::F(3), Modifiers::NONE),
        Role::Leave(Leave::Full),
    ),
    (
        KeyEvent(KeyCode::F(5), Modifiers::NONE),
        Role::Leave(Leave::Mouth),
    ),
    (
        KeyEvent(KeyCode::Char('X'), Modifiers::ALT),
        Role::FromXSampa,
    ),
    (
        KeyEvent(KeyCode::Char('x'), Modifiers::ALT),
        Role::FromXSampa,
    ),
    (KeyEvent(KeyCode::F(6), Modifiers::NONE), Role::FromXSampa),
    (
        KeyEvent(KeyCode::Char('a'), Modifiers::ALT),
        Role::FromArpabet,
    ),
    (KeyEvent(KeyCode::F(7), Modifiers::NONE), Role::FromArpabet),
];

/// Keys that lead from item to item when nothing has been typed.
const EMPTY_LINE: &[(char, Leave)] = &[
    ('=', Leave::Same),
    ('-', Leave::NoResponse),
    ('<', Leave::Back),
    ('>', Leave::Skip),
    ('+', Leave::Again),
    ('*', Leave::Full),
    (',', Leave::Mouth),
    ('!', Leave::Unsure),
];

/// Those of them that begin no sign of a transcription: they lead on from what was laid
/// ready too, until it is changed.
const UNTOUCHED: &str = "<>+*,";

/// Keys that judge a trial while trials are counted.
const TALLY: &[(char, Leave)] = &[
    ('1', Leave::Count(TrialMark::Right)),
    ('2', Leave::Count(TrialMark::WithCue)),
    ('3', Leave::Count(TrialMark::Wrong)),
    ('0', Leave::Uncount),
];

/// What a key does that is the first of a line in a session.
pub(super) fn on_empty_line(key: &str, in_tally: bool) -> Option<Leave> {
    let mut characters = key.chars();
    let (one, None) = (characters.next()?, characters.next()) else {
        return None;
    };
    let judging = TALLY.iter().filter(|_| in_tally);
    let mut keys = EMPTY_LINE.iter().chain(judging);
    keys.find(|(known, _)| *known == one)
        .map(|(_, leave)| *leave)
}

/// Gives an editor the keys of the desk.
pub(super) fn bind<I: History>(editor: &mut Editor<Desk, I>, shared: &Shared) {
    let handler = |role| {
        EventHandler::Conditional(Box::new(Key {
            role,
            shared: shared.clone(),
        }))
    };
    for (key, role) in KEYS {
        editor.bind_sequence(*key, handler(*role));
    }
    editor.bind_sequence(Event::Any, handler(Role::Typed));
}

/// The handler of a key.
struct Key {
    role: Role,
    shared: Shared,
}

impl ConditionalEventHandler for Key {
    fn handle(
        &self,
        event: &Event,
        _: RepeatCount,
        _: bool,
        context: &EventContext<'_>,
    ) -> Option<Cmd> {
        let mut live = self.shared.lock();
        if live.searching {
            return None;
        }
        let commanding = context.mode() == EditMode::Vi
            && context.input_mode() == InputMode::Command
            && self.role != Role::Enter;
        if commanding {
            return None;
        }
        live.read(context.line(), context.pos());
        let listed = std::mem::take(&mut live.listing);
        live.turning = false;
        live.refused = false;
        live.cleaned = false;
        if self.role == Role::Typed {
            typed(&mut live, event, listed)
        } else {
            self.acted(&mut live, listed)
        }
    }
}

/// Leaves an action to be done.
fn then(live: &mut Live, action: Action) -> Option<Cmd> {
    live.pending = Some(action);
    Some(Cmd::Complete)
}

/// A key that has no role of its own.
fn typed(live: &mut Live, event: &Event, listed: bool) -> Option<Cmd> {
    let Event::KeySeq(keys) = event else {
        return None;
    };
    let [KeyEvent(KeyCode::Char(key), Modifiers::NONE | Modifiers::SHIFT)] =
        keys.as_slice()
    else {
        return None;
    };
    if listed {
        let digit = key
            .to_digit(10)
            .and_then(|digit| usize::try_from(digit).ok());
        if let Some(action) = digit.and_then(|digit| live.picked(digit)) {
            return then(live, action);
        }
    }
    let untouched = live.line == live.laid && UNTOUCHED.contains(*key);
    if live.in_session && (live.line.is_empty() || untouched) {
        let mut one = [0; 4];
        if let Some(leave) = on_empty_line(key.encode_utf8(&mut one), live.in_tally) {
            live.leave = Some(leave);
            return Some(Cmd::AcceptLine);
        }
    }
    let action = live.typed(*key)?;
    then(live, action)
}

impl Key {
    fn acted(&self, live: &mut Live, listed: bool) -> Option<Cmd> {
        let typing = live.is_typing();
        let action = match self.role {
            Role::Typed => None,
            Role::Turn(steps) => {
                if !typing {
                    return None;
                }
                let target = live.target.as_ref().map(|target| target.text.clone());
                if live.line.is_empty() {
                    // The target itself, to be changed where what was heard differs.
                    target.map(|text| Action::Replace(Span::new(0, 0), text))
                } else {
                    live.turning = true;
                    Some(live.turned(steps).unwrap_or(Action::Redraw))
                }
            }
            Role::List => {
                live.listing = typing;
                Some(Action::Redraw)
            }
            Role::Left => {
                let character =
                    live.before().chars().next_back().map_or(0, char::len_utf8);
                live.place_before()
                    .filter(|_| character > 0)
                    .map(Action::Move)
                    .or_else(|| moved(live, false))
            }
            Role::Right => live
                .place_after()
                .map(Action::Move)
                .or_else(|| moved(live, true)),
            Role::Home => Some(Action::Move(0)),
            Role::End => Some(Action::Move(live.line.len())),
            Role::LastMark if typing => live.without_mark(),
            Role::Segment if typing => live.without_segment(),
            Role::LastMark | Role::Segment => None,
            Role::Mend => Some(live.mended().unwrap_or(Action::Redraw)),
            // The first Enter closes the list.
            Role::Enter if listed => Some(Action::Redraw),
            Role::Enter if live.line.chars().any(char::is_control) => {
                live.cleaned = true;
                let whole = Span::new(0, live.line.len());
                Some(Action::Replace(whole, clean(&live.line)))
            }
            Role::Enter => {
                let idle = live.in_session && live.line.trim().is_empty();
                if idle || !live.may_enter() {
                    live.refused = true;
                    Some(Action::Redraw)
                } else {
                    None
                }
            }
            Role::Leave(leave) => {
                let after = matches!(leave, Leave::Full | Leave::Mouth);
                let compares = live.target.is_some() && live.waiting == Waiting::Heard;
                if !(live.in_session || after && compares) {
                    return None;
                }
                live.leave = Some(leave);
                return Some(Cmd::AcceptLine);
            }
            Role::FromXSampa => converted(live, x_sampa::to_ipa),
            Role::FromArpabet => converted(live, arpabet::to_ipa),
        };
        action.and_then(|action| then(live, action))
    }
}

/// One cluster on, outside transcriptions.
fn moved(live: &Live, right: bool) -> Option<Action> {
    let place = if right {
        crate::text::cluster_after(&live.line, live.position)
    } else {
        crate::text::cluster_before(&live.line, live.position)
    };
    place.map(Action::Move)
}

/// The whole of what is being transcribed, put into the alphabet.
fn converted(live: &Live, convert: fn(&str) -> Converted) -> Option<Action> {
    let span = match live.waiting {
        Waiting::Heard | Waiting::Answer => Span::new(0, live.line.len()),
        Waiting::Words => return None,
        Waiting::Command => live.at_cursor()?.span(),
    };
    let text = convert(span.of(&live.line)).text;
    Some(Action::Replace(span, text))
}
