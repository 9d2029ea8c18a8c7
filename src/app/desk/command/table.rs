//! The commands that only the desk has, and the groups that all are listed in.

/// What a command of the desk takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Takes {
    Nothing,
    Words,
    Path,
}

/// A command that only the desk has.
pub(super) struct Own {
    pub(super) name: &'static str,
    pub(super) group: Group,
    pub(super) usage: &'static str,
    pub(super) says: &'static str,
    pub(super) takes: Takes,
}

/// What the coach is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Group {
    Transcription,
    Comparison,
    Words,
    Typing,
    Client,
    Session,
    Sheet,
    Counting,
    Record,
    Practice,
    Desk,
    More,
}

impl Group {
    pub(super) const ALL: [Self; 12] = [
        Self::Transcription,
        Self::Comparison,
        Self::Words,
        Self::Client,
        Self::Session,
        Self::Sheet,
        Self::Counting,
        Self::Record,
        Self::Typing,
        Self::Practice,
        Self::Desk,
        Self::More,
    ];

    /// Whether its commands are for going through items.
    pub(super) const fn is_of_session(self) -> bool {
        matches!(self, Self::Session | Self::Sheet | Self::Counting)
    }

    pub(super) const fn title(self) -> &'static str {
        match self {
            Self::Transcription => "Judging a transcription",
            Self::Comparison => "Setting what was said against what was intended",
            Self::Words => "Choosing words",
            Self::Typing => "Typing",
            Self::Client => "Beginning with a client",
            Self::Session => "Going through a list or a sheet",
            Self::Sheet => "Working on a list or a sheet itself",
            Self::Counting => "Counting trials",
            Self::Record => "Keeping the record",
            Self::Practice => "Practising transcription",
            Self::Desk => "The desk itself",
            Self::More => "More",
        }
    }
}

/// Commands of the program whose arguments are files, and never transcriptions.
pub(super) const WITH_FILES: &[&str] = &[
    "analyze",
    "keep",
    "import",
    "mark",
    "confusions",
    "assign",
    "class",
];

/// Which group the commands of the program are in; the rest stand under "More".
pub(super) const GROUPS: &[(&str, Group)] = &[
    ("check", Group::Transcription),
    ("describe", Group::Transcription),
    ("explain", Group::Transcription),
    ("compare", Group::Comparison),
    ("analyze", Group::Comparison),
    ("agree", Group::Comparison),
    ("words", Group::Words),
    ("pairs", Group::Words),
    ("convert", Group::Typing),
    ("clients", Group::Client),
    ("client", Group::Client),
    ("keep", Group::Record),
    ("progress", Group::Record),
    ("export", Group::Record),
    ("import", Group::Record),
    ("forget", Group::Record),
    ("verify", Group::Record),
    ("passphrase", Group::Record),
    ("practice", Group::Practice),
    ("mark", Group::Practice),
    ("confusions", Group::Practice),
    ("assign", Group::Practice),
    ("class", Group::Practice),
];

const fn own(
    name: &'static str,
    group: Group,
    usage: &'static str,
    takes: Takes,
    says: &'static str,
) -> Own {
    Own {
        name,
        group,
        usage,
        says,
        takes,
    }
}

