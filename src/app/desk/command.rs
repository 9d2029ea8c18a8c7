//! The commands of the desk: what there is, what it is for, how it is completed.

use clap::CommandFactory;
use rustyline::completion::Pair;

use super::words::words;
use crate::accent::Accent;
use crate::app::arguments::Arguments;
use crate::diagnostic::Code;
use crate::report::text::{heading, push_hanging};

/// What a command of the desk takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Takes {
    Nothing,
    Words,
    Path,
}

/// A command that only the desk has.
struct Own {
    name: &'static str,
    group: Group,
    usage: &'static str,
    says: &'static str,
    takes: Takes,
}

/// What the coach is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Group {
    Transcription,
    Comparison,
    Words,
    Typing,
    Sheet,
    Record,
    Practice,
    Desk,
    More,
}

impl Group {
    const ALL: [Self; 9] = [
        Self::Transcription,
        Self::Comparison,
        Self::Words,
        Self::Typing,
        Self::Sheet,
        Self::Record,
        Self::Practice,
        Self::Desk,
        Self::More,
    ];

    const fn title(self) -> &'static str {
        match self {
            Self::Transcription => "Judging a transcription",
            Self::Comparison => "Setting what was said against what was intended",
            Self::Words => "Choosing words",
            Self::Typing => "Typing",
            Self::Sheet => "Working through a sheet",
            Self::Record => "Keeping the record",
            Self::Practice => "Practising transcription",
            Self::Desk => "The desk itself",
            Self::More => "More",
        }
    }
}