/// The commands that only the desk has, in the order in which they are listed.
pub(super) const OWN: &[Own] = &[
    own(
        "target",
        Group::Comparison,
        "[WORD or TRANSCRIPTION]",
        Takes::Words,
        "Set what the next lines are compared with, or drop it",
    ),
    own(
        "ring",
        Group::Typing,
        "SYMBOL",
        Takes::Words,
        "List a symbol's relatives, which Tab turns through",
    ),
    own(
        "marks",
        Group::Typing,
        "",
        Takes::Nothing,
        "List the keys that make a mark after _",
    ),
    own(
        "keys",
        Group::Typing,
        "[emacs or vi]",
        Takes::Words,
        "List what the keys do, or choose the way to edit",
    ),
    own(
        "key",
        Group::Typing,
        "KEY [SYMBOL]",
        Takes::Words,
        "Give a key a symbol of your own, or its usual one",
    ),
    own(
        "x-sampa",
        Group::Typing,
        "TEXT",
        Takes::Words,
        "Put X-SAMPA into IPA, ready in the next line",
    ),
    own(
        "arpabet",
        Group::Typing,
        "TEXT",
        Takes::Words,
        "Put ARPABET into IPA, ready in the next line",
    ),
    own(
        "mend",
        Group::Typing,
        "[TRANSCRIPTION]",
        Takes::Words,
        "Mend what can be mended; ready in the next line",
    ),
    own(
        "with",
        Group::Client,
        "[CODE or nobody]",
        Takes::Words,
        "Work with a client: accent, record, words of the work",
    ),
    own(
        "list",
        Group::Client,
        "FILE",
        Takes::Path,
        "Begin a session on a list: a table, or a word a line",
    ),
    own(
        "probe",
        Group::Client,
        "FILE",
        Takes::Path,
        "The same with words that were never practised",
    ),
    own(
        "draw",
        Group::Client,
        "[N] [SOUND] [PLACE]",
        Takes::Words,
        "Begin one on common words: draw 20 θ initial",
    ),
    own(
        "sessions",
        Group::Client,
        "",
        Takes::Nothing,
        "List the client's sessions and how far they are",
    ),
    own(
        "resume",
        Group::Client,
        "[NUMBER]",
        Takes::Words,
        "Take up the last session with items waiting, or any",
    ),
    own(
        "sheet",
        Group::Sheet,
        "FILE",
        Takes::Path,
        "Go through a table of words and targets",
    ),
    own(
        "same",
        Group::Session,
        "",
        Takes::Nothing,
        "Said as the target (key: = on an empty line)",
    ),
    own(
        "back",
        Group::Session,
        "",
        Takes::Nothing,
        "To the item before (< or Page Up)",
    ),
    own(
        "skip",
        Group::Session,
        "",
        Takes::Nothing,
        "To the next item, this one left open (> or Page Down)",
    ),
    own(
        "silent",
        Group::Session,
        "",
        Takes::Nothing,
        "No response (- or Ctrl-O)",
    ),
    own(
        "again",
        Group::Session,
        "",
        Takes::Nothing,
        "The last item's next attempt (+)",
    ),
    own(
        "cue",
        Group::Session,
        "LEVEL",
        Takes::Words,
        "The cue given from now on: none hint model together",
    ),
    own(
        "unsure",
        Group::Session,
        "",
        Takes::Nothing,
        "The last item was not heard clearly (!)",
    ),
    own(
        "note",
        Group::Session,
        "TEXT",
        Takes::Words,
        "Write a note on the last item",
    ),
    own(
        "play",
        Group::Session,
        "",
        Takes::Nothing,
        "Play this item's recording (Ctrl-T)",
    ),
    own(
        "go",
        Group::Session,
        "ITEM or WORD",
        Takes::Words,
        "Go to an item by its number or its word",
    ),
    own(
        "open",
        Group::Session,
        "",
        Takes::Nothing,
        "Go to the first item without a production",
    ),
    own(
        "edit",
        Group::Sheet,
        "COLUMN TEXT",
        Takes::Words,
        "Write into this item: word, target, accepted, …",
    ),
    own(
        "add",
        Group::Sheet,
        "WORD [TARGET]",
        Takes::Words,
        "Add an item; its target is looked up unless given",
    ),
    own(
        "remove",
        Group::Sheet,
        "",
        Takes::Nothing,
        "Take this item out",
    ),
    own(
        "rows",
        Group::Sheet,
        "",
        Takes::Nothing,
        "List the items and how far they are",
    ),
    own(
        "blind",
        Group::Session,
        "",
        Takes::Nothing,
        "All again, the first pass hidden; then the agreement",
    ),
    own(
        "full",
        Group::Session,
        "",
        Takes::Nothing,
        "The last comparison in full (F3, or *)",
    ),
    own(
        "mouth",
        Group::Session,
        "[characters]",
        Takes::Words,
        "Draw the mouth at the last difference, then the next (F5, or a comma)",
    ),
    own(
        "stage",
        Group::Sheet,
        "NAME",
        Takes::Words,
        "The session to write beside the next rows of a sheet",
    ),
    own(
        "drill",
        Group::Counting,
        "SOUND or WORD…",
        Takes::Words,
        "Count trials of a sound with one key each",
    ),
    own(
        "right",
        Group::Counting,
        "",
        Takes::Nothing,
        "One trial more that came right (1)",
    ),
    own(
        "cued",
        Group::Counting,
        "",
        Takes::Nothing,
        "One that came right with a cue (2)",
    ),
    own(
        "wrong",
        Group::Counting,
        "",
        Takes::Nothing,
        "One that did not come right (3)",
    ),
    own(
        "undo",
        Group::Counting,
        "",
        Takes::Nothing,
        "Take the last trial back (0)",
    ),
    own(
        "tally",
        Group::Counting,
        "",
        Takes::Nothing,
        "Count trials of the items; again, back to transcribing",
    ),
    own(
        "close",
        Group::Session,
        "",
        Takes::Nothing,
        "End the session; every item is saved already",
    ),
    own(
        "accent",
        Group::Desk,
        "[NAME or none]",
        Takes::Words,
        "Go by an accent: its sounds, its postures",
    ),
    own(
        "player",
        Group::Desk,
        "[COMMAND]",
        Takes::Words,
        "What plays recordings, such as: player aplay -q",
    ),
    own(
        "history",
        Group::Desk,
        "[TEXT]",
        Takes::Words,
        "List earlier lines, or those with a text (Ctrl-R)",
    ),
    own(
        "help",
        Group::Desk,
        "[COMMAND]",
        Takes::Words,
        "This list, or one command in full",
    ),
    own(
        "quit",
        Group::Desk,
        "",
        Takes::Nothing,
        "Leave the desk (Ctrl-D on an empty line)",
    ),
];