/// Which group the commands of the program are in; the rest stand under "More".
const GROUPS: &[(&str, Group)] = &[
    ("check", Group::Transcription),
    ("describe", Group::Transcription),
    ("explain", Group::Transcription),
    ("compare", Group::Comparison),
    ("analyze", Group::Comparison),
    ("agree", Group::Comparison),
    ("words", Group::Words),
    ("pairs", Group::Words),
    ("convert", Group::Typing),
    ("clients", Group::Record),
    ("client", Group::Record),
    ("keep", Group::Record),
    ("progress", Group::Record),
    ("export", Group::Record),
    ("import", Group::Record),
    ("forget", Group::Record),
    ("verify", Group::Record),
    ("practice", Group::Practice),
    ("mark", Group::Practice),
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

const OWN: &[Own] = &[
    own(
        "target",
        Group::Comparison,
        "[WORD or TRANSCRIPTION]",
        Takes::Words,
        "Set the target that the next lines are compared with; alone, drop it",
    ),
    own(
        "ring",
        Group::Typing,
        "SYMBOL",
        Takes::Words,
        "List a symbol's relatives, those that Tab turns through",
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
        "List what the keys do, or choose the way of editing",
    ),
    own(
        "key",
        Group::Typing,
        "KEY [SYMBOL]",
        Takes::Words,
        "Give a key a symbol of your own; without one, its usual value",
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
        "Mend what can be mended, in the text given or in the last line; ready in the next line",
    ),
    own(
        "sheet",
        Group::Sheet,
        "FILE",
        Takes::Path,
        "Open a table of words and targets and transcribe it row by row",
    ),
    own(
        "same",
        Group::Sheet,
        "",
        Takes::Nothing,
        "Said as the target (key: = on an empty line)",
    ),
    own(
        "back",
        Group::Sheet,
        "",
        Takes::Nothing,
        "To the row before (< or Page Up)",
    ),
    own(
        "skip",
        Group::Sheet,
        "",
        Takes::Nothing,
        "On to the next row, this one left open (> or Page Down)",
    ),
    own(
        "silent",
        Group::Sheet,
        "",
        Takes::Nothing,
        "No response (- or Ctrl-O)",
    ),
    own(
        "again",
        Group::Sheet,
        "",
        Takes::Nothing,
        "Take the last row's next attempt (+)",
    ),
    own(
        "cue",
        Group::Sheet,
        "LEVEL",
        Takes::Words,
        "The cue given for the next lines: none, or a word of yours",
    ),
    own(
        "unsure",
        Group::Sheet,
        "",
        Takes::Nothing,
        "Mark the last row as not heard clearly",
    ),
    own(
        "note",
        Group::Sheet,
        "TEXT",
        Takes::Words,
        "Write a note on the last row",
    ),
    own(
        "play",
        Group::Sheet,
        "",
        Takes::Nothing,
        "Play this row's recording (Ctrl-T)",
    ),
    own(
        "go",
        Group::Sheet,
        "ROW or WORD",
        Takes::Words,
        "Go to a row by its number or its word",
    ),
    own(
        "open",
        Group::Sheet,
        "",
        Takes::Nothing,
        "Go to the first row without a production",
    ),
    own(
        "edit",
        Group::Sheet,
        "COLUMN TEXT",
        Takes::Words,
        "Write into this row: word, target, production or any other column",
    ),
    own(
        "add",
        Group::Sheet,
        "WORD [TARGET]",
        Takes::Words,
        "Add a row after this one; the target is looked up unless given",
    ),
    own(
        "remove",
        Group::Sheet,
        "",
        Takes::Nothing,
        "Take this row out of the sheet",
    ),
    own(
        "rows",
        Group::Sheet,
        "",
        Takes::Nothing,
        "List the rows and how far they are",
    ),
    own(
        "blind",
        Group::Sheet,
        "",
        Takes::Nothing,
        "Transcribe the sheet again, the first pass hidden; then the agreement",
    ),
    own(
        "tally",
        Group::Sheet,
        "",
        Takes::Nothing,
        "Count right, right with a cue and wrong with one key each",
    ),
    own(
        "close",
        Group::Sheet,
        "",
        Takes::Nothing,
        "Close the sheet; every row is saved already",
    ),
    own(
        "accent",
        Group::Desk,
        "[NAME or none]",
        Takes::Words,
        "Go by an accent: its sounds and the postures taught for it",
    ),
    own(
        "player",
        Group::Desk,
        "[COMMAND]",
        Takes::Words,
        "The program that plays a recording, such as: player aplay -q",
    ),
    own(
        "history",
        Group::Desk,
        "[TEXT]",
        Takes::Words,
        "List earlier lines of this kind, or those that hold a text (Ctrl-R searches)",
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

/// Whether a command of the desk takes the name of a file.
pub(super) fn takes_path(name: &str) -> bool {
    let name = name.trim_start_matches(':');
    let known = OWN.iter().find(|own| own.name == name);
    known.is_some_and(|own| own.takes == Takes::Path)
}

/// Whether a command of the desk has this name.
pub(super) fn is_own(name: &str) -> bool {
    OWN.iter().any(|own| own.name == name)
}

/// Whether a command of the program has this name.
pub(super) fn is_shared(name: &str) -> bool {
    Arguments::command().find_subcommand(name).is_some()
}

/// Every name, in the order of the alphabet.
pub(super) fn names() -> Vec<String> {
    let program = Arguments::command();
    let mut names: Vec<String> = program
        .get_subcommands()
        .map(|command| command.get_name().to_owned())
        .chain(OWN.iter().map(|own| own.name.to_owned()))
        .collect();
    names.sort();
    names.dedup();
    names
}

/// The names nearest to one that is none, for the message.
pub(super) fn near(name: &str) -> Vec<String> {
    let first = name.chars().next();
    let mut near: Vec<(usize, String)> = names()
        .into_iter()
        .map(|known| (shared(name, &known), known))
        .filter(|(shared, known)| *shared > 1 && known.chars().next() == first)
        .collect();
    near.sort_by(|one, other| other.0.cmp(&one.0).then_with(|| one.1.cmp(&other.1)));
    near.into_iter().take(3).map(|(_, known)| known).collect()
}

/// How many characters of two names agree, each used once, in any order.
fn shared(one: &str, other: &str) -> usize {
    let mut left: Vec<char> = other.chars().collect();
    one.chars()
        .filter(|character| {
            let at = left.iter().position(|known| known == character);
            at.map(|at| left.swap_remove(at)).is_some()
        })
        .count()
}

/// The list of all commands, by what the coach is doing, one line each.
pub(super) fn overview(columns: usize) -> String {
    const NAME: usize = 34;
    let program = Arguments::command();
    let mut page = String::new();
    for group in Group::ALL {
        let mut rows: Vec<(String, String)> = Vec::new();
        for command in program.get_subcommands() {
            let name = command.get_name();
            let known = GROUPS.iter().find(|(known, _)| *known == name);
            if known.map_or(Group::More, |(_, group)| *group) == group {
                let about = command.get_about().map(ToString::to_string);
                rows.push((name.to_owned(), about.unwrap_or_default()));
            }
        }
        for own in OWN.iter().filter(|own| own.group == group) {
            let name = format!("{} {}", own.name, own.usage);
            rows.push((name.trim_end().to_owned(), own.says.to_owned()));
        }
        if rows.is_empty() {
            continue;
        }
        if !page.is_empty() {
            page.push('\n');
        }
        page.push_str(&heading(group.title()));
        page.push('\n');
        let wide = if columns < 80 { 16 } else { NAME };
        for (name, says) in rows {
            push_hanging(
                &mut page,
                2,
                &name,
                anstyle::Style::new(),
                wide,
                &says,
                columns,
            );
        }
    }
    page.push_str(
        "\nA transcription in brackets, [kʰæt] or /kæt/, is read and described. Where a target \
         is set,\nthe whole line is what was heard, and a command begins with a colon: :help\n",
    );
    page
}

/// One command in full; `None` where there is none of this name.
pub(super) fn full(name: &str) -> Option<String> {
    if let Some(own) = OWN.iter().find(|own| own.name == name) {
        return Some(format!("{} {}\n  {}\n", own.name, own.usage, own.says));
    }
    let mut program = Arguments::command();
    let command = program.find_subcommand_mut(name)?;
    Some(command.render_help().ansi().to_string())
}

/// What could stand at the cursor: the start of the word, and the candidates.
pub(super) fn completions(line: &str, position: usize) -> (usize, Vec<Pair>) {
    let before = line.get(..position).unwrap_or(line);
    let start = before
        .char_indices()
        .rev()
        .find(|(_, character)| character.is_whitespace())
        .map_or(0, |(at, character)| at + character.len_utf8());
    let word = before.get(start..).unwrap_or_default();
    let cut = words(before.get(..start).unwrap_or_default(), takes_path);
    let first = cut
        .first()
        .map(|word| word.text.trim_start_matches(':').to_owned());
    let colon = if cut.is_empty() && word.starts_with(':') {
        ":"
    } else {
        ""
    };
    let word = word.strip_prefix(colon).unwrap_or(word);
    let candidates: Vec<String> = match first.as_deref() {
        None => names(),
        Some("help") => names(),
        Some("accent") => Accent::names().map(str::to_owned).collect(),
        Some("keys") => vec!["emacs".to_owned(), "vi".to_owned()],
        Some("explain") => Code::ALL
            .iter()
            .map(|code| code.name().to_owned())
            .collect(),
        Some(name) => options(name),
    };
    let pairs = candidates
        .into_iter()
        .filter(|candidate| candidate.starts_with(word))
        .map(|candidate| Pair {
            display: candidate.clone(),
            replacement: format!("{colon}{candidate}"),
        })
        .collect();
    (start, pairs)
}

/// The options of a command of the program.
fn options(name: &str) -> Vec<String> {
    let program = Arguments::command();
    let Some(command) = program.find_subcommand(name) else {
        return Vec::new();
    };
    command
        .get_opts()
        .filter_map(|option| option.get_long())
        .map(|long| format!("--{long}"))
        .collect()
}
